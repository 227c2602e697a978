/* The plan in four lines, under the decision: first way, lens, standing, support. */
#include "screen.h"

void iol_line_step(iol_line *line, const iol_replacement *r, const iol_choice *c) {
    iol_line_power(line, c->power_d);
    iol_line_text(line, " ");
    iol_line_text(line, c->lens_id);
    iol_line_toric(line, c->cylinder_d, c->axis_deg);
    iol_line_text(line, ", ");
    iol_line_place(line, r->position);
}

bool iol_line_chosen(iol_line *line, const iol_replacement *r) {
    const iol_choice *c = iol_chosen_step(r);
    if (!c) return false;
    iol_line_step(line, r, c);
    iol_line_text(line, ": about ");
    iol_line_signed(line, c->expected.se_d, IOL_UNIT_d);
    iol_line_text(line, " expected");
    return true;
}

/* An operation on the lens in the eye, which is what a decision to take it out or fix it speaks of. */
static bool acts_on_lens(int option) {
    return option == IOL_option_exchange || option == IOL_option_reposition || option == IOL_option_remove_only ||
           option == IOL_option_secondary_lens;
}

/* The way that leads. One that is not known to fit is a headline only where the decision rests on it: when the lens is to be
 * taken out or fixed that is such an operation, or what certainly comes before it. */
static const iol_option_row *headline(const iol_plan *plan) {
    const int state = plan->decision.state;
    const bool acts =
        state == IOL_state_exchange || state == IOL_state_exchange_or_alternative || state == IOL_state_secondary_lens;
    const iol_option_row *first = NULL;
    for (int i = 0; i < plan->options_count; i++) {
        const iol_option_row *o = &plan->options[i];
        const bool fits = o->suitable == IOL_YES && !(acts && o->option == IOL_option_leave);
        const bool rests = state == IOL_state_other_option_first || (acts && acts_on_lens(o->option));
        if (isnan(o->rank) || (o->rank != 1.0 && !acts) || (!fits && !rests)) continue;
        if (!first || o->rank < first->rank) first = o;
    }
    return first;
}

static void first_way(const iol_plan *plan, iol_page *page) {
    const iol_option_row *o = headline(plan);
    iol_line line;
    if (!o) return;
    iol_line_start(&line);
    iol_line_text(&line, iol_way_of(plan, o));
    if (o->suitable == IOL_UNKNOWN) iol_line_text(&line, "; not known yet whether it fits");
    iol_page_pair(page, "First way", line.text);
    iol_lead lead;
    if (!iol_lead_lens(plan, &lead) || lead.way != o || !iol_powers_told(page, lead.standing)) return;
    iol_line_start(&line);
    iol_line_lead(&line, &lead);
    iol_line_text(&line, ": about ");
    iol_line_signed(&line, lead.expected.se_d, IOL_UNIT_d);
    iol_line_text(&line, " expected");
    iol_page_pair(page, "Its lens", line.text);
}

static void lens(const iol_plan *plan, iol_page *page) {
    const iol_replacement *r = iol_new_lens(plan);
    const int state = plan->decision.state;
    const bool none = plan->secondary.present;
    const char *label = state == IOL_state_secondary_lens ? "Lens"
                        : none                            ? "If one is put in"
                        : plan->two_lenses.present        ? "One for both"
                                                          : "If exchanged";
    iol_line line;
    iol_lead lead;
    iol_line_start(&line);
    if (!iol_line_chosen(&line, r))
        iol_line_text(&line, r->standing == IOL_standing_withheld ? "no power is given" : "none chosen");
    iol_page_pair(page, label, line.text);
    iol_line_start(&line);
    iol_line_text(&line, iol_standing_text(r->standing));
    bool next =
        state == IOL_state_exchange || state == IOL_state_exchange_or_alternative || state == IOL_state_secondary_lens;
    if (!next && r->standing == IOL_standing_advised)
        iol_line_text(&line, none ? " as a figure; putting it in is not the next step"
                                  : " as a figure; exchange is not the next step");
    iol_page_pair(page, iol_lead_lens(plan, &lead) ? "Exchange power" : "That power is", line.text);
}

/* "prepare for very high; by findings alone routine": what is not known counts as present. */
static void support(const iol_support *s, iol_page *page) {
    iol_line line;
    iol_line_start(&line);
    bool open = s->tier != s->tier_of_findings && s->tier_of_findings > 0;
    if (open) iol_line_text(&line, "prepare for ");
    iol_line_text(&line, IOL_PLAIN(tier, s->tier));
    if (open) {
        iol_line_text(&line, "; by findings alone ");
        iol_line_text(&line, IOL_PLAIN(tier, s->tier_of_findings));
    }
    iol_page_pair(page, "Risk to the bag", line.text);
}

void iol_compose_glance(const iol_plan *plan, iol_page *page) {
    first_way(plan, page);
    if (iol_new_lens(plan)->present) lens(plan, page);
    if (plan->support.present && plan->support.tier > 0) support(&plan->support, page);
}
