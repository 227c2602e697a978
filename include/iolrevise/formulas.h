/* The published formulas, each a predictor (K, L, E) for the one eye model. */
#ifndef IOLREVISE_FORMULAS_H
#define IOLREVISE_FORMULAS_H

#include "optics.h"

/* Lens constants; NaN where the lens has none. */
typedef struct {
    double a_constant;        /* SRK/T and T2, dimensionless */
    double surgeon_factor_mm; /* Holladay 1 */
    double pacd_mm;           /* Hoffer Q */
    double haigis_a0_mm, haigis_a1, haigis_a2;
} iol_lens_constants;

/* What a formula is given. radius_mm is the mean anterior radius; the keratometer's own index has already been undone. */
typedef struct {
    double axial_length_mm;
    double radius_mm;
    double chamber_depth_mm; /* epithelium to crystalline lens, before surgery; NaN unless Haigis */
    iol_lens_constants lens;
} iol_formula_input;

/* Order of data/formulas.def: the enum value is the row. */
typedef enum {
#define FORMULA(id, name, needs_constant, reference, status, text) IOL_FORMULA_##id,
#include "formulas.def"
#undef FORMULA
    IOL_FORMULA_COUNT
} iol_formula;

typedef struct {
    const char *name; /* the word of the case file, e.g. "srk-t" */
    const char *text; /* one line: what it feeds the model */
    int reference;    /* row of data/references.def */
    iol_status (*predict)(const iol_formula_input *in, iol_model *model);
    double (*constant)(const iol_lens_constants *lens); /* the constant it needs; NaN when the lens has none */
} iol_formula_row;

IOL_PUBLIC_BEGIN

extern const iol_formula_row iol_formulas[IOL_FORMULA_COUNT];

/* K, L and E of one formula. IOL_BAD_INPUT when an input it needs is NaN; IOL_OUTSIDE_SOURCE below 18.5 or above
 * 31 mm; IOL_EXTRAPOLATED where the paper's own clamp was active. */
iol_status iol_formula_predict(iol_formula formula, const iol_formula_input *in, iol_model *model);
/* Back from what a formula feeds the model to what the instruments read: axial length in mm, keratometry at index 1.3375. */
double iol_formula_length_read(iol_formula formula, double model_length_mm);
double iol_formula_cornea_read(iol_formula formula, double model_cornea_d);
/* Published regressions from the A-constant (data/constants.def). Haigis is never derived. */
double iol_surgeon_factor_from_a(double a_constant);
double iol_pacd_from_a(double a_constant);
double iol_nominal_position_from_a(double a_constant); /* 0.62467 A - 68.747 */

IOL_PUBLIC_END

#endif
