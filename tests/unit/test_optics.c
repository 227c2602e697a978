/* The thin-lens eye: derived rows, published charts, a second route by ray-transfer matrices, inverses, errors. */
#include "check.h"
#include "iolrevise/optics.h"

static const double index_eye = 1.336;

/* ---- a second route: ray-transfer matrices (height, reduced angle), in metres and dioptres -------------- */

typedef struct {
    double a, b, c, d;
} transfer;

static transfer then(transfer first, transfer second) {
    return (transfer){second.a * first.a + second.b * first.c, second.a * first.b + second.b * first.d,
                      second.c * first.a + second.d * first.c, second.c * first.b + second.d * first.d};
}
static transfer gap(double reduced_m) { return (transfer){1.0, reduced_m, 0.0, 1.0}; }
static transfer lens(double power_d) { return (transfer){1.0, 0.0, -power_d, 1.0}; }

/* From just behind the spectacles to the retina. */
static transfer eye_behind_spectacles(iol_model eye, double power_d, double vertex_mm) {
    transfer t = then(gap(vertex_mm / 1000.0), lens(eye.cornea_d));
    t = then(then(t, gap(eye.position_mm / 1000.0 / index_eye)), lens(power_d));
    return then(t, gap((eye.length_mm - eye.position_mm) / 1000.0 / index_eye));
}

/* Parallel light is in focus when the first element of spectacles-then-eye, a - b R, is 0. */
static double traced_refraction(iol_model eye, double power_d, double vertex_mm) {
    transfer t = eye_behind_spectacles(eye, power_d, vertex_mm);
    return t.a / t.b;
}

static void ray_transfer_agrees(void **state) {
    (void)state;
    int eyes = 0;
    for (double length = 18.5; length <= 33.0; length += 1.45) {
        for (double cornea = 36.0; cornea <= 56.0; cornea += 3.9) {
            for (double position = 2.8; position <= 7.4; position += 1.1) {
                for (double power = -12.0; power <= 42.0; power += 5.7) {
                    iol_model eye = {cornea, length, position};
                    double got, vertex = power > 10.0 ? 12.0 : 14.0;
                    assert_int_equal(iol_refraction_of(eye, power, vertex, &got), IOL_OK);
                    CHECK_NEAR(got, traced_refraction(eye, power, vertex), 1e-9, "ray-transfer matrices, second route");
                    eyes++;
                }
            }
        }
    }
    assert_true(eyes > 3000);
}

/* ---- reference: derived rows -------------------------------------------------------------------------- */

static void derived_vergence(void **state) {
    (void)state;
    check_table t;
    const char *source = DERIVATION "/vergence.tsv";
    check_open(&t, DERIVED("vergence"));
    while (check_next(&t)) {
        iol_model eye = {check_number(&t, "K_D"), check_number(&t, "AL_mm"), check_number(&t, "d_mm")};
        double vertex = check_number(&t, "V_mm"), power = check_number(&t, "P_D"), got;
        iol_gradient g;
        assert_int_equal(iol_power_for(eye, check_number(&t, "Rx_D"), vertex, &got), IOL_OK);
        CHECK_NEAR(got, check_number(&t, "power_for_Rx"), 1e-11, source);
        assert_int_equal(iol_refraction_of(eye, power, vertex, &got), IOL_OK);
        CHECK_NEAR(got, check_number(&t, "Rx_for_P"), 1e-11, source);
        assert_int_equal(iol_refraction_gradient(eye, power, vertex, &g), IOL_OK);
        CHECK_NEAR(g.power, check_number(&t, "dRdP"), 1e-11, source);
        CHECK_NEAR(g.length, check_number(&t, "dRdAL"), 1e-11, source);
        CHECK_NEAR(g.cornea, check_number(&t, "dRdK"), 1e-11, source);
        CHECK_NEAR(g.position, check_number(&t, "dRdd"), 1e-11, source);
    }
    assert_int_equal(t.rows, 150);
}

static void derived_exchange(void **state) {
    (void)state;
    check_table t;
    const char *source = DERIVATION "/exchange.tsv";
    check_open(&t, DERIVED("exchange"));
    while (check_next(&t)) {
        double vertex = check_number(&t, "V_mm"), got;
        iol_model eye = {check_number(&t, "K_D"), 23.5, check_number(&t, "d_old")};
        iol_status status =
            iol_length_for(eye, check_number(&t, "P_old"), check_number(&t, "Rx_old"), vertex, &eye.length_mm);
        assert_int_equal(status, IOL_OK);
        CHECK_NEAR(eye.length_mm, check_number(&t, "AL_implied"), 1e-11, source);
        eye.position_mm = check_number(&t, "d_new");
        assert_int_equal(iol_power_for(eye, check_number(&t, "Rx_target"), vertex, &got), IOL_OK);
        CHECK_NEAR(got, check_number(&t, "P_new"), 1e-10, source);
        assert_int_equal(iol_refraction_of(eye, check_number(&t, "P_tried"), vertex, &got), IOL_OK);
        CHECK_NEAR(got, check_number(&t, "Rx_if_tried"), 1e-10, source);
    }
    assert_int_equal(t.rows, 150);
}

/* A lens added at a plane, the eye behind it unknown: the difference of the vergences that arrive. */
static void derived_secondary(void **state) {
    (void)state;
    check_table t;
    const char *source = DERIVATION "/secondary.tsv";
    check_open(&t, DERIVED("secondary"));
    while (check_next(&t)) {
        double cornea = check_number(&t, "K_D"), position = check_number(&t, "d_mm"), vertex = check_number(&t, "V_mm");
        double now, target, got;
        iol_model eye = {cornea, 24.0, position};
        assert_int_equal(iol_arriving_vergence(cornea, position, check_number(&t, "Rx_now"), vertex, &now), IOL_OK);
        assert_int_equal(iol_arriving_vergence(cornea, position, check_number(&t, "Rx_target"), vertex, &target),
                         IOL_OK);
        CHECK_NEAR(now - target, check_number(&t, "P_add_for_target"), 1e-11, source);
        /* Any length serves: the power that the eye has now, then the added one on top. */
        assert_int_equal(iol_power_for(eye, check_number(&t, "Rx_now"), vertex, &got), IOL_OK);
        assert_int_equal(iol_refraction_of(eye, got + check_number(&t, "P_add"), vertex, &got), IOL_OK);
        CHECK_NEAR(got, check_number(&t, "Rx_after"), 1e-11, source);
    }
    assert_int_equal(t.rows, 150);
}

static void derived_vertex(void **state) {
    (void)state;
    check_table t;
    double got;
    const char *source = DERIVATION "/vertex.tsv";
    check_open(&t, DERIVED("vertex"));
    while (check_next(&t)) {
        double spectacle = check_number(&t, "F_spectacle"), at_12 = check_number(&t, "at_cornea_12mm");
        assert_int_equal(iol_vertex_to_cornea(spectacle, 12.0, &got), IOL_OK);
        CHECK_NEAR(got, at_12, 1e-13, source);
        assert_int_equal(iol_vertex_to_cornea(spectacle, 14.0, &got), IOL_OK);
        CHECK_NEAR(got, check_number(&t, "at_cornea_14mm"), 1e-13, source);
        assert_int_equal(iol_vertex_to_spectacle(at_12, 12.0, &got), IOL_OK);
        CHECK_NEAR(got, spectacle, 1e-13, source);
    }
    assert_int_equal(t.rows, 161);
}

/* Cylinder of the emmetropic toric lens over the corneal cylinder, and its limit for a small cylinder. */
static void derived_toric_ratio(void **state) {
    (void)state;
    check_table t;
    const char *source = DERIVATION "/toric_ratio.tsv";
    check_open(&t, DERIVED("toric_ratio"));
    while (check_next(&t)) {
        double flat = check_number(&t, "Kflat"), cylinder = check_number(&t, "Kcyl"), power;
        iol_model eye = {flat + 0.5 * cylinder, check_number(&t, "AL"), check_number(&t, "d")};
        iol_matrix toric, left, cornea = iol_matrix_from_meridians(flat, flat + cylinder, 25.0);
        iol_gradient g;
        iol_status status = iol_matrix_lens_for(cornea, eye.length_mm, eye.position_mm, iol_matrix_scalar(0.0), &toric);
        assert_int_equal(status, IOL_OK);
        CHECK_NEAR(iol_matrix_cylinder(toric) / cylinder, check_number(&t, "ratio_exact"), 1e-11, source);
        CHECK_NEAR(iol_axis_turn(25.0, iol_matrix_steep_axis(toric)), 0.0, 1e-10, "strong lens meridian on the flat");
        status = iol_matrix_refraction(cornea, eye.length_mm, eye.position_mm, toric, &left);
        assert_int_equal(status, IOL_OK);
        CHECK_NEAR(hypot(hypot(left.xx, left.xy), left.yy), 0.0, 1e-12, "there and back");
        assert_int_equal(iol_power_for(eye, 0.0, 0.0, &power), IOL_OK);
        assert_int_equal(iol_refraction_gradient(eye, power, 0.0, &g), IOL_OK);
        CHECK_NEAR(g.cornea / g.power, check_number(&t, "ratio_limit_at_mean"), 1e-11, source);
    }
    assert_int_equal(t.rows, 100);
}

/* ---- published ---------------------------------------------------------------------------------------- */

/* The chart is printed to 1/8 D with the third decimal dropped. Known differences: these rows are off by up to
 * one more 1/8 D than rounding allows (-6.25 by 0.0015 D); the chart differs there, not the formula. */
static const double vertex_known[] = {5.0, 11.0, 13.0, 14.0, 16.5, 17.0, 17.5, 19.0, -6.25, -15.5, -16.0};
enum { VERTEX_KNOWN = sizeof vertex_known / sizeof vertex_known[0] };

static bool is_vertex_known(double spectacle_d) {
    for (int i = 0; i < VERTEX_KNOWN; i++)
        if (spectacle_d == vertex_known[i]) return true;
    return false;
}

static void published_vertex_chart(void **state) {
    (void)state;
    check_table t;
    int rows = 0, different = 0;
    check_open(&t, PUBLISHED);
    while (check_next_of(&t, "vertex-12mm")) {
        double spectacle = check_after(check_text(&t, "inputs"), "F="), printed = check_number(&t, "printed"), got;
        const double half_step = 0.0625, dropped = 0.005;
        assert_int_equal(iol_vertex_to_cornea(spectacle, 12.0, &got), IOL_OK);
        double eighths = copysign(ceil(fabs(printed) * 8.0 - 1e-9) / 8.0, printed); /* .12 stands for .125 */
        CHECK_NEAR(eighths, printed, dropped + 1e-12, "the chart's own rounding");
        CHECK_NEAR(got, printed, check_number(&t, "tolerance"), check_text(&t, "source"));
        if (is_vertex_known(spectacle)) {
            assert_false(check_near(got, eighths, half_step));
            different++;
        } else {
            CHECK_NEAR(got, eighths, half_step, check_text(&t, "source"));
        }
        rows++;
    }
    assert_int_equal(rows, 86);
    assert_int_equal(different, VERTEX_KNOWN);
}

static void published_vertex_examples(void **state) {
    (void)state;
    check_table t;
    double got;
    static const char *const quantity[] = {"vertex 12 mm", "vertex 12 mm (to 0.25)"};
    for (int i = 0; i < 2; i++) {
        check_open(&t, PUBLISHED);
        assert_true(check_next_of(&t, quantity[i]));
        assert_int_equal(iol_vertex_to_cornea(check_number(&t, "inputs"), 12.0, &got), IOL_OK);
        CHECK_NEAR(got, check_number(&t, "printed"), check_number(&t, "tolerance"), check_text(&t, "source"));
        fclose(t.file);
    }
    static const double handbook[][2] = {{10.0, 11.36}, {-10.0, -8.93}};
    for (int i = 0; i < 2; i++) {
        assert_int_equal(iol_vertex_to_cornea(handbook[i][0], 12.0, &got), IOL_OK);
        CHECK_NEAR(got, handbook[i][1], 0.005, "optometry handbooks, from memory");
    }
}

/* Chart of bag against sulcus, position 5.20 to 4.70 mm, refraction kept. The chart says only that the cornea is
 * normal; 43.1 D is fitted, one degree of freedom against 30 rows. */
static void published_lens_moved(void **state) {
    (void)state;
    check_table t;
    int rows = 0;
    check_open(&t, PUBLISHED);
    while (check_next_of(&t, "lens-moved")) {
        double got;
        iol_model eye = {43.1, 23.5, 5.20};
        iol_status status = iol_length_for(eye, check_after(check_text(&t, "inputs"), "P="), 0.0, 12.0, &eye.length_mm);
        assert_int_equal(status, IOL_OK);
        eye.position_mm = 4.70;
        assert_int_equal(iol_power_for(eye, 0.0, 12.0, &got), IOL_OK);
        CHECK_NEAR(got, check_number(&t, "printed"), check_number(&t, "tolerance"), check_text(&t, "source"));
        rows++;
    }
    assert_int_equal(rows, 30);
}

static void published_brackets(void **state) {
    (void)state;
    check_table t;
    double power;
    iol_gradient g;
    iol_model eye = {43.5, 23.5, 5.2};
    assert_int_equal(iol_power_for(eye, 0.0, 12.0, &power), IOL_OK);
    assert_int_equal(iol_refraction_gradient(eye, power, 12.0, &g), IOL_OK);
    check_open(&t, PUBLISHED);
    assert_true(check_next_of(&t, "refraction per mm AL, normal eye, D"));
    CHECK_NEAR(-g.length, check_number(&t, "printed"), check_number(&t, "tolerance"), check_text(&t, "source"));
    fclose(t.file);
    /* Known difference: from memory, 3.75 / 2.35 / 1.75 D per mm at 20 / 23.5 / 30 mm. A thin-lens eye gives 3.94 /
     * 2.75 / 1.52, so those figures are a bracket only. */
    static const iol_model eyes[] = {{47.0, 20.0, 4.5}, {43.5, 23.5, 5.2}, {42.0, 30.0, 5.7}};
    static const double recalled[] = {3.75, 2.35, 1.75}, derived[] = {3.940, 2.753, 1.524};
    for (int i = 0; i < 3; i++) {
        assert_int_equal(iol_power_for(eyes[i], 0.0, 12.0, &power), IOL_OK);
        assert_int_equal(iol_refraction_gradient(eyes[i], power, 12.0, &g), IOL_OK);
        CHECK_NEAR(-g.length, derived[i], 0.0005, "independent derivation, table of derivatives");
        assert_false(check_near(-g.length, recalled[i], 0.005));
        CHECK_NEAR(-g.length, recalled[i], 0.45, "teaching figure, from memory: bracket");
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ray_transfer_agrees),    cmocka_unit_test(derived_vergence),
        cmocka_unit_test(derived_exchange),       cmocka_unit_test(derived_secondary),
        cmocka_unit_test(derived_vertex),         cmocka_unit_test(derived_toric_ratio),
        cmocka_unit_test(published_vertex_chart), cmocka_unit_test(published_vertex_examples),
        cmocka_unit_test(published_lens_moved),   cmocka_unit_test(published_brackets),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
