/* The ways in order: a strip a row on one scale, its numbers beside it. */
#include <string.h>

#include "sheet.h"
#include "text/number.h"

enum { MOST = 5 };
typedef struct {
    double lo, hi;
    double target, fellow;
} scale;

enum { STRIP_WIDE = 62, STRIP_PAD = 4, HEAD_HIGH = 12 };
static const double NUMBER_WIDE = 2.8, NUMBER_TOP = 8.4; /* half of a number of the scale; where it begins */
static double across(const scale *c, double v) {
    return STRIP_PAD + (v - c->lo) / (c->hi - c->lo) * (STRIP_WIDE - 2 * STRIP_PAD);
}

static void widen(scale *c, double v) {
    if (isnan(v) || fabs(v - (isnan(c->target) ? 0.0 : c->target)) > 4.0) return;
    c->lo = fmin(c->lo, floor(2.0 * v - 0.2) / 2.0);
    c->hi = fmax(c->hi, ceil(2.0 * v + 0.2) / 2.0);
}

static scale scale_of(const iol_plan *plan) {
    scale c = {-1.0, 1.0, iol_new_lens(plan)->present ? iol_new_lens(plan)->target_se_d : NAN,
               plan->fellow_refraction.present ? plan->fellow_refraction.se_d : NAN};
    widen(&c, c.target);
    for (int i = 0; i < plan->options_count; i++)
        if (plan->options[i].rank <= MOST) {
            const iol_option_row *o = &plan->options[i];
            if (iol_way_barred(plan, o)) continue;
            widen(&c, o->expected_se_d);
            widen(&c, o->expected_se_d - 1.96 * o->sd_d); /* the line of 2 standard deviations stands whole */
            widen(&c, o->expected_se_d + 1.96 * o->sd_d);
        }
    return c;
}

/* The line down to the strips, and not through a number of the scale. */
static void down(iol_drawing *d, const scale *c, const char *line, double x, double y, double step) {
    bool struck = false;
    for (double v = ceil(c->lo / step) * step; v <= c->hi; v += step) struck |= fabs(across(c, v) - x) < NUMBER_WIDE;
    iol_draw_line(d, line, x, y, x, struck ? NUMBER_TOP : HEAD_HIGH);
    if (struck) iol_draw_line(d, line, x, HEAD_HIGH - 0.8, x, HEAD_HIGH);
}

/* A line of the strips drawn up to its name, which stands beside it in a row of its own, away from the other line where there is
 * room. */
static void named(iol_drawing *d, const scale *c, double step, const char *line, const char *const kind[2], double x,
                  double other, double y, double wide, const char *text) {
    if (isnan(x)) return;
    const bool right_fits = x + 1.0 + wide <= STRIP_WIDE, left_fits = x - 1.0 - wide >= 0.0;
    const bool right = right_fits && (!(other > x) || !left_fits);
    down(d, c, line, x, y - 2.5, step);
    iol_draw_text(d, kind[!right], right ? x + 1.0 : x - 1.0, y, text);
}

/* Ticks and names of the two lines over the strips. */
static void head(iol_sheet *s, const scale *c) {
    iol_drawing d;
    iol_line line;
    const double step = c->hi - c->lo > 4.5 ? 2.0 : 1.0;
    iol_drawing_open(&d, s->out, "strip-head", STRIP_WIDE, HEAD_HIGH,
                     "Scale of the spherical equivalent after each way",
                     "Broken line: target; dotted line: the other eye.");
    for (double v = ceil(c->lo / step) * step; v <= c->hi; v += step) {
        iol_line_start(&line);
        iol_line_signed(&line, v, IOL_UNIT_count);
        iol_draw_text(&d, "s m q scale", across(c, v), HEAD_HIGH - 1.1, line.text);
        iol_draw_line(&d, "l", across(c, v), HEAD_HIGH - 0.7, across(c, v), HEAD_HIGH);
    }
    const double target = across(c, c->target), fellow = across(c, c->fellow);
    named(&d, c, step, "b", (const char *const[]){"s w h", "s w h e"}, target, fellow, 2.7, 9.6, "target");
    named(&d, c, step, "dot", (const char *const[]){"s q h", "s q h e"}, fellow, target, 6.8, 12.6, "other eye");
    iol_drawing_close(&d);
}

static void strip(iol_sheet *s, const scale *c, const iol_option_row *o) {
    iol_drawing d;
    iol_line line;
    const double se = iol_way_told(s->plan, o, o->expected_se_d), half = fabs(o->expected_cylinder_d) / 2.0;
    iol_line_start(&line);
    iol_line_text(&line, iol_way_of(s->plan, o));
    iol_line_text(&line, ": SE ");
    iol_line_signed(&line, se, IOL_UNIT_d);
    if (!isnan(o->sd_d) && !isnan(se)) {
        iol_line_text(&line, ", standard deviation ");
        iol_line_number(&line, o->sd_d, IOL_UNIT_d);
    }
    iol_drawing_open(&d, s->out, "strip", STRIP_WIDE, 7.0, line.text,
                     "Dot: expected; line: 1 and 2 standard deviations; grey: both meridians.");
    for (double v = ceil(c->lo); v <= c->hi; v += 1.0)
        iol_draw_line(&d, v == 0.0 ? "l" : "f", across(c, v), 0.0, across(c, v), 7.0);
    iol_draw_line(&d, "b", across(c, c->target), 0.0, across(c, c->target), 7.0);
    iol_draw_line(&d, "dot", across(c, c->fellow), 0.0, across(c, c->fellow), 7.0);
    if (se < c->lo || se > c->hi)
        iol_draw_head(&d, se < c->lo ? 0.5 : STRIP_WIDE - 0.5, 3.0, se < c->lo ? 180.0 : 0.0, 3.0);
    else if (!isnan(se)) {
        const double from = fmax(c->lo - 0.1, se - 1.96 * o->sd_d), to = fmin(c->hi + 0.1, se + 1.96 * o->sd_d);
        if (!isnan(o->sd_d)) {
            iol_draw_line(&d, "l", across(c, from), 3.0, across(c, to), 3.0);
            iol_draw_line(&d, "h2", across(c, fmax(from, se - o->sd_d)), 3.0, across(c, fmin(to, se + o->sd_d)), 3.0);
        }
        if (half > 0.02)
            iol_draw_box(&d, "g0", across(c, fmax(c->lo - 0.1, se - half)), 5.4,
                         across(c, fmin(c->hi + 0.1, se + half)) - across(c, fmax(c->lo - 0.1, se - half)), 0.9);
        iol_draw_disc(&d, iol_way_open(s->plan, o) ? "p" : "k", across(c, se), 3.0, 1.35);
    }
    iol_drawing_close(&d);
}

static void row(iol_sheet *s, const scale *c, int at) {
    const iol_option_row *o = &s->plan->options[at];
    const int note = iol_note_find(&s->plan->notes, IOL_AT_option_row_why, at, 0);
    iol_line line;
    iol_line_start(&line);
    iol_line_number(&line, o->rank, IOL_UNIT_count);
    iol_line_text(&line, " ");
    iol_line_way(&line, s->plan, o);
    if (iol_way_open(s->plan, o)) iol_line_text(&line, " ?");
    iol_sheet_line(s, "<tr><th scope=\"row\">", &line, "</th><td class=\"strip\">");
    strip(s, c, o);
    iol_sheet_put(s, "</td><td class=\"number\">");
    if (isnan(iol_way_told(s->plan, o, o->expected_se_d)))
        iol_sheet_put(s, "<span class=\"soft\">no figure</span>");
    else {
        iol_line_after(&line, o, o->expected_se_d);
        iol_sheet_line(s, "", &line, "");
        if (!isnan(o->expected_cylinder_d)) {
            iol_line_text(&line, "cyl ");
            iol_line_after(&line, o, o->expected_cylinder_d);
            iol_sheet_line(s, " <span class=\"soft\">", &line, "</span>");
        }
    }
    iol_sheet_put(s, "</td><td>");
    iol_line_start(&line);
    iol_line_way_reason(&line, s->plan, at);
    iol_sheet_line(s, "", &line, "");
    const iol_note *speaks = o->rank == 1.0 ? iol_way_for(s->plan, at) : NULL;
    if (speaks || note >= 0)
        iol_sheet_source(s, (int)iol_note_rows[speaks ? speaks->code : s->plan->notes.item[note].code].reference);
    iol_sheet_put(s, "</td></tr>\n");
}

void iol_sheet_ways(iol_sheet *s) {
    const iol_plan *plan = s->plan;
    const scale c = scale_of(plan);
    int shown = 0;
    iol_line line;
    bool fits = false;
    for (int i = 0; i < plan->options_count; i++) {
        shown += plan->options[i].rank <= MOST;
        fits |= plan->options[i].rank <= MOST && !iol_way_open(plan, &plan->options[i]);
    }
    if (!shown) return;
    iol_line_start(&line);
    if (!isnan(c.target)) {
        iol_line_text(&line, "target ");
        iol_line_signed(&line, c.target, IOL_UNIT_d);
    }
    if (!isnan(c.fellow)) {
        iol_line_text(&line, isnan(c.target) ? "other eye " : ", other eye ");
        iol_line_signed(&line, c.fellow, IOL_UNIT_d);
    }
    iol_sheet_text(s, "<div class=\"zone\"><h2>",
                   fits ? "The ways that fit, in order" : "The ways, none known to fit yet", "");
    iol_sheet_line(s, " <small>", &line, "</small></h2>\n");
    iol_sheet_put(s, "<table class=\"ways\"><thead><tr><th scope=\"col\">Way</th><th scope=\"col\" class=\"strip\">");
    head(s, &c);
    iol_sheet_put(s, "</th><th scope=\"col\" class=\"number\">SE after</th><th scope=\"col\">Why it stands "
                     "here</th></tr></thead><tbody>\n");
    for (int i = 0; i < plan->options_count; i++)
        if (plan->options[i].rank <= MOST) row(s, &c, i);
    iol_sheet_put(s, "</tbody></table>\n");
    iol_line_text(&line, "Dot: expected SE; line: 1 and 2 SD; grey: both meridians; open dot, ?: not known yet. ");
    iol_line_number(&line, plan->options_count - shown, IOL_UNIT_count);
    iol_line_text(&line, " others: tables.");
    iol_sheet_line(s, "<p class=\"key\">", &line, "</p></div>\n");
}
