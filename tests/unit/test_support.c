/* Support score and ladder of positions. Kinds of check: the points from a ratio (reference: arithmetic on the counts that
 * the series prints), both sides of every factor and of every test of the ladder (our own rules: judgement), order. */
#include "sound_case.h"
#include "check.h"

#include "tables/risk.h"
#include "tables/note_codes.h"

static iol_site site;
static iol_case c_now;
static iol_plan plan;

static void make(void) { iol_plan_make(&c_now, &site, IOL_UNKNOWN_DATE, &plan); }
static void start(iol_case *c) {
    iol_site_generic(&site);
    sound_case(c);
    c->biometry.chamber_depth_mm = 3.5; /* deep enough for a lens in front of the iris */
}

/* ---- points ---- */

static void test_points_from_ratio(void **state) {
    (void)state;
    /* Counts of the open and closed capsule series: 9 of 16 against 5 of 21 eyes. */
    double odds = (9.0 / 7.0) / (5.0 / 16.0);
    CHECK_NEAR(iol_evidence[IOL_EVIDENCE_exchange_vitrectomy_odds].value, odds, 0.05,
               "J Cataract Refract Surg 2024, 9/16 and 5/21");
    CHECK_NEAR(iol_risk_points(&iol_risk_rows[IOL_RISK_posterior_opened]), floor(10.0 * log(odds) + 0.5), 0.0,
               "10 ln of the odds ratio, rounded");
    CHECK_NEAR(iol_risk_points(&iol_risk_rows[IOL_RISK_posterior_opened]), 14.0, 0.0, "10 ln 4.1 = 14.1");
    /* Only a ratio for this outcome in eyes with an implanted lens makes points: one row today. */
    for (int i = 0; i < IOL_RISK_COUNT; i++)
        assert_true((iol_risk_rows[i].figure >= 0) == (i == IOL_RISK_posterior_opened));
}

static void test_every_row_is_whole(void **state) {
    (void)state;
    for (int i = 0; i < IOL_RISK_COUNT; i++) {
        const iol_risk_row *row = &iol_risk_rows[i];
        double points = iol_risk_points(row);
        assert_true(points > 0.0 && points <= 30.0 && points == floor(points));
        assert_true(row->group > 0 && row->group < IOL_risk_group_end);
        assert_true(row->finding[0] && row->shows[0]);
        assert_true(iol_risk_reference(row) < IOL_REF_COUNT);
        if (!row->hard) assert_true(points < 30.0);
    }
}

/* ---- both sides of every factor ---- */

typedef struct {
    int factor, state;
    const char *change;
} risk_row;
static const risk_row risk_rows[] = {
#define RISK(id, state, change) {IOL_RISK_##id, IOL_risk_state_##state, #change},
#include "rows/risk.def"
#undef RISK
};
enum { RISK_ROWS = sizeof risk_rows / sizeof *risk_rows };

static void change_risk(int row, iol_case *c) {
    int i = 0;
#define RISK(id, state, change)                                                                                        \
    if (i++ == row) change;
#include "rows/risk.def"
#undef RISK
}

static void test_factors(void **state) {
    (void)state;
    bool seen[IOL_RISK_COUNT][4] = {{false}};
    for (int i = 0; i < RISK_ROWS; i++) {
        start(&c_now);
        change_risk(i, &c_now);
        make();
        assert_int_equal(plan.support.factors_count, IOL_RISK_COUNT);
        const iol_risk_factor *f = &plan.support.factors[risk_rows[i].factor];
        if (f->state != risk_rows[i].state) fail_msg("%s: state %d with %s", f->id, f->state, risk_rows[i].change);
        seen[risk_rows[i].factor][f->state] = true;
        double least = f->state == IOL_risk_state_yes ? f->points : 0.0;
        assert_true(plan.support.score >= least);
        assert_true(plan.support.score_if_unknowns_present >= (f->state == IOL_risk_state_no ? 0.0 : f->points));
        if (f->state == IOL_risk_state_yes && f->hard == IOL_YES)
            assert_int_equal(plan.support.tier_of_findings, IOL_tier_very_high);
    }
    for (int i = 0; i < IOL_RISK_COUNT; i++)
        for (int s = IOL_risk_state_yes; s <= IOL_risk_state_unknown; s++)
            if (!seen[i][s]) fail_msg("no test row for factor %s, state %d", iol_risk_rows[i].id, s);
}

/* ---- adding up ---- */

static void test_sound_eye(void **state) {
    (void)state;
    start(&c_now);
    make();
    CHECK_NEAR(plan.support.score, 0.0, 0.0, "no factor found");
    CHECK_NEAR(plan.support.score_if_unknowns_present, 0.0, 0.0, "nothing unknown");
    assert_int_equal(plan.support.tier, IOL_tier_routine);
    assert_int_equal(plan.replacement.position, IOL_position_bag);
}

static void test_largest_of_a_group(void **state) {
    (void)state;
    start(&c_now);
    c_now.zonule.pseudoexfoliation = IOL_YES;
    make();
    CHECK_NEAR(plan.support.score, 8.0, 0.0, "method, section 7");
    assert_int_equal(plan.support.factors[IOL_RISK_pseudoexfoliation].counted, IOL_YES);
    c_now.zonule.donesis = IOL_donesis_slight;
    make();
    CHECK_NEAR(plan.support.score, 10.0, 0.0, "method, section 7: in a group only the largest counts");
    assert_int_equal(plan.support.factors[IOL_RISK_pseudoexfoliation].counted, IOL_NO);
    assert_int_equal(plan.support.factors[IOL_RISK_donesis_slight].counted, IOL_YES);
    c_now.zonule.vitrectomised = IOL_YES;
    make();
    CHECK_NEAR(plan.support.score, 18.0, 0.0, "another group adds");
}

static int tier_with(int posterior, int donesis, int anterior, bool pupil) {
    start(&c_now);
    c_now.capsule.posterior = posterior;
    c_now.zonule.donesis = donesis;
    c_now.capsule.anterior = anterior;
    if (pupil) c_now.anterior_segment.pupil_dilated_mm = 4.0;
    make();
    assert_int_equal(plan.support.tier, plan.support.tier_of_findings);
    return plan.support.tier;
}

static void test_tiers(void **state) {
    (void)state;
    const int clear = IOL_posterior_capsule_clear, open = IOL_posterior_capsule_opened_by_laser;
    const int whole = IOL_anterior_capsule_intact_opening, shrunk = IOL_anterior_capsule_contracted;
    const int none = IOL_donesis_none, slight = IOL_donesis_slight;
    assert_int_equal(tier_with(clear, none, whole, true), IOL_tier_routine);
    CHECK_NEAR(plan.support.score, 4.0, 0.0, "access alone");
    start(&c_now);
    c_now.capsule.fibrosis = IOL_fibrosis_dense;
    c_now.capsule.opening_overlaps_optic = IOL_overlap_partial;
    make();
    CHECK_NEAR(plan.support.score, 9.0, 0.0, "6 + 3: below the limit of 10");
    assert_int_equal(plan.support.tier, IOL_tier_routine);
    assert_int_equal(tier_with(clear, none, shrunk, true), IOL_tier_guarded);
    CHECK_NEAR(plan.support.score, 10.0, 0.0, "6 + 4: at the limit of 10");
    assert_int_equal(tier_with(open, none, whole, true), IOL_tier_guarded);
    CHECK_NEAR(plan.support.score, 18.0, 0.0, "14 + 4: below the limit of 20");
    assert_int_equal(tier_with(clear, slight, shrunk, true), IOL_tier_high);
    CHECK_NEAR(plan.support.score, 20.0, 0.0, "10 + 6 + 4: at the limit of 20");
    assert_int_equal(tier_with(open, slight, whole, true), IOL_tier_high);
    CHECK_NEAR(plan.support.score, 28.0, 0.0, "14 + 10 + 4: below the limit of 30");
    assert_int_equal(tier_with(open, slight, shrunk, false), IOL_tier_very_high);
    CHECK_NEAR(plan.support.score, 30.0, 0.0, "14 + 10 + 6: at the limit of 30");
    assert_int_equal(tier_with(IOL_posterior_capsule_torn, none, whole, false), IOL_tier_very_high);
}

/* The series finds vitrectomy in 56 % of open and 24 % of closed capsules: the tiers must stand in the same order. */
static void test_order_of_the_series(void **state) {
    (void)state;
    const int whole = IOL_anterior_capsule_intact_opening, none = IOL_donesis_none;
    int closed = tier_with(IOL_posterior_capsule_clear, none, whole, false);
    int open = tier_with(IOL_posterior_capsule_opened_by_laser, none, whole, false);
    int torn = tier_with(IOL_posterior_capsule_torn, none, whole, false);
    assert_true(iol_evidence[IOL_EVIDENCE_exchange_vitrectomy_open].value >
                iol_evidence[IOL_EVIDENCE_exchange_vitrectomy_closed].value);
    assert_true(closed < open && open < torn);
}

/* Each factor in turn not known: the tier is that of the eye in which it is present, and the findings' tier stays. */
static void test_unknown_counts_as_present(void **state) {
    (void)state;
    start(&c_now);
    c_now.zonule.donesis = 0;
    make();
    CHECK_NEAR(plan.support.score, 0.0, 0.0, "nothing found");
    CHECK_NEAR(plan.support.score_if_unknowns_present, 30.0, 0.0, "marked trembling is a hard rule");
    assert_int_equal(plan.support.tier, IOL_tier_very_high);
    assert_int_equal(plan.support.tier_of_findings, IOL_tier_routine);
    start(&c_now);
    c_now.zonule.pseudoexfoliation = IOL_UNKNOWN;
    make();
    CHECK_NEAR(plan.support.score_if_unknowns_present, 8.0, 0.0, "method, section 7");
    assert_int_equal(plan.support.tier, IOL_tier_routine);
}

static bool has_caution(iol_note_code code) {
    for (int i = iol_note_find(&plan.notes, IOL_AT_plan_cautions, 0, 0); i >= 0;
         i = iol_note_find(&plan.notes, IOL_AT_plan_cautions, 0, i + 1))
        if (plan.notes.item[i].code == (int)code) return true;
    return false;
}

/* Age and length feed a caution, never the points. */
static void test_detachment(void **state) {
    (void)state;
    static const struct {
        double age, length;
        bool told;
    } rows[] = {{59.9, 23.0, true}, {60.0, 23.0, false}, {71.0, 25.0, false}, {71.0, 25.1, true}, {NAN, 23.0, false}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        start(&c_now);
        c_now.age_years = rows[i].age;
        c_now.biometry.axial_length_mm = rows[i].length;
        make();
        assert_int_equal(has_caution(IOL_NOTE_detachment), rows[i].told);
        CHECK_NEAR(plan.support.score, 0.0, 0.0, "no points for age or length");
    }
    start(&c_now);
    c_now.retina.earlier_detachment = IOL_YES;
    make();
    assert_true(has_caution(IOL_NOTE_detachment));
}

/* ---- ladder ---- */

static const struct {
    int position, outlook, why;
    const char *change;
} ladder_rows[] = {
#define LADDER(position, outlook, why, change)                                                                         \
    {IOL_position_##position, IOL_outlook_##outlook, IOL_NOTE_##why, #change},
#include "rows/rungs.def"
#undef LADDER
};
enum { LADDER_ROWS = sizeof ladder_rows / sizeof *ladder_rows };

static void change_ladder(int row, iol_case *c) {
    int i = 0;
#define LADDER(position, outlook, why, change)                                                                         \
    if (i++ == row) change;
#include "rows/rungs.def"
#undef LADDER
}

static int find_place(int position) {
    for (int i = 0; i < plan.support.positions_count; i++)
        if (plan.support.positions[i].position == position) return i;
    fail_msg("place %d is not on the ladder", position);
    return 0;
}

static void test_ladder(void **state) {
    (void)state;
    for (int i = 0; i < LADDER_ROWS; i++) {
        start(&c_now);
        change_ladder(i, &c_now);
        make();
        int row = find_place(ladder_rows[i].position);
        int note = iol_note_find(&plan.notes, IOL_AT_position_outlook_why, row, 0);
        assert_true(note >= 0);
        if (plan.support.positions[row].outlook != ladder_rows[i].outlook ||
            plan.notes.item[note].code != ladder_rows[i].why)
            fail_msg("%s: outlook %d, %s", ladder_rows[i].change, plan.support.positions[row].outlook,
                     iol_note_rows[plan.notes.item[note].code].code);
    }
}

/* Every row of the ladder's table has a row here. */
static void test_ladder_is_covered(void **state) {
    (void)state;
    static const struct {
        int position, outlook, why;
    } table[] = {
#define RUNG(position, effect, predicate, why, finding) {IOL_position_##position, IOL_outlook_##effect, IOL_NOTE_##why},
#define EXPECTED(position, why) {IOL_position_##position, IOL_outlook_expected, IOL_NOTE_##why},
#include "rungs.def"
#undef RUNG
#undef EXPECTED
    };
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        bool covered = false;
        for (int k = 0; k < LADDER_ROWS; k++)
            covered = covered || (ladder_rows[k].position == table[i].position &&
                                  ladder_rows[k].outlook == table[i].outlook && ladder_rows[k].why == table[i].why);
        if (!covered) fail_msg("no test row for place %d, %s", table[i].position, iol_note_rows[table[i].why].code);
    }
}

/* The planned place. */
static int planned(void) {
    make();
    return plan.replacement.position;
}
static void test_planned_place(void **state) {
    (void)state;
    start(&c_now);
    assert_int_equal(planned(), IOL_position_bag);
    c_now.capsule.posterior = IOL_posterior_capsule_torn;
    assert_int_equal(planned(), IOL_position_sulcus_captured);
    c_now.capsule.opening_mm = 6.0;
    assert_int_equal(planned(), IOL_position_sulcus);
    c_now.capsule.anterior = IOL_anterior_capsule_absent;
    assert_int_equal(planned(), IOL_position_sclera);
    start(&c_now);
    c_now.reason = IOL_reason_photic_negative;
    assert_int_equal(planned(), IOL_position_sulcus);
    /* A claw lens is replaced by a claw lens while the iris allows it. */
    start(&c_now);
    c_now.first_surgery.lens.position = IOL_position_iris_behind;
    c_now.capsule.anterior = IOL_anterior_capsule_absent;
    assert_int_equal(planned(), IOL_position_iris_behind);
    assert_int_equal(plan.support.positions[3].position, IOL_position_iris_behind);
    c_now.anterior_segment.iris = IOL_iris_atrophic;
    assert_int_equal(planned(), IOL_position_sclera);
}

/* No lens on the shelf for the first place: the next that has one, and it is said. */
static void test_place_not_on_shelf(void **state) {
    (void)state;
    start(&c_now);
    c_now.capsule.posterior = IOL_posterior_capsule_torn;
    assert_int_equal(planned(), IOL_position_sulcus_captured);
    assert_false(has_caution(IOL_NOTE_position_not_on_shelf));
    for (int i = 0; i < site.lenses_count; i++)
        for (int k = 0; k < site.lenses[i].positions_count; k++)
            if (site.lenses[i].positions[k] == IOL_position_sulcus_captured)
                site.lenses[i].positions[k] = IOL_position_bag;
    assert_int_equal(planned(), IOL_position_sulcus);
    assert_true(has_caution(IOL_NOTE_position_not_on_shelf));
}

/* Nothing expected: a place against which nothing was found comes before one that is doubtful. */
static void test_doubtful_everywhere(void **state) {
    (void)state;
    start(&c_now);
    c_now.capsule.posterior = IOL_posterior_capsule_torn;
    c_now.capsule.anterior = IOL_anterior_capsule_tear;
    c_now.anterior_segment.uveitis = IOL_uveitis_quiet;
    c_now.zonule.connective_tissue_disorder = IOL_UNKNOWN;
    assert_int_equal(planned(), IOL_position_sclera);
    c_now.zonule.connective_tissue_disorder = IOL_YES;
    assert_int_equal(planned(), IOL_position_sulcus);
}

/* The capsule's place that only an unexamined doubt keeps from being expected comes before one that needs a vitrectomy; the
 * doubt found, it does not (common practice, no source). */
static void test_unexamined_doubt(void **state) {
    (void)state;
    start(&c_now);
    c_now.capsule.posterior = IOL_posterior_capsule_opened_by_laser;
    c_now.capsule.anterior = IOL_anterior_capsule_contracted;
    c_now.anterior_segment.pigment_dispersion = IOL_UNKNOWN;
    assert_int_equal(planned(), IOL_position_sulcus);
    assert_true(has_caution(IOL_NOTE_position_not_settled));
    c_now.anterior_segment.pigment_dispersion = IOL_YES;
    assert_true(planned() > IOL_position_sulcus_captured);
    c_now.anterior_segment.pigment_dispersion = IOL_NO;
    assert_int_equal(planned(), IOL_position_sulcus);
    assert_false(has_caution(IOL_NOTE_position_not_settled));
}

/* A finding that is not known keeps the place of the old lens, and says so; nothing expected elsewhere overrides it. */
static void test_unknown_keeps_the_old_place(void **state) {
    (void)state;
    start(&c_now);
    assert_int_equal(planned(), IOL_position_bag);
    assert_false(has_caution(IOL_NOTE_position_not_settled));
    c_now.capsule.posterior = 0;
    assert_int_equal(planned(), IOL_position_bag);
    assert_true(has_caution(IOL_NOTE_position_not_settled));
    assert_false(has_caution(IOL_NOTE_place_not_settled));
    c_now.anterior_segment.fluid_behind_lens = IOL_finding_yes; /* no power is given: none is spoken of */
    assert_int_equal(planned(), IOL_position_bag);
    assert_true(has_caution(IOL_NOTE_place_not_settled));
    assert_false(has_caution(IOL_NOTE_position_not_settled));
}

/* Long lists of what is not known end in ", more" and stay inside their room. */
static void test_many_unknowns(void **state) {
    (void)state;
    iol_site_generic(&site);
    char json[4096];
    snprintf(json, sizeof json, WORKED_CASE, "srk-t");
    must_read_case(json, &c_now);
    c_now.capsule.anterior = 0;
    make();
    int note = iol_note_find(&plan.notes, IOL_AT_position_outlook_why, find_place(IOL_position_bag), 0);
    assert_int_equal(plan.notes.item[note].code, IOL_NOTE_rung_not_known);
    assert_string_equal(plan.notes.item[note].word + strlen(plan.notes.item[note].word) - 6, ", more");
    assert_int_equal(plan.support.tier, IOL_tier_very_high);
    assert_int_equal(plan.support.tier_of_findings, IOL_tier_routine);
}

/* Published rates: both series that disagree stand beside an open capsule. */
static bool has_anchor(iol_note_code code) {
    for (int i = iol_note_find(&plan.notes, IOL_AT_support_vitrectomy_anchor, 0, 0); i >= 0;
         i = iol_note_find(&plan.notes, IOL_AT_support_vitrectomy_anchor, 0, i + 1))
        if (plan.notes.item[i].code == (int)code) return true;
    return false;
}
static void test_anchors(void **state) {
    (void)state;
    start(&c_now);
    make();
    assert_true(has_anchor(IOL_NOTE_anchor_open_closed) && has_anchor(IOL_NOTE_anchor_bag_closed));
    assert_true(has_anchor(IOL_NOTE_anchor_all));
    assert_false(has_anchor(IOL_NOTE_anchor_open_experts) || has_anchor(IOL_NOTE_anchor_pseudoexfoliation));
    c_now.capsule.posterior = IOL_posterior_capsule_torn;
    make();
    assert_false(has_anchor(IOL_NOTE_anchor_bag_closed) || has_anchor(IOL_NOTE_anchor_open_experts));
    c_now.capsule.posterior = IOL_posterior_capsule_opened_by_laser;
    c_now.zonule.pseudoexfoliation = IOL_YES;
    make();
    assert_true(has_anchor(IOL_NOTE_anchor_open_experts) && has_anchor(IOL_NOTE_anchor_bag_open));
    assert_true(has_anchor(IOL_NOTE_anchor_complications) && has_anchor(IOL_NOTE_anchor_pseudoexfoliation));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_points_from_ratio),
        cmocka_unit_test(test_every_row_is_whole),
        cmocka_unit_test(test_factors),
        cmocka_unit_test(test_sound_eye),
        cmocka_unit_test(test_largest_of_a_group),
        cmocka_unit_test(test_tiers),
        cmocka_unit_test(test_order_of_the_series),
        cmocka_unit_test(test_unknown_counts_as_present),
        cmocka_unit_test(test_detachment),
        cmocka_unit_test(test_ladder),
        cmocka_unit_test(test_ladder_is_covered),
        cmocka_unit_test(test_planned_place),
        cmocka_unit_test(test_place_not_on_shelf),
        cmocka_unit_test(test_doubtful_everywhere),
        cmocka_unit_test(test_unexamined_doubt),
        cmocka_unit_test(test_unknown_keeps_the_old_place),
        cmocka_unit_test(test_many_unknowns),
        cmocka_unit_test(test_anchors),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
