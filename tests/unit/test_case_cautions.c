/* What passes with a caution (the contract's table of findings): seen in the plan and not seen in the ordinary case. */
#include "check.h"

#include "case_text.h"
#include "tables/note_codes.h"

static iol_case c;
static iol_site site;
static iol_plan plan;

/* The worked example with one text in the place of another. */
static void plan_with(const char *from, const char *to) {
    char json[4096], changed[4096];
    snprintf(json, sizeof json, WORKED_CASE, "srk-t");
    char *at = strstr(json, from);
    if (!at) fail_msg("not in the case: %s", from);
    snprintf(changed, sizeof changed, "%.*s%s%s", (int)(at - json), json, to, at + strlen(from));
    must_read_case(changed, &c);
    must_read_site(WORKED_SITE, &site);
    iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan);
}

/* The sentence of a caution, NULL when the plan does not hold it. */
static const char *caution(const char *code) {
    static char text[640];
    for (int i = 0; i < plan.notes.count; i++) {
        const iol_note *note = &plan.notes.item[i];
        if (note->place == IOL_AT_plan_cautions && strcmp(iol_note_rows[note->code].code, code) == 0)
            return iol_note_text(note, text, sizeof text);
    }
    return NULL;
}

typedef struct {
    const char *from, *to, *code, *says;
} caution_row;

static const caution_row rows[] = {
    {"\"axial_length_mm\":22.86", "\"axial_length_mm\":19.99", "unusual",
     "Unusual value: axial length (/biometry/axial_length_mm) is 19.99 mm, usual limit 20 mm. Check it."},
    {"\"axial_length_mm\":22.86", "\"axial_length_mm\":30.01", "unusual", "is 30.01 mm, usual limit 30 mm."},
    {"\"vertex_mm\":12", "\"vertex_mm\":9.5", "unusual", "(/refractions/0/vertex_mm) is 9.5 mm, usual limit 10 mm."},
    {"\"k_steep_axis_deg\":170", "\"k_steep_axis_deg\":0", "axis-zero",
     "Axis 0 is taken as 180: meridian of greatest corneal power (/biometry/k_steep_axis_deg)."},
    {"\"axis_deg\":80", "\"axis_deg\":0", "axis-zero",
     "Axis 0 is taken as 180: axis of the cylinder as written (/refractions/0/axis_deg)."},
    {"\"k_steep_axis_deg\":170,", "", "k-axis-missing", "no axis"},
    {"\"power_d\":20.0", "\"power_d\":20.0,\"cylinder_d\":1.5,\"power_is\":\"equivalent\"", "lens-axis-missing",
     "no axis"},
    {"\"a_constant\":118.4", "\"a_constant\":118.4,\"obtained_with\":\"ultrasound\"", "ultrasound-constant",
     "optical axial length"},
    {"\"a_constant\":118.4", "\"a_constant\":118.4,\"for_position\":\"sulcus\"", "other-position-constant",
     "another position"},
    {"\"sphere_d\":2.25,\"cylinder_d\":-0.75,\"axis_deg\":80,\"vertex_mm\":12", "\"sphere_d\":6.25", "vertex-matters",
     "at 10 mm"},
    {"\"srk-t\"", "\"haigis\"", "formula-not-possible", "(Haigis)"},
    {"\"formula\":\"srk-t\",\"assessed_on\":\"2026-03-20\",\"age_years\":71", "\"age_years\":6", "child-sight-develops", "Age 6"},
    {"\"age_years\":71", "\"age_years\":17", "child-later-refraction", "by age 20"},
    {"\"cornea\":{",
     "\"biometry_repeat\":{\"axial_length_mm\":22.86,\"k_flat_d\":43.75,\"k_steep_d\":44.75,\"lens_depth_mm\":3.3},\"cornea\":{",
     "shallow-lens", "in front of where it is expected"},
};

/* Every plan says these. */
static void always_said(void **state) {
    (void)state;
    static const iol_note_code always[] = {IOL_NOTE_licensed_surgeon, IOL_NOTE_local_rules, IOL_NOTE_second_route,
                                           IOL_NOTE_range_of_formulas};
    plan_with("\"eye\":\"right\"", "\"eye\":\"left\"");
    for (size_t i = 0; i < sizeof always / sizeof *always; i++)
        assert_non_null(caution(iol_note_rows[always[i]].code));
}

static void found_and_said(void **state) {
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        plan_with("\"eye\":\"right\"", "\"eye\":\"right\"");
        if (caution(rows[i].code)) fail_msg("said of the ordinary case: %s", rows[i].code);
        plan_with(rows[i].from, rows[i].to);
        const char *text = caution(rows[i].code);
        if (!text || !strstr(text, rows[i].says)) fail_msg("%s: %s", rows[i].code, text ? text : "not said");
    }
}

/* The limits themselves are usual. */
static void limits_are_usual(void **state) {
    (void)state;
    plan_with("\"vertex_mm\":12", "\"vertex_mm\":10");
    assert_null(caution("unusual"));
    plan_with("\"axis_deg\":80", "\"axis_deg\":180");
    assert_null(caution("axis-zero"));
}

/* Axis 0 and axis 180 give the same plan, the note apart. */
static void axis_zero_is_180(void **state) {
    (void)state;
    double power[2], axis[2];
    for (int i = 0; i < 2; i++) {
        plan_with("\"axis_deg\":80", i ? "\"axis_deg\":180" : "\"axis_deg\":0");
        power[i] = plan.replacement.power_exact_d;
        axis[i] = plan.replacement.choices[0].expected.axis_deg;
    }
    CHECK_NEAR(power[0], power[1], 1e-12, "an axis is a meridian: 0 and 180 are the same (contract)");
    CHECK_NEAR(axis[0], axis[1], 1e-9, "the same");
    assert_true(axis[0] > 0.0 && axis[0] <= 180.0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(found_and_said),
        cmocka_unit_test(always_said),
        cmocka_unit_test(limits_are_usual),
        cmocka_unit_test(axis_zero_is_180),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
