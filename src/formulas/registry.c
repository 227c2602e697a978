#include "formulas/formulas.h"
#include "tables/constants.h"
#include "tables/tables.h"

/* Purpose   The table of formulas, their one entry, and the published regressions from the A-constant.
 * Equation  SF = 0.5663 A - 65.60; pACD = 0.58357 A - 63.896; nominal position = 0.62467 A - 68.747.
 * Given     Formula input; A-constant.
 * Returned  K, L and E; lens constants in mm.
 * Status    That of the formula, with IOL_OUTSIDE_SOURCE below 18.5 or above 31 mm.
 * Source    holladay_1988 (SF, pACD), retzlaff_1990 (position), from memory.
 * Differs   pACD is SF = 0.9704 pACD - 3.595 solved and put together with the line for SF, to five figures.
 * Tests     tests/unit/test_formulas.c */

#define REFERENCE_ROW(key) IOL_REF_##key

static double a_constant_of(const iol_lens_constants *lens) { return lens->a_constant; }
static double surgeon_factor_mm_of(const iol_lens_constants *lens) { return lens->surgeon_factor_mm; }
static double pacd_mm_of(const iol_lens_constants *lens) { return lens->pacd_mm; }
/* Haigis stands on three constants; without any of them it has none. */
static double haigis_a0_mm_of(const iol_lens_constants *lens) {
    return isnan(lens->haigis_a1) || isnan(lens->haigis_a2) ? NAN : lens->haigis_a0_mm;
}

const iol_formula_row iol_formulas[IOL_FORMULA_COUNT] = {
#define FORMULA(id, name, needs_constant, reference, status, text)                                                     \
    {name, text, REFERENCE_ROW(reference), iol_##id##_predict, needs_constant##_of},
#include "formulas.def"
#undef FORMULA
};

bool iol_formula_begin(const iol_formula_input *in, double constant, iol_model *model) {
    *model = (iol_model){NAN, NAN, NAN};
    return isfinite(in->axial_length_mm) && isfinite(in->radius_mm) && in->radius_mm > 0.0 && isfinite(constant);
}

iol_status iol_formula_finish(iol_model found, iol_status cautions, iol_model *model) {
    if (!isfinite(found.cornea_d) || !isfinite(found.length_mm) || !(found.position_mm > 0.0) ||
        !(found.position_mm < found.length_mm)) {
        return IOL_BAD_INPUT;
    }
    *model = found;
    return cautions;
}

iol_status iol_formula_predict(iol_formula formula, const iol_formula_input *in, iol_model *model) {
    *model = (iol_model){NAN, NAN, NAN};
    if ((int)formula < 0 || formula >= IOL_FORMULA_COUNT) return IOL_BAD_INPUT;
    iol_status status = iol_formulas[formula].predict(in, model);
    bool inside = in->axial_length_mm >= c_formula_length_low && in->axial_length_mm <= c_formula_length_high;
    return status < 0 || inside ? status : status | IOL_OUTSIDE_SOURCE;
}

double iol_cornea_read(double model_cornea_d, double index) {
    return model_cornea_d * (c_keratometric_index - 1.0) / (index - 1.0);
}

/* How each formula's own L and K are read back. */
static double (*const length_read[IOL_FORMULA_COUNT])(double model_length_mm) = {
#define FORMULA(id, name, needs_constant, reference, status, text) iol_##id##_length_read,
#include "formulas.def"
#undef FORMULA
};
static double (*const cornea_read[IOL_FORMULA_COUNT])(double model_cornea_d) = {
#define FORMULA(id, name, needs_constant, reference, status, text) iol_##id##_cornea_read,
#include "formulas.def"
#undef FORMULA
};

double iol_formula_length_read(iol_formula formula, double model_length_mm) {
    return length_read[formula](model_length_mm);
}

double iol_formula_cornea_read(iol_formula formula, double model_cornea_d) {
    return cornea_read[formula](model_cornea_d);
}

double iol_surgeon_factor_from_a(double a_constant) {
    return c_surgeon_factor_slope * a_constant - c_surgeon_factor_base;
}

double iol_pacd_from_a(double a_constant) { return c_pacd_slope * a_constant - c_pacd_base; }

double iol_nominal_position_from_a(double a_constant) {
    return c_nominal_position_slope * a_constant - c_nominal_position_base;
}
