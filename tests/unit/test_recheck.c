/* One past case: the same numbers as a plan, what goes in and what comes out, what counts; rows of csv. */
#include "plan/alarms.h"
#include "tables/note_codes.h"
#include "check.h"

#include "recheck/past_case.h"
#include "recheck/csv.h"
#include "example_case.h"

static iol_past past;
static iol_recheck found;
static double slope[IOL_PAST_ROWS];
static iol_case c;
static iol_plan plan;

static void recheck(const iol_site *site) {
    memset(&found, 0, sizeof found);
    iol_past_start(&past, site, IOL_UNKNOWN_DATE);
    iol_past_case(&past, &c, &found, slope);
}

static const iol_prediction *row(int method, int formula) {
    for (int i = 0; i < found.predictions_count; i++)
        if (found.predictions[i].method == method && (formula == 0 || found.predictions[i].formula == formula))
            return &found.predictions[i];
    fail_msg("no such row");
    return NULL;
}

static void worked_case(void) {
    char json[4096];
    snprintf(json, sizeof json, WORKED_CASE, "srk-t");
    must_read_case(json, &c);
}

static const iol_site *worked_site(void) {
    static iol_site site;
    must_read_site(WORKED_SITE, &site);
    return &site;
}

/* An exchange for a lens of the worked example's shelf. */
static void put_in(double power_d, int operation) {
    c.outcome.present = c.outcome.lens.present = true;
    c.outcome.operation = operation;
    c.outcome.lens.power_d = power_d;
    memcpy(c.outcome.lens.lens_id, "bag-119", 8);
    iol_date_read("2026-04-01", &c.outcome.done_on);
}

static void achieved(double sphere_d, double cylinder_d, double axis_deg, const char *day) {
    c.outcome.refraction.present = true;
    c.outcome.refraction.sphere_d = sphere_d;
    c.outcome.refraction.cylinder_d = cylinder_d;
    c.outcome.refraction.axis_deg = axis_deg;
    c.outcome.refraction.vertex_mm = 12.0;
    iol_date_read(day, &c.outcome.refraction.measured_on);
}

/* ---- the same as a plan ---- */

/* Open alarms answered no; fluid too, where no sign of it decides. */
static void answer_no(iol_case *of, const iol_site *site) {
    iol_plan_make(of, site, IOL_UNKNOWN_DATE, &plan);
    int first = iol_note_find(&plan.notes, IOL_AT_decision_reasons, 0, 0);
    int code = first < 0 ? -1 : (int)plan.notes.item[first].code;
    bool sign = code == IOL_NOTE_rule_trapped_fluid || code == IOL_NOTE_rule_fluid_seen;
    iol_alarms_answer_no(of);
    if (!sign && of->anterior_segment.fluid_behind_lens <= 0) of->anterior_segment.fluid_behind_lens = IOL_finding_no;
}

/* decision.state of the plan once the alarms that are open are answered no. */
static int answered_state(const iol_site *site) {
    static iol_case answered;
    answered = c;
    answer_no(&answered, site);
    iol_plan_make(&answered, site, IOL_UNKNOWN_DATE, &plan);
    return plan.decision.state;
}

static void examples_as_planned(void **state) {
    (void)state;
    const iol_site *site = example_site();
    for (int i = 0; i < EXAMPLES; i++) {
        example_case(example_names[i], &c);
        recheck(site);
        assert_int_equal(found.status, IOL_recheck_status_no_outcome);
        int state_answered = found.state;
        if (state_answered != answered_state(site)) fail_msg("%s: state", example_names[i]);
        answer_no(&c, site);
        recheck(site);
        CHECK_NEAR(found.alarms_open, 0, 0, "all are answered");
        assert_int_equal(found.state, state_answered);
        example_case(example_names[i], &c);
        recheck(site);
        iol_plan_make(&c, site, IOL_UNKNOWN_DATE, &plan);
        assert_int_equal(found.standing, iol_new_lens(&plan)->standing);
        if (iol_new_lens(&plan)->route != IOL_route_joint) continue;
        assert_int_equal(found.predictions_count, 1);
        double want = iol_new_lens(&plan)->power_exact_d;
        if (isnan(want))
            CHECK_NAN(found.predictions[0].advised_power_d);
        else
            CHECK_NEAR(found.predictions[0].advised_power_d, want, 0.0, "the plan of the same case");
    }
}

/* Fluid that nobody looked for is one open question more; fluid that was seen is not answered away. */
static void fluid_is_asked_for(void **state) {
    (void)state;
    static const int seen[] = {IOL_finding_no, 0, IOL_finding_yes};
    for (int i = 0; i < 3; i++) {
        example_case("hyperopic-surprise", &c);
        c.anterior_segment.fluid_behind_lens = seen[i];
        recheck(example_site());
        CHECK_NEAR(found.alarms_open, i == 1 ? 1.0 : 0.0, 0.0, "by definition");
    }
}

/* Whether the interval held is told where there is an error and a spread, and nowhere else. */
static void intervals_that_can_hold(void **state) {
    (void)state;
    for (int seen = 0; seen < 2; seen++) {
        int told = 0;
        worked_case();
        put_in(21.0, IOL_operation_done_exchange);
        if (seen) achieved(0.25, -0.5, 90.0, "2026-06-01");
        recheck(worked_site());
        for (int i = 0; i < found.predictions_count; i++) {
            const iol_prediction *p = &found.predictions[i];
            assert_int_equal(p->interval_held > 0, !isnan(p->error_d) && !isnan(p->expected_sd_d));
            told += p->interval_held > 0;
        }
        assert_true(found.predictions_count > 0 && (told > 0) == (seen > 0));
    }
}

/* An exchange or a second lens of which the class is on record and the power is not: nothing is predicted for it, and no row of
 * another operation stands in for it. Nothing done yet: what is advised. */
static void a_power_that_nobody_wrote_down(void **state) {
    (void)state;
    for (int operation = 0; operation <= IOL_operation_done_piggyback; operation++) {
        worked_case();
        put_in(NAN, operation);
        achieved(0.0, -0.5, 80.0, "2026-06-01");
        recheck(worked_site());
        if (operation == IOL_operation_done_rotation) continue;
        assert_int_equal(found.predictions_count > 0, operation == 0);
        for (int i = 0; i < found.predictions_count; i++) CHECK_NAN(found.predictions[i].predicted_se_d);
    }
}

static void worked_example_as_planned(void **state) {
    (void)state;
    worked_plan("srk-t", &plan);
    worked_case();
    put_in(24.0, IOL_operation_done_exchange);
    achieved(0.0, -0.5, 80.0, "2026-06-01");
    recheck(worked_site());
    const char *same = "the plan of the same case", *derived = DERIVATION ", worked example";
    assert_int_equal(found.status, IOL_recheck_status_ok);
    assert_int_equal(found.standing, plan.replacement.standing);
    CHECK_NEAR(row(IOL_recheck_method_joint, 0)->advised_power_d, plan.replacement.power_exact_d, 0.0, same);
    CHECK_NEAR(row(IOL_recheck_method_lens_position, 0)->advised_power_d, 24.1157, 5e-5, derived);
    CHECK_NEAR(row(IOL_recheck_method_axial_length, 0)->advised_power_d, 23.9621, 5e-5, derived);
    CHECK_NEAR(row(IOL_recheck_method_cornea, 0)->advised_power_d, 23.9291, 5e-5, derived);
    CHECK_NEAR(row(IOL_recheck_method_lens_label, 0)->advised_power_d, 22.9322, 5e-5, derived);
    static const int method[] = {
        IOL_recheck_method_joint,  IOL_recheck_method_lens_position, IOL_recheck_method_axial_length,
        IOL_recheck_method_cornea, IOL_recheck_method_lens_label,    IOL_recheck_method_refraction_only,
        IOL_recheck_method_joint,  IOL_recheck_method_joint,         IOL_recheck_method_joint};
    assert_int_equal(found.predictions_count, 9);
    for (int i = 0; i < 9; i++) {
        assert_int_equal(found.predictions[i].method, method[i]);
        assert_int_equal(found.predictions[i].reference, i < 5 ? IOL_YES : IOL_NO);
    }
}

/* ---- there and back: the power that a method advises brings its target ---- */

static void advice_brings_the_target(void **state) {
    (void)state;
    worked_case();
    put_in(24.0, IOL_operation_done_exchange);
    recheck(worked_site());
    int rows = found.predictions_count;
    for (int i = 0; i < rows; i++) {
        worked_case();
        put_in(24.0, IOL_operation_done_exchange);
        recheck(worked_site());
        put_in(found.predictions[i].advised_power_d, IOL_operation_done_exchange);
        recheck(worked_site());
        CHECK_NEAR(found.predictions[i].predicted_se_d, -0.25, 2e-3,
                   "there and back; a toric remainder is second order");
        CHECK_NEAR(found.predictions[i].power_gap_d, 0.0, 1e-9, "advised less put in");
    }
}

static void piggyback_there_and_back(void **state) {
    (void)state;
    worked_case();
    put_in(3.0, IOL_operation_done_piggyback);
    recheck(worked_site());
    assert_int_equal(found.predictions_count, 3);
    for (int i = 0; i < 3; i++) {
        worked_case();
        put_in(3.0, IOL_operation_done_piggyback);
        recheck(worked_site());
        put_in(found.predictions[i].advised_power_d, IOL_operation_done_piggyback);
        recheck(worked_site());
        CHECK_NEAR(found.predictions[i].predicted_se_d, -0.25, 2e-3, "there and back");
    }
    CHECK_NEAR(row(IOL_recheck_method_rule_of_thumb, 0)->advised_power_d,
               1.5 * (found.predictions[0].present ? 1.8767 + 0.25 : NAN), 2e-4,
               "1.5 times the miss, worked example's R_now");
}

/* A lens left where it is leaves today's refraction: what the estimate does not believe is error. */
static void a_turn_by_nothing(void **state) {
    (void)state;
    example_case("toric-turned", &c);
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    double noise = plan.surprise.refraction_noise_d;
    c.outcome.present = c.outcome.lens.present = true;
    c.outcome.operation = IOL_operation_done_rotation;
    c.outcome.lens.axis_deg = c.first_surgery.lens.axis_deg;
    c.outcome.refraction = c.refractions[c.refractions_count - 1];
    recheck(example_site());
    assert_int_equal(found.predictions_count, 1);
    double believed = plan.surprise.current_se_d - noise;
    CHECK_NEAR(found.predictions[0].predicted_se_d, believed, 5e-3, "what the estimate believes of today");
    CHECK_NAN(found.predictions[0].advised_power_d);
    double before = fabs(found.predictions[0].error_j0_d) + fabs(found.predictions[0].error_j45_d);
    c.outcome.lens.axis_deg = 95.0;
    recheck(example_site());
    assert_true(fabs(found.predictions[0].error_j0_d) + fabs(found.predictions[0].error_j45_d) > before + 0.5);
}

/* ---- errors ---- */

static void the_error(void **state) {
    (void)state;
    worked_case();
    put_in(24.0, IOL_operation_done_exchange);
    achieved(0.25, -0.75, 80.0, "2026-06-01");
    recheck(worked_site());
    double first = found.predictions[0].error_d;
    CHECK_NEAR(first, found.achieved_se_d - found.predictions[0].predicted_se_d, 1e-12, "achieved less predicted");
    /* The aim never enters the error. */
    c.target_se_d = -2.0;
    recheck(worked_site());
    CHECK_NEAR(found.predictions[0].error_d, first, 0.0, "whatever the target");
    /* The outcome never enters the prediction. */
    achieved(5.0, 0.0, NAN, "2026-06-01");
    double predicted = found.predictions[0].predicted_se_d;
    recheck(worked_site());
    CHECK_NEAR(found.predictions[0].predicted_se_d, predicted, 0.0, "whatever the outcome");
    /* Another vertex distance of the same eye is the same outcome: +5.00 D at 12 mm is +5.00/(1 - 0.002 x 5) at 14 mm. */
    double at_12 = found.achieved_se_d;
    c.outcome.refraction.vertex_mm = 14.0;
    c.outcome.refraction.sphere_d = 5.0 / (1.0 + 0.002 * 5.0);
    recheck(worked_site());
    CHECK_NEAR(found.achieved_se_d, at_12, 1e-9, "vertex formula by hand");
}

static void the_interval_held(void **state) {
    (void)state;
    static const struct {
        double sigmas;
        int held;
    } rows[] = {{0.0, IOL_interval_held_half},        {0.66, IOL_interval_held_half},
                {-0.69, IOL_interval_held_most},      {1.27, IOL_interval_held_most},
                {1.30, IOL_interval_held_nearly_all}, {-1.95, IOL_interval_held_nearly_all},
                {1.97, IOL_interval_held_none},       {-9.0, IOL_interval_held_none}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        worked_case();
        put_in(24.0, IOL_operation_done_exchange);
        recheck(worked_site());
        achieved(found.predictions[0].predicted_se_d + rows[i].sigmas * found.predictions[0].expected_sd_d, 0.0, NAN,
                 "2026-06-01");
        recheck(worked_site());
        assert_int_equal(found.predictions[0].interval_held, rows[i].held);
    }
}

/* ---- what counts ---- */

static iol_flag counted_on(int days, int design, int surgery) {
    worked_case();
    put_in(24.0, IOL_operation_done_exchange);
    achieved(0.0, 0.0, NAN, "2026-04-01");
    c.outcome.lens.design = design;
    c.cornea.earlier_refractive_surgery = surgery;
    c.outcome.refraction.measured_on = c.outcome.done_on + days;
    recheck(worked_site());
    return found.counted;
}

static void late_enough(void **state) {
    (void)state;
    int none = IOL_corneal_surgery_none;
    assert_int_equal(counted_on(27, IOL_design_one_piece, none), IOL_NO);
    assert_int_equal(counted_on(28, IOL_design_one_piece, none), IOL_YES);
    assert_int_equal(counted_on(89, IOL_design_three_piece, none), IOL_NO);
    assert_int_equal(counted_on(90, IOL_design_three_piece, none), IOL_YES);
    assert_int_equal(counted_on(89, IOL_design_plate, none), IOL_NO);
    assert_int_equal(counted_on(89, IOL_design_one_piece, IOL_corneal_surgery_myopic_laser), IOL_NO);
    assert_int_equal(counted_on(90, IOL_design_one_piece, IOL_corneal_surgery_myopic_laser), IOL_YES);
    c.outcome.lens.material = IOL_material_hydrophilic_acrylic;
    c.cornea.earlier_refractive_surgery = none;
    c.outcome.refraction.measured_on = c.outcome.done_on + 89;
    recheck(worked_site());
    assert_int_equal(found.counted, IOL_NO);
    assert_int_equal(found.status, IOL_recheck_status_ok); /* the row is kept */
    c.outcome.done_on = IOL_UNKNOWN_DATE;
    recheck(worked_site());
    assert_int_equal(found.counted, IOL_NO);
}

static void one_eye_of_a_pair(void **state) {
    (void)state;
    worked_case();
    put_in(24.0, IOL_operation_done_exchange);
    achieved(0.0, 0.0, NAN, "2026-06-01");
    memcpy(c.pair_ref, "P-1", 4);
    recheck(worked_site());
    assert_int_equal(found.tested, IOL_YES);
    c.eye = IOL_side_left;
    recheck(worked_site());
    assert_int_equal(found.counted, IOL_YES);
    assert_int_equal(found.tested, IOL_NO);
    c.pair_ref[0] = '\0';
    recheck(worked_site());
    assert_int_equal(found.tested, IOL_YES);
}

static void withheld_everywhere(void **state) {
    (void)state;
    worked_case();
    put_in(24.0, IOL_operation_done_exchange);
    achieved(0.0, 0.0, NAN, "2026-06-01");
    c.anterior_segment.present = true;
    c.anterior_segment.fluid_behind_lens = IOL_finding_yes;
    recheck(worked_site());
    assert_int_equal(found.standing, IOL_standing_withheld);
    assert_true(found.predictions_count > 0);
    for (int i = 0; i < found.predictions_count; i++) {
        CHECK_NAN(found.predictions[i].advised_power_d);
        CHECK_NAN(found.predictions[i].power_gap_d);
    }
}

static void statuses(void **state) {
    (void)state;
    worked_case();
    put_in(24.0, IOL_operation_done_exchange);
    recheck(worked_site());
    assert_int_equal(found.status, IOL_recheck_status_no_outcome);
    achieved(0.0, 0.0, NAN, "2026-06-01");
    c.outcome.operation = IOL_operation_done_remove_only;
    recheck(worked_site());
    assert_int_equal(found.status, IOL_recheck_status_not_predicted);
    assert_int_equal(found.predictions_count, 0);
    c.outcome.operation = IOL_operation_done_exchange;
    c.outcome.lens.power_d = NAN;
    recheck(worked_site());
    assert_int_equal(found.status, IOL_recheck_status_not_predicted);
}

/* ---- csv ---- */

static void names_as_cells(void **state) {
    (void)state;
    static const struct {
        const char *name, *cell;
    } rows[] = {{"cases.jsonl", "cases.jsonl"},
                {"-", "./-"},
                {"Zones.jsonl", "Zones.jsonl"},
                {"A.jsonl", "A.jsonl"},
                {"z", "z"},
                {"a", "a"},
                {"0.csv", "0.csv"},
                {"9.csv", "9.csv"},
                {".x", ".x"},
                {"_x", "_x"},
                {"[x", "./[x"},
                {"{x", "./{x"},
                {":x", "./:x"},
                {"=1+1.jsonl", "./=1+1.jsonl"},
                {"+a", "./+a"},
                {"@a", "./@a"},
                {"\ta", "./\\x09a"},
                {"a,b", "\"a,b\""},
                {"a\"b", "\"a\"\"b\""},
                {"a\nb", "a\\x0ab"},
                {"a\x1b[2J\x7f", "a\\x1b[2J\\x7f"},
                {"\xc3\xa9\xc2\x9b\xff", "./\xc3\xa9\\xc2\\x9b\\xff"},
                {"../a", "../a"},
                {"/a", "/a"},
                {"=a,b", "\"./=a,b\""}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char cell[64];
        assert_int_equal(iol_csv_name(rows[i].name, cell, sizeof cell), strlen(rows[i].cell));
        assert_string_equal(cell, rows[i].cell);
    }
    char small[] = "------";
    assert_int_equal(iol_csv_name("cases.jsonl", small, 4), 3); /* what does not fit is cut, and nothing behind it is touched */
    assert_memory_equal(small, "cas\0--", 7);
    memset(small, '-', 6);
    assert_int_equal(iol_csv_name("case", small, 4), 3); /* a byte too long */
    assert_memory_equal(small, "cas\0--", 7);
}

static void a_refused_row(void **state) {
    (void)state;
    static iol_faults faults;
    static char text[1 << 16];
    const char *json =
        "{\"case_format\":1,\"case_ref\":\"R-1\",\"eye\":\"right\",\"reason\":\"power-error\",\"a,\\\"b\":1}";
    assert_false(iol_case_read(json, strlen(json), &c, &faults));
    memset(&found, 0, sizeof found);
    found.line = 7;
    iol_past_refused(&c, &faults, &found);
    assert_true(iol_csv_room(1) <= sizeof text);
    text[iol_csv_case(&found, "x", 1, 1, text)] = '\0';
    assert_string_equal(text,
                        "x,7,R-1,right,refused,,,,,,,,,,,,,,,,,,,1,\"/a,\"\"b: unknown-key\",false,false,,refused,,,\n");
    int commas = 0, columns = 0;
    for (const char *p = iol_csv_header; *p; p++) columns += *p == ',';
    for (const char *p = text; *p; p++) commas += *p == ',';
    assert_int_equal(commas - 1, columns); /* one comma stands inside the quoted cell */
}

/* Where the constants of the lens that went in come from: its own before the shelf's; nowhere where a lens is only turned, or
 * its power is not known, or it brings none and stands on no shelf. Our own rule: data/recheck_fields.def. */
static void whose_constants(void **state) {
    (void)state;
    static const struct {
        int operation;
        bool own, on_shelf, power;
        int wanted;
    } row[] = {{IOL_operation_done_exchange, false, true, true, IOL_constants_of_site},
               {IOL_operation_done_exchange, true, true, true, IOL_constants_of_case},
               {IOL_operation_done_exchange, true, false, true, IOL_constants_of_case},
               {IOL_operation_done_exchange, false, false, true, 0},
               {IOL_operation_done_exchange, false, true, false, 0},
               {IOL_operation_done_rotation, false, true, true, 0}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        worked_case();
        put_in(20.0, row[i].operation);
        achieved(-0.25, 0.0, 0.0, "2026-06-01");
        if (!row[i].power) c.outcome.lens.power_d = NAN;
        if (!row[i].on_shelf) c.outcome.lens.lens_id[0] = '\0';
        if (row[i].own) c.outcome.lens.constants = c.first_surgery.lens.constants;
        c.outcome.lens.constants.present = row[i].own;
        recheck(worked_site());
        if (found.constants != row[i].wanted) fail_msg("row %zu: constants from %d", i, found.constants);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(examples_as_planned), cmocka_unit_test(fluid_is_asked_for), cmocka_unit_test(intervals_that_can_hold),
        cmocka_unit_test(whose_constants),
        cmocka_unit_test(worked_example_as_planned),
        cmocka_unit_test(a_power_that_nobody_wrote_down),
        cmocka_unit_test(advice_brings_the_target),
        cmocka_unit_test(piggyback_there_and_back),
        cmocka_unit_test(a_turn_by_nothing),
        cmocka_unit_test(the_error),
        cmocka_unit_test(the_interval_held),
        cmocka_unit_test(late_enough),
        cmocka_unit_test(one_eye_of_a_pair),
        cmocka_unit_test(withheld_everywhere),
        cmocka_unit_test(statuses),
        cmocka_unit_test(names_as_cells),
        cmocka_unit_test(a_refused_row),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
