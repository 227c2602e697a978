/* Plain words for the patient: which sentences hold. The words themselves stand in the files of the languages. */
#include "patient.h"
#include "tables/rule_codes.h"

#include <string.h>

#include "glance.h"
#include "suspects_told.h"
#include "suit.h"
#include "tables/constants.h"
#include "told.h"

/* What the rows ask beside the facts. */
typedef struct {
    int state;
    int first;       /* the way that leads and keeps the lens where it lies: word of set option; 0 none */
    bool first_fits; /* it is known to fit */
    bool two;        /* an eye with two lenses */
    bool weighs;     /* ways are weighed: one that keeps the lens comes first, or stands beside the exchange */
    bool no_lens, turn_confirmed, tests;
    bool oil_out;    /* the oil is taken out first: that decides */
    bool window_first, window_test; /* the cornea comes first: it is swollen or fails; or it is tested, being uneven */
    bool measure_both, read_again, read_anew;  /* what was measured, or read, is taken again first */
    bool treat_first;               /* pressure, inflammation or the macula: that decides */
    bool calm_exchange;             /* the eye is calmed, then a wrong lens comes out: that decides */
    bool rub_told;                  /* that a lens rubs is said: it is known to, or more than one finding speaks for it */
    bool open_later;                /* the clouded capsule is what blurs */
    bool fades;      /* what is complained of often fades: that is waited for */
    bool alarms_open; /* nobody asked about the alarms */
    bool which_lenses; /* which two lenses are inside is looked up: that decides */
    bool data_first, lens_sought; /* no power for an eye without a lens; no lens of the shelf reaches its target */
    bool look_first; /* nobody has looked behind the lens: that decides */
    bool held_first; /* how a lens that has not moved is held is settled first: it stays and is fixed, or comes out */
    const char *cause;       /* the confirmed suspect that is told as the cause; "" where it is not known */
    bool miss_told;          /* that the eye came out otherwise than planned is said */
    bool new_step, new_open; /* a new lens is the step, and known to fit */
    bool new_may;            /* or may fit */
    bool hurries, hurries_weeks; /* what is done to the lens is done within days, or weeks, and no day is told */
    bool no_other_place;     /* a new lens has the one place: else the eye is closed without one */
    bool worn_first;         /* glasses or a contact lens lead */
    bool new_inside;         /* a new lens comes into the eye, and is known to fit */
    bool two_goals;          /* what is wanted is asked once more */
    bool new_monofocal, aims_near; /* it comes in the place of a multifocal lens; it is clear at reading distance */
    bool operates;           /* an operation is the next step, known to fit */
    bool new_leads;          /* and it comes before every other way */
    bool chance_told;        /* nothing that a chance rests on is open: what the surgeon is not told the patient is not */
    bool back_maybe, exchange_maybe; /* it is not known whether the old lens can be put back, or exchanged */
    bool exchange_open, back_open, leave_open; /* known to fit */
    double miss_d, of_100, eyes; /* 0 near enough or not known; series of the first way */
    int32_t by_day, wait_day;    /* 0: none */
} iol_talk;

static bool is_open(const iol_plan *plan, int option) {
    for (int i = 0; i < plan->options_count; i++)
        if (plan->options[i].option == option && plan->options[i].suitable == IOL_YES) return true;
    return false;
}

static bool may_fit(const iol_plan *plan, int option) {
    for (int i = 0; i < plan->options_count; i++)
        if (plan->options[i].option == option && plan->options[i].suitable == IOL_UNKNOWN) return true;
    return false;
}

static bool is_confirmed(const iol_surprise *s, const char *id) {
    for (int i = 0; i < s->suspects_count; i++)
        if (s->suspects[i].confirmed == IOL_YES && strcmp(s->suspects[i].id, id) == 0) return true;
    return false;
}

static const char *known_cause(const iol_surprise *s) {
    const iol_suspect *cause = iol_cause_named(s);
    return cause && cause->confirmed == IOL_YES ? cause->id : "";
}

static bool decided_by(const iol_plan *plan, int rule) {
    const int note = iol_note_find(&plan->notes, IOL_AT_decision_reasons, 0, 0);
    return note >= 0 && plan->notes.item[note].code == rule;
}

static bool holds(const iol_plan *plan, int place, int code) { return iol_note_with(&plan->notes, place, code) >= 0; }

/* Pigment, cells, pressure. */
static int findings_of_rubbing(const iol_case *c) {
    const iol_anterior_segment *a = &c->anterior_segment;
    return (a->pigment_dispersion == IOL_YES) + (a->uveitis == IOL_uveitis_active) +
           (iol_above(a->pressure_mmhg, c_pressure_rubs_mmhg) == IOL_YES);
}

/* Another place has a lens that comes near its aim. */
static bool other_place(const iol_plan *plan) {
    for (int i = 0; i < plan->fallbacks_count; i++) {
        const iol_fallback *f = &plan->fallbacks[i];
        if (iol_at_most(fabs(f->expected_se_d - f->aim_d), c_fallback_off_shelf_d) == IOL_YES) return true;
    }
    return false;
}

static bool cause_is(const iol_talk *t, const char *id) { return strcmp(t->cause, id) == 0; }

/* Beside an exchange that is weighed, putting the lens back has words of its own. */
static bool leads_alone(int state, int option) {
    if (state == IOL_state_other_option_first) return true;
    return state == IOL_state_exchange_or_alternative && option != IOL_option_reposition && iol_option_words(option)[0];
}

static void of_the_first_way(const iol_work *w, iol_talk *t) {
    const iol_option_row *first = iol_first_way(w->plan);
    t->of_100 = t->eyes = NAN;
    if (!first || !leads_alone(t->state, first->option) || t->held_first) return;
    t->first = first->option;
    t->first_fits = first->suitable == IOL_YES;
    if (first->not_before != IOL_UNKNOWN_DATE) t->wait_day = first->not_before;
    if (first->published_count == 0) return;
    t->of_100 = first->published[0].of_100;
    t->eyes = first->published[0].eyes;
}

static void talk_make(const iol_work *w, const iol_facts *f, iol_talk *t) {
    const iol_plan *plan = w->plan;
    *t = (iol_talk){.state = plan->decision.state};
    t->held_first = t->state == IOL_state_exchange_or_alternative &&
                    (decided_by(plan, IOL_NOTE_rule_lens_loose) || decided_by(plan, IOL_NOTE_rule_lens_loose_unread));
    of_the_first_way(w, t);
    t->two = plan->two_lenses.present;
    t->no_lens = f->no_lens == IOL_YES;
    t->cause = f->cause_not_found ? "" : known_cause(&plan->surprise);
    t->oil_out = decided_by(plan, IOL_NOTE_rule_oil_out);
    t->look_first = decided_by(plan, IOL_NOTE_rule_fluid_not_looked);
    t->window_first = decided_by(plan, IOL_NOTE_rule_cornea_swollen) || decided_by(plan, IOL_NOTE_rule_cornea_fails);
    t->which_lenses = decided_by(plan, IOL_NOTE_rule_two_lenses) || decided_by(plan, IOL_NOTE_rule_labels_doubted);
    t->data_first = decided_by(plan, IOL_NOTE_rule_no_lens_open);
    t->lens_sought = decided_by(plan, IOL_NOTE_rule_no_lens_short);
    t->window_test = decided_by(plan, IOL_NOTE_rule_cornea_unfit);
    t->fades = decided_by(plan, IOL_NOTE_rule_symptom_gate);
    t->alarms_open = holds(plan, IOL_AT_decision_missing_tests, IOL_NOTE_missing_red_flags);
    t->measure_both = decided_by(plan, IOL_NOTE_rule_contradicted);
    t->read_again = decided_by(plan, IOL_NOTE_rule_readings_apart);
    t->read_anew = decided_by(plan, IOL_NOTE_rule_reading_early) || decided_by(plan, IOL_NOTE_rule_reading_old) ||
                   decided_by(plan, IOL_NOTE_rule_wrong_reread) || decided_by(plan, IOL_NOTE_rule_outgrown);
    t->open_later = decided_by(plan, IOL_NOTE_rule_capsule_blurs);
    t->turn_confirmed = is_confirmed(&plan->surprise, "toric-axis-off-mark");
    t->treat_first = decided_by(plan, IOL_NOTE_rule_pressure_uncontrolled) || decided_by(plan, IOL_NOTE_rule_pressure_moved) ||
                      decided_by(plan, IOL_NOTE_rule_uveitis_active) || decided_by(plan, IOL_NOTE_rule_moved_inflamed) ||
                      decided_by(plan, IOL_NOTE_rule_rubs_treat) ||
                     decided_by(plan, IOL_NOTE_rule_macular_oedema);
    t->calm_exchange = decided_by(plan, IOL_NOTE_rule_wrong_cells);
    t->rub_told = f->lens_chafes == IOL_YES || f->second_chafes == IOL_YES || (f->may_chafe && findings_of_rubbing(w->c) > 1);
    t->tests = plan->decision.state == IOL_state_find_cause_first;
    t->exchange_open = is_open(plan, IOL_option_exchange) && !f->not_made;
    t->new_open = t->exchange_open || is_open(plan, IOL_option_secondary_lens);
    t->new_may = t->new_open || may_fit(plan, IOL_option_exchange) || may_fit(plan, IOL_option_secondary_lens);
    t->new_step = (f->exchange_step && t->first == 0) || t->state == IOL_state_secondary_lens;
    t->new_leads = t->new_step && f->first_option != IOL_option_reposition;
    t->chance_told = iol_chance_told(plan);
    t->weighs = t->state == IOL_state_other_option_first || t->state == IOL_state_exchange_or_alternative;
    t->back_open = is_open(plan, IOL_option_reposition);
    t->operates = t->first > 0 ? f->first_inside && t->first_fits && t->wait_day == 0 : t->new_step && t->new_open;
    t->back_maybe = may_fit(plan, IOL_option_reposition);
    t->exchange_maybe = may_fit(plan, IOL_option_exchange);
    t->leave_open = is_open(plan, IOL_option_leave) && !iol_plan_stops(plan) && t->state != IOL_state_wait;
    t->no_other_place = t->new_step && t->new_may && !t->no_lens && !other_place(plan);
    t->new_inside = (t->new_step && t->new_open) || t->first == IOL_option_second_exchange;
    t->two_goals = holds(plan, IOL_AT_plan_cautions, IOL_NOTE_goals_apart) ||
                   holds(plan, IOL_AT_plan_cautions, IOL_NOTE_near_target);
    const double miss = f->reading ? f->worn_d - f->intended_d : NAN; /* as the eye is, with a displaced lens too */
    t->miss_d = iol_above(fabs(miss), c_option_close_d) == IOL_YES ? miss : 0.0;
    t->miss_told = f->power_first && t->miss_d != 0.0 && !t->no_lens && f->documented_wrong != IOL_YES;
    const bool soon = t->new_step || t->treat_first || decided_by(plan, IOL_NOTE_rule_second_rubs) ||
                      decided_by(plan, IOL_NOTE_rule_lens_loose);
    const bool no_day = soon && plan->decision.do_by == IOL_UNKNOWN_DATE;
    t->worn_first = t->first == IOL_option_spectacles || t->first == IOL_option_contact_lens;
    t->hurries = plan->decision.urgency == IOL_urgency_days && no_day;
    t->hurries_weeks = plan->decision.urgency == IOL_urgency_weeks && no_day;
    t->new_monofocal = f->multifocal == IOL_YES && t->new_step && t->new_open;
    t->aims_near = iol_at_most(f->target_d, c_near_aim_d) == IOL_YES;
    t->by_day = plan->decision.do_by != IOL_UNKNOWN_DATE ? plan->decision.do_by : 0;
    if (t->state == IOL_state_wait && plan->decision.not_before != IOL_UNKNOWN_DATE) t->wait_day = plan->decision.not_before;
}

static void say(iol_work *w, iol_note_code code, int part, double value, double limit) {
    iol_plan *plan = w->plan;
    if (!iol_has_room(plan->patient_count, IOL_MOST(plan->patient), &plan->patient_lost)) {
        iol_caution(w, IOL_NOTE_notes_lost, NAN, NAN, NULL);
        return;
    }
    const int row = plan->patient_count++;
    const bool share = code == IOL_NOTE_plain_of_series || code == IOL_NOTE_plain_of_model ||
                       code == IOL_NOTE_plain_of_second;
    plan->patient[row] =
        (iol_told){.present = true, .part = part, .of_100 = share ? value : NAN, .eyes = share ? limit : NAN};
    iol_note_add(&plan->notes, IOL_AT_told_say, row, code, value, limit, NULL);
}

/* ---- the other ways, as sheet 1 orders them ---- */

enum { OTHERS_MOST = 3, SHOWN = 5 }; /* of the ways that sheet 1 shows */

/* What is said already, what is not wanted, and what cannot be had. */
static bool keeps_back(const iol_work *w, const iol_facts *f, const iol_talk *t, const iol_option_row *o) {
    const bool weighed = t->state == IOL_state_exchange_or_alternative && t->first == 0;
    switch (o->option) {
    case IOL_option_exchange:
        return f->not_made || f->ex_blurs == IOL_YES || t->new_step || weighed ||
               (t->state == IOL_state_exchange_or_alternative && o->suitable != IOL_YES); /* a sentence of its own */
    case IOL_option_reposition: return weighed;
    case IOL_option_secondary_lens: return t->new_step;
    default: return iol_way_unwanted(w, o);
    }
}

/* Where ways are weighed also what is not known to fit; else what is worn on the eye or before it, where it does, and beside a new
 * lens where it may. */
static bool is_told(const iol_talk *t, const iol_option_row *o) {
    if (t->weighs) return o->suitable != IOL_NO;
    if (o->suitable == IOL_NO || (o->suitable == IOL_UNKNOWN && !t->new_step) || t->state == IOL_state_wait) return false;
    return o->option == IOL_option_spectacles || o->option == IOL_option_contact_lens;
}

static iol_note_code words_of(const iol_plan *plan, const iol_option_row *o) {
    const bool fits = o->suitable == IOL_YES;
    if (o->option == IOL_option_exchange && plan->two_lenses.present)
        return fits ? IOL_NOTE_plain_else_one : IOL_NOTE_plain_maybe_one;
    switch (o->option) {
#define OTHER(option, known, open)                                                                                     \
    case IOL_option_##option: return fits ? IOL_NOTE_plain_##known : IOL_NOTE_plain_##open;
#define PLAIN(id, part, when, value, limit)
#include "patient.def"
#undef PLAIN
    default: return IOL_NOTE_COUNT;
    }
}

static bool say_other(iol_work *w, const iol_facts *f, const iol_talk *t, const iol_option_row *o) {
    const iol_note_code words = words_of(w->plan, o);
    if (words == IOL_NOTE_COUNT || !is_told(t, o) || keeps_back(w, f, t, o)) return false;
    say(w, words, IOL_told_part_suggest, NAN, NAN);
    return true;
}

/* Where the exchange is weighed against the first way it comes before the rest. */
static void others(iol_work *w, const iol_facts *f, const iol_talk *t) {
    const iol_option_row *first = t->first > 0 ? iol_first_way(w->plan) : NULL;
    const bool weighed = t->state == IOL_state_exchange_or_alternative;
    int told = 0;
    if (f->today) return;
    for (int rank = 0; rank <= SHOWN && told < OTHERS_MOST; rank++)
        for (int i = 0; i < w->plan->options_count; i++) {
            const iol_option_row *o = &w->plan->options[i];
            const bool before = weighed && o->option == IOL_option_exchange && o->suitable == IOL_YES;
            if (o != first && (before ? rank == 0 : o->rank == (double)rank)) told += say_other(w, f, t, o);
        }
}

/* The step opens the eye, or another way that is told does. */
static bool opens(const iol_plan *plan, const iol_facts *f) {
    static const int told[] = {IOL_NOTE_plain_else_exchange, IOL_NOTE_plain_maybe_exchange, IOL_NOTE_plain_else_second,
                               IOL_NOTE_plain_maybe_second};
    for (size_t k = 0; k < sizeof told / sizeof *told; k++)
        if (holds(plan, IOL_AT_told_say, told[k])) return true;
    return f->lens_step;
}

void iol_patient_words(iol_work *w) {
    const iol_case *c = w->c;
    const iol_facts *f = &w->facts;
    iol_talk talk;
    const iol_talk *t = &talk;
    if (!w->plan->decision.present || w->plan->counselling_count <= 0) return;
    iol_facts_grow(w);
    talk_make(w, f, &talk);
#define PLAIN(id, part, when, value, limit)                                                                            \
    if (when) say(w, IOL_NOTE_plain_##id, IOL_told_part_##part, value, limit);
#define OTHERS others(w, f, t);
#include "patient.def"
#undef PLAIN
}
