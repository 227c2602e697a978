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

/* Each number stands over its bar, or under it where its neighbours leave no room. */
static void label(const iol_choice *c, iol_labels *labels) {
    static const iol_beside above[] = {IOL_BESIDE_ABOVE}, below[] = {IOL_BESIDE_BELOW};
    const double se = c->expected.se_d;
    iol_line line;
    iol_line_start(&line);
    iol_line_signed(&line, se, IOL_UNIT_none);
    if (!iol_labels_put(labels, c->power_d, se + c->sd_d, above, 1, line.text))
        iol_labels_put(labels, c->power_d, se - c->sd_d, below, 1, line.text);
}

static void steps(const ladder *l, iol_figure *f) {
    iol_labels labels;
    iol_labels_start(&labels, f);
    for (int i = 0; i < l->r->choices_count; i++) {
        const iol_choice *c = &l->r->choices[i];
        if (!of_class(l->r, i)) continue;
        const double se = c->expected.se_d;
        iol_figure_span(f, c->power_d, se - c->sd_d, c->power_d, se + c->sd_d, IOL_STROKE_PLAIN);
        iol_figure_dot(f, c->power_d, se, c->chosen == IOL_YES ? IOL_DOT_DIAMOND : IOL_DOT_RING);
        if (l->steps <= LABELLED) label(c, &labels);
    }
}

/* What the two lines are, with their numbers: in the title, clear of every mark. */
static void title(const iol_replacement *r, bool exact, iol_line *line) {
    iol_line_start(line);
    iol_line_text(line, TITLE ". Broken line: target ");
    iol_line_signed(line, r->target_se_d, IOL_UNIT_d);
    if (!exact) return;
    iol_line_text(line, "; dotted: exact power ");
    iol_line_signed(line, r->power_exact_d, IOL_UNIT_d);
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
    iol_line_text(&line, iol_chosen_step(r) ? "The full diamond is the chosen step. " : "No step is chosen. ");
    iol_line_text(&line, "The same numbers stand in the table of steps.");
    const double from = l.low_power_d - l.step_d, to = l.high_power_d + l.step_d, power = r->power_exact_d;
    const double low = l.low_se_d - 2.0 * l.line_d, high = l.high_se_d + 2.0 * l.line_d;
    const bool exact = power >= from && power <= to;
    iol_line name;
    title(r, exact, &name);
    iol_figure *f = iol_page_figure(page, name.text, line.text);
    iol_figure_extents(f, from, to, low, high);
    iol_figure_axis_x(f, "Labelled power of the lens", "D", iol_figure_step(to - from, 10), 1, true);
    iol_figure_axis_y(f, "Expected spherical equivalent", "D", iol_figure_step(high - low, 8), 2, true);
    iol_figure_line(f, from, r->target_se_d, to, r->target_se_d, IOL_STROKE_DASHED);
    if (exact) iol_figure_line(f, power, low, power, high, IOL_STROKE_DOTTED);
    steps(&l, f);
}
