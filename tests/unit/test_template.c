/* Starters: printed, filled in, checked, planned, for each kind. */
#include "check.h"

#include "write/template.h"
#include "iolrevise.h"
#include "tables/say.h"

typedef struct {
    char bytes[64 * 1024];
    size_t used;
} buffer;

static bool take(void *context, const char *bytes, size_t length) {
    buffer *b = context;
    if (length >= sizeof b->bytes - b->used) return false;
    memcpy(b->bytes + b->used, bytes, length);
    b->used += length;
    b->bytes[b->used] = '\0';
    return true;
}

static buffer text;
static int count_of(const char *what) {
    int found = 0;
    for (const char *at = text.bytes; (at = strstr(at, what)) != NULL; at++) found++;
    return found;
}
static iol_case c;
static iol_site site;
static iol_plan plan;
static iol_faults faults;

static void print(const char *kind) {
    text.used = 0;
    assert_true(iol_template_write(kind, false, take, &text));
}

/* Put a value in the place of the first null of a key behind `part` ("" is the start). */
static void fill(const char *part, const char *key, const char *value) {
    char wanted[80];
    snprintf(wanted, sizeof wanted, "\"%s\": null", key);
    char *from = strstr(text.bytes, part);
    assert_non_null(from);
    char *at = strstr(from, wanted);
    if (!at) fail_msg("no %s behind %s", key, part);
    at += strlen(wanted) - 4;
    size_t length = strlen(value), behind = strlen(at + 4);
    assert_true(text.used + length < sizeof text.bytes);
    memmove(at + length, at + 4, behind + 1);
    memcpy(at, value, length);
    text.used += length - 4;
}

static const char *first_fault(void) {
    static char line[IOL_FAULT_LINE];
    if (faults.count) iol_fault_print(&faults.item[0], line, sizeof line);
    return faults.count ? line : "";
}

/* What lacks are the required keys that no kind can know, each shown at its own null. */
static void only_required_lacks(const iol_template_row *row) {
    static const char *const must[] = {"/case_ref", "/eye", "/reason"};
    int lacking = row->reason ? 2 : 3;
    assert_false(iol_case_read(text.bytes, text.used, &c, &faults));
    assert_int_equal(faults.count, lacking);
    for (int i = 0; i < lacking; i++) {
        assert_string_equal(faults.item[i].path, must[i]);
        assert_int_equal(faults.item[i].code, IOL_FAULT_missing);
        assert_string_equal(faults.item[i].found, "null");
        if (i) assert_true(faults.item[i].line > faults.item[i - 1].line);
    }
}

typedef struct {
    const char *object, *key, *value;
} filling;
static void fill_all(const filling *row, size_t count) {
    for (size_t i = 0; i < count; i++) fill(row[i].object, row[i].key, row[i].value);
}
#define FILL(rows) fill_all(rows, sizeof(rows) / sizeof *(rows))
static const filling required[] = {{"", "case_ref", "\"T-1\""}, {"", "eye", "\"left\""}};
static const filling reason[] = {{"", "reason", "\"photic-negative\""}};
static const filling eye[] = {{"", "target_se_d", "-0.25"},
                              {"\"refractions\"", "sphere_d", "2.25"},
                              {"\"refractions\"", "cylinder_d", "-0.75"},
                              {"\"refractions\"", "axis_deg", "80"},
                              {"\"refractions\"", "vertex_mm", "12"},
                              {"\"biometry\"", "axial_length_mm", "22.86"},
                              {"\"biometry\"", "k_flat_d", "43.75"},
                              {"\"biometry\"", "k_steep_d", "44.75"},
                              {"\"first_surgery\"", "power_d", "20.0"},
                              {"\"first_surgery\"", "a_constant", "118.4"}};
static const filling shelf[] = {{"", "site_format", "1"},       {"", "id", "\"a\""},
                                {"", "positions", "[\"bag\"]"}, {"", "purpose", "\"replacement\""},
                                {"", "a_constant", "119.0"},    {"", "power_first_d", "6"},
                                {"", "power_last_d", "30"},     {"", "power_step_d", "0.5"}};

static void each_kind_can_be_planned(void **state) {
    (void)state;
    int kinds = 0;
    for (const iol_template_row *row = iol_templates; row->kind; row++, kinds++) {
        print(row->kind);
        only_required_lacks(row);
        FILL(required);
        if (!row->reason) FILL(reason);
        if (!iol_case_read(text.bytes, text.used, &c, &faults)) fail_msg("%s:%s", row->kind, first_fault());
        assert_int_equal(c.refractions_count, 0);
        assert_false(c.second_lens.present); /* its place is asked, not filled in */
        assert_int_equal(c.two_lenses_now, strcmp(row->kind, "two-lenses") == 0 ? IOL_YES : IOL_UNKNOWN);
        assert_int_equal(c.aphakic_now, strcmp(row->kind, "no-lens") == 0 ? IOL_YES : IOL_UNKNOWN);
        assert_false(c.biometry.present || c.first_surgery.present || c.outcome.present || c.zonule.present);
        FILL(eye);
        if (!iol_case_read(text.bytes, text.used, &c, &faults)) fail_msg("%s:%s", row->kind, first_fault());
        CHECK_NEAR(c.first_surgery.lens.constants.a_constant, 118.4, 0, "as filled in");
        CHECK_NEAR(c.refractions[0].sphere_d, 2.25, 0, "as filled in");
        iol_site_generic(&site);
        iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan);
        assert_true(plan.present && (plan.replacement.present || plan.secondary.present));
        assert_string_equal(plan.case_ref, "T-1");
    }
    assert_int_equal(kinds, 10);
}

/* About 25 values, each of them one of the long form; filled in it is planned as well. */
static void the_short_form_holds_what_decides_most(void **state) {
    (void)state;
    for (const iol_template_row *row = iol_templates; row->kind; row++) {
        int values = 0;
        text.used = 0;
        assert_true(iol_template_write(row->kind, true, take, &text));
        only_required_lacks(row);
        for (const char *at = text.bytes; (at = strstr(at, ": null")) != NULL; at++) values++;
        assert_in_range(values, 22, 32);
        FILL(required);
        if (!row->reason) FILL(reason);
        fill("", "none", "true");
        FILL(eye);
        if (!iol_case_read(text.bytes, text.used, &c, &faults)) fail_msg("%s:%s", row->kind, first_fault());
        iol_site_generic(&site);
        iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan);
        assert_true(plan.present);
    }
}

static void the_site_can_be_used(void **state) {
    (void)state;
    print("site");
    assert_false(iol_site_read(text.bytes, text.used, &site, &faults));
    assert_int_equal(faults.count, 7);
    FILL(shelf);
    if (!iol_site_read(text.bytes, text.used, &site, &faults)) fail_msg("site:%s", first_fault());
    assert_int_equal(site.lenses_count, 1);
    assert_int_equal(site.habits.induced_cylinder_count, 0);
}

/* Every key that a row names is one; every key of the case stands in some kind; the required ones in all. */
static void rows_name_keys(void **state) {
    (void)state;
    bool somewhere[128] = {false};
    for (const iol_template_row *row = iol_templates; row->kind; row++) {
        bool here[128] = {false};
        for (const char *at = row->keys; *at;) {
            size_t length = strcspn(at, " ");
            const iol_field *field = iol_object_find(iol_object_case, at, length);
            if (!field) fail_msg("%s: no key %.*s", row->kind, (int)length, at);
            here[field - iol_object_case->field] = somewhere[field - iol_object_case->field] = true;
            at += length + strspn(at + length, " ");
        }
        for (int i = 0; i < iol_object_case->count; i++)
            if (iol_field_required(iol_object_case, &iol_object_case->field[i])) assert_true(here[i]);
    }
    for (int i = 0; i < iol_object_case->count; i++)
        if (!somewhere[i]) fail_msg("in no starter: %s", iol_object_case->field[i].key);
}

/* A remark beside every key, made of its meaning, unit, limits and words. */
static void remarks_say_what_to_type(void **state) {
    (void)state;
    static const char *const wanted[] = {
        "\"//axial_length_mm\": \"axial length: 14 to 40 mm\",\n    \"axial_length_mm\": null",
        "\"//eye\": \"REQUIRED. which eye: right or left\",\n  \"eye\": null",
        "\"//pain\": \"pain: true or false\"",
        "\"//done_on\": \"day of the first operation: a day as 2026-11-25\"",
    };
    print("power-error");
    for (size_t i = 0; i < sizeof wanted / sizeof *wanted; i++)
        if (!strstr(text.bytes, wanted[i])) fail_msg("not there: %s", wanted[i]);
    assert_null(strstr(text.bytes, "\"outcome\""));
    print("past-case");
    assert_non_null(strstr(text.bytes, "\"outcome\""));
    assert_false(iol_template_write("power_error", false, take, &text));
    assert_false(iol_template_write("", false, take, &text));
}

static bool refuse(void *context, const char *bytes, size_t length) {
    (void)context;
    (void)bytes;
    (void)length;
    return false;
}

static void a_full_disk_is_told(void **state) {
    (void)state;
    assert_false(iol_template_write("site", false, refuse, NULL));
}

/* The heading of a sheet: each key once, of a list three places. */
static void heading_of_a_sheet(void **state) {
    (void)state;
    text.used = 0;
    assert_true(iol_template_heading("power-error", false, take, &text));
    for (int place = 1; place <= 4; place++) {
        char key[40];
        snprintf(key, sizeof key, ",refractions.%d.sphere_d,", place);
        assert_int_equal(count_of(key), place <= 3);
    }
    assert_int_equal(count_of(",biometry.axial_length_mm,"), 1);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(heading_of_a_sheet),
        cmocka_unit_test(each_kind_can_be_planned),
        cmocka_unit_test(the_short_form_holds_what_decides_most),
        cmocka_unit_test(the_site_can_be_used),
        cmocka_unit_test(rows_name_keys),
        cmocka_unit_test(remarks_say_what_to_type),
        cmocka_unit_test(a_full_disk_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
