/* Which suspect is told as the cause, wherever one is. */
#ifndef IOL_PLAN_SUSPECTS_TOLD_H
#define IOL_PLAN_SUSPECTS_TOLD_H

#include <math.h>
#include <string.h>

#include "iolrevise/plan.h"
#include "tables/constants.h"

/* Confirmed, or explaining the miss by itself. */
static inline bool iol_suspect_stands(const iol_suspect *s) {
    return s->confirmed == IOL_YES || (s->explains == IOL_YES && s->not_excluded != IOL_YES);
}

/* It works the way of the miss. How the lens was chosen does not explain an eye that is beyond the ordinary itself, but a record of
 * a wrong lens is told whatever else there is. */
static inline bool iol_suspect_is_of_the_miss(const iol_surprise *s, const iol_suspect *one) {
    if (one->part == IOL_miss_part_cylinder || strcmp(one->id, "wrong-lens-put-in") == 0) return true;
    if (one->implied_miss_d * s->miss_d < 0.0) return false;
    return one->part != IOL_miss_part_selection || !(fabs(s->z) > c_z_ordinary);
}

/* The first that stands and may be the cause; NULL where there is none. */
static inline const iol_suspect *iol_cause_named(const iol_surprise *s) {
    for (int i = 0; i < s->suspects_count; i++)
        if (iol_suspect_stands(&s->suspects[i]) && s->suspects[i].explains != IOL_NO &&
            iol_suspect_is_of_the_miss(s, &s->suspects[i]))
            return &s->suspects[i];
    return NULL;
}

#endif
