/* A figure as inline SVG: ink on white, told apart by shape, stroke and hatching. Coordinates in points as printed,
 * one decimal, from the number rule; every text escaped. No style, no link, no reference inside a mark: classes only. */
#include <math.h>

#include "text/number.h"
#include "html.h"

enum { TEXT_HEIGHT = 9, HATCH_STEP = 5, CROSSINGS = 16 };

/* Where the data lie on the paper. */
typedef struct {
    iol_html *out;
    const iol_figure *f;
    double left, top, width, height; /* of the frame, in points */
} plot;

static const char *const stroke_class[] = {"plain", "heavy", "dashed", "dotted", "faint", "none"};
static const char *const fill_class[] = {"", " paper", " shade", " ink", ""};

static void put(plot *p, const char *markup) { iol_html_put(p->out, markup); }

static void put_number(plot *p, double x) {
    char text[32];
    iol_html_put(p->out, iol_print_number(x, 1, false, text, sizeof text) ? text : "0");
}

static void put_attribute(plot *p, const char *name, double x) {
    put(p, " ");
    put(p, name);
    put(p, "=\"");
    put_number(p, x);
    put(p, "\"");
}

static double at_x(const plot *p, double x) { return iol_figure_across(p->f, x); }
static double at_y(const plot *p, double y) { return iol_figure_down(p->f, y); }

/* The rest of the functions down to put_mark work in points. */
static void put_class(plot *p, const char *element, iol_stroke stroke, iol_fill fill) {
    put(p, "<");
    put(p, element);
    put(p, " class=\"");
    put(p, stroke_class[stroke]);
    put(p, fill_class[fill]);
    put(p, "\"");
}

static void put_line(plot *p, double x, double y, double x2, double y2, iol_stroke stroke) {
    put_class(p, "line", stroke, IOL_FILL_NONE);
    put_attribute(p, "x1", x);
    put_attribute(p, "y1", y);
    put_attribute(p, "x2", x2);
    put_attribute(p, "y2", y2);
    put(p, "/>\n");
}

static void put_points(plot *p, const iol_spot *point, int count) {
    put(p, " points=\"");
    for (int i = 0; i < count; i++) {
        put_number(p, point[i].x);
        put(p, ",");
        put_number(p, point[i].y);
        put(p, i + 1 < count ? " " : "\"/>\n");
    }
}

static void put_polygon(plot *p, const iol_spot *point, int count, iol_stroke stroke, iol_fill fill) {
    put_class(p, "polygon", stroke, fill);
    put_points(p, point, count);
}

/* Places along the hatch line y - x = offset at which it crosses the outline, in order. */
static int crossings(const iol_spot *point, int count, double offset, double at[CROSSINGS]) {
    int found = 0;
    for (int i = 0; i < count && found < CROSSINGS; i++) {
        const iol_spot a = point[i], b = point[(i + 1) % count];
        const double from = a.y - a.x - offset, to = b.y - b.x - offset;
        if ((from < 0.0) == (to < 0.0)) continue;
        double x = a.x + (b.x - a.x) * from / (from - to);
        int k = found++;
        for (; k > 0 && at[k - 1] > x; k--) at[k] = at[k - 1];
        at[k] = x;
    }
    return found;
}

static void put_hatch(plot *p, const iol_spot *point, int count) {
    double low = INFINITY, high = -INFINITY, at[CROSSINGS];
    for (int i = 0; i < count; i++) {
        low = fmin(low, point[i].y - point[i].x);
        high = fmax(high, point[i].y - point[i].x);
    }
    for (double offset = HATCH_STEP * ceil(low / HATCH_STEP); offset < high; offset += HATCH_STEP) {
        int found = crossings(point, count, offset, at);
        for (int k = 0; k + 1 < found; k += 2)
            put_line(p, at[k], at[k] + offset, at[k + 1], at[k + 1] + offset, IOL_STROKE_FAINT);
    }
}

static void put_outline(plot *p, const iol_spot *point, int count, const iol_mark *m) {
    if (m->fill == IOL_FILL_HATCH) put_hatch(p, point, count);
    put_polygon(p, point, count, m->stroke, m->fill);
}

static void put_path(plot *p, const iol_mark *m) {
    iol_spot point[IOL_FIGURE_POINTS];
    if (m->points < 2) return;
    for (int i = 0; i < m->points; i++) {
        point[i].x = at_x(p, p->f->point[m->point + i].x);
        point[i].y = at_y(p, p->f->point[m->point + i].y);
    }
    if (m->closed) {
        put_outline(p, point, m->points, m);
        return;
    }
    put_class(p, "polyline", m->stroke, IOL_FILL_NONE);
    put_points(p, point, m->points);
}

static void put_box(plot *p, const iol_mark *m) {
    const double x = at_x(p, m->x), y = at_y(p, m->y), x2 = at_x(p, m->x2), y2 = at_y(p, m->y2);
    const iol_spot corner[4] = {{x, y}, {x2, y}, {x2, y2}, {x, y2}};
    put_outline(p, corner, 4, m);
}

static void put_circle(plot *p, double x, double y, double radius, iol_stroke stroke, iol_fill fill) {
    put_class(p, "circle", stroke, fill);
    put_attribute(p, "cx", x);
    put_attribute(p, "cy", y);
    put_attribute(p, "r", radius);
    put(p, "/>\n");
}

/* Bars across both ends (head false) or a head at the second end. */
static void put_ends(plot *p, const iol_mark *m, bool head) {
    enum { HALF = 3, LONG = 7 };
    const double x = at_x(p, m->x), y = at_y(p, m->y), x2 = at_x(p, m->x2), y2 = at_y(p, m->y2);
    const double length = hypot(x2 - x, y2 - y);
    if (!(length > 0.0)) return;
    const double along_x = (x2 - x) / length, along_y = (y2 - y) / length;
    if (!head) {
        put_line(p, x - HALF * along_y, y + HALF * along_x, x + HALF * along_y, y - HALF * along_x, IOL_STROKE_PLAIN);
        put_line(p, x2 - HALF * along_y, y2 + HALF * along_x, x2 + HALF * along_y, y2 - HALF * along_x,
                 IOL_STROKE_PLAIN);
        return;
    }
    const double back_x = x2 - LONG * along_x, back_y = y2 - LONG * along_y;
    const iol_spot tip[3] = {{x2, y2},
                             {back_x - HALF * along_y, back_y + HALF * along_x},
                             {back_x + HALF * along_y, back_y - HALF * along_x}};
    put_polygon(p, tip, 3, IOL_STROKE_NONE, IOL_FILL_INK);
}

static void put_dot(plot *p, double x, double y, iol_dot dot) {
    enum { R = 3, WIDE = 4 };
    const iol_spot square[4] = {{x - R, y - R}, {x + R, y - R}, {x + R, y + R}, {x - R, y + R}};
    const iol_spot diamond[4] = {{x, y - WIDE - 1}, {x + WIDE + 1, y}, {x, y + WIDE + 1}, {x - WIDE - 1, y}};
    const iol_spot triangle[3] = {{x, y - WIDE}, {x + WIDE, y + R}, {x - WIDE, y + R}};
    switch (dot) {
    case IOL_DOT_SQUARE: put_polygon(p, square, 4, IOL_STROKE_PLAIN, IOL_FILL_PAPER); break;
    case IOL_DOT_DIAMOND: put_polygon(p, diamond, 4, IOL_STROKE_NONE, IOL_FILL_INK); break;
    case IOL_DOT_TRIANGLE: put_polygon(p, triangle, 3, IOL_STROKE_PLAIN, IOL_FILL_PAPER); break;
    case IOL_DOT_CROSS:
        put_line(p, x - R, y - R, x + R, y + R, IOL_STROKE_PLAIN);
        put_line(p, x - R, y + R, x + R, y - R, IOL_STROKE_PLAIN);
        break;
    case IOL_DOT_RING: put_circle(p, x, y, R, IOL_STROKE_PLAIN, IOL_FILL_PAPER); break;
    default: put_circle(p, x, y, R, IOL_STROKE_NONE, IOL_FILL_INK);
    }
}

/* A label and, where there is one, its unit. */
static void put_text(plot *p, double x, double y, const char *anchor, const char *text, const char *unit) {
    put(p, "<text");
    put_attribute(p, "x", x);
    put_attribute(p, "y", y);
    put(p, anchor);
    put(p, ">");
    iol_html_escaped(p->out, text);
    put(p, *unit ? ", " : "");
    iol_html_escaped(p->out, unit);
    put(p, "</text>\n");
}

static void put_label(plot *p, const iol_mark *m) {
    static const struct {
        double x, y;
        const char *anchor;
    } beside[] = {[IOL_BESIDE_CENTRE] = {0.0, 3.0, " class=\"middle\""},
                  [IOL_BESIDE_ABOVE] = {0.0, -6.5, " class=\"middle\""},
                  [IOL_BESIDE_BELOW] = {0.0, 6.0 + TEXT_HEIGHT, " class=\"middle\""},
                  [IOL_BESIDE_LEFT] = {-6.0, 3.0, " class=\"end\""},
                  [IOL_BESIDE_RIGHT] = {6.0, 3.0, ""}};
    if (m->scale) put(p, "<g class=\"scale\">");
    put_text(p, at_x(p, m->x) + beside[m->beside].x, at_y(p, m->y) + beside[m->beside].y, beside[m->beside].anchor,
             p->f->bytes + m->text, "");
    if (m->scale) put(p, "</g>");
}

static void put_mark(plot *p, const iol_mark *m) {
    switch (m->kind) {
    case IOL_MARK_LINE:
    case IOL_MARK_SPAN:
    case IOL_MARK_ARROW:
        put_line(p, at_x(p, m->x), at_y(p, m->y), at_x(p, m->x2), at_y(p, m->y2), m->stroke);
        if (m->kind != IOL_MARK_LINE) put_ends(p, m, m->kind == IOL_MARK_ARROW);
        break;
    case IOL_MARK_PATH: put_path(p, m); break;
    case IOL_MARK_BOX: put_box(p, m); break;
    case IOL_MARK_CIRCLE:
        put_circle(p, at_x(p, m->x), at_y(p, m->y), fabs(at_x(p, m->x + m->x2) - at_x(p, m->x)), m->stroke, m->fill);
        break;
    case IOL_MARK_DOT: put_dot(p, at_x(p, m->x), at_y(p, m->y), m->dot); break;
    case IOL_MARK_LABEL: break; /* over all the rest */
    }
}

static void put_axes(plot *p) {
    const iol_figure *f = p->f;
    const double bottom = p->top + p->height, right = p->left + p->width;
    double first;
    char text[32];
    put(p, "<g class=\"scale\">\n");
    if (f->x.shown) {
        put_line(p, p->left, bottom, right, bottom, IOL_STROKE_PLAIN);
        for (int i = 0, n = iol_figure_ticks(f->x_from, f->x_to, f->x.step, &first); i < n; i++) {
            const double value = first + i * f->x.step, x = at_x(p, value);
            put_line(p, x, bottom, x, bottom + 3.0, IOL_STROKE_PLAIN);
            if (iol_print_number(value, f->x.decimals, f->x.sign, text, sizeof text))
                put_text(p, x, bottom + 5.0 + TEXT_HEIGHT - 1, " class=\"middle\"", text, "");
        }
        put_text(p, right, bottom + 5.0 + 2 * TEXT_HEIGHT + 1, " class=\"end axis\"", f->bytes + f->x.label,
                 f->bytes + f->x.unit);
    }
    if (f->y.shown) {
        put_line(p, p->left, p->top, p->left, bottom, IOL_STROKE_PLAIN);
        for (int i = 0, n = iol_figure_ticks(f->y_from, f->y_to, f->y.step, &first); i < n; i++) {
            const double value = first + i * f->y.step, y = at_y(p, value);
            put_line(p, p->left - 3.0, y, p->left, y, IOL_STROKE_PLAIN);
            if (iol_print_number(value, f->y.decimals, f->y.sign, text, sizeof text))
                put_text(p, p->left - 5.0, y + 3.0, " class=\"end\"", text, "");
        }
        put_text(p, 1.0, TEXT_HEIGHT, " class=\"axis\"", f->bytes + f->y.label, f->bytes + f->y.unit);
    }
    put(p, "</g>\n");
}

static plot make_plot(iol_html *out, const iol_figure *f) {
    plot p = {.out = out, .f = f};
    iol_figure_frame(f, &p.left, &p.top, &p.width, &p.height);
    return p;
}

static bool drawable(const iol_figure *f) {
    const bool finite = isfinite(f->x_from) && isfinite(f->x_to) && isfinite(f->y_from) && isfinite(f->y_to);
    return finite && !f->lost && !f->missing && f->x_from != f->x_to && f->y_from != f->y_to && f->marks > 0;
}

static void put_left_out(iol_html *out, const iol_figure *f) {
    iol_html_put(out, "<p class=\"left-out\">Figure left out: ");
    iol_html_escaped(out, f->bytes + f->title);
    iol_html_put(out, ". ");
    iol_html_escaped(out, f->missing ? f->bytes + f->description
                          : f->lost  ? "It holds more than a figure can; the numbers stand in the tables."
                                     : "There is nothing to draw.");
    iol_html_put(out, "</p>\n");
}

static void put_named(plot *p, const char *element, int number, const char *text) {
    put(p, "<");
    put(p, element);
    put(p, " id=\"");
    iol_html_name(p->out, "figure-");
    iol_html_count(p->out, number);
    put(p, "-");
    put(p, element);
    put(p, "\">");
    iol_html_escaped(p->out, text);
    put(p, "</");
    put(p, element);
    put(p, ">\n");
}

static void put_opening(plot *p, int number) {
    put(p, "<figure>\n<svg viewBox=\"0 0 ");
    put_number(p, p->f->width);
    put(p, " ");
    put_number(p, iol_figure_height(p->f));
    put(p, "\" role=\"img\" aria-labelledby=\"");
    iol_html_name(p->out, "figure-");
    iol_html_count(p->out, number);
    put(p, "-title ");
    iol_html_name(p->out, "figure-");
    iol_html_count(p->out, number);
    put(p, "-desc\">\n");
    put_named(p, "title", number, p->f->bytes + p->f->title);
    put_named(p, "desc", number, p->f->bytes + p->f->description);
}

void iol_html_figure(iol_html *out, const iol_figure *f, int number) {
    if (!drawable(f)) {
        put_left_out(out, f);
        return;
    }
    plot p = make_plot(out, f);
    put_opening(&p, number);
    put_axes(&p);
    for (int i = 0; i < f->marks; i++) put_mark(&p, &f->mark[i]);
    for (int i = 0; i < f->marks; i++)
        if (f->mark[i].kind == IOL_MARK_LABEL) put_label(&p, &f->mark[i]);
    put(&p, "</svg>\n<figcaption>");
    iol_html_escaped(out, f->bytes + f->title);
    put(&p, "</figcaption>\n</figure>\n");
}
