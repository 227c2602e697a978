/* The raw scan, against RFC 8259 (JSON), RFC 3629 (UTF-8) and the cJSON and C libraries. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include <cJSON.h>

#include "case/scan.h"
#include "iolrevise/faults.h"

#define MEGABYTE (1024u * 1024u)
#define COUNT(list) (sizeof(list) / sizeof(list)[0])

static iol_faults faults;

/* Scan a copy that ends where the text ends, so that a sanitizer sees every byte read too far. */
static bool scan(const char *text, size_t length) {
    char *copy = malloc(length ? length : 1);
    assert_non_null(copy);
    memcpy(copy, text, length);
    iol_faults_start(&faults);
    bool good = iol_scan_json(copy, length, MEGABYTE, &faults);
    iol_scan_lines(copy, length, &faults);
    free(copy);
    return good;
}

typedef struct {
    const char *section, *text;
} text_row;

/* ---- RFC 8259 ---- */

static void test_accepts(void **state) {
    (void)state;
    static const text_row rows[] = {
#include "rows/scan_accepted.inc"
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        if (!scan(rows[i].text, strlen(rows[i].text)))
            fail_msg("section %s: refused %s: found %s wanted %s", rows[i].section, rows[i].text, faults.item[0].found,
                     faults.item[0].wanted);
        assert_int_equal(faults.count, 0);
    }
}

typedef struct {
    const char *section, *text;
    iol_fault_code code;
    int line;
    const char *found, *wanted; /* wanted: a part of what is said */
} refusal_row;

#define SYNTAX IOL_FAULT_syntax
static const refusal_row refusals[] = {
#include "rows/scan_refusals.inc"
};

static void test_refuses(void **state) {
    (void)state;
    for (size_t i = 0; i < COUNT(refusals); i++) {
        const refusal_row *row = &refusals[i];
        bool good = scan(row->text, strlen(row->text));
        const iol_fault *fault = &faults.item[0];
        if (good || faults.count < 1 || fault->code != row->code || fault->line != row->line ||
            strcmp(fault->found, row->found) != 0 || !strstr(fault->wanted, row->wanted) || fault->path[0])
            fail_msg("section %s, <%s>: %s, line %d, %s, found %s, wanted %s", row->section, row->text,
                     good ? "accepted" : "refused", fault->line, iol_fault_word(fault->code), fault->found,
                     fault->wanted);
    }
}

/* RFC 8259 section 7: a control character stands in no string as it is; section 2: outside, none but tab, line feed and return. */
static void test_control_characters(void **state) {
    (void)state;
    for (int byte = 0; byte < 0x20; byte++) {
        char inside[] = "{\"a\": \"x?y\"}", outside[] = "{\"a\":? 1}";
        *strchr(inside, '?') = (char)byte, *strchr(outside, '?') = (char)byte;
        assert_false(scan(inside, sizeof inside - 1));
        assert_int_equal(scan(outside, sizeof outside - 1), byte == '\t' || byte == '\n' || byte == '\r');
    }
}

/* RFC 3629 sections 3 and 4: no overlong form, no surrogate, nothing above U+10FFFF, no loose or missing byte. */
static void test_bad_utf8(void **state) {
    (void)state;
    static const char *const bad[] = {
        "\x80",
        "\xbf",
        "\xc0\x80",
        "\xc1\xbf",
        "\xe0\x80\x80",
        "\xe0\x9f\xbf",
        "\xf0\x80\x80\x80",
        "\xf0\x8f\xbf\xbf",
        "\xed\xa0\x80",
        "\xed\xbf\xbf",
        "\xf4\x90\x80\x80",
        "\xf5\x80\x80\x80",
        "\xff",
        "\xfe",
        "\xc2",
        "\xc2 ",
        "\xe2\x80",
        "\xe2\x80 ",
        "\xf0\x9f\x98",
        "\xf0\x9f\x98 ",
        "\xc2\xc2",
        "\xe2\x28\xa1",
    };
    for (size_t i = 0; i < COUNT(bad); i++) {
        char text[32];
        int length = snprintf(text, sizeof text, "[\n\"%s\",\n\"\xff\"]", bad[i]);
        assert_false(scan(text, (size_t)length));
        if (faults.count < 2 || faults.item[0].code != IOL_FAULT_bad_utf8 || faults.item[0].line != 2)
            fail_msg("row %zu: %d faults, first on line %d", i, faults.count, faults.item[0].line);
        assert_int_equal(faults.item[faults.count - 1].line, 3); /* the scan goes on behind it */
    }
}

/* Every code point by its one UTF-8 form, against the definition in RFC 3629 section 3. */
static void test_all_code_points(void **state) {
    (void)state;
    for (uint32_t c = 0x20; c <= 0x110000; c++) {
        char text[8] = "\"";
        size_t n = 1;
        if (c == '"' || c == '\\') continue;
        if (c >= 0x10000) {
            text[n++] = (char)(0xf0 | c >> 18);
            text[n++] = (char)(0x80 | (c >> 12 & 0x3f));
        } else if (c >= 0x800) {
            text[n++] = (char)(0xe0 | c >> 12);
        }
        if (c >= 0x800)
            text[n++] = (char)(0x80 | (c >> 6 & 0x3f));
        else if (c >= 0x80)
            text[n++] = (char)(0xc0 | c >> 6);
        text[n++] = (char)(c >= 0x80 ? 0x80 | (c & 0x3f) : c);
        text[n++] = '"';
        iol_faults_start(&faults);
        bool good = iol_scan_json(text, n, MEGABYTE, &faults);
        if (good != (c <= 0x10ffff && (c < 0xd800 || c > 0xdfff))) fail_msg("U+%04X: %d", c, good);
    }
}

/* ---- lines, limits ---- */

static void test_several_faults(void **state) {
    (void)state;
    static const char text[] =
        "{\n\"a\":\"\x01\",\r\n\"b\":\"\xff\",\n\"c\":\"\\u0000\",\n\"d\":\"\\ud800\",\n\"e\" 1}";
    static const iol_fault_code codes[] = {IOL_FAULT_control_character, IOL_FAULT_bad_utf8, IOL_FAULT_control_character,
                                           IOL_FAULT_bad_utf8, IOL_FAULT_syntax};
    assert_false(scan(text, sizeof text - 1));
    assert_int_equal(faults.count, 5);
    for (int i = 0; i < 5; i++) {
        assert_int_equal(faults.item[i].code, codes[i]);
        assert_int_equal(faults.item[i].line, i + 2);
    }
}

static void test_levels(void **state) {
    (void)state;
    static const char open[] = "[{\"a\":[{\"a\":[{\"a\":[{\"a\":[{\"a\":[{\"a\":[{\"a\":[{\"a\":";
    static const char shut[] = "}]}]}]}]}]}]}]}]"; /* 16 levels */
    char text[160];
    int length = snprintf(text, sizeof text, "%s1%s", open, shut);
    assert_true(scan(text, (size_t)length));
    length = snprintf(text, sizeof text, "%s\n[]%s", open, shut);
    assert_false(scan(text, (size_t)length));
    assert_int_equal(faults.count, 1);
    assert_int_equal(faults.item[0].code, IOL_FAULT_too_deep);
    assert_int_equal(faults.item[0].line, 2);
    assert_string_equal(faults.item[0].found, "17");
    assert_string_equal(faults.item[0].wanted, "at most 16");
    static char hostile[MEGABYTE];
    memset(hostile, '[', sizeof hostile);
    assert_false(scan(hostile, sizeof hostile));
    assert_int_equal(faults.item[0].code, IOL_FAULT_too_deep);
    length = snprintf(text, sizeof text, "[[[[[[[[[[[[[[[{},[],{}]]]]]]]]]]]]]]]"); /* siblings do not add up */
    assert_true(scan(text, (size_t)length));
}

static void test_values(void **state) {
    (void)state;
    static char text[16384];
    for (int values = 4096; values <= 4097; values++) {
        size_t n = 0;
        text[n++] = '[';
        for (int i = 1; i < values; i++)
            n += (size_t)snprintf(text + n, sizeof text - n, "%s\n%d", i > 1 ? "," : "", i % 10);
        text[n++] = ']';
        assert_int_equal(scan(text, n), values == 4096);
    }
    assert_int_equal(faults.count, 1);
    assert_int_equal(faults.item[0].code, IOL_FAULT_too_many_values);
    assert_int_equal(faults.item[0].line, 4097);
}

static void test_length(void **state) {
    (void)state;
    static const char text[] = "{\"a\":1}   ";
    iol_faults_start(&faults);
    assert_true(iol_scan_json(text, 10, 10, &faults));
    assert_false(iol_scan_json(text, 10, 9, &faults));
    assert_int_equal(faults.count, 1);
    assert_int_equal(faults.item[0].code, IOL_FAULT_too_long);
    assert_int_equal(faults.item[0].line, 1);
    assert_string_equal(faults.item[0].found, "10");
    assert_string_equal(faults.item[0].wanted, "at most 9");
    assert_string_equal(faults.item[0].unit, "bytes");
}

/* 63 characters of one number: the most that cJSON 1.7.15 reads of one. */
static void test_number_length(void **state) {
    (void)state;
    char text[80] = "[";
    memset(text + 1, '7', 63);
    memcpy(text + 64, "]", 2);
    assert_true(scan(text, 65));
    memcpy(text + 64, "7]", 3);
    assert_false(scan(text, 66));
    assert_int_equal(faults.item[0].code, IOL_FAULT_syntax);
    assert_string_equal(faults.item[0].found, "64");
    memset(text + 1, '0', 63);
    assert_false(scan(text, 66));
}

/* The largest double and the point halfway to the next, from IEEE 754 (2^1024 - 2^971 and 2^1024 - 2^970); then
 * random numbers near it against strtod of the C library. */
static void test_largest_number(void **state) {
    (void)state;
    assert_true(scan("1.7976931348623157e308", 22));
    assert_true(scan("-1.79769313486231580793728971405303415079934e308", 48));
    assert_false(scan("-1.79769313486231580793728971405303415079935e308", 48));
    assert_true(scan("0.000017976931348623157e313", 27));
    assert_false(scan("0.000017976931348623159e313", 27));
    assert_true(scan("17976931348623157000e289", 24));
    assert_false(scan("17976931348623159000e289", 24));
    unsigned seed = 1;
    int outcomes[2] = {0, 0};
    for (int i = 0; i < 200000; i++) {
        char text[64];
        int digits = 0, used = 0;
        for (; digits < (int)(seed >> 28) + 1; digits++) {
            seed = seed * 1664525u + 1013904223u;
            char digit = (char)(seed >> 29 ? "179769313486231580"[digits] : '0' + (int)(seed >> 24) % 10);
            used += snprintf(text + used, sizeof text - (size_t)used, "%s%c", digits == 1 ? "." : "", digit);
        }
        seed = seed * 1664525u + 1013904223u;
        used += snprintf(text + used, sizeof text - (size_t)used, "E%d", 306 + (int)(seed >> 30));
        if (text[0] == '0' && digits > 1 && text[1] != '.') continue;
        double x = strtod(text, NULL);
        bool finite = x - x == 0;
        if (scan(text, (size_t)used) != finite) fail_msg("%s: strtod %s", text, finite ? "finite" : "infinite");
        outcomes[finite]++;
    }
    assert_true(outcomes[0] > 10000 && outcomes[1] > 10000);
}

static void test_locate(void **state) {
    (void)state;
    static const char text[] =
        "\xef\xbb\xbf\n{\n\"a\" : 1,\n\"b\"\n:\n\"x:\\\"\", \"c\":\r\n[\ntrue,\n{\"d\":{}},-1.5],\n\"e\":null\n}\n";
    static const int lines[] = {2, 3, 6, 7, 8, 9, 9, 9, 10};
    assert_true(scan(text, sizeof text - 1));
    for (int i = 0; i < (int)COUNT(lines); i++) assert_int_equal(iol_scan_locate(text, sizeof text - 1, i), lines[i]);
    assert_int_equal(iol_scan_locate(text, sizeof text - 1, (int)COUNT(lines)), 0);
    assert_int_equal(iol_scan_locate(text, sizeof text - 1, -1), 0);
    assert_int_equal(iol_scan_locate("", 0, 0), 0);
    assert_int_equal(iol_scan_locate("7", 1, 0), 1);

    static const int order[] = {8, 0, -1, 5, 5, 99};
    static const int wanted[] = {10, 2, 1, 9, 9, 0};
    iol_faults_start(&faults);
    for (size_t i = 0; i < COUNT(order); i++)
        iol_fault_add(&faults, IOL_FAULT_missing, "", "", "", "")->value_index = order[i];
    iol_fault_add(&faults, IOL_FAULT_missing, "", "", "", "")->line = 77; /* known already */
    iol_scan_lines(text, sizeof text - 1, &faults);
    for (size_t i = 0; i < COUNT(order); i++) assert_int_equal(faults.item[i].line, wanted[i]);
    assert_int_equal(faults.item[COUNT(order)].line, 77);
}

/* ---- against cJSON ---- */

static uint64_t random_state;
static unsigned random_below(unsigned n) {
    random_state ^= random_state << 13;
    random_state ^= random_state >> 7;
    random_state ^= random_state << 17;
    return (unsigned)((random_state >> 11) % n);
}

static int count_nodes(const cJSON *node) {
    int count = 1;
    for (const cJSON *child = node->child; child; child = child->next) count += count_nodes(child);
    return count;
}

/* What the scan accepts, cJSON reads to the end, with as many values as iol_scan_locate finds. */
static bool check_against_cjson(const char *text, size_t length) {
    bool good = scan(text, length);
    assert_int_equal(good, faults.count == 0);
    for (int i = 0; i < faults.count; i++)
        if (faults.item[i].line < 1) fail_msg("no line: <%.*s>", (int)length, text);
    if (!good) return false;
    size_t mark = iol_scan_mark(text, length);
    const char *end = NULL;
    cJSON *root = cJSON_ParseWithLengthOpts(text + mark, length - mark, &end, 0);
    if (!root) fail_msg("cJSON refuses <%.*s>", (int)length, text);
    for (; end < text + length; end++) assert_non_null(strchr(" \t\r\n", *end));
    int nodes = count_nodes(root);
    cJSON_Delete(root);
    if (iol_scan_locate(text, length, nodes - 1) < 1 || iol_scan_locate(text, length, nodes) != 0)
        fail_msg("%d values in <%.*s>", nodes, (int)length, text);
    return true;
}

static const char *const seeds[] = {
    "{\"case_format\":1,\"case_ref\":\"A-17\",\"eye\":\"right\","
    "\"refractions\":[{\"sphere_d\":-2.25,\"axis_deg\":90},{}]}",
    "[1,-0.5,1e5,12.75E-3,[],[[]],{\"a\":{\"b\":[null,true,false]}}]",
    "\xef\xbb\xbf{\n  \"a\" : "
    "\"\\u00e9\\ud834\\udd1e\\n\xc3\xa9\xe2\x82\xac\xf0\x9f\x98\x80\",\r\n\t\"//\":\"//\"\n}\n",
    "\"text\"",
    "-12.5e+30",
};

static size_t mutate(char *text, size_t length, size_t room) {
    static const char pieces[] = "{}[]:,\"\\/0123456789.-+eEutrfn \n\r\t\x01\x80\xc3\xef";
    size_t at = random_below((unsigned)length + 1), stretch = random_below(8) + 1;
    char piece = random_below(8) ? pieces[random_below(sizeof pieces - 1)] : (char)random_below(256);
    switch (random_below(4)) {
    case 0: /* insert */
        if (length == room) return length;
        memmove(text + at + 1, text + at, length - at);
        text[at] = piece;
        return length + 1;
    case 1: /* delete a stretch */
        stretch = stretch < length - at ? stretch : length - at;
        memmove(text + at, text + at + stretch, length - at - stretch);
        return length - stretch;
    case 2: /* replace */
        if (at < length) text[at] = piece;
        return length;
    default: /* double a stretch */
        if (stretch > length - at || length + stretch > room) return length;
        memmove(text + at + stretch, text + at, length - at);
        return length + stretch;
    }
}

static void test_mutations(void **state) {
    (void)state;
    int accepted = 0, rounds = 400000;
    random_state = 88172645463325252u;
    for (int i = 0; i < rounds; i++) {
        char text[512];
        const char *seed = seeds[(size_t)i % COUNT(seeds)];
        size_t length = strlen(seed);
        memcpy(text, seed, length);
        for (unsigned n = random_below(4) + 1; n > 0; n--) length = mutate(text, length, sizeof text);
        accepted += check_against_cjson(text, length);
    }
    assert_in_range(accepted, rounds / 50, rounds - rounds / 50); /* both outcomes were really met */
    for (int i = 0; i < 200000; i++) {
        char text[24];
        size_t length = random_below(sizeof text);
        for (size_t j = 0; j < length; j++)
            text[j] = i % 2 ? (char)random_below(256) : "{}[]:,\"\\10.-eu \n"[random_below(16)];
        check_against_cjson(text, length);
    }
}

/* ---- more faults than are kept ---- */

static void test_full_list(void **state) {
    (void)state;
    char text[512] = "[";
    size_t n = 1;
    for (int i = 0; i < 53; i++) n += (size_t)snprintf(text + n, sizeof text - n, "%s\n\"\x01\"", i ? "," : "");
    text[n++] = ']';
    assert_false(scan(text, n));
    assert_int_equal(faults.count, 50);
    assert_int_equal(faults.more, 3);
    assert_int_equal(faults.item[49].line, 51);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_accepts),        cmocka_unit_test(test_refuses), cmocka_unit_test(test_control_characters),
        cmocka_unit_test(test_bad_utf8),       cmocka_unit_test(test_all_code_points),
        cmocka_unit_test(test_several_faults), cmocka_unit_test(test_levels),
        cmocka_unit_test(test_values),         cmocka_unit_test(test_length),
        cmocka_unit_test(test_number_length),  cmocka_unit_test(test_largest_number),
        cmocka_unit_test(test_locate),         cmocka_unit_test(test_mutations),
        cmocka_unit_test(test_full_list),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
