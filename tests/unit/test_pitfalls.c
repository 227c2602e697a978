/* The pitfalls of this work, numbered as in docs/pitfalls.md. Each row that the program can catch is provoked here, whichever part
 * catches it. The source of a row stands beside its check; a row without one is common practice, no source. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>
#include <cjson/cJSON.h>

#include "recheck/past_case.h"
#include "check.h"
#include "plan/aim.h"
#include "kept.h"
#include "report/report.h"
#include "suspect_case.h"
#include "tables/note_codes.h"

static iol_plan plan, other;

static bool cautioned(const iol_plan *p, iol_note_code code) { return note_at(p, IOL_AT_plan_cautions, code) >= 0; }
static bool assumed(const iol_plan *p, iol_note_code code) { return note_at(p, IOL_AT_plan_assumptions, code) >= 0; }
static bool stands_because(const iol_plan *p, iol_note_code code) {
    return note_at(p, IOL_AT_replacement_standing_reasons, code) >= 0;
}

/* ---- outputs as text ---- */

enum { TEXT, HTML, JSON, FORMATS };

static const char *written(const iol_plan *p, int format) {
    static iol_page page;
    kept.used = 0;
    if (format == JSON) {
        assert_true(iol_plan_write(p, keep, NULL));
        return kept.bytes;
    }
    iol_report_plan(p, &page);
    assert_true(format == TEXT ? iol_page_text(&page, false, keep, NULL) : iol_page_html(&page, keep, NULL));
    return kept.bytes;
}

/* Faults of a text that must be refused. */
static bool refused(const char *json, iol_fault_code code, const char *path) {
    static iol_case c;
    static iol_faults faults;
    if (iol_case_read(json, strlen(json), &c, &faults)) return false;
    for (int i = 0; i < faults.count; i++)
        if (faults.item[i].code == code && strcmp(faults.item[i].path, path) == 0) return true;
    return false;
}

/* ---- no power in any part ---- */

static void no_power_in(const cJSON *node, const char *path) {
    for (const cJSON *at = node ? node->child : NULL; at; at = at->next) {
        const char *key = at->string ? at->string : "";
        bool power = strncmp(key, "power", 5) == 0 && cJSON_IsNumber(at);
        bool list = strcmp(key, "choices") == 0 || strcmp(key, "by_cause") == 0 || strcmp(key, "cross_checks") == 0;
        if (power || (list && at->child)) fail_msg("%s/%s holds a power", path, key);
        no_power_in(at, key);
    }
}

static void print_power(double power_d, char out_text[32]) { snprintf(out_text, 32, "%+.2f D", power_d); }

/* Withheld: no power in JSON, none of the powers of the same plan without the reason in any format. */
static void nothing_given(const suspect_eye *withheld, const suspect_eye *open) {
    char exact[32], step[32];
    suspect_plan(open, &other);
    assert_true(other.replacement.power_exact_d > 0.0);
    print_power(other.replacement.power_exact_d, exact);
    print_power(other.replacement.choices[0].power_d, step);
    suspect_plan(withheld, &plan);
    assert_int_equal(plan.replacement.standing, IOL_standing_withheld);
    cJSON *root = cJSON_Parse(written(&plan, JSON));
    assert_non_null(root);
    no_power_in(root, "");
    cJSON_Delete(root);
    for (int format = 0; format < FORMATS; format++) {
        const char *text = written(&plan, format);
        assert_null(strstr(text, exact));
        assert_null(strstr(text, step));
    }
    assert_non_null(strstr(written(&other, TEXT), exact)); /* the search itself can find it */
}

/* The same case as a past one: recheck advises no power either. */
static void recheck_gives(const suspect_eye *e, bool power) {
    static iol_case c;
    static iol_site site;
    static iol_past past;
    static iol_recheck row;
    double slope[IOL_PAST_ROWS];
    char json[6000];
    suspect_json(e, json, sizeof json);
    must_read_case(json, &c);
    must_read_site(e->site, &site);
    c.outcome.present = c.outcome.lens.present = c.outcome.refraction.present = true;
    c.outcome.operation = IOL_operation_done_exchange;
    c.outcome.done_on = c.assessed_on + 10;
    c.outcome.lens.power_d = 20.0, c.outcome.lens.constants.a_constant = 119.0;
    c.outcome.lens.position = IOL_position_bag;
    c.outcome.refraction = c.refractions[0];
    c.outcome.refraction.measured_on = c.assessed_on + 60;
    iol_past_start(&past, &site, IOL_UNKNOWN_DATE);
    iol_past_case(&past, &c, &row, slope);
    assert_true(row.predictions_count > 0);
    for (int i = 0; i < row.predictions_count; i++) assert_true(isnan(row.predictions[i].advised_power_d) != power);
}

/* ---- rows ---- */

/* 1. Wrong patient or chart. Registry and claims: 21 of 178 reports (Steeples 2016). */
static void row_1(void **state) {
    (void)state;
    suspect_eye e = SUSPECT_EYE;
    suspect_plan(&e, &plan);
    for (int format = 0; format < HTML + 1; format++) {
        assert_non_null(strstr(written(&plan, format), "S-1"));
        assert_non_null(strstr(written(&plan, format), "RIGHT eye"));
    }
    assert_true(
        refused("{\"case_format\":1,\"case_ref\":\"A\",\"eye\":\"left\",\"reason\":\"power-error\",\"name\":\"x\"}",
                IOL_FAULT_identity_key, "/name"));
}

/* 2. The other eye's figures. 9 of 178 (Steeples 2016). */
static void row_2(void **state) {
    (void)state;
    assert_true(
        refused("{\"case_format\":1,\"case_ref\":\"A\",\"reason\":\"power-error\"}", IOL_FAULT_missing, "/eye"));
    suspect_eye truth = SUSPECT_EYE, record = SUSPECT_EYE;
    truth.length_mm = 22.40;
    suspect_plan(&truth, &other);
    record.sphere_d = other.surprise.formulas[0].predicted_se_d + 0.25;
    record.case_more = "\"fellow_eye\":{\"lens\":\"phakic\",\"biometry\":{\"axial_length_mm\":22.40,\"k_flat_d\":43.50,"
                       "\"k_steep_d\":44.00,\"k_steep_axis_deg\":90,\"keratometric_index\":1.3375}},";
    suspect_plan(&record, &plan);
    assert_true(cautioned(&plan, IOL_NOTE_other_eye));
    assert_true(iol_plan_stops(&plan));
    record = (suspect_eye)SUSPECT_EYE; /* somebody found that it is not of this eye: nothing is chosen from it */
    record.checks = "\"biometry_belongs_to_this_eye\":false";
    suspect_plan(&record, &plan);
    assert_true(cautioned(&plan, IOL_NOTE_not_this_eye));
    assert_int_equal(plan.replacement.standing, IOL_standing_provisional);
    for (int i = 0; i < plan.replacement.choices_count; i++)
        assert_int_not_equal(plan.replacement.choices[i].chosen, IOL_YES);
    record.case_more = "\"silicone_oil\":{\"at_refraction\":true},"; /* and without a usable refraction too */
    suspect_plan(&record, &plan);
    assert_false(plan.surprise.present);
    assert_true(cautioned(&plan, IOL_NOTE_not_this_eye));
}

/* 3. Transcription. 10 of 164 (Kelly 2011), 26 of 178 (Steeples 2016). Mistyped keys and values never pass in silence. */
static void row_3(void **state) {
    (void)state;
    assert_true(
        refused("{\"case_format\":1,\"case_ref\":\"A\",\"eye\":\"left\",\"reason\":\"power-error\",\"targt_se_d\":0}",
                IOL_FAULT_unknown_key, "/targt_se_d"));
    suspect_eye e = SUSPECT_EYE;
    e.power_d = 2.0;
    suspect_plan(&e, &plan);
    assert_true(cautioned(&plan, IOL_NOTE_unusual));
}

/* 4. Plus lens for minus lens. 9 of 178 (Steeples 2016). */
static void row_4(void **state) {
    (void)state;
    suspect_eye e = SUSPECT_EYE;
    e.length_mm = 30.5, e.power_d = 3.0, e.sphere_d = -9.0, e.case_more = "";
    e.site = "{\"site_format\":1,\"lenses\":[{\"id\":\"low\",\"purpose\":\"replacement\",\"positions\":[\"bag\"],"
             "\"constants\":{\"a_constant\":118.8},\"power_first_d\":-10,\"power_last_d\":10,\"power_step_d\":1}]}";
    suspect_plan(&e, &plan);
    assert_true(cautioned(&plan, IOL_NOTE_opposite_sign));
    assert_true(iol_plan_stops(&plan));
    e = (suspect_eye)SUSPECT_EYE;
    suspect_plan(&e, &plan);
    char plus[32];
    print_power(plan.replacement.power_exact_d, plus);
    assert_int_equal(plus[0], '+');
    assert_non_null(strstr(written(&plan, TEXT), plus));
}

/* 5. The old lens's printout for the new lens (safety alert on stock change-over, 2018). */
static void row_5(void **state) {
    (void)state;
    suspect_eye e = SUSPECT_EYE;
    suspect_plan(&e, &plan);
    int at = note_at(&plan, IOL_AT_plan_cautions, IOL_NOTE_constants_beside);
    assert_true(at >= 0);
    CHECK_NEAR(plan.notes.item[at].value, 118.8, 1e-9, "constant of the lens in the eye, as given");
    CHECK_NEAR(plan.notes.item[at].limit, 119.0, 1e-9, "constant of the new lens, as given");
    e.site = "{\"site_format\":1,\"lenses\":[{\"id\":\"bare\",\"purpose\":\"replacement\",\"positions\":[\"bag\"],"
             "\"power_first_d\":6,\"power_last_d\":30,\"power_step_d\":0.5}]}";
    suspect_plan(&e, &plan);
    assert_int_not_equal(plan.replacement.standing,
                         IOL_standing_advised); /* a lens without constants is never advised */
}

/* 6. Constant of the wrong lens or method. */
static void row_6(void **state) {
    (void)state;
    suspect_eye e = SUSPECT_EYE;
    static iol_case c;
    static iol_site site;
    char json[6000];
    suspect_json(&e, json, sizeof json);
    must_read_case(json, &c);
    must_read_site(e.site, &site);
    c.first_surgery.lens.constants.obtained_with = IOL_obtained_with_ultrasound;
    iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan);
    assert_true(cautioned(&plan, IOL_NOTE_ultrasound_constant));
    c.first_surgery.lens.constants.obtained_with = IOL_obtained_with_optical;
    iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan);
    assert_false(cautioned(&plan, IOL_NOTE_ultrasound_constant));
    /* Another design moves the lens: SRK/T puts it 0.62467 mm further back per unit of the A-constant (Retzlaff 1990). */
    double same = plan.replacement.power_exact_d;
    site.lenses[0].constants.a_constant = 120.0;
    iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan);
    assert_true(plan.replacement.power_exact_d > same + 0.5); /* and one unit of A asks for about 1 D more */
    assert_true(plan.replacement.power_exact_d < same + 1.5);
}

/* 7. Digits swapped, keratometry pair swapped (wrong-lens claims; 23.6 for 26.3). */
static void row_7(void **state) {
    (void)state;
    suspect_eye truth = SUSPECT_EYE, record = SUSPECT_EYE;
    truth.length_mm = 26.30, record.length_mm = 23.60, truth.power_d = record.power_d = 21.0;
    suspect_plan(&truth, &other);
    record.sphere_d = other.surprise.formulas[0].predicted_se_d + 0.25;
    suspect_plan(&record, &plan);
    assert_string_equal(plan.surprise.suspects[0].id, "length-digits-swapped");
    assert_true(refused("{\"case_format\":1,\"case_ref\":\"A\",\"eye\":\"left\",\"reason\":\"power-error\","
                        "\"biometry\":{\"k_flat_d\":44.5,\"k_steep_d\":43.5}}",
                        IOL_FAULT_contradiction, "/biometry/k_flat_d") ||
                refused("{\"case_format\":1,\"case_ref\":\"A\",\"eye\":\"left\",\"reason\":\"power-error\","
                        "\"biometry\":{\"k_flat_d\":44.5,\"k_steep_d\":43.5}}",
                        IOL_FAULT_contradiction, "/biometry/k_steep_d"));
}

#define FELLOW(length)                                                                                                 \
    "\"fellow_eye\":{\"lens\":\"phakic\",\"biometry\":{\"axial_length_mm\":" length                                    \
    ",\"k_flat_d\":43.50,\"k_steep_d\":44.00,\"k_steep_axis_deg\":90,\"keratometric_index\":1.3375}"
#define FELLOW_READS(se) ",\"refraction\":{\"sphere_d\":" se ",\"vertex_mm\":12}},"
#define BEFORE(se) "\"refraction_before_cataract\":{\"sphere_d\":" se ",\"vertex_mm\":12},"

/* 8. Length against the old glasses and the other eye: more than 0.3 mm without a reason (Carr 2020; Schein 2012). */
static void row_8(void **state) {
    (void)state;
    static const struct {
        const char *more;
        double length_mm;
        bool eyes, glasses;
    } row[] = {
        {FELLOW("23.25") "},", 23.50, false, false},
        {FELLOW("23.15") "},", 23.50, true, false},
        {FELLOW("22.80") FELLOW_READS("2.00") BEFORE("0.00"), 23.50, false, false}, /* the glasses say the same */
        {FELLOW("22.80") FELLOW_READS("-1.50") BEFORE("0.00"), 23.50, true, false}, /* and here the opposite */
        {BEFORE("1.25"), 25.50, false, true},
        {BEFORE("0.75"), 25.50, false, false},
        {BEFORE("1.25"), 24.90, false, false},
        {BEFORE("-5.25"), 21.80, false, true},
        {BEFORE("-4.75"), 21.80, false, false}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        suspect_eye e = SUSPECT_EYE;
        e.length_mm = row[i].length_mm, e.case_more = row[i].more;
        suspect_plan(&e, &plan);
        assert_true(cautioned(&plan, IOL_NOTE_eyes_differ) == row[i].eyes);
        assert_true(cautioned(&plan, IOL_NOTE_glasses_contradict) == row[i].glasses);
    }
}

/* 9. Trapped fluid taken for a power error (series of 10 eyes, own case log): no power until it is answered. */
static void row_9(void **state) {
    (void)state;
    suspect_eye e = SUSPECT_EYE, open = SUSPECT_EYE;
    e.sphere_d = open.sphere_d = -1.25;
    static const char *const word[] = {"not-examined", "yes"};
    for (int i = 0; i < 2; i++) {
        e.fluid = word[i];
        nothing_given(&e, &open);
        assert_true(cautioned(&plan, i ? IOL_NOTE_fluid_seen : IOL_NOTE_trapped_fluid));
        recheck_gives(&e, false);
        recheck_gives(&open, true);
        if (i)
            assert_false(plan.surprise.present); /* seen: the reading tells nothing of the eye without it */
        else
            assert_true(suspect_at(&plan, "fluid-behind-lens") >= 0);
    }
    e.sphere_d = 0.0, e.fluid = "not-examined"; /* no myopic surprise: nothing to ask */
    suspect_plan(&e, &plan);
    assert_int_not_equal(plan.replacement.standing, IOL_standing_withheld);
}

/* 10. Refraction too early: stable by 4 weeks (Zand). */
static void row_10(void **state) {
    (void)state;
    static const struct {
        const char *on;
        int standing;
        iol_note_code why;
    } row[] = {{"2026-02-07", IOL_standing_provisional, IOL_NOTE_provisional_early},          /* day 6 */
               {"2026-02-08", IOL_standing_repeat_before_ordering, IOL_NOTE_repeat_settling}, /* day 7 */
               {"2026-02-28", IOL_standing_repeat_before_ordering, IOL_NOTE_repeat_settling}, /* day 27 */
               {"2026-03-01", IOL_standing_advised, IOL_NOTE_stands}};                        /* day 28 */
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        suspect_eye e = SUSPECT_EYE;
        e.measured_on = row[i].on;
        e.checks = "\"biometry_belongs_to_this_eye\":true";
        suspect_plan(&e, &plan);
        assert_int_equal(plan.replacement.standing, row[i].standing);
        assert_true(stands_because(&plan, row[i].why));
    }
}

/* 11. Regression rules do not pass through zero (Leffler 2008): the same lens in the same place changes nothing, to 0.01 D. */
static void row_11(void **state) {
    (void)state;
    suspect_eye e = SUSPECT_EYE;
    e.a_constant = 119.0; /* that of the only lens of the shelf */
    static const double read[] = {-3.0, 0.0, 2.5};
    for (size_t i = 0; i < 3; i++) {
        e.sphere_d = read[i];
        suspect_plan(&e, &plan);
        iol_eye eye;
        iol_estimate joint;
        iol_lens_in_eye same;
        iol_aim aim;
        iol_spectacle_form expected;
        iol_notes notes = {.off = true};
        static iol_case c;
        static iol_site site;
        char json[6000];
        suspect_json(&e, json, sizeof json);
        must_read_case(json, &c);
        must_read_site(e.site, &site);
        iol_eye_make(&c, &site, IOL_UNKNOWN_DATE, IOL_EYE_POOLED, &notes, &eye);
        iol_estimate_make(&eye, IOL_FORMULA_srk_t, &joint);
        iol_eye_shelf_lens(&eye, &site.lenses[0], IOL_position_bag, &same);
        iol_aim_by_formula(&eye, &joint, &same, &aim);
        iol_aim_expected(&eye, &aim, iol_matrix_scalar(joint.posterior_p0_d), (iol_matrix){0.0, 0.0, 0.0}, &expected);
        CHECK_NEAR(expected.se_d + plan.surprise.refraction_noise_d, plan.surprise.current_se_d, 0.01,
                   "identity: same lens, same place (Leffler 2008 as the warning)");
    }
}

/* 12. One multiplier for all eyes: reported eyes needed 1.42 (Aramberri) and 1.7 to 1.9 (own case log). */
static void row_12(void **state) {
    (void)state;
    suspect_eye small = SUSPECT_EYE, large = SUSPECT_EYE;
    small.sphere_d = -1.5;
    large.length_mm = 21.5, large.power_d = 21.0, large.k_flat_d = large.k_steep_d = 43.0, large.sphere_d = 6.25;
    small.site = large.site =
        "{\"site_format\":1,\"lenses\":[{\"id\":\"bag\",\"purpose\":\"replacement\",\"positions\":[\"bag\"],"
        "\"constants\":{\"a_constant\":118.8},\"power_first_d\":5,\"power_last_d\":40,\"power_step_d\":0.5},"
        "{\"id\":\"add\",\"purpose\":\"piggyback\",\"positions\":[\"sulcus\"],"
        "\"power_first_d\":-10,\"power_last_d\":15,\"power_step_d\":0.5}]}";
    suspect_plan(&small, &plan);
    suspect_plan(&large, &other);
    CHECK_NEAR(plan.piggyback.habit_multiplier, 1.3, 1e-9, "habit for a myopic error (talk of Hill)");
    CHECK_NEAR(other.piggyback.habit_multiplier, 1.5, 1e-9, "habit for a hyperopic error (talk of Hill)");
    assert_true(other.piggyback.multiplier > plan.piggyback.multiplier + 0.1); /* this eye, not a rule */
    const iol_plan *const both[] = {&plan, &other};
    for (int i = 0; i < 2; i++) {
        const iol_replacement *p = &both[i]->piggyback.power;
        double thumb_d = NAN;
        for (int k = 0; k < p->cross_checks_count; k++)
            if (p->cross_checks[k].method == IOL_cross_method_rule_of_thumb) thumb_d = p->cross_checks[k].power_d;
        const double change_d = both[i]->surprise.current_se_d - p->target_se_d;
        CHECK_NEAR(thumb_d, (i == 0 ? 1.3 : 1.5) * change_d, 1e-9, "the habit times the change that is wanted");
    }
}

/* 13. Bag power in the sulcus, capture ignored: 1.0 D at 17.5 to 28 D (published chart), capture close to the bag. */
static void row_13(void **state) {
    (void)state;
    suspect_eye e = SUSPECT_EYE;
    static iol_case c;
    static iol_site site;
    iol_eye eye;
    iol_estimate joint;
    iol_notes notes = {.off = true};
    char json[6000];
    double power[3], sd[3];
    static const int place[] = {IOL_position_bag, IOL_position_sulcus, IOL_position_sulcus_captured};
    suspect_json(&e, json, sizeof json);
    must_read_case(json, &c);
    must_read_site(e.site, &site);
    iol_eye_make(&c, &site, IOL_UNKNOWN_DATE, IOL_EYE_POOLED, &notes, &eye);
    iol_estimate_make(&eye, IOL_FORMULA_srk_t, &joint);
    for (int i = 0; i < 3; i++) {
        iol_lens_in_eye fresh;
        iol_aim aim;
        iol_eye_shelf_lens(&eye, &site.lenses[0], place[i], &fresh);
        iol_aim_by_formula(&eye, &joint, &fresh, &aim);
        power[i] = iol_aim_power(&eye, &aim, -0.25);
        sd[i] = iol_aim_sd(&eye, &aim, power[i]);
    }
    CHECK_NEAR(power[1] - power[0], -1.0, 0.25, "Hill chart: -1.00 D between 17.5 and 28 D, half a step");
    assert_true(power[2] < power[0] && power[2] > power[1]);
    assert_true(sd[2] > sd[0]);
}

/* 14. Silicone oil (missed setting: 13 for 20 D; trade press 2023): four questions, no power when the state changes. */
static void row_14(void **state) {
    (void)state;
    static const char *const oil[] = {"\"silicone_oil\":{\"now\":true,\"at_refraction\":false,\"stays\":false},",
                                      "\"silicone_oil\":{\"at_refraction\":false,\"stays\":true},"};
    suspect_eye open = SUSPECT_EYE;
    for (size_t i = 0; i < 2; i++) {
        suspect_eye e = SUSPECT_EYE;
        e.case_more = oil[i];
        nothing_given(&e, &open);
        assert_true(cautioned(&plan, i ? IOL_NOTE_oil_stays : IOL_NOTE_oil_out));
        recheck_gives(&e, false);
    }
    suspect_eye e = SUSPECT_EYE;
    e.sphere_d = 2.0;
    e.case_more = "\"silicone_oil\":{\"now\":false,\"at_measurement\":true,\"at_refraction\":false,\"stays\":false},";
    suspect_plan(&e, &plan);
    assert_true(suspect_at(&plan, "oil-at-measurement") >= 0);
}

/* 15. Keratometry after corneal surgery in a plain formula: the refraction leads, and the kind of surgery is asked for. */
static void row_15(void **state) {
    (void)state;
    static const char *const kind[] = {"myopic-laser", "hyperopic-laser", "radial-cuts"};
    for (size_t i = 0; i < 3; i++) {
        suspect_eye e = SUSPECT_EYE;
        e.surgery = kind[i];
        suspect_plan(&e, &plan);
        assert_int_equal(plan.replacement.route, IOL_route_refraction_only);
        assert_true(stands_because(&plan, IOL_NOTE_repeat_corneal_surgery));
    }
    suspect_eye e = SUSPECT_EYE;
    e.surgery = "unknown";
    suspect_plan(&e, &plan);
    assert_true(stands_because(&plan, IOL_NOTE_repeat_surgery_not_stated));
}

/* 16. Keratoconus, K above 55 D (Watson 2013): the answer with 5 D more and less, and how little it matters. */
static void row_16(void **state) {
    (void)state;
    static const struct {
        double k_d;
        const char *surface;
        bool shown;
    } row[] = {{54.9, "regular", false}, {55.2, "regular", true}, {46.0, "ectatic", true}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        suspect_eye e = SUSPECT_EYE;
        e.k_flat_d = e.k_steep_d = row[i].k_d, e.surface = row[i].surface, e.power_d = 8.0;
        suspect_plan(&e, &plan);
        int at = note_at(&plan, IOL_AT_plan_cautions, IOL_NOTE_k_matters_little);
        assert_true((at >= 0) == row[i].shown);
        if (at >= 0) assert_true(fabs(plan.notes.item[at].value - plan.notes.item[at].limit) < 0.5);
    }
}

/* 17. Keratometric index, mm against D (Camps 2013). */
static void row_17(void **state) {
    (void)state;
    suspect_eye e = SUSPECT_EYE;
    suspect_plan(&e, &plan);
    assert_false(assumed(&plan, IOL_NOTE_assume_index));
    e.index_key = "//";
    static char json[6000];
    suspect_json(&e, json, sizeof json);
    char *number = strstr(json, "\"//\":");
    assert_non_null(number);
    memcpy(number, "\"//\":\"none\"", 11); /* a remark in its place */
    static iol_case c;
    static iol_site site;
    must_read_case(json, &c);
    must_read_site(e.site, &site);
    iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan);
    assert_true(assumed(&plan, IOL_NOTE_assume_index));
    assert_true(refused("{\"case_format\":1,\"case_ref\":\"A\",\"eye\":\"left\",\"reason\":\"power-error\","
                        "\"biometry\":{\"k_flat_d\":7.7,\"k_steep_d\":7.8}}",
                        IOL_FAULT_unit_slip, "/biometry/k_flat_d"));
}

/* 18, 27. The wish confused with the prediction; the fellow eye: half of the own error (common practice; 0.5 or 0.6). */
static void row_18(void **state) {
    (void)state;
    suspect_eye e = SUSPECT_EYE;
    e.sphere_d = 1.5, e.intended_se_d = -1.0;
    e.case_more = "\"fellow_eye\":{\"lens\":\"phakic\"},";
    suspect_plan(&e, &plan);
    const iol_surprise *s = &plan.surprise;
    CHECK_NEAR(s->selection_part_d + s->eye_part_d, s->miss_d, 1e-9, "definition: two parts make the miss");
    CHECK_NEAR(s->selection_part_d, s->formulas[0].predicted_se_d + 1.0, 1e-9, "definition: predicted less intended");
    int at = note_at(&plan, IOL_AT_plan_cautions, IOL_NOTE_fellow_half);
    assert_true(at >= 0);
    CHECK_NEAR(plan.notes.item[at].limit, -s->eye_part_d / 2.0, 1e-9,
               "half of the eye's own part alone, its sign turned");
    e.case_more = "\"fellow_eye\":{\"lens\":\"pseudophakic\"},";
    suspect_plan(&e, &plan);
    assert_false(cautioned(&plan, IOL_NOTE_fellow_half));
}

/* 19. A toric lens set to misleading keratometry: cylinder and axis found now decide; what does not fit is said. */
static void row_19(void **state) {
    (void)state;
    suspect_eye e = SUSPECT_EYE;
    e.k_steep_d = 43.50;
    e.lens_more = "\"power_is\":\"equivalent\",\"cylinder_d\":3.0,\"axis_deg\":90,\"axis_intended_deg\":90,";
    e.cylinder_d = -2.0; /* the cornea has no cylinder, the lens has, and the glasses say it is there */
    suspect_plan(&e, &plan);
    double lens_at_glasses = 3.0 * 0.69; /* 1 D of lens is 0.69 D of refraction (clinical facts 5) */
    CHECK_NEAR(plan.surprise.corneal_remainder_d, 0.0, 0.25, "3 D of lens cylinder make 2.1 D of refraction: it fits");
    assert_true(fabs(lens_at_glasses - 2.0) < 0.25);
    /* The cornea is round, the lens alone makes the cylinder: no turn takes it away, and the plan says what is left. */
    assert_true(fabs(plan.rotation.expected.cylinder_d) > 1.5);
    e.cylinder_d = 0.0;
    suspect_plan(&e, &plan);
    assert_true(cautioned(&plan, IOL_NOTE_corneal_remainder));
}

/* 20. Lens upside down (teaching cases): the question stands until it is answered. */
static void row_20(void **state) {
    (void)state;
    suspect_eye e = SUSPECT_EYE;
    e.sphere_d = -1.5, e.lens_more = "\"way_up\":\"not-seen\",";
    suspect_plan(&e, &plan);
    assert_true(suspect_at(&plan, "lens-reversed") >= 0);
    assert_non_null(strstr(written(&plan, JSON), "which way the loops point"));
}

/* 21. Label wrong (Elling 2015, Hormigo 2010; 1 of 7 in Schein 2012). */
static void row_21(void **state) {
    (void)state;
    suspect_eye e = SUSPECT_EYE;
    e.sphere_d = 3.5;
    e.checks = "\"biometry_belongs_to_this_eye\":true,\"original_sheet_seen\":true,\"topography_done\":true,"
               "\"dilated_look_done\":true,\"acuity_improves_with_trial_lens\":true";
    e.case_more =
        "\"biometry_repeat\":{\"axial_length_mm\":23.50,\"method\":\"optical\",\"eye_state\":\"pseudophakic\","
        "\"k_flat_d\":43.50,\"k_steep_d\":44.00,\"k_steep_axis_deg\":90,\"keratometric_index\":1.3375,"
        "\"lens_depth_mm\":5.0},"
        "\"fellow_eye\":{\"biometry\":{\"axial_length_mm\":23.60,\"k_flat_d\":43.50,\"k_steep_d\":44.00}},"
        "\"refraction_before_cataract\":{\"sphere_d\":0.5,\"cylinder_d\":0},";
    suspect_plan(&e, &plan);
    assert_true(suspect_at(&plan, "label-wrong") >= 0);
    assert_true(cautioned(&plan, IOL_NOTE_cause_not_found));
    assert_non_null(strstr(iol_note_rows[IOL_NOTE_cause_not_found].text, "keep the explanted lens"));
    assert_non_null(strstr(written(&plan, TEXT), "not found by any look taken")); /* row 31 */
    double needed = plan.surprise.causes[3].needed_alone;
    assert_true(isfinite(needed) && needed < 21.0); /* the power that would explain it */
}

/* 22. Laser opening before the decision: other risk, other ladder. */
static void row_22(void **state) {
    (void)state;
    suspect_eye e = SUSPECT_EYE;
    e.case_more = "\"capsule\":{\"anterior\":\"intact-opening\",\"posterior\":\"clear\"},";
    suspect_plan(&e, &plan);
    e.case_more = "\"capsule\":{\"anterior\":\"intact-opening\",\"posterior\":\"opened-by-laser\"},";
    suspect_plan(&e, &other);
    assert_true(other.support.score >=
                plan.support.score + 14); /* odds 4.1 for vitrectomy (open-capsule series 2024) */
    assert_int_equal(plan.support.positions[0].position, IOL_position_bag);
    for (int i = 0; i < other.support.positions_count; i++)
        if (other.support.positions[i].position == IOL_position_bag)
            assert_int_not_equal(other.support.positions[i].outlook, IOL_outlook_expected);
}

/* 23. Blur is not the power: an exchange helps only if trial lenses help. */
static void row_23(void **state) {
    (void)state;
    suspect_eye e = SUSPECT_EYE;
    e.sphere_d = 1.5, e.checks = "\"topography_done\":true,\"acuity_improves_with_trial_lens\":false";
    suspect_plan(&e, &plan);
    assert_int_not_equal(plan.decision.state, IOL_state_exchange);
    assert_int_not_equal(plan.decision.state, IOL_state_exchange_or_alternative);
    assert_true(note_at(&plan, IOL_AT_decision_reasons, IOL_NOTE_rule_blur_not_power) >= 0);
}

/* 24. Power not made: said, with the residual of the last step. */
static void row_24(void **state) {
    (void)state;
    suspect_eye e = SUSPECT_EYE;
    e.length_mm = 20.0, e.power_d = 30.0, e.sphere_d = 4.0;
    e.checks = "\"biometry_belongs_to_this_eye\":true";
    suspect_plan(&e, &plan);
    assert_true(cautioned(&plan, IOL_NOTE_off_shelf));
    assert_true(plan.replacement.power_exact_d > 30.0);
    bool last = false;
    for (int i = 0; i < plan.replacement.choices_count; i++)
        if (plan.replacement.choices[i].power_d == 30.0) last = plan.replacement.choices[i].expected.se_d > 0.5;
    assert_true(last);
}

/* 25. Bag to bag for negative dysphotopsia: 0 of 5 (Masket 2018). */
static void row_25(void **state) {
    (void)state;
    suspect_eye e = SUSPECT_EYE;
    e.reason = "photic-negative";
    suspect_plan(&e, &plan);
    for (int i = 0; i < plan.support.positions_count; i++)
        if (plan.support.positions[i].position == IOL_position_bag)
            assert_int_equal(plan.support.positions[i].outlook, IOL_outlook_no);
    assert_int_not_equal(plan.replacement.position, IOL_position_bag);
}

/* 26. A child's eye grows. */
static void row_26(void **state) {
    (void)state;
    suspect_eye e = SUSPECT_EYE;
    e.age_years = 17;
    suspect_plan(&e, &plan);
    assert_true(stands_because(&plan, IOL_NOTE_repeat_age));
    e.age_years = 18;
    suspect_plan(&e, &plan);
    assert_false(stands_because(&plan, IOL_NOTE_repeat_age));
}

#define REPEAT(state)                                                                                                  \
    "\"biometry_repeat\":{\"axial_length_mm\":23.50,\"method\":\"optical\",\"k_flat_d\":43.50,\"k_steep_d\":44.00,"    \
    "\"k_steep_axis_deg\":90,\"keratometric_index\":1.3375" state "},"

/* 28. Length measured again through a lens, in the mode of an eye without one: 0.07 mm (teaching text). */
static void row_28(void **state) {
    (void)state;
    suspect_eye e = SUSPECT_EYE;
    e.case_more = REPEAT(",\"eye_state\":\"phakic\"");
    suspect_plan(&e, &plan);
    assert_true(cautioned(&plan, IOL_NOTE_repeat_mode));
    e.case_more = REPEAT("");
    suspect_plan(&e, &plan);
    assert_true(cautioned(&plan, IOL_NOTE_repeat_mode));
    e.case_more = REPEAT(",\"eye_state\":\"pseudophakic\"");
    suspect_plan(&e, &plan);
    assert_false(cautioned(&plan, IOL_NOTE_repeat_mode));
}

/* 29. Cylinder notation mixed: both are read, the plan is the same. */
static void row_29(void **state) {
    (void)state;
    suspect_eye minus = SUSPECT_EYE;
    static iol_case c;
    static iol_site site;
    char json[6000];
    minus.sphere_d = 1.5, minus.cylinder_d = -1.0;
    suspect_json(&minus, json, sizeof json);
    must_read_case(json, &c);
    must_read_site(minus.site, &site);
    iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan);
    c.refractions[0].sphere_d = 0.5, c.refractions[0].cylinder_d = 1.0, c.refractions[0].axis_deg = 180.0;
    iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &other);
    CHECK_NEAR(other.replacement.power_exact_d, plan.replacement.power_exact_d, 1e-9, "transposition changes nothing");
    CHECK_NEAR(other.surprise.current_se_d, plan.surprise.current_se_d, 1e-9, "transposition changes nothing");
}

/* 30. Vertex never printed (0 of 41 cases of a log): the assumption is listed; above 6 D the answer at 10 and 14 mm too. */
static void row_30(void **state) {
    (void)state;
    suspect_eye e = SUSPECT_EYE;
    e.vertex = "null", e.sphere_d = 5.9, e.cylinder_d = -0.1;
    suspect_plan(&e, &plan);
    assert_true(assumed(&plan, IOL_NOTE_assume_vertex));
    assert_false(cautioned(&plan, IOL_NOTE_vertex_matters));
    e.sphere_d = 6.1;
    suspect_plan(&e, &plan);
    int at = note_at(&plan, IOL_AT_plan_cautions, IOL_NOTE_vertex_matters);
    assert_true(at >= 0);
    assert_true(plan.notes.item[at].value < plan.notes.item[at].limit); /* a plus at 14 mm is stronger at the cornea */
    e.vertex = "12";
    suspect_plan(&e, &plan);
    assert_false(cautioned(&plan, IOL_NOTE_vertex_matters));
}

/* 31. A cause line always (62 of 164 and 44 of 178 reports gave none: Kelly 2011, Steeples 2016). */
static void row_31(void **state) {
    (void)state;
    static const double read[] = {0.0, 1.5, 4.0, -1.5};
    for (size_t i = 0; i < sizeof read / sizeof *read; i++) {
        suspect_eye e = SUSPECT_EYE;
        e.sphere_d = read[i];
        suspect_plan(&e, &plan);
        for (int format = 0; format <= HTML; format++) assert_non_null(strstr(written(&plan, format), "Cause"));
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(row_1),  cmocka_unit_test(row_2),  cmocka_unit_test(row_3),  cmocka_unit_test(row_4),
        cmocka_unit_test(row_5),  cmocka_unit_test(row_6),  cmocka_unit_test(row_7),  cmocka_unit_test(row_8),
        cmocka_unit_test(row_9),  cmocka_unit_test(row_10), cmocka_unit_test(row_11), cmocka_unit_test(row_12),
        cmocka_unit_test(row_13), cmocka_unit_test(row_14), cmocka_unit_test(row_15), cmocka_unit_test(row_16),
        cmocka_unit_test(row_17), cmocka_unit_test(row_18), cmocka_unit_test(row_19), cmocka_unit_test(row_20),
        cmocka_unit_test(row_21), cmocka_unit_test(row_22), cmocka_unit_test(row_23), cmocka_unit_test(row_24),
        cmocka_unit_test(row_25), cmocka_unit_test(row_26), cmocka_unit_test(row_28), cmocka_unit_test(row_29),
        cmocka_unit_test(row_30), cmocka_unit_test(row_31)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
