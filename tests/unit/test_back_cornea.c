/* The back of the cornea: rows, borders, printed totals. */
#include "check.h"
#include "iolrevise/displaced.h"

static iol_matrix keratometry(double cylinder_d, double steep_deg) {
    return iol_matrix_deviator(iol_matrix_from_meridians(0.0, cylinder_d, steep_deg + 90.0));
}

static void derived_rows(void **state) {
    (void)state;
    check_table t;
    const char *source = DERIVATION "/back_cornea.tsv";
    check_open(&t, DERIVED("back_cornea"));
    while (check_next(&t)) {
        double c = check_number(&t, "keratometric_cylinder_d"), steep = check_number(&t, "steep_meridian_deg"), back;
        iol_matrix total;
        assert_int_equal(iol_back_cornea_cylinder(c, steep, &back), IOL_OK);
        CHECK_NEAR(back, check_number(&t, "back_cylinder_d"), 1e-12, source);
        assert_int_equal(iol_back_cornea_total(keratometry(c, steep), &total), IOL_OK);
        CHECK_NEAR(iol_matrix_cylinder(total), check_number(&t, "total_cylinder_d"), 1e-9, source);
        CHECK_NEAR(iol_axis_turn(iol_matrix_steep_axis(total), check_number(&t, "total_steep_meridian_deg")), 0.0, 1e-7,
                   source);
        iol_matrix kept = iol_matrix_add(keratometry(c, steep), (iol_matrix){0.5 * back, 0.0, -0.5 * back});
        CHECK_NEAR(iol_matrix_cylinder(kept), check_number(&t, "total_if_keratometry_kept_d"), 1e-9, source);
        double kept_deg = check_number(&t, "its_steep_meridian_deg");
        CHECK_NEAR(iol_axis_turn(iol_matrix_steep_axis(kept), kept_deg), 0.0, 1e-7, source);
    }
    assert_int_equal(t.rows, 20);
}

/* Goggin 2015 (143 eyes): total over keratometric cylinder 0.75 with the rule and 1.41 against it, lenses of 2 D or less; at
 * 1 D the fitted back surface gives 0.74 and 1.38. Known difference: 0.03 against the rule, another series. */
static void published_factors(void **state) {
    (void)state;
    iol_matrix total;
    assert_int_equal(iol_back_cornea_total(keratometry(1.0, 90.0), &total), IOL_OK);
    CHECK_NEAR(iol_matrix_cylinder(total), 0.74, 0.005, "independent derivation");
    CHECK_NEAR(iol_matrix_cylinder(total), 0.75, 0.015, "goggin_2015");
    assert_int_equal(iol_back_cornea_total(keratometry(1.0, 180.0), &total), IOL_OK);
    CHECK_NEAR(iol_matrix_cylinder(total), 1.38, 0.005, "independent derivation");
    assert_false(check_near(iol_matrix_cylinder(total), 1.41, 0.005));
    CHECK_NEAR(iol_matrix_cylinder(total), 1.41, 0.03, "goggin_2015");
    assert_int_equal(iol_back_cornea_total(keratometry(2.0, 90.0), &total), IOL_OK);
    CHECK_NEAR(iol_matrix_cylinder(total), 1.71, 0.005, "independent derivation, worked example");
}

/* Borders at 30 degrees of 90 and of 180; the border itself belongs to the rule. */
static void borders(void **state) {
    (void)state;
    const struct {
        double steep, back;
    } row[] = {{59.9, 0.32},  {60.0, 0.37},  {60.1, 0.37},  {90.0, 0.37}, {120.0, 0.37}, {120.1, 0.32}, {149.9, 0.32},
               {150.0, 0.27}, {150.1, 0.27}, {180.0, 0.27}, {0.0, 0.27},  {29.9, 0.27},  {30.0, 0.27},  {30.1, 0.32}};
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        double back;
        assert_int_equal(iol_back_cornea_cylinder(1.0, row[i].steep, &back), IOL_OK);
        CHECK_NEAR(back, row[i].back, 1e-12, "eom_2015");
    }
}

static void refusals(void **state) {
    (void)state;
    double back = 1.0;
    iol_matrix total;
    assert_int_equal(iol_back_cornea_cylinder(NAN, 90.0, &back), IOL_BAD_INPUT);
    CHECK_NAN(back);
    assert_int_equal(iol_back_cornea_cylinder(-1.0, 90.0, &back), IOL_BAD_INPUT);
    assert_int_equal(iol_back_cornea_cylinder(1.0, NAN, &back), IOL_BAD_INPUT);
    assert_int_equal(iol_back_cornea_cylinder(0.0, NAN, &back), IOL_OK);
    CHECK_NEAR(back, 0.27, 1e-12, "eom_2015");
    assert_int_equal(iol_back_cornea_total((iol_matrix){NAN, 0.0, 0.0}, &total), IOL_BAD_INPUT);
    assert_true(isnan(total.xx) && isnan(total.xy) && isnan(total.yy));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(derived_rows),
        cmocka_unit_test(published_factors),
        cmocka_unit_test(borders),
        cmocka_unit_test(refusals),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
