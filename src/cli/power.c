/* iolrevise power: what was typed becomes a case and a shelf of one lens, read by the same strict readers as files, and goes
 * the way of every plan. */
#include <stdlib.h>
#include <string.h>

#include "cli.h"
#include "write/json.h"
#include "report/report.h"
#include "tables/constants.h"
#include "tables/note_codes.h"
#include "power.h"
#include "power_text.h"

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
    iol_power_typed t;
} workspace;

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

static void put_biometry(iol_json *j, const char *key, const iol_power_typed *t) {
    iol_json_open(j, key, '{');
    if (strcmp(key, "biometry_repeat") == 0) iol_json_text(j, "eye_state", "pseudophakic");
    put(j, "axial_length_mm", t->length_mm);
    say(j, "method", t->length_by);
    put(j, "k_flat_d", t->k.flat_d);
    put(j, "k_steep_d", t->k.steep_d);
    put(j, "k_steep_axis_deg", t->k.steep_axis_deg);
    put(j, "chamber_depth_mm", t->chamber_mm);
    iol_json_close(j, '}');
}

/* The reading `before` readings ahead of the newest: the same figures, as long before it as two readings must lie apart. */
static void put_reading(iol_json *j, const iol_options *o, const iol_power_typed *t, int before) {
    iol_json_open(j, NULL, '{');
    put_day(j, "measured_on", t->days - before * c_reading_apart_days);
    say(j, "method", t->refracted_by);
    if (o->examined) iol_json_text(j, "lens_then", "in-place");
    if (o->examined) iol_json_text(j, "with", "spectacles");
    put(j, "sphere_d", t->refraction.sphere_d);
    put(j, "cylinder_d", t->refraction.cylinder_d);
    put(j, "axis_deg", t->refraction.axis_deg);
    put(j, "vertex_mm", t->vertex_mm);
    iol_json_close(j, '}');
}

static void put_refraction(iol_json *j, const iol_options *o, const iol_power_typed *t) {
    iol_json_open(j, "refractions", '[');
    for (int before = t->readings > 1.0 ? (int)t->readings - 1 : 0; before >= 0; before--) put_reading(j, o, t, before);
    iol_json_close(j, ']');
}

static void put_haigis(iol_json *j, const iol_power_typed *t) {
    static const char *const key[] = {"haigis_a0_mm", "haigis_a1", "haigis_a2"};
    for (int i = 0; i < 3; i++) put(j, key[i], t->haigis[i]);
}

static bool needs_own_constant(const char *position) {
    return position && (strncmp(position, "iris", 4) == 0 || strcmp(position, "chamber") == 0);
}

static void put_first_surgery(iol_json *j, const iol_options *o, const iol_power_typed *t) {
    iol_json_open(j, "first_surgery", '{');
    put_day(j, "done_on", isnan(t->days) ? NAN : 0.0);
    iol_json_open(j, "lens", '{');
    put(j, "power_d", t->implanted_d);
    say(j, "position", o->from ? o->from : o->examined ? "bag" : NULL);
    if (o->identified) iol_json_text(j, "identified_by", o->identified[0] == 's' ? "sticker" : "operation-record");
    iol_json_open(j, "constants", '{');
    put(j, "a_constant", t->a_constant);
    put_haigis(j, t);
    if (needs_own_constant(o->from)) say(j, "for_position", o->from);
    iol_json_close(j, '}');
    iol_json_close(j, '}');
    iol_json_close(j, '}');
}

static void put_findings(iol_json *j, const iol_options *o, const iol_power_typed *t) {
    if (o->oil || o->no_oil) {
        static const char *const key[] = {"now", "at_measurement", "at_refraction", "stays"};
        iol_json_open(j, "silicone_oil", '{');
        for (int i = 0; i < 4; i++) iol_json_bool(j, key[i], o->oil != NULL);
        iol_json_close(j, '}');
    }
    if (o->earlier_laser || o->no_earlier_laser || o->surface || o->examined) {
        iol_json_open(j, "cornea", '{');
        if (o->examined) iol_json_bool(j, "oedema", false);
        if (o->examined) iol_json_text(j, "ocular_surface", "healthy");
        say(j, "surface", o->surface ? o->surface : o->examined ? "regular" : NULL);
        if (o->earlier_laser || o->no_earlier_laser)
            iol_json_text(j, "earlier_refractive_surgery", o->earlier_laser ? "myopic-laser" : "none");
        iol_json_close(j, '}');
    }
    if (o->no_fluid || o->pressure || o->examined) {
        iol_json_open(j, "anterior_segment", '{');
        if (o->examined) iol_json_text(j, "uveitis", "none");
        if (o->examined) iol_json_text(j, "glaucoma", "none");
        if (o->no_fluid) iol_json_text(j, "fluid_behind_lens", "no");
        put(j, "pressure_mmhg", t->pressure_mmhg);
        iol_json_close(j, '}');
    }
    if (!o->examined) return;
    iol_json_open(j, "red_flags", '{');
    iol_json_bool(j, "none", true);
    iol_json_close(j, '}');
    iol_json_open(j, "zonule", '{');
    iol_json_text(j, "donesis", "none");
    iol_json_integer(j, "missing_clock_hours", 0);
    iol_json_close(j, '}');
    iol_json_open(j, "capsule", '{');
    iol_json_text(j, "anterior", "intact-opening");
    iol_json_close(j, '}');
    iol_json_open(j, "retina", '{');
    iol_json_text(j, "macula", "normal");
    iol_json_close(j, '}');
    iol_json_open(j, "checks", '{');
    iol_json_bool(j, "biometry_belongs_to_this_eye", true);
    iol_json_close(j, '}');
}

/* A target for near that is typed is taken as what is wanted, and told so: iol_power_assumed. */
static void put_wish(iol_json *j, const iol_power_typed *t) {
    if (iol_at_most(t->target_d, c_near_aim_d) != IOL_YES) return;
    iol_json_open(j, "wish", '{');
    iol_json_text(j, "distance", "near");
    iol_json_close(j, '}');
}

static void write_case(const iol_options *o, const iol_power_typed *t, text *into) {
    iol_json j;
    into->used = 0;
    iol_json_start(&j, append, into, false);
    iol_json_open(&j, NULL, '{');
    iol_json_integer(&j, "case_format", 1);
    iol_json_text(&j, "case_ref", "typed");
    iol_json_text(&j, "eye", t->eye);
    iol_json_text(&j, "reason", "power-error");
    put(&j, "age_years", t->age);
    put(&j, "target_se_d", t->target_d);
    put_wish(&j, t);
    say(&j, "formula", o->formula);
    put_biometry(&j, "biometry", t);
    if (o->repeated) put_biometry(&j, "biometry_repeat", t);
    put_refraction(&j, o, t);
    put_day(&j, "assessed_on", t->days); /* planned on the day of the reading */
    put_first_surgery(&j, o, t);
    put_findings(&j, o, t);
    iol_json_close(&j, '}');
    iol_json_finish(&j);
}

/* Constant of the new lens: as typed, else that of the old one, else an assumed one. */
static double new_constant(const iol_power_typed *t) {
    return !isnan(t->new_a_constant) ? t->new_a_constant : !isnan(t->a_constant) ? t->a_constant : c_a_constant_assumed;
}

static void write_site(const iol_options *o, const iol_power_typed *t, text *into) {
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
    put_haigis(&j, t);
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
               {"/anterior_segment/pressure_mmhg", "--pressure"},
               {"/target_se_d", "--target"},
               {"/formula", "--formula"},
               {"/biometry/axial_length_mm", "--length"},
               {"/biometry/k_", "--k"},
               {"/biometry_repeat/k_", "--k"},
               {"/biometry_repeat/axial_length_mm", "--length"},
               {"/biometry_repeat/chamber_depth_mm", "--chamber-depth"},
               {"/biometry/method", "--method"},
               {"/cornea/surface", "--surface"},
               {"/biometry/chamber_depth_mm", "--chamber-depth"},
               {"/refractions/0/vertex_mm", "--vertex"},
               {"/refractions/0/measured_on", "--days"},
               {"/refractions/0/", "--refraction"},
               {"/first_surgery/lens/power_d", "--implanted"},
               {"/first_surgery/lens/position", "--from"},
               {"/first_surgery/lens/constants/for_position", "--from"},
               {"/first_surgery/lens/constants/a_constant", "--a-constant"},
               {"/first_surgery/lens/constants/haigis", "--haigis"},
               {"/lenses/0/constants/haigis", "--haigis"},
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
    if (!o->site && !iol_site_read(w->json.bytes, w->json.used, &w->site, &w->faults)) return refuse(&w->faults);
    int status = o->site ? iol_cli_site(o->site, &w->site) : IOL_EXIT_DONE;
    if (status != IOL_EXIT_DONE) return status;
    iol_plan_make_parts(&w->c, &w->site, IOL_UNKNOWN_DATE, o->piggyback ? second_lens : exchange, &w->plan);
    name_flags(&w->plan.notes);
    if (isnan(w->t.new_a_constant) && !o->piggyback && !o->site)
        iol_note_add(&w->plan.notes, IOL_AT_plan_assumptions, 0, IOL_NOTE_assume_new_constant, new_constant(&w->t), NAN,
                     NULL);
    return IOL_EXIT_DONE;
}

static int run(const iol_options *o, workspace *w) {
    int format, status = iol_cli_format("power", o->format, &format);
    if (status == IOL_EXIT_DONE) status = iol_power_read(o, &w->t);
    if (status == IOL_EXIT_DONE) status = make(o, w);
    if (status != IOL_EXIT_DONE) return status;
    if (o->full || format == IOL_FORMAT_HTML)
        iol_power_text(&w->c, &w->plan, o->piggyback != NULL, &w->page);
    else
        iol_power_screen(&w->c, &w->plan, o->piggyback != NULL, &w->page);
    return iol_cli_write_plan(o, format, &w->plan, &w->page);
}

int iol_cli_power(const iol_options *options) {
    workspace *w = malloc(sizeof *w);
    if (!w) return iol_cli_cannot("plan", "what was typed", IOL_EXIT_FAULT);
    int status = run(options, w);
    free(w);
    return status;
}
