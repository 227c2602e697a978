/* Days since the first operation: gates, easier days and today on one line of time. */
#include "compose.h"

#define TITLE "Days since the first operation"

typedef struct {
    iol_figure *f;
    const iol_plan *plan;
    double to_day; /* right end */
    int rows, row; /* row counts down from the top */
} track;

static double next_row(track *t) { return (double)(t->rows - 1 - t->row++); }

static void label(track *t, double y, const char *what, double from, double to) {
    iol_line line;
    iol_line_start(&line);
    iol_line_text(&line, what);
    iol_line_text(&line, " day ");
    iol_line_number(&line, from, IOL_UNIT_count);
    if (!isnan(to)) iol_line_text(&line, " to ");
    if (!isnan(to)) iol_line_number(&line, to, IOL_UNIT_count);
    iol_figure_label(t->f, 0.0, y + 0.55, IOL_BESIDE_RIGHT, line.text);
}

/* Open to the right from a day on. */
static void gate(track *t, const char *what, double day) {
    if (isnan(day)) return;
    double y = next_row(t);
    iol_figure_line(t->f, 0.0, y, t->to_day, y, IOL_STROKE_FAINT);
    iol_figure_arrow(t->f, day, y, t->to_day, y, IOL_STROKE_HEAVY);
    iol_figure_dot(t->f, day, y, IOL_DOT_SQUARE);
    label(t, y, what, day, NAN);
}

/* Open between two days. */
static void window(track *t, const char *what, double from, double to) {
    if (isnan(from) || isnan(to)) return;
    double y = next_row(t);
    iol_figure_line(t->f, 0.0, y, t->to_day, y, IOL_STROKE_FAINT);
    iol_figure_span(t->f, from, y, to, y, IOL_STROKE_HEAVY);
    label(t, y, what, from, to);
}

static void today(track *t) {
    double day = t->plan->timing.days_since_first_surgery, y = next_row(t);
    iol_figure_line(t->f, day, 0.0, day, y + 0.3, IOL_STROKE_DASHED);
    iol_figure_dot(t->f, day, y + 0.3, IOL_DOT_DIAMOND);
    iol_line line;
    iol_line_start(&line);
    iol_line_text(&line, "day of this plan: ");
    iol_line_number(&line, day, IOL_UNIT_count);
    iol_figure_label(t->f, day, y + 0.3, 2.0 * day > t->to_day ? IOL_BESIDE_LEFT : IOL_BESIDE_RIGHT, line.text);
}

void iol_draw_timing(const iol_plan *plan, iol_page *page) {
    const iol_timing *s = &plan->timing;
    if (isnan(s->days_since_first_surgery)) {
        iol_page_figure_missing(page, TITLE, "The day of the first operation is not known.");
        return;
    }
    const iol_note *turn = iol_timing_turn(plan);
    const double turn_from = turn ? turn->value : NAN, turn_to = turn ? turn->limit : NAN;
    const double refraction = iol_timing_day(plan, s->earliest_by_refraction);
    const double relief = iol_timing_day(plan, s->earliest_by_symptoms);
    const double easier = iol_timing_day(plan, s->best_before);
    double last = s->days_since_first_surgery;
    const double all[] = {refraction, relief, easier, turn_to};
    track t = {.plan = plan, .rows = 1};
    for (int i = 0; i < 4; i++) {
        t.rows += !isnan(all[i]);
        last = fmax(last, all[i]);
    }
    t.to_day = last > 0.0 ? 1.12 * last : 1.0;
    t.f =
        iol_page_figure(page, TITLE,
                        "A row each: from when the refraction counts, from when the complaint may be judged, the days "
                        "for turning, the easier days for exchange; the broken line is the day of this plan. The same "
                        "days stand in the list.");
    iol_figure_size(t.f, 270.0, 34.0 + 20.0 * t.rows);
    iol_figure_extents(t.f, 0.0, t.to_day, -0.35, t.rows - 0.35);
    iol_figure_axis_x(t.f, "Time", "days", iol_figure_step(t.to_day, 8), 0, false);
    today(&t);
    gate(&t, "Refraction counts from", refraction);
    gate(&t, "Complaint: not before", relief);
    window(&t, "Turning:", turn_from, turn_to);
    window(&t, "Exchange easier:", 0.0, easier);
}
