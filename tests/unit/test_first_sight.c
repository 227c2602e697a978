/* What a surgeon sees first: a first step on every plan, on screen and sheet. Rules of the project's own; no outside source. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>

#include <cmocka.h>

#include "check.h"
#include "hard_case.h"
#include "kept_text.h"
#include "report/report.h"
#include "report/screen.h"
#include "report/sheet.h"
#include "tables/rule_codes.h"

static iol_case c;
static iol_plan plan;

static void plan_made(void) { iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan); }

static const char *sheets(void) {
    kept.used = 0;
    assert_true(iol_sheets_html(&plan, NULL, &page, keep, NULL));
    return kept.bytes;
}

/* ---- the first step ---- */

static int first_acts(void) {
    int count = 0;
    for (int i = 0; i < plan.decision.acts_count; i++) count += plan.decision.acts[i].when == IOL_act_when_first;
    return count;
}

static bool is_first(int code) {
    const int note = iol_note_with(&plan.notes, IOL_AT_act_text, code);
    return note >= 0 && plan.decision.acts[plan.notes.item[note].row].when == IOL_act_when_first;
}

static void shown(const char *who) {
    char text[640];
    const int count = first_acts();
    if (count < 1 || count > 3) fail_msg("%s: %d first steps", who, count);
    for (int i = 1; i < plan.decision.acts_count; i++) /* told together */
        assert_false(plan.decision.acts[i].when == IOL_act_when_first &&
                     plan.decision.acts[i - 1].when == IOL_act_when_also);
    int note = -1;
    for (int i = 0; note < 0; i++)
        if (plan.decision.acts[i].when == IOL_act_when_first) note = iol_note_find(&plan.notes, IOL_AT_act_text, i, 0);
    iol_note_text(&plan.notes.item[note], text, sizeof text);
    assert_true(strlen(text) > 10);
    if (!strstr(text_of_plan(&plan, NULL), "\nFIRST  1 ")) fail_msg("%s: no first step on the screen", who);
    if (!strstr(sheets(), "<ol class=\"acts first\"><li>")) fail_msg("%s: no first step on sheet 1", who);
}

/* Every example and hard case, today, without its day, on an alarm. */
static void always(void **state) {
    (void)state;
    for (int i = 0; i < EXAMPLES + HARD_CASES; i++)
        for (int how = 0; how < 3; how++) {
            const char *who = any_case(i, &c);
            if (how == 1) c.assessed_on = IOL_UNKNOWN_DATE;
            if (how == 2) c.red_flags.present = true, c.red_flags.pain = IOL_YES;
            plan_made();
            if (plan.decision.present) shown(who);
            if (how == 2) assert_true(is_first(IOL_NOTE_act_today_flag));
        }
}

/* The way that leads has its own first step among them: by itself, or said by an act that another finding brings. Opposite: on
 * another eye it does not stand. */
static void of_the_way(void **state) {
    (void)state;
    static const struct {
        const char *name;
        int act;
    } row[] = {{"child", IOL_NOTE_act_step_glasses_child},
               {"sulcus-lens", IOL_NOTE_act_step_glasses},
               {"no-lens-child", IOL_NOTE_act_step_contact_child},
               {"power-not-settled", IOL_NOTE_act_step_contact},
               {"left-tilted-toric", IOL_NOTE_act_contact_trial},
               {"hyperopic-surprise", IOL_NOTE_act_laser_waits},
               {"toric-turned", IOL_NOTE_act_step_turn},
               {"put-back", IOL_NOTE_act_step_hold},
               {"short-eye", IOL_NOTE_act_step_front},
               {"second-too-strong", IOL_NOTE_act_step_second_out},
               {"second-rubs", IOL_NOTE_act_second_rubs},
               {"second-off-axis", IOL_NOTE_act_second_marks},
               {"two-lenses", IOL_NOTE_act_step_second_new},
               {"no-lens", IOL_NOTE_act_step_seat},
               {"both-clouded", IOL_NOTE_act_step_exchange},
               {"displaced", IOL_NOTE_act_rim},
               {"no-lens-pressure", IOL_NOTE_act_today_pressure},
               {"multifocal-photic", IOL_NOTE_act_surface}};
    enum { ROWS = sizeof row / sizeof *row };
    int seen = 0;
    for (int i = 0; i < EXAMPLES + HARD_CASES; i++) {
        const char *who = any_case(i, &c);
        plan_made();
        for (int k = 0; k < ROWS; k++) {
            if (strcmp(row[k].name, who) != 0) continue;
            if (!is_first(row[k].act)) fail_msg("%s: the way that leads has no first step", who);
            seen++;
        }
    }
    assert_int_equal(seen, ROWS);
    example_case("multifocal-photic", &c); /* a surface that is healthy: what else leads */
    c.cornea.ocular_surface = IOL_ocular_surface_healthy;
    c.retina.macula = IOL_macula_degeneration;
    plan_made();
    assert_true(is_first(IOL_NOTE_act_step_macula) && !is_first(IOL_NOTE_act_oedema));
    example_case("child", &c);
    c.capsule.posterior = IOL_posterior_capsule_opacified;
    plan_made();
    assert_true(is_first(IOL_NOTE_act_step_capsule_child) && !is_first(IOL_NOTE_act_step_capsule));
    example_case("negative-dysphotopsia", &c); /* half a year on */
    c.checks.topography_done = IOL_YES;
    c.assessed_on += 140;
    c.refractions[c.refractions_count - 1].measured_on = c.assessed_on;
    plan_made();
    assert_true(is_first(IOL_NOTE_act_step_capture));
    example_case("hyperopic-surprise", &c); /* the capsule is to blame: what is left after it is not known */
    c.capsule.posterior = IOL_posterior_capsule_opacified;
    c.checks.acuity_improves_with_trial_lens = IOL_NO;
    c.assessed_on += 122;
    plan_made();
    assert_int_equal(plan.decision.state, IOL_state_not_for_exchange);
    iol_line line, more;
    iol_line_doubt(&plan, false, &line, &more);
    assert_non_null(strstr(more.text, "how much is left after it"));
    example_case("wrong-lens", &c); /* three others stand before it */
    plan_made();
    assert_false(is_first(IOL_NOTE_act_step_exchange));
    example_case("silicone-oil",
                 &c); /* glasses stand first among the ways, but nothing is done before the oil is out */
    plan_made();
    assert_false(is_first(IOL_NOTE_act_step_glasses));
}

/* A lens that is hardly clouded stays: agreed on, whatever else is asked first. An exchange that nothing is asked before is agreed
 * on too. Opposite: a lens that is clouded. */
static void agreed(void **state) {
    (void)state;
    for (int i = 0; i < 2; i++) {
        example_case("lens-opacity", &c);
        c.cornea.ocular_surface = IOL_ocular_surface_healthy;
        c.first_surgery.lens.opacity = i == 0 ? IOL_opacity_none : IOL_opacity_mild;
        plan_made();
        assert_true(is_first(IOL_NOTE_act_step_leave) == (i == 0));
    }
    example_case("multifocal-photic", &c);
    c.cornea.ocular_surface = IOL_ocular_surface_healthy;
    plan_made();
    assert_true(first_acts() == 1 && is_first(IOL_NOTE_act_step_exchange));
}

/* ---- how sure ---- */

static const char *cell_of(const char *head) {
    static char text[2048];
    char open[40];
    size_t used = 0;
    snprintf(open, sizeof open, "<dt>%s</dt><dd>", head);
    const char *at = strstr(sheets(), open), *end = at ? strstr(at, "</div>") : NULL;
    if (!end) return NULL;
    bool inside = false;
    for (at += strlen(open); at < end && used < sizeof text - 1; at++) {
        if (*at == '<') inside = true, text[used++] = ' ';
        if (!inside) text[used++] = *at;
        if (*at == '>') inside = false;
    }
    text[used] = '\0';
    return text;
}

/* Every plan says how sure it is, in a figure where there is one and in words, on screen and sheet 1; where there is no figure what
 * is not known. The day of an alarm says why today. */
static void doubt(void **state) {
    (void)state;
    for (int i = 0; i < EXAMPLES + HARD_CASES; i++)
        for (int how = 0; how < 3; how++) {
            const char *who = any_case(i, &c);
            if (how == 1) c.assessed_on = IOL_UNKNOWN_DATE;
            if (how == 2) c.red_flags.present = true, c.red_flags.pain = IOL_YES;
            plan_made();
            if (!plan.decision.present) continue;
            iol_line line, more;
            iol_line_doubt(&plan, false, &line, &more);
            if (!line.used || !more.used) fail_msg("%s: no doubt", who);
            const bool figure = strstr(line.text, " of 100") || strstr(line.text, " D");
            if (!figure && !strstr(line.text, "not known yet")) fail_msg("%s: %s", who, line.text);
            if (strstr(line.text, " of 100") && !strstr(more.text, "half"))
                fail_msg("%s: no words: %s", who, more.text);
            if (!strstr(text_of_plan(&plan, NULL), "\nSURE   ")) fail_msg("%s: no doubt on the screen", who);
            if (!cell_of("How sure") || strlen(cell_of("How sure")) < 20) fail_msg("%s: no doubt on sheet 1", who);
            if (how == 2) assert_non_null(strstr(cell_of("When"), "today: red flags"));
            if (how == 2) assert_non_null(strstr(cell_of("Lens"), "because of the alarm"));
        }
    hard_case_named("no-lens-pressure", &c);
    plan_made();
    assert_non_null(strstr(cell_of("When"), "today: eye pressure"));
}

/* What is said is what the plan has: of a turn what each degree costs, of a way back its spread, of a chance its share in words. */
static void doubt_told(void **state) {
    (void)state;
    char want[80];
    iol_line line, more;
    example_case("toric-turned", &c);
    plan_made();
    iol_line_doubt(&plan, false, &line, &more);
    snprintf(want, sizeof want, "each degree off leaves %.2f D of cylinder more", plan.rotation.loss_per_degree_d);
    assert_non_null(strstr(more.text, want));
    assert_non_null(strstr(cell_of("How sure"), "each degree off"));
    hard_case_named("second-too-strong", &c);
    plan_made();
    iol_line_doubt(&plan, false, &line, &more);
    snprintf(want, sizeof want, "+- %.2f D expected", iol_first_way(&plan)->sd_d);
    assert_non_null(strstr(more.text, want));
    static const struct {
        const char *name, *says;
    } row[] = {{"dislocation", "fewer than half; "},
               {"wrong-lens", "more than half; "},
               {"hyperopic-surprise", "eyes in a series of 28 came within 0.50 D: more than half"},
               {"silicone-oil", "where the eye settles"},
               {"sulcus-lens", "wearing it tells"},
               {"multifocal-photic", "refracting then tells"},
               {"minimal", "what made the miss"},
               {"after-laser", "looking again on that day tells"}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        example_case(row[i].name, &c);
        plan_made();
        iol_line_doubt(&plan, false, &line, &more);
        if (!strstr(more.text, row[i].says)) fail_msg("%s: %s", row[i].name, more.text);
    }
    hard_case_named("put-back", &c);
    plan_made();
    for (int i = 0; i < plan.options_count; i++)
        if (plan.options[i].rank == 1.0) plan.options[i].sd_d = NAN;
    iol_line_doubt(&plan, false, &line, &more);
    assert_non_null(strstr(more.text, "its spread is not known"));
    hard_case_named("displaced-at-the-wound", &c);
    plan_made();
    iol_line_doubt(&plan, false, &line, &more);
    assert_non_null(strstr(more.text, "once it lies in its place"));
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(always), cmocka_unit_test(of_the_way), cmocka_unit_test(agreed),
                                       cmocka_unit_test(doubt), cmocka_unit_test(doubt_told)};
    return cmocka_run_group_tests_name("first sight", tests, NULL, NULL);
}
