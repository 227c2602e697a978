/* Turns of a toric lens, the only one, the first or the second, and the ways out of two lenses: for screens and sheets. */
#include "screen.h"

bool iol_turn_first(const iol_plan *plan, iol_turn *out) {
    const iol_option_row *first = iol_first_way(plan);
    const iol_two_way *second = iol_two_way_of(plan, IOL_two_way_second_turned);
    const iol_rotation *r = &plan->rotation;
    if (first && first->option == IOL_option_second_turn && second)
        *out = (iol_turn){true, second->turn_deg, second->axis_now_deg, second->axis_deg, NAN, NAN, second->expected};
    else if (first && first->option == IOL_option_rotation)
        *out = (iol_turn){false,
                          r->turn_deg,
                          r->axis_now_deg,
                          r->least_cylinder_axis_deg,
                          r->axis_meant_deg,
                          r->loss_per_degree_d,
                          r->expected};
    else
        return false;
    return !isnan(out->turn_deg);
}

bool iol_turn_operates(const iol_plan *plan, iol_turn *out) {
    return plan->decision.state == IOL_state_other_option_first && iol_turn_first(plan, out) &&
           iol_first_way(plan)->suitable == IOL_YES;
}

static double rank_of(const iol_plan *plan, int option) {
    for (int i = 0; i < plan->options_count; i++)
        if (plan->options[i].option == option) return plan->options[i].rank;
    return NAN;
}

bool iol_turn_second_instead(const iol_plan *plan, iol_lead *out) {
    return iol_lead_second(plan, out) &&
           !(rank_of(plan, IOL_option_exchange) < rank_of(plan, IOL_option_second_exchange));
}

void iol_line_marks_turn(iol_line *line, const iol_turn *t) {
    iol_line_turn(line, t->turn_deg);
    iol_line_text(line, ", marks from ");
    iol_line_axis(line, t->from_deg);
    iol_line_text(line, " to ");
    iol_line_axis(line, t->to_deg);
}

bool iol_second_out_operates(const iol_plan *plan) {
    const iol_option_row *first = iol_first_way(plan);
    return plan->decision.state == IOL_state_other_option_first && first && first->option == IOL_option_second_out &&
           first->suitable == IOL_YES && first->not_before == IOL_UNKNOWN_DATE;
}

void iol_line_second_out(iol_line *line, const iol_plan *plan) {
    const iol_two_lenses *t = &plan->two_lenses;
    iol_line_text(line, iol_removal_words(t->second_removal));
    iol_line_text(line, "; widest piece ");
    iol_line_number(line, t->second_widest_mm, IOL_UNIT_mm);
    if (t->second_fits == IOL_fits_yes) return;
    iol_line_text(line, t->second_fits == IOL_fits_no ? "; wants " : "; tight, comfortable ");
    iol_line_number(line, t->second_wound_high_mm, IOL_UNIT_mm);
}

bool iol_two_come_out(const iol_plan *plan) {
    iol_lead lead;
    iol_turn unused;
    return plan->two_lenses.present && plan->two_lenses.second_removal > 0 && !iol_lead_operates(plan, &lead) &&
           !iol_turn_operates(plan, &unused) && !iol_second_out_operates(plan);
}

bool iol_second_comes_out(const iol_plan *plan) {
    iol_lead lead;
    if (plan->two_lenses.second_removal <= 0) return false;
    if (iol_lead_operates(plan, &lead)) return lead.way->option == IOL_option_second_exchange;
    return iol_second_out_operates(plan);
}
