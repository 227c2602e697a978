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

/* The replacement's members stand in the piggyback too: their notes there are kept in this row. */
enum { IOL_ROW_SECOND_LENS = 1 };

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

IOL_PUBLIC_BEGIN

/* Make the whole plan. as_of: the day that intervals are counted to; IOL_UNKNOWN_DATE takes the case's assessed_on, and
 * without either no interval is computed and the plan says so. Pure: the same inputs give the same plan. */
void iol_plan_make(const iol_case *c, const iol_site *site, int32_t as_of, iol_plan *plan);

/* The same with some parts only: their keys as in the plan, NULL behind the last. The others are left out, said so. */
void iol_plan_make_parts(const iol_case *c, const iol_site *site, int32_t as_of, const char *const keys[],
                         iol_plan *plan);

/* Write it as JSON (plan_format 1). Returns false when the sink refused. */
typedef bool (*iol_write)(void *context, const char *bytes, size_t length);
bool iol_plan_write(const iol_plan *plan, iol_write sink, void *context);
/* True when the plan holds a caution of severity stop. */
bool iol_plan_stops(const iol_plan *plan);

IOL_PUBLIC_END

#endif
