/* Prior rates of gross causes: the table's or the site's, times what was looked at. */
#include <string.h>

#include "mixture.h"
#include "tables/constants.h"

static double taken(double own, double built_in) { return isnan(own) ? built_in : own; }

/* ---- factors ---- */

static double factor(const iol_site *site, iol_factor which) {
    const iol_evidence_factors *own = &site->evidence_factors;
    switch (which) {
#define FACTOR(key, value, reference, status, text)                                                                    \
    case IOL_FACTOR_##key:                                                                                             \
        return taken(own->key, value);
#include "evidence_factors.def"
#undef FACTOR
    default: return 1.0;
    }
}

static double lens_factor(const iol_eye *eye) {
    switch (eye->c->first_surgery.lens.identified_by) {
    case IOL_identified_by_sticker: return factor(eye->site, IOL_FACTOR_lens_by_sticker);
    case IOL_identified_by_operation_record: return factor(eye->site, IOL_FACTOR_lens_by_record);
    case IOL_identified_by_letter:
    case IOL_identified_by_patient: return factor(eye->site, IOL_FACTOR_lens_by_letter);
    default: return factor(eye->site, IOL_FACTOR_lens_not_known);
    }
}

/* Whether a look was taken, and the factor that it brings when it is. */
static iol_flag taken_look(const iol_eye *eye, iol_look look, iol_factor *brings) {
    const iol_checks *k = &eye->c->checks;
    int known = eye->c->first_surgery.lens.identified_by;
    switch (look) {
    case IOL_LOOK_lens: *brings = IOL_FACTOR_lens_by_sticker; return iol_is(known, IOL_identified_by_sticker);
    case IOL_LOOK_biometry: *brings = IOL_FACTOR_biometry_of_this_eye; return k->biometry_belongs_to_this_eye;
    case IOL_LOOK_sheet: *brings = IOL_FACTOR_original_sheet_seen; return k->original_sheet_seen;
    case IOL_LOOK_dilated: *brings = IOL_FACTOR_dilated_look_done; return k->dilated_look_done;
    case IOL_LOOK_topography: *brings = IOL_FACTOR_topography_done; return k->topography_done;
    default: *brings = IOL_FACTOR_COUNT; return IOL_YES;
    }
}

static double look_factor(const iol_eye *eye, iol_look look) {
    iol_factor brings;
    if (look == IOL_LOOK_lens) return lens_factor(eye);
    return taken_look(eye, look, &brings) == IOL_YES ? factor(eye->site, brings) : 1.0;
}

double iol_gross_factor(const iol_eye *eye, iol_gross_cause cause) {
    return look_factor(eye, iol_gross_rows[cause].look);
}

double iol_gross_look(const iol_eye *eye, iol_look look) {
    iol_factor brings;
    if (taken_look(eye, look, &brings) == IOL_YES) return NAN;
    double now = look_factor(eye, look);
    return now > 0.0 ? fmin(1.0, factor(eye->site, brings) / now) : NAN;
}

/* ---- rates ---- */

/* The built-in rate of each, or the site's. */
static void stated_rates(const iol_eye *eye, double rate[IOL_GROSS_CAUSE_COUNT]) {
    const iol_gross_rates *own = &eye->site->gross_rates;
    bool late = iol_above(eye->now.day, c_fluid_late_day) == IOL_YES;
    const double stated[] = {
#define GROSS(suspect, key, rate, quantities, look, reference, status, text) [IOL_GROSS_CAUSE_##suspect] = own->suspect,
#include "gross_rates.def"
#undef GROSS
    };
    for (int i = 0; i < IOL_GROSS_CAUSE_COUNT; i++) {
        bool late_fluid = late && i == IOL_GROSS_CAUSE_fluid;
        rate[i] = taken(stated[i], taken(own->others, late_fluid ? c_fluid_late_rate : iol_gross_rows[i].rate));
    }
}

/* The lens and where its constant comes from are both stated. */
static bool constant_stated(const iol_eye *eye) {
    return eye->old.given->obtained_with > 0 && eye->c->first_surgery.lens.lens_id[0];
}

/* The constant was fitted to ultrasound, the eye measured by light: known, not known, or no question. */
static iol_flag ultrasound_constant(const iol_eye *eye) {
    if (eye->c->biometry.method != IOL_biometry_method_optical) return IOL_NO;
    return iol_is(eye->old.given->obtained_with, IOL_obtained_with_ultrasound);
}

static iol_flag of_the_lens(const iol_eye *eye, iol_gross_cause cause) {
    const iol_lens *lens = &eye->c->first_surgery.lens;
    bool in_bag = eye->old.position == IOL_position_bag;
    switch (cause) {
    case IOL_GROSS_CAUSE_another_lens: /* a record of the wrong lens names the one inside */
        return lens->documented_wrong == IOL_YES ? IOL_NO : IOL_UNKNOWN;
    case IOL_GROSS_CAUSE_sulcus: return in_bag ? IOL_UNKNOWN : IOL_NO; /* elsewhere the eye has the place already */
    case IOL_GROSS_CAUSE_reversed:                                     /* "not seen" tells as little as a blank */
        return lens->way_up == IOL_way_up_not_seen ? IOL_UNKNOWN : iol_is(lens->way_up, IOL_way_up_reversed);
    case IOL_GROSS_CAUSE_other_constant: return constant_stated(eye) ? IOL_NO : IOL_UNKNOWN;
    case IOL_GROSS_CAUSE_ultrasound: return ultrasound_constant(eye);
    default: return IOL_UNKNOWN;
    }
}

/* What was not measured, or does not stand in the estimate, was not typed wrongly. A measured total power stands for the
 * keratometry after laser. */
static iol_flag of_the_figures(const iol_eye *eye, iol_gross_cause cause) {
    bool contact = eye->c->biometry.method == IOL_biometry_method_contact_ultrasound;
    bool theirs = eye->old.given->obtained_with == IOL_obtained_with_ultrasound;
    const iol_biometry *b = &eye->c->biometry;
    bool typed_d = !isnan(b->k_flat_d) || !isnan(b->k_steep_d);
    bool keratometry = typed_d || !isnan(b->k_flat_radius_mm) || !isnan(b->k_steep_radius_mm);
    bool length = !isnan(eye->first.length_mm), replaced = !isnan(eye->laser.k_d) && !isnan(eye->c->cornea.k_total_d);
    switch (cause) {
    case IOL_GROSS_CAUSE_contact: return length && contact && !theirs ? IOL_UNKNOWN : IOL_NO;
    case IOL_GROSS_CAUSE_swapped_length: return length ? IOL_UNKNOWN : IOL_NO;
    case IOL_GROSS_CAUSE_swapped_cornea: return keratometry && !replaced ? IOL_UNKNOWN : IOL_NO;
    case IOL_GROSS_CAUSE_index: return replaced ? IOL_NO : IOL_UNKNOWN;
    default: return of_the_lens(eye, cause);
    }
}

/* What counts no reading, or is counted by the eye already, is no component. */
static iol_flag of_the_eye(const iol_eye *eye, iol_gross_cause cause) {
    const iol_case *c = eye->c;
    bool in_bag = eye->old.position == IOL_position_bag;
    switch (cause) {
    case IOL_GROSS_CAUSE_fellow_eye: return c->checks.biometry_belongs_to_this_eye == IOL_NO ? IOL_YES : IOL_UNKNOWN;
    case IOL_GROSS_CAUSE_myopic_laser:
    case IOL_GROSS_CAUSE_hyperopic_laser: return eye->corneal_surgery == IOL_YES ? IOL_NO : IOL_UNKNOWN;
    case IOL_GROSS_CAUSE_fluid: return in_bag && c->anterior_segment.fluid_behind_lens <= 0 ? IOL_UNKNOWN : IOL_NO;
    case IOL_GROSS_CAUSE_oil_measured:
        return c->silicone_oil.at_measurement == IOL_UNKNOWN && c->biometry.eye_state != IOL_eye_state_silicone_oil
                   ? IOL_UNKNOWN
                   : IOL_NO;
    case IOL_GROSS_CAUSE_oil_now:
        return c->silicone_oil.now == IOL_UNKNOWN && c->silicone_oil.at_refraction == IOL_UNKNOWN ? IOL_UNKNOWN
                                                                                                  : IOL_NO;
    default: return of_the_figures(eye, cause);
    }
}

static bool same_quantity(iol_gross_cause a, iol_gross_cause b) {
    for (const char *letter = iol_gross_rows[a].quantities; *letter; letter++)
        if (strchr(iol_gross_rows[b].quantities, *letter)) return true;
    return false;
}

void iol_gross_priors_make(const iol_eye *eye, iol_gross_priors *out) {
    double rate[IOL_GROSS_CAUSE_COUNT], factor_of[IOL_LOOK_COUNT];
    stated_rates(eye, rate);
    for (int i = 0; i < IOL_LOOK_COUNT; i++) factor_of[i] = look_factor(eye, (iol_look)i);
    for (int i = 0; i < IOL_GROSS_CAUSE_COUNT; i++) {
        iol_flag state = of_the_eye(eye, (iol_gross_cause)i);
        out->confirmed[i] = state == IOL_YES;
        double prior = rate[i] / c_rate_per * factor_of[iol_gross_rows[i].look];
        out->rate[i] = state == IOL_NO ? 0.0 : state == IOL_YES ? 1.0 : fmin(1.0, prior);
    }
    for (int k = 0; k < IOL_GROSS_CAUSE_COUNT; k++)
        for (int i = 0; i < IOL_GROSS_CAUSE_COUNT && out->confirmed[k]; i++)
            if (!out->confirmed[i] && same_quantity((iol_gross_cause)i, (iol_gross_cause)k)) out->rate[i] = 0.0;
}
