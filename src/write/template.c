/* A walk over the case or site table. */
#include "template.h"

#include <string.h>

#include "json.h"
#include "tables/say.h"

const iol_template_row iol_templates[] = {
#define TEMPLATE(kind, purpose, keys) {kind, purpose, keys},
#include "templates.def"
#undef TEMPLATE
    {NULL, NULL, NULL},
};

static void member(iol_json *json, const iol_object *object, const iol_field *field);

static void members(iol_json *json, const iol_object *object) {
    for (int i = 0; i < object->count; i++) member(json, object, &object->field[i]);
}

/* An object and what stands in it; more: how a list goes on. */
static void inside(iol_json *json, const iol_field *field, const char *key, const char *more) {
    char text[320] = "";
    iol_append(text, sizeof text, field->text);
    iol_append(text, sizeof text, more);
    iol_json_open(json, key, '{');
    iol_json_text(json, "//", text);
    members(json, field->inside);
    iol_json_close(json, '}');
}

static void list(iol_json *json, const iol_field *field) {
    char more[120] = "; at most ";
    iol_append_number(more, sizeof more, field->most);
    iol_append(more, sizeof more, ", one such object in braces for each");
    iol_json_open(json, field->key, '[');
    inside(json, field, NULL, more);
    iol_json_close(json, ']');
}

/* "//key": what to type, then the key. */
static void leaf(iol_json *json, const iol_object *object, const iol_field *field) {
    char remark[80] = "//", text[640], all[700] = "";
    iol_append(remark, sizeof remark, field->key);
    if (iol_field_required(object, field)) iol_append(all, sizeof all, "REQUIRED. ");
    iol_append(all, sizeof all, iol_say_field(field, text, sizeof text));
    iol_json_text(json, remark, all);
    iol_json_null(json, field->key);
}

static void member(iol_json *json, const iol_object *object, const iol_field *field) {
    if (field->kind == IOL_KIND_PART)
        inside(json, field, field->key, "");
    else if (field->kind == IOL_KIND_LIST)
        list(json, field);
    else
        leaf(json, object, field);
}

/* The members that keys names, once each, in its order. */
static void chosen(iol_json *json, const iol_object *object, const char *keys) {
    bool done[128] = {false};
    for (const char *at = keys; *at;) {
        size_t length = strcspn(at, " ");
        const iol_field *field = iol_object_find(object, at, length);
        if (field && !done[field - object->field]) {
            done[field - object->field] = true;
            member(json, object, field);
        }
        at += length + (at[length] == ' ');
    }
}

static const char help[] =
    "null = not known. Replace null where a value is known and leave the rest. Keys that start with "
    "// are remarks and are ignored. No name, date of birth or number that identifies a person.";

bool iol_template_write(const char *kind, iol_sink sink, void *context) {
    iol_json json;
    const iol_template_row *row = iol_templates;
    bool site = strcmp(kind, "site") == 0;
    while (row->kind && strcmp(row->kind, kind) != 0) row++;
    if (!site && !row->kind) return false;
    iol_json_start(&json, sink, context, true);
    iol_json_open(&json, NULL, '{');
    iol_json_text(&json, "//", help);
    if (site)
        members(&json, iol_object_site);
    else
        chosen(&json, iol_object_case, row->keys);
    iol_json_close(&json, '}');
    return iol_json_finish(&json);
}
