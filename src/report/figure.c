/* Figures as numbers: what has no place or no value is not added. */
#include "figure.h"

#include <math.h>
#include <string.h>

#include "iolrevise/optics.h"

static int keep_text(iol_figure *f, const char *text) {
    const size_t size = (text ? strlen(text) : 0) + 1;
    if (size > sizeof f->bytes - f->used) {
        f->lost = true;
        return 0;
    }
    if (text) memcpy(f->bytes + f->used, text, size); /* what is not written is 0 */
    f->used += size;
    return (int)(f->used - size);
}

void iol_figure_start(iol_figure *f, const char *title, const char *description) {
    memset(f, 0, sizeof *f);
    f->used = 1; /* offset 0 is "" */
    f->x_to = f->y_to = 1.0;
    f->width = 270.0;
    f->height = 138.0;
    f->title = keep_text(f, title);
    f->description = keep_text(f, description);
}

void iol_figure_extents(iol_figure *f, double x_from, double x_to, double y_from, double y_to) {
    f->x_from = x_from;
    f->x_to = x_to;
    f->y_from = y_from;
    f->y_to = y_to;
}

void iol_figure_size(iol_figure *f, double width, double height) {
    f->width = width;
    f->height = height;
}

void iol_figure_equal(iol_figure *f) { f->equal = true; }

static void axis(iol_figure *f, iol_axis *a, const char *label, const char *unit) {
    a->shown = true;
    a->label = keep_text(f, label);
    a->unit = keep_text(f, unit);
}

void iol_figure_axis_x(iol_figure *f, const char *label, const char *unit, double step, int decimals, bool sign) {
    f->x = (iol_axis){.step = step, .decimals = decimals, .sign = sign};
    axis(f, &f->x, label, unit);
}

void iol_figure_axis_y(iol_figure *f, const char *label, const char *unit, double step, int decimals, bool sign) {
    f->y = (iol_axis){.step = step, .decimals = decimals, .sign = sign};
    axis(f, &f->y, label, unit);
}

/* Room for one more mark whose four numbers are finite, or NULL. */
static iol_mark *add(iol_figure *f, iol_mark mark) {
    if (!isfinite(mark.x) || !isfinite(mark.y) || !isfinite(mark.x2) || !isfinite(mark.y2)) return NULL;
    if (f->marks == IOL_FIGURE_MARKS) {
        f->lost = true;
        return NULL;
    }
    f->mark[f->marks] = mark;
    return &f->mark[f->marks++];
}

void iol_figure_line(iol_figure *f, double x, double y, double x2, double y2, iol_stroke stroke) {
    add(f, (iol_mark){.kind = IOL_MARK_LINE, .stroke = stroke, .x = x, .y = y, .x2 = x2, .y2 = y2});
}

void iol_figure_span(iol_figure *f, double x, double y, double x2, double y2, iol_stroke stroke) {
    add(f, (iol_mark){.kind = IOL_MARK_SPAN, .stroke = stroke, .x = x, .y = y, .x2 = x2, .y2 = y2});
}

void iol_figure_arrow(iol_figure *f, double x, double y, double x2, double y2, iol_stroke stroke) {
    add(f, (iol_mark){.kind = IOL_MARK_ARROW, .stroke = stroke, .x = x, .y = y, .x2 = x2, .y2 = y2});
}

void iol_figure_box(iol_figure *f, double x, double y, double x2, double y2, iol_stroke stroke, iol_fill fill) {
    add(f, (iol_mark){.kind = IOL_MARK_BOX, .stroke = stroke, .fill = fill, .x = x, .y = y, .x2 = x2, .y2 = y2});
}

void iol_figure_circle(iol_figure *f, double x, double y, double radius, iol_stroke stroke, iol_fill fill) {
    add(f, (iol_mark){.kind = IOL_MARK_CIRCLE, .stroke = stroke, .fill = fill, .x = x, .y = y, .x2 = radius});
}

void iol_figure_dot(iol_figure *f, double x, double y, iol_dot dot) {
    add(f, (iol_mark){.kind = IOL_MARK_DOT, .dot = dot, .x = x, .y = y});
}

void iol_figure_label(iol_figure *f, double x, double y, iol_beside beside, const char *text) {
    iol_mark *mark = add(f, (iol_mark){.kind = IOL_MARK_LABEL, .beside = beside, .x = x, .y = y});
    if (mark) mark->text = keep_text(f, text);
}

void iol_figure_scale_label(iol_figure *f, double x, double y, iol_beside beside, const char *text) {
    iol_mark *mark = add(f, (iol_mark){.kind = IOL_MARK_LABEL, .beside = beside, .scale = true, .x = x, .y = y});
    if (mark) mark->text = keep_text(f, text);
}

void iol_figure_path(iol_figure *f, iol_stroke stroke, iol_fill fill, bool closed) {
    add(f,
        (iol_mark){
            .kind = IOL_MARK_PATH, .stroke = stroke, .fill = fill, .closed = closed, .point = f->points, .points = 0});
}

void iol_figure_point(iol_figure *f, double x, double y) {
    iol_mark *path = f->marks ? &f->mark[f->marks - 1] : NULL;
    if (!path || path->kind != IOL_MARK_PATH || path->points < 0) return;
    if (!isfinite(x) || !isfinite(y)) {
        path->points = -1; /* the whole path */
        return;
    }
    if (f->points == IOL_FIGURE_POINTS) {
        f->lost = true;
        return;
    }
    f->point[f->points++] = (iol_spot){x, y};
    path->points++;
}

void iol_figure_arc(iol_figure *f, double x, double y, double radius, double from_deg, double to_deg) {
    const double span = to_deg - from_deg;
    int steps = isfinite(span) ? (int)ceil(fmin(fabs(span), 360.0) / 7.5 - IOL_SAME) : 1;
    if (steps < 1) steps = 1;
    for (int i = 0; i <= steps; i++) {
        double sine, cosine;
        iol_sincos_deg(from_deg + span * i / steps, &sine, &cosine);
        iol_figure_point(f, x + radius * cosine, y + radius * sine);
    }
}

/* The scale of the axis across. */
static double below(const iol_figure *f) { return f->x.shown ? 28.0 : 6.0; }

void iol_figure_frame(const iol_figure *f, double *left, double *top, double *width, double *height) {
    *left = f->y.shown ? 34.0 : 4.0;
    *top = f->y.shown ? 18.0 : 6.0;
    *width = f->width - *left - 10.0;
    *height = f->equal ? *width * fabs((f->y_to - f->y_from) / (f->x_to - f->x_from)) : f->height - *top - below(f);
}

double iol_figure_height(const iol_figure *f) {
    double left, top, width, height;
    iol_figure_frame(f, &left, &top, &width, &height);
    return top + height + below(f);
}

double iol_figure_across(const iol_figure *f, double x) {
    double left, top, width, height;
    iol_figure_frame(f, &left, &top, &width, &height);
    return left + (x - f->x_from) / (f->x_to - f->x_from) * width;
}

double iol_figure_down(const iol_figure *f, double y) {
    double left, top, width, height;
    iol_figure_frame(f, &left, &top, &width, &height);
    return top + (f->y_to - y) / (f->y_to - f->y_from) * height;
}

int iol_figure_ticks(double from, double to, double step, double *first) {
    const double low = fmin(from, to), high = fmax(from, to);
    *first = NAN;
    if (!isfinite(from) || !isfinite(to) || !(step > 0.0) || !((high - low) / step <= 40.0)) return 0;
    const double k = ceil(low / step - 1e-6), last = floor(high / step + 1e-6);
    *first = k * step;
    return last < k ? 0 : (int)(last - k) + 1;
}

double iol_figure_step(double range, int most) {
    static const double round_steps[] = {1.0, 2.0, 5.0, 10.0};
    if (!(range > 0.0) || !isfinite(range) || most < 1) return NAN;
    double power = pow(10.0, floor(log10(range / most) + IOL_SAME));
    for (int i = 0; i < 3; i++)
        if (iol_at_most(range / (round_steps[i] * power), most) == IOL_YES) return round_steps[i] * power;
    return 10.0 * power;
}
