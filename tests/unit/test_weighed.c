/* What is looked at or weighed before an operation: a lens that may rub, a swollen macula, a lens that only trembles, a weak
 * zonule, a haze that brought the complaint. Limits: judgement or common practice, as the rules say; each eye beside one in which
 * the other advice is right. */
#include <math.h>

#include "check.h"

#include "hard_case.h"
#include "report/compose.h"
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
static bool why(iol_note_code code) { return says(IOL_AT_option_row_why, code); }
static int deciding(void) { return deciding_note(&plan); }
static const iol_option_row *way(int option) { return way_of(&plan, option); }
static double rank(int option) { return way(option)->rank; }

/* Three pieces in the sulcus with pigment, cells or pressure: a look first, exchange weighed, laser last. Opposite: none of them
 * found, in the bag, or a reason for which it comes out anyhow. Not told whether there is pigment clears nothing. */
static void a_lens_that_may_rub(void **state) {
    (void)state;
    for (int i = 0; i < 8; i++) {
        example_case("sulcus-lens", &c);
        if (i == 1 || i >= 5) c.anterior_segment.pigment_dispersion = IOL_YES;
        if (i == 2 || i == 3) c.anterior_segment.pressure_mmhg = c_pressure_rubs_mmhg + (i == 2 ? 0.0 : 0.1);
        if (i == 4) c.anterior_segment.pigment_dispersion = IOL_UNKNOWN;
        if (i == 5) c.first_surgery.lens.position = IOL_position_bag;
        if (i == 6) c.reason = IOL_reason_lens_damage;
        if (i == 7) c.first_surgery.lens.position = IOL_position_sclera;
        make();
        const bool rubs = i == 1 || i == 3 || i == 7;
        assert_true((deciding() == IOL_NOTE_rule_may_rub) == rubs && acts(IOL_NOTE_act_rubs) == rubs);
        assert_true(acts(IOL_NOTE_act_weigh_rubs) == rubs && told(IOL_NOTE_plain_may_rub) == rubs);
        assert_true((deciding() == IOL_NOTE_rule_may_rub_open) == (i == 4) && acts(IOL_NOTE_act_rubs_open) == (i == 4));
        if (i == 6) continue;
        assert_true((rank(IOL_option_corneal_laser) > rank(IOL_option_exchange)) == (rubs || i == 4));
        assert_true((way(IOL_option_spectacles)->suitable != IOL_NO && why(IOL_NOTE_opt_glasses_may_rub)) == rubs);
        if (rubs) assert_int_equal(plan.decision.urgency, IOL_urgency_weeks);
    }
    for (int i = 0; i < 3; i++) { /* hardly a gap to the iris: looked at, whatever leads; below, at, in the bag */
        example_case("sulcus-lens", &c);
        c.anterior_segment.iris_to_lens_gap_mm = c_rub_gap_mm - (i == 1 ? 0.0 : 0.01);
        if (i == 2) c.first_surgery.lens.position = IOL_position_bag;
        make();
        assert_true(acts(IOL_NOTE_act_near_iris) == (i == 0));
    }
}

/* Whatever rubs where it lies - three pieces in the sulcus, a second lens - is treated and looked at, not put off for months of
 * quiet (common practice). Opposite: uveitis with the lens in the bag, or in a place that is not told, or
 * cells alone, waits. */
static void what_rubs_is_not_put_off(void **state) {
    (void)state;
    enum { CELLS, PRESSURE, IN_THE_BAG, NOT_TOLD, CELLS_ALONE, SECOND_CELLS, SECOND_PRESSURE, KINDS };
    for (int i = 0; i < KINDS; i++) {
        const bool second = i >= SECOND_CELLS, pressure = i == PRESSURE || i == SECOND_PRESSURE;
        example_case(second ? "two-lenses" : "sulcus-lens", &c);
        if (pressure) c.anterior_segment.pressure_mmhg = c_pressure_treat_mmhg;
        if (!pressure) c.anterior_segment.uveitis = IOL_uveitis_active;
        c.anterior_segment.pigment_dispersion = i == CELLS_ALONE ? IOL_NO : IOL_YES;
        if (i == IN_THE_BAG) c.first_surgery.lens.position = IOL_position_bag;
        if (i == NOT_TOLD) c.first_surgery.lens.position = 0;
        make();
        const bool waits = i == IN_THE_BAG || i == NOT_TOLD || i == CELLS_ALONE;
        assert_true(deciding() == (waits ? IOL_NOTE_rule_uveitis_active : IOL_NOTE_rule_rubs_treat));
        assert_int_equal(plan.decision.state, IOL_state_wait);
        assert_true(acts(IOL_NOTE_act_treat_rubs) == !waits && acts(IOL_NOTE_act_quiet) == waits);
        assert_true(told(IOL_NOTE_plain_rubs) == !waits && told(IOL_NOTE_plain_rubs_look) == !waits);
        assert_true(told(IOL_NOTE_plain_inflamed) == waits && told(IOL_NOTE_plain_treat_first));
        if (waits) continue;
        assert_true(plan.decision.urgency <= IOL_urgency_weeks && !why(IOL_NOTE_opt_ex_inflamed));
        if (!second) assert_true(rank(IOL_option_exchange) == 1.0 && rank(IOL_option_spectacles) > 1.0);
        if (!second) assert_true(rank(IOL_option_contact_lens) > 1.0);
        if (second) assert_true(rank(IOL_option_second_out) == 1.0);
        if (second) assert_true(way(IOL_option_corneal_laser)->suitable == IOL_NO);
    }
}

/* A second lens that rubs is looked at and treated, then comes out, within weeks; the patient hears that it rubs (common practice).
 * Opposite: nothing speaks for rubbing; pressure at the limit. */
static void a_second_lens_that_rubs(void **state) {
    (void)state;
    for (int i = 0; i < 4; i++) {
        example_case("two-lenses", &c);
        if (i == 1) c.anterior_segment.pigment_dispersion = IOL_YES;
        if (i >= 2) c.anterior_segment.pressure_mmhg = c_pressure_rubs_mmhg + (i == 2 ? 0.0 : 0.1);
        make();
        const bool rubs = i == 1 || i == 3;
        assert_true((deciding() == IOL_NOTE_rule_second_rubs) == rubs && acts(IOL_NOTE_act_second_rubs) == rubs);
        assert_true(told(IOL_NOTE_plain_rubs) == rubs && told(IOL_NOTE_plain_rubs_look) == rubs);
        if (rubs) assert_true(plan.decision.urgency == IOL_urgency_weeks && told(IOL_NOTE_plain_next_weeks));
        assert_true((way(IOL_option_leave)->suitable == IOL_YES) != rubs);
        if (rubs) assert_true(way(IOL_option_corneal_laser)->suitable == IOL_NO && !told(IOL_NOTE_plain_else_leave));
    }
}

/* Uveitis beside a lens that has slipped: calmed, not put off for months; on the retina within days (common practice). Opposite:
 * one that only trembles, and a lens in its place. */
static void a_slipped_lens_in_an_inflamed_eye(void **state) {
    (void)state;
    for (int i = 0; i < 4; i++) {
        example_case("dislocation", &c);
        c.anterior_segment.uveitis = IOL_uveitis_active;
        if (i == 1) c.dislocation.lies = IOL_lies_retina, c.dislocation.stage = 4.0;
        if (i == 2) c.refractions_count = 1, c.dislocation.lies = IOL_lies_pupil, c.dislocation.stage = 1.0;
        if (i == 2) c.first_surgery.lens.decentration_mm = 0.2, c.first_surgery.lens.tilt_deg = 2.0;
        if (i == 3) example_case("lens-opacity", &c), c.anterior_segment.uveitis = IOL_uveitis_active;
        make();
        const bool waits = i >= 2;
        assert_true(deciding() == (waits ? IOL_NOTE_rule_uveitis_active : IOL_NOTE_rule_moved_inflamed));
        assert_true(acts(IOL_NOTE_act_quiet_moved) == !waits && acts(IOL_NOTE_act_quiet) == waits);
        assert_true(plan.decision.state == IOL_state_wait && told(IOL_NOTE_plain_inflamed) && told(IOL_NOTE_plain_treat_first));
        if (i < 2) assert_true(plan.decision.urgency == (i == 1 ? IOL_urgency_days : IOL_urgency_weeks));
        assert_true(why(IOL_NOTE_opt_ex_calm) == !waits);
    }
}

/* A lens in the angle or before the iris under a swollen cornea: within weeks, a corneal surgeon first (common practice).
 * Opposite: a clear cornea, oedema not told, a lens in the bag. */
static void a_front_lens_under_a_swollen_cornea(void **state) {
    (void)state;
    for (int i = 0; i < 4; i++) {
        hard_case_named("rigid-no-capsule", &c);
        c.first_surgery.lens.position = i == 3 ? IOL_position_bag : i == 0 ? IOL_position_iris_front : IOL_position_chamber;
        c.cornea.oedema = i == 1 ? IOL_NO : i == 2 ? IOL_UNKNOWN : IOL_YES;
        make();
        assert_true(acts(IOL_NOTE_act_front_swollen) == (i == 0));
        assert_true((plan.decision.urgency == IOL_urgency_weeks) == (i == 0));
    }
}

/* A swollen macula is the first of the ways, and what grows harder meanwhile is weighed. Opposite: dry; past the window. */
static void a_swollen_macula(void **state) {
    (void)state;
    static const char *const names[] = {"wrong-lens", "toric-turned", "hyperopic-surprise", "dislocation"};
    for (int i = 0; i < 4; i++)
        for (int swollen = 0; swollen < 3; swollen++) { /* normal, swollen, not told */
            static const int macula[] = {IOL_macula_normal, IOL_macula_oedema, 0};
            example_case(names[i], &c);
            c.retina.macula = macula[swollen];
            make();
            assert_true((deciding() == IOL_NOTE_rule_macular_oedema) == (swollen == 1));
            if (swollen == 1) assert_true(rank(IOL_option_treat_macula) == 1.0);
            assert_true(acts(IOL_NOTE_act_weigh_turn_now) == (i == 1 && swollen == 1));
            assert_true(acts(IOL_NOTE_act_weigh_wrong_now) == (i == 0 && swollen == 1));
            if (swollen > 0) assert_true(way(IOL_option_exchange)->suitable != IOL_YES);
        }
    for (int late = 0; late < 2; late++) {
        example_case("toric-turned", &c);
        c.retina.macula = IOL_macula_oedema;
        on_day_of(&c, 21 + late);
        make();
        assert_true(acts(IOL_NOTE_act_weigh_turn_now) == !late);
        example_case("wrong-lens", &c);
        c.retina.macula = IOL_macula_oedema;
        on_day_of(&c, (int)c_best_before_day - 1 + late);
        make();
        assert_true(acts(IOL_NOTE_act_weigh_wrong_now) == !late);
    }
}

/* Stage 1 in its place: watched. Where the rest of the case says that it has slipped, or does not say, another look. Opposite:
 * stage 2, and a stage that is not told, of a lens that has lost its support. */
static void a_lens_that_trembles(void **state) {
    (void)state;
    for (int i = 0; i < 7; i++) {
        example_case("dislocation", &c);
        c.dislocation.stage = i == 1 ? 2.0 : i == 2 ? NAN : 1.0;
        const bool slipped = i == 3;
        if (!slipped) c.dislocation.lies = i == 4 ? 0 : IOL_lies_pupil;
        if (!slipped) c.first_surgery.lens.decentration_mm = i == 5 ? 0.6 : 0.2, c.first_surgery.lens.tilt_deg = 3.0;
        if (i != 6) c.refractions_count = 1; /* 6: the newest reading is that of a lens that has slipped */
        make();
        const bool plain = i == 0, lost = i == 1 || i == 2, unclear = !plain && !lost;
        assert_true((deciding() == IOL_NOTE_rule_dislocation_trembles) == plain);
        assert_true((deciding() == IOL_NOTE_rule_dislocation_unclear) == unclear);
        assert_true((deciding() == IOL_NOTE_rule_dislocation) == lost);
        assert_true(acts(IOL_NOTE_act_trembles) == plain && acts(IOL_NOTE_act_trembles_or_not) == unclear);
        assert_true(acts(IOL_NOTE_act_weigh_trembles) == unclear);
        assert_true((way(IOL_option_leave)->suitable == IOL_YES && rank(IOL_option_leave) == 1.0) == plain);
        assert_true((way(IOL_option_leave)->suitable == IOL_NO) == (i == 1));
        assert_int_equal(plan.decision.urgency, plain ? IOL_urgency_planned : IOL_urgency_weeks);
        assert_true(told(IOL_NOTE_plain_trembles) == plain && told(IOL_NOTE_plain_loose) == !plain);
        assert_true(told(IOL_NOTE_plain_next_watch) == plain);
        assert_true(way(IOL_option_exchange)->suitable != IOL_YES || i == 1);
        if (i == 6) assert_true(way(IOL_option_leave)->expected_se_d > 4.0); /* left alone it stays as it is read now */
    }
    example_case("dislocation", &c); /* a lens on the retina has left its place, whatever the stage */
    c.dislocation.stage = 1.0, c.dislocation.lies = IOL_lies_retina;
    make();
    assert_true(deciding() == IOL_NOTE_rule_lens_on_retina && way(IOL_option_leave)->suitable == IOL_NO);
}

/* A rim that is whole bears loops though the zonule is slightly weak: the sulcus before the sclera, which is at hand behind it.
 * Opposite: a torn rim, a lost zonule, pigment. */
static void the_least_place_first(void **state) {
    (void)state;
    static const int place[] = {IOL_position_sulcus, IOL_position_sclera, IOL_position_sclera, IOL_position_sclera,
                                IOL_position_sulcus_captured};
    for (int i = 0; i < 5; i++) {
        example_case("lens-opacity", &c);
        if (i == 1) c.capsule.posterior = IOL_posterior_capsule_torn, c.capsule.anterior = IOL_anterior_capsule_tear;
        if (i == 2) c.zonule.donesis = IOL_donesis_marked;
        if (i == 3) c.anterior_segment.pigment_dispersion = IOL_YES;
        if (i == 4) c.capsule.anterior = IOL_anterior_capsule_intact_opening, c.capsule.opening_mm = 4.5;
        make();
        assert_int_equal(plan.replacement.position, place[i]);
        if (i == 0) assert_int_equal(plan.fallbacks[0].position, IOL_position_sclera);
        if (i == 4) assert_int_equal(plan.fallbacks[0].position, IOL_position_sulcus);
    }
}

/* A three-piece lens in the sulcus that may rub: its optic behind a whole opening moves it off the iris, and is a way. Common
 * practice, no source. Opposite: nothing that rubs, one piece, an opening that holds no optic, a torn rim. */
static void off_the_iris(void **state) {
    (void)state;
    for (int i = 0; i < 5; i++) {
        example_case("sulcus-lens", &c);
        if (i > 0) c.anterior_segment.pigment_dispersion = IOL_YES;
        if (i == 2) c.first_surgery.lens.design = IOL_design_one_piece;
        if (i == 3) c.capsule.opening_mm = 5.8;
        if (i == 4) c.capsule.anterior = IOL_anterior_capsule_tear;
        make();
        assert_int_equal(way(IOL_option_optic_capture)->suitable, i == 1 ? IOL_YES : IOL_NO);
        if (i == 1) assert_true(rank(IOL_option_optic_capture) > rank(IOL_option_exchange) && acts(IOL_NOTE_act_weigh_rubs));
        const double captured = way(IOL_option_optic_capture)->expected_se_d, left = way(IOL_option_leave)->expected_se_d;
        if (i == 1) assert_true(captured > left); /* further back */
    }
}

/* A weak zonule and an error of power: glasses once more, though not wanted, and the exchange is weighed. Opposite: a sound zonule,
 * a wrong lens on record, a child. */
static void a_weak_zonule(void **state) {
    (void)state;
    for (int i = 0; i < 4; i++) {
        example_case("hyperopic-surprise", &c);
        c.zonule.donesis = i == 1 ? IOL_donesis_none : i == 3 ? 0 : IOL_donesis_slight;
        if (i == 2) c.age_years = 17.0;
        make();
        assert_true(acts(IOL_NOTE_act_weigh_zonule) == (i == 0));
        assert_true((strstr(plan.decision.sentence, "weigh exchange") != NULL) == (i == 0));
        assert_true((rank(IOL_option_spectacles) < rank(IOL_option_exchange)) == (i == 0)); /* none in the child */
        if (i == 0) assert_true(way(IOL_option_spectacles)->suitable == IOL_UNKNOWN);
    }
    example_case("negative-dysphotopsia", &c); /* a dark arc does no harm; opposite: a sound zonule (test_lens_stays) */
    on_day(&c, 251);
    c.checks.topography_done = IOL_YES, c.zonule.donesis = IOL_donesis_slight;
    make();
    assert_true(why(IOL_NOTE_opt_ex_negative_loose) && rank(IOL_option_leave) == 1.0);
}

/* A multifocal lens whose complaint came with the haze of the capsule: laser first. Opposite: there since the first days, exchange
 * first; since when not told, or the capsule not, ask. */
static void a_haze_that_brought_it(void **state) {
    (void)state;
    for (int i = 0; i < 6; i++) {
        example_case("multifocal-photic", &c);
        c.cornea.ocular_surface = IOL_ocular_surface_healthy;
        c.capsule.posterior = i == 4 ? 0 : i == 5 ? IOL_posterior_capsule_clear : IOL_posterior_capsule_opacified;
        c.complaint.onset_days = i == 3 ? NAN : i == 0 ? 1.0 : c_settle_late_day + (i == 1 ? 0.0 : 1.0);
        make();
        assert_true((deciding() == IOL_NOTE_rule_came_with_haze) == (i == 2));
        assert_true((rank(IOL_option_capsule_laser) == 1.0) == (i == 2));
        const bool open = i == 3 || i == 4;
        assert_true((deciding() == IOL_NOTE_rule_haze_onset) == open && acts(IOL_NOTE_act_haze_onset) == open);
        assert_true((deciding() == IOL_NOTE_rule_no_better_option) == (i == 0 || i == 1 || i == 5));
        assert_true(acts(IOL_NOTE_act_haze_first) == (i == 2));
        assert_true(says(IOL_AT_plan_cautions, IOL_NOTE_no_capsule_laser) == (i != 2));
    }
}

/* No lens is put in front in a child, for whatever. Opposite: at 18. */
static void no_second_lens_in_a_child(void **state) {
    (void)state;
    for (int i = 0; i < 4; i++) {
        hard_case_named("child-wrong-lens", &c);
        c.capsule.posterior = IOL_posterior_capsule_torn;
        c.age_years = i == 0 ? 5.0 : i == 1 ? 17.9 : i == 2 ? 18.0 : NAN;
        make();
        assert_true((way(IOL_option_piggyback)->suitable == IOL_NO) == (i < 2));
        if (i == 3) assert_true(way(IOL_option_piggyback)->suitable == IOL_UNKNOWN);
    }
}

/* A lens that lies the wrong way round: told on the card, and no direction is taken from one that is stated as if it lay right.
 * Opposite: right way up, or not seen. */
static void the_wrong_way_round(void **state) {
    (void)state;
    static const int up[] = {IOL_way_up_right, IOL_way_up_not_seen, IOL_way_up_reversed, IOL_way_up_reversed, IOL_way_up_reversed};
    static const int stated[] = {IOL_turns_clockwise, IOL_turns_clockwise, IOL_turns_clockwise, 0, IOL_turns_anticlockwise};
    static const int taken[] = {IOL_turns_clockwise, IOL_turns_clockwise, IOL_turns_both, IOL_turns_anticlockwise,
                                IOL_turns_anticlockwise};
    for (int i = 0; i < 5; i++) {
        example_case("wrong-lens", &c);
        c.first_surgery.lens.way_up = up[i], c.first_surgery.lens.turns_freely = stated[i];
        make();
        assert_int_equal(plan.removal.orientation.loops_turn, taken[i]);
        assert_true(says(IOL_AT_removal_reasons, IOL_NOTE_removal_reversed) == (i > 1));
        assert_true(says(IOL_AT_removal_orientation_reasons, IOL_NOTE_turn_reversed) == (i == 2)); /* look first: no turn */
        assert_true(isnan(plan.removal.orientation.turn_deg) == (i == 2));
        assert_true(says(IOL_AT_plan_assumptions, IOL_NOTE_assume_turns_reversed) == (i == 2));
        assert_true(says(IOL_AT_plan_assumptions, IOL_NOTE_assume_turns) == (i == 3));
    }
}

/* A toric lens the wrong way round is turned along its own loops, whatever was recorded of one the right way up. */
static void turned_the_wrong_way_round(void **state) {
    (void)state;
    for (int reversed = 0; reversed < 2; reversed++) {
        example_case("toric-turned", &c);
        c.first_surgery.lens.way_up = reversed ? IOL_way_up_reversed : IOL_way_up_right;
        c.first_surgery.lens.turns_freely = IOL_turns_clockwise;
        make();
        assert_true((plan.rotation.turn_deg > 0.0) == (reversed == 1));
    }
}

/* No lens is chosen where a hardly clouded one stays: nothing is said of its material. Opposite: marked clouding. */
static void a_mild_cloud(void **state) {
    (void)state;
    for (int marked = 0; marked < 2; marked++) {
        example_case("hyperopic-surprise", &c);
        c.reason = IOL_reason_lens_opacity;
        c.first_surgery.lens.opacity = marked ? IOL_opacity_marked : IOL_opacity_mild;
        make();
        assert_true(advised(IOL_NOTE_advise_opacity_material) == marked);
    }
}

/* A healthy aim of a child has a limit of its own, and that is the one printed. */
static void the_limit_of_a_childs_aim(void **state) {
    (void)state;
    example_case("child", &c);
    c.target_se_d = 8.0;
    make();
    const int at = has_note(&plan, IOL_AT_plan_cautions, IOL_NOTE_unusual);
    assert_true(at >= 0);
    CHECK_NEAR(plan.notes.item[at].limit, 2.0, 1e-12, "from memory: age 6 and aim make 7, over the usual limit of +1.00 D");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_front_lens_under_a_swollen_cornea),
        cmocka_unit_test(what_rubs_is_not_put_off), cmocka_unit_test(a_second_lens_that_rubs),
        cmocka_unit_test(a_slipped_lens_in_an_inflamed_eye), cmocka_unit_test(a_lens_that_may_rub),
        cmocka_unit_test(a_swollen_macula),
        cmocka_unit_test(a_lens_that_trembles),   cmocka_unit_test(the_least_place_first),
        cmocka_unit_test(off_the_iris), cmocka_unit_test(a_weak_zonule),          cmocka_unit_test(a_haze_that_brought_it),
        cmocka_unit_test(no_second_lens_in_a_child), cmocka_unit_test(the_wrong_way_round),
        cmocka_unit_test(turned_the_wrong_way_round),
        cmocka_unit_test(a_mild_cloud),           cmocka_unit_test(the_limit_of_a_childs_aim)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
