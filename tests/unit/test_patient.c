/* The words for the patient, in every language: of the way that leads, plain, few figures, nothing promised that is not open. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

#include <ctype.h>
#include <stdlib.h>

#include "check.h"
#include "hard_case.h"
#include "kept.h"
#include "report/report.h"
#include "report/screen.h"
#include "report/sheet.h"
#include "tables/rule_codes.h"
#include "tools/random_case.h"

enum { DRAWN_PATIENTS = 60 };
static iol_case c;
static iol_plan plan;

/* The patient's sheet alone. */
static const char *sheet_in(const iol_language *language) {
    iol_html out = {.sink = keep, .ok = true};
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    kept.used = 0;
    kept.bytes[0] = '\0';
    iol_sheet s = {.out = &out, .plan = &plan};
    iol_sheet_patient(&s, language);
    assert_true(out.ok);
    return kept.bytes;
}

/* ---- the patient's words ---- */

static int syllables(const char *word, size_t length) {
    int count = 0;
    bool vowel = false;
    for (size_t i = 0; i < length; i++) {
        const bool is = strchr("aeiouy", tolower((unsigned char)word[i])) != NULL;
        count += is && !vowel;
        vowel = is;
    }
    const bool silent = length > 2 && tolower((unsigned char)word[length - 1]) == 'e' &&
                        !strchr("aeiouyl", tolower((unsigned char)word[length - 2]));
    return count - silent > 0 ? count - silent : 1;
}

/* Kincaid et al. 1975: 0.39 words a sentence + 11.8 syllables a word - 15.59. Syllables by groups of vowels, silent e off. */
static double grade(const char *text) {
    int words = 0, sentences = 0, all = 0;
    while (*text) {
        const size_t length = strspn(text, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ");
        if (length) words++, all += syllables(text, length);
        if (*text == '.' || *text == ':') sentences++;
        text += length ? length : 1;
    }
    return 0.39 * words / sentences + 11.8 * all / words - 15.59;
}

static void grade_by_hand(void **state) {
    (void)state;
    CHECK_NEAR(grade("The cat sat on the mat."), 0.39 * 6 + 11.8 - 15.59, 1e-9,
               "by hand: 6 words, 6 syllables, 1 sentence");
    CHECK_NEAR(grade("Refraction is settled. We operate."), 0.39 * 5 / 2 + 11.8 * 10 / 5 - 15.59, 1e-9,
               "by hand: 3 + 1 + 3, 1 + 3 syllables (operate: op-er-ate), settled counted with its second e");
}

static bool open_way(int option) {
    for (int i = 0; i < plan.options_count; i++)
        if (plan.options[i].option == option && plan.options[i].suitable == IOL_YES) return true;
    return false;
}

static bool says(int code) {
    for (int i = 0; i < plan.notes.count; i++)
        if (plan.notes.item[i].place == IOL_AT_told_say && plan.notes.item[i].code == code) return true;
    return false;
}

/* What is promised is open; the first way is told or said not to be known. */
static void nothing_promised(const char *name) {
    if (says(IOL_NOTE_plain_else_exchange) || says(IOL_NOTE_plain_both)) assert_true(open_way(IOL_option_exchange));
    if (says(IOL_NOTE_plain_both) || says(IOL_NOTE_plain_put_back)) assert_true(open_way(IOL_option_reposition));
    if (says(IOL_NOTE_plain_else_laser)) assert_true(open_way(IOL_option_corneal_laser));
    if (says(IOL_NOTE_plain_else_contact)) assert_true(open_way(IOL_option_contact_lens));
    if (says(IOL_NOTE_plain_held_wall)) assert_int_equal(iol_new_lens(&plan)->position, IOL_position_sclera);
    if (says(IOL_NOTE_plain_held_ring)) assert_int_equal(iol_new_lens(&plan)->position, IOL_position_iris_behind);
    if (iol_plan_stops(&plan)) assert_false(says(IOL_NOTE_plain_else_leave) || says(IOL_NOTE_plain_of_model));
    if (says(IOL_NOTE_plain_else_second)) assert_true(open_way(IOL_option_piggyback));
    if (says(IOL_NOTE_plain_else_glasses)) assert_true(open_way(IOL_option_spectacles));
    if (says(IOL_NOTE_plain_else_leave)) assert_true(open_way(IOL_option_leave));
    static const int ways[][2] = {{IOL_NOTE_plain_laser, IOL_option_corneal_laser},
                                  {IOL_NOTE_plain_turn, IOL_option_rotation},
                                  {IOL_NOTE_plain_glasses, IOL_option_spectacles},
                                  {IOL_NOTE_plain_contact, IOL_option_contact_lens},
                                  {IOL_NOTE_plain_second_lens, IOL_option_piggyback}};
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++)
        if (says(ways[i][0]) && !open_way(ways[i][1]) && !says(IOL_NOTE_plain_not_known))
            fail_msg("%s: promises a way that is not open", name);
    int risks = says(IOL_NOTE_plain_risk_short) ? -1 : 0, shares = 0; /* a very short eye has one of its own beside them */
    for (int i = 0; i < plan.patient_count; i++) {
        risks += plan.patient[i].part == IOL_told_part_risks;
        shares += !isnan(plan.patient[i].of_100);
    }
    assert_true(risks <= 3 && shares <= 1);
}

/* ---- the same ways as on sheet 1 ---- */

/* Words of a way behind "If not" in the decision's sentence, and the sentences that tell it. */
static const struct {
    const char *words;
    int fits, open;
} way_told[] = {
    {"exchange the lens", IOL_NOTE_plain_else_exchange, IOL_NOTE_plain_maybe_exchange},
    {"a second lens in front", IOL_NOTE_plain_else_second, IOL_NOTE_plain_maybe_second},
    {"corneal laser", IOL_NOTE_plain_else_laser, IOL_NOTE_plain_maybe_laser},
    {"a contact lens", IOL_NOTE_plain_else_contact, IOL_NOTE_plain_maybe_contact},
    {"glasses", IOL_NOTE_plain_else_glasses, IOL_NOTE_plain_maybe_glasses},
    {"turn the lens", IOL_NOTE_plain_else_turn, IOL_NOTE_plain_maybe_turn},
    {"put the lens back", IOL_NOTE_plain_else_back, IOL_NOTE_plain_back_maybe},
    {"weigh exchange", IOL_NOTE_plain_else_exchange, IOL_NOTE_plain_maybe_exchange},
    {"capture the optic", IOL_NOTE_plain_else_forward, IOL_NOTE_plain_maybe_forward},
};

/* The first of the other ways that is told; -1 none. */
static int first_other(void) {
    for (int i = 0; i < plan.patient_count; i++) {
        const int note = iol_note_find(&plan.notes, IOL_AT_told_say, i, 0);
        for (size_t k = 0; k < sizeof way_told / sizeof *way_told; k++)
            if (plan.notes.item[note].code == way_told[k].fits || plan.notes.item[note].code == way_told[k].open)
                return plan.notes.item[note].code;
    }
    return -1;
}

static int check_if_not(const char *name) {
    const char *if_not = strstr(plan.decision.sentence, " If not, ");
    if (!if_not) return 0;
    const bool perhaps = strncmp(if_not + 9, "perhaps ", 8) == 0;
    const char *way = if_not + (perhaps ? 17 : 9);
    const int told = first_other();
    for (size_t k = 0; k < sizeof way_told / sizeof *way_told; k++)
        if (strncmp(way, way_told[k].words, strlen(way_told[k].words)) == 0) {
            const int want = perhaps ? way_told[k].open : way_told[k].fits;
            if (told != want) fail_msg("%s: the sentence says %s, the patient hears note %d first", name, way, told);
            return 1;
        }
    fail_msg("%s: no words for %s", name, way);
    return 0;
}

/* The next way on sheet 1 that changes the power, may fit and is wanted; 0: none within the five that it shows. */
static int next_on_sheet(void) {
    for (double rank = 2.0; rank <= 5.0; rank++)
        for (int i = 0; i < plan.options_count; i++) {
            const iol_option_row *o = &plan.options[i];
            if (o->rank != rank || o->suitable == IOL_NO) continue;
            const bool worn = o->option == IOL_option_contact_lens;
            if (o->option == IOL_option_leave || o->option == IOL_option_treat_surface ||
                o->option == IOL_option_treat_macula || o->option == IOL_option_capsule_laser ||
                o->option == IOL_option_remove_only)
                continue;
            if (o->option == IOL_option_spectacles && c.wish.glasses_accepted == IOL_NO && !(c.age_years < 18.0))
                continue;
            if (worn && c.wish.contact_lens == IOL_tolerance_not_tolerated) continue;
            if (worn && o->suitable == IOL_YES && c.cornea.ocular_surface != IOL_ocular_surface_healthy) continue;
            if (o->option == IOL_option_exchange && iol_misses(o->expected_se_d, plan.replacement.target_se_d))
                continue;
            return o->option;
        }
    return 0;
}

/* Which way a sentence tells as one of the others. */
static int option_of(int code) {
    switch (code) {
#define OTHER(option, known, open)                                                                                     \
    case IOL_NOTE_plain_##known:                                                                                       \
    case IOL_NOTE_plain_##open:                                                                                        \
        return IOL_option_##option;
#define PLAIN(id, part, when, value, limit)
#include "patient.def"
#undef PLAIN
    case IOL_NOTE_plain_else_one:
    case IOL_NOTE_plain_maybe_one: return IOL_option_exchange;
    default: return 0;
    }
}

/* Where something smaller leads, the first of the other ways that the patient hears is the next of sheet 1. */
static void next_way(void **state) {
    (void)state;
    int met = 0;
    for (int i = 0; i < EXAMPLES + HARD_CASES + 4 * DRAWN_PATIENTS; i++) {
        char name[40];
        if (i < EXAMPLES + HARD_CASES)
            snprintf(name, sizeof name, "%s", any_case(i, &c));
        else {
            snprintf(name, sizeof name, "drawn %d", i);
            assert_true(random_case((uint64_t)i, example_site(), &c));
        }
        sheet_in(iol_language_find(NULL));
        if (plan.decision.state != IOL_state_other_option_first || plan.patient_count == 0) continue;
        int told = 0;
        for (int k = 0; k < plan.patient_count && !told; k++)
            told = option_of(plan.notes.item[iol_note_find(&plan.notes, IOL_AT_told_say, k, 0)].code);
        if (told != next_on_sheet())
            fail_msg("%s: hears of %s, next is %s", name, IOL_WORD(option, told), IOL_WORD(option, next_on_sheet()));
        met += told > 0;
    }
    assert_true(met >= 8);
}

/* Glasses that fit, are not refused and stand among the first five are told, unless three ways before them are. */
static int glasses_told(const char *name) {
    static const int others[] = {
#define OTHER(option, known, open) IOL_NOTE_plain_##known, IOL_NOTE_plain_##open,
#define PLAIN(id, part, when, value, limit)
#define OTHERS
#include "patient.def"
#undef OTHERS
#undef PLAIN
#undef OTHER
    };
    int told = 0;
    for (size_t k = 0; k < sizeof others / sizeof *others; k++) told += says(others[k]);
    for (int k = 0; k < plan.options_count; k++) {
        const iol_option_row *o = &plan.options[k];
        if (o->option != IOL_option_spectacles || o->suitable != IOL_YES || !(o->rank > 1.0 && o->rank <= 5.0)) continue;
        if (c.wish.glasses_accepted == IOL_NO || plan.decision.state == IOL_state_wait || told == 3) return 0;
        if (plan.decision.urgency == IOL_urgency_same_day) return 0;
        if (!says(IOL_NOTE_plain_else_glasses)) fail_msg("%s: glasses fit and are not told", name);
        return 1;
    }
    return 0;
}

static void same_ways(void **state) {
    (void)state;
    int met = 0, glasses = 0;
    for (int i = 0; i < EXAMPLES + HARD_CASES; i++) {
        const char *name = any_case(i, &c);
        sheet_in(iol_language_find(NULL));
        met += check_if_not(name);
        if (c.wish.glasses_accepted == IOL_NO && c.age_years >= 18.0) assert_false(says(IOL_NOTE_plain_else_glasses));
        for (int wanted = 0; wanted < 2; wanted++) {
            glasses += glasses_told(name);
            if (c.wish.glasses_accepted == IOL_YES) break;
            c.wish.glasses_accepted = IOL_YES;
            sheet_in(iol_language_find(NULL));
        }
    }
    if (met < 5 || glasses < 3) fail_msg("%d met, glasses %d", met, glasses);
    example_case("hyperopic-surprise", &c); /* glasses fit and are not wanted; wanted, they are told */
    c.wish.glasses_accepted = IOL_YES;
    c.complaint.relieved_by_glasses = IOL_NO;
    sheet_in(iol_language_find(NULL));
    assert_true(says(IOL_NOTE_plain_else_glasses));
    example_case("sulcus-lens", &c);
    assert_int_equal(c.wish.contact_lens, IOL_tolerance_tolerated);
    sheet_in(iol_language_find(NULL));
    assert_true(says(IOL_NOTE_plain_else_contact));
    c.wish.contact_lens = IOL_tolerance_not_tolerated;
    sheet_in(iol_language_find(NULL));
    assert_false(says(IOL_NOTE_plain_else_contact) || says(IOL_NOTE_plain_maybe_contact));
}

/* The patient is told a cause where it is known, that it is not where it is not, and never both. */
static void cause_told(void **state) {
    (void)state;
    static const struct {
        const char *name;
        int says, not_says;
    } rows[] = {{"hyperopic-surprise", IOL_NOTE_plain_sheet, IOL_NOTE_plain_cause_unsure},
                {"long-minus", IOL_NOTE_plain_cause_sought, IOL_NOTE_plain_sheet},
                {"minus-lens", IOL_NOTE_plain_cause_open, IOL_NOTE_plain_sheet},
                {"short-eye", IOL_NOTE_plain_cause_unsure, IOL_NOTE_plain_sheet},
                {"after-laser", IOL_NOTE_plain_window_before, IOL_NOTE_plain_cause_unsure},
                {"sulcus-lens", IOL_NOTE_plain_too_far_front, IOL_NOTE_plain_cause_unsure},
                {"cylinder-does-not-fit", IOL_NOTE_plain_turn_not_all, IOL_NOTE_plain_sheet},
                {"toric-turned", IOL_NOTE_plain_turned, IOL_NOTE_plain_turn_not_all},
                {"silicone-oil", IOL_NOTE_plain_oil_out, IOL_NOTE_plain_wait},
                {"minimal", IOL_NOTE_plain_look_behind, IOL_NOTE_plain_find_cause}};
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        int at = 0;
        while (strcmp(any_case(at, &c), rows[r].name) != 0) at++;
        sheet_in(iol_language_find(NULL));
        if (!says(rows[r].says) || says(rows[r].not_says)) fail_msg("%s: its cause is told otherwise", rows[r].name);
    }
}

/* A share of a series is told as a share alone: its eyes and a rounded share of them need not agree. Every series is small, as the
 * sentence says. */
static void one_figure(void **state) {
    (void)state;
    example_case("hyperopic-surprise", &c);
    sheet_in(iol_language_find(NULL));
    assert_true(says(IOL_NOTE_plain_of_series));
    assert_non_null(strstr(kept.bytes, "In one small study 92 of 100 eyes"));
    assert_null(strstr(kept.bytes, "28 eyes"));
    for (int i = 0; i < EXAMPLES; i++) {
        example_case(example_names[i], &c);
        sheet_in(iol_language_find(NULL));
        for (int k = 0; k < plan.options_count; k++)
            for (int p = 0; p < plan.options[k].published_count; p++)
                assert_true(plan.options[k].published[p].eyes < 50.0);
    }
}

/* ---- German ---- */

/* Groups of vowels, umlauts among them. */
static int syllables_de(const char *word, size_t length) {
    int count = 0;
    bool vowel = false;
    for (size_t i = 0; i < length; i++) {
        const bool umlaut = (unsigned char)word[i] == 0xC3 && i + 1 < length && (unsigned char)word[i + 1] != 0x9F;
        const bool is = umlaut || strchr("aeiouy", tolower((unsigned char)word[i])) != NULL;
        count += is && !vowel;
        vowel = is;
        i += umlaut;
    }
    return count > 0 ? count : 1;
}

static size_t letters(const char *text) {
    size_t n = 0;
    while (isalpha((unsigned char)text[n]) || (unsigned char)text[n] >= 0x80) n++;
    return n;
}

/* First Vienna formula (Bamberger and Vanecek 1984, from memory), in years of school: 0.1935 of every 100 words with three
 * syllables or more, 0.1672 words a sentence, 0.1297 of every 100 words longer than six letters, less 0.0327 of every 100 of one
 * syllable, less 0.875. */
static double grade_de(const char *text) {
    int words = 0, sentences = 0, three = 0, long_words = 0, one = 0;
    while (*text) {
        const size_t length = letters(text);
        size_t shown = 0;
        for (size_t i = 0; i < length; i++) shown += ((unsigned char)text[i] & 0xC0) != 0x80;
        if (length) {
            const int n = syllables_de(text, length);
            words++, three += n >= 3, one += n == 1, long_words += shown > 6;
        }
        sentences += *text == '.' || *text == ':';
        text += length ? length : 1;
    }
    return 0.1935 * 100 * three / words + 0.1672 * words / sentences + 0.1297 * 100 * long_words / words -
           0.0327 * 100 * one / words - 0.875;
}

static void german_by_hand(void **state) {
    (void)state;
    CHECK_NEAR(grade_de("Das Auge ist rot."), 0.1672 * 4 - 0.0327 * 75 - 0.875, 1e-9,
               "by hand: 4 words, Au-ge has two syllables, the others one");
    CHECK_NEAR(grade_de("Die Operation hilft."),
               0.1935 * 100 / 3 + 0.1672 * 3 + 0.1297 * 100 / 3 - 0.0327 * 200 / 3 - 0.875, 1e-9,
               "by hand: O-pe-ra-tion four syllables and nine letters, as vowel groups");
}

/* ---- what is said ---- */

static void said(const iol_language *language, char *text, size_t size) {
    text[0] = '\0';
    for (int i = 0; i < plan.patient_count; i++) {
        char one[400];
        const int note = iol_note_find(&plan.notes, IOL_AT_told_say, i, 0);
        assert_true(note >= 0);
        iol_patient_say(language, &plan.notes.item[note], one, sizeof one);
        assert_true(strlen(one) > 10);
        strncat(text, one, size - strlen(text) - 1);
        strncat(text, " ", size - strlen(text) - 1);
    }
}

static void plain(const char *name, const iol_language *language) {
    static const char *const never[] = {" D ",    "D.",      "&deg;", " SE",      "cylinder",
                                        "sphere", "dioptre", "/",     "Zylinder", "Dioptrie"};
    char text[4000];
    const char *html = sheet_in(language);
    said(language, text, sizeof text);
    const bool german = strcmp(language->code, "de") == 0;
    const double years = german ? grade_de(text) : grade(text);
    if (years > 6.0) fail_msg("%s: reading grade %.1f: %s", name, years, text);
    int figures = 0;
    for (const char *at = text; *at; at++)
        figures += isdigit((unsigned char)*at) && (at == text || !isdigit((unsigned char)at[-1]));
    if (figures > 20) fail_msg("%s: %d figures", name, figures);
    for (size_t i = 0; i < sizeof never / sizeof *never; i++)
        if (strstr(text, never[i])) fail_msg("%s: says %s", name, never[i]);
    assert_null(strstr(html, "<sup>"));
    assert_non_null(strstr(html, "class=\"call\""));
    nothing_promised(name);
}

static void patient_words(void **state) {
    (void)state;
    for (int l = 0; iol_language_at(l); l++) {
        for (int e = 0; e < EXAMPLES; e++)
            for (int alarm = 0; alarm < 2; alarm++) {
                example_case(example_names[e], &c);
                if (alarm) c.red_flags.present = true, c.red_flags.pain = IOL_YES;
                plain(example_names[e], iol_language_at(l));
            }
        for (int h = 0; h < HARD_CASES; h++) {
            hard_case(h, &c);
            plain(hard_names[h], iol_language_at(l));
        }
        for (int n = 1; n <= DRAWN_PATIENTS; n++) {
            char name[24];
            snprintf(name, sizeof name, "drawn %d", n);
            assert_true(random_case((uint64_t)n, example_site(), &c));
            plain(name, iol_language_at(l));
        }
    }
}

/* As sure as the record is, and no more: a marked opacity is told as one; a lens on the retina has not just lost its hold; one that
 * only lies askew has lost none; what is due within days says so. No dots are told of where none are drawn. */
static void as_sure_as_known(void **state) {
    (void)state;
    static const struct {
        const char *name;
        int says, not_says;
    } rows[] = {{"lens-opacity", IOL_NOTE_plain_clouded_seen, IOL_NOTE_plain_clouded},
                {"vitreous", IOL_NOTE_plain_fallen, IOL_NOTE_plain_loose},
                {"vitreous", IOL_NOTE_plain_next_days, IOL_NOTE_plain_off_place},
                {"dislocation", IOL_NOTE_plain_loose, IOL_NOTE_plain_fallen},
                {"dislocation", IOL_NOTE_plain_loose, IOL_NOTE_plain_next_days},
                {"displaced", IOL_NOTE_plain_off_place, IOL_NOTE_plain_loose},
                {"second-off-axis", IOL_NOTE_plain_second_askew, IOL_NOTE_plain_turned},
                {"no-lens-child", IOL_NOTE_plain_contact_child, IOL_NOTE_plain_contact}};
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        int at = 0;
        while (strcmp(any_case(at, &c), rows[r].name) != 0) at++;
        sheet_in(iol_language_find(NULL));
        if (!says(rows[r].says) || says(rows[r].not_says))
            fail_msg("%s: row %d is told otherwise", rows[r].name, (int)r);
    }
    example_case("lens-opacity", &c);
    c.first_surgery.lens.opacity = IOL_opacity_mild;
    sheet_in(iol_language_find(NULL));
    assert_true(says(IOL_NOTE_plain_clouded) && !says(IOL_NOTE_plain_clouded_seen));
    c.first_surgery.lens.opacity = IOL_opacity_marked;
    for (int l = 0; iol_language_at(l); l++) {
        const iol_language *language = iol_language_at(l);
        char text[4000];
        assert_non_null(strstr(sheet_in(language), language->word[IOL_HEAD_dots]));
        said(language, text, sizeof text);
        assert_null(strstr(text, l ? "unkte" : "dots"));
    }
}

/* What was found names nothing as the first thing to do: that is told once, under what is suggested. An eye without a lens has none
 * that shines, moves or clouds. */
static void found_alone(void **state) {
    (void)state;
    static const int of_a_lens[] = {IOL_NOTE_plain_dark_arc, IOL_NOTE_plain_streaks,     IOL_NOTE_plain_rings,
                                    IOL_NOTE_plain_clouded,  IOL_NOTE_plain_loose,       IOL_NOTE_plain_off_place,
                                    IOL_NOTE_plain_damaged,  IOL_NOTE_plain_rubs,        IOL_NOTE_plain_turned,
                                    IOL_NOTE_plain_fallen,   IOL_NOTE_plain_clouded_seen};
    int without = 0;
    for (int n = 1; n <= 2 * DRAWN_PATIENTS; n++) {
        assert_true(random_case((uint64_t)n, example_site(), &c));
        sheet_in(iol_language_find(NULL));
        for (int i = 0; i < plan.patient_count; i++) {
            char text[400];
            const int note = iol_note_find(&plan.notes, IOL_AT_told_say, i, 0);
            for (int l = 0; iol_language_at(l) && plan.patient[i].part == IOL_told_part_found; l++) {
                iol_patient_say(iol_language_at(l), &plan.notes.item[note], text, sizeof text);
                if (strstr(text, " first.") || strstr(text, "zuerst")) fail_msg("drawn %d: found %s", n, text);
            }
        }
        if (!says(IOL_NOTE_plain_no_lens)) continue;
        without++;
        for (size_t k = 0; k < sizeof of_a_lens / sizeof *of_a_lens; k++)
            if (says(of_a_lens[k])) fail_msg("drawn %d: no lens, and sentence %d of one", n, (int)k);
    }
    assert_true(without >= 5);
}

/* Every language has every sentence and as many placeholders; all but the first say that nobody checked them. */
static void languages(void **state) {
    (void)state;
    assert_null(iol_language_find("xx"));
    for (int l = 0; iol_language_at(l); l++) {
        const iol_language *language = iol_language_at(l);
        for (int i = 0; i < IOL_PATIENT_WORDS; i++) {
            const char *word = language->word[i], *first = iol_language_at(0)->word[i];
            assert_non_null(word);
            if (i != IOL_HEAD_unchecked) assert_true(word[0] != '\0');
            for (const char *at = strchr(first, '%'); at; at = strchr(at + 1, '%')) {
                char place[5];
                snprintf(place, sizeof place, "%.4s", at);
                if (place[1] == 'D') place[2] = '\0';
                if (!strstr(word, place)) fail_msg("%s: %s without %s", language->code, word, place);
            }
        }
        assert_int_equal(language->word[IOL_HEAD_unchecked][0] == '\0', l == 0);
    }
    example_case("hyperopic-surprise", &c);
    sheet_in(iol_language_find("de"));
    assert_non_null(strstr(kept.bytes, "not checked by a native clinician"));
    assert_non_null(strstr(kept.bytes, "14. Dezember 2025"));
}

/* Each row of the table is told in its own sentence, in each language, with every place filled. */
static void every_sentence(void **state) {
    (void)state;
    static const struct {
        const char *id;
        int code;
    } rows[] = {
#define PLAIN(id, part, when, value, limit) {#id, IOL_NOTE_plain_##id},
#include "patient.def"
#undef PLAIN
    };
#define SAID(id, text) {#id, text},
    static const struct {
        const char *id, *text;
    } english[] = {
#include "patient_en.def"
    };
    const int count = (int)(sizeof rows / sizeof *rows);
    int found = 0;
    for (int i = 0; i < count; i++) {
        char text[640];
        const iol_note note = {.code = rows[i].code, .value = 20510.0, .limit = 3.0};
        for (int l = 0; iol_language_at(l); l++) {
            iol_patient_say(iol_language_at(l), &note, text, sizeof text);
            if (!text[0] || strchr(text, '%')) fail_msg("%s, %s: %s", iol_language_at(l)->code, rows[i].id, text);
        }
        iol_patient_say(iol_language_at(0), &note, text, sizeof text);
        for (size_t k = 0; k < sizeof english / sizeof *english; k++) {
            if (strcmp(english[k].id, rows[i].id) != 0) continue;
            found++;
            assert_memory_equal(text, english[k].text, strcspn(english[k].text, "%"));
        }
    }
    assert_int_equal(found, count);
}

/* Turns of phrase that a German reader stumbled over, and the margins of the sheet. */
static void german_reads(void **state) {
    (void)state;
    static const char *const never[] = {"Hilft es nicht", "Wen Sie anrufen", "kamen nah an den Plan",
                                        "gezeigt",        "die sieht",       "14 Dezember"};
    const iol_language *de = iol_language_find("de");
    for (int i = 0; i < IOL_PATIENT_WORDS; i++)
        for (size_t k = 0; k < sizeof never / sizeof *never; k++)
            if (strstr(de->word[i], never[k])) fail_msg("says: %s", de->word[i]);
    assert_non_null(strstr(de->word[IOL_HEAD_unchecked], "deutscher Muttersprache"));
    static iol_page page;
    example_case("hyperopic-surprise", &c);
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    for (int foreign = 0; foreign < 2; foreign++) {
        kept.used = 0;
        assert_true(iol_sheets_html(&plan, foreign ? de : NULL, &page, keep, NULL));
        const char *own = strstr(kept.bytes, "@page patient ");
        assert_int_equal(own != NULL, foreign);
        if (!foreign) continue;
        const char *end = strchr(own, '\n');
        static const char *const german[] = {
            "RECHTES Auge", "Fall ORR-001",      "Blatt ", " von ", "Plan vom 30. Oktober 2025",
            "Programm ",    "Entscheidungshilfe"};
        for (size_t k = 0; k < sizeof german / sizeof *german; k++) {
            const char *at = strstr(own, german[k]);
            if (!at || at > end) fail_msg("margins lack %s", german[k]);
        }
        assert_non_null(strstr(kept.bytes, ".sheet.patient { page: patient; }"));
    }
}

/* On a terminal as on paper: whom to call, and which signs do not wait (common practice, no source), within one screen. */
static void whom_to_call(void **state) {
    (void)state;
    static iol_screen s;
    for (int i = 0; i < EXAMPLES + HARD_CASES; i++) {
        const char *name = any_case(i, &c);
        iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
        iol_screen_patient(&plan, iol_language_find(NULL), &s);
        kept.used = 0;
        assert_true(iol_screen_write(&s, false, keep, NULL));
        static const char *const sign[] = {"Whom to call", "hurts", "gets red", "sees less", "flashes", "shadow", "day and night:"};
        int lines = 0;
        for (const char *at = kept.bytes; *at; at++) lines += *at == '\n';
        if (lines > IOL_SCREEN_LINES) fail_msg("%s: %d lines", name, lines);
        for (size_t k = 0; k < sizeof sign / sizeof *sign; k++)
            if (!strstr(kept.bytes, sign[k])) fail_msg("%s: not told: %s", name, sign[k]);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(whom_to_call),
        cmocka_unit_test(grade_by_hand),  cmocka_unit_test(german_by_hand), cmocka_unit_test(patient_words),
        cmocka_unit_test(every_sentence), cmocka_unit_test(languages),      cmocka_unit_test(same_ways),
        cmocka_unit_test(cause_told),     cmocka_unit_test(found_alone),    cmocka_unit_test(as_sure_as_known),
        cmocka_unit_test(next_way),       cmocka_unit_test(one_figure),     cmocka_unit_test(german_reads)};
    return cmocka_run_group_tests_name("patient", tests, NULL, NULL);
}
