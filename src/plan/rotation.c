/* Turning a toric lens (method, section 6). */
#include "secondary.h"
#include "replacement.h"
#include "rotation.h"
#include "suit.h"
#include "surprise.h"
#include "tables/constants.h"
#include "tables/note_codes.h"

/* Refraction with the old lens's marks on a meridian, no new wound. */
static void expected_at(const iol_work *w, const iol_aim *aim, double axis_deg, iol_spectacle_form *form) {
    double power_d = isnan(aim->from->posterior_p0_d) ? w->eye.old.power_d : aim->from->posterior_p0_d;
    iol_aim_expected(&w->eye, aim, iol_eye_old_lens_turned(&w->eye, power_d, axis_deg), iol_matrix_scalar(0.0), form);
}

/* Search: every degree, then thirds of the interval about the best one. */
double iol_least_cylinder_meridian(iol_cylinder_at at, const void *context, double now_deg) {
    double best = NAN, least = INFINITY;
    for (int degree = 1; degree <= 180; degree++) {
        double cylinder = at(context, (double)degree);
        if (cylinder < least) least = cylinder, best = (double)degree;
    }
    if (isnan(best)) return NAN;
    double low = best - 1.0, high = best + 1.0;
    while (high - low > 1e-7) {
        double third = (high - low) / 4.0, a = low + third, b = high - third;
        if (at(context, a) <= at(context, b))
            high = b;
        else
            low = a;
    }
    bool gains = at(context, (low + high) / 2.0) < at(context, now_deg) - IOL_SAME; /* before a round cornea every one is as good */
    return iol_axis_reduce(gains ? (low + high) / 2.0 : now_deg);
}

typedef struct {
    const iol_work *w;
    const iol_aim *aim;
} turning;

static double cylinder_at(const void *context, double axis_deg) {
    const turning *t = context;
    iol_spectacle_form form;
    expected_at(t->w, t->aim, axis_deg, &form);
    return fabs(form.cylinder_d);
}

static iol_matrix as_matrix(const iol_spectacle_form *f) {
    return iol_matrix_from_spherocylinder((iol_spherocylinder){f->sphere_d, f->cylinder_d, f->axis_deg});
}

double iol_cylinder_between(const iol_spectacle_form *one, const iol_spectacle_form *other) {
    return iol_matrix_cylinder(iol_matrix_subtract(as_matrix(other), as_matrix(one)));
}

/* Cylinder of the difference that one degree off the best meridian makes. */
static double loss_per_degree(const iol_work *w, const iol_aim *aim, double best_deg) {
    iol_spectacle_form at[2];
    for (int i = 0; i < 2; i++) expected_at(w, aim, best_deg + (double)i, &at[i]);
    return iol_cylinder_between(&at[0], &at[1]);
}

/* In the direction in which the loops let it go; the shorter way back where that differs. A quarter turn is as long either way. */
static void give_turn(iol_work *w, iol_rotation *out) {
    double turn = iol_axis_turn(out->axis_now_deg, out->least_cylinder_axis_deg);
    if (iol_below(fabs(turn), c_turn_least_deg) == IOL_YES) turn = 0.0; /* it lies right: not half round to come back to it */
    int way = iol_eye_turns(&w->eye, &w->plan->notes);
    /* the wrong way round, stated to turn as one that lies right: along its loops */
    const iol_lens *lens = &w->c->first_surgery.lens;
    if (lens->way_up == IOL_way_up_reversed && lens->turns_freely == IOL_turns_clockwise) way = IOL_turns_anticlockwise;
    bool against = (way == IOL_turns_clockwise && turn > 0.0) || (way == IOL_turns_anticlockwise && turn < 0.0);
    out->turn_deg = against ? turn - copysign(180.0, turn) : turn;
    if (out->turn_deg != 0.0) /* one that lies right is turned in no direction */
        out->direction = out->turn_deg > 0.0 ? IOL_direction_anticlockwise : IOL_direction_clockwise;
    if (!against || iol_above(180.0 - 2.0 * fabs(turn), c_turn_least_deg) != IOL_YES) return;
    out->turn_back_deg = turn;
    iol_because(w, IOL_AT_rotation_reasons, IOL_NOTE_turn_the_other_way, fabs(turn), c_turn_back_most_deg);
}

/* Least cylinder that a toric lens of the shelf would leave, at the steps listed for an exchange. */
static double best_toric_exchange(const iol_replacement *r) {
    double least = NAN;
    for (int i = 0; i < r->choices_count; i++)
        if (r->choices[i].cylinder_d > 0.0) least = fmin(least, fabs(r->choices[i].expected.cylinder_d));
    return least;
}

static void what_it_cannot_do(iol_work *w, const iol_aim *aim, const iol_rotation *out) {
    iol_matrix wanted;
    double has = iol_matrix_cylinder(w->eye.old.power);
    if (iol_surprise_turn_explains(w))
        iol_because(w, IOL_AT_rotation_reasons, IOL_NOTE_turn_by_refraction, iol_surprise_remainder(w),
                    fabs(out->expected.cylinder_d));
    if (w->eye.two) iol_because(w, IOL_AT_rotation_reasons, IOL_NOTE_turn_behind_second, NAN, NAN);
    iol_because(w, IOL_AT_rotation_reasons, IOL_NOTE_turn_keeps_se, out->expected.se_d, NAN);
    if (iol_aim_lens(&w->eye, aim, out->expected.se_d, iol_matrix_scalar(0.0), &wanted) >= 0 &&
        iol_above(fabs(iol_matrix_cylinder(wanted) - has), c_turn_cylinder_off_d) == IOL_YES)
        iol_because(w, IOL_AT_rotation_reasons, IOL_NOTE_turn_wrong_cylinder, has, iol_matrix_cylinder(wanted));
    if (!isnan(out->exchange_cylinder_d))
        iol_because(w, IOL_AT_rotation_reasons, IOL_NOTE_turn_exchange, out->exchange_cylinder_d,
                    fabs(out->expected.cylinder_d));
    iol_because(w, IOL_AT_rotation_reasons, IOL_NOTE_turn_window_here, FIGURE(toric_early_residual),
                FIGURE(toric_late_residual));
    iol_because(w, IOL_AT_rotation_reasons, IOL_NOTE_turn_no_wound, NAN, NAN);
}

static void judge(iol_work *w, iol_rotation *out) {
    iol_verdict verdict;
    iol_facts_grow(w);
    iol_option_judge(w, IOL_option_rotation, IOL_AT_rotation_reasons, 0, &verdict);
    out->suitable = verdict.suitable;
}

void iol_part_rotation(iol_work *w) {
    if (iol_secondary_leaves_out(w, "rotation")) return;
    iol_rotation *out = &w->plan->rotation;
    iol_estimate own;
    iol_aim aim;
    if (!w->eye.old.toric) {
        iol_leave_out(w->plan, "rotation", IOL_left_why_not_applicable, IOL_NOTE_left_not_toric, NULL, NULL);
        return;
    }
    if (!w->eye.old.axis_known) {
        iol_leave_out(w->plan, "rotation", IOL_left_why_missing_input, IOL_NOTE_left_missing, NULL,
                      "/first_surgery/lens/axis_deg");
        return;
    }
    out->present = out->expected.present = true;
    out->axis_now_deg = iol_axis_reduce(w->c->first_surgery.lens.axis_deg);
    out->axis_meant_deg = iol_axis_reduce(w->c->first_surgery.lens.axis_intended_deg);
    iol_replacement_route(&w->eye, w->joint, w->alone, &w->eye.old, &own, NULL, &aim);
    iol_aim_keep_second(&w->eye, &aim);
    iol_aim_of_old_lens(&aim);
    out->least_cylinder_axis_deg = iol_least_cylinder_meridian(cylinder_at, &(turning){w, &aim}, out->axis_now_deg);
    if (!isnan(out->least_cylinder_axis_deg)) {
        expected_at(w, &aim, out->least_cylinder_axis_deg, &out->expected);
        out->loss_per_degree_d = loss_per_degree(w, &aim, out->least_cylinder_axis_deg);
        out->exchange_cylinder_d = best_toric_exchange(&w->plan->replacement);
        give_turn(w, out);
        what_it_cannot_do(w, &aim, out);
    }
    judge(w, out);
}
