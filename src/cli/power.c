/* iolrevise power: what was typed becomes a case and a shelf of one lens, read by the same strict readers as files, and goes
 * the way of every plan. */
#include <stdlib.h>
#include <string.h>

#include "cli.h"
#include "write/json.h"
#include "report/report.h"
#include "tables/constants.h"
#include "tables/tables.h"
#include "case/typed.h"

typedef struct {
    double implanted_d, target_d, vertex_mm, length_mm, chamber_mm, a_constant, new_a_constant, days, age;
    iol_spherocylinder refraction;
    iol_typed_k k;
} typed;

typedef struct {
    char bytes[4096];
    size_t used;
} text;

typedef struct {
    iol_case c;
    iol_site site;
    iol_plan plan;
    iol_faults faults;
    iol_page page;
    text json;
    typed t;
} workspace;

/* ---- what was typed ---- */

static int take(const char *flag, const char *found, const char *wanted) {
    return wanted ? iol_cli_flag(flag, found, wanted) : IOL_EXIT_DONE;
}

static int numbers(const iol_options *o, typed *t) {
    const struct {
        const char *flag, *found;
        double *into;
    } row[] = {{"--implanted", o->implanted, &t->implanted_d},
               {"--target", o->target, &t->target_d},
               {"--vertex", o->vertex, &t->vertex_mm},
               {"--length", o->length, &t->length_mm},
               {"--chamber-depth", o->chamber_depth, &t->chamber_mm},
               {"--a-constant", o->a_constant, &t->a_constant},
               {"--new-a-constant", o->new_a_constant, &t->new_a_constant},
               {"--days", o->days, &t->days},
               {"--age", o->age, &t->age}};
    int status = IOL_EXIT_DONE;
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        *row[i].into = NAN;
        if (row[i].found)
            status =
                iol_cli_worse(status, take(row[i].flag, row[i].found, iol_typed_number(row[i].found, row[i].into)));
    }
    bool whole = isnan(t->days) || (t->days >= 0.0 && t->days <= 20000.0 && t->days == floor(t->days));
    if (!whole) status = iol_cli_flag("--days", o->days, "whole days since the first operation, 0 to 20000");
    if (o->target && o->target[0] != '+' && o->target[0] != '-' && t->target_d != 0.0 && !isnan(t->target_d))
        status = iol_cli_flag("--target", o->target, "a sign before the target: -0.25 or +0.25");
    return status;
}

static int both(const char *flag, const char *yes, const char *no, const char *wanted) {
    return yes && no ? iol_cli_flag(flag, "both", wanted) : IOL_EXIT_DONE;
}

static int read_typed(const iol_options *o, typed *t) {
    int status = numbers(o, t);
    t->k = (iol_typed_k){NAN, NAN, NAN};
    if (!o->eye) status = iol_cli_flag("--eye", NULL, "right or left");
    if (!o->implanted) status = iol_cli_flag("--implanted", NULL, "the power of the lens in the eye, 21.0");
    if (!o->target) status = iol_cli_flag("--target", NULL, "the spherical equivalent wanted, -0.25");
    if (!o->refraction)
        status = iol_cli_flag("--refraction", NULL, "sphere, cylinder and axis as \"+2.25 -0.75 x 80\"");
    else
        status = iol_cli_worse(
            status, take("--refraction", o->refraction, iol_typed_refraction(o->refraction, &t->refraction)));
    if (o->k) status = iol_cli_worse(status, take("--k", o->k, iol_typed_keratometry(o->k, &t->k)));
    status = iol_cli_worse(status, both("--earlier-laser", o->earlier_laser, o->no_earlier_laser,
                                        "one of --earlier-laser and --no-earlier-laser"));
    status = iol_cli_worse(status, both("--oil", o->oil, o->no_oil, "one of --oil and --no-oil"));
    if (o->identified && strcmp(o->identified, "sticker") != 0 && strcmp(o->identified, "record") != 0)
        status = iol_cli_flag("--identified", o->identified, "sticker or record");
    if (o->files) status = iol_cli_flag(o->file[0], NULL, "flags only: a case file goes to plan");
    return status;
}

/* ---- as files would say it ---- */

static bool append(void *context, const char *bytes, size_t length) {
    text *t = context;
    if (length > sizeof t->bytes - t->used) return false;
    memcpy(t->bytes + t->used, bytes, length);
    t->used += length;
    return true;
}

/* With as many decimals as were typed, so that a fault shows the number as it was. */
static void put(iol_json *j, const char *key, double x) {
    int decimals = 0;
    double scaled = x;
    if (isnan(x)) return;
    while (decimals < 6 && fabs(scaled - nearbyint(scaled)) > 1e-7) decimals++, scaled *= 10.0;
    iol_json_number(j, key, x, decimals);
}
static void say(iol_json *j, const char *key, const char *word) {
    if (word) iol_json_text(j, key, word);
}

static void put_day(iol_json *j, const char *key, double days) {
    int32_t first;
    char day[11];
    if (isnan(days) || !iol_date_read("2000-01-01", &first)) return; /* only the interval is read from these days */
    iol_date_print(first + (int32_t)days, day);
    iol_json_text(j, key, day);
}

static void put_biometry(iol_json *j, const typed *t) {
    iol_json_open(j, "biometry", '{');
    put(j, "axial_length_mm", t->length_mm);
    put(j, "k_flat_d", t->k.flat_d);
    put(j, "k_steep_d", t->k.steep_d);
    put(j, "k_steep_axis_deg", t->k.steep_axis_deg);
    put(j, "chamber_depth_mm", t->chamber_mm);
    iol_json_close(j, '}');
}

static void put_refraction(iol_json *j, const typed *t) {
    iol_json_open(j, "refractions", '[');
    iol_json_open(j, NULL, '{');
    put_day(j, "measured_on", t->days);
    put(j, "sphere_d", t->refraction.sphere_d);
    put(j, "cylinder_d", t->refraction.cylinder_d);
    put(j, "axis_deg", t->refraction.axis_deg);
    put(j, "vertex_mm", t->vertex_mm);
    iol_json_close(j, '}');
    iol_json_close(j, ']');
}

static bool needs_own_constant(const char *position) {
    return position && (strncmp(position, "iris", 4) == 0 || strcmp(position, "chamber") == 0);
}

static void put_first_surgery(iol_json *j, const iol_options *o, const typed *t) {
    iol_json_open(j, "first_surgery", '{');
    put_day(j, "done_on", isnan(t->days) ? NAN : 0.0);
    iol_json_open(j, "lens", '{');
    put(j, "power_d", t->implanted_d);
    say(j, "position", o->from);
    if (o->identified) iol_json_text(j, "identified_by", o->identified[0] == 's' ? "sticker" : "operation-record");
    iol_json_open(j, "constants", '{');
    put(j, "a_constant", t->a_constant);
    if (needs_own_constant(o->from)) say(j, "for_position", o->from);
    iol_json_close(j, '}');
    iol_json_close(j, '}');
    iol_json_close(j, '}');
}

static void put_findings(iol_json *j, const iol_options *o) {
    if (o->oil || o->no_oil) {
        static const char *const key[] = {"now", "at_measurement", "at_refraction", "stays"};
        iol_json_open(j, "silicone_oil", '{');
        for (int i = 0; i < 4; i++) iol_json_bool(j, key[i], o->oil != NULL);
        iol_json_close(j, '}');
    }
    if (o->earlier_laser || o->no_earlier_laser) {
        iol_json_open(j, "cornea", '{');
        iol_json_text(j, "earlier_refractive_surgery", o->earlier_laser ? "myopic-laser" : "none");
        iol_json_close(j, '}');
    }
    if (o->no_fluid) {
        iol_json_open(j, "anterior_segment", '{');
        iol_json_text(j, "fluid_behind_lens", "no");
        iol_json_close(j, '}');
    }
}

static void write_case(const iol_options *o, const typed *t, text *into) {
    iol_json j;
    into->used = 0;
    iol_json_start(&j, append, into, false);
    iol_json_open(&j, NULL, '{');
    iol_json_integer(&j, "case_format", 1);
    iol_json_text(&j, "case_ref", "typed");
    iol_json_text(&j, "eye", o->eye);
    iol_json_text(&j, "reason", "power-error");
    put(&j, "age_years", t->age);
    put(&j, "target_se_d", t->target_d);
    say(&j, "formula", o->formula);
    put_biometry(&j, t);
    put_refraction(&j, t);
    put_first_surgery(&j, o, t);
    put_findings(&j, o);
    iol_json_close(&j, '}');
    iol_json_finish(&j);
}

/* Constant of the new lens: as typed, else that of the old one, else an assumed one. */
static double new_constant(const typed *t) {
    return !isnan(t->new_a_constant) ? t->new_a_constant : !isnan(t->a_constant) ? t->a_constant : c_a_constant_assumed;
}

static void write_site(const iol_options *o, const typed *t, text *into) {
    const char *place = o->piggyback ? "sulcus" : o->to ? o->to : o->from ? o->from : "bag";
    iol_json j;
    into->used = 0;
    iol_json_start(&j, append, into, false);
    iol_json_open(&j, NULL, '{');
    iol_json_integer(&j, "site_format", 1);
    iol_json_open(&j, "lenses", '[');
    iol_json_open(&j, NULL, '{');
    iol_json_text(&j, "id", "new-lens");
    iol_json_text(&j, "design", "three-piece");
    iol_json_text(&j, "purpose", o->piggyback ? "piggyback" : "replacement");
    iol_json_open(&j, "positions", '[');
    iol_json_text(&j, NULL, place);
    iol_json_close(&j, ']');
    put(&j, "power_first_d", c_typed_first_d);
    put(&j, "power_last_d", c_typed_last_d);
    put(&j, "power_step_d", c_typed_step_d);
    iol_json_open(&j, "constants", '{');
    put(&j, "a_constant", new_constant(t));
    if (needs_own_constant(place)) say(&j, "for_position", place);
    iol_json_close(&j, '}');
    iol_json_close(&j, '}');
    iol_json_close(&j, ']');
    iol_json_close(&j, '}');
    iol_json_finish(&j);
}

/* ---- faults of the readers, told by flag ---- */

static const struct {
    const char *path, *flag;
} flag_of[] = {{"/eye", "--eye"},
               {"/age_years", "--age"},
               {"/target_se_d", "--target"},
               {"/formula", "--formula"},
               {"/biometry/axial_length_mm", "--length"},
               {"/biometry/k_", "--k"},
               {"/biometry/chamber_depth_mm", "--chamber-depth"},
               {"/refractions/0/vertex_mm", "--vertex"},
               {"/refractions/0/", "--refraction"},
               {"/first_surgery/lens/power_d", "--implanted"},
               {"/first_surgery/lens/position", "--from"},
               {"/first_surgery/lens/constants/for_position", "--from"},
               {"/first_surgery/lens/constants/a_constant", "--a-constant"},
               {"/lenses/0/positions", "--to"},
               {"/lenses/0/constants/for_position", "--to"},
               {"/lenses/0/constants/a_constant", "--new-a-constant"}};

static const char *flag_for(const char *path) {
    for (size_t i = 0; i < sizeof flag_of / sizeof *flag_of; i++)
        if (strncmp(path, flag_of[i].path, strlen(flag_of[i].path)) == 0) return flag_of[i].flag;
    return path;
}

static int refuse(const iol_faults *faults) {
    const char *last = "";
    if (iol_faults_no_memory(faults)) return iol_cli_no_memory();
    for (int i = 0; i < faults->count; i++) {
        const iol_fault *f = &faults->item[i];
        const char *flag = flag_for(f->path);
        bool radius = f->code == IOL_FAULT_unit_slip && strcmp(flag, "--k") == 0;
        if (strcmp(flag, last) == 0) continue;
        fprintf(stderr, "iolrevise: %s: %s: found %s, wanted %s%s%s\n", flag, iol_fault_word(f->code), f->found,
                radius ? "a power in D; this reads as a radius in mm: type 337.5 / radius" : f->wanted,
                !radius && f->unit[0] ? " " : "", radius ? "" : f->unit);
        last = flag;
    }
    return IOL_EXIT_REFUSED;
}

/* A note that names a key of the case names its flag; keys of one flag say it once. */
static void name_flags(iol_notes *notes) {
    iol_notes kept = *notes;
    notes->count = 0;
    for (int i = 0; i < kept.count; i++) {
        const iol_note *n = &kept.item[i];
        iol_note_keep(notes, n->place, n->row, (iol_note_code)n->code, n->value, n->limit, flag_for(n->word));
    }
}

static int make(const iol_options *o, workspace *w) {
    static const char *const exchange[] = {"surprise", "incision", "replacement", NULL};
    static const char *const second_lens[] = {"surprise", "incision", "piggyback", NULL};
    write_case(o, &w->t, &w->json);
    if (!iol_case_read(w->json.bytes, w->json.used, &w->c, &w->faults)) return refuse(&w->faults);
    write_site(o, &w->t, &w->json);
    if (!iol_site_read(w->json.bytes, w->json.used, &w->site, &w->faults)) return refuse(&w->faults);
    iol_plan_make_parts(&w->c, &w->site, IOL_UNKNOWN_DATE, o->piggyback ? second_lens : exchange, &w->plan);
    name_flags(&w->plan.notes);
    if (isnan(w->t.new_a_constant) && !o->piggyback)
        iol_note_add(&w->plan.notes, IOL_AT_plan_assumptions, 0, IOL_NOTE_assume_new_constant, new_constant(&w->t), NAN,
                     NULL);
    return IOL_EXIT_DONE;
}

static int run(const iol_options *o, workspace *w) {
    int format, status = iol_cli_format(o->format, &format);
    if (status == IOL_EXIT_DONE) status = read_typed(o, &w->t);
    if (status == IOL_EXIT_DONE) status = make(o, w);
    if (status != IOL_EXIT_DONE) return status;
    iol_report_power(&w->c, &w->plan, o->piggyback != NULL, &w->page);
    return iol_cli_write_plan(o, format, &w->plan, &w->page);
}

int iol_cli_power(const iol_options *options) {
    workspace *w = malloc(sizeof *w);
    if (!w) return iol_cli_cannot("plan", "what was typed", IOL_EXIT_FAULT);
    int status = run(options, w);
    free(w);
    return status;
}
