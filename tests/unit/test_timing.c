/* Timing: the published bend index, both sides of every gate, and what decides when gates and easier days clash. */
#include "check.h"

#include "example_case.h"
#include "plan/work.h"
#include "tables/rule_codes.h"

static iol_case c;
static iol_plan plan;

static void base(void) { example_case("hyperopic-surprise", &c); }
static void make(void) { iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan); }
static void make_on(int day) {
    on_day(&c, day);
    make();
}
static bool says(int place, int code) { return has_note(&plan, place, code) >= 0; }

#define DING "Ding and others, capsular bend by swept-source tomography: day 1, week 1, month 1, month 3"
static void test_bend_index(void **state) {
    (void)state;
    static const double published[][2] = {{1, 0.02}, {7, 1.35}, {30, 3.60}, {90, 3.88}};
    base();
    for (int i = 0; i < 4; i++) {
        make_on((int)published[i][0]);
        CHECK_NEAR(plan.timing.bend_index, published[i][1], 1e-12, DING);
    }
    static const double between[][2] = {{4, 0.685}, {60, 3.74}, {91, 3.88}, {4000, 3.88}};
    for (int i = 0; i < 4; i++) {
        make_on((int)between[i][0]);
        CHECK_NEAR(plan.timing.bend_index, between[i][1], 1e-12, "a straight line between two printed points, by hand");
    }
    make_on(18);
    CHECK_NEAR(plan.timing.bend_index, 1.35 + 11.0 / 23.0 * 2.25, 1e-12, "a straight line between two printed points");
    make_on(0);
    CHECK_NAN(plan.timing.bend_index);
    c.first_surgery.lens.position = IOL_position_sulcus;
    make_on(30);
    CHECK_NAN(plan.timing.bend_index);
    assert_null(plan.timing.stage);
    base();
    c.first_surgery.done_on = IOL_UNKNOWN_DATE;
    make();
    CHECK_NAN(plan.timing.bend_index);
    CHECK_NAN(plan.timing.days_since_first_surgery);
    assert_null(plan.timing.stage);
    assert_int_equal(plan.timing.earliest_by_refraction, IOL_UNKNOWN_DATE);
    assert_true(says(IOL_AT_timing_reasons, IOL_NOTE_no_interval));
}

static void test_stage(void **state) {
    (void)state;
    static const struct {
        int day;
        const char *stage;
    } row[] = {{0, "open"}, {6, "open"}, {7, "closing"}, {29, "closing"}, {30, "closed"}, {89, "closed"}, {90, "firm"}};
    base();
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        make_on(row[i].day);
        assert_string_equal(plan.timing.stage, row[i].stage);
    }
}

/* ---- gates ---- */
static void one_piece(void) {}
static void three_piece(void) { c.first_surgery.lens.design = IOL_design_three_piece; }
static void plate(void) { c.first_surgery.lens.design = IOL_design_plate; }
static void hydrophilic(void) { c.first_surgery.lens.material = IOL_material_hydrophilic_acrylic; }
static void silicone(void) { c.first_surgery.lens.material = IOL_material_silicone; }
static void laser(void) { c.cornea.earlier_refractive_surgery = IOL_corneal_surgery_myopic_laser; }
static void cuts(void) { c.cornea.earlier_refractive_surgery = IOL_corneal_surgery_radial_cuts; }
static void from_shelf(void) { c.first_surgery.lens.design = c.first_surgery.lens.material = 0; }
static void design_unknown(void) { c.first_surgery.lens.design = 0, c.first_surgery.lens.lens_id[0] = '\0'; }
static void material_unknown(void) { c.first_surgery.lens.material = 0, c.first_surgery.lens.lens_id[0] = '\0'; }
static void surgery_unknown(void) { c.cornea.earlier_refractive_surgery = 0; }
static void dark_arc(void) { c.reason = IOL_reason_photic_negative; }
static void streaks(void) { c.reason = IOL_reason_photic_positive; }
static void rings(void) { c.reason = IOL_reason_photic_multifocal; }

static const struct {
    void (*change)(void);
    int gate; /* first day that is let through */
    bool by_symptoms;
    iol_note_code why;
} gates[] = {{one_piece, 28, false, IOL_NOTE_gate_refraction},
             {from_shelf, 28, false, IOL_NOTE_gate_refraction},
             {silicone, 28, false, IOL_NOTE_gate_refraction},
             {three_piece, 90, false, IOL_NOTE_gate_lens},
             {plate, 90, false, IOL_NOTE_gate_lens},
             {hydrophilic, 90, false, IOL_NOTE_gate_lens},
             {laser, 90, false, IOL_NOTE_gate_cornea},
             {cuts, 90, false, IOL_NOTE_gate_cornea},
             {design_unknown, 90, false, IOL_NOTE_gate_not_known},
             {material_unknown, 90, false, IOL_NOTE_gate_not_known},
             {surgery_unknown, 90, false, IOL_NOTE_gate_not_known},
             {dark_arc, 180, true, IOL_NOTE_gate_negative},
             {streaks, 90, true, IOL_NOTE_gate_positive},
             {rings, 90, true, IOL_NOTE_gate_multifocal}};

/* Both sides of every gate: the day before waits, the day itself does not. */
static void test_gates(void **state) {
    (void)state;
    for (size_t i = 0; i < sizeof gates / sizeof *gates; i++) {
        base();
        gates[i].change();
        make_on(gates[i].gate - 1);
        iol_note_code rule = gates[i].by_symptoms ? IOL_NOTE_rule_symptom_gate : IOL_NOTE_rule_refraction_gate;
        int32_t date = gates[i].by_symptoms ? plan.timing.earliest_by_symptoms : plan.timing.earliest_by_refraction;
        assert_int_equal(date, c.first_surgery.done_on + gates[i].gate);
        assert_int_equal(plan.decision.state, IOL_state_wait);
        assert_true(says(IOL_AT_decision_reasons, (int)rule));
        assert_true(says(IOL_AT_timing_reasons, (int)gates[i].why));
        make_on(gates[i].gate);
        assert_int_not_equal(plan.decision.state, IOL_state_wait);
        assert_false(says(IOL_AT_decision_reasons, (int)rule));
        assert_true(says(IOL_AT_timing_reasons, (int)gates[i].why));
        if (!gates[i].by_symptoms) assert_int_equal(plan.timing.earliest_by_symptoms, IOL_UNKNOWN_DATE);
    }
}

/* A toric lens off its meridian is turned from day 7 (Oshika 2018); the refraction's gate does not hold a turn up. */
static void test_turn(void **state) {
    (void)state;
    example_case("toric-turned", &c);
    make_on(6);
    assert_int_equal(plan.decision.state, IOL_state_wait);
    make_on(7);
    assert_int_not_equal(plan.decision.state, IOL_state_wait);
    assert_true(says(IOL_AT_timing_reasons, IOL_NOTE_turn_window));
    make_on(21);
    assert_false(says(IOL_AT_timing_reasons, IOL_NOTE_turn_late));
    make_on(22);
    assert_true(says(IOL_AT_timing_reasons, IOL_NOTE_turn_late));
    c.first_surgery.lens.axis_deg = NAN; /* no turn can be planned: the ordinary gate holds */
    make_on(27);
    assert_int_equal(plan.decision.state, IOL_state_wait);
}

/* best_before and the sentence about it: an exchange, a lens in the bag, before day 28. */
static void test_best_before(void **state) {
    (void)state;
    example_case("wrong-lens", &c);
    c.first_surgery.lens.design = IOL_design_one_piece;
    make_on(27);
    assert_int_equal(plan.decision.state, IOL_state_exchange);
    assert_int_equal(plan.timing.best_before, c.first_surgery.done_on + 28);
    assert_int_equal(plan.timing.conflict, IOL_YES); /* the refraction would wait for day 28 */
    assert_true(says(IOL_AT_timing_advice, IOL_NOTE_advice_wrong_lens));
    c.refractions[c.refractions_count - 1].measured_on = c.first_surgery.done_on + 28; /* else it is refracted first */
    make_on(28);
    assert_int_equal(plan.timing.best_before, IOL_UNKNOWN_DATE);
    assert_int_equal(plan.timing.conflict, IOL_NO);
    assert_true(says(IOL_AT_timing_advice, IOL_NOTE_advice_late));
    c.first_surgery.lens.position = IOL_position_sulcus;
    make_on(27);
    assert_int_equal(plan.timing.best_before, IOL_UNKNOWN_DATE);
    base(); /* a gate against the easier days: the gate wins, and says so */
    make_on(27);
    assert_int_equal(plan.decision.state, IOL_state_wait);
    assert_int_equal(plan.timing.best_before, IOL_UNKNOWN_DATE);
    assert_int_equal(plan.timing.conflict, IOL_YES);
    assert_true(says(IOL_AT_timing_advice, IOL_NOTE_advice_gate));
    three_piece();
    make_on(40);
    assert_int_equal(plan.timing.conflict, IOL_NO);
    assert_true(says(IOL_AT_timing_advice, IOL_NOTE_advice_wait));
    base();
    c.reason = IOL_reason_lens_damage; /* exchange before day 28 with nothing that waits */
    c.first_surgery.lens.material = IOL_material_hydrophobic_acrylic;
    make_on(20);
    assert_int_equal(plan.decision.state, IOL_state_exchange);
    assert_int_equal(plan.timing.best_before, c.first_surgery.done_on + 28);
    assert_int_equal(plan.timing.conflict, IOL_NO);
    assert_true(says(IOL_AT_timing_advice, IOL_NOTE_advice_early));
    c.red_flags.pain = IOL_YES;
    make();
    assert_int_equal(plan.timing.best_before, IOL_UNKNOWN_DATE);
    assert_true(says(IOL_AT_timing_advice, IOL_NOTE_advice_today));
}

/* Every sentence about early and late carries both halves (method, section 9). */
static void test_wording(void **state) {
    (void)state;
    static const iol_note_code code[] = {IOL_NOTE_advice_early, IOL_NOTE_advice_late, IOL_NOTE_advice_wrong_lens,
                                         IOL_NOTE_advice_gate};
    for (size_t i = 0; i < sizeof code / sizeof *code; i++) {
        assert_non_null(strstr(iol_note_rows[code[i]].text, "ater is harder, not hopeless"));
        assert_non_null(strstr(iol_note_rows[code[i]].text, "time alone has not been shown to cost the bag"));
    }
}

/* A documented wrong lens waits for no gate. */
static void test_wrong_lens_exempt(void **state) {
    (void)state;
    static const int days[] = {0, 3, 6, 7, 27, 28, 89}; /* later it is read again: test_held.c */
    example_case("wrong-lens", &c);
    for (size_t i = 0; i < sizeof days / sizeof *days; i++) {
        make_on(days[i]);
        assert_int_equal(plan.decision.state, IOL_state_exchange);
    }
    c.first_surgery.lens.documented_wrong = IOL_UNKNOWN;
    make_on(3);
    assert_int_not_equal(plan.decision.state, IOL_state_exchange);
}

/* ---- warnings ---- */
static void test_no_capsule_laser(void **state) {
    (void)state;
    static const int open[] = {IOL_posterior_capsule_opened_by_laser, IOL_posterior_capsule_torn,
                               IOL_posterior_capsule_absent};
    base();
    make();
    assert_true(says(IOL_AT_plan_cautions, IOL_NOTE_no_capsule_laser));
    c.capsule.posterior = 0; /* not known: warn all the same */
    make();
    assert_true(says(IOL_AT_plan_cautions, IOL_NOTE_no_capsule_laser));
    for (int i = 0; i < 3; i++) {
        c.capsule.posterior = open[i];
        make();
        assert_false(says(IOL_AT_plan_cautions, IOL_NOTE_no_capsule_laser));
    }
    base();
    c.checks.acuity_improves_with_trial_lens = IOL_NO;
    make();
    assert_int_equal(plan.decision.state, IOL_state_not_for_exchange);
    assert_false(says(IOL_AT_plan_cautions, IOL_NOTE_no_capsule_laser));
}

static void test_fluid(void **state) {
    (void)state;
    base();
    make();
    assert_false(says(IOL_AT_timing_reasons, IOL_NOTE_fluid_release));
    c.anterior_segment.fluid_behind_lens = IOL_finding_yes;
    make();
    assert_true(says(IOL_AT_timing_reasons, IOL_NOTE_fluid_release));
    assert_true(says(IOL_AT_timing_reasons, IOL_NOTE_fluid_infection));
}

/* Fluid that was seen: no refraction counts, so no day is given from which it does, and nothing that would rest on it stands
 * in the plan as if it were known (common practice, no source). */
static void test_fluid_seen(void **state) {
    (void)state;
    for (int e = 0; e < EXAMPLES; e++) {
        example_case(example_names[e], &c);
        c.anterior_segment.fluid_behind_lens = IOL_finding_yes;
        make();
        assert_int_equal(plan.timing.earliest_by_refraction, IOL_UNKNOWN_DATE);
        assert_true(says(IOL_AT_timing_reasons, IOL_NOTE_gate_fluid));
        assert_false(says(IOL_AT_timing_reasons, IOL_NOTE_gate_refraction));
        assert_false(plan.surprise.present || plan.rotation.present || plan.spectacles.present ||
                     plan.contact_lens.present || plan.corneal_laser.present || plan.piggyback.present);
        assert_false(says(IOL_AT_plan_cautions, IOL_NOTE_fellow_half));
        for (int i = 0; i < plan.options_count; i++) {
            CHECK_NAN(plan.options[i].expected_se_d);
            bool by_reading = plan.options[i].option == IOL_option_spectacles ||
                              plan.options[i].option == IOL_option_contact_lens ||
                              plan.options[i].option == IOL_option_corneal_laser;
            assert_false(by_reading && plan.options[i].suitable == IOL_YES);
        }
    }
}

/* Fluid suspected and not excluded: what rests on the reading is marked, and nothing of it goes to fellow eye or patient. */
static void test_fluid_suspected(void **state) {
    (void)state;
    for (int excluded = 0; excluded < 2; excluded++) {
        example_case("myopic-surprise-early", &c);
        c.anterior_segment.fluid_behind_lens = excluded ? IOL_finding_no : IOL_NOT_EXAMINED;
        c.checks.acuity_improves_with_trial_lens = c.wish.glasses_accepted = c.complaint.relieved_by_glasses = IOL_YES;
        c.fellow_eye.present = true;
        c.fellow_eye.lens = IOL_fellow_lens_phakic;
        make();
        bool talks = false;
        for (int i = 0; i < plan.notes.count; i++)
            talks = talks || plan.notes.item[i].code == (int)IOL_NOTE_say_option_glasses ||
                    plan.notes.item[i].code == (int)IOL_NOTE_say_option_spectacles;
        assert_true(talks == excluded);
        assert_true(says(IOL_AT_plan_cautions, IOL_NOTE_fellow_waits) == excluded); /* 2.53 spreads, a gross cause possible */
        assert_false(says(IOL_AT_plan_cautions, IOL_NOTE_fellow_half));
        assert_true(says(IOL_AT_spectacles_reasons, IOL_NOTE_opt_glasses_wanted) == excluded);
        assert_true(says(IOL_AT_spectacles_reasons, IOL_NOTE_opt_glasses_fluid) == !excluded);
        assert_true(excluded || plan.spectacles.suitable == IOL_UNKNOWN);
    }
}

/* A reading of more than a year before the plan is called old, with its date; the newest that counts is meant. */
static void test_old_reading(void **state) {
    (void)state;
    char date[11];
    for (int days = 365; days <= 366; days++) {
        base();
        int32_t on = c.refractions[c.refractions_count - 1].measured_on;
        c.assessed_on = on + days;
        make();
        int note = has_note(&plan, IOL_AT_plan_cautions, IOL_NOTE_reading_old);
        assert_true((note >= 0) == (days == 366));
        if (note < 0) continue;
        iol_date_print(on, date);
        assert_string_equal(plan.notes.item[note].word, date);
        CHECK_NEAR(plan.notes.item[note].value, 366.0, 0.0, "by the calendar");
        iol_refraction *added = &c.refractions[c.refractions_count++]; /* a newer one, with the lens displaced */
        *added = c.refractions[0];
        added->measured_on = c.assessed_on;
        added->lens_then = IOL_lens_then_displaced;
        make();
        assert_true(has_note(&plan, IOL_AT_plan_cautions, IOL_NOTE_reading_old) >= 0);
        added->lens_then = IOL_lens_then_in_place;
        make();
        assert_true(has_note(&plan, IOL_AT_plan_cautions, IOL_NOTE_reading_old) < 0);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_bend_index),
        cmocka_unit_test(test_stage),
        cmocka_unit_test(test_gates),
        cmocka_unit_test(test_turn),
        cmocka_unit_test(test_best_before),
        cmocka_unit_test(test_fluid_seen),
        cmocka_unit_test(test_fluid_suspected),
        cmocka_unit_test(test_old_reading),
        cmocka_unit_test(test_wording),
        cmocka_unit_test(test_wrong_lens_exempt),
        cmocka_unit_test(test_no_capsule_laser),
        cmocka_unit_test(test_fluid),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
