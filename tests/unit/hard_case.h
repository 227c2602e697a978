/* The hard cases of tests/rows/hard.def as structs. Not every one has to pass the checks of a case file: the sheets hold anyway. */
#ifndef TESTS_HARD_CASE_H
#define TESTS_HARD_CASE_H

#include "example_case.h"

#define HARD(name, example, changes) name,
static const char *const hard_names[] = {
#include "../rows/hard.def"
};
#undef HARD
enum { HARD_CASES = sizeof hard_names / sizeof *hard_names };

static inline void on_day_of(iol_case *c, int day) {
    on_day(c, day);
    for (int i = 0; i < c->refractions_count; i++) c->refractions[i].measured_on = c->assessed_on;
}

static inline void blank(iol_case *c, const char *key) {
    const iol_field *f = iol_object_find(iol_object_case, key, strlen(key));
    if (!f || f->kind != IOL_KIND_PART) abort();
    iol_object_reset(f->inside, IOL_FIELD_AT(c, f));
}

/* The other eye, its wound and port in the mirror: a temporal wound stays temporal. */
static inline void other_eye(iol_case *c) {
    iol_operation *o = &c->operation;
    double *const place[] = {&o->seat_position_deg, &o->incision_position_deg, &o->side_port_position_deg};
    c->eye = c->eye == IOL_side_right ? IOL_side_left : IOL_side_right;
    for (int i = 0; i < 3; i++)
        if (!isnan(*place[i])) *place[i] = fmod(540.0 - *place[i], 360.0);
}

static inline void hard_case(int which, iol_case *c) {
    int at = 0;
#define HARD(name, example, changes)                                                                                   \
    if (at++ == which) {                                                                                               \
        example_case(example, c);                                                                                      \
        changes                                                                                                        \
    }
#include "../rows/hard.def"
#undef HARD
}

static inline void hard_case_named(const char *name, iol_case *c) {
    int h = 0;
    while (strcmp(hard_names[h], name) != 0) h++;
    hard_case(h, c);
}

/* The examples and then the hard cases; name of the i-th. */
static inline const char *any_case(int i, iol_case *c) {
    if (i < EXAMPLES)
        example_case(example_names[i], c);
    else
        hard_case(i - EXAMPLES, c);
    return i < EXAMPLES ? example_names[i] : hard_names[i - EXAMPLES];
}

#endif
