/* An eye without a lens hears nothing of the lens that was taken out: drawn eyes in which it was still told of (its depth, where it
 * lay, what was wrong with it). Each beside the same eye with its lens, where the older words are right. Common practice. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

#include "check.h"
#include "hard_case.h"
#include "tables/rule_codes.h"

static iol_case c;
static iol_plan plan;

static void make(void) { iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan); }
static bool says(int place, iol_note_code code) { return has_note(&plan, place, (int)code) >= 0; }
static bool advised(iol_note_code code) { return says(IOL_AT_decision_reasons, code); }

static void start(int with_lens) { example_case(with_lens ? "hyperopic-surprise" : "no-lens", &c); }

/* A depth that was measured of it lies in front of nothing. */
static void no_depth(void **state) {
    (void)state;
    for (int with = 0; with < 2; with++) {
        start(with);
        c.biometry_repeat.lens_depth_mm = 2.6;
        make();
        assert_true(says(IOL_AT_plan_cautions, IOL_NOTE_shallow_lens) == (with == 1));
        assert_false(!with && advised(IOL_NOTE_rule_lens_forward));
    }
}

static int before_the_iris(void) {
    for (int i = 0; i < plan.support.positions_count; i++)
        if (plan.support.positions[i].position == IOL_position_iris_front) return plan.support.positions[i].outlook;
    return 0;
}

/* The iris lies no shallower for a lens that is out: its measured depth tells of the same place, whether that is told or not. */
static void the_iris_of_today(void **state) {
    (void)state;
    int outlook[2];
    for (int without = 0; without < 2; without++) {
        start(1);
        c.biometry.chamber_depth_mm = 2.6;
        c.biometry_repeat.lens_depth_mm = 4.6;
        c.aphakic_now = without ? IOL_YES : IOL_NO;
        make();
        outlook[without] = before_the_iris();
        c.biometry_repeat.lens_depth_mm = 3.0;
        make();
        assert_true(before_the_iris() == IOL_outlook_no && outlook[without] != IOL_outlook_no);
    }
    assert_int_equal(outlook[0], outlook[1]);
}

/* Nothing rubs, is tilted or clouded; inflamed, the eye is calmed, and no lens is taken out. */
static void no_harm_of_it(void **state) {
    (void)state;
    for (int with = 0; with < 2; with++) {
        start(with);
        c.reason = IOL_reason_inflammation, c.reasons_also_count = 0;
        c.anterior_segment.uveitis = IOL_uveitis_active;
        c.first_surgery.lens.position = IOL_position_chamber;
        make();
        assert_true(advised(IOL_NOTE_rule_chafes_inflamed) == (with == 1));
        assert_true(advised(IOL_NOTE_rule_uveitis_active) == (with == 0));
        start(with);
        c.reason = IOL_reason_power_error, c.reasons_also_count = 0;
        c.first_surgery.lens.tilt_deg = 12.0, c.first_surgery.lens.decentration_mm = 1.0;
        c.first_surgery.lens.opacity = IOL_opacity_marked;
        make();
        assert_true(advised(IOL_NOTE_advise_askew) == (with == 1) &&
                    advised(IOL_NOTE_advise_clouded_too) == (with == 1));
    }
}

/* Biometry that is recorded not to be of this eye gives nothing to order, though only a repeat was listed. Opposite: it was
 * checked. */
static void not_of_this_eye(void **state) {
    (void)state;
    for (int checked = 0; checked < 2; checked++) {
        start(0);
        c.biometry_repeat = c.biometry;
        blank(&c, "biometry");
        c.checks.biometry_belongs_to_this_eye = checked ? IOL_YES : IOL_NO;
        make();
        assert_true(says(IOL_AT_replacement_standing_reasons, IOL_NOTE_provisional_other_eye) == (checked == 0));
        if (!checked) assert_int_equal(plan.secondary.standing, IOL_standing_provisional);
    }
}

/* What comes out anyway is not weighed first. Opposite: it is exchanged for want of a smaller way. */
static void settled_by_the_exchange(void **state) {
    (void)state;
    for (int damaged = 0; damaged < 2; damaged++) {
        example_case("hyperopic-surprise", &c);
        c.first_surgery.lens.opacity = IOL_opacity_marked;
        c.reasons_also[0] = damaged ? IOL_reason_lens_damage : 0, c.reasons_also_count = damaged;
        make();
        assert_true(plan.decision.state == IOL_state_exchange && advised(IOL_NOTE_advise_clouded_too));
        assert_true(says(IOL_AT_act_text, IOL_NOTE_act_weigh_clouded) == (damaged == 0));
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(no_depth), cmocka_unit_test(the_iris_of_today),
                                       cmocka_unit_test(no_harm_of_it),
                                       cmocka_unit_test(not_of_this_eye), cmocka_unit_test(settled_by_the_exchange)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
