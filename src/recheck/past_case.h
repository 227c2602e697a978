/* Rechecking past cases: what each method would have predicted for the lens that was put in, and what came. */
#ifndef IOL_RECHECK_PAST_CASE_H
#define IOL_RECHECK_PAST_CASE_H

#include "plan/replacement.h"
#include "tables/recheck.h"

/* Room for one case at a time: one a thread. */
typedef struct {
    const iol_site *site;
    int32_t as_of;
    iol_work work;
    iol_plan plan;     /* head and standing alone; its notes are off */
    iol_plan whole;    /* where the state needs it */
    iol_case answered; /* the case with its open alarms answered no, for that */
    /* Of the case done last, for fitting: the new lens brought the shelf's constants; position that the refraction needs less
     * measured depth of the lens (NaN none); ordinary error explains the surprise. */
    bool shelf_constants, ordinary;
    double depth_offset_mm;
} iol_past;

/* Change of E by a formula's own lens constant: the A-constant counts by its regression, all others are millimetres. */
double iol_past_position_by_constant(int formula);
void iol_past_start(iol_past *past, const iol_site *site, int32_t as_of);
/* A case that was read: every field but input and line, which stay as they are. Where something was put in, slope[i] is the
 * change of prediction i by the new lens's own constant (by its position in mm where there is none); else NaN. */
enum { IOL_PAST_ROWS = 11 };
void iol_past_case(iol_past *past, const iol_case *c, iol_recheck *out, double slope[IOL_PAST_ROWS]);
/* A row of which nothing is known. */
extern const iol_prediction iol_no_prediction;
/* A case that was refused. The texts of out->faults live in `faults`. c: what could be read of it. */
void iol_past_refused(const iol_case *c, const iol_faults *faults, iol_recheck *out);

#endif
