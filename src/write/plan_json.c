/* The plan as JSON: a walk over the plan table. */
#include <string.h>

#include "plan/references.h"
#include "iolrevise/plan.h"
#include "json.h"
#include "object_json.h"
#include "tables/tables.h"
#include "text/number.h"

typedef struct {
    iol_json json;
    const iol_plan *plan;
    int base; /* first row of the notes of a list here */
} writer;

static void write_members(writer *w, const iol_object *object, const void *at, int row);

/* { code, text, source } and, where the row has it, severity or what lifts it; a reason of a standing always has `lifts`. */
static void write_note(writer *w, const char *key, const iol_note *note) {
    char text[640];
    const iol_note_row *row = &iol_note_rows[note->code];
    iol_json_open(&w->json, key, '{');
    iol_json_text(&w->json, "code", row->code);
    if (row->severity != IOL_SEVERITY_none) iol_json_text(&w->json, "severity", iol_severity_text(row->severity));
    iol_json_text(&w->json, "text", iol_note_text(note, text, sizeof text));
    if (row->lifts)
        iol_json_text(&w->json, "lifts", iol_note_lifts(note, text, sizeof text));
    else if (note->place == IOL_AT_replacement_standing_reasons)
        iol_json_null(&w->json, "lifts");
    iol_json_text(&w->json, "source", iol_references[row->reference].key);
    iol_json_close(&w->json, '}');
}

static void write_assumption(writer *w, const iol_note *note) {
    char text[640];
    const iol_note_row *row = &iol_note_rows[note->code];
    iol_json_open(&w->json, NULL, '{');
    iol_json_text(&w->json, "field", row->code);
    if (!isnan(note->value))
        iol_json_number(&w->json, "value", note->value, 4);
    else
        iol_json_text(&w->json, "value", note->word[0] ? note->word : NULL);
    iol_json_text(&w->json, "text", iol_note_text(note, text, sizeof text));
    iol_json_close(&w->json, '}');
}

static void write_notes(writer *w, const iol_field *field, int row) {
    iol_json_open(&w->json, field->key, '[');
    for (int i = iol_note_find(&w->plan->notes, field->place, row, 0); i >= 0;
         i = iol_note_find(&w->plan->notes, field->place, row, i + 1)) {
        if (field->place == IOL_AT_plan_assumptions)
            write_assumption(w, &w->plan->notes.item[i]);
        else
            write_note(w, NULL, &w->plan->notes.item[i]);
    }
    iol_json_close(&w->json, ']');
}

static void write_noted(writer *w, const iol_field *field, int row) {
    int i = iol_note_find(&w->plan->notes, field->place, row, 0);
    char text[640];
    if (field->kind == IOL_KIND_NOTES)
        write_notes(w, field, row);
    else if (i < 0)
        iol_json_null(&w->json, field->key);
    else if (field->kind == IOL_KIND_NOTE)
        write_note(w, field->key, &w->plan->notes.item[i]);
    else
        iol_json_text(&w->json, field->key, iol_note_text(&w->plan->notes.item[i], text, sizeof text));
}

/* Citations of everything that the plan says, in the order of the table of references. */
static void write_sources(writer *w, const char *key) {
    bool used[IOL_REF_COUNT];
    iol_plan_references(w->plan, used);
    iol_json_open(&w->json, key, '[');
    for (int i = 0; i < IOL_REF_COUNT; i++) {
        if (!used[i]) continue;
        iol_json_open(&w->json, NULL, '{');
        iol_json_text(&w->json, "key", iol_references[i].key);
        iol_json_text(&w->json, "citation", iol_references[i].citation);
        iol_json_text(&w->json, "status", iol_status_text(iol_references[i].status));
        iol_json_close(&w->json, '}');
    }
    iol_json_close(&w->json, ']');
}

static void write_list(writer *w, const iol_field *field, const char *elements, int count) {
    if (count < 0) {
        iol_json_null(&w->json, field->key);
        return;
    }
    iol_json_open(&w->json, field->key, '[');
    for (int i = 0; i < count; i++) {
        if (field->kind == IOL_KIND_WORDS) {
            iol_json_text(&w->json, NULL, iol_word_text(field->words, ((const int *)(const void *)elements)[i]));
            continue;
        }
        if (field->kind == IOL_KIND_NUMS) {
            double x = ((const double *)(const void *)elements)[i];
            iol_json_number(&w->json, NULL, x, iol_units[field->unit].json_decimals);
            continue;
        }
        if (field->kind == IOL_KIND_PATHS) {
            iol_json_text(&w->json, NULL, ((const char *const *)(const void *)elements)[i]);
            continue;
        }
        iol_json_open(&w->json, NULL, '{');
        write_members(w, field->inside, elements + (size_t)i * field->inside->size, w->base + i);
        iol_json_close(&w->json, '}');
    }
    iol_json_close(&w->json, ']');
}

static void write_part(writer *w, const iol_field *field, const void *at, int row) {
    if (!*(const bool *)at) {
        iol_json_null(&w->json, field->key);
        return;
    }
    iol_json_open(&w->json, field->key, '{');
    write_members(w, field->inside, at, row);
    iol_json_close(&w->json, '}');
}

/* The members of another object, with notes of their own. */
static void write_same(writer *w, const iol_field *field, const void *at) {
    w->base = IOL_ROW_SECOND_LENS;
    write_members(w, field->inside, at, w->base);
    w->base = 0;
}

static void write_date(writer *w, const char *key, int32_t day) {
    char text[11];
    if (day != IOL_UNKNOWN_DATE) iol_date_print(day, text);
    iol_json_text(&w->json, key, day == IOL_UNKNOWN_DATE ? NULL : text);
}

static void write_flag(writer *w, const char *key, iol_flag flag) {
    if (flag == IOL_UNKNOWN)
        iol_json_null(&w->json, key);
    else
        iol_json_bool(&w->json, key, flag == IOL_YES);
}

/* Directions keep to their range when they are rounded. */
static double told(const iol_field *field, double x) {
    int decimals = iol_units[field->unit].json_decimals;
    if (field->unit != IOL_UNIT_deg) return x;
    if (strstr(field->key, "axis") || strstr(field->key, "meridian")) return iol_axis_told(x, decimals);
    return strstr(field->key, "position") ? iol_place_told(x, decimals) : x;
}

static void write_member(writer *w, const iol_field *field, const void *base, int row) {
    const char *at = (const char *)base + field->offset;
    switch (field->kind) {
    case IOL_KIND_NUM:
        iol_json_number(&w->json, field->key, told(field, *(const double *)(const void *)at),
                        iol_units[field->unit].json_decimals);
        break;
    case IOL_KIND_WORD:
        iol_json_text(&w->json, field->key, iol_word_text(field->words, *(const int *)(const void *)at));
        break;
    case IOL_KIND_FLAG: write_flag(w, field->key, *(const iol_flag *)(const void *)at); break;
    case IOL_KIND_DATE: write_date(w, field->key, *(const int32_t *)(const void *)at); break;
    case IOL_KIND_TEXT: iol_json_text(&w->json, field->key, *at ? at : NULL); break;
    case IOL_KIND_STRING: iol_json_text(&w->json, field->key, *(const char *const *)(const void *)at); break;
    case IOL_KIND_PART: write_part(w, field, at, row); break;
    case IOL_KIND_SAME: write_same(w, field, at); break;
    case IOL_KIND_REFS: write_sources(w, field->key); break;
    case IOL_KIND_NOTE:
    case IOL_KIND_NOTES:
    case IOL_KIND_SAYS: write_noted(w, field, row); break;
    default: write_list(w, field, at, *(const int *)(const void *)((const char *)base + field->count_offset)); break;
    }
}

static void write_members(writer *w, const iol_object *object, const void *at, int row) {
    for (int i = 0; i < object->count; i++) write_member(w, &object->field[i], at, row);
}

bool iol_plan_write(const iol_plan *plan, iol_write sink, void *context) {
    writer w = {.plan = plan};
    iol_json_start(&w.json, sink, context, true);
    iol_json_open(&w.json, NULL, '{');
    write_members(&w, iol_object_plan, plan, 0);
    iol_json_close(&w.json, '}');
    return iol_json_finish(&w.json);
}

bool iol_what_if_write(const iol_plan *plan, const iol_plan variant[], int count, iol_write sink, void *context) {
    writer w = {.plan = plan};
    iol_json_start(&w.json, sink, context, true);
    iol_json_open(&w.json, NULL, '{');
    write_members(&w, iol_object_plan, plan, 0);
    iol_json_open(&w.json, "what_if", '[');
    for (int i = 0; i < count; i++) {
        const iol_field *changed = iol_object_find(iol_object_plan, "changed", strlen("changed"));
        w.plan = &variant[i];
        iol_json_open(&w.json, NULL, '{');
        write_member(&w, changed, &variant[i], 0);
        iol_json_open(&w.json, "plan", '{');
        write_members(&w, iol_object_plan, &variant[i], 0);
        iol_json_close(&w.json, '}');
        iol_json_close(&w.json, '}');
    }
    iol_json_close(&w.json, ']');
    iol_json_close(&w.json, '}');
    return iol_json_finish(&w.json);
}

bool iol_pair_write(const iol_plan *right, const iol_plan *left, iol_write sink, void *context) {
    const iol_plan *const plans[] = {right, left};
    static const char *const keys[] = {"right", "left"};
    writer w = {.plan = right};
    iol_json_start(&w.json, sink, context, true);
    iol_json_open(&w.json, NULL, '{');
    for (int i = 0; i < 2; i++) {
        w.plan = plans[i];
        iol_json_open(&w.json, keys[i], '{');
        write_members(&w, iol_object_plan, plans[i], 0);
        iol_json_close(&w.json, '}');
    }
    iol_json_close(&w.json, '}');
    return iol_json_finish(&w.json);
}

bool iol_object_write(const iol_object *object, const void *at, bool pretty, iol_sink sink, void *context) {
    writer w = {.plan = NULL};
    iol_json_start(&w.json, sink, context, pretty);
    iol_json_open(&w.json, NULL, '{');
    write_members(&w, object, at, 0);
    iol_json_close(&w.json, '}');
    return iol_json_finish(&w.json);
}
