/* A second lens in front of the old one (method, section 5). */
#include "piggyback.h"

#include "secondary.h"
#include "choices.h"
#include "replacement.h"
#include "suit.h"
#include "tables/constants.h"
#include "tables/note_codes.h"

/* The estimate that leads: the joint one where it leads an exchange too, else the reading alone. */
static void aim_from(const iol_work *w, bool reading_alone, iol_estimate *own, iol_notes *notes, iol_aim *aim) {
    iol_aim exchange;
    iol_replacement_route(&w->eye, w->joint, w->alone, &w->eye.old, own, NULL, &exchange);
    bool joint = w->joint && !isnan(w->joint->eye_part_d) && exchange.route == IOL_route_joint;
    if (joint && !reading_alone) {
        iol_aim_by_piggyback(&w->eye, w->joint, IOL_route_joint, aim);
        if (aim->status >= 0) return;
    }
    iol_aim_reading_alone(&w->eye, own, notes);
    iol_aim_by_piggyback(&w->eye, own, IOL_route_refraction_only, aim);
}

/* A lens that may lie in front of another: for the sulcus, made as a piggyback, no sharp edge, long enough. */
bool iol_piggyback_fits(const iol_shelf_lens *lens) {
    if (lens->purpose != IOL_purpose_piggyback || lens->edge == IOL_edge_square) return false;
    if (iol_below(lens->length_mm, c_piggyback_length_mm) == IOL_YES) return false;
    for (int i = 0; i < lens->positions_count; i++)
        if (lens->positions[i] == IOL_position_sulcus) return true;
    return false;
}

static bool aim_class(const iol_work *w, const iol_shelf_lens *shelf, iol_estimate *own, iol_aim *aim, double *exact) {
    if (!iol_piggyback_fits(shelf)) return false;
    aim_from(w, false, own, NULL, aim);
    *exact = iol_aim_power(&w->eye, aim, w->eye.target_se_d);
    bool toric = shelf->cylinder_steps_d_count > 0;
    return !isnan(*exact) && (!toric || aim->shape_known);
}

static void add_check(iol_replacement *power, int method, double power_d) {
    if (!isnan(power_d))
        power->cross_checks[power->cross_checks_count++] =
            (iol_cross_check){.present = true, .method = method, .power_d = power_d};
}

/* Exact power, the figure from the raw reading, the customary multiplier. */
static void fill_powers(iol_work *w, iol_piggyback *out) {
    iol_estimate own;
    iol_aim aim;
    iol_replacement *power = &out->power;
    double change = w->eye.now.spectacle_d - w->eye.target_se_d;
    aim_from(w, true, &own, NULL, &aim);
    out->power_from_reading_d = iol_aim_power(&w->eye, &aim, w->eye.target_se_d);
    aim_from(w, false, &own, &w->plan->notes, &aim);
    power->route = aim.route;
    power->power_exact_d = iol_aim_power(&w->eye, &aim, w->eye.target_se_d);
    power->power_low_d = fmin(power->power_exact_d, out->power_from_reading_d);
    power->power_high_d = fmax(power->power_exact_d, out->power_from_reading_d);
    if (aim.route == IOL_route_joint) {
        power->reference_formula = w->eye.reference + 1;
        power->reference_reason = w->eye.reference_reason;
    }
    double believed = aim.from->believed_d - w->eye.target_se_d;
    out->habit_multiplier = iol_above(change, 0.0) == IOL_YES ? c_thumb_hyperopic : c_thumb_myopic;
    if (iol_at_least(fabs(believed), c_multiplier_least_d) == IOL_YES)
        out->multiplier = power->power_exact_d / believed;
    if (aim.route != IOL_route_refraction_only)
        add_check(power, IOL_cross_method_refraction_only, out->power_from_reading_d);
    add_check(power, IOL_cross_method_rule_of_thumb, out->habit_multiplier * change);
}

/* Published series beside the model's own chance, for the choice of the aim. */
static void add_published(iol_work *w, const iol_piggyback *out) {
    if (!isnan(out->multiplier))
        iol_because(w, IOL_AT_piggyback_reasons, IOL_NOTE_pb_multiplier, out->multiplier, out->habit_multiplier);
    const iol_choice *chosen = iol_chosen_step(&out->power);
    if (!chosen) return;
    iol_because(w, IOL_AT_piggyback_reasons, IOL_NOTE_published_piggyback, FIGURE(piggyback_within_one),
                100.0 * chosen->within_one_d);
    iol_because(w, IOL_AT_piggyback_reasons, IOL_NOTE_published_lens_surgery, FIGURE(lens_surgery_within_half),
                100.0 * chosen->within_half_d);
}

double iol_piggyback_between(const iol_work *w, double from_d, double to_d) {
    iol_estimate own;
    iol_aim aim;
    double from, to, v = w->eye.vertex_mm;
    aim_from(w, false, &own, NULL, &aim);
    if (aim.status < 0) return NAN;
    iol_arriving_vergence(aim.model.cornea_d, aim.model.position_mm, from_d, v, &from);
    iol_arriving_vergence(aim.model.cornea_d, aim.model.position_mm, to_d, v, &to);
    return from - to;
}

static void withhold(iol_piggyback *out) {
    iol_choices_withhold(&out->power);
    out->power_from_reading_d = out->multiplier = NAN;
}

void iol_part_piggyback(iol_work *w) {
    if (iol_secondary_leaves_out(w, "piggyback")) return;
    if (w->eye.two) {
        iol_leave_out(w->plan, "piggyback", IOL_left_why_not_applicable, IOL_NOTE_left_second_there, NULL, NULL);
        return;
    }
    iol_piggyback *out = &w->plan->piggyback;
    iol_replacement *power = &out->power;
    iol_verdict verdict;
    out->present = true;
    power->position = IOL_position_sulcus;
    power->target_se_d = w->eye.target_se_d;
    const iol_shelf_lens *preferred = iol_choices_list(w, aim_class, power);
    if (preferred) {
        iol_choices_name(preferred, power);
        fill_powers(w, out);
    }
    power->standing = iol_standing_second_lens(w, power);
    if (power->standing == IOL_standing_withheld)
        withhold(out);
    else if (power->standing != IOL_standing_provisional && preferred)
        iol_choices_choose(w, power);
    iol_facts_grow(w);
    iol_option_judge(w, IOL_option_piggyback, IOL_AT_piggyback_reasons, 0, &verdict);
    out->suitable = verdict.suitable;
    if (out->suitable != IOL_NO) add_published(w, out);
}
