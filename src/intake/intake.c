/* One value after another into a case. */
#include "intake.h"

#include <string.h>

#include "tables/say.h"

void iol_intake_start(iol_intake *intake, iol_case *c, iol_remarks *remarks, iol_faults *faults) {
    intake->c = c;
    intake->remarks = remarks;
    intake->faults = faults;
    intake->taken = intake->same = intake->notes = intake->notes_lost = 0;
}

void iol_intake_note(iol_intake *intake, const char *path, const char *words) {
    char text[IOL_INTAKE_NOTE] = "";
    if (path) iol_append(text, sizeof text, path);
    if (path) iol_append(text, sizeof text, ": ");
    iol_append(text, sizeof text, words);
    for (int i = 0; i < intake->notes; i++)
        if (strcmp(intake->note[i], text) == 0) return;
    if (intake->notes == IOL_INTAKE_NOTES)
        intake->notes_lost++;
    else
        memcpy(intake->note[intake->notes++], text, sizeof text);
}

void iol_intake_fault(iol_intake *intake, iol_fault_code code, const char *path, const char *found,
                      const char *wanted) {
    iol_fault_add(intake->faults, code, path, found, wanted, "");
}

static bool is_fresh(const iol_intake *intake, const char *path) {
    for (int i = 0; i < intake->taken && i < IOL_INTAKE_FRESH; i++)
        if (strcmp(intake->fresh[i], path) == 0) return true;
    return false;
}

/* What the case holds is another value than the one that comes. */
static bool differs(iol_intake *intake, const iol_entry *entry, const char *text) {
    iol_case other = *intake->c;
    iol_entry again;
    iol_refusal refusal = {.brief = true};
    char held[64], comes[64];
    iol_entry_print(entry, held, sizeof held);
    if (!iol_entry_find(&other, entry->path, &again, &refusal) || !iol_entry_set(&again, text, &refusal)) return true;
    return strcmp(held, iol_entry_print(&again, comes, sizeof comes)) != 0;
}

/* Numbers, days and words of ours can be shown; a text of a file is not. */
static const char *shown(const iol_entry *entry, const char *text) {
    return entry->field->kind == IOL_KIND_TEXT ? "another text" : text;
}

static bool held_already(iol_intake *intake, const iol_entry *entry, const char *text) {
    char held[64], wanted[IOL_FAULT_WANTED] = "";
    if (!differs(intake, entry, text)) {
        intake->same++;
        return true;
    }
    iol_entry_print(entry, held, sizeof held);
    if (is_fresh(intake, entry->path)) {
        iol_append(wanted, sizeof wanted, "kept ");
        iol_append(wanted, sizeof wanted, shown(entry, held));
        iol_append(wanted, sizeof wanted, ", the newer; not taken ");
        iol_append(wanted, sizeof wanted, shown(entry, text));
        iol_intake_note(intake, entry->path, wanted);
        return true;
    }
    iol_append(wanted, sizeof wanted, shown(entry, held));
    iol_append(wanted, sizeof wanted, ", which the case holds already; clear the one that is wrong");
    iol_intake_fault(intake, IOL_FAULT_contradiction, entry->path, shown(entry, text), wanted);
    return false;
}

bool iol_intake_put(iol_intake *intake, const char *path, const char *text, const char *origin) {
    iol_entry entry;
    iol_refusal refusal = {.brief = false};
    if (!iol_entry_find(intake->c, path, &entry, &refusal)) {
        iol_intake_fault(intake, refusal.code, path, "no place for it", refusal.wanted);
        return false;
    }
    if (iol_entry_known(&entry)) return held_already(intake, &entry, text);
    if (!iol_entry_set(&entry, text, &refusal)) {
        iol_fault_add(intake->faults, refusal.code, entry.path, shown(&entry, text), refusal.wanted, refusal.unit);
        return false;
    }
    if (intake->taken < IOL_INTAKE_FRESH) memcpy(intake->fresh[intake->taken], entry.path, sizeof entry.path);
    intake->taken++;
    if (!iol_remarks_set(intake->remarks, entry.path, origin))
        iol_intake_fault(intake, IOL_FAULT_too_long, entry.path, "more remarks",
                         "fewer: no room for where this value came from");
    return true;
}

/* ---- readings ---- */

static void make_room(iol_intake *intake, int place) {
    iol_case *c = intake->c;
    memmove(&c->refractions[place + 1], &c->refractions[place],
            (size_t)(c->refractions_count - place) * sizeof c->refractions[0]);
    iol_object_reset(iol_field_at(iol_object_case, "/refractions")->inside, &c->refractions[place]);
    c->refractions_count++;
    iol_remarks_moved(intake->remarks, "/refractions", place);
    for (int i = 0; i < intake->taken && i < IOL_INTAKE_FRESH; i++)
        iol_remark_path_moved(intake->fresh[i], "/refractions", place);
}

int iol_intake_reading(iol_intake *intake, int32_t day, int method, bool may_be_new) {
    iol_case *c = intake->c;
    int place = c->refractions_count;
    for (int i = 0; i < c->refractions_count; i++) {
        const iol_refraction *r = &c->refractions[i];
        bool same_method = method <= 0 || r->method <= 0 || r->method == method;
        if (r->measured_on == day && same_method) return i;
        if (r->measured_on != IOL_UNKNOWN_DATE && r->measured_on > day && place > i) place = i;
    }
    if (!may_be_new || c->refractions_count == (int)IOL_MOST(c->refractions)) return -1;
    make_room(intake, place);
    return place;
}

/* ---- a whole case ---- */

static void put_members(iol_intake *intake, iol_case *from, const iol_object *object, char path[IOL_ENTRY_PATH],
                        const char *origin);

static void put_leaf(iol_intake *intake, iol_case *from, const char *path, const char *origin) {
    iol_entry entry;
    iol_refusal refusal = {.brief = true};
    char text[64];
    if (!iol_entry_find(from, path, &entry, &refusal) || !iol_entry_known(&entry)) return;
    iol_intake_put(intake, path, iol_entry_print(&entry, text, sizeof text), origin);
}

static void put_field(iol_intake *intake, iol_case *from, const iol_field *field, char path[IOL_ENTRY_PATH],
                      const char *origin) {
    size_t before = strlen(path);
    iol_append(path, IOL_ENTRY_PATH, "/");
    iol_append(path, IOL_ENTRY_PATH, field->key);
    size_t inside = strlen(path);
    if (field->kind == IOL_KIND_PART)
        put_members(intake, from, field->inside, path, origin);
    else if (field->kind == IOL_KIND_LIST)
        for (int i = 0; i < *(const int *)(const void *)((const char *)from + field->count_offset); i++) {
            iol_append(path, IOL_ENTRY_PATH, "/");
            iol_append_number(path, IOL_ENTRY_PATH, i);
            put_members(intake, from, field->inside, path, origin);
            path[inside] = '\0';
        }
    else if (field->kind != IOL_KIND_WORDS)
        put_leaf(intake, from, path, origin);
    path[before] = '\0';
}

static void put_members(iol_intake *intake, iol_case *from, const iol_object *object, char path[IOL_ENTRY_PATH],
                        const char *origin) {
    for (int i = 0; i < object->count; i++) put_field(intake, from, &object->field[i], path, origin);
}

void iol_intake_case(iol_intake *intake, const iol_case *from, const char *origin) {
    iol_case copy = *from; /* places are found in a case that may be written */
    char path[IOL_ENTRY_PATH] = "";
    put_members(intake, &copy, iol_object_case, path, origin);
    if (intake->c->reasons_also_count == 0 && from->reasons_also_count > 0) {
        memcpy(intake->c->reasons_also, from->reasons_also, sizeof from->reasons_also);
        intake->c->reasons_also_count = from->reasons_also_count;
        intake->c->present = true;
        if (intake->taken < IOL_INTAKE_FRESH)
            intake->fresh[intake->taken][0] = '\0'; /* a list, with no remark of its own */
        intake->taken++;
    }
}
