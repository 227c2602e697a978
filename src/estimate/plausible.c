/* What contradicts the measurements of an eye: the other eye, the glasses of before, the place of the lens. */
#include "plausible.h"

#include "tables/constants.h"

/* Spherical equivalent of a reading, as written; a cylinder that is not known counts as none. */
static double se_of(const iol_refraction *r) {
    return r->sphere_d + (isnan(r->cylinder_d) ? 0.0 : r->cylinder_d / 2.0);
}

/* The other eye by the same rules as this one, and the refraction that the lens of this one would leave there. */
static iol_status other_eye(const iol_eye *this, const iol_estimate *joint, iol_plausible *out, double *refraction_d) {
    iol_case swapped = *this->c;
    iol_notes unheard;
    iol_eye eye;
    iol_model model;
    unheard.off = true;
    swapped.biometry = swapped.fellow_eye.biometry;
    iol_eye_make(&swapped, this->site, this->as_of, IOL_EYE_FIRST_ONLY, &unheard, &eye);
    out->longer_mm = this->axial_length_mm - eye.axial_length_mm;
    out->steeper_d = this->k_d - eye.k_d;
    if (!joint || iol_eye_predict(&eye, joint->formula, &eye.old, &model) < 0) return IOL_BAD_INPUT;
    return iol_refraction_of(model, eye.old.power_d, this->vertex_mm, refraction_d);
}

/* The refractions of both without cataract surgery differ as lengths and corneas do. */
static bool explained(const iol_eye *eye, double expected_d) {
    const iol_fellow_eye *fellow = &eye->c->fellow_eye;
    double found_d = se_of(&eye->c->refraction_before_cataract) - se_of(&fellow->refraction);
    return fellow->lens == IOL_fellow_lens_phakic &&
           iol_at_most(fabs(found_d - expected_d), c_fellow_refraction_d) == IOL_YES;
}

static void compare_eyes(const iol_eye *eye, const iol_estimate *joint, iol_plausible *out) {
    double other_d = NAN;
    out->eyes = eye->c->patient.only_seeing_eye == IOL_YES ? IOL_YES : IOL_UNKNOWN;
    if (!eye->c->fellow_eye.biometry.present) return;
    iol_status status = other_eye(eye, joint, out, &other_d);
    double longer = fabs(out->longer_mm), steeper = fabs(out->steeper_d);
    iol_flag apart = iol_or(iol_above(longer, c_fellow_length_mm), iol_above(steeper, c_fellow_k_d));
    iol_flag agree = iol_and(iol_at_most(longer, c_fellow_length_gross_mm), iol_at_most(steeper, c_fellow_k_gross_d));
    bool told = apart == IOL_YES && explained(eye, status < 0 ? NAN : joint->predicted_d - other_d);
    out->apart = apart == IOL_YES && !told;
    if (told || agree != IOL_UNKNOWN) out->eyes = told ? IOL_YES : agree;
}

/* A long eye in a far-sighted person, a short one in a strongly near-sighted one, a very long one in whom was not near-sighted
 * at all, unless the cornea was altered. */
static void compare_glasses(const iol_eye *eye, iol_plausible *out) {
    double se = out->glasses_d = se_of(&eye->c->refraction_before_cataract), length = eye->axial_length_mm;
    iol_flag long_hyperope =
        iol_and(iol_above(length, c_contradict_long_mm), iol_at_least(se, c_contradict_hyperope_d));
    iol_flag short_myope = iol_and(iol_below(length, c_contradict_short_mm), iol_at_most(se, c_contradict_myope_d));
    iol_flag no_myope = iol_and(iol_above(length, c_contradict_very_long_mm), iol_above(se, c_contradict_little_myope_d));
    no_myope = iol_and(no_myope, iol_not(eye->corneal_surgery));
    out->glasses = iol_not(iol_or(iol_or(long_hyperope, short_myope), no_myope));
}

/* By the formula, or by the room of the crystalline lens: a lens that lies where that lay is in its place. */
static void compare_depth(const iol_eye *eye, const iol_estimate *joint, iol_plausible *out) {
    const iol_biometry *first = &eye->c->biometry;
    if (first->eye_state == IOL_eye_state_phakic && eye->old.position == IOL_position_bag)
        out->by_old_lens_mm = first->chamber_depth_mm + c_old_lens_part * first->lens_thickness_mm;
    iol_flag as_expected = iol_at_least(joint ? joint->depth_gap_mm : NAN, -c_depth_shallow_mm);
    iol_flag as_before = iol_at_least(eye->lens_depth_mm - out->by_old_lens_mm, -c_depth_shallow_mm);
    out->depth = as_before == IOL_YES ? IOL_YES : as_expected;
}

void iol_plausible_make(const iol_eye *eye, const iol_estimate *joint, iol_plausible *out) {
    *out = (iol_plausible){.longer_mm = NAN, .steeper_d = NAN, .by_old_lens_mm = NAN};
    compare_eyes(eye, joint, out);
    compare_glasses(eye, out);
    compare_depth(eye, joint, out);
}
