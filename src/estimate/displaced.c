/* The trace of the displaced lens, its spread, and what it leaves of the reading. */
#include "displaced.h"

#include "tables/constants.h"
#include "tables/note_codes.h"

static double square(double x) { return x * x; }

/* The eye that is traced: the estimate's; else the cornea as measured, an ordinary place, and a length that focuses as read. */
static iol_status eye_traced(const iol_eye *eye, const iol_estimate *joint, double power_d, iol_notes *notes,
                             iol_model *model) {
    if (joint && joint->status >= 0) {
        *model = joint->posterior;
        return IOL_OK;
    }
    const iol_reading *read = eye->moved.usable ? &eye->moved : &eye->now;
    double k_d = iol_or_assume(eye->k_d, c_k_assumed, IOL_NOTE_assume_k, NULL, notes);
    double e_mm = iol_or_assume(NAN, c_moved_position_mm, IOL_NOTE_assume_moved_position, NULL, notes);
    *model = (iol_model){k_d, NAN, e_mm};
    return iol_length_for(*model, power_d, read->usable ? read->spectacle_d : 0.0, eye->vertex_mm, &model->length_mm);
}

/* A tilt or distance below 0 is one above 0 the other way. */
static iol_displacement turned_up(iol_displacement w) {
    if (w.tilt_deg < 0.0) w.tilt_deg = -w.tilt_deg, w.back_position_deg += 180.0;
    if (w.decentration_mm < 0.0) w.decentration_mm = -w.decentration_mm, w.decentration_position_deg += 180.0;
    return w;
}

static iol_status trace(const iol_displaced_effect *e, int design, iol_displacement w, iol_displaced_eye *found) {
    return iol_displaced_lens(e->eye, c_pupil_gap_mm, e->lens.optic[design], turned_up(w), found);
}

/* The ways in which it may lie: each design, each back edge. Where a direction is not known, the two ends that lie furthest
 * apart: moved toward the back edge, and away from it. */
static void list_ways(iol_displaced_effect *e) {
    iol_moved_lens *l = &e->lens;
    bool tilted = l->tilt_deg > 0.0, off = l->off_mm > 0.0;
    e->axis_known = (!tilted || l->backs > 0) && (!off || l->place_known);
    e->directions = (!tilted || l->backs == 1 || (!off && l->backs == 2)) && (!off || l->place_known);
    bool both = tilted && off && !(l->backs == 1 && l->place_known);
    double place = l->place_known ? l->place_deg : 90.0;
    for (int i = 0; i < l->designs; i++) {
        for (int k = 0; k < (both ? 2 : 1); k++) {
            double back = l->backs > 0 ? l->back_deg[l->backs == 2 ? k : 0] : place + 180.0 * k;
            double moved = l->place_known ? place : l->backs > 0 ? back + 180.0 * k : place;
            if (l->backs == 2 && !l->place_known) back = l->back_deg[0], moved = back + 180.0 * k;
            e->candidate[e->count++] = (iol_displaced_candidate){
                .asphericity = l->asphericity[i],
                .where = {l->tilt_deg, iol_position_reduce(back), l->off_mm, iol_position_reduce(moved)}};
        }
    }
}

static iol_status trace_all(iol_displaced_effect *e) {
    int each = e->count / e->lens.designs;
    for (int i = 0; i < e->count; i++) {
        iol_displaced_candidate *c = &e->candidate[i];
        iol_status status = trace(e, i / each, c->where, &c->found);
        if (status < 0) return status;
    }
    return IOL_OK;
}

/* Mean of the candidates; without axes that agree, of their spherical equivalents and sizes of cylinder. */
static void average(iol_displaced_effect *e) {
    iol_matrix sum = iol_matrix_scalar(0.0);
    double cylinder = 0.0, x = 0.0, y = 0.0, prism = 0.0;
    for (int i = 0; i < e->count; i++) {
        const iol_displaced_eye *f = &e->candidate[i].found;
        sum = iol_matrix_add(sum, f->explained);
        cylinder += iol_matrix_cylinder(f->explained);
        x += f->prism_x_pd, y += f->prism_y_pd;
        prism += hypot(f->prism_x_pd, f->prism_y_pd);
    }
    double share = 1.0 / e->count;
    e->explained = iol_matrix_scale(sum, share);
    e->prism_x_pd = e->axis_known ? x * share : NAN;
    e->prism_y_pd = e->axis_known ? y * share : NAN;
    e->prism_pd = e->axis_known ? hypot(x, y) * share : prism * share;
    if (e->axis_known) return;
    double half = 0.5 * cylinder * share, mean = iol_matrix_mean(e->explained);
    e->explained = (iol_matrix){mean + half, 0.0, mean - half};
}

/* Half of what one quantity does, a standard deviation to each side of where the lens lies. */
static iol_status half_of(const iol_displaced_effect *e, int design, iol_displacement at, int quantity,
                          iol_matrix *half) {
    const double step[4] = {e->lens.sd_tilt_deg, e->lens.sd_off_mm, sd_displaced_place_deg, sd_displaced_place_deg};
    iol_matrix side[2];
    for (int k = 0; k < 2; k++) {
        iol_displacement w = at;
        iol_displaced_eye found;
        double by = k == 0 ? step[quantity] : -step[quantity];
        if (quantity == 0) w.tilt_deg += by;
        if (quantity == 1) w.decentration_mm += by;
        if (quantity == 2) w.back_position_deg += by;
        if (quantity == 3) w.decentration_position_deg += by;
        iol_status status = trace(e, design, w, &found);
        if (status < 0) return status;
        side[k] = found.explained;
    }
    *half = iol_matrix_scale(iol_matrix_subtract(side[0], side[1]), 0.5);
    return IOL_OK;
}

/* The candidates' own spread. */
static void between_ways(iol_displaced_effect *e, double *se, double *cylinder) {
    double low = INFINITY, high = -INFINITY, widest = 0.0;
    for (int i = 0; i < e->count; i++) {
        iol_matrix one = e->candidate[i].found.explained;
        low = fmin(low, iol_matrix_mean(one)), high = fmax(high, iol_matrix_mean(one));
        for (int k = 0; k < i; k++)
            widest = fmax(widest, iol_matrix_cylinder(iol_matrix_subtract(one, e->candidate[k].found.explained)));
    }
    *se = (high - low) / 2.0, *cylinder = widest / 2.0;
}

/* The middle design by what was measured, mean of its candidates; the spread between all candidates beside. */
static iol_status spread(iol_displaced_effect *e) {
    int each = e->count / e->lens.designs, design = e->lens.designs / 2;
    double se = 0.0, cylinder = 0.0, se_between, cylinder_between;
    for (int i = 0; i < each; i++) {
        for (int quantity = 0; quantity < 4; quantity++) {
            iol_matrix half;
            iol_status status = half_of(e, design, e->candidate[design * each + i].where, quantity, &half);
            if (status < 0) return status;
            se += square(iol_matrix_mean(half));
            cylinder += square(iol_matrix_cylinder(half));
        }
    }
    between_ways(e, &se_between, &cylinder_between);
    e->sd_se_d = sqrt(se / each + square(se_between));
    e->sd_cylinder_d = sqrt(cylinder / each + square(cylinder_between));
    return IOL_OK;
}

bool iol_displaced_is_measured(const iol_displaced_effect *e) {
    return e->directions && e->lens.tilt_known && e->lens.off_known;
}

/* Inside the limits the number is as good as a cornea of one face allows; outside there is none. */
static int trust_of(const iol_displaced_effect *e) {
    const iol_moved_lens *l = &e->lens;
    double cylinder = 0.0;
    for (int i = 0; i < e->count; i++) cylinder = fmax(cylinder, iol_matrix_cylinder(e->candidate[i].found.explained));
    bool inside = iol_at_most(l->tilt_deg, c_moved_tilt_most_deg) == IOL_YES &&
                  iol_at_most(l->off_mm, c_moved_off_most_mm) == IOL_YES &&
                  iol_at_most(cylinder, c_moved_cylinder_most_d) == IOL_YES;
    bool good = iol_at_most(l->tilt_deg, c_moved_tilt_good_deg) == IOL_YES &&
                iol_at_most(l->off_mm, c_moved_off_good_mm) == IOL_YES && iol_displaced_is_measured(e);
    return !inside ? IOL_trust_none : good ? IOL_trust_good : IOL_trust_order_of_size;
}

/* In the chamber, the vitreous or on the retina it is no displaced optic behind a pupil any more. */
static bool behind_the_pupil(const iol_case *c) {
    return c->dislocation.lies <= 0 || c->dislocation.lies == IOL_lies_pupil;
}

void iol_displaced_effect_of(const iol_eye *eye, const iol_estimate *joint, iol_notes *notes,
                             iol_displaced_effect *out) {
    const iol_lens *lens = &eye->c->first_surgery.lens;
    *out = (iol_displaced_effect){.status = IOL_BAD_INPUT,
                                  .explained = iol_matrix_scalar(NAN),
                                  .prism_x_pd = NAN,
                                  .prism_y_pd = NAN,
                                  .prism_pd = NAN,
                                  .sd_se_d = NAN,
                                  .sd_cylinder_d = NAN,
                                  .trust = IOL_trust_none};
    out->stated = !isnan(lens->tilt_deg) || !isnan(lens->decentration_mm);
    if (!out->stated || isnan(eye->old.power_d) || !behind_the_pupil(eye->c)) return;
    iol_status status = eye_traced(eye, joint, eye->old.power_d, notes, &out->eye);
    if (status >= 0) status = iol_eye_moved_lens(eye, out->eye, notes, &out->lens);
    if (status >= 0) {
        list_ways(out);
        status = trace_all(out);
    }
    if (status >= 0) {
        average(out);
        out->trust = trust_of(out);
        status = spread(out);
    }
    out->status = status;
    if (status < 0) out->trust = IOL_trust_none;
}

bool iol_displaced_calibrates(const iol_displaced_effect *effect) {
    return effect->status >= 0 && effect->trust == IOL_trust_good && effect->directions;
}

void iol_displaced_take_off(const iol_displaced_effect *effect, iol_eye *eye) {
    eye->now = eye->moved;
    eye->now.at_cornea = iol_matrix_subtract(eye->moved.at_cornea, effect->explained);
    eye->now.sd_d = hypot(eye->moved.sd_d, effect->sd_se_d);
    eye->now.drift_d = NAN;
    eye->now.usable = iol_vertex_to_spectacle(iol_matrix_mean(eye->now.at_cornea), eye->now.vertex_mm,
                                              &eye->now.spectacle_d) == IOL_OK;
    eye->recentred = eye->now.usable;
    if (!eye->now.usable) eye->now.spectacle_d = NAN;
}
