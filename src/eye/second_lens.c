/* An eye with two lenses. */
#include "eye.h"
#include "tables/constants.h"
#include "tables/note_codes.h"

/* Its place has no published shift of its own: the gap says where it lies. */
void iol_eye_second_lens(iol_eye *eye, iol_notes *notes) {
    const iol_lens *first = &eye->c->first_surgery.lens, *second = &eye->c->second_lens;
    eye->two = second->present;
    eye->gap_mm = eye->sd_gap_mm = NAN;
    if (!eye->two) return;
    iol_notes unused = {.off = true};
    iol_eye_lens_put_in(eye, second, &unused, &eye->second);
    bool places = first->position > 0 && second->position > 0;
    bool axes = (!eye->old.toric || eye->old.axis_known) && (!eye->second.toric || eye->second.axis_known);
    eye->two_known = places && axes && !isnan(eye->old.power_d) && !isnan(eye->second.power_d);
    if (!eye->two_known) return;
    double measured = eye->c->second_lens_gap_mm;
    eye->gap_mm = iol_or_assume(measured, c_two_gap_mm, IOL_NOTE_assume_gap, NULL, notes);
    eye->sd_gap_mm = iol_eye_factor(eye) * (isnan(measured) ? sd_gap_mm : sd_gap_measured_mm);
}
