/* The old lens where it lies: tilt, decentration and the optic that is traced. */
#include "eye.h"
#include "tables/constants.h"
#include "tables/note_codes.h"

double iol_eye_tilt_limit(const iol_lens *lens) {
    return lens->tilt_by == IOL_tilt_by_instrument ? c_tilt_matters_instrument_deg : c_tilt_matters_deg;
}

/* (c1 + c2)/(c1 - c2) from the radii as the case writes them; with one of them, the other from the power. NaN with none. */
static double shape_of_radii(const iol_old_optic *body) {
    double step = 1000.0 * (body->index - c_index_aqueous), reduced = body->centre_mm / 1000.0 / body->index;
    double front = 1.0 / body->front_radius_mm, back = 1.0 / body->back_radius_mm;
    if (isnan(front) && isnan(back)) return NAN;
    double front_d = step * front, back_d = 0.0 - step * back;
    if (isnan(front)) front = (body->power_d - back_d) / (1.0 - reduced * back_d) / step;
    if (isnan(back)) back = 0.0 - (body->power_d - front_d) / (1.0 - reduced * front_d) / step;
    return (front + back) / (front - back);
}

double iol_shape_of_word(int word) {
    switch (word) {
    case IOL_optic_shape_equal: return 0.0;
    case IOL_optic_shape_front_steeper: return c_shape_steeper_q;
    case IOL_optic_shape_back_steeper: return -c_shape_steeper_q;
    case IOL_optic_shape_convex_front: return 1.0;
    case IOL_optic_shape_convex_back: return -1.0;
    default: return NAN;
    }
}

iol_status iol_eye_optic(const iol_eye *eye, iol_notes *notes, iol_optic *optic, double *diameter_mm,
                         bool *shape_known) {
    iol_old_optic body;
    iol_eye_optic_body(eye, notes, &body);
    double q = shape_of_radii(&body), word = body.shape_q;
    if (!isfinite(q)) q = word;
    *shape_known = isfinite(q);
    *diameter_mm = body.diameter_mm;
    q = iol_or_assume(q, c_moved_shape_q, IOL_NOTE_assume_moved_shape, NULL, notes);
    *optic = (iol_optic){body.power_d, q, body.index, body.centre_mm, 0.0};
    if (!isnan(body.centre_mm)) return isnan(body.power_d) ? IOL_BAD_INPUT : IOL_OK;
    return iol_optic_centre_from_edge(*optic, body.edge_mm, body.diameter_mm, &optic->centre_thickness_mm);
}

static void where(const iol_lens *l, iol_notes *notes, iol_moved_lens *out) {
    bool instrument = l->tilt_by == IOL_tilt_by_instrument;
    out->tilt_known = !isnan(l->tilt_deg);
    out->off_known = !isnan(l->decentration_mm);
    out->sd_tilt_deg = !out->tilt_known ? sd_tilt_unknown_deg : instrument ? sd_tilt_instrument_deg : sd_tilt_deg;
    out->sd_off_mm = out->off_known ? sd_decentration_mm : sd_decentration_unknown_mm;
    out->tilt_deg = out->tilt_known ? l->tilt_deg : 0.0;
    out->off_mm = out->off_known ? l->decentration_mm : 0.0;
    if (!out->tilt_known)
        iol_note_add(notes, IOL_AT_plan_assumptions, 0, IOL_NOTE_assume_no_tilt, out->sd_tilt_deg, NAN, NULL);
    if (!out->off_known)
        iol_note_add(notes, IOL_AT_plan_assumptions, 0, IOL_NOTE_assume_no_decentration, out->sd_off_mm, NAN, NULL);
    out->place_known = !isnan(l->decentration_position_deg);
    out->place_deg = iol_position_reduce(l->decentration_position_deg);
    if (!isnan(l->tilted_back_position_deg)) {
        out->backs = 1;
        out->back_deg[0] = iol_position_reduce(l->tilted_back_position_deg);
    } else if (!isnan(l->tilt_axis_deg)) {
        out->backs = 2;
        double upper = iol_axis_reduce(l->tilt_axis_deg + 90.0);
        for (int i = 0; i < 2; i++) out->back_deg[i] = iol_position_reduce(upper + 180.0 * i);
        if (out->tilt_deg > 0.0)
            iol_note_add(notes, IOL_AT_plan_assumptions, 0, IOL_NOTE_assume_back_edge, NAN, NAN, NULL);
    }
}

/* The fronts that the asphericity leaves open, low to high. A plane front has none: then the optic is traced as spherical. */
static void designs(iol_model model, int asphericity, iol_optic optic, iol_notes *notes, iol_moved_lens *out) {
    static const int all[] = {IOL_asphericity_spherical, IOL_asphericity_neutral, IOL_asphericity_correcting};
    if (asphericity <= 0) iol_note_add(notes, IOL_AT_plan_assumptions, 0, IOL_NOTE_assume_asphericity, NAN, NAN, NULL);
    for (int i = 0; i < IOL_MOST_DESIGNS; i++) {
        iol_optic one = optic;
        if (asphericity > 0 && asphericity != all[i]) continue;
        if (all[i] != IOL_asphericity_spherical &&
            iol_optic_front_conic(model, optic, all[i] == IOL_asphericity_correcting, &one.front_conic) < 0)
            continue;
        out->asphericity[out->designs] = all[i];
        out->optic[out->designs++] = one;
    }
    if (out->designs > 0) return;
    out->designs = 1;
    out->asphericity[0] = asphericity;
    out->optic[0] = optic;
}

iol_status iol_eye_moved_lens(const iol_eye *eye, iol_model model, iol_notes *notes, iol_moved_lens *out) {
    iol_optic optic;
    double diameter_mm;
    bool shape_known;
    *out = (iol_moved_lens){.place_deg = NAN};
    iol_status status = iol_eye_optic(eye, notes, &optic, &diameter_mm, &shape_known);
    if (status < 0) return status;
    out->diameter_mm = diameter_mm;
    where(&eye->c->first_surgery.lens, notes, out);
    designs(model, eye->c->first_surgery.lens.asphericity, optic, notes, out);
    return IOL_OK;
}
