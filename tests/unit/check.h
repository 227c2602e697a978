/* Checks against outside numbers, and a reader of their tables. Tests run from the root of the repository.
 * Kinds of row, never mixed: published (tolerance half the last printed digit or the table's), reference (an outside
 * library or an independent derivation), pinned (drift only). The source is part of every check. */
#ifndef IOL_TESTS_CHECK_H
#define IOL_TESTS_CHECK_H

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* True for a value within the tolerance; false on NaN. */
static inline bool check_near(double got, double want, double tolerance) {
    if (!(fabs(got - want) <= tolerance)) return false;
    return true;
}

static inline void check_near_or_fail(double got, double want, double tolerance, const char *source,
                                      const char *expression, const char *file, int line) {
    if (!check_near(got, want, tolerance)) {
        print_error("%s: got %.15g, want %.15g within %.3g (off by %.3g)\n  source: %s\n", expression, got, want,
                    tolerance, got - want, source);
        _fail(file, line);
    }
}

#define CHECK_NEAR(got, want, tolerance, source)                                                                       \
    check_near_or_fail(got, want, tolerance, source, #got, __FILE__, __LINE__)
#define CHECK_NAN(got) assert_true(isnan(got))

/* Tolerance for a 30-digit reference value: the part of it that double arithmetic may lose. */
static inline double check_digits(double want, double part) { return part * fmax(1.0, fabs(want)); }

enum { CHECK_COLUMNS = 64, CHECK_LINE = 2048 };

/* A tab-separated table with a line of names. */
typedef struct {
    FILE *file;
    char names[CHECK_LINE], line[CHECK_LINE];
    char *name[CHECK_COLUMNS], *cell[CHECK_COLUMNS];
    int columns, rows;
} check_table;

static inline int check_split(char *line, char *cell[CHECK_COLUMNS]) {
    int count = 0;
    line[strcspn(line, "\r\n")] = '\0';
    for (char *at = line; at != NULL && count < CHECK_COLUMNS; count++) {
        char *tab = strchr(at, '\t');
        cell[count] = at;
        if (tab != NULL) *tab++ = '\0';
        at = tab;
    }
    return count;
}

static inline void check_open(check_table *table, const char *path) {
    memset(table, 0, sizeof *table);
    table->file = fopen(path, "r");
    if (table->file == NULL || fgets(table->names, CHECK_LINE, table->file) == NULL)
        fail_msg("cannot read %s (run from the root of the repository)", path);
    table->columns = check_split(table->names, table->name);
}

/* The next row; false at the end, where the file is closed. A row with another number of columns fails. */
static inline bool check_next(check_table *table) {
    if (fgets(table->line, CHECK_LINE, table->file) == NULL) {
        fclose(table->file);
        return false;
    }
    table->rows++;
    if (check_split(table->line, table->cell) != table->columns)
        fail_msg("row %d: wrong number of columns", table->rows);
    return true;
}

static inline const char *check_text(const check_table *table, const char *name) {
    for (int i = 0; i < table->columns; i++)
        if (strcmp(table->name[i], name) == 0) return table->cell[i];
    fail_msg("no column %s", name);
    return "";
}

static inline double check_to_number(const char *text) {
    char *end;
    double value = strtod(text, &end);
    if (end == text) fail_msg("not a number: %s", text);
    return value;
}

static inline double check_number(const check_table *table, const char *name) {
    return check_to_number(check_text(table, name));
}

/* The number behind a label within a text: check_after("C=0.75 deg=5", "deg=") is 5. */
static inline double check_after(const char *text, const char *label) {
    const char *at = strstr(text, label);
    if (at == NULL) {
        fail_msg("no %s in %s", label, text);
        return NAN;
    }
    return check_to_number(at + strlen(label));
}

/* The next row of tests/reference/published.tsv for a quantity. */
static inline bool check_next_of(check_table *table, const char *quantity) {
    while (check_next(table))
        if (strcmp(table->cell[0], quantity) == 0) return true;
    return false;
}

#define PUBLISHED "tests/reference/published.tsv"
#define DERIVED(name) "tests/reference/derived/" name ".tsv"
#define DERIVATION "independent derivation in 50-digit arithmetic, tests/reference/derived"

#endif
