#include "optics.h"
#include "optics/matrix.h"
#include "optics/vergence.h"
#include "tables/constants.h"

/* Purpose   The one thin-lens eye that every formula feeds: refraction, lens power, and what each unknown must be.
 * Equation  Rc = R / (1 - V R); U = n / (n/(K + Rc) - E); in focus when U + P = n / (L - E). The way back from the
 *           retina: W = n/(L - E) - P, Z = W / (1 + (E/n) W), Rc = Z - K, R = Rc / (1 + V Rc).
 *           Each way is worked as one fraction. With g = (L - E)/n, m = E/n, a = 1 - g P and b = g + m a: Z = a/b,
 *           R = c/d, c = a - K b, d = b + V c; so dR/dK = -(b/d)^2, dR/dP = -(g/d)^2, dR/dL = -1/(n d^2) and
 *           dR/dE = (1 - a^2)/(n d^2). The light focuses on the way where b or d is not above 0.
 *           The position solves P (L - E)(N - aE) = N (N - aL), a = K + Rc.
 * Given     K (D), L, E and V (mm), P and R (D); n = 1.336.
 * Returned  The one unknown, or the gradient of R.
 * Status    IOL_BAD_INPUT: not finite, or not 0 <= E < L, or V < 0. IOL_NO_SOLUTION: light focuses on the way, or
 *           no root lies in range, or the root does not come back to the refraction.
 * Valid     Paraxial rays, thin lens.
 * Source    retzlaff_1990, holladay_1988: the optics common to both, from memory. Position limits: judgement.
 * Differs   Written as fractions of reduced distances, not as either paper's long line.
 * Tests     tests/unit/test_optics.c (derived rows, ray-transfer matrices), tests/unit/test_inverses.c, tests/unit/test_gsl.c */

static const double return_tolerance_d = 1e-9; /* an inverse must give the refraction back this closely */

static bool is_distance(double mm) { return isfinite(mm) && mm >= 0.0; }

static bool is_eye(iol_model eye) {
    return isfinite(eye.cornea_d) && is_distance(eye.position_mm) && isfinite(eye.length_mm) &&
           eye.length_mm > eye.position_mm;
}

/* The vergence above/below; below is not above 0 where the light focuses on the way. */
static iol_status vergence(double above, double below, double *out_d) {
    double found_d = above / below;
    bool reached = below > 0.0 && isfinite(found_d);
    *out_d = reached ? found_d : NAN;
    return reached ? IOL_OK : IOL_NO_SOLUTION;
}

/* Vergence after reduced_m = distance/n metres; negative goes back. */
static iol_status travel(double vergence_d, double reduced_m, double *out_d) {
    *out_d = NAN;
    return isfinite(vergence_d) ? vergence(vergence_d, 1.0 - reduced_m * vergence_d, out_d) : IOL_BAD_INPUT;
}

iol_status iol_vergence_carry(double vergence_d, double distance_mm, double *out_d) {
    return travel(vergence_d, iol_reduced_in_eye(distance_mm), out_d);
}

iol_status iol_vertex_to_cornea(double spectacle_d, double vertex_mm, double *cornea_d) {
    *cornea_d = NAN;
    return is_distance(vertex_mm) ? travel(spectacle_d, iol_metres(vertex_mm), cornea_d) : IOL_BAD_INPUT;
}

iol_status iol_vertex_to_spectacle(double cornea_d, double vertex_mm, double *spectacle_d) {
    *spectacle_d = NAN;
    return is_distance(vertex_mm) ? travel(cornea_d, -iol_metres(vertex_mm), spectacle_d) : IOL_BAD_INPUT;
}

iol_status iol_arriving_vergence(double cornea_d, double position_mm, double refraction_d, double vertex_mm,
                                 double *vergence_d) {
    *vergence_d = NAN;
    if (!isfinite(cornea_d) || !isfinite(refraction_d) || !is_distance(position_mm) || !is_distance(vertex_mm))
        return IOL_BAD_INPUT;
    double below = 1.0 - iol_metres(vertex_mm) * refraction_d, above = refraction_d + cornea_d * below;
    return below > 0.0 ? vergence(above, below - iol_reduced_in_eye(position_mm) * above, vergence_d) : IOL_NO_SOLUTION;
}

/* n/(L - E): the vergence that leaves the lens for the retina. */
static double to_retina(double length_mm, double position_mm) {
    return 1.0 / iol_reduced_in_eye(length_mm - position_mm);
}

/* IOL_BAD_INPUT: no such eye. Whether it leads anywhere, b and d tell. */
static iol_status go_back(iol_model eye, double power_d, double vertex_mm, iol_way_back *w) {
    if (!is_eye(eye) || !isfinite(power_d) || !is_distance(vertex_mm)) return IOL_BAD_INPUT;
    *w = iol_go_back(eye, power_d, vertex_mm);
    return w->b > 0.0 ? IOL_OK : IOL_NO_SOLUTION;
}

iol_status iol_refraction_of(iol_model eye, double power_d, double vertex_mm, double *refraction_d) {
    iol_way_back w;
    *refraction_d = NAN;
    iol_status status = go_back(eye, power_d, vertex_mm, &w);
    return status < 0 ? status : vergence(w.c, w.d, refraction_d);
}

/* Whether the eye with this lens has the refraction. */
static bool comes_back(iol_model eye, double power_d, double refraction_d, double vertex_mm) {
    double again_d;
    iol_status status = iol_refraction_of(eye, power_d, vertex_mm, &again_d);
    return status >= 0 && fabs(again_d - refraction_d) <= return_tolerance_d;
}

iol_status iol_power_for(iol_model eye, double refraction_d, double vertex_mm, double *power_d) {
    double arriving_d;
    *power_d = NAN;
    if (!is_eye(eye)) return IOL_BAD_INPUT;
    iol_status status = iol_arriving_vergence(eye.cornea_d, eye.position_mm, refraction_d, vertex_mm, &arriving_d);
    if (status < 0) return status;
    double found_d = to_retina(eye.length_mm, eye.position_mm) - arriving_d;
    if (!comes_back(eye, found_d, refraction_d, vertex_mm)) return IOL_NO_SOLUTION;
    *power_d = found_d;
    return IOL_OK;
}

iol_status iol_length_for(iol_model eye, double power_d, double refraction_d, double vertex_mm, double *length_mm) {
    double arriving_d;
    *length_mm = NAN;
    if (!isfinite(power_d)) return IOL_BAD_INPUT;
    iol_status status = iol_arriving_vergence(eye.cornea_d, eye.position_mm, refraction_d, vertex_mm, &arriving_d);
    if (status < 0) return status;
    eye.length_mm = eye.position_mm + iol_millimetres(c_index_aqueous / (power_d + arriving_d));
    if (!comes_back(eye, power_d, refraction_d, vertex_mm)) return IOL_NO_SOLUTION;
    *length_mm = eye.length_mm;
    return IOL_OK;
}

iol_status iol_cornea_for(iol_model eye, double power_d, double refraction_d, double vertex_mm, double *cornea_d) {
    double needed_d, spectacles_d;
    iol_way_back w;
    *cornea_d = NAN;
    eye.cornea_d = 0.0; /* the unknown: whatever was given is not read */
    iol_status status = go_back(eye, power_d, vertex_mm, &w);
    if (status >= 0) status = vergence(w.a, w.b, &needed_d);
    if (status >= 0) status = iol_vertex_to_cornea(refraction_d, vertex_mm, &spectacles_d);
    if (status < 0) return status;
    eye.cornea_d = needed_d - spectacles_d;
    if (!comes_back(eye, power_d, refraction_d, vertex_mm)) return IOL_NO_SOLUTION;
    *cornea_d = eye.cornea_d;
    return IOL_OK;
}

/* Real roots of a x^2 + b x + c without cancellation; NaN for one that is not there. */
static void quadratic_roots(double a, double b, double c, double root[2]) {
    double square = b * b - 4.0 * a * c;
    double half = -0.5 * (b + copysign(sqrt(square < 0.0 ? NAN : square), b));
    root[0] = a != 0.0 ? half / a : NAN;
    root[1] = half != 0.0 ? c / half : NAN;
}

iol_status iol_position_for(iol_model eye, double power_d, double refraction_d, double vertex_mm, double *position_mm) {
    double spectacles_d, root_m[2], prior_mm = eye.position_mm;
    *position_mm = NAN;
    if (!is_eye(eye) || !isfinite(power_d)) return IOL_BAD_INPUT;
    iol_status status = iol_vertex_to_cornea(refraction_d, vertex_mm, &spectacles_d);
    if (status < 0) return status;
    double n = c_index_aqueous, arriving_d = eye.cornea_d + spectacles_d, length_m = iol_metres(eye.length_mm);
    double whole = n - arriving_d * length_m;
    quadratic_roots(power_d * arriving_d, -power_d * (arriving_d * length_m + n), (power_d * length_m - whole) * n,
                    root_m);
    for (int i = 0; i < 2; i++) {
        eye.position_mm = iol_millimetres(root_m[i]);
        bool in_range = iol_position_possible(eye.position_mm, eye.length_mm);
        bool nearer = isnan(*position_mm) || fabs(eye.position_mm - prior_mm) < fabs(*position_mm - prior_mm);
        if (in_range && nearer && comes_back(eye, power_d, refraction_d, vertex_mm)) *position_mm = eye.position_mm;
    }
    return isnan(*position_mm) ? IOL_NO_SOLUTION : IOL_OK;
}

iol_status iol_refraction_gradient(iol_model eye, double power_d, double vertex_mm, iol_gradient *gradient) {
    double refraction_d;
    return iol_refraction_with_gradient(eye, power_d, vertex_mm, &refraction_d, gradient);
}

iol_status iol_refraction_with_gradient(iol_model eye, double power_d, double vertex_mm, double *refraction_d,
                                        iol_gradient *gradient) {
    iol_way_back w;
    *refraction_d = NAN;
    *gradient = (iol_gradient){NAN, NAN, NAN, NAN};
    iol_status status = go_back(eye, power_d, vertex_mm, &w);
    double found_d;
    if (status >= 0) status = vergence(w.c, w.d, &found_d);
    if (status < 0) return status;
    iol_gradient found = iol_gradient_back(w);
    if (!isfinite(found.length) || !isfinite(found.cornea) || !isfinite(found.position) || !isfinite(found.power))
        return IOL_NO_SOLUTION;
    *refraction_d = found_d;
    *gradient = found;
    return IOL_OK;
}

iol_status iol_matrix_needed(double length_mm, double position_mm, iol_matrix lens, iol_matrix *needed_at_cornea) {
    *needed_at_cornea = (iol_matrix){NAN, NAN, NAN};
    if (!is_eye((iol_model){0.0, length_mm, position_mm})) return IOL_BAD_INPUT;
    iol_matrix from_retina = iol_matrix_scalar(to_retina(length_mm, position_mm));
    return iol_matrix_step(iol_matrix_subtract(from_retina, lens), -iol_reduced_in_eye(position_mm), needed_at_cornea);
}

iol_status iol_matrix_refraction(iol_matrix cornea, double length_mm, double position_mm, iol_matrix lens,
                                 iol_matrix *at_cornea) {
    iol_matrix at_lens;
    *at_cornea = (iol_matrix){NAN, NAN, NAN};
    if (!iol_matrix_is_finite(cornea)) return IOL_BAD_INPUT;
    iol_status status = iol_matrix_needed(length_mm, position_mm, lens, &at_lens);
    if (status < 0) return status;
    iol_matrix found = iol_matrix_subtract(at_lens, cornea);
    if (!iol_matrix_is_finite(found)) return IOL_NO_SOLUTION;
    *at_cornea = found;
    return IOL_OK;
}

iol_status iol_matrix_lens_for(iol_matrix cornea, double length_mm, double position_mm, iol_matrix at_cornea,
                               iol_matrix *lens) {
    iol_matrix arriving;
    *lens = (iol_matrix){NAN, NAN, NAN};
    if (!is_eye((iol_model){0.0, length_mm, position_mm})) return IOL_BAD_INPUT;
    iol_status status = iol_matrix_step(iol_matrix_add(cornea, at_cornea), iol_reduced_in_eye(position_mm), &arriving);
    if (status < 0) return status;
    iol_matrix found = iol_matrix_subtract(iol_matrix_scalar(to_retina(length_mm, position_mm)), arriving);
    if (!iol_matrix_is_finite(found)) return IOL_NO_SOLUTION;
    *lens = found;
    return IOL_OK;
}
