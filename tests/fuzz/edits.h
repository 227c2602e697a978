/* Bytes as changes of an example: so that most inputs are cases that the reader takes.
 *
 * Byte 0: 0x80 + the example, the last one a past case (0xEF, which begins a byte-order mark, is none). Byte 1: no site, or that
 * of the examples.
 * Then four bytes a change: number of the value, in table order, in lists three elements deep (from 0x8000 on: of the site),
 * and what it becomes. */
#ifndef TESTS_FUZZ_EDITS_H
#define TESTS_FUZZ_EDITS_H

#include "fuzz.h"

static inline bool fuzz_is_edits(const uint8_t *data, size_t size) {
    return size >= 2 && data[0] >= 0x80 && data[0] != 0xEF;
}

/* What a number becomes: unknown, a limit, a little beyond one, or a place between the hard limits. */
static inline double fuzz_number_between(const iol_field *f, double low, double high, unsigned v) {
    const double set[] = {NAN, low, high, f->usual_low, f->usual_high, 0.0, 0.5 * (low + high), 1.0, 90.0};
    if (v < sizeof set / sizeof *set) return set[v];
    return nearbyint((low + (high - low) * (double)v / 65535.0) * 100.0) / 100.0;
}

static inline void fuzz_set(const iol_field *f, void *at, unsigned v, int32_t today) {
    static const char *const texts[] = {
        "",         "a",        "generic-bag",          "=1+1",
        "<b>&'\"",  "\\\t",     "\xC3\xA9\xE2\x82\xAC", "aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa",
        "new-lens", "3p-sulcus"};
    switch (f->kind) {
    case IOL_KIND_NUM:
    case IOL_KIND_NUMS: *(double *)at = fuzz_number_between(f, f->hard_low, f->hard_high, v); break;
    case IOL_KIND_WORD:
    case IOL_KIND_WORDS:
        *(int *)at = (int)(v % (unsigned)(f->words->count + 1)) - 1;
        if (*(int *)at < 0 && !f->words->not_examined) *(int *)at = 0;
        break;
    case IOL_KIND_FLAG: *(iol_flag *)at = v % 3 == 0 ? IOL_UNKNOWN : v % 3 == 1 ? IOL_YES : IOL_NO; break;
    case IOL_KIND_DATE: *(int32_t *)at = v == 0 ? IOL_UNKNOWN_DATE : today + (int32_t)(v % 4001) - 3600; break;
    case IOL_KIND_TEXT: {
        const char *text = texts[v % (sizeof texts / sizeof *texts)];
        if (strlen(text) <= (size_t)f->most) snprintf(at, (size_t)f->most + 1, "%s", text);
        break;
    }
    default: break;
    }
}

/* Walk to value number *left and change it; true when it was there. */
static inline bool fuzz_change(const iol_object *object, void *base, unsigned *left, unsigned v, int32_t today) {
    for (int i = 0; i < object->count; i++) {
        const iol_field *f = &object->field[i];
        char *at = IOL_FIELD_AT(base, f);
        if (f->kind == IOL_KIND_PART) {
            if (fuzz_change(f->inside, at, left, v, today)) return true;
            continue;
        }
        bool list = f->kind == IOL_KIND_LIST, simple = f->kind != IOL_KIND_WORDS && f->kind != IOL_KIND_NUMS && !list;
        size_t step = list ? f->inside->size : f->kind == IOL_KIND_NUMS ? sizeof(double) : sizeof(int);
        for (int k = 0; k < (simple ? 1 : f->most < 3 ? f->most : 3); k++, at += step) {
            bool found = list ? fuzz_change(f->inside, at, left, v, today) : (*left)-- == 0;
            if (!found) continue;
            if (!list) fuzz_set(f, at, v, today);
            int *count = simple ? NULL : (int *)(void *)((char *)base + f->count_offset);
            if (count && *count <= k) *count = k + 1;
            return true;
        }
    }
    return false;
}

static inline bool fuzz_read_file(const char *name, fuzz_text *text) {
    FILE *file = fopen(name, "rb");
    if (!file) return false;
    text->used = fread(text->bytes, 1, sizeof text->bytes - 1, file);
    fclose(file);
    return true;
}

static const char *const fuzz_examples[] = {
    "after-laser", "dislocation",       "hyperopic-surprise",    "lens-opacity",
    "minimal",     "multifocal-photic", "myopic-surprise-early", "negative-dysphotopsia",
    "short-eye",   "silicone-oil",      "sulcus-lens",           "toric-turned",
    "wrong-lens"};
enum { FUZZ_EXAMPLES = sizeof fuzz_examples / sizeof *fuzz_examples + 1 };

/* An example's text, the first past case behind the others. */
static inline bool fuzz_example(int which, fuzz_text *text) {
    char name[80];
    bool past = which == FUZZ_EXAMPLES - 1;
    snprintf(name, sizeof name, "examples/%s.json%s", past ? "past-cases" : fuzz_examples[which], past ? "l" : "");
    if (!fuzz_read_file(name, text)) return false;
    if (past) text->used = (size_t)((char *)memchr(text->bytes, '\n', text->used) - text->bytes);
    return true;
}

/* The changed example as JSON, and the changed site ("" for none). False where the examples are not there. */
static inline bool fuzz_from_edits(const uint8_t *data, size_t size, fuzz_text *json, fuzz_text *site_json) {
    static iol_case example[FUZZ_EXAMPLES], c;
    static iol_site shelf, site;
    static iol_faults faults;
    static bool ready;
    for (int i = 0; i < FUZZ_EXAMPLES && !ready; i++) {
        if (!fuzz_example(i, json)) return false;
        fuzz_must(iol_case_read(json->bytes, json->used, &example[i], &faults), "an example is refused");
    }
    if (!ready)
        ready = fuzz_read_file("examples/site.json", json) && iol_site_read(json->bytes, json->used, &shelf, &faults);
    fuzz_must(ready, "the example site is refused");
    c = example[(data[0] & 0x7F) % FUZZ_EXAMPLES];
    site = shelf;
    int32_t today = c.assessed_on == IOL_UNKNOWN_DATE ? 20000 : c.assessed_on;
    for (size_t at = 2; at + 4 <= size; at += 4) {
        unsigned number = (unsigned)data[at] << 8 | data[at + 1], v = (unsigned)data[at + 2] << 8 | data[at + 3];
        bool of_site = number >= 0x8000;
        number &= 0x3FF;
        fuzz_change(of_site ? iol_object_site : iol_object_case, of_site ? (void *)&site : (void *)&c, &number, v,
                    today);
    }
    json->used = site_json->used = 0;
    fuzz_put_object(json, iol_object_case, &c);
    if (data[1] % 2) fuzz_put_object(site_json, iol_object_site, &site);
    return true;
}

#endif
