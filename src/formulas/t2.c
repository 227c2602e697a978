#include "formulas/formulas.h"
#include "tables/constants.h"

/* Purpose   T2: SRK/T with a corneal height fitted without the cusp.
 * Equation  K and L as SRK/T; E = H2 + 0.62467 A - 68.747 - 3.336,
 *           H2 = -10.326 + 0.32630 AL + 0.13533 (337.5/r). AL is as measured, not corrected. After corneal
 *           laser H2 takes the radius before it, K the radius of today (the rule of SRK/T, ours).
 * Given     Axial length AL and mean corneal radius r (mm), A-constant.
 * Returned  K (D), L and E (mm).
 * Status    IOL_BAD_INPUT; IOL_OUTSIDE_SOURCE.
 * Valid     Axial length 18.5 to 31 mm.
 * Source    sheard_2010, coefficients from memory.
 * Differs   No.
 * Tests     tests/unit/test_formulas.c, tests/unit/test_formula_constants.c */

iol_status iol_t2_predict(const iol_formula_input *in, iol_model *model) {
    if (!iol_formula_begin(in, in->lens.a_constant, model)) return IOL_BAD_INPUT;
    double height = c_t2_height_constant + c_t2_height_length * in->axial_length_mm +
                    c_t2_height_cornea * iol_cornea_of_radius(iol_position_radius(in), c_keratometric_index);
    iol_model found = {iol_srk_t_cornea(in->radius_mm), iol_srk_t_length(in->axial_length_mm),
                       height + iol_nominal_position_from_a(in->lens.a_constant) - c_srk_t_mean_height};
    return iol_formula_finish(found, IOL_OK, model);
}

double iol_t2_length_read(double model_length_mm) { return iol_srk_t_length_read(model_length_mm); }

double iol_t2_cornea_read(double model_cornea_d) { return iol_srk_t_cornea_read(model_cornea_d); }
