/* Which suspect is told as the cause, wherever one is. */
#ifndef IOL_PLAN_SUSPECTS_TOLD_H
#define IOL_PLAN_SUSPECTS_TOLD_H

#include "iolrevise/plan.h"

/* Confirmed, or explaining the miss by itself. */
static inline bool iol_suspect_stands(const iol_suspect *s) {
    return s->confirmed == IOL_YES || (s->explains == IOL_YES && s->not_excluded != IOL_YES);
}

/* The first that stands and may be the cause; NULL where there is none. */
static inline const iol_suspect *iol_cause_named(const iol_surprise *s) {
    for (int i = 0; i < s->suspects_count; i++)
        if (iol_suspect_stands(&s->suspects[i]) && s->suspects[i].explains != IOL_NO) return &s->suspects[i];
    return NULL;
}

#endif
