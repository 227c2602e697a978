/* Corneal laser: dioptres at the cornea, tissue, bed, keratometry after (method, section 6). */
#include "laser.h"

#include "suit.h"
#include "tables/constants.h"
#include "tables/note_codes.h"

static double micrometres(double mm) { return 1000.0 * mm; }

/* Radius after the change of power. */
static double radius_after_mm(double radius_mm, double change_d) {
    double power = 1000.0 * (c_munnerlyn_index - 1.0) / radius_mm + change_d;
    return power > 0.0 ? 1000.0 * (c_munnerlyn_index - 1.0) / power : NAN;
}

double iol_laser_depth_um(double radius_mm, double change_d, double zone_mm) {
    double before, after;
    if (iol_below(change_d, 0.0) != IOL_YES) return NAN;
    if (iol_sagitta(radius_mm, zone_mm / 2.0, &before) < 0) return NAN;
    if (iol_sagitta(radius_after_mm(radius_mm, change_d), zone_mm / 2.0, &after) < 0) return NAN;
    return micrometres(before - after);
}

/* Change wanted at the cornea, as a matrix: the refraction there less the target's. */
static bool change_wanted(const iol_eye *eye, iol_matrix *change) {
    double target;
    if (iol_vertex_to_cornea(eye->target_se_d, eye->vertex_mm, &target) < 0) return false;
    *change = iol_matrix_subtract(eye->now.at_cornea, iol_matrix_scalar(target));
    return true;
}

static void tissue(const iol_eye *eye, const iol_planned_laser *laser, double most_myopic_d, iol_corneal_laser *out) {
    double whole = eye->c->cornea.thickness_um, taken = laser->flap_um;
    out->depth_um = iol_laser_depth_um(eye->radius_mm, most_myopic_d, laser->zone_mm);
    if (iol_below(most_myopic_d, 0.0) == IOL_YES) {
        out->depth_rule_of_thirds_um = laser->zone_mm * laser->zone_mm * -most_myopic_d / c_munnerlyn_thirds;
        taken += out->depth_um + laser->transition_um;
        out->tissue_share = taken / whole;
    }
    out->bed_left_um = whole - taken;
}

void iol_part_corneal_laser(iol_work *w) {
    iol_corneal_laser *out = &w->plan->corneal_laser;
    iol_planned_laser laser;
    iol_verdict verdict;
    iol_matrix change;
    out->present = true;
    iol_eye_laser(&w->eye, &w->plan->notes, &laser);
    bool withheld = w->plan->replacement.standing == IOL_standing_withheld;
    if (!withheld && change_wanted(&w->eye, &change)) {
        double least = iol_matrix_mean(change) - iol_matrix_cylinder(change) / 2.0;
        out->se_cornea_d = iol_matrix_mean(change);
        tissue(&w->eye, &laser, least, out);
        double radius = radius_after_mm(w->eye.radius_mm, out->se_cornea_d);
        out->k_after_d = 1000.0 * (c_keratometric_index - 1.0) / radius;
    }
    iol_facts_grow(w);
    iol_option_judge(w, IOL_option_corneal_laser, IOL_AT_corneal_laser_reasons, 0, &verdict);
    out->suitable = verdict.suitable;
    if (out->suitable == IOL_NO) return;
    if (w->facts.laser_central == IOL_YES)
        iol_because(w, IOL_AT_corneal_laser_reasons, IOL_NOTE_laser_planned, out->depth_rule_of_thirds_um, NAN);
    if (w->facts.laser_central == IOL_NO)
        iol_because(w, IOL_AT_corneal_laser_reasons, IOL_NOTE_laser_hyperopic_depth, NAN, NAN);
    if (w->facts.corneal_surgery != IOL_NO) return; /* the series are of untouched corneas */
    iol_because(w, IOL_AT_corneal_laser_reasons, IOL_NOTE_published_laser, FIGURE(laser_within_half),
                FIGURE(laser_multifocal_within_half));
    iol_because(w, IOL_AT_corneal_laser_reasons, IOL_NOTE_published_laser_one, FIGURE(laser_within_one), NAN);
}
