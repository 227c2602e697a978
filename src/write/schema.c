/* A walk over an object and those inside it; each becomes one definition. */
#include "schema.h"

#include <string.h>

#include "json.h"
#include "tables/say.h"

enum { MOST_OBJECTS = 64 };

typedef struct {
    iol_json json;
    bool input, lost, root; /* root: the outermost object is next */
    int count;
    const iol_object *object[MOST_OBJECTS];
} writer;

/* ---- pieces ---- */

static void number(writer *w, const char *key, double x) { iol_json_number(&w->json, key, x, iol_say_decimals(x)); }

/* "type": NAME, or NAME and null. */
static void type(writer *w, const char *name, bool or_null) {
    if (!or_null) {
        iol_json_text(&w->json, "type", name);
        return;
    }
    iol_json_open(&w->json, "type", '[');
    iol_json_text(&w->json, NULL, name);
    iol_json_text(&w->json, NULL, "null");
    iol_json_close(&w->json, ']');
}

static void words(writer *w, const iol_word_set *set, bool or_null) {
    iol_json_open(&w->json, "enum", '[');
    for (int i = 1; i < set->count; i++) iol_json_text(&w->json, NULL, set->word[i]);
    if (set->not_examined) iol_json_text(&w->json, NULL, "not-examined");
    if (set->unknown) iol_json_text(&w->json, NULL, "unknown");
    if (or_null) iol_json_null(&w->json, NULL);
    iol_json_close(&w->json, ']');
}

static void limits(writer *w, const iol_field *field) {
    if (!w->input) return;
    number(w, "minimum", field->hard_low);
    number(w, "maximum", field->hard_high);
}

static void refer(writer *w, const char *name) {
    char path[80] = "#/$defs/";
    iol_append(path, sizeof path, name);
    iol_json_text(&w->json, "$ref", path);
}

static void refer_or_null(writer *w, const char *name, bool or_null) {
    if (!or_null) {
        refer(w, name);
        return;
    }
    iol_json_open(&w->json, "anyOf", '[');
    iol_json_open(&w->json, NULL, '{');
    refer(w, name);
    iol_json_close(&w->json, '}');
    iol_json_open(&w->json, NULL, '{');
    iol_json_text(&w->json, "type", "null");
    iol_json_close(&w->json, '}');
    iol_json_close(&w->json, ']');
}

/* Marks that nobody sees, as src/case/value.c has them. */
#define UNSEEN "\\u200b-\\u200f\\u2028-\\u202e\\u2060-\\u206f\\ufeff"

static void text_value(writer *w, const iol_field *field, bool or_null) {
    type(w, "string", or_null);
    if (!w->input) return;
    iol_json_integer(&w->json, "minLength", 1);
    iol_json_integer(&w->json, "maxLength", field->most);
    iol_json_text(&w->json, "pattern",
                  iol_field_is_reference(field) ? "^[A-Za-z0-9][A-Za-z0-9._-]*$"
                                                : "^[^\\u0000-/:-@\\[-`{-\\u009f" UNSEEN
                                                  "][^\\u0000-\\u001f\\u007f-\\u009f" UNSEEN "]*$");
}

/* ---- one value ---- */

static void items(writer *w, const iol_field *field, bool or_null) {
    type(w, "array", or_null);
    if (w->input && !or_null) iol_json_integer(&w->json, "minItems", 1);
    if (field->most > 0) iol_json_integer(&w->json, "maxItems", field->most);
    iol_json_open(&w->json, "items", '{');
    switch (field->kind) {
    case IOL_KIND_LIST: refer(w, field->inside->name); break;
    case IOL_KIND_WORDS: words(w, field->words, false); break;
    case IOL_KIND_NUMS:
        type(w, "number", false);
        limits(w, field);
        break;
    case IOL_KIND_NOTES: refer(w, field->place == IOL_AT_plan_assumptions ? "assumption" : "note"); break;
    case IOL_KIND_REFS: refer(w, "citation"); break;
    default: type(w, "string", false); break; /* PATHS */
    }
    iol_json_close(&w->json, '}');
}

static void value(writer *w, const iol_field *field, bool or_null) {
    switch (field->kind) {
    case IOL_KIND_NUM:
        type(w, iol_field_is_whole(field) && w->input ? "integer" : "number", or_null);
        limits(w, field);
        break;
    case IOL_KIND_WORD: words(w, field->words, or_null); break;
    case IOL_KIND_FLAG: type(w, "boolean", or_null); break;
    case IOL_KIND_DATE:
        type(w, "string", or_null);
        iol_json_text(&w->json, "pattern", "^(19|20|21)[0-9]{2}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$");
        break;
    case IOL_KIND_TEXT: text_value(w, field, or_null); break;
    case IOL_KIND_PART: refer_or_null(w, field->inside->name, or_null); break;
    case IOL_KIND_STRING:
    case IOL_KIND_SAYS: type(w, "string", or_null); break;
    case IOL_KIND_NOTE: refer_or_null(w, "note", or_null); break;
    case IOL_KIND_NOTES:
    case IOL_KIND_REFS: items(w, field, false); break;
    default: items(w, field, or_null); break;
    }
}

static void property(writer *w, const iol_object *object, const iol_field *field) {
    char text[640];
    iol_json_open(&w->json, field->key, '{');
    const char *unit = iol_units[field->unit].printed;
    iol_say_field(field, text, sizeof text);
    if (!w->input) { /* no limits: the meaning and the unit */
        text[0] = '\0';
        iol_append(text, sizeof text, field->text);
        iol_append(text, sizeof text, unit[0] ? "; " : "");
        iol_append(text, sizeof text, unit);
    }
    iol_json_text(&w->json, "description", text);
    value(w, field, !(w->input && iol_field_required(object, field)));
    iol_json_close(&w->json, '}');
}

/* ---- objects ---- */

static void properties(writer *w, const iol_object *object) {
    for (int i = 0; i < object->count; i++) {
        if (object->field[i].kind == IOL_KIND_SAME)
            properties(w, object->field[i].inside);
        else
            property(w, object, &object->field[i]);
    }
}

static void required(writer *w, const iol_object *object) {
    for (int i = 0; i < object->count; i++) {
        if (object->field[i].kind == IOL_KIND_SAME)
            required(w, object->field[i].inside);
        else if (!w->input || iol_field_required(object, &object->field[i]))
            iol_json_text(&w->json, NULL, object->field[i].key);
    }
}

/* The members of an object's schema. */
static void body(writer *w, const iol_object *object) {
    iol_json_text(&w->json, "type", "object");
    iol_json_open(&w->json, "properties", '{');
    if (w->input && w->root) { /* for editors: where this schema is */
        iol_json_open(&w->json, "$schema", '{');
        iol_json_text(&w->json, "type", "string");
        iol_json_close(&w->json, '}');
    }
    w->root = false;
    properties(w, object);
    iol_json_close(&w->json, '}');
    iol_json_open(&w->json, "required", '[');
    required(w, object);
    iol_json_close(&w->json, ']');
    if (!w->input) return;
    iol_json_open(&w->json, "patternProperties", '{'); /* remarks */
    iol_json_open(&w->json, "^//", '{');
    iol_json_text(&w->json, "type", "string");
    iol_json_close(&w->json, '}');
    iol_json_close(&w->json, '}');
    iol_json_bool(&w->json, "additionalProperties", false);
}

/* Every object below this one, once. */
static void collect(writer *w, const iol_object *object) {
    for (int i = 0; i < object->count; i++) {
        const iol_field *field = &object->field[i];
        bool known = !field->inside;
        for (int k = 0; k < w->count && !known; k++) known = w->object[k] == field->inside;
        if (known) continue;
        if (field->kind != IOL_KIND_SAME) {
            if (w->count == MOST_OBJECTS) {
                w->lost = true;
                return;
            }
            w->object[w->count++] = field->inside;
        }
        collect(w, field->inside);
    }
}

/* An object of texts, for what is not a row of a table; key NULL ends the list. */
static void text_object(writer *w, const char *name, const char *const *key, int must) {
    iol_json_open(&w->json, name, '{');
    iol_json_text(&w->json, "type", "object");
    iol_json_open(&w->json, "properties", '{');
    for (int i = 0; key[i]; i++) {
        iol_json_open(&w->json, key[i], '{');
        if (strcmp(key[i], "value") != 0) type(w, "string", strcmp(key[i], "lifts") == 0);
        iol_json_close(&w->json, '}');
    }
    iol_json_close(&w->json, '}');
    iol_json_open(&w->json, "required", '[');
    for (int i = 0; i < must; i++) iol_json_text(&w->json, NULL, key[i]);
    iol_json_close(&w->json, ']');
    iol_json_close(&w->json, '}');
}

static void definitions(writer *w) {
    static const char *const note[] = {"code", "text", "source", "severity", "lifts", NULL};
    static const char *const assumption[] = {"field", "value", "text", NULL};
    static const char *const citation[] = {"key", "citation", "status", NULL};
    iol_json_open(&w->json, "$defs", '{');
    for (int i = 0; i < w->count; i++) {
        iol_json_open(&w->json, w->object[i]->name, '{');
        body(w, w->object[i]);
        iol_json_close(&w->json, '}');
    }
    if (!w->input) {
        text_object(w, "note", note, 3);
        text_object(w, "assumption", assumption, 3);
        text_object(w, "citation", citation, 3);
    }
    iol_json_close(&w->json, '}');
}

bool iol_schema_write(const iol_object *object, const char *title, bool input, iol_sink sink, void *context) {
    writer w = {.input = input, .root = true};
    char id[80] = "https://iolrevise.invalid/schema/"; /* a name, no place: the file is what `iolrevise schema` prints */
    iol_append(id, sizeof id, object->name);
    iol_append(id, sizeof id, "-1");
    collect(&w, object);
    iol_json_start(&w.json, sink, context, true);
    iol_json_open(&w.json, NULL, '{');
    iol_json_text(&w.json, "$schema", "https://json-schema.org/draft/2020-12/schema");
    iol_json_text(&w.json, "$id", id);
    iol_json_text(&w.json, "title", title);
    body(&w, object);
    definitions(&w);
    iol_json_close(&w.json, '}');
    return iol_json_finish(&w.json) && !w.lost;
}
