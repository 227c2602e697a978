#include "optics.h"
#include "optics/matrix.h"
#include "optics/units.h"
#include "tables/constants.h"

/* Purpose   The one thin-lens eye that every formula feeds: refraction, lens power, and what each unknown must be.
 * Equation  Rc = R / (1 - V R); U = n / (n/(K + Rc) - E); in focus when U + P = n / (L - E). The way back from the
 *           retina: W = n/(L - E) - P, Z = W / (1 + (E/n) W), Rc = Z - K, R = Rc / (1 + V Rc).
 *           Both ways are the one step of travel(). The position solves P (L - E)(N - aE) = N (N - aL), a = K + Rc.
 * Given     K (D), L, E and V (mm), P and R (D); n = 1.336.
 * Returned  The one unknown, or the gradient of R.
 * Status    IOL_BAD_INPUT: not finite, or not 0 <= E < L, or V < 0. IOL_NO_SOLUTION: light focuses on the way, or
 *           no root lies in range, or the root does not come back to the refraction.
 * Valid     Paraxial rays, thin lens.
 * Source    retzlaff_1990, holladay_1988: the optics common to both, from memory. Position limits: judgement.
 * Differs   Written as steps of vergence, not as either paper's long line.
 * Tests     tests/test_optics.c (derived rows, ray-transfer matrices), tests/test_inverses.c, tests/test_gsl.c */

static const double return_tolerance_d = 1e-9; /* an inverse must give the refraction back this closely */

/* Vergence after reduced_m = distance/n metres; negative goes back. */
static iol_status travel(double vergence_d, double reduced_m, double *out_d) {
    double rest = 1.0 - reduced_m * vergence_d;
    *out_d = NAN;
    if (!isfinite(rest)) {
        return IOL_BAD_INPUT;
    }
    if (rest <= 0.0) {
        return IOL_NO_SOLUTION;
    }
    double found_d = vergence_d / rest;
    if (!isfinite(found_d)) {
        return IOL_NO_SOLUTION;
    }
    *out_d = found_d;
    return IOL_OK;
}

static double reduced_in_eye(double distance_mm) { return iol_metres(distance_mm) / c_index_aqueous; }

static bool is_distance(double mm) { return isfinite(mm) && mm >= 0.0; }

static bool is_eye(iol_model eye) {
    return isfinite(eye.cornea_d) && is_distance(eye.position_mm) && isfinite(eye.length_mm) &&
           eye.length_mm > eye.position_mm;
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
    double at_cornea_d;
    *vergence_d = NAN;
    if (!isfinite(cornea_d) || !is_distance(position_mm)) {
        return IOL_BAD_INPUT;
    }
    iol_status status = iol_vertex_to_cornea(refraction_d, vertex_mm, &at_cornea_d);
    return status < 0 ? status : travel(cornea_d + at_cornea_d, reduced_in_eye(position_mm), vergence_d);
}

/* W = n/(L - E) - P: the vergence that must arrive at the lens, and Z, the same at the cornea; nothing when refused. */
static iol_status needed(iol_model eye, double power_d, double *at_lens_d, double *at_cornea_d) {
    if (!is_eye(eye) || !isfinite(power_d)) {
        return IOL_BAD_INPUT;
    }
    *at_lens_d = 1.0 / reduced_in_eye(eye.length_mm - eye.position_mm) - power_d;
    return travel(*at_lens_d, -reduced_in_eye(eye.position_mm), at_cornea_d);
}

iol_status iol_refraction_of(iol_model eye, double power_d, double vertex_mm, double *refraction_d) {
    double at_lens_d, at_cornea_d;
    *refraction_d = NAN;
    iol_status status = needed(eye, power_d, &at_lens_d, &at_cornea_d);
    return status < 0 ? status : iol_vertex_to_spectacle(at_cornea_d - eye.cornea_d, vertex_mm, refraction_d);
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
    if (!is_eye(eye)) {
        return IOL_BAD_INPUT;
    }
    iol_status status = iol_arriving_vergence(eye.cornea_d, eye.position_mm, refraction_d, vertex_mm, &arriving_d);
    if (status < 0) {
        return status;
    }
    double found_d = 1.0 / reduced_in_eye(eye.length_mm - eye.position_mm) - arriving_d;
    if (!comes_back(eye, found_d, refraction_d, vertex_mm)) {
        return IOL_NO_SOLUTION;
    }
    *power_d = found_d;
    return IOL_OK;
}

iol_status iol_length_for(iol_model eye, double power_d, double refraction_d, double vertex_mm, double *length_mm) {
    double arriving_d;
    *length_mm = NAN;
    if (!isfinite(power_d)) {
        return IOL_BAD_INPUT;
    }
    iol_status status = iol_arriving_vergence(eye.cornea_d, eye.position_mm, refraction_d, vertex_mm, &arriving_d);
    if (status < 0) {
        return status;
    }
    eye.length_mm = eye.position_mm + iol_millimetres(c_index_aqueous / (power_d + arriving_d));
    if (!comes_back(eye, power_d, refraction_d, vertex_mm)) {
        return IOL_NO_SOLUTION;
    }
    *length_mm = eye.length_mm;
    return IOL_OK;
}

iol_status iol_cornea_for(iol_model eye, double power_d, double refraction_d, double vertex_mm, double *cornea_d) {
    double at_lens_d, needed_d, spectacles_d;
    *cornea_d = NAN;
    eye.cornea_d = 0.0; /* the unknown: whatever was given is not read */
    iol_status status = needed(eye, power_d, &at_lens_d, &needed_d);
    if (status < 0) {
        return status;
    }
    status = iol_vertex_to_cornea(refraction_d, vertex_mm, &spectacles_d);
    if (status < 0) {
        return status;
    }
    eye.cornea_d = needed_d - spectacles_d;
    if (!comes_back(eye, power_d, refraction_d, vertex_mm)) {
        return IOL_NO_SOLUTION;
    }
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
    if (!is_eye(eye) || !isfinite(power_d)) {
        return IOL_BAD_INPUT;
    }
    iol_status status = iol_vertex_to_cornea(refraction_d, vertex_mm, &spectacles_d);
    if (status < 0) {
        return status;
    }
    double n = c_index_aqueous, arriving_d = eye.cornea_d + spectacles_d, length_m = iol_metres(eye.length_mm);
    double whole = n - arriving_d * length_m;
    quadratic_roots(power_d * arriving_d, -power_d * (arriving_d * length_m + n), (power_d * length_m - whole) * n,
                    root_m);
    double highest_mm = fmin(c_position_high, eye.length_mm - c_position_room);
    for (int i = 0; i < 2; i++) {
        eye.position_mm = iol_millimetres(root_m[i]);
        bool in_range = eye.position_mm >= c_position_low && eye.position_mm <= highest_mm;
        bool nearer = isnan(*position_mm) || fabs(eye.position_mm - prior_mm) < fabs(*position_mm - prior_mm);
        if (in_range && nearer && comes_back(eye, power_d, refraction_d, vertex_mm)) {
            *position_mm = eye.position_mm;
        }
    }
    return isnan(*position_mm) ? IOL_NO_SOLUTION : IOL_OK;
}

iol_status iol_refraction_gradient(iol_model eye, double power_d, double vertex_mm, iol_gradient *gradient) {
    double refraction_d;
    return iol_refraction_with_gradient(eye, power_d, vertex_mm, &refraction_d, gradient);
}

/* Chain of derivatives along the way back: R by Rc, Z by W and by E/n, W by L and E. */
iol_status iol_refraction_with_gradient(iol_model eye, double power_d, double vertex_mm, double *refraction_d,
                                        iol_gradient *gradient) {
    double w, z;
    *refraction_d = NAN;
    *gradient = (iol_gradient){NAN, NAN, NAN, NAN};
    iol_status status = needed(eye, power_d, &w, &z);
    if (status >= 0) status = iol_vertex_to_spectacle(z - eye.cornea_d, vertex_mm, refraction_d);
    if (status < 0) {
        return status;
    }
    double n = c_index_aqueous;
    double by_spectacles = 1.0 + iol_metres(vertex_mm) * (z - eye.cornea_d);
    double by_cornea = 1.0 / (by_spectacles * by_spectacles); /* dR/dRc */
    double back = 1.0 + reduced_in_eye(eye.position_mm) * w;
    double by_lens = by_cornea / (back * back); /* dR/dW */
    double gap_m = iol_metres(eye.length_mm - eye.position_mm);
    double by_gap = n / (gap_m * gap_m); /* -dW/dL, dW/dE, per metre */
    iol_gradient found = {iol_metres(-by_lens * by_gap), -by_cornea, iol_metres(by_lens * (by_gap - w * w / n)),
                          -by_lens};
    if (!isfinite(found.length) || !isfinite(found.cornea) || !isfinite(found.position) || !isfinite(found.power)) {
        *refraction_d = NAN;
        return IOL_NO_SOLUTION;
    }
    *gradient = found;
    return IOL_OK;
}

iol_status iol_matrix_needed(double length_mm, double position_mm, iol_matrix lens, iol_matrix *needed_at_cornea) {
    *needed_at_cornea = (iol_matrix){NAN, NAN, NAN};
    if (!is_eye((iol_model){0.0, length_mm, position_mm})) {
        return IOL_BAD_INPUT;
    }
    iol_matrix from_retina = iol_matrix_scalar(1.0 / reduced_in_eye(length_mm - position_mm));
    return iol_matrix_step(iol_matrix_subtract(from_retina, lens), -reduced_in_eye(position_mm), needed_at_cornea);
}

iol_status iol_matrix_refraction(iol_matrix cornea, double length_mm, double position_mm, iol_matrix lens,
                                 iol_matrix *at_cornea) {
    iol_matrix at_lens;
    *at_cornea = (iol_matrix){NAN, NAN, NAN};
    if (!iol_matrix_is_finite(cornea)) {
        return IOL_BAD_INPUT;
    }
    iol_status status = iol_matrix_needed(length_mm, position_mm, lens, &at_lens);
    if (status < 0) {
        return status;
    }
    iol_matrix found = iol_matrix_subtract(at_lens, cornea);
    if (!iol_matrix_is_finite(found)) {
        return IOL_NO_SOLUTION;
    }
    *at_cornea = found;
    return IOL_OK;
}

iol_status iol_matrix_lens_for(iol_matrix cornea, double length_mm, double position_mm, iol_matrix at_cornea,
                               iol_matrix *lens) {
    iol_matrix arriving;
    *lens = (iol_matrix){NAN, NAN, NAN};
    if (!is_eye((iol_model){0.0, length_mm, position_mm})) {
        return IOL_BAD_INPUT;
    }
    iol_status status = iol_matrix_step(iol_matrix_add(cornea, at_cornea), reduced_in_eye(position_mm), &arriving);
    if (status < 0) {
        return status;
    }
    double from_retina_d = 1.0 / reduced_in_eye(length_mm - position_mm);
    iol_matrix found = iol_matrix_subtract(iol_matrix_scalar(from_retina_d), arriving);
    if (!iol_matrix_is_finite(found)) {
        return IOL_NO_SOLUTION;
    }
    *lens = found;
    return IOL_OK;
}
