#include "formulas/formulas.h"
#include "tables/constants.h"

/* Purpose   Haigis: what it feeds the eye model.
 * Equation  K = 331.5/r; L = AL; E = a0 + a1 ACD + a2 AL: no cornea in it, so that two radii change nothing.
 * Given     Axial length AL, mean corneal radius r, chamber depth ACD from epithelium to lens before surgery (mm);
 *           the lens's own a0 (mm), a1, a2.
 * Returned  K (D), L and E (mm).
 * Status    IOL_BAD_INPUT also without chamber depth or any of the three; IOL_OUTSIDE_SOURCE.
 * Valid     Axial length 18.5 to 31 mm.
 * Source    haigis_2000, equations from memory.
 * Differs   a0 is never derived from the A-constant: that stands about 1.2 D away from the other formulas.
 * Tests     tests/unit/test_formulas.c, tests/unit/test_formula_constants.c */

iol_status iol_haigis_predict(const iol_formula_input *in, iol_model *model) {
    double position =
        in->lens.haigis_a0_mm + in->lens.haigis_a1 * in->chamber_depth_mm + in->lens.haigis_a2 * in->axial_length_mm;
    if (!iol_formula_begin(in, position, model)) return IOL_BAD_INPUT;
    iol_model found = {iol_cornea_of_radius(in->radius_mm, c_haigis_index), in->axial_length_mm, position};
    return iol_formula_finish(found, IOL_OK, model);
}

double iol_haigis_length_read(double model_length_mm) { return model_length_mm; }

double iol_haigis_cornea_read(double model_cornea_d) { return iol_cornea_read(model_cornea_d, c_haigis_index); }
