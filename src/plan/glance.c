/* Dates of the ways, spans of days, acts: read from what the parts have found. */
#include "glance.h"
#include "tables/rule_codes.h"

#include <string.h>

#include "tables/constants.h"
#include "text/date_words.h"

/* ---- days ---- */

static void span(iol_timing *t, int what, double from, double to) {
    if (isnan(from) || !iol_has_room(t->windows_count, IOL_MOST(t->windows), &t->windows_lost)) return;
    t->windows[t->windows_count++] = (iol_window){.present = true, .what = what, .from_day = from, .to_day = to};
}

/* Until the fluid is excluded, or out, and until the oil is out no day of the first operation counts for a reading. */
static bool no_day_holds(const iol_work *w, const iol_facts *f) {
    return f->trapped_fluid == IOL_YES || w->eye.fluid_seen || f->oil_comes_out == IOL_YES;
}

static void spans(const iol_work *w, const iol_facts *f) {
    iol_timing *t = &w->plan->timing;
    const bool fluid = no_day_holds(w, f);
    if (!t->present) return;
    if (f->turn) span(t, IOL_window_what_turns_easily, c_turn_first_day, c_turn_last_day);
    if (t->earliest_by_refraction != IOL_UNKNOWN_DATE && !fluid)
        span(t, IOL_window_what_refraction_counts, f->refraction_day, NAN);
    span(t, IOL_window_what_complaint_judged, f->symptom_day, NAN);
    if (t->best_before != IOL_UNKNOWN_DATE) span(t, IOL_window_what_exchange_easier, 0.0, c_best_before_day);
    for (int i = 0; i < w->plan->options_count && !fluid; i++)
        if (w->plan->options[i].option == IOL_option_corneal_laser && !isnan(w->plan->options[i].rank))
            span(t, IOL_window_what_laser_judged, c_laser_wait_days, NAN);
}

/* The day before which a way is not judged, if it lies ahead. */
static int32_t waits_until(const iol_work *w, const iol_facts *f, int option) {
    double day = NAN;
    if (option == IOL_option_corneal_laser) day = c_laser_wait_days;
    const bool front =
        f->second_chafes != IOL_YES && (option == IOL_option_second_out || option == IOL_option_second_exchange);
    if (option == IOL_option_rotation || option == IOL_option_second_turn) day = c_turn_first_day;
    if (front || option == IOL_option_piggyback || (option == IOL_option_exchange && f->documented_wrong != IOL_YES))
        day = fmax(f->refraction_day, f->symptom_day);
    if (option == IOL_option_optic_capture) day = f->symptom_day;
    if (isnan(day) || iol_at_least(f->day, day) != IOL_NO || f->oil_comes_out == IOL_YES) return IOL_UNKNOWN_DATE;
    return iol_gates_date(w, day);
}

/* ---- ways ---- */

static void add_series(iol_option_row *row, int option, iol_evidence_key key, double within_d, double eyes) {
    if (row->option != option || !iol_has_room(row->published_count, IOL_MOST(row->published), &row->published_lost))
        return;
    const iol_evidence_row *e = &iol_evidence[key];
    row->published[row->published_count++] = (iol_published){.present = true,
                                                             .within_d = within_d,
                                                             .of_100 = e->value,
                                                             .eyes = eyes,
                                                             .source = iol_references[e->reference].key,
                                                             .status = iol_status_text(e->status)};
}

static double chosen_sd(const iol_replacement *r) {
    const iol_choice *step = iol_chosen_step(r);
    return step ? step->sd_d : NAN;
}

static double sd_of_way(const iol_plan *plan, int id) {
    const iol_two_way *way = iol_two_way_of(plan, id);
    return way ? way->sd_d : NAN;
}

/* Spread of the refraction after a way; NaN where none is worked out. */
static double sd_of(const iol_plan *plan, int option) {
    switch (option) {
    case IOL_option_exchange:
    case IOL_option_secondary_lens: return chosen_sd(iol_new_lens(plan));
    case IOL_option_piggyback: return chosen_sd(&plan->piggyback.power);
    case IOL_option_reposition: return plan->reposition.sd_d;
    case IOL_option_second_out: return sd_of_way(plan, IOL_two_way_second_out);
    case IOL_option_second_turn: return sd_of_way(plan, IOL_two_way_second_turned);
    case IOL_option_second_exchange: return sd_of_way(plan, IOL_two_way_second_exchanged);
    default: return NAN;
    }
}

static void ways(const iol_work *w, const iol_facts *f) {
    for (int i = 0; i < w->plan->options_count; i++) {
        iol_option_row *row = &w->plan->options[i];
        row->not_before = waits_until(w, f, row->option);
        row->sd_d = isnan(row->expected_se_d) ? NAN : sd_of(w->plan, row->option);
        /* the series of corneal laser are of corneas that nobody had touched */
        if (row->option == IOL_option_corneal_laser && f->corneal_surgery != IOL_NO) continue;
#define PUBLISHED(option, key, within, eyes) add_series(row, IOL_option_##option, IOL_EVIDENCE_##key, within, eyes);
#include "published.def"
#undef PUBLISHED
    }
}

static void fellow(const iol_work *w) {
    const iol_refraction *r = &w->c->fellow_eye.refraction;
    iol_spectacle_form *out = &w->plan->fellow_refraction;
    if (isnan(r->sphere_d)) return;
    out->present = true;
    const bool plus = iol_above(r->cylinder_d, 0.0) == IOL_YES; /* minus form */
    out->sphere_d = plus ? r->sphere_d + r->cylinder_d : r->sphere_d;
    out->cylinder_d = plus ? 0.0 - r->cylinder_d : r->cylinder_d;
    out->axis_deg = iol_axis_reduce(plus ? r->axis_deg + 90.0 : r->axis_deg);
    out->se_d = r->sphere_d + r->cylinder_d / 2.0;
}

/* ---- the day that leads ---- */

int32_t iol_leading_day(const iol_plan *plan) {
    const iol_option_row *first = iol_first_way(plan);
    const iol_decision *d = &plan->decision;
    if (d->state == IOL_state_wait) return d->not_before;
    if (d->state == IOL_state_other_option_first && first && first->not_before != IOL_UNKNOWN_DATE)
        return first->not_before;
    return d->do_by;
}

/* ---- acts ---- */

enum { FIRST_MOST = 3, TOLD_MOST = 32 };
typedef struct {
    iol_work *w;
    bool gate; /* its act is still to come: room is kept for it */
    int step,
        step_told;  /* the first step of the way that leads, and the act that says it already; IOL_NOTE_COUNT: none */
    bool step_kept; /* room is kept for it */
    int first, told[TOLD_MOST], told_count;
    int dated; /* row of the first act that waits for a day; -1: none */
} acts;

/* A day that is not the one that leads stands behind: it says itself what it is for. */
static void add(acts *a, int when, iol_note_code code, iol_reference source, const iol_note *from) {
    iol_decision *d = &a->w->plan->decision;
    char date[24] = "";
    const bool dated = !from->word[0] && strstr(iol_note_rows[code].text, "%s");
    const int32_t day = dated ? iol_gates_date(a->w, from->limit) : IOL_UNKNOWN_DATE;
    if (day != IOL_UNKNOWN_DATE) iol_date_words(day, NULL, date, sizeof date);
    if (when == IOL_act_when_first && day != IOL_UNKNOWN_DATE && day != iol_leading_day(a->w->plan))
        when = IOL_act_when_also;
    if (code == IOL_NOTE_act_gate_reads || code == IOL_NOTE_act_gate_fades) a->gate = false;
    if ((int)code == a->step || (int)code == a->step_told) {
        a->step = IOL_NOTE_COUNT;
        a->step_kept = false;
    }
    const int most = a->gate || a->step_kept ? FIRST_MOST - 1 : FIRST_MOST;
    if (when == IOL_act_when_first && a->first >= most) when = IOL_act_when_also;
    a->first += when == IOL_act_when_first;
    if (!iol_has_room(d->acts_count, IOL_MOST(d->acts), &d->acts_lost)) {
        iol_caution(a->w, IOL_NOTE_notes_lost, NAN, NAN, NULL);
        return;
    }
    const int row = d->acts_count++;
    if (when == IOL_act_when_first && day != IOL_UNKNOWN_DATE && a->dated < 0) a->dated = row;
    d->acts[row] = (iol_act){.present = true, .when = when, .source = iol_references[source].key};
    iol_note_add(&a->w->plan->notes, IOL_AT_act_text, row, code, from->value, from->limit, date[0] ? date : from->word);
}

/* The notes of a place: of the ways those of the first. */
static int row_of(const iol_plan *plan, int place) {
    const iol_option_row *first = iol_first_way(plan);
    return place == IOL_AT_option_row_why ? (first ? (int)(first - plan->options) : -1) : 0;
}

static bool stands(const iol_plan *plan, iol_note_code why) {
    return iol_note_with(&plan->notes, IOL_AT_replacement_standing_reasons, (int)why) >= 0;
}

static bool acts_say(const iol_plan *plan, iol_note_code code) {
    return iol_note_with(&plan->notes, IOL_AT_act_text, (int)code) >= 0;
}

/* The lens itself is acted on within days: who agrees comes before further tests. */
static bool acts_soon(const iol_plan *plan) {
    const int state = plan->decision.state;
    return plan->decision.urgency == IOL_urgency_days &&
           (state == IOL_state_exchange || state == IOL_state_exchange_or_alternative);
}

static bool gate_decides(const iol_plan *plan) {
    return plan->decision.state == IOL_state_wait && plan->decision.not_before != IOL_UNKNOWN_DATE;
}

/* It comes out whatever else is found: not for want of a smaller way. */
static bool comes_out(const iol_plan *plan) {
    const int why = iol_note_find(&plan->notes, IOL_AT_decision_reasons, 0, 0);
    return plan->decision.state == IOL_state_exchange && why >= 0 &&
           plan->notes.item[why].code != IOL_NOTE_rule_no_better_option;
}

/* One row alone says when the eye is refracted again: the gate that decides, the fluid, else the reading. */
static bool is_silent(const iol_work *w, iol_note_code own) {
    const iol_plan *plan = w->plan;
    const bool gate = gate_decides(plan);
    const bool fluid = stands(plan, IOL_NOTE_withheld_fluid) || stands(plan, IOL_NOTE_withheld_fluid_seen);
    switch ((int)own) {
    case IOL_NOTE_act_gate_reads:
    case IOL_NOTE_act_gate_fades: return !gate;
    case IOL_NOTE_act_early:
    case IOL_NOTE_act_settling: return gate || fluid;
    case IOL_NOTE_act_laser_waits: return gate;
    case IOL_NOTE_act_cross_check: return fluid;
    case IOL_NOTE_act_eyes_differ: return acts_say(plan, IOL_NOTE_act_contradicted) || acts_say(plan, IOL_NOTE_act_other_eye);
    case IOL_NOTE_act_goals: return acts_say(plan, IOL_NOTE_act_near_target);
    case IOL_NOTE_act_read_no_lens: return acts_say(plan, IOL_NOTE_act_child_sees);
    case IOL_NOTE_act_only_eye_soon: return !acts_soon(plan);
    case IOL_NOTE_act_only_eye: return acts_soon(plan);
    case IOL_NOTE_act_material: return acts_say(plan, IOL_NOTE_act_hydrophilic);
    case IOL_NOTE_act_tunnel: return !w->facts.exchange_step;
    case IOL_NOTE_act_cornea_first: return !w->facts.lens_step;
    case IOL_NOTE_act_weigh_cornea: return w->facts.lens_step;
    case IOL_NOTE_act_aim_open: return acts_say(plan, IOL_NOTE_act_near_target);
    case IOL_NOTE_act_haze_or_optics: return acts_say(plan, IOL_NOTE_act_haze_onset);
    case IOL_NOTE_act_weigh_askew:
    case IOL_NOTE_act_weigh_clouded: return comes_out(plan);
    default: return false;
    }
}

static void act(acts *a, int when, int place, iol_note_code note, int told, iol_note_code own) {
    const iol_notes *notes = &a->w->plan->notes;
    if (is_silent(a->w, own)) return;
    const int row = row_of(a->w->plan, place);
    for (int i = iol_note_find(notes, place, row, 0); i >= 0; i = iol_note_find(notes, place, row, i + 1)) {
        if (notes->item[i].code != (int)note) continue;
        const iol_note from = notes->item[i];
        if (told < IOL_NOTE_COUNT && a->told_count < TOLD_MOST) a->told[a->told_count++] = told;
        add(a, when, own, iol_note_rows[note].reference, &from);
        return;
    }
}

static bool is_told(const acts *a, int code) {
    if (a->gate && code == IOL_NOTE_missing_refraction) return true;
    for (int i = 0; i < a->told_count; i++)
        if (a->told[i] == code) return true;
    return false;
}

static void take_tests(acts *a, int when, int place) {
    const iol_notes *notes = &a->w->plan->notes;
    for (int i = iol_note_find(notes, place, 0, 0); i >= 0; i = iol_note_find(notes, place, 0, i + 1)) {
        const iol_note from = notes->item[i];
        if (!is_told(a, from.code)) add(a, when, (iol_note_code)from.code, iol_note_rows[from.code].reference, &from);
    }
}

/* The record of the laser is in the case, and topography was done: nothing is left to be found. */
static bool laser_on_record(const iol_facts *f, int code) {
    const bool laser = code == IOL_NOTE_suspect_myopic_laser || code == IOL_NOTE_suspect_hyperopic_laser;
    return laser && f->k_before_known && !f->topography_missing;
}

static void take_confirmed(acts *a, int when, int place) {
    const iol_surprise *s = &a->w->plan->surprise;
    for (int k = 0; k < s->suspects_count; k++) {
        const int i = iol_note_find(&a->w->plan->notes, place, k, 0);
        if (s->suspects[k].confirmed != IOL_YES || i < 0) continue;
        const iol_note from = a->w->plan->notes.item[i];
        if (is_told(a, from.code) || laser_on_record(&a->w->facts, from.code)) continue;
        const bool behind = from.code == IOL_NOTE_check_displaced; /* it is read once the lens lies in its place */
        if (behind && a->w->plan->decision.state == IOL_state_exchange) continue;
        add(a, behind ? IOL_act_when_after_it : when, (iol_note_code)from.code, iol_note_rows[from.code].reference,
            &from);
    }
}

static void swap_acts(iol_plan *plan, int a, int b) {
    const iol_act act = plan->decision.acts[a];
    plan->decision.acts[a] = plan->decision.acts[b];
    plan->decision.acts[b] = act;
    for (int i = 0; i < plan->notes.count; i++) {
        iol_note *note = &plan->notes.item[i];
        if (note->place == IOL_AT_act_text && (note->row == a || note->row == b)) note->row = note->row == a ? b : a;
    }
}

/* What can be done now comes before what waits for a day. */
static void dated_last(acts *a) {
    iol_decision *d = &a->w->plan->decision;
    for (int i = a->dated + 1; a->dated >= 0 && i < d->acts_count; i++)
        if (d->acts[i].when == IOL_act_when_first) {
            swap_acts(a->w->plan, a->dated, i);
            a->dated = i;
        }
}

/* What is first stands before what had no room among it. */
static void first_before_also(iol_plan *plan) {
    iol_decision *d = &plan->decision;
    for (int i = 1; i < d->acts_count; i++)
        for (int k = i; k > 0 && d->acts[k].when == IOL_act_when_first && d->acts[k - 1].when == IOL_act_when_also; k--)
            swap_acts(plan, k, k - 1);
}

/* The way whose first step is told: none where something else comes before every way. */
static int way_that_leads(const iol_plan *plan) {
    const iol_option_row *first = iol_first_way(plan);
    switch (plan->decision.state) {
    case IOL_state_exchange: return IOL_option_exchange;
    case IOL_state_secondary_lens: return IOL_option_secondary_lens;
    case IOL_state_other_option_first: return first ? first->option : 0;
    case IOL_state_not_for_exchange: return first && first->option == IOL_option_leave ? IOL_option_leave : 0;
    default: return 0;
    }
}

static void find_step(acts *a, const iol_facts *f) {
    const int way = way_that_leads(a->w->plan);
    a->step = a->step_told = IOL_NOTE_COUNT;
#define STEP(option, id, when, told, text)                                                                             \
    if (a->step == IOL_NOTE_COUNT && way == IOL_option_##option && (when) == IOL_YES)                                  \
        a->step = IOL_NOTE_act_##id, a->step_told = IOL_NOTE_##told;
#include "acts.def"
    const int state = a->w->plan->decision.state;
    a->step_kept =
        a->step < IOL_NOTE_COUNT && (state == IOL_state_other_option_first || state == IOL_state_not_for_exchange);
}

static void add_plain(acts *a, int code) {
    const iol_note none = {.value = NAN, .limit = NAN};
    if (code < IOL_NOTE_COUNT && a->first < FIRST_MOST)
        add(a, IOL_act_when_first, (iol_note_code)code, IOL_REF_judgement, &none);
}

static void what_to_do(iol_work *w, const iol_facts *f) {
    acts a = {.w = w, .gate = gate_decides(w->plan), .dated = -1};
    const bool today = w->plan->decision.urgency == IOL_urgency_same_day;
    find_step(&a, f);
#define take_all take_tests
#define ACT(id, when, place, note, told, text)                                                                         \
    if (today == (IOL_act_when_##when == IOL_act_when_after_it))                                                       \
        act(&a, IOL_act_when_##when, IOL_AT_##place, IOL_NOTE_##note, told, IOL_NOTE_act_##id);
#define TODAY(id, place, note, text)                                                                                   \
    if (today) act(&a, IOL_act_when_first, IOL_AT_##place, IOL_NOTE_##note, IOL_NOTE_COUNT, IOL_NOTE_act_##id);
#define STEP(option, id, when, told, text)                                                                             \
    if (a.step == IOL_NOTE_act_##id) add_plain(&a, a.step);
#define LAST(id, text)                                                                                                 \
    if (a.first == 0) add_plain(&a, IOL_NOTE_act_##id);
#define TAKE(when, place, whose)                                                                                       \
    if (!today) take_##whose(&a, IOL_act_when_##when, IOL_AT_##place);
#include "acts.def"
#undef take_all
    dated_last(&a);
    first_before_also(w->plan);
}

/* What is measured first decides on a turn, which is easy only for days. */
static bool decides_on_turn(const iol_work *w, const iol_facts *f) {
    const int rule = iol_note_find(&w->plan->notes, IOL_AT_decision_reasons, 0, 0);
    const int code = rule < 0 ? -1 : w->plan->notes.item[rule].code;
    return f->turn_window && (code == IOL_NOTE_rule_cylinder_open || code == IOL_NOTE_rule_cylinder_unread ||
                              code == IOL_NOTE_rule_tests_missing);
}

static int32_t do_by(const iol_work *w, const iol_facts *f) {
    const iol_option_row *first = iol_first_way(w->plan);
    const int state = w->plan->decision.state;
    const bool turns = state == IOL_state_other_option_first && first && first->option == IOL_option_rotation;
    if ((turns || decides_on_turn(w, f)) && iol_at_most(f->day, c_turn_last_day) == IOL_YES)
        return iol_gates_date(w, c_turn_last_day);
    const int rule = iol_note_find(&w->plan->notes, IOL_AT_decision_reasons, 0, 0); /* once the eye is quiet */
    if (rule >= 0 && w->plan->notes.item[rule].code == IOL_NOTE_rule_wrong_cells)
        return iol_gates_date(w, c_best_before_day);
    return state == IOL_state_exchange ? w->plan->timing.best_before : IOL_UNKNOWN_DATE;
}

void iol_glance_make(iol_work *w) {
    fellow(w);
    if (!w->plan->decision.present) return;
    iol_facts_grow(w);
    spans(w, &w->facts);
    ways(w, &w->facts);
    w->plan->decision.do_by = do_by(w, &w->facts);
    what_to_do(w, &w->facts);
    iol_headline_make(w);
}
