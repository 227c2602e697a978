/* Records of JSON Lines: line ends, blank lines, the mark, the longest line, and any way a source cuts its bytes. */
#include "check.h"

#include "case/lines.h"
#include "case/view.h"

typedef struct {
    const char *bytes;
    size_t length, at, step; /* step: most bytes given at once */
} memory;

static size_t give(void *context, char *bytes, size_t size) {
    memory *m = context;
    size_t left = m->length - m->at, take = left < size ? left : size;
    if (take > m->step) take = m->step;
    memcpy(bytes, m->bytes + m->at, take);
    m->at += take;
    return take;
}

static iol_lines lines;

/* Every record as "LINE:LENGTH:text|", a longer one as "LINE:LENGTH:!|". */
static void walk(const char *bytes, size_t length, size_t step, char *out) {
    memory m = {bytes, length, 0, step};
    iol_record record;
    iol_lines_start(&lines, give, &m);
    *out = '\0';
    while (iol_lines_next(&lines, &record))
        out += snprintf(out, 100, "%ld:%zu:%.*s|", record.line, record.length, record.text ? (int)record.length : 1,
                        record.text ? record.text : "!");
    assert_int_equal(m.at, m.length);
    assert_false(iol_lines_next(&lines, &record));
}

static void line_ends(void **state) {
    (void)state;
    static const struct {
        const char *bytes, *want;
    } rows[] = {
        {"", ""},
        {"\n", ""},
        {"\n\r\n \t \n", ""},
        {"\r\n{}\r\n\r\n", "2:2:{}|"},
        {"{}", "1:2:{}|"},
        {"{}\n", "1:2:{}|"},
        {"{}\r\n[]\r\n", "1:2:{}|2:2:[]|"},
        {"\n\n{}\n\n[]", "3:2:{}|5:2:[]|"},
        {"\xef\xbb\xbf{}\n\xef\xbb\xbf[]\n", "1:2:{}|2:5:\xef\xbb\xbf[]|"},
        {"\xef\xbb\xbf", ""},
        {"\xef\xbb", "1:2:\xef\xbb|"},
        {"a\rb\n", "1:3:a\rb|"},
        {"a\r\r\n", "1:2:a\r|"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        for (size_t step = 1; step < 8; step++) {
            char got[200];
            walk(rows[i].bytes, strlen(rows[i].bytes), step, got);
            assert_string_equal(got, rows[i].want);
        }
}

/* Whether a line has its line end: the last of a file alone may lack it. */
static void ended_or_not(void **state) {
    (void)state;
    static const struct {
        const char *bytes;
        bool unended[3];
    } rows[] = {{"{}\n[]\n{}\n", {false, false, false}},
                {"{}\n[]\n{}", {false, false, true}},
                {"{}\r\n[]\r\n{}\r\n", {false, false, false}}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        for (size_t step = 1; step < 8; step++) {
            memory m = {rows[i].bytes, strlen(rows[i].bytes), 0, step};
            iol_record record;
            iol_lines_start(&lines, give, &m);
            for (int k = 0; k < 3; k++) {
                assert_true(iol_lines_next(&lines, &record));
                assert_int_equal(lines.unended, rows[i].unended[k]);
            }
        }
}

/* A line of `length` bytes and its line end, then a short one. */
static void longest(size_t length, const char *end, size_t step, bool taken) {
    size_t total = length + strlen(end);
    char *bytes = malloc(total + 3);
    assert_non_null(bytes);
    memset(bytes, 'x', length);
    memcpy(bytes + length, end, strlen(end));
    memcpy(bytes + total, "[]\n", 3);
    memory m = {bytes, total + (strlen(end) ? 3 : 0), 0, step};
    iol_record record;
    iol_lines_start(&lines, give, &m);
    assert_true(iol_lines_next(&lines, &record));
    assert_int_equal(record.line, 1);
    assert_int_equal(record.text != NULL, taken);
    assert_in_range(record.length, length, length + (taken ? 0 : 1));
    if (strlen(end)) {
        assert_true(iol_lines_next(&lines, &record));
        assert_int_equal(record.line, 2);
        assert_memory_equal(record.text, "[]", 2);
    }
    assert_false(iol_lines_next(&lines, &record));
    free(bytes);
}

static void both_sides_of_the_limit(void **state) {
    (void)state;
    static const char *const ends[] = {"\n", "\r\n", ""};
    static const size_t steps[] = {1000, 65536, 65537, 65538, 1u << 20};
    for (size_t e = 0; e < 3; e++)
        for (size_t s = 0; s < 5; s++) {
            longest(IOL_LINE_MOST - 1, ends[e], steps[s], true);
            longest(IOL_LINE_MOST, ends[e], steps[s], true);
            longest(IOL_LINE_MOST + 1, ends[e], steps[s], false);
            longest(3 * IOL_LINES_BLOCK + 7, ends[e], steps[s], false);
        }
}

/* A number of an earlier run counts only within its limits, both of them, and only where no digit is lost (our own rule). */
static void counts_within_limits(void **state) {
    (void)state;
    static const struct {
        const char *text;
        int decimals;
        bool taken;
        int64_t count;
    } row[] = {{"5", 0, true, 5},      {"-3", 0, true, -3},    {"10", 0, true, 10},
               {"-4", 0, false, 0},    {"11", 0, false, 0},    {"0.25", 2, true, 25},
               {"-0.5", 2, true, -50}, {"0.255", 2, false, 0}, {"99999999999999999999", 0, false, 0}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        const int64_t unit = row[i].decimals == 2 ? 100 : 1;
        int64_t count = 0;
        iol_view root = iol_view_of(row[i].text, strlen(row[i].text));
        bool taken = iol_view_count(root, row[i].decimals, -3 * unit, 10 * unit, &count);
        if (taken != row[i].taken || (taken && count != row[i].count)) fail_msg("%s", row[i].text);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(line_ends), cmocka_unit_test(ended_or_not),
                                       cmocka_unit_test(both_sides_of_the_limit),
                                       cmocka_unit_test(counts_within_limits)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
