/* Words for the patient: every row is reached, its figures are those of the evidence, and it says what is from memory. */
#include "check.h"

#include "hard_case.h"
#include "plan/work.h"
#include "tables/constants.h"
#include "tables/rule_codes.h"

typedef struct {
    iol_note_code code;
    const char *id, *text;
    int figure, second; /* iol_evidence_key, -1 for words and this eye's numbers */
} row;
static const row rows[] = {
#define SAY(id, topic, when, figure, second, text)                                                                     \
    {IOL_NOTE_say_##id, #id, text, IOL_EVIDENCE_##figure, IOL_EVIDENCE_##second},
#define TELL(id, topic, when, value, limit, reference, text) {IOL_NOTE_say_##id, #id, text, -1, -1},
#include "counselling.def"
#undef SAY
#undef TELL
};
enum { ROWS = sizeof rows / sizeof *rows };

static iol_case c;
static iol_plan plan;
static bool reached[IOL_NOTE_COUNT];
static int most_at_once;

static const row *row_of(int code) {
    for (int i = 0; i < ROWS; i++)
        if ((int)rows[i].code == code) return &rows[i];
    return NULL;
}

static void make(void) {
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    if (plan.counselling_count > most_at_once) most_at_once = plan.counselling_count;
    for (int i = 0; i < plan.notes.count; i++)
        if (plan.notes.item[i].place == IOL_AT_counsel_say) reached[plan.notes.item[i].code] = true;
}
static bool said(iol_note_code code) { return has_note(&plan, IOL_AT_counsel_say, (int)code) >= 0; }

/* Each sentence of a plan: the figure on the row is the evidence's, and the source is that of the evidence. */
static void check_figures(void) {
    for (int i = 0; i < plan.counselling_count; i++) {
        int at = iol_note_find(&plan.notes, IOL_AT_counsel_say, i, 0);
        assert_true(at >= 0);
        const row *r = row_of(plan.notes.item[at].code);
        assert_non_null(r);
        assert_non_null(plan.counselling[i].topic);
        assert_non_null(plan.counselling[i].source);
        if (r->figure < 0) continue;
        const iol_evidence_row *evidence = &iol_evidence[r->figure];
        CHECK_NEAR(plan.counselling[i].figure, evidence->value, 0.0, "the row of data/evidence.def that it names");
        assert_string_equal(plan.counselling[i].source, iol_references[evidence->reference].key);
        assert_string_equal(plan.counselling[i].status, iol_status_text(evidence->status));
    }
}

/* The same case again with one option ranked first, whatever the ranking says of it. */
static void make_with_first(int option) {
    example_case("hyperopic-surprise", &c);
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    iol_work w = {.c = &c, .site = example_site(), .plan = &plan};
    iol_notes unused = {.count = 0};
    iol_eye_make(&c, w.site, plan.as_of, IOL_EYE_POOLED, &unused, &w.eye);
    static iol_estimate joint;
    iol_estimate_make(&w.eye, (iol_formula)w.eye.reference, &joint);
    w.joint = &joint;
    plan.options_count = 1;
    plan.options[0] = (iol_option_row){.present = true, .option = option, .rank = 1};
    plan.spectacles = (iol_spectacles){.present = true, .sphere_d = 2.0, .cylinder_d = -0.75, .suitable = IOL_YES};
    plan.notes.count = plan.counselling_count = 0;
    plan.decision = (iol_decision){.present = false};
    iol_facts_begin(&w);
    iol_part_decision(&w);
    iol_part_counselling(&w);
    for (int i = 0; i < plan.notes.count; i++)
        if (plan.notes.item[i].place == IOL_AT_counsel_say) reached[plan.notes.item[i].code] = true;
}

/* A printed digit of the figure is not rounded away: what is said is what the source prints. */
static void test_digits(void **state) {
    (void)state;
    char text[640];
    for (int i = 0; i < ROWS; i++) {
        if (rows[i].figure < 0) continue;
        iol_note note = {.code = (int)rows[i].code,
                         .value = iol_evidence[rows[i].figure].value,
                         .limit = iol_evidence[rows[i].second].value};
        iol_note_text(&note, text, sizeof text);
        char first[32], second[32];
        snprintf(first, sizeof first, "%g", note.value);
        snprintf(second, sizeof second, "%g", note.limit);
        if (!strstr(text, first)) fail_msg("%s: %s is not in: %s", rows[i].id, first, text);
        if (strstr(rows[i].text, "%2") && !strstr(text, second))
            fail_msg("%s: %s is not in: %s", rows[i].id, second, text);
    }
}

static void test_sources(void **state) {
    (void)state;
    for (int i = 0; i < ROWS; i++) {
        if (rows[i].figure < 0) continue;
        const iol_evidence_row *first = &iol_evidence[rows[i].figure], *second = &iol_evidence[rows[i].second];
        assert_int_equal(first->reference, second->reference);
        bool memory = first->status == IOL_STATUS_memory || second->status == IOL_STATUS_memory;
        if (memory != (strstr(rows[i].text, "from memory") != NULL))
            fail_msg("%s: memory said or not said", rows[i].id);
        assert_non_null(strstr(rows[i].text, "%1"));
        if (rows[i].second != rows[i].figure) assert_non_null(strstr(rows[i].text, "%2"));
    }
}

/* One or two short sentences: at most three full stops, no note longer than 200 bytes. */
static void test_short(void **state) {
    (void)state;
    for (int i = 0; i < ROWS; i++) {
        int sentences = 0;
        for (const char *at = rows[i].text; *at; at++)
            sentences += (*at == '.' || *at == '?') && (at[1] == ' ' || !at[1]);
        if (sentences < 1 || sentences > 3 || strlen(rows[i].text) > 200) fail_msg("%s is too long", rows[i].id);
    }
}

static void by_reason(int reason, int day) {
    example_case("hyperopic-surprise", &c);
    c.reason = reason;
    on_day(&c, day);
    make();
    check_figures();
}

static void test_every_row(void **state) {
    (void)state;
    for (int i = 0; i < EXAMPLES; i++) {
        example_case(example_names[i], &c);
        make();
        check_figures();
    }
    for (int reason = 1; reason < IOL_reason_end; reason++) by_reason(reason, 200);
    example_case("hyperopic-surprise", &c); /* a small error: something other than lens surgery comes first */
    for (int k = 0; k < c.refractions_count; k++) c.refractions[k].sphere_d = 0.75;
    make();
    assert_int_equal(plan.decision.state, IOL_state_other_option_first);
    example_case("hyperopic-surprise", &c);
    c.reason = IOL_reason_lens_opacity;
    c.first_surgery.lens.opacity = IOL_opacity_marked;
    c.patient.only_seeing_eye = IOL_YES;
    c.cornea.oedema = IOL_YES;
    c.capsule.posterior = 0;
    make();
    c.capsule.posterior = IOL_posterior_capsule_torn;
    make();
    example_case("dislocation", &c);
    c.anterior_segment.iris = IOL_iris_normal;
    make();
    example_case("hyperopic-surprise", &c);
    c.red_flags.pain = IOL_YES;
    make();
    example_case("hyperopic-surprise", &c);
    c.first_surgery.lens.power_d += 10.0;
    c.checks.dilated_look_done = IOL_NO;
    make();
    example_case("hyperopic-surprise", &c);
    on_day(&c, 20);
    make();
    example_case("wrong-lens", &c);
    make();
    for (int i = 0; i < IOL_position_end; i++) {
        example_case("lens-opacity", &c);
        c.first_surgery.lens.position = i;
        make();
    }
    example_case("lens-opacity", &c); /* no capsule left, a good iris: the lens may be clipped behind it */
    c.capsule.anterior = IOL_anterior_capsule_absent;
    c.capsule.posterior = IOL_posterior_capsule_absent;
    c.anterior_segment.iris = IOL_iris_normal;
    c.first_surgery.lens.position = IOL_position_iris_behind;
    make();
    example_case("hyperopic-surprise", &c); /* a sphere alone is left */
    for (int k = 0; k < c.refractions_count; k++) c.refractions[k].cylinder_d = 0.0;
    make();
    example_case("lens-opacity", &c); /* a very short eye that is opened */
    c.biometry.axial_length_mm = c.biometry_repeat.axial_length_mm = 20.0;
    make();
    static const char *const others[] = {"no-lens", "two-lenses", "child"};
    for (size_t i = 0; i < sizeof others / sizeof *others; i++) {
        example_case(others[i], &c);
        make();
    }
    hard_case_named("second-off-axis", &c);
    make();
    hard_case_named("both-clouded", &c);
    make();
    c.second_lens.opacity = IOL_opacity_none;
    make();
    hard_case_named("front-clouded", &c);
    make();
    for (int option = 1; option < IOL_option_end; option++) {
        make_with_first(option);
        bool taking = option == IOL_option_exchange || option == IOL_option_remove_only ||
                      option == IOL_option_secondary_lens;
        assert_int_equal(plan.decision.state, taking ? IOL_state_exchange : IOL_state_other_option_first);
        check_figures();
    }
    int silent = 0;
    for (int i = 0; i < ROWS; i++)
        if (!reached[rows[i].code]) print_error("never said: %s\n", rows[i].id), silent++;
    assert_int_equal(silent, 0);
    assert_true(most_at_once <= 32);
}

/* The topics that a talk before a revision needs (common practice, no source): all are there for an exchange. */
static void test_topics(void **state) {
    (void)state;
    static const char *const topics[] = {"found", "options", "chances", "risks", "plan-b", "uncertain", "open-talk"};
    example_case("wrong-lens", &c);
    make();
    for (size_t i = 0; i < sizeof topics / sizeof *topics; i++) {
        bool there = false;
        for (int k = 0; k < plan.counselling_count; k++) there |= strcmp(plan.counselling[k].topic, topics[i]) == 0;
        if (!there) fail_msg("nothing said about %s", topics[i]);
    }
}

/* What a new lens may bring is never told without what it may cost, also while something smaller comes first (balance of a
 * consent talk: common practice, no source). */
static void test_risks_beside_power(void **state) {
    (void)state;
    static const char *const names[] = {"hyperopic-surprise", "toric-turned",      "lens-opacity", "sulcus-lens",
                                        "wrong-lens",         "multifocal-photic", "dislocation"};
    int told = 0;
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        example_case(names[i], &c);
        make();
        if (!said(IOL_NOTE_say_option_power)) continue;
        told++;
        assert_true(said(IOL_NOTE_say_risk_cornea) && said(IOL_NOTE_say_risk_detachment));
        assert_true(said(IOL_NOTE_say_risk_infection) && said(IOL_NOTE_say_risk_oedema));
        assert_true(said(IOL_NOTE_say_risk_vitreous) || said(IOL_NOTE_say_risk_vitreous_open) ||
                    said(IOL_NOTE_say_risk_vitreous_closed) || said(IOL_NOTE_say_risk_vitreous_loose));
        /* Rates of eyes whose bag held are not told to one whose bag does not, nor low-risk acuity at high risk. */
        assert_true(said(IOL_NOTE_say_risk_vitreous_loose) == (strcmp(names[i], "dislocation") == 0));
        assert_true(!said(IOL_NOTE_say_chance_acuity) || plan.support.tier == IOL_tier_routine);
    }
    assert_true(told >= 3);
}

/* Withheld, alarmed or provisional: no power and no chance is spoken of. */
static void test_no_power_when_withheld(void **state) {
    (void)state;
    example_case("silicone-oil", &c);
    make();
    assert_false(said(IOL_NOTE_say_option_power));
    assert_false(said(IOL_NOTE_say_chance_model));
    example_case("myopic-surprise-early", &c);
    make();
    assert_false(said(IOL_NOTE_say_option_power));
    example_case("wrong-lens", &c);
    make();
    assert_true(said(IOL_NOTE_say_option_power));
    c.red_flags.infection_signs = IOL_YES;
    make();
    assert_false(said(IOL_NOTE_say_option_power));
    assert_false(said(IOL_NOTE_say_option_leave));
    assert_true(said(IOL_NOTE_say_alarm));
}

/* A power that no single lens is made in is not promised: what the nearest one leaves is told instead, and never both. */
static void a_power_that_is_not_made(void **state) {
    (void)state;
    example_case("short-eye", &c);
    make();
    assert_true(said(IOL_NOTE_say_option_not_made) && !said(IOL_NOTE_say_option_power));
    for (int i = 0; i < EXAMPLES; i++) {
        example_case(example_names[i], &c);
        make();
        assert_false(said(IOL_NOTE_say_option_not_made) && said(IOL_NOTE_say_option_power));
        if (strcmp(example_names[i], "short-eye") != 0) assert_false(said(IOL_NOTE_say_option_not_made));
    }
}

/* The series of exchanges and second lenses (Jin and others 2008, data/evidence.def) has no eye without a lens. */
static void test_series_of_like_eyes(void **state) {
    (void)state;
    example_case("no-lens", &c);
    make();
    assert_true(said(IOL_NOTE_say_chance_model));
    assert_false(said(IOL_NOTE_say_chance_lens));
    example_case("wrong-lens", &c);
    make();
    assert_true(said(IOL_NOTE_say_chance_lens));
}

/* Leaving a multifocal lens is said whatever the reason for the exchange. */
static void test_near_lost(void **state) {
    (void)state;
    static const int optics[] = {IOL_optic_multifocal, IOL_optic_extended_depth};
    for (int i = 0; i < 2; i++) {
        example_case("wrong-lens", &c);
        make();
        assert_false(said(IOL_NOTE_say_near_lost));
        c.first_surgery.lens.optic = optics[i];
        make();
        assert_true(said(IOL_NOTE_say_near_lost));
    }
}

/* More reasons at once than a plan can hold sentences for: it says that something is missing. */
static void test_overflow_is_said(void **state) {
    (void)state;
    example_case("wrong-lens", &c);
    c.reasons_also_count = 0;
    for (int reason = 2; reason < IOL_reason_end; reason++)
        if (reason != IOL_reason_no_lens) c.reasons_also[c.reasons_also_count++] = reason;
    c.first_surgery.lens.optic = IOL_optic_multifocal;
    c.patient.only_seeing_eye = c.cornea.oedema = IOL_YES;
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    assert_true(plan.counselling_count == 32 && plan.counselling_lost);
    assert_true(has_note(&plan, IOL_AT_plan_cautions, IOL_NOTE_notes_lost) >= 0);
}

/* ---- each sentence in its place only ---- */

/* A way is said to be looked at first when the decision says so and it is that way; in an emergency nothing else is offered. */
static void check_when(void) {
    static const struct {
        int option;
        iol_note_code said;
    } first[] = {{IOL_option_contact_lens, IOL_NOTE_say_option_contact},
                 {IOL_option_corneal_laser, IOL_NOTE_say_option_laser},
                 {IOL_option_piggyback, IOL_NOTE_say_option_piggyback},
                 {IOL_option_optic_capture, IOL_NOTE_say_option_capture},
                 {IOL_option_reposition, IOL_NOTE_say_option_reposition}};
    bool smaller = plan.decision.state == IOL_state_other_option_first;
    bool taking = plan.decision.state == IOL_state_exchange || plan.decision.state == IOL_state_exchange_or_alternative;
    bool today = plan.decision.urgency == IOL_urgency_same_day;
    for (size_t i = 0; i < sizeof first / sizeof *first; i++)
        assert_int_equal(said(first[i].said), smaller && plan.options[0].option == first[i].option);
    assert_int_equal(said(IOL_NOTE_say_alarm), today);
    assert_false(today && (said(IOL_NOTE_say_option_turn) || said(IOL_NOTE_say_option_glasses) ||
                           said(IOL_NOTE_say_option_spectacles) || said(IOL_NOTE_say_option_leave) ||
                           said(IOL_NOTE_say_option_keep_wrong)));
    assert_int_equal(said(IOL_NOTE_say_chance_exchange), taking || smaller);
    if (c.silicone_oil.stays == IOL_YES)
        assert_true(said(IOL_NOTE_say_found_oil)); /* none of the other examples has oil */
    if (!c.silicone_oil.present) assert_false(said(IOL_NOTE_say_found_oil));
    bool glasses = said(IOL_NOTE_say_option_glasses), cylinder = said(IOL_NOTE_say_option_spectacles);
    assert_false(glasses && cylinder);
    if (glasses || cylinder) assert_int_equal(c.checks.acuity_improves_with_trial_lens, IOL_YES);
    if (glasses || cylinder) assert_int_equal(cylinder, fabs(plan.spectacles.cylinder_d) > c_cylinder_spoken_d);
    assert_int_equal(said(IOL_NOTE_say_found_negative), c.reason == IOL_reason_photic_negative);
}

static void test_only_in_its_place(void **state) {
    (void)state;
    static const double sphere[] = {-3.0, -0.5, 0.75, 2.25};
    for (int e = 0; e < EXAMPLES; e++)
        for (int reason = 0; reason < IOL_reason_end; reason++)
            for (int k = 0; k < 8; k++) {
                example_case(example_names[e], &c);
                if (reason > 0) c.reason = reason, c.reasons_also_count = 0;
                for (int i = 0; i < c.refractions_count && k < 4; i++) c.refractions[i].sphere_d = sphere[k];
                if (k == 4) c.red_flags.pain = IOL_YES;
                if (k == 5) c.checks.acuity_improves_with_trial_lens = IOL_NO;
                if (k == 6) c.silicone_oil.present = true, c.silicone_oil.stays = IOL_YES;
                make();
                if (c.reasons_also_count == 0) check_when();
            }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_power_that_is_not_made),
        cmocka_unit_test(test_only_in_its_place),
        cmocka_unit_test(test_digits),
        cmocka_unit_test(test_sources),
        cmocka_unit_test(test_short),
        cmocka_unit_test(test_every_row),
        cmocka_unit_test(test_topics),
        cmocka_unit_test(test_risks_beside_power),
        cmocka_unit_test(test_no_power_when_withheld),
        cmocka_unit_test(test_series_of_like_eyes),
        cmocka_unit_test(test_near_lost),
        cmocka_unit_test(test_overflow_is_said),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
