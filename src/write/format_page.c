/* Markdown by a walk over the two tables. */
#include "format_page.h"

#include <string.h>

#include "iolrevise/faults.h"
#include "tables/say.h"

typedef struct {
    iol_sink sink;
    void *context;
    bool failed;
    int done;
    const iol_object *object[64]; /* written, or to be written */
    int count;
} page;

static void put(page *p, const char *text) {
    if (!p->failed && !p->sink(p->context, text, strlen(text))) p->failed = true;
}

/* A cell of a table and the bar behind it. */
static void put_cell(page *p, const char *text) {
    if (text[0]) put(p, " ");
    put(p, text);
    put(p, " |");
}

static void put_range(page *p, double low, double high) {
    char text[80] = "";
    iol_append_number(text, sizeof text, low);
    iol_append(text, sizeof text, " to ");
    iol_append_number(text, sizeof text, high);
    put_cell(p, text);
}

static void remember(page *p, const iol_object *object) {
    for (int i = 0; i < p->count; i++)
        if (p->object[i] == object) return;
    if (p->count < 64) p->object[p->count++] = object;
}

static void put_row(page *p, const iol_object *object, const iol_field *field) {
    char value[400] = "", key[80] = "`";
    const char *unit = iol_units[field->unit].printed;
    bool objects = field->kind == IOL_KIND_PART || field->kind == IOL_KIND_LIST;
    iol_append(key, sizeof key, field->key);
    iol_append(key, sizeof key, iol_field_required(object, field) ? "` (required)" : "`");
    put(p, "|");
    put_cell(p, key);
    put_cell(p, field->text);
    iol_append_value(value, sizeof value, field);
    if (unit[0]) iol_append(value, sizeof value, " ");
    iol_append(value, sizeof value, unit);
    if (objects) {
        iol_append(value, sizeof value, ": see ");
        iol_append(value, sizeof value, field->inside->name);
        remember(p, field->inside);
    }
    put_cell(p, value);
    bool usual =
        field->kind == IOL_KIND_NUM && (field->usual_low > field->hard_low || field->usual_high < field->hard_high);
    if (usual)
        put_range(p, field->usual_low, field->usual_high);
    else
        put_cell(p, "");
    put(p, "\n");
}

static void put_object(page *p, const iol_object *object) {
    put(p, "\n### ");
    put(p, object->name);
    put(p, "\n\n| key | meaning | value | usual |\n|---|---|---|---|\n");
    for (int i = 0; i < object->count; i++) put_row(p, object, &object->field[i]);
}

static void put_tables(page *p, const char *heading, const iol_object *root) {
    put(p, heading);
    remember(p, root);
    for (; p->done < p->count; p->done++) put_object(p, p->object[p->done]);
}

static void put_faults(page *p) {
    put(p, "\n## Why a file is refused\n\nOne line a fault on standard error: `iolrevise: FILE:LINE: PATH: CODE: found "
           "F, wanted W "
           "UNIT`.\n\n| code | meaning |\n|---|---|\n");
    for (int i = 0; i < IOL_FAULT_COUNT; i++) {
        put(p, "| `");
        put(p, iol_fault_word((iol_fault_code)i));
        put(p, "` | ");
        put(p, iol_fault_meaning((iol_fault_code)i));
        put(p, " |\n");
    }
}

static const char head[] =
    "# Case and site files\n\n"
    "This page is the output of `iolrevise schema case-format`. Do not edit it: edit the tables in data/.\n\n"
    "A file is one JSON object in UTF-8. Start from `iolrevise template KIND`, then run `iolrevise check FILE`.\n\n"
    "- `null`, a key left out, an empty object and an empty list all mean \"not known\". Zero is a value.\n"
    "- `not-examined` stands where a test can be asked for. It is computed as not known.\n"
    "- A key that starts with `//` holds a remark and is ignored.\n"
    "- No other unknown key is taken, and no key twice. Keys that identify a person are refused wherever they stand.\n"
    "- A value outside its limits is refused. A value inside them but outside the usual ones passes with a caution.\n"
    "- Refraction: spectacle plane, plus or minus cylinder. Lens: `power_d` is the spherical equivalent unless "
    "`power_is` "
    "says `weakest-meridian`; `cylinder_d` is positive, at the lens plane; `axis_deg` is the meridian of the marks.\n"
    "- An axis is a meridian, above 0 to 180; 0 is taken as 180. A position is a place on the limbus, 0 to below 360. "
    "Both are "
    "seen facing the patient, 0 at the examiner's right (3 o'clock), counted anticlockwise, 90 at 12 o'clock, in both "
    "eyes.\n"
    "- Dates are written 2026-11-25.\n"
    "- `$schema`, at the root alone, holds where an editor finds the JSON Schema; it is ignored.\n"
    "- A sheet (`.csv`) has a heading row of paths with points (`biometry.axial_length_mm`, `refractions.1.sphere_d`) and a case a "
    "row; [import.md](import.md).\n"
    "- Limits: 1 MiB a file, 64 KiB a line of JSON Lines or a row of a sheet, 16 levels, 4096 values, 16 refractions.\n";

bool iol_format_page_write(iol_sink sink, void *context) {
    page p = {.sink = sink, .context = context};
    put(&p, head);
    put_tables(&p, "\n## Case file\n", iol_object_case);
    put_tables(&p, "\n## Site file\n", iol_object_site);
    put_faults(&p);
    return !p.failed;
}
