/* The facts that the parts of a plan say, as far as they are made. */
#include <string.h>

#include "choices.h"
#include "suit.h"
#include "surprise.h"
#include "tables/constants.h"

static void of_the_surprise(const iol_work *w, iol_facts *f) {
    const iol_surprise *s = &w->plan->surprise;
    bool asked = iol_eye_has_toric(&w->eye) || iol_case_has_reason(w->c, IOL_reason_cylinder_error) == IOL_YES;
    f->remainder_d = iol_surprise_remainder(w);
    f->remainder_open = f->reading && isnan(f->remainder_d);
    f->turn_explains = iol_surprise_turn_explains(w);
    f->cylinder_open = !asked || !s->present ? IOL_NO
                       : f->cylinder_stated  ? iol_above(f->remainder_d, c_remainder_d)
                                             : IOL_UNKNOWN;
    /* A lens that was never to give what was meant, in the days in which a wrong one is best exchanged. */
    double selection = s->present ? s->selection_part_d : NAN;
    f->lens_predicted_d = selection + f->intended_d;
    f->early_misfit = f->optical == IOL_YES && f->documented_wrong != IOL_YES &&
                      iol_above(fabs(selection), c_early_misfit_d) == IOL_YES &&
                      iol_below(f->day, c_best_before_day) == IOL_YES;
}

/* How far from the target sight is blurred, the cylinder counted. */
static double blur_of(double from_target_d, double cylinder_d) { return hypot(from_target_d, cylinder_d / 2.0); }

bool iol_nearer_with_cylinder(const iol_facts *f, double se_d, double cylinder_d) {
    const double now = blur_of(f->gap_d, f->cylinder_d), then = blur_of(se_d - f->target_d, cylinder_d);
    return iol_at_least(now - then, c_correct_least_d) == IOL_YES &&
           iol_at_most(fabs(se_d - f->target_d), c_option_close_d) == IOL_YES;
}

/* The step that is marked, or what a plan without one leaves not known. */
static void of_the_choice(const iol_work *w, iol_facts *f) {
    const iol_replacement *r = iol_new_lens(w->plan);
    const iol_choice *leading = iol_choice_leading(r), *chosen = iol_chosen_step(r);
    double least = NAN;
    for (int i = 0; i < r->choices_count; i++) least = fmin(least, fabs(r->choices[i].expected.se_d - r->target_se_d));
    f->not_made = iol_above(least, c_band_one_d) == IOL_YES;
    f->ex_se_d = leading ? leading->expected.se_d : NAN;
    f->ex_cylinder_d = leading && !isnan(f->cylinder_d) ? fabs(leading->expected.cylinder_d) : NAN;
    const double blur_now = blur_of(f->gap_d, f->cylinder_d), blur_then = blur_of(f->ex_se_d - f->target_d, f->ex_cylinder_d);
    f->ex_gains = iol_nearer_with_cylinder(f, f->ex_se_d, f->ex_cylinder_d);
    f->ex_blurs = iol_and(iol_above(f->ex_cylinder_d, f->cylinder_d), iol_above(blur_then, blur_now));
    f->ex_blurs = iol_and(f->ex_blurs, iol_and(f->power_mends, iol_not(f->multifocal)));
    f->chosen_power_d = chosen ? chosen->power_d : NAN;
    f->chosen_se_d = chosen ? chosen->expected.se_d : NAN;
    f->within_half = chosen ? 100.0 * chosen->within_half_d : NAN;
    f->within_one = chosen ? 100.0 * chosen->within_one_d : NAN;
}

static void of_the_replacement(const iol_work *w, iol_facts *f) {
    const iol_replacement *r = iol_new_lens(w->plan);
    int standing = r->present ? r->standing : w->plan->piggyback.power.standing;
    bool other_eye = w->c->checks.biometry_belongs_to_this_eye == IOL_NO;
    f->withheld = standing == IOL_standing_withheld;
    f->provisional = standing == IOL_standing_provisional;
    f->no_power = iol_and(f->optical, iol_from_bool(!r->present || isnan(r->power_exact_d) || isnan(f->z) ||
                                                    other_eye || r->standing >= IOL_standing_provisional));
    f->power_low_d = r->power_low_d;
    f->power_high_d = r->power_high_d;
    of_the_choice(w, f);
}

static iol_flag three_piece_acrylic(const iol_shelf_lens *lens) {
    if (!lens) return IOL_NO;
    iol_flag acrylic = iol_or(iol_is(lens->material, IOL_material_hydrophobic_acrylic),
                              iol_is(lens->material, IOL_material_hydrophilic_acrylic));
    return iol_and(acrylic, iol_is(lens->design, IOL_design_three_piece));
}

static void of_the_second_lens(const iol_work *w, iol_facts *f) {
    const iol_replacement *power = &w->plan->piggyback.power;
    const iol_choice *choice = iol_choice_leading(power);
    f->pb_withheld = w->plan->piggyback.present && power->standing == IOL_standing_withheld;
    f->pb_provisional = w->plan->piggyback.present && power->standing == IOL_standing_provisional;
    f->exchange_misses = f->power_mends == IOL_YES && f->only_elective && f->documented_wrong != IOL_YES &&
                         iol_above(fabs(f->ex_se_d - f->target_d), c_fallback_off_shelf_d) == IOL_YES;
    const bool grown = f->no_lens != IOL_YES && f->child != IOL_YES && f->short_eye != IOL_YES;
    f->zonule_weighs = iol_and(iol_from_bool(f->power_mends == IOL_YES && f->only_elective && grown), f->zonule_weak);
    f->shelf_short = f->exchange_misses && w->plan->piggyback.present && w->plan->piggyback.suitable == IOL_NO;
    f->pb_no_lens = w->plan->piggyback.present && !f->withheld && !power->lens_id[0];
    f->pb_three_piece = three_piece_acrylic(iol_eye_on_shelf(w->site, power->lens_id));
    f->pb_se_d = choice ? choice->expected.se_d : NAN;
    f->pb_cylinder_d = choice && !isnan(f->cylinder_d) ? fabs(choice->expected.cylinder_d) : NAN;
    f->pb_se_gain_d = fabs(f->gap_d) - fabs(f->pb_se_d - f->target_d);
    f->pb_cylinder_gain_d = f->cylinder_d - f->pb_cylinder_d;
}

/* Of the second lens where that alone is changed or added, else of the lens that replaces the old one. */
static bool leads_hydrophilic(const iol_work *w, int first_option) {
    const iol_two_way *front = iol_two_way_of(w->plan, IOL_two_way_second_exchanged);
    const char *id = first_option == IOL_option_second_exchange && front ? front->lens_id
                     : first_option == IOL_option_piggyback              ? w->plan->piggyback.power.lens_id
                                                                         : iol_new_lens(w->plan)->lens_id;
    const iol_shelf_lens *lens = iol_eye_on_shelf(w->site, id);
    return lens && lens->material == IOL_material_hydrophilic_acrylic;
}

/* Size of the image behind a thin lens before the eye, against none, in percent: 1 / (1 - d F), d from the lens to the pupil. */
static double larger(double power_d, double before_cornea_mm) {
    return 100.0 / (1.0 - (before_cornea_mm + c_pupil_behind_cornea_mm) / 1000.0 * power_d) - 100.0;
}

static void of_no_lens(const iol_work *w, iol_facts *f) {
    f->glasses_larger = f->contact_larger = NAN;
    if (!w->eye.aphakic || !w->eye.now.usable) return;
    f->glasses_larger = larger(w->eye.now.spectacle_d, w->eye.now.vertex_mm);
    f->contact_larger = larger(iol_matrix_mean(w->eye.now.at_cornea), 0.0);
}

/* A turn does enough when it reaches the target and leaves no more cylinder than accepted. */
static iol_flag turn_does(const iol_facts *f, double se_d, double gain_d, double cylinder_d) {
    iol_flag on_target = iol_at_most(fabs(se_d - f->target_d), c_turn_se_d);
    return iol_and(iol_and(on_target, iol_at_least(gain_d, c_turn_gain_d)),
                   iol_at_most(cylinder_d, f->cylinder_accepted_d));
}

static iol_spectacle_form expected_of(const iol_plan *plan, int id) {
    const iol_two_way *way = iol_two_way_of(plan, id);
    const iol_spectacle_form none = {.se_d = NAN, .cylinder_d = NAN};
    return way && way->expected.present ? way->expected : none;
}

/* Cylinder that stays too great, where it is the complaint or the way adds to it. */
static iol_flag leaves_cylinder(const iol_work *w, double cylinder_d) {
    const iol_facts *f = &w->facts;
    iol_flag minds = iol_or(iol_case_has_reason(w->c, IOL_reason_cylinder_error),
                            iol_above(cylinder_d - f->cylinder_d, c_toric_worth_d));
    return iol_and(iol_above(cylinder_d, f->cylinder_accepted_d), minds);
}

static void of_two_lenses(const iol_work *w, iol_facts *f) {
    const iol_plan *plan = w->plan;
    const iol_spectacle_form out = expected_of(plan, IOL_two_way_second_out);
    const iol_spectacle_form exchanged = expected_of(plan, IOL_two_way_second_exchanged);
    const iol_spectacle_form turned = expected_of(plan, IOL_two_way_second_turned);
    bool stated = !isnan(f->cylinder_d);
    f->second_out_d = out.se_d;
    f->second_exchanged_d = exchanged.se_d;
    const iol_two_way *step = iol_two_way_of(plan, IOL_two_way_second_exchanged);
    f->second_within_half = step && f->reading ? 100.0 * step->within_half_d : NAN;
    f->second_out_cylinder_d = stated ? fabs(out.cylinder_d) : NAN;
    f->second_exchanged_cylinder_d = stated ? fabs(exchanged.cylinder_d) : NAN;
    f->second_out_leaves = leaves_cylinder(w, f->second_out_cylinder_d);
    f->second_exchange_leaves = leaves_cylinder(w, f->second_exchanged_cylinder_d);
    f->second_turn_se_d = turned.se_d;
    f->second_turn_cylinder_d = stated ? fabs(turned.cylinder_d) : NAN;
    f->second_turn_gain_d = f->cylinder_d - f->second_turn_cylinder_d;
    f->second_turn_mends = turn_does(f, f->second_turn_se_d, f->second_turn_gain_d, f->second_turn_cylinder_d);
}

static void of_a_turn(const iol_work *w, iol_facts *f) {
    const iol_rotation *r = &w->plan->rotation;
    f->turn_window = w->eye.old.toric && iol_case_has_reason(w->c, IOL_reason_cylinder_error) == IOL_YES &&
                     f->documented_wrong != IOL_YES && iol_at_most(f->day, c_turn_last_day) == IOL_YES &&
                     r->suitable != IOL_NO;
    if (!r->present) return;
    f->turn_se_d = r->expected.se_d;
    f->turn_cylinder_d = fabs(r->expected.cylinder_d);
    f->turn_gain_d = f->cylinder_d - f->turn_cylinder_d;
    f->turn_mends = turn_does(f, f->turn_se_d, f->turn_gain_d, f->turn_cylinder_d);
    f->turn_short_deg = iol_axis_turn(r->axis_now_deg, r->least_cylinder_axis_deg);
    f->turn_missing =
        r->suitable == IOL_NO && iol_above(fabs(f->turn_short_deg), FIGURE(toric_realign_threshold)) == IOL_YES;
    f->turn_leaves_power = iol_above(fabs(f->turn_se_d - f->target_d), c_turn_se_d) == IOL_YES;
}

static void of_a_laser(const iol_work *w, iol_facts *f) {
    const iol_corneal_laser *l = &w->plan->corneal_laser;
    iol_notes unused;
    unused.off = true;
    iol_planned_laser planned;
    iol_eye_laser(&w->eye, &unused, &planned);
    bool flap = planned.kind == IOL_laser_kind_flap;
    f->laser_flap = flap;
    f->bed_least_um = flap ? c_laser_bed_flap_least_um : c_laser_bed_surface_least_um;
    f->bed_wanted_um = flap ? c_laser_bed_flap_um : c_laser_bed_surface_um;
    if (!l->present) return;
    f->laser_se_d = l->se_cornea_d;
    f->laser_hyperopic = iol_above(l->se_cornea_d, 0.0);
    f->laser_central = isnan(l->se_cornea_d) ? IOL_UNKNOWN : iol_from_bool(!isnan(l->depth_rule_of_thirds_um));
    f->k_after_d = l->k_after_d;
    f->bed_left_um = l->bed_left_um;
    f->tissue_share = l->tissue_share;
}

/* What a turn, a capture or a lens put back leaves is not chosen for an aim. */
static bool aims(int option) {
    return option == IOL_option_corneal_laser || option == IOL_option_piggyback || option == IOL_option_exchange ||
           option == IOL_option_second_exchange || option == IOL_option_second_out ||
           option == IOL_option_secondary_lens;
}

void iol_facts_first_way(iol_facts *f, int option, iol_flag fits) {
    bool taking =
        option == IOL_option_exchange || option == IOL_option_remove_only || option == IOL_option_secondary_lens;
    const char *words = iol_option_words(option);
    memcpy(f->first_option_words, words, strlen(words) + 1);
    f->first_option = option;
    f->aim_sets_way = aims(option);
    f->worn_first = option == IOL_option_spectacles || option == IOL_option_contact_lens;
    f->better_option = option > 0 ? iol_from_bool(!taking) : IOL_UNKNOWN;
    f->first_fits = option > 0 ? iol_from_bool(fits == IOL_YES) : IOL_UNKNOWN;
    f->turn_in_time = iol_and(iol_from_bool(option == IOL_option_rotation), iol_at_most(f->day, c_turn_last_day));
}

/* What glasses mend is left by them; the lens that is worn, too. */
static bool changes_eye(int option) {
    bool says_itself =
        option == IOL_option_capsule_laser || option == IOL_option_relax_rim || option == IOL_option_remove_only;
    return option >= IOL_option_corneal_laser && !says_itself; /* ORDER option */
}

static void what_it_leaves(iol_facts *f, const iol_option_row *first) {
    if (!changes_eye(first->option)) return;
    f->leads_se_d = first->expected_se_d;
    f->leads_cylinder_d = isnan(f->cylinder_d) ? NAN : fabs(first->expected_cylinder_d);
    f->leads_apart_d = first->difference_from_fellow_d;
    f->leads_off = iol_above(fabs(f->leads_se_d - f->target_d), c_leads_off_d) == IOL_YES;
    f->leads_cylinder = iol_above(f->leads_cylinder_d, c_leads_cylinder_d) == IOL_YES;
}

/* What the ranked options put first. Without a ranking (a recheck makes none) neither way is known. */
static void which_way(const iol_plan *plan, iol_facts *f) {
    iol_facts_first_way(f, 0, IOL_UNKNOWN);
    for (int i = 0; i < plan->options_count; i++)
        if (iol_at_most(plan->options[i].rank, 1.0) == IOL_YES) {
            iol_facts_first_way(f, plan->options[i].option, plan->options[i].suitable);
            what_it_leaves(f, &plan->options[i]);
        }
}

static bool of_the_second(int option) {
    return option == IOL_option_second_out || option == IOL_option_second_exchange || option == IOL_option_second_turn;
}

static bool inside_the_eye(int option) {
    return option == IOL_option_piggyback || option == IOL_option_rotation || option == IOL_option_reposition ||
           option == IOL_option_optic_capture || of_the_second(option);
}

/* Whose marks are to be set on a meridian. */
static bool toric_in_hand(const iol_plan *plan, int first_option) {
    const iol_choice *chosen = iol_chosen_step(iol_new_lens(plan));
    const iol_two_way *front = iol_two_way_of(plan, IOL_two_way_second_exchanged);
    return (chosen && chosen->cylinder_d > 0.0) || (front && front->cylinder_d > 0.0) ||
           first_option == IOL_option_rotation || first_option == IOL_option_second_turn;
}

static void of_the_decision(const iol_work *w, iol_facts *f) {
    int state = w->plan->decision.state, optic = w->c->first_surgery.lens.optic;
    f->today = state > 0 && w->plan->decision.urgency == IOL_urgency_same_day;
    f->smaller_first = state == IOL_state_other_option_first;
    f->exchange_step = state == IOL_state_exchange || state == IOL_state_exchange_or_alternative;
    f->exchange_talk = f->exchange_step || f->smaller_first;
    f->new_lens_talk = f->exchange_talk || state == IOL_state_secondary_lens;
    f->first_inside = inside_the_eye(f->first_option);
    f->front_first = f->smaller_first && of_the_second(f->first_option);
    f->leads_hydrophilic = leads_hydrophilic(w, f->first_option);
    f->toric_in_hand = toric_in_hand(w->plan, f->first_option);
    f->lens_step = f->exchange_step || state == IOL_state_secondary_lens || (f->exchange_talk && f->first_inside);
    f->leaves_multifocal = f->exchange_talk && (optic == IOL_optic_multifocal || optic == IOL_optic_extended_depth);
}

static void of_the_rest(const iol_work *w, iol_facts *f) {
    const iol_spectacles *glasses = &w->plan->spectacles;
    f->tier = w->plan->support.tier;
    f->cells_low_per_mm2 = w->plan->endothelium.cells_low_per_mm2;
    f->glasses_sphere_d = glasses->sphere_d;
    f->glasses_cylinder_d = glasses->cylinder_d;
    f->glasses_help =
        f->reading && f->trial_helps == IOL_YES && glasses->suitable != IOL_NO && f->trapped_fluid != IOL_YES;
}

void iol_facts_grow(iol_work *w) {
    iol_facts *f = &w->facts;
    of_the_surprise(w, f);
    of_the_replacement(w, f);
    of_the_second_lens(w, f);
    of_a_turn(w, f);
    of_a_laser(w, f);
    of_no_lens(w, f);
    of_two_lenses(w, f);
    of_the_rest(w, f);
    which_way(w->plan, f);
    of_the_decision(w, f);
}
