/* The one number rule. Expectations: decimals worked by hand from the rule, and a second route in exact integers. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include <float.h>
#include <math.h>
#include <string.h>

#include "text/number.h"

static void check_print(double x, int decimals, bool always_sign, const char *want) {
    char out[32];
    assert_int_equal(iol_print_number(x, decimals, always_sign, out, sizeof out), strlen(want));
    assert_string_equal(out, want);
}

/* Worked by hand. 2.675 and 1.005 lie just below their half as doubles; the 1e-6 of the rule lifts them. */
static void by_hand(void **state) {
    (void)state;
    check_print(0.125, 2, false, "0.13");
    check_print(-0.125, 2, false, "-0.13");
    check_print(2.675, 2, false, "2.68");
    check_print(1.005, 2, false, "1.01");
    check_print(-1.005, 2, false, "-1.01");
    check_print(21.0, 2, true, "+21.00");
    check_print(1.5, 2, true, "+1.50");
    check_print(-0.25, 2, true, "-0.25");
    check_print(0.05, 2, false, "0.05");
    check_print(0.9995, 3, false, "1.000");
    check_print(9.995, 2, false, "10.00");
    check_print(23.456, 0, false, "23");
    check_print(23.5, 0, true, "+24");
    check_print(100.0, 0, false, "100");
    check_print(0.123456789, 9, false, "0.123456789");
    check_print(1e-9, 9, true, "+0.000000001");
    check_print(0.3 - 0.1, 1, false, "0.2");
}

/* The half of the rule is 0.499999 of the last digit. */
static void both_sides_of_the_half(void **state) {
    (void)state;
    assert_int_equal(iol_count(7.4999985, 0), 7);
    assert_int_equal(iol_count(7.4999995, 0), 8);
    assert_int_equal(iol_count(7.5, 0), 8);
    assert_int_equal(iol_count(-7.4999985, 0), -7);
    assert_int_equal(iol_count(-7.4999995, 0), -8);
    assert_int_equal(iol_count(1.2049999, 2), 120);
    assert_int_equal(iol_count(1.204999995, 2), 121);
    assert_int_equal(iol_count(0.4999985, 0), 0);
    assert_int_equal(iol_count(0.4999995, 0), 1);
}

static void zero_has_no_sign(void **state) {
    (void)state;
    for (int sign = 0; sign < 2; sign++) {
        check_print(0.0, 2, sign == 1, "0.00");
        check_print(-0.0, 2, sign == 1, "0.00");
        check_print(-0.004, 2, sign == 1, "0.00");
        check_print(0.004, 2, sign == 1, "0.00");
        check_print(-0.4, 0, sign == 1, "0");
        check_print(-DBL_TRUE_MIN, 9, sign == 1, "0.000000000");
    }
}

static void no_count(void **state) {
    (void)state;
    const double none[] = {(double)NAN, -(double)NAN, (double)INFINITY,   -(double)INFINITY,
                           DBL_MAX,     -DBL_MAX,     9007199254740992.0, -9007199254740992.0,
                           1e300};
    for (size_t i = 0; i < sizeof none / sizeof none[0]; i++) {
        assert_true(iol_count(none[i], 0) == IOL_NO_COUNT);
        assert_true(iol_count(none[i], 9) == IOL_NO_COUNT);
        check_print(none[i], 3, true, "");
    }
    assert_true(iol_count(1.0, -1) == IOL_NO_COUNT);
    assert_true(iol_count(1.0, 10) == IOL_NO_COUNT);
    assert_true(iol_count(9007199.254740992, 9) == IOL_NO_COUNT);
    assert_true(iol_count(9007198.0, 9) == INT64_C(9007198000000000));
}

/* Above 2^52 every double is an integer: the count is that integer, even and odd alike. */
static void huge(void **state) {
    (void)state;
    const int64_t values[] = {INT64_C(9007199254740991), INT64_C(9007199254740990), INT64_C(4503599627370497),
                              INT64_C(4503599627370496), INT64_C(4503599627370495)};
    for (size_t i = 0; i < sizeof values / sizeof values[0]; i++) {
        assert_true(iol_count((double)values[i], 0) == values[i]);
        assert_true(iol_count(-(double)values[i], 0) == -values[i]);
    }
    assert_true(iol_count(4503599627370494.5, 0) == INT64_C(4503599627370495));
    check_print(-9007199254740991.0, 0, false, "-9007199254740991");
}

static void printing_counts(void **state) {
    (void)state;
    char out[32];
    assert_int_equal(iol_print_count(INT64_MAX, 9, true, out, sizeof out), 21);
    assert_string_equal(out, "+9223372036.854775807");
    assert_int_equal(iol_print_count(-INT64_MAX, 0, false, out, sizeof out), 20);
    assert_string_equal(out, "-9223372036854775807");
    assert_int_equal(iol_print_count(IOL_NO_COUNT, 0, false, out, sizeof out), 0);
    assert_string_equal(out, "");
    assert_int_equal(iol_print_count(5, 10, false, out, sizeof out), 0);
    assert_int_equal(iol_print_count(5, -1, false, out, sizeof out), 0);
    assert_int_equal(iol_print_count(-5, 3, false, out, sizeof out), 6);
    assert_string_equal(out, "-0.005");
}

static void small_buffers(void **state) {
    (void)state;
    char out[8] = "xxxxxxx";
    assert_int_equal(iol_print_count(-25, 2, false, out, 6), 5);
    assert_string_equal(out, "-0.25");
    memset(out, 'x', sizeof out);
    assert_int_equal(iol_print_count(-25, 2, false, out, 5), 0);
    assert_int_equal(out[0], '\0');
    assert_int_equal(out[5], 'x');
    memset(out, 'x', sizeof out);
    assert_int_equal(iol_print_count(-25, 2, false, out, 0), 0);
    assert_int_equal(out[0], 'x');
}

/* A nought has no sign, however small what it was rounded from. */
static void no_signed_nought(void **state) {
    (void)state;
    const double small[] = {-0.0, -0.0004, -1e-9, 0.0004};
    for (size_t i = 0; i < sizeof small / sizeof *small; i++) {
        char short_way[32], general[32];
        iol_print_thousandths(small[i], short_way, sizeof short_way);
        iol_print_number(small[i], 3, false, general, sizeof general);
        assert_string_equal(short_way, "0.000");
        assert_string_equal(general, "0.000");
    }
}

/* The short way must print what the general one does, on both sides of 10 and of 100 too, and in any room. */
static void thousandths(void **state) {
    (void)state;
    for (int i = -120000; i <= 120000; i++) {
        const double near[] = {i / 1000.0, i / 1000.0 + 0.0004999985, i / 1000.0 + 0.0004999995};
        for (int k = 0; k < 3; k++) {
            char got[32], want[32];
            assert_int_equal(iol_print_thousandths(near[k], got, sizeof got),
                             iol_print_number(near[k], 3, false, want, sizeof want));
            assert_string_equal(got, want);
        }
    }
    const double other[] = {(double)NAN, -(double)NAN, (double)INFINITY, -(double)INFINITY, 1e300, -1e300,
                            -0.0,        99.9995,      -0.0004};
    for (size_t i = 0; i < sizeof other / sizeof other[0]; i++) {
        for (size_t size = 0; size <= 9; size++) {
            char got[12] = "xxxxxxxxxxx", want[12] = "xxxxxxxxxxx";
            assert_int_equal(iol_print_thousandths(other[i], got, size),
                             iol_print_number(other[i], 3, false, want, size));
            assert_string_equal(got, want);
        }
    }
}

#ifdef __SIZEOF_INT128__
__extension__ typedef __int128 wide;

static uint64_t random_state = 0x9E3779B97F4A7C15u;

static uint64_t next_random(void) {
    random_state ^= random_state << 13;
    random_state ^= random_state >> 7;
    random_state ^= random_state << 17;
    return random_state;
}

/* floor(|x| 10^d + 500001/1000000) in integers: |x| = mantissa 2^-down, so no rounding anywhere. For |x| 10^d < 1e6. */
static int64_t exact_count(double x, int decimals) {
    int exponent;
    const double fraction = frexp(fabs(x), &exponent);
    wide scaled = (wide)(int64_t)ldexp(fraction, 53);
    const int down = 53 - exponent;
    if (down > 84) {
        return 0; /* below 2^53 10^9 2^-85 < 0.3 */
    }
    for (int i = 0; i < decimals; i++) scaled *= 10;
    const wide unit = (wide)1 << down;
    const int64_t count = (int64_t)((scaled * 1000000 + unit * 500001) / (unit * 1000000));
    return x < 0 ? -count : count;
}

static void check_exact(double x, int decimals) {
    const int64_t got = iol_count(x, decimals);
    if (got != exact_count(x, decimals)) fail_msg("%a with %d decimals: %lld", x, decimals, (long long)got);
    assert_true(iol_count(-x, decimals) == -got);
    char out[32]; /* and the digits read back are the count */
    char *end;
    assert_true(iol_print_number(x, decimals, false, out, sizeof out) > 0);
    double scale = 1;
    for (int i = 0; i < decimals; i++) scale *= 10;
    assert_true(llround(strtod(out, &end) * scale) == got);
    assert_int_equal(*end, '\0');
}

static void against_exact_integers(void **state) {
    (void)state;
    for (int i = 0; i < 100000; i++) { /* a grid of five-digit halves, as clinics type them */
        check_exact(i / 1000.0, 2);
        check_exact(i / 2000.0, 3);
        check_exact(i / 8.0, 0);
    }
    for (int i = 0; i < 300000; i++) { /* anywhere below a million of the last digit, on every scale */
        const int decimals = (int)(next_random() % 10);
        double x = (double)(next_random() >> 11) / 9007199254740992.0 * 1e6;
        for (int down = decimals + (int)(next_random() % 7); down > 0; down--) x /= 10;
        check_exact(next_random() % 2 == 0 ? x : -x, decimals);
    }
}
#else
static void against_exact_integers(void **state) {
    (void)state;
    skip(); /* no 128-bit integers here */
}
#endif

/* Source: a meridian lies above 0 to 180, a place from 0 to below 360 (docs/case-format.md). */
static void directions_keep_their_range(void **state) {
    (void)state;
    assert_true(iol_axis_told(0.04, 1) == 180.0 && iol_axis_told(0.4, 0) == 180.0);
    assert_true(iol_axis_told(0.06, 1) == 0.06 && iol_axis_told(179.97, 1) == 179.97);
    assert_true(iol_place_told(359.97, 1) == 0.0 && iol_place_told(359.6, 0) == 0.0);
    assert_true(iol_place_told(359.94, 1) == 359.94 && iol_place_told(0.04, 1) == 0.04);
    assert_true(isnan(iol_axis_told(NAN, 1)) && isnan(iol_place_told(NAN, 1)));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(by_hand),
        cmocka_unit_test(both_sides_of_the_half),
        cmocka_unit_test(zero_has_no_sign),
        cmocka_unit_test(no_count),
        cmocka_unit_test(huge),
        cmocka_unit_test(printing_counts),
        cmocka_unit_test(small_buffers),
        cmocka_unit_test(thousandths),
        cmocka_unit_test(no_signed_nought),
        cmocka_unit_test(directions_keep_their_range),
        cmocka_unit_test(against_exact_integers),
    };
    return cmocka_run_group_tests_name("number", tests, NULL, NULL);
}
