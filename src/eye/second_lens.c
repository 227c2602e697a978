/* An eye with two lenses. */
#include "eye.h"
#include "optics/two_lenses.h"
#include "tables/constants.h"
#include "tables/note_codes.h"

/* In an eye without a lens no second one lies: the reader refuses such a record, and here no lens speaks. */
bool iol_case_two_lenses(const iol_case *c) {
    return (c->second_lens.present || c->two_lenses_now == IOL_YES) && iol_case_no_lens(c) != IOL_YES;
}

bool iol_eye_second_unread(const iol_eye *eye) { return eye->two && !eye->two_known; }

/* Its place has no published shift of its own: the gap says where it lies. */
void iol_eye_second_lens(iol_eye *eye, iol_notes *notes) {
    const iol_lens *first = &eye->c->first_surgery.lens, *second = &eye->c->second_lens;
    eye->two = iol_case_two_lenses(eye->c);
    eye->gap_mm = eye->sd_gap_mm = NAN;
    if (!eye->two) return;
    iol_notes unused;
    unused.off = true;
    iol_eye_lens_put_in(eye, second, &unused, &eye->second);
    bool places = first->position > 0 && second->position > 0;
    bool axes = (!eye->old.toric || eye->old.axis_known) && (!eye->second.toric || eye->second.axis_known);
    eye->two_known = places && axes && !isnan(eye->old.power_d) && !isnan(eye->second.power_d);
    if (!eye->two_known) return;
    double measured = eye->c->second_lens_gap_mm;
    eye->gap_mm = iol_or_assume(measured, c_two_gap_mm, IOL_NOTE_assume_gap, NULL, notes);
    eye->sd_gap_mm = iol_eye_factor(eye) * (isnan(measured) ? sd_gap_mm : sd_gap_measured_mm);
}

/* Nothing else measures the length: the refraction and both labels together give it, with the spread of a population. */
void iol_eye_two_length_from_reading(iol_eye *eye, iol_notes *notes) {
    double length_mm, a = eye->old.constants.a_constant;
    if (!eye->two_known || !eye->now.usable || !isnan(eye->axial_length_mm)) return;
    if (isnan(eye->k_d)) {
        eye->k_d = iol_or_assume(NAN, c_k_assumed, IOL_NOTE_assume_k_two, NULL, notes);
        eye->sd_k_d = iol_eye_factor(eye) * sd_cornea_ectatic_d;
        eye->radius_mm = 1000.0 * (c_keratometric_index - 1.0) / eye->k_d;
        eye->keratometry = iol_matrix_scalar(eye->k_d);
    }
    double place_mm = iol_nominal_position_from_a(isnan(a) ? c_a_constant_assumed : a) + eye->old.shift_mm;
    const iol_lens_pair two = {{eye->k_d, NAN, place_mm}, eye->gap_mm, eye->old.power_d, eye->second.power_d};
    if (iol_two_lenses_length(&two, eye->now.spectacle_d, eye->vertex_mm, &length_mm) < 0) return;
    eye->axial_length_mm = iol_or_assume(NAN, length_mm, IOL_NOTE_assume_length_two, NULL, notes);
    eye->sd_length_mm = iol_eye_factor(eye) * c_person_length_sd_mm;
    eye->length_from_reading = true;
}
