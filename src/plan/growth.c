/* A child's later refraction, as a range beside the target (docs/method.md, other eyes). */
#include "eye/child.h"
#include "secondary.h"
#include "tables/constants.h"
#include "tables/note_codes.h"

/* It starts from what the revision aims at, or without a target from the refraction of an eye with its lens. */
static double from_refraction(const iol_work *w) {
    if (w->eye.target_from != IOL_TARGET_NONE) return w->eye.target_se_d;
    return w->eye.aphakic ? NAN : w->eye.now.spectacle_d;
}

/* What is printed for this age: the row of data/child_shift.def that holds it. */
static void printed(iol_work *w, double age) {
#define CHILD_SHIFT(first, last, figure, words)                                                                        \
    if (iol_and(iol_at_least(age, first), iol_below(age, last + 1)) == IOL_YES)                                        \
        iol_note_add(&w->plan->notes, IOL_AT_growth_reasons, 0, IOL_NOTE_growth_printed, FIGURE(figure),               \
                     iol_evidence[IOL_EVIDENCE_##figure].high, words);
#include "child_shift.def"
#undef CHILD_SHIFT
}

void iol_part_growth(iol_work *w) {
    iol_growth *out = &w->plan->growth;
    double age = w->c->age_years;
    iol_flag child = iol_and(iol_at_least(age, c_child_first_years), iol_below(age, c_adult_years));
    if (isnan(age)) {
        iol_leave_out(w->plan, "growth", IOL_left_why_missing_input, IOL_NOTE_left_missing, NULL, "/age_years");
        return;
    }
    if (child != IOL_YES) {
        bool adult = iol_at_least(age, c_adult_years) == IOL_YES;
        iol_leave_out(w->plan, "growth", IOL_left_why_not_applicable,
                      adult ? IOL_NOTE_left_grown : IOL_NOTE_left_infant, NULL, NULL);
        return;
    }
    out->present = true;
    out->from_se_d = from_refraction(w);
    out->at_age_years = c_child_later_years;
    iol_child_range(out->from_se_d, age, c_child_later_years, &out->later_se_high_d, &out->later_se_low_d);
    iol_because(w, IOL_AT_growth_reasons, IOL_NOTE_growth_range, out->later_se_high_d, out->later_se_low_d);
    printed(w, age);
    iol_because(w, IOL_AT_growth_reasons, IOL_NOTE_growth_spread, NAN, NAN);
    iol_because(w, IOL_AT_growth_reasons, IOL_NOTE_growth_no_target, NAN, NAN);
    if (!isnan(out->later_se_low_d))
        iol_caution(w, IOL_NOTE_child_later, out->later_se_high_d, out->later_se_low_d, NULL);
    if (iol_below(age, c_child_small_years) == IOL_YES) iol_caution(w, IOL_NOTE_child_sight, age, NAN, NULL);
}
