/* The summary of a recheck: what came against what was predicted, how the errors spread, how near, and whether the intervals
 * held. Each as a figure and as a table of the same numbers. */
#include "compose.h"
#include "text/number.h"
#include "labels.h"
#include "summary.h"

/* "18 %"; "< 1 %" for some that are fewer. */
static const char *share(iol_line *line, double x) {
    iol_line_start(line);
    if (x > 0.0 && iol_count(100.0 * x, 0) == 0)
        iol_line_text(line, "< 1 %");
    else
        iol_line_percent(line, x);
    return line->text;
}

static const char *count(iol_line *line, double n) {
    iol_line_start(line);
    iol_line_number(line, n, IOL_UNIT_count);
    return line->text;
}

static const char *dioptres(iol_line *line, double x, bool sign) {
    iol_line_start(line);
    if (sign)
        iol_line_signed(line, x, IOL_UNIT_d);
    else
        iol_line_number(line, x, IOL_UNIT_d);
    return line->text;
}

bool iol_is_joint(const iol_group *g) { return g->method == IOL_recheck_method_joint && g->formula == 0; }

/* The joint prediction by the reference formula over all counted eyes; NULL when no eye has it. */
static const iol_group *joint(const iol_summary *s) {
    for (int i = 0; i < s->groups_count; i++) {
        const iol_group *g = &s->groups[i];
        if (g->by == IOL_group_by_all && iol_is_joint(g)) return g;
    }
    return NULL;
}

/* ---- what came against what was predicted ---- */

static void steps_figure(const iol_summary *s, iol_page *page) {
    double low = INFINITY, high = -INFINITY;
    iol_line n;
    for (int i = 0; i < s->steps_count; i++) {
        const iol_predicted_step *step = &s->steps[i];
        double spread = isnan(step->error_sd_d) ? 0.0 : step->error_sd_d;
        low = fmin(low, fmin(step->predicted_mean_d, step->achieved_mean_d - spread));
        high = fmax(high, fmax(step->predicted_mean_d, step->achieved_mean_d + spread));
    }
    low = floor(2.0 * low - 0.2 + IOL_SAME) / 2.0, high = ceil(2.0 * high + 0.2 - IOL_SAME) / 2.0;
    iol_figure *f =
        iol_page_figure(page, "Refraction that came against what was predicted, joint",
                        "Each dot is the mean of the eyes predicted within one step of half a dioptre; the bar "
                        "is one standard deviation of their errors to each side; the number beside it counts "
                        "the eyes. On the dashed line what came is what was predicted.");
    static const iol_beside right[] = {IOL_BESIDE_RIGHT};
    iol_labels l;
    double tick = high - low > 6.0 ? 2.0 : high - low > 3.0 ? 1.0 : 0.5;
    iol_figure_size(f, 300.0, 220.0);
    iol_figure_extents(f, low, high, low, high);
    iol_figure_axis_x(f, "Predicted spherical equivalent", "D", tick, 1, true);
    iol_figure_axis_y(f, "Achieved spherical equivalent", "D", tick, 1, true);
    iol_labels_start(&l, f);
    iol_figure_line(f, low, low, high, high, IOL_STROKE_DASHED);
    iol_figure_label(f, high, high, IOL_BESIDE_LEFT, "came as predicted");
    for (int i = 0; i < s->steps_count; i++) {
        const iol_predicted_step *step = &s->steps[i];
        double x = step->predicted_mean_d, y = step->achieved_mean_d, sd = step->error_sd_d;
        iol_figure_span(f, x, y - sd, x, y + sd, IOL_STROKE_PLAIN);
        iol_figure_dot(f, x, y, IOL_DOT_ROUND);
        iol_labels_put(&l, x, y, right, 1, count(&n, step->n));
    }
}

static void steps(const iol_summary *s, iol_page *page) {
    static const char *const heads[] = {"Predicted about", ">Eyes", ">Predicted", ">Achieved", ">SD of errors"};
    iol_page_section(page, "predicted-achieved", "What came against what was predicted");
    steps_figure(s, page);
    iol_page_table(page, 5, heads);
    for (int i = 0; i < s->steps_count; i++) {
        const iol_predicted_step *step = &s->steps[i];
        iol_line cell[5];
        const char *const cells[] = {dioptres(&cell[0], step->step_d, true), count(&cell[1], step->n),
                                     dioptres(&cell[2], step->predicted_mean_d, true),
                                     dioptres(&cell[3], step->achieved_mean_d, true),
                                     dioptres(&cell[4], step->error_sd_d, false)};
        iol_page_row(page, 5, cells);
    }
    iol_page_paragraph(page,
                       "Joint, reference formula of each case. Steps of 0.50 D; the outermost, 6 D to each side, hold "
                       "all beyond. Predicted, achieved: means of the eyes in the step.");
}

/* ---- how the errors spread ---- */

static void bars_figure(const iol_summary *s, iol_page *page) {
    double highest = 0.0;
    iol_line text;
    for (int i = 0; i < s->error_bars_count; i++) highest = fmax(highest, 100.0 * s->error_bars[i].share);
    iol_figure *f =
        iol_page_figure(page, "Errors of the joint prediction: share of eyes about each quarter dioptre",
                        "A bar for each quarter dioptre of error, as high as the share of the eyes nearest to "
                        "it; the outermost bars hold all beyond. Right of 0 the eye came out more hyperopic "
                        "than predicted.");
    iol_figure_extents(f, -2.2, 2.2, 0.0, 1.12 * highest);
    iol_figure_axis_x(f, "Error: achieved less predicted", "D", 0.5, 1, true);
    iol_figure_axis_y(f, "Share of eyes", "%", highest > 40.0 ? 20.0 : highest > 20.0 ? 10.0 : 5.0, 0, false);
    for (int i = 0; i < s->error_bars_count; i++) {
        const iol_error_bar *bar = &s->error_bars[i];
        if (!(bar->n > 0.0)) continue;
        double high = 100.0 * bar->share;
        iol_figure_box(f, bar->error_d - 0.1, 0.0, bar->error_d + 0.1, high, IOL_STROKE_PLAIN, IOL_FILL_SHADE);
        iol_line_start(&text);
        if (iol_count(high, 0) == 0)
            iol_line_text(&text, "<1");
        else
            iol_line_number(&text, high, IOL_UNIT_count);
        iol_figure_label(f, bar->error_d, high, IOL_BESIDE_ABOVE, text.text);
    }
    iol_figure_line(f, 0.0, 0.0, 0.0, 1.12 * highest, IOL_STROKE_DOTTED);
}

static void bars(const iol_summary *s, iol_page *page) {
    static const char *const heads[] = {"Error about", ">Eyes", ">Share"};
    iol_page_section(page, "errors", "How the errors spread");
    bars_figure(s, page);
    iol_page_table(page, 3, heads);
    for (int i = 0; i < s->error_bars_count; i++) {
        const iol_error_bar *bar = &s->error_bars[i];
        iol_line name, number, part;
        dioptres(&name, bar->error_d, true);
        if (i == 0 || i == s->error_bars_count - 1) iol_line_text(&name, " or beyond");
        const char *const cells[] = {name.text, count(&number, bar->n), share(&part, bar->share)};
        iol_page_row(page, 3, cells);
    }
    iol_page_paragraph(page,
                       "Joint, reference formula of each case. Plus: more hyperopic than predicted. Each bar holds the "
                       "errors within 0.125 D of its middle.");
}

/* ---- how near ---- */

enum { LIMITS = IOL_NEAR_LIMITS };

static double near_d(int i) { return iol_near_limit[i] / 1000.0; }

static void within(const iol_group *g, double part[LIMITS]) {
    part[0] = g->within_quarter, part[1] = g->within_half, part[2] = g->within_three_quarters;
    part[3] = g->within_one, part[4] = g->within_two;
}

static void near_figure(const iol_group *g, iol_page *page) {
    double part[LIMITS];
    iol_line text;
    iol_figure *f =
        iol_page_figure(page, "Share of eyes within each size of error, joint",
                        "Dots, joined: the share of eyes whose error is no larger than that.");
    within(g, part);
    iol_figure_extents(f, 0.0, 2.2, 0.0, 110.0);
    iol_figure_axis_x(f, "Size of the error, at most", "D", 0.25, 2, false);
    iol_figure_axis_y(f, "Share of eyes", "%", 25.0, 0, false);
    iol_figure_path(f, IOL_STROKE_PLAIN, IOL_FILL_NONE, false);
    for (int i = 0; i < LIMITS; i++) iol_figure_point(f, near_d(i), 100.0 * part[i]);
    for (int i = 0; i < LIMITS; i++) {
        iol_figure_dot(f, near_d(i), 100.0 * part[i], IOL_DOT_ROUND);
        iol_figure_label(f, near_d(i), 100.0 * part[i], IOL_BESIDE_ABOVE, share(&text, part[i]));
    }
}

static void near(const iol_summary *s, const iol_group *g, iol_page *page) {
    iol_line limit[LIMITS];
    const char *heads[2 + LIMITS] = {"Method", ">Eyes"};
    for (int k = 0; k < LIMITS; k++) {
        iol_line_start(&limit[k]);
        iol_line_text(&limit[k], ">");
        iol_line_number(&limit[k], near_d(k), IOL_UNIT_d);
        heads[2 + k] = limit[k].text;
    }
    iol_page_section(page, "within", "How near: share of eyes within each size of error");
    near_figure(g, page);
    iol_page_table(page, 2 + LIMITS, heads);
    for (int i = 0; i < s->groups_count && s->groups[i].by == IOL_group_by_all; i++) {
        double part[LIMITS];
        iol_line name, number, cell[LIMITS];
        within(&s->groups[i], part);
        const char *cells[2 + LIMITS] = {iol_series_text(&s->groups[i], &name), count(&number, s->groups[i].n)};
        for (int k = 0; k < LIMITS; k++) cells[2 + k] = share(&cell[k], part[k]);
        iol_page_row(page, 2 + LIMITS, cells);
    }
}

void iol_compose_errors(const iol_summary *s, iol_page *page) {
    const iol_group *g = joint(s);
    if (!g) return;
    steps(s, page);
    bars(s, page);
    near(s, g, page);
}

/* ---- how near, by group ---- */

enum { BY_GROUP_MOST = 12 };

/* What is drawn: all eyes first, then each group, years last; those beyond the room stand in the table alone. */
static int drawn_groups(const iol_summary *s, const iol_group *list[BY_GROUP_MOST]) {
    int count = 0;
    for (int years = 0; years < 2; years++)
        for (int i = 0; i < s->groups_count && count < BY_GROUP_MOST; i++)
            if (iol_is_joint(&s->groups[i]) && (s->groups[i].by == IOL_group_by_year) == years)
                list[count++] = &s->groups[i];
    return count;
}

void iol_compose_by_group(const iol_summary *s, iol_page *page) {
    const iol_group *list[BY_GROUP_MOST] = {NULL};
    const int rows = drawn_groups(s, list);
    iol_line text, title;
    if (rows < 2) return;
    iol_page_section(page, "by-group", "How near, by group");
    iol_line_start(&title);
    iol_line_bands(&title, "Of 100 eyes within %h, joint: dot, share; line, exact 95 % limits; broken, all eyes");
    iol_figure *f = iol_page_figure(page, title.text,
                                    "A row a group: its eyes counted, a dot at the share of them that came near, a line over the "
                                    "exact limits. A group whose line holds the broken one is not shown to differ.");
    iol_figure_size(f, 270.0, 26.0 + 14.0 * rows);
    iol_figure_extents(f, -120.0, 126.0, -1.2, rows);
    for (int x = 0; x <= 100; x += 25) {
        iol_line_start(&text);
        iol_line_number(&text, x, IOL_UNIT_count);
        iol_figure_line(f, x, -0.3, x, rows - 0.3, IOL_STROKE_FAINT);
        iol_figure_scale_label(f, x, -0.8, IOL_BESIDE_CENTRE, text.text);
    }
    iol_figure_line(f, 100.0 * list[0]->within_half, -0.3, 100.0 * list[0]->within_half, rows - 0.3, IOL_STROKE_DASHED);
    for (int i = 0; i < rows; i++) {
        const iol_group *g = list[i];
        const double y = rows - 1.0 - i, share_of = 100.0 * g->within_half;
        iol_line_start(&text);
        iol_line_group(&text, g);
        iol_figure_scale_label(f, -126.0, y, IOL_BESIDE_RIGHT, text.text);
        iol_figure_label(f, -2.0, y, IOL_BESIDE_LEFT, count(&text, g->n));
        iol_figure_span(f, 100.0 * g->within_half_low, y, 100.0 * g->within_half_high, y, IOL_STROKE_PLAIN);
        iol_figure_dot(f, share_of, y, IOL_DOT_ROUND);
        iol_figure_label(f, 100.0, y, IOL_BESIDE_RIGHT, share(&text, g->within_half));
    }
}

/* ---- did the intervals hold ---- */

void iol_compose_calibration(const iol_summary *s, iol_page *page) {
    static const double promised[] = {0.50, 0.80, 0.95};
    const iol_group *g = joint(s);
    iol_line text;
    if (!g || isnan(g->held_50)) return;
    const double held[] = {g->held_50, g->held_80, g->held_95};
    iol_figure *f =
        iol_page_figure(page, "Intervals: share that held against share promised, joint",
                        "Three dots: of the intervals that promised 50, 80 and 95 %, the share that held the "
                        "error. Below the dashed line predictions were too sure, above it too wide.");
    iol_figure_extents(f, 0.0, 110.0, 0.0, 110.0);
    iol_figure_axis_x(f, "Promised", "%", 20.0, 0, false);
    iol_figure_axis_y(f, "Held", "%", 20.0, 0, false);
    iol_figure_line(f, 0.0, 0.0, 100.0, 100.0, IOL_STROKE_DASHED);
    for (int i = 0; i < 3; i++) {
        double x = 100.0 * promised[i], y = 100.0 * held[i];
        iol_figure_line(f, x, 0.0, x, y, IOL_STROKE_DOTTED);
        iol_figure_dot(f, x, y, IOL_DOT_ROUND);
        iol_figure_label(f, x, y, y < x ? IOL_BESIDE_RIGHT : IOL_BESIDE_LEFT, share(&text, held[i]));
    }
}
