/* Drawings of sheet 1: where the miss comes from, when, how the steps compare. The numbers stand in the tables too. */
#include <string.h>

#include "sheet.h"
#include "tables/constants.h"
#include "text/number.h"

static const char *signed_d(iol_line *line, double x) {
    iol_line_start(line);
    iol_line_signed(line, x, IOL_UNIT_d);
    return line->text;
}

static double out_to_half(double x, double away) {
    return away > 0.0 ? ceil(2.0 * x + 0.2) / 2.0 : floor(2.0 * x - 0.2) / 2.0;
}

/* ---- from what was meant to what is ---- */

typedef struct {
    iol_drawing d;
    double lo, hi;
} waterfall;

enum { FALL_LEFT = 17, FALL_WIDE = 69, FALL_BOTTOM = 22 };
static const double fall_top = 3.2, fall_step = 5.5; /* first row, and from row to row */
static double across(const waterfall *w, double v) { return FALL_LEFT + (v - w->lo) / (w->hi - w->lo) * FALL_WIDE; }

/* A label that may stand on a line of the scale: on a piece of paper, so that no line makes a sign of it. end: it ends at x. */
static void on_paper(iol_drawing *d, const char *kind, double x, double y, bool end, const char *text) {
    const double wide = 0.56 * 3.1 * (double)strlen(text);
    iol_draw_box(d, "paper", end ? x - wide : x - 0.2, y - 2.6, wide + 0.2, 3.2);
    iol_draw_text(d, kind, x, y, text);
}

static bool covers_zero(const waterfall *w, double from, double to) {
    const double zero = across(w, 0.0);
    return zero > from && zero < to;
}

/* On the side that has room, and not on the line of zero where the other side is free of it. */
static void value_label(waterfall *w, double x_mm, double y, double gap, const char *text) {
    const double wide = gap + 0.62 * 3.1 * (double)strlen(text);
    bool left = x_mm > FALL_LEFT + 0.62 * FALL_WIDE;
    const bool other_fits = left ? x_mm + wide < FALL_LEFT + FALL_WIDE + 3.0 : x_mm - wide > FALL_LEFT;
    if (other_fits && covers_zero(w, left ? x_mm - wide : x_mm, left ? x_mm : x_mm + wide) &&
        !covers_zero(w, left ? x_mm : x_mm - wide, left ? x_mm + wide : x_mm))
        left = !left;
    on_paper(&w->d, left ? "t e w" : "t w", left ? x_mm - gap : x_mm + gap, y + 1.1, left, text);
}

static void part_bar(waterfall *w, const char *name, const char *kind, double from, double part, double y) {
    iol_line line;
    iol_draw_text(&w->d, "t e q", FALL_LEFT - 3.0, y + 1.1, name);
    iol_draw_box(&w->d, kind, across(w, from), y - 1.7, across(w, from + part) - across(w, from), 3.4);
    const double right = fmax(across(w, from), across(w, from + part)),
                 left = fmin(across(w, from), across(w, from + part));
    signed_d(&line, part);
    if (right - left > 15.0) /* inside; else on the side that has room */
        iol_draw_text(&w->d, "s m", (left + right) / 2.0, y + 1.0, line.text);
    else if (right < FALL_LEFT + FALL_WIDE - 14.0)
        on_paper(&w->d, "s", right + 1.0, y + 1.0, false, line.text);
    else
        on_paper(&w->d, "s e", left - 1.0, y + 1.0, true, line.text);
}

static void diamond(waterfall *w, double v, double y) {
    const double x = across(w, v), xy[] = {x, y - 2.0, x + 2.0, y, x, y + 2.0, x - 2.0, y};
    iol_draw_path(&w->d, "k", xy, 4, true);
}

void iol_sheet_waterfall(iol_sheet *s) {
    const iol_surprise *p = &s->plan->surprise;
    iol_line line;
    if (isnan(p->miss_d) || isnan(p->selection_part_d) || isnan(p->eye_part_d)) return;
    const double meant = p->intended_se_d, sheet = meant + p->selection_part_d, now = p->current_se_d;
    waterfall w = {.lo = out_to_half(fmin(fmin(meant, sheet), now), -1.0),
                   .hi = out_to_half(fmax(fmax(meant, sheet), now), 1.0)};
    iol_line_start(&line);
    iol_line_text(&line, "Meant ");
    iol_line_signed(&line, meant, IOL_UNIT_d);
    iol_line_text(&line, iol_grown_mm(s->plan) > 0.0 ? ", the sheet and growth " : ", the sheet ");
    iol_line_signed(&line, p->selection_part_d, IOL_UNIT_d);
    iol_line_text(&line, ", the eye ");
    iol_line_signed(&line, p->eye_part_d, IOL_UNIT_d);
    iol_line_text(&line, ", now ");
    iol_line_signed(&line, now, IOL_UNIT_d);
    iol_drawing_open(&w.d, s->out, "waterfall", 90.0, 27.6, line.text,
                     "From what was meant by the sheet's part and the eye's part to what is.");
    const double step = w.hi - w.lo > 4.0 ? 2.0 : w.hi - w.lo > 2.0 ? 1.0 : 0.5;
    for (double v = ceil(w.lo / step) * step; v <= w.hi; v += step) {
        iol_draw_line(&w.d, fabs(v) < step / 4.0 ? "l" : "f", across(&w, v), 0.5, across(&w, v), FALL_BOTTOM);
        iol_line_start(&line);
        iol_line_signed(&line, v, IOL_UNIT_d);
        if (v + step <= w.hi) line.text[line.used > 2 ? line.used - 2 : 0] = '\0'; /* the unit stands once */
        iol_draw_text(&w.d, v + step > w.hi ? "s e q scale" : "s m q scale",
                      across(&w, v) + (v + step > w.hi ? 4.0 : 0.0), 26.4, line.text);
    }
    for (int i = 0; i < 3; i++) {
        const double v = i == 0 ? meant : i == 1 ? sheet : now;
        iol_draw_line(&w.d, "b", across(&w, v), fall_top + fall_step * i, across(&w, v),
                      fall_top + fall_step * (i + 1));
    }
    iol_draw_text(&w.d, "t e w", FALL_LEFT - 3.0, fall_top + 1.1, "meant");
    iol_draw_text(&w.d, "t e w", FALL_LEFT - 3.0, fall_top + 3.0 * fall_step + 1.1,
                  p->read_on == IOL_UNKNOWN_DATE ? "now" : "read");
    part_bar(&w, "sheet", "g", meant, p->selection_part_d, fall_top + fall_step);
    part_bar(&w, "eye", "p", sheet, now - sheet, fall_top + 2.0 * fall_step);
    diamond(&w, meant, fall_top);
    diamond(&w, now, fall_top + 3.0 * fall_step);
    value_label(&w, across(&w, meant), fall_top, 3.0, signed_d(&line, meant));
    value_label(&w, across(&w, now), fall_top + 3.0 * fall_step, 3.0, signed_d(&line, now));
    iol_drawing_close(&w.d);
}

/* ---- when ---- */

enum { TIME_LEFT = 34, TIME_WIDE = 50 };
static const char *const window_name[] = {[IOL_window_what_refraction_counts] = "refraction counts",
                                          [IOL_window_what_complaint_judged] = "complaint is judged",
                                          [IOL_window_what_turns_easily] = "turns easily",
                                          [IOL_window_what_exchange_easier] = "exchange is easier",
                                          [IOL_window_what_laser_judged] = "corneal laser judged"};

static double time_across(double day, double last) { return TIME_LEFT + fmin(day, last) / last * TIME_WIDE; }

/* Days that are labelled, each with room. */
typedef struct {
    double x[12], dated[12];
    int count, dates;
} ticks;

static void day_tick(iol_drawing *d, ticks *t, double day, double last, double y, int32_t date) {
    iol_line line;
    const double x = time_across(day, last);
    for (int i = 0; i < t->count; i++)
        if (fabs(t->x[i] - x) < 9.0) return;
    if (t->count < 12) t->x[t->count++] = x;
    iol_draw_line(d, "l", x, y - 0.8, x, y + 0.8);
    iol_line_start(&line);
    if (day == 0.0) iol_line_text(&line, "day ");
    iol_line_number(&line, day, IOL_UNIT_count);
    iol_draw_text(d, day == 0.0 ? "s m scale" : "s m", x, y + 4.2, line.text);
    for (int i = 0; i < t->dates; i++)
        if (fabs(t->dated[i] - x) < 14.0) return;
    if (date == IOL_UNKNOWN_DATE) return;
    if (t->dates < 12) t->dated[t->dates++] = x;
    iol_line_start(&line);
    iol_line_day(&line, date);
    line.text[line.used > 5 ? line.used - 5 : 0] = '\0'; /* without the year */
    iol_draw_text(d, "s m q date", x, y + 7.6, line.text);
}

void iol_sheet_timeline(iol_sheet *s) {
    const iol_timing *t = &s->plan->timing;
    const double today = t->days_since_first_surgery;
    double last = today;
    iol_drawing d;
    iol_line line;
    if (isnan(today) || t->windows_count == 0 || iol_above(today, c_glance_days) == IOL_YES) return;
    for (int i = 0; i < t->windows_count; i++)
        last = fmax(last, fmax(t->windows[i].from_day, isnan(t->windows[i].to_day) ? 0.0 : t->windows[i].to_day));
    last = last > 0.0 ? 1.25 * last : 1.0;
    const double axis = 7.0 + 5.2 * t->windows_count + 1.0;
    const int32_t first = s->plan->as_of == IOL_UNKNOWN_DATE ? IOL_UNKNOWN_DATE : s->plan->as_of - (int32_t)today;
    iol_line_start(&line);
    iol_line_text(&line, "Today is day ");
    iol_line_number(&line, today, IOL_UNIT_count);
    for (int i = 0; i < t->windows_count; i++) {
        iol_line_text(&line, "; ");
        iol_line_text(&line, window_name[t->windows[i].what]);
        iol_line_text(&line, " from day ");
        iol_line_number(&line, t->windows[i].from_day, IOL_UNIT_count);
        if (isnan(t->windows[i].to_day)) continue;
        iol_line_text(&line, " to ");
        iol_line_number(&line, t->windows[i].to_day, IOL_UNIT_count);
    }
    iol_drawing_open(&d, s->out, "timeline", 90.0, axis + 9.0, line.text,
                     "Black: today lies inside; grey: not now; an arrow has no end.");
    ticks marks = {.count = 0};
    for (int i = 0; i < t->windows_count; i++) {
        const iol_window *w = &t->windows[i];
        const double y = 9.0 + 5.2 * i, to = isnan(w->to_day) ? last : w->to_day;
        const bool inside = today >= w->from_day && today <= to;
        const double x1 = time_across(w->from_day, last), x2 = time_across(to, last);
        iol_draw_text(&d, "t e", TIME_LEFT - 2.0, y + 1.1, window_name[w->what]);
        iol_draw_box(&d, inside ? "k" : "g0", x1, y - 1.1, x2 - x1, 2.2);
        const double head[] = {x2, y - 1.6, x2 + 2.2, y, x2, y + 1.6};
        if (isnan(w->to_day)) iol_draw_path(&d, inside ? "k" : "g0", head, 3, true);
    }
    iol_draw_line(&d, "l", TIME_LEFT, axis, TIME_LEFT + TIME_WIDE, axis);
    const double now = time_across(today, last), arrow[] = {now - 1.8, 4.2, now + 1.8, 4.2, now, 6.8};
    iol_draw_line(&d, "b", now, 5.0, now, axis);
    iol_draw_path(&d, "k", arrow, 3, true);
    iol_line_start(&line);
    iol_line_text(&line, "today, day ");
    iol_line_number(&line, today, IOL_UNIT_count);
    iol_draw_text(&d, "t m w", fmin(now, 78.0), 3.0, line.text);
    day_tick(&d, &marks, 0.0, last, axis, first);
    for (int i = 0; i < t->windows_count; i++) {
        const double day[] = {t->windows[i].to_day, t->windows[i].from_day};
        for (int k = 0; k < 2; k++)
            if (!isnan(day[k]))
                day_tick(&d, &marks, day[k], last, axis, first == IOL_UNKNOWN_DATE ? first : first + (int32_t)day[k]);
    }
    iol_drawing_close(&d);
}

/* ---- chance against step ---- */

void iol_sheet_chances(iol_sheet *s, const iol_replacement *r) {
    enum {
        MOST = 7,
        HIGH = 15,
        TOP = 2,
        LEFT = 11,
        SHARES = TOP + HIGH + 4,
        POWERS = SHARES + 4,
        REFRACTIONS = POWERS + 4
    };
    const iol_choice *chosen = iol_chosen_step(r), *step[42];
    int count = 0, at = 0;
    iol_line line, how;
    iol_drawing d;
    if (!chosen) return;
    for (int i = 0; i < r->choices_count && count < 42; i++) {
        if (strcmp(r->choices[i].lens_id, chosen->lens_id) != 0) continue;
        if (&r->choices[i] == chosen) at = count;
        step[count++] = &r->choices[i];
    }
    const int first = at > MOST / 2 ? (at + MOST / 2 < count ? at - MOST / 2 : count > MOST ? count - MOST : 0) : 0;
    const int last = first + MOST < count ? first + MOST : count;
    iol_line_start(&line);
    iol_line_text(&line, "Of 100 eyes with ");
    iol_line_power(&line, chosen->power_d);
    iol_line_text(&line, ": ");
    iol_line_number(&line, 100.0 * chosen->within_half_d, IOL_UNIT_count);
    iol_line_bands(&line, " within %h of the target, ");
    iol_line_number(&line, 100.0 * chosen->within_one_d, IOL_UNIT_count);
    iol_line_bands(&line, " within %o");
    iol_line_start(&how);
    iol_line_bands(&how, "A bar a step of power: full within %h, outline within %o; the chosen step is black.");
    iol_drawing_open(&d, s->out, "chances", 90.0, REFRACTIONS + 2.0, line.text, how.text);
    for (int k = 0; k <= 2; k++) {
        const double y = TOP + HIGH - HIGH * k / 2.0;
        iol_draw_line(&d, k ? "f" : "l", LEFT, y, 89.0, y);
        iol_draw_text(&d, "s e q scale", LEFT - 1.5, y + 1.0, k == 0 ? "0" : k == 1 ? "50" : "100");
    }
    for (int i = first; i < last; i++) {
        const double x = LEFT + 2.0 + 11.2 * (i - first), half = HIGH * step[i]->within_half_d,
                     one = HIGH * step[i]->within_one_d;
        const bool is = step[i] == chosen;
        iol_draw_box(&d, "p", x, TOP + HIGH - one, 7.6, one);
        iol_draw_box(&d, is ? "k" : "g", x, TOP + HIGH - half, 7.6, half);
        iol_line_start(&line);
        iol_line_number(&line, 100.0 * step[i]->within_half_d, IOL_UNIT_count);
        iol_draw_text(&d, is ? "t m w" : "t m", x + 3.8, SHARES + 0.4, line.text);
        iol_line_start(&line);
        iol_line_power(&line, step[i]->power_d);
        line.text[line.used > 2 ? line.used - 2 : 0] = '\0';
        iol_draw_text(&d, is ? "s m w" : "s m q", x + 3.8, POWERS + 0.4, line.text);
        iol_line_start(&line);
        iol_line_signed(&line, step[i]->expected.se_d, IOL_UNIT_d);
        line.text[line.used > 2 ? line.used - 2 : 0] = '\0';
        iol_draw_text(&d, is ? "s m w" : "s m q", x + 3.8, REFRACTIONS + 0.4, line.text);
    }
    iol_draw_text(&d, "s e q", LEFT - 1.5, SHARES + 0.4, "full");
    iol_draw_text(&d, "s e q", LEFT - 1.5, POWERS + 0.4, "D");
    iol_draw_text(&d, "s e q", LEFT - 1.5, REFRACTIONS + 0.4, "SE");
    iol_drawing_close(&d);
}
