/* An eye with two lenses: what can be done with them, side by side (docs/method.md, other eyes). */
#include <string.h>

#include "choices.h"
#include "incision.h"
#include "removal.h"
#include "replacement.h"
#include "rotation.h"
#include "secondary.h"
#include "two_lenses.h"
#include "tables/constants.h"
#include "tables/note_codes.h"

typedef struct {
    iol_work *w;
    iol_observed joint;
    iol_lens_pair pair; /* as the refraction leaves it */
    iol_matrix cornea;  /* that reproduces today's cylinder */
    bool shape_known;
    iol_matrix wound, wider; /* what the planned wound adds to it, and the one through which a lens leaves */
} job;

/* What stands in the eye after a way. */
typedef struct {
    iol_lens_pair pair;
    iol_matrix first, second;
    bool new_first, new_second;
    bool taken; /* a lens leaves */
    bool empty; /* no second lens stays: one of 0 D is one */
    double sd_change_mm; /* from the first lens to a new one in its place */
} after;

static after as_it_is(const job *j) {
    const iol_eye *eye = &j->w->eye;
    return (after){.pair = j->pair,
                   .first = iol_matrix_add(iol_matrix_scalar(j->pair.first_d), iol_matrix_deviator(eye->old.power)),
                   .second = iol_matrix_add(iol_matrix_scalar(j->pair.second_d), iol_matrix_deviator(eye->second.power))};
}

static void expect(const job *j, const after *a, iol_two_way *out) {
    iol_matrix at_cornea, spectacle;
    double vertex_mm = j->w->eye.vertex_mm;
    iol_matrix cornea = iol_matrix_add(j->cornea, a->taken ? j->wider : j->wound);
    out->expected = (iol_spectacle_form){.present = true, .se_d = NAN, .sphere_d = NAN, .cylinder_d = NAN, .axis_deg = NAN};
    if (iol_two_lenses_matrix(&a->pair, cornea, a->first, a->second, &at_cornea) < 0) return;
    iol_vertex_to_spectacle(iol_matrix_mean(at_cornea), vertex_mm, &out->expected.se_d);
    if (!j->shape_known || iol_matrix_step(at_cornea, -vertex_mm / 1000.0, &spectacle) < 0) return;
    iol_spherocylinder form = iol_matrix_to_spherocylinder(spectacle);
    out->expected.sphere_d = form.sphere_d;
    out->expected.cylinder_d = form.cylinder_d;
    out->expected.axis_deg = form.axis_deg;
}

/* Spread of the refraction: what the joint estimate leaves of the quantities that stay, the new lens's own label and place, and
 * one reading of the outcome. A first lens that moves leaves the second where it is. */
static double spread(const job *j, const after *a) {
    const iol_eye *eye = &j->w->eye;
    double g[IOL_TWO_STATES], unused, variance = 0.0, label = 0.0, place = 0.0;
    iol_lens_pair pair = a->pair;
    pair.first_d = iol_matrix_mean(a->first), pair.second_d = iol_matrix_mean(a->second);
    if (iol_two_lenses_refraction(&pair, eye->vertex_mm, &unused, g) < 0) return NAN;
    if (a->new_first) {
        label = hypot(label, iol_eye_label_sd(eye, pair.first_d) * g[IOL_TWO_FIRST]);
        place = hypot(place, a->sd_change_mm * (g[IOL_TWO_POSITION] + g[IOL_TWO_GAP]));
        g[IOL_TWO_FIRST] = 0.0;
    }
    if (a->new_second) {
        if (!a->empty) label = hypot(label, iol_eye_label_sd(eye, pair.second_d) * g[IOL_TWO_SECOND]);
        double own = eye->site->spread.piggyback_position_mm, place_mm = isnan(own) ? sd_piggyback_mm : own;
        if (!a->empty) place = hypot(place, iol_eye_factor(eye) * place_mm * g[IOL_TWO_GAP]);
        g[IOL_TWO_SECOND] = 0.0;
    }
    for (int i = 0; i < IOL_TWO_STATES; i++)
        for (int k = 0; k < IOL_TWO_STATES; k++) variance += g[i] * j->joint.covariance[i][k] * g[k];
    double own = eye->site->spread.refraction_d;
    double reading = iol_eye_factor(eye) * (isnan(own) ? sd_refraction_manifest_d : own);
    return sqrt(fmax(0.0, variance) + label * label + place * place + reading * reading);
}

static void fill(const job *j, const after *a, iol_two_way *out) {
    expect(j, a, out);
    out->sd_d = spread(j, a);
    out->within_half_d = iol_aim_chance(out->expected.se_d, out->sd_d, j->w->eye.target_se_d, c_band_half_d);
    out->within_one_d = iol_aim_chance(out->expected.se_d, out->sd_d, j->w->eye.target_se_d, c_band_one_d);
}

/* The meridian for the marks of a lens in that place: that of least power of the lens that would leave no cylinder. */
static double marks_for(const job *j, const after *a, bool second) {
    const iol_eye *eye = &j->w->eye;
    iol_matrix cornea = iol_matrix_add(j->cornea, j->wider), wanted;
    double at_cornea_d;
    iol_status status = iol_vertex_to_cornea(eye->target_se_d, eye->vertex_mm, &at_cornea_d);
    if (status >= 0 && second)
        status = iol_two_lenses_matrix_second_for(&a->pair, cornea, a->first, at_cornea_d, &wanted);
    else if (status >= 0)
        status = iol_two_lenses_matrix_first_for(&a->pair, cornea, a->second, at_cornea_d, &wanted);
    return status < 0 ? NAN : iol_axis_reduce(iol_matrix_steep_axis(wanted) + 90.0);
}

/* A labelled power of a class, with that cylinder of the class which leaves least. */
static void put_in(const job *j, after *a, bool second, const iol_shelf_lens *shelf, double power_d, double axis_deg,
                   iol_two_way *out) {
    iol_matrix *place = second ? &a->second : &a->first, best = iol_matrix_scalar(power_d);
    double least = INFINITY;
    out->power_d = power_d;
    for (int i = 0; i < shelf->cylinder_steps_d_count; i++) {
        double half = shelf->cylinder_steps_d[i] / 2.0;
        *place = iol_matrix_from_meridians(power_d - half, power_d + half, axis_deg);
        expect(j, a, out);
        if (!(fabs(out->expected.cylinder_d) < least)) continue;
        least = fabs(out->expected.cylinder_d), best = *place;
        out->cylinder_d = 2.0 * half, out->axis_deg = axis_deg;
    }
    *place = best;
    expect(j, a, out);
}

/* The step of a class that comes nearest to the target, ties to the more myopic. */
static void nearest_step(const job *j, after *a, bool second, const iol_shelf_lens *shelf, iol_two_way *out) {
    int last = (int)floor((shelf->power_last_d - shelf->power_first_d) / shelf->power_step_d + 1e-6);
    double least = INFINITY, axis_deg = marks_for(j, a, second);
    after best = *a;
    const iol_two_way before = *out;
    for (int k = 0; k <= last; k++) {
        iol_two_way trial = before;
        after there = *a;
        put_in(j, &there, second, shelf, shelf->power_first_d + k * shelf->power_step_d, axis_deg, &trial);
        double miss = fabs(trial.expected.se_d - j->w->eye.target_se_d);
        if (!(miss <= least + IOL_SAME)) continue;
        least = miss, best = there, *out = trial;
    }
    if (isnan(out->power_d)) return;
    memcpy(out->lens_id, shelf->id, sizeof out->lens_id);
    *a = best;
    fill(j, a, out);
}

static bool may_stand(const job *j, bool second, const iol_shelf_lens *shelf) {
    if (shelf->cylinder_steps_d_count > 0 && !j->shape_known) return false;
    return second ? iol_piggyback_fits(shelf) : iol_position_allows(shelf, j->w->eye.old.position);
}

/* The eye with room for a new second lens, or a first one of a class, and the power that it asks for. */
static after room_by_means(const job *j, bool second, const iol_shelf_lens *shelf, double target, double *exact) {
    const iol_eye *eye = &j->w->eye;
    double v = eye->vertex_mm, second_mm = j->pair.eye.position_mm - j->pair.gap_mm;
    after a = as_it_is(j);
    a.taken = true;
    if (second) {
        a.new_second = true;
        iol_two_lenses_second_for(&a.pair, second_mm, target, v, exact);
        return a;
    }
    iol_lens_in_eye fresh;
    int basis;
    double change_mm;
    a.new_first = true;
    iol_eye_shelf_lens(eye, shelf, eye->old.position, &fresh);
    iol_eye_position_change(eye, j->w->joint->formula, j->w->joint->prior.position_mm, &fresh, &change_mm,
                            &a.sd_change_mm, &basis);
    a.pair.eye.position_mm += change_mm, a.pair.gap_mm += change_mm;
    iol_two_lenses_first_for(&j->pair, a.pair.eye.position_mm, target, v, exact);
    return a;
}

/* The same beside a toric lens, where the matrix eye and the mean powers part: the power whose refraction as told is the target. */
static after room_for(const job *j, bool second, const iol_shelf_lens *shelf, double *exact) {
    double target = j->w->eye.target_se_d, aim = target, off = INFINITY;
    after a = room_by_means(j, second, shelf, aim, exact);
    for (int rounds = 20; rounds > 0 && fabs(off) >= c_update_settled && !isnan(*exact); rounds--) {
        iol_two_way told;
        *(second ? &a.second : &a.first) = iol_matrix_scalar(*exact);
        expect(j, &a, &told);
        off = told.expected.se_d - target;
        aim -= off;
        a = room_by_means(j, second, shelf, aim, exact);
    }
    return a;
}

/* The class of the shelf for one of the two lenses: the first made in the power, a toric one where it is worth it. */
static void exchange_one(const job *j, bool second, iol_two_way *out) {
    const iol_site *site = j->w->site;
    const iol_two_way empty = *out;
    iol_preference preferred = {.left_d = NAN};
    double least = INFINITY, exact;
    for (int i = 0; i < site->lenses_count; i++) {
        if (!may_stand(j, second, &site->lenses[i])) continue;
        room_for(j, second, &site->lenses[i], &exact);
        if (!isnan(exact)) least = fmin(least, iol_choices_beyond(&site->lenses[i], exact));
    }
    for (int i = 0; i < site->lenses_count; i++) {
        const iol_shelf_lens *shelf = &site->lenses[i];
        iol_two_way trial = empty;
        if (!may_stand(j, second, shelf)) continue;
        after a = room_for(j, second, shelf, &trial.power_exact_d);
        if (isnan(trial.power_exact_d) || iol_choices_beyond(shelf, trial.power_exact_d) > least) continue;
        if (!iol_choices_asks(&preferred, shelf)) continue;
        nearest_step(j, &a, second, shelf, &trial);
        if (iol_choices_prefer(j->w, shelf, fabs(trial.expected.cylinder_d), &preferred)) *out = trial;
    }
    if (!preferred.shelf && second) room_for(j, second, NULL, &out->power_exact_d);
}

static iol_two_way *add(iol_work *w, int way, int *row) {
    iol_two_lenses *out = &w->plan->two_lenses;
    *row = out->ways_count++;
    out->ways[*row] = (iol_two_way){
        .present = true, .way = way, .power_exact_d = NAN, .power_d = NAN, .cylinder_d = NAN, .axis_deg = NAN,
        .axis_now_deg = NAN, .turn_deg = NAN, .loss_per_degree_d = NAN, .sd_d = NAN, .within_half_d = NAN, .within_one_d = NAN,
        .expected = {.present = true, .se_d = NAN, .sphere_d = NAN, .cylinder_d = NAN, .axis_deg = NAN}};
    return &out->ways[*row];
}

static void say(iol_work *w, int row, iol_note_code code, double value, double limit) {
    iol_note_add(&w->plan->notes, IOL_AT_two_way_reasons, row, code, value, limit, NULL);
}

/* One lens for both is the replacement lens of the plan, told once. */
static void one_for_both(const job *j, iol_two_way *out) {
    const iol_replacement *r = &j->w->plan->replacement;
    const iol_choice *c = iol_choice_leading(r);
    out->power_exact_d = r->power_exact_d;
    if (!c) return;
    memcpy(out->lens_id, c->lens_id, sizeof out->lens_id);
    out->power_d = c->power_d;
    out->cylinder_d = c->cylinder_d > 0.0 ? c->cylinder_d : NAN;
    out->axis_deg = c->axis_deg;
    out->expected = c->expected;
    out->sd_d = c->sd_d;
    out->within_half_d = c->within_half_d;
    out->within_one_d = c->within_one_d;
}

typedef struct {
    const job *j;
    double power_d, half_d;
} turn;

static after turned(const turn *t, double axis_deg) {
    after a = as_it_is(t->j);
    a.second = iol_matrix_from_meridians(t->power_d - t->half_d, t->power_d + t->half_d, axis_deg);
    return a;
}

static double cylinder_at(const void *context, double axis_deg) {
    const turn *t = context;
    iol_two_way trial;
    after a = turned(t, axis_deg);
    expect(t->j, &a, &trial);
    return fabs(trial.expected.cylinder_d);
}

/* A toric second lens turned to the meridian that leaves least cylinder: no new lens; through the old wound or side ports. */
static void turn_second(const job *whole, iol_two_way *out) {
    const iol_eye *eye = &whole->w->eye;
    job j = *whole;
    j.wound = iol_matrix_scalar(0.0);
    const turn t = {&j, j.pair.second_d, iol_matrix_cylinder(eye->second.power) / 2.0};
    out->cylinder_d = 2.0 * t.half_d;
    out->axis_now_deg = iol_axis_reduce(eye->c->second_lens.axis_deg);
    out->axis_deg = iol_least_cylinder_meridian(cylinder_at, &t, out->axis_now_deg);
    if (isnan(out->axis_deg)) return;
    after a = turned(&t, out->axis_deg);
    fill(&j, &a, out);
    out->turn_deg = iol_axis_turn(out->axis_now_deg, out->axis_deg);
    iol_two_way beside = *out;
    a = turned(&t, out->axis_deg + 1.0);
    expect(&j, &a, &beside);
    out->loss_per_degree_d = iol_cylinder_between(&out->expected, &beside.expected);
}

/* What the wound adds through which the second lens leaves. */
static iol_matrix front_wound(const iol_work *w) {
    iol_wound_effect effect;
    iol_incision_effect(&w->eye, w->plan->two_lenses.second_end_width_mm, &effect);
    return effect.change;
}

static void ways(job *j) {
    iol_work *w = j->w;
    int row;
    after a = as_it_is(j);
    iol_two_way *out = add(w, IOL_two_way_both_stay, &row);
    job untouched = *j;
    untouched.wound = iol_matrix_scalar(0.0);
    fill(&untouched, &a, out);
    if (w->eye.now.usable) say(w, row, IOL_NOTE_two_stay_read, w->eye.now.spectacle_d, out->expected.se_d);
    out = add(w, IOL_two_way_second_out, &row);
    a.second = iol_matrix_scalar(0.0), a.new_second = a.taken = a.empty = true;
    job front = *j;
    front.wider = front_wound(w);
    fill(&front, &a, out);
    out = add(w, IOL_two_way_second_exchanged, &row);
    exchange_one(&front, true, out);
    if (isnan(out->power_d)) say(w, row, IOL_NOTE_two_no_class, NAN, NAN);
    out = add(w, IOL_two_way_first_exchanged, &row);
    bool holds = w->facts.place == w->eye.old.position;
    if (holds) exchange_one(j, false, out);
    iol_note_code first = isnan(out->power_d) ? IOL_NOTE_two_no_class : IOL_NOTE_two_first_behind;
    say(w, row, holds ? first : IOL_NOTE_two_first_place, NAN, NAN);
    out = add(w, IOL_two_way_one_for_both, &row);
    one_for_both(j, out);
    if (isnan(out->power_d)) say(w, row, IOL_NOTE_two_no_class, NAN, NAN);
    if (!w->eye.second.toric) return;
    out = add(w, IOL_two_way_second_turned, &row);
    turn_second(j, out);
    say(w, row, IOL_NOTE_two_turns_again, NAN, NAN);
}

static void withhold(iol_two_lenses *out) {
    out->predicted_se_d = out->first_believed_d = out->second_believed_d = NAN;
    for (int i = 0; i < out->ways_count; i++) {
        iol_two_way *way = &out->ways[i];
        way->cylinder_d = way->axis_deg = way->axis_now_deg = way->turn_deg = way->loss_per_degree_d = NAN;
        way->power_exact_d = way->power_d = way->sd_d = way->within_half_d = way->within_one_d = NAN;
        way->lens_id[0] = '\0';
        way->expected = (iol_spectacle_form){.present = false, .se_d = NAN, .sphere_d = NAN, .cylinder_d = NAN, .axis_deg = NAN};
    }
}

void iol_part_two_lenses(iol_work *w) {
    iol_two_lenses *out = &w->plan->two_lenses;
    const iol_replacement *r = &w->plan->replacement;
    iol_wound_effect planned, wider;
    iol_incision_effect(&w->eye, w->eye.wound.width_mm, &planned);
    iol_incision_effect(&w->eye, fmax(w->eye.wound.width_mm, iol_removal_needs(w)), &wider);
    job j = {.w = w, .wound = planned.change, .wider = wider.change};
    iol_estimate unused;
    if (!w->eye.two) {
        iol_leave_out(w->plan, "two_lenses", IOL_left_why_not_applicable, IOL_NOTE_left_one_lens, NULL, NULL);
        return;
    }
    out->present = true;
    out->gap_mm = w->eye.gap_mm;
    iol_two_lenses_describe(w);
    if (!w->eye.two_known || !w->joint) return;
    iol_estimate_two_lenses(&w->eye, w->joint->formula, &j.joint, &unused);
    if (unused.status < 0) return;
    j.pair = iol_estimate_two_of(&j.joint);
    iol_matrix shape = iol_aim_shape(&w->eye, w->joint, &j.shape_known);
    j.cornea = iol_matrix_add(iol_matrix_scalar(j.pair.eye.cornea_d), shape);
    out->predicted_se_d = w->joint->predicted_d;
    out->first_believed_d = j.pair.first_d;
    out->second_believed_d = j.pair.second_d;
    ways(&j);
    if (r->standing == IOL_standing_withheld) withhold(out);
}
