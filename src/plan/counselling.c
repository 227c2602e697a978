/* What to tell the patient: the rows of data/counselling.def that hold for this case. */
#include "facts.h"
#include "tables/constants.h"

static iol_flag capsule_open(int posterior) {
    if (posterior <= 0) return IOL_UNKNOWN;
    return iol_from_bool(posterior != IOL_posterior_capsule_clear && posterior != IOL_posterior_capsule_opacified);
}

static bool inside_the_eye(int option) {
    return option == IOL_option_piggyback || option == IOL_option_rotation || option == IOL_option_reposition ||
           option == IOL_option_optic_capture;
}

static void of_the_choice(const iol_replacement *r, iol_facts *f) {
    f->chosen_power_d = f->chosen_se_d = f->within_half = f->within_one = NAN;
    f->position = r->position;
    f->power_low_d = r->power_low_d;
    f->power_high_d = r->power_high_d;
    for (int i = 0; i < r->choices_count; i++) {
        const iol_choice *step = &r->choices[i];
        if (step->chosen != IOL_YES) continue;
        f->chosen_power_d = step->power_d;
        f->chosen_se_d = step->expected.se_d;
        f->within_half = 100.0 * step->within_half_d;
        f->within_one = 100.0 * step->within_one_d;
    }
}

/* What the talk asks; needs the decision. */
static void facts_of_talk(const iol_work *w, iol_facts *f) {
    const iol_lens *lens = &w->c->first_surgery.lens;
    f->state = w->plan->decision.state;
    f->today = w->plan->decision.urgency == IOL_urgency_same_day;
    f->exchange_step = f->state == IOL_state_exchange || f->state == IOL_state_exchange_or_alternative;
    f->exchange_talk = f->exchange_step || f->state == IOL_state_other_option_first;
    f->lens_step = f->exchange_step || (f->exchange_talk && inside_the_eye(f->first_option));
    f->power_error = w->c->reason == IOL_reason_power_error;
    f->smaller_first = f->state == IOL_state_other_option_first;
    f->glasses_cylinder = iol_above(fabs(w->plan->spectacles.cylinder_d), c_cylinder_spoken_d) == IOL_YES;
    f->now_d = w->eye.now.usable ? w->eye.now.spectacle_d : NAN;
    f->intended_d = w->eye.intended_se_d;
    double miss = fabs(f->now_d - f->intended_d);
    f->miss_known = !isnan(miss);
    f->glasses_help = !isnan(f->now_d) && w->c->checks.acuity_improves_with_trial_lens == IOL_YES &&
                      w->plan->spectacles.suitable != IOL_NO && f->trapped_fluid != IOL_YES;
    f->capsule_open = capsule_open(w->c->capsule.posterior);
    f->leaves_multifocal =
        f->exchange_talk && (lens->optic == IOL_optic_multifocal || lens->optic == IOL_optic_extended_depth);
    f->missed_widely = f->gross_error == IOL_YES || (f->optical && iol_at_least(miss, c_error_talk_d) == IOL_YES);
    of_the_choice(&w->plan->replacement, f);
}

static void say(iol_work *w, iol_note_code code, double value, double limit, iol_evidence_status status) {
    iol_plan *plan = w->plan;
    if (!iol_has_room(plan->counselling_count, IOL_MOST(plan->counselling), &plan->counselling_lost)) {
        iol_caution(w, IOL_NOTE_notes_lost, NAN, NAN, NULL);
        return;
    }
    int row = plan->counselling_count++;
    plan->counselling[row] = (iol_counsel){.present = true,
                                           .topic = iol_note_rows[code].code,
                                           .figure = value,
                                           .source = iol_references[iol_note_rows[code].reference].key,
                                           .status = iol_status_text(status)};
    iol_note_add(&plan->notes, IOL_AT_counsel_say, row, code, value, limit, NULL);
}

void iol_part_counselling(iol_work *w) {
    iol_facts facts;
    const iol_facts *f = &facts;
    const iol_plan *plan = w->plan;
    iol_facts_make(w, &facts);
    facts_of_talk(w, &facts);
#define E(key) iol_evidence[IOL_EVIDENCE_##key].value
#define SAY(id, topic, when, first, second, text)                                                                      \
    if (when) say(w, IOL_NOTE_say_##id, E(first), E(second), iol_evidence[IOL_EVIDENCE_##first].status);
#define TELL(id, topic, when, value, limit, reference, text)                                                           \
    if (when) say(w, IOL_NOTE_say_##id, value, limit, iol_references[IOL_REF_##reference].status);
#include "counselling.def"
#undef SAY
#undef TELL
#undef E
}
