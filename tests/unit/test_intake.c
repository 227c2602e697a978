/* Pieces of what comes in: numbers as other programs write them, the stock, remarks that move with their reading. */
#include "case/stock.h"
#include "check.h"
#include "intake/dicom_map.h"
#include "intake/intake.h"
#include "tables/say.h"

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

/* What an object does not tell is not known, whatever stood in its place before. */
static void objects(void **state) {
    (void)state;
    static const char *const said[] = {"{\"sphere_d\":1.5}", "{}", "7"};
    const iol_object *object = iol_object_find(iol_object_case, "refractions", strlen("refractions"))->inside;
    for (size_t i = 0; i < sizeof said / sizeof *said; i++) {
        iol_refraction r;
        memset(&r, 0x41, sizeof r);
        iol_view_object(iol_view_of(said[i], strlen(said[i])), object, &r);
        assert_int_equal(r.present, i < 2);
        CHECK_NEAR(isnan(r.sphere_d) ? -99.0 : r.sphere_d, i == 0 ? 1.5 : -99.0, 0.0, "as it is written");
        CHECK_NAN(r.cylinder_d);
        assert_int_equal(r.measured_on, IOL_UNKNOWN_DATE);
    }
    static const char *const flag[] = {"{\"oil_then\":true}", "{\"oil_then\":false}", "{\"oil_then\":null}", "{}"};
    static const iol_flag is[] = {IOL_YES, IOL_NO, IOL_UNKNOWN, IOL_UNKNOWN};
    for (size_t i = 0; i < sizeof flag / sizeof *flag; i++) {
        iol_refraction r;
        iol_view_object(iol_view_of(flag[i], strlen(flag[i])), object, &r);
        assert_int_equal(r.oil_then, is[i]);
    }
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
                {"/beforehand00/1", "/beforehand00/1"}, /* a list whose name is as long */
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

/* Every row of the map has the tags and codes that the standard gives to what it takes, and no other: each stands in
 * tests/reference/dicom_map.tsv with its meaning by PS3.3, PS3.6 and PS3.16. */
static char written_rows[128][480];
static int written_count;
static bool written_seen[128];

static void map_row(const char *row) {
    int found = 0;
    for (int i = 0; i < written_count; i++)
        if (strncmp(written_rows[i], row, strlen(row)) == 0) found++, written_seen[i] = true;
    if (found != 1) fail_msg("%d rows of tests/reference/dicom_map.tsv say: %s", found, row);
}

static void as_the_standard_has_it(void **state) {
    (void)state;
    static const char empty[] = "";
    char row[480], code[24], other[24], taken[200];
    FILE *in = fopen("tests/reference/dicom_map.tsv", "r");
    assert_non_null(in);
    while (written_count < 128 && fgets(written_rows[written_count], sizeof written_rows[0], in))
        written_count += written_rows[written_count][0] != '#' && strncmp(written_rows[written_count], "kind", 4) != 0;
    fclose(in);
#define SAYS(kind, class, path, code, second, other, value, key, taken)                                                \
    snprintf(row, sizeof row, "%s\t%.0d\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t", kind, class, path, code, second, other, value, \
             key, taken),                                                                                              \
        map_row(row)
    static const char *const kinds[] = {"number", "newest", "pick",   "coded",  "written",
                                        "both",   "hand",   "refuse", "unless", "say"};
    for (int i = 0; i < iol_map_rows; i++) {
        const iol_map_row *m = &iol_map[i];
        const bool text = m->kind == IOL_MAP_WRITTEN || m->kind == IOL_MAP_CODED || m->kind == IOL_MAP_BOTH;
        snprintf(code, sizeof code, "%.0ld", m->code);
        snprintf(other, sizeof other, "%.0ld", m->other);
        snprintf(taken, sizeof taken, "%s%s%s", text ? m->word : empty, m->taken ? " " : empty,
                 m->taken ? m->taken : empty);
        SAYS(kinds[m->kind], m->class, m->path, code, m->second ? m->second : empty, other, m->value ? m->value : empty,
             m->key ? m->key : empty, taken);
    }
#define CLASS(class, right, left, name) SAYS("class", class, right, empty, left, empty, empty, name, empty);
#define CONSTANT_OF(code, key) SAYS("constant_of", 0, empty, #code, empty, empty, empty, key, empty);
#include "dicom_map.def"
    for (int i = 0; i < written_count; i++)
        if (!written_seen[i]) fail_msg("written and not there: %s", written_rows[i]);
}

/* The text as the value of the last tags of a path: each an item of the one before. */
static void inside(const char *path, bool items, char text[1024]) {
    const size_t first = strlen(path) - 8;
    for (const char *at = path + first;; at -= 9) {
        char made[1024] = "{\"";
        iol_append_bytes(made, sizeof made, at, 8);
        iol_append(made, sizeof made, items || at != path + first ? "\":{\"vr\":\"SQ\",\"Value\":[" : "\":");
        iol_append(made, sizeof made, text);
        iol_append(made, sizeof made, items || at != path + first ? "]}}" : "}");
        memcpy(text, made, sizeof made);
        if (at == path) return;
    }
}

/* One more attribute of an item. */
static void beside(const char *tag, const char *value, char text[1024]) {
    char made[1024] = "{\"";
    iol_append(made, sizeof made, tag);
    iol_append(made, sizeof made, "\":");
    iol_append(made, sizeof made, value);
    iol_append(made, sizeof made, ",");
    iol_append(made, sizeof made, text + 1);
    memcpy(text, made, sizeof made);
}

/* Noise of 32 bits goes, and nothing else: what a unit is printed with is taken; a cornea's thickness is written in mm. */
static void rounded(void **state) {
    (void)state;
    static const struct {
        const char *key, *text;
    } want[] = {{"_mm", "9.88"}, {"_d", "9.88"}, {"_deg", "10"}, {"_um", "9877"}};
    const iol_data_set set = {.root = iol_view_of("{}", 2)};
    for (int i = 0; i < iol_map_rows; i++) {
        const iol_map_row *m = &iol_map[i];
        char eye[1024] = "{\"vr\":\"FL\",\"Value\":[9.87654305]}", out[40], code[120];
        if (m->kind > IOL_MAP_PICK) continue;
        inside(m->kind == IOL_MAP_NUMBER ? m->path : m->kind == IOL_MAP_NEWEST ? m->second : m->value, false, eye);
        snprintf(code, sizeof code, "{\"vr\":\"SQ\",\"Value\":[{\"00080100\":{\"vr\":\"SH\",\"Value\":[\"%ld\"]}}]}",
                 m->code);
        if (m->kind == IOL_MAP_PICK) beside(m->second, code, eye);
        if (m->kind == IOL_MAP_NUMBER && m->second) beside(m->second, "{\"vr\":\"CS\",\"Value\":[\"YES\"]}", eye);
        if (m->kind != IOL_MAP_NUMBER) inside(m->path, true, eye);
        assert_int_equal(iol_map_find(m, &set, iol_view_of(eye, strlen(eye)), out, sizeof out), 1);
        size_t k = 0;
        while (k < sizeof want / sizeof *want && strcmp(strrchr(m->key, '_'), want[k].key) != 0) k++;
        assert_true(k < sizeof want / sizeof *want);
        assert_string_equal(out, want[k].text);
    }
}

/* Indices that keratometers are built with: common practice, no source. Nothing between them is one. */
static void indices(void **state) {
    (void)state;
    static const double built[] = {1.3315, 1.332, 1.336, 1.3375, 1.338};
    for (size_t i = 0; i < sizeof built / sizeof *built; i++)
        CHECK_NEAR(iol_map_index(built[i]), built[i], 0.0, "common practice");
    CHECK_NEAR(iol_map_index(1.34), -1.0, 0.0, "none");
    CHECK_NEAR(iol_map_index(1.330), -1.0, 0.0, "none");
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(numbers), cmocka_unit_test(texts), cmocka_unit_test(objects),
                                       cmocka_unit_test(stock),   cmocka_unit_test(remarks_move),
                                       cmocka_unit_test(no_room), cmocka_unit_test(full_list),
                                       cmocka_unit_test(codes),   cmocka_unit_test(as_the_standard_has_it),
                                       cmocka_unit_test(rounded), cmocka_unit_test(indices)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
