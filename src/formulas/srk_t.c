#include "formulas/formulas.h"
#include "tables/constants.h"

/* Purpose   SRK/T: what it feeds the eye model.
 * Equation  K = 333/r; L = AL + 0.65696 - 0.02029 AL; E = H + 0.62467 A - 68.747 - 3.336.
 *           Height H = r - sqrt(r^2 - Cw^2/4), width Cw = -5.41 + 0.58412 LCOR + 0.098 (337.5/r),
 *           LCOR = AL up to 24.2 mm, above it -3.446 + 1.716 AL - 0.0237 AL^2. After corneal laser the height takes
 *           the radius before it, K the radius of today.
 * Given     Axial length AL and mean corneal radius r (mm), A-constant.
 * Returned  K (D), L and E (mm).
 * Status    IOL_BAD_INPUT; IOL_EXTRAPOLATED where the root is below 0 and held at 0; IOL_OUTSIDE_SOURCE.
 * Valid     Axial length 18.5 to 31 mm.
 * Source    retzlaff_1990 with its erratum, equations from memory; two radii: aramberri_2003.
 * Differs   1.716 and -5.41 where 1.715 and -5.40948 also circulate: 1.716 joins at 24.2 mm.
 * Tests     tests/unit/test_formulas.c, tests/unit/test_formula_constants.c */

double iol_srk_t_cornea(double radius_mm) { return iol_cornea_of_radius(radius_mm, c_srk_t_index); }

double iol_srk_t_length(double axial_length_mm) {
    return axial_length_mm + c_srk_t_retina_base - c_srk_t_retina_slope * axial_length_mm;
}

static double corrected_length(double length_mm) {
    if (length_mm <= c_srk_t_length_limit) return length_mm;
    return c_srk_t_length_constant + c_srk_t_length_linear * length_mm - c_srk_t_length_square * length_mm * length_mm;
}

iol_status iol_srk_t_predict(const iol_formula_input *in, iol_model *model) {
    if (!iol_formula_begin(in, in->lens.a_constant, model)) return IOL_BAD_INPUT;
    double r = iol_position_radius(in);
    double width = c_srk_t_width_constant + c_srk_t_width_length * corrected_length(in->axial_length_mm) +
                   c_srk_t_width_cornea * iol_cornea_of_radius(r, c_keratometric_index);
    double square = r * r - 0.25 * width * width;
    double height = r - sqrt(fmax(square, 0.0));
    iol_model found = {iol_srk_t_cornea(in->radius_mm), iol_srk_t_length(in->axial_length_mm),
                       height + iol_nominal_position_from_a(in->lens.a_constant) - c_srk_t_mean_height};
    return iol_formula_finish(found, square < 0.0 ? IOL_EXTRAPOLATED : IOL_OK, model);
}

double iol_srk_t_length_read(double model_length_mm) {
    return (model_length_mm - c_srk_t_retina_base) / (1.0 - c_srk_t_retina_slope);
}

double iol_srk_t_cornea_read(double model_cornea_d) { return iol_cornea_read(model_cornea_d, c_srk_t_index); }
