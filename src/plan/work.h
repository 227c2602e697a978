/* What the parts of a plan share while it is made. */
#ifndef IOL_PLAN_WORK_H
#define IOL_PLAN_WORK_H

#include "estimate/displaced.h"
#include "estimate/mixture.h"
#include "estimate/plausible.h"
#include "estimate/suspects.h"
#include "facts.h"

typedef struct {
    const iol_case *c;
    const iol_site *site;
    iol_eye eye;
    iol_estimate by_formula[IOL_FORMULA_COUNT]; /* status negative where a formula lacks its inputs */
    const iol_estimate *joint;                  /* that of the reference formula; NULL without one */
    const iol_estimate *alone; /* by the refraction alone; NULL where that says nothing */
    iol_plausible plausible; /* do the measurements fit the other eye, the glasses of before, the place of the lens */
    iol_gross search;                           /* how far the search for a gross cause has come */
    bool unreckoned;                            /* reading, lens, length and keratometry are there, and no eye has them */
    iol_displaced_effect moved;                 /* what a displaced old lens does; status negative: nothing is traced */
    double end_wound_mm;                        /* as planned, or as wide as the way out needs */
    iol_matrix induced;                         /* corneal change that it makes */
    iol_facts facts;                            /* what rules ask */
    iol_plan *plan;
    bool compared; /* the plan is made to be compared: without what only a reader wants */
    /* Behind everything that is emptied when the work is begun. */
    iol_mixture mixture;       /* causes of the joint estimate, where joint->mixture points to them */
    iol_mixture alone_mixture; /* and of the refraction alone */
    iol_estimate leading, alone_leading; /* the estimates of their leading components */
} iol_work;

/* What every part stands on: head of the plan (already reset), eye, estimates by formula. With the plan's notes off only the
 * reference formula's estimate tells what each quantity alone would need. */
void iol_work_start(iol_work *w, const iol_case *c, const iol_site *site, int32_t as_of, iol_plan *plan);

void iol_plan_make_compared(const iol_case *c, const iol_site *site, int32_t as_of, iol_plan *plan);

/* The facts of case and eye, and those of a plan without parts. */
void iol_facts_begin(iol_work *w);
/* Of them: the miss and the search for its cause; then, after the old lens, fluid, oil and a second lens. */
iol_flag iol_harm_of_rubbing(const iol_case *c);
void iol_facts_of_rubbing(const iol_work *w, iol_facts *f);
void iol_facts_of_miss(const iol_work *w, iol_facts *f);
/* Whether what was read still holds, behind the gates; and what the age of a child changes, behind the place. */
void iol_facts_of_reading(const iol_work *w, iol_facts *f);
void iol_facts_of_child(const iol_work *w, iol_facts *f);
void iol_facts_of_the_search(const iol_work *w, iol_facts *f);
void iol_facts_of_spoilers(const iol_work *w, iol_facts *f);
/* The facts that the parts made so far say; called by whoever judges by them. */
void iol_facts_grow(iol_work *w);

/* The way ranked first, and whether it fits; 0: no ranking. */
void iol_facts_first_way(iol_facts *f, int option, iol_flag fits);
/* It comes close to the target, and sphere and cylinder together are nearer to it than the eye is now; cylinder not known: no. */
bool iol_nearer_with_cylinder(const iol_facts *f, double se_d, double cylinder_d);

/* Makers, one a row of data/parts.def. */
#define PLAN_PART(key, needs) void iol_part_##key(iol_work *w);
#include "parts.def"
#undef PLAN_PART

/* Leave a part out: one entry of left_out. paths may be NULL. */
void iol_leave_out(iol_plan *plan, const char *part, int why, iol_note_code text, const char *word, const char *path);

static inline void iol_caution(iol_work *w, iol_note_code code, double value, double limit, const char *word) {
    iol_note_add(&w->plan->notes, IOL_AT_plan_cautions, 0, code, value, limit, word);
}
/* A reason of a part, at its place. */
static inline void iol_because(iol_work *w, int place, iol_note_code code, double value, double limit) {
    iol_note_add(&w->plan->notes, place, 0, code, value, limit, NULL);
}
static inline void iol_assume(iol_work *w, iol_note_code code, double value, const char *word) {
    iol_note_add(&w->plan->notes, IOL_AT_plan_assumptions, 0, code, value, NAN, word);
}

/* The causes that lead, once a refraction tested them: those of the joint estimate, else those of the refraction alone. */
static inline const iol_mixture *iol_work_causes(const iol_work *w) {
    const iol_mixture *m = w->joint ? w->joint->mixture : w->alone ? w->alone->mixture : NULL;
    return m && m->status >= 0 && m->tested ? m : NULL;
}

#endif
