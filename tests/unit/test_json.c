/* The JSON emitter. What it writes is read back with cJSON. Grammar and escapes: RFC 8259; UTF-8: RFC 3629,
 * section 4. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <cjson/cJSON.h>
#include <math.h>
#include <string.h>

#include "write/json.h"

typedef struct {
    char bytes[65536];
    size_t used;
    size_t limit; /* takes no more bytes than this */
    int refused;
} store;

static store kept;
static iol_json json;

static bool keep(void *context, const char *bytes, size_t length) {
    store *s = context;
    if (length > s->limit - s->used) {
        s->refused++;
        return false;
    }
    memcpy(s->bytes + s->used, bytes, length);
    s->used += length;
    s->bytes[s->used] = '\0';
    return true;
}

static void start(bool pretty) {
    memset(&kept, 0, sizeof kept);
    kept.limit = sizeof kept.bytes - 1;
    memset(&json, 0xA5, sizeof json); /* nothing may rest on what was there before */
    iol_json_start(&json, keep, &kept, pretty);
}

static void write_sample(void) {
    iol_json_open(&json, NULL, '{');
    iol_json_integer(&json, "plan_format", 1);
    iol_json_open(&json, "numbers", '[');
    iol_json_number(&json, NULL, -0.25, 3);
    iol_json_number(&json, NULL, -0.0001, 3);
    iol_json_number(&json, NULL, (double)NAN, 3);
    iol_json_number(&json, NULL, (double)INFINITY, 3);
    iol_json_integer(&json, NULL, -42);
    iol_json_close(&json, ']');
    iol_json_open(&json, "empty", '{');
    iol_json_close(&json, '}');
    iol_json_open(&json, "none", '[');
    iol_json_close(&json, ']');
    iol_json_open(&json, "part", '{');
    iol_json_bool(&json, "yes", true);
    iol_json_bool(&json, "no", false);
    iol_json_null(&json, "left_out");
    iol_json_text(&json, "text", "a \"b\"");
    iol_json_text(&json, "absent", NULL);
    iol_json_close(&json, '}');
    iol_json_close(&json, '}');
}

static void compact(void **state) {
    (void)state;
    start(false);
    write_sample();
    assert_true(iol_json_finish(&json));
    assert_string_equal(kept.bytes, "{\"plan_format\":1,\"numbers\":[-0.250,0.000,null,null,-42],\"empty\":{},"
                                    "\"none\":[],"
                                    "\"part\":{\"yes\":true,\"no\":false,\"left_out\":null,\"text\":\"a \\\"b\\\"\","
                                    "\"absent\":null}}\n");
}

static void pretty(void **state) {
    (void)state;
    start(true);
    write_sample();
    assert_true(iol_json_finish(&json));
    assert_string_equal(kept.bytes, "{\n"
                                    "  \"plan_format\": 1,\n"
                                    "  \"numbers\": [\n"
                                    "    -0.250,\n    0.000,\n    null,\n    null,\n    -42\n"
                                    "  ],\n"
                                    "  \"empty\": {},\n"
                                    "  \"none\": [],\n"
                                    "  \"part\": {\n"
                                    "    \"yes\": true,\n    \"no\": false,\n    \"left_out\": null,\n"
                                    "    \"text\": \"a \\\"b\\\"\",\n    \"absent\": null\n"
                                    "  }\n"
                                    "}\n");
}

static cJSON *parse(void) {
    cJSON *root = cJSON_ParseWithOpts(kept.bytes, NULL, 1);
    assert_non_null(root);
    return root;
}

static void both_ways_say_the_same(void **state) {
    (void)state;
    start(false);
    write_sample();
    assert_true(iol_json_finish(&json));
    cJSON *one = parse();
    start(true);
    write_sample();
    assert_true(iol_json_finish(&json));
    cJSON *other = parse();
    assert_true(cJSON_Compare(one, other, 1));
    const cJSON *part = cJSON_GetObjectItemCaseSensitive(one, "part");
    assert_string_equal(cJSON_GetObjectItemCaseSensitive(part, "text")->valuestring, "a \"b\"");
    assert_true(cJSON_IsNull(cJSON_GetObjectItemCaseSensitive(part, "absent")));
    cJSON_Delete(one);
    cJSON_Delete(other);
}

static void check_text(const char *text, const char *want) {
    start(false);
    iol_json_text(&json, NULL, text);
    assert_true(iol_json_finish(&json));
    assert_int_equal(kept.bytes[kept.used - 1], '\n');
    kept.bytes[kept.used - 1] = '\0';
    assert_string_equal(kept.bytes, want);
}

static void escapes(void **state) {
    (void)state;
    check_text("", "\"\"");
    check_text("\"\\/", "\"\\\"\\\\/\"");
    check_text("\b\f\n\r\t", "\"\\b\\f\\n\\r\\t\"");
    check_text("\x01\x1f\x7f", "\"\\u0001\\u001f\\u007f\"");
    check_text("<&>'", "\"<&>'\"");
}

static void utf8(void **state) {
    (void)state;
    const char *const valid[] = {"\xC2\xA0",     "\xDF\xBF",     "\xE0\xA0\x80",     "\xED\x9F\xBF",
                                 "\xEE\x80\x80", "\xEF\xBF\xBF", "\xF0\x90\x80\x80", "\xF4\x8F\xBF\xBF"};
    for (size_t i = 0; i < sizeof valid / sizeof valid[0]; i++) {
        char want[8] = "\"";
        strncat(want, valid[i], 4);
        strncat(want, "\"", 2);
        check_text(valid[i], want);
    }
    check_text("\xC2\x9B", "\"\\u009b\""); /* a control character that terminals know */
    check_text("\x80", "\"\\ufffd\"");
    check_text("a\xFFz", "\"a\\ufffdz\"");
    check_text("\xC0\x80", "\"\\ufffd\\ufffd\""); /* overlong */
    check_text("\xE0\x9F\xBF", "\"\\ufffd\\ufffd\\ufffd\"");
    check_text("\xED\xA0\x80", "\"\\ufffd\\ufffd\\ufffd\""); /* a surrogate */
    check_text("\xF0\x8F\xBF\xBF", "\"\\ufffd\\ufffd\\ufffd\\ufffd\"");
    check_text("\xF4\x90\x80\x80", "\"\\ufffd\\ufffd\\ufffd\\ufffd\""); /* above U+10FFFF */
    check_text("\xC3", "\"\\ufffd\"");                                  /* cut short by the end */
    check_text("\xE2\x82", "\"\\ufffd\\ufffd\"");
    check_text("\xF0\x9F\x98", "\"\\ufffd\\ufffd\\ufffd\"");
    check_text("\xC3\"", "\"\\ufffd\\\"\""); /* the quote is still escaped */
}

/* Every byte, in keys and in values, across the edges of the buffer. */
static void read_back_every_byte(void **state) {
    (void)state;
    char all[128];
    for (int i = 1; i < 128; i++) all[i - 1] = (char)i;
    all[127] = '\0';
    start(true);
    iol_json_open(&json, NULL, '[');
    for (int i = 0; i < 100; i++) {
        iol_json_open(&json, NULL, '{');
        iol_json_text(&json, all + i, all);
        iol_json_close(&json, '}');
    }
    iol_json_close(&json, ']');
    assert_true(iol_json_finish(&json));
    assert_true(kept.used > 3 * sizeof json.buffer);
    cJSON *root = parse();
    assert_int_equal(cJSON_GetArraySize(root), 100);
    for (int i = 0; i < 100; i++) {
        const cJSON *member = cJSON_GetArrayItem(root, i)->child;
        assert_string_equal(member->string, all + i);
        assert_string_equal(member->valuestring, all);
    }
    cJSON_Delete(root);
}

static void integers(void **state) {
    (void)state;
    start(false);
    iol_json_open(&json, NULL, '[');
    iol_json_integer(&json, NULL, INT64_MAX);
    iol_json_integer(&json, NULL, -INT64_MAX);
    iol_json_integer(&json, NULL, IOL_NO_COUNT);
    iol_json_integer(&json, NULL, 0);
    iol_json_close(&json, ']');
    assert_true(iol_json_finish(&json));
    assert_string_equal(kept.bytes, "[9223372036854775807,-9223372036854775807,null,0]\n");
}

static void nest(int levels) {
    start(false);
    for (int i = 0; i < levels; i++) iol_json_open(&json, NULL, '[');
    for (int i = 0; i < levels; i++) iol_json_close(&json, ']');
}

static void depth(void **state) {
    (void)state;
    nest(IOL_JSON_DEPTH);
    assert_false(json.failed);
    assert_true(iol_json_finish(&json));
    assert_int_equal(kept.used, 2 * IOL_JSON_DEPTH + 1);
    start(false);
    for (int i = 0; i < IOL_JSON_DEPTH + 3; i++) iol_json_open(&json, NULL, '[');
    assert_int_equal(json.depth, IOL_JSON_DEPTH); /* what lies too deep is not counted: nothing is kept of it */
    nest(IOL_JSON_DEPTH + 1);
    assert_true(json.failed);
    assert_false(iol_json_finish(&json));
    assert_int_equal(kept.used, 0);
}

static void unbalanced(void **state) {
    (void)state;
    start(false);
    iol_json_open(&json, NULL, '{');
    assert_false(iol_json_finish(&json));
    start(false);
    iol_json_close(&json, '}');
    assert_true(json.failed);
    assert_false(iol_json_finish(&json));
}

static void refused_by_the_sink(void **state) {
    (void)state;
    start(false);
    kept.limit = sizeof json.buffer; /* takes the first full buffer only */
    iol_json_open(&json, NULL, '[');
    for (int i = 0; i < 5000; i++) iol_json_number(&json, NULL, i, 2);
    assert_true(json.failed);
    iol_json_close(&json, ']');
    assert_false(iol_json_finish(&json));
    assert_int_equal(kept.used, sizeof json.buffer);
    assert_int_equal(kept.refused, 1);
    start(false); /* refused at the last flush */
    kept.limit = 3;
    iol_json_bool(&json, NULL, true);
    assert_false(json.failed);
    assert_false(iol_json_finish(&json));
    assert_true(json.failed);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(compact),
        cmocka_unit_test(pretty),
        cmocka_unit_test(both_ways_say_the_same),
        cmocka_unit_test(escapes),
        cmocka_unit_test(utf8),
        cmocka_unit_test(read_back_every_byte),
        cmocka_unit_test(integers),
        cmocka_unit_test(depth),
        cmocka_unit_test(unbalanced),
        cmocka_unit_test(refused_by_the_sink),
    };
    return cmocka_run_group_tests_name("json", tests, NULL, NULL);
}
