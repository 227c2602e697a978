/* Every value of a schema says what it is (JSON Schema, draft 2020-12: without "type", "enum" or "$ref" anything fits). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>

#include <cjson/cJSON.h>
#include <cmocka.h>

#include "check.h"
#include "kept.h"
#include "write/schema.h"

static int values, any;

static bool says_what(const cJSON *value) {
    static const char *const key[] = {"type", "$ref", "enum", "const", "anyOf", "oneOf"};
    for (size_t i = 0; i < sizeof key / sizeof *key; i++)
        if (cJSON_GetObjectItemCaseSensitive(value, key[i])) return true;
    return false;
}

static void look(const cJSON *at, bool named, const char *where) {
    const cJSON *inside;
    if (named && cJSON_IsObject(at)) {
        const bool assumed = strcmp(where, "value") == 0 && !at->child; /* what was assumed is a number or a word */
        if (!says_what(at) && !assumed) fail_msg("%s: anything fits", where);
        values++, any += assumed;
    }
    const bool all = at->string && !named && (strcmp(at->string, "properties") == 0 || strcmp(at->string, "$defs") == 0);
    cJSON_ArrayForEach(inside, at) {
        const bool items = inside->string && strcmp(inside->string, "items") == 0 && !all;
        if (cJSON_IsObject(inside) || cJSON_IsArray(inside)) look(inside, all || items, inside->string ? inside->string : where);
    }
}

static void every_value(void **state) {
    (void)state;
    const iol_object *const object[] = {iol_object_case, iol_object_site, iol_object_plan, iol_object_asked, iol_object_recheck,
                                        iol_object_summary, iol_object_comparison};
    for (size_t i = 0; i < sizeof object / sizeof *object; i++)
        for (int input = 0; input < 2; input++) {
            kept.used = 0, any = 0;
            assert_true(iol_schema_write(object[i], "title", input == 1, keep, NULL));
            cJSON *root = cJSON_Parse(kept.bytes);
            assert_non_null(root);
            look(root, false, object[i]->name);
            assert_true(any <= 1);
            cJSON_Delete(root);
        }
    assert_true(values > 1000);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(every_value)};
    return cmocka_run_group_tests_name("types of the schemas", tests, NULL, NULL);
}
