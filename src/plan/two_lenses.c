/* An eye with two lenses: what can be done with them, side by side (docs/method.md, other eyes). */
#include <string.h>

#include "removal.h"
#include "replacement.h"
#include "secondary.h"
#include "tables/constants.h"
#include "tables/note_codes.h"

typedef struct {
    iol_work *w;
    iol_observed joint;
    iol_lens_pair pair; /* as the refraction leaves it */
    iol_matrix cornea;  /* that reproduces today's cylinder */
    bool shape_known;
    double change_mm, sd_change_mm; /* from the first lens to a new one in its place */
} job;

/* What stands in the eye after a way. */
typedef struct {
    iol_lens_pair pair;
    iol_matrix first, second;
    bool new_first, new_second;
} after;

static after as_it_is(const job *j) {
    const iol_eye *eye = &j->w->eye;
    return (after){.pair = j->pair,
                   .first = iol_matrix_add(iol_matrix_scalar(j->pair.first_d), iol_matrix_deviator(eye->old.power)),
                   .second =
                       iol_matrix_add(iol_matrix_scalar(j->pair.second_d), iol_matrix_deviator(eye->second.power))};
}

static void expect(const job *j, const after *a, iol_two_way *out) {
    iol_matrix at_cornea, spectacle;
    double vertex_mm = j->w->eye.vertex_mm;
    iol_matrix cornea = iol_matrix_add(j->cornea, j->w->induced);
    out->expected =
        (iol_spectacle_form){.present = true, .se_d = NAN, .sphere_d = NAN, .cylinder_d = NAN, .axis_deg = NAN};
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
        place = hypot(place, j->sd_change_mm * (g[IOL_TWO_POSITION] + g[IOL_TWO_GAP]));
        g[IOL_TWO_FIRST] = 0.0;
    }
    if (a->new_second) {
        bool none = pair.second_d == 0.0;
        if (!none) label = hypot(label, iol_eye_label_sd(eye, pair.second_d) * g[IOL_TWO_SECOND]);
        if (!none) place = hypot(place, iol_eye_factor(eye) * sd_piggyback_mm * g[IOL_TWO_GAP]);
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

/* The step of a class that comes nearest to the target, ties to the more myopic. */
static void nearest_step(const job *j, after *a, bool second, const iol_shelf_lens *shelf, iol_two_way *out) {
    iol_matrix *power = second ? &a->second : &a->first;
    int last = (int)floor((shelf->power_last_d - shelf->power_first_d) / shelf->power_step_d + 1e-6), best = -1;
    double least = INFINITY;
    for (int k = 0; k <= last; k++) {
        iol_two_way trial;
        *power = iol_matrix_scalar(shelf->power_first_d + k * shelf->power_step_d);
        expect(j, a, &trial);
        double miss = fabs(trial.expected.se_d - j->w->eye.target_se_d);
        if (!(miss <= least + IOL_SAME)) continue;
        least = miss, best = k;
    }
    if (best < 0) return;
    out->power_d = shelf->power_first_d + best * shelf->power_step_d;
    memcpy(out->lens_id, shelf->id, sizeof out->lens_id);
    *power = iol_matrix_scalar(out->power_d);
    fill(j, a, out);
}

static const iol_shelf_lens *second_class(const iol_work *w) {
    for (int i = 0; i < w->site->lenses_count; i++)
        if (iol_piggyback_fits(&w->site->lenses[i]) && w->site->lenses[i].cylinder_steps_d_count == 0)
            return &w->site->lenses[i];
    return NULL;
}

static const iol_shelf_lens *first_class(const iol_work *w) {
    int place = w->eye.old.position;
    for (int i = 0; i < w->site->lenses_count; i++)
        if (iol_position_allows(&w->site->lenses[i], place) && w->site->lenses[i].cylinder_steps_d_count == 0)
            return &w->site->lenses[i];
    return NULL;
}

static iol_two_way *add(iol_work *w, int way, int *row) {
    iol_two_lenses *out = &w->plan->two_lenses;
    *row = out->ways_count++;
    out->ways[*row] =
        (iol_two_way){.present = true,
                      .way = way,
                      .power_exact_d = NAN,
                      .power_d = NAN,
                      .expected = {.present = true, .se_d = NAN, .sphere_d = NAN, .cylinder_d = NAN, .axis_deg = NAN},
                      .sd_d = NAN,
                      .within_half_d = NAN,
                      .within_one_d = NAN};
    return &out->ways[*row];
}

static void say(iol_work *w, int row, iol_note_code code, double value, double limit) {
    iol_note_add(&w->plan->notes, IOL_AT_two_way_reasons, row, code, value, limit, NULL);
}

/* The lens that is already in its place is worked out as its change from the first; one lens for both the same. */
static void first_place(job *j, const iol_shelf_lens *shelf) {
    iol_work *w = j->w;
    iol_lens_in_eye fresh;
    int basis;
    j->change_mm = 0.0;
    j->sd_change_mm = NAN;
    if (!shelf) return;
    iol_eye_shelf_lens(&w->eye, shelf, w->eye.old.position, &fresh);
    iol_eye_position_change(&w->eye, w->joint->formula, w->joint->prior.position_mm, &fresh, &j->change_mm,
                            &j->sd_change_mm, &basis);
}

static void ways(job *j) {
    iol_work *w = j->w;
    const iol_eye *eye = &w->eye;
    double target = eye->target_se_d, v = eye->vertex_mm, second_mm = j->pair.eye.position_mm - j->pair.gap_mm;
    const iol_shelf_lens *front = second_class(w), *back = first_class(w);
    int row;
    first_place(j, back);
    double first_mm = j->pair.eye.position_mm + j->change_mm;
    after a = as_it_is(j);
    iol_two_way *out = add(w, IOL_two_way_both_stay, &row);
    fill(j, &a, out);
    out = add(w, IOL_two_way_second_out, &row);
    a = as_it_is(j), a.second = iol_matrix_scalar(0.0), a.new_second = true;
    fill(j, &a, out);
    out = add(w, IOL_two_way_second_exchanged, &row);
    a = as_it_is(j), a.new_second = true;
    iol_two_lenses_second_for(&a.pair, second_mm, target, v, &out->power_exact_d);
    if (front)
        nearest_step(j, &a, true, front, out);
    else
        say(w, row, IOL_NOTE_two_no_class, NAN, NAN);
    out = add(w, IOL_two_way_first_exchanged, &row);
    a = as_it_is(j), a.new_first = true;
    a.pair.eye.position_mm = first_mm, a.pair.gap_mm = first_mm - second_mm;
    iol_two_lenses_first_for(&j->pair, first_mm, target, v, &out->power_exact_d);
    if (back) nearest_step(j, &a, false, back, out);
    say(w, row, back ? IOL_NOTE_two_first_behind : IOL_NOTE_two_no_class, NAN, NAN);
    out = add(w, IOL_two_way_one_for_both, &row);
    a.new_second = true, a.second = iol_matrix_scalar(0.0);
    iol_power_for(a.pair.eye, target, v, &out->power_exact_d);
    if (back) nearest_step(j, &a, false, back, out);
    if (!back) say(w, row, IOL_NOTE_two_no_class, NAN, NAN);
}

static void because(iol_work *w, iol_note_code code, double value, double limit) {
    iol_note_add(&w->plan->notes, IOL_AT_two_lenses_reasons, 0, code, value, limit, NULL);
}

/* Membranes between the lenses, what rubs, and what the refraction cannot tell. */
static void explain(iol_work *w) {
    const iol_lens *second = &w->c->second_lens;
    because(w, IOL_NOTE_two_labels, NAN, NAN);
    bool both_in_bag = second->position == IOL_position_bag && w->eye.old.position == IOL_position_bag;
    because(w, both_in_bag ? IOL_NOTE_two_membrane_bag : IOL_NOTE_two_membrane, NAN, NAN);
    iol_flag rubs = w->facts.second_rubs;
    if (rubs != IOL_NO) because(w, rubs == IOL_YES ? IOL_NOTE_two_rubs : IOL_NOTE_two_rubs_not_known, NAN, NAN);
    because(w, IOL_NOTE_two_second_first, NAN, NAN);
    bool strong = iol_above(fabs(w->eye.second.power_d), c_two_gap_ask_d) == IOL_YES;
    if (strong && isnan(w->c->second_lens_gap_mm)) because(w, IOL_NOTE_two_gap, w->eye.second.power_d, NAN);
    because(w, IOL_NOTE_two_pressed, NAN, NAN);
}

/* The second lens as a body: its way out is that of a lens of its own, in front of the first. */
static void take_out_second(iol_work *w, iol_two_lenses *out) {
    iol_case c = *w->c;
    iol_eye eye = w->eye;
    iol_removal_row row;
    c.first_surgery.lens = c.second_lens;
    eye.c = &c;
    eye.label_d = w->eye.second.power_d;
    iol_removal_second(w, &eye, &row);
    out->second_removal = row.id;
    out->second_widest_mm = row.widest_piece_mm;
    out->second_wound_low_mm = row.wound_low_mm;
    out->second_wound_high_mm = row.wound_high_mm;
    out->second_fits = row.fits;
}

static void withhold(iol_two_lenses *out) {
    out->predicted_se_d = out->first_believed_d = out->second_believed_d = NAN;
    for (int i = 0; i < out->ways_count; i++) {
        iol_two_way *way = &out->ways[i];
        way->power_exact_d = way->power_d = way->sd_d = way->within_half_d = way->within_one_d = NAN;
        way->lens_id[0] = '\0';
        way->expected = (iol_spectacle_form){
            .present = false, .se_d = NAN, .sphere_d = NAN, .cylinder_d = NAN, .axis_deg = NAN};
    }
}

void iol_part_two_lenses(iol_work *w) {
    iol_two_lenses *out = &w->plan->two_lenses;
    const iol_replacement *r = &w->plan->replacement;
    job j = {.w = w};
    iol_estimate unused;
    if (!w->eye.two) {
        iol_leave_out(w->plan, "two_lenses", IOL_left_why_not_applicable, IOL_NOTE_left_one_lens, NULL, NULL);
        return;
    }
    out->present = true;
    out->gap_mm = w->eye.gap_mm;
    explain(w);
    take_out_second(w, out);
    if (!w->eye.two_known || !w->joint) return;
    iol_estimate_two_lenses(&w->eye, w->joint->formula, &j.joint, &unused);
    if (unused.status < 0) return;
    j.pair = iol_estimate_two_of(&j.joint);
    iol_matrix shape = iol_estimate_astigmatism(&w->eye, w->joint, &j.shape_known);
    j.cornea = iol_matrix_add(iol_matrix_scalar(j.pair.eye.cornea_d), shape);
    out->predicted_se_d = w->joint->predicted_d;
    out->first_believed_d = j.pair.first_d;
    out->second_believed_d = j.pair.second_d;
    ways(&j);
    if (r->standing == IOL_standing_withheld) withhold(out);
}
