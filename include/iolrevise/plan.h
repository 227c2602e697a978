/* The plan, as a struct made from data/plan_fields.def, and the calls that make and write it. */
#ifndef IOLREVISE_PLAN_H
#define IOLREVISE_PLAN_H

#include "case.h"

/* A note: a code of data/{cautions,reasons,assumptions}.def with up to two numbers and a word, kept where it belongs. */
typedef struct {
    int place; /* IOL_AT_<object>_<key> */
    int row;   /* row of the list that it belongs to, else 0 */
    int code;  /* IOL_NOTE_<id> */
    double value, limit;
    char word[60];
} iol_note;

/* The replacement's members stand in the piggyback too, those of the removal with the second of two lenses: their notes there are
 * kept in rows from this one on. */
enum { IOL_ROW_SECOND_LENS = 32 };

#define IOL_NOTES_MOST 320
typedef struct {
    int count;
    bool lost; /* one did not fit: the plan says so with a caution */
    bool off;  /* none is kept: for those who want the numbers alone */
    iol_note item[IOL_NOTES_MOST];
} iol_notes;

/* Places of notes. */
#define BEGIN(o)
#define NUM(o, k, unit, text)
#define WORD(o, k, set, text)
#define FLAG(o, k, text)
#define DATE(o, k, text)
#define TEXT(o, k, n, text)
#define STRING(o, k, text)
#define PART(o, k, sub, text)
#define SAME(o, k, sub)
#define LIST(o, k, sub, cap, text)
#define LIST_AS(o, k, name, sub, cap, text) LIST(o, k, sub, cap, text)
#define PATHS(o, k, cap, text)
#define NOTE(o, k, text) IOL_AT_##o##_##k,
#define NOTES(o, k, text) IOL_AT_##o##_##k,
#define SAYS(o, k, text) IOL_AT_##o##_##k,
#define REFS(o, k, text)
#define END(o)
enum iol_place {
#include "plan_fields.def"
    IOL_AT_END
};
#include "fields_undef.h"

#include "plan_members.h"
#include "plan_fields.def"
#include "fields_undef.h"

/* The lens to be put in: the replacement, or in an eye that was read without a lens the secondary one. */
static inline const iol_replacement *iol_new_lens(const iol_plan *plan) {
    return plan->secondary.present ? &plan->secondary : &plan->replacement;
}

/* The step that the aim picked; NULL when none is. */
static inline const iol_choice *iol_chosen_step(const iol_replacement *r) {
    for (int i = 0; i < r->choices_count; i++)
        if (r->choices[i].chosen == IOL_YES) return &r->choices[i];
    return NULL;
}
/* The row of the preferred way out; NULL: there is none. */
static inline const iol_removal_row *iol_preferred_way(const iol_removal *r) {
    for (int i = 0; i < r->methods_count; i++)
        if (r->preferred > 0 && r->methods[i].id == r->preferred) return &r->methods[i];
    return NULL;
}

/* The way of an eye with two lenses (a word of set two_way), or NULL. */
static inline const iol_two_way *iol_two_way_of(const iol_plan *plan, int way) {
    for (int i = 0; i < plan->two_lenses.ways_count; i++)
        if (plan->two_lenses.ways[i].way == way) return &plan->two_lenses.ways[i];
    return NULL;
}

/* The way that is ranked first; NULL without a ranking. */
static inline const iol_option_row *iol_first_way(const iol_plan *plan) {
    for (int i = 0; i < plan->options_count; i++)
        if (iol_at_most(plan->options[i].rank, 1.0) == IOL_YES) return &plan->options[i];
    return NULL;
}

IOL_PUBLIC_BEGIN

/* Make the whole plan. Pure: the same inputs give the same plan; safe from several threads.
 * Given: c, a case that was read; site, read or iol_site_generic; as_of, the day that intervals are counted to
 *   (days since 1970-01-01): IOL_UNKNOWN_DATE takes the case's assessed_on, and without either no interval is
 *   computed and the plan says so.
 * Returned: plan, the struct of data/plan_fields.def, each number in the unit of its name; NaN what is not known
 *   or withheld.
 * Status: none: what cannot be computed is listed under left_out with what it needs, doubts under cautions,
 *   defaults under assumptions. Look at `standing` before using a power.
 * Source: docs/method.md
 * Tests: tests/unit/test_worked_example.c, tests/unit/test_pitfalls.c, tests/golden */
void iol_plan_make(const iol_case *c, const iol_site *site, int32_t as_of, iol_plan *plan);

/* The same with some parts only.
 * Given: as iol_plan_make; keys, those of the parts as in the plan, NULL behind the last.
 * Returned: as iol_plan_make; the other parts are left out, and said so.
 * Status: none; a key that is no part is not looked at.
 * Tests: tests/unit/test_power.c, tests/golden */
void iol_plan_make_parts(const iol_case *c, const iol_site *site, int32_t as_of, const char *const keys[],
                         iol_plan *plan);

/* Room for the work of iol_plan_ask: large, static or on the heap. */
typedef struct {
    iol_case c;
    iol_plan plan;
    iol_asked all;
} iol_ask_room;

/* Which unanswered questions could change the plan: each is answered in each of its ways, one at a time, and the plan made
 * again. Numbers are tried at both usual limits and half way between.
 * Given: c, site and as_of as for iol_plan_make; plan, made from them; room, the caller's, for the work.
 * Returned: plan->ask_next, the first twelve; room->all, all of them, most first (powers in D).
 * Status: none; a question that changes nothing is not there. It takes as long as a hundred plans or two.
 * Source: docs/method.md
 * Tests: tests/unit/test_ask.c */
void iol_plan_ask(const iol_case *c, const iol_site *site, int32_t as_of, iol_ask_room *room, iol_plan *plan);

/* What only both eyes together show: which first, what they share, whether lenses or biometries went to the other eye.
 * Given: right and left, cases of one person (same pair_ref) and opposite eyes; site and as_of as for iol_plan_make;
 *   the plans made from them; room, the caller's, for the work.
 * Returned: `pair` in both plans, the same (D, right less left), its notes and a stop caution where they changed places.
 * Status: false, and nothing is changed: not the two eyes of one person.
 * Source: docs/method.md
 * Tests: tests/unit/test_pair.c */
bool iol_plan_pair(const iol_case *right, const iol_case *left, const iol_site *site, int32_t as_of, iol_ask_room *room,
                   iol_plan *right_plan, iol_plan *left_plan);

/* Takes bytes on their way out; false: it refuses, and nothing more comes. */
typedef bool (*iol_write)(void *context, const char *bytes, size_t length);

/* Write the plan as JSON (plan_format 1; `iolrevise schema plan`).
 * Given: a plan that was made; sink and its context.
 * Returned: true when all was written.
 * Status: false: the sink refused.
 * Tests: tests/unit/test_json.c, tests/runs/schema.sh, tests/golden */
bool iol_plan_write(const iol_plan *plan, iol_write sink, void *context);

/* Whether the plan holds a caution of severity stop: one that must be dealt with before anything else.
 * Given: a plan that was made.
 * Returned: true or false.
 * Status: none; cannot fail.
 * Tests: tests/unit/test_notes.c, tests/unit/test_pitfalls.c */
bool iol_plan_stops(const iol_plan *plan);

IOL_PUBLIC_END

#endif
