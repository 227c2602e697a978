#include "optics.h"
#include "optics/matrix.h"

/* Purpose   Spherocylinders as symmetric 2x2 dioptric power matrices: sums, coordinates, a step along the ray.
 * Equation  xx = S + C sin^2 a, xy = -C sin a cos a, yy = S + C cos^2 a, written in the doubled angle:
 *           mean M = S + C/2, xx = M - (C/2) cos 2a, yy = M + (C/2) cos 2a, xy = -(C/2) sin 2a.
 * Given     Sphere and cylinder of either sign in dioptres, axis in degrees.
 * Returned  Matrices in dioptres; the cylinder as a magnitude; meridians 0 < axis <= 180.
 * Status    iol_matrix_step alone reports; the others pass NaN on.
 * Source    long_1976 (matrix), thibos_1997 (M, J0, J45).
 * Differs   The doubled angle, so that axes 45, 90, 135 and 180 give exact zeros.
 * Tests     tests/unit/test_spherocylinder.c, tests/unit/test_gsl.c */

static const double degrees_per_radian = 180.0 / 3.14159265358979323846;

double iol_matrix_cylinder(iol_matrix a) { return hypot(a.xx - a.yy, 2.0 * a.xy); }

double iol_matrix_steep_axis(iol_matrix a) {
    return iol_axis_reduce(0.5 * atan2(2.0 * a.xy, a.xx - a.yy) * degrees_per_radian);
}

iol_matrix iol_matrix_from_spherocylinder(iol_spherocylinder s) {
    if (s.cylinder_d == 0.0) return iol_matrix_scalar(s.sphere_d);
    double sine, cosine, half = 0.5 * s.cylinder_d, mean = s.sphere_d + half;
    iol_sincos_deg(2.0 * s.axis_deg, &sine, &cosine);
    return (iol_matrix){mean - half * cosine, 0.0 - half * sine, mean + half * cosine};
}

iol_spherocylinder iol_matrix_to_spherocylinder(iol_matrix a) {
    double cylinder = iol_matrix_cylinder(a);
    return (iol_spherocylinder){iol_matrix_mean(a) + 0.5 * cylinder, 0.0 - cylinder, iol_matrix_steep_axis(a)};
}

iol_matrix iol_matrix_from_meridians(double weak_d, double strong_d, double weak_axis_deg) {
    return iol_matrix_from_spherocylinder((iol_spherocylinder){weak_d, strong_d - weak_d, weak_axis_deg});
}

/* a (I - m a)^-1 of a symmetric 2x2 matrix is (a - m det(a) I) / det(I - m a). Both meridians keep their side of the
 * focus when the determinant and the trace of I - m a are above 0. */
iol_status iol_matrix_step(iol_matrix a, double reduced_m, iol_matrix *out) {
    *out = (iol_matrix){NAN, NAN, NAN};
    if (!iol_matrix_is_finite(a) || !isfinite(reduced_m)) return IOL_BAD_INPUT;
    double fall_x = 1.0 - reduced_m * a.xx, fall_y = 1.0 - reduced_m * a.yy, turn = reduced_m * a.xy;
    double determinant = fall_x * fall_y - turn * turn;
    if (determinant <= 0.0 || fall_x + fall_y <= 0.0) return IOL_NO_SOLUTION;
    double common = reduced_m * (a.xx * a.yy - a.xy * a.xy);
    iol_matrix found = iol_matrix_scale((iol_matrix){a.xx - common, a.xy, a.yy - common}, 1.0 / determinant);
    if (!iol_matrix_is_finite(found)) return IOL_NO_SOLUTION;
    *out = found;
    return IOL_OK;
}

void iol_matrix_to_power_vector(iol_matrix a, double *mean_d, double *j0_d, double *j45_d) {
    *mean_d = iol_matrix_mean(a);
    *j0_d = 0.5 * (a.xx - a.yy);
    *j45_d = a.xy;
}
