/* What an eye of a child asks for that an adult's does not. Limits: judgement or common practice, as the rules say; each eye beside
 * one in which the plain advice stays right. */
#include <math.h>

#include "check.h"

#include "eye/child.h"
#include "hard_case.h"
#include "report/compose.h"
#include "report/screen.h"
#include "tables/constants.h"
#include "tables/rule_codes.h"
#include "way_of.h"

static iol_case c;
static iol_plan plan;

static void make(void) { iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan); }
static bool says(int place, iol_note_code code) { return has_note(&plan, place, (int)code) >= 0; }
static bool advised(iol_note_code code) { return says(IOL_AT_decision_reasons, code); }
static bool acts(iol_note_code code) { return says(IOL_AT_act_text, code); }
static bool told(iol_note_code code) { return says(IOL_AT_told_say, code); }
static bool cautions(iol_note_code code) { return says(IOL_AT_plan_cautions, code); }

static const iol_option_row *way(int option) { return way_of(&plan, option); }

/* A capsule that clouds under 10 is opened within weeks, then glasses. Opposite: at 10, with good sight, with a clear capsule, and
 * where the old lens is the wrong one and comes out. */
static void haze(void **state) {
    (void)state;
    for (int i = 0; i < 5; i++) {
        example_case(i == 4 ? "wrong-lens" : "child", &c);
        if (i == 4) c.age_years = 6.0;
        c.refractions[c.refractions_count - 1].corrected_acuity_logmar = 0.2;
        if (i != 3) c.capsule.posterior = IOL_posterior_capsule_opacified;
        if (i == 1) c.age_years = 10.0;
        if (i == 2) c.refractions[c.refractions_count - 1].corrected_acuity_logmar = 0.1;
        make();
        assert_true((deciding_note(&plan) == IOL_NOTE_rule_child_haze) == (i == 0));
        assert_true(acts(IOL_NOTE_act_child_haze) == (i == 0 || i == 4));
        assert_true(cautions(IOL_NOTE_no_capsule_laser) == (i > 0)); /* the exchange still needs the bag */
        if (i > 0) continue;
        assert_int_equal(plan.decision.urgency, IOL_urgency_weeks);
        assert_int_equal(way(IOL_option_capsule_laser)->rank, 1);
        assert_int_equal(way(IOL_option_spectacles)->rank, 2);
        assert_true(told(IOL_NOTE_plain_open_skin) && told(IOL_NOTE_plain_still_learns));
        assert_non_null(strstr(plan.decision.sentence, "vitrectomy"));
    }
    example_case("child", &c); /* acuity not known: the haze counts */
    c.capsule.posterior = IOL_posterior_capsule_opacified;
    for (int i = 0; i < c.refractions_count; i++) c.refractions[i].corrected_acuity_logmar = NAN;
    make();
    assert_true(acts(IOL_NOTE_act_child_haze));
}

/* A small eye turns myopic by itself: no fallback and no sentence aims it more myopic. Opposite: the same eye at 18. */
static void no_myopic_shift(void **state) {
    (void)state;
    int shifted = 0;
    for (int adult = 0; adult < 2; adult++) {
        example_case("no-lens", &c);
        c.capsule.posterior = IOL_posterior_capsule_absent, c.capsule.anterior = IOL_anterior_capsule_absent;
        c.age_years = adult ? 40.0 : 2.0;
        make();
        assert_true(cautions(IOL_NOTE_wide_spread) == adult);
        example_case("child", &c);
        if (adult) c.age_years = 18.0;
        make();
        for (int i = 0; i < plan.fallbacks_count; i++)
            shifted += plan.fallbacks[i].aim_d < plan.replacement.target_se_d - 0.01;
        assert_true((shifted > 0) == adult);
    }
}

/* No lens in the bag of a small child, a contact lens not tolerated: it is fitted again before one is held in the sclera.
 * Opposite: at 18, and where the capsule holds one. */
static void contact_lens_again(void **state) {
    (void)state;
    for (int i = 0; i < 3; i++) {
        hard_case_named("no-lens-child", &c);
        c.wish.contact_lens = IOL_tolerance_not_tolerated;
        c.capsule.posterior = c.capsule.anterior = 0;
        if (i < 2) c.capsule.posterior = IOL_posterior_capsule_absent, c.capsule.anterior = IOL_anterior_capsule_absent;
        if (i == 1) c.age_years = 18.0;
        if (i == 2) {
            c.capsule.posterior = IOL_posterior_capsule_clear, c.capsule.anterior = IOL_anterior_capsule_intact_opening;
            c.zonule.donesis = IOL_donesis_none, c.zonule.missing_clock_hours = 0.0;
        }
        make();
        assert_int_equal(way(IOL_option_contact_lens)->suitable, i == 0 ? IOL_UNKNOWN : IOL_NO);
        assert_true(acts(IOL_NOTE_act_contact_again) == (i == 0));
        if (i == 0) assert_int_equal(way(IOL_option_contact_lens)->rank, 1);
    }
}

/* About 7 D less the age is aimed at (from memory), none from 7 on. */
static void aim_by_age(void **state) {
    (void)state;
    static const double age[] = {0.5, 1.0, 2.0, 4.0, 5.9, 6.0, 7.0, 7.9}, aim[] = {7.0, 6.0, 5.0, 3.0, 2.0, 1.0, 0.0, 0.0};
    for (int i = 0; i < 8; i++) CHECK_NEAR(iol_child_usual_aim(age[i]), aim[i], 1e-12, "from memory: age and aim make 7");
    assert_true(isnan(iol_child_usual_aim(8.0)) && isnan(iol_child_usual_aim(NAN)));
    for (int i = 0; i < 4; i++) { /* below, at; a healthy aim is no unusual value, beyond its own limit it is one */
        example_case("child", &c);
        c.target_se_d = i == 0 ? 0.9 : i == 1 ? 1.0 : i == 2 ? 2.0 : 2.1;
        make();
        assert_true(advised(IOL_NOTE_advise_child_aim) == (i == 0) && acts(IOL_NOTE_act_child_aim) == (i == 0));
        assert_true(cautions(IOL_NOTE_unusual) == (i == 3));
    }
    c.target_se_d = 1.5, c.age_years = 12.0; /* a grown child has the usual limit */
    make();
    assert_true(cautions(IOL_NOTE_unusual) && !advised(IOL_NOTE_advise_child_aim));
}

/* For little no lens of a child is changed or added. Opposite: beyond the limit, and in an adult. */
static void too_little_for_a_lens(void **state) {
    (void)state;
    for (int i = 0; i < 3; i++) {
        example_case("child", &c);
        if (i == 1) c.target_se_d = 3.5; /* now +0.38 D */
        if (i == 2) c.age_years = 18.0;
        make();
        assert_true((way(IOL_option_exchange)->suitable == IOL_NO) == (i == 0));
        assert_true(says(IOL_AT_option_row_why, IOL_NOTE_opt_pb_child) == (i < 2));
        assert_true(acts(IOL_NOTE_act_child_near) == (i < 2));
    }
}

/* Theatre and talk of a child: anaesthesia, sutures, the capsule of a young one, no figure of adults. Opposite: an adult. */
static void the_operation_of_a_child(void **state) {
    (void)state;
    for (int i = 0; i < 3; i++) {
        example_case("wrong-lens", &c);
        c.age_years = i == 0 ? 5.0 : i == 1 ? 9.0 : 18.0;
        if (i == 0) c.target_se_d = 2.0; /* an aim of its age */
        make();
        bool listed = false;
        for (int k = 0; k < plan.theatre_list_count; k++)
            listed |= strcmp(plan.theatre_list[k].item, "anaesthetist for children") == 0;
        assert_true(listed == (i < 2) && told(IOL_NOTE_plain_next_sleeps) == (i < 2));
        assert_true(told(IOL_NOTE_plain_of_model) == (i == 2) && advised(IOL_NOTE_advise_child_capsule) == (i == 0));
    }
}

/* The retina may come loose: told with every exchange and every fixing. Opposite: glasses, a turn. What is due within weeks, and
 * what a multifocal lens leaves behind, is told too. */
static void what_the_patient_hears(void **state) {
    (void)state;
    static const char *const names[] = {"dislocation", "wrong-lens",   "lens-opacity", "no-lens",
                                        "displaced",   "toric-turned", "child"};
    for (int i = 0; i < 7; i++) {
        example_case(names[i], &c);
        if (i == 4) c.capsule.anterior = IOL_anterior_capsule_intact_opening; /* fixed at once: no rim is cut first */
        make();
        if ((told(IOL_NOTE_plain_risk_gel) || told(IOL_NOTE_plain_risk_film)) != (i < 5)) fail_msg("%s", names[i]);
        assert_true(told(IOL_NOTE_plain_next_weeks) == (i == 0));
    }
    for (int i = 0; i < 3; i++) {
        example_case(i == 2 ? "lens-opacity" : "multifocal-photic", &c);
        c.cornea.ocular_surface = IOL_ocular_surface_healthy;
        if (i == 1) { /* the same eye, all of it nearer, as it is wished */
            c.wish.distance = IOL_range_near;
            c.target_se_d -= 2.0, c.first_surgery.intended_se_d -= 2.0, c.first_surgery.lens.power_d += 3.0;
            for (int k = 0; k < c.refractions_count; k++) c.refractions[k].sphere_d -= 2.0;
        }
        make();
        assert_true(told(IOL_NOTE_plain_next_reads) == (i == 0) && told(IOL_NOTE_plain_next_far) == (i == 1));
        assert_true(told(IOL_NOTE_plain_next_glasses) == (i == 2));
    }
}

/* From 15 on an eye hardly grows: a contact lens is no longer said to follow it. Opposite: just under. */
static void no_hurry_in_youth(void **state) {
    (void)state;
    for (int i = 0; i < 2; i++) {
        example_case("no-lens", &c);
        c.age_years = i == 0 ? 15.0 : 14.9;
        make();
        assert_int_equal(way(IOL_option_contact_lens)->rank, 1);
        assert_true(says(IOL_AT_option_row_why, IOL_NOTE_opt_contact_youth) == (i == 0));
        assert_true(says(IOL_AT_option_row_why, IOL_NOTE_opt_contact_child) == (i == 1));
    }
}

/* A cornea with few cells: an operation inside the eye is planned with a corneal surgeon, among what comes first. Opposite:
 * enough cells, and an eye whose cornea leads. */
static void weak_cornea_is_weighed(void **state) {
    (void)state;
    for (int i = 0; i < 3; i++) {
        example_case("no-lens", &c);
        c.cornea.endothelial_cells_per_mm2 = i == 1 ? 1200.0 : 1199.0;
        if (i == 2) c.cornea.oedema = IOL_YES, c.refractions[c.refractions_count - 1].corrected_acuity_logmar = 0.5;
        make();
        assert_true(acts(IOL_NOTE_act_cornea_first) == (i == 0) && !acts(IOL_NOTE_act_weigh_cornea));
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(haze),          cmocka_unit_test(no_myopic_shift),       cmocka_unit_test(contact_lens_again),
        cmocka_unit_test(aim_by_age),    cmocka_unit_test(too_little_for_a_lens), cmocka_unit_test(the_operation_of_a_child),
        cmocka_unit_test(what_the_patient_hears), cmocka_unit_test(no_hurry_in_youth),
        cmocka_unit_test(weak_cornea_is_weighed),
    };
    return cmocka_run_group_tests_name("children", tests, NULL, NULL);
}
