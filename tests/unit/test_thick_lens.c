/* Thick lenses: power, principal points, radii and sagittae. */
#include "check.h"
#include "iolrevise/optics.h"

static const double aqueous = 1.336;

/* ---- reference: derived rows -------------------------------------------------------------------------- */

static void derived_thick_lenses(void **state) {
    (void)state;
    check_table t;
    int impossible = 0;
    const char *source = DERIVATION "/thicklens.tsv";
    check_open(&t, DERIVED("thicklens"));
    while (check_next(&t)) {
        iol_thick_lens lens;
        double index = check_number(&t, "n"), power = check_number(&t, "P_equiconvex"), radius, centre, alone, sag;
        assert_int_equal(iol_thick_lens_power(check_number(&t, "r1"), check_number(&t, "r2"), check_number(&t, "t"),
                                              index, aqueous, &lens),
                         IOL_OK);
        CHECK_NEAR(lens.power_d, check_number(&t, "power"), 1e-12, source);
        CHECK_NEAR(lens.first_principal_mm, check_number(&t, "H_from_front"), 1e-13, source);
        CHECK_NEAR(lens.second_principal_mm, check_number(&t, "H2_from_back"), 1e-13, source);
        CHECK_NEAR(1000.0 * aqueous / lens.power_d + lens.second_principal_mm, check_number(&t, "bfl"), 1e-11, source);
        iol_status status = iol_thick_lens_from_edge(power, 0.3, 6.0, index, aqueous, &radius, &centre);
        if (check_number(&t, "ct_6mm_edge0.3") <= 0.0) { /* arithmetic only: no lens has such a centre */
            assert_int_equal(status, IOL_NO_SOLUTION);
            assert_true(isnan(radius) && isnan(centre));
            impossible++;
            continue;
        }
        assert_int_equal(status, IOL_OK);
        CHECK_NEAR(radius, check_number(&t, "r_equiconvex"), 1e-9, source);
        CHECK_NEAR(centre, check_number(&t, "ct_6mm_edge0.3"), 1e-11, source);
        /* The two routes and the plain lens close. */
        assert_int_equal(iol_thick_lens_equal_radius(power, centre, index, aqueous, &alone), IOL_OK);
        CHECK_NEAR(alone, fabs(radius), 1e-9, "there and back");
        assert_int_equal(iol_thick_lens_power(radius, -radius, centre, index, aqueous, &lens), IOL_OK);
        CHECK_NEAR(lens.power_d, power, 1e-9, "there and back");
        assert_int_equal(iol_sagitta(radius, 3.0, &sag), IOL_OK);
        CHECK_NEAR(0.3 + copysign(2.0 * sag, radius), centre, 1e-11, "there and back");
    }
    assert_int_equal(t.rows, 100);
    assert_int_equal(impossible, 7); /* six worn through, one without power */
}

/* reference: equal radii of a 6.0 mm optic, edge 0.30 mm; radius to 4 figures, centre to 0.001 mm.
 * Known difference: 10 D, index 1.43 is tabled 0.783; closed, it is 0.78248, so the table was not closed there. */
static void derived_lens_table(void **state) {
    (void)state;
    static const double index[] = {1.43, 1.46, 1.49, 1.55};
    static const struct {
        double power, radius[4], centre[4];
    } row[] = {
        {5.0, {37.58, 49.58, 61.58, 85.57}, {0.540, 0.482, 0.446, 0.405}},
        {10.0, {18.77, 24.77, 30.77, 42.76}, {0.783, 0.665, 0.593, 0.511}},
        {15.0, {12.50, 16.50, 20.49, 28.49}, {1.031, 0.850, 0.742, 0.617}},
        {20.0, {9.357, 12.36, 15.35, 21.35}, {1.288, 1.039, 0.892, 0.724}},
        {25.0, {7.468, 9.867, 12.27, 17.06}, {1.558, 1.234, 1.045, 0.832}},
        {30.0, {6.205, 8.205, 10.20, 14.20}, {1.847, 1.436, 1.202, 0.941}},
    };
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        for (int k = 0; k < 4; k++) {
            double radius, centre;
            iol_status status = iol_thick_lens_from_edge(row[i].power, 0.3, 6.0, index[k], aqueous, &radius, &centre);
            assert_int_equal(status, IOL_OK);
            double half_digit = row[i].radius[k] < 10.0 ? 0.0005 : 0.005;
            CHECK_NEAR(radius, row[i].radius[k], half_digit, "independent derivation, lens table");
            if (row[i].power == 10.0 && k == 0) {
                assert_false(check_near(centre, row[i].centre[k], 0.0005));
                CHECK_NEAR(centre, row[i].centre[k], 0.001, "independent derivation, lens table");
            } else {
                CHECK_NEAR(centre, row[i].centre[k], 0.0005, "independent derivation, lens table");
            }
        }
    }
}

/* ---- published ---------------------------------------------------------------------------------------- */

/* Radii in metres, NaN for a plane; a meniscus bends both surfaces the same way. */
static void published_lenses_in_air(void **state) {
    (void)state;
    check_table t;
    int rows = 0;
    check_open(&t, PUBLISHED);
    while (check_next_of(&t, "lens-maker-in-air")) {
        const char *text = check_text(&t, "inputs");
        bool plane_1 = strstr(text, "r1=None") != NULL, plane_2 = strstr(text, "r2=None") != NULL;
        double r1 = plane_1 ? INFINITY : 1000.0 * check_after(text, "r1=");
        double r2 = plane_2 ? INFINITY : 1000.0 * check_after(text, "r2=");
        if (strstr(text, "biconvex") != NULL) {
            r2 = -r2;
        } else if (strstr(text, "biconcave") != NULL) {
            r1 = -r1;
        }
        iol_thick_lens lens;
        assert_int_equal(iol_thick_lens_power(r1, r2, 0.0, 1.0 + check_after(text, "n-1="), 1.0, &lens), IOL_OK);
        CHECK_NEAR(lens.power_d, check_number(&t, "printed"), check_number(&t, "tolerance"), check_text(&t, "source"));
        rows++;
    }
    assert_int_equal(rows, 7);
}

static void published_single_surfaces(void **state) {
    (void)state;
    check_table t;
    iol_thick_lens front, keratometer, lens;
    check_open(&t, PUBLISHED);
    assert_true(check_next_of(&t, "anterior surface factor n=1.3771"));
    assert_int_equal(iol_thick_lens_power(7.8, INFINITY, 0.0, 1.3771, 1.0, &front), IOL_OK);
    assert_int_equal(iol_thick_lens_power(7.8, INFINITY, 0.0, 1.3375, 1.0, &keratometer), IOL_OK);
    CHECK_NEAR(front.power_d / keratometer.power_d, check_number(&t, "printed"), check_number(&t, "tolerance"),
               check_text(&t, "source"));
    fclose(t.file);
    check_open(&t, PUBLISHED);
    assert_true(check_next_of(&t, "plano-convex radius, mm"));
    double printed = check_number(&t, "printed"), half_digit = check_number(&t, "tolerance"), weak, strong;
    assert_int_equal(iol_thick_lens_power(printed - half_digit, INFINITY, 0.0, 1.49, 1.33, &lens), IOL_OK);
    strong = lens.power_d;
    assert_int_equal(iol_thick_lens_power(printed + half_digit, INFINITY, 0.0, 1.49, 1.33, &lens), IOL_OK);
    weak = lens.power_d;
    assert_true(weak <= 19.0 && 19.0 <= strong);
    fclose(t.file);
}

/* Refraction at the cornea of the thin eye whose lens is thick, its front vertex at front_mm: the retina seen from
 * the second principal plane, moved to the first. */
static double thick_eye(double cornea_d, double length_mm, double front_mm, double thickness_mm, iol_thick_lens lens) {
    double first_mm = front_mm + lens.first_principal_mm;
    double second_mm = front_mm + thickness_mm + lens.second_principal_mm, refraction;
    iol_model eye = {cornea_d, length_mm - (second_mm - first_mm), first_mm};
    assert_int_equal(iol_refraction_of(eye, lens.power_d, 0.0, &refraction), IOL_OK);
    return refraction;
}

/* Where the front of a thick lens must stand to do what the thin one does at 5 mm, less 5 mm. Index 1.46 is inferred
 * by the reference sheet: one degree of freedom against three values. */
static void published_thick_lens_shift(void **state) {
    (void)state;
    check_table t;
    int rows = 0;
    check_open(&t, PUBLISHED);
    while (check_next_of(&t, "thick-lens-shift-mm")) {
        const char *text = check_text(&t, "inputs");
        double power = check_after(text, "P="), thickness = check_after(text, "t=");
        double r1, r2, low = 3.0, high = 6.0;
        iol_model eye = {check_after(text, "K="), 23.5, check_after(text, "ELP=")};
        iol_thick_lens lens;
        assert_int_equal(iol_length_for(eye, power, 0.0, 0.0, &eye.length_mm), IOL_OK);
        if (check_after(text, "X=") == 0.0) {
            assert_int_equal(iol_thick_lens_equal_radius(power, thickness, 1.46, aqueous, &r1), IOL_OK);
            r1 = copysign(r1, power), r2 = -r1;
        } else {
            r1 = 1000.0 * (1.46 - aqueous) / power, r2 = INFINITY;
        }
        assert_int_equal(iol_thick_lens_power(r1, r2, thickness, 1.46, aqueous, &lens), IOL_OK);
        CHECK_NEAR(lens.power_d, power, 1e-12, "there and back");
        double rising = thick_eye(eye.cornea_d, eye.length_mm, high, thickness, lens) > 0.0 ? 1.0 : -1.0;
        for (int i = 0; i < 60; i++) {
            double middle = 0.5 * (low + high);
            bool beyond = rising * thick_eye(eye.cornea_d, eye.length_mm, middle, thickness, lens) > 0.0;
            *(beyond ? &high : &low) = middle;
        }
        CHECK_NEAR(low - eye.position_mm, check_number(&t, "printed"), check_number(&t, "tolerance"),
                   check_text(&t, "source"));
        rows++;
    }
    assert_int_equal(rows, 3);
}

/* ---- errors -------------------------------------------------------------------------------------------- */

static void refusals(void **state) {
    (void)state;
    double sag = 1.0, radius = 1.0, centre = 1.0;
    iol_thick_lens lens;
    assert_int_equal(iol_sagitta(NAN, 3.0, &sag), IOL_BAD_INPUT);
    CHECK_NAN(sag);
    assert_int_equal(iol_sagitta(8.0, -1.0, &sag), IOL_BAD_INPUT);
    assert_int_equal(iol_sagitta(8.0, INFINITY, &sag), IOL_BAD_INPUT);
    assert_int_equal(iol_sagitta(2.9, 3.0, &sag), IOL_NO_SOLUTION);
    assert_int_equal(iol_sagitta(0.0, 0.0, &sag), IOL_NO_SOLUTION);
    CHECK_NAN(sag);
    assert_int_equal(iol_sagitta(-5.0, 3.0, &sag), IOL_OK);
    CHECK_NEAR(sag, 1.0, 0.0, "3-4-5 triangle");
    assert_int_equal(iol_sagitta(3.0, 3.0, &sag), IOL_OK);
    CHECK_NEAR(sag, 3.0, 0.0, "half sphere");
    assert_int_equal(iol_sagitta(INFINITY, 3.0, &sag), IOL_OK);
    CHECK_NEAR(sag, 0.0, 0.0, "plane");
    const double bad[][5] = {{NAN, -10, 1, 1.46, 1.336}, {10, NAN, 1, 1.46, 1.336}, {10, -10, NAN, 1.46, 1.336},
                             {10, -10, -1, 1.46, 1.336}, {10, -10, 1, NAN, 1.336},  {10, -10, 1, 0, 1.336},
                             {10, -10, 1, 1.46, NAN},    {10, -10, 1, 1.46, -1},    {0, -10, 1, 1.46, 1.336},
                             {10, 0, 1, 1.46, 1.336}};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        assert_int_equal(iol_thick_lens_power(bad[i][0], bad[i][1], bad[i][2], bad[i][3], bad[i][4], &lens),
                         IOL_BAD_INPUT);
        assert_true(isnan(lens.power_d) && isnan(lens.first_principal_mm) && isnan(lens.second_principal_mm));
    }
    assert_int_equal(iol_thick_lens_power(INFINITY, INFINITY, 1.0, 1.46, 1.336, &lens), IOL_NO_SOLUTION);
    CHECK_NAN(lens.power_d);
    assert_int_equal(iol_thick_lens_equal_radius(NAN, 1.0, 1.46, 1.336, &radius), IOL_BAD_INPUT);
    assert_int_equal(iol_thick_lens_equal_radius(20.0, -1.0, 1.46, 1.336, &radius), IOL_BAD_INPUT);
    assert_int_equal(iol_thick_lens_equal_radius(20.0, 1.0, NAN, 1.336, &radius), IOL_BAD_INPUT);
    assert_int_equal(iol_thick_lens_equal_radius(20.0, 1.0, 1.46, 0.0, &radius), IOL_BAD_INPUT);
    assert_int_equal(iol_thick_lens_equal_radius(0.0, 1.0, 1.46, 1.336, &radius), IOL_NO_SOLUTION);
    assert_int_equal(iol_thick_lens_equal_radius(20.0, 1.0, 1.336, 1.336, &radius), IOL_NO_SOLUTION);
    assert_int_equal(iol_thick_lens_equal_radius(2000.0, 1.0, 1.46, 1.336, &radius), IOL_NO_SOLUTION);
    /* finite in, not finite out */
    assert_int_equal(iol_thick_lens_equal_radius(1e-310, 1.0, 1.46, 1.336, &radius), IOL_NO_SOLUTION);
    CHECK_NAN(radius);
    assert_int_equal(iol_thick_lens_power(1e-309, INFINITY, 1.0, 1.46, 1.336, &lens), IOL_NO_SOLUTION);
    CHECK_NAN(lens.power_d);
    CHECK_NAN(radius);
    assert_int_equal(iol_thick_lens_from_edge(20.0, NAN, 6.0, 1.46, 1.336, &radius, &centre), IOL_BAD_INPUT);
    assert_int_equal(iol_thick_lens_from_edge(20.0, 0.3, NAN, 1.46, 1.336, &radius, &centre), IOL_BAD_INPUT);
    assert_int_equal(iol_thick_lens_from_edge(90.0, 0.3, 6.0, 1.46, 1.336, &radius, &centre), IOL_NO_SOLUTION);
    assert_int_equal(iol_thick_lens_from_edge(-20.0, 0.01, 6.0, 1.46, 1.336, &radius, &centre), IOL_NO_SOLUTION);
    assert_true(isnan(radius) && isnan(centre));
}

/* Between the strongest lens that closes and the weakest that runs away lies one that creeps: it is not answered. */
static void an_edge_that_does_not_settle(void **state) {
    (void)state;
    double low = 30.0, high = 90.0, radius, centre;
    iol_status status = IOL_OK;
    for (int i = 0; i < 60 && status != IOL_NO_CONVERGENCE; i++) {
        double middle = 0.5 * (low + high);
        status = iol_thick_lens_from_edge(middle, 0.3, 6.0, 1.46, aqueous, &radius, &centre);
        *(status == IOL_OK ? &low : &high) = middle;
    }
    assert_int_equal(status, IOL_NO_CONVERGENCE);
    assert_true(isnan(radius) && isnan(centre));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(derived_thick_lenses),         cmocka_unit_test(derived_lens_table),
        cmocka_unit_test(published_lenses_in_air),      cmocka_unit_test(published_single_surfaces),
        cmocka_unit_test(published_thick_lens_shift),   cmocka_unit_test(refusals),
        cmocka_unit_test(an_edge_that_does_not_settle),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
