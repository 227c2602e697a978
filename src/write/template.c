/* A walk over the case or site table. */
#include "template.h"

#include <string.h>

#include "json.h"
#include "tables/say.h"

const iol_template_row iol_templates[] = {
#define TEMPLATE(kind, reason, purpose, keys) {kind, reason, purpose, keys},
#define SHORT(path)
#define SHORT_OF(kind, path)
#define FILLED(kind, path, word)
#include "templates.def"
#undef TEMPLATE
#undef SHORT
#undef SHORT_OF
#undef FILLED
    {NULL, NULL, NULL, NULL},
};

/* What the short form of a kind holds; kind NULL: every kind. */
static const struct {
    const char *kind, *path;
} shorts[] = {
#define TEMPLATE(kind, reason, purpose, keys)
#define SHORT(path) {NULL, path},
#define SHORT_OF(kind, path) {kind, path},
#define FILLED(kind, path, word)
#include "templates.def"
#undef TEMPLATE
#undef SHORT
#undef SHORT_OF
#undef FILLED
};

/* What a kind says of itself. */
typedef struct {
    const char *kind, *path, *word;
} filling;
static const filling fillings[] = {
#define TEMPLATE(kind, reason, purpose, keys)
#define SHORT(path)
#define SHORT_OF(kind, path)
#define FILLED(kind, path, word) {kind, path, word},
#include "templates.def"
#undef TEMPLATE
#undef SHORT
#undef SHORT_OF
#undef FILLED
};

typedef struct {
    iol_json json;
    const iol_template_row *row; /* NULL: the site */
    bool brief;
    char path[120]; /* of the object that is being written */
} writer;

/* The value, or one inside this object, belongs to what is printed. */
static bool wanted(const writer *w, const char *key) {
    char path[160] = "";
    if (!w->brief || !w->row) return true;
    iol_append(path, sizeof path, w->path);
    iol_append(path, sizeof path, key);
    size_t length = strlen(path);
    for (size_t i = 0; i < sizeof shorts / sizeof *shorts; i++) {
        if (shorts[i].kind && strcmp(shorts[i].kind, w->row->kind) != 0) continue;
        if (strncmp(shorts[i].path, path, length) == 0 && (!shorts[i].path[length] || shorts[i].path[length] == '.'))
            return true;
    }
    return false;
}

static void member(writer *w, const iol_object *object, const iol_field *field);

static void members(writer *w, const iol_object *object) {
    for (int i = 0; i < object->count; i++) member(w, object, &object->field[i]);
}

/* An object and what stands in it; key NULL: in a list; more: how the list goes on. */
static void inside(writer *w, const iol_field *field, const char *key, const char *more) {
    char text[320] = "";
    size_t above = strlen(w->path);
    iol_append(text, sizeof text, field->text);
    iol_append(text, sizeof text, more);
    iol_json_open(&w->json, key, '{');
    iol_json_text(&w->json, "//", text);
    iol_append(w->path, sizeof w->path, field->key);
    iol_append(w->path, sizeof w->path, ".");
    members(w, field->inside);
    w->path[above] = '\0';
    iol_json_close(&w->json, '}');
}

static void list(writer *w, const iol_field *field) {
    char more[120] = "; at most ";
    iol_append_number(more, sizeof more, field->most);
    iol_append(more, sizeof more, ", one such object in braces for each");
    iol_json_open(&w->json, field->key, '[');
    inside(w, field, NULL, more);
    iol_json_close(&w->json, ']');
}

/* The row that fills a value in, or NULL. */
static const filling *filling_of(const writer *w, const iol_field *field) {
    char path[160] = "";
    iol_append(path, sizeof path, w->path);
    iol_append(path, sizeof path, field->key);
    for (size_t i = 0; w->row && i < sizeof fillings / sizeof *fillings; i++)
        if (strcmp(fillings[i].kind, w->row->kind) == 0 && strcmp(fillings[i].path, path) == 0) return &fillings[i];
    return NULL;
}

/* The format, the reason where the kind has one, and what it says of itself. False: the value is left open. */
static bool filled(writer *w, const iol_field *field, const filling *by_kind) {
    bool outermost = w->row && !w->path[0];
    if (outermost && strcmp(field->key, "case_format") == 0)
        iol_json_integer(&w->json, field->key, 1);
    else if (outermost && strcmp(field->key, "reason") == 0 && w->row->reason)
        iol_json_text(&w->json, field->key, w->row->reason);
    else if (by_kind && by_kind->word)
        iol_json_text(&w->json, field->key, by_kind->word);
    else if (by_kind)
        iol_json_bool(&w->json, field->key, true);
    else
        return false;
    return true;
}

/* "//key": what to type, then the key. */
static void leaf(writer *w, const iol_object *object, const iol_field *field) {
    char remark[80] = "//", text[640], all[700] = "";
    iol_append(remark, sizeof remark, field->key);
    if (iol_field_required(object, field)) iol_append(all, sizeof all, "REQUIRED. ");
    iol_append(all, sizeof all, iol_say_field(field, text, sizeof text));
    const filling *by_kind = filling_of(w, field);
    const bool reason = w->row && w->row->reason && !w->path[0] && strcmp(field->key, "reason") == 0;
    if (by_kind || reason) iol_append(all, sizeof all, "; filled in for this kind: change it where it is not so");
    iol_json_text(&w->json, remark, all);
    if (!filled(w, field, by_kind)) iol_json_null(&w->json, field->key);
}

static void member(writer *w, const iol_object *object, const iol_field *field) {
    if (!wanted(w, field->key)) return;
    if (field->kind == IOL_KIND_PART)
        inside(w, field, field->key, "");
    else if (field->kind == IOL_KIND_LIST)
        list(w, field);
    else
        leaf(w, object, field);
}

/* The members that keys names, once each, in its order. */
static void chosen(writer *w, const iol_object *object, const char *keys) {
    bool done[IOL_KEYS_MOST] = {false};
    for (const char *at = keys; *at;) {
        size_t length = strcspn(at, " ");
        const iol_field *field = iol_object_find(object, at, length);
        if (field && !done[field - object->field]) {
            done[field - object->field] = true;
            member(w, object, field);
        }
        at += length + (at[length] == ' ');
    }
}

static const char help[] =
    "null = not known. Replace null where a value is known and leave the rest. Keys that start with "
    "// are remarks and are ignored. No name, date of birth or number that identifies a person.";

bool iol_template_write(const char *kind, bool brief, iol_sink sink, void *context) {
    writer w = {.row = iol_templates, .brief = brief};
    if (strcmp(kind, "site") == 0) w.row = NULL;
    while (w.row && w.row->kind && strcmp(w.row->kind, kind) != 0) w.row++;
    if (w.row && !w.row->kind) return false;
    iol_json_start(&w.json, sink, context, true);
    iol_json_open(&w.json, NULL, '{');
    iol_json_text(&w.json, "//", help);
    if (w.row)
        chosen(&w, iol_object_case, w.row->keys);
    else
        members(&w, iol_object_site);
    iol_json_close(&w.json, '}');
    return iol_json_finish(&w.json);
}

/* ---- the heading of a sheet ---- */

enum { PLACES = 3 }; /* of a list: the two readings that must agree and one more */

typedef struct {
    writer w;
    iol_sink sink;
    void *context;
    bool good, any;
    char path[160]; /* as it is printed: with the place in its list */
} heading;

static void put_path(heading *h, const char *key) {
    if (h->any) h->good = h->good && h->sink(h->context, ",", 1);
    h->good = h->good && h->sink(h->context, h->path, strlen(h->path)) && h->sink(h->context, key, strlen(key));
    h->any = true;
}

static void heading_field(heading *h, const iol_field *field);

/* The members of an object, its name and place before each. */
static void heading_inside(heading *h, const iol_field *field, int place) {
    size_t above = strlen(h->w.path), printed = strlen(h->path);
    iol_append(h->w.path, sizeof h->w.path, field->key);
    iol_append(h->w.path, sizeof h->w.path, ".");
    iol_append(h->path, sizeof h->path, field->key);
    iol_append(h->path, sizeof h->path, ".");
    if (place > 0) iol_append_number(h->path, sizeof h->path, place);
    if (place > 0) iol_append(h->path, sizeof h->path, ".");
    for (int i = 0; i < field->inside->count; i++) heading_field(h, &field->inside->field[i]);
    h->w.path[above] = h->path[printed] = '\0';
}

static void heading_field(heading *h, const iol_field *field) {
    if (!wanted(&h->w, field->key)) return;
    if (field->kind == IOL_KIND_PART)
        heading_inside(h, field, 0);
    else if (field->kind == IOL_KIND_LIST)
        for (int place = 1; place <= PLACES; place++) heading_inside(h, field, place);
    else
        put_path(h, field->key);
}

bool iol_template_heading(const char *kind, bool brief, iol_sink sink, void *context) {
    heading h = {.w = {.row = iol_templates, .brief = brief}, .sink = sink, .context = context, .good = true};
    while (h.w.row->kind && strcmp(h.w.row->kind, kind) != 0) h.w.row++;
    if (!h.w.row->kind) return false;
    bool done[IOL_KEYS_MOST] = {false};
    for (const char *at = h.w.row->keys; *at;) {
        size_t length = strcspn(at, " ");
        const iol_field *field = iol_object_find(iol_object_case, at, length);
        if (field && !done[field - iol_object_case->field]) {
            done[field - iol_object_case->field] = true;
            heading_field(&h, field);
        }
        at += length + (at[length] == ' ');
    }
    return h.good && sink(context, "\r\n", 2);
}
