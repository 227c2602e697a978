/* Sheets of cases: cells as RFC 4180 has them, values as strictly as a file's, faults by row and column. */
#include "check.h"
#include "intake/columns.h"

static iol_columns columns;
static iol_case blank, c;
static iol_faults faults;

static bool heading(const char *row) { return iol_columns_read(row, strlen(row), &columns); }
static bool row(const char *text) { return iol_columns_case(&columns, text, strlen(text), &blank, &c, &faults); }
#define MUST "case_format,case_ref,eye,reason,"
#define HAS "1,A-1,right,power-error,"

static void start(const char *more) {
    char text[400];
    iol_case_reset(&blank);
    snprintf(text, sizeof text, MUST "%s", more);
    assert_true(heading(text));
}

static bool cell(const char *more) {
    char text[400];
    snprintf(text, sizeof text, HAS "%s", more);
    return row(text);
}

/* The one fault stands at this column, with this code and words. */
static void refused_at(const iol_faults *list, int column, iol_fault_code code, const char *words) {
    char line[IOL_FAULT_LINE];
    assert_int_equal(list->count, 1);
    iol_fault_print(&list->item[0], line, sizeof line);
    if (list->item[0].column != column || list->item[0].code != code || !strstr(line, words)) fail_msg("%s", line);
}

/* RFC 4180, section 2: quotation marks round cells, doubled within, line ends and commas inside; the last row without line end. */
static void cells(void **state) {
    (void)state;
    start("\"biometry.axial_length_mm\",//,\"// a \"\"note\"\", with comma\",first_surgery.sheet_formula\r\n");
    assert_true(cell("23.25,\"x, y\r\nz\",said \xc3\xa4,\"srk \"\"t\"\"\"\r\n"));
    CHECK_NEAR(c.biometry.axial_length_mm, 23.25, 0.0, "the cell");
    assert_true(c.biometry.present && c.first_surgery.present && !c.outcome.present);
    assert_string_equal(c.first_surgery.sheet_formula, "srk \"t\"");
    assert_true(cell("  23.25 ,,"));
    CHECK_NEAR(c.biometry.axial_length_mm, 23.25, 0.0, "the cell");
    assert_true(cell("23.25"));
    assert_false(cell("23\"25"));
    refused_at(&faults, 5, IOL_FAULT_syntax, "quotation mark");
    assert_false(cell("\"23.25"));
    refused_at(&faults, 5, IOL_FAULT_syntax, "quotation mark");
    assert_false(cell("\"23.25\"1"));
    refused_at(&faults, 5, IOL_FAULT_syntax, "quotation mark");
    assert_true(iol_row_open("a,\"b\"\"", 6));
    assert_false(iol_row_open("a,\"b\"\"\"", 7));
    assert_int_equal(iol_row_length("a,\"b\nc\"\nd", 9), 7);
    assert_true(iol_row_empty(" ,,\t,\r", 6));
    assert_false(iol_row_empty(",0", 2));
    char wide[500];
    memset(wide, '7', 450);
    wide[450] = '\0';
    assert_false(row(wide));
    assert_int_equal(faults.item[0].code, IOL_FAULT_too_long);
}

/* Numbers, words, dates, texts, yes and no, as people and spreadsheets write them. */
static void kinds(void **state) {
    (void)state;
    start("refractions.1.sphere_d,refractions.1.axis_deg,red_flags.none,checks.topography_done,biometry.measured_on,"
          "reasons_also");
    assert_true(cell("+2.25,080,TRUE,No,2025-08-20,cylinder-error  Lens-Tilt"));
    CHECK_NEAR(c.refractions[0].sphere_d, 2.25, 0.0, "the cell");
    CHECK_NEAR(c.refractions[0].axis_deg, 80.0, 0.0, "the cell");
    assert_int_equal(c.red_flags.none, IOL_YES);
    assert_int_equal(c.checks.topography_done, IOL_NO);
    assert_true(c.red_flags.present && c.checks.present && c.refractions[0].present && c.biometry.present);
    assert_int_equal(c.reasons_also_count, 2);
    assert_int_equal(c.reasons_also[1], IOL_reason_lens_tilt);
    assert_true(cell("null,,,,,"));
    assert_int_equal(c.refractions_count, 0);
    assert_false(c.refractions[0].present);
    assert_true(row("1,00012,RIGHT,Power-Error,,,,,,"));
    assert_string_equal(c.case_ref, "00012");
    assert_int_equal(c.eye, IOL_side_right);
}

static void kinds_refused(void **state) {
    (void)state;
    static const struct {
        const char *cells, *words;
        int column;
        iol_fault_code code;
    } rows[] = {
        {"\"2,25\"", "found \"2,25\", wanted a decimal point", 5, IOL_FAULT_wrong_type},
        {"two", "found a text, wanted a plain number as 21.5, in D", 5, IOL_FAULT_wrong_type},
        {"90", "found \"90\", wanted -40 to 40 D", 5, IOL_FAULT_out_of_range},
        {",180.5", "0 to 180 deg", 6, IOL_FAULT_out_of_range},
        {",,1", "yes or no", 7, IOL_FAULT_wrong_type},
        {",,,perhaps", "found a text", 8, IOL_FAULT_wrong_type},
        {",,,,20.08.2025", "found \"20.08.2025\", wanted a day as 2026-11-25", 9, IOL_FAULT_bad_date},
        {",,,,2025-02-30", "2025-02-30", 9, IOL_FAULT_bad_date},
        {",,,,,tired", "found a text", 10, IOL_FAULT_not_a_word},
        {",,,,,,7", "a cell without a heading", 11, IOL_FAULT_unknown_key},
    };
    start("refractions.1.sphere_d,refractions.1.axis_deg,red_flags.none,checks.topography_done,biometry.measured_on,"
          "reasons_also");
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        assert_false(cell(rows[i].cells));
        refused_at(&faults, rows[i].column, rows[i].code, rows[i].words);
    }
#define FOUR "lens-tilt lens-tilt lens-tilt lens-tilt "
    assert_false(cell(",,,,," FOUR FOUR FOUR));
    assert_int_equal(faults.item[0].code, IOL_FAULT_wrong_type);
}

/* As of a file: required values, contradictions between columns, a place of a list left empty before another. */
static void whole_cases(void **state) {
    (void)state;
    start("refractions.2.sphere_d,refractions.1.sphere_d,biometry.k_flat_d,biometry.k_steep_d");
    assert_false(row("1,,right,power-error"));
    refused_at(&faults, 2, IOL_FAULT_missing, "/case_ref: missing: found nothing");
    assert_false(row("2,A-1,right,power-error"));
    refused_at(&faults, 1, IOL_FAULT_unsupported_format, "newest");
    assert_false(cell(",,44,43"));
    assert_int_equal(faults.item[0].code, IOL_FAULT_contradiction);
    assert_in_range(faults.item[0].column, 7, 8);
    assert_true(cell("1.25"));
    assert_int_equal(c.refractions_count, 2);
    assert_false(c.refractions[0].present);
    assert_true(cell("1.25,1.5"));
    CHECK_NEAR(c.refractions[0].sphere_d, 1.5, 0.0, "the cell");
    assert_true(heading("case_format,case_ref,eye"));
    assert_false(row("1,A,left"));
    refused_at(&faults, 0, IOL_FAULT_missing, "/reason");
    assert_true(iol_columns_part(&columns, "1,,left", 7, &c, &faults));
}

static void headings_refused(void **state) {
    (void)state;
    static const struct {
        const char *row, *words;
        int column;
        iol_fault_code code;
    } rows[] = {
        {"case_format;case_ref;eye", "semicolons between the cells, wanted commas: save the sheet", 1,
         IOL_FAULT_syntax},
        {"case_format\tcase_ref", "tabs between the cells", 1, IOL_FAULT_syntax},
        {"sep=;", "semicolons", 1, IOL_FAULT_syntax},
        {"eye,agee_years", "perhaps age_years", 2, IOL_FAULT_unknown_key},
        {"eye,biometry.axial_lenght_mm", "perhaps axial_length_mm", 2, IOL_FAULT_unknown_key},
        {"eye,age_years,age_years", "a second time", 3, IOL_FAULT_duplicate_key},
        {"eye,biometry", "the path of one value", 2, IOL_FAULT_unknown_key},
        {"eye,refractions.17.sphere_d", "element", 2, IOL_FAULT_unknown_key},
        {"eye,refractions.0.sphere_d", "from 1", 2, IOL_FAULT_unknown_key},
        {"eye,/age_years", "with points", 2, IOL_FAULT_unknown_key},
        {"eye,Name", "nothing that identifies a person", 2, IOL_FAULT_identity_key},
        {"eye,Date of birth", "nothing that identifies a person", 2, IOL_FAULT_identity_key},
        {"eye,a\"b", "quotation mark", 2, IOL_FAULT_syntax},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        assert_false(heading(rows[i].row));
        refused_at(&columns.faults, rows[i].column, rows[i].code, rows[i].words);
        assert_false(row("1,2,3"));
        assert_int_equal(faults.count, 1);
    }
    assert_false(iol_columns_read("e\0y\0e\0", 6, &columns));
    refused_at(&columns.faults, 1, IOL_FAULT_syntax, "UTF-16");
    static char many[2 * IOL_COLUMNS_MOST + 8];
    memset(many, ',', IOL_COLUMNS_MOST);
    assert_false(heading(many));
    refused_at(&columns.faults, IOL_COLUMNS_MOST + 1, IOL_FAULT_too_long, "512");
    assert_true(heading("\xef\xbb\xbf"
                        "eye,,age_years\r"));
    assert_int_equal(columns.count, 3);
}

/* Columns are named as spreadsheets do. */
static void letters(void **state) {
    (void)state;
    static const struct {
        int column;
        const char *start;
    } rows[] = {{1, "17:A: "},   {11, "17:K: "},  {26, "17:Z: "},   {27, "17:AA: "},
                {52, "17:AZ: "}, {53, "17:BA: "}, {702, "17:ZZ: "}, {703, "17:AAA: "}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char line[IOL_FAULT_LINE];
        iol_faults_start(&faults);
        iol_fault *f = iol_fault_add(&faults, IOL_FAULT_syntax, "", "", "", "");
        f->line = 17, f->column = rows[i].column;
        iol_fault_print(f, line, sizeof line);
        assert_memory_equal(line, rows[i].start, strlen(rows[i].start));
    }
}

/* A cell of blanks alone is empty. */
static void blank_cells(void **state) {
    (void)state;
    start("biometry.axial_length_mm,first_surgery.sheet_formula,biometry.method");
    assert_true(cell("   , ,\" \""));
    CHECK_NAN(c.biometry.axial_length_mm);
    assert_string_equal(c.first_surgery.sheet_formula, "");
    assert_int_equal(c.biometry.method, 0);
}

/* Capital letters are small ones, from the first to the last that a word has. */
static void capital_letters(void **state) {
    (void)state;
    start("biometry.method,biometry_repeat.eye_state,checks.topography_done");
    assert_true(cell("OPTICAL,Aphakic,YES"));
    assert_int_equal(c.biometry.method, IOL_biometry_method_optical);
    assert_int_equal(c.biometry_repeat.eye_state, IOL_eye_state_aphakic);
    assert_int_equal(c.checks.topography_done, IOL_YES);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(capital_letters), cmocka_unit_test(blank_cells), cmocka_unit_test(cells),
        cmocka_unit_test(kinds),
        cmocka_unit_test(kinds_refused),
        cmocka_unit_test(whole_cases),
        cmocka_unit_test(headings_refused),
        cmocka_unit_test(letters),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
