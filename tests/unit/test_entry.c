/* One value of a case by its path: found, set as strictly as a file's, cleared; the case is then the same as one read from a file
 * with that value. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <string.h>

#include "case/entry.h"
#include "case_text.h"
#include "check.h"

#define HEAD "{\"case_format\":1,\"case_ref\":\"E-1\",\"eye\":\"left\",\"reason\":\"power-error\""

static iol_case c, read;
static iol_entry entry;
static iol_refusal refusal;

static bool set(const char *path, const char *value) {
    return iol_entry_find(&c, path, &entry, &refusal) && iol_entry_set(&entry, value, &refusal);
}

static void same_as(const char *json) {
    must_read_case(json, &read);
    assert_memory_equal(&c, &read, sizeof c);
}

static void each_kind_is_set_as_a_file_sets_it(void **state) {
    (void)state;
    must_read_case(HEAD "}", &c);
    assert_true(set("biometry.axial_length_mm", "+23.45"));
    assert_true(set("/biometry/method", "optical"));
    assert_true(set("refractions.1.sphere_d", "-1.25"));
    assert_true(set("/refractions/1/measured_on", "2026-03-01"));
    assert_true(set("checks.topography_done", "yes"));
    assert_true(set("first_surgery.lens.lens_id", "a-1"));
    same_as(HEAD ",\"biometry\":{\"axial_length_mm\":23.45,\"method\":\"optical\"},"
                 "\"refractions\":[{\"sphere_d\":-1.25},{\"measured_on\":\"2026-03-01\"}],"
                 "\"checks\":{\"topography_done\":true},\"first_surgery\":{\"lens\":{\"lens_id\":\"a-1\"}}}");
}

static void cleared_is_never_given(void **state) {
    (void)state;
    must_read_case(HEAD ",\"second_lens\":{\"power_d\":4},\"refractions\":[{\"sphere_d\":1},{\"sphere_d\":2}]}", &c);
    assert_true(iol_entry_find(&c, "second_lens.power_d", &entry, &refusal));
    assert_true(iol_entry_known(&entry));
    iol_entry_clear(&entry, &c);
    assert_false(iol_entry_known(&entry));
    assert_true(iol_entry_find(&c, "refractions.2.sphere_d", &entry, &refusal));
    iol_entry_clear(&entry, &c);
    same_as(HEAD ",\"refractions\":[{\"sphere_d\":1}]}");
}

static void what_a_file_may_not_hold_is_refused(void **state) {
    (void)state;
    static const char *const wrong[][2] = {
        {"biometry.axial_length_mm", "230"}, {"biometry.axial_length_mm", "23,4"}, {"biometry.axial_length_mm", ""},
        {"biometry.axial_length_mm", "nan"}, {"biometry.method", "sonar"},         {"checks.topography_done", "1"},
        {"assessed_on", "2026-02-30"},       {"case_ref", "two words"},            {"reasons_also", "power-error"}};
    must_read_case(HEAD "}", &c);
    must_read_case(HEAD "}", &read);
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
        assert_true(iol_entry_find(&c, wrong[i][0], &entry, &refusal));
        assert_false(iol_entry_set(&entry, wrong[i][1], &refusal));
        assert_true(refusal.wanted[0] != '\0');
    }
    assert_memory_equal(&c, &read, sizeof c);
}

/* A list is cleared as a whole, and nothing beside it. */
static void a_list_is_cleared(void **state) {
    (void)state;
    must_read_case(HEAD ",\"reasons_also\":[\"lens-tilt\"]}", &c);
    assert_int_equal(c.reasons_also_count, 1);
    assert_true(iol_entry_find(&c, "reasons_also", &entry, &refusal));
    iol_entry_clear(&entry, &c);
    assert_int_equal(c.reasons_also_count, 0);
    c.reasons_also[0] = 0;
    same_as(HEAD "}");
}

static void paths_that_lead_nowhere_are_refused(void **state) {
    (void)state;
    static const char *const wrong[] = {"",
                                        "/",
                                        "biometry",
                                        "biometry.axial_lenght_mm",
                                        "refractions.0.sphere_d",
                                        "refractions.2.sphere_d",
                                        "/refractions/1/sphere_d",
                                        "refractions.x.sphere_d",
                                        "refractions.1",
                                        "age_years.mm",
                                        "refractions.99999999999999999999.sphere_d"};
    must_read_case(HEAD "}", &c);
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
        assert_false(iol_entry_find(&c, wrong[i], &entry, &refusal));
        assert_true(refusal.wanted[0] != '\0');
    }
    assert_false(iol_entry_find(&c, "biometry.axial_lenght_mm", &entry, &refusal));
    assert_non_null(strstr(refusal.wanted, "axial_length_mm"));
    /* Three pairs of letters that changed places are three edits of a key of seven letters: near it. Four other letters are not. */
    assert_false(iol_entry_find(&c, "apitnet", &entry, &refusal));
    assert_non_null(strstr(refusal.wanted, "perhaps patient"));
    assert_false(iol_entry_find(&c, "qqqqent", &entry, &refusal));
    assert_null(strstr(refusal.wanted, "patient"));
}

static void values_are_printed_as_typed(void **state) {
    (void)state;
    char text[60];
    must_read_case(HEAD "}", &c);
    assert_true(iol_entry_find(&c, "age_years", &entry, &refusal));
    assert_string_equal(iol_entry_print(&entry, text, sizeof text), "null");
    assert_true(set("target_se_d", "-0.25"));
    assert_string_equal(iol_entry_print(&entry, text, sizeof text), "-0.25");
    assert_true(set("assessed_on", "2026-03-01"));
    assert_string_equal(iol_entry_print(&entry, text, sizeof text), "2026-03-01");
    assert_true(set("cornea.surface", "not-examined"));
    assert_false(iol_entry_known(&entry));
    assert_string_equal(iol_entry_print(&entry, text, sizeof text), "not-examined");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_kind_is_set_as_a_file_sets_it), cmocka_unit_test(cleared_is_never_given),
        cmocka_unit_test(what_a_file_may_not_hold_is_refused), cmocka_unit_test(paths_that_lead_nowhere_are_refused),
        cmocka_unit_test(values_are_printed_as_typed), cmocka_unit_test(a_list_is_cleared)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
