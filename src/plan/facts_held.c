/* The facts of what no longer holds: a reading of other days, what a child has outgrown, and what its age changes. */
#include "eye/child.h"
#include "work.h"
#include "tables/constants.h"
#include "tables/note_codes.h"
#include "text/dates.h"

/* By how much the eye has grown more myopic, at least, since so many days. */
static double outgrown_by(double age, double days) {
    return -iol_child_refraction(0.0, age - days / c_days_a_year, age, c_child_slope_least_d, c_child_offset_years);
}

/* What a power rests on: the reading, where one is listed, and the length, measured before the operation unless again since. */
static void outgrown(const iol_work *w, iol_facts *f) {
    const double age = w->c->age_years;
    const iol_biometry *again = &w->c->biometry_repeat;
    const int32_t on = w->eye.length_repeated && again->measured_on != IOL_UNKNOWN_DATE ? again->measured_on
                                                                                       : w->c->first_surgery.done_on;
    const double reading = w->c->refractions_count > 0 ? outgrown_by(age, f->reading_age_days) : 0.0;
    const double length = outgrown_by(age, iol_days_from(on, w->plan->as_of));
    f->outgrown_d = fmax(reading, length); /* NaN is left out */
    f->outgrown = iol_and(f->child, iol_or(iol_above(reading, c_child_outgrown_d), iol_above(length, c_child_outgrown_d)));
}

/* A reading that another one, which could be had by now, takes the place of. */
void iol_facts_of_reading(const iol_work *w, iol_facts *f) {
    const bool two = w->eye.now.readings > 1 && w->eye.corneal_surgery == IOL_NO;
    f->reading_age_days = iol_days_from(w->eye.now.read_on, w->plan->as_of);
    f->reading_early = iol_and(f->settled, iol_below(f->reading_day, f->refraction_gate_day));
    f->reading_old = iol_above(f->reading_age_days, c_reading_old_days);
    if (!f->reading) f->reading_old = IOL_NO;
    if (!f->reading || two) f->reading_early = IOL_NO;
    f->first_days = f->reading && iol_at_least(f->reading_day, c_reading_first_day) != IOL_YES;
}

/* What the age of a child changes. */
void iol_facts_of_child(const iol_work *w, iol_facts *f) {
    const double age = w->c->age_years;
    const bool sees = iol_at_most(f->acuity_logmar, c_trial_lens_logmar) == IOL_YES;
    const iol_flag hazy = iol_is(w->c->capsule.posterior, IOL_posterior_capsule_opacified);
    const iol_flag elsewhere = iol_or(f->clouded, iol_or(f->no_lens, f->moved));
    f->haze_young = iol_and(iol_and(iol_below(age, c_child_haze_years), hazy), iol_not(elsewhere));
    if (sees) f->haze_young = IOL_NO;
    f->youth = iol_and(f->child, iol_at_least(age, c_child_growth_third_years));
    const bool outside = f->place > IOL_position_sulcus; /* ORDER position */
    f->contact_again = iol_and(iol_and(f->child, f->no_lens), iol_from_bool(outside));
    outgrown(w, f);
    f->child_pressure = iol_and(f->child, iol_above(w->c->anterior_segment.pressure_mmhg, c_child_pressure_mmhg));
    f->child_aim_d = iol_child_usual_aim(age);
    f->child_aim_low = isnan(f->child_aim_d) ? IOL_NO : iol_below(f->target_d, f->child_aim_d);
    f->child_near_target = iol_and(iol_and(f->child, iol_from_bool(f->only_elective && f->optical == IOL_YES)),
                                   iol_at_most(fabs(f->gap_d), c_child_lens_gap_d));
}
