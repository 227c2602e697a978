/* The plan as a page: what stands where, what is never folded, which figures are drawn, and that no text of a case or
 * site becomes markup. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <string.h>

#include "check.h"
#include "example_case.h"
#include "kept.h"
#include "report/compose.h"
#include "report/report.h"
#include "report/screen.h"
#include "tables/note_codes.h"

static iol_case c;
static iol_plan plan;
static iol_page page;

static const char *html_of(const iol_site *site) {
    iol_plan_make(&c, site, IOL_UNKNOWN_DATE, &plan);
    iol_report_plan(&plan, &page);
    assert_false(page.lost);
    kept.used = 0;
    assert_true(iol_page_html(&page, keep, NULL));
    return kept.bytes;
}

static const char *html_of_example(const char *name) {
    example_case(name, &c);
    return html_of(example_site());
}

static int count(const char *in, const char *what) {
    int found = 0;
    for (; (in = strstr(in, what)) != NULL; in += strlen(what)) found++;
    return found;
}

/* In the order of use; a section may be missing. Cautions that stop come before all. */
static void order(void **state) {
    (void)state;
    static const char *const ids[] = {"decision", "tests",       "lens",         "two-lenses", "altered-cornea",
                                      "growth",   "options",     "surprise",     "displaced",  "measure_next",
                                      "support",  "fallbacks",   "cells",        "second-out", "removal",
                                      "wound",    "astigmatism", "theatre-list", "timing",     "counselling",
                                      "cautions", "assumptions", "left-out",     "sources"};
    for (int e = 0; e < EXAMPLES; e++) {
        const char *at = html_of_example(example_names[e]);
        assert_int_equal(count(at, "<h1>"), 1);
        const char *first = strstr(at, "<section");
        for (const char *stop = at; (stop = strstr(stop, "<p class=\"caution stop\">")) != NULL; stop++)
            assert_true(stop < first);
        int sections = 0;
        for (size_t i = 0; i < sizeof ids / sizeof *ids; i++) {
            char opening[64];
            snprintf(opening, sizeof opening, "<section id=\"%s\">", ids[i]);
            const char *found = strstr(at, opening);
            assert_true(found != NULL || strstr(kept.bytes, opening) == NULL);
            if (found) at = found;
            if (found) sections++;
        }
        assert_int_equal(count(kept.bytes, "<section"), sections); /* and no other section */
    }
}

/* Folds hold no caution, no standing, no assumption and no decision. */
static void never_folded(void **state) {
    (void)state;
    for (int e = 0; e < EXAMPLES; e++) {
        html_of_example(example_names[e]);
        bool folded = false;
        const char *section = "";
        for (int b = 0; b < page.blocks; b++) {
            const iol_block *block = &page.block[b];
            const char *text = page.bytes + block->text[0];
            if (block->kind == IOL_BLOCK_HEADING) section = page.bytes + block->text[1];
            if (block->kind == IOL_BLOCK_FOLD || block->kind == IOL_BLOCK_UNFOLD || block->kind == IOL_BLOCK_HEADING)
                folded = block->kind == IOL_BLOCK_FOLD;
            if (!folded) continue;
            assert_true(block->kind != IOL_BLOCK_CAUTION);
            assert_true(strcmp(text, "Standing") != 0 && strcmp(text, "Exact power") != 0);
            assert_true(strcmp(section, "decision") != 0 && strcmp(section, "tests") != 0);
            assert_true(strcmp(section, "lens") != 0 && strcmp(section, "assumptions") != 0);
            assert_true(strcmp(section, "cautions") != 0 && strcmp(section, "counselling") != 0);
        }
    }
}

/* The first figure whose title begins so. */
static const iol_figure *figure_called(const char *title) {
    for (int i = 0; i < page.figures; i++)
        if (strncmp(page.figure[i].bytes + page.figure[i].title, title, strlen(title)) == 0) return &page.figure[i];
    return NULL;
}

/* A power is drawn when the plan gives one to use, and says why when not. */
static void powers_drawn(void **state) {
    (void)state;
    for (int e = 0; e < EXAMPLES; e++) {
        html_of_example(example_names[e]);
        const iol_figure *f = figure_called("Expected refraction of each step");
        const int standing = plan.replacement.standing;
        const bool usable = standing == IOL_standing_advised || standing == IOL_standing_repeat_before_ordering;
        if (!plan.replacement.present) continue;
        assert_non_null(f);
        assert_int_equal(f->missing, !usable);
        if (!usable) assert_int_equal(f->marks, 0);
    }
}

/* One bar a cause as long as its share; one ring or diamond a step at its expected refraction. */
static void figures_hold_the_plan(void **state) {
    (void)state;
    html_of_example("hyperopic-surprise");
    const iol_figure *f = figure_called("What explains the part of the eye");
    int bars = 0;
    for (int i = 0; i < f->marks; i++)
        if (f->mark[i].kind == IOL_MARK_BOX) {
            const iol_cause *cause = &plan.surprise.causes[bars++];
            CHECK_NEAR(f->mark[i].x2, 100.0 * cause->share, 1e-12, "the plan");
            assert_int_equal(f->mark[i].fill, cause->plausible_alone == IOL_NO ? IOL_FILL_HATCH : IOL_FILL_SHADE);
        }
    assert_int_equal(bars, plan.surprise.causes_count);
    f = figure_called("Expected refraction of each step");
    const iol_replacement *r = &plan.replacement;
    int row = -1, full = 0;
    for (int i = 0; i < f->marks; i++) {
        const iol_mark *m = &f->mark[i];
        if (m->kind != IOL_MARK_DOT) continue;
        for (row++; strcmp(r->choices[row].lens_id, r->lens_id) != 0;) row++;
        CHECK_NEAR(m->x, r->choices[row].power_d, 0.0, "the plan");
        CHECK_NEAR(m->y, r->choices[row].expected.se_d, 0.0, "the plan");
        assert_int_equal(m->dot, r->choices[row].chosen == IOL_YES ? IOL_DOT_DIAMOND : IOL_DOT_RING);
        full += m->dot == IOL_DOT_DIAMOND;
    }
    assert_int_equal(full, 1);
}

/* The gate of the refraction and the day of the plan, in days from the first operation. */
static void timing_in_days(void **state) {
    (void)state;
    html_of_example("wrong-lens");
    const iol_figure *f = figure_called("Days since the first operation");
    const int32_t first = c.first_surgery.done_on;
    double gate = NAN, today = NAN;
    for (int i = 0; i < f->marks; i++) {
        if (f->mark[i].kind == IOL_MARK_DOT && f->mark[i].dot == IOL_DOT_SQUARE) gate = f->mark[i].x;
        if (f->mark[i].kind == IOL_MARK_DOT && f->mark[i].dot == IOL_DOT_DIAMOND) today = f->mark[i].x;
    }
    CHECK_NEAR(gate, (double)(plan.timing.earliest_by_refraction - first), 0.0, "the calendar");
    CHECK_NEAR(today, (double)(plan.as_of - first), 0.0, "the calendar");
    assert_non_null(strstr(kept.bytes, "<td>2025-12-16, day 28</td>"));
    html_of_example("minimal");
    assert_non_null(strstr(kept.bytes,
                           "Figure left out: Days since the first operation. The day of the first operation "
                           "is not known."));
}

/* No power, no step, no lens row where the standing is withheld. */
static void withheld(void **state) {
    (void)state;
    const char *html = html_of_example("silicone-oil");
    assert_int_equal(plan.replacement.standing, IOL_standing_withheld);
    assert_non_null(strstr(html, "Figure left out: Expected refraction of each step. The power is withheld."));
    assert_null(strstr(html, "Labelled power"));
    assert_null(strstr(html, "Exact power"));
}

static void hostile_texts(void **state) {
    (void)state;
    static iol_site site;
    static const char bad[] = "<i a='\"&>\x01</i>";
    for (int e = 0; e < EXAMPLES; e++) {
        example_case(example_names[e], &c);
        site = *example_site();
        snprintf(c.case_ref, sizeof c.case_ref, "%s", bad);
        snprintf(c.first_surgery.sheet_formula, sizeof c.first_surgery.sheet_formula, "%s", bad);
        for (int i = 0; i < site.lenses_count; i++) {
            if (strcmp(c.first_surgery.lens.lens_id, site.lenses[i].id) == 0)
                snprintf(c.first_surgery.lens.lens_id, sizeof c.first_surgery.lens.lens_id, "%s%d", bad, i);
            snprintf(site.lenses[i].id, sizeof site.lenses[i].id, "%s%d", bad, i);
            snprintf(site.lenses[i].label, sizeof site.lenses[i].label, "%s", bad);
        }
        const char *html = html_of(&site);
        assert_null(strstr(html, "<i a"));
        assert_null(strstr(html, "</i>"));
        assert_null(strchr(html, '\x01'));
        assert_non_null(strstr(html, "&lt;i a=&#39;&quot;&amp;&gt; &lt;/i&gt;"));
    }
}

/* Nothing outside is asked for, no script, no number that is not one, no figure that had no room, no name twice. */
static void clean(void **state) {
    (void)state;
    static const char *const never[] = {"<script",
                                        "http:",
                                        "https:",
                                        "url(",
                                        "src=",
                                        "<link",
                                        "@import",
                                        ">-0.00",
                                        ">\xE2\x88\x92"
                                        "0.00",
                                        "NaN",
                                        "It holds more than a figure can",
                                        "-0.0\"",
                                        "There is nothing to draw"};
    for (int e = 0; e < EXAMPLES; e++) {
        const char *html = strstr(html_of_example(example_names[e]), "<main");
        for (size_t k = 0; k < sizeof never / sizeof *never; k++) {

            if (strstr(html, never[k])) fail_msg("%s: %s", example_names[e], never[k]);
        }
        for (const char *id = strstr(html, " id=\""); id; id = strstr(id + 1, " id=\"")) {
            char name[64];
            const size_t length = strcspn(id + 5, "\"") + 6;
            assert_true(length < sizeof name);
            memcpy(name, id, length);
            name[length] = '\0';
            assert_int_equal(count(kept.bytes, name), 1);
        }
    }
}

/* A turn that the loops allow only the long way: both ways stand beside each other, not one of them in a fold. The meridian is
 * the same after 180 degrees (definition); the limit of the shorter way is the plan's own. */
static void both_turns(void **state) {
    (void)state;
    static const struct {
        int turns;
        double cylinder_d;
        const char *turn, *back;
    } row[] = {
        {IOL_turns_clockwise, -1.5, ">17\xC2\xB0 clockwise, seen from in front of the eye<", NULL},
        {IOL_turns_anticlockwise, -1.5, ">163\xC2\xB0 anticlockwise, seen from in front of the eye: the way the loops",
         ">17\xC2\xB0 clockwise, against the loops: too far."},
        {IOL_turns_anticlockwise, -0.5, "\xC2\xB0 anticlockwise, seen from in front of the eye: the way the loops",
         "\xC2\xB0 clockwise, against the loops: only up to about 10\xC2\xB0"}};
    for (int i = 0; i < 3; i++) {
        example_case("toric-turned", &c);
        c.first_surgery.lens.turns_freely = row[i].turns;
        c.refractions[0].cylinder_d = c.refractions[1].cylinder_d = row[i].cylinder_d;
        const char *html = strstr(html_of(example_site()), "Turning the toric lens");
        assert_non_null(html);
        assert_non_null(strstr(html, row[i].turn));
        if (row[i].back)
            assert_non_null(strstr(html, row[i].back));
        else
            assert_null(strstr(html, ", against the loops: "));
    }
}

/* Before a cause is found or a wait is over, no way that is not known to fit is a headline. */
static void no_open_headline(void **state) {
    (void)state;
    example_case("toric-turned", &c);
    c.first_surgery.lens.axis_deg = 140.0;
    html_of(example_site());
    assert_int_equal(plan.decision.state, IOL_state_find_cause_first);
    assert_int_equal(plan.options[0].suitable, IOL_UNKNOWN);
    assert_null(strstr(kept.bytes, "First way"));
    assert_non_null(strstr(html_of_example("toric-turned"), "First way"));
    /* A displaced lens: the headline is the first way that fits, not a test that is still to be done. */
    example_case("dislocation", &c);
    c.cornea.ocular_surface = 0;
    html_of(example_site());
    assert_int_equal(plan.options[0].option, IOL_option_treat_surface);
    assert_int_equal(plan.options[0].suitable, IOL_UNKNOWN);
    assert_null(strstr(kept.bytes, "First way</th><td>treat the surface"));
    assert_non_null(strstr(kept.bytes, "First way</th><td>put it back, fix it"));
    /* A wrong lens that is documented: exchange leads though something of it is still to be found out, never leaving it. */
    example_case("wrong-lens", &c);
    c.cornea.endothelial_cells_per_mm2 = NAN;
    c.complaint.trend = 0;
    html_of(example_site());
    assert_int_equal(plan.decision.state, IOL_state_exchange);
    assert_non_null(strstr(kept.bytes, "First way</th><td>exchange the lens; not known yet whether it fits"));
}

/* A class goes by the surgeon's own name too where its powers stand and, once, under the list of what to have in theatre; a
 * shelf without such names has no line for them. */
static void own_names(void **state) {
    (void)state;
    static iol_site site;
    site = *example_site();
    for (int named = 1; named >= 0; named--) {
        for (int i = 0; i < site.lenses_count; i++)
            snprintf(site.lenses[i].label, sizeof site.lenses[i].label, named ? "Class %d" : "", i);
        example_case("hyperopic-surprise", &c);
        const char *html = html_of(&site);
        assert_string_equal(plan.replacement.lens_id, site.lenses[3].id);
        assert_string_equal(plan.replacement.lens_label, site.lenses[3].label);
        assert_string_equal(plan.piggyback.power.lens_label, site.lenses[4].label);
        for (int i = 0; i < plan.theatre_list_count; i++) {
            const iol_theatre_item *t = &plan.theatre_list[i];
            const int lens = strcmp(t->lens_id, site.lenses[2].id) == 0   ? 2
                             : strcmp(t->lens_id, site.lenses[3].id) == 0 ? 3
                                                                          : 5;
            assert_string_equal(t->lens_label, t->lens_id[0] ? site.lenses[lens].label : "");
        }
        assert_int_equal(count(html, "Lens class</th><td>toric-1p: Class 3<"), named);
        assert_int_equal(count(html, "Lens class"), named ? 3 : 0);
        assert_int_equal(count(html, "toric-1p: Class 3"), named ? 2 : 0);
        assert_int_equal(count(html, "bag-3p-acrylic: Class 2"), named);
    }
}

/* A part is asked for by its key; a note is found wherever it stands, the first of all too. */
static void parts_and_notes_by_name(void **state) {
    (void)state;
    static const char longest[] = "a-key-that-no-part-has-and-that-is-longer-than-any-of-them-is";
    example_case("hyperopic-surprise", &c);
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    assert_true(iol_report_part(&plan, "removal", &page));
    assert_false(iol_report_part(&plan, "nothing", &page));
    assert_false(iol_report_part(&plan, longest, &page));
    assert_true(plan.notes.count > 2);
    for (int i = 0; i < 2; i++) {
        plan.notes.item[i] = (iol_note){.place = IOL_AT_plan_cautions, .code = IOL_NOTE_second_route};
        assert_ptr_equal(iol_compose_find(&plan, IOL_AT_plan_cautions, IOL_NOTE_second_route), &plan.notes.item[0]);
    }
}

/* What a wider wound adds is told from the first hundredth on, and nothing where it adds nothing. */
static void what_a_wound_adds(void **state) {
    (void)state;
    static const struct {
        double adds_d;
        const char *says;
    } row[] = {{0.0, NULL}, {0.004, NULL}, {0.01, "(adds 0.01 D; "}, {0.25, "(adds 0.25 D; "}, {-0.2, NULL}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        iol_line line;
        example_case("lens-opacity", &c);
        iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
        plan.incision.end_width_mm = plan.incision.width_mm + 1.0;
        plan.incision.end_cylinder_d = plan.incision.induced_cylinder_d + row[i].adds_d;
        iol_line_start(&line);
        iol_line_wound(&line, &plan);
        assert_non_null(strstr(line.text, "enlarge to"));
        if (row[i].says) {
            char all[40];
            snprintf(all, sizeof all, " %.2f D of cylinder in all)", plan.incision.end_cylinder_d);
            assert_non_null(strstr(line.text, all));
        }
        if (row[i].says ? !strstr(line.text, row[i].says) : strstr(line.text, "adds") != NULL)
            fail_msg("%s", line.text);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(own_names),
        cmocka_unit_test(order),
        cmocka_unit_test(never_folded),
        cmocka_unit_test(powers_drawn),
        cmocka_unit_test(figures_hold_the_plan),
        cmocka_unit_test(timing_in_days),
        cmocka_unit_test(withheld),
        cmocka_unit_test(hostile_texts),
        cmocka_unit_test(clean),
        cmocka_unit_test(both_turns),
        cmocka_unit_test(no_open_headline),
        cmocka_unit_test(parts_and_notes_by_name),
        cmocka_unit_test(what_a_wound_adds),
    };
    return cmocka_run_group_tests_name("plan page", tests, NULL, NULL);
}
