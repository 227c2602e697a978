/* Words and marks of the report where the plan is given by hand: sizes at the limit from which they are told, growth, the parts of
 * a miss, a lens that has moved, capitals; lists of a case of which nothing is known. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

#include "check.h"
#include "drawn_marks.h"
#include "flat.h"
#include "hard_case.h"
#include "kept_text.h"
#include "report/compose.h"
#include "report/screen.h"
#include "report/sheet.h"
#include "tables/constants.h"
#include "tables/note_codes.h"
#include "tables/rule_codes.h"
#include "write/case_json.h"

static iol_case c;
static iol_plan plan;

static void make(const char *name) {
    example_case(name, &c);
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
}

/* ---- where the old lens lies ---- */

/* What is small and has no direction is not told. The limits: Ashena 2020, from memory: tilt over 5 deg, off centre over 0.4 mm. */
static void told_beyond_the_limit(void **state) {
    (void)state;
    static const struct {
        double size, place; /* of the limit */
        bool told;
    } row[] = {{0.5, NAN, false}, {1.0, NAN, false}, {1.01, NAN, true}, {0.0, NAN, false}, {NAN, NAN, false},
               {0.5, 80.0, true}, {1.0, 80.0, true}, {0.0, 80.0, false}, {NAN, 80.0, false}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++)
        for (int tilt = 0; tilt < 2; tilt++) {
            iol_removal_orientation o = {.present = true, .decentration_mm = NAN, .decentration_position_deg = NAN};
            o.tilt_deg = o.tilt_axis_deg = o.tilted_back_position_deg = NAN;
            *(tilt ? &o.tilt_deg : &o.decentration_mm) = row[i].size * (tilt ? 5.0 : 0.4);
            *(tilt ? &o.tilt_axis_deg : &o.decentration_position_deg) = row[i].place;
            iol_line line;
            iol_line_start(&line);
            iol_line_lies(&line, &o);
            if ((line.used > 0) != row[i].told) fail_msg("%.2f toward %.0f: '%s'", row[i].size, row[i].place, line.text);
            /* Alone it makes the lens one that has moved, whatever the patient is told. */
            memset(&plan, 0, sizeof plan);
            plan.removal.present = true;
            plan.removal.orientation = o;
            assert_int_equal(iol_sheet_lens_moved(&plan), row[i].told);
            plan.removal.orientation.present = false;
            assert_false(iol_sheet_lens_moved(&plan));
        }
}

static void draw_side(iol_sheet *s) { iol_sheet_eye_side(s, IOL_option_exchange, false, iol_language_find(NULL)); }

static double height_of(const char *svg, const char *kind, double *middle) {
    point p[24];
    double low = INFINITY, high = -INFINITY;
    const int count = path_of(svg, kind, 0, p, 24);
    assert_int_equal(count, 24);
    for (int i = 0; i < count; i++) low = fmin(low, p[i].y), high = fmax(high, p[i].y);
    *middle = (low + high) / 2.0;
    return high - low;
}

/* Definition: off its place by this part of the optic's size, up or down as its direction says (90 deg is up). */
static void moved_as_far_as_it_says(void **state) {
    (void)state;
    static const double optic[] = {5.5, 6.0, 6.5, 7.0}, off[] = {0.8, 1.2, 1.6}, place[] = {90.0, 270.0, 50.0, 230.0};
    make("displaced");
    who = "eye from the side";
    for (int i = 0; i < 4; i++)
        for (int k = 0; k < 3; k++)
            for (int n = 0; n < 4; n++) {
                iol_removal_orientation *o = &plan.removal.orientation;
                plan.removal.lens.optic_diameter_mm = optic[i];
                o->decentration_mm = off[k], o->decentration_position_deg = place[n], o->tilt_deg = NAN;
                const char *svg = drawn_of(&plan, draw_side);
                double was, is;
                const double high = height_of(svg, "b", &was);
                CHECK_NEAR(height_of(svg, "kk", &is), high, 0.02, "the same lens");
                const double sine = sin(place[n] * acos(-1.0) / 180.0), far = off[k] / optic[i] * high * sine;
                if (fabs(far) < 1.6 || fabs(far) > 7.9) continue; /* too little to be seen, or out of the eye */
                CHECK_NEAR(was - is, far, 0.03, "as far as it says");
            }
}

/* ---- words ---- */

/* What decides may be the first remark of all. */
static void first_remark_decides(void **state) {
    (void)state;
    static const int held[] = {IOL_NOTE_rule_lens_loose, IOL_NOTE_rule_lens_loose_unread, IOL_NOTE_rule_dislocation_trembles};
    for (int i = 0; i < 4; i++) {
        memset(&plan, 0, sizeof plan);
        assert_false(iol_only_held(&plan));
        plan.notes.count = 1;
        plan.notes.item[0] = (iol_note){.place = IOL_AT_decision_reasons, .code = i < 3 ? held[i] : (int)IOL_NOTE_rule_rubs_treat};
        assert_int_equal(iol_only_held(&plan), i < 3);
    }
}

/* Capitals reach to the last whole word before the first small letter. */
static void capitals(void **state) {
    (void)state;
    static const struct {
        const char *text, *loud;
    } row[] = {{"STOP", "STOP"}, {"TURN THE LENS", "TURN THE LENS"}, {"TURN THE LENS, then look", "TURN THE LENS,"},
               {"LENS IN x", "LENS IN"}, {"GO to", "GO"}, {"Leave it", ""}, {"IOLs", ""}, {"AN IOLs", "AN"}, {"", ""},
               {"NO. 2 OUT AT LAST, Sir", "NO. 2 OUT AT LAST,"}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++)
        if (iol_sheet_shouted(row[i].text) != strlen(row[i].loud)) fail_msg("%s: %zu", row[i].text, iol_sheet_shouted(row[i].text));
}

static bool on_screen(const char *words) { return strstr(flat(text_of_plan(&plan, NULL)), words) != NULL; }

/* The miss is told in its parts where both are known; growth is in that of the sheet where any is assumed. */
static void parts_of_the_miss(void **state) {
    (void)state;
    make("hyperopic-surprise");
    iol_surprise *s = &plan.surprise;
    for (int k = 0; k < 4; k++) {
        s->selection_part_d = k & 1 ? NAN : 0.75, s->eye_part_d = k & 2 ? NAN : -1.25;
        assert_int_equal(on_screen(" = sheet "), k == 0);
        assert_int_equal(on_screen(" = sheet +0.75 D, eye -1.25 D"), k == 0);
        assert_int_equal(on_screen(", eye "), k == 0);
    }
    s->selection_part_d = 0.75, s->eye_part_d = -1.25;
    iol_note *growth = &plan.notes.item[plan.notes.count++];
    *growth = (iol_note){.place = IOL_AT_plan_assumptions, .code = IOL_NOTE_assume_growth};
    static const double grown_mm[] = {0.0, 0.02, 0.05, 0.1, 1.0};
    for (int i = 0; i < 5; i++) {
        growth->limit = grown_mm[i];
        assert_int_equal(on_screen(" = sheet and growth +0.75 D, eye -1.25 D"), i > 0);
        assert_int_equal(on_screen(" = sheet +0.75 D, eye -1.25 D"), i == 0);
    }
}

/* Each formula's and each cause's figures are there as soon as there is one, and nothing is there of none. */
static void one_of_them(void **state) {
    (void)state;
    make("hyperopic-surprise");
    static iol_surprise whole;
    whole = plan.surprise;
    assert_true(whole.formulas_count > 1 && whole.causes_count > 1);
    for (int k = 0; k < 4; k++) {
        plan.surprise = whole;
        plan.surprise.formulas_count = k == 1, plan.surprise.causes_count = k == 2, plan.surprise.suspects_count = k == 3;
        iol_page_start(&page);
        iol_compose_surprise(&plan, &page);
        kept.used = 0, kept.bytes[0] = '\0';
        assert_true(iol_page_html(&page, keep, NULL));
        const bool there = strstr(kept.bytes, "what each ordinary cause would need, lesser suspects") != NULL;
        if (there != (k > 0)) fail_msg("%d: %s", k, strstr(kept.bytes, "<main"));
    }
}

/* ---- the printed sheet ---- */

static void draw_cut_dial(iol_sheet *s) { iol_sheet_cut_dial(s, false); }

/* Every side of the eye is named once at its dial; anatomy: seen from in front the right eye's temple is at 180 deg, so that a
 * quarter turn anticlockwise leads from above to it, and in the left eye to the nose. */
static void four_sides(void **state) {
    (void)state;
    static const char *const side[] = {"SUPERIOR", "TEMPORAL", "INFERIOR", "NASAL"};
    for (int eye = 0; eye < 2; eye++) {
        example_case("hyperopic-surprise", &c);
        if (eye) other_eye(&c);
        iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
        who = "sides of the dial";
        static word all[120];
        const char *svg = drawn_of(&plan, draw_cut_dial);
        const int words = words_of(svg, all, 120);
        const disc ring = disc_of(svg, "ring");
        const word *above = word_in(all, words, "SUPERIOR");
        for (int k = 0; k < 4; k++) {
            int times = 0;
            for (int i = 0; i < words; i++) times += strcmp(all[i].text, side[k]) == 0;
            assert_int_equal(times, 1);
            const word *w = word_in(all, words, side[k]);
            const double from = atan2(ring.middle.y - above->at.y, above->at.x - ring.middle.x);
            const double by = (atan2(ring.middle.y - w->at.y, w->at.x - ring.middle.x) - from) * 180.0 / acos(-1.0);
            const double wanted = (plan.eye == IOL_side_right ? 90.0 : -90.0) * k;
            if (fabs(remainder(by - wanted, 360.0)) > 25.0) fail_msg("%s: %.0f deg from above", side[k], by);
        }
    }
}

/* The rules of style are whole: each brace that opens is closed, and every string ends (CSS 2.2, from memory: section 4.1). */
static void style_is_whole(void **state) {
    (void)state;
    make("hyperopic-surprise");
    kept.used = 0, kept.bytes[0] = '\0';
    assert_true(iol_sheets_html(&plan, iol_language_find(NULL), &page, keep, NULL));
    int styles = 0;
    for (const char *at = kept.bytes; (at = strstr(at, "<style")); styles++) {
        const char *end = strstr(at, "</style>");
        int depth = 0, quotes = 0;
        assert_non_null(end);
        for (at = strchr(at, '>'); at < end; at++) {
            quotes += *at == '"' && at[-1] != '\\';
            if (quotes % 2) continue;
            depth += (*at == '{') - (*at == '}');
            assert_true(depth >= 0);
        }
        assert_int_equal(depth, 0);
        assert_int_equal(quotes % 2, 0);
    }
    assert_true(styles > 0);
}

/* ---- a case of which nothing is known ---- */

static const char *no_remark(void *context, const char *object, int n, const char **name) {
    (void)context, (void)object, (void)n, (void)name;
    return NULL;
}
static const char *on_no_key(void *context, const char *object, const char *key) {
    (void)context, (void)object, (void)key;
    return NULL;
}
static bool everywhere(void *context, const char *object) {
    (void)context, (void)object;
    return true;
}

/* To type in, each list of objects stands with its first one, and with one only. */
static void one_of_a_list(void **state) {
    (void)state;
    const iol_remarks_source remarks = {no_remark, on_no_key, everywhere, NULL};
    int lists = 0;
    iol_object_reset(iol_object_case, &c);
    kept.used = 0, kept.bytes[0] = '\0';
    assert_true(iol_case_write_remarked(&c, &remarks, keep, NULL));
    for (const char *at = kept.bytes; (at = strchr(at, '[')); at++, lists++) {
        int depth = 0, objects = 0;
        for (const char *in = at + 1; *in && (depth > 0 || *in != ']'); in++) {
            if (*in == '{') objects += depth == 0;
            depth += (*in == '{' || *in == '[') - (*in == '}' || *in == ']');
        }
        assert_int_equal(objects, 1);
    }
    assert_true(lists > 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(told_beyond_the_limit), cmocka_unit_test(moved_as_far_as_it_says),
        cmocka_unit_test(first_remark_decides),  cmocka_unit_test(capitals),
        cmocka_unit_test(parts_of_the_miss),     cmocka_unit_test(one_of_them),
        cmocka_unit_test(one_of_a_list),         cmocka_unit_test(four_sides),
        cmocka_unit_test(style_is_whole),
    };
    return cmocka_run_group_tests_name("a plan given by hand", tests, NULL, NULL);
}
