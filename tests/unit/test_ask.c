/* Questions that could change the plan: a question is there when, and only when, answering it by hand changes what it says. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <string.h>

#include "case/entry.h"
#include "check.h"
#include "example_case.h"
#include "kept.h"
#include "report/report.h"
#include "tables/tables.h"

static iol_case c;
static iol_plan plan, again;
static iol_ask_room room;

static void ask_example(const char *name) {
    example_case(name, &c);
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    iol_plan_ask(&c, example_site(), IOL_UNKNOWN_DATE, &room, &plan);
}

static const iol_asked_question *find(const char *path) {
    for (int i = 0; i < room.all.questions_count; i++)
        if (strcmp(room.all.questions[i].path, path) == 0) return &room.all.questions[i];
    return NULL;
}

/* Typed into the case, an answer brings what was told of it. Days and groups of fields are not typed alone. */
static void answers_are_what_the_plan_then_says(void **state) {
    (void)state;
    static const char *const examples[] = {"minimal", "hyperopic-surprise", "wrong-lens", "dislocation"};
    int compared = 0;
    for (size_t e = 0; e < sizeof examples / sizeof *examples; e++) {
        ask_example(examples[e]);
        for (int i = 0; i < room.all.questions_count; i++) {
            const iol_asked_question *q = &room.all.questions[i];
            iol_entry entry;
            iol_refusal refusal;
            iol_case changed = c;
            assert_true(iol_entry_find(&changed, q->path, &entry, &refusal));
            assert_false(iol_entry_known(&entry));
            if (entry.field->kind != IOL_KIND_WORD) continue;
            for (int k = 0; k < q->answers_count; k++) {
                changed = c;
                assert_true(iol_entry_find(&changed, q->path, &entry, &refusal));
                assert_true(iol_entry_set(&entry, q->answers[k].answer, &refusal));
                iol_plan_make(&changed, example_site(), IOL_UNKNOWN_DATE, &again);
                assert_int_equal(again.decision.state, q->answers[k].state);
                assert_int_equal(again.replacement.standing, q->answers[k].standing);
                const iol_choice *step = iol_chosen_step(iol_new_lens(&again));
                if (step)
                    CHECK_NEAR(q->answers[k].power_d, step->power_d, 0.0, "the step that is then chosen");
                else
                    CHECK_NAN(q->answers[k].power_d);
                compared++;
            }
        }
    }
    assert_true(compared > 10);
}

static void a_question_names_what_it_could_change(void **state) {
    (void)state;
    static const char *const words[] = {"decision", "standing", "power", "place", "first-way"};
    static const char *const examples[] = {"minimal", "hyperopic-surprise", "wrong-lens", "dislocation"};
    for (size_t e = 0; e < sizeof examples / sizeof *examples; e++) {
        ask_example(examples[e]);
        assert_true(e > 0 || room.all.questions_count > 3);
        for (int i = 0; i < room.all.questions_count; i++) {
            const iol_asked_question *q = &room.all.questions[i];
            assert_true(q->could_change_count > 0 && q->answers_count > 0);
            for (int k = 0; k < q->could_change_count; k++) {
                bool known = false;
                for (size_t w = 0; w < sizeof words / sizeof *words; w++)
                    known |= strcmp(words[w], q->could_change[k]) == 0;
                assert_true(known);
                for (int other = 0; other < k; other++) assert_string_not_equal(q->could_change[k], q->could_change[other]);
            }
        }
    }
}

/* A day is answered by what could be, so many days before the plan: set so, the case has the plan that was told. */
static void days_are_what_the_plan_then_says(void **state) {
    (void)state;
    int compared = 0;
    example_case("wrong-lens", &c);
    c.first_surgery.done_on = IOL_UNKNOWN_DATE;
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    iol_plan_ask(&c, example_site(), IOL_UNKNOWN_DATE, &room, &plan);
    const iol_asked_question *q = find("/first_surgery/done_on");
    assert_non_null(q);
    for (int k = 0; k < q->answers_count; k++) {
        int days;
        assert_int_equal(sscanf(q->answers[k].answer, "day %d", &days), 1);
        c.first_surgery.done_on = c.assessed_on - days;
        iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &again);
        assert_int_equal(again.decision.state, q->answers[k].state);
        assert_int_equal(again.replacement.standing, q->answers[k].standing);
        compared++;
    }
    assert_true(compared > 0);
}

/* Fields that one question asks for together: the first is its path, the open ones of the rest stand behind it. */
static void what_is_asked_together(void **state) {
    (void)state;
    ask_example("minimal");
    assert_non_null(find("/biometry_repeat/k_flat_d"));
    assert_string_equal(find("/biometry_repeat/k_flat_d")->also, "/biometry_repeat/k_steep_d");
    ask_example("wrong-lens");
    assert_non_null(find("/first_surgery/lens/cylinder_d"));
    assert_string_equal(find("/first_surgery/lens/cylinder_d")->also, "/first_surgery/lens/power_is /first_surgery/lens/axis_deg");
    c.first_surgery.lens.power_is = IOL_power_is_equivalent;
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    iol_plan_ask(&c, example_site(), IOL_UNKNOWN_DATE, &room, &plan);
    assert_non_null(find("/first_surgery/lens/cylinder_d"));
    assert_string_equal(find("/first_surgery/lens/cylinder_d")->also, "/first_surgery/lens/axis_deg");
}

/* What is answered is not asked, nor what changes nothing. */
static void known_answers_are_not_asked(void **state) {
    (void)state;
    ask_example("minimal");
    assert_non_null(find("/red_flags/none"));
    assert_ptr_equal(find("/red_flags/none"), &room.all.questions[0]); /* alarms come first */
    assert_null(find("/refractions/0/sphere_d"));
    c.red_flags = (iol_red_flags){true, IOL_NO, IOL_NO, IOL_NO, IOL_NO, IOL_NO, IOL_NO, IOL_NO, IOL_UNKNOWN};
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    iol_plan_ask(&c, example_site(), IOL_UNKNOWN_DATE, &room, &plan);
    assert_null(find("/red_flags/none"));
}

/* The meridian of the marks is asked of a toric lens alone. */
static void marks_are_asked_of_toric_lenses(void **state) {
    (void)state;
    static const double cylinder_d[] = {0.0, 2.0};
    for (int i = 0; i < 2; i++) {
        example_case("toric-turned", &c);
        c.first_surgery.lens.cylinder_d = cylinder_d[i];
        if (i == 0) c.first_surgery.lens.axis_intended_deg = NAN, c.first_surgery.lens.power_is = 0;
        c.first_surgery.lens.axis_deg = NAN;
        iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
        iol_plan_ask(&c, example_site(), IOL_UNKNOWN_DATE, &room, &plan);
        assert_int_equal(find("/first_surgery/lens/axis_deg") != NULL, i);
    }
}

/* A question lifts where one of its answers, typed in, leaves fewer reasons that hold the power back. */
static void what_lifts_takes_a_reason_away(void **state) {
    (void)state;
    int before = 0, after = 0;
    ask_example("minimal");
    assert_non_null(find("/age_years"));
    assert_int_equal(find("/age_years")->lifts, IOL_YES);
    assert_int_equal(find("/red_flags/none")->lifts, IOL_NO);
    for (int i = 0; i < plan.notes.count; i++)
        before += plan.notes.item[i].place == IOL_AT_replacement_standing_reasons;
    c.age_years = 70.0;
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &again);
    for (int i = 0; i < again.notes.count; i++)
        after += again.notes.item[i].place == IOL_AT_replacement_standing_reasons;
    assert_true(after < before);
}

static void the_plan_holds_the_first_twelve(void **state) {
    (void)state;
    ask_example("minimal");
    assert_true(plan.ask_next_count <= 12 && plan.ask_next_count > 0);
    for (int i = 0; i < plan.ask_next_count; i++)
        assert_string_equal(plan.ask_next[i].path, room.all.questions[i].path);
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    assert_int_equal(plan.ask_next_count, 0); /* a plan alone asks nothing: recheck stays fast */
}

/* That nothing could change the plan is said where there is no question, and nowhere else. */
static void no_question_is_said(void **state) {
    (void)state;
    static iol_page page;
    ask_example("minimal");
    const int all = room.all.questions_count;
    for (int count = 0; count <= all; count++) {
        room.all.questions_count = count;
        memset(&page, 0, sizeof page);
        kept.used = 0;
        iol_report_asked(&room.all, &page);
        assert_true(iol_page_text(&page, false, keep, NULL));
        assert_true((strstr(kept.bytes, "No open question could change the plan.") != NULL) == (count == 0));
    }
    assert_true(all > 1);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(no_question_is_said),
                                       cmocka_unit_test(what_is_asked_together),
                                       cmocka_unit_test(days_are_what_the_plan_then_says),
                                       cmocka_unit_test(answers_are_what_the_plan_then_says),
                                       cmocka_unit_test(a_question_names_what_it_could_change),
                                       cmocka_unit_test(known_answers_are_not_asked),
                                       cmocka_unit_test(marks_are_asked_of_toric_lenses),

                                       cmocka_unit_test(what_lifts_takes_a_reason_away),
                                       cmocka_unit_test(the_plan_holds_the_first_twelve)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
