/* Which figures of a plan may be told, to the surgeon and to the patient alike. */
#include "told.h"

#include "tables/constants.h"
#include "tables/rule_codes.h"

bool iol_is_alarm(const iol_plan *plan) { return plan->decision.urgency == IOL_urgency_same_day; }

bool iol_power_given(const iol_plan *plan) {
    const iol_replacement *r = iol_new_lens(plan);
    const bool usable = r->standing == IOL_standing_advised || r->standing == IOL_standing_repeat_before_ordering;
    return r->present && usable && !iol_is_alarm(plan) && !iol_cause_before_lens(plan) && iol_chosen_step(r) != NULL;
}

bool iol_cause_before_lens(const iol_plan *plan) {
    return iol_plan_stops(plan) && plan->decision.state == IOL_state_find_cause_first;
}

bool iol_power_not_settled(const iol_plan *plan) {
    const iol_replacement *r = iol_new_lens(plan);
    return iol_power_given(plan) && iol_above(r->power_high_d - r->power_low_d, c_glance_range_d) == IOL_YES;
}

/* Today lies before the days on which the refraction counts. */
static bool reading_early(const iol_plan *plan) {
    for (int i = 0; i < plan->timing.windows_count; i++) {
        const iol_window *w = &plan->timing.windows[i];
        if (w->what == IOL_window_what_refraction_counts)
            return iol_below(plan->timing.days_since_first_surgery, w->from_day) == IOL_YES;
    }
    return false;
}

/* What was read is of the wrong days, or the eye has outgrown it: a new reading comes first. */
static bool read_anew(const iol_plan *plan) {
    static const iol_note_code rules[] = {IOL_NOTE_rule_reading_early, IOL_NOTE_rule_reading_old,
                                          IOL_NOTE_rule_wrong_reread, IOL_NOTE_rule_outgrown, IOL_NOTE_rule_child_aim};
    for (size_t i = 0; i < sizeof rules / sizeof *rules; i++)
        for (int k = 0; k < plan->notes.count; k++)
            if (plan->notes.item[k].place == IOL_AT_decision_reasons && plan->notes.item[k].code == rules[i])
                return true;
    return false;
}

/* ORDER option: what is not worn. */
bool iol_way_barred(const iol_plan *plan, const iol_option_row *way) {
    return way->option >= IOL_option_corneal_laser && iol_cause_before_lens(plan);
}

double iol_way_told(const iol_plan *plan, const iol_option_row *way, double x) {
    return iol_way_barred(plan, way) ? NAN : x;
}

bool iol_way_open(const iol_plan *plan, const iol_option_row *way) {
    if (way->suitable == IOL_UNKNOWN || iol_way_barred(plan, way)) return true;
    if (way->option >= IOL_option_corneal_laser && read_anew(plan)) return true;
    switch (way->option) {
    case IOL_option_exchange:
        if (iol_power_not_settled(plan)) return true; /* fall through */
    case IOL_option_piggyback:                        /* a wrong lens on record waits for no reading */
        return way->not_before != IOL_UNKNOWN_DATE && reading_early(plan);
    case IOL_option_optic_capture:
    case IOL_option_second_out:
    case IOL_option_second_turn:
    case IOL_option_second_exchange: return reading_early(plan);
    default: return false;
    }
}

static bool stands(const iol_plan *plan, int place, int code) { return iol_note_with(&plan->notes, place, code) >= 0; }

bool iol_aim_not_settled(const iol_plan *plan) {
    return stands(plan, IOL_AT_plan_cautions, IOL_NOTE_goals_apart) ||
           stands(plan, IOL_AT_plan_cautions, IOL_NOTE_near_target) ||
           stands(plan, IOL_AT_replacement_standing_reasons, IOL_NOTE_repeat_near_aim);
}

/* The meridian of the new lens is aimed at a guess. */
static bool cylinder_guessed(const iol_plan *plan) {
    return iol_note_with(&plan->notes, IOL_AT_replacement_standing_reasons, IOL_NOTE_repeat_cylinder) >= 0;
}

bool iol_chance_told(const iol_plan *plan) {
    const bool unread =
        !plan->secondary.present && isnan(plan->surprise.current_se_d); /* no reading of the lens inside counts */
    if (unread || cylinder_guessed(plan) || iol_aim_not_settled(plan)) return false;
    bool open = iol_power_not_settled(plan);
    for (int i = plan->options_count - 1; i >= 0; i--) { /* the first of them tells */
        const iol_option_row *row = &plan->options[i];
        if (row->option == IOL_option_exchange || row->option == IOL_option_secondary_lens) open = iol_way_open(plan, row);
    }
    return !open;
}

bool iol_lead_chance_told(const iol_plan *plan, const iol_option_row *way) {
    return !iol_way_open(plan, way) && !iol_aim_not_settled(plan);
}
