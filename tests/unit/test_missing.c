/* What is asked for: each test while its answer is open, and no longer once it is answered; what only a question of power needs is
 * not asked of an eye that has none. Kind: our own rules (judgement), a row a test. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

#include "check.h"
#include "hard_case.h"
#include "tables/note_codes.h"
#include "tables/rule_codes.h"

static iol_case c;
static iol_plan plan;

static bool asks(int code) {
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    return has_note(&plan, IOL_AT_decision_missing_tests, code) >= 0;
}

static void open_lens(void) { c.first_surgery.lens.identified_by = 0; }

/* Asked while open, not once answered. */
#define ASKED(id, example, open, answered)                                                                             \
    do {                                                                                                               \
        example_case(example, &c);                                                                                     \
        answered;                                                                                                      \
        if (asks(IOL_NOTE_missing_##id)) fail_msg(#id ": asked though answered: " #answered);                          \
        example_case(example, &c);                                                                                     \
        open;                                                                                                          \
        if (!asks(IOL_NOTE_missing_##id)) fail_msg(#id ": not asked though open: " #open);                             \
    } while (0)
#define SURPRISE "hyperopic-surprise"

static void while_open(void **state) {
    (void)state;
    iol_lens *lens = &c.first_surgery.lens;
    ASKED(red_flags, SURPRISE, c.red_flags.pain = IOL_UNKNOWN, (void)0);
    ASKED(pressure, SURPRISE, c.anterior_segment.pressure_mmhg = NAN, c.anterior_segment.pressure_mmhg = 15.0);
    ASKED(glaucoma, SURPRISE, c.anterior_segment.glaucoma = 0, c.anterior_segment.glaucoma = IOL_glaucoma_none);
    ASKED(glaucoma, SURPRISE, c.anterior_segment.glaucoma = IOL_NOT_EXAMINED,
          c.anterior_segment.glaucoma = IOL_glaucoma_controlled);
    ASKED(uveitis, SURPRISE, c.anterior_segment.uveitis = 0, c.anterior_segment.uveitis = IOL_uveitis_none);
    ASKED(fluid, SURPRISE, c.anterior_segment.fluid_behind_lens = 0,
          c.anterior_segment.fluid_behind_lens = IOL_finding_no);
    ASKED(oct, SURPRISE, c.retina.oct_done = IOL_UNKNOWN, c.retina.oct_done = IOL_YES);
    ASKED(topography, SURPRISE, c.checks.topography_done = IOL_UNKNOWN, c.checks.topography_done = IOL_YES);
    ASKED(dilated_look, SURPRISE, c.checks.dilated_look_done = IOL_UNKNOWN, c.checks.dilated_look_done = IOL_YES);
    ASKED(dilated_look, SURPRISE, c.checks.dilated_look_done = IOL_NO, c.checks.dilated_look_done = IOL_YES);
    ASKED(place, SURPRISE, lens->position = 0, lens->position = IOL_position_bag);
    ASKED(biometry, SURPRISE, blank(&c, "biometry_repeat"), (void)0);
    ASKED(belongs, SURPRISE, c.checks.biometry_belongs_to_this_eye = IOL_UNKNOWN,
          c.checks.biometry_belongs_to_this_eye = IOL_YES);
    ASKED(belongs, SURPRISE, c.checks.biometry_belongs_to_this_eye = IOL_NO,
          c.checks.biometry_belongs_to_this_eye = IOL_YES);
    ASKED(sheet, SURPRISE, c.checks.original_sheet_seen = IOL_UNKNOWN, c.checks.original_sheet_seen = IOL_YES);
    ASKED(sheet, SURPRISE, c.checks.original_sheet_seen = IOL_NO, c.checks.original_sheet_seen = IOL_YES);
    ASKED(sticker, SURPRISE, open_lens(), lens->identified_by = IOL_identified_by_sticker);
    ASKED(opacity, "lens-opacity", lens->opacity = 0, lens->opacity = IOL_opacity_marked);
    ASKED(opacity, "lens-opacity", lens->opacity = IOL_NOT_EXAMINED, lens->opacity = IOL_opacity_none);
    ASKED(marks, "toric-turned", lens->axis_deg = NAN, lens->axis_deg = 10.0);
    ASKED(stage, "dislocation", c.dislocation.stage = NAN, (void)0);
    ASKED(stage, "dislocation", c.dislocation.lies = 0, (void)0);
    ASKED(capsule, SURPRISE, c.capsule.posterior = 0, c.capsule.posterior = IOL_posterior_capsule_torn);
    ASKED(capsule, SURPRISE, c.capsule.posterior = IOL_NOT_EXAMINED, c.capsule.posterior = IOL_posterior_capsule_clear);
    ASKED(cells, SURPRISE, c.cornea.endothelial_cells_per_mm2 = NAN, c.cornea.endothelial_cells_per_mm2 = 1000.0);
    ASKED(trend, SURPRISE, c.complaint.trend = 0, c.complaint.trend = IOL_trend_better);
    ASKED(target, SURPRISE, c.target_se_d = NAN, c.target_se_d = 0.0);
    ASKED(refraction, SURPRISE, c.refractions_count = 0, (void)0);
    ASKED(keratometry, SURPRISE, blank(&c, "biometry"); blank(&c, "biometry_repeat"), (void)0);
    ASKED(old_power, SURPRISE, lens->power_d = NAN, lens->power_d = 21.0);
    ASKED(old_power, SURPRISE, c.aphakic_now = IOL_NO; lens->power_d = NAN, lens->power_d = 21.0);
    ASKED(operation_day, SURPRISE, c.first_surgery.done_on = IOL_UNKNOWN_DATE, (void)0);
    ASKED(oil, SURPRISE, blank(&c, "silicone_oil"); c.zonule.vitrectomised = IOL_YES, c.zonule.vitrectomised = IOL_NO);
    ASKED(oil, SURPRISE, blank(&c, "silicone_oil"); c.zonule.vitrectomised = IOL_UNKNOWN, (void)0);
}

/* A lens that is out needs no look at it, and its power is no question any more. */
static void without_a_lens(void **state) {
    (void)state;
    example_case("no-lens", &c);
    c.checks.dilated_look_done = IOL_UNKNOWN;
    assert_false(asks(IOL_NOTE_missing_dilated_look));
    c.first_surgery.lens.position = 0;
    assert_false(asks(IOL_NOTE_missing_place));
    c.first_surgery.lens.power_d = NAN;
    assert_false(asks(IOL_NOTE_missing_old_power));
}

/* A clouded lens without an optical complaint: what explains a miss is not asked for. */
static void no_question_of_power(void **state) {
    (void)state;
    static const struct {
        int code;
        const char *id;
    } power[] = {{IOL_NOTE_missing_trial_lens, "trial_lens"}, {IOL_NOTE_missing_biometry, "biometry"},
                 {IOL_NOTE_missing_belongs, "belongs"},       {IOL_NOTE_missing_sheet, "sheet"},
                 {IOL_NOTE_missing_refraction, "refraction"}, {IOL_NOTE_missing_keratometry, "keratometry"},
                 {IOL_NOTE_missing_old_power, "old_power"},   {IOL_NOTE_missing_operation_day, "operation_day"},
                 {IOL_NOTE_missing_trend, "trend"},           {IOL_NOTE_missing_place, "place"}};
    for (int optical = 0; optical < 2; optical++) {
        example_case(SURPRISE, &c);
        c.reason = optical ? IOL_reason_power_error : IOL_reason_lens_opacity;
        c.refractions_count = 0;
        blank(&c, "biometry"), blank(&c, "biometry_repeat"), blank(&c, "checks"), blank(&c, "first_surgery"),
            blank(&c, "complaint");
        for (size_t i = 0; i < sizeof power / sizeof *power; i++)
            if (asks(power[i].code) != (bool)optical)
                fail_msg("%s of %s", power[i].id, optical ? "a miss" : "a clouded lens");
    }
}

/* Each of these alone keeps the cause from being known: nothing is decided before it. */
#define DECIDES(open)                                                                                                  \
    do {                                                                                                               \
        example_case(SURPRISE, &c);                                                                                    \
        open;                                                                                                          \
        iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);                                                    \
        if (has_note(&plan, IOL_AT_decision_reasons, IOL_NOTE_rule_tests_missing) < 0)                                 \
            fail_msg("decides in spite of " #open);                                                                    \
    } while (0)

static void each_alone_stops(void **state) {
    (void)state;
    example_case(SURPRISE, &c);
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    assert_true(has_note(&plan, IOL_AT_decision_reasons, IOL_NOTE_rule_tests_missing) < 0);
    DECIDES(c.retina.oct_done = IOL_UNKNOWN);
    DECIDES(c.checks.topography_done = IOL_UNKNOWN);
    DECIDES(c.checks.topography_done = IOL_NO);
    DECIDES(c.complaint.trend = 0);
    DECIDES(c.target_se_d = NAN);
    DECIDES(c.first_surgery.lens.position = 0);
    DECIDES(c.checks.acuity_improves_with_trial_lens = IOL_UNKNOWN; c.refractions_count = 0);
}

/* Only where nothing harms the eye does an error of the record decide: a clouded lens comes out whatever the sheet says. */
static void a_gross_error_is_of_power(void **state) {
    (void)state;
    for (int optical = 0; optical < 2; optical++) {
        example_case(SURPRISE, &c);
        c.reason = optical ? IOL_reason_power_error : IOL_reason_inflammation;
        c.checks.dilated_look_done = IOL_UNKNOWN;
        for (int i = 0; i < c.refractions_count; i++) c.refractions[i].sphere_d = 9.0;
        iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
        assert_int_equal(has_note(&plan, IOL_AT_decision_reasons, IOL_NOTE_rule_gross_error) >= 0, optical);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(while_open), cmocka_unit_test(without_a_lens),
                                       cmocka_unit_test(no_question_of_power), cmocka_unit_test(each_alone_stops),
                                       cmocka_unit_test(a_gross_error_is_of_power)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
