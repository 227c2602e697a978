/* How sure, in words and numbers: of the way that leads its chance, its spread or what each degree costs; where there is no number
 * what is not known and what tells it. */
#include "sheet.h"
#include "tables/rule_codes.h"
#include "text/number.h"

/* ---- what is done to the lens ---- */

iol_does iol_what_is_done(const iol_plan *plan, iol_turn *t, iol_lead *lead) {
    const iol_option_row *first = iol_first_way(plan);
    const int state = plan->decision.state;
    const bool other = state == IOL_state_other_option_first && first;
    if (iol_is_alarm(plan) || iol_cause_before_lens(plan)) return IOL_DOES_none;
    if (other && iol_turn_first(plan, t)) return IOL_DOES_turn;
    if (other && iol_lead_lens(plan, lead)) return IOL_DOES_lead;
    if (other && (first->option == IOL_option_reposition || first->option == IOL_option_optic_capture))
        return IOL_DOES_hold;
    if (other && first->option == IOL_option_second_out) return IOL_DOES_out;
    if (!iol_power_given(plan)) return IOL_DOES_none;
    if (iol_exchange_leads(plan) || state == IOL_state_exchange_or_alternative) return IOL_DOES_exchange;
    return IOL_DOES_other;
}

bool iol_old_lens_may_stay(const iol_plan *plan) { return !plan->secondary.present && !iol_exchange_leads(plan); }

/* ---- numbers ---- */

static const char *share_words(double share) {
    const double twice = 2.0 * (double)iol_count(100.0 * share, 0);
    return twice > 100.0 ? "more than half" : twice < 100.0 ? "fewer than half" : "half";
}

/* "77 of 100", "eyes within 0.50 D of the target, more than half; 98 within 1.00 D"; brief: behind a line that tells the first. */
static void chance(iol_line *line, iol_line *more, bool brief, double half, double one) {
    if (brief) {
        iol_line_text(more, share_words(half));
        iol_line_bands(more, " of such eyes within %h of the target, ");
        iol_line_number(more, 100.0 * one, IOL_UNIT_count);
        iol_line_bands(more, " of 100 within %o");
        return;
    }
    iol_line_number(line, 100.0 * half, IOL_UNIT_count);
    iol_line_text(line, " of 100");
    iol_line_bands(more, "eyes within %h of the target, ");
    iol_line_text(more, share_words(half));
    iol_line_text(more, "; ");
    iol_line_number(more, 100.0 * one, IOL_UNIT_count);
    iol_line_bands(more, " within %o");
}

/* Both ways are weighed: the chance is that of the exchange, and of the lens that stays it is said where it ends. */
static void chance_weighed(const iol_plan *plan, iol_line *line, iol_line *more, bool brief) {
    const iol_choice *c = iol_chosen_step(iol_new_lens(plan));
    const iol_option_row *stays = iol_weighed_beside(plan);
    const bool worn = stays && (stays->option == IOL_option_spectacles || stays->option == IOL_option_contact_lens);
    for (int i = 0; i < plan->options_count && worn; i++) /* what glasses leave is not what the lens leaves */
        if (plan->options[i].option == IOL_option_leave) stays = &plan->options[i];
    iol_line_text(more, "if exchanged: ");
    chance(line, more, brief, c->within_half_d, c->within_one_d);
    if (!stays || isnan(stays->expected_se_d)) return;
    iol_line_text(more, "; if it stays: SE ");
    iol_line_signed(more, stays->expected_se_d, IOL_UNIT_d);
}

static void of_turn(const iol_turn *t, iol_line *line, iol_line *more, bool brief) {
    if (!brief) iol_line_form(line, &t->expected);
    if (!brief) iol_line_text(more, "expected; ");
    iol_line_text(more, "each degree off leaves ");
    iol_line_number(more, t->loss_per_degree_d, IOL_UNIT_d);
    iol_line_text(more, " of cylinder more");
}

static void of_way(const iol_plan *plan, const iol_option_row *way, iol_line *line, iol_line *more) {
    iol_line_text(line, "SE ");
    iol_line_signed(line, way->expected_se_d, IOL_UNIT_d);
    if (!isnan(way->sd_d)) {
        iol_line_text(more, "+- ");
        iol_line_number(more, way->sd_d, IOL_UNIT_d);
        iol_line_text(more, " ");
    }
    iol_line_text(more, "expected, target ");
    iol_line_signed(more, iol_new_lens(plan)->target_se_d, IOL_UNIT_d);
    if (isnan(way->sd_d)) iol_line_text(more, "; its spread is not known");
}

/* "92 of 100", "eyes in a series of 28 came within 0.50 D: more than half". */
static void of_series(const iol_published *p, iol_line *line, iol_line *more) {
    iol_line_number(line, p->of_100, IOL_UNIT_count);
    iol_line_text(line, " of 100");
    iol_line_text(more, "eyes in a series of ");
    iol_line_number(more, p->eyes, IOL_UNIT_count);
    iol_line_text(more, " came within ");
    iol_line_number(more, p->within_d, IOL_UNIT_d);
    iol_line_text(more, ": ");
    iol_line_text(more, share_words(p->of_100 / 100.0));
}

/* ---- no number ---- */

static const char *way_tells(const iol_plan *plan, int option) {
    switch (option) {
    case IOL_option_spectacles:
    case IOL_option_contact_lens: return "how well it is borne: wearing it tells, and it can be given back";
    case IOL_option_treat_surface:
    case IOL_option_treat_macula:
    case IOL_option_capsule_laser:
    case IOL_option_relax_rim: return "how much is left after it: refracting then tells";
    case IOL_option_reposition:
    case IOL_option_optic_capture: return "what it leaves: refracting once it lies in its place tells";
    case IOL_option_leave: return "whether the complaint stays: the next look tells";
    default:
        return iol_aim_not_settled(plan) ? "what it leaves: the aim is settled first"
                                         : "what it leaves: the steps below tell";
    }
}

/* It waits for the aim, not for a cause. */
static bool aim_decides(const iol_plan *plan) {
    const int first = iol_note_find(&plan->notes, IOL_AT_decision_reasons, 0, 0);
    const int code = first < 0 ? -1 : plan->notes.item[first].code;
    return code == IOL_NOTE_rule_child_aim || code == IOL_NOTE_rule_aim_open;
}

/* What is not known, and what tells it. */
static const char *what_tells(const iol_plan *plan) {
    const iol_option_row *first = iol_first_way(plan);
    const iol_decision *d = &plan->decision;
    if (iol_is_alarm(plan)) return "what the eye keeps: nothing is reckoned before it is treated";
    switch (d->state) {
    case IOL_state_wait:
        return d->not_before != IOL_UNKNOWN_DATE ? "where the eye settles: looking again on that day tells"
                                                 : "where the eye settles: refracting after the steps below tells";
    case IOL_state_find_cause_first:
        return aim_decides(plan)         ? "which aim holds: it is settled first"
               : plan->secondary.present ? "which power is right: the steps below tell"
                                         : "what made the miss: the steps below tell";
    case IOL_state_not_for_exchange:
        if (!first || first->option == IOL_option_leave) return "whether the lens is to blame: the next look tells";
        return way_tells(plan, first->option);
    case IOL_state_other_option_first: return way_tells(plan, first ? first->option : IOL_option_exchange);
    default: return "what it leaves: the steps below tell";
    }
}

/* "not known yet", "what made the miss: the steps below tell; 6 steps are open". */
static void none(const iol_plan *plan, iol_line *line, iol_line *more) {
    int open = 0; /* acts: the first, and those that had no room among them */
    for (int i = 0; i < plan->decision.acts_count; i++)
        open += plan->decision.acts[i].when == IOL_act_when_first || plan->decision.acts[i].when == IOL_act_when_also;
    iol_line_text(line, "not known yet");
    iol_line_text(more, what_tells(plan));
    if (iol_is_alarm(plan)) return;
    iol_line_text(more, "; ");
    iol_line_number(more, open, IOL_UNIT_count);
    iol_line_text(more, open == 1 ? " step is open" : " steps are open");
}

void iol_line_doubt(const iol_plan *plan, bool brief, iol_line *line, iol_line *more) {
    const iol_choice *c = iol_chosen_step(iol_new_lens(plan));
    const iol_option_row *first = iol_first_way(plan);
    iol_turn t;
    iol_lead lead;
    const iol_does way = iol_what_is_done(plan, &t, &lead);
    iol_line_start(line), iol_line_start(more);
    if (iol_power_not_settled(plan) && !iol_cause_before_lens(plan)) { /* before any chance that takes it for settled */
        if (!brief) iol_line_range(line, iol_new_lens(plan));
        iol_line_text(more, "THE POWER IS NOT SETTLED: causes left open span this range");
    } else if (way == IOL_DOES_turn)
        of_turn(&t, line, more, brief);
    else if (way == IOL_DOES_lead && iol_lead_chance_told(plan, lead.way))
        chance(line, more, brief, lead.within_half_d, lead.within_one_d);
    else if (way == IOL_DOES_exchange && iol_chance_told(plan) && iol_old_lens_may_stay(plan))
        chance_weighed(plan, line, more, brief);
    else if (way == IOL_DOES_exchange && iol_chance_told(plan))
        chance(line, more, brief, c->within_half_d, c->within_one_d);
    else if ((way == IOL_DOES_hold || way == IOL_DOES_out) && !isnan(first->expected_se_d) &&
             !(isnan(first->sd_d) && iol_way_open(plan, first)))
        of_way(plan, first, line, more);
    else if (plan->decision.state == IOL_state_other_option_first && first && first->published_count > 0 &&
             !iol_aim_not_settled(plan)) /* the patient is not told it either */
        of_series(&first->published[0], line, more);
    else
        none(plan, line, more);
}
