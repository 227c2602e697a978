/* The eye without a lens, and the lens that it lacks. */
#ifndef IOL_OPTICS_NO_LENS_H
#define IOL_OPTICS_NO_LENS_H

#include "optics.h"

/* What the reading of an eye without a lens is told about the new one. */
typedef struct {
    double cornea_d, position_mm;        /* K, and E of the lens to be put in */
    double reading_d, reading_vertex_mm; /* refraction without a lens; vertex 0: contact lens */
    double target_d, target_vertex_mm;   /* refraction wanted with it */
} iol_no_lens;

/* Derivatives of the lens power by the reading (D/D), its vertex distance and the position (D/mm) and the cornea (D/D), and of
 * the later refraction by the lens power (D/D). */
typedef struct {
    double reading, vertex, position, cornea;
    double outcome;
} iol_no_lens_gradient;

/* Power of the lens that is missing, and its derivatives. */
iol_status iol_no_lens_power(const iol_no_lens *eye, double *power_d, iol_no_lens_gradient *gradient);
/* Optical length of an eye that focuses without a lens under this refraction. */
iol_status iol_no_lens_length(double cornea_d, double reading_d, double vertex_mm, double *length_mm);
/* Refraction of the eye without a lens, and its derivatives by length (D/mm) and cornea (D/D); that by the position is 0. */
iol_status iol_no_lens_refraction(double length_mm, double cornea_d, double vertex_mm, double *refraction_d,
                                  iol_gradient *gradient);
/* The same refraction by a printed straight line of length and keratometry: a look beside, never a gate. */
double iol_no_lens_by_line(double length_mm, double k_d);
/* Power by the printed relation of a refraction read in theatre with the lens out: beside the one by vergence, never pooled. */
double iol_no_lens_by_theatre(double theatre_reading_d);

#endif
