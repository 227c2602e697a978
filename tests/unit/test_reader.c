/* The strict reader: what it refuses, where, and what it says; what it takes. The rules are the project's own (the page
 * docs/case-format.md); JSON itself is held against RFC 8259 in test_scan.c. */
#include "check.h"

#include <cJSON.h>

#include "case/reader.h"
#include "case/scan.h"
#include "case/unusual.h"
#include "case/value.h"
#include "iolrevise.h"
#include "tables/say.h"

#define COUNT(list) (sizeof(list) / sizeof(list)[0])
#define HEAD "{\"case_format\":1,\"case_ref\":\"A-1\",\"eye\":\"right\",\"reason\":\"power-error\",\n"
#define SITE "{\"site_format\":1,\"lenses\":[\n"
#define ENTRY(id, positions, purpose, first, last, step)                                                               \
    "{\"id\":\"" id "\",\"positions\":[" positions "],\"purpose\":\"" purpose "\",\"power_first_d\":" first            \
    ",\"power_last_d\":" last ",\"power_step_d\":" step
#define LENS(id) ENTRY(id, "\"bag\"", "replacement", "6", "30", "0.5")
#define POWERS(first, last, step) ENTRY("a", "\"bag\"", "replacement", first, last, step)
#define SULCUS(design, purpose, edge, length)                                                                          \
    ENTRY("a", "\"bag\",\"sulcus\"", purpose, "-6", "6", "0.5")                                                        \
    ",\"design\":\"" design "\",\"edge\":\"" edge "\",\"length_mm\":" length

static iol_case c, again;
static iol_site site;
static iol_faults faults;

/* A copy that ends where the text ends, so that a sanitizer sees every byte read too far. */
static bool read_case_bytes(const char *text, size_t length, iol_case *into) {
    char *copy = malloc(length ? length : 1);
    assert_non_null(copy);
    memcpy(copy, text, length);
    bool good = iol_case_read(copy, length, into, &faults);
    free(copy);
    assert_int_equal(good, faults.count == 0);
    return good;
}
static bool read_case(const char *text) { return read_case_bytes(text, strlen(text), &c); }

static void assert_plain(const char *text) {
    for (; *text; text++) assert_in_range((unsigned char)*text, 0x20, 0x7e);
}

/* ---- refusals ---- */

typedef struct {
    const char *text, *all, *says;
} refusal_row;

/* Every fault as "LINE PATH CODE", "|" between. */
static void list_faults(char *out, size_t size) {
    out[0] = '\0';
    for (int i = 0; i < faults.count; i++) {
        char line[IOL_FAULT_LINE], one[300];
        const iol_fault *f = &faults.item[i];
        snprintf(one, sizeof one, "%s%d %s %s", i ? "|" : "", f->line, f->path[0] ? f->path : "(whole)",
                 iol_fault_word(f->code));
        iol_append(out, size, one);
        iol_fault_print(f, line, sizeof line);
        assert_plain(line);
        assert_true(f->wanted[0] && strlen(f->wanted) < sizeof f->wanted - 1);
    }
}

static void check_row(const refusal_row *row, bool good) {
    char got[4000], line[IOL_FAULT_LINE];
    list_faults(got, sizeof got);
    if (faults.count) iol_fault_print(&faults.item[0], line, sizeof line);
    if (good || strcmp(got, row->all) != 0 || !strstr(line, row->says))
        fail_msg("%s\n  got  %s\n  want %s\n  says %s\n  want %s", row->text, got, row->all, good ? "" : line,
                 row->says);
}

static void case_refusals(void **state) {
    (void)state;
    static const refusal_row rows[] = {
#include "rows/case_refusals.inc"
    };
    for (size_t i = 0; i < COUNT(rows); i++) check_row(&rows[i], read_case(rows[i].text));
}

/* On the near side of each limit, and what the other word allows: no contradiction. */
static void no_contradiction(void **state) {
    (void)state;
    static const char *const texts[] = {
        HEAD "\"first_surgery\":{\"lens\":{\"power_d\":20,\"refractive_index\":1.49,\"front_radius_mm\":15.4,"
             "\"back_radius_mm\":-15.4}}}",
        HEAD "\"first_surgery\":{\"lens\":{\"power_d\":15.1,\"refractive_index\":1.49,\"front_radius_mm\":15.4,"
             "\"back_radius_mm\":-15.4}}}",
        HEAD "\"first_surgery\":{\"lens\":{\"power_d\":13,\"cylinder_d\":3,\"power_is\":\"weakest-meridian\","
             "\"refractive_index\":1.49,\"front_radius_mm\":15.4,\"back_radius_mm\":-15.4}}}",
        HEAD
        "\"silicone_oil\":{\"now\":true,\"at_refraction\":true,\"stays\":true},\"zonule\":{\"vitrectomised\":true}}",
        HEAD "\"silicone_oil\":{\"now\":true}}",
        HEAD "\"cornea\":{\"earlier_refractive_surgery\":\"myopic-laser\",\"k_before_surgery_d\":44,\"laser_correction_"
             "d\":-4}}",
        HEAD "\"cornea\":{\"k_before_surgery_d\":44,\"laser_correction_d\":-4}}",
        HEAD "\"biometry\":{\"k_flat_d\":43,\"k_steep_d\":44},\"cornea\":{\"k_total_d\":38.5}}",
        HEAD "\"cornea\":{\"k_total_d\":38.5}}",
        HEAD
        "\"aphakic_now\":false,\"dislocation\":{\"lies\":\"retina\"},\"biometry_repeat\":{\"eye_state\":\"aphakic\"},"
        "\"refractions\":[{\"lens_then\":\"aphakic\"}]}",
        HEAD "\"aphakic_now\":false,\"refractions\":[{\"lens_then\":\"aphakic\"}]}",
        HEAD "\"second_lens\":{\"power_d\":3},\"second_lens_gap_mm\":0.5}"};
    for (size_t i = 0; i < COUNT(texts); i++)
        if (!read_case(texts[i])) fail_msg("%s: %s", texts[i], faults.item[0].found);
}

static void site_refusals(void **state) {
    (void)state;
    static const refusal_row rows[] = {
#include "rows/site_refusals.inc"
    };
    for (size_t i = 0; i < COUNT(rows); i++)
        check_row(&rows[i], iol_site_read(rows[i].text, strlen(rows[i].text), &site, &faults));
}

/* What the parser behind the scan would have let through. */
static void parser_laxness(void **state) {
    (void)state;
    static const struct {
        const char *text;
        iol_fault_code code;
    } rows[] = {
        {HEAD "\"age_years\":071}", IOL_FAULT_syntax},
        {HEAD "\"age_years\":71.}", IOL_FAULT_syntax},
        {HEAD "\"age_years\":1e999}", IOL_FAULT_syntax},
        {HEAD "\"first_surgery\":{\"sheet_formula\":\"a\x01z\"}}", IOL_FAULT_control_character},
        {HEAD "\"first_surgery\":{\"sheet_formula\":\"a\tz\"}}", IOL_FAULT_control_character},
        {HEAD "\"first_surgery\":{\"sheet_formula\":\"a\xffz\"}}", IOL_FAULT_bad_utf8},
        {HEAD "\"first_surgery\":{\"sheet_formula\":\"a\xc0\xaf\"}}", IOL_FAULT_bad_utf8},
        {HEAD "\"age_years\":71} x", IOL_FAULT_trailing_text},
        {HEAD "\"age_years\":71}}", IOL_FAULT_trailing_text},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        cJSON *lax = cJSON_ParseWithLength(rows[i].text, strlen(rows[i].text));
        if (!lax) fail_msg("row %zu: the parser refuses this itself", i);
        cJSON_Delete(lax);
        assert_false(read_case(rows[i].text));
        assert_int_equal(faults.item[0].code, rows[i].code);
        assert_int_equal(faults.item[0].line, 2);
    }
    assert_false(read_case(HEAD "\"first_surgery\":{\"sheet_formula\":\"a\\u0000z\"}}"));
    assert_int_equal(faults.item[0].code, IOL_FAULT_control_character);
}

/* Every code that a file can be refused for is reached here. */
static void every_code(void **state) {
    (void)state;
    static const refusal_row rows[] = {
#include "rows/case_refusals.inc"
    };
    bool reached[IOL_FAULT_COUNT] = {false};
    for (size_t i = 0; i < COUNT(rows); i++) {
        read_case(rows[i].text);
        for (int k = 0; k < faults.count; k++) reached[faults.item[k].code] = true;
    }
    static const char *const texts[] = {"{", "{\"a\":\"\xff\"}", "{\"a\":\"\x01\"}", "{} {}",
                                        "[[[[[[[[[[[[[[[[[]]]]]]]]]]]]]]]]]"};
    for (size_t i = 0; i < COUNT(texts); i++) {
        read_case(texts[i]);
        reached[faults.item[0].code] = true;
    }
    char many[3 * 4200] = "[";
    for (int i = 0; i < 4200; i++) strcat(many, i ? ",0" : "0");
    read_case(many);
    reached[faults.item[0].code] = true;
    reached[IOL_FAULT_no_memory] = true; /* memory_runs_out */
    for (int i = 0; i < IOL_FAULT_COUNT; i++)
        if (!reached[i]) fail_msg("never reached: %s", iol_fault_word((iol_fault_code)i));
}

/* ---- limits ---- */

static int numbers;

/* Each number of a table at the end of its path: both limits are taken, a step beyond is not. */
static void both_sides(const iol_object *object, const char *before, const char *behind) {
    for (int i = 0; i < object->count; i++) {
        const iol_field *f = &object->field[i];
        bool list = f->kind == IOL_KIND_LIST;
        char text[900], more[400], end[40];
        snprintf(more, sizeof more, "%s\"%s\":%s{", before, f->key, list ? "[" : "");
        snprintf(end, sizeof end, "}%s%s", list ? "]" : "", behind);
        if (f->inside) both_sides(f->inside, more, end);
        if (f->kind != IOL_KIND_NUM) continue;
        assert_true(f->hard_low <= f->usual_low && f->usual_low <= f->usual_high && f->usual_high <= f->hard_high);
        for (int side = 0; side < 4; side++) {
            double limit = side < 2 ? f->hard_low : f->hard_high, step = side % 2 ? 0.0 : side < 2 ? -1e-3 : 1e-3;
            snprintf(text, sizeof text, "%s\"%s\":%.4f%s", before, f->key, limit + step, behind);
            read_case(text);
            bool refused = false;
            for (int k = 0; k < faults.count; k++) {
                iol_fault_code code = faults.item[k].code;
                bool limit_fault = code == IOL_FAULT_out_of_range || code == IOL_FAULT_unit_slip ||
                                   code == IOL_FAULT_unsupported_format;
                if (limit_fault) assert_int_equal(faults.item[k].line, 2);
                refused |= limit_fault;
            }
            if (refused != (step != 0.0)) fail_msg("%s", text);
            numbers++;
        }
    }
}

static void limits_of_numbers(void **state) {
    (void)state;
    both_sides(iol_object_case, "{\n", "}");
    assert_true(numbers > 400);
}

static char big[(1 << 20) + 8];

static void limits_of_files(void **state) {
    (void)state;
    static const char tail[] = "\"age_years\":71}";
    size_t most = 1u << 20;
    memset(big, ' ', sizeof big);
    memcpy(big, HEAD, strlen(HEAD));
    memcpy(big + most - strlen(tail), tail, strlen(tail));
    assert_true(read_case_bytes(big, most, &c));
    CHECK_NEAR(c.age_years, 71, 0, "as written");
    assert_false(read_case_bytes(big, most + 1, &c));
    assert_int_equal(faults.item[0].code, IOL_FAULT_too_long);
    for (int n = 15; n <= 17; n++) {
        char text[2000] = HEAD "\"refractions\":[";
        for (int i = 0; i < n; i++) strcat(text, i ? ",{\"sphere_d\":1}" : "{\"sphere_d\":1}");
        strcat(text, "]}");
        assert_int_equal(read_case(text), n <= 16);
        if (n <= 16) assert_int_equal(c.refractions_count, n);
        if (n == 17) assert_string_equal(faults.item[0].found, "17");
    }
    /* What is no list, or too long a one, is one fault: nothing in it is read. */
    static const char *const not_read[] = {"{\"sphere_d\":\"x\"}", "[1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1]"};
    for (int i = 0; i < 2; i++) {
        char text[2000] = HEAD "\"refractions\":";
        strcat(strcat(text, not_read[i]), "}");
        assert_false(read_case(text));
        assert_int_equal(faults.count, 1);
    }
}

static void more_than_fifty(void **state) {
    (void)state;
    char text[4000] = "{\"case_format\":1,\"case_ref\":\"A\",\"eye\":\"left\",\"reason\":\"lens-tilt\"";
    for (int i = 0; i < 60; i++) {
        char one[24];
        snprintf(one, sizeof one, ",\n\"zz%d\":0", i);
        strcat(text, one);
    }
    strcat(text, "}");
    assert_false(read_case(text));
    assert_int_equal(faults.count, 50);
    assert_int_equal(faults.more, 10);
    for (int i = 0; i < 50; i++) assert_int_equal(faults.item[i].line, i + 2);
}

/* ---- what is taken ---- */

static void ways_to_say_not_known(void **state) {
    (void)state;
    static const char *const rows[] = {
        HEAD "\"age_years\":null}",
        HEAD "\"biometry\":null}",
        HEAD "\"biometry\":{}}",
        HEAD "\"biometry\":{\"//\":\"x\",\"method\":null}}",
        HEAD "\"refractions\":null}",
        HEAD "\"refractions\":[]}",
        HEAD "\"refractions\":[{}]}",
        HEAD "\"refractions\":[{\"//\":\"x\",\"sphere_d\":null},{}]}",
        HEAD "\"reasons_also\":[]}",
        HEAD "\"first_surgery\":{\"lens\":{\"constants\":{\"obtained_with\":\"unknown\"}}}}",
        HEAD "\"cornea\":{\"earlier_refractive_surgery\":\"unknown\"}}",
        HEAD "\"//\":\"a remark\"}",
        HEAD "\"//\":\"a remark\",\"// 2\":\"another\",\"//note\":\"\"}",
        HEAD "\"//\":\"your own reference, never a name: A-1\"}",
    };
    iol_case_reset(&again);
    assert_true(read_case("{\"case_format\":1,\"case_ref\":\"A-1\",\"eye\":\"right\",\"reason\":\"power-error\"}"));
    memcpy(&again, &c, sizeof c);
    for (size_t i = 0; i < COUNT(rows); i++) {
        if (!read_case(rows[i])) fail_msg("%s: %s %s", rows[i], faults.item[0].path, faults.item[0].wanted);
        assert_memory_equal(&c, &again, sizeof c);
    }
}

/* A remark that says who somebody is, wherever in it: behind another sign, too. */
static void remarks_that_name(void **state) {
    (void)state;
    static const struct {
        const char *key, *text;
        bool names;
    } row[] = {{"//", "a remark", false},
               {"//", "K: 43.5; L: 23.5", false},
               {"//", "patient name: X", true},
               {"//", "seen: fine; patient name: X", true},
               {"//", "a: b. c: d. surname= X", true},
               {"//", "date of birth: 1 May 1950", true},
               {"// surname", "X", true},
               {"//lens", "its name: none", false}};
    for (size_t i = 0; i < COUNT(row); i++)
        if (iol_remark_names_a_person(row[i].key, row[i].text) != row[i].names) fail_msg("%s: %s", row[i].key, row[i].text);
}

static void values_are_read(void **state) {
    (void)state;
    assert_true(
        read_case("\xef\xbb\xbf{\r\n\"reason\":\"lens-tilt\",\"reasons_also\":[\"lens-opacity\",\"inflammation\"],"
                  "\"eye\":\"left\",\"case_ref\":\"0.a_B-9\",\"case_format\":1.0,\"age_years\":0,"
                  "\"assessed_on\":\"2024-02-29\",\"patient\":{\"diabetes\":false,\"blood_thinner\":true},"
                  "\"refractions\":[{\"sphere_d\":-1.25e0},{},{\"sphere_d\":-0,\"axis_deg\":0}],"
                  "\"cornea\":{\"surface\":\"not-examined\",\"thickness_um\":545},"
                  "\"first_surgery\":{\"sheet_formula\":\"caf\\u00e9\"},"
                  "\"anterior_segment\":{\"fluid_behind_lens\":\"not-examined\"}}\r\n"));
    assert_int_equal(c.eye, IOL_side_left);
    assert_int_equal(c.reason, IOL_reason_lens_tilt);
    assert_int_equal(c.reasons_also_count, 2);
    assert_int_equal(c.reasons_also[1], IOL_reason_inflammation);
    assert_string_equal(c.case_ref, "0.a_B-9");
    CHECK_NEAR(c.age_years, 0, 0, "zero is a value");
    assert_int_equal(c.assessed_on, 19782); /* days since 1970-01-01: 54 x 365 + 13 leap days + 31 + 28 */
    assert_int_equal(c.patient.diabetes, IOL_NO);
    assert_int_equal(c.patient.blood_thinner, IOL_YES);
    assert_int_equal(c.patient.only_seeing_eye, IOL_UNKNOWN);
    assert_int_equal(c.refractions_count, 3);
    CHECK_NEAR(c.refractions[0].sphere_d, -1.25, 0, "as written");
    assert_false(c.refractions[1].present);
    CHECK_NAN(c.refractions[1].sphere_d);
    CHECK_NEAR(c.refractions[2].sphere_d, 0, 0, "as written");
    assert_int_equal(c.cornea.surface, IOL_NOT_EXAMINED);
    assert_int_equal(c.anterior_segment.fluid_behind_lens, IOL_NOT_EXAMINED);
    assert_string_equal(c.first_surgery.sheet_formula, "caf\xc3\xa9");
    assert_false(c.biometry.present);
    assert_true(c.present && c.cornea.present);
}

/* An escaped key is the same key (RFC 8259, section 8.3), for reading and for standing twice. */
static void escaped_keys(void **state) {
    (void)state;
    assert_true(read_case(HEAD "\"ag\\u0065_years\":71}"));
    CHECK_NEAR(c.age_years, 71, 0, "as written");
    assert_false(read_case(HEAD "\"\\u0065ye\":\"left\"}"));
    assert_int_equal(faults.item[0].code, IOL_FAULT_duplicate_key);
}

/* Turn the order of members round, all the way down. */
static void turn_round(cJSON *node) {
    for (cJSON *child = node->child; child; child = child->next) turn_round(child);
    if (!cJSON_IsObject(node)) return;
    cJSON *turned = NULL, *child;
    while ((child = node->child)) {
        cJSON_DetachItemViaPointer(node, child);
        child->next = turned;
        child->prev = NULL;
        turned = child;
    }
    while ((child = turned)) {
        turned = child->next;
        child->next = NULL;
        char key[80] = "";
        iol_append(key, sizeof key, child->string);
        cJSON_AddItemToObject(node, key, child);
    }
}

/* The order of keys means nothing; reading again gives the same bytes. */
static void order_of_keys(void **state) {
    (void)state;
    static const char *const files[] = {"hyperopic-surprise", "dislocation", "toric-turned", "sulcus-lens", "minimal"};
    for (size_t i = 0; i < COUNT(files); i++) {
        char name[80];
        snprintf(name, sizeof name, "examples/%s.json", files[i]);
        FILE *file = fopen(name, "rb");
        assert_non_null(file);
        size_t length = fread(big, 1, sizeof big - 1, file);
        fclose(file);
        big[length] = '\0';
        assert_true(read_case_bytes(big, length, &c) && read_case_bytes(big, length, &again));
        assert_memory_equal(&c, &again, sizeof c);
        cJSON *tree = cJSON_Parse(big);
        turn_round(tree);
        char *turned = cJSON_Print(tree);
        assert_true(strcmp(turned, big) != 0);
        assert_true(read_case_bytes(turned, strlen(turned), &again));
        assert_memory_equal(&c, &again, sizeof c);
        cJSON_free(turned);
        cJSON_Delete(tree);
    }
}

static int allocations_left;
static void *few_allocations(size_t size) { return allocations_left-- > 0 ? malloc(size) : NULL; }

static void memory_runs_out(void **state) {
    (void)state;
    static const char text[] = HEAD "\"age_years\":71,\"biometry\":{\"axial_length_mm\":23.5}}";
    cJSON_Hooks few = {few_allocations, free};
    bool good = false;
    int given = 0;
    cJSON_InitHooks(&few);
    for (; !good && given < 100; given++) {
        allocations_left = given;
        good = read_case(text);
        if (good) break;
        assert_true(iol_faults_no_memory(&faults));
        assert_int_equal(faults.count, 1);
    }
    cJSON_InitHooks(NULL);
    assert_true(good && given > 10);
    assert_false(iol_faults_no_memory(&faults));
    read_case("{");
    assert_false(iol_faults_no_memory(&faults));
}

/* Which kind of file it is: a key of the outermost object alone. */
static void kind_of_file(void **state) {
    (void)state;
    static const struct {
        const char *text;
        bool has;
    } rows[] = {
        {"{\"site_format\":1}", true},
        {"{\"a\":[{\"b\":\"}\\\"]\"}],\n\"site_format\" :1}", true},
        {"{\"a\":{\"site_format\":1}}", false},
        {"{\"a\":\"site_format\"}", false},
        {"[\"site_format\",1]", false},
        {"{\"site_formats\":1}", false},
        {"{\"site_format", false},
        {"{\"site_format\"", false},
        {"\"", false},
        {"{\"\\", false},
        {"", false},
    };
    for (size_t i = 0; i < COUNT(rows); i++)
        if (iol_scan_has_key(rows[i].text, strlen(rows[i].text), "site_format") != rows[i].has)
            fail_msg("%s", rows[i].text);
}

/* Same days and days in the right order stand. */
static void dates_may_agree(void **state) {
    (void)state;
    assert_true(read_case(
        HEAD "\"assessed_on\":\"2026-03-01\",\"biometry\":{\"measured_on\":\"2026-02-01\"},"
             "\"first_surgery\":{\"done_on\":\"2026-02-01\"},\"biometry_repeat\":{\"measured_on\":\"2026-02-01\"},"
             "\"refractions\":[{\"measured_on\":\"2026-03-01\"},{\"measured_on\":\"2026-03-01\"}],"
             "\"capsule\":{\"opened_on\":\"2026-03-01\"},\"outcome\":{\"done_on\":\"2026-04-01\",\"refraction\":"
             "{\"measured_on\":\"2026-04-01\"}}}"));
    assert_true(read_case(HEAD "\"biometry\":{\"k_flat_d\":43,\"k_steep_d\":43}}"));
    assert_true(read_case(HEAD "\"refractions\":[{\"sphere_d\":1,\"cylinder_d\":0}]}"));
}

/* ---- calendar ---- */

/* Every day of the years 1900 to 2199 by the rule of the Gregorian calendar (ISO 8601), one after the other. */
static void calendar(void **state) {
    (void)state;
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    int32_t got, want = -25567; /* 1900-01-01: 70 x 365 + 17 leap days before 1970-01-01 */
    for (int y = 1900; y <= 2199; y++)
        for (int m = 1; m <= 12; m++) {
            bool leap = y % 4 == 0 && (y % 100 != 0 || y % 400 == 0);
            for (int d = 1; d <= 32; d++) {
                char text[40], back[11];
                snprintf(text, sizeof text, "%04d-%02d-%02d", y, m, d);
                bool real = d <= days[m - 1] + (m == 2 && leap);
                assert_int_equal(iol_date_read(text, &got), real);
                if (!real) continue;
                assert_int_equal(got, want++);
                iol_date_print(got, back);
                assert_string_equal(back, text);
            }
        }
    assert_true(iol_date_read("1970-01-01", &got));
    assert_int_equal(got, 0);
}

/* ---- unusual values ---- */

static void tell(void *context, const iol_odd_value *odd) {
    char *out = context;
    iol_append(out, 1000, odd->path);
    iol_append(out, 1000, odd->axis_zero ? "=0|" : "|");
}

static void odd_values(void **state) {
    (void)state;
    char got[1000] = "";
    assert_true(read_case(
        HEAD "\"biometry\":{\"axial_length_mm\":19.99,\"k_flat_d\":38,\"k_steep_d\":50.01,\"k_steep_axis_deg\":0},"
             "\"refractions\":[{\"sphere_d\":12},{\"sphere_d\":-12.25,\"cylinder_d\":-1,\"axis_deg\":0},"
             "{\"axis_deg\":180,\"vertex_mm\":9.9}],"
             "\"fellow_eye\":{\"refraction\":{\"axis_deg\":0}},\"operation\":{\"incision_position_deg\":0},"
             "\"outcome\":{\"lens\":{\"constants\":{\"a_constant\":111.9}}}}"));
    iol_odd_values(iol_object_case, &c, tell, got);
    assert_string_equal(got, "/biometry/axial_length_mm|/biometry/k_steep_d|/biometry/k_steep_axis_deg=0|/refractions/"
                             "1/sphere_d|/refractions/1/axis_deg=0|/refractions/2/vertex_mm|"
                             "/fellow_eye/refraction/axis_deg=0|/outcome/lens/constants/a_constant|");
}

/* ---- sentences ---- */

static void sentences_of(const iol_object *object, int *count) {
    for (int i = 0; i < object->count; i++) {
        const iol_field *f = &object->field[i];
        iol_refusal refusal;
        char text[640];
        iol_refuse_kind(f, false, &refusal);
        assert_in_range(strlen(refusal.wanted), 5, sizeof refusal.wanted - 2);
        iol_refuse_missing(f, &refusal);
        assert_in_range(strlen(refusal.wanted), 5, sizeof refusal.wanted - 2);
        assert_in_range(strlen(iol_say_field(f, text, sizeof text)), 3, sizeof text - 2);
        assert_in_range(strlen(f->text), 3, 160);
        if (f->kind == IOL_KIND_WORD) {
            int word;
            assert_false(
                iol_take_word(f->words, f->words->word[1] + 1, &word, &refusal)); /* its first letter forgotten */
            assert_in_range(strlen(refusal.wanted), 5, sizeof refusal.wanted - 2);
        }
        ++*count;
        if (f->inside) sentences_of(f->inside, count);
    }
}

/* Nothing that is said of a field is cut. */
static void sentences_fit(void **state) {
    (void)state;
    int count = 0;
    sentences_of(iol_object_case, &count);
    sentences_of(iol_object_site, &count);
    assert_true(count > 300);
}

static bool has_key(const iol_object *object, const char *key) {
    if (iol_object_find(object, key, strlen(key))) return true;
    for (int i = 0; i < object->count; i++)
        if (object->field[i].inside && has_key(object->field[i].inside, key)) return true;
    return false;
}

static bool has_word(const iol_object *object, const char *word) {
    for (int i = 0; i < object->count; i++) {
        const iol_field *f = &object->field[i];
        for (int k = 1; f->words && k < f->words->count; k++)
            if (strcmp(f->words->word[k], word) == 0) return true;
        if (f->inside && has_word(f->inside, word)) return true;
    }
    return false;
}

/* What is suggested for another way to write it exists. */
static void aliases_name_keys_and_words(void **state) {
    (void)state;
    static const char *const keys[] = {
#define ALIAS(typed, key) key,
#define WORD_ALIAS(typed, word)
#include "key_aliases.def"
#undef ALIAS
#undef WORD_ALIAS
    };
    static const char *const words[] = {
#define ALIAS(typed, key)
#define WORD_ALIAS(typed, word) word,
#include "key_aliases.def"
#undef ALIAS
#undef WORD_ALIAS
    };
    for (size_t i = 0; i < COUNT(keys); i++)
        if (strcmp(keys[i], "//") != 0 && !has_key(iol_object_case, keys[i])) fail_msg("no key %s", keys[i]);
    for (size_t i = 0; i < COUNT(words); i++)
        if (!has_word(iol_object_case, words[i])) fail_msg("no word %s", words[i]);
}

/* The object of a table row, wherever it stands; NULL none. */
static const iol_object *object_of(const iol_object *object, const char *name) {
    if (strcmp(object->name, name) == 0) return object;
    const iol_object *found = NULL;
    for (int i = 0; i < object->count && !found; i++)
        if (object->field[i].inside) found = object_of(object->field[i].inside, name);
    return found;
}

/* A hint stands at a field, begins with the limits that this field has, and is said just beyond them. */
static void hints_name_fields(void **state) {
    (void)state;
    enum { above, below };
    const struct {
        const char *object, *key, *meant;
        int side;
        bool at_the_end;
    } rows[] = {
#define HINT(object, key, side, limit, code, meant) {#object, #key, meant, side, false},
#define BEYOND(object, key, side, code, meant) {#object, #key, meant, side, true},
#include "hints.def"
#undef HINT
#undef BEYOND
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        char limits[64];
        double into;
        iol_refusal refusal = {.code = 0};
        const iol_object *object = object_of(iol_object_case, rows[i].object);
        if (!object) object = object_of(iol_object_site, rows[i].object);
        const iol_field *field = object ? iol_object_find(object, rows[i].key, strlen(rows[i].key)) : NULL;
        if (!field) fail_msg("no key %s of %s", rows[i].key, rows[i].object);
        bool circle = field->hard_high == 359.999;
        snprintf(limits, sizeof limits, circle ? "%g to below 360" : "%g to %g", field->hard_low, field->hard_high);
        if (strncmp(rows[i].meant, limits, strlen(limits)) != 0) fail_msg("%s: not %s", rows[i].meant, limits);
        if (!rows[i].at_the_end) continue;
        double beyond = rows[i].side == above ? field->hard_high + 0.001 : field->hard_low - 0.001;
        const char *said = strchr(rows[i].meant, '%') ? " reads as " : rows[i].meant;
        assert_false(iol_take_number(object, field, beyond, &into, &refusal));
        if (!strstr(refusal.wanted, said)) fail_msg("%s %g: %s", rows[i].key, beyond, refusal.wanted);
    }
}

/* Nothing of a case lies behind the day to which intervals are counted; on that day it may. */
static void days_behind_that_of_the_plan(void **state) {
    (void)state;
    for (int k = 0; k < 3; k++)
        for (int behind = 0; behind < 2; behind++) {
            static const char *const path[] = {"/first_surgery/done_on", "/biometry_repeat/measured_on",
                                               "/refractions/1/measured_on"};
            iol_case_reset(&c);
            c.refractions_count = 2;
            c.refractions[0].measured_on = c.refractions[1].measured_on = IOL_UNKNOWN_DATE;
            int32_t *const day[] = {&c.first_surgery.done_on, &c.biometry_repeat.measured_on, &c.refractions[1].measured_on};
            *day[k] = 1000 + behind;
            iol_faults_start(&faults);
            assert_int_equal(iol_case_check_day(&c, 1000, &faults), !behind);
            assert_int_equal(faults.count, behind);
            if (behind) assert_string_equal(faults.item[0].path, path[k]);
        }
}

/* ---- the shelf ---- */

static void generic_shelf_is_good(void **state) {
    (void)state;
    iol_site_generic(&site);
    assert_in_range(site.lenses_count, 4, 40);
    iol_faults_start(&faults);
    iol_site_check(&site, &faults);
    if (faults.count) fail_msg("%s: %s", faults.item[0].path, faults.item[0].found);
    for (int i = 0; i < site.lenses_count; i++) {
        const iol_shelf_lens *lens = &site.lenses[i];
        assert_true(lens->id[0] && lens->label[0] && lens->positions_count > 0 && lens->purpose > 0);
        for (int k = 0; k < lens->cylinder_steps_d_count; k++) /* made by quarters of a dioptre: common practice, no source */
            CHECK_NEAR(remainder(lens->cylinder_steps_d[k], 0.25), 0.0, 0.0, "quarters");
    }
}

static void sulcus_lenses_that_fit(void **state) {
    (void)state;
    static const char *const rows[] = {
        SITE SULCUS("one-piece", "piggyback", "round", "13") "}]}",
        SITE SULCUS("plate", "piggyback", "round", "14") "}]}",
        SITE SULCUS("three-piece", "replacement", "square", "12.5") "}]}",
        SITE POWERS("-10", "5", "1") "}]}",
        SITE POWERS("6.1", "30.4", "0.1") "}]}",
        SITE POWERS("20", "20", "0.5") "}]}",
    };
    for (size_t i = 0; i < COUNT(rows); i++)
        if (!iol_site_read(rows[i], strlen(rows[i]), &site, &faults)) fail_msg("%s: %s", rows[i], faults.item[0].found);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(case_refusals),
        cmocka_unit_test(no_contradiction),
        cmocka_unit_test(site_refusals),
        cmocka_unit_test(parser_laxness),
        cmocka_unit_test(every_code),
        cmocka_unit_test(limits_of_numbers),
        cmocka_unit_test(limits_of_files),
        cmocka_unit_test(more_than_fifty),
        cmocka_unit_test(ways_to_say_not_known),
        cmocka_unit_test(values_are_read), cmocka_unit_test(remarks_that_name),
        cmocka_unit_test(dates_may_agree),
        cmocka_unit_test(calendar),
        cmocka_unit_test(odd_values),
        cmocka_unit_test(memory_runs_out),
        cmocka_unit_test(kind_of_file),
        cmocka_unit_test(escaped_keys),
        cmocka_unit_test(order_of_keys),
        cmocka_unit_test(sentences_fit),
        cmocka_unit_test(aliases_name_keys_and_words),
        cmocka_unit_test(hints_name_fields),
        cmocka_unit_test(generic_shelf_is_good), cmocka_unit_test(days_behind_that_of_the_plan),
        cmocka_unit_test(sulcus_lenses_that_fit),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
