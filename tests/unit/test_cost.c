/* What hostile input may cost: work is counted, not seconds. */
#include "check.h"

#include <string.h>

#include "case/suggest.h"
#include "intake/columns.h"

/* The linker sends calls of the two searches here (Makefile). */
static int searches;
void __real_iol_suggest_key(const iol_object *root, const iol_object *here, const char *key, char *out, size_t size);
void __wrap_iol_suggest_key(const iol_object *root, const iol_object *here, const char *key, char *out, size_t size);
const char *__real_iol_suggest_word(const iol_word_set *set, const char *text);
const char *__wrap_iol_suggest_word(const iol_word_set *set, const char *text);
void __wrap_iol_suggest_key(const iol_object *root, const iol_object *here, const char *key, char *out, size_t size) {
    searches++;
    __real_iol_suggest_key(root, here, key, out, size);
}
const char *__wrap_iol_suggest_word(const iol_word_set *set, const char *text) {
    searches++;
    return __real_iol_suggest_word(set, text);
}

/* Thousands of unknown keys: what was meant is looked for as often as a fault is kept. */
static void unknown_keys(void **state) {
    (void)state;
    static char text[80000];
    static iol_case c;
    static iol_faults faults;
    size_t used = (size_t)snprintf(text, sizeof text, "{\"case_format\":1");
    for (int i = 0; i < 3500; i++)
        used += (size_t)snprintf(text + used, sizeof text - used, ",\"axial_lenght%d\":1", i);
    used += (size_t)snprintf(text + used, sizeof text - used, "}");
    searches = 0;
    assert_false(iol_case_read(text, used, &c, &faults));
    assert_int_equal(faults.count, IOL_FAULTS_KEPT);
    assert_true(faults.more >= 3450);
    assert_int_equal(searches, IOL_FAULTS_KEPT);
}

/* The same of a sheet: its heading, and its cells. */
static void unknown_headings(void **state) {
    (void)state;
    static char text[12000];
    static iol_columns columns;
    static iol_case blank, c;
    static iol_faults faults;
    size_t used = 0;
    for (int i = 0; i < 500; i++) used += (size_t)snprintf(text + used, sizeof text - used, "axial_lenght%d,", i);
    searches = 0;
    assert_false(iol_columns_read(text, used, &columns));
    assert_int_equal(columns.faults.count, IOL_FAULTS_KEPT);
    assert_int_equal(searches, IOL_FAULTS_KEPT);
    used = 0;
    for (int i = 1; i <= 16; i++)
        for (int k = 0; k < 4; k++)
            used += (size_t)snprintf(text + used, sizeof text - used, "refractions.%d.%s,", i,
                                     (const char *[]){"method", "with", "lens_then", "oil_then"}[k]);
    assert_true(iol_columns_read(text, used, &columns));
    for (used = 0; used < 128; used += 2) memcpy(text + used, "x,", 2);
    iol_case_reset(&blank);
    searches = 0;
    assert_false(iol_columns_case(&columns, text, used, &blank, &c, &faults));
    assert_int_equal(faults.count, IOL_FAULTS_KEPT);
    assert_true(searches <= IOL_FAULTS_KEPT);
}

static void unknown_words(void **state) {
    (void)state;
    static char text[80000];
    static iol_case c;
    static iol_faults faults;
    size_t used = (size_t)snprintf(text, sizeof text, "{\"case_format\":1");
    for (int i = 0; i < 200; i++) used += (size_t)snprintf(text + used, sizeof text - used, ",\"x%d\":1", i);
    used += (size_t)snprintf(text + used, sizeof text - used, ",\"eye\":\"lefft\",\"reason\":\"power\"}");
    searches = 0;
    assert_false(iol_case_read(text, used, &c, &faults));
    assert_int_equal(searches, IOL_FAULTS_KEPT);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(unknown_keys),
        cmocka_unit_test(unknown_headings),
        cmocka_unit_test(unknown_words),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
