/* Both eyes together: lenses and biometries that changed places are found from refractions that the exchange itself makes; two
 * eyes that missed alike share a cause; an ordinary pair is left alone. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "check.h"
#include "example_case.h"
#include "iolrevise.h"
#include "kept.h"
#include "report/report.h"
#include "tables/note_codes.h"

static iol_case right, left;
static iol_plan plan_right, plan_left;
static iol_ask_room room;
static iol_site site;

/* The invented eye of the worked example on both sides; the left one longer, with a weaker lens. */
static void two_eyes(void) {
    char json[4096];
    snprintf(json, sizeof json, WORKED_CASE, "srk-t");
    must_read_case(json, &right);
    must_read_case(json, &left);
    must_read_site(WORKED_SITE, &site);
    left.eye = IOL_side_left;
    left.biometry.axial_length_mm = 24.2;
    right.first_surgery.lens.power_d = 22.5;
    left.first_surgery.lens.power_d = 19.0;
    snprintf(right.pair_ref, sizeof right.pair_ref, "P-1");
    snprintf(left.pair_ref, sizeof left.pair_ref, "P-1");
}

/* What the formula expects of the eye as its case stands. */
static double predicted(const iol_case *c) {
    iol_plan_make(c, &site, IOL_UNKNOWN_DATE, &plan_right);
    return plan_right.surprise.current_se_d - plan_right.surprise.eye_part_d;
}

static void reads(iol_case *c, double se_d) {
    c->refractions[0].sphere_d = floor(se_d * 4.0 + 0.5) / 4.0; /* as refracted, in quarters */
    c->refractions[0].cylinder_d = 0.0;
}

static bool pair(void) {
    iol_plan_make(&right, &site, IOL_UNKNOWN_DATE, &plan_right);
    iol_plan_make(&left, &site, IOL_UNKNOWN_DATE, &plan_left);
    return iol_plan_pair(&right, &left, &site, IOL_UNKNOWN_DATE, &room, &plan_right, &plan_left);
}

static bool says(int place, int code) {
    return has_note(&plan_right, place, code) >= 0 && has_note(&plan_left, place, code) >= 0;
}

static void ordinary(void) {
    two_eyes();
    reads(&right, predicted(&right));
    reads(&left, predicted(&left));
}

static void an_ordinary_pair_is_left_alone(void **state) {
    (void)state;
    ordinary();
    assert_true(pair());
    assert_int_equal(plan_right.pair.swap_suspected, IOL_NO);
    assert_false(says(IOL_AT_both_eyes_reasons, IOL_NOTE_pair_shared));
    assert_false(says(IOL_AT_plan_cautions, IOL_NOTE_pair_swap_lens));
    /* how far the eyes lie apart is told where it shows in the digits that are told, and not else */
    bool apart = fabs(plan_right.surprise.current_se_d - plan_left.surprise.current_se_d) >= 0.005;
    assert_int_equal(says(IOL_AT_both_eyes_reasons, IOL_NOTE_pair_talk), apart);
    left = right;
    left.eye = IOL_side_left;
    assert_true(pair());
    assert_false(says(IOL_AT_both_eyes_reasons, IOL_NOTE_pair_talk));
    ordinary();
    assert_true(pair());
    CHECK_NEAR(plan_right.pair.difference_d, plan_right.surprise.current_se_d - plan_left.surprise.current_se_d, 1e-12,
               "right less left");
    assert_true(plan_right.left_out_count > 0); /* other parts are left out, the pair is not */
    for (int i = 0; i < plan_right.left_out_count; i++) assert_string_not_equal(plan_right.left_out[i].part, "pair");
    assert_memory_equal(&plan_right.pair, &plan_left.pair, sizeof plan_right.pair);
}

static void lenses_that_changed_places_are_found(void **state) {
    (void)state;
    two_eyes();
    iol_case r = right, l = left;
    r.first_surgery.lens.power_d = left.first_surgery.lens.power_d;
    l.first_surgery.lens.power_d = right.first_surgery.lens.power_d;
    reads(&right, predicted(&r));
    reads(&left, predicted(&l));
    assert_true(pair());
    assert_true(plan_right.surprise.miss_d * plan_left.surprise.miss_d < 0.0);
    assert_int_equal(plan_right.pair.swap_suspected, IOL_YES);
    assert_true(says(IOL_AT_plan_cautions, IOL_NOTE_pair_swap_lens));
    assert_true(iol_plan_stops(&plan_right) && iol_plan_stops(&plan_left));
}

static void biometries_that_changed_places_are_found(void **state) {
    (void)state;
    two_eyes();
    iol_case r = right, l = left;
    r.biometry = left.biometry;
    l.biometry = right.biometry;
    reads(&right, predicted(&r));
    reads(&left, predicted(&l));
    assert_true(pair());
    assert_int_equal(plan_right.pair.swap_suspected, IOL_YES);
    assert_true(says(IOL_AT_plan_cautions, IOL_NOTE_pair_swap_biometry));
}

static void eyes_that_missed_alike_share_a_cause(void **state) {
    (void)state;
    ordinary();
    reads(&right, right.first_surgery.intended_se_d + 1.25);
    reads(&left, left.first_surgery.intended_se_d + 1.50);
    assert_true(pair());
    assert_true(says(IOL_AT_both_eyes_reasons, IOL_NOTE_pair_shared));
    assert_int_equal(plan_right.pair.swap_suspected, IOL_NO);
    reads(&left, left.first_surgery.intended_se_d + 2.25);
    right.assessed_on = left.assessed_on += 200;
    right.refractions[0].measured_on = left.refractions[0].measured_on += 200;
    assert_true(pair());
    assert_false(says(IOL_AT_both_eyes_reasons, IOL_NOTE_pair_shared));
    /* the right eye lies nearer but is a matter of days; where neither is, the left one lies further off */
    bool right_soon = plan_right.decision.urgency <= IOL_urgency_days;
    assert_int_equal(plan_right.pair.first_eye, right_soon ? IOL_side_right : IOL_side_left);
    const iol_plan *first = right_soon ? &plan_right : &plan_left;
    CHECK_NEAR(plan_right.pair.second_eye_part_d, 0.5 * first->surprise.eye_part_d, 1e-12,
               "half of the first eye's own miss: Covert 2010, figure from memory");
    assert_true(says(IOL_AT_both_eyes_reasons, IOL_NOTE_pair_half)); /* and told */
}

/* Where neither is the more urgent, the eye that lies further from its target; from half a dioptre apart on. */
static void the_further_eye_comes_first(void **state) {
    (void)state;
    static const struct {
        double right_d, left_d;
        int first;
        iol_note_code why;
    } rows[] = {{1.0, 2.0, IOL_side_left, IOL_NOTE_pair_first_miss},
                {2.0, 1.0, IOL_side_right, IOL_NOTE_pair_first_miss},
                {1.0, 1.5, 0, IOL_NOTE_pair_first_either},
                {1.0, 1.51, IOL_side_left, IOL_NOTE_pair_first_miss}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        ordinary();
        iol_plan_make(&right, &site, IOL_UNKNOWN_DATE, &plan_right);
        iol_plan_make(&left, &site, IOL_UNKNOWN_DATE, &plan_left);
        plan_left.decision.urgency = plan_right.decision.urgency;
        plan_left.replacement.target_se_d = -2.0; /* a miss is counted from the target of its own eye */
        plan_right.surprise.current_se_d = plan_right.replacement.target_se_d + rows[i].right_d;
        plan_left.surprise.current_se_d = plan_left.replacement.target_se_d + rows[i].left_d;
        assert_true(iol_plan_pair(&right, &left, &site, IOL_UNKNOWN_DATE, &room, &plan_right, &plan_left));
        assert_int_equal(plan_right.pair.first_eye, rows[i].first);
        assert_true(says(IOL_AT_both_eyes_reasons, (int)rows[i].why));
    }
}

static void an_alarm_comes_first(void **state) {
    (void)state;
    ordinary();
    reads(&left, 4.0);
    right.red_flags.pain = IOL_YES;
    right.red_flags.present = true;
    assert_true(pair());
    assert_int_equal(plan_right.pair.first_eye, IOL_side_right);
    ordinary();
    reads(&right, 4.0);
    left.red_flags.pain = IOL_YES;
    left.red_flags.present = true;
    assert_true(pair());
    assert_int_equal(plan_right.pair.first_eye, IOL_side_left);
}

static void two_persons_are_refused(void **state) {
    (void)state;
    ordinary();
    left.pair_ref[0] = 'Q';
    assert_false(pair());
    assert_false(plan_right.pair.present || plan_left.pair.present);
    ordinary();
    right.pair_ref[0] = left.pair_ref[0] = '\0';
    assert_false(pair());
    ordinary();
    left.eye = IOL_side_right;
    assert_false(pair());
}

/* The name that stands between this mark and the next quotation mark, from at on; NULL: no more. */
static const char *next_name(const char *at, const char *mark, char *name, size_t size) {
    at = strstr(at, mark);
    if (!at) return NULL;
    at += strlen(mark);
    const size_t length = strcspn(at, "\"");
    assert_true(length > 0 && length < size);
    memcpy(name, at, length);
    name[length] = '\0';
    return at + length;
}

static int times(const char *text, const char *part) {
    int count = 0;
    for (const char *at = text; (at = strstr(at, part)) != NULL; at++) count++;
    return count;
}

/* One document: the page of the pair, then every sheet of each eye under a head of its own; no name stands twice. */
static void the_pair_is_one_document(void **state) {
    (void)state;
    static iol_page page;
    char name[80], mark[100];
    static const char *const sections[] = {"id=\"pair\"",          "id=\"right-decide\"", "id=\"right-tables\"",
                                           "id=\"right-patient\"", "id=\"left-decide\"",  "id=\"left-tables\"",
                                           "id=\"left-patient\""};
    ordinary();
    assert_true(pair());
    kept.used = 0;
    assert_true(iol_sheets_pair_html(&plan_right, &plan_left, NULL, &page, keep, NULL));
    for (size_t i = 0; i < sizeof sections / sizeof *sections; i++)
        if (times(kept.bytes, sections[i]) != 1) fail_msg("%s", sections[i]);
    assert_true(strstr(kept.bytes, sections[0]) < strstr(kept.bytes, sections[1]));
    assert_true(strstr(kept.bytes, sections[3]) < strstr(kept.bytes, sections[4]));
    assert_non_null(strstr(kept.bytes, "@page right { margin: 13mm 12mm 10mm; @top-left { content: \"RIGHT eye\""));
    assert_non_null(strstr(kept.bytes, "@page left { margin: 13mm 12mm 10mm; @top-left { content: \"LEFT eye\""));
    assert_int_equal(times(kept.bytes, "@bottom-left { content: \"plan of "), 3);
    for (const char *at = kept.bytes; (at = next_name(at, " id=\"", name, sizeof name)) != NULL;) {
        snprintf(mark, sizeof mark, " id=\"%s\"", name);
        if (times(kept.bytes, mark) != 1) fail_msg("%s stands twice", mark);
    }
    for (const char *at = kept.bytes; (at = next_name(at, "href=\"#", name, sizeof name)) != NULL;) {
        snprintf(mark, sizeof mark, "id=\"%s\"", name);
        if (!strstr(kept.bytes, mark)) fail_msg("a link to %s", name);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(an_ordinary_pair_is_left_alone),
                                       cmocka_unit_test(lenses_that_changed_places_are_found),
                                       cmocka_unit_test(biometries_that_changed_places_are_found),
                                       cmocka_unit_test(eyes_that_missed_alike_share_a_cause),
                                       cmocka_unit_test(the_further_eye_comes_first),
                                       cmocka_unit_test(an_alarm_comes_first),
                                       cmocka_unit_test(two_persons_are_refused),
                                       cmocka_unit_test(the_pair_is_one_document)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
