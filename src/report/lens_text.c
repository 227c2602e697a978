/* The lens on the screen: chosen step, its neighbours, other places; or why no power is given. */
#include <string.h>

#include "screen.h"
#include "text/number.h"

static const char *lens_head(const iol_plan *plan) {
    const iol_option_row *first = iol_first_way(plan);
    if (iol_exchange_leads(plan)) return "the chosen lens";
    if (plan->decision.state == IOL_state_exchange_or_alternative) return "if exchanged";
    if (first && (first->option == IOL_option_rotation || first->option == IOL_option_second_turn))
        return "if it does not turn or hold: exchange";
    return plan->secondary.present ? "if a lens is put in: not the next step" : "if exchanged: not the next step";
}

static void bar(double power_d, double half, double one, bool chosen, int rank, iol_screen *s) {
    enum { BAR = 16, WORDS = 37 };
    iol_line line;
    const int marks = (int)iol_count(20.0 * half, 0);
    iol_line_start(&line);
    iol_line_text(&line, chosen ? "     * " : "       ");
    iol_line_power(&line, power_d);
    iol_line_column(&line, BAR);
    for (int i = 0; i < marks; i++) iol_line_text(&line, "#");
    iol_line_column(&line, WORDS);
    iol_line_number(&line, 100.0 * half, IOL_UNIT_count);
    iol_line_bands(&line, " of 100 within %h, ");
    iol_line_number(&line, 100.0 * one, IOL_UNIT_count);
    iol_line_bands(&line, " within %o");
    iol_screen_row(s, rank, line.text);
}

static void add_expected(iol_line *line, const iol_spectacle_form *e, double target_d, double sd_d) {
    iol_line_text(line, "expect ");
    if (!isnan(e->sphere_d)) {
        iol_line_refraction(line, e->sphere_d, e->cylinder_d, e->axis_deg);
        iol_line_text(line, ", ");
    }
    iol_line_text(line, "SE ");
    iol_line_signed(line, e->se_d, IOL_UNIT_d);
    iol_line_text(line, ", aim ");
    iol_line_signed(line, target_d, IOL_UNIT_d);
    iol_line_text(line, ", spread ");
    iol_line_number(line, sd_d, IOL_UNIT_d);
}

static void step(const iol_choice *c, iol_screen *s) {
    const bool chosen = c->chosen == IOL_YES;
    bar(c->power_d, c->within_half_d, c->within_one_d, chosen, chosen ? IOL_RANK_NEVER : IOL_RANK_EXTRA, s);
}

/* The chosen step and its neighbours of the same class. */
static void steps(const iol_replacement *r, iol_screen *s) {
    const iol_choice *chosen = iol_chosen_step(r);
    int at = -1, first = -1, last = -1;
    for (int i = 0; i < r->choices_count; i++) {
        if (strcmp(r->choices[i].lens_id, chosen->lens_id) != 0) continue;
        if (first < 0) first = i;
        last = i;
        if (&r->choices[i] == chosen) at = i;
    }
    for (int i = at - 1; i <= at + 1; i++)
        if (i >= first && i <= last) step(&r->choices[i], s);
}

static const char *short_place(int position) {
    static const char *const name[] = {[IOL_position_bag] = "bag",
                                       [IOL_position_sulcus] = "sulcus",
                                       [IOL_position_sulcus_captured] = "sulcus captured",
                                       [IOL_position_sclera] = "sclera",
                                       [IOL_position_iris_behind] = "behind iris",
                                       [IOL_position_iris_front] = "before iris",
                                       [IOL_position_chamber] = "chamber"};
    return position > 0 ? name[position] : "";
}

/* Places whose nearest lens misses the aim, without its power. */
static void misfits(const iol_plan *plan, iol_line *line, int *count) {
    bool any = false;
    for (int i = 0; i < plan->fallbacks_count; i++) {
        const iol_fallback *f = &plan->fallbacks[i];
        if (isnan(f->power_d) || !iol_misses(f->expected_se_d, f->aim_d)) continue;
        iol_line_text(line, any ? ", " : "; NO FIT: ");
        iol_line_text(line, short_place(f->position));
        any = true;
        (*count)++;
    }
}

static void fallbacks(const iol_plan *plan, iol_screen *s) {
    iol_line line;
    iol_lead lead;
    int count = 0;
    iol_line_start(&line);
    iol_line_text(&line, plan->two_lenses.present     ? "only if both lenses come out, elsewhere: "
                         : iol_lead_lens(plan, &lead) ? "exchange elsewhere: "
                                                      : "else: ");
    if (iol_others_not_toric(plan)) {
        iol_line_text(&line, "NOT TORIC, ");
        iol_line_others_leave(&line, plan);
        iol_line_text(&line, ": ");
    }
    for (int i = 0; i < plan->fallbacks_count; i++) {
        const iol_fallback *f = &plan->fallbacks[i];
        if (isnan(f->power_d) || iol_misses(f->expected_se_d, f->aim_d)) continue;
        iol_line_text(&line, count++ ? ", " : "");
        iol_line_text(&line, short_place(f->position));
        iol_line_text(&line, " ");
        iol_line_power(&line, f->power_d);
        if (iol_count(f->aim_d, 2) == iol_count(iol_new_lens(plan)->target_se_d, 2)) continue;
        iol_line_text(&line, " (aims ");
        iol_line_signed(&line, f->aim_d, IOL_UNIT_d);
        iol_line_text(&line, ")");
    }
    const int fitting = count;
    misfits(plan, &line, &count);
    iol_screen_say(s, IOL_RANK_FACT, NULL,
                   fitting ? line.text
                   : count ? "else: NO FIT at any other place (--only fallbacks)"
                           : "no other place has a lens: agree beforehand to close without one, a first step");
}

/* No power is told of a step that misses: how far the shelf is from what is wanted. */
static void no_fit(const iol_replacement *r, const iol_choice *c, iol_screen *s) {
    iol_line line;
    iol_line_start(&line);
    iol_line_text(&line, "exact ");
    iol_line_signed(&line, r->power_exact_d, IOL_UNIT_d);
    iol_line_text(&line, "; the nearest step of ");
    iol_line_text(&line, c->lens_id);
    iol_line_text(&line, " leaves SE ");
    iol_line_signed(&line, c->expected.se_d, IOL_UNIT_d);
    iol_line_text(&line, ", aim ");
    iol_line_signed(&line, r->target_se_d, IOL_UNIT_d);
    iol_screen_more(s, line.text);
}

static void chosen(const iol_plan *plan, iol_screen *s) {
    const iol_replacement *r = iol_new_lens(plan);
    const iol_choice *c = iol_chosen_step(r);
    iol_line line;
    iol_line_start(&line);
    if (iol_misses(c->expected.se_d, r->target_se_d)) {
        no_fit(r, c, s);
        fallbacks(plan, s);
        return;
    }
    iol_line_power(&line, c->power_d);
    iol_line_text(&line, "  ");
    iol_line_text(&line, c->lens_id);
    iol_line_toric(&line, c->cylinder_d, c->axis_deg);
    iol_line_text(&line, ", ");
    iol_line_place(&line, r->position);
    const bool within = c->power_d >= r->power_low_d && c->power_d <= r->power_high_d;
    iol_line_text(&line, within || !iol_power_not_settled(plan) ? "; exact " : "; the step nearest to exact ");
    iol_line_signed(&line, r->power_exact_d, IOL_UNIT_d);
    if (r->power_high_d > r->power_low_d) {
        iol_line_text(&line, " (");
        iol_line_signed(&line, r->power_low_d, IOL_UNIT_d);
        iol_line_text(&line, " to ");
        iol_line_signed(&line, r->power_high_d, IOL_UNIT_d);
        iol_line_text(&line, ")");
    }
    iol_screen_more(s, line.text);
    iol_line_start(&line);
    add_expected(&line, &c->expected, r->target_se_d, c->sd_d);
    iol_screen_more(s, line.text);
    if (iol_chance_told(plan))
        steps(r, s);
    else
        iol_screen_more(s, iol_power_not_settled(plan) ? "No chance is given while the power is not settled."
                           : iol_aim_not_settled(plan) ? "No chance is given while the aim is not settled."
                                                       : "No chance is given: what it rests on does not count yet.");
    fallbacks(plan, s);
}

/* Why the power may not be used yet, and what lifts it. */
static void lifts(const iol_plan *plan, int most, iol_screen *s) {
    int count = 0;
    for (int i = iol_note_find(&plan->notes, IOL_AT_replacement_standing_reasons, 0, 0); i >= 0 && count < most;
         i = iol_note_find(&plan->notes, IOL_AT_replacement_standing_reasons, 0, i + 1)) {
        char text[640];
        iol_line line;
        const char *lifting = iol_note_lifts(&plan->notes.item[i], text, sizeof text);
        if (!*lifting) continue;
        iol_line_start(&line);
        iol_line_number(&line, ++count, IOL_UNIT_count);
        iol_line_text(&line, " ");
        iol_line_text(&line, lifting);
        iol_screen_say(s, count == 1 ? IOL_RANK_NEVER : IOL_RANK_DETAIL, NULL, line.text);
    }
}

/* A second lens under its head, then the exchange in few words. */
static void lead(const iol_plan *plan, const iol_lead *l, const char *head, iol_screen *s) {
    const iol_choice *c = iol_chosen_step(iol_new_lens(plan));
    const bool told = l->way && iol_lead_chance_told(plan, l->way);
    iol_line line;
    iol_line_start(&line);
    iol_line_text(&line, head);
    iol_line_text(&line, ". ");
    iol_line_lead_warns(&line, l);
    iol_screen_say(s, IOL_RANK_NEVER, "LENS", line.text);
    iol_line_start(&line);
    iol_line_lead(&line, l);
    iol_screen_more(s, line.text);
    iol_line_start(&line);
    add_expected(&line, &l->expected, l->target_se_d, l->sd_d);
    iol_screen_more(s, line.text);
    if (told) bar(l->power_d, l->within_half_d, l->within_one_d, true, IOL_RANK_NEVER, s);
    iol_line_start(&line);
    if (told) iol_line_series(&line, l->way);
    if (line.used) iol_screen_say(s, IOL_RANK_FACT, NULL, line.text);
    if (!c) return;
    iol_line_start(&line);
    iol_line_text(&line, "if exchanged instead: ");
    iol_line_lens_warns(&line, plan);
    iol_screen_say(s, IOL_RANK_NEVER, NULL, line.text);
    chosen(plan, s);
}

/* The lens of the way that leads, or that which goes in where the turn of a second lens fails; false: neither. */
static bool leading(const iol_plan *plan, iol_screen *s) {
    iol_lead l;
    iol_line head;
    iol_line_start(&head);
    if (iol_lead_lens(plan, &l)) {
        iol_line_text(&head, "way 1, ");
        iol_line_text(&head, iol_way_name(l.way->option));
    } else if (iol_second_instead(plan, &l))
        iol_line_text(&head, "if it does not turn or hold: exchange the second lens");
    else
        return false;
    lead(plan, &l, head.text, s);
    return true;
}

/* No step brings the eye nearer to its target than it is. */
static bool near_now(const iol_plan *plan, const iol_replacement *r) {
    double least = NAN;
    for (int i = 0; i < r->choices_count; i++) least = fmin(least, fabs(r->choices[i].expected.se_d - r->target_se_d));
    return iol_above(least, fabs(plan->surprise.current_se_d - r->target_se_d)) == IOL_YES;
}

void iol_screen_lens(const iol_plan *plan, iol_screen *s) {
    const iol_replacement *r = iol_new_lens(plan);
    if (!r->present) {
        char text[640];
        for (int i = 0; i < plan->left_out_count; i++) {
            if (strcmp(plan->left_out[i].part, "replacement") != 0) continue;
            const int note = iol_note_find(&plan->notes, IOL_AT_left_out_text, i, 0);
            if (note >= 0) iol_screen_say(s, IOL_RANK_FACT, "LENS", iol_note_text(&plan->notes.item[note], text, sizeof text));
        }
        return;
    }
    const bool cause = iol_cause_before_lens(plan);
    if (iol_is_alarm(plan) || cause || r->standing == IOL_standing_withheld || r->standing == IOL_standing_provisional) {
        iol_screen_say(s, IOL_RANK_NEVER, "LENS",
                       r->standing == IOL_standing_withheld ? "WITHHELD: no power is given. What lifts it:"
                       : cause ? "NO POWER IS GIVEN before the cause is found. What lifts it:"
                               : "NO POWER IS GIVEN: order nothing. What lifts it:");
        lifts(plan, iol_is_alarm(plan) ? 1 : 3, s);
        return;
    }
    if (leading(plan, s)) return;
    if (!iol_chosen_step(r)) {
        iol_screen_say(s, IOL_RANK_FACT, "LENS",
                       near_now(plan, r) ? "none chosen: the eye is nearer to its target than any step would leave it"
                                         : "none chosen: no step of the shelf fits (--only replacement)");
        return;
    }
    if (iol_turn_alone(plan)) {
        iol_screen_say(s, IOL_RANK_FACT, "LENS", "none. If it does not turn or hold: " IOL_TURN_FAILS);
        return;
    }
    iol_line line;
    iol_line_start(&line);
    iol_line_text(&line, lens_head(plan));
    iol_line_text(&line, ". ");
    iol_line_lens_warns(&line, plan);
    iol_screen_say(s, IOL_RANK_NEVER, "LENS", line.text);
    chosen(plan, s);
    if (r->standing != IOL_standing_repeat_before_ordering) return;
    iol_screen_say(s, IOL_RANK_NEVER, NULL, "What lifts the repeat before ordering:");
    lifts(plan, 2, s);
}

/* ---- under the decision ---- */

/* "+21.5 D, SE -0.65 D +- 0.78 D, 47 of 100 within 0.50 D."; half: NaN where no chance is told. */
static void in_short(iol_line *line, double power_d, double se_d, double sd_d, double half) {
    iol_line_power(line, power_d);
    iol_line_text(line, ", SE ");
    iol_line_signed(line, se_d, IOL_UNIT_d);
    iol_line_text(line, " +- ");
    iol_line_number(line, sd_d, IOL_UNIT_d);
    iol_line_text(line, isnan(half) ? "." : ", ");
    if (isnan(half)) return;
    iol_line_number(line, 100.0 * half, IOL_UNIT_count);
    iol_line_bands(line, " of 100 within %h.");
}

/* The power that the sentence speaks of, with its doubt: of the way that leads, or of the exchange that is named behind it. */
bool iol_screen_power(const iol_plan *plan, iol_screen *s) {
    const int state = plan->decision.state;
    const iol_choice *c = iol_chosen_step(iol_new_lens(plan));
    const bool weighed = state == IOL_state_other_option_first || state == IOL_state_exchange_or_alternative;
    const bool leads = iol_exchange_leads(plan), named = weighed && strstr(plan->decision.sentence, "xchange");
    iol_lead first;
    iol_line line;
    iol_line_start(&line);
    if (iol_is_alarm(plan)) return false;
    if (state == IOL_state_other_option_first && iol_lead_lens(plan, &first)) {
        iol_line_lead_warns(&line, &first);
        const double half = iol_lead_chance_told(plan, first.way) ? first.within_half_d : NAN;
        in_short(&line, first.power_d, first.expected.se_d, first.sd_d, half);
    } else if (iol_power_given(plan) && (leads || named) && !iol_misses(c->expected.se_d, iol_new_lens(plan)->target_se_d)) {
        iol_line_text(&line, leads ? "" : "If exchanged: ");
        iol_line_lens_warns(&line, plan);
        if (!iol_power_not_settled(plan))
            in_short(&line, c->power_d, c->expected.se_d, c->sd_d, iol_chance_told(plan) ? c->within_half_d : NAN);
    } else
        return false;
    iol_screen_more(s, line.text);
    return true;
}
