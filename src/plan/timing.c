/* When: the capsule, the gates, and what decides between them (method, section 9). */
#include "gates.h"
#include "tables/constants.h"
#include "tables/note_codes.h"

typedef struct {
    iol_work *w;
    iol_timing *out;
    bool exchange, easy, gated, waits; /* TIMING_ADVICE of remarks.def */
} timing;

/* Typical capsular bend, linear between the published days and flat after the last; NaN before the first. */
static double bend_index(double day) {
    const double at[][2] = {{c_bend_day_1, c_bend_index_1},
                            {c_bend_day_2, c_bend_index_2},
                            {c_bend_day_3, c_bend_index_3},
                            {c_bend_day_4, c_bend_index_4}};
    enum { POINTS = sizeof at / sizeof *at };
    if (iol_at_least(day, at[0][0]) != IOL_YES) return NAN;
    for (int i = 1; i < POINTS; i++)
        if (day < at[i][0])
            return at[i - 1][1] + (at[i][1] - at[i - 1][1]) * (day - at[i - 1][0]) / (at[i][0] - at[i - 1][0]);
    return at[POINTS - 1][1];
}

static const char *stage(double day) {
    if (isnan(day)) return NULL;
    if (day < c_bend_day_2) return "open";
    if (day < c_bend_day_3) return "closing";
    return day < c_bend_day_4 ? "closed" : "firm";
}

static void reason(timing *t, iol_note_code code, double value, double limit) {
    iol_note_add(&t->w->plan->notes, IOL_AT_timing_reasons, 0, code, value, limit, NULL);
}

static void gates(timing *t) {
    const iol_facts *f = &t->w->facts;
    bool fluid = t->w->eye.fluid_seen;
    t->out->earliest_by_refraction = fluid ? IOL_UNKNOWN_DATE : iol_gates_date(t->w, f->refraction_day);
    t->out->earliest_by_symptoms = iol_gates_date(t->w, f->symptom_day);
    if (fluid)
        reason(t, IOL_NOTE_gate_fluid, c_refract_after_release_low_weeks, c_refract_after_release_high_weeks);
    else
        reason(t, f->refraction_why, f->refraction_day, NAN);
    if (!isnan(f->symptom_day)) reason(t, f->symptom_why, f->symptom_day, NAN);
#define TIMING_SAYS(id, when, value, limit)                                                                            \
    if (when) reason(t, IOL_NOTE_##id, value, limit);
#include "remarks.def"
#undef TIMING_SAYS
}

static void warnings(timing *t) {
    const iol_facts *f = &t->w->facts;
    bool cure = f->trapped_fluid == IOL_YES; /* a laser opening lets it out */
    bool loose = f->dislocation == IOL_YES || f->zonule_lost == IOL_YES;
    if (cure || f->posterior_open == IOL_YES || f->lens_on_retina == IOL_YES) return;
    if (t->w->plan->decision.state == IOL_state_not_for_exchange) return;
    bool leads = t->w->plan->decision.state == IOL_state_other_option_first; /* the laser itself may */
    if (leads && f->first_option == IOL_option_capsule_laser) return;
    iol_caution(t->w, loose ? IOL_NOTE_no_laser_loose : IOL_NOTE_no_capsule_laser, NAN, NAN, NULL);
}

/* The first row that holds; below 0 none. */
static int advice(const timing *t) {
    const iol_facts *f = &t->w->facts;
#define TIMING_ADVICE(id, when)                                                                                        \
    if (when) return IOL_NOTE_##id;
#include "remarks.def"
#undef TIMING_ADVICE
    return -1;
}

/* The one sentence that says what decides, and whether gates and easier days clash. */
static void advise(timing *t) {
    const iol_facts *f = &t->w->facts;
    int state = t->w->plan->decision.state;
    char until[11] = "not known";
    int32_t last = t->out->earliest_by_refraction;
    t->gated = f->settled == IOL_NO || f->relieved == IOL_NO;
    t->easy = f->in_bag == IOL_YES && iol_below(f->day, c_best_before_day) == IOL_YES;
    t->exchange = state == IOL_state_exchange && f->in_bag == IOL_YES;
    t->waits = state == IOL_state_wait && t->gated && f->trapped_fluid != IOL_YES && f->oil_comes_out != IOL_YES;
    if (t->out->earliest_by_symptoms > last) last = t->out->earliest_by_symptoms;
    if (last != IOL_UNKNOWN_DATE) iol_date_print(last, until);
    int code = advice(t);
    if (code < 0) return;
    if (code == IOL_NOTE_advice_wrong_lens || code == IOL_NOTE_advice_early)
        t->out->best_before = iol_gates_date(t->w, c_best_before_day);
    t->out->conflict = iol_from_bool(code == IOL_NOTE_advice_wrong_lens || code == IOL_NOTE_advice_gate);
    iol_note_add(&t->w->plan->notes, IOL_AT_timing_advice, 0, code, c_best_before_day, NAN, until);
}

void iol_part_timing(iol_work *w) {
    timing t = {.w = w, .out = &w->plan->timing};
    iol_facts_grow(w);
    bool in_bag = w->facts.in_bag == IOL_YES;
    t.out->present = true;
    t.out->days_since_first_surgery = w->facts.day;
    t.out->bend_index = in_bag ? bend_index(w->facts.day) : NAN;
    t.out->stage = in_bag ? stage(w->facts.day) : NULL;
    t.out->best_before = IOL_UNKNOWN_DATE;
    t.out->conflict = IOL_NO;
    gates(&t);
    warnings(&t);
    advise(&t);
}
