/* What is said of the readings: acuity in any form, a scale that may be mistaken, readings that moved, a capsule opened since.
 * Sources: logMAR is -log10 of the decimal acuity, which is the fraction (definition); the limits are judgement. */
#include <math.h>

#include "check.h"

#include "case/acuity.h"
#include "case/reader.h"
#include "example_case.h"
#include "sound_case.h"
#include "tables/note_codes.h"

#define DEFINITION "definition of logMAR"

static iol_case c;
static iol_plan plan;

static int note_of(iol_note_code code) {
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    return has_note(&plan, IOL_AT_plan_cautions, (int)code);
}

static void forms(void **state) {
    (void)state;
    CHECK_NEAR(iol_acuity_of_decimal(1.0), 0.0, 1e-12, DEFINITION);
    CHECK_NEAR(iol_acuity_of_decimal(0.5), 0.30103, 5e-6, DEFINITION);
    CHECK_NEAR(iol_acuity_of_fraction("6/6"), 0.0, 1e-12, DEFINITION);
    CHECK_NEAR(iol_acuity_of_fraction("6/9"), 0.17609, 5e-6, DEFINITION);
    CHECK_NEAR(iol_acuity_of_fraction("20/30"), 0.17609, 5e-6, DEFINITION);
    CHECK_NEAR(iol_acuity_of_fraction("6/7.5"), 0.09691, 5e-6, DEFINITION);
    CHECK_NEAR(iol_acuity_of_fraction("20/400"), 1.30103, 5e-6, DEFINITION);
    static const char *const none[] = {"", "6", "6/", "/9", "6/9 ", "6-9", "0/9", "6/9/3", "1e3/4"};
    for (size_t i = 0; i < sizeof none / sizeof *none; i++) CHECK_NAN(iol_acuity_of_fraction(none[i]));
    CHECK_NAN(iol_acuity_of_decimal(0.0));
    CHECK_NAN(iol_acuity_of_decimal(NAN));
}

/* The form makes no difference to the plan. */
static void forms_are_one(void **state) {
    (void)state;
    static iol_plan other;
    sound_case(&c);
    c.refractions[0].corrected_acuity_logmar = 0.4;
    note_of(IOL_NOTE_acuity_scale);
    double sd = plan.replacement.choices[0].sd_d;
    other = plan;
    c.refractions[0].corrected_acuity_logmar = NAN;
    c.refractions[0].corrected_acuity_decimal = 0.4; /* 0.398 logMAR: poor too */
    note_of(IOL_NOTE_acuity_scale);
    CHECK_NEAR(plan.replacement.choices[0].sd_d, sd, 1e-12, "one spread for poor acuity");
    assert_int_equal(plan.decision.state, other.decision.state);
    c.refractions[0].corrected_acuity_decimal = 1.0;
    note_of(IOL_NOTE_acuity_scale);
    assert_true(plan.replacement.choices[0].sd_d < sd);
}

static int faults_of(double logmar, double decimal, const char *fraction, iol_fault_code *code) {
    static iol_faults faults;
    iol_faults_start(&faults);
    sound_case(&c);
    iol_refraction *r = &c.refractions[0];
    r->corrected_acuity_logmar = logmar;
    r->corrected_acuity_decimal = decimal;
    strcpy(r->corrected_acuity_snellen, fraction);
    iol_case_check(&c, &faults);
    *code = faults.count ? faults.item[0].code : 0;
    return faults.count;
}

static void forms_that_disagree(void **state) {
    (void)state;
    iol_fault_code code;
    assert_int_equal(faults_of(0.18, 0.67, "6/9", &code), 0);
    assert_int_equal(faults_of(0.18, NAN, "", &code), 0);
    assert_int_equal(faults_of(0.0, 0.871, "", &code), 0); /* 0.06 */
    assert_int_equal(faults_of(0.0, 0.869, "", &code), 1); /* 0.061 */
    assert_int_equal(code, IOL_FAULT_contradiction);
    assert_int_equal(faults_of(1.0, NAN, "6/6", &code), 1);
    assert_int_equal(faults_of(NAN, 0.5, "6/6", &code), 1);
    assert_int_equal(faults_of(NAN, NAN, "six", &code), 1);
    assert_int_equal(code, IOL_FAULT_bad_pattern);
}

/* A decimal typed into logMAR: asked only where nothing else explains so weak a reading. */
static void scale(void **state) {
    (void)state;
    static const double acuity[] = {0.69, 0.70, 1.0};
    for (int i = 0; i < 3; i++) {
        sound_case(&c);
        c.retina.macula = IOL_macula_normal;
        c.first_surgery.lens.opacity = IOL_opacity_none;
        c.refractions[0].corrected_acuity_logmar = acuity[i];
        assert_true((note_of(IOL_NOTE_acuity_scale) >= 0) == (i > 0));
    }
    c.retina.macula = IOL_macula_degeneration; /* the macula explains it */
    assert_true(note_of(IOL_NOTE_acuity_scale) < 0);
    c.retina.macula = IOL_macula_normal;
    c.first_surgery.lens.opacity = IOL_opacity_marked;
    assert_true(note_of(IOL_NOTE_acuity_scale) < 0);
    c.first_surgery.lens.opacity = IOL_opacity_none;
    c.refractions[0].corrected_acuity_logmar = NAN;
    c.refractions[0].corrected_acuity_decimal = 0.1; /* the scale was said */
    assert_true(note_of(IOL_NOTE_acuity_scale) < 0);
}

/* Two readings, the first `earlier` D away. */
static void two_readings(double earlier) {
    sound_case(&c);
    c.refractions[1] = c.refractions[0];
    c.refractions_count = 2;
    c.refractions[0].sphere_d += earlier;
    c.refractions[0].measured_on -= 10;
}

static void movement(void **state) {
    (void)state;
    static const double earlier[] = {0.0, 0.50, 0.51, -0.51};
    for (int i = 0; i < 4; i++) {
        two_readings(earlier[i]);
        int at = note_of(IOL_NOTE_readings_moved);
        assert_true((at >= 0) == (i >= 2));
        if (at < 0) continue;
        CHECK_NEAR(plan.notes.item[at].value, 1.875 + earlier[i], 1e-9, "as written: +2.25 -0.75");
        CHECK_NEAR(plan.notes.item[at].limit, 1.875, 1e-9, "as written: +2.25 -0.75");
        assert_string_equal(plan.notes.item[at].word, "day 37 and day 47");
    }
    for (int i = 0; i < 3; i++) { /* of one or of both no day is known */
        two_readings(1.0);
        if (i != 1) c.refractions[0].measured_on = IOL_UNKNOWN_DATE;
        if (i != 0) c.refractions[1].measured_on = IOL_UNKNOWN_DATE;
        assert_string_equal(plan.notes.item[note_of(IOL_NOTE_readings_moved)].word, "one after the other");
    }
    two_readings(1.0);
    c.refractions[0].lens_then = IOL_lens_then_displaced; /* another eye then: nothing moved since */
    assert_true(note_of(IOL_NOTE_readings_moved) < 0);
}

static void opened_since(void **state) {
    (void)state;
    for (int day = -1; day <= 1; day++) {
        sound_case(&c);
        c.capsule.posterior = IOL_posterior_capsule_opened_by_laser;
        c.capsule.opened_on = c.refractions[0].measured_on + day;
        assert_true((note_of(IOL_NOTE_capsule_opened_since) >= 0) == (day > 0));
        int standing = plan.replacement.standing; /* as without a day of opening */
        c.capsule.opened_on = IOL_UNKNOWN_DATE;
        note_of(IOL_NOTE_capsule_opened_since);
        assert_int_equal(plan.replacement.standing, standing);
    }
    c.capsule.posterior = IOL_posterior_capsule_torn;
    assert_true(note_of(IOL_NOTE_capsule_opened_since) < 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(forms), cmocka_unit_test(forms_are_one), cmocka_unit_test(forms_that_disagree),
        cmocka_unit_test(scale), cmocka_unit_test(movement),      cmocka_unit_test(opened_since)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
