/* The examples as structs, to be changed field by field, and what a plan says about them. */
#ifndef TESTS_EXAMPLE_CASE_H
#define TESTS_EXAMPLE_CASE_H

#include <stdio.h>

#include "case_text.h"
#include "tables/tables.h"

static const char *const example_names[] = {"after-laser",
                                            "child",
                                            "dislocation",
                                            "displaced",
                                            "hyperopic-surprise",
                                            "lens-opacity",
                                            "minimal",
                                            "multifocal-photic",
                                            "myopic-surprise-early",
                                            "negative-dysphotopsia",
                                            "no-lens",
                                            "short-eye",
                                            "silicone-oil",
                                            "sulcus-lens",
                                            "toric-turned",
                                            "two-lenses",
                                            "wrong-lens"};
enum { EXAMPLES = sizeof example_names / sizeof *example_names };

static inline void file_text(const char *path, char *text, size_t size) {
    FILE *file = fopen(path, "r");
    if (!file) abort();
    size_t used = fread(text, 1, size - 1, file);
    text[used] = '\0';
    fclose(file);
}

static inline void example_text(const char *name, char *text, size_t size) {
    char path[80];
    snprintf(path, sizeof path, "examples/%s.json", name);
    file_text(path, text, size);
}

static inline void example_case(const char *name, iol_case *c) {
    static char text[65536];
    example_text(name, text, sizeof text);
    must_read_case(text, c);
}

/* An eye of tests/inputs/eyes. */
static inline void eye_case(const char *name, iol_case *c) {
    static char text[65536];
    char path[100];
    snprintf(path, sizeof path, "tests/inputs/eyes/%s.json", name);
    file_text(path, text, sizeof text);
    must_read_case(text, c);
}

static inline const iol_site *example_site(void) {
    static iol_site site;
    static char text[65536];
    if (site.present) return &site;
    example_text("site", text, sizeof text);
    must_read_site(text, &site);
    return &site;
}

/* The day that the plan counts to, as days after the first operation. */
static inline void on_day(iol_case *c, int day) { c->assessed_on = c->first_surgery.done_on + day; }

/* Index of a note of the plan at this place with this code, or -1. */
static inline int has_note(const iol_plan *plan, int place, int code) {
    for (int i = 0; i < plan->notes.count; i++)
        if (plan->notes.item[i].place == place && plan->notes.item[i].code == code) return i;
    return -1;
}

/* What decided: the code of the first reason of the decision, or -1. */
static inline int deciding_note(const iol_plan *plan) {
    int first = iol_note_find(&plan->notes, IOL_AT_decision_reasons, 0, 0);
    return first < 0 ? -1 : plan->notes.item[first].code;
}

#endif
