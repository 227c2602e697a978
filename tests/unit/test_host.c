/* The call for other languages: what it gives is what the structs give. */
#include <string.h>

#include "case_text.h"
#include "check.h"
#include "iolrevise.h"

enum { ROOM = 1 << 20 };
static char got[ROOM], wanted[ROOM], text[1 << 16];
static size_t used;
static iol_case c;
static iol_site site;
static iol_plan plan;

static bool keep(void *context, const char *bytes, size_t length) {
    (void)context;
    memcpy(wanted + used, bytes, length);
    used += length;
    wanted[used] = '\0';
    return true;
}

static void the_same_plan(void **state) {
    (void)state;
    int32_t day;
    snprintf(text, sizeof text, WORKED_CASE, "srk-t");
    must_read_case(text, &c);
    iol_site_generic(&site);
    assert_true(iol_date_read("2026-11-25", &day));
    iol_plan_make(&c, &site, day, &plan);
    used = 0;
    iol_plan_write(&plan, keep, NULL);
    int64_t length = iol_plan_json(text, NULL, "2026-11-25", got, sizeof got);
    assert_int_equal(length, used);
    assert_string_equal(got, wanted);
}

/* Any room: all of it or none of it, and never a byte beyond. */
static void every_room(void **state) {
    (void)state;
    snprintf(text, sizeof text, WORKED_CASE, "srk-t");
    int64_t length = iol_plan_json(text, NULL, NULL, NULL, 0);
    assert_true(length > 1000);
    const int64_t sizes[] = {1, 2, length - 1, length, length + 1, length + 2};
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
        memset(got, 'x', sizeof got);
        assert_int_equal(iol_plan_json(text, NULL, NULL, got, (size_t)sizes[i]), length);
        assert_int_equal(strlen(got), sizes[i] > length ? length : 0);
        for (int64_t k = sizes[i]; k < sizes[i] + 64; k++) assert_int_equal(got[k], 'x');
    }
}

static void refusals(void **state) {
    (void)state;
    static const struct {
        const char *text, *site, *as_of, *says;
    } rows[] = {
        {"", NULL, NULL, "{\"faults\":[{\"file\":\"case\",\"line\":1,\"code\":\"syntax\""},
        {"{\"case_format\":1}", NULL, NULL, "\"code\":\"missing\",\"path\":\"/case_ref\""},
        {"{\"case_format\":1,\"name\":\"x\"}", NULL, NULL, "\"code\":\"identity-key\""},
        {"{\"case_format\":1,\"case_ref\":\"a\",\"age_years\":900}", NULL, NULL, "\"wanted\":\"0 to 120\",\"unit\":\"years\"}"},
        {NULL, "{}", NULL, "{\"faults\":[{\"file\":\"site\""},
        {NULL, NULL, "2026-02-30", "{\"faults\":[{\"file\":\"as_of\",\"line\":0,\"code\":\"bad-date\""},
    };
    snprintf(text, sizeof text, WORKED_CASE, "srk-t");
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        int64_t length =
            iol_plan_json(rows[i].text ? rows[i].text : text, rows[i].site, rows[i].as_of, got, sizeof got);
        assert_true(length < 0);
        assert_int_equal(strlen(got), -length);
        if (!strstr(got, rows[i].says)) fail_msg("%s, wanted %s", got, rows[i].says);
    }
}

static void headers(void **state) {
    (void)state;
    assert_true(iol_headers_match(sizeof(iol_case), sizeof(iol_site), sizeof(iol_plan), sizeof(iol_faults)));
    assert_false(iol_headers_match(sizeof(iol_case) + 8, sizeof(iol_site), sizeof(iol_plan), sizeof(iol_faults)));
    assert_false(iol_headers_match(sizeof(iol_case), sizeof(iol_site) + 8, sizeof(iol_plan), sizeof(iol_faults)));
    assert_false(iol_headers_match(sizeof(iol_case), sizeof(iol_site), sizeof(iol_plan) - 8, sizeof(iol_faults)));
    assert_false(iol_headers_match(sizeof(iol_case), sizeof(iol_site), sizeof(iol_plan), 0));
    assert_string_equal(iol_version(), IOLREVISE_VERSION);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(the_same_plan), cmocka_unit_test(every_room),
                                       cmocka_unit_test(refusals), cmocka_unit_test(headers)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
