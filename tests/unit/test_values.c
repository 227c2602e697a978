/* Every number of data/ against tests/reference/values.tsv, which says at its head what it proves and what not. A number without a
 * row fails, and so does a row without a number. A row of basis `method` quotes docs/method.md; the quotation must be there and
 * hold the number. A row that was entered again from its source must hold the value in its words. */
#include "check.h"

#include <ctype.h>

#include "all_numbers.h"

enum { MOST_ROWS = 2048, LINE = 640, MOST_TOLD = 12 };
static struct {
    char table[24], id[200], value[200], entry[16], basis[16], words[240];
    bool seen;
} row[MOST_ROWS];
static int rows, wrong, unwritten;

static void take(char *to, size_t size, char **from) {
    size_t n = strcspn(*from, "\t\n");
    snprintf(to, size, "%.*s", (int)n, *from);
    *from += n + ((*from)[n] == '\t');
}

static void read_rows(void) {
    char line[LINE * 2];
    FILE *in = fopen("tests/reference/values.tsv", "r");
    assert_non_null(in);
    bool names = false; /* of the columns were read */
    while (fgets(line, sizeof line, in)) {
        if (line[0] == '#' || !names) {
            names |= line[0] != '#';
            continue;
        }
        char *at = line;
        assert_true(rows < MOST_ROWS);
        take(row[rows].table, sizeof row[0].table, &at);
        take(row[rows].id, sizeof row[0].id, &at);
        take(row[rows].value, sizeof row[0].value, &at);
        take(row[rows].entry, sizeof row[0].entry, &at);
        take(row[rows].basis, sizeof row[0].basis, &at);
        take(row[rows++].words, sizeof row[0].words, &at);
    }
    fclose(in);
}

static void number(const char *table, const char *id, const char *value) {
    for (int i = 0; i < rows; i++)
        if (!row[i].seen && strcmp(row[i].id, id) == 0 && strcmp(row[i].table, table) == 0) {
            row[i].seen = true;
            if (strcmp(row[i].value, value) != 0 && wrong++ < MOST_TOLD)
                print_error("%s %s is %s, written %s (%s, %s: %s)\n", table, id, value, row[i].value, row[i].entry, row[i].basis,
                            row[i].words);
            return;
        }
    if (unwritten++ < MOST_TOLD)
        print_error("tests/reference/values.tsv lacks this row (name its basis, and where it is written):\n"
                    "%s\t%s\t%s\tdouble entry\tBASIS\tWHERE\n",
                    table, id, value);
}

static void as_written(void **state) {
    (void)state;
    read_rows();
    iol_all_numbers(number);
    for (int i = 0; i < rows; i++)
        if (!row[i].seen && unwritten++ < MOST_TOLD) print_error("%s %s is written and not there\n", row[i].table, row[i].id);
    assert_int_equal(wrong, 0);
    assert_int_equal(unwritten, 0);
}

/* Whether words hold a number, as it stands or in per cent. */
static bool starts_number(const char *words, const char *at) {
    return isdigit((unsigned char)*at) && (at == words || (!isdigit((unsigned char)at[-1]) && at[-1] != '.'));
}

static bool says(const char *words, double wanted) {
    for (const char *at = words; *at; at++) {
        if (!starts_number(words, at)) continue;
        double said = strtod(at, NULL);
        if (said == wanted || fabs(said - 100.0 * wanted) < 1e-9) return true;
    }
    return false;
}

static void as_entered_again(void **state) {
    (void)state;
    int entered = 0, missing = 0;
    for (int i = 0; i < rows; i++) {
        bool again = strcmp(row[i].entry, "re-entered") == 0;
        if (!again && strcmp(row[i].entry, "double entry") != 0) fail_msg("%s: says not how it was entered", row[i].id);
        entered += again;
        for (const char *at = row[i].value; again && *at; at++)
            if (starts_number(row[i].value, at) && !says(row[i].words, strtod(at, NULL)) && missing++ < MOST_TOLD)
                print_error("%s: the words of the source lack %s: %s\n", row[i].id, row[i].value, row[i].words);
    }
    assert_true(entered > 0);
    assert_int_equal(missing, 0);
}

/* The page without its line ends. */
static char page[1 << 16];
static void read_page(void) {
    FILE *in = fopen("docs/method.md", "r");
    assert_non_null(in);
    size_t used = 0;
    for (int c; (c = fgetc(in)) != EOF && used < sizeof page - 1;)
        if (!isspace(c) || (used > 0 && page[used - 1] != ' ')) page[used++] = isspace(c) ? ' ' : (char)c;
    fclose(in);
}

static void as_the_method_says(void **state) {
    (void)state;
    int quoted = 0, missing = 0;
    read_page();
    for (int i = 0; i < rows; i++) {
        if (strcmp(row[i].basis, "method") != 0) continue;
        quoted++;
        if (!says(row[i].words, fabs(strtod(row[i].value, NULL))) && missing++ < MOST_TOLD)
            print_error("%s: the quotation lacks the number: %s\n", row[i].id, row[i].words);
        if (!strstr(page, row[i].words) && missing++ < MOST_TOLD)
            print_error("%s: docs/method.md does not say: %s\n", row[i].id, row[i].words);
    }
    assert_true(quoted > 0);
    assert_int_equal(missing, 0);
}

static void every_row_says_where(void **state) {
    (void)state;
    static const char *const basis[] = {"printed", "standard", "method", "practice", "judged", "contract", "memory"};
    for (int i = 0; i < rows; i++) {
        bool known = false;
        for (size_t k = 0; k < sizeof basis / sizeof *basis; k++) known |= strcmp(row[i].basis, basis[k]) == 0;
        if (!known || strlen(row[i].words) < 6) fail_msg("%s: says not where", row[i].id);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(as_written),
        cmocka_unit_test(as_entered_again),
        cmocka_unit_test(as_the_method_says),
        cmocka_unit_test(every_row_says_where),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
