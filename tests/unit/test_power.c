/* The clinic line: notations, and the same numbers as a plan of the same case. */
#include "case_text.h"
#include "check.h"
#include "flat.h"

#include "case/typed.h"
#include "cli/power_text.h"
#include "example_case.h"
#include "report/report.h"
#include "tables/note_codes.h"
#include "tables/tables.h"

static void refractions_as_typed(void **state) {
    (void)state;
    static const struct {
        const char *typed;
        double sphere, cylinder, axis;
    } rows[] = {
        {"+2.25 -0.75 x 80", 2.25, -0.75, 80},
        {"+2.25/-0.75x80", 2.25, -0.75, 80},
        {" -1.5 -.5X180 ", -1.5, -0.5, 180},
        {"+2.25 -0.75 \xC3\x97 0", 2.25, -0.75, 180},
        {"+1.50", 1.5, 0, 180},
        {"0.00 -1.00 x 5", 0, -1, 5},
        /* Transposition: mrcophth MCQ 29, +4.00 +2.00 x 90 is +6.00 -2.00 x 180. */
        {"+4.00 +2.00 x 90", 6, -2, 180},
        {"+1.00 0 x 30", 1, 0, 180},
        {"plano", 0, 0, 180},
        {"Plano -0.75 x 80", 0, -0.75, 80},
        {"PLANO/+0.50x90", 0.5, -0.5, 180},
        {"-1.50 DS", -1.5, 0, 180},
        {"+1.25ds", 1.25, 0, 180},
        {"plano DS ", 0, 0, 180},
        {"+2.25DS/-0.75DCx80", 2.25, -0.75, 80},
        {"+2.25 DS -0.75 DC ax 80", 2.25, -0.75, 80},
        {"-1.00 +0.50 axis 90", -0.5, -0.5, 180},
        {"pl -0.75 x 80", 0, -0.75, 80},
        {"PL", 0, 0, 180},
        {"+2.25-.75x80", 2.25, -0.75, 80},
        /* U+2212, the minus sign of print */
        {"\xE2\x88\x92"
         "2.25 \xE2\x88\x92"
         "0.75 x 80",
         -2.25, -0.75, 80},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        iol_spherocylinder r;
        assert_null(iol_typed_refraction(rows[i].typed, &r));
        CHECK_NEAR(r.sphere_d, rows[i].sphere, 1e-12, "notation of the trade");
        CHECK_NEAR(r.cylinder_d, rows[i].cylinder, 1e-12, "notation of the trade");
        CHECK_NEAR(r.axis_deg, rows[i].axis, 1e-12, "notation of the trade");
    }
}

static void refractions_refused(void **state) {
    (void)state;
    static const struct {
        const char *typed, *wanted;
    } rows[] = {
        {"+2.25 -0.75 @ 80", "x and the axis; @ means a meridian and is accepted only for K"},
        {"2.25 -0.75 x 80", "a sign before the sphere"},
        {"+2.25 0.75 x 80", "a sign before the cylinder"},
        {"+2,25", "a decimal point"},
        {"+2.25 -0.75", "x and the axis behind"},
        {"+2.25 -0.75 x", "an axis of 0 to 180"},
        {"+2.25 -0.75 x -80", "an axis of 0 to 180"},
        {"+2.25 -0.75 x 181", "an axis of 0 to 180"},
        {"+2.25 -0.75 x 80 9", "an axis of 0 to 180"},
        {"+2.25 x 80", "a cylinder behind the sphere"},
        {"", "sphere, cylinder and axis"},
        {"+", "sphere, cylinder and axis"},
        {"+.", "sphere, cylinder and axis"},
        {"+1e3", "a cylinder behind the sphere"},
        {"+1111111111111111111111111", "sphere, cylinder and axis"},
        {"-1.50 DS -0.75 x 80", "nothing behind DS"},
        {"-1.50 D", "a cylinder behind the sphere"},
        {"1.50 DS", "a sign before the sphere"},
        {"+plano", "sphere, cylinder and axis"},
        {"plan", "sphere, cylinder and axis"},
        {"plano0", "x and the axis behind"},
        {"\xE2\x80\x94"
         "2.25 -0.75 x 80",
         "the minus of the keyboard"},
        {"+2.25 \xE2\x80\x93"
         "0.75 x 80",
         "the minus of the keyboard"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        iol_spherocylinder r;
        const char *wanted = iol_typed_refraction(rows[i].typed, &r);
        assert_non_null(wanted);
        if (!strstr(wanted, rows[i].wanted)) fail_msg("%s: %s", rows[i].typed, wanted);
        CHECK_NAN(r.sphere_d);
    }
}

static void keratometry_and_numbers(void **state) {
    (void)state;
    iol_typed_k k;
    double x;
    assert_null(iol_typed_keratometry("43.50", &k));
    CHECK_NEAR(k.flat_d, 43.5, 0, "as typed");
    CHECK_NEAR(k.steep_d, 43.5, 0, "as typed");
    CHECK_NAN(k.steep_axis_deg);
    assert_null(iol_typed_keratometry("43.90@95 / 43.10@5", &k));
    CHECK_NEAR(k.flat_d, 43.1, 0, "as typed");
    CHECK_NEAR(k.steep_axis_deg, 95, 0, "the axis of the steeper");
    assert_null(iol_typed_keratometry("43.10@5/43.90@100", &k));
    static const char *const both[] = {"43.90/43.10", "43.90 / 43.10", " 43.10 /43.90", "43.10/ 43.90 "};
    for (int i = 0; i < 4; i++) {
        assert_null(iol_typed_keratometry(both[i], &k));
        CHECK_NEAR(k.flat_d, 43.1, 0, "as typed");
        CHECK_NEAR(k.steep_d, 43.9, 0, "as typed");
        CHECK_NAN(k.steep_axis_deg);
    }
    static const char *const bad[] = {"",
                                      "43,5",
                                      "-43",
                                      "43.10@5",
                                      "43.10@5/43.90",
                                      "43.10@5/43.90@80",
                                      "43@5/44@101",
                                      "43@5/44@95x",
                                      "43@5 44@95",
                                      "43@181/44@91",
                                      "43.10@180.05/43.90@90",
                                      "+43@5/44@95",
                                      "+43.10/43.90",
                                      "43.10/+43.90",
                                      "/43.90",
                                      "\xE2\x88\x92"
                                      "43"};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        if (!iol_typed_keratometry(bad[i], &k)) fail_msg("accepted: %s", bad[i]);
    static const char *const powers[] = {"21.5", "21.5D", " 21.5 d ", "21.5 D"};
    for (int i = 0; i < 4; i++) {
        assert_null(iol_typed_power(powers[i], &x));
        CHECK_NEAR(x, 21.5, 0, "as typed");
    }
    assert_non_null(iol_typed_power("21.5 Dx", &x));
    assert_null(iol_typed_number(" -0.25 ", &x));
    CHECK_NEAR(x, -0.25, 0, "as typed");
    static const char *const none[] = {"",
                                       "1,5",
                                       "1.5 mm",
                                       "nan",
                                       "inf",
                                       "0x10",
                                       "1e3",
                                       "1..2",
                                       "\xE2\x80\x93"
                                       "1"};
    for (size_t i = 0; i < sizeof none / sizeof *none; i++)
        if (!iol_typed_number(none[i], &x)) fail_msg("accepted: %s", none[i]);
}

static void targets_as_typed(void **state) {
    (void)state;
    static const struct {
        const char *typed;
        double value;
    } rows[] = {{"-0.25", -0.25},
                {"+.5", 0.5},
                {"0", 0},
                {"plano", 0},
                {" PL ", 0},
                {"-0.25 DS", -0.25},
                {"-1.50D", -1.5},
                {"\xE2\x88\x92"
                 "0.25",
                 -0.25}};
    static const char *const bad[] = {"",
                                      "0.25",
                                      "plan",
                                      "plano 1",
                                      "-0,25",
                                      "-0.25 x 90",
                                      "-",
                                      "\xE2\x80\x93"
                                      "0.25"};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double x = NAN;
        if (iol_typed_target(rows[i].typed, &x)) fail_msg("refused: %s", rows[i].typed);
        CHECK_NEAR(x, rows[i].value, 1e-12, "notation of the trade");
    }
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        double x;
        if (!iol_typed_target(bad[i], &x)) fail_msg("accepted: %s", bad[i]);
    }
}

/* What the program prints; NUL at the end. */
static const char *folder(void) {
    const char *build = getenv("BUILD");
    return build ? build : "build";
}

static FILE *opened(const char *name) {
    char path[400];
    snprintf(path, sizeof path, "%s/%s", folder(), name);
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    return file;
}

static void run(const char *arguments, char *out, size_t size) {
    char command[1200];
    snprintf(command, sizeof command, "%s/iolrevise %s", folder(), arguments);
    FILE *pipe = popen(command, "r");
    assert_non_null(pipe);
    size_t length = fread(out, 1, size - 1, pipe);
    out[length] = '\0';
    assert_int_equal(pclose(pipe), 0);
}

/* The text of a plan's object from its key to the next top-level key. */
static char *object(char *json, const char *key) {
    char *at = strstr(json, key), *end = at ? strstr(at, "\n  \"") : NULL;
    assert_non_null(end);
    *end = '\0';
    return at;
}

static void same_numbers_as_a_plan(void **state) {
    (void)state;
    static char typed[60000], filed[60000];
    FILE *file = opened("test_power_case.json"), *site = opened("test_power_site.json");
    fputs("{\"case_format\":1,\"case_ref\":\"same\",\"eye\":\"left\",\"assessed_on\":\"2026-03-20\",\"reason\":\"power-error\","
          "\"age_years\":70,"
          "\"target_se_d\":-0.25,\"formula\":\"t2\",\"silicone_oil\":{\"now\":false,\"at_measurement\":false,"
          "\"at_refraction\":false,\"stays\":false},\"biometry\":{\"axial_length_mm\":23.12,\"k_flat_d\":43.1,"
          "\"k_steep_d\":43.9,\"k_steep_axis_deg\":95},\"cornea\":{\"earlier_refractive_surgery\":\"none\"},"
          "\"refractions\":[{\"measured_on\":\"2026-03-20\",\"sphere_d\":2.25,\"cylinder_d\":-0.75,\"axis_deg\":80,"
          "\"vertex_mm\":13}],\"anterior_segment\":{\"fluid_behind_lens\":\"no\"},\"first_surgery\":{\"done_on\":"
          "\"2026-02-08\",\"lens\":{\"power_d\":21,\"position\":\"bag\",\"identified_by\":\"sticker\",\"constants\":"
          "{\"a_constant\":118.4}}}}",
          file);
    fputs("{\"site_format\":1,\"lenses\":[{\"id\":\"new-lens\",\"design\":\"three-piece\",\"purpose\":\"replacement\","
          "\"positions\":[\"sulcus\"],\"power_first_d\":-10,\"power_last_d\":40,\"power_step_d\":0.5,\"constants\":"
          "{\"a_constant\":118.9}}]}",
          site);
    fclose(file);
    fclose(site);
    run("power --eye left --implanted 21.0 --refraction '+2.25 -0.75 x 80' --target -0.25 --vertex 13 --k "
        "43.10@5/43.90@95 --length 23.12 --a-constant 118.4 --new-a-constant 118.9 --from bag --to sulcus --age 70 "
        "--days 40 --no-oil --no-earlier-laser --no-fluid --identified sticker --formula t2 --format json",
        typed, sizeof typed);
    char plan[900];
    snprintf(plan, sizeof plan, "plan %s/test_power_case.json --site %s/test_power_site.json --format json", folder(),
             folder());
    run(plan, filed, sizeof filed);
    char *a = object(typed, "\"surprise\""), *b = object(filed, "\"surprise\"");
    char *suspects = strstr(b, "\"suspects\"");
    assert_non_null(suspects);
    assert_memory_equal(a, b, (size_t)(suspects - b));
    a = object(a + strlen(a) + 1, "\"replacement\""), b = object(b + strlen(b) + 1, "\"replacement\"");
    assert_string_equal(a, b);
    assert_non_null(strstr(a, "\"position\": \"sulcus\""));
    assert_null(strstr(a, "\"power_exact_d\": null"));
}

static double exact_power(const char *arguments, const char *route) {
    static char out[60000];
    run(arguments, out, sizeof out);
    const char *replacement = object(out, "\"replacement\""), *at = strstr(replacement, "\"power_exact_d\": ");
    assert_non_null(at);
    assert_non_null(strstr(replacement, route));
    return strtod(at + 17, NULL);
}

/* A lens without a constant is worked with the listed one; a constant typed is one for the place typed. */
static void constants_as_typed(void **state) {
    (void)state;
#define EYE                                                                                                            \
    "power --eye right --implanted 21 --refraction +2.00 --target 0 --days 40 --k 43.5 --formula srk-t --format json "
    const double listed = exact_power(EYE, "refraction-only"),
                 typed = exact_power(EYE "--a-constant 118.4", "refraction-only");
    CHECK_NEAR(listed, typed, 1e-9, "the listed constant");
    const double chamber =
        exact_power(EYE "--length 23.5 --new-a-constant 118.5 --to bag --from chamber --a-constant 115.3", "\"joint\"");
    assert_true(chamber > 20.0 && chamber < 25.0);
}

typedef struct {
    int lines, columns, widest;
} extent;

static bool measure(void *context, const char *bytes, size_t length) {
    extent *e = context;
    for (size_t i = 0; i < length; i++) {
        e->columns = bytes[i] == '\n' ? 0 : e->columns + 1;
        e->lines += bytes[i] == '\n';
        if (e->columns > e->widest) e->widest = e->columns;
    }
    return true;
}

/* Every example as a clinic line, an exchange and a second lens: 24 lines of 80 columns, the answer in the first three. */
static void the_screen_is_small(void **state) {
    (void)state;
    static iol_case c;
    static iol_plan plan;
    static iol_page page;
    for (int e = 0; e < EXAMPLES; e++) {
        example_case(example_names[e], &c);
        if (c.refractions_count == 0) continue;
        iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
        for (int second = 0; second < 2; second++) {
            extent e24 = {0, 0, 0};
            iol_power_screen(&c, &plan, second, &page);
            assert_true(iol_page_text(&page, false, measure, &e24));
            if (e24.lines > 24 || e24.widest > 80)
                fail_msg("%s: %d lines, %d columns", example_names[e], e24.lines, e24.widest);
            assert_true(e24.lines > 3);
        }
    }
}

/* By place and by flag the same line. */
static void places_are_flags(void **state) {
    (void)state;
    static char place[20000], flag[20000];
    run("power OD 21.0D '+2.25DS/-0.75DCx80' -0.25 --days 40", place, sizeof place);
    run("power --eye right --implanted 21.0 --refraction '+2.25 -0.75 x 80' --target -0.25 --days 40", flag,
        sizeof flag);
    assert_string_equal(place, flag);
    run("power --days 40 l 21 plano 0", place, sizeof place);
    run("power --eye left --implanted 21 --refraction 0.00 --target 0 --days 40", flag, sizeof flag);
    assert_string_equal(place, flag);
    assert_true(strncmp(place, "Eye   LEFT", 10) == 0);
}

/* What is typed lifts what it is said to lift. */
static void what_is_typed_lifts(void **state) {
    (void)state;
    static char out[20000];
    run("power OD 21.0 '+2.25 -0.75 x 80' -0.25", out, sizeof out);
    assert_non_null(strstr(out, "PROVISIONAL"));
    run("power OD 21.0 '+2.25 -0.75 x 80' -0.25 --days 14 --age 70 --no-earlier-laser --k 43.10/43.90 --length 23.12 "
        "--a-constant 118.4"
        " --identified sticker --no-fluid --no-oil --method optical --method manifest --surface regular --examined "
        "--pressure 14",
        out, sizeof out);
    assert_non_null(strstr(out, "--readings 2"));
    assert_non_null(strstr(out, "--repeated"));
    run("power OD 21.0 '+2.25 -0.75 x 80' -0.25 --days 40 --age 70 --no-earlier-laser --k 43.10/43.90 --length 23.12 "
        "--a-constant 118.4"
        " --identified sticker --no-fluid --no-oil --method optical --method manifest --surface regular --readings 2 "
        "--repeated",
        out, sizeof out);
    assert_null(strstr(out, "--readings"));
    assert_null(strstr(out, "--repeated"));
}

/* Three Haigis constants lead to their formula, a cylinder written in plus form is seen as one in minus form is. */
static void what_is_typed_is_taken(void **state) {
    (void)state;
    static char out[20000];
#define LINE                                                                                                           \
    "power OD 21.0 '%s' -0.25 --days 40 --age 70 --k 43.10/43.90 --length 23.12 --a-constant 118.4 --method optical "
    static char line[400];
    static const char *const read[] = {"+2.25 -1.25 x 80", "+1.00 +1.25 x 170"};
    for (int i = 0; i < 2; i++) {
        snprintf(line, sizeof line, LINE "--chamber-depth 3.1 --haigis 1.13,0.40,0.10 --formula haigis", read[i]);
        run(line, out, sizeof out);
        assert_non_null(strstr(out, "cylinder is not planned here"));
        strcat(line, " --full");
        run(line, out, sizeof out);
        assert_non_null(strstr(out, "cylinder is not planned here"));
    }
}

/* The whole page of the quick power tells the power, its place and its range, and of which lens a constant was derived. */
static void the_whole_line_tells_range_and_lens(void **state) {
    (void)state;
    static char out[60000], json[60000];
    static const char line[] =
        "power OD 21.0 '+2.25 -0.75 x 80' -0.25 --days 40 --k 43.1/43.9 --length 23.12 --a-constant 118.4 --to sulcus ";
    char typed[300], says[160];
    double power[3];
    static const char *const key[] = {"\"power_exact_d\": ", "\"power_low_d\": ", "\"power_high_d\": "};
    snprintf(typed, sizeof typed, "%s--format json", line);
    run(typed, json, sizeof json);
    const char *replacement = object(json, "\"replacement\"");
    for (int i = 0; i < 3; i++) {
        const char *at = strstr(replacement, key[i]);
        assert_non_null(at);
        power[i] = strtod(at + strlen(key[i]), NULL);
    }
    snprintf(typed, sizeof typed, "%s--full", line);
    run(typed, out, sizeof out);
    const char *page = flat(out);
    snprintf(says, sizeof says,
             "New lens %+.2f D in the sulcus by the joint estimate, holladay-1; range %+.2f D to %+.2f D", power[0],
             power[1], power[2]);
    if (!strstr(page, says)) fail_msg("wanted %s in %s", says, page);
    assert_non_null(strstr(page, "surgeon factor 1.450 mm from the A-constant, the lens in the eye"));
}

enum { IOL_standing_by_reading = -1 }; /* as in src/plan/standing.c */

/* Every rule that holds a power back says why in a few words. */
static void every_standing_says_why(void **state) {
    (void)state;
    static const struct {
        int code, standing;
    } rows[] = {
#define STANDS(id, lens, when, standing, caution, value, limit, word) {IOL_NOTE_##id, IOL_standing_##standing},
#include "standing_rules.def"
#undef STANDS
    };
    static iol_case bare;
    int answered = 0;
    iol_case_reset(&bare);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const char *why = iol_power_why(rows[i].code), *answer = iol_power_answer(&bare, rows[i].code);
        answered += answer != NULL;
        bool advised = rows[i].standing == IOL_standing_advised;
        if (advised ? why != NULL : !why || strlen(why) > 50) fail_msg("%s", iol_note_rows[rows[i].code].code);
    }
    assert_true(answered > 20);
    double *const typed[] = {&bare.biometry.axial_length_mm, &bare.biometry.k_flat_d,
                             &bare.first_surgery.lens.constants.a_constant};
    for (int left_out = -1; left_out < 3; left_out++) { /* what is typed already is not asked for */
        iol_case_reset(&bare);
        for (int i = 0; i < 3; i++)
            if (i != left_out) *typed[i] = i == 0 ? 23.5 : i == 1 ? 43.0 : 118.4;
        const char *answer = iol_power_answer(&bare, IOL_NOTE_repeat_route);
        assert_true((answer != NULL) == (left_out >= 0));
    }
    iol_case_reset(&bare);
    assert_non_null(strstr(iol_power_answer(&bare, IOL_NOTE_withheld_fluid), "--no-fluid"));
}

static uint32_t drawn = 20;
static unsigned draw(unsigned of) { return (drawn = drawn * 1664525u + 1013904223u) / 65536u % of; }

/* A line as nobody would plan it. */
static void draw_line(char *into, size_t size) {
    static const char *const eye[] = {"OD", "l"}, *const power[] = {"21", "39.0", "-3", "5D"},
                             *const read[] = {"+2.25-.75x80", "-1.50", "plano", "+9.00", "-12.00", "+.50-10.25x170"},
                             *const target[] = {"-.25", "pl", "-12.00"};
    static const char *const flag[] = {"--days 3",
                                       "--days 16",
                                       "--days 400",
                                       "--age 9",
                                       "--age 70",
                                       "--k 43.5",
                                       "--k 57",
                                       "--k 38/52",
                                       "--length 18",
                                       "--length 23.1",
                                       "--length 33",
                                       "--a-constant 118.4",
                                       "--new-a-constant 117",
                                       "--from sulcus-captured",
                                       "--from iris-front",
                                       "--to chamber",
                                       "--identified sticker",
                                       "--surface scarred",
                                       "--repeated",
                                       "--no-fluid",
                                       "--earlier-laser",
                                       "--no-earlier-laser",
                                       "--oil",
                                       "--no-oil",
                                       "--piggyback",
                                       "--formula haigis",
                                       "--chamber-depth 2.5"};
    char last[24] = "";
    snprintf(into, size, "power %s %s %s %s", eye[draw(2)], power[draw(4)], read[draw(6)], target[draw(3)]);
    for (size_t i = 0; i < sizeof flag / sizeof *flag; i++) {
        size_t name = strcspn(flag[i], " "), no = strncmp(flag[i], "--no-", 5) == 0 ? 5 : 2;
        bool again = strncmp(last, flag[i] + no, name - no) == 0 && last[name - no] == '\0';
        if (again || draw(2)) continue;
        snprintf(last, sizeof last, "%.*s", (int)(name - 2), flag[i] + 2);
        strcat(strcat(into, " "), flag[i]);
    }
}

/* Lines drawn at random: 24 lines of 80 columns, the answer in the first three, why not and
 * what lifts it; no table without a row. */
static void any_line_is_answered(void **state) {
    (void)state;
    static char out[20000], line[900];
    for (int n = 0; n < 60; n++) {
        extent e = {0, 0, 0};
        draw_line(line, sizeof line);
        run(line, out, sizeof out);
        measure(&e, out, strlen(out));
        const char *lens = strstr(out, "\nLens  "), *use = strstr(out, "\nUse   "), *table = strstr(out, " Power ");
        if (e.lines > 24 || e.widest > 80 || !lens || !use) fail_msg("%s\n%s", line, out);
        bool third = strchr(lens + 1, '\n') == use && strchr(out, '\n') == lens;
        bool advised = strncmp(use + 7, "ADVISED", 7) == 0;
        bool lifted =
            strncmp(strchr(use + 1, '\n'), "\nLift  ", 7) == 0 || strstr(out, "\n-  ") || strstr(out, "more reason");
        bool why = strchr(use + 7, ':') < strchr(use + 7, '\n') && strchr(use + 7, ':');
        bool rows = !table || strstr(strstr(table, "---"), " D ");
        if (!third || (!advised && (!lifted || !why)) || !rows) fail_msg("%s\n%s", line, out);
    }
}

/* docs/runs/keystrokes.tsv: the lines counted there say what they are said to say. */
static void keystrokes_are_counted(void **state) {
    (void)state;
    static char out[20000], row[600];
    int rows = 0;
    FILE *file = fopen("docs/runs/keystrokes.tsv", "r");
    assert_non_null(file);
    assert_non_null(fgets(row, sizeof row, file));
    for (; fgets(row, sizeof row, file); rows++) {
        char *question = strchr(row, '\t') + 1, *answer = strchr(question, '\t') + 1, use[120];
        question[strcspn(question, "\t")] = answer[strcspn(answer, "\n")] = '\0';
        assert_int_equal(strtol(row, NULL, 10), strlen(question));
        run(question + strlen("iolrevise "), out, sizeof out);
        snprintf(use, sizeof use, "\nUse   %s\n", answer);
        if (!strstr(out, use)) fail_msg("%s\n%s", question, out);
        if (rows == 0) assert_true(strlen(question) <= 45);
    }
    assert_int_equal(rows, 6);
    fclose(file);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(refractions_as_typed),    cmocka_unit_test(refractions_refused),
        cmocka_unit_test(keratometry_and_numbers), cmocka_unit_test(same_numbers_as_a_plan),
        cmocka_unit_test(constants_as_typed),      cmocka_unit_test(the_screen_is_small),
        cmocka_unit_test(places_are_flags),        cmocka_unit_test(what_is_typed_lifts),
        cmocka_unit_test(targets_as_typed),        cmocka_unit_test(what_is_typed_is_taken),
        cmocka_unit_test(the_whole_line_tells_range_and_lens),
        cmocka_unit_test(every_standing_says_why), cmocka_unit_test(any_line_is_answered),
        cmocka_unit_test(keystrokes_are_counted)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
