/* An eye without a lens, and an eye that was read without one. */
#include "eye.h"
#include "optics/no_lens.h"
#include "tables/constants.h"
#include "tables/note_codes.h"

const iol_refraction *iol_case_newest_reading(const iol_case *c) {
    for (int i = c->refractions_count - 1; i >= 0; i--)
        if (!isnan(c->refractions[i].sphere_d) && c->refractions[i].with != IOL_reading_with_theatre)
            return &c->refractions[i];
    return NULL;
}

/* The lens is known to lie out of the way. */
static bool is_displaced(const iol_case *c) {
    return c->dislocation.lies > 0 || iol_case_has_reason(c, IOL_reason_lens_dislocation) == IOL_YES;
}

iol_flag iol_case_no_lens(const iol_case *c) {
    if (c->aphakic_now != IOL_UNKNOWN) return c->aphakic_now;
    if (iol_case_has_reason(c, IOL_reason_no_lens) == IOL_YES) return IOL_YES;
    const iol_refraction *newest = iol_case_newest_reading(c);
    bool read = newest && newest->lens_then == IOL_lens_then_aphakic;
    return iol_from_bool(read && c->biometry_repeat.eye_state == IOL_eye_state_aphakic && !is_displaced(c));
}

/* With a lens in the eye the reading counts where that lens is known to lie out of the way; one taken with the lens in its place
 * tells more: where the lens lay. A second lens lies in the way of every reading. */
bool iol_eye_reads_without_lens(const iol_eye *eye) {
    const iol_case *c = eye->c;
    const iol_refraction *newest = iol_case_newest_reading(c);
    if (eye->no_lens == IOL_YES) return true;
    if (eye->two || !newest || newest->lens_then != IOL_lens_then_aphakic || !is_displaced(c)) return false;
    for (int i = 0; i < c->refractions_count && !isnan(eye->label_d); i++)
        if (c->refractions[i].lens_then == IOL_lens_then_in_place) return false;
    return true;
}

void iol_eye_length_from_reading(iol_eye *eye, iol_notes *notes) {
    double length_mm;
    if (!eye->aphakic || !eye->now.usable) return;
    if (isnan(eye->k_d)) {
        eye->k_d = iol_or_assume(NAN, c_k_assumed, IOL_NOTE_assume_k_without_lens, NULL, notes);
        eye->sd_k_d = sd_cornea_ectatic_d;
        eye->radius_mm = 1000.0 * (c_keratometric_index - 1.0) / eye->k_d;
        eye->keratometry = iol_matrix_scalar(eye->k_d);
    }
    if (!isnan(eye->axial_length_mm)) return;
    if (iol_no_lens_length(eye->k_d, eye->now.spectacle_d, eye->now.vertex_mm, &length_mm) < 0) return;
    eye->axial_length_mm = iol_or_assume(NAN, length_mm, IOL_NOTE_assume_length_read, NULL, notes);
    eye->length_from_reading = true;
}

void iol_eye_take_no_lens(iol_eye *eye) {
    iol_lens_in_eye *lens = &eye->old;
    int position = eye->no_lens == IOL_YES ? IOL_position_bag : lens->position;
    for (int i = 0; i < eye->site->lenses_count; i++) {
        const iol_shelf_lens *shelf = &eye->site->lenses[i];
        if (shelf->purpose != IOL_purpose_replacement) continue;
        iol_eye_shelf_lens(eye, shelf, IOL_position_bag, lens);
        if (iol_eye_has_constants(lens)) break;
    }
    lens->position = position;
    lens->power_d = 0.0;
    lens->power = iol_matrix_scalar(0.0);
    lens->toric = lens->axis_known = false;
    lens->shift_mm = lens->shift_sd_mm = 0.0;
}
