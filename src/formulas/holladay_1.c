#include "formulas/formulas.h"
#include "tables/constants.h"

/* Purpose   Holladay 1: what it feeds the eye model.
 * Equation  K = 1000 (4/3 - 1)/r; L = AL + 0.2; E = 0.56 + Rag - sqrt(Rag^2 - AG^2/4) + SF,
 *           Rag = r but at least 7 mm, AG = 12.5 AL / 23.45 but at most 13.5 mm. After corneal laser Rag takes
 *           the radius before it, K the radius of today (the rule of SRK/T, ours).
 * Given     Axial length AL and mean corneal radius r (mm), surgeon factor SF (mm).
 * Returned  K (D), L and E (mm).
 * Status    IOL_BAD_INPUT; IOL_EXTRAPOLATED where either hold is active; IOL_OUTSIDE_SOURCE.
 * Valid     Axial length 18.5 to 31 mm.
 * Source    holladay_1988, equations from memory.
 * Differs   No.
 * Tests     tests/unit/test_formulas.c, tests/unit/test_formula_constants.c */

iol_status iol_holladay_1_predict(const iol_formula_input *in, iol_model *model) {
    if (!iol_formula_begin(in, in->lens.surgeon_factor_mm, model)) return IOL_BAD_INPUT;
    double width = c_holladay_1_width_slope * in->axial_length_mm / c_holladay_1_width_length;
    double before = iol_position_radius(in);
    bool held = width > c_holladay_1_width_high || before < c_holladay_1_radius_low;
    double chord = width > c_holladay_1_width_high ? c_holladay_1_width_high : width;
    double r = before < c_holladay_1_radius_low ? c_holladay_1_radius_low : before;
    double height = r - sqrt(r * r - 0.25 * chord * chord);
    iol_model found = {iol_cornea_of_radius(in->radius_mm, c_holladay_1_index),
                       in->axial_length_mm + c_holladay_1_retina,
                       c_holladay_1_depth + height + in->lens.surgeon_factor_mm};
    return iol_formula_finish(found, held ? IOL_EXTRAPOLATED : IOL_OK, model);
}

double iol_holladay_1_length_read(double model_length_mm) { return model_length_mm - c_holladay_1_retina; }

double iol_holladay_1_cornea_read(double model_cornea_d) { return iol_cornea_read(model_cornea_d, c_holladay_1_index); }
