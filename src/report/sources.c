/* Every built-in number: the rows of data/ behind one shape, written as text, JSON or markdown. */
#include "sources.h"
#include "tables/rule_codes.h"

#include <math.h>
#include <string.h>

#include "compose.h"
#include "tables/risk.h"
#include "write/json.h"
#include "text/number.h"
#include "iolrevise/formulas.h"

/* A row of any table. */
typedef struct {
    const char *id;
    char printed[120]; /* the number as its table writes it, "" none */
    double value;
    const char *unit;
    iol_reference source;
    iol_evidence_status status;
    const char *text;
} row;

/* ---- constants and spreads: the value as it is printed in the table ---- */
typedef struct {
    const char *id, *printed;
    double value;
    iol_unit unit;
    iol_reference source;
    iol_evidence_status status;
    const char *text;
} number_row;
static const number_row constants[] = {
#define CONSTANT(id, value, unit, reference, status, text)                                                             \
    {#id, #value, value, IOL_UNIT_##unit, IOL_REF_##reference, IOL_STATUS_##status, text},
#include "constants.def"
#undef CONSTANT
#define REMOVAL_WIDTH(method, low, low_ref, low_status, high, high_ref, high_status, text)                             \
    {"removal_" #method "_low_mm", #low, low, IOL_UNIT_mm, IOL_REF_##low_ref, IOL_STATUS_##low_status,                 \
     "least wound: " text},                                                                                            \
        {"removal_" #method "_high_mm", #high, high, IOL_UNIT_mm, IOL_REF_##high_ref, IOL_STATUS_##high_status,        \
         "comfortable wound: " text},
#include "removal_widths.def"
#undef REMOVAL_WIDTH
};
static const number_row spreads[] = {
#define SPREAD(id, value, unit, reference, status, text)                                                               \
    {#id, #value, value, IOL_UNIT_##unit, IOL_REF_##reference, IOL_STATUS_##status, text},
#include "spreads.def"
#undef SPREAD
};

/* Prior rates per 10 000 operations, and what a look is worth. */
static const number_row gross_rates[] = {
#define GROSS(suspect, key, rate, quantities, look, reference, status, text)                                           \
    {key, #rate, rate, IOL_UNIT_none, IOL_REF_##reference, IOL_STATUS_##status, text},
#include "gross_rates.def"
#undef GROSS
};
static const number_row evidence_factors[] = {
#define FACTOR(key, value, reference, status, text)                                                                    \
    {#key, #value, value, IOL_UNIT_none, IOL_REF_##reference, IOL_STATUS_##status, text},
#include "evidence_factors.def"
#undef FACTOR
};

static void put_text(char *out, size_t size, const char *text) {
    size_t used = strlen(out), length = strlen(text);
    if (length > size - 1 - used) length = size - 1 - used;
    memcpy(out + used, text, length);
    out[used + length] = '\0';
}

static row of_number(const number_row *n) {
    row r = {.id = n->id,
             .value = n->value,
             .unit = iol_units[n->unit].printed,
             .source = n->source,
             .status = n->status,
             .text = n->text};
    put_text(r.printed, sizeof r.printed, n->printed);
    return r;
}
static row get_constant(int i) { return of_number(&constants[i]); }
static row get_spread(int i) { return of_number(&spreads[i]); }
static row get_rate(int i) { return of_number(&gross_rates[i]); }
static row get_factor(int i) { return of_number(&evidence_factors[i]); }

/* ---- formulas ---- */
static const iol_evidence_status formula_status[] = {
#define FORMULA(id, name, needs_constant, reference, status, text) IOL_STATUS_##status,
#include "formulas.def"
#undef FORMULA
};
static row get_formula(int i) {
    return (row){.id = iol_formulas[i].name,
                 .value = NAN,
                 .unit = "",
                 .source = (iol_reference)iol_formulas[i].reference,
                 .status = formula_status[i],
                 .text = iol_formulas[i].text};
}

/* ---- the generic shelf: its A-constants ---- */
#define POSITIONS(...) 0
#define CYLINDERS(...) 0
#define NO_CYLINDERS 0
static const struct {
    const char *id, *label;
    double a_constant;
    const char *rest;
} shelf[] = {
#define SHELF(id, label, material, design, optic, edge, length, purpose, positions, a, stated, index, optic_mm, first, \
              last, step, cylinders)                                                                                   \
    {id, label, a,                                                                                                     \
     "A-constant for the place " #stated "; index " #index ", optic " #optic_mm " mm, length " #length                 \
     " mm, powers " #first " to " #last " D by " #step " D"},
#include "generic_shelf.def"
#undef SHELF
};
static row get_shelf(int i) {
    row r = {.id = shelf[i].id,
             .value = shelf[i].a_constant,
             .unit = "",
             .source = IOL_REF_judgement,
             .status = IOL_STATUS_judgement,
             .text = shelf[i].rest};
    iol_print_number(r.value, 1, false, r.printed, sizeof r.printed);
    return r;
}

/* ---- risk factors ---- */
static row get_risk(int i) {
    const iol_risk_row *f = &iol_risk_rows[i];
    row r = {.id = f->id,
             .value = iol_risk_points(f),
             .unit = f->hard ? "points (hard rule)" : "points",
             .source = iol_risk_reference(f),
             .status = f->status,
             .text = f->finding};
    iol_print_number(r.value, 0, false, r.printed, sizeof r.printed);
    return r;
}

/* ---- rules: of the decision, of the way the lens is taken out, and of the order of the ways ---- */
static const struct {
    const char *id, *what;
    iol_note_code note;
} rules[] = {
#define RULE(id, when, state, urgency, value, limit, word)                                                             \
    {#id, "decision " #state ", " #urgency, IOL_NOTE_rule_##id},
#include "decision_rules.def"
#undef RULE
#define REMOVAL_RULE(id, method, condition, reason) {#id, "removal " #method, IOL_NOTE_##reason},
#include "removal_rules.def"
#undef REMOVAL_RULE
#define OPTION_RULE(option, id, effect, predicate, finding, value, limit, reference, code, text)                       \
    {#id, "option " #option ", " #effect, IOL_NOTE_opt_##id},
#include "option_rules.def"
};
static row get_rule(int i) {
    const iol_note_row *note = &iol_note_rows[rules[i].note];
    row r = {.id = rules[i].id,
             .value = NAN,
             .unit = "",
             .source = note->reference,
             .status = iol_references[note->reference].status,
             .text = note->text};
    put_text(r.printed, sizeof r.printed, rules[i].what);
    for (char *at = r.printed; *at; at++)
        if (*at == '_') *at = '-';
    return r;
}

/* ---- evidence ---- */
static row get_evidence(int i) {
    const iol_evidence_row *e = &iol_evidence[i];
    char number[32];
    row r = {
        .id = e->key, .value = e->value, .unit = e->unit, .source = e->reference, .status = e->status, .text = e->text};
    const double x[] = {e->value, e->low, e->high};
    static const char *const before[] = {"", " (", " to "};
    if (strcmp(e->unit, "none") == 0) r.unit = "";
    for (int k = 0; k < 3 && !isnan(x[k]); k++) {
        int decimals = 0;
        while (decimals < 3 && fabs(x[k] * pow(10, decimals) - floor(x[k] * pow(10, decimals) + 0.5)) > 1e-6)
            decimals++;
        iol_print_number(x[k], decimals, false, number, sizeof number);
        put_text(r.printed, sizeof r.printed, before[k]);
        put_text(r.printed, sizeof r.printed, number);
    }
    if (!isnan(e->high)) put_text(r.printed, sizeof r.printed, ")");
    return r;
}

/* ---- references and codes ---- */
static row get_reference(int i) {
    const iol_reference_row *f = &iol_references[i];
    return (row){
        .id = f->key, .value = NAN, .unit = "", .source = IOL_REF_COUNT, .status = f->status, .text = f->citation};
}

static row get_code(int i) {
    const iol_note_row *n = &iol_note_rows[i];
    bool assumption = n->code[0] == '/' || n->code[0] == '(';
    row r = {.id = n->code,
             .value = NAN,
             .unit = "",
             .source = n->reference,
             .status = iol_references[n->reference].status,
             .text = n->text};
    put_text(r.printed, sizeof r.printed, n->severity ? "caution, " : assumption ? "assumption" : "reason");
    put_text(r.printed, sizeof r.printed, iol_severity_text(n->severity));
    return r;
}

#define COUNT(table) ((int)(sizeof(table) / sizeof *(table)))
static const struct {
    const char *name, *title;
    int count;
    row (*get)(int i);
} sections[] = {
    {"formulas", "Formulas", IOL_FORMULA_COUNT, get_formula},
    {"constants", "Constants", COUNT(constants), get_constant},
    {"spreads", "Standard deviations", COUNT(spreads), get_spread},
    {"rates", "Gross causes per 10 000 operations", COUNT(gross_rates), get_rate},
    {"factors", "What a look is worth: factors on those rates", COUNT(evidence_factors), get_factor},
    {"shelf", "Generic shelf", COUNT(shelf), get_shelf},
    {"risk", "Risk factors", IOL_RISK_COUNT, get_risk},
    {"rules", "Rules", COUNT(rules), get_rule},
    {"evidence", "Figures that a plan may quote", IOL_EVIDENCE_COUNT, get_evidence},
    {"references", "References", IOL_REF_COUNT, get_reference},
    {"codes", "Codes of cautions, reasons and assumptions (%1, %2, %s: values of the case)", IOL_NOTE_COUNT, get_code},
};
enum { SECTIONS = COUNT(sections) };

const char *iol_sources_section(int i) { return i >= 0 && i < SECTIONS ? sections[i].name : NULL; }

static const char *source_of(const row *r) { return r->source == IOL_REF_COUNT ? "" : iol_references[r->source].key; }

/* For people: judgement and common practice are no sources, and their status says so already. */
static const char *cited(const row *r) {
    return r->source == IOL_REF_judgement || r->source == IOL_REF_common_practice ? "" : source_of(r);
}

/* ---- text: pages of pairs, each page as much as it holds ---- */
static bool as_text(int s, iol_page *page, iol_sink sink, void *context) {
    enum { ROWS_A_PAGE = 120 };
    for (int i = 0; i < sections[s].count; i++) {
        if (i % ROWS_A_PAGE == 0) {
            iol_page_start(page);
            if (i == 0) iol_page_heading(page, sections[s].title);
        }
        row r = sections[s].get(i);
        iol_line line;
        iol_line_start(&line);
        iol_line_text(&line, r.printed);
        if (r.printed[0] && r.unit[0]) iol_line_text(&line, " ");
        iol_line_text(&line, r.unit);
        if (line.used) iol_line_text(&line, ": ");
        iol_line_text(&line, r.text);
        iol_line_text(&line, " [");
        iol_line_text(&line, cited(&r));
        if (cited(&r)[0]) iol_line_text(&line, ", ");
        iol_line_text(&line, iol_status_text(r.status));
        iol_line_text(&line, "]");
        iol_page_pair(page, r.id, line.text);
        bool last = i + 1 == sections[s].count || (i + 1) % ROWS_A_PAGE == 0;
        if (last && !iol_page_text(page, false, sink, context)) return false;
    }
    return sink(context, "\n", 1);
}

/* ---- JSON ---- */
static void as_json(int s, iol_json *json) {
    iol_json_open(json, sections[s].name, '[');
    for (int i = 0; i < sections[s].count; i++) {
        row r = sections[s].get(i);
        iol_json_open(json, NULL, '{');
        iol_json_text(json, "id", r.id);
        iol_json_number(json, "value", r.value, 6);
        iol_json_text(json, "printed", r.printed[0] ? r.printed : NULL);
        iol_json_text(json, "unit", r.unit[0] ? r.unit : NULL);
        iol_json_text(json, "source", source_of(&r)[0] ? source_of(&r) : NULL);
        iol_json_text(json, "status", iol_status_text(r.status));
        iol_json_text(json, "text", r.text);
        iol_json_close(json, '}');
    }
    iol_json_close(json, ']');
}

/* ---- markdown ---- */
typedef struct {
    iol_sink sink;
    void *context;
    bool ok;
} out;

static void put(out *o, const char *text) { o->ok = o->ok && o->sink(o->context, text, strlen(text)); }

/* A cell: what would end it or start markup stands behind a backslash. */
static void cell(out *o, const char *text) {
    put(o, "| ");
    for (; *text; text++) {
        const char one[2] = {*text, '\0'};
        if (strchr("|*_<>`", *text)) put(o, "\\");
        put(o, one);
    }
    put(o, " ");
}

static void as_markdown(int s, out *o) {
    put(o, "\n## ");
    put(o, sections[s].title);
    put(o, "\n\n| id | value | unit | meaning | source | status |\n|---|---|---|---|---|---|\n");
    for (int i = 0; i < sections[s].count; i++) {
        row r = sections[s].get(i);
        cell(o, r.id);
        cell(o, r.printed);
        cell(o, r.unit);
        cell(o, r.text);
        cell(o, cited(&r));
        cell(o, iol_status_text(r.status));
        put(o, "|\n");
    }
}

bool iol_sources_write(const char *section, int format, iol_page *page, iol_sink sink, void *context, bool *known) {
    out o = {sink, context, true};
    iol_json json;
    *known = false;
    for (int s = 0; s < SECTIONS; s++) *known = *known || !section || strcmp(section, sections[s].name) == 0;
    if (!*known) return false;
    if (format == IOL_SOURCES_JSON) {
        iol_json_start(&json, sink, context, true);
        iol_json_open(&json, NULL, '{');
        iol_json_integer(&json, "sources_format", 1);
    }
    if (format == IOL_SOURCES_MARKDOWN)
        put(&o, "# References\n\nEvery number built into the program, with its unit, source and status. Printed by "
                "`iolrevise sources`.\n");
    for (int s = 0; s < SECTIONS && o.ok; s++) {
        if (section && strcmp(section, sections[s].name) != 0) continue;
        if (format == IOL_SOURCES_TEXT) o.ok = as_text(s, page, sink, context);
        if (format == IOL_SOURCES_JSON) as_json(s, &json);
        if (format == IOL_SOURCES_MARKDOWN) as_markdown(s, &o);
    }
    if (format != IOL_SOURCES_JSON) return o.ok;
    iol_json_close(&json, '}');
    return iol_json_finish(&json);
}
