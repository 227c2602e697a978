/* What every reader meets: words for codes, laser on the cornea or on the capsule, numbers with their unit. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

#include <ctype.h>

#include "check.h"
#include "hard_case.h"
#include "kept_text.h"
#include "report/report.h"
#include "tables/rule_codes.h"
#include "tables/say.h"

static iol_case c;
static iol_plan plan;

static const char *text_of(const char *only) { return text_of_plan(&plan, only); }
static const char *everything(void) { return full_text_of_plan(&plan); }

static const char *const codes[] = {
#define PLAIN_WORD(code, words) code,
#include "plain_words.def"
#undef PLAIN_WORD
};
static const char *const words[] = {
#define PLAIN_WORD(code, words) words,
#include "plain_words.def"
#undef PLAIN_WORD
};
enum { WORDS = sizeof codes / sizeof *codes };

static bool in_word(char letter) { return isalnum((unsigned char)letter) || letter == '_' || letter == '-'; }

/* A code that stands by itself: "rule-of-thumb" and not "off-rule-of-thumbs". */
static bool stands(const char *text, const char *code) {
    for (const char *at = strstr(text, code); at; at = strstr(at + 1, code))
        if ((at == text || !in_word(at[-1])) && !in_word(at[strlen(code)])) return true;
    return false;
}

static void no_codes(void **state) {
    (void)state;
    assert_true(stands("a fluid-behind-lens.", "fluid-behind-lens") && !stands("a-fluid-behind-lens", "fluid-behind-lens"));
    for (int i = 0; i < EXAMPLES + HARD_CASES; i++) {
        const char *name = any_case(i, &c);
        iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
        for (int screen = 0; screen < 2; screen++) {
            const char *text = screen ? everything() : text_of("decide,theatre,patient,note");
            for (int k = 0; k < WORDS; k++)
                if (strpbrk(codes[k], "-_") && stands(text, codes[k])) fail_msg("%s: tells the code %s", name, codes[k]);
            for (int k = 1; k < iol_words_option.count; k++)
                if (strchr(iol_words_option.word[k], '-') && stands(text, iol_words_option.word[k]))
                    fail_msg("%s: tells the code %s", name, iol_words_option.word[k]);
        }
    }
}

/* Each row says something else than its code with blanks, or there is no need of it; no code twice. */
static void rows(void **state) {
    (void)state;
    for (int i = 0; i < WORDS; i++) {
        assert_true(words[i][0] && !strchr(words[i], '_'));
        assert_string_equal(iol_plain_word(codes[i]), words[i]);
        for (int k = 0; k < i; k++) assert_string_not_equal(codes[i], codes[k]);
    }
    assert_string_equal(iol_plain_word("no-such-code"), "no-such-code");
}

/* Why a way stands where it stands has 25 columns on the screen. */
static void short_enough(void **state) {
    (void)state;
    enum { COLUMNS = 25 };
    static const char *const option_codes[] = {
#define OPTION_RULE(option, id, effect, predicate, finding, value, limit, reference, code, text) code,
#include "option_rules.def"
    };
    for (size_t i = 0; i < sizeof option_codes / sizeof *option_codes; i++)
        if (strlen(iol_plain_word(option_codes[i])) > COLUMNS)
            fail_msg("%s: %s", option_codes[i], iol_plain_word(option_codes[i]));
}

static bool says_which_laser(const char *text) {
    return strstr(text, "orneal laser") || strstr(text, "ornea") || strstr(text, "apsul") || strstr(text, "keratometry") ||
           strstr(text, "clear window") || strstr(text, "anterior opening") ||
           strstr(text, "contracted rim") || strstr(text, "thin skin");
}

/* Two lasers: the one on the cornea and the one that opens the capsule. A sentence that says laser says which. */
static void which_laser(void **state) {
    (void)state;
    for (int i = 0; i < IOL_NOTE_COUNT; i++) {
        const char *text = iol_note_rows[i].text;
        if ((strstr(text, "laser") || strstr(text, "Laser")) && !says_which_laser(text)) fail_msg("says: %s", text);
    }
    static const char *const eyes[] = {"short-eye", "silicone-oil"};
    for (int e = 0; e < 2; e++) {
        example_case(eyes[e], &c);
        iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
        const char *text = text_of("decide,timing");
        for (const char *at = strstr(text, "aser"); at; at = strstr(at + 1, "aser")) {
            const bool cornea = at - text > 9 && strncmp(at - 8, "orneal l", 8) == 0;
            if (!cornea && strncmp(at, "aser opening of the posterior", 29) != 0) fail_msg("%s: %.60s", eyes[e], at - 9);
        }
    }
}

/* An unusual value stands with its unit, both it and its limit. */
static void with_unit(void **state) {
    (void)state;
    example_case("lens-opacity", &c);
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    assert_non_null(strstr(text_of(NULL), "dilated pupil is 4.5 mm, usual limit 5 mm."));
}

/* What the text tells is what it is: a reading of long ago is not that of now; no power, no place for it; a check that waits for
 * the operation stands behind it; that nothing counts is said; what is told once is not told again. */
static void as_it_is(void **state) {
    (void)state;
    example_case("dislocation", &c);
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    const char *text = everything(), *last = strstr(text, "Last reading ");
    assert_non_null(last);
    assert_non_null(strstr(last, "in place (12 Nov 2014) -0.25 D"));
    assert_non_null(strstr(last, "10 Feb 2026: +4.75 D, as the eye is read now"));
    assert_non_null(strstr(text, "The power is right"));
    example_case("minimal", &c);
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    text = text_of(NULL);
    assert_non_null(strstr(text, "NO POWER IS GIVEN"));
    assert_null(strstr(text, "The power is for the planned place"));
    assert_non_null(strstr(text, "CAUSE  not to be judged: what was meant is not known"));
    example_case("hyperopic-surprise", &c); /* the day stands in the sentence above: the row says why */
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    assert_non_null(strstr(text_of(NULL), "-1.00 D most accurate, lens stays\n"));
    example_case("short-eye", &c);
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    assert_non_null(strstr(text_of(NULL), "- no smaller way as good\n"));
    example_case("displaced", &c);
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    text = text_of(NULL);
    assert_non_null(strstr(text, "AFTER  1 The lens as it lies"));
    const char *first = strstr(text, "FIRST");
    assert_true(!first || first < strstr(text, "AFTER"));
    example_case("silicone-oil", &c);
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    assert_non_null(strstr(text_of(NULL), "NOW    no refraction of this eye counts"));
    const char *left = strstr(everything(), "\nLeft out\n--------\n"), *reason = strstr(left, "none of the readings");
    assert_true(reason && !strstr(reason + 1, "none of the readings")); /* one reason, its parts behind it */
    assert_non_null(strstr(left, "So too:"));
    assert_null(strstr(left + 9, "Left out:"));
    example_case("wrong-lens", &c);
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    text = strstr(text_of(NULL), "The record shows that");
    assert_non_null(text);
    assert_null(strstr(text + 1, "The record shows that"));
}

/* Of each other class one step stands in the table, wherever in the list the nearest stands: here the first row of all. */
static void one_step_of_another_class(void **state) {
    (void)state;
    example_case("hyperopic-surprise", &c);
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    iol_replacement *r = &plan.replacement;
    assert_true(strcmp(r->choices[0].lens_id, r->lens_id) != 0);
    int nearest = 0;
    for (int i = 1; i < r->choices_count; i++)
        if (strcmp(r->choices[i].lens_id, r->choices[0].lens_id) == 0 &&
            fabs(r->choices[i].expected.se_d - r->target_se_d) < fabs(r->choices[nearest].expected.se_d - r->target_se_d))
            nearest = i;
    const iol_choice moved = r->choices[0];
    r->choices[0] = r->choices[nearest], r->choices[nearest] = moved;
    const char *at = strstr(everything(), "Other class, nearest step"), *end = at ? strstr(at, "\n\n") : NULL;
    assert_non_null(end);
    int rows = 0;
    for (; (at = strstr(at, moved.lens_id)) && at < end; at++) rows++;
    assert_int_equal(rows, 1);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_step_of_another_class),
        cmocka_unit_test(no_codes),
        cmocka_unit_test(rows),
        cmocka_unit_test(short_enough),
        cmocka_unit_test(which_laser),
        cmocka_unit_test(with_unit),
        cmocka_unit_test(as_it_is),
    };
    return cmocka_run_group_tests_name("words", tests, NULL, NULL);
}
