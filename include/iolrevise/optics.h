/* Angles, dioptric power matrices, the thin-lens eye and the thick lens. Pure functions. */
#ifndef IOLREVISE_OPTICS_H
#define IOLREVISE_OPTICS_H

#include "basics.h"

IOL_PUBLIC_BEGIN

/* ---- angle.c ------------------------------------------------------------------------------------ */

/* Reduce a meridian exactly to 0 < axis <= 180 (0 becomes 180).
 * Given: axis_deg (degrees, any size).
 * Returned: degrees.
 * Status: none; NaN or infinite gives NaN.
 * Source: definition
 * Tests: tests/unit/test_spherocylinder.c */
double iol_axis_reduce(double axis_deg);

/* Reduce a place on the limbus exactly to 0 <= position < 360.
 * Given: position_deg (degrees, any size).
 * Returned: degrees.
 * Status: none; NaN or infinite gives NaN.
 * Source: definition
 * Tests: tests/unit/test_spherocylinder.c */
double iol_position_reduce(double position_deg);

/* Sine and cosine, reduced exactly first: 0 and +-1 at multiples of 90 are exact.
 * Given: angle_deg (degrees, any size).
 * Returned: sine, cosine.
 * Status: none; NaN or infinite gives NaN.
 * Source: definition
 * Tests: tests/unit/test_spherocylinder.c */
void iol_sincos_deg(double angle_deg, double *sine, double *cosine);

/* Signed turn that takes one meridian to another the short way.
 * Given: from_deg, to_deg (degrees, any size).
 * Returned: degrees, -90 < turn <= 90, plus = anticlockwise as seen facing the patient.
 * Status: none; NaN or infinite gives NaN.
 * Source: definition
 * Tests: tests/unit/test_spherocylinder.c, tests/unit/test_gsl.c */
double iol_axis_turn(double from_deg, double to_deg);

/* ---- spherocylinder.c ---------------------------------------------------------------------------- */

/* A spherocylinder as written: sphere, cylinder (either sign), axis. Plane and vertex are the caller's. */
typedef struct {
    double sphere_d, cylinder_d, axis_deg;
} iol_spherocylinder;

/* Symmetric 2x2 dioptric power matrix (Long 1976), dioptres. */
typedef struct {
    double xx, xy, yy;
} iol_matrix;

/* power_d times the unit matrix */
static inline iol_matrix iol_matrix_scalar(double power_d) {
    iol_matrix m = {power_d, 0.0, power_d};
    return m;
}
static inline iol_matrix iol_matrix_add(iol_matrix a, iol_matrix b) {
    iol_matrix sum = {a.xx + b.xx, a.xy + b.xy, a.yy + b.yy};
    return sum;
}
static inline iol_matrix iol_matrix_subtract(iol_matrix a, iol_matrix b) {
    iol_matrix difference = {a.xx - b.xx, a.xy - b.xy, a.yy - b.yy};
    return difference;
}
static inline iol_matrix iol_matrix_scale(iol_matrix a, double factor) {
    iol_matrix scaled = {factor * a.xx, factor * a.xy, factor * a.yy};
    return scaled;
}
/* half the trace: the spherical equivalent */
static inline double iol_matrix_mean(iol_matrix a) { return 0.5 * (a.xx + a.yy); }
/* a less its mean */
static inline iol_matrix iol_matrix_deviator(iol_matrix a) {
    double half_difference = 0.5 * (a.xx - a.yy);
    iol_matrix deviator = {half_difference, a.xy, -half_difference};
    return deviator;
}
/* Magnitude of the cylinder of a matrix, and its meridian of greatest power.
 * Equation: sqrt((xx - yy)^2 + 4 xy^2); atan2(2 xy, xx - yy) / 2
 * Given: a (D).
 * Returned: D, >= 0; degrees, 0 < axis <= 180, 180 without cylinder.
 * Status: none; NaN passes on.
 * Source: long_1976
 * Tests: tests/unit/test_spherocylinder.c, tests/unit/test_gsl.c */
double iol_matrix_cylinder(iol_matrix a);
double iol_matrix_steep_axis(iol_matrix a);

/* Matrix of a spherocylinder.
 * Equation: xx = S + C sin^2 a, xy = -C sin a cos a, yy = S + C cos^2 a
 * Given: sphere_d and cylinder_d of either sign (D), axis_deg (degrees); a zero cylinder needs no axis.
 * Returned: D.
 * Status: none; NaN passes on.
 * Source: long_1976
 * Tests: tests/unit/test_spherocylinder.c, tests/unit/test_gsl.c */
iol_matrix iol_matrix_from_spherocylinder(iol_spherocylinder s);

/* Minus-cylinder form of a matrix.
 * Given: a (D).
 * Returned: sphere and cylinder in D, cylinder <= 0; axis in degrees, 180 without cylinder.
 * Status: none; NaN passes on.
 * Source: long_1976
 * Tests: tests/unit/test_spherocylinder.c */
iol_spherocylinder iol_matrix_to_spherocylinder(iol_matrix a);

/* Matrix of a surface or lens with two powers.
 * Given: weak_d (D) along weak_axis_deg (degrees), strong_d (D) across it.
 * Returned: D.
 * Status: none; NaN passes on.
 * Source: long_1976
 * Tests: tests/unit/test_spherocylinder.c */
iol_matrix iol_matrix_from_meridians(double weak_d, double strong_d, double weak_axis_deg);

/* Vergence after a distance; negative distances go back.
 * Equation: a (I - reduced_m a)^-1
 * Given: a (D); reduced_m = t/n (m).
 * Returned: out (D).
 * Status: IOL_BAD_INPUT: not finite. IOL_NO_SOLUTION: the pencil focuses on the way.
 * Valid: paraxial rays
 * Source: long_1976
 * Tests: tests/unit/test_spherocylinder.c, tests/unit/test_gsl.c, tests/unit/test_schematic_eyes.c */
iol_status iol_matrix_step(iol_matrix a, double reduced_m, iol_matrix *out);

/* Power-vector coordinates of a matrix.
 * Equation: M = mean, J0 = -(C/2) cos 2a, J45 = -(C/2) sin 2a
 * Given: a (D).
 * Returned: mean_d, j0_d, j45_d (D).
 * Status: none; NaN passes on.
 * Source: thibos_1997
 * Tests: tests/unit/test_spherocylinder.c */
void iol_matrix_to_power_vector(iol_matrix a, double *mean_d, double *j0_d, double *j45_d);

/* ---- vergence.c ----------------------------------------------------------------------------------- */

/* The one eye model that every formula feeds: corneal power, optical axial length, thin-lens position. */
typedef struct {
    double cornea_d, length_mm, position_mm;
} iol_model;

/* A refraction from the spectacle plane to the cornea and back, spherical.
 * Equation: F / (1 - V F) and F / (1 + V F), V in metres
 * Given: spectacle_d or cornea_d (D), vertex_mm (mm, >= 0).
 * Returned: cornea_d or spectacle_d (D).
 * Status: IOL_BAD_INPUT: not finite, or vertex below 0. IOL_NO_SOLUTION: the light focuses between the planes.
 * Source: gp_vertex_chart (check values)
 * Tests: tests/unit/test_optics.c, tests/unit/test_inverses.c */
iol_status iol_vertex_to_cornea(double spectacle_d, double vertex_mm, double *cornea_d);
iol_status iol_vertex_to_spectacle(double cornea_d, double vertex_mm, double *spectacle_d);

/* U: vergence arriving at a plane behind the cornea under a spectacle refraction.
 * Equation: n / (n/(K + Rc) - E), n = 1.336
 * Given: cornea_d, refraction_d (D), position_mm, vertex_mm (mm, >= 0).
 * Returned: vergence_d (D).
 * Status: IOL_BAD_INPUT: not finite, or a distance below 0. IOL_NO_SOLUTION: the light focuses on the way.
 * Valid: paraxial rays, thin lens
 * Source: retzlaff_1990, holladay_1988
 * Tests: tests/unit/test_optics.c, tests/unit/test_inverses.c */
iol_status iol_arriving_vergence(double cornea_d, double position_mm, double refraction_d, double vertex_mm,
                                 double *vergence_d);

/* Refraction at the spectacle plane of the eye with a lens.
 * Equation: W = n/(L - E) - P, Z = W / (1 + (E/n) W), Rc = Z - K, R = Rc / (1 + V Rc)
 * Given: eye: cornea_d (D), length_mm and position_mm (mm, 0 <= E < L); power_d (D), vertex_mm (mm, >= 0).
 * Returned: refraction_d (D).
 * Status: IOL_BAD_INPUT: not finite or no such eye. IOL_NO_SOLUTION: the light focuses on the way.
 * Valid: paraxial rays, thin lens
 * Source: retzlaff_1990, holladay_1988
 * Tests: tests/unit/test_optics.c, tests/unit/test_gsl.c */
iol_status iol_refraction_of(iol_model eye, double power_d, double vertex_mm, double *refraction_d);

/* Lens power that gives the refraction.
 * Equation: P = n/(L - E) - U
 * Given: eye as for iol_refraction_of; refraction_d (D), vertex_mm (mm, >= 0).
 * Returned: power_d (D), verified by going back to 1e-9 D.
 * Status: IOL_BAD_INPUT: not finite or no such eye. IOL_NO_SOLUTION: none, or it does not come back.
 * Valid: paraxial rays, thin lens
 * Source: retzlaff_1990, holladay_1988
 * Tests: tests/unit/test_optics.c, tests/unit/test_inverses.c, tests/unit/test_gsl.c */
iol_status iol_power_for(iol_model eye, double refraction_d, double vertex_mm, double *power_d);

/* The one quantity that makes the eye agree with the refraction, the others as given; its own member of eye is not
 * read, but for the position, which says which of two roots is meant.
 * Equation: P (L - E)(N - aE) = N (N - aL), a = K + Rc, N = n; head of src/optics/vergence.c
 * Given: eye as for iol_refraction_of; power_d, refraction_d (D), vertex_mm (mm, >= 0).
 * Returned: position_mm, length_mm (mm) or cornea_d (D), verified by going back to 1e-9 D; the position is the
 *   root nearest eye.position_mm within 1.0 <= E <= min(8.0, L - 10) mm.
 * Status: IOL_BAD_INPUT: not finite or no such eye. IOL_NO_SOLUTION: no root in range, or it does not come back.
 * Valid: paraxial rays, thin lens
 * Source: the same eye; limits of the position: judgement
 * Tests: tests/unit/test_inverses.c, tests/unit/test_gsl.c */
iol_status iol_position_for(iol_model eye, double power_d, double refraction_d, double vertex_mm, double *position_mm);
iol_status iol_length_for(iol_model eye, double power_d, double refraction_d, double vertex_mm, double *length_mm);
iol_status iol_cornea_for(iol_model eye, double power_d, double refraction_d, double vertex_mm, double *cornea_d);

/* Derivatives of the spectacle refraction by length (D/mm), cornea (D/D), position (D/mm) and lens power (D/D). */
typedef struct {
    double length, cornea, position, power;
} iol_gradient;

/* Those derivatives, analytic; with the refraction for the price of one.
 * Equation: the chain of iol_refraction_of differentiated
 * Given: as for iol_refraction_of: eye, power_d (D), vertex_mm (mm, >= 0).
 * Returned: gradient; refraction_d (D).
 * Status: as iol_refraction_of.
 * Valid: paraxial rays, thin lens
 * Source: derived; compared with numerical derivatives
 * Tests: tests/unit/test_optics.c, tests/unit/test_inverses.c, tests/unit/test_gsl_estimate.c */
iol_status iol_refraction_gradient(iol_model eye, double power_d, double vertex_mm, iol_gradient *gradient);
iol_status iol_refraction_with_gradient(iol_model eye, double power_d, double vertex_mm, double *refraction_d,
                                        iol_gradient *gradient);

/* Refraction at the corneal plane of an eye with a corneal and a lens matrix.
 * Equation: iol_matrix_needed less the cornea
 * Given: cornea, lens (D), length_mm, position_mm (mm, 0 <= E < L).
 * Returned: at_cornea (D).
 * Status: IOL_BAD_INPUT: not finite or no such eye. IOL_NO_SOLUTION: a meridian focuses on the way.
 * Valid: paraxial rays, thin lens
 * Source: long_1976
 * Tests: tests/unit/test_optics.c, tests/unit/test_inverses.c */
iol_status iol_matrix_refraction(iol_matrix cornea, double length_mm, double position_mm, iol_matrix lens,
                                 iol_matrix *at_cornea);

/* Lens matrix that gives a refraction at the corneal plane.
 * Equation: n/(L - E) I less the vergence that arrives
 * Given: cornea, at_cornea (D), length_mm, position_mm (mm, 0 <= E < L).
 * Returned: lens (D).
 * Status: IOL_BAD_INPUT: not finite or no such eye. IOL_NO_SOLUTION: a meridian focuses on the way.
 * Valid: paraxial rays, thin lens
 * Source: long_1976
 * Tests: tests/unit/test_optics.c, tests/unit/test_inverses.c */
iol_status iol_matrix_lens_for(iol_matrix cornea, double length_mm, double position_mm, iol_matrix at_cornea,
                               iol_matrix *lens);

/* Q: what cornea plus refraction must supply at the corneal plane.
 * Equation: n W (n I + E W)^-1, W = n/(L - E) I - P
 * Given: length_mm, position_mm (mm, 0 <= E < L), lens (D).
 * Returned: needed (D).
 * Status: IOL_BAD_INPUT: not finite or no such eye. IOL_NO_SOLUTION: a meridian focuses on the way.
 * Valid: paraxial rays, thin lens
 * Source: long_1976
 * Tests: tests/unit/test_inverses.c, tests/unit/test_ways.c */
iol_status iol_matrix_needed(double length_mm, double position_mm, iol_matrix lens, iol_matrix *needed);

/* ---- thick_lens.c ---------------------------------------------------------------------------------- */

/* Sagitta of a sphere at a height from its axis.
 * Equation: |r| - sqrt(r^2 - h^2)
 * Given: radius_mm (mm, either sign), height_mm (mm, >= 0).
 * Returned: sagitta_mm (mm, >= 0).
 * Status: IOL_BAD_INPUT: not a number, or height below 0. IOL_NO_SOLUTION: the height is beyond the radius.
 * Source: geometry
 * Tests: tests/unit/test_thick_lens.c */
iol_status iol_sagitta(double radius_mm, double height_mm, double *sagitta_mm);

/* Paraxial power (D) of a thick lens, and its principal points in mm from the front vertex (first) and from the back
 * vertex (second). */
typedef struct {
    double power_d, first_principal_mm, second_principal_mm;
} iol_thick_lens;

/* Power and principal points of a thick lens in a medium.
 * Equation: D = D1 + D2 - (t/n) D1 D2; points m (t/n) D2/D and -m (t/n) D1/D
 * Given: front_radius_mm (mm, > 0 convex to the cornea), back_radius_mm (mm, < 0 convex to the retina; light from
 *   the left), an infinite radius is a plane; thickness_mm (mm, >= 0), index, medium_index (> 0).
 * Returned: lens.
 * Status: IOL_BAD_INPUT: not a number, a radius of 0, no positive index, thickness below 0. IOL_NO_SOLUTION: no
 *   power.
 * Valid: paraxial rays, spherical surfaces
 * Source: iso_11979_2, from memory
 * Tests: tests/unit/test_thick_lens.c, tests/unit/test_schematic_eyes.c */
iol_status iol_thick_lens_power(double front_radius_mm, double back_radius_mm, double thickness_mm, double index,
                                double medium_index, iol_thick_lens *lens);

/* Equal radii of a biconvex (power above 0) or biconcave lens.
 * Equation: s = D / (1 + sqrt(1 - (t/n) D)), r = (n - m)/s
 * Given: power_d (D, not 0), thickness_mm (mm, >= 0, at the centre), index, medium_index (> 0).
 * Returned: radius_mm (mm, magnitude).
 * Status: IOL_BAD_INPUT: not finite, no positive index, thickness below 0. IOL_NO_SOLUTION: no such lens.
 * Valid: paraxial rays, spherical surfaces
 * Source: iso_11979_2, from memory
 * Tests: tests/unit/test_thick_lens.c */
iol_status iol_thick_lens_equal_radius(double power_d, double thickness_mm, double index, double medium_index,
                                       double *radius_mm);

/* The same with the edge thickness given.
 * Equation: centre = edge + 2 sagitta(radius, diameter / 2), round by round
 * Given: power_d (D, not 0), edge_mm, optic_diameter_mm (mm, >= 0), index, medium_index (> 0).
 * Returned: radius_mm (mm, above 0 biconvex), centre_mm (mm).
 * Status: as iol_thick_lens_equal_radius, and IOL_NO_SOLUTION where the centre is worn through;
 *   IOL_NO_CONVERGENCE: 200 rounds did not settle to 1e-12 mm.
 * Source: geometry
 * Tests: tests/unit/test_thick_lens.c */
iol_status iol_thick_lens_from_edge(double power_d, double edge_mm, double optic_diameter_mm, double index,
                                    double medium_index, double *radius_mm, double *centre_mm);

IOL_PUBLIC_END

#endif
