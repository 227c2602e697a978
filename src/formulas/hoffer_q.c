#include "formulas/formulas.h"
#include "tables/constants.h"

/* Purpose   Hoffer Q: what it feeds the eye model.
 * Equation  K = 337.5/r; L = AL; E = ACD + 0.05,
 *           ACD = pACD + 0.3 (A - 23.5) + tan^2 K + 0.1 M (23.5 - A)^2 tan(0.1 (G - A)^2) - 0.99166,
 *           tangents of degrees, A = AL held within 18.5 to 31 mm; M = 1, G = 28 up to 23 mm, else M = -1, G = 23.5.
 *           After corneal laser tan^2 K takes the radius before it, K the radius of today (the rule of SRK/T, ours).
 * Given     Axial length AL and mean corneal radius r (mm), personalised chamber depth pACD (mm).
 * Returned  K (D), L and E (mm).
 * Status    IOL_BAD_INPUT; IOL_EXTRAPOLATED with IOL_OUTSIDE_SOURCE where the length is held.
 * Valid     Axial length 18.5 to 31 mm.
 * Source    hoffer_1993 with its errata, equations from memory.
 * Differs   No hold of ACD at 2.5 to 6.5 mm, which some printings carry.
 * Tests     tests/unit/test_formulas.c, tests/unit/test_formula_constants.c */

static double tangent_deg(double angle_deg) {
    double sine, cosine;
    iol_sincos_deg(angle_deg, &sine, &cosine);
    return sine / cosine;
}

/* The term that moderates the position in short and in long eyes. */
static double moderation(double length_mm) {
    bool is_short = length_mm <= c_hoffer_q_length_split;
    double away = (is_short ? c_hoffer_q_angle_short : c_hoffer_q_angle_long) - length_mm;
    double off_mean = c_hoffer_q_mean_length - length_mm;
    double size = c_hoffer_q_moderator * off_mean * off_mean * tangent_deg(c_hoffer_q_angle * away * away);
    return is_short ? size : -size;
}

iol_status iol_hoffer_q_predict(const iol_formula_input *in, iol_model *model) {
    if (!iol_formula_begin(in, in->lens.pacd_mm, model)) return IOL_BAD_INPUT;
    double length = fmin(fmax(in->axial_length_mm, c_formula_length_low), c_formula_length_high);
    double cornea = iol_cornea_of_radius(in->radius_mm, c_keratometric_index);
    double tangent = tangent_deg(iol_cornea_of_radius(iol_position_radius(in), c_keratometric_index));
    double depth = in->lens.pacd_mm + c_hoffer_q_length_slope * (length - c_hoffer_q_mean_length) + tangent * tangent +
                   moderation(length) - c_hoffer_q_depth;
    iol_model found = {cornea, in->axial_length_mm, depth + c_hoffer_q_plane};
    bool held = in->axial_length_mm < c_formula_length_low || in->axial_length_mm > c_formula_length_high;
    return iol_formula_finish(found, held ? IOL_EXTRAPOLATED : IOL_OK, model);
}

double iol_hoffer_q_length_read(double model_length_mm) { return model_length_mm; }

double iol_hoffer_q_cornea_read(double model_cornea_d) { return model_cornea_d; }
