/* The steps of the shelf about a power, for an exchange and for a second lens alike (method, section 4). */
#include "choices.h"
#include "tables/note_codes.h"

#include <string.h>

#include "case/stock.h"
#include "incision.h"
#include "tables/constants.h"

/* Best cylinder of a toric class and the meridian for its marks: the one that leaves least cylinder. */
static void best_cylinder(const iol_work *w, const iol_aim *aim, const iol_shelf_lens *shelf, double power_d,
                          iol_choice *choice) {
    iol_matrix lens;
    const iol_matrix induced = iol_incision_change(w, shelf);
    if (iol_aim_lens(&w->eye, aim, w->eye.target_se_d, induced, &lens) < 0) return;
    double axis = iol_axis_reduce(iol_matrix_steep_axis(lens) + 90.0), least = INFINITY;
    for (int i = 0; i < shelf->cylinder_steps_d_count; i++) {
        double half = shelf->cylinder_steps_d[i] / 2.0;
        iol_spectacle_form form;
        iol_aim_expected(&w->eye, aim, iol_matrix_from_meridians(power_d - half, power_d + half, axis), induced, &form);
        if (!(fabs(form.cylinder_d) < least)) continue;
        least = fabs(form.cylinder_d);
        choice->cylinder_d = 2.0 * half;
        choice->axis_deg = half > 0.0 ? axis : NAN;
        choice->expected = form;
    }
}

static const iol_choice no_choice = {.power_d = NAN,
                                     .power_weakest_d = NAN,
                                     .cylinder_d = NAN,
                                     .axis_deg = NAN,
                                     .expected = {.se_d = NAN, .sphere_d = NAN, .cylinder_d = NAN, .axis_deg = NAN},
                                     .sd_d = NAN,
                                     .within_half_d = NAN,
                                     .within_one_d = NAN,
                                     .hyperopic_over_one = NAN,
                                     .within_half_if_as_recorded = NAN};

/* A class as every cause sees it, with and without another lens inside. */
typedef struct {
    const iol_aim *aim;
    iol_prospect all, as_recorded;
} outlooks;

static void fill_choice(const iol_work *w, const outlooks *o, const iol_shelf_lens *shelf, double power_d,
                        iol_choice *choice) {
    iol_outlook at, recorded;
    iol_spectacle_form unused;
    *choice = no_choice;
    choice->present = true;
    memcpy(choice->lens_id, shelf->id, sizeof choice->lens_id);
    choice->power_d = power_d;
    choice->chosen = IOL_NO;
    if (shelf->cylinder_steps_d_count > 0 && o->aim->shape_known) best_cylinder(w, o->aim, shelf, power_d, choice);
    choice->power_weakest_d = isnan(choice->cylinder_d) ? power_d : power_d - choice->cylinder_d / 2.0;
    double half = isnan(choice->cylinder_d) ? 0.0 : choice->cylinder_d / 2.0;
    iol_matrix lens = half > 0.0 ? iol_matrix_from_meridians(power_d - half, power_d + half, choice->axis_deg)
                                 : iol_matrix_scalar(power_d);
    const iol_matrix induced = iol_incision_change(w, shelf);
    iol_aim_outlook(&w->eye, o->aim, &o->all, lens, induced, &choice->expected, &at);
    if (!w->compared) iol_aim_outlook(&w->eye, o->aim, &o->as_recorded, lens, induced, &unused, &recorded);
    choice->sd_d = at.sd_d;
    choice->within_half_d = at.within_half;
    choice->within_one_d = at.within_one;
    choice->hyperopic_over_one = at.hyperopic_over_one;
    if (!w->compared) choice->within_half_if_as_recorded = recorded.within_half;
    const char *number = iol_stock_number(w->site, choice->lens_id, power_d, choice->cylinder_d);
    memcpy(choice->product_number, number, strlen(number) + 1);
}

/* Up to seven steps about the exact power, or about the step that would be chosen where that lies further away. */
static void add_steps(const iol_work *w, const iol_aim *aim, const iol_shelf_lens *shelf, double exact,
                      iol_replacement *out) {
    outlooks o = {.aim = aim};
    iol_outlook unused;
    int last = (int)floor((shelf->power_last_d - shelf->power_first_d) / shelf->power_step_d + 1e-6);
    const iol_steps steps = {shelf->power_first_d, shelf->power_last_d, shelf->power_step_d};
    iol_aim_prospect(&w->eye, aim, &o.all);
    iol_prospect_without(&o.all, IOL_MIX(another_lens), &o.as_recorded);
    double best = iol_prospect_choose(&o.all, &steps, w->eye.target_se_d - iol_aim_more(&w->eye, aim, exact), &unused);
    bool far = fabs(best - exact) > (c_steps_each_side + 0.5) * shelf->power_step_d;
    double nearest = floor(((far ? best : exact) - shelf->power_first_d) / shelf->power_step_d + 0.5);
    int centre = nearest < 0.0 ? 0 : nearest > last ? last : (int)nearest;
    int from = centre - (int)c_steps_each_side, to = centre + (int)c_steps_each_side;
    for (int k = from < 0 ? 0 : from; k <= to && k <= last; k++) {
        if (!iol_has_room(out->choices_count, IOL_MOST(out->choices), &out->choices_lost)) return;
        fill_choice(w, &o, shelf, shelf->power_first_d + k * shelf->power_step_d, &out->choices[out->choices_count++]);
    }
}

void iol_choices_name(const iol_shelf_lens *shelf, iol_replacement *out) {
    memcpy(out->lens_id, shelf->id, sizeof out->lens_id);
    memcpy(out->lens_label, shelf->label, sizeof out->lens_label);
}

static bool near(const iol_replacement *out, const iol_choice *c) {
    return iol_at_most(fabs(c->power_d - out->power_exact_d), c_choice_reach_d) == IOL_YES;
}

/* Of the class that leads, and near to the exact power; any step where none is. */
static bool stands(const iol_replacement *out, const iol_choice *c) {
    bool any = false;
    for (int i = 0; i < out->choices_count; i++)
        any = any || (strcmp(out->choices[i].lens_id, out->lens_id) == 0 && near(out, &out->choices[i]));
    return strcmp(c->lens_id, out->lens_id) == 0 && (!any || near(out, c));
}

/* The greatest chance within half a dioptre of the steps that may be chosen; 0 none has one. */
static double greatest_chance(const iol_replacement *out) {
    double greatest = 0.0;
    for (int i = 0; i < out->choices_count; i++)
        if (stands(out, &out->choices[i])) greatest = fmax(greatest, out->choices[i].within_half_d);
    return greatest;
}

/* Where the power may be what is at stake, no step is chosen that leaves the eye further from its target than it is;
 * one that ends off target brings it nearer by what could be corrected at all. */
static bool worse_than_now(const iol_work *w, const iol_choice *one) {
    /* sphere and cylinder together: a complaint of cylinder is not left for a tenth of a dioptre of equivalent */
    if (iol_nearer_with_cylinder(&w->facts, one->expected.se_d, one->expected.cylinder_d)) return false;
    double after = fabs(one->expected.se_d - w->eye.target_se_d);
    double gain = iol_above(after, c_option_close_d) == IOL_YES ? c_correct_least_d : 0.0;
    return w->facts.power_mends != IOL_NO && iol_above(after, fabs(w->facts.gap_d) - gain) == IOL_YES;
}

/* A step is expected near the target: the shelf does not end before it. */
static bool reaches(const iol_replacement *out, double target) {
    for (int i = 0; i < out->choices_count; i++)
        if (iol_at_most(fabs(out->choices[i].expected.se_d - target), c_option_close_d) == IOL_YES) return true;
    return false;
}

void iol_choices_choose(iol_work *w, iol_replacement *out) {
    int aim = w->site->habits.aim;
    iol_choice *best = NULL;
    if (aim <= 0) {
        aim = IOL_aim_nearest;
        iol_assume(w, IOL_NOTE_assume_aim, NAN, "nearest");
    }
    double target = w->eye.target_se_d;
    double greatest = greatest_chance(out);
    for (int i = 0; i < out->choices_count; i++) {
        iol_choice *c = &out->choices[i];
        if (!stands(out, c) || isnan(c->expected.se_d)) continue;
        bool above = iol_step_miss(c->expected.se_d, target) > 0;
        bool may = aim == IOL_aim_not_above_target ? !above : iol_step_among_best(c->within_half_d, greatest);
        if (!may || worse_than_now(w, c)) continue;
        if (iol_step_nearer(c->expected.se_d, best ? best->expected.se_d : NAN, target)) best = c;
    }
    if (!best) return;
    best->chosen = IOL_YES;
    if (reaches(out, target) && iol_below(best->within_half_d, c_chance_low) == IOL_YES)
        iol_caution(w, IOL_NOTE_chance_low, iol_in_100(best->within_half_d), best->expected.se_d - target, NULL);
}

static double accepted_cylinder(const iol_work *w) {
    double accepted = w->c->target_cylinder_d;
    return isnan(accepted) && iol_eye_has_toric(&w->eye) ? c_option_cylinder_d
                                                         : accepted; /* what the ranked ways accept */
}

/* Cylinder that a class leaves at its best; NaN not known. */
static double leaves_cylinder(const iol_work *w, const iol_aim *aim, const iol_shelf_lens *shelf, double power) {
    iol_choice choice = no_choice;
    if (shelf->cylinder_steps_d_count > 0)
        best_cylinder(w, aim, shelf, power, &choice);
    else
        iol_aim_expected(&w->eye, aim, iol_matrix_scalar(power), iol_incision_change(w, shelf), &choice.expected);
    return fabs(choice.expected.cylinder_d);
}

double iol_choices_beyond(const iol_shelf_lens *shelf, double exact) {
    double half = shelf->power_step_d / 2.0;
    return fmax(0.0, fmax(shelf->power_first_d - half - exact, exact - shelf->power_last_d - half));
}

void iol_choices_say_off_shelf(iol_work *w, const iol_shelf_lens *shelf, double exact) {
    if (!(iol_choices_beyond(shelf, exact) > 0.0)) return;
    double last = exact < shelf->power_first_d ? shelf->power_first_d : shelf->power_last_d;
    iol_caution(w, IOL_NOTE_off_shelf, exact, last, shelf->id);
}

bool iol_choices_asks(const iol_preference *so_far, const iol_shelf_lens *shelf) {
    return !so_far->shelf || (so_far->want_toric && shelf->cylinder_steps_d_count > 0);
}

bool iol_choices_prefer(const iol_work *w, const iol_shelf_lens *shelf, double leaves_d, iol_preference *so_far) {
    bool toric = shelf->cylinder_steps_d_count > 0, wanted = so_far->want_toric;
    bool better = !so_far->shelf || iol_above(so_far->left_d - leaves_d, c_toric_worth_d) == IOL_YES;
    if (better) so_far->shelf = shelf, so_far->left_d = leaves_d;
    so_far->want_toric = wanted ? !better : !toric && iol_above(leaves_d, accepted_cylinder(w)) == IOL_YES;
    return better;
}

const iol_shelf_lens *iol_choices_list(iol_work *w, iol_aim_class aim_class, iol_replacement *out) {
    iol_preference preferred = {.left_d = NAN};
    double least = INFINITY;
    iol_estimate own;
    iol_aim aim;
    double exact;
    for (int i = 0; i < w->site->lenses_count; i++)
        if (aim_class(w, &w->site->lenses[i], &own, &aim, &exact))
            least = fmin(least, iol_choices_beyond(&w->site->lenses[i], exact));
    for (int i = 0; i < w->site->lenses_count; i++) {
        const iol_shelf_lens *shelf = &w->site->lenses[i];
        if (!aim_class(w, shelf, &own, &aim, &exact) || iol_choices_beyond(shelf, exact) > least) continue;
        if (iol_choices_asks(&preferred, shelf))
            iol_choices_prefer(w, shelf, leaves_cylinder(w, &aim, shelf, exact), &preferred);
        if (out) add_steps(w, &aim, shelf, exact, out);
    }
    return preferred.shelf;
}

void iol_choices_of(const iol_work *w, iol_aim_class aim_class, const iol_shelf_lens *shelf, iol_replacement *out) {
    iol_estimate own;
    iol_aim aim;
    double exact;
    if (aim_class(w, shelf, &own, &aim, &exact)) add_steps(w, &aim, shelf, exact, out);
}

void iol_choices_withhold(iol_replacement *out) {
    out->power_exact_d = out->power_low_d = out->power_high_d = out->power_if_other_lens_inside_d = NAN;
    out->power_if_as_recorded_d = NAN;
    out->by_cause_count = out->cross_checks_count = out->choices_count = 0;
}

const iol_choice *iol_choice_leading(const iol_replacement *r) {
    const iol_choice *best = iol_chosen_step(r);
    if (best) return best;
    for (int i = 0; i < r->choices_count; i++) {
        const iol_choice *one = &r->choices[i];
        if (strcmp(one->lens_id, r->lens_id) != 0) continue;
        bool nearer = best && fabs(one->expected.se_d - r->target_se_d) < fabs(best->expected.se_d - r->target_se_d);
        if (!best || nearer) best = one;
    }
    return best;
}

/* Two goals: which of them the powers are for is said, and asked. */
void iol_choices_say_goals(iol_work *w) {
    const iol_eye *eye = &w->eye;
    if (w->c->wish.distance == IOL_range_distance && w->facts.near_aim != IOL_NO)
        iol_caution(w, IOL_NOTE_near_target, eye->target_se_d, NAN, NULL); /* target and wish contradict each other */
    if (w->facts.goals_apart)
        iol_caution(w, IOL_NOTE_goals_apart, eye->intended_se_d, eye->target_se_d, NULL);
}
