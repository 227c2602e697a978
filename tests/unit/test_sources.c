/* The printed sources: every row of every table, with a status, readable by another reader of JSON. */
#include "check.h"

#include <cjson/cJSON.h>

#include "kept.h"
#include "report/sources.h"

static iol_page page;

static void write_all(const char *section, int format) {
    bool known;
    kept.used = 0;
    assert_true(iol_sources_write(section, format, &page, keep, NULL, &known));
    assert_true(known);
}

/* Rows of a table of data/: lines that start with the macro. */
static int rows_of(const char *file, const char *macro) {
    char line[4096];
    int count = 0;
    FILE *in = fopen(file, "r");
    assert_non_null(in);
    while (fgets(line, sizeof line, in)) count += strncmp(line, macro, strlen(macro)) == 0;
    fclose(in);
    return count;
}

static void every_row_is_there(void **state) {
    (void)state;
    static const struct {
        const char *section, *file, *macro;
    } table[] = {{"formulas", "data/formulas.def", "FORMULA("},  {"constants", "data/constants.def", "CONSTANT("},
                 {"spreads", "data/spreads.def", "SPREAD("},     {"shelf", "data/generic_shelf.def", "SHELF("},
                 {"rates", "data/gross_rates.def", "GROSS("},    {"factors", "data/evidence_factors.def", "FACTOR("},
                 {"evidence", "data/evidence.def", "EVIDENCE("}, {"references", "data/references.def", "REFERENCE("}};
    write_all(NULL, IOL_SOURCES_JSON);
    cJSON *all = cJSON_Parse(kept.bytes);
    assert_non_null(all);
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        int rows = rows_of(table[i].file, table[i].macro);
        /* A wound of removal is two constants: the least and the comfortable one. */
        if (strcmp(table[i].section, "constants") == 0)
            rows += 2 * rows_of("data/removal_widths.def", "REMOVAL_WIDTH(");
        assert_int_equal(cJSON_GetArraySize(cJSON_GetObjectItem(all, table[i].section)), rows);
    }
    for (int s = 0; iol_sources_section(s); s++) {
        const cJSON *list = cJSON_GetObjectItem(all, iol_sources_section(s)), *r;
        assert_true(cJSON_GetArraySize(list) > 0);
        cJSON_ArrayForEach(r, list) {
            const char *id = cJSON_GetStringValue(cJSON_GetObjectItem(r, "id"));
            assert_true(id && id[0]);
            if (!cJSON_GetStringValue(cJSON_GetObjectItem(r, "status"))) fail_msg("%s has no status", id);
            const char *meaning = cJSON_GetStringValue(cJSON_GetObjectItem(r, "text"));
            if (!meaning || strlen(meaning) < 3) fail_msg("%s has no meaning", id);
        }
    }
    cJSON_Delete(all);
}

/* The number printed is the number used, and no name stands twice. */
static void constants_as_printed(void **state) {
    (void)state;
    write_all("constants", IOL_SOURCES_JSON);
    cJSON *all = cJSON_Parse(kept.bytes);
    const cJSON *list = cJSON_GetObjectItem(all, "constants"), *r;
    cJSON_ArrayForEach(r, list) {
        const char *printed = cJSON_GetStringValue(cJSON_GetObjectItem(r, "printed"));
        double value = cJSON_GetNumberValue(cJSON_GetObjectItem(r, "value"));
        char *end;
        double first = strtod(printed, &end), want = *end ? first / strtod(strchr(end, '/') + 1, NULL) : first;
        CHECK_NEAR(value, want, 5.1e-7, "the table itself, six decimals in JSON");
        for (const cJSON *other = r->next; other; other = other->next)
            assert_string_not_equal(cJSON_GetStringValue(cJSON_GetObjectItem(r, "id")),
                                    cJSON_GetStringValue(cJSON_GetObjectItem(other, "id")));
    }
    cJSON_Delete(all);
}

static void text_fits_the_screen(void **state) {
    (void)state;
    write_all(NULL, IOL_SOURCES_TEXT);
    int rows = 0;
    for (char *line = strtok(kept.bytes, "\n"); line; line = strtok(NULL, "\n"), rows++)
        if (strlen(line) > 80) fail_msg("longer than 80 columns: %s", line);
    assert_true(rows > 1000);
    assert_false(page.lost);
}

static void an_unknown_section(void **state) {
    (void)state;
    bool known = true;
    assert_false(iol_sources_write("nonsense", IOL_SOURCES_TEXT, &page, keep, NULL, &known));
    assert_false(known);
    assert_null(iol_sources_section(-1));
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(every_row_is_there), cmocka_unit_test(constants_as_printed),
                                       cmocka_unit_test(text_fits_the_screen), cmocka_unit_test(an_unknown_section)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
