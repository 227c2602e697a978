/* The checks themselves: a check that cannot fail proves nothing. */
#include "check.h"

static void a_hit_passes(void **state) {
    (void)state;
    assert_true(check_near(1.0, 1.0, 0.0));
    assert_true(check_near(1.25, 1.0, 0.25));
    assert_true(check_near(-1.25, -1.0, 0.25));
    CHECK_NEAR(1.25, 1.0, 0.25, "arithmetic");
}

static void a_miss_fails(void **state) {
    (void)state;
    assert_false(check_near(1.25 + 1e-12, 1.0, 0.25));
    assert_false(check_near(0.75 - 1e-12, 1.0, 0.25));
    assert_false(check_near(0.0, 1.0, -1.0));
}

static void nan_and_infinity_fail(void **state) {
    (void)state;
    assert_false(check_near(NAN, 1.0, 1e9));
    assert_false(check_near(1.0, NAN, 1e9));
    assert_false(check_near(NAN, NAN, 1e9));
    assert_false(check_near(1.0, 1.0, NAN));
    assert_false(check_near(INFINITY, 1.0, 1e9));
    assert_false(check_near(INFINITY, INFINITY, 1e9));
}

/* CHECK_NEAR inside a test that is expected to fail, run as a group of its own. */
static void miss(void **state) {
    (void)state;
    CHECK_NEAR(2.0, 1.0, 0.5, "expected to fail");
}
static void not_a_number(void **state) {
    (void)state;
    CHECK_NEAR(NAN, 1.0, 0.5, "expected to fail");
}
static void missing_table(void **state) {
    (void)state;
    check_table table;
    check_open(&table, "tests/no_such_table.tsv");
}

static void a_table_is_read_by_name(void **state) {
    (void)state;
    check_table table;
    check_open(&table, DERIVED("keratometry"));
    assert_true(check_next(&table));
    CHECK_NEAR(check_number(&table, "r_mm"), 6.80, 0.0, "tests/reference/derived/keratometry.tsv, first row");
    CHECK_NEAR(check_number(&table, "K_1.3315"), 48.75, 0.0, "the same");
    while (check_next(&table)) {
    }
    assert_int_equal(table.rows, 81);
    CHECK_NEAR(check_after("C=0.75 deg=5", "deg="), 5.0, 0.0, "text");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_hit_passes),
        cmocka_unit_test(a_miss_fails),
        cmocka_unit_test(nan_and_infinity_fail),
        cmocka_unit_test(a_table_is_read_by_name),
    };
    const struct CMUnitTest failing[] = {
        cmocka_unit_test(miss),
        cmocka_unit_test(not_a_number),
        cmocka_unit_test(missing_table),
    };
    int failed = cmocka_run_group_tests(tests, NULL, NULL);
    print_message("The next three are expected to fail.\n");
    int caught = cmocka_run_group_tests(failing, NULL, NULL);
    return failed == 0 && caught == 3 ? 0 : 1;
}
