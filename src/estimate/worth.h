/* What the next look or measurement would buy (method, section 8): the chance of the step that would then be chosen, averaged over
 * what may be found. */
#ifndef IOL_ESTIMATE_WORTH_H
#define IOL_ESTIMATE_WORTH_H

#include "prospect.h"

/* The new lens that the chance is of. */
typedef struct {
    const iol_eye *eye;
    const iol_mixture *causes;
    double change_mm, sd_change_mm, target_d;
    iol_steps shelf;
} iol_question;

/* The measurements that may come next, in the order of data/measurements.def. */
typedef enum {
#define MEASUREMENT(id, code, sd, words) IOL_MEASURE_##id,
#include "measurements.def"
#undef MEASUREMENT
    IOL_MEASURE_COUNT
} iol_measure;

/* Chance within half a dioptre of the step that is chosen now; NaN when there is none. */
double iol_worth_now(const iol_question *q);
/* The same after a look that was not taken; NaN when it was, or when nothing that it settles is live. settled: the likeliest of
 * its causes. */
double iol_worth_of_look(const iol_question *q, iol_look look, iol_suspect_id *settled);
/* After a measurement; sd: of what it measures. NaN when it cannot be taken. */
double iol_worth_of_measurement(const iol_question *q, iol_measure measure, double *sd);
/* The causes after one value of a measurement: what is found, and what each of them foretold. For proof. */
void iol_worth_foretell(const iol_question *q, iol_measure measure, const iol_component *c, double *mean, double *sd);
void iol_worth_see(const iol_question *q, iol_measure measure, double found, iol_mixture *after);

#endif
