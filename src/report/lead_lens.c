/* The lens of the way that leads, where that is another than the exchange lens: a second lens in front, a new second lens. */
#include "screen.h"

#include <string.h>

#include "tables/constants.h"
#include "tables/rule_codes.h"

static bool usable(int standing) {
    return standing == IOL_standing_advised || standing == IOL_standing_repeat_before_ordering;
}

bool iol_lead_step(const iol_replacement *r, iol_lead *out) {
    const iol_choice *c = iol_chosen_step(r);
    if (!c) return false;
    out->lens_id = c->lens_id, out->label = r->lens_label, out->steps = r, out->power_d = c->power_d,
    out->cylinder_d = c->cylinder_d, out->axis_deg = c->axis_deg;
    out->product_number = c->product_number;
    out->expected = c->expected, out->sd_d = c->sd_d, out->target_se_d = r->target_se_d;
    out->within_half_d = c->within_half_d, out->within_one_d = c->within_one_d;
    out->position = r->position, out->standing = r->standing;
    return true;
}

static bool lead_front(const iol_plan *plan, iol_lead *out) {
    const iol_replacement *r = &plan->piggyback.power;
    return plan->piggyback.present && usable(r->standing) && iol_lead_step(r, out);
}

/* Of a second lens, which the list of the theatre holds with its number. */
static const char *number_in_list(const iol_plan *plan, const iol_two_way *way) {
    for (int i = 0; i < plan->theatre_list_count; i++) {
        const iol_theatre_item *item = &plan->theatre_list[i];
        if (strcmp(item->lens_id, way->lens_id) == 0 && item->power_d == way->power_d) return item->product_number;
    }
    return "";
}

bool iol_lead_second(const iol_plan *plan, iol_lead *out) {
    const iol_two_way *t = iol_two_way_of(plan, IOL_two_way_second_exchanged);
    if (!t || isnan(t->power_d) || !usable(plan->replacement.standing)) return false;
    out->way = NULL;
    out->lens_id = t->lens_id, out->label = "", out->steps = NULL, out->power_d = t->power_d;
    out->cylinder_d = t->cylinder_d > 0.0 ? t->cylinder_d : 0.0, out->axis_deg = t->axis_deg;
    out->product_number = number_in_list(plan, t);
    out->expected = t->expected, out->sd_d = t->sd_d, out->target_se_d = plan->replacement.target_se_d;
    out->within_half_d = t->within_half_d, out->within_one_d = t->within_one_d;
    out->position = IOL_position_sulcus, out->standing = plan->replacement.standing;
    return true;
}

bool iol_lead_lens(const iol_plan *plan, iol_lead *out) {
    const iol_option_row *first = iol_first_way(plan);
    const iol_replacement *r = iol_new_lens(plan);
    if (!first || iol_is_alarm(plan) || !r->present || !usable(r->standing)) return false;
    const bool in_front = first->option == IOL_option_piggyback;
    if (!(in_front ? lead_front(plan, out) : first->option == IOL_option_second_exchange && iol_lead_second(plan, out)))
        return false;
    out->way = first;
    return true;
}

bool iol_lead_operates(const iol_plan *plan, iol_lead *out) {
    return plan->decision.state == IOL_state_other_option_first && iol_lead_lens(plan, out) &&
           out->way->suitable == IOL_YES && out->way->not_before == IOL_UNKNOWN_DATE;
}

void iol_line_lead(iol_line *line, const iol_lead *lead) {
    iol_line_power(line, lead->power_d);
    iol_line_text(line, " ");
    iol_line_text(line, lead->lens_id);
    iol_line_toric(line, lead->cylinder_d, lead->axis_deg);
    iol_line_text(line, ", ");
    iol_line_place(line, lead->position);
}

void iol_line_series(iol_line *line, const iol_option_row *way) {
    if (way->published_count == 0) return;
    const iol_published *p = &way->published[0];
    iol_line_text(line, "That is this eye by the model; the patient reads ");
    iol_line_number(line, p->of_100, IOL_UNIT_count);
    iol_line_text(line, " of 100, a series of ");
    iol_line_number(line, p->eyes, IOL_UNIT_count);
    iol_line_text(line, " eyes.");
}

void iol_line_box(iol_line *line, const char *number) {
    iol_line_text(line, number[0] ? "product number " : "no product number on record");
    if (!number[0]) return;
    iol_line_text(line, number);
    iol_line_text(line, ": compare it with the box");
}

void iol_line_lead_warns(iol_line *line, const iol_lead *lead) {
    if (lead->standing == IOL_standing_repeat_before_ordering) iol_line_text(line, "REPEAT BEFORE ORDERING. ");
}

bool iol_misses(double expected_d, double aim_d) {
    return iol_above(fabs(expected_d - aim_d), c_fallback_off_shelf_d) == IOL_YES;
}

double iol_way_rank(const iol_plan *plan, int option) {
    for (int i = 0; i < plan->options_count; i++)
        if (plan->options[i].option == option) return plan->options[i].rank;
    return NAN;
}

bool iol_turn_alone(const iol_plan *plan) {
    const iol_option_row *first = iol_first_way(plan);
    return first && first->option == IOL_option_rotation &&
           iol_above(iol_way_rank(plan, IOL_option_exchange), iol_way_rank(plan, IOL_option_leave)) == IOL_YES;
}

int32_t iol_exchange_from(const iol_plan *plan) {
    const iol_option_row *first = iol_first_way(plan);
    for (int i = 0; i < plan->options_count; i++) {
        const iol_option_row *row = &plan->options[i];
        if (row->option == IOL_option_exchange && row != first) return row->not_before;
    }
    return IOL_UNKNOWN_DATE;
}

/* Beside a way that may be done sooner. */
static void not_before(iol_line *line, const iol_plan *plan) {
    const int32_t from = iol_exchange_from(plan);
    if (from == IOL_UNKNOWN_DATE) return;
    iol_line_text(line, "NOT BEFORE ");
    iol_line_day(line, from);
    iol_line_text(line, ": refract again then. ");
}

void iol_line_range(iol_line *line, const iol_replacement *r) {
    iol_line_signed(line, r->power_low_d, IOL_UNIT_d);
    line->used -= 2; /* the unit stands once */
    line->text[line->used] = '\0';
    iol_line_text(line, " to ");
    iol_line_signed(line, r->power_high_d, IOL_UNIT_d);
}

/* The steps that lie in the range of the power; nothing where the list of steps ends within it on both sides. */
static void steps_within(iol_line *line, const iol_replacement *r) {
    const int count = r->choices_count;
    const double step = count > 1 ? r->choices[1].power_d - r->choices[0].power_d : 0.0, least = r->power_low_d - IOL_SAME,
                 most = r->power_high_d + IOL_SAME;
    double first = NAN, last = NAN;
    for (int i = 0; i < count; i++) {
        const double power = r->choices[i].power_d;
        if (power < least || power > most) continue;
        first = isnan(first) ? power : first, last = power;
    }
    const bool lower = count > 0 && r->choices[0].power_d - step >= least,
               higher = count > 0 && r->choices[count - 1].power_d + step <= most;
    if (lower && higher) return;
    if (isnan(first)) {
        iol_line_text(line, "; no step lies in it");
        return;
    }
    iol_line_text(line, lower ? "; steps up to " : higher ? "; steps from " : first < last ? "; steps " : "; step ");
    iol_line_power(line, lower ? last : first);
    if (lower || higher || first >= last) return;
    line->used -= 2; /* the unit stands once */
    line->text[line->used] = '\0';
    iol_line_text(line, " to ");
    iol_line_power(line, last);
}

static void lens_warns(iol_line *line, const iol_plan *plan, bool full) {
    const iol_replacement *r = iol_new_lens(plan);
    const iol_choice *c = iol_chosen_step(r);
    if (plan->two_lenses.present) iol_line_text(line, "One lens for both: take both out. ");
    if (iol_power_not_settled(plan)) {
        iol_line_text(line, "POWER NOT SETTLED: ");
        iol_line_range(line, r);
        steps_within(line, r);
        iol_line_text(line, ". ");
    }
    const bool repeat = r->standing == IOL_standing_repeat_before_ordering;
    if (repeat) iol_line_text(line, full ? "REPEAT BEFORE ORDERING." : "REPEAT BEFORE ORDERING. ");
    if (repeat && full) {
        iol_line_lifts(line, plan);
        iol_line_text(line, " ");
    }
    not_before(line, plan);
    if (!c || !iol_misses(c->expected.se_d, r->target_se_d)) return;
    iol_line_text(line, "NO STEP FITS: misses the target by ");
    iol_line_number(line, fabs(c->expected.se_d - r->target_se_d), IOL_UNIT_d);
    iol_line_text(line, ". ");
}

void iol_line_lens_warns(iol_line *line, const iol_plan *plan) { lens_warns(line, plan, false); }
void iol_line_lens_warns_full(iol_line *line, const iol_plan *plan) { lens_warns(line, plan, true); }
