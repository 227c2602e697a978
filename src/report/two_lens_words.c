/* Turns of a toric lens, the only one, the first or the second, and the ways out of two lenses: for screens and sheets. */
#include "screen.h"
#include "text/number.h"

bool iol_turn_first(const iol_plan *plan, iol_turn *out) {
    const iol_option_row *first = iol_first_way(plan);
    const iol_two_way *second = iol_two_way_of(plan, IOL_two_way_second_turned);
    const iol_rotation *r = &plan->rotation;
    if (first && first->option == IOL_option_second_turn && second)
        *out = (iol_turn){true,
                          second->turn_deg,
                          second->axis_now_deg,
                          second->axis_deg,
                          NAN,
                          second->loss_per_degree_d,
                          second->expected};
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

bool iol_turn_second_instead(const iol_plan *plan, iol_lead *out) {
    return iol_lead_second(plan, out) &&
           !(iol_way_rank(plan, IOL_option_exchange) < iol_way_rank(plan, IOL_option_second_exchange));
}

bool iol_second_instead(const iol_plan *plan, iol_lead *out) {
    iol_turn t;
    return plan->decision.state == IOL_state_other_option_first && iol_turn_first(plan, &t) && t.second &&
           iol_turn_second_instead(plan, out);
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

const char *iol_other_places(const iol_plan *plan) {
    iol_lead lead;
    const bool front = iol_lead_lens(plan, &lead);
    if (plan->two_lenses.present && !iol_exchange_leads(plan)) return "Only if both lenses come out: other places";
    return front ? "Exchange lens: if its place does not hold" : "If the place does not hold";
}

const iol_removal *iol_removal_of(const iol_plan *plan, bool second) {
    return second ? &plan->two_lenses.second_way_out.ways : &plan->removal;
}

void iol_line_which_lens(iol_line *line, const iol_plan *plan, bool second) {
    const iol_two_lenses *t = &plan->two_lenses;
    const int place = second ? t->second_position : t->first_position;
    const double power_d = second ? t->second_power_d : t->first_power_d;
    iol_line_text(line, second ? "second lens, in front" : "first lens, behind it");
    if (place > 0) {
        iol_line_text(line, ", ");
        iol_line_place(line, place);
    }
    if (!iol_power_given(plan)) return; /* no power stands anywhere then, that of an old lens neither */
    iol_line_text(line, ", ");
    iol_line_power(line, power_d);
}

bool iol_line_out_and_stays(iol_line *line, const iol_plan *plan) {
    if (!plan->two_lenses.present || !iol_second_comes_out(plan)) return false;
    iol_line_text(line, "OUT: ");
    iol_line_which_lens(line, plan, true);
    iol_line_text(line, ". STAYS: ");
    iol_line_which_lens(line, plan, false);
    return true;
}

bool iol_others_not_toric(const iol_plan *plan) {
    const iol_choice *c = iol_chosen_step(iol_new_lens(plan));
    return c && c->cylinder_d > 0.0;
}

void iol_line_others_leave(iol_line *line, const iol_plan *plan) {
    double most = NAN, least = NAN;
    for (int i = 0; i < plan->fallbacks_count; i++) {
        const iol_fallback *f = &plan->fallbacks[i];
        if (isnan(f->power_d) || iol_misses(f->expected_se_d, f->aim_d)) continue;
        most = fmin(most, f->expected_cylinder_d), least = fmax(least, f->expected_cylinder_d);
    }
    iol_line_text(line, "leaves cyl ");
    iol_line_signed(line, least, IOL_UNIT_d);
    if (iol_count(least, 2) == iol_count(most, 2)) return;
    iol_line_text(line, " to ");
    iol_line_signed(line, most, IOL_UNIT_d);
}

void iol_line_hold(iol_line *line, const iol_removal_orientation *o) {
    iol_line_text(line, "seat at ");
    iol_line_number(line, o->seat_position_deg, IOL_UNIT_deg);
    iol_line_text(line, o->grip_hand == IOL_hand_left ? ", left" : ", right");
    iol_line_text(line, " hand holds through a port at ");
    iol_line_number(line, o->grip_port_position_deg, IOL_UNIT_deg);
}

void iol_line_out(iol_line *line, const iol_removal *r, const char *turn, const char *then) {
    const iol_removal_orientation *o = &r->orientation;
    const iol_removal_row *way = iol_preferred_way(r);
    const bool turns = !isnan(o->turn_deg) && o->turn_deg != 0.0; /* the turn is before the cut */
    if (turns) {
        iol_line_text(line, turn);
        iol_line_turn(line, o->turn_deg);
        iol_line_text(line, ", near junction at ");
        iol_line_clock(line, o->junction_clock);
        iol_line_text(line, then);
    }
    if (way) iol_line_text(line, iol_removal_words(way->id));
    if (turns || !o->present || r->preferred == IOL_removal_method_whole) return;
    iol_line_text(line, "; near junction at ");
    iol_line_clock(line, o->junction_clock);
}

void iol_line_widest(iol_line *line, const iol_removal *r) {
    const iol_removal_row *way = iol_preferred_way(r);
    if (!way || isnan(way->widest_piece_mm)) return;
    iol_line_text(line, "; widest piece ");
    iol_line_number(line, way->widest_piece_mm, IOL_UNIT_mm);
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
