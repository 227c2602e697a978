/* The eye with two lenses. */
#ifndef IOL_OPTICS_TWO_LENSES_H
#define IOL_OPTICS_TWO_LENSES_H

#include "optics.h"

/* The second lens lies gap_mm in front of the first. */
typedef struct {
    iol_model eye; /* its position is that of the first lens */
    double gap_mm, first_d, second_d;
} iol_lens_pair;

/* Derivatives of the spectacle refraction: by length (D/mm), cornea (D/D), place of the first lens with the gap held (D/mm), gap
 * (D/mm), and the two powers (D/D). */
enum { IOL_TWO_LENGTH, IOL_TWO_CORNEA, IOL_TWO_POSITION, IOL_TWO_GAP, IOL_TWO_FIRST, IOL_TWO_SECOND, IOL_TWO_STATES };

iol_status iol_two_lenses_refraction(const iol_lens_pair *two, double vertex_mm, double *refraction_d,
                                     double gradient[IOL_TWO_STATES]);
/* Power of another second lens, held at second_mm, that gives the refraction; two's own second lens is not read. */
iol_status iol_two_lenses_second_for(const iol_lens_pair *two, double second_mm, double refraction_d, double vertex_mm,
                                     double *second_d);
/* Power of another first lens, held at first_mm, with the second where it is. */
iol_status iol_two_lenses_first_for(const iol_lens_pair *two, double first_mm, double refraction_d, double vertex_mm,
                                    double *first_d);
/* Axial length that both lenses and the refraction give together; two's own length is not read. */
iol_status iol_two_lenses_length(const iol_lens_pair *two, double refraction_d, double vertex_mm, double *length_mm);
/* The same refraction at the cornea with lens and corneal matrices. */
iol_status iol_two_lenses_matrix(const iol_lens_pair *two, iol_matrix cornea, iol_matrix first, iol_matrix second,
                                 iol_matrix *at_cornea);
/* Lens matrix of another second (first) lens, where two has it, that leaves at_cornea_d and no cylinder. */
iol_status iol_two_lenses_matrix_second_for(const iol_lens_pair *two, iol_matrix cornea, iol_matrix first,
                                            double at_cornea_d, iol_matrix *second);
iol_status iol_two_lenses_matrix_first_for(const iol_lens_pair *two, iol_matrix cornea, iol_matrix second,
                                           double at_cornea_d, iol_matrix *first);

#endif
