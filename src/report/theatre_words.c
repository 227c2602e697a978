/* What the theatre card says, on a screen and on paper. */
#include "screen.h"

#include <string.h>

#include "text/number.h"

static bool turn_leads(const iol_plan *plan) {
    const iol_option_row *first = iol_first_way(plan);
    return plan->decision.state == IOL_state_other_option_first && first && first->option == IOL_option_rotation &&
           first->suitable == IOL_YES && !isnan(plan->rotation.turn_deg);
}

const char *iol_theatre_operation(const iol_plan *plan, const char **why_not) {
    const int state = plan->decision.state;
    iol_lead lead;
    *why_not = NULL;
    if (iol_plan_stops(plan))
        *why_not = "a stop stands";
    else if (state == IOL_state_wait || state == IOL_state_find_cause_first || state == IOL_state_not_for_exchange ||
             !plan->decision.present)
        *why_not = "no operation is the next step";
    else if (!iol_power_given(plan) && !turn_leads(plan) && !iol_lead_operates(plan, &lead))
        *why_not = "no lens is chosen";
    if (*why_not) return NULL;
    if (iol_lead_operates(plan, &lead))
        return lead.way->option == IOL_option_piggyback ? "PUT A SECOND LENS in front: the old lens stays"
                                                        : "EXCHANGE THE SECOND LENS: the first lens stays";
    if (plan->two_lenses.present && !turn_leads(plan)) return "EXCHANGE BOTH lenses for one: take both out";
    return turn_leads(plan)          ? "TURN the lens: it stays in"
           : plan->secondary.present ? "PUT A LENS IN"
                                     : "EXCHANGE the lens";
}

const char *iol_theatre_not_next(const iol_plan *plan, iol_line *line) {
    const iol_option_row *first = iol_first_way(plan);
    iol_lead lead;
    if (iol_lead_operates(plan, &lead) || turn_leads(plan) || iol_exchange_leads(plan) || !first) return NULL;
    iol_line_start(line);
    iol_line_text(line,
                  plan->decision.state == IOL_state_exchange_or_alternative ? "Weigh first: " : "Not the next step: ");
    iol_line_text(line, iol_way_name(first->option));
    iol_line_text(line, plan->decision.state == IOL_state_exchange_or_alternative ? "." : " comes first");
    if (plan->decision.state == IOL_state_exchange_or_alternative) return line->text;
    if (first->not_before != IOL_UNKNOWN_DATE) {
        iol_line_text(line, ", from ");
        iol_line_day(line, first->not_before);
    }
    iol_line_text(line, ". Then print anew.");
    return line->text;
}

bool iol_theatre_tick(const iol_plan *plan, int row, iol_line *line) {
    const iol_theatre_item *t = &plan->theatre_list[row];
    if (t->kind == IOL_theatre_kind_lens) return false;
    iol_line_start(line);
    iol_line_text(line, t->item);
    if (t->count > 1.0) {
        iol_line_text(line, " x ");
        iol_line_number(line, t->count, IOL_UNIT_count);
    }
    return true;
}

void iol_line_clock(iol_line *line, double hour) {
    static const char *const word[] = {"twelve", "one",   "two",   "three", "four", "five",
                                       "six",    "seven", "eight", "nine",  "ten",  "eleven"};
    if (isnan(hour)) return;
    const int halves = (int)iol_count(2.0 * hour, 0) % 24;
    iol_line_text(line, halves % 2 ? "half past " : "");
    iol_line_text(line, word[halves / 2 % 12]);
    iol_line_text(line, halves % 2 ? "" : " o'clock");
}
