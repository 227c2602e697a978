/* The short starter of a kind as a case, and an example as the whole record of its eye. */
#ifndef TESTS_STARTER_H
#define TESTS_STARTER_H

#include "example_case.h"
#include "write/template.h"

enum { STARTER_LATER = 40 };

static const struct {
    const char *eye, *example, *kind;
    bool later; /* read and planned on day 40, for an example that is told too early */
} starter_eyes[] = {{"power error", "hyperopic-surprise", "power-error", false},
                    {"wrong lens", "wrong-lens", "power-error", false},
                    {"clouded lens", "lens-opacity", "opacity", false},
                    {"toric lens turned", "toric-turned", "cylinder", true},
                    {"no lens", "no-lens", "no-lens", false},
                    {"two lenses", "two-lenses", "two-lenses", false}};
enum { STARTER_EYES = sizeof starter_eyes / sizeof *starter_eyes };

typedef struct {
    char bytes[32 * 1024];
    size_t used;
} starter_text;

static inline bool starter_take(void *context, const char *bytes, size_t length) {
    starter_text *b = context;
    if (length >= sizeof b->bytes - b->used) return false;
    memcpy(b->bytes + b->used, bytes, length);
    b->used += length;
    b->bytes[b->used] = '\0';
    return true;
}

static inline void starter_fill(starter_text *text, const char *null_member, const char *member) {
    char *at = strstr(text->bytes, null_member);
    if (!at) return;
    size_t old = strlen(null_member), new = strlen(member);
    memmove(at + new, at + old, strlen(at + old) + 1);
    memcpy(at, member, new);
}

static inline void starter_record(int e, iol_case *record) {
    example_case(starter_eyes[e].example, record);
    record->cornea.ocular_surface = IOL_ocular_surface_healthy; /* treated, where it was not */
    if (!starter_eyes[e].later) return;
    on_day(record, STARTER_LATER);
    record->refractions[record->refractions_count - 1].measured_on = record->assessed_on;
}

/* With the three values that it cannot be read without. */
static inline void starter_case(const char *kind, int eye, int reason, iol_case *c) {
    static starter_text text;
    char why[80];
    text.used = 0;
    if (!iol_template_write(kind, true, starter_take, &text)) abort();
    snprintf(why, sizeof why, "\"reason\": \"%s\"", IOL_WORD(reason, reason));
    starter_fill(&text, "\"case_ref\": null", "\"case_ref\": \"asked\"");
    starter_fill(&text, "\"eye\": null", eye == IOL_side_right ? "\"eye\": \"right\"" : "\"eye\": \"left\"");
    starter_fill(&text, "\"reason\": null", why);
    must_read_case(text.bytes, c);
}

#endif
