/* Induced astigmatism: against power-vector arithmetic, the printed series, and the rules of the method. */
#include "example_case.h"
#include "check.h"
#include "hard_case.h"
#include "plan/incision.h"
#include "tables/note_codes.h"

static iol_site one_row(double cylinder_d) {
    iol_site site;
    iol_site_reset(&site);
    site.habits.induced_cylinder[0] = (iol_induced_cylinder){true, 3.0, IOL_site_of_wound_cornea, cylinder_d, 0.4};
    site.habits.induced_cylinder_count = 1;
    return site;
}

/* A cornea before, plus the change of a wound across the induced steep meridian, is the cornea after. */
static void the_change_is_the_matrix_of_the_induced_cylinder(void **state) {
    (void)state;
    check_table table;
    check_open(&table, DERIVED("sia"));
    while (check_next(&table)) {
        iol_wound_effect effect;
        double size = check_number(&table, "sia_mag");
        iol_site site = one_row(size);
        iol_incision_new(&site, check_number(&table, "sia_steep") + 90.0, 3.0, IOL_site_of_wound_cornea, &effect);
        double before = check_number(&table, "pre_mag"), after = check_number(&table, "post_mag");
        iol_matrix cornea = iol_matrix_from_meridians(43.0 - before / 2.0, 43.0 + before / 2.0,
                                                      check_number(&table, "pre_steep") + 90.0);
        iol_matrix sum = iol_matrix_add(cornea, effect.change);
        CHECK_NEAR(iol_matrix_cylinder(sum), after, 1e-9, DERIVATION);
        if (after > 1e-6)
            CHECK_NEAR(iol_axis_turn(iol_matrix_steep_axis(sum), check_number(&table, "post_steep")), 0.0, 1e-6,
                       DERIVATION);
        CHECK_NEAR(iol_matrix_mean(sum), 43.0, 1e-12, "the spherical equivalent does not change");
    }
    assert_true(table.rows > 10);
}

static double built_in(double position_deg, double width_mm, int where, double *sd) {
    iol_site none;
    iol_wound_effect effect;
    iol_site_reset(&none);
    iol_incision_new(&none, position_deg, width_mm, where, &effect);
    if (sd) *sd = effect.sd_d;
    return effect.cylinder_d;
}

static void the_built_in_figures_lie_in_the_printed_series(void **state) {
    (void)state;
    double sd;
    CHECK_NEAR(built_in(180.0, 2.2, IOL_site_of_wound_cornea, &sd), 0.20, 1e-9, "method, section 8 (judgement)");
    CHECK_NEAR(sd, 0.25, 1e-12, "least spread, judgement");
    CHECK_NEAR(built_in(0.0, 3.2, IOL_site_of_wound_cornea, NULL), 0.55, 1e-9, "0.20 D + 0.35 D for 1 mm, judgement");
    CHECK_NEAR(built_in(90.0, 3.2, IOL_site_of_wound_cornea, &sd), 0.825, 1e-9, "superior x1.5, judgement");
    CHECK_NEAR(sd, 0.7 * 0.825, 1e-9, "0.7 s, judgement");
    CHECK_NEAR(built_in(180.0, 6.0, IOL_site_of_wound_sclera, NULL), 0.48, 0.05,
               "two series of scleral tunnels, centroid");
    CHECK_NEAR(built_in(90.0, 6.0, IOL_site_of_wound_sclera, NULL), 1.11, 0.05,
               "two series of scleral tunnels, centroid");
    CHECK_NEAR(built_in(171.0, 5.5, IOL_site_of_wound_sclera, NULL), 0.65, 0.25,
               "Kristianslund, IOVS 2017: 0.65 D at 5.5 mm (0.24 D without exchange)");
    double horizontal = built_in(180.0, 2.2, IOL_site_of_wound_cornea, NULL);
    double vertical = built_in(90.0, 2.2, IOL_site_of_wound_cornea, NULL);
    assert_true(horizontal >= 0.15 && vertical <= 0.37); /* BMC Ophthalmol 2021: 0.15-0.17 and 0.28-0.37 D */
    double ratio =
        built_in(90.0, 3.25, IOL_site_of_wound_cornea, NULL) / built_in(0.0, 3.25, IOL_site_of_wound_cornea, NULL);
    CHECK_NEAR(ratio, 0.90 / 0.60, 1e-9, "Long and Monica 1996: vertical 0.90, horizontal 0.60 D");
    assert_true(built_in(0.0, 1.0, IOL_site_of_wound_cornea, NULL) == 0.0);
    assert_true(isnan(built_in(NAN, 2.2, IOL_site_of_wound_cornea, NULL)));
    assert_true(isnan(built_in(0.0, NAN, IOL_site_of_wound_cornea, NULL)));
}

static void a_wound_flattens_its_own_meridian(void **state) {
    (void)state;
    iol_site none;
    iol_wound_effect effect;
    iol_site_reset(&none);
    iol_incision_new(&none, 90.0, 4.0, IOL_site_of_wound_cornea, &effect);
    CHECK_NEAR(effect.change.yy, -effect.cylinder_d / 2.0, 1e-12, "s (I/2 - u u') by hand");
    CHECK_NEAR(effect.change.xx, effect.cylinder_d / 2.0, 1e-12, "s (I/2 - u u') by hand");
    CHECK_NEAR(effect.change.xy, 0.0, 1e-12, "s (I/2 - u u') by hand");
}

static void site_rows_replace_the_rule(void **state) {
    (void)state;
    iol_site site = one_row(0.30);
    iol_wound_effect effect;
    site.habits.induced_cylinder[1] = (iol_induced_cylinder){true, 4.0, IOL_site_of_wound_cornea, 0.70, 0.6};
    site.habits.induced_cylinder_count = 2;
    iol_incision_new(&site, 90.0, 3.5, IOL_site_of_wound_cornea, &effect);
    assert_true(effect.from_site);
    CHECK_NEAR(effect.cylinder_d, 0.50, 1e-12, "halfway between two rows");
    CHECK_NEAR(effect.sd_d, 0.50, 1e-12, "halfway between two rows");
    iol_incision_new(&site, 0.0, 5.0, IOL_site_of_wound_cornea, &effect);
    CHECK_NEAR(effect.cylinder_d, 0.70 + 0.35, 1e-9, "the last row and the built-in slope");
    iol_incision_new(&site, 0.0, 2.0, IOL_site_of_wound_cornea, &effect);
    assert_true(effect.cylinder_d < 0.30 && effect.cylinder_d >= 0.0);
    iol_incision_new(&site, 180.0, 6.0, IOL_site_of_wound_sclera, &effect);
    assert_false(effect.from_site);
}

static void read_worked(iol_case *c, iol_site *site) {
    char json[4096];
    snprintf(json, sizeof json, WORKED_CASE, "srk-t");
    must_read_case(json, c);
    must_read_site(WORKED_SITE, site);
}

static void plan_of(const char *wound, iol_plan *plan) {
    static iol_case c;
    static iol_site site;
    read_worked(&c, &site);
    double width = 0.0, first = 0.0, place = 0.0, first_place = 0.0;
    if (sscanf(wound, "%lf@%lf %lf@%lf", &width, &place, &first, &first_place) == 4) {
        c.operation.incision_width_mm = width;
        c.operation.incision_position_deg = place;
        c.first_surgery.incision.width_mm = first;
        c.first_surgery.incision.position_deg = first_place;
    }
    iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, plan);
}

static bool says(const iol_plan *plan, int place, iol_note_code code) {
    for (int i = 0; i < plan->notes.count; i++)
        if (plan->notes.item[i].place == place && plan->notes.item[i].code == (int)code) return true;
    return false;
}

static void reopening_adds_only_what_is_wider(void **state) {
    (void)state;
    static iol_plan plan;
    plan_of("3.2@180 2.2@180", &plan);
    CHECK_NEAR(plan.incision.induced_cylinder_d, 0.35, 1e-9, "s(3.2) - s(2.2)");
    assert_true(says(&plan, IOL_AT_incision_reasons, IOL_NOTE_wound_again));
    plan_of("3.2@195 2.2@180", &plan);
    assert_true(says(&plan, IOL_AT_incision_reasons, IOL_NOTE_wound_again));
    plan_of("3.2@196 2.2@180", &plan);
    CHECK_NEAR(plan.incision.induced_cylinder_d, 0.55, 1e-9, "a new wound: s(3.2)");
    plan_of("2.2@355 2.2@5", &plan);
    CHECK_NEAR(plan.incision.induced_cylinder_d, 0.0, 1e-12, "the same wound across 0 degrees");
    plan_of("2.0@180 2.8@180", &plan);
    CHECK_NEAR(plan.incision.induced_cylinder_d, 0.0, 1e-12, "a wound does not become narrower");
}

static void the_wound_is_in_the_expected_refraction(void **state) {
    (void)state;
    static iol_plan small, wide;
    plan_of("2.2@180 2.2@180", &small);
    plan_of("6.0@180 2.2@180", &wide);
    for (int i = 0; i < small.replacement.choices_count; i++) {
        const iol_spectacle_form *a = &small.replacement.choices[i].expected,
                                 *b = &wide.replacement.choices[i].expected;
        CHECK_NEAR(a->se_d, b->se_d, 0.02, "the spherical equivalent hardly moves");
        iol_matrix apart = iol_matrix_subtract(
            iol_matrix_from_spherocylinder((iol_spherocylinder){a->sphere_d, a->cylinder_d, a->axis_deg}),
            iol_matrix_from_spherocylinder((iol_spherocylinder){b->sphere_d, b->cylinder_d, b->axis_deg}));
        CHECK_NEAR(iol_matrix_cylinder(apart), 0.35 * 3.8, 0.08,
                   "s(6.0) - s(2.2) at the cornea, seen at the spectacles");
    }
}

/* What a wider way out costs is told with its width and its cylinder, and not at all where the width is not known. */
static void a_cost_has_its_figures(void **state) {
    (void)state;
    static iol_plan plan;
    static iol_case c;
    int told = 0;
    for (int i = 0; i < EXAMPLES + HARD_CASES; i++) {
        const char *name = any_case(i, &c);
        iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
        for (int k = 0; k < plan.notes.count; k++) {
            const iol_note *note = &plan.notes.item[k];
            if (note->code != IOL_NOTE_wound_width_cost) continue;
            told++;
            if (!isfinite(note->value) || !isfinite(note->limit)) fail_msg("%s: a cost without its figures", name);
        }
    }
    assert_true(told > 0);
}

static void defaults_are_listed_and_advice_follows_the_cornea(void **state) {
    (void)state;
    static iol_plan plan;
    plan_of("", &plan);
    CHECK_NEAR(plan.incision.position_deg, 180.0, 0.0, "temporal of a right eye");
    assert_true(says(&plan, IOL_AT_plan_assumptions, IOL_NOTE_assume_wound_position));
    assert_true(says(&plan, IOL_AT_plan_assumptions, IOL_NOTE_assume_wound_width));
    assert_true(says(&plan, IOL_AT_plan_assumptions, IOL_NOTE_assume_wound_site));
    assert_true(says(&plan, IOL_AT_incision_reasons, IOL_NOTE_wound_first_unknown));
    assert_true(says(&plan, IOL_AT_incision_reasons, IOL_NOTE_wound_bleb_not_known));
    assert_true(says(&plan, IOL_AT_incision_steep_meridian_advice, IOL_NOTE_wound_on_steep));
    plan_of("2.2@180 2.2@180", &plan); /* the old wound re-opened: nothing is induced, nothing taken off */
    CHECK_NEAR(plan.incision.induced_cylinder_d, 0.0, 1e-12, "the same wound");
    assert_true(says(&plan, IOL_AT_incision_steep_meridian_advice, IOL_NOTE_wound_on_steep_same));
    assert_false(says(&plan, IOL_AT_incision_steep_meridian_advice, IOL_NOTE_wound_on_steep));
    plan_of("2.2@80 2.2@180", &plan);
    assert_true(says(&plan, IOL_AT_incision_steep_meridian_advice, IOL_NOTE_wound_off_steep));
}

/* Radial cuts: a wound in the cornea is warned of, one in the sclera is not (common practice, no source). */
static void radial_cuts_and_a_corneal_wound(void **state) {
    (void)state;
    static iol_plan plan;
    static iol_case c;
    static iol_site site;
    read_worked(&c, &site);
    for (int surgery = 0; surgery < IOL_corneal_surgery_end; surgery++)
        for (int where = IOL_site_of_wound_cornea; where <= IOL_site_of_wound_sclera; where++) {
            c.cornea.earlier_refractive_surgery = surgery;
            c.operation.incision_site = where;
            iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan);
            bool wanted = surgery == IOL_corneal_surgery_radial_cuts && where == IOL_site_of_wound_cornea;
            assert_true(says(&plan, IOL_AT_plan_cautions, IOL_NOTE_wound_radial) == wanted);
        }
}

/* A bleb is kept out of the wound's way where there is one, looked for where nobody said, and not spoken of where there is none. */
static void drainage(void **state) {
    (void)state;
    static iol_case c;
    static iol_plan plan;
    static const struct {
        iol_flag done;
        bool bleb, look;
    } row[] = {{IOL_YES, true, false}, {IOL_NO, false, false}, {IOL_UNKNOWN, false, true}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        example_case("hyperopic-surprise", &c);
        c.anterior_segment.drainage_surgery = row[i].done;
        iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
        assert_int_equal(says(&plan, IOL_AT_incision_reasons, IOL_NOTE_wound_bleb), row[i].bleb);
        assert_int_equal(says(&plan, IOL_AT_incision_reasons, IOL_NOTE_wound_bleb_not_known), row[i].look);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_change_is_the_matrix_of_the_induced_cylinder),
        cmocka_unit_test(drainage),
        cmocka_unit_test(the_built_in_figures_lie_in_the_printed_series),
        cmocka_unit_test(a_wound_flattens_its_own_meridian),
        cmocka_unit_test(site_rows_replace_the_rule),
        cmocka_unit_test(reopening_adds_only_what_is_wider),
        cmocka_unit_test(the_wound_is_in_the_expected_refraction),
        cmocka_unit_test(radial_cuts_and_a_corneal_wound),
        cmocka_unit_test(a_cost_has_its_figures),
        cmocka_unit_test(defaults_are_listed_and_advice_follows_the_cornea),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
