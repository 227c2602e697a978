/* From the short starter to an advised power: the answers that tests/heavy/answers.c found to be asked for (tests/rows/answers.tsv)
 * bring it, and the last of them is needed. */
#include "check.h"

#include "case/entry.h"
#include "case/reader.h"
#include "starter.h"

static iol_case record, c;
static iol_plan plan;

static int standing(void) {
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    return iol_new_lens(&plan)->standing;
}

static void set(const char *path, const char *value) {
    iol_entry entry;
    iol_refusal refusal;
    iol_faults faults;
    if (!iol_entry_find(&c, path, &entry, &refusal) || !iol_entry_set(&entry, value, &refusal)) fail_msg("%s", path);
    iol_faults_start(&faults);
    iol_case_check(&c, &faults);
}

/* Every answer of one eye; how many there were. */
static int answer_all(const char *eye, int *before_last) {
    char line[200];
    int count = 0;
    FILE *rows = fopen("tests/rows/answers.tsv", "r");
    assert_non_null(rows);
    while (fgets(line, sizeof line, rows)) {
        char *at = strchr(line, '\t'), *path = at ? strchr(at + 1, '\t') : NULL,
             *value = path ? strchr(path + 1, '\t') : NULL;
        assert_true(at && path && value);
        *at = *path = *value = '\0';
        value[strcspn(value + 1, "\n") + 1] = '\0';
        if (strcmp(line, eye) != 0) continue;
        *before_last = standing();
        set(path + 1, value + 1);
        assert_int_equal(strtol(at + 1, NULL, 10), ++count);
    }
    fclose(rows);
    return count;
}

static void answers_reach_advised(void **state) {
    (void)state;
    for (int e = 0; e < STARTER_EYES; e++) {
        int before_last = 0;
        starter_record(e, &record);
        starter_case(starter_eyes[e].kind, record.eye, record.reason, &c);
        int count = answer_all(starter_eyes[e].eye, &before_last);
        if (count < 8 || count > 45) fail_msg("%s: %d answers", starter_eyes[e].eye, count);
        if (standing() != IOL_standing_advised || before_last == IOL_standing_advised)
            fail_msg("%s: not advised by its last answer; sh tests/heavy/answers.sh asks anew", starter_eyes[e].eye);
    }
}

/* A kind says of itself what it is: with nothing else answered no power of an ordinary eye is planned. */
static void a_starter_is_of_its_kind(void **state) {
    (void)state;
    starter_case("no-lens", IOL_side_left, IOL_reason_no_lens, &c);
    assert_int_equal(c.aphakic_now, IOL_YES);
    standing();
    assert_true(plan.secondary.present || !plan.replacement.present);
    starter_case("two-lenses", IOL_side_left, IOL_reason_power_error, &c);
    assert_true(c.two_lenses_now == IOL_YES && !c.second_lens.present);
    c.target_se_d = 0.0;
    assert_int_equal(standing(), IOL_standing_withheld);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(answers_reach_advised),
                                       cmocka_unit_test(a_starter_is_of_its_kind)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
