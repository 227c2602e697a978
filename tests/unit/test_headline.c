/* The decision as a sentence: each state without a reason of its own, each way as the first and as the second, every date, place
 * and urgency that the sentence can name; and that a full list of the patient's sentences says so. */
#include "check.h"
#include "example_case.h"
#include "plan/glance.h"
#include "plan/patient.h"
#include "plan/work.h"
#include "tables/note_codes.h"

static iol_plan plan;
static iol_work w;
static iol_case nothing; /* a case that tells nothing */

static const char *sentence(void) {
    memset(plan.decision.sentence, 0, sizeof plan.decision.sentence);
    iol_headline_make(&w);
    return plan.decision.sentence;
}

static void start(int state) {
    iol_object_reset(iol_object_plan, &plan);
    iol_object_reset(iol_object_case, &nothing);
    nothing.cornea.ocular_surface = IOL_ocular_surface_healthy;
    w = (iol_work){.plan = &plan, .c = &nothing};
    plan.decision.state = state;
}

static void rank(int row, int option, iol_flag suitable) {
    plan.options[row] = (iol_option_row){
        .present = true, .option = option, .rank = row + 1, .suitable = suitable, .not_before = IOL_UNKNOWN_DATE};
    if (plan.options_count <= row) plan.options_count = row + 1;
}

static void every_state_has_its_sentence(void **state) {
    (void)state;
    static const struct {
        int state;
        const char *says;
    } rows[] = {{IOL_state_exchange, "Exchange the lens"},
                {IOL_state_exchange_or_alternative, "Exchange the lens"},
                {IOL_state_other_option_first, "Something smaller first"},
                {IOL_state_wait, "Wait, then look again"},
                {IOL_state_find_cause_first, "Find the cause first"},
                {IOL_state_not_for_exchange, "Not for exchange"},
                {IOL_state_secondary_lens, "Put a lens in"}};
    int said = 0;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++, said++) {
        start(rows[i].state);
        assert_non_null(strstr(sentence(), rows[i].says));
    }
    assert_int_equal(said, IOL_state_end - 1); /* none of the words is forgotten */
    start(0);
    assert_string_equal(sentence(), "");
}

/* Beside the exchange only what may fit is named: a lens that cannot be put back is not weighed against it
 * (f4-lens-dislocation), one that misses is weighed against what comes first in the ways (wrong-old-open); one that can be put
 * back is still weighed (f5-reposition-sclera). */
static void what_is_weighed(void **state) {
    (void)state;
    start(IOL_state_exchange_or_alternative);
    rank(0, IOL_option_exchange, IOL_YES);
    rank(1, IOL_option_remove_only, IOL_YES);
    assert_non_null(strstr(sentence(), "Exchange the lens"));
    assert_null(strstr(sentence(), " or "));
    start(IOL_state_exchange_or_alternative);
    rank(0, IOL_option_exchange, IOL_YES);
    rank(1, IOL_option_piggyback, IOL_YES);
    rank(2, IOL_option_leave, IOL_YES);
    assert_non_null(strstr(sentence(), "Exchange the lens, or a second lens in front: weigh both"));
    plan.options[1].suitable = IOL_UNKNOWN;
    assert_non_null(strstr(sentence(), ", or perhaps a second lens in front: weigh both"));
    plan.reposition.present = true;
    plan.reposition.suitable = IOL_YES;
    assert_non_null(strstr(sentence(), "Put the lens back or exchange it: weigh both"));
    plan.reposition.suitable = IOL_NO;
    assert_null(strstr(sentence(), "back"));
}

/* What leads, and what follows where the first may not fit. */
static void every_way_has_its_words(void **state) {
    (void)state;
    for (int option = 1; option < IOL_option_end; option++) {
        start(IOL_state_other_option_first);
        rank(0, option, IOL_YES);
        assert_true(strlen(sentence()) > 2 && plan.decision.sentence[0] != '.');
        if (option == IOL_option_leave || option == IOL_option_spectacles) continue;
        rank(0, IOL_option_spectacles, IOL_UNKNOWN);
        rank(1, option, IOL_YES);
        assert_non_null(strstr(sentence(), ", if that fits"));
        assert_null(strstr(plan.decision.sentence, "If not, ."));
        /* what leaves the refraction as it is stands in for nothing */
        bool mends_none = option == IOL_option_treat_surface || option == IOL_option_treat_macula ||
                          option == IOL_option_capsule_laser || option == IOL_option_relax_rim;
        assert_int_equal(strstr(plan.decision.sentence, " If not, ") != NULL, !mends_none);
    }
    start(IOL_state_other_option_first);
    rank(0, IOL_option_treat_surface, IOL_UNKNOWN);
    rank(1, IOL_option_treat_macula, IOL_YES);
    rank(2, IOL_option_piggyback, IOL_UNKNOWN);
    assert_string_equal(
        sentence(), "Treat the surface of the eye first, if it is unhealthy. If not, perhaps a second lens in front.");
    rank(0, IOL_option_treat_macula, IOL_UNKNOWN);
    rank(1, IOL_option_spectacles, IOL_YES);
    assert_string_equal(sentence(), "Treat the macula first, if it is not normal. If not, glasses.");
    start(IOL_state_other_option_first);
    rank(0, IOL_option_end, IOL_YES); /* no word of the table: nothing is made up */
    assert_string_equal(sentence(), ".");
    rank(0, IOL_option_rotation, IOL_YES);
    plan.rotation.turn_deg = 17.0;
    assert_string_equal(sentence(), "Turn the lens 17 deg anticlockwise.");
    plan.rotation.turn_deg = -17.0;
    assert_string_equal(sentence(), "Turn the lens 17 deg clockwise.");
}

static void days_places_and_urgency_are_named(void **state) {
    (void)state;
    static const struct {
        int urgency;
        const char *says;
    } soon[] = {{IOL_urgency_same_day, " today."},
                {IOL_urgency_days, ", within days."},
                {IOL_urgency_weeks, ", within weeks."},
                {IOL_urgency_planned, ". Planned, no hurry."}};
    static const struct {
        int position;
        const char *says;
    } place[] = {
        {IOL_position_sulcus, "new one in the sulcus"}, {IOL_position_sulcus_captured, "in the sulcus, captured"},
        {IOL_position_sclera, "held in the sclera"},    {IOL_position_iris_behind, "behind the iris"},
        {IOL_position_iris_front, "before the iris"},   {IOL_position_chamber, "in the chamber"}};
    for (size_t i = 0; i < sizeof soon / sizeof *soon; i++) {
        start(IOL_state_exchange);
        plan.decision.urgency = soon[i].urgency;
        assert_non_null(strstr(sentence(), soon[i].says));
    }
    for (size_t i = 0; i < sizeof place / sizeof *place; i++) {
        start(IOL_state_exchange);
        plan.replacement.present = true;
        plan.replacement.position = place[i].position;
        assert_non_null(strstr(sentence(), place[i].says));
    }
    start(IOL_state_exchange);
    assert_true(iol_date_read("2025-12-14", &plan.decision.do_by));
    assert_non_null(strstr(sentence(), ", best by 14 Dec 2025."));
    start(IOL_state_other_option_first);
    rank(0, IOL_option_rotation, IOL_YES);
    assert_true(iol_date_read("2025-12-14", &plan.decision.do_by));
    assert_non_null(strstr(sentence(), ", by 14 Dec 2025."));
    assert_true(iol_date_read("2025-12-20", &plan.options[0].not_before));
    assert_non_null(strstr(sentence(), ": not before 20 Dec 2025."));
}

/* What is wrong with the lens that leaves; of two lenses both leave, and which of them is at fault is said. */
static void what_is_wrong_with_it(void **state) {
    (void)state;
    static const struct {
        int rule;
        const char *one, *of_two;
    } rows[] = {{IOL_NOTE_rule_documented_wrong, "Exchange the wrong lens.", "Exchange both lenses for one (first is wrong)."},
                {IOL_NOTE_rule_opacity, "Exchange the clouded lens.", "Exchange both lenses for one (first clouded)."},
                {IOL_NOTE_rule_lens_damage, "Exchange the damaged lens.", "Exchange both lenses for one (one damaged)."},
                {IOL_NOTE_rule_lens_chafes, "Exchange the lens that chafes.", "Exchange both lenses for one (they chafe)."}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        for (int two = 0; two < 2; two++) {
            start(IOL_state_exchange);
            w.eye.two = two;
            iol_note_add(&plan.notes, IOL_AT_decision_reasons, 0, rows[i].rule, NAN, NAN, NULL);
            const char *wanted = two ? rows[i].of_two : rows[i].one;
            if (!strstr(sentence(), wanted)) fail_msg("wanted %s in %s", wanted, plan.decision.sentence);
        }
    start(IOL_state_exchange);
    w.eye.two = true;
    w.facts.second_clouded = IOL_YES;
    iol_note_add(&plan.notes, IOL_AT_decision_reasons, 0, IOL_NOTE_rule_opacity, NAN, NAN, NULL);
    assert_non_null(strstr(sentence(), "Exchange both clouded lenses for one."));
}

/* Until when a wait lasts: the day of the gate that decides, or until the eye has settled. */
static void a_wait_names_its_day(void **state) {
    (void)state;
    start(IOL_state_wait);
    iol_note_add(&plan.notes, IOL_AT_decision_reasons, 0, IOL_NOTE_rule_refraction_gate, NAN, NAN, NULL);
    assert_non_null(strstr(sentence(), "the eye has settled"));
    assert_true(iol_date_read("2025-12-14", &plan.timing.earliest_by_refraction));
    assert_true(iol_date_read("2026-01-02", &plan.decision.not_before));
    assert_non_null(strstr(sentence(), "Wait until 2 Jan 2026"));
}

static void a_lost_sentence_is_told(void **state) {
    (void)state;
    static iol_case c;
    example_case("hyperopic-surprise", &c);
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    assert_true(plan.patient_count > 0);
    assert_false(plan.patient_lost);
    static iol_plan unused;
    iol_work_start(&w, &c, example_site(), IOL_UNKNOWN_DATE, &unused);
    w.plan = &plan;
    plan.patient_count = (int)IOL_MOST(plan.patient);
    iol_patient_words(&w);
    assert_true(plan.patient_lost);
    assert_true(has_note(&plan, IOL_AT_plan_cautions, IOL_NOTE_notes_lost) >= 0);
    assert_int_equal(plan.patient_count, (int)IOL_MOST(plan.patient));
}

static void a_lost_act_is_told(void **state) {
    (void)state;
    static iol_case c;
    static iol_plan unused;
    example_case("hyperopic-surprise", &c);
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    assert_true(plan.decision.acts_count > 0);
    assert_false(plan.decision.acts_lost || has_note(&plan, IOL_AT_plan_cautions, IOL_NOTE_notes_lost) >= 0);
    iol_work_start(&w, &c, example_site(), IOL_UNKNOWN_DATE, &unused);
    w.plan = &plan;
    plan.decision.acts_count = (int)IOL_MOST(plan.decision.acts);
    iol_glance_make(&w);
    assert_true(plan.decision.acts_lost);
    assert_true(has_note(&plan, IOL_AT_plan_cautions, IOL_NOTE_notes_lost) >= 0);
    assert_int_equal(plan.decision.acts_count, (int)IOL_MOST(plan.decision.acts));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_state_has_its_sentence), cmocka_unit_test(what_is_weighed),
        cmocka_unit_test(every_way_has_its_words),
        cmocka_unit_test(days_places_and_urgency_are_named), cmocka_unit_test(a_wait_names_its_day),
        cmocka_unit_test(what_is_wrong_with_it),
        cmocka_unit_test(a_lost_sentence_is_told), cmocka_unit_test(a_lost_act_is_told)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
