/* One call for hosts in other languages, and what a host asks first. */
#include "iolrevise/host.h"

#include <stdlib.h>
#include <string.h>

#include "iolrevise.h"
#include "write/json.h"

const char *iol_version(void) { return IOLREVISE_VERSION; }

bool iol_headers_match(size_t case_size, size_t site_size, size_t plan_size, size_t faults_size) {
    return case_size == sizeof(iol_case) && site_size == sizeof(iol_site) && plan_size == sizeof(iol_plan) &&
           faults_size == sizeof(iol_faults);
}

typedef struct {
    char *bytes;
    size_t size, used; /* used: asked for, whether it fits or not */
} target;

static bool keep(void *context, const char *bytes, size_t length) {
    target *t = context;
    if (t->size > t->used && t->size - t->used > length) memcpy(t->bytes + t->used, bytes, length);
    t->used += length;
    return true;
}

/* Ends the text; what does not fit is not left cut. */
static int64_t end(target *t) {
    bool fits = t->used < t->size;
    if (t->size > 0) t->bytes[fits ? t->used : 0] = '\0';
    return (int64_t)t->used;
}

typedef struct {
    iol_case c;
    iol_site site;
    iol_plan plan;
    iol_faults faults;
} workspace;

static int64_t refuse(const iol_faults *faults, const char *file, target *t) {
    iol_json j;
    iol_json_start(&j, keep, t, false);
    iol_json_open(&j, NULL, '{');
    iol_json_open(&j, "faults", '[');
    for (int i = 0; i < faults->count; i++) {
        const iol_fault *f = &faults->item[i];
        iol_json_open(&j, NULL, '{');
        iol_json_text(&j, "file", file);
        iol_json_integer(&j, "line", f->line);
        iol_json_text(&j, "code", iol_fault_word(f->code));
        iol_json_text(&j, "path", f->path);
        iol_json_text(&j, "found", f->found);
        iol_json_text(&j, "wanted", f->wanted);
        iol_json_text(&j, "unit", f->unit);
        iol_json_close(&j, '}');
    }
    iol_json_close(&j, ']');
    iol_json_integer(&j, "more", faults->more);
    iol_json_close(&j, '}');
    iol_json_finish(&j);
    return -end(t);
}

static int64_t plan(workspace *w, const char *case_text, const char *site_text, const char *as_of, target *t) {
    int32_t day = IOL_UNKNOWN_DATE;
    iol_faults *faults = &w->faults;
    if (as_of && !iol_date_read(as_of, &day)) {
        char found[IOL_FAULT_QUOTED];
        iol_faults_start(faults);
        iol_fault_add(faults, IOL_FAULT_bad_date, "", iol_fault_quote(as_of, strlen(as_of), found, sizeof found),
                      "a real day as 2026-11-25: year, month, day", "");
        return refuse(faults, "as_of", t);
    }
    if (!site_text)
        iol_site_generic(&w->site);
    else if (!iol_site_read(site_text, strlen(site_text), &w->site, faults))
        return iol_faults_no_memory(faults) ? 0 : refuse(faults, "site", t);
    if (!iol_case_read(case_text, strlen(case_text), &w->c, faults))
        return iol_faults_no_memory(faults) ? 0 : refuse(faults, "case", t);
    iol_plan_make(&w->c, &w->site, day, &w->plan);
    iol_plan_write(&w->plan, keep, t);
    return end(t);
}

int64_t iol_plan_json(const char *case_text, const char *site_text, const char *as_of, char *buffer, size_t size) {
    target t = {buffer, buffer ? size : 0, 0};
    workspace *w = malloc(sizeof *w);
    if (t.size > 0) buffer[0] = '\0';
    int64_t length = w ? plan(w, case_text, site_text, as_of, &t) : 0;
    free(w);
    return length;
}
