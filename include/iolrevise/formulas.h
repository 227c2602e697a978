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
    double
        radius_before_mm; /* mean radius before the cornea was altered: the position then comes from it, the optics from
                                radius_mm; 0 or NaN: it was not, and radius_mm feeds both */
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

/* The table of formulas, in the order of data/formulas.def. */
extern const iol_formula_row iol_formulas[IOL_FORMULA_COUNT];

/* K, L and E of one formula: what it feeds the thin-lens eye.
 * Equation: at the head of src/formulas/<formula>.c
 * Given: axial_length_mm (mm), radius_mm (mm, above 0), the lens constant that the formula needs; Haigis:
 *   chamber_depth_mm (mm) too. radius_before_mm (mm) places the lens after corneal laser; 0 or NaN: radius_mm does.
 * Returned: model: cornea_d (D), length_mm (mm), position_mm (mm); NaN when the status is negative.
 * Status: IOL_BAD_INPUT: no such formula, an input it needs is not finite, or K, L, E make no eye.
 *   IOL_OUTSIDE_SOURCE: length below 18.5 or above 31 mm. IOL_EXTRAPOLATED: the paper's own clamp was active.
 * Valid: length 18.5 to 31 mm, cornea without surgery, or after laser with the radius before it
 * Source: data/formulas.def names the paper of each; `iolrevise sources formulas` prints them
 * Tests: tests/unit/test_formulas.c, tests/unit/test_formula_constants.c */
iol_status iol_formula_predict(iol_formula formula, const iol_formula_input *in, iol_model *model);

/* Back from what a formula feeds the model to what the instruments read.
 * Equation: length less the formula's retinal thickness; cornea times 0.3375 over the formula's own index less 1
 * Given: model_length_mm (mm); model_cornea_d (D).
 * Returned: axial length in mm; keratometry in D at index 1.3375.
 * Status: none; NaN passes on.
 * Source: retzlaff_1990, holladay_1988, haigis_1993
 * Tests: tests/unit/test_formulas.c */
double iol_formula_length_read(iol_formula formula, double model_length_mm);
double iol_formula_cornea_read(iol_formula formula, double model_cornea_d);

/* Lens constants and nominal position from the A-constant. Haigis is never derived.
 * Equation: SF = 0.5663 A - 65.60; pACD = 0.58357 A - 63.896; position = 0.62467 A - 68.747
 * Given: a_constant, without unit.
 * Returned: surgeon factor, pACD and nominal position, in mm.
 * Status: none; NaN passes on.
 * Valid: A of about 112 to 122; lenses for the bag
 * Source: holladay_1988 (SF, pACD), retzlaff_1990 (position), from memory
 * Tests: tests/unit/test_formulas.c, tests/unit/test_formula_constants.c */
double iol_surgeon_factor_from_a(double a_constant);
double iol_pacd_from_a(double a_constant);
double iol_nominal_position_from_a(double a_constant);

IOL_PUBLIC_END

#endif
