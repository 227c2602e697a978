/* Expected refraction against lens power: the steps of the shelf, their spread, the target, the exact power. */
#include <string.h>

#include "compose.h"
#include "labels.h"

#define TITLE "Expected refraction of each step"

enum { LABELLED = 9 }; /* more steps than these carry their numbers in the table alone */

typedef struct {
    const iol_replacement *r;
    double low_power_d, high_power_d, low_se_d, high_se_d, step_d;
    double line_d; /* as high as a line of text */
    int steps;
} ladder;

static bool of_class(const iol_replacement *r, int i) { return strcmp(r->choices[i].lens_id, r->lens_id) == 0; }

/* What the frame has to hold. */
static ladder measure(const iol_replacement *r) {
    ladder l = {r, INFINITY, -INFINITY, r->target_se_d, r->target_se_d, INFINITY, 0.0, 0};
    double before = NAN;
    for (int i = 0; i < r->choices_count; i++) {
        const iol_choice *c = &r->choices[i];
        double spread = isnan(c->sd_d) ? 0.0 : c->sd_d;
        if (!of_class(r, i) || isnan(c->expected.se_d)) continue;
        l.low_power_d = fmin(l.low_power_d, c->power_d);
        l.high_power_d = fmax(l.high_power_d, c->power_d);
        l.low_se_d = fmin(l.low_se_d, c->expected.se_d - spread);
        l.high_se_d = fmax(l.high_se_d, c->expected.se_d + spread);
        if (fabs(c->power_d - before) > 0.0) l.step_d = fmin(l.step_d, fabs(c->power_d - before));
        before = c->power_d;
        l.steps++;
    }
    l.line_d = 0.06 * (l.high_se_d - l.low_se_d);
    return l;
}

static void steps(const ladder *l, iol_labels *labels, iol_figure *f) {
    static const iol_beside above[] = {IOL_BESIDE_ABOVE};
    for (int i = 0; i < l->r->choices_count; i++) {
        const iol_choice *c = &l->r->choices[i];
        iol_line line;
        if (!of_class(l->r, i)) continue;
        double se = c->expected.se_d;
        iol_figure_span(f, c->power_d, se - c->sd_d, c->power_d, se + c->sd_d, IOL_STROKE_PLAIN);
        iol_figure_dot(f, c->power_d, se, c->chosen == IOL_YES ? IOL_DOT_DIAMOND : IOL_DOT_RING);
        iol_line_start(&line);
        iol_line_signed(&line, se, IOL_UNIT_none);
        if (l->steps <= LABELLED) iol_labels_put(labels, c->power_d, se + c->sd_d, above, 1, line.text);
    }
}

/* Its words stand beside the line, at the right end or the left, where no step's number is. */
static void target(const ladder *l, double from, double to, iol_labels *labels, iol_figure *f) {
    static const iol_beside left[] = {IOL_BESIDE_LEFT}, right[] = {IOL_BESIDE_RIGHT};
    const double above = l->r->target_se_d + l->line_d, below = l->r->target_se_d - l->line_d;
    iol_line line;
    iol_figure_line(f, from, l->r->target_se_d, to, l->r->target_se_d, IOL_STROKE_DASHED);
    iol_line_start(&line);
    iol_line_text(&line, "target ");
    iol_line_signed(&line, l->r->target_se_d, IOL_UNIT_d);
    if (!iol_labels_put(labels, to, above, left, 1, line.text) &&
        !iol_labels_put(labels, from, below, right, 1, line.text))
        iol_labels_put(labels, from, above, right, 1, line.text);
}

static void exact(const ladder *l, double from, double to, double low, double high, iol_figure *f) {
    double power = l->r->power_exact_d;
    iol_line line;
    if (!(power >= from && power <= to)) return;
    iol_figure_line(f, power, low, power, high, IOL_STROKE_DOTTED);
    iol_line_start(&line);
    iol_line_text(&line, "exact ");
    iol_line_signed(&line, power, IOL_UNIT_d);
    iol_figure_label(f, power, high, 2.0 * power > from + to ? IOL_BESIDE_LEFT : IOL_BESIDE_RIGHT, line.text);
}

static bool any_chosen(const iol_replacement *r) {
    for (int i = 0; i < r->choices_count; i++)
        if (of_class(r, i) && r->choices[i].chosen == IOL_YES) return true;
    return false;
}

void iol_draw_choices(const iol_replacement *r, iol_page *page) {
    const ladder l = measure(r);
    iol_line line;
    if (r->standing == IOL_standing_withheld || r->standing == IOL_standing_provisional || l.steps < 2) {
        iol_page_figure_missing(page, TITLE,
                                r->standing == IOL_standing_withheld      ? "The power is withheld."
                                : r->standing == IOL_standing_provisional ? "The powers are provisional."
                                                                          : "The shelf has no steps to compare.");
        return;
    }
    iol_line_start(&line);
    iol_line_text(&line, "Each step of ");
    iol_line_text(&line, r->lens_id);
    iol_line_text(&line, " with the spherical equivalent expected; bars reach one standard deviation to each side. ");
    iol_line_text(&line, any_chosen(r) ? "The full diamond is the chosen step. " : "No step is chosen. ");
    iol_line_text(&line, "The same numbers stand in the table of steps.");
    iol_figure *f = iol_page_figure(page, TITLE, line.text);
    const double from = l.low_power_d - l.step_d, to = l.high_power_d + 2.5 * l.step_d;
    const double low = l.low_se_d - l.line_d, high = l.high_se_d + 3.0 * l.line_d;
    iol_figure_extents(f, from, to, low, high);
    iol_figure_axis_x(f, "Labelled power of the lens", "D", iol_figure_step(to - from, 10), 1, true);
    iol_figure_axis_y(f, "Expected spherical equivalent", "D", iol_figure_step(high - low, 8), 2, true);
    iol_labels labels;
    iol_labels_start(&labels, f);
    exact(&l, from, to, low, high, f);
    steps(&l, &labels, f);
    target(&l, from, to, &labels, f);
}
