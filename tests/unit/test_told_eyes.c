/* What is told of eyes without a lens, with two, displaced, very short, and of small children: drawn and published kinds of eyes in
 * which the plan said what does not hold for them. Each beside an eye in which the older words are right. Common practice, no
 * source, unless said. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>

#include <cmocka.h>

#include "check.h"
#include "hard_case.h"
#include "kept_text.h"
#include "report/screen.h"
#include "tables/constants.h"
#include "tables/rule_codes.h"
#include "way_of.h"

static iol_case c;
static iol_plan plan;

static void make(void) { iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan); }
static void example(const char *name) {
    example_case(name, &c);
    make();
}
static bool says(int place, int code) { return has_note(&plan, place, code) >= 0; }
static bool hears(iol_note_code code) { return says(IOL_AT_told_say, code); }
static bool advised(iol_note_code code) { return says(IOL_AT_decision_reasons, code); }
static bool acts(iol_note_code code) { return says(IOL_AT_act_text, code); }
static int decided(void) {
    const int note = iol_note_find(&plan.notes, IOL_AT_decision_reasons, 0, 0);
    return note < 0 ? -1 : plan.notes.item[note].code;
}
static const char *screen(void) {
    static iol_screen s;
    static char text[8000];
    size_t used = 0;
    iol_screen_decide(&plan, &s);
    for (int i = 0; i < s.lines; i++)
        if (!s.line[i].gone) used += (size_t)snprintf(text + used, sizeof text - used, "%s\n", s.line[i].text);
    return text;
}
static bool shows(const char *words) { return strstr(screen(), words) != NULL; }

/* Two lenses: a complaint that began late may have begun with the second of them. */
static void began_with_which(void **state) {
    (void)state;
    example("two-lenses"); /* day 400 */
    assert_true(advised(IOL_NOTE_advise_onset_of_two) && !advised(IOL_NOTE_advise_onset_late));
    c.complaint.onset_days = 60.0;
    make();
    assert_false(advised(IOL_NOTE_advise_onset_of_two) || advised(IOL_NOTE_advise_onset_late));
    example_case("hyperopic-surprise", &c);
    c.complaint.onset_days = 400.0;
    make();
    assert_true(advised(IOL_NOTE_advise_onset_late) && !advised(IOL_NOTE_advise_onset_of_two));
}

/* A power or a place that nobody knows is looked up, within weeks; that is no word against an exchange. */
static void which_two(void **state) {
    (void)state;
    example_case("two-lenses", &c);
    c.second_lens.power_d = NAN;
    make();
    assert_int_equal(plan.decision.state, IOL_state_find_cause_first);
    assert_int_equal(plan.decision.urgency, IOL_urgency_weeks);
    assert_true(hears(IOL_NOTE_plain_which_lenses) && !hears(IOL_NOTE_plain_not_now) && !hears(IOL_NOTE_plain_find_cause));
    example("two-lenses");
    assert_false(hears(IOL_NOTE_plain_which_lenses));
}

/* What was meant was reached, and yet no label or measurement predicts it: that has a cause, and it is not "none to look for". */
static void as_meant_by_chance(void **state) {
    (void)state;
    example_case("two-lenses", &c);
    for (int i = 0; i < c.refractions_count; i++) c.refractions[i].sphere_d = -5.0;
    c.first_surgery.intended_se_d = -5.25;
    make();
    assert_true(iol_above(fabs(plan.surprise.z), c_z_ordinary) == IOL_YES);
    assert_false(shows("none to look for"));
    assert_true(hears(IOL_NOTE_plain_not_fitting) && !hears(IOL_NOTE_plain_as_planned));
    example_case("two-lenses", &c);
    c.first_surgery.intended_se_d = plan.surprise.current_se_d;
    make();
    c.first_surgery.intended_se_d = plan.surprise.current_se_d;
    make();
    assert_true(shows("none to look for") && hears(IOL_NOTE_plain_as_planned) && !hears(IOL_NOTE_plain_not_fitting));
}

/* No lens comes out of an eye that has none: the cause is sought before one goes in. Rates of exchange are not told of it, nor a
 * place or a label that its reading would tell. */
static void none_inside(void **state) {
    (void)state;
    for (int with = 0; with < 2; with++) {
        example_case(with ? "hyperopic-surprise" : "no-lens", &c);
        c.biometry.axial_length_mm = c.biometry_repeat.axial_length_mm = 15.0;
        make();
        assert_int_equal(plan.decision.state, IOL_state_find_cause_first);
        assert_true(hears(with ? IOL_NOTE_plain_find_cause : IOL_NOTE_plain_find_cause_none));
        assert_false(hears(with ? IOL_NOTE_plain_find_cause_none : IOL_NOTE_plain_find_cause));
    }
    example("no-lens");
    assert_int_equal(plan.surprise.causes_count, 3);
    for (int i = 0; i < 3; i++)
        assert_true(plan.surprise.causes[i].quantity != IOL_quantity_lens_position &&
                    plan.surprise.causes[i].quantity != IOL_quantity_lens_label);
    for (int i = 0; i < plan.surprise.formulas_count; i++) CHECK_NAN(plan.surprise.formulas[i].predicted_position_mm);
    assert_false(says(IOL_AT_support_vitrectomy_anchor, IOL_NOTE_anchor_open_closed));
    assert_null(strstr(full_text_of_plan(&plan), "Published rates")); /* no heading over nothing */
    example("hyperopic-surprise");
    assert_non_null(strstr(full_text_of_plan(&plan), "Published rates"));
    assert_int_equal(plan.surprise.causes_count, 5);
    assert_false(isnan(plan.surprise.formulas[0].predicted_position_mm));
    assert_true(says(IOL_AT_support_vitrectomy_anchor, IOL_NOTE_anchor_open_closed));
}

/* The label of one lens says nothing of an eye with two: while the other is not known no part of the miss is the eye's own, and no
 * gross error is told of it. Opposite: both known; one lens in the eye. */
static void one_label_of_two(void **state) {
    (void)state;
    for (int i = 0; i < 5; i++) {
        example_case(i < 4 ? "two-lenses" : "hyperopic-surprise", &c);
        if (i == 0) c.second_lens.power_d = NAN;
        if (i == 1) c.second_lens.position = 0;
        if (i == 2) c.first_surgery.lens.power_d = NAN;
        make();
        const bool known = i > 2;
        assert_true(isnan(plan.surprise.eye_part_d) == !known && isnan(plan.surprise.z) == !known);
        assert_false(isnan(plan.surprise.miss_d));
        assert_true(says(IOL_AT_replacement_standing_reasons, IOL_NOTE_withheld_two_lenses) == !known);
        assert_false(says(IOL_AT_plan_cautions, IOL_NOTE_gross_error));
        assert_false(says(IOL_AT_replacement_standing_reasons, IOL_NOTE_repeat_cylinder_open));
        assert_true(acts(IOL_NOTE_act_second_lens) == !known && !acts(IOL_NOTE_act_cause_open));
    }
}

/* A lens goes into an eye without one when its power may be ordered and is made: not while length and reading contradict each
 * other, nor while nothing tests the power, nor where the shelf ends before the target. A contact lens that leads does not wait. */
static void put_in_what_may_be_ordered(void **state) {
    (void)state;
    static const struct {
        double length_mm, sphere_d;
        int rule;
        iol_note_code told;
    } row[] = {{23.4, 11.75, IOL_NOTE_rule_no_lens, IOL_NOTE_plain_put_in},
               {15.0, 11.75, IOL_NOTE_rule_no_lens_apart, IOL_NOTE_plain_find_cause_none},
               {NAN, 11.75, IOL_NOTE_rule_no_lens_open, IOL_NOTE_plain_data_first},
               {36.0, -8.0, IOL_NOTE_rule_no_lens_short, IOL_NOTE_plain_lens_sought}};
    for (int i = 0; i < 4; i++) {
        example_case("no-lens", &c);
        c.biometry.axial_length_mm = c.biometry_repeat.axial_length_mm = row[i].length_mm;
        for (int k = 0; k < c.refractions_count; k++) c.refractions[k].sphere_d = row[i].sphere_d;
        make();
        assert_int_equal(decided(), row[i].rule);
        assert_int_equal(plan.decision.state, i ? IOL_state_find_cause_first : IOL_state_secondary_lens);
        for (int k = 0; k < 4; k++) assert_true(hears(row[k].told) == (k == i));
        assert_true(hears(IOL_NOTE_plain_next_tests) == (i == 1 || i == 2));
        assert_true(acts(IOL_NOTE_act_measure_first) == (i == 2));
        assert_true(acts(IOL_NOTE_act_shelf_first) == (i == 3));
        c.age_years = 12.0;
        c.wish.contact_lens = IOL_tolerance_tolerated;
        make();
        assert_int_equal(plan.decision.state, IOL_state_other_option_first);
    }
}

/* The same value of first and repeat biometry is unusual once. */
static void unusual_once(void **state) {
    (void)state;
    example_case("two-lenses", &c);
    c.biometry.k_flat_d = c.biometry_repeat.k_flat_d = 35.0;
    c.biometry.k_steep_d = c.biometry_repeat.k_steep_d = 35.4;
    make();
    int twins = 0;
    for (int i = 0; i < plan.notes.count; i++)
        if (plan.notes.item[i].code == IOL_NOTE_unusual) twins += iol_caution_said(&plan, &plan.notes.item[i]);
    assert_int_equal(twins, 2);
    c.biometry_repeat.k_flat_d = 35.1;
    make();
    twins = 0;
    for (int i = 0; i < plan.notes.count; i++)
        if (plan.notes.item[i].code == IOL_NOTE_unusual) twins += iol_caution_said(&plan, &plan.notes.item[i]);
    assert_int_equal(twins, 1);
}

/* Sight that is still learned waits for no day on which a reading counts: what is worn is worn on the reading of today. */
static void a_child_sees_now(void **state) {
    (void)state;
    static const double age[] = {0.2, 3.0, 7.9, 8.1, 40.0};
    for (int i = 0; i < 5; i++) {
        example_case("no-lens", &c);
        on_day_of(&c, 9);
        c.age_years = age[i];
        c.wish.contact_lens = IOL_tolerance_tolerated;
        make();
        const bool small = age[i] < 8.0;
        assert_true((decided() == IOL_NOTE_rule_child_sees) == small);
        assert_true(acts(IOL_NOTE_act_child_sees) == small);
        assert_true((plan.decision.urgency == IOL_urgency_days) == small);
        assert_true(hears(IOL_NOTE_plain_learns_days) == small);
        assert_false(small && hears(IOL_NOTE_plain_wait));
    }
    example_case("no-lens", &c);
    c.age_years = 3.0;
    c.red_flags.pain = IOL_YES; /* today comes before all */
    make();
    assert_int_equal(decided(), IOL_NOTE_rule_red_flag);
    example_case("child", &c); /* a lens is there: its reading may wait, in glasses */
    on_day_of(&c, 9);
    c.age_years = 3.0;
    make();
    assert_true(decided() != IOL_NOTE_rule_child_sees);
}

/* A lens off its place whose complaint glasses relieve, as was answered: they are a way, behind what puts it back. Not where that
 * is not answered, nor where the zonule does not hold it. */
static void glasses_before_an_askew_lens(void **state) {
    (void)state;
    example("displaced");
    const iol_option_row *glasses = way_of(&plan, IOL_option_spectacles);
    assert_int_equal(glasses->suitable, IOL_YES);
    assert_true(glasses->rank > way_of(&plan, IOL_option_reposition)->rank);
    assert_int_equal(decided(), IOL_NOTE_rule_rim);
    static const iol_flag not_so[] = {IOL_NO, IOL_UNKNOWN};
    for (int i = 0; i < 2; i++) {
        example_case("displaced", &c);
        c.complaint.relieved_by_glasses = not_so[i];
        make();
        assert_int_equal(way_of(&plan, IOL_option_spectacles)->suitable, IOL_NO);
    }
    example_case("displaced", &c);
    c.zonule.donesis = IOL_donesis_marked;
    make();
    assert_int_equal(way_of(&plan, IOL_option_spectacles)->suitable, IOL_NO);
    example("dislocation");
    assert_int_equal(way_of(&plan, IOL_option_spectacles)->suitable, IOL_NO);
}

/* What putting the lens back leaves has the spread of its part; where no causes are weighed, as of a displaced lens, no suspect
 * has a probability. */
static void figures_of_a_displaced_lens(void **state) {
    (void)state;
    example("displaced");
    CHECK_NEAR(way_of(&plan, IOL_option_reposition)->sd_d, plan.reposition.sd_d, 0.0, "the same figure twice");
    assert_false(isnan(plan.reposition.sd_d));
    for (int i = 0; i < plan.surprise.suspects_count; i++) CHECK_NAN(plan.surprise.suspects[i].probability);
    example("hyperopic-surprise");
    int weighed = 0;
    for (int i = 0; i < plan.surprise.suspects_count; i++) weighed += !isnan(plan.surprise.suspects[i].probability);
    assert_true(weighed > 0);
}

/* Two eyes that differ without a reason are measured again before anything: that stands among what comes first. */
static void eyes_that_differ(void **state) {
    (void)state;
    hard_case_named("nanophthalmos", &c);
    make();
    assert_true(says(IOL_AT_plan_cautions, IOL_NOTE_eyes_differ) && acts(IOL_NOTE_act_eyes_differ));
    assert_null(strstr(screen(), "MIND   The two eyes differ"));
    c.fellow_eye.biometry.axial_length_mm = c.biometry.axial_length_mm;
    make();
    assert_false(says(IOL_AT_plan_cautions, IOL_NOTE_eyes_differ) || acts(IOL_NOTE_act_eyes_differ));
}

/* Ways that are weighed stand on the screen beside a power that is withheld; where nothing is decided for a way they do not. */
static void weighed_without_a_power(void **state) {
    (void)state;
    example_case("dislocation", &c);
    c.cornea.earlier_refractive_surgery = IOL_corneal_surgery_myopic_laser;
    c.refractions_count = 0;
    make();
    assert_int_equal(plan.replacement.standing, IOL_standing_withheld);
    assert_int_equal(plan.decision.state, IOL_state_exchange_or_alternative);
    assert_true(shows("WAYS   in order") && iol_ways_told(&plan));
    example_case("hyperopic-surprise", &c);
    c.silicone_oil.now = c.silicone_oil.at_refraction = IOL_YES;
    make();
    assert_int_equal(plan.replacement.standing, IOL_standing_withheld);
    assert_false(shows("WAYS   in order") || iol_ways_told(&plan));
}

/* The state in which the repeat was measured is asked for once: by what withholds, else by what leaves nothing chosen. */
static void own_lens_asked_once(void **state) {
    (void)state;
    const int place = IOL_AT_replacement_standing_reasons;
    static const double sphere[] = {1.0, 9.0};
    for (int i = 0; i < 2; i++) {
        example_case("hyperopic-surprise", &c);
        c.biometry_repeat.eye_state = IOL_eye_state_phakic;
        for (int k = 0; k < c.refractions_count; k++) c.refractions[k].sphere_d = sphere[i];
        make();
        assert_true(says(place, IOL_NOTE_withheld_own_lens) == (i == 1));
        assert_true(says(place, IOL_NOTE_provisional_own_lens) == (i == 0));
    }
}

/* What is not known of rim, zonule, cylinder or of how a reading was taken opens no way to an exchange (found by blanking drawn
 * cases). Opposite: known, the way is weighed. */
static void unlooked_weighs_no_exchange(void **state) {
    (void)state;
    example_case("displaced", &c);
    c.zonule.missing_clock_hours = NAN;
    make();
    assert_int_equal(decided(), IOL_NOTE_rule_recentre); /* putting it back does alone, whatever the rim */
    c.first_surgery.lens.tilted_back_position_deg = c.first_surgery.lens.decentration_position_deg = NAN;
    c.target_se_d = 1.5; /* and does not */
    c.refractions_count = 0;
    make();
    assert_true(plan.decision.state != IOL_state_exchange_or_alternative);
    example_case("displaced", &c);
    for (int i = 0; i < c.refractions_count; i++) c.refractions[i].cylinder_d = NAN;
    make();
    assert_int_equal(plan.displaced.recentring_enough, IOL_UNKNOWN);
    for (int open = 0; open < 2; open++) {
        example_case("hyperopic-surprise", &c);
        c.zonule.donesis = IOL_donesis_marked;
        if (open)
            for (int i = 0; i < c.refractions_count; i++) c.refractions[i].lens_then = IOL_UNKNOWN;
        make();
        assert_int_equal(decided(), open ? IOL_NOTE_rule_lens_loose_unread : IOL_NOTE_rule_lens_loose);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(began_with_which),     cmocka_unit_test(which_two),
        cmocka_unit_test(as_meant_by_chance),   cmocka_unit_test(none_inside),
        cmocka_unit_test(a_child_sees_now),     cmocka_unit_test(glasses_before_an_askew_lens),
        cmocka_unit_test(figures_of_a_displaced_lens), cmocka_unit_test(eyes_that_differ),
        cmocka_unit_test(weighed_without_a_power), cmocka_unit_test(own_lens_asked_once),
        cmocka_unit_test(put_in_what_may_be_ordered), cmocka_unit_test(unusual_once),
        cmocka_unit_test(unlooked_weighs_no_exchange), cmocka_unit_test(one_label_of_two),
    };
    return cmocka_run_group_tests_name("told of eyes", tests, NULL, NULL);
}
