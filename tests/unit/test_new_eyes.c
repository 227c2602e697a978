/* Eyes without a lens, with two, with a cornea altered by laser, and of children: the optics against derived rows, limits, and
 * there-and-back. The rows were derived apart from this program, in 34 digits. */
#include "check.h"
#include "estimate/observe.h"
#include "eye/altered_cornea.h"
#include "eye/child.h"
#include "formulas/formulas.h"
#include "optics/no_lens.h"
#include "optics/two_lenses.h"

static const double row_d = 1e-9; /* what the rows are met to, D and mm alike */

/* ---- an eye without a lens ---- */

typedef struct {
    double vertex_mm;
} reading_plane;

static iol_status seen_without_lens(const void *context, const double x[], double *value, double g[]) {
    const reading_plane *plane = context;
    iol_gradient gradient;
    iol_status status = iol_no_lens_refraction(x[0], x[1], plane->vertex_mm, value, &gradient);
    g[0] = gradient.length, g[1] = gradient.cornea;
    return status;
}

static double square(double x) { return x * x; }

static void check_no_lens_power(const check_table *t, const iol_no_lens *eye, const char *source) {
    iol_no_lens_gradient g;
    double power, length;
    assert_int_equal(iol_no_lens_power(eye, &power, &g), IOL_OK);
    assert_int_equal(iol_no_lens_length(eye->cornea_d, eye->reading_d, eye->reading_vertex_mm, &length), IOL_OK);
    CHECK_NEAR(power, check_number(t, "power_from_refraction_d"), row_d, source);
    CHECK_NEAR(length, check_number(t, "length_from_refraction_mm"), row_d, source);
    CHECK_NEAR(g.reading, check_number(t, "dpower_per_reading_d"), row_d, source);
    CHECK_NEAR(g.vertex, check_number(t, "dpower_per_vertex_d_per_mm"), row_d, source);
    CHECK_NEAR(g.position, check_number(t, "dpower_per_position_d_per_mm"), row_d, source);
    CHECK_NEAR(g.cornea, check_number(t, "dpower_per_cornea_d"), row_d, source);
    double sd = sqrt(
        square(g.reading * check_number(t, "sd_reading_d")) + square(g.vertex * check_number(t, "sd_vertex_mm")) +
        square(g.position * check_number(t, "sd_position_mm")) + square(g.cornea * check_number(t, "sd_cornea_d")));
    CHECK_NEAR(sd, check_number(t, "sd_power_d"), row_d, source);
    CHECK_NEAR(-sd * g.outcome, check_number(t, "sd_outcome_d"), row_d, source);
}

static void no_lens_rows(void **state) {
    (void)state;
    check_table t;
    const char *source = DERIVATION "/no_lens.tsv";
    check_open(&t, DERIVED("no_lens"));
    while (check_next(&t)) {
        const iol_no_lens eye = {check_number(&t, "cornea_d"),
                                 check_number(&t, "position_mm"),
                                 check_number(&t, "aphakic_refraction_d"),
                                 check_number(&t, "vertex_reading_mm"),
                                 check_number(&t, "target_at_12mm_d"),
                                 12.0};
        check_no_lens_power(&t, &eye, source);
        double mean[2] = {check_number(&t, "length_biometry_mm"), eye.cornea_d}, power, at_cornea;
        double sd[2] = {check_number(&t, "sd_length_mm"), check_number(&t, "sd_cornea_d")};
        iol_model biometry = {eye.cornea_d, mean[0], eye.position_mm};
        assert_int_equal(iol_power_for(biometry, eye.target_d, 12.0, &power), IOL_OK);
        CHECK_NEAR(power, check_number(&t, "power_from_biometry_d"), row_d, source);
        CHECK_NEAR(iol_no_lens_by_line(mean[0], mean[1]), check_number(&t, "linear_relation_refraction_d"), row_d,
                   source);
        /* The reading's own spread holds that of its vertex distance: dR/dV of a fixed Rc is R^2/1000 of the reading. */
        assert_int_equal(iol_vertex_to_cornea(eye.reading_d, eye.reading_vertex_mm, &at_cornea), IOL_OK);
        double vertex = check_number(&t, "sd_vertex_mm") * square(eye.reading_d) / 1000.0;
        double sd_reading = hypot(check_number(&t, "sd_reading_d"), vertex);
        iol_observed joint;
        reading_plane plane = {eye.reading_vertex_mm};
        iol_observe(2, mean, sd, eye.reading_d, sd_reading, seen_without_lens, &plane, &joint);
        assert_int_equal(joint.status, IOL_OK);
        CHECK_NEAR(joint.x[0], check_number(&t, "joint_length_mm"), row_d, source);
        CHECK_NEAR(joint.x[1], check_number(&t, "joint_cornea_d"), row_d, source);
        iol_model both = {joint.x[1], joint.x[0], eye.position_mm};
        iol_gradient h;
        assert_int_equal(iol_power_for(both, eye.target_d, 12.0, &power), IOL_OK);
        CHECK_NEAR(power, check_number(&t, "joint_power_d"), row_d, source);
        assert_int_equal(iol_refraction_gradient(both, power, 12.0, &h), IOL_OK);
        double g[2] = {h.length, h.cornea}, variance = square(h.position * check_number(&t, "sd_position_mm"));
        for (int i = 0; i < 2; i++)
            for (int k = 0; k < 2; k++) variance += g[i] * joint.covariance[i][k] * g[k];
        CHECK_NEAR(sqrt(variance) / fabs(h.power), check_number(&t, "joint_sd_power_d"), row_d, source);
    }
    assert_int_equal(t.rows, 24);
}

/* There and back: the lens that the reading asks for, put into the eye whose length the reading tells, gives the target. */
static void no_lens_there_and_back(void **state) {
    (void)state;
    for (double reading = 2.0; reading <= 20.0; reading += 1.5)
        for (double k = 36.0; k <= 48.0; k += 3.0) {
            iol_no_lens eye = {k, 5.0, reading, 12.0, -0.25, 12.0};
            iol_no_lens_gradient g;
            double power, length, again;
            assert_int_equal(iol_no_lens_power(&eye, &power, &g), IOL_OK);
            assert_int_equal(iol_no_lens_length(k, reading, 12.0, &length), IOL_OK);
            assert_int_equal(iol_refraction_of((iol_model){k, length, 5.0}, power, 12.0, &again), IOL_OK);
            CHECK_NEAR(again, -0.25, 1e-11, "the same eye, by iol_refraction_of");
            assert_int_equal(iol_refraction_of((iol_model){k, length, 5.0}, 0.0, 12.0, &again), IOL_OK);
            CHECK_NEAR(again, reading, 1e-11, "no lens is a lens of power 0");
        }
    iol_no_lens nothing = {43.5, 5.0, -0.25, 12.0, -0.25, 12.0};
    iol_no_lens_gradient g;
    double power;
    assert_int_equal(iol_no_lens_power(&nothing, &power, &g), IOL_OK);
    CHECK_NEAR(power, 0.0, 1e-12, "an eye that has the target without a lens needs none");
    nothing.reading_d = NAN;
    assert_int_equal(iol_no_lens_power(&nothing, &power, &g), IOL_BAD_INPUT);
    CHECK_NAN(power);
    nothing.reading_d = 100.0; /* focuses in front of the cornea at 12 mm */
    assert_int_equal(iol_no_lens_power(&nothing, &power, &g), IOL_NO_SOLUTION);
    CHECK_NAN(g.reading);
}

/* Worked figures of the derivation, printed to 0.01 D: K 43.50, E 5.00, +11.50 D, target -0.25 D. */
static void no_lens_examples(void **state) {
    (void)state;
    static const struct {
        double position_mm, vertex_mm, power_d;
    } row[] = {{5.0, 10.0, 20.04}, {5.0, 12.0, 20.60}, {5.0, 14.0, 21.19}, {4.5, 12.0, 19.67}};
    const char *source = "worked figures of the derivation, to 0.01 D";
    iol_no_lens_gradient g;
    double power;
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        iol_no_lens eye = {43.5, row[i].position_mm, 11.5, row[i].vertex_mm, -0.25, 12.0};
        assert_int_equal(iol_no_lens_power(&eye, &power, &g), IOL_OK);
        CHECK_NEAR(power, row[i].power_d, 0.005, source);
    }
    static const struct {
        double reading_d, sd_reading_d, lens_d, reading, vertex, place, cornea, outcome;
    } budget[] = {{15.23, 0.45, 29.4, 1.14, 0.59, 0.87, 0.05, 1.10},
                  {11.51, 0.45, 20.6, 0.98, 0.29, 0.57, 0.04, 0.83},
                  {7.20, 0.30, 12.0, 0.55, 0.10, 0.31, 0.02, 0.45}};
    for (size_t i = 0; i < sizeof budget / sizeof *budget; i++) {
        iol_no_lens eye = {43.5, 5.0, budget[i].reading_d, 12.0, -0.25, 12.0};
        assert_int_equal(iol_no_lens_power(&eye, &power, &g), IOL_OK);
        double reading = g.reading * budget[i].sd_reading_d, place = g.position * 0.30, cornea = g.cornea * 0.20;
        CHECK_NEAR(power, budget[i].lens_d, 0.06, source);
        CHECK_NEAR(reading, budget[i].reading, 0.006, source);
        CHECK_NEAR(g.vertex, budget[i].vertex, 0.006, source);
        CHECK_NEAR(place, budget[i].place, 0.006, source);
        CHECK_NEAR(cornea, budget[i].cornea, 0.006, source);
        double sd = sqrt(square(reading) + square(g.vertex) + square(place) + square(cornea));
        CHECK_NEAR(-sd * g.outcome, budget[i].outcome, 0.006, source);
    }
    /* the one relation in print lies 4 to 5 D above vergence in an average eye, if its reading were ours */
    CHECK_NEAR(iol_no_lens_by_theatre(11.5) - 20.6, 4.5, 0.7, "printed relation, 82 eyes");
    /* the line is within 0.76 D of ours from 21.5 to 27 mm, K 43.5 */
    for (double length = 21.5; length <= 27.0; length += 0.5) {
        double ours;
        iol_gradient h;
        assert_int_equal(iol_no_lens_refraction(length, 43.5, 12.0, &ours, &h), IOL_OK);
        CHECK_NEAR(ours, iol_no_lens_by_line(length, 43.5), 0.765, "printed line, 120 and 205 eyes; its own spread");
    }
}

/* ---- two lenses ---- */

static iol_lens_pair two_of(const double x[IOL_TWO_STATES]) {
    return (iol_lens_pair){{x[IOL_TWO_CORNEA], x[IOL_TWO_LENGTH], x[IOL_TWO_POSITION]},
                           x[IOL_TWO_GAP],
                           x[IOL_TWO_FIRST],
                           x[IOL_TWO_SECOND]};
}

static iol_status seen_with_two(const void *context, const double x[], double *value, double g[]) {
    const reading_plane *plane = context;
    iol_lens_pair two = two_of(x);
    return iol_two_lenses_refraction(&two, plane->vertex_mm, value, g);
}

static double two_refraction(iol_lens_pair two, double vertex_mm) {
    double g[IOL_TWO_STATES], refraction;
    assert_int_equal(iol_two_lenses_refraction(&two, vertex_mm, &refraction, g), IOL_OK);
    return refraction;
}

/* The four ways out: refraction with the second lens out, and the powers of a new second, a new first, and one lens. */
static void check_ways(const check_table *t, const iol_lens_pair *two, double first_mm, double second_mm,
                       const char *const column[4], const char *source) {
    double vertex = check_number(t, "vertex_mm"), target = check_number(t, "target_d"), power;
    iol_lens_pair out = *two;
    out.second_d = 0.0;
    CHECK_NEAR(two_refraction(out, vertex), check_number(t, column[0]), row_d, source);
    assert_int_equal(iol_two_lenses_second_for(two, second_mm, target, vertex, &power), IOL_OK);
    CHECK_NEAR(power, check_number(t, column[1]), row_d, source);
    assert_int_equal(iol_two_lenses_first_for(two, first_mm, target, vertex, &power), IOL_OK);
    CHECK_NEAR(power, check_number(t, column[2]), row_d, source);
    iol_model one = two->eye;
    one.position_mm = first_mm;
    assert_int_equal(iol_power_for(one, target, vertex, &power), IOL_OK);
    CHECK_NEAR(power, check_number(t, column[3]), row_d, source);
}

static void two_lenses_rows(void **state) {
    (void)state;
    check_table t;
    const char *source = DERIVATION "/two_lenses.tsv";
    static const char *const plain[4] = {"refraction_second_out_d", "exchange_second_d", "exchange_first_d",
                                         "one_lens_at_first_d"};
    static const char *const joint[4] = {"joint_second_out_d", "joint_exchange_second_d", "joint_exchange_first_d",
                                         "joint_one_lens_d"};
    static const char *const state_column[IOL_TWO_STATES] = {"joint_length_mm",         "joint_cornea_d",
                                                             "joint_position_first_mm", "joint_gap_mm",
                                                             "joint_first_d",           "joint_second_d"};
    const double sd[IOL_TWO_STATES] = {0.05, 0.20, 0.30, 0.20, 0.20, 0.15}; /* the spreads of the rows; reading 0.30 */
    check_open(&t, DERIVED("two_lenses"));
    while (check_next(&t)) {
        double mean[IOL_TWO_STATES] = {check_number(&t, "length_mm"),         check_number(&t, "cornea_d"),
                                       check_number(&t, "position_first_mm"), check_number(&t, "gap_mm"),
                                       check_number(&t, "first_d"),           check_number(&t, "second_d")};
        reading_plane plane = {check_number(&t, "vertex_mm")};
        iol_lens_pair two = two_of(mean), near_by = two, far = two;
        CHECK_NEAR(two_refraction(two, plane.vertex_mm), check_number(&t, "refraction_d"), row_d, source);
        near_by.gap_mm = 0.2, far.gap_mm = 1.5;
        CHECK_NEAR(two_refraction(near_by, plane.vertex_mm), check_number(&t, "refraction_gap_0.2mm_d"), row_d, source);
        CHECK_NEAR(two_refraction(far, plane.vertex_mm), check_number(&t, "refraction_gap_1.5mm_d"), row_d, source);
        check_ways(&t, &two, check_number(&t, "position_first_new_mm"), check_number(&t, "position_second_new_mm"),
                   plain, source);
        iol_observed seen;
        iol_observe(IOL_TWO_STATES, mean, sd, check_number(&t, "found_d"), 0.30, seen_with_two, &plane, &seen);
        assert_int_equal(seen.status, IOL_OK);
        for (int i = 0; i < IOL_TWO_STATES; i++)
            CHECK_NEAR(seen.x[i], check_number(&t, state_column[i]), row_d, source);
        two = two_of(seen.x);
        check_ways(&t, &two, two.eye.position_mm, two.eye.position_mm - two.gap_mm, joint, source); /* where they are */
    }
    assert_int_equal(t.rows, 24);
}

/* A second lens of power 0 is not there; two lenses in one plane are one; the gradient is the difference quotient's. */
static void two_lenses_limits(void **state) {
    (void)state;
    for (double power = -5.0; power <= 35.0; power += 5.0)
        for (double gap = 0.0; gap <= 1.5; gap += 0.3) {
            iol_lens_pair two = {{43.5, 23.5, 5.0}, gap, power, 0.0};
            double one, g[IOL_TWO_STATES], refraction, step = 1e-4;
            iol_gradient h;
            assert_int_equal(iol_refraction_with_gradient(two.eye, power, 12.0, &one, &h), IOL_OK);
            assert_int_equal(iol_two_lenses_refraction(&two, 12.0, &refraction, g), IOL_OK);
            CHECK_NEAR(refraction, one, 1e-12, "P2 = 0: the eye with one lens");
            CHECK_NEAR(g[IOL_TWO_LENGTH], h.length, 1e-12, "the same, by length");
            CHECK_NEAR(g[IOL_TWO_CORNEA], h.cornea, 1e-12, "the same, by cornea");
            CHECK_NEAR(g[IOL_TWO_POSITION], h.position, 1e-12, "the same, by position");
            CHECK_NEAR(g[IOL_TWO_FIRST], h.power, 1e-12, "the same, by power");
            CHECK_NEAR(g[IOL_TWO_GAP], 0.0, 1e-12, "a lens of power 0 may lie anywhere");
            two.second_d = 4.0;
            double x[IOL_TWO_STATES] = {23.5, 43.5, 5.0, gap + 0.2, power, 4.0};
            two = two_of(x);
            assert_int_equal(iol_two_lenses_refraction(&two, 12.0, &refraction, g), IOL_OK);
            for (int i = 0; i < IOL_TWO_STATES; i++) {
                double up[IOL_TWO_STATES], down[IOL_TWO_STATES];
                memcpy(up, x, sizeof x), memcpy(down, x, sizeof x);
                up[i] += step, down[i] -= step;
                double quotient =
                    (two_refraction(two_of(up), 12.0) - two_refraction(two_of(down), 12.0)) / (2.0 * step);
                CHECK_NEAR(g[i], quotient, 1e-6, "central difference");
            }
        }
    iol_lens_pair pressed = {{43.5, 23.5, 5.0}, 0.0, 16.0, 4.0};
    double one;
    assert_int_equal(iol_refraction_of(pressed.eye, 20.0, 12.0, &one), IOL_OK);
    CHECK_NEAR(two_refraction(pressed, 12.0), one, 1e-12, "thin lenses in one plane add up");
}

/* What has no length: a label not known, lenses in the wrong order, light that focuses on the way or never. */
static void two_lenses_without_length(void **state) {
    (void)state;
    iol_lens_pair two = {{43.5, NAN, 5.0}, 0.5, 20.0, 3.0};
    double length;
    assert_int_equal(iol_two_lenses_length(&two, -0.25, 12.0, &length), IOL_OK);
    two.second_d = NAN;
    assert_int_equal(iol_two_lenses_length(&two, -0.25, 12.0, &length), IOL_BAD_INPUT);
    CHECK_NAN(length);
    two.second_d = 3.0, two.gap_mm = -0.1;
    assert_int_equal(iol_two_lenses_length(&two, -0.25, 12.0, &length), IOL_BAD_INPUT);
    two.gap_mm = 0.5;
    assert_int_equal(iol_two_lenses_length(&two, 100.0, 12.0, &length), IOL_NO_SOLUTION);
    two.first_d = -80.0;
    assert_int_equal(iol_two_lenses_length(&two, -0.25, 12.0, &length), IOL_NO_SOLUTION);
    CHECK_NAN(length);
}

static void two_lenses_there_and_back(void **state) {
    (void)state;
    for (double second = -6.0; second <= 6.0; second += 1.5) {
        iol_lens_pair two = {{43.5, 23.5, 5.0}, 0.5, 20.0, second};
        iol_matrix at_cornea, none = iol_matrix_scalar(0.0);
        double refraction = two_refraction(two, 12.0), back, spectacle;
        assert_int_equal(iol_two_lenses_second_for(&two, 4.5, refraction, 12.0, &back), IOL_OK);
        CHECK_NEAR(back, second, 1e-11, "the second lens put back");
        assert_int_equal(iol_two_lenses_first_for(&two, 5.0, refraction, 12.0, &back), IOL_OK);
        CHECK_NEAR(back, 20.0, 1e-11, "the first lens put back");
        assert_int_equal(iol_two_lenses_length(&two, refraction, 12.0, &back), IOL_OK);
        CHECK_NEAR(back, 23.5, 1e-11, "the length found again");
        assert_int_equal(iol_two_lenses_matrix(&two, iol_matrix_scalar(43.5), iol_matrix_scalar(20.0),
                                               iol_matrix_add(none, iol_matrix_scalar(second)), &at_cornea),
                         IOL_OK);
        assert_int_equal(iol_vertex_to_spectacle(iol_matrix_mean(at_cornea), 12.0, &spectacle), IOL_OK);
        CHECK_NEAR(spectacle, refraction, 1e-11, "scalar matrices");
    }
    iol_lens_pair two = {{43.5, 23.5, 5.0}, -0.1, 20.0, 4.0};
    double g[IOL_TWO_STATES] = {0.0}, refraction;
    assert_int_equal(iol_two_lenses_refraction(&two, 12.0, &refraction, g), IOL_BAD_INPUT);
    CHECK_NAN(refraction);
    for (int i = 0; i < IOL_TWO_STATES; i++) CHECK_NAN(g[i]);
    two.gap_mm = NAN;
    assert_int_equal(iol_two_lenses_refraction(&two, 12.0, &refraction, g), IOL_BAD_INPUT);
    two.gap_mm = 0.5, two.second_d = NAN;
    assert_int_equal(iol_two_lenses_refraction(&two, 12.0, &refraction, g), IOL_BAD_INPUT);
    assert_int_equal(iol_two_lenses_second_for(&two, 5.5, 0.0, 12.0, &refraction),
                     IOL_BAD_INPUT); /* behind the first */
    CHECK_NAN(refraction);
    refraction = 1.0;
    assert_int_equal(iol_two_lenses_first_for(&two, 5.0, 0.0, 12.0, &refraction), IOL_BAD_INPUT);
    CHECK_NAN(refraction);
}

/* Example of the derivation: 20 D at 5.00, +4 D at 4.50, printed to 0.01. */
static void two_lenses_example(void **state) {
    (void)state;
    const char *source = "worked example of the derivation, to 0.01 D";
    iol_lens_pair two = {{43.5, 23.5, 5.0}, 0.5, 20.0, 4.0}, out = two;
    double power;
    out.second_d = 0.0;
    CHECK_NEAR(two_refraction(two, 12.0), -2.86, 0.005, source);
    CHECK_NEAR(two_refraction(out, 12.0), 0.18, 0.005, source);
    assert_int_equal(iol_two_lenses_second_for(&two, 4.5, -0.25, 12.0, &power), IOL_OK);
    CHECK_NEAR(power, 0.59, 0.005, source);
    assert_int_equal(iol_two_lenses_first_for(&two, 5.0, -0.25, 12.0, &power), IOL_OK);
    CHECK_NEAR(power, 16.45, 0.005, source);
    assert_int_equal(iol_power_for(two.eye, -0.25, 12.0, &power), IOL_OK);
    CHECK_NEAR(power, 20.61, 0.005, source);
}

/* Two toric lenses: along a common axis each meridian is an eye of its own; at any axes the lenses come back. */
static void two_toric_lenses(void **state) {
    (void)state;
    const char *meridians = "common practice, no source: along a common axis each meridian is an eye of its own";
    const double spread[3][2] = {{42.4, 44.6}, {18.5, 21.5}, {2.75, 5.25}}; /* cornea, first, second at 30 and 120 deg */
    const iol_lens_pair place = {{NAN, 23.5, 5.0}, 0.5, NAN, NAN};
    iol_matrix aligned[3], at_cornea, found;
    for (int i = 0; i < 3; i++) aligned[i] = iol_matrix_from_meridians(spread[i][0], spread[i][1], 30.0);
    iol_lens_pair two = place;
    two.eye.cornea_d = 43.5;
    assert_int_equal(iol_two_lenses_matrix(&two, aligned[0], aligned[1], aligned[2], &at_cornea), IOL_OK);
    double half = 0.5 * (at_cornea.xx - at_cornea.yy), along = 0.5 * half + at_cornea.xy * sqrt(0.75);
    for (int m = 0; m < 2; m++) {
        iol_lens_pair one = {{spread[0][m], 23.5, 5.0}, 0.5, spread[1][m], spread[2][m]};
        double seen = iol_matrix_mean(at_cornea) + (m == 0 ? along : -along);
        CHECK_NEAR(seen, two_refraction(one, 0.0), 1e-12, meridians);
    }
    const iol_matrix cornea = iol_matrix_from_meridians(42.4, 44.6, 12.0);
    const iol_matrix first = iol_matrix_from_meridians(18.5, 21.5, 77.0);
    const iol_matrix second = iol_matrix_from_meridians(2.75, 5.25, 140.0);
    assert_int_equal(iol_two_lenses_matrix(&two, cornea, first, second, &at_cornea), IOL_OK);
    iol_matrix corrected = iol_matrix_add(cornea, iol_matrix_deviator(at_cornea)); /* the cylinder worn on the cornea */
    double mean = iol_matrix_mean(at_cornea);
    for (int k = 0; k < 2; k++) {
        iol_status status = k ? iol_two_lenses_matrix_first_for(&two, corrected, second, mean, &found)
                              : iol_two_lenses_matrix_second_for(&two, corrected, first, mean, &found);
        iol_matrix off = iol_matrix_subtract(found, k ? first : second);
        assert_int_equal(status, IOL_OK);
        CHECK_NEAR(hypot(hypot(off.xx, off.xy), off.yy), 0.0, 1e-12, "there and back");
    }
    two.gap_mm = -0.1;
    assert_int_equal(iol_two_lenses_matrix_first_for(&two, cornea, second, mean, &found), IOL_BAD_INPUT);
    assert_int_equal(iol_two_lenses_matrix_second_for(&two, cornea, first, mean, &found), IOL_BAD_INPUT);
}

/* ---- a cornea altered by laser ---- */

static iol_formula formula_named(const char *name) {
    for (int i = 0; i < IOL_FORMULA_COUNT; i++)
        if (strcmp(iol_formulas[i].name, name) == 0) return (iol_formula)i;
    fail_msg("no formula %s", name);
    return IOL_FORMULA_COUNT;
}

/* The derivation's constants from the A-constant: the published lines; Haigis a0 as it stands in the rows' position. */
static iol_formula_input two_radii(const check_table *t, iol_formula formula, double before_d) {
    double a = check_number(t, "a_constant"), acd = check_number(t, "chamber_depth_mm");
    iol_formula_input in = {check_number(t, "axial_length_mm"),
                            337.5 / check_number(t, "k_now_d"),
                            acd,
                            {a, iol_surgeon_factor_from_a(a), iol_pacd_from_a(a), 0.0, 0.4, 0.1},
                            337.5 / before_d};
    if (formula == IOL_FORMULA_haigis) /* its a0 is not a column: from the row's position */
        in.lens.haigis_a0_mm = check_number(t, "position_plain_mm") - 0.4 * acd - 0.1 * in.axial_length_mm;
    return in;
}

static double power_of(iol_formula formula, const iol_formula_input *in, double target_d, iol_model *model) {
    double power;
    assert_true(iol_formula_predict(formula, in, model) >= 0);
    assert_int_equal(iol_power_for(*model, target_d, 12.0, &power), IOL_OK);
    return power;
}

static void double_k_rows(void **state) {
    (void)state;
    check_table t;
    const char *source = DERIVATION "/double_k.tsv";
    int seen[IOL_FORMULA_COUNT] = {0};
    check_open(&t, DERIVED("double_k"));
    while (check_next(&t)) {
        iol_formula formula = formula_named(check_text(&t, "formula"));
        double target = check_number(&t, "target_at_12mm_d"), refraction;
        iol_formula_input in = two_radii(&t, formula, check_number(&t, "k_before_d")), plain = in;
        iol_formula_input low = two_radii(&t, formula, 42.4), high = two_radii(&t, formula, 45.4);
        iol_model model, alone, unused;
        plain.radius_before_mm = NAN;
        double power = power_of(formula, &in, target, &model), single = power_of(formula, &plain, target, &alone);
        seen[formula]++;
        CHECK_NEAR(model.cornea_d, check_number(&t, "cornea_for_optics_d"), row_d, source);
        CHECK_NEAR(model.position_mm, check_number(&t, "position_double_mm"), row_d, source);
        CHECK_NEAR(power, check_number(&t, "power_double_d"), row_d, source);
        CHECK_NEAR(alone.position_mm, check_number(&t, "position_plain_mm"), row_d, source);
        CHECK_NEAR(single, check_number(&t, "power_plain_d"), row_d, source);
        CHECK_NEAR(power - single, check_number(&t, "double_less_plain_d"), row_d, source);
        CHECK_NEAR(power_of(formula, &low, target, &unused), check_number(&t, "power_k42.4_d"), row_d, source);
        CHECK_NEAR(power_of(formula, &high, target, &unused), check_number(&t, "power_k45.4_d"), row_d, source);
        assert_int_equal(iol_refraction_of(model, check_number(&t, "lens_put_in_d"), 12.0, &refraction), IOL_OK);
        CHECK_NEAR(refraction, check_number(&t, "refraction_double_d"), row_d, source);
    }
    assert_int_equal(t.rows, 30);
    for (int i = 0; i < IOL_FORMULA_COUNT; i++) assert_true(seen[i] > 0);
}

static iol_formula_input laser_eye(double length_mm, double before_d, double now_d) {
    const double a = 118.9;
    return (iol_formula_input){length_mm,
                               337.5 / now_d,
                               NAN,
                               {a, iol_surgeon_factor_from_a(a), iol_pacd_from_a(a), NAN, NAN, NAN},
                               337.5 / before_d};
}

/* Double less plain at 26.5 mm, K before 43.9, after 2 to 8 D of laser at the cornea, and at 22.5 mm after 3 D of hyperopic laser;
 * the bracket of K before at K now 38. A-constant 118.9, target -0.25 D. */
static void double_k_figures(void **state) {
    (void)state;
    static const struct {
        iol_formula formula;
        double after[5], bracket[3];
    } row[] = {{IOL_FORMULA_srk_t, {0.68, 1.40, 2.13, 2.87, -1.20}, {20.05, 20.76, 21.72}},
               {IOL_FORMULA_t2, {0.35, 0.81, 1.35, 1.97, -0.83}, {20.49, 20.83, 21.19}},
               {IOL_FORMULA_holladay_1, {0.43, 0.92, 1.46, 2.02, -0.70}, {19.82, 20.26, 20.79}},
               {IOL_FORMULA_hoffer_q, {0.15, 0.34, 0.54, 0.75, -0.44}, {20.16, 20.32, 20.49}}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++)
        for (int k = 0; k < 5; k++) {
            double correction = k < 4 ? -2.0 * (k + 1) : 3.0, before = 43.9,
                   length = k < 4 ? 26.5 : 22.5; /* at the cornea */
            iol_formula_input in = laser_eye(length, before, before + correction), plain = in;
            iol_model unused;
            plain.radius_before_mm = NAN;
            double both = power_of(row[i].formula, &in, -0.25, &unused);
            double one = power_of(row[i].formula, &plain, -0.25, &unused);
            CHECK_NEAR(both - one, row[i].after[k], 0.0051, "worked figures of the derivation, to 0.01 D");
        }
    static const double before[3] = {42.4, 43.9, 45.4};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++)
        for (int k = 0; k < 3; k++) {
            iol_formula_input in = laser_eye(26.5, before[k], 38.0);
            iol_model unused;
            CHECK_NEAR(power_of(row[i].formula, &in, -0.25, &unused), row[i].bracket[k], 0.0051,
                       "worked figures of the derivation, to 0.01 D");
        }
}

/* K before = K now: the plain formula to the last bit; a cornea of which nothing is known before it: the same. */
static void double_k_limits(void **state) {
    (void)state;
    for (int f = 0; f < IOL_FORMULA_COUNT; f++)
        for (double length = 19.0; length <= 30.0; length += 1.1)
            for (double k = 34.0; k <= 52.0; k += 2.0) {
                iol_formula_input in = {length, 337.5 / k, 3.1, {118.9, 1.75, 5.55, 0.5, 0.4, 0.1}, NAN}, same = in,
                                  zero = in;
                iol_model plain, again, none;
                same.radius_before_mm = same.radius_mm, zero.radius_before_mm = 0.0;
                iol_status status = iol_formula_predict((iol_formula)f, &in, &plain);
                assert_int_equal(iol_formula_predict((iol_formula)f, &same, &again), status);
                assert_int_equal(iol_formula_predict((iol_formula)f, &zero, &none), status);
                if (status < 0) continue;
                CHECK_NEAR(again.position_mm, plain.position_mm, 0.0, "K before = K now: the plain formula");
                CHECK_NEAR(again.cornea_d, plain.cornea_d, 0.0, "K before = K now: the plain formula");
                CHECK_NEAR(none.position_mm, plain.position_mm, 0.0, "no K before: the plain formula");
            }
}

static void history_rows(void **state) {
    (void)state;
    check_table t;
    const char *source = DERIVATION "/k_history.tsv";
    check_open(&t, DERIVED("k_history"));
    while (check_next(&t)) {
        double correction = check_number(&t, "corrected_se_at_12mm_d"), k = check_number(&t, "k_measured_d");
        iol_laser_history from = {check_number(&t, "k_before_d"), correction, 12.0, k, NAN, correction > 0.0};
        iol_laser_cornea got;
        iol_cornea_after_laser(&from, &got);
        assert_true(got.pooled);
        CHECK_NEAR(got.history_d, check_number(&t, "k_history_d"), row_d, source);
        CHECK_NEAR(got.k_d, check_number(&t, "k_pooled_d"), row_d, source);
        CHECK_NEAR(got.sd_d, check_number(&t, "k_pooled_sd_d"), row_d, source);
        if (from.hyperopic)
            CHECK_NEAR(got.regression_d, check_number(&t, "k_hyperopic_regression_d"), row_d, source);
        else
            CHECK_NAN(got.regression_d);
    }
    assert_int_equal(t.rows, 20);
}

/* Which witness is taken: each one alone, too far apart to be pooled, a measured total power before all. */
static void history_choices(void **state) {
    (void)state;
    iol_laser_cornea got;
    iol_laser_history from = {NAN, NAN, 12.0, 38.0, NAN, false};
    iol_cornea_after_laser(&from, &got);
    CHECK_NEAR(got.k_d, 38.0, 0.0, "keratometry alone");
    CHECK_NEAR(got.sd_d, 1.0, 0.0, "spread of keratometry after laser, judgement");
    from.hyperopic = true;
    iol_cornea_after_laser(&from, &got);
    CHECK_NEAR(got.k_d, 1.0457 * 38.0 - 1.9538, 1e-12, "printed regression after hyperopic laser");
    from = (iol_laser_history){43.9, -6.0, 12.0, 38.0, NAN, false};
    iol_cornea_after_laser(&from, &got);
    CHECK_NEAR(got.history_d, 38.30, 0.005, "worked example of the derivation: -6.00 at 12 mm is -5.60");
    CHECK_NEAR(got.k_d, 0.64 * got.history_d + 0.36 * 38.0, 1e-12, "printed weights");
    from.measured_d = 36.8; /* 1.5 D under the history and a little more */
    iol_cornea_after_laser(&from, &got);
    assert_false(got.pooled);
    CHECK_NEAR(got.k_d, 36.8, 0.0, "too far apart: not pooled");
    from.measured_d = got.history_d - 1.5;
    iol_cornea_after_laser(&from, &got);
    assert_true(got.pooled); /* the limit itself is pooled */
    from.total_d = 37.9;
    iol_cornea_after_laser(&from, &got);
    CHECK_NEAR(got.k_d, 37.9, 0.0, "a measured total power is used alone");
    CHECK_NEAR(got.sd_d, 0.50, 0.0, "its spread, judgement");
    from = (iol_laser_history){43.9, -6.0, 12.0, NAN, NAN, false};
    iol_cornea_after_laser(&from, &got);
    CHECK_NEAR(got.k_d, got.history_d, 0.0, "history alone");
    from = (iol_laser_history){NAN, -6.0, 12.0, NAN, NAN, false};
    iol_cornea_after_laser(&from, &got);
    CHECK_NAN(got.k_d);
}

/* ---- a child ---- */

static void child_rows(void **state) {
    (void)state;
    check_table t;
    const char *source = DERIVATION "/child.tsv";
    static const double slope[3] = {-4.6, -5.0, -5.4}, offset[2] = {0.0, 0.6};
    static const char *const column[3][2] = {{"slope4.6_offset0_d", "slope4.6_offset0.6_d"},
                                             {"slope5.0_offset0_d", "slope5.0_offset0.6_d"},
                                             {"slope5.4_offset0_d", "slope5.4_offset0.6_d"}};
    check_open(&t, DERIVED("child"));
    while (check_next(&t)) {
        double age = check_number(&t, "age_now_years"), later = check_number(&t, "age_later_years");
        double now = check_number(&t, "refraction_now_d"), least, most;
        for (int s = 0; s < 3; s++)
            for (int o = 0; o < 2; o++)
                CHECK_NEAR(iol_child_refraction(now, age, later, slope[s], offset[o]), check_number(&t, column[s][o]),
                           row_d, source);
        iol_child_range(now, age, later, &least, &most);
        CHECK_NEAR(least, check_number(&t, "range_least_change_d"), row_d, source);
        CHECK_NEAR(most, check_number(&t, "range_most_change_d"), row_d, source);
    }
    assert_int_equal(t.rows, 20);
}

/* The mean shift that is printed lies inside the range, at every age that is printed. */
static void child_means_inside(void **state) {
    (void)state;
    static const struct {
        double age, years, shift_d;
    } printed[] = {{2.5, 5.8, -4.60}, {6.5, 5.3, -2.68}, {8.5, 6.8, -1.25}}; /* middle of each group of ages */
    for (size_t i = 0; i < sizeof printed / sizeof *printed; i++) {
        double least, most;
        iol_child_range(0.0, printed[i].age, printed[i].age + printed[i].years, &least, &most);
        assert_true(printed[i].shift_d <= least && printed[i].shift_d >= most); /* plager_2002 */
    }
    double least, most;
    iol_child_range(2.0, 3.0, 20.0, &least, &most);
    CHECK_NEAR(least, -1.48, 0.005, "worked example of the derivation");
    CHECK_NEAR(most, -6.90, 0.005, "worked example of the derivation");
    iol_child_range(NAN, 3.0, 20.0, &least, &most);
    CHECK_NAN(least);
    iol_child_range(0.0, NAN, 20.0, &least, &most);
    CHECK_NAN(most);
}

static void child_growth(void **state) {
    (void)state;
    const char *source = "judgement: 0.4 mm a year under 3, 0.2 to 6, 0.1 to 15";
    CHECK_NEAR(iol_child_growth_mm(2.0, 3.0), 0.4, 1e-12, source);
    CHECK_NEAR(iol_child_growth_mm(2.5, 4.5), 0.5 * 0.4 + 1.5 * 0.2, 1e-12, source);
    CHECK_NEAR(iol_child_growth_mm(5.0, 16.0), 0.2 + 9.0 * 0.1, 1e-12, source);
    CHECK_NEAR(iol_child_growth_mm(16.0, 40.0), 0.0, 0.0, source);
    CHECK_NEAR(iol_child_growth_mm(5.0, 5.0), 0.0, 0.0, source);
    CHECK_NAN(iol_child_growth_mm(NAN, 5.0));
}

/* ---- the update itself ---- */

static iol_status nowhere(const void *context, const double x[], double *value, double g[]) {
    (void)context, (void)x;
    *value = g[0] = NAN;
    return IOL_NO_SOLUTION;
}

static void observation_refused(void **state) {
    (void)state;
    double mean[1] = {3.0}, sd[1] = {0.5};
    iol_observed got;
    iol_observe(1, mean, sd, 1.0, 0.3, nowhere, NULL, &got);
    assert_true(got.status < 0);
    CHECK_NEAR(got.x[0], 3.0, 0.0, "no update: the prior stands");
    CHECK_NEAR(got.covariance[0][0], 0.25, 0.0, "no update: the prior stands");
    iol_observe(1, mean, sd, NAN, 0.3, nowhere, NULL, &got);
    assert_int_equal(got.status, IOL_OK);
    CHECK_NEAR(got.x[0], 3.0, 0.0, "nothing found: the prior");
    CHECK_NAN(got.z);
}

/* A slope of the wrong sign throws the next round further off each time: it never settles. */
static iol_status away(const void *context, const double x[], double *value, double g[]) {
    (void)context;
    *value = x[0];
    g[0] = -1.0;
    return IOL_OK;
}

static void observation_that_never_settles(void **state) {
    (void)state;
    double mean[1] = {3.0}, sd[1] = {5.0};
    iol_observed got;
    iol_observe(1, mean, sd, 1.0, 0.01, away, NULL, &got);
    assert_int_equal(got.status, IOL_NO_CONVERGENCE);
    CHECK_NEAR(got.x[0], 3.0, 0.0, "no update: the prior stands");
    CHECK_NEAR(got.covariance[0][0], 25.0, 0.0, "no update: the prior stands");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(observation_that_never_settles),
        cmocka_unit_test(no_lens_rows),
        cmocka_unit_test(no_lens_there_and_back),
        cmocka_unit_test(two_lenses_rows),
        cmocka_unit_test(two_lenses_limits),
        cmocka_unit_test(two_lenses_there_and_back),
        cmocka_unit_test(two_toric_lenses),
        cmocka_unit_test(two_lenses_without_length),
        cmocka_unit_test(two_lenses_example),
        cmocka_unit_test(double_k_rows),
        cmocka_unit_test(double_k_figures),
        cmocka_unit_test(no_lens_examples),
        cmocka_unit_test(double_k_limits),
        cmocka_unit_test(history_rows),
        cmocka_unit_test(history_choices),
        cmocka_unit_test(child_rows),
        cmocka_unit_test(child_means_inside),
        cmocka_unit_test(child_growth),
        cmocka_unit_test(observation_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
