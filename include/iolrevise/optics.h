/* Angles, dioptric power matrices, the thin-lens eye and the thick lens. Pure functions. */
#ifndef IOLREVISE_OPTICS_H
#define IOLREVISE_OPTICS_H

#include "basics.h"

IOL_PUBLIC_BEGIN

/* ---- angle.c ------------------------------------------------------------------------------------ */

/* Reduce a meridian exactly to 0 < axis <= 180 (0 becomes 180). NaN stays NaN. */
double iol_axis_reduce(double axis_deg);
/* Reduce a place on the limbus exactly to 0 <= position < 360. */
double iol_position_reduce(double position_deg);
/* sin and cos of an angle in degrees, reduced exactly first: 0 and +-1 at multiples of 90 are exact. */
void iol_sincos_deg(double angle_deg, double *sine, double *cosine);
/* Signed turn that takes one meridian to another the short way: -90 < turn <= 90, plus = anticlockwise. */
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
double iol_matrix_cylinder(iol_matrix a);   /* magnitude of the cylinder, >= 0 */
double iol_matrix_steep_axis(iol_matrix a); /* meridian of greatest power; 180 without cylinder */
/* From sphere, cylinder and axis: xx = S + C sin^2, xy = -C sin cos, yy = S + C cos^2. A zero cylinder needs no axis. */
iol_matrix iol_matrix_from_spherocylinder(iol_spherocylinder s);
/* Minus-cylinder form; axis 180 without cylinder. */
iol_spherocylinder iol_matrix_to_spherocylinder(iol_matrix a);
/* Matrix of a surface or lens with least power weak_d along weak_axis_deg and strong_d across it. */
iol_matrix iol_matrix_from_meridians(double weak_d, double strong_d, double weak_axis_deg);
/* Vergence a after travelling reduced_m = t/n metres: a (I - reduced_m a)^-1. Negative distances go back.
 * IOL_NO_SOLUTION where the pencil focuses on the way. */
iol_status iol_matrix_step(iol_matrix a, double reduced_m, iol_matrix *out);
/* Thibos' coordinates: M = mean, J0 = -(C/2) cos 2a, J45 = -(C/2) sin 2a. */
void iol_matrix_to_power_vector(iol_matrix a, double *mean_d, double *j0_d, double *j45_d);

/* ---- vergence.c ----------------------------------------------------------------------------------- */

/* The one eye model that every formula feeds: corneal power, optical axial length, thin-lens position. */
typedef struct {
    double cornea_d, length_mm, position_mm;
} iol_model;

/* Spectacle <-> corneal plane, scalar: F / (1 - V F) and back; vertex in mm. */
iol_status iol_vertex_to_cornea(double spectacle_d, double vertex_mm, double *cornea_d);
iol_status iol_vertex_to_spectacle(double cornea_d, double vertex_mm, double *spectacle_d);
/* U(E; R): vergence arriving at position_mm behind cornea_d under spectacle refraction. */
iol_status iol_arriving_vergence(double cornea_d, double position_mm, double refraction_d, double vertex_mm,
                                 double *vergence_d);
/* Refraction at the spectacle plane of the eye with a lens of power_d. */
iol_status iol_refraction_of(iol_model eye, double power_d, double vertex_mm, double *refraction_d);
/* Lens power that gives the refraction. */
iol_status iol_power_for(iol_model eye, double refraction_d, double vertex_mm, double *power_d);
/* The one quantity that makes the eye agree with the refraction, the others as given. Each verified by going back
 * to 1e-9 D. iol_position_for takes the root nearest eye.position_mm within 1.0 <= E <= min(8.0, L - 10) mm. */
iol_status iol_position_for(iol_model eye, double power_d, double refraction_d, double vertex_mm, double *position_mm);
iol_status iol_length_for(iol_model eye, double power_d, double refraction_d, double vertex_mm, double *length_mm);
iol_status iol_cornea_for(iol_model eye, double power_d, double refraction_d, double vertex_mm, double *cornea_d);
/* Analytic derivatives of the spectacle refraction by length (D/mm), cornea (D/D), position (D/mm), lens power (D/D). */
typedef struct {
    double length, cornea, position, power;
} iol_gradient;
iol_status iol_refraction_gradient(iol_model eye, double power_d, double vertex_mm, iol_gradient *gradient);
/* The refraction and its derivatives, for the price of one. */
iol_status iol_refraction_with_gradient(iol_model eye, double power_d, double vertex_mm, double *refraction_d,
                                        iol_gradient *gradient);

/* Matrix forms. Refraction at the corneal plane of an eye with a corneal power matrix and a lens matrix. */
iol_status iol_matrix_refraction(iol_matrix cornea, double length_mm, double position_mm, iol_matrix lens,
                                 iol_matrix *at_cornea);
/* Lens matrix that gives a refraction (corneal plane). */
iol_status iol_matrix_lens_for(iol_matrix cornea, double length_mm, double position_mm, iol_matrix at_cornea,
                               iol_matrix *lens);
/* Q(L, E, P): what cornea plus refraction must supply at the corneal plane, n W (n I + E W)^-1, W = n/(L-E) I - P. */
iol_status iol_matrix_needed(double length_mm, double position_mm, iol_matrix lens, iol_matrix *needed);

/* ---- thick_lens.c ---------------------------------------------------------------------------------- */

/* Sagitta |r| - sqrt(r^2 - h^2) of a sphere of radius_mm at height_mm from its axis. */
iol_status iol_sagitta(double radius_mm, double height_mm, double *sagitta_mm);
/* Paraxial power and principal points of a thick lens in a medium; front_radius_mm > 0 is convex to the cornea,
 * back_radius_mm < 0 convex to the retina (light from the left). Principal points in mm from the front vertex
 * (first) and from the back vertex (second). */
typedef struct {
    double power_d, first_principal_mm, second_principal_mm;
} iol_thick_lens;
iol_status iol_thick_lens_power(double front_radius_mm, double back_radius_mm, double thickness_mm, double index,
                                double medium_index, iol_thick_lens *lens);
/* Equal radii (magnitude, mm) of a biconvex (power > 0) or biconcave lens of given power, centre thickness and index. */
iol_status iol_thick_lens_equal_radius(double power_d, double thickness_mm, double index, double medium_index,
                                       double *radius_mm);
/* The same with the edge thickness given: iterates centre = edge + 2 sag(radius, optic radius) until both close
 * (radius signed: > 0 biconvex). */
iol_status iol_thick_lens_from_edge(double power_d, double edge_mm, double optic_diameter_mm, double index,
                                    double medium_index, double *radius_mm, double *centre_mm);

IOL_PUBLIC_END

#endif
