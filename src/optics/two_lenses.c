#include "two_lenses.h"

#include "optics/units.h"
#include "optics/vergence.h"
#include "tables/constants.h"

/* Purpose   The eye with two lenses: its refraction, and what either lens must be.
 * Equation  Outward: x = n/(L - E1) - P1; x = b(x, gap) - P2; Rc = b(x, E2) - K; R = Rc / (1 + V Rc); E2 = E1 - gap,
 *           b(x, t) = x / (1 + t x/n), db/dx = (b/x)^2, db/dt = -b^2/n. Inward z(x, t) = x / (1 - t x/n):
 *           P2' = b(n/(L - E1) - P1, E1 - E2') - z(K + Rt, E2'),
 *           P1' = n/(L - E1') - z(z(K + Rt, E2) + P2, E1' - E2), L = E1 + n / (z(z(K + R, E2) + P2, gap) + P1).
 *           With P2 = 0 it is the eye with one lens. Toric: matrices for scalars throughout.
 * Given     K, P1, P2, refractions (D), L, E1, gap, vertex (mm); n = 1.336.
 * Returned  Refraction (D) with its gradient, or the one power (D).
 * Status    IOL_BAD_INPUT: not finite, or not 0 <= E2 <= E1 < L. IOL_NO_SOLUTION: light focuses on the way.
 * Valid     Gaps of 0.2 to 1.5 mm; lenses pressed together bend each other, which is not modelled.
 * Source    The standard thin-lens eye, put together here.
 * Tests     tests/unit/test_new_eyes.c (derived rows) */

static double square(double x) { return x * x; }

static bool is_two(const iol_lens_pair *two) {
    const iol_model *eye = &two->eye;
    double second_mm = eye->position_mm - two->gap_mm;
    return isfinite(eye->cornea_d) && isfinite(eye->length_mm) && two->gap_mm >= 0.0 && second_mm >= 0.0 &&
           eye->length_mm > eye->position_mm;
}

/* n/(L - E): what leaves the first lens for the retina. */
static double to_retina(double length_mm, double position_mm) {
    return iol_millimetres(c_index_aqueous) / (length_mm - position_mm);
}

iol_status iol_two_lenses_refraction(const iol_lens_pair *two, double vertex_mm, double *refraction_d,
                                     double gradient[IOL_TWO_STATES]) {
    double between_d, at_cornea_d, found_d, second_mm = two->eye.position_mm - two->gap_mm;
    *refraction_d = NAN;
    for (int i = 0; i < IOL_TWO_STATES; i++) gradient[i] = NAN;
    if (!is_two(two) || !isfinite(two->first_d) || !isfinite(two->second_d)) return IOL_BAD_INPUT;
    double whole_d = to_retina(two->eye.length_mm, two->eye.position_mm), before_d = whole_d - two->first_d;
    iol_status status = iol_vergence_carry(before_d, -two->gap_mm, &between_d);
    double after_d = between_d - two->second_d;
    if (status >= 0) status = iol_vergence_carry(after_d, -second_mm, &at_cornea_d);
    if (status >= 0) status = iol_vertex_to_spectacle(at_cornea_d - two->eye.cornea_d, vertex_mm, &found_d);
    if (status < 0) return status;
    double by_mm = 1.0 / iol_millimetres(c_index_aqueous);
    double outer = square(1.0 - iol_metres(vertex_mm) * found_d); /* dR/dRc */
    double front = square(1.0 - second_mm * by_mm * at_cornea_d), gap = square(1.0 - two->gap_mm * by_mm * between_d);
    double by_place = square(at_cornea_d) * by_mm, by_gap = square(between_d) * by_mm, by_end = square(whole_d) * by_mm;
    gradient[IOL_TWO_LENGTH] = -outer * front * gap * by_end;
    gradient[IOL_TWO_CORNEA] = -outer;
    gradient[IOL_TWO_POSITION] = outer * (front * gap * by_end - by_place);
    gradient[IOL_TWO_GAP] = outer * (by_place - front * by_gap);
    gradient[IOL_TWO_FIRST] = -outer * front * gap;
    gradient[IOL_TWO_SECOND] = -outer * front;
    *refraction_d = found_d;
    return IOL_OK;
}

iol_status iol_two_lenses_second_for(const iol_lens_pair *two, double second_mm, double refraction_d, double vertex_mm,
                                     double *second_d) {
    double arriving_d, between_d, behind_mm = two->eye.position_mm - second_mm;
    *second_d = NAN;
    if (!is_two(two) || !isfinite(two->first_d) || !(behind_mm >= 0.0)) return IOL_BAD_INPUT;
    double before_d = to_retina(two->eye.length_mm, two->eye.position_mm) - two->first_d;
    iol_status status = iol_vergence_carry(before_d, -behind_mm, &between_d);
    if (status >= 0) status = iol_arriving_vergence(two->eye.cornea_d, second_mm, refraction_d, vertex_mm, &arriving_d);
    if (status >= 0) *second_d = between_d - arriving_d;
    return status;
}

iol_status iol_two_lenses_first_for(const iol_lens_pair *two, double first_mm, double refraction_d, double vertex_mm,
                                    double *first_d) {
    double arriving_d, between_d, second_mm = two->eye.position_mm - two->gap_mm, behind_mm = first_mm - second_mm;
    *first_d = NAN;
    if (!is_two(two) || !isfinite(two->second_d) || !(behind_mm >= 0.0) || !(first_mm < two->eye.length_mm))
        return IOL_BAD_INPUT;
    iol_status status = iol_arriving_vergence(two->eye.cornea_d, second_mm, refraction_d, vertex_mm, &arriving_d);
    if (status >= 0) status = iol_vergence_carry(arriving_d + two->second_d, behind_mm, &between_d);
    if (status >= 0) *first_d = to_retina(two->eye.length_mm, first_mm) - between_d;
    return status;
}

iol_status iol_two_lenses_length(const iol_lens_pair *two, double refraction_d, double vertex_mm, double *length_mm) {
    double arriving_d, between_d, second_mm = two->eye.position_mm - two->gap_mm;
    *length_mm = NAN;
    if (!isfinite(two->first_d) || !isfinite(two->second_d) || !(two->gap_mm >= 0.0)) return IOL_BAD_INPUT;
    iol_status status = iol_arriving_vergence(two->eye.cornea_d, second_mm, refraction_d, vertex_mm, &arriving_d);
    if (status >= 0) status = iol_vergence_carry(arriving_d + two->second_d, two->gap_mm, &between_d);
    if (status < 0) return status;
    double leaving_d = between_d + two->first_d;
    if (!(leaving_d > 0.0)) return IOL_NO_SOLUTION;
    *length_mm = two->eye.position_mm + iol_millimetres(c_index_aqueous) / leaving_d;
    return IOL_OK;
}

iol_status iol_two_lenses_matrix(const iol_lens_pair *two, iol_matrix cornea, iol_matrix first, iol_matrix second,
                                 iol_matrix *at_cornea) {
    iol_matrix between, needed;
    double by_m = 1.0 / c_index_aqueous, second_mm = two->eye.position_mm - two->gap_mm;
    *at_cornea = (iol_matrix){NAN, NAN, NAN};
    if (!is_two(two)) return IOL_BAD_INPUT;
    iol_matrix whole = iol_matrix_scalar(to_retina(two->eye.length_mm, two->eye.position_mm));
    iol_status status = iol_matrix_step(iol_matrix_subtract(whole, first), -iol_metres(two->gap_mm) * by_m, &between);
    if (status >= 0)
        status = iol_matrix_step(iol_matrix_subtract(between, second), -iol_metres(second_mm) * by_m, &needed);
    if (status >= 0) *at_cornea = iol_matrix_subtract(needed, cornea);
    return status;
}

/* What arrives at the second lens from the front, for a refraction at the cornea without cylinder. */
static iol_status arriving(const iol_lens_pair *two, iol_matrix cornea, double at_cornea_d, iol_matrix *at_second) {
    double second_mm = two->eye.position_mm - two->gap_mm;
    if (!is_two(two)) return IOL_BAD_INPUT;
    iol_matrix in_front = iol_matrix_add(cornea, iol_matrix_scalar(at_cornea_d));
    return iol_matrix_step(in_front, iol_metres(second_mm) / c_index_aqueous, at_second);
}

iol_status iol_two_lenses_matrix_second_for(const iol_lens_pair *two, iol_matrix cornea, iol_matrix first,
                                            double at_cornea_d, iol_matrix *second) {
    iol_matrix at_second, between;
    *second = iol_matrix_scalar(NAN);
    iol_status status = arriving(two, cornea, at_cornea_d, &at_second);
    if (status < 0) return status;
    iol_matrix whole = iol_matrix_scalar(to_retina(two->eye.length_mm, two->eye.position_mm));
    status = iol_matrix_step(iol_matrix_subtract(whole, first), -iol_metres(two->gap_mm) / c_index_aqueous, &between);
    if (status >= 0) *second = iol_matrix_subtract(between, at_second);
    return status;
}

iol_status iol_two_lenses_matrix_first_for(const iol_lens_pair *two, iol_matrix cornea, iol_matrix second,
                                           double at_cornea_d, iol_matrix *first) {
    iol_matrix at_second, at_first;
    *first = iol_matrix_scalar(NAN);
    iol_status status = arriving(two, cornea, at_cornea_d, &at_second);
    if (status < 0) return status;
    status = iol_matrix_step(iol_matrix_add(at_second, second), iol_metres(two->gap_mm) / c_index_aqueous, &at_first);
    iol_matrix whole = iol_matrix_scalar(to_retina(two->eye.length_mm, two->eye.position_mm));
    if (status >= 0) *first = iol_matrix_subtract(whole, at_first);
    return status;
}
