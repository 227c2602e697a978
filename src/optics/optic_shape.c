#include "displaced.h"
#include "optics/units.h"
#include "tables/constants.h"

/* Purpose   Faces of an optic from power, shape and thickness; edge, and the conic front of a class of lens.
 * Equation  c1 = D (q + 1)/2, c2 = D (q - 1)/2, F1 = dn c1, F2 = -dn c2, dn = 1000 (nl - n);
 *           P = dn D + t/(1000 nl) dn^2 D^2 (q^2 - 1)/4, so D = 2 P/(dn + sqrt(dn^2 + 4 a P)), a the factor of D^2.
 *           h1 = t n/nl F2/P, h2 = t - t n/nl F1/P. Spherical aberration of the thin lens, V = 2 W1 - P, W1 = n/(L - E):
 *           S1 = P/(4 n^2) [(m/(m-1))^2 P^2 + (m+2)/(m (m-1)^2) (q P - 2 (m^2-1)/(m+2) V)^2 - m/(m+2) V^2] + (nl-n) Q1 c1^3.
 * Given     Powers in D, lengths in mm, curvatures per mm.
 * Returned  As the header says; NaN where the status is negative.
 * Status    IOL_BAD_INPUT, IOL_NO_SOLUTION, IOL_NO_CONVERGENCE (edge not reached).
 * Valid     Paraxial rays; edges of spheres.
 * Source    iso_11979_2 (thick lens, from memory); the aberration: derived, third order.
 * Differs   No.
 * Tests     tests/unit/test_displaced_lens.c, tests/unit/test_design_shift.c */

enum { edge_turns = 200 };
static const double settled_mm = 1e-12;

static bool is_optic(iol_optic o) {
    return isfinite(o.power_d) && isfinite(o.shape_q) && isfinite(o.index) && o.index > 0.0 &&
           o.index != c_index_aqueous && isfinite(o.centre_thickness_mm) && o.centre_thickness_mm >= 0.0;
}

iol_status iol_optic_faces_of(iol_optic optic, iol_optic_faces *faces) {
    *faces = (iol_optic_faces){NAN, NAN, NAN, NAN};
    if (!is_optic(optic)) return IOL_BAD_INPUT;
    double step = iol_millimetres(optic.index - c_index_aqueous), q = optic.shape_q;
    double reduced_m = iol_metres(optic.centre_thickness_mm) / optic.index;
    double bend = reduced_m * step * step * (q * q - 1.0) / 4.0;
    double square = step * step + 4.0 * bend * optic.power_d;
    if (optic.power_d == 0.0 || square < 0.0) return IOL_NO_SOLUTION;
    double both = 2.0 * optic.power_d / (step + copysign(sqrt(square), step));
    double front = both * (q + 1.0) / 2.0, back = both * (q - 1.0) / 2.0;
    double share_mm = optic.centre_thickness_mm * c_index_aqueous / optic.index / optic.power_d;
    iol_optic_faces found = {front, back, 0.0 - share_mm * step * back,
                             optic.centre_thickness_mm - share_mm * step * front};
    if (!isfinite(front) || !isfinite(back) || !isfinite(found.first_mm) || !isfinite(found.second_mm))
        return IOL_NO_SOLUTION;
    *faces = found;
    return IOL_OK;
}

/* Sagitta of a sphere with the sign of its curvature. */
static iol_status sagitta(double curvature_per_mm, double height_mm, double *signed_mm) {
    iol_status status = iol_sagitta(1.0 / fabs(curvature_per_mm), height_mm, signed_mm);
    *signed_mm = copysign(*signed_mm, curvature_per_mm);
    return status;
}

static iol_status sagittae(const iol_optic_faces *f, double diameter_mm, double *front_mm, double *back_mm) {
    iol_status status = sagitta(f->front_per_mm, 0.5 * diameter_mm, front_mm);
    return status < 0 ? status : sagitta(f->back_per_mm, 0.5 * diameter_mm, back_mm);
}

iol_status iol_optic_centre_from_edge(iol_optic optic, double edge_mm, double optic_diameter_mm, double *centre_mm) {
    *centre_mm = NAN;
    optic.centre_thickness_mm = edge_mm;
    for (int turn = 0; turn < edge_turns; turn++) {
        iol_optic_faces faces;
        double front_mm, back_mm, before_mm = optic.centre_thickness_mm;
        iol_status status = iol_optic_faces_of(optic, &faces);
        if (status >= 0) status = sagittae(&faces, optic_diameter_mm, &front_mm, &back_mm);
        if (status < 0) return status;
        optic.centre_thickness_mm = edge_mm + front_mm - back_mm;
        if (!(optic.centre_thickness_mm > 0.0)) return IOL_NO_SOLUTION;
        if (fabs(optic.centre_thickness_mm - before_mm) <= settled_mm) {
            *centre_mm = optic.centre_thickness_mm;
            return IOL_OK;
        }
    }
    return IOL_NO_CONVERGENCE;
}

iol_status iol_optic_edge_middle(iol_optic optic, double optic_diameter_mm, iol_optic_faces *faces, double *middle_mm) {
    double front_mm, back_mm;
    *middle_mm = NAN;
    iol_status status = iol_optic_faces_of(optic, faces);
    if (status >= 0) status = sagittae(faces, optic_diameter_mm, &front_mm, &back_mm);
    if (status < 0) return status;
    *middle_mm = 0.5 * (front_mm + optic.centre_thickness_mm + back_mm);
    return IOL_OK;
}

/* Third-order spherical aberration of a thin lens of two spheres, per cubic metre, light from the retina. */
static double aberration_of_spheres(iol_model eye, iol_optic o) {
    double n = c_index_aqueous, m = o.index / n, p = o.power_d, one = m - 1.0;
    double towards = 2.0 * n / iol_metres(eye.length_mm - eye.position_mm) - p;
    double bent = o.shape_q * p - 2.0 * (m * m - 1.0) / (m + 2.0) * towards;
    double sum =
        m * m / (one * one) * p * p + (m + 2.0) / (m * one * one) * bent * bent - m / (m + 2.0) * towards * towards;
    return p / (4.0 * n * n) * sum;
}

iol_status iol_optic_front_conic(iol_model eye, iol_optic optic, bool correcting, double *front_conic) {
    *front_conic = NAN;
    bool known = isfinite(eye.cornea_d) && isfinite(eye.length_mm) && isfinite(eye.position_mm);
    if (!known || !(eye.length_mm > eye.position_mm)) return IOL_BAD_INPUT;
    if (!is_optic(optic)) return IOL_BAD_INPUT;
    double n = c_index_aqueous, wanted = 0.0, curvature = eye.cornea_d / (n - 1.0);
    double reach = 1.0 - iol_metres(eye.position_mm) * eye.cornea_d / n;
    double front = optic.power_d / (optic.index - n) * (optic.shape_q + 1.0) / 2.0; /* of the thin lens, per metre */
    if (correcting) {
        wanted =
            -eye.cornea_d * curvature * curvature * (c_cornea_conic + 1.0 / (n * n)) / (reach * reach * reach * reach);
    }
    double found = (wanted - aberration_of_spheres(eye, optic)) / ((optic.index - n) * front * front * front);
    if (!isfinite(found)) return IOL_NO_SOLUTION;
    *front_conic = found;
    return IOL_OK;
}
