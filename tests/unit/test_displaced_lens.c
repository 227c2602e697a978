/* A tilted or decentred lens: one real ray against rows traced apart, second order, exact traces, mirrors and limits. */
#include "check.h"
#include "second_order.h"

static const double row_d = 1e-9;

typedef struct {
    iol_model eye;
    double gap_mm, vertex_mm;
    iol_optic optic;
    iol_displacement where;
} one_eye;

static one_eye eye_of_row(const check_table *t) {
    return (one_eye){{check_number(t, "cornea_d"), check_number(t, "length_mm"), check_number(t, "position_mm")},
                     check_number(t, "pupil_gap_mm"),
                     check_number(t, "vertex_mm"),
                     {check_number(t, "power_d"), check_number(t, "shape_q"), check_number(t, "index"),
                      check_number(t, "centre_thickness_mm"), check_number(t, "front_conic_q")},
                     {check_number(t, "tilt_deg"), check_number(t, "tilted_back_position_deg"),
                      check_number(t, "decentration_mm"), check_number(t, "decentration_position_deg")}};
}

static iol_displaced_eye traced(one_eye e) {
    iol_displaced_eye found;
    assert_int_equal(iol_displaced_lens(e.eye, e.gap_mm, e.optic, e.where, &found), IOL_OK);
    return found;
}

/* A 20 D lens of an ordinary eye. */
static one_eye ordinary(void) {
    return (one_eye){{43.5, 23.5, 5.0}, 0.9, 12.0, {20.0, 0.0, 1.46, 1.03947, 0.0}, {0.0, 90.0, 0.0, 0.0}};
}

static void check_axis(double got, double want, double cylinder, const char *source) {
    if (fabs(cylinder) > 1e-6) CHECK_NEAR(iol_axis_turn(got, want), 0.0, 1e-9 / fabs(cylinder) * 60.0, source);
}

/* ---- reference: derived rows ----------------------------------------------------------------------------- */

static void derived_one_ray(void **state) {
    (void)state;
    check_table t;
    const char *source = DERIVATION "/tilt_one_ray.tsv";
    check_open(&t, DERIVED("tilt_one_ray"));
    while (check_next(&t)) {
        one_eye e = eye_of_row(&t);
        iol_optic_faces f;
        assert_int_equal(iol_optic_faces_of(e.optic, &f), IOL_OK);
        CHECK_NEAR(f.front_per_mm, check_number(&t, "front_curvature_per_mm"), 1e-12, source);
        CHECK_NEAR(f.back_per_mm, check_number(&t, "back_curvature_per_mm"), 1e-12, source);
        CHECK_NEAR(f.first_mm, check_number(&t, "h_from_front_mm"), 1e-12, source);
        CHECK_NEAR(f.second_mm, check_number(&t, "hprime_from_front_mm"), 1e-12, source);
        iol_displaced_eye found = traced(e);
        CHECK_NEAR(found.centred_d, check_number(&t, "centred_cornea_d"), row_d, source);
        CHECK_NEAR(found.at_cornea.xx, check_number(&t, "rc_xx_d"), row_d, source);
        CHECK_NEAR(found.at_cornea.xy, check_number(&t, "rc_xy_d"), row_d, source);
        CHECK_NEAR(found.at_cornea.yy, check_number(&t, "rc_yy_d"), row_d, source);
        CHECK_NEAR(found.prism_x_pd, check_number(&t, "prism_x_pd"), row_d, source);
        CHECK_NEAR(found.prism_y_pd, check_number(&t, "prism_y_pd"), row_d, source);
        iol_spherocylinder explained = iol_matrix_to_spherocylinder(found.explained), glasses;
        CHECK_NEAR(explained.sphere_d, check_number(&t, "explained_sphere_cornea_d"), row_d, source);
        CHECK_NEAR(explained.cylinder_d, check_number(&t, "explained_cylinder_cornea_d"), row_d, source);
        check_axis(explained.axis_deg, check_number(&t, "explained_axis_deg"), explained.cylinder_d, source);
        iol_matrix at_glasses;
        assert_int_equal(iol_matrix_step(found.at_cornea, -0.001 * e.vertex_mm, &at_glasses), IOL_OK);
        glasses = iol_matrix_to_spherocylinder(at_glasses);
        CHECK_NEAR(glasses.sphere_d, check_number(&t, "spectacle_sphere_d"), row_d, source);
        CHECK_NEAR(glasses.cylinder_d, check_number(&t, "spectacle_cylinder_d"), row_d, source);
        check_axis(glasses.axis_deg, check_number(&t, "spectacle_axis_deg"), glasses.cylinder_d, source);
    }
    assert_int_equal(t.rows, 32);
}

static void derived_second_order(void **state) {
    (void)state;
    check_table t;
    const char *source = DERIVATION "/tilt_second_order.tsv";
    check_open(&t, DERIVED("tilt_second_order"));
    while (check_next(&t)) {
        one_eye e = eye_of_row(&t);
        second_order r = second_order_of(e.eye, e.gap_mm, e.optic, e.where);
        CHECK_NEAR(r.hh_mm, check_number(&t, "hh_mm"), 1e-12, source);
        CHECK_NEAR(r.thick, check_number(&t, "thick_factor"), 1e-12, source);
        CHECK_NEAR(r.s1, check_number(&t, "s1_d3"), check_digits(check_number(&t, "s1_d3"), 1e-8), source);
        CHECK_NEAR(r.s2, check_number(&t, "s2_d2"), check_digits(check_number(&t, "s2_d2"), 1e-9), source);
        CHECK_NEAR(r.change.xx, check_number(&t, "change_xx_d"), row_d, source);
        CHECK_NEAR(r.change.xy, check_number(&t, "change_xy_d"), row_d, source);
        CHECK_NEAR(r.change.yy, check_number(&t, "change_yy_d"), row_d, source);
        CHECK_NEAR(r.prism_x_pd, check_number(&t, "prism_x_pd"), row_d, source);
        CHECK_NEAR(r.prism_y_pd, check_number(&t, "prism_y_pd"), row_d, source);
    }
    assert_int_equal(t.rows, 32);
}

/* The ray and the formula by hand part by no more than third order as tilt, decentration and thickness shrink. */
static void second_order_is_the_limit(void **state) {
    (void)state;
    const double q[] = {0.0, 1.0, -1.0, 0.5}, back[] = {90.0, 200.0, 330.0};
    for (int i = 0; i < 4; i++) {
        for (int k = 0; k < 3; k++) {
            one_eye e = ordinary();
            e.optic.shape_q = q[i], e.optic.centre_thickness_mm = 1e-4;
            e.where = (iol_displacement){0.05, back[k], 0.005, 40.0};
            iol_matrix ray = traced(e).explained;
            second_order hand = second_order_of(e.eye, e.gap_mm, e.optic, e.where);
            const char *source = "two derivations of the same eye";
            CHECK_NEAR(ray.xx, hand.change.xx, 3e-7, source);
            CHECK_NEAR(ray.xy, hand.change.xy, 3e-7, source);
            CHECK_NEAR(ray.yy, hand.change.yy, 3e-7, source);
            assert_true(fabs(ray.xx) + fabs(ray.yy) > 5e-6); /* it is not that both are nothing */
        }
    }
}

/* ---- reference: exact traces of a cornea of two faces ------------------------------------------------------ */

/* Mean and cylinder of the difference within what the one-face cornea may cost: 0.01 D inside the limits of use (tilt to 15 deg,
 * decentration to 2 mm, cylinder to 2 D), 0.10 D beyond. */
static void check_exact(iol_matrix got, iol_matrix want, const char *source) {
    iol_matrix off = iol_matrix_subtract(got, want);
    double limit_d = iol_matrix_cylinder(want) <= 2.0 ? 0.01 : 0.10;
    CHECK_NEAR(iol_matrix_mean(off), 0.0, limit_d, source);
    CHECK_NEAR(iol_matrix_cylinder(off), 0.0, limit_d, source);
}

/* The table does not state its eye. Searched over K and E, all 40 rows agree on a thin cornea of 42.2 D and a lens at 5.05 mm
 * (an eye of 5.0 mm, seen from the principal plane of two faces), plano when centred, index 1.46, edge 0.30 mm. */
static void exact_two_faces(void **state) {
    (void)state;
    check_table t;
    const char *source = DERIVATION "/tilt_exact.tsv: ray trace, cornea of two faces";
    check_open(&t, DERIVED("tilt_exact"));
    while (check_next(&t)) {
        one_eye e = ordinary();
        e.eye.cornea_d = 42.2, e.eye.position_mm = 5.05;
        e.optic = (iol_optic){check_number(&t, "power_d"), check_number(&t, "shape_q"), 1.46, 0.3,
                              check_number(&t, "front_conic_q")};
        e.where =
            (iol_displacement){check_number(&t, "tilt_deg"), check_number(&t, "tilted_back_position_deg"),
                               check_number(&t, "decentration_mm"), check_number(&t, "decentration_position_deg")};
        if (e.optic.power_d > 0.0)
            assert_int_equal(iol_optic_centre_from_edge(e.optic, 0.3, 6.0, &e.optic.centre_thickness_mm), IOL_OK);
        assert_int_equal(iol_length_for(e.eye, e.optic.power_d, 0.0, 0.0, &e.eye.length_mm), IOL_OK);
        iol_displaced_eye found = traced(e);
        iol_matrix want = {check_number(&t, "exact_xx_d"), check_number(&t, "exact_xy_d"),
                           check_number(&t, "exact_yy_d")};
        iol_matrix wide = {check_number(&t, "pupil3_xx_d"), check_number(&t, "pupil3_xy_d"),
                           check_number(&t, "pupil3_yy_d")};
        check_exact(found.explained, want, source);
        CHECK_NEAR(
            hypot(found.prism_x_pd - check_number(&t, "prism_x_pd"), found.prism_y_pd - check_number(&t, "prism_y_pd")),
            0.0, 0.02, source);
        /* A pupil of 3 mm sees another refraction: up to 0.5 D inside the limits of use; one of 5 mm up to 2.2 D. */
        if (iol_matrix_cylinder(want) <= 2.0) {
            iol_matrix wider = {check_number(&t, "pupil5_xx_d"), check_number(&t, "pupil5_xy_d"),
                                check_number(&t, "pupil5_yy_d")};
            CHECK_NEAR(iol_matrix_mean(iol_matrix_subtract(found.explained, wide)), 0.0, 0.50, source);
            CHECK_NEAR(iol_matrix_mean(iol_matrix_subtract(found.explained, wider)), 0.0, 2.2, source);
        }
    }
    assert_int_equal(t.rows, 40);
}

/* A second trace, written apart: the middle of the principal points at E, the retina where the row puts it. */
static void exact_second_trace(void **state) {
    (void)state;
    check_table t;
    const char *source = DERIVATION "/displaced.tsv: second ray trace, cornea of two faces";
    check_open(&t, DERIVED("displaced"));
    while (check_next(&t)) {
        one_eye e = ordinary();
        iol_optic_faces f;
        e.optic = (iol_optic){check_number(&t, "P_D"), check_number(&t, "q"), check_number(&t, "n_lens"),
                              check_number(&t, "ct_mm"), check_number(&t, "Q1")};
        assert_int_equal(iol_optic_faces_of(e.optic, &f), IOL_OK);
        e.eye.position_mm = check_number(&t, "E_mm") - 0.5 * (f.second_mm - f.first_mm);
        e.gap_mm = e.eye.position_mm - check_number(&t, "pupil_z_mm");
        e.eye.position_mm += 0.05; /* the principal plane of two faces lies in front of the cornea */
        e.eye.length_mm = check_number(&t, "retina_z_mm") - (f.second_mm - f.first_mm) + 0.05;
        assert_int_equal(iol_cornea_for(e.eye, e.optic.power_d, check_number(&t, "R0_cornea_D"), 0.0, &e.eye.cornea_d),
                         IOL_OK);
        e.where = (iol_displacement){check_number(&t, "tilt_deg"), check_number(&t, "tilt_axis_deg") + 90.0,
                                     check_number(&t, "dec_mm"), check_number(&t, "dec_dir_deg")};
        iol_spherocylinder now = {check_number(&t, "sphere_cornea_D"), check_number(&t, "cyl_cornea_D"),
                                  check_number(&t, "axis_deg")};
        iol_matrix want = iol_matrix_subtract(iol_matrix_from_spherocylinder(now),
                                              iol_matrix_scalar(check_number(&t, "R0_cornea_D")));
        bool inside = e.where.tilt_deg <= 15.0 && e.where.decentration_mm <= 2.0;
        iol_displaced_eye found = traced(e);
        if (inside)
            check_exact(found.explained, want, source);
        else
            CHECK_NEAR(iol_matrix_mean(iol_matrix_subtract(found.explained, want)), 0.0, 0.15, source);
        CHECK_NEAR(hypot(found.prism_x_pd, found.prism_y_pd), check_number(&t, "prism_PD"), 0.03, source);
        if (f.back_per_mm != 0.0) CHECK_NEAR(1.0 / f.back_per_mm, check_number(&t, "R2_mm"), 1e-3, source);
        /* its own step from cornea to glasses, at 12 mm; the base as its place; a pupil of 3 mm by least squares */
        iol_matrix at_glasses;
        assert_int_equal(iol_matrix_step(iol_matrix_from_spherocylinder(now), -0.012, &at_glasses), IOL_OK);
        iol_spherocylinder glasses = iol_matrix_to_spherocylinder(at_glasses);
        CHECK_NEAR(glasses.sphere_d, check_number(&t, "sphere_spec_D"), 1e-3, source);
        CHECK_NEAR(glasses.cylinder_d, check_number(&t, "cyl_spec_D"), 1e-3, source);
        double base_deg = atan2(found.prism_y_pd, found.prism_x_pd) * 180.0 / acos(-1.0);
        double turn_deg = remainder(base_deg - check_number(&t, "prism_base_deg"), 360.0);
        if (check_number(&t, "prism_PD") > 0.1) CHECK_NEAR(turn_deg, 0.0, 3.0, source);
        if (inside && iol_matrix_cylinder(want) <= 2.0)
            CHECK_NEAR(iol_matrix_mean(want), check_number(&t, "lsq3mm_dSE_cornea_D"), 0.50, source);
    }
    assert_true(t.rows >= 50);
}

/* ---- published ------------------------------------------------------------------------------------------------ */

/* Cylinder of a tilted lens at the cornea, ray-traced table of 2018, lenses of unknown make: indices 1.46 to 1.55 must bracket it
 * or come within half a digit. Known difference: 22 D at 10 deg is printed 0.44, here 0.446 or more. */
static void published_tilt_table(void **state) {
    (void)state;
    const double power[] = {16.0, 22.0, 28.0}, printed[2][3] = {{0.08, 0.11, 0.14}, {0.33, 0.44, 0.56}},
                 index[] = {1.46, 1.49, 1.55};
    for (int k = 0; k < 2; k++) {
        for (int i = 0; i < 3; i++) {
            double low = INFINITY, high = -INFINITY;
            for (int n = 0; n < 3; n++) {
                one_eye e = ordinary();
                e.optic = (iol_optic){power[i], 0.0, index[n], 0.0, 0.0};
                e.where.tilt_deg = 5.0 * (k + 1);
                assert_int_equal(iol_optic_centre_from_edge(e.optic, 0.25, 6.0, &e.optic.centre_thickness_mm), IOL_OK);
                double cylinder = iol_matrix_cylinder(traced(e).explained);
                low = fmin(low, cylinder), high = fmax(high, cylinder);
            }
            bool as_printed = printed[k][i] > low - 0.005 && printed[k][i] < high + 0.005;
            bool known = k == 1 && i == 1;
            if (known) {
                assert_false(as_printed);
                CHECK_NEAR(printed[k][i], low, 0.02, "tilt_table_2018");
            } else {
                assert_true(as_printed);
            }
        }
    }
}

/* ---- properties ------------------------------------------------------------------------------------------------- */

static void centred_is_the_thin_eye(void **state) {
    (void)state;
    const double power[] = {-5.0, 6.0, 20.0, 30.0}, q[] = {0.0, 1.0, -1.0};
    for (int i = 0; i < 4; i++) {
        for (int k = 0; k < 3; k++) {
            one_eye e = ordinary();
            e.optic = (iol_optic){power[i], q[k], 1.49, 0.8, -1.0};
            e.where = (iol_displacement){0.0, NAN, 0.0, NAN};
            iol_displaced_eye found = traced(e);
            CHECK_NEAR(found.explained.xx, 0.0, 1e-11, "definition");
            CHECK_NEAR(found.explained.xy, 0.0, 1e-11, "definition");
            CHECK_NEAR(found.explained.yy, 0.0, 1e-11, "definition");
            CHECK_NEAR(hypot(found.prism_x_pd, found.prism_y_pd), 0.0, 1e-12, "definition");
        }
    }
}

/* A mirrored eye gives the mirrored answer; a turned one the turned answer. */
static void mirror_and_turn(void **state) {
    (void)state;
    for (int i = 0; i < 12; i++) {
        one_eye e = ordinary(), mirror, turned;
        e.where = (iol_displacement){4.0 + 0.5 * i, 31.0 * i, 0.1 * i, 360.0 - 47.0 * i};
        mirror = turned = e;
        mirror.where.back_position_deg = 180.0 - e.where.back_position_deg;
        mirror.where.decentration_position_deg = 180.0 - e.where.decentration_position_deg;
        turned.where.back_position_deg += 90.0, turned.where.decentration_position_deg += 90.0;
        iol_displaced_eye a = traced(e), b = traced(mirror), c = traced(turned);
        CHECK_NEAR(b.explained.xx, a.explained.xx, 1e-11, "mirror");
        CHECK_NEAR(b.explained.xy, -a.explained.xy, 1e-11, "mirror");
        CHECK_NEAR(b.prism_x_pd, -a.prism_x_pd, 1e-11, "mirror");
        CHECK_NEAR(b.prism_y_pd, a.prism_y_pd, 1e-11, "mirror");
        CHECK_NEAR(c.explained.xx, a.explained.yy, 1e-11, "quarter turn");
        CHECK_NEAR(c.explained.xy, -a.explained.xy, 1e-11, "quarter turn");
        CHECK_NEAR(c.prism_y_pd, a.prism_x_pd, 1e-11, "quarter turn");
    }
}

/* What is in the head: the axis of tilt alone is the axis of the cylinder, -kk g P tan^2 t; Prentice for the prism of 1 mm. */
static void small_forms(void **state) {
    (void)state;
    one_eye e = ordinary();
    e.where.tilt_deg = 5.0;
    iol_displaced_eye found = traced(e);
    iol_spherocylinder s = iol_matrix_to_spherocylinder(found.explained);
    second_order hand = second_order_of(e.eye, e.gap_mm, e.optic, e.where);
    double kk = pow(1.0 - e.eye.position_mm * e.eye.cornea_d / 1336.0, 2), t = tan(5.0 * acos(-1.0) / 180.0);
    CHECK_NEAR(s.axis_deg, 180.0, 1e-9, "derived, small tilt");
    CHECK_NEAR(s.cylinder_d, -kk * hand.thick * 20.0 * t * t, 0.003, "derived, small tilt");
    e.where = (iol_displacement){0.0, 0.0, 1.0, 0.0};
    CHECK_NEAR(traced(e).prism_x_pd, (1.0 - 5.0 * 43.5 / 1336.0) * 20.0 / 10.0, 0.02, "Prentice's rule");
}

/* The worked example: 22 D, 12 deg with the upper edge back, 0.8 mm up. */
static void worked_example(void **state) {
    (void)state;
    const char *source = "independent derivation, worked example";
    one_eye e = ordinary();
    e.optic = (iol_optic){22.0, 0.0, 1.49, 0.953, 0.0};
    e.where = (iol_displacement){12.0, 90.0, 0.8, 90.0};
    iol_displaced_eye found = traced(e);
    iol_spherocylinder s = iol_matrix_to_spherocylinder(found.explained);
    CHECK_NEAR(s.sphere_d, -0.56, 0.005, source);
    CHECK_NEAR(s.cylinder_d, -1.18, 0.005, source);
    CHECK_NEAR(s.axis_deg, 180.0, 1e-9, source);
    CHECK_NEAR(found.prism_y_pd, 1.48, 0.005, source);
    e.where.decentration_position_deg = 270.0;
    s = iol_matrix_to_spherocylinder(traced(e).explained);
    CHECK_NEAR(s.sphere_d, -0.12, 0.005, source);
    CHECK_NEAR(s.cylinder_d, -0.31, 0.005, source);
    const double sphere[] = {-0.45, -0.32}, cylinder[] = {-0.95, -0.69};
    e.where.decentration_position_deg = 90.0;
    for (int i = 0; i < 2; i++) {
        assert_int_equal(iol_optic_front_conic(e.eye, e.optic, i == 1, &e.optic.front_conic), IOL_OK);
        s = iol_matrix_to_spherocylinder(traced(e).explained);
        CHECK_NEAR(s.sphere_d, sphere[i], 0.005, source);
        CHECK_NEAR(s.cylinder_d, cylinder[i], 0.005, source);
    }
}

/* The neutral front of a row of the derivation. */
static void neutral_front(void **state) {
    (void)state;
    double conic;
    iol_model eye = {43.5, 24.02, 5.36};
    assert_int_equal(iol_optic_front_conic(eye, (iol_optic){21.5, 0.0, 1.49, 0.937502, 0.0}, false, &conic), IOL_OK);
    CHECK_NEAR(conic, -6.56853, 5e-6, DERIVATION "/tilt_one_ray.tsv");
}

/* ---- refusals ---------------------------------------------------------------------------------------------------- */

static void refusals(void **state) {
    (void)state;
    iol_displaced_eye found;
    iol_optic_faces f;
    double conic;
    one_eye e = ordinary();
    e.where = (iol_displacement){10.0, 90.0, 0.5, 90.0};
#define REFUSED(member, value, wanted)                                                                                 \
    do {                                                                                                               \
        one_eye bad = e;                                                                                               \
        bad.member = (value);                                                                                          \
        assert_int_equal(iol_displaced_lens(bad.eye, bad.gap_mm, bad.optic, bad.where, &found), wanted);               \
        CHECK_NAN(found.centred_d);                                                                                    \
        CHECK_NAN(found.explained.xx);                                                                                 \
        CHECK_NAN(found.prism_x_pd);                                                                                   \
    } while (0)
    REFUSED(eye.cornea_d, NAN, IOL_BAD_INPUT);
    REFUSED(eye.length_mm, 4.0, IOL_BAD_INPUT);
    REFUSED(gap_mm, INFINITY, IOL_BAD_INPUT);
    REFUSED(optic.power_d, 0.0, IOL_NO_SOLUTION);
    REFUSED(optic.power_d, NAN, IOL_BAD_INPUT);
    REFUSED(optic.shape_q, NAN, IOL_BAD_INPUT);
    REFUSED(optic.index, 1.336, IOL_BAD_INPUT);
    REFUSED(optic.index, -1.0, IOL_BAD_INPUT);
    REFUSED(optic.centre_thickness_mm, -0.1, IOL_BAD_INPUT);
    REFUSED(optic.front_conic, NAN, IOL_BAD_INPUT);
    REFUSED(where.tilt_deg, -1.0, IOL_BAD_INPUT);
    REFUSED(where.tilt_deg, 90.0, IOL_BAD_INPUT);
    REFUSED(where.tilt_deg, NAN, IOL_BAD_INPUT);
    REFUSED(where.back_position_deg, NAN, IOL_BAD_INPUT);
    REFUSED(where.decentration_mm, -0.1, IOL_BAD_INPUT);
    REFUSED(where.decentration_mm, INFINITY, IOL_BAD_INPUT);
    REFUSED(where.decentration_position_deg, NAN, IOL_BAD_INPUT);
    REFUSED(optic.shape_q, 300.0, IOL_NO_SOLUTION); /* curvatures that no lens of this power has */
    REFUSED(where.decentration_mm, 400.0, IOL_NO_SOLUTION);
#undef REFUSED
    assert_int_equal(iol_optic_faces_of((iol_optic){20.0, 0.0, 1.46, NAN, 0.0}, &f), IOL_BAD_INPUT);
    assert_int_equal(iol_optic_faces_of((iol_optic){2000.0, 0.0, 1.46, 1.0, 0.0}, &f), IOL_NO_SOLUTION);
    CHECK_NAN(f.front_per_mm);
    /* so weak that its principal points lie nowhere */
    assert_int_equal(iol_optic_faces_of((iol_optic){1e-320, 0.0, 1.46, 1.0, 0.0}, &f), IOL_NO_SOLUTION);
    /* the ray goes through lens and pupil and misses the cornea */
    one_eye missed = {.eye = {64.842, 10.933, 0.5749},
                      .gap_mm = 0.9,
                      .optic = {-27.662, -1.3227, 1.6, 2.0358, 1.2713},
                      .where = {51.496, 112.66, 4.9127, 87.393}};
    assert_int_equal(iol_displaced_lens(missed.eye, missed.gap_mm, missed.optic, missed.where, &found),
                     IOL_NO_SOLUTION);
    CHECK_NAN(found.explained.xx);
    assert_int_equal(iol_optic_front_conic(e.eye, (iol_optic){20.0, -1.0, 1.46, 1.0, 0.0}, false, &conic),
                     IOL_NO_SOLUTION);
    CHECK_NAN(conic); /* a plane front has no conic */
    assert_int_equal(iol_optic_front_conic((iol_model){43.5, 4.0, 5.0}, e.optic, false, &conic), IOL_BAD_INPUT);
    assert_int_equal(iol_optic_front_conic((iol_model){43.5, NAN, 5.0}, e.optic, true, &conic), IOL_BAD_INPUT);
    assert_int_equal(iol_optic_front_conic(e.eye, (iol_optic){NAN, 0.0, 1.46, 1.0, 0.0}, true, &conic), IOL_BAD_INPUT);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(derived_one_ray),
        cmocka_unit_test(derived_second_order),
        cmocka_unit_test(second_order_is_the_limit),
        cmocka_unit_test(exact_two_faces),
        cmocka_unit_test(exact_second_trace),
        cmocka_unit_test(published_tilt_table),
        cmocka_unit_test(centred_is_the_thin_eye),
        cmocka_unit_test(mirror_and_turn),
        cmocka_unit_test(small_forms),
        cmocka_unit_test(worked_example),
        cmocka_unit_test(neutral_front),
        cmocka_unit_test(refusals),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
