/* Thick lenses, and whole schematic eyes as chains of surfaces and steps. */
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
                                              index, aqueous, &lens), IOL_OK);
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
    static const struct { double power, radius[4], centre[4]; } row[] = {
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

/* ---- schematic eyes ------------------------------------------------------------------------------------ */

typedef struct { double radius_mm, index_behind, gap_mm; } surface;
typedef struct { const char *name; int count; surface at[6]; } schematic;

/* Radius, index behind, distance to the next surface: as printed or recalled by the reference sheet. */
static const schematic eyes[] = {
    {"LISTING_HELMHOLTZ", 3, {{8, 103.0 / 77, 3.6}, {10, 16.0 / 11, 3.6}, {-6, 103.0 / 77, 0}}},
    {"GULLSTRAND_1", 6, {{7.7, 1.376, 0.5}, {6.8, 1.336, 3.1}, {10, 1.386, 0.546}, {7.911, 1.406, 2.419},
                         {-5.76, 1.386, 0.635}, {-6, 1.336, 0}}},
    {"GULLSTRAND_1_ACC", 6, {{7.7, 1.376, 0.5}, {6.8, 1.336, 2.7}, {5.33, 1.386, 0.6725}, {2.655, 1.406, 2.655},
                             {-2.655, 1.386, 0.6725}, {-5.33, 1.336, 0}}},
    {"EMSLEY", 3, {{7.8, 4.0 / 3, 3.6}, {10, 1.416, 3.6}, {-6, 4.0 / 3, 0}}},
    {"EMSLEY_ACC", 3, {{7.8, 4.0 / 3, 3.2}, {5, 1.416, 4}, {-5, 4.0 / 3, 0}}},
    {"LE_GRAND", 4, {{7.8, 1.3771, 0.55}, {6.5, 1.3374, 3.05}, {10.2, 1.42, 4}, {-6, 1.336, 0}}},
    {"LE_GRAND_ACC", 4, {{7.8, 1.3771, 0.55}, {6.5, 1.3374, 2.65}, {6, 1.427, 4.5}, {-5.5, 1.336, 0}}},
    {"NAVARRO", 4, {{7.72, 1.376, 0.55}, {6.5, 1.3374, 3.05}, {10.2, 1.42, 4}, {-6, 1.336, 0}}},
    {"BENNETT_RABBETTS_0", 3, {{7.8, 1.336, 3.6}, {11, 1.422, 3.7}, {-6.47515, 1.336, 0}}},
    {"BENNETT_RABBETTS_2.5", 3, {{7.8, 1.336, 3.475}, {8.6, 1.422, 3.825}, {-5.909, 1.336, 0}}},
    {"BENNETT_RABBETTS_5", 3, {{7.8, 1.336, 3.37}, {7, 1.422, 3.93}, {-5.504, 1.336, 0}}},
    {"BENNETT_RABBETTS_7.5", 3, {{7.8, 1.336, 3.28}, {6, 1.422, 4.02}, {-5.063, 1.336, 0}}},
    {"BENNETT_RABBETTS_10", 3, {{7.8, 1.336, 3.21}, {5.2, 1.422, 4.09}, {-4.75, 1.336, 0}}},
};
enum { EYES = sizeof eyes / sizeof eyes[0] };

static const schematic *eye_named(const char *name) {
    for (int i = 0; i < EYES; i++) {
        if (strcmp(eyes[i].name, name) == 0) {
            return &eyes[i];
        }
    }
    return NULL;
}

/* The same system met from behind. */
static schematic reversed(const schematic *eye) {
    schematic back = *eye;
    for (int i = 0; i < eye->count; i++) {
        int k = eye->count - 1 - i;
        back.at[i] = (surface){-eye->at[k].radius_mm, k > 0 ? eye->at[k - 1].index_behind : 1.0,
                               k > 0 ? eye->at[k - 1].gap_mm : 0.0};
    }
    return back;
}

/* Parallel light through the surfaces: the vergence that leaves the last, and the power of the whole. */
static double leaving_vergence(const schematic *eye, double index_before, double *power_d) {
    iol_matrix v = iol_matrix_scalar(0.0);
    double index = index_before, height = 1.0;
    for (int i = 0; i < eye->count; i++) {
        const surface *s = &eye->at[i];
        v = iol_matrix_add(v, iol_matrix_scalar(1000.0 * (s->index_behind - index) / s->radius_mm));
        index = s->index_behind;
        if (i + 1 < eye->count) {
            height *= 1.0 - s->gap_mm / 1000.0 / index * v.xx;
            assert_int_equal(iol_matrix_step(v, s->gap_mm / 1000.0 / index, &v), IOL_OK);
        }
    }
    assert_true(v.xy == 0.0 && v.xx == v.yy);
    *power_d = v.xx * height;
    return v.xx;
}

/* The cardinal data by their column names in schematic.tsv: powers in dioptres, distances from the cornea in mm. */
static double cardinal(const schematic *eye, const char *what) {
    double power, from_behind, last = eye->at[eye->count - 1].index_behind, thickness = 0.0;
    schematic back = reversed(eye);
    for (int i = 0; i < eye->count; i++) {
        thickness += eye->at[i].gap_mm;
    }
    double back_focus = 1000.0 * last / leaving_vergence(eye, 1.0, &power) + thickness;
    double front_focus = -1000.0 / leaving_vergence(&back, last, &from_behind);
    CHECK_NEAR(from_behind, power, 1e-11, "the power is the same from both sides");
    double f = -1000.0 / power, f2 = 1000.0 * last / power;
    return strcmp(what, "power") == 0  ? power
           : strcmp(what, "f") == 0    ? f
           : strcmp(what, "f2") == 0   ? f2
           : strcmp(what, "V1F") == 0  ? front_focus
           : strcmp(what, "V1F2") == 0 ? back_focus
           : strcmp(what, "V1P") == 0  ? front_focus - f
           : strcmp(what, "V1P2") == 0 ? back_focus - f2
           : strcmp(what, "V1N") == 0  ? front_focus + f2
           : strcmp(what, "V1N2") == 0 ? back_focus + f
                                       : NAN;
}

static void derived_schematic_eyes(void **state) {
    (void)state;
    check_table t;
    check_open(&t, DERIVED("schematic"));
    while (check_next(&t)) {
        const schematic *eye = eye_named(check_text(&t, "eye"));
        assert_non_null(eye);
        for (int i = 1; i < t.columns; i++) {
            CHECK_NEAR(cardinal(eye, t.name[i]), check_number(&t, t.name[i]), 1e-11, DERIVATION "/schematic.tsv");
        }
    }
    assert_int_equal(t.rows, EYES);
}

/* Known differences: published to more digits than their own rounded constants give. */
static const struct { const char *inputs, *why; } known[] = {
    {"EMSLEY power", "printed 60.49; its own constants give 60.483"},
    {"EMSLEY V1F2", "printed 23.89; its own constants give 23.896"},
    {"GULLSTRAND_1 f", "recalled -17.055; rounded constants give -17.0543"},
    {"GULLSTRAND_1 V1F", "recalled -15.707; rounded constants give -15.7065"},
    {"GULLSTRAND_1 V1N2", "recalled 7.332; rounded constants give 7.3311"},
    {"GULLSTRAND_1 V1F2", "recalled 24.387; rounded constants give 24.3854"},
    {"GULLSTRAND_1 V1P2", "recalled 1.602; rounded constants give 1.6008"},
    {"GULLSTRAND_1_ACC power", "recalled 70.57; rounded constants give 70.584"},
};

static bool is_known(const char *inputs) {
    for (size_t i = 0; i < sizeof known / sizeof known[0]; i++) {
        if (strcmp(known[i].inputs, inputs) == 0) {
            return true;
        }
    }
    return false;
}

static double half_last_digit(const char *printed) {
    const char *point = strchr(printed, '.');
    return 0.5 * pow(10.0, point == NULL ? 0.0 : -(double)strlen(point + 1)) * (1.0 + 1e-9);
}

/* The Liou-Brennan eye has a lens of graded index, which a chain of surfaces cannot express: left out. */
static void published_schematic_eyes(void **state) {
    (void)state;
    check_table t;
    int rows = 0, different = 0, left_out = 0;
    check_open(&t, PUBLISHED);
    while (check_next_of(&t, "schematic-eye")) {
        char name[64], what[16];
        const char *inputs = check_text(&t, "inputs"), *printed = check_text(&t, "printed");
        assert_int_equal(sscanf(inputs, "%63s %15s", name, what), 2);
        if (strcmp(name, "LIOU_BRENNAN") == 0) {
            left_out++;
            continue;
        }
        const schematic *eye = eye_named(strcmp(name, "BENNETT_RABBETTS0") == 0 ? "BENNETT_RABBETTS_0" : name);
        assert_non_null(eye);
        double got = cardinal(eye, what), want = check_to_number(printed);
        CHECK_NEAR(got, want, check_number(&t, "tolerance"), check_text(&t, "source"));
        if (is_known(inputs)) {
            assert_false(check_near(got, want, half_last_digit(printed)));
            different++;
        } else {
            CHECK_NEAR(got, want, half_last_digit(printed), check_text(&t, "source"));
        }
        rows++;
    }
    assert_int_equal(rows, 41);
    assert_int_equal(left_out, 2);
    assert_int_equal(different, sizeof known / sizeof known[0]);
}

static double listing_helmholtz(const char *what) {
    const schematic *eye = eye_named("LISTING_HELMHOLTZ");
    schematic cornea = {"cornea", 1, {{8, 103.0 / 77, 0}}};
    iol_thick_lens lens;
    assert_int_equal(iol_thick_lens_power(10.0, -6.0, 3.6, 16.0 / 11, 103.0 / 77, &lens), IOL_OK);
    return strcmp(what, "f_cornea") == 0          ? -cardinal(&cornea, "f")
           : strcmp(what, "f2_cornea") == 0       ? cardinal(&cornea, "f2")
           : strcmp(what, "lens_focal") == 0      ? 1000.0 * 103.0 / 77 / lens.power_d
           : strcmp(what, "lens_H") == 0          ? 3.6 + lens.first_principal_mm
           : strcmp(what, "lens_H2") == 0         ? 7.2 + lens.second_principal_mm
           : strcmp(what, "F2_from_cornea") == 0  ? cardinal(eye, "V1F2")
           : strcmp(what, "F_before_cornea") == 0 ? -cardinal(eye, "V1F")
           : strcmp(what, "H") == 0               ? cardinal(eye, "V1P")
           : strcmp(what, "H2") == 0              ? cardinal(eye, "V1P2")
           : strcmp(what, "f2") == 0              ? cardinal(eye, "f2")
           : strcmp(what, "f") == 0               ? -cardinal(eye, "f")
                                                  : NAN;
}

/* Hand arithmetic of 1864: some figures miss by a unit of their last digit. */
static void published_listing_helmholtz(void **state) {
    (void)state;
    check_table t;
    int rows = 0, different = 0;
    static const char *const by_hand[] = {"F2_from_cornea", "H", "f2", "f"};
    check_open(&t, PUBLISHED);
    while (check_next_of(&t, "listing-helmholtz-eye")) {
        const char *what = check_text(&t, "inputs"), *printed = check_text(&t, "printed");
        double got = listing_helmholtz(what), want = check_to_number(printed);
        bool is_by_hand = false;
        for (int i = 0; i < 4; i++) {
            is_by_hand = is_by_hand || strcmp(what, by_hand[i]) == 0;
        }
        CHECK_NEAR(got, want, check_number(&t, "tolerance"), check_text(&t, "source"));
        assert_int_equal(check_near(got, want, half_last_digit(printed)), !is_by_hand);
        different += is_by_hand;
        rows++;
    }
    assert_int_equal(rows, 11);
    assert_int_equal(different, 4);
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
    CHECK_NAN(radius);
    assert_int_equal(iol_thick_lens_from_edge(20.0, NAN, 6.0, 1.46, 1.336, &radius, &centre), IOL_BAD_INPUT);
    assert_int_equal(iol_thick_lens_from_edge(20.0, 0.3, NAN, 1.46, 1.336, &radius, &centre), IOL_BAD_INPUT);
    assert_int_equal(iol_thick_lens_from_edge(90.0, 0.3, 6.0, 1.46, 1.336, &radius, &centre), IOL_NO_SOLUTION);
    assert_int_equal(iol_thick_lens_from_edge(-20.0, 0.01, 6.0, 1.46, 1.336, &radius, &centre), IOL_NO_SOLUTION);
    assert_true(isnan(radius) && isnan(centre));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(derived_thick_lenses),
        cmocka_unit_test(derived_lens_table),
        cmocka_unit_test(published_lenses_in_air),
        cmocka_unit_test(published_single_surfaces),
        cmocka_unit_test(published_thick_lens_shift),
        cmocka_unit_test(derived_schematic_eyes),
        cmocka_unit_test(published_schematic_eyes),
        cmocka_unit_test(published_listing_helmholtz),
        cmocka_unit_test(refusals),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
