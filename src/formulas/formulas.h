/* What the formulas share. Each predictor sets its output to NaN first, then K, L and E. */
#ifndef IOL_FORMULAS_PRIVATE_H
#define IOL_FORMULAS_PRIVATE_H

#include "iolrevise/formulas.h"

#define FORMULA(id, name, needs_constant, reference, status, text)                                                     \
    iol_status iol_##id##_predict(const iol_formula_input *in, iol_model *model);                                      \
    double iol_##id##_length_read(double model_length_mm);                                                             \
    double iol_##id##_cornea_read(double model_cornea_d);
#include "formulas.def"
#undef FORMULA

/* Corneal power of a radius with an index. */
static inline double iol_cornea_of_radius(double radius_mm, double index) { return 1000.0 * (index - 1.0) / radius_mm; }

/* Corneal power of the model by its index, as a keratometer of index 1.3375 reads it. */
double iol_cornea_read(double model_cornea_d, double index);

/* The radius that the position is worked out from: that of the cornea before it was altered, where it was. */
static inline double iol_position_radius(const iol_formula_input *in) {
    return in->radius_before_mm > 0.0 ? in->radius_before_mm : in->radius_mm;
}

/* SRK/T's corneal power and optical length, which T2 keeps. */
double iol_srk_t_cornea(double radius_mm);
double iol_srk_t_length(double axial_length_mm);

/* Whether length and radius can be of an eye, and the lens constant is known. Sets the model to NaN. */
bool iol_formula_begin(const iol_formula_input *in, double constant, iol_model *model);
/* Hands the model over with its cautions if the lens stands inside the eye; else IOL_BAD_INPUT. */
iol_status iol_formula_finish(iol_model found, iol_status cautions, iol_model *model);

#endif
