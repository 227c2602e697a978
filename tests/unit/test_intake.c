/* Pieces of what comes in: numbers as other programs write them, the stock, remarks that move with their reading. */
#include "case/stock.h"
#include "check.h"
#include "intake/dicom_map.h"
#include "intake/intake.h"

static void numbers(void **state) {
    (void)state;
    static const struct {
        const char *text;
        double value;
    } rows[] = {
        {"23.25", 23.25},
        {"-0.5", -0.5},
        {"1.5e1", 15.0},
        {"15E-1", 1.5},
        {"0", 0.0},
        {"\"119.1\"", 119.1},
        {"\" -0.61 \"", -0.61},
        {"\"+2.25\"", 2.25},
        {"22.3099995", 22.31},
        {"1.33749998", 1.3375},
        {"0.0000012", 1.2e-6},
        {"1.09647819999999996", 1.0964782},
        {"123456789012345678901", 1.23456789012345678901e20},
    };
    static const char *const none[] = {"\"\"", "\"x\"", "\"1 2\"", "\"1,5\"", "null",
                                       "[1]",  "\"-\"", "1e99",    "\"1e\"",  "{}"};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double x;
        assert_true(iol_view_number(iol_view_of(rows[i].text, strlen(rows[i].text)), &x));
        CHECK_NEAR(x, rows[i].value, 1e-6 * fmax(1.0, fabs(rows[i].value)),
                   "the text (32-bit noise beyond the sixth decimal)");
    }
    for (size_t i = 0; i < sizeof none / sizeof *none; i++) {
        double x = 7.0;
        assert_false(iol_view_number(iol_view_of(none[i], strlen(none[i])), &x));
    }
    assert_false(iol_view_number((iol_view){NULL, NULL}, &(double){0.0}));
}

/* RFC 8259 section 7 (escapes) and RFC 3629 section 3 (bytes): the ends of each length. */
static void texts(void **state) {
    (void)state;
    static const struct {
        const char *written, *bytes;
    } rows[] = {{"\"\\u0041\\u007fz\"", "A\x7fz"},
                {"\"\\u0080\\u07FF\"", "\xc2\x80\xdf\xbf"},
                {"\"\\u0800\\uffff\"", "\xe0\xa0\x80\xef\xbf\xbf"},
                {"\"\\ud800\\udc00\\uDBFF\\uDFFF\"", "\xf0\x90\x80\x80\xf4\x8f\xbf\xbf"},
                {"\"\\n\\t\\/\\\\\\\"\"", "\n\t/\\\""},
                {"\"\"", ""}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char text[24];
        size_t length = strlen(rows[i].bytes);
        memset(text, '?', sizeof text);
        const iol_view view = iol_view_of(rows[i].written, strlen(rows[i].written));
        assert_true(iol_view_text(view, text, length + 1));
        assert_string_equal(text, rows[i].bytes);
        if (length > 0) assert_false(iol_view_text(view, text, length)); /* no room for the end */
    }
}

/* power_d of a toric box may be its weakest meridian: the equivalent lies half the cylinder above (definition). */
static void stock(void **state) {
    (void)state;
    static iol_site site;
    iol_site_reset(&site);
    iol_stock_item *item = &site.stock[site.stock_count++];
    item->present = true;
    memcpy(item->gtin, "02000000000015", 15), memcpy(item->lens_id, "t", 2);
    item->power_d = 22.25, item->cylinder_d = 1.5, item->power_is = IOL_power_is_weakest_meridian;
    CHECK_NEAR(iol_stock_equivalent(item), 23.0, 0.0, "definition");
    assert_true(iol_stock_is(item, "t", 23.0, 1.5));
    assert_false(iol_stock_is(item, "t", 22.25, 1.5));
    assert_false(iol_stock_is(item, "t", 23.0, NAN));
    assert_false(iol_stock_is(item, "t", NAN, 1.5));
    assert_false(iol_stock_is(item, "u", 23.0, 1.5));
    assert_string_equal(iol_stock_number(&site, "t", 23.0, 1.5), "02000000000015");
    assert_string_equal(iol_stock_number(&site, "t", 23.5, 1.5), "");
    item->power_is = IOL_power_is_equivalent;
    assert_true(iol_stock_is(item, "t", 22.25, 1.5));
    item->cylinder_d = NAN;
    assert_true(iol_stock_is(item, "t", 22.25, 0.0));
    assert_true(iol_stock_is(item, "t", 22.25, NAN));
    assert_null(iol_stock_find(&site, "02000000000022"));
    item->power_d = NAN;
    assert_false(iol_stock_is(item, "t", NAN, NAN));
}

static void remarks_move(void **state) {
    (void)state;
    static const struct {
        const char *before, *after;
    } rows[] = {{"/refractions/0/sphere_d", "/refractions/0/sphere_d"},
                {"/refractions/1", "/refractions/2"},
                {"/refractions/9/sphere_d", "/refractions/10/sphere_d"},
                {"/refraction_before_cataract", "/refraction_before_cataract"},
                {"/biometry", "/biometry"}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char path[IOL_REMARK_PATH] = "";
        snprintf(path, sizeof path, "%s", rows[i].before);
        iol_remark_path_moved(path, "/refractions", 1);
        assert_string_equal(path, rows[i].after);
    }
}

/* More remarks than there is room for are a fault, never a value without its origin. */
static void no_room(void **state) {
    (void)state;
    static iol_remarks remarks;
    static iol_case c;
    static iol_faults faults;
    static iol_intake intake;
    char texts[40];
    iol_case_reset(&c);
    iol_faults_start(&faults);
    iol_remarks_start(&remarks, texts, sizeof texts);
    iol_intake_start(&intake, &c, &remarks, &faults);
    assert_true(iol_intake_put(&intake, "age_years", "66", "twenty letters or so"));
    assert_int_equal(faults.count, 0);
    iol_intake_put(&intake, "target_se_d", "-0.25", "twenty letters or so");
    assert_int_equal(faults.count, 1);
    assert_int_equal(faults.item[0].code, IOL_FAULT_too_long);
    assert_false(iol_intake_put(&intake, "no_such_key", "1", "x"));
    assert_false(iol_intake_put(&intake, "biometry.axial_length_mm", "2.3", "x"));
    assert_int_equal(faults.count, 3);
}

/* The seventeenth reading has no place, and says so. */
static void full_list(void **state) {
    (void)state;
    static iol_remarks remarks;
    static iol_case c;
    static iol_faults faults;
    static iol_intake intake;
    static char texts[4000];
    iol_case_reset(&c);
    iol_remarks_start(&remarks, texts, sizeof texts);
    iol_intake_start(&intake, &c, &remarks, &faults);
    for (int day = 0; day < 16; day++) {
        assert_int_equal(iol_intake_reading(&intake, 1000 - day, 0, true), 0); /* each older than those before */
        c.refractions[0].measured_on = 1000 - day;
    }
    assert_int_equal(iol_intake_reading(&intake, 2000, 0, true), -1);
    assert_int_equal(iol_intake_reading(&intake, 1000, 0, true), 15);
    assert_int_equal(iol_intake_reading(&intake, 999, 0, false), 14);
}

/* The word that the rows of a class take for a key out of one eye, or "". */
static const char *word_taken(int class, const char *eye, const char *key) {
    static char out[64];
    const iol_view item = iol_view_of(eye, strlen(eye));
    const iol_data_set set = {.root = iol_view_of("{}", 2), .class = class};
    for (int i = 0; i < iol_map_rows; i++)
        if (iol_map[i].class == class && iol_map[i].key && strcmp(iol_map[i].key, key) == 0 &&
            iol_map[i].kind != IOL_MAP_HAND && iol_map[i].kind != IOL_MAP_REFUSE &&
            iol_map_find(&iol_map[i], &set, item, out, sizeof out) == 1)
            return out;
    return "";
}

/* Codes entered again: state of the eye, method and formula from the lists of PS3.16; myopia, hyperopia and the kinds of corneal
 * laser from memory. A code that stands in no list is taken for nothing. */
static void codes(void **state) {
    (void)state;
    static const struct {
        int class;
        const char *tag;
        long code;
        const char *key, *word;
    } one[] = {{7, "00221024", 309649001, "biometry.eye_state", "phakic"},
               {7, "00221024", 95217000, "biometry.eye_state", "pseudophakic"},
               {7, "00221024", 24010005, "biometry.eye_state", "aphakic"},
               {7, "00221025", 247095003, "biometry.eye_state", "silicone-oil"},
               {7, "00221044", 111750, "biometry.method", "contact-ultrasound"},
               {7, "00221044", 111751, "biometry.method", "immersion-ultrasound"},
               {8, "00221028", 111767, "first_surgery.sheet_formula", "srk-t"},
               {8, "00221028", 111760, "first_surgery.sheet_formula", "haigis"},
               {8, "00221028", 111762, "first_surgery.sheet_formula", "holladay-1"},
               {8, "00221028", 111764, "first_surgery.sheet_formula", "hoffer-q"}};
    static const long laser[] = {312965008, 414582004, 397516006, 111681}, myopia = 57190000, hyperopia = 38101003;
    static const char sequence[] =
        "{\"%s\":{\"vr\":\"SQ\",\"Value\":[{\"00080100\":{\"vr\":\"SH\",\"Value\":[\"%ld\"]}}]}}";
    static const char two[] =
        "{\"00221040\":{\"vr\":\"SQ\",\"Value\":[{\"00080100\":{\"vr\":\"SH\",\"Value\":[\"%ld\"]}}]},"
        "\"00221103\":{\"vr\":\"SQ\",\"Value\":[{\"00080100\":{\"vr\":\"SH\",\"Value\":[\"%ld\"]}}]}}";
    static const char surgery[] = "cornea.earlier_refractive_surgery";
    char eye[400];
    for (size_t i = 0; i < sizeof one / sizeof *one; i++)
        for (int off = 0; off < 2; off++) {
            snprintf(eye, sizeof eye, sequence, one[i].tag, one[i].code + off * 1000);
            assert_string_equal(word_taken(one[i].class, eye, one[i].key), off ? "" : one[i].word);
        }
    for (size_t i = 0; i < sizeof laser / sizeof *laser; i++) {
        snprintf(eye, sizeof eye, two, laser[i], myopia);
        assert_string_equal(word_taken(8, eye, surgery), "myopic-laser");
        snprintf(eye, sizeof eye, two, laser[i], hyperopia);
        assert_string_equal(word_taken(8, eye, surgery), "hyperopic-laser");
        snprintf(eye, sizeof eye, two, laser[i], myopia + 7);
        assert_string_equal(word_taken(8, eye, surgery), "");
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(numbers), cmocka_unit_test(texts),     cmocka_unit_test(stock), cmocka_unit_test(remarks_move),
        cmocka_unit_test(no_room), cmocka_unit_test(full_list), cmocka_unit_test(codes)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
