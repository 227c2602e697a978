/* What the tilted or decentred lens does: to the refraction, to the cylinder that nothing else explains, and what stays when it
 * is put back. */
#include "displaced.h"

#include "secondary.h"
#include "surprise.h"
#include "tables/constants.h"
#include "tables/note_codes.h"

static bool far_from_pupil(const iol_case *c) {
    return c->dislocation.lies > 0 && c->dislocation.lies != IOL_lies_pupil;
}

static bool in_question(const iol_work *w) {
    return !w->eye.aphakic && iol_eye_lens_moved(w->c) == IOL_YES && !far_from_pupil(w->c);
}

static bool left_out(iol_work *w) {
    const iol_lens *lens = &w->c->first_surgery.lens;
    if (iol_eye_lens_moved(w->c) != IOL_YES)
        iol_leave_out(w->plan, "displaced", IOL_left_why_not_applicable, IOL_NOTE_left_not_displaced, NULL, NULL);
    else if (far_from_pupil(w->c))
        iol_leave_out(w->plan, "displaced", IOL_left_why_not_applicable, IOL_NOTE_left_far_displaced, NULL, NULL);
    else if (isnan(lens->power_d))
        iol_leave_out(w->plan, "displaced", IOL_left_why_missing_input, IOL_NOTE_left_missing, NULL,
                      "/first_surgery/lens/power_d");
    else if (!w->moved.stated)
        iol_leave_out(w->plan, "displaced", IOL_left_why_missing_input, IOL_NOTE_left_missing, NULL,
                      "/first_surgery/lens/tilt_deg");
    else
        return false;
    return true;
}

static void give_ways(const iol_displaced_effect *e, iol_displaced *out) {
    for (int i = 0; i < e->count; i++) {
        const iol_displaced_candidate *c = &e->candidate[i];
        iol_spherocylinder form = iol_matrix_to_spherocylinder(c->found.explained);
        bool tilted = c->where.tilt_deg > 0.0, off = c->where.decentration_mm > 0.0;
        bool back = tilted && e->lens.backs > 0, moved = off && e->lens.place_known;
        out->ways[out->ways_count++] =
            (iol_displaced_way){.present = true,
                                .asphericity = c->asphericity,
                                .tilted_back_position_deg = back ? c->where.back_position_deg : NAN,
                                .decentration_position_deg = moved ? c->where.decentration_position_deg : NAN,
                                .explained_sphere_d = form.sphere_d,
                                .explained_cylinder_d = form.cylinder_d,
                                .explained_axis_deg = e->axis_known ? form.axis_deg : NAN,
                                .prism_pd = hypot(c->found.prism_x_pd, c->found.prism_y_pd)};
    }
}

static void give_effect(const iol_displaced_effect *e, iol_displaced *out) {
    iol_spherocylinder form = iol_matrix_to_spherocylinder(e->explained);
    out->explained_sphere_d = form.sphere_d;
    out->explained_cylinder_d = form.cylinder_d;
    out->explained_axis_deg = e->axis_known ? form.axis_deg : NAN;
    out->explained_se_sd_d = e->sd_se_d;
    out->explained_cylinder_sd_d = e->sd_cylinder_d;
    out->prism_pd = e->prism_pd;
    out->prism_base_deg = NAN;
    if (e->axis_known && e->prism_pd > 0.0)
        out->prism_base_deg = iol_position_reduce(atan2(e->prism_y_pd, e->prism_x_pd) * c_degrees_per_radian);
    give_ways(e, out);
}

static double radius_of(double per_mm) { return per_mm == 0.0 ? NAN : 1.0 / per_mm; }

/* Along the meridian of the tilt; without tilt along that of the decentration. */
static void give_drawing(const iol_displaced_effect *e, iol_displaced_drawing *out) {
    const iol_displacement *w = &e->candidate[0].where;
    const iol_moved_lens *l = &e->lens;
    iol_optic_faces f;
    double sine, cosine, right = w->tilt_deg > 0.0 ? w->back_position_deg : w->decentration_position_deg;
    if (iol_optic_faces_of(l->optic[0], &f) < 0) return;
    iol_sincos_deg(w->decentration_position_deg - right, &sine, &cosine);
    bool known = w->tilt_deg > 0.0 ? l->backs > 0 : l->place_known;
    *out = (iol_displaced_drawing){.present = true,
                                   .right_position_deg = known ? right : NAN,
                                   .along_mm = w->decentration_mm * cosine,
                                   .across_mm = fabs(w->decentration_mm * sine),
                                   .cornea_radius_mm = 1000.0 * (c_index_aqueous - 1.0) / e->eye.cornea_d,
                                   .pupil_depth_mm = e->eye.position_mm - c_pupil_gap_mm,
                                   .front_depth_mm = e->eye.position_mm - f.first_mm,
                                   .centre_thickness_mm = l->optic[0].centre_thickness_mm,
                                   .optic_diameter_mm = l->diameter_mm,
                                   .front_radius_mm = radius_of(f.front_per_mm),
                                   .back_radius_mm = radius_of(f.back_per_mm)};
}

/* Refraction of the displaced lens as read; false without one. */
static bool as_read(const iol_work *w, iol_matrix *at_cornea) {
    *at_cornea = w->eye.moved.at_cornea;
    return w->eye.moved.usable;
}

/* Astigmatism of the cornea that the reading of the displaced lens would need, its displacement left out of account, less what
 * keratometry and the back of the cornea give. */
static bool unexplained(const iol_work *w, iol_matrix *rest) {
    iol_matrix shape, expected, read;
    bool known;
    if (!as_read(w, &read) || !w->joint || !w->eye.astigmatism_known) return false;
    iol_eye eye = w->eye;
    iol_estimate from = *w->joint;
    eye.now = eye.moved;
    if (isnan(from.posterior_p0_d)) from.posterior_p0_d = w->eye.old.power_d;
    shape = iol_estimate_astigmatism(&eye, &from, &known);
    iol_surprise_back_surface(w, &expected);
    *rest = iol_matrix_subtract(shape, expected);
    return known;
}

/* The cylinder of a refraction that the cornea does not explain has the opposite sign of the cornea's own. */
static bool other_axis(const iol_displaced_effect *e, iol_matrix rest, double *apart_deg) {
    double in_refraction = iol_matrix_to_spherocylinder(iol_matrix_scale(rest, -1.0)).axis_deg;
    double made = iol_matrix_to_spherocylinder(e->explained).axis_deg;
    *apart_deg = fabs(iol_axis_turn(made, in_refraction));
    return iol_above(iol_matrix_cylinder(rest), c_moved_axis_from_d) == IOL_YES &&
           iol_above(*apart_deg, c_moved_axis_deg) == IOL_YES;
}

static void does_it_explain(iol_work *w, iol_displaced *out) {
    const iol_displaced_effect *e = &w->moved;
    iol_matrix rest;
    double apart_deg;
    out->explains = IOL_explains_cannot_tell;
    if (!unexplained(w, &rest)) {
        iol_because(w, IOL_AT_displaced_reasons, IOL_NOTE_moved_nothing_read, NAN, NAN);
        return;
    }
    out->remainder_without_d = iol_matrix_cylinder(rest);
    if (!e->axis_known) return;
    double with = iol_matrix_cylinder(iol_matrix_add(rest, iol_matrix_deviator(e->explained)));
    out->remainder_cylinder_d = with;
    if (iol_at_most(out->remainder_without_d, c_moved_explained_d) == IOL_YES) {
        out->explains = IOL_explains_no;
        iol_because(w, IOL_AT_displaced_reasons, IOL_NOTE_moved_nothing_left, out->remainder_without_d, NAN);
        return;
    }
    iol_because(w, IOL_AT_displaced_reasons, IOL_NOTE_moved_explains, out->remainder_without_d, with);
    if (iol_above(e->sd_cylinder_d, c_moved_unsure_d) == IOL_YES) {
        iol_because(w, IOL_AT_displaced_reasons, IOL_NOTE_moved_wide, e->sd_cylinder_d, c_moved_unsure_d);
        return;
    }
    if (other_axis(e, rest, &apart_deg)) {
        out->explains = IOL_explains_no;
        iol_because(w, IOL_AT_displaced_reasons, IOL_NOTE_moved_other_axis, apart_deg, NAN);
        return;
    }
    bool small = iol_at_most(with, c_moved_explained_d) == IOL_YES ||
                 iol_below(with, c_moved_explained_share * out->remainder_without_d) == IOL_YES;
    bool less = iol_below(with, out->remainder_without_d) == IOL_YES;
    out->explains = small ? IOL_explains_yes : less ? IOL_explains_in_part : IOL_explains_no;
}

/* The refraction with the lens back: the reading less the effect; what was read with the lens in its place comes first. */
static void recentre(const iol_work *w, iol_spectacle_form *recentred) {
    const iol_displaced_effect *e = &w->moved;
    iol_matrix read, glasses;
    bool placed = w->eye.now.usable && !w->eye.recentred;
    *recentred = (iol_spectacle_form){.present = true, NAN, NAN, NAN, NAN};
    if (!placed && (!as_read(w, &read) || e->trust == IOL_trust_none || e->status < 0)) return;
    iol_matrix back = placed ? w->eye.now.at_cornea : iol_matrix_subtract(read, e->explained);
    iol_vertex_to_spectacle(iol_matrix_mean(back), w->eye.vertex_mm, &recentred->se_d);
    if (!placed && !e->axis_known) return;
    if (iol_matrix_step(back, -w->eye.vertex_mm / 1000.0, &glasses) < 0) return;
    iol_spherocylinder form = iol_matrix_to_spherocylinder(glasses);
    recentred->sphere_d = form.sphere_d;
    recentred->cylinder_d = form.cylinder_d;
    recentred->axis_deg = form.axis_deg;
}

/* What it leaves is known: read in its place, or measured well enough. */
static bool is_told(const iol_work *w) {
    const iol_displaced_effect *e = &w->moved;
    bool placed = w->eye.now.usable && !w->eye.recentred;
    double sd = fmax(e->sd_se_d, e->sd_cylinder_d);
    return placed || (iol_displaced_is_measured(e) && iol_at_most(sd, c_moved_unsure_d) == IOL_YES);
}

/* Known only where the spread leaves it known. */
static iol_flag is_it_enough(const iol_work *w, const iol_spectacle_form *r) {
    double off = fabs(r->se_d - w->eye.target_se_d), cylinder = fabs(r->cylinder_d);
    if (!is_told(w) || !w->facts.cylinder_stated) return IOL_UNKNOWN; /* half of it is missing from the equivalent */
    iol_flag accepted = iol_at_most(cylinder, c_recentred_cylinder_d);
    if (accepted == IOL_NO) /* more may be accepted: not known where the case does not say */
        accepted = isnan(w->c->target_cylinder_d) ? IOL_UNKNOWN : iol_at_most(cylinder, w->c->target_cylinder_d);
    if (w->eye.target_from != IOL_TARGET_STATED) return IOL_UNKNOWN; /* enough for what? */
    return iol_and(iol_at_most(off, c_recentred_se_d), accepted);
}

static void say_enough(iol_work *w, const iol_displaced *out) {
    const iol_spectacle_form *r = &out->recentred;
    if (out->recentring_enough == IOL_UNKNOWN) return;
    iol_because(w, IOL_AT_displaced_reasons,
                out->recentring_enough == IOL_YES ? IOL_NOTE_moved_enough : IOL_NOTE_moved_not_enough, r->se_d,
                fabs(r->cylinder_d));
}

/* The optic's edge in the pupil, by the widest pupil that is free of it. */
static void edge_in_pupil(iol_work *w) {
    const double pupil[] = {3.0, 4.0, 5.0}, from[] = {c_edge_in_pupil_3_mm, c_edge_in_pupil_4_mm, c_edge_in_pupil_5_mm};
    double diameter = w->c->first_surgery.lens.optic_diameter_mm;
    double wider = isnan(diameter) ? 0.0 : (diameter - c_old_diameter_mm) / 2.0;
    for (int i = 0; i < 3; i++) {
        if (iol_above(w->c->first_surgery.lens.decentration_mm, from[i] + wider) != IOL_YES) continue;
        iol_because(w, IOL_AT_displaced_reasons, IOL_NOTE_moved_edge_in_pupil, pupil[i], NAN);
        return;
    }
}

static void say_whether_it_counts(iol_work *w) {
    const iol_displaced_effect *e = &w->moved;
    if (w->eye.recentred)
        iol_because(w, IOL_AT_displaced_reasons, IOL_NOTE_moved_counts, e->sd_se_d, NAN);
    else if (w->eye.moved.usable && !w->eye.now.usable)
        iol_because(w, IOL_AT_displaced_reasons,
                    iol_displaced_calibrates(e)    ? IOL_NOTE_moved_no_place /* no formula has the lens where it belongs */
                    : iol_displaced_is_measured(e) ? IOL_NOTE_moved_too_far
                                                   : IOL_NOTE_moved_not_counted,
                    c_moved_tilt_good_deg, c_moved_off_good_mm);
    if (!e->axis_known) iol_because(w, IOL_AT_displaced_reasons, IOL_NOTE_moved_direction, NAN, NAN);
}

void iol_part_displaced(iol_work *w) {
    iol_displaced *out = &w->plan->displaced;
    const iol_displaced_effect *e = &w->moved;
    if (iol_secondary_leaves_out(w, "displaced") || left_out(w)) return;
    out->present = true;
    out->tilt_deg = w->c->first_surgery.lens.tilt_deg;
    out->decentration_mm = w->c->first_surgery.lens.decentration_mm;
    out->trust = e->trust;
    out->explains = IOL_explains_cannot_tell;
    bool number = e->status >= 0 && e->trust != IOL_trust_none;
    if (number) {
        give_effect(e, out);
        give_drawing(e, &out->drawing);
        does_it_explain(w, out);
    } else if (e->status < 0)
        iol_because(w, IOL_AT_displaced_reasons, IOL_NOTE_moved_no_ray, NAN, NAN);
    else
        iol_because(w, IOL_AT_displaced_reasons, IOL_NOTE_moved_none, c_moved_tilt_most_deg, c_moved_off_most_mm);
    recentre(w, &out->recentred);
    out->recentring_enough = is_it_enough(w, &out->recentred);
    say_enough(w, out);
    if (number) say_whether_it_counts(w);
    edge_in_pupil(w);
    iol_because(w, IOL_AT_displaced_reasons, IOL_NOTE_moved_acuity, NAN, NAN);
}

iol_flag iol_recentring_enough(const iol_work *w, iol_spectacle_form *recentred) {
    *recentred = (iol_spectacle_form){.present = true, NAN, NAN, NAN, NAN};
    if (!in_question(w)) return IOL_NO;
    recentre(w, recentred);
    return is_it_enough(w, recentred);
}

bool iol_recentring_wish_open(const iol_work *w, const iol_spectacle_form *recentred) {
    bool unknown = in_question(w) && is_it_enough(w, recentred) == IOL_UNKNOWN;
    return unknown && is_told(w) && !isnan(recentred->se_d) && !isnan(recentred->cylinder_d);
}

iol_flag iol_recentring_short(const iol_work *w) {
    iol_spectacle_form unread;
    return in_question(w) ? iol_not(iol_recentring_enough(w, &unread)) : IOL_NO;
}
