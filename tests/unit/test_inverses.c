/* Every unknown of the thin-lens eye comes back; every refusal is provoked and leaves NaN. */
#include "check.h"
#include "iolrevise/optics.h"
#include "optics/vergence.h"

static const iol_model normal = {43.5, 23.5, 5.0};
static const double vertex_mm = 12.0;

static void there_and_back(void **state) {
    (void)state;
    int eyes = 0;
    for (double length = 20.0; length <= 32.0; length += 1.7) {
        for (double cornea = 37.0; cornea <= 52.0; cornea += 3.3) {
            for (double position = 3.1; position <= 7.1; position += 0.8) {
                for (double power = -9.3; power <= 36.0; power += 6.1) {
                    iol_model eye = {cornea, length, position};
                    double refraction, got;
                    assert_int_equal(iol_refraction_of(eye, power, vertex_mm, &refraction), IOL_OK);
                    assert_int_equal(iol_power_for(eye, refraction, vertex_mm, &got), IOL_OK);
                    CHECK_NEAR(got, power, 1e-9, "there and back");
                    assert_int_equal(iol_length_for(eye, power, refraction, vertex_mm, &got), IOL_OK);
                    CHECK_NEAR(got, length, 1e-9, "there and back");
                    assert_int_equal(iol_cornea_for(eye, power, refraction, vertex_mm, &got), IOL_OK);
                    CHECK_NEAR(got, cornea, 1e-9, "there and back");
                    assert_int_equal(iol_position_for(eye, power, refraction, vertex_mm, &got), IOL_OK);
                    CHECK_NEAR(got, position, 1e-7, "there and back; flat where dR/dE is small");
                    eyes++;
                }
            }
        }
    }
    assert_true(eyes > 1000);
}

static iol_status refit(iol_model eye, double power_d, double prior_mm, double *position_mm) {
    double refraction;
    assert_int_equal(iol_refraction_of(eye, power_d, vertex_mm, &refraction), IOL_OK);
    eye.position_mm = prior_mm;
    return iol_position_for(eye, power_d, refraction, vertex_mm, position_mm);
}

/* The quadratic's roots add up to L + q, q = N / (K + Rc). Only a diverging front leaves both in range: here
 * q = -13.36 mm, so 2.5 mm has its twin at 20 - 13.36 - 2.5 mm. */
static void nearest_root_is_taken(void **state) {
    (void)state;
    double power, got, twin = 20.0 - 13.36 - 2.5;
    iol_model eye = {-100.0, 20.0, 2.5};
    assert_int_equal(iol_power_for(eye, 0.0, vertex_mm, &power), IOL_OK);
    assert_int_equal(iol_position_for(eye, power, 0.0, vertex_mm, &got), IOL_OK);
    CHECK_NEAR(got, 2.5, 1e-9, "first root");
    eye.position_mm = 3.9;
    assert_int_equal(iol_position_for(eye, power, 0.0, vertex_mm, &got), IOL_OK);
    CHECK_NEAR(got, twin, 1e-9, "second root");
    eye.position_mm = 3.2;
    assert_int_equal(iol_position_for(eye, power, 0.0, vertex_mm, &got), IOL_OK);
    CHECK_NEAR(got, 2.5, 1e-9, "3.2 mm is nearer to 2.5 than to 4.14");
}

/* Nearly and quite flat fronts leave the quadratic without its square term. */
static void flat_front(void **state) {
    (void)state;
    static const double cornea[] = {0.0, 1e-9, -1e-9, 1e-6};
    for (int i = 0; i < 4; i++) {
        double power, got;
        iol_model eye = {cornea[i], 20.0, 5.0};
        assert_int_equal(iol_power_for(eye, 0.0, vertex_mm, &power), IOL_OK);
        assert_int_equal(iol_position_for(eye, power, 0.0, vertex_mm, &got), IOL_OK);
        CHECK_NEAR(got, 5.0, 1e-9, "there and back");
    }
}

/* 400 D focuses 3.34 mm behind the cornea. The quadratic has the root 5 mm for this lens, but light crossed there. */
static void root_beyond_a_focus_is_refused(void **state) {
    (void)state;
    double got, power = 1336.0 / (20.0 - 5.0) - 1336.0 / (1336.0 / 400.0 - 5.0);
    assert_int_equal(iol_position_for((iol_model){400.0, 20.0, 5.0}, power, 0.0, vertex_mm, &got), IOL_NO_SOLUTION);
    CHECK_NAN(got);
}

static void position_limits(void **state) {
    (void)state;
    /* position, length, whether it may be returned: 1.0 to the lesser of 8.0 and length - 10 mm */
    static const struct {
        double position, length;
        iol_status status;
    } row[] = {
        {0.999, 23.5, IOL_NO_SOLUTION}, {1.001, 23.5, IOL_OK}, {7.999, 23.5, IOL_OK},
        {8.001, 23.5, IOL_NO_SOLUTION}, {6.999, 17.0, IOL_OK}, {7.001, 17.0, IOL_NO_SOLUTION},
    };
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        double got;
        iol_model eye = {43.5, row[i].length, row[i].position};
        assert_int_equal(refit(eye, 20.0, 5.0, &got), row[i].status);
        assert_true(row[i].status == IOL_OK ? check_near(got, row[i].position, 1e-9) : isnan(got));
    }
}

/* ---- errors ------------------------------------------------------------------------------------------- */

/* One eye, power, refraction and vertex given to every function; all must answer with the status and NaN. */
static void check_all(iol_model eye, double power_d, double refraction_d, double vertex, iol_status status) {
    double got = 1.0;
    iol_gradient g;
    assert_int_equal(iol_refraction_of(eye, power_d, vertex, &got), status);
    CHECK_NAN(got);
    got = 1.0;
    assert_int_equal(iol_position_for(eye, power_d, refraction_d, vertex, &got), status);
    CHECK_NAN(got);
    assert_int_equal(iol_refraction_gradient(eye, power_d, vertex, &g), status);
    assert_true(isnan(g.length) && isnan(g.cornea) && isnan(g.position) && isnan(g.power));
}

/* A refusal leaves nothing behind in what was asked for. */
#define REFUSED(call)                                                                                                  \
    do {                                                                                                               \
        got = 1.0;                                                                                                     \
        assert_int_equal(call, IOL_BAD_INPUT);                                                                         \
        CHECK_NAN(got);                                                                                                \
    } while (0)

static void bad_eyes(void **state) {
    (void)state;
    const double bad[] = {NAN, INFINITY, -INFINITY};
    double got;
    for (int i = 0; i < 3; i++) {
        check_all((iol_model){bad[i], 23.5, 5.0}, 20.0, 0.0, vertex_mm, IOL_BAD_INPUT);
        check_all((iol_model){43.5, bad[i], 5.0}, 20.0, 0.0, vertex_mm, IOL_BAD_INPUT);
        check_all((iol_model){43.5, 23.5, bad[i]}, 20.0, 0.0, vertex_mm, IOL_BAD_INPUT);
        check_all(normal, bad[i], 0.0, vertex_mm, IOL_BAD_INPUT);
        check_all(normal, 20.0, 0.0, bad[i], IOL_BAD_INPUT);
        REFUSED(iol_power_for(normal, bad[i], vertex_mm, &got));
        REFUSED(iol_length_for(normal, 20.0, bad[i], vertex_mm, &got));
        REFUSED(iol_length_for(normal, bad[i], 0.0, vertex_mm, &got));
        REFUSED(iol_cornea_for(normal, 20.0, bad[i], vertex_mm, &got));
        REFUSED(iol_cornea_for(normal, bad[i], 0.0, vertex_mm, &got));
        REFUSED(iol_position_for(normal, 20.0, bad[i], vertex_mm, &got));
        REFUSED(iol_arriving_vergence(bad[i], 5.0, 0.0, vertex_mm, &got));
        REFUSED(iol_arriving_vergence(43.5, bad[i], 0.0, vertex_mm, &got));
        REFUSED(iol_vertex_to_cornea(bad[i], vertex_mm, &got));
        REFUSED(iol_vertex_to_spectacle(1.0, bad[i], &got));
        REFUSED(iol_vertex_to_spectacle(bad[i], vertex_mm, &got));
        REFUSED(iol_vertex_to_cornea(1.0, bad[i], &got));
    }
    check_all((iol_model){43.5, 5.0, 5.0}, 20.0, 0.0, vertex_mm, IOL_BAD_INPUT);
    check_all((iol_model){43.5, 23.5, -0.1}, 20.0, 0.0, vertex_mm, IOL_BAD_INPUT);
    check_all(normal, 20.0, 0.0, -1.0, IOL_BAD_INPUT);
    REFUSED(iol_power_for((iol_model){43.5, 5.0, 5.1}, 0.0, vertex_mm, &got));
}

static void no_solutions(void **state) {
    (void)state;
    double got = 1.0;
    iol_gradient g;
    /* +100 D focuses 10 mm behind the spectacles, in front of the cornea; so does -100 D going back. */
    assert_int_equal(iol_vertex_to_cornea(100.0, 12.0, &got), IOL_NO_SOLUTION);
    CHECK_NAN(got);
    assert_int_equal(iol_vertex_to_spectacle(-100.0, 12.0, &got), IOL_NO_SOLUTION);
    CHECK_NAN(got);
    assert_int_equal(iol_power_for(normal, 100.0, 12.0, &got), IOL_NO_SOLUTION);
    CHECK_NAN(got);
    assert_int_equal(iol_length_for(normal, 20.0, 100.0, 12.0, &got), IOL_NO_SOLUTION);
    assert_int_equal(iol_cornea_for(normal, 20.0, 100.0, 12.0, &got), IOL_NO_SOLUTION);
    assert_int_equal(iol_position_for(normal, 20.0, 100.0, 12.0, &got), IOL_NO_SOLUTION);
    CHECK_NAN(got);
    /* A cornea of 400 D focuses before a lens at 5 mm; a lens of 400 D has its far point inside the eye. */
    assert_int_equal(iol_arriving_vergence(400.0, 5.0, 0.0, 12.0, &got), IOL_NO_SOLUTION);
    CHECK_NAN(got);
    assert_int_equal(iol_refraction_of(normal, 400.0, 12.0, &got), IOL_NO_SOLUTION);
    CHECK_NAN(got);
    assert_int_equal(iol_refraction_gradient(normal, 400.0, 12.0, &g), IOL_NO_SOLUTION);
    CHECK_NAN(g.power);
    assert_int_equal(iol_cornea_for(normal, 400.0, 0.0, 12.0, &got), IOL_NO_SOLUTION);
    CHECK_NAN(got);
    /* Light that never comes together has no length; a lens without power tells nothing of its place. */
    assert_int_equal(iol_length_for(normal, -80.0, 0.0, 12.0, &got), IOL_NO_SOLUTION);
    CHECK_NAN(got);
    assert_int_equal(iol_position_for(normal, 0.0, 1.0, 12.0, &got), IOL_NO_SOLUTION);
    CHECK_NAN(got);
    /* No position makes a 20 D lens in this eye 20 D myopic. */
    assert_int_equal(iol_position_for(normal, 20.0, -20.0, 12.0, &got), IOL_NO_SOLUTION);
    CHECK_NAN(got);
}

/* ---- matrix forms -------------------------------------------------------------------------------------- */

static const iol_matrix nothing = {NAN, 0.0, 0.0};

/* Without cylinder the matrix eye is the scalar eye; with it, each principal meridian is. */
static void matrix_eye_is_the_scalar_eye_in_each_meridian(void **state) {
    (void)state;
    iol_matrix cornea = iol_matrix_from_meridians(42.0, 45.0, 65.0);
    iol_matrix toric = iol_matrix_from_meridians(18.0, 21.0, 155.0);
    iol_matrix at_cornea, again, needed;
    double weak, strong;
    assert_int_equal(iol_matrix_refraction(cornea, 23.5, 5.0, toric, &at_cornea), IOL_OK);
    assert_int_equal(iol_refraction_of((iol_model){42.0, 23.5, 5.0}, 21.0, 0.0, &weak), IOL_OK);
    assert_int_equal(iol_refraction_of((iol_model){45.0, 23.5, 5.0}, 18.0, 0.0, &strong), IOL_OK);
    iol_matrix want = iol_matrix_from_spherocylinder((iol_spherocylinder){weak, strong - weak, 65.0});
    CHECK_NEAR(at_cornea.xx, want.xx, 1e-12, "scalar eye in each meridian");
    CHECK_NEAR(at_cornea.xy, want.xy, 1e-12, "scalar eye in each meridian");
    CHECK_NEAR(at_cornea.yy, want.yy, 1e-12, "scalar eye in each meridian");
    assert_int_equal(iol_matrix_lens_for(cornea, 23.5, 5.0, at_cornea, &again), IOL_OK);
    CHECK_NEAR(again.xx, toric.xx, 1e-11, "there and back");
    CHECK_NEAR(again.xy, toric.xy, 1e-11, "there and back");
    CHECK_NEAR(again.yy, toric.yy, 1e-11, "there and back");
    assert_int_equal(iol_matrix_needed(23.5, 5.0, toric, &needed), IOL_OK);
    CHECK_NEAR(needed.xy, cornea.xy + at_cornea.xy, 1e-12, "cornea plus refraction");
}

/* W may be singular: a lens that leaves no vergence to be supplied in one meridian. */
static void singular_need_is_no_obstacle(void **state) {
    (void)state;
    iol_matrix needed, lens = iol_matrix_from_meridians(10.0, 1336.0 / 18.5, 30.0);
    assert_int_equal(iol_matrix_needed(23.5, 5.0, lens, &needed), IOL_OK);
    CHECK_NEAR(needed.xx * needed.yy - needed.xy * needed.xy, 0.0, 1e-9, "one meridian needs nothing");
}

static void matrix_errors(void **state) {
    (void)state;
    iol_matrix out, cornea = iol_matrix_scalar(43.5), lens = iol_matrix_scalar(20.0), plane = iol_matrix_scalar(0.0);
    assert_int_equal(iol_matrix_refraction(nothing, 23.5, 5.0, lens, &out), IOL_BAD_INPUT);
    assert_true(isnan(out.xx) && isnan(out.xy) && isnan(out.yy));
    assert_int_equal(iol_matrix_refraction(cornea, 23.5, 5.0, nothing, &out), IOL_BAD_INPUT);
    assert_true(isnan(out.xx) && isnan(out.xy) && isnan(out.yy));
    assert_int_equal(iol_matrix_refraction(cornea, 5.0, 5.0, lens, &out), IOL_BAD_INPUT);
    assert_int_equal(iol_matrix_refraction(cornea, 23.5, NAN, lens, &out), IOL_BAD_INPUT);
    assert_int_equal(iol_matrix_refraction(cornea, 23.5, 5.0, iol_matrix_scalar(400.0), &out), IOL_NO_SOLUTION);
    assert_true(isnan(out.xx) && isnan(out.xy) && isnan(out.yy));
    assert_int_equal(iol_matrix_lens_for(cornea, NAN, 5.0, plane, &out), IOL_BAD_INPUT);
    assert_int_equal(iol_matrix_lens_for(cornea, 23.5, 5.0, nothing, &out), IOL_BAD_INPUT);
    assert_int_equal(iol_matrix_lens_for(iol_matrix_scalar(400.0), 23.5, 5.0, plane, &out), IOL_NO_SOLUTION);
    assert_true(isnan(out.xx) && isnan(out.xy) && isnan(out.yy));
    out = plane;
    assert_int_equal(iol_matrix_needed(23.5, -1.0, lens, &out), IOL_BAD_INPUT);
    assert_true(isnan(out.xx) && isnan(out.xy) && isnan(out.yy));
    out = plane;
    assert_int_equal(iol_matrix_lens_for(cornea, NAN, 5.0, plane, &out), IOL_BAD_INPUT);
    assert_true(isnan(out.xx) && isnan(out.xy) && isnan(out.yy));
}

/* Where an eye says nothing about its unknown, the digits of the refraction are lost: no answer rather than a wrong one. */
static void what_does_not_come_back(void **state) {
    (void)state;
    double got = 1.0, singular = 1336.0 / 18.5 + 1336.0 / 5.0, power = singular;
    assert_int_equal(iol_power_for((iol_model){-1e20, 23.5, 5.0}, 1.5, vertex_mm, &got), IOL_NO_SOLUTION);
    CHECK_NAN(got);
    for (int i = 0; i < 8; i++) power = nextafter(power, 0.0);
    for (int i = 0; i < 16; i++, power = nextafter(power, INFINITY)) {
        assert_int_equal(iol_cornea_for(normal, power, 1.3, vertex_mm, &got), IOL_NO_SOLUTION);
        CHECK_NAN(got);
    }
}

/* A spectacle lens close to its own focus, on the cornea itself: K + R / (1 - V R) (the definition, by hand). */
static void near_a_focus(void **state) {
    (void)state;
    double got;
    iol_gradient g;
    assert_int_equal(iol_arriving_vergence(43.5, 0.0, 80.0, 12.0, &got), IOL_OK);
    CHECK_NEAR(got, 43.5 + 80.0 / 0.04, 1e-6, "definition");
    assert_int_equal(iol_cornea_for((iol_model){NAN, 23.5, 5.0}, 20.0, 0.0, vertex_mm, &got), IOL_OK);
    got = 1.0;
    assert_int_equal(iol_refraction_with_gradient(normal, NAN, vertex_mm, &got, &g), IOL_BAD_INPUT);
    CHECK_NAN(got);
}

/* Finite in, not finite out: refused. */
static void overflows(void **state) {
    (void)state;
    double got = 1.0, vergence = 1e300, huge = 1.7e308;
    iol_gradient g;
    iol_matrix out;
    for (int i = 0; i < 4; i++) vergence = nextafter(vergence, 0.0);
    for (int i = 0; i < 8; i++, vergence = nextafter(vergence, INFINITY)) {
        assert_int_equal(iol_vertex_to_cornea(vergence, 1e-297, &got), IOL_NO_SOLUTION);
        CHECK_NAN(got);
    }
    assert_int_equal(iol_refraction_with_gradient((iol_model){43.5, 1e-160, 0.0}, 20.0, 0.0, &got, &g),
                     IOL_NO_SOLUTION);
    CHECK_NAN(got);
    CHECK_NAN(g.length);
    const iol_matrix cornea = {-huge, 0.0, 43.5}, lens = {-huge, 0.0, 100.0};
    assert_int_equal(iol_matrix_refraction(cornea, 13.36, 0.0, lens, &out), IOL_NO_SOLUTION);
    CHECK_NAN(out.xx);
    assert_int_equal(iol_matrix_lens_for((iol_matrix){-huge, 0.0, 0.0}, 1e-305, 0.0, (iol_matrix){0.0, 0.0, 0.0}, &out),
                     IOL_NO_SOLUTION);
    CHECK_NAN(out.xx);
    assert_int_equal(iol_matrix_step(iol_matrix_scalar(1e200), 0.0, &out), IOL_NO_SOLUTION);
    CHECK_NAN(out.xx);
}

/* What is refused leaves no number behind. */
static void a_vergence_that_is_none(void **state) {
    (void)state;
    static const double none[] = {NAN, INFINITY, -INFINITY};
    for (int i = 0; i < 3; i++) {
        double out = 1.0;
        assert_int_equal(iol_vergence_carry(none[i], 3.0, &out), IOL_BAD_INPUT);
        CHECK_NAN(out);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_does_not_come_back),
        cmocka_unit_test(near_a_focus),
        cmocka_unit_test(overflows),
        cmocka_unit_test(there_and_back),
        cmocka_unit_test(nearest_root_is_taken),
        cmocka_unit_test(flat_front),
        cmocka_unit_test(root_beyond_a_focus_is_refused),
        cmocka_unit_test(position_limits),
        cmocka_unit_test(bad_eyes),
        cmocka_unit_test(no_solutions),
        cmocka_unit_test(matrix_eye_is_the_scalar_eye_in_each_meridian),
        cmocka_unit_test(singular_need_is_no_obstacle),
        cmocka_unit_test(matrix_errors),
        cmocka_unit_test(a_vergence_that_is_none),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
