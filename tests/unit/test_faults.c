/* The fault list: sizes, cuts, and that nothing from a file can reach a terminal as it is. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "case/suggest.h"
#include "iolrevise/faults.h"

#define COUNT(list) (sizeof(list) / sizeof(list)[0])

static iol_faults faults;

static void assert_harmless(const char *text) {
    for (; *text; text++) assert_in_range(*text, 0x20, 0x7e);
}

static void test_quote(void **state) {
    (void)state;
    char out[IOL_FAULT_QUOTED];
    assert_string_equal(iol_fault_quote("", 0, out, sizeof out), "\"\"");
    assert_string_equal(iol_fault_quote("a\"b\\c", 5, out, sizeof out), "\"a\\\"b\\\\c\"");
    assert_string_equal(iol_fault_quote("\x1b[2J\n\0\x7f\xff", 8, out, sizeof out), "\"\\x1b[2J\\x0a\\x00\\x7f\\xff\"");
    char text[61], wanted[IOL_FAULT_QUOTED];
    memset(text, 'a', sizeof text);
    snprintf(wanted, sizeof wanted, "\"%.60s\"", text);
    assert_string_equal(iol_fault_quote(text, 60, out, sizeof out), wanted);
    snprintf(wanted, sizeof wanted, "\"%.60s\"...", text);
    assert_string_equal(iol_fault_quote(text, 61, out, sizeof out), wanted);
    text[58] = '\n'; /* its four characters would be 59 to 62 */
    iol_fault_quote(text, 61, out, sizeof out);
    assert_string_equal(out + 57, "aa\"...");
    memset(text, 'a', sizeof text);
    text[59] = '"'; /* with its backslash it would be 60 and 61 */
    iol_fault_quote(text, 60, out, sizeof out);
    assert_string_equal(out + 58, "aa\"...");
    for (size_t size = 0; size < 20; size++) {
        char small[20];
        memset(small, '#', sizeof small);
        iol_fault_quote("\n\n\n\n\n\n\n", 7, small, size);
        assert_true(size == 0 || memchr(small, '\0', size) != NULL);
        for (size_t i = size; i < sizeof small; i++) assert_int_equal(small[i], '#');
    }
}

static void test_add(void **state) {
    (void)state;
    char line[IOL_FAULT_LINE], longest[400];
    iol_faults_start(&faults);
    size_t length;
    iol_fault *fault =
        iol_fault_add(&faults, IOL_FAULT_out_of_range, "/biometry/axial_length_mm", "235", "12 to 45", "mm");
    assert_int_equal(fault->line, 0);
    assert_int_equal(fault->value_index, -1);
    length = iol_fault_print(fault, line, sizeof line);
    assert_int_equal(length, strlen(line));
    assert_string_equal(line, " /biometry/axial_length_mm: out-of-range: found 235, wanted 12 to 45 mm");
    fault->line = 12;
    iol_fault_print(fault, line, sizeof line);
    assert_string_equal(line, "12: /biometry/axial_length_mm: out-of-range: found 235, wanted 12 to 45 mm");
    fault->column = 28; /* of a sheet, as a spreadsheet letters it */
    iol_fault_print(fault, line, sizeof line);
    assert_string_equal(line, "12:AB: /biometry/axial_length_mm: out-of-range: found 235, wanted 12 to 45 mm");
    fault = iol_fault_add(&faults, IOL_FAULT_missing, NULL, NULL, "the key eye", NULL);
    fault->line = 1;
    iol_fault_print(fault, line, sizeof line);
    assert_string_equal(line, "1: (whole): missing: found nothing, wanted the key eye");
    fault = iol_fault_add(&faults, IOL_FAULT_unknown_key, "/a\n\x1b]0;x\x07/\xff", "", "", "");
    assert_string_equal(fault->path, "/a\\x0a\\x1b]0;x\\x07/\\xff");

    memset(longest, 'a', sizeof longest - 1);
    longest[sizeof longest - 1] = '\0';
    longest[0] = '/';
    memcpy(longest + sizeof longest - 6, "/last", 5);
    fault = iol_fault_add(&faults, IOL_FAULT_unknown_key, longest, longest, longest, longest);
    fault->line = 2147483647;
    assert_int_equal(strlen(fault->path), sizeof fault->path - 1);
    assert_non_null(strstr(fault->path, "aaa...aaa"));
    assert_string_equal(fault->path + strlen(fault->path) - 5, "/last");
    assert_int_equal(strlen(fault->found), sizeof fault->found - 1);
    assert_string_equal(fault->found + strlen(fault->found) - 4, "a...");
    assert_string_equal(fault->unit, "/aaaaaaaaaaa...");
    length = iol_fault_print(fault, line, sizeof line);
    assert_int_equal(length, strlen(line));
    assert_true(strlen(line) < sizeof line - 1); /* nothing was cut */
    memset(longest, '\n', sizeof longest - 1);
    fault = iol_fault_add(&faults, IOL_FAULT_unknown_key, longest, longest, longest, longest);
    assert_true(strlen(fault->path) < sizeof fault->path && strlen(fault->found) < sizeof fault->found);
    assert_harmless(fault->path);
    assert_harmless(fault->found);
    assert_harmless(fault->unit);
    char tiny[8];
    assert_int_equal(iol_fault_print(fault, tiny, sizeof tiny), 7);
    assert_int_equal(iol_fault_print(fault, tiny, 0), 0);
}

static void test_full(void **state) {
    (void)state;
    assert_true(sizeof(iol_faults) < 40 * 1024);
    iol_faults_start(&faults);
    for (int i = 0; i < IOL_FAULTS_KEPT; i++) assert_non_null(iol_fault_add(&faults, IOL_FAULT_syntax, "", "", "", ""));
    assert_int_equal(faults.more, 0);
    assert_null(iol_fault_add(&faults, IOL_FAULT_syntax, "", "", "", ""));
    assert_int_equal(faults.count, 50);
    assert_int_equal(faults.more, 1);
    iol_faults_start(&faults);
    assert_int_equal(faults.count + faults.more, 0);
}

/* The words of the contract, in its order. */
static void test_words(void **state) {
    (void)state;
    static const char *const words[] = {
        "syntax",
        "bad-utf8",
        "control-character",
        "too-deep",
        "too-long",
        "too-many-values",
        "trailing-text",
        "unknown-key",
        "duplicate-key",
        "identity-key",
        "missing",
        "wrong-type",
        "not-a-word",
        "out-of-range",
        "unit-slip",
        "bad-date",
        "bad-pattern",
        "contradiction",
        "unsupported-format",
        "no-memory", /* later than the contract, which lets codes be added */
    };
    assert_int_equal(COUNT(words), IOL_FAULT_COUNT);
    for (int i = 0; i < IOL_FAULT_COUNT; i++) {
        assert_string_equal(iol_fault_word((iol_fault_code)i), words[i]);
        assert_true(strlen(iol_fault_meaning((iol_fault_code)i)) > 10);
    }
    assert_string_equal(iol_fault_word(IOL_FAULT_COUNT), "");
    assert_string_equal(iol_fault_meaning((iol_fault_code)-1), "");
}

/* What stood in the room before is no part of what is said. */
static void what_was_meant(void **state) {
    (void)state;
    char out[200];
    for (int dirty = 0; dirty < 2; dirty++) {
        memset(out, dirty ? 'x' : 0, sizeof out), out[sizeof out - 1] = '\0';
        iol_suggest_key(iol_object_case, iol_object_case, "case_reff", out, sizeof out);
        assert_string_equal(out, "a key of the format, perhaps case_ref");
        memset(out, dirty ? 'x' : 0, sizeof out), out[sizeof out - 1] = '\0';
        iol_suggest_key(iol_object_case, iol_object_case, "zzzzzzzzzzzz", out, sizeof out);
        assert_string_equal(out, "a key of the format (iolrevise template prints them)");
    }
}

/* A code outside its list has no word. */
static void no_word_beyond_the_list(void **state) {
    (void)state;
    static const char *const words[] = {NULL, "one", "beyond"};
    const iol_word_set set = {"set", words, 2, false, false};
    assert_null(iol_word_text(&set, 0));
    assert_string_equal(iol_word_text(&set, 1), "one");
    assert_null(iol_word_text(&set, 2));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_quote),
        cmocka_unit_test(test_add),
        cmocka_unit_test(test_full),
        cmocka_unit_test(test_words),
        cmocka_unit_test(what_was_meant),
        cmocka_unit_test(no_word_beyond_the_list),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
