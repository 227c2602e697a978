/* Marks of a drawing on a sheet, read back from its page; include it after check.h. */
#ifndef IOL_TESTS_DRAWN_MARKS_H
#define IOL_TESTS_DRAWN_MARKS_H

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

#include "kept.h"
#include "report/sheet.h"

static const char *who; /* whose drawing it is */

typedef struct {
    double x, y;
} point;

/* ---- marks of a drawing ---- */

static inline const char *nth(const char *svg, const char *tag, const char *kind, int n) {
    char open[64];
    snprintf(open, sizeof open, "<%s class=\"%s\"", tag, kind);
    const char *at = strstr(svg, open);
    while (at && n-- > 0) at = strstr(at + 1, open);
    return at;
}

static inline int count_of(const char *svg, const char *tag, const char *kind) {
    int count = 0;
    while (nth(svg, tag, kind, count)) count++;
    return count;
}

static inline double value_of(const char *at, const char *name) {
    char open[16];
    snprintf(open, sizeof open, " %s=\"", name);
    const char *found = at ? strstr(at, open) : NULL;
    if (!found) fail_msg("%s: a mark without %s", who, name);
    return strtod(found + strlen(open), NULL);
}

static inline void line_of(const char *svg, const char *kind, int n, point end[2]) {
    const char *at = nth(svg, "line", kind, n);
    end[0] = (point){value_of(at, "x1"), value_of(at, "y1")}, end[1] = (point){value_of(at, "x2"), value_of(at, "y2")};
}

static inline int path_of(const char *svg, const char *kind, int n, point out[], int most) {
    const char *at = nth(svg, "path", kind, n);
    int count = 0;
    if (!at) fail_msg("%s: no %s", who, kind);
    for (at = strstr(at, " d=\"") + 4; *at != '"' && count < most; at++) {
        if (*at != 'M' && *at != 'L') continue;
        char *end;
        const double x = strtod(at + 1, &end);
        out[count++] = (point){x, strtod(end, NULL)};
    }
    return count;
}

typedef struct {
    point middle;
    double r;
} disc;

static inline disc disc_of(const char *svg, const char *kind) {
    char open[32];
    snprintf(open, sizeof open, "<circle class=\"%s", kind); /* or of a kind that begins so: not measured, not placed */
    const char *at = strstr(svg, open);
    return (disc){{value_of(at, "cx"), value_of(at, "cy")}, value_of(at, "r")};
}

/* A drawing by itself. */
static inline const char *drawn_of(const iol_plan *plan, void (*draw)(iol_sheet *)) {
    iol_html out = {.sink = keep, .ok = true};
    iol_sheet s = {.out = &out, .plan = plan};
    kept.used = 0, kept.bytes[0] = '\0';
    draw(&s);
    return kept.bytes;
}

/* A word of a drawing: its classes, where it stands, and the number that it is, if it is one. */
typedef struct {
    char kind[40], text[60];
    point at;
    double value;
} word;

/* One of its classes. */
static inline bool is_kind(const word *w, const char *what) {
    const size_t length = strlen(what);
    for (const char *at = w->kind; (at = strstr(at, what)); at++)
        if ((at == w->kind || at[-1] == ' ') && (at[length] == ' ' || at[length] == '\0')) return true;
    return false;
}

static inline int words_of(const char *svg, word out[], int most) {
    int count = 0;
    for (const char *at = svg; (at = strstr(at, "<text class=\"")) && count < most; at++) {
        word *w = &out[count++];
        const char *inside = strchr(at, '>') + 1;
        char plain[60];
        snprintf(w->kind, sizeof w->kind, "%.*s", (int)strcspn(at + 13, "\""), at + 13);
        snprintf(w->text, sizeof w->text, "%.*s", (int)strcspn(inside, "<"), inside);
        w->at = (point){value_of(at, "x"), value_of(at, "y")};
        const bool minus = strncmp(w->text, "\xE2\x88\x92", 3) == 0;
        snprintf(plain, sizeof plain, "%s%s", minus ? "-" : "", w->text + (minus ? 3 : 0));
        char *end;
        w->value = strtod(plain, &end);
        if (end == plain) w->value = NAN;
    }
    return count;
}

/* The word of this text; fails where there is none. */
static inline const word *word_in(const word all[], int count, const char *text) {
    for (int i = 0; i < count; i++)
        if (strcmp(all[i].text, text) == 0) return &all[i];
    fail_msg("%s: no word %s", who, text);
    return NULL;
}

#endif
