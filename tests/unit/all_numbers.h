/* Every number of the tables of data/, one after the other: table, name, value as written there. */
#ifndef TESTS_ALL_NUMBERS_H
#define TESTS_ALL_NUMBERS_H

#include "iolrevise.h"
#include "tables/risk.h"
#include "tables/tables.h"

typedef void (*iol_number_told)(const char *table, const char *id, const char *value);

static inline void iol_limits(const iol_object *object, const char *above, iol_number_told tell) {
    for (int i = 0; i < object->count; i++) {
        const iol_field *f = &object->field[i];
        char path[400], value[200];
        snprintf(path, sizeof path, "%.200s/%.60s", above, f->key);
        snprintf(value, sizeof value, "%.10g %.10g %.10g %.10g, most %d", f->hard_low, f->hard_high, f->usual_low,
                 f->usual_high, f->kind == IOL_KIND_LIST || f->kind == IOL_KIND_TEXT || f->count_offset ? f->most : 0);
        if (f->kind == IOL_KIND_NUM || f->kind == IOL_KIND_NUMS || f->most > 0) tell("limits", path, value);
        if (f->kind == IOL_KIND_PART || f->kind == IOL_KIND_LIST) iol_limits(f->inside, path, tell);
    }
}

/* How much room the lists and texts of what is printed have. */
static inline void iol_rooms(const iol_object *object, const char *above, iol_number_told tell) {
    for (int i = 0; i < object->count; i++) {
        const iol_field *f = &object->field[i];
        char path[400], value[24];
        snprintf(path, sizeof path, "%.200s/%.60s", above, f->key);
        snprintf(value, sizeof value, "%d", f->most);
        if (f->most > 0) tell("room", path, value);
        if (f->kind == IOL_KIND_PART || f->kind == IOL_KIND_LIST) iol_rooms(f->inside, path, tell);
    }
}

static inline void iol_all_numbers(iol_number_told tell) {
    char value[200];
#define CONSTANT(id, value, unit, reference, status, text) tell("constants", #id, #value);
#include "constants.def"
#undef CONSTANT
#define GROSS(suspect, key, rate, quantities, look, reference, status, text) tell("rates", key, #rate);
#include "gross_rates.def"
#undef GROSS
#define FACTOR(key, value, reference, status, text) tell("factors", #key, #value);
#include "evidence_factors.def"
#undef FACTOR
#define SPREAD(id, value, unit, reference, status, text) tell("spreads", #id, #value);
#include "spreads.def"
#undef SPREAD
#define REMOVAL_WIDTH(method, low, low_ref, low_status, high, high_ref, high_status, text)                             \
    tell("removal_widths", #method, #low " " #high);
#include "removal_widths.def"
#undef REMOVAL_WIDTH
#define EVIDENCE(key, value, low, high, unit, reference, status, text)                                                 \
    tell("evidence", #key, #value " " #low " " #high);
#include "evidence.def"
#undef EVIDENCE
    for (int i = 0; i < IOL_RISK_COUNT; i++) {
        snprintf(value, sizeof value, "%.10g", iol_risk_points(&iol_risk_rows[i]));
        tell("risk_factors", iol_risk_rows[i].id, value);
    }
#define CHILD_SHIFT(first, last, figure, words) tell("child_shift", #figure, #first " " #last);
#include "child_shift.def"
#undef CHILD_SHIFT
#define UNIT(id, printed, json, text) tell("units", #id, #json " " #text);
#include "units.def"
#undef UNIT
#undef PUBLISHED /* of check.h: the name of a file */
#define PUBLISHED(option, figure, within, eyes) tell("published", #option " " #figure, #within " " #eyes);
#include "published.def"
#undef PUBLISHED
    static iol_site shelf;
    iol_site_generic(&shelf);
    for (int i = 0; i < shelf.lenses_count; i++) {
        const iol_shelf_lens *l = &shelf.lenses[i];
        int used = snprintf(value, sizeof value, "%.10g %.10g %.10g %.10g %.10g to %.10g by %.10g, cylinder",
                            l->length_mm, l->constants.a_constant, l->refractive_index, l->optic_diameter_mm,
                            l->power_first_d, l->power_last_d, l->power_step_d);
        for (int k = 0; k < l->cylinder_steps_d_count; k++)
            used += snprintf(value + used, sizeof value - (size_t)used, " %.10g", l->cylinder_steps_d[k]);
        tell("generic_shelf", l->id, value);
    }
    iol_limits(iol_object_case, "", tell);
    iol_limits(iol_object_site, "", tell);
    iol_rooms(iol_object_plan, "plan", tell);
    iol_rooms(iol_object_asked, "asked", tell);
    iol_rooms(iol_object_recheck, "recheck", tell);
    iol_rooms(iol_object_summary, "summary", tell);
    iol_rooms(iol_object_comparison, "comparison", tell);
    iol_rooms(iol_object_drift, "drift", tell);
#define HINT(object, key, side, limit, code, meant) tell("hints", #object " " #key, #limit);
#define BEYOND(...)
#include "hints.def"
#undef HINT
#undef BEYOND
#define ITEM(kind, item, count, predicate, why, finding) tell("theatre_items", item, #count);
#include "theatre_items.def"
#undef ITEM
}

#endif
