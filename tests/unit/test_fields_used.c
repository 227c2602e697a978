/* Fields of a case that a surgeon expects to be read, each below, at and above its limit and with the opposite case. Source:
 * common practice and judgement, as the rows say; length of a lens in the angle: white to white + 1 mm, common practice. */
#include "check.h"
#include "example_case.h"
#include "tables/note_codes.h"
#include "tables/rule_codes.h"

static iol_case c;
static iol_plan plan;

static bool says(int place, iol_note_code code) { return has_note(&plan, place, (int)code) >= 0; }
static void make(void) { iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan); }

static void macula_swells_easily(void **state) {
    (void)state;
    static const struct {
        iol_flag diabetes, earlier;
        bool said;
    } row[] = {
        {IOL_NO, IOL_NO, false}, {IOL_UNKNOWN, IOL_NO, false}, {IOL_YES, IOL_NO, true}, {IOL_UNKNOWN, IOL_YES, true}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        example_case("lens-opacity", &c);
        c.patient.diabetes = row[i].diabetes;
        c.retina.earlier_cystoid_oedema = row[i].earlier;
        make();
        assert_int_equal(says(IOL_AT_decision_reasons, IOL_NOTE_advise_oedema_prone), row[i].said);
        assert_int_equal(says(IOL_AT_act_text, IOL_NOTE_act_macula_prone), row[i].said);
    }
}

static void began_late(void **state) {
    (void)state;
    static const struct {
        double day;
        bool said;
    } row[] = {{89, false}, {90, false}, {91, true}, {NAN, false}, {0, false}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        example_case("hyperopic-surprise", &c);
        c.complaint.onset_days = row[i].day;
        make();
        assert_int_equal(says(IOL_AT_decision_reasons, IOL_NOTE_advise_onset_late), row[i].said);
    }
    example_case("lens-opacity", &c); /* a lens clouds late: nothing strange */
    c.complaint.onset_days = 900;
    make();
    assert_false(says(IOL_AT_decision_reasons, IOL_NOTE_advise_onset_late));
}

static void unaided_acuity(void **state) {
    (void)state;
    static const struct {
        double sphere, acuity;
        bool said;
    } row[] = {{1.49, 0.0, false}, {1.5, 0.0, true},   {1.5, 0.01, false}, {-1.5, -0.1, true}, {1.99, 0.1, false},
               {2.0, 0.1, true},   {-2.01, 0.1, true}, {2.5, 0.11, false}, {2.5, NAN, false},  {0.0, 0.0, false}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        example_case("hyperopic-surprise", &c);
        iol_refraction *newest = &c.refractions[c.refractions_count - 1];
        newest->sphere_d = row[i].sphere, newest->cylinder_d = 0.0;
        newest->uncorrected_acuity_logmar = row[i].acuity;
        make();
        assert_int_equal(says(IOL_AT_plan_cautions, IOL_NOTE_unaided_contradicts), row[i].said);
    }
}

/* Poor sight without glasses that weak glasses mend by three lines. */
static void unaided_unexplained(void **state) {
    (void)state;
    static const struct {
        double sphere, acuity;
        bool said;
    } row[] = {{0.5, 0.3, true}, {0.5, 0.29, false}, {0.51, 0.3, false}, {0.0, 0.6, true}, {0.0, NAN, false}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        example_case("hyperopic-surprise", &c);
        iol_refraction *newest = &c.refractions[c.refractions_count - 1];
        newest->sphere_d = row[i].sphere, newest->cylinder_d = 0.0, newest->corrected_acuity_logmar = 0.0;
        newest->uncorrected_acuity_logmar = row[i].acuity;
        make();
        assert_int_equal(says(IOL_AT_plan_cautions, IOL_NOTE_unaided_unexplained), row[i].said);
    }
    example_case("hyperopic-surprise", &c); /* a cylinder blurs as a sphere does: +1.50 -3.00 x 90, equivalent 0 */
    iol_refraction *newest = &c.refractions[c.refractions_count - 1];
    newest->sphere_d = 1.5, newest->cylinder_d = -3.0, newest->uncorrected_acuity_logmar = 0.0;
    make();
    assert_true(says(IOL_AT_plan_cautions, IOL_NOTE_unaided_contradicts));
    example_case("no-lens", &c); /* what such an eye sees unaided may have been asked with its strong glasses */
    c.refractions[c.refractions_count - 1].uncorrected_acuity_logmar = 0.0;
    make();
    assert_false(says(IOL_AT_plan_cautions, IOL_NOTE_unaided_contradicts));
}

/* A lens in the bag lies in the room of the crystalline lens: chamber 3.12 mm, thickness 4.52 mm, so from 2.82 to 7.94 mm with room
 * for error. */
static void where_the_old_lens_was(void **state) {
    (void)state;
    static const struct {
        double depth, thickness;
        bool behind, before;
    } row[] = {{5.05, 4.52, false, false}, {7.95, 4.52, true, false}, {7.93, 4.52, false, false},
               {7.95, NAN, false, false},  {5.05, 1.60, true, false}, {2.81, 4.52, false, true},
               {2.83, 4.52, false, false}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        example_case("hyperopic-surprise", &c);
        c.biometry_repeat.lens_depth_mm = row[i].depth, c.biometry.lens_thickness_mm = row[i].thickness;
        make();
        assert_int_equal(says(IOL_AT_plan_cautions, IOL_NOTE_depth_contradicts), row[i].behind);
        assert_int_equal(says(IOL_AT_plan_cautions, IOL_NOTE_depth_before), row[i].before);
    }
    c.first_surgery.lens.position = IOL_position_chamber; /* opposite: one that is said to lie in front */
    c.biometry_repeat.lens_depth_mm = 2.4;
    make();
    assert_false(says(IOL_AT_plan_cautions, IOL_NOTE_depth_before));
}

/* Hands, port, wound and loops keep away from the gap: 12 to 2 o'clock lies around 60 deg and reaches to 30 and 90 deg. */
static void away_from_the_gap(void **state) {
    (void)state;
    static const struct {
        double from, port, wound;
        bool at_port, at_wound;
    } row[] = {{12, 90, 180, true, false},
               {12, 91, 180, false, false},
               {12, 120, 30, false, true},
               {NAN, 90, 30, false, false}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        example_case("hyperopic-surprise", &c);
        c.zonule.missing_clock_hours = 2.0, c.zonule.missing_from_clock = row[i].from, c.zonule.missing_to_clock = 2.0;
        c.operation.side_port_position_deg = row[i].port, c.operation.incision_position_deg = row[i].wound;
        make();
        int loops = has_note(&plan, IOL_AT_removal_orientation_reasons, IOL_NOTE_gap_loops);
        assert_int_equal(says(IOL_AT_removal_orientation_reasons, IOL_NOTE_gap_hands), !isnan(row[i].from));
        assert_int_equal(says(IOL_AT_removal_orientation_reasons, IOL_NOTE_gap_port), row[i].at_port);
        assert_int_equal(says(IOL_AT_removal_orientation_reasons, IOL_NOTE_gap_wound), row[i].at_wound);
        if (loops >= 0) CHECK_NEAR(plan.notes.item[loops].value, 150.0, 1e-9, "90 deg across");
    }
}

static void lens_in_the_angle(void **state) {
    (void)state;
    static const double white[] = {11.5, 12.3, NAN};
    for (size_t i = 0; i < sizeof white / sizeof *white; i++) {
        example_case("hyperopic-surprise", &c);
        c.biometry.white_to_white_mm = white[i];
        make();
        double length = NAN;
        bool chamber = false;
        for (int k = 0; k < plan.fallbacks_count; k++) {
            if (plan.fallbacks[k].position != IOL_position_chamber) continue;
            chamber = true;
            for (int n = iol_note_find(&plan.notes, IOL_AT_fallback_needs, k, 0); n >= 0;
                 n = iol_note_find(&plan.notes, IOL_AT_fallback_needs, k, n + 1))
                if (plan.notes.item[n].code == IOL_NOTE_need_chamber_length) length = plan.notes.item[n].value;
        }
        assert_true(chamber);
        if (isnan(white[i]))
            CHECK_NAN(length);
        else
            CHECK_NEAR(length, white[i] + 1.0, 1e-12, "white to white + 1 mm, common practice");
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(macula_swells_easily),   cmocka_unit_test(began_late),
                                       cmocka_unit_test(unaided_acuity),         cmocka_unit_test(unaided_unexplained),
                                       cmocka_unit_test(where_the_old_lens_was), cmocka_unit_test(away_from_the_gap),
                                       cmocka_unit_test(lens_in_the_angle)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
