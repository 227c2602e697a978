/* What the case itself says of each suspect: confirmed, ruled out, or open. */
#include "inquiry.h"
#include "tables/constants.h"

static iol_flag surgery(const iol_case *c, int kind) { return iol_is(c->cornea.earlier_refractive_surgery, kind); }

/* A word that names health, against everything else that it can say. */
static iol_flag unwell(int word, int healthy) { return iol_not(iol_is(word, healthy)); }

static iol_flag fluid_state(const iol_inquiry *q) {
    if (q->eye->old.position != IOL_position_bag) return IOL_NO;
    int seen = q->eye->c->anterior_segment.fluid_behind_lens;
    return seen == IOL_finding_no ? IOL_NO : iol_is(seen, IOL_finding_yes);
}

/* Oil: an eye without a word about it counts as free of oil, unless its vitreous was removed. */
static iol_flag oil_state(const iol_case *c, iol_flag said) {
    if (said != IOL_UNKNOWN) return said;
    return c->silicone_oil.present || c->zonule.vitrectomised == IOL_YES ? IOL_UNKNOWN : IOL_NO;
}

static iol_flag sulcus_state(const iol_inquiry *q) {
    const iol_case *c = q->eye->c;
    int stated = c->first_surgery.lens.position;
    if (stated == IOL_position_sulcus) return IOL_YES;
    if (q->eye->old.position != IOL_position_bag) return IOL_NO;
    return stated == IOL_position_bag && c->checks.dilated_look_done == IOL_YES ? IOL_NO : IOL_UNKNOWN;
}

static iol_flag reversed_state(const iol_lens *lens) {
    if (lens->way_up == IOL_way_up_reversed) return IOL_YES;
    return lens->way_up == IOL_way_up_right ? IOL_NO : IOL_UNKNOWN;
}

static iol_flag toric_state(const iol_inquiry *q) {
    const iol_lens *lens = &q->eye->c->first_surgery.lens;
    if (!q->eye->old.toric) return IOL_NO;
    double turn = fabs(iol_axis_turn(lens->axis_intended_deg, lens->axis_deg));
    if (iol_above(turn, c_toric_off_mark_deg) == IOL_YES) return IOL_YES;
    return IOL_UNKNOWN;
}

/* An optical constant clears the record, not the choice. */
static iol_flag ultrasound_state(const iol_case *c) {
    if (c->biometry.method != IOL_biometry_method_optical) return IOL_NO;
    bool stated = c->first_surgery.lens.constants.obtained_with == IOL_obtained_with_ultrasound;
    return stated ? IOL_YES : IOL_UNKNOWN;
}

/* The sheet of a wrong lens was printed for the lens that was meant: it says nothing. */
static iol_flag sheet_state(const iol_inquiry *q) {
    if (q->eye->c->first_surgery.lens.documented_wrong == IOL_YES) return IOL_NO;
    if (isnan(q->eye->c->first_surgery.sheet_se_d)) return IOL_NO;
    double missed = fabs(q->eye->now.spectacle_d - q->eye->intended_se_d);
    if (iol_at_most(missed, c_suspect_part_d) == IOL_YES) return IOL_NO; /* the eye is where it was meant to be */
    return q->eye->c->checks.original_sheet_seen == IOL_YES ? IOL_YES : IOL_UNKNOWN;
}

/* The record of a wrong lens speaks of the lens put in, unless that one fits the aim and the eye does not: then of the lens
 * inside, which is another than the recorded one. */
static iol_flag wrong_state(const iol_inquiry *q, bool of_lens_inside) {
    bool inside = !iol_inquiry_trouble(q, IOL_miss_part_selection) && iol_inquiry_trouble(q, IOL_miss_part_eye);
    bool wrong = q->eye->c->first_surgery.lens.documented_wrong == IOL_YES;
    return wrong && inside == of_lens_inside ? IOL_YES : IOL_UNKNOWN;
}

/* Nothing to look for where it can be told by the record alone. */
static iol_flag recorded(iol_flag state) { return state == IOL_YES ? IOL_YES : IOL_NO; }

static iol_flag cornea_state(const iol_cornea *cornea) {
    return iol_or(iol_or(unwell(cornea->surface, IOL_surface_regular),
                         unwell(cornea->ocular_surface, IOL_ocular_surface_healthy)),
                  cornea->oedema);
}

/* Suspects that speak of the lens in the eye, or of how it was chosen: nothing to ask where the reading was taken without it. */
static bool speaks_of_lens(iol_suspect_id id) {
    switch (id) {
    case IOL_SUSPECT_selection:
    case IOL_SUSPECT_wrong_lens:
    case IOL_SUSPECT_another_lens:
    case IOL_SUSPECT_label:
    case IOL_SUSPECT_swapped_power:
    case IOL_SUSPECT_lens_sign:
    case IOL_SUSPECT_other_constant:
    case IOL_SUSPECT_ultrasound:
    case IOL_SUSPECT_sheet:
    case IOL_SUSPECT_other_formula:
    case IOL_SUSPECT_target_sign:
    case IOL_SUSPECT_sulcus:
    case IOL_SUSPECT_reversed:
    case IOL_SUSPECT_contracted:
    case IOL_SUSPECT_fluid:
    case IOL_SUSPECT_toric_axis: return true;
    default: return false;
    }
}

iol_flag iol_inquiry_state(const iol_inquiry *q, iol_suspect_id id) {
    const iol_case *c = q->eye->c;
    if (q->eye->aphakic && speaks_of_lens(id)) return IOL_NO;
    switch (id) {
    case IOL_SUSPECT_selection: return wrong_state(q, false) == IOL_YES ? IOL_NO : IOL_UNKNOWN;
    case IOL_SUSPECT_wrong_lens: return recorded(wrong_state(q, false));
    case IOL_SUSPECT_another_lens: return wrong_state(q, true);
    case IOL_SUSPECT_fellow_eye: return iol_not(c->checks.biometry_belongs_to_this_eye);
    case IOL_SUSPECT_first_biometry: return q->eye->conflict ? IOL_UNKNOWN : IOL_NO;
    case IOL_SUSPECT_ultrasound: return ultrasound_state(c);
    case IOL_SUSPECT_sheet: return sheet_state(q);
    case IOL_SUSPECT_other_formula: return c->first_surgery.lens.documented_wrong == IOL_YES ? IOL_NO : IOL_UNKNOWN;
    case IOL_SUSPECT_sulcus: return sulcus_state(q);
    case IOL_SUSPECT_reversed: return reversed_state(&c->first_surgery.lens);
    case IOL_SUSPECT_contracted: /* what it does has no number, and a clear opening of the rest says nothing */
        return recorded(iol_and(iol_from_bool(q->eye->old.position == IOL_position_bag),
                                iol_is(c->capsule.anterior, IOL_anterior_capsule_contracted)));
    case IOL_SUSPECT_fluid: return fluid_state(q);
    case IOL_SUSPECT_myopic_laser: return surgery(c, IOL_corneal_surgery_myopic_laser);
    case IOL_SUSPECT_hyperopic_laser: return surgery(c, IOL_corneal_surgery_hyperopic_laser);
    case IOL_SUSPECT_radial_cuts: return surgery(c, IOL_corneal_surgery_radial_cuts);
    case IOL_SUSPECT_long_eye: /* a long eye is a condition, never a proof */
        return iol_above(q->eye->axial_length_mm, c_reference_long_mm) == IOL_YES ? IOL_UNKNOWN : IOL_NO;
    case IOL_SUSPECT_growth: /* a condition of every eye that was a child's when it was measured: never a proof */
        return q->eye->may_have_grown == IOL_NO ? IOL_NO : IOL_UNKNOWN;
    case IOL_SUSPECT_oil_measured:
        if (c->biometry.eye_state == IOL_eye_state_silicone_oil) return IOL_YES;
        return oil_state(c, c->silicone_oil.at_measurement);
    case IOL_SUSPECT_oil_now: return oil_state(c, c->silicone_oil.now);
    case IOL_SUSPECT_contact: return iol_is(c->biometry.method, IOL_biometry_method_contact_ultrasound);
    case IOL_SUSPECT_cornea: return cornea_state(&c->cornea);
    case IOL_SUSPECT_macula: return unwell(c->retina.macula, IOL_macula_normal);
    case IOL_SUSPECT_toric_axis: return toric_state(q);
    default: return IOL_UNKNOWN;
    }
}
