/* Case to eye: which refraction, which biometry, spreads, positions, labels. Rows of the method unless a source is named. */
#include "case_text.h"
#include "check.h"
#include "estimate/plausible.h"

#include "plan/aim.h"
#include "tables/note_codes.h"

static iol_case c;
static iol_site site;
static iol_notes notes;
static iol_eye eye;

static void start(void) {
    char json[4096];
    snprintf(json, sizeof json, WORKED_CASE, "srk-t");
    must_read_case(json, &c);
    must_read_site(WORKED_SITE, &site);
    site.spread = (iol_spread){.axial_length_mm = NAN,
                               .cornea_d = NAN,
                               .lens_position_mm = NAN,
                               .lens_label_d = NAN,
                               .refraction_d = NAN,
                               .new_position_mm = NAN,
                               .piggyback_position_mm = NAN,
                               .lens_depth_mm = NAN};
}

static void make(void) {
    notes.count = 0;
    iol_eye_make(&c, &site, IOL_UNKNOWN_DATE, IOL_EYE_POOLED, &notes, &eye);
}

static bool notes_have(iol_note_code code, const char *word) {
    for (int i = 0; i < notes.count; i++)
        if (notes.item[i].code == (int)code && (!word || strcmp(notes.item[i].word, word) == 0)) return true;
    return false;
}

static const char *const method = "method, section 3";

static void refraction_spreads(void **state) {
    (void)state;
    static const struct {
        int method, day;
        double acuity, want;
    } rows[] = {
        {IOL_refraction_method_manifest, 40, 0.0, 0.30},
        {IOL_refraction_method_cycloplegic, 28, 0.3, 0.30},
        {IOL_refraction_method_autorefractor, 40, 0.0, 0.45},
        {0, 40, 0.0, 0.45},
        {IOL_refraction_method_manifest, 40, 0.31, 0.50},
        {IOL_refraction_method_manifest, 27, 0.0, 0.468615},     /* sqrt(0.30^2 + 0.36^2) */
        {IOL_refraction_method_autorefractor, 7, 0.0, 0.576281}, /* sqrt(0.45^2 + 0.36^2) */
        {IOL_refraction_method_manifest, 6, 0.0, 0.75},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        start();
        c.refractions[0].method = rows[i].method;
        c.refractions[0].measured_on = c.first_surgery.done_on + rows[i].day;
        c.refractions[0].corrected_acuity_logmar = rows[i].acuity;
        make();
        CHECK_NEAR(eye.now.sd_d, rows[i].want, 1e-6, method);
    }
    site.spread.refraction_d = 0.11;
    make();
    CHECK_NEAR(eye.now.sd_d, 0.11, 0, "a site's figure replaces the whole rule");
}

/* Two readings; the second is the newest. */
static void two(int days_apart, double sphere_d, double cylinder_d, double axis_deg) {
    start();
    c.refractions_count = 2;
    c.refractions[1] = c.refractions[0];
    c.refractions[0].measured_on -= days_apart;
    c.refractions[0].sphere_d = sphere_d;
    c.refractions[0].cylinder_d = cylinder_d;
    c.refractions[0].axis_deg = axis_deg;
}

static void which_refraction(void **state) {
    (void)state;
    /* The newest is +2.25 -0.75 x 80 on day 47. */
    static const struct {
        int apart;
        double sphere, cylinder, axis;
        int readings;
    } rows[] = {{5, 2.25, -0.75, 80, 2},  {4, 2.25, -0.75, 80, 1},  {40, 2.25, -0.75, 80, 2}, {41, 2.25, -0.75, 80, 1},
                {10, 2.75, -0.75, 80, 2}, {10, 2.76, -0.75, 80, 1}, {10, 2.50, -1.25, 80, 2}, {10, 2.51, -1.27, 80, 1},
                {10, 2.25, -0.75, 98, 2}, {10, 2.25, -0.75, 101, 1}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        two(rows[i].apart, rows[i].sphere, rows[i].cylinder, rows[i].axis);
        make();
        if (eye.now.readings != rows[i].readings) fail_msg("row %zu: %d readings", i, eye.now.readings);
        CHECK_NEAR(eye.now.sd_d, rows[i].readings == 2 ? 0.25 : 0.30, 1e-12, method);
        CHECK_NEAR(eye.now.day, 47, 0, method);
    }
    two(10, 2.50, -0.75, 80);
    make();
    /* Mean at the cornea of the two, per meridian, back to spectacles; worked by hand with F/(1 - 0.012 F). */
    double newest = (2.25 / (1 - 0.012 * 2.25) + 1.5 / (1 - 0.012 * 1.5)) / 2,
           other = (2.5 / (1 - 0.012 * 2.5) + 1.75 / (1 - 0.012 * 1.75)) / 2, mean = (newest + other) / 2;
    CHECK_NEAR(eye.now.spectacle_d, mean / (1 + 0.012 * mean), 1e-12, "by hand");
}

/* The most negative change from one reading to a later one, whichever two they are; NaN with one. Worked by hand. */
static void greatest_fall(void **state) {
    (void)state;
    static const struct {
        double sphere[3], fall;
    } rows[] = {{{2.0, 1.0, 1.5}, -1.0}, {{1.0, 2.0, 0.5}, -1.5}, {{1.0, 1.5, 2.25}, 0.5}, {{0.5, 0.5, -1.0}, -1.5}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        start();
        c.refractions_count = 3;
        for (int k = 2; k >= 0; k--) {
            c.refractions[k] = c.refractions[0];
            c.refractions[k].measured_on += 10 * k;
            c.refractions[k].sphere_d = rows[i].sphere[k];
            c.refractions[k].cylinder_d = 0.0;
        }
        make();
        CHECK_NEAR(eye.now.drift_d, rows[i].fall, 0.03, "by hand, but for the glasses' distance");
    }
    start();
    make();
    CHECK_NAN(eye.now.drift_d);
}

/* At the plane of the newest reading, 20 mm before the cornea, one meridian of the other diverges from behind: -60 D at the
 * cornea has its far point 16.7 mm before it. There is nothing to compare. */
static void a_reading_that_is_none_at_the_other_plane(void **state) {
    (void)state;
    two(10, -40.0, -20.0, 90);
    c.refractions[0].vertex_mm = 0.0;
    c.refractions[1].vertex_mm = 20.0;
    make();
    assert_int_equal(eye.now.readings, 1);
    CHECK_NEAR(eye.now.vertex_mm, 20.0, 0.0, "that of the newest");
    c.refractions[0] = c.refractions[1];
    c.refractions[0].measured_on -= 10;
    make();
    assert_int_equal(eye.now.readings, 2);
}

/* By hand: sphere or equivalent, the larger, whatever its sign, of every reading that counts. */
static void the_strongest_of_the_readings(void **state) {
    (void)state;
    static const struct {
        double sphere[2], cylinder[2], strongest;
    } rows[] = {{{-6.25, -6.0}, {-0.5, 0.0}, 6.5}, {{-6.25, -6.0}, {0.5, 0.0}, 6.25}, {{-6.0, -6.25}, {0.0, -0.5}, 6.5},
                {{6.0, 6.25}, {0.0, -0.5}, 6.25},  {{6.25, 6.0}, {-0.5, 0.0}, 6.25},  {{6.0, 6.0}, {0.5, 0.0}, 6.25}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        two(10, 0.0, 0.0, 90);
        for (int k = 0; k < 2; k++) {
            c.refractions[k].sphere_d = rows[i].sphere[k];
            c.refractions[k].cylinder_d = rows[i].cylinder[k];
            c.refractions[k].axis_deg = 90.0;
        }
        make();
        assert_int_equal(eye.now.readings, 2);
        CHECK_NEAR(eye.now.strongest_d, rows[i].strongest, 1e-12, "by hand");
    }
}

static void which_readings_are_usable(void **state) {
    (void)state;
    static const int moved[] = {IOL_lens_then_displaced, IOL_lens_then_opaque, IOL_lens_then_fluid_behind,
                                IOL_lens_then_aphakic};
    for (size_t i = 0; i < 4; i++) {
        start();
        c.refractions[0].lens_then = moved[i];
        make();
        assert_false(eye.now.usable);
    }
    static const int reasons[] = {IOL_reason_lens_tilt, IOL_reason_lens_decentration, IOL_reason_lens_dislocation,
                                  IOL_reason_lens_opacity};
    for (size_t i = 0; i < 4; i++) {
        start();
        c.refractions[0].lens_then = 0;
        make();
        assert_true(eye.now.usable && notes_have(IOL_NOTE_assume_in_place, NULL));
        c.reason = reasons[i];
        make();
        assert_false(eye.now.usable);
        c.refractions[0].lens_then = IOL_lens_then_in_place;
        make();
        assert_true(eye.now.usable);
    }
    start();
    c.refractions[0].oil_then = IOL_YES;
    make();
    assert_false(eye.now.usable);
}

static void length_spreads(void **state) {
    (void)state;
    static const struct {
        int method, state;
        double length, want;
    } rows[] = {
        {IOL_biometry_method_optical, IOL_eye_state_phakic, 23.0, 0.05},
        {IOL_biometry_method_optical, 0, 23.0, 0.05},
        {IOL_biometry_method_optical, IOL_eye_state_pseudophakic, 23.0, 0.07},
        {IOL_biometry_method_immersion_ultrasound, IOL_eye_state_phakic, 23.0, 0.10},
        {IOL_biometry_method_contact_ultrasound, IOL_eye_state_phakic, 23.0, 0.20},
        {0, IOL_eye_state_phakic, 23.0, 0.20},
        {IOL_biometry_method_optical, IOL_eye_state_silicone_oil, 23.0, 0.20},
        {IOL_biometry_method_optical, IOL_eye_state_phakic, 20.99, 0.08},
        {IOL_biometry_method_optical, IOL_eye_state_phakic, 21.0, 0.05},
        {IOL_biometry_method_optical, IOL_eye_state_phakic, 26.0, 0.05},
        {IOL_biometry_method_optical, IOL_eye_state_phakic, 26.01, 0.08},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        start();
        c.biometry.method = rows[i].method;
        c.biometry.eye_state = rows[i].state;
        c.biometry.axial_length_mm = rows[i].length;
        make();
        CHECK_NEAR(eye.sd_length_mm, rows[i].want, 1e-12, method);
    }
}

static void cornea_spreads(void **state) {
    (void)state;
    static const struct {
        int surface, tears, surgery;
        double want;
    } rows[] = {
        {IOL_surface_regular, IOL_ocular_surface_healthy, IOL_corneal_surgery_none, 0.20},
        {IOL_surface_regular, IOL_ocular_surface_dry, IOL_corneal_surgery_none, 0.50},
        {IOL_surface_irregular, IOL_ocular_surface_healthy, IOL_corneal_surgery_none, 0.50},
        {0, IOL_ocular_surface_healthy, IOL_corneal_surgery_none, 0.50},
        {IOL_surface_regular, IOL_ocular_surface_healthy, IOL_corneal_surgery_myopic_laser, 1.0},
        {IOL_surface_regular, IOL_ocular_surface_healthy, IOL_corneal_surgery_hyperopic_laser, 1.0},
        {IOL_surface_regular, IOL_ocular_surface_healthy, IOL_corneal_surgery_radial_cuts, 1.5},
        {IOL_surface_ectatic, IOL_ocular_surface_healthy, IOL_corneal_surgery_myopic_laser, 1.5},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        start();
        c.cornea.surface = rows[i].surface;
        c.cornea.ocular_surface = rows[i].tears;
        c.cornea.earlier_refractive_surgery = rows[i].surgery;
        make();
        CHECK_NEAR(eye.sd_k_d, rows[i].want, 1e-12, method);
        bool laser = rows[i].surgery == IOL_corneal_surgery_myopic_laser || rows[i].surgery == IOL_corneal_surgery_hyperopic_laser;
        if (!laser) continue;
        c.biometry_repeat = c.biometry; /* keratometry taken twice misleads alike */
        c.biometry_repeat.eye_state = 0;
        make();
        CHECK_NEAR(eye.sd_k_d, rows[i].want, 1e-12, method);
    }
}

/* Where the crystalline lens lay tells where one in its bag lies: of a first measurement with that lens in the eye, and of no other
 * place. */
static void room_of_the_old_lens(void **state) {
    (void)state;
    static const struct {
        int eye_state, position;
        bool tells;
    } row[] = {{IOL_eye_state_phakic, IOL_position_bag, true},        {IOL_eye_state_pseudophakic, IOL_position_bag, false},
               {IOL_eye_state_phakic, IOL_position_sulcus, false},    {IOL_eye_state_aphakic, IOL_position_bag, false},
               {IOL_eye_state_pseudophakic, IOL_position_sulcus, false}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        iol_plausible found;
        start();
        c.biometry.eye_state = row[i].eye_state, c.biometry.chamber_depth_mm = 3.1, c.biometry.lens_thickness_mm = 4.5;
        c.first_surgery.lens.position = row[i].position;
        make();
        iol_plausible_make(&eye, NULL, &found);
        assert_int_equal(!isnan(found.by_old_lens_mm), row[i].tells);
        if (row[i].tells) assert_true(found.by_old_lens_mm > 3.1 && found.by_old_lens_mm < 7.6);
    }
}

/* An eye without a lens has one of no power: of no sphere and no cylinder, turned nowhere and moved nowhere. */
static void no_lens_has_no_power(void **state) {
    (void)state;
    start();
    c.aphakic_now = IOL_YES;
    for (int i = 0; i < c.refractions_count; i++) c.refractions[i].lens_then = IOL_lens_then_aphakic;
    make();
    assert_int_equal(eye.no_lens, IOL_YES);
    CHECK_NEAR(eye.old.power_d, 0.0, 0.0, "no lens");
    CHECK_NEAR(iol_matrix_mean(eye.old.power), 0.0, 0.0, "no lens");
    CHECK_NEAR(iol_matrix_cylinder(eye.old.power), 0.0, 0.0, "no lens");
    assert_false(eye.old.toric || eye.old.axis_known);
    CHECK_NEAR(eye.old.shift_mm, 0.0, 0.0, "no lens");
}

static void biometry_is_pooled(void **state) {
    (void)state;
    start();
    c.biometry_repeat = c.biometry;
    c.biometry_repeat.eye_state = 0; /* repeat: an eye with a lens in it */
    c.biometry_repeat.axial_length_mm = 22.96;
    c.biometry_repeat.k_flat_d = 44.05, c.biometry_repeat.k_steep_d = 45.05;
    make();
    /* Weights 1/0.05^2 = 400 and 1/0.07^2 = 204.0816; equal ones for the cornea. */
    CHECK_NEAR(eye.axial_length_mm, (400 * 22.86 + 204.081632653 * 22.96) / 604.081632653, 1e-9,
               "inverse variance, by hand");
    CHECK_NEAR(eye.sd_length_mm, 0.0406867, 1e-7, "inverse variance, by hand");
    CHECK_NEAR(eye.k_d, 44.40, 1e-12, "inverse variance, by hand");
    CHECK_NEAR(eye.sd_k_d, 0.141421356, 1e-9, "inverse variance, by hand");
    CHECK_NEAR(iol_matrix_cylinder(eye.keratometry), 1.0, 1e-9, "both of 1.00 D at 170");
    CHECK_NEAR(iol_matrix_steep_axis(eye.keratometry), 170.0, 1e-6, "both of 1.00 D at 170");
    c.biometry_repeat.axial_length_mm = 23.30;
    make();
    assert_true(eye.conflict);
    CHECK_NEAR(eye.axial_length_mm, 23.30, 0, "in conflict the repeat alone");
    CHECK_NEAR(eye.k_d, 44.55, 1e-12, "in conflict the repeat alone");
    int told = 0;
    for (int i = 0; i < notes.count; i++)
        if (notes.item[i].code == IOL_NOTE_measurements_in_conflict) {
            told++;
            CHECK_NEAR(notes.item[i].value, 22.86 - 23.30, 1e-12, "first less repeat, by hand");
            CHECK_NEAR(notes.item[i].limit, 44.25 - 44.55, 1e-12, "first less repeat, by hand");
        }
    assert_int_equal(told, 1);
    const iol_biometry repeat = c.biometry_repeat;
    c.biometry_repeat.k_flat_d = c.biometry_repeat.k_steep_d = c.biometry_repeat.k_steep_axis_deg = NAN;
    make();
    assert_true(eye.conflict);
    CHECK_NEAR(eye.axial_length_mm, 23.30, 0, "in conflict the repeat alone");
    CHECK_NEAR(eye.k_d, 44.25, 1e-12, "what was measured once alone stays");
    c.biometry_repeat = repeat;
    c.biometry = (iol_biometry){.axial_length_mm = NAN,
                                .k_flat_d = NAN,
                                .k_steep_d = NAN,
                                .k_flat_radius_mm = NAN,
                                .k_steep_radius_mm = NAN,
                                .k_steep_axis_deg = NAN,
                                .keratometric_index = NAN,
                                .chamber_depth_mm = NAN,
                                .lens_depth_mm = NAN};
    make();
    assert_true(eye.from_repeat_only && notes_have(IOL_NOTE_assume_repeat_first, NULL));
    CHECK_NAN(eye.chamber_depth_mm);
    CHECK_NEAR(eye.axial_length_mm, 23.30, 0, "the repeat takes the place of the first");
}

/* A reading that does not say how the lens lay: of a displaced one where that is the reason, of an opaque one where that is. */
static void how_the_lens_lay_where_no_reading_says(void **state) {
    (void)state;
    static const struct {
        int reason, also;
        bool used, displaced;
    } row[] = {{IOL_reason_power_error, 0, true, false},          {IOL_reason_lens_tilt, 0, false, true},
               {IOL_reason_lens_decentration, 0, false, true},    {IOL_reason_lens_dislocation, 0, false, true},
               {IOL_reason_lens_opacity, 0, false, false},        {IOL_reason_lens_tilt, IOL_reason_lens_opacity, false, false},
               {IOL_reason_power_error, IOL_reason_lens_tilt, false, true}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        start();
        c.reason = row[i].reason;
        c.reasons_also[0] = row[i].also, c.reasons_also_count = row[i].also > 0;
        for (int k = 0; k < c.refractions_count; k++) c.refractions[k].lens_then = 0;
        make();
        assert_true(eye.now.usable == row[i].used);
        assert_true(eye.moved.usable == row[i].displaced);
    }
}

/* The depth in front of a crystalline lens, not that in front of one that was put in, nor of none. */
static void depth_of_the_first_chamber(void **state) {
    (void)state;
    static const struct {
        int state;
        bool counts;
    } row[] = {{0, true}, {IOL_eye_state_phakic, true}, {IOL_eye_state_pseudophakic, false}, {IOL_eye_state_aphakic, false}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        start();
        c.biometry.chamber_depth_mm = 3.1;
        c.biometry.eye_state = row[i].state;
        make();
        assert_int_equal(isnan(eye.chamber_depth_mm), !row[i].counts);
    }
}

static void keratometer_index(void **state) {
    (void)state;
    static const double index[] = {1.3375, 1.3315, 1.332, 4.0 / 3.0};
    for (size_t i = 0; i < 4; i++) {
        start();
        c.biometry.keratometric_index = index[i];
        c.biometry.k_flat_d = c.biometry.k_steep_d = 1000.0 * (index[i] - 1.0) / 7.5;
        make();
        CHECK_NEAR(eye.k_d, 45.0, 1e-9, "7.5 mm is 45.0 D at 1.3375 (published.tsv, keratometry 1.3375)");
        CHECK_NEAR(eye.radius_mm, 7.5, 1e-9, "radius behind the reading");
    }
    c.biometry.k_flat_d = c.biometry.k_steep_d = NAN;
    c.biometry.k_flat_radius_mm = c.biometry.k_steep_radius_mm = 7.5;
    make();
    CHECK_NEAR(eye.k_d, 45.0, 1e-9, "radii need no index");
    c.biometry.k_steep_radius_mm = NAN;
    make();
    CHECK_NEAR(eye.k_d, 45.0, 1e-9, "one meridian alone");
    assert_true(notes_have(IOL_NOTE_assume_one_k, NULL));
}

static void label_tolerance(void **state) {
    (void)state;
    static const char *const standard = "ISO 11979-2, clauses from memory: half the plus-or-minus figure";
    static const struct {
        double power, half;
    } rows[] = {{0, 0.15},  {15, 0.15},   {15.01, 0.20}, {25, 0.20},   {25.01, 0.25},
                {30, 0.25}, {30.01, 0.5}, {-15, 0.15},   {-15.5, 0.20}};
    start(), make();
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        CHECK_NEAR(iol_eye_label_sd(&eye, rows[i].power), rows[i].half, 1e-12, standard);
    check_table table;
    int seen = 0;
    check_open(&table, PUBLISHED);
    while (check_next_of(&table, "label-tolerance")) {
        double power = check_after(check_text(&table, "inputs"), "P="), low = check_number(&table, "printed"),
               high = check_after(check_text(&table, "printed"), "..");
        CHECK_NEAR(power - 2.0 * iol_eye_label_sd(&eye, power), low, 1e-9, check_text(&table, "source"));
        CHECK_NEAR(power + 2.0 * iol_eye_label_sd(&eye, power), high, 1e-9, check_text(&table, "source"));
        seen++;
    }
    assert_int_equal(seen, 2);
}

/* ---- positions ---- */
static iol_lens_in_eye fresh_lens(int position) {
    iol_lens_in_eye fresh;
    iol_eye_shelf_lens(&eye, &site.lenses[0], position, &fresh);
    return fresh;
}

static iol_status position_change(iol_formula formula, const iol_lens_in_eye *fresh, double *change, double *sd,
                                  int *basis) {
    iol_model old;
    iol_eye_predict(&eye, formula, &eye.old, &old);
    return iol_eye_position_change(&eye, formula, old.position_mm, fresh, change, sd, basis);
}

static void shifts_count_once(void **state) {
    (void)state;
    static const struct {
        int from, from_stated, to, to_stated;
        double change, sd;
    } rows[] = {
        {IOL_position_bag, 0, IOL_position_bag, 0, 0.0, 0.15},
        {IOL_position_bag, 0, IOL_position_sulcus, 0, -0.50, 0.291548}, /* sqrt(0.15^2 + 0.25^2) */
        {IOL_position_sulcus, 0, IOL_position_bag, 0, 0.50, 0.291548},
        {IOL_position_sulcus, 0, IOL_position_sulcus, 0, 0.0, 0.15},
        {IOL_position_bag, 0, IOL_position_sulcus, IOL_position_sulcus, 0.0, 0.291548}, /* its scatter stays */
        {IOL_position_bag, 0, IOL_position_sulcus_captured, 0, -0.15, 0.291548},
        {IOL_position_bag, 0, IOL_position_sclera, 0, 0.0, 0.474342},     /* sqrt(0.15^2 + 0.45^2) */
        {IOL_position_sulcus, 0, IOL_position_sclera, 0, 0.50, 0.536190}, /* sqrt(0.15^2 + 0.25^2 + 0.45^2) */
        {IOL_position_bag, 0, IOL_position_bag, IOL_position_sulcus, 0.50, 0.291548},
        {IOL_position_bag, 0, IOL_position_chamber, IOL_position_chamber, 0.0, 0.474342},
        {IOL_position_bag, 0, IOL_position_chamber, 0, NAN, NAN},
        {IOL_position_bag, 0, IOL_position_iris_behind, 0, NAN, NAN},
        {IOL_position_iris_front, 0, IOL_position_bag, 0, NAN, NAN},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double change, sd;
        int basis;
        start();
        c.first_surgery.lens.position = rows[i].from;
        c.first_surgery.lens.constants.for_position = rows[i].from_stated;
        site.lenses[0].constants.a_constant = 118.4;
        site.lenses[0].constants.for_position = rows[i].to_stated;
        make();
        iol_lens_in_eye fresh = fresh_lens(rows[i].to);
        for (int f = 0; f < 4; f++) {
            iol_status status = position_change((iol_formula)f, &fresh, &change, &sd, &basis);
            if (isnan(rows[i].change)) {
                assert_true(status < 0);
                CHECK_NAN(change);
                continue;
            }
            assert_int_equal(status, IOL_OK);
            CHECK_NEAR(change, rows[i].change, 1e-12, "method, section 4: fixation");
            CHECK_NEAR(sd, rows[i].sd, 1e-6, "method, section 4: fixation");
        }
    }
}

/* Nearer to the limbus is further forward: five series of 306 eyes, 1.0 mm about -0.5 mm, 2.0 mm about 0.0 mm (SCLERAL_SERIES). */
#define SCLERAL_SERIES "five series of scleral fixation, 17 + 63 + 115 + 53 + 58 eyes; our reading of them"
static void sclera_by_distance(void **state) {
    (void)state;
    static const struct {
        double distance_mm, change;
        iol_note_code assumed;
    } rows[] = {{NAN, 0.0, IOL_NOTE_assume_fixation_distance},
                {0.9, -0.50, IOL_NOTE_assume_fixation_held},
                {1.0, -0.50, 0},
                {1.5, -0.25, 0},
                {2.0, 0.0, 0},
                {2.1, 0.0, IOL_NOTE_assume_fixation_held}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        static iol_notes said;
        start();
        site.lenses[0].constants.a_constant = 118.4;
        c.operation.fixation_distance_mm = rows[i].distance_mm;
        make();
        iol_lens_in_eye fresh = fresh_lens(IOL_position_sclera);
        CHECK_NEAR(fresh.shift_mm, rows[i].change, 1e-12, SCLERAL_SERIES);
        CHECK_NEAR(iol_eye_fixation(&eye, IOL_position_sclera), rows[i].change, 1e-12, SCLERAL_SERIES);
        CHECK_NEAR(iol_eye_fixation(&eye, IOL_position_sulcus), -0.50, 1e-12, "a place of its own");
        said = (iol_notes){0};
        iol_eye_say_fixation(&eye, IOL_position_sclera, &said);
        assert_int_equal(said.count, rows[i].assumed != 0);
        if (said.count) assert_int_equal(said.item[0].code, rows[i].assumed);
        said.count = 0;
        iol_eye_say_fixation(&eye, IOL_position_bag, &said);
        assert_int_equal(said.count, 0);
    }
}

static void one_kind_of_constant(void **state) {
    (void)state;
    double change, sd;
    int basis;
    start(), make();
    iol_lens_in_eye fresh = fresh_lens(IOL_position_bag); /* A 119.0 against 118.4 */
    static const double want[] = {0.6 * 0.62467, 0.6 * 0.62467, 0.6 * 0.5663, 0.6 * 0.58357};
    for (int f = 0; f < 4; f++) {
        assert_int_equal(position_change((iol_formula)f, &fresh, &change, &sd, &basis), IOL_OK);
        CHECK_NEAR(change, want[f], 1e-9, "slopes of the published regressions");
        assert_int_equal(basis, IOL_CHANGE_OWN);
    }
    site.lenses[0].constants.surgeon_factor_mm = 1.9;
    fresh = fresh_lens(IOL_position_bag);
    assert_int_equal(position_change(IOL_FORMULA_holladay_1, &fresh, &change, &sd, &basis), IOL_OK);
    assert_int_equal(basis, IOL_CHANGE_BY_A);
    CHECK_NEAR(change, 0.6 * 0.62467, 1e-9, "both by their A-constants");
    c.first_surgery.lens.constants.surgeon_factor_mm = 1.5;
    make();
    assert_int_equal(position_change(IOL_FORMULA_holladay_1, &fresh, &change, &sd, &basis), IOL_OK);
    assert_int_equal(basis, IOL_CHANGE_OWN);
    CHECK_NEAR(change, 0.4, 1e-9, "both by their own surgeon factors");
    site.lenses[0].constants.a_constant = NAN;
    fresh = fresh_lens(IOL_position_sulcus);
    assert_int_equal(position_change(IOL_FORMULA_srk_t, &fresh, &change, &sd, &basis), IOL_OK);
    assert_int_equal(basis, IOL_CHANGE_FIXATION_ONLY);
    CHECK_NEAR(change, -0.5, 1e-12, "no common kind: only the fixation");
    site.lenses[0].constants.surgeon_factor_mm = NAN;
    fresh = fresh_lens(IOL_position_bag);
    assert_true(position_change(IOL_FORMULA_srk_t, &fresh, &change, &sd, &basis) < 0);
}

static void constants_that_do_not_fit(void **state) {
    (void)state;
    start();
    c.first_surgery.lens.constants.obtained_with = IOL_obtained_with_ultrasound;
    make();
    assert_true(notes_have(IOL_NOTE_ultrasound_constant, NULL));
    c.biometry.method = IOL_biometry_method_immersion_ultrasound;
    make();
    assert_false(notes_have(IOL_NOTE_ultrasound_constant, NULL));
    start(), make();
    assert_false(notes_have(IOL_NOTE_other_position_constant, NULL) || notes_have(IOL_NOTE_assume_bag_constants, NULL));
    c.first_surgery.lens.position = IOL_position_sulcus;
    make();
    assert_true(notes_have(IOL_NOTE_assume_bag_constants, NULL));
    c.first_surgery.lens.constants.for_position = IOL_position_bag;
    make();
    assert_true(notes_have(IOL_NOTE_other_position_constant, NULL));
    c.first_surgery.lens.constants.for_position = IOL_position_sulcus;
    make();
    assert_false(notes_have(IOL_NOTE_other_position_constant, NULL) || notes_have(IOL_NOTE_assume_bag_constants, NULL));
    CHECK_NEAR(eye.old.shift_mm, 0.0, 0, "constants stated for the place itself need no shift");
}

/* Hill's chart: a bag lens goes to the sulcus, 5.20 to 4.70 mm, the refraction kept; K 43.1 fitted to the chart. */
static void bag_to_sulcus_chart(void **state) {
    (void)state;
    check_table table;
    int rows = 0;
    check_open(&table, PUBLISHED);
    while (check_next_of(&table, "lens-moved")) {
        double power = check_after(check_text(&table, "inputs"), "P=");
        start();
        c.biometry.k_flat_d = c.biometry.k_steep_d = 43.1;
        c.refractions[0].sphere_d = c.refractions[0].cylinder_d = 0.0;
        c.first_surgery.lens.power_d = power;
        c.first_surgery.lens.constants.a_constant = site.lenses[0].constants.a_constant = (5.20 + 68.747) / 0.62467;
        make();
        iol_lens_in_eye fresh = fresh_lens(IOL_position_sulcus);
        iol_estimate own;
        iol_aim aim;
        iol_aim_by_refraction(&eye, &fresh, &own, NULL, &aim);
        CHECK_NEAR(aim.model.position_mm, 4.70, 1e-9, "5.20 mm less the published shift");
        double got = iol_aim_power(&eye, &aim, 0.0), less = power - got;
        CHECK_NEAR(got, check_number(&table, "printed"), check_number(&table, "tolerance"),
                   check_text(&table, "source"));
        /* Hill's rule for the sulcus, a bracket: 9 to 18 D less 0.5, to 27 D less 1.0, above less 1.5. */
        double rule = power <= 18.0 ? 0.5 : power <= 27.0 ? 1.0 : 1.5;
        CHECK_NEAR(less, rule, 0.5, "bracket: rule of nines (Hill, seen)");
        /* Known difference: Dubey 2012 (36 sulcus lenses) takes off at least 1.0 D from 18 to 25 D and 1.5 to 2.0 D above;
         * optics alone takes off less, 0.79 to 1.18 D and 1.19 to 1.45 D. Kept as it is. */
        if (power > 25.0) assert_true(less < 1.5 && less > 1.1);
        rows++;
    }
    assert_int_equal(rows, 30);
}

/* A measured depth: plus 0.57 mm (published), or the site's own offset. */
static void a_measured_depth(void **state) {
    (void)state;
    iol_estimate e, moved;
    start(), make();
    c.refractions_count = 0;
    make();
    iol_estimate_make(&eye, IOL_FORMULA_srk_t, &e);
    c.biometry_repeat.lens_depth_mm = e.prior.position_mm - 0.57 + 0.40;
    make();
    iol_estimate_make(&eye, IOL_FORMULA_srk_t, &moved);
    CHECK_NEAR(moved.depth_gap_mm, 0.40, 1e-9, "schroeder_2018: 0.57 mm");
    CHECK_NEAR(moved.posterior.position_mm - e.prior.position_mm, 0.20, 1e-9, "equal spreads of 0.30 mm: half way");
    CHECK_NEAR(moved.covariance[IOL_E][IOL_E], 0.045, 1e-12, "half the variance is left");
    site.habits.lens_depth_offset_mm = 0.67;
    make();
    iol_estimate_make(&eye, IOL_FORMULA_srk_t, &moved);
    CHECK_NEAR(moved.depth_gap_mm, 0.50, 1e-9, "the site's offset");
    CHECK_NEAR(moved.posterior.position_mm - e.prior.position_mm, 0.40, 1e-9, "0.30 against 0.15 mm: four fifths");
}

static void the_reference_formula(void **state) {
    (void)state;
    static const struct {
        double length;
        int formula, reason;
    } rows[] = {{21.99, IOL_formula_hoffer_q, IOL_reference_reason_length_below_22},
                {22.0, IOL_formula_holladay_1, IOL_reference_reason_length_22_to_26},
                {26.0, IOL_formula_holladay_1, IOL_reference_reason_length_22_to_26},
                {26.01, IOL_formula_srk_t, IOL_reference_reason_length_above_26}};
    for (size_t i = 0; i < 4; i++) {
        start();
        c.formula = 0;
        c.biometry.axial_length_mm = rows[i].length;
        make();
        assert_int_equal(eye.reference + 1, rows[i].formula);
        assert_int_equal(eye.reference_reason, rows[i].reason);
    }
    site.habits.formula = IOL_formula_t2;
    make();
    assert_int_equal(eye.reference + 1, IOL_formula_t2);
    assert_int_equal(eye.reference_reason, IOL_reference_reason_site);
    c.formula = IOL_formula_haigis; /* no Haigis constants */
    make();
    assert_int_equal(eye.reference + 1, IOL_formula_t2);
    assert_int_equal(eye.reference_reason, IOL_reference_reason_site);
    for (size_t i = 0; i < 4;
         i++) { /* asked for and not possible: the guidance by length, never the first of the table */
        start();
        c.formula = IOL_formula_haigis;
        c.biometry.axial_length_mm = rows[i].length;
        make();
        assert_int_equal(eye.reference + 1, rows[i].formula);
        assert_int_equal(eye.reference_reason, rows[i].reason);
    }
    c.first_surgery.lens.constants.surgeon_factor_mm = 1.45;
    c.first_surgery.lens.constants.pacd_mm = 5.2;
    c.first_surgery.lens.constants.a_constant = NAN; /* 26.01 mm and SRK/T cannot run */
    make();
    int asked = c.formula;
    c.formula = IOL_formula_srk_t; /* the first of the table, asked for */
    make();
    assert_true(notes_have(IOL_NOTE_formula_not_possible, iol_formulas[0].name));
    c.formula = asked;
    make();
    assert_int_equal(eye.reference + 1, IOL_formula_holladay_1);
    assert_int_equal(eye.reference_reason, IOL_reference_reason_first_possible);
    c.first_surgery.lens.constants.pacd_mm = NAN;
    make();
    assert_int_equal(eye.reference + 1, IOL_formula_holladay_1);
    assert_int_equal(eye.reference_reason, IOL_reference_reason_only_one_possible);
    c.first_surgery.lens.constants.haigis_a0_mm = 1.3;
    c.first_surgery.lens.constants.haigis_a1 = 0.4;
    c.first_surgery.lens.constants.haigis_a2 = 0.1;
    make();
    assert_int_equal(eye.reference + 1, IOL_formula_haigis);
    assert_int_equal(eye.reference_reason, IOL_reference_reason_case);
}

/* The old lens is not known at all: the formula for the new lens on biometry alone. */
static void biometry_alone(void **state) {
    (void)state;
    static iol_plan plan;
    start();
    c.first_surgery.lens.power_d = NAN;
    c.first_surgery.lens.constants.a_constant = NAN;
    iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan);
    assert_int_equal(plan.replacement.route, IOL_route_biometry_only);
    iol_formula_input in = {22.86, 337.5 / 44.25, NAN, {119.0, NAN, NAN, NAN, NAN, NAN}, NAN};
    iol_model model;
    double power;
    assert_int_equal(iol_formula_predict(IOL_FORMULA_srk_t, &in, &model), IOL_OK);
    assert_int_equal(iol_power_for(model, -0.25, 12.0, &power), IOL_OK);
    CHECK_NEAR(plan.replacement.power_exact_d, power, 1e-9, "SRK/T for the new lens itself");
}

/* 0.1 + 0.2 is a last bit more than 0.3 (IEEE 754 binary64): a limit is not passed by arithmetic. */
static void limits_do_not_hang_on_the_last_bit(void **state) {
    (void)state;
    double sum = 0.1 + 0.2;
    assert_true(sum > 0.3);
    assert_int_equal(iol_above(sum, 0.3), IOL_NO);
    assert_int_equal(iol_at_most(sum, 0.3), IOL_YES);
    assert_int_equal(iol_below(0.3, sum), IOL_NO);
    assert_int_equal(iol_at_least(0.3, sum), IOL_YES);
    assert_int_equal(iol_between(sum, 0.0, 0.3), IOL_YES);
    assert_int_equal(iol_above(0.300001, 0.3), IOL_YES);
    assert_int_equal(iol_at_least(0.299999, 0.3), IOL_NO);
    assert_int_equal(iol_above(NAN, 0.3), IOL_UNKNOWN);
    assert_int_equal(iol_at_most(NAN, 0.3), IOL_UNKNOWN);
}

/* A site's factor widens every spread by itself. */
static void factor_of_the_site(void **state) {
    (void)state;
    start();
    make();
    iol_eye plain = eye;
    site.spread.factor = 1.25;
    make();
    const char *means = "site file: factor on all spreads";
    CHECK_NEAR(eye.sd_length_mm, 1.25 * plain.sd_length_mm, 1e-12, means);
    CHECK_NEAR(eye.sd_k_d, 1.25 * plain.sd_k_d, 1e-12, means);
    CHECK_NEAR(eye.sd_position_mm, 1.25 * plain.sd_position_mm, 1e-12, means);
    CHECK_NEAR(eye.sd_label_d, 1.25 * plain.sd_label_d, 1e-12, means);
    CHECK_NEAR(eye.sd_depth_mm, 1.25 * plain.sd_depth_mm, 1e-12, means);
    CHECK_NEAR(eye.now.sd_d, 1.25 * plain.now.sd_d, 1e-12, means);
}

/* A planned wound within 15 degrees of the first one, over the top of the dial too, opens it again. */
static void wound_again(void **state) {
    (void)state;
    static const struct {
        double first_deg, planned_deg;
        bool again;
    } rows[] = {{100, 100, true}, {100, 115, true},  {100, 115.5, false}, {100, 85, true},
                {100, 84, false}, {355, 10, true},   {355, 10.5, false},  {5, 350, true},
                {5, 349, false},  {100, 280, false}, {100, 260, false}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        start();
        c.first_surgery.incision.present = true;
        c.first_surgery.incision.position_deg = rows[i].first_deg;
        c.first_surgery.incision.width_mm = 2.2;
        c.operation.present = true;
        c.operation.incision_position_deg = rows[i].planned_deg;
        make();
        iol_eye_wound(&eye, &notes);
        if (eye.wound.again != rows[i].again) fail_msg("row %zu", i);
        CHECK_NEAR(eye.wound.position_deg, rows[i].planned_deg, 1e-12, "as planned");
        c.first_surgery.incision.width_mm = NAN;
        make();
        iol_eye_wound(&eye, &notes);
        assert_false(eye.wound.again); /* no wound that could be opened is known */
    }
}

/* A place that is not said is the one that the lens's constants are for, the bag where they name none; listed either way. */
static void a_place_that_is_not_said(void **state) {
    (void)state;
    start();
    c.first_surgery.lens.position = 0;
    make();
    assert_int_equal(eye.old.position, IOL_position_bag);
    assert_true(notes_have(IOL_NOTE_assume_position, "bag"));
    c.first_surgery.lens.constants.for_position = IOL_position_sclera;
    make();
    assert_int_equal(eye.old.position, IOL_position_sclera);
    CHECK_NEAR(eye.old.shift_mm, 0.0, 0.0, "constants stated for the place need no shift");
    assert_true(notes_have(IOL_NOTE_assume_position, "sclera"));
}

/* A measured total power alone is the cornea of today; the one before the laser is then the middle of the bracket. */
static void a_cornea_known_by_its_total_power(void **state) {
    (void)state;
    start();
    c.cornea.earlier_refractive_surgery = IOL_corneal_surgery_myopic_laser;
    c.biometry.k_flat_d = c.biometry.k_steep_d = c.biometry_repeat.k_flat_d = c.biometry_repeat.k_steep_d = NAN;
    make();
    CHECK_NAN(eye.k_before_d);
    c.cornea.k_total_d = 39.0;
    make();
    CHECK_NEAR(eye.k_d, 39.0, 1e-12, "docs/method.md, A cornea altered by laser");
    CHECK_NEAR(eye.k_before_d, 43.9, 1e-12, "docs/method.md, A cornea altered by laser");
    CHECK_NEAR(eye.radius_before_mm, 337.5 / 43.9, 1e-12, "it places the lens");
    assert_true(notes_have(IOL_NOTE_assume_k_before, NULL));
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(wound_again),
                                       cmocka_unit_test(a_place_that_is_not_said),
                                       cmocka_unit_test(a_cornea_known_by_its_total_power),
                                       cmocka_unit_test(factor_of_the_site),
                                       cmocka_unit_test(limits_do_not_hang_on_the_last_bit),
                                       cmocka_unit_test(refraction_spreads),
                                       cmocka_unit_test(which_refraction),
        cmocka_unit_test(greatest_fall),
                                       cmocka_unit_test(a_reading_that_is_none_at_the_other_plane),
                                       cmocka_unit_test(which_readings_are_usable), cmocka_unit_test(the_strongest_of_the_readings),
                                       cmocka_unit_test(length_spreads),
                                       cmocka_unit_test(cornea_spreads),
                                       cmocka_unit_test(no_lens_has_no_power),
                                       cmocka_unit_test(biometry_is_pooled),
                                       cmocka_unit_test(room_of_the_old_lens),
                                       cmocka_unit_test(depth_of_the_first_chamber),
                                       cmocka_unit_test(how_the_lens_lay_where_no_reading_says),
                                       cmocka_unit_test(keratometer_index),
                                       cmocka_unit_test(label_tolerance),
                                       cmocka_unit_test(sclera_by_distance),
                                       cmocka_unit_test(shifts_count_once),
                                       cmocka_unit_test(one_kind_of_constant),
                                       cmocka_unit_test(constants_that_do_not_fit),
                                       cmocka_unit_test(bag_to_sulcus_chart),
                                       cmocka_unit_test(a_measured_depth),
                                       cmocka_unit_test(the_reference_formula),
                                       cmocka_unit_test(biometry_alone)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
