/* Marks into SVG: two decimals of a millimetre, by the number rule. */
#include "drawing.h"

#include <math.h>

#include "iolrevise/optics.h"
#include "text/number.h"

static void put(iol_drawing *d, const char *markup) { iol_html_put(d->out, markup); }

static void put_number(iol_drawing *d, double x) {
    char text[32];
    put(d, iol_print_number(x, 2, false, text, sizeof text) ? text : "0");
}

static void attribute(iol_drawing *d, const char *name, double x) {
    put(d, " ");
    put(d, name);
    put(d, "=\"");
    put_number(d, x);
    put(d, "\"");
}

static void element(iol_drawing *d, const char *name, const char *kind) {
    put(d, "<");
    put(d, name);
    put(d, " class=\"");
    put(d, kind);
    put(d, "\"");
}

void iol_drawing_open(iol_drawing *d, iol_html *out, const char *name, double width_mm, double height_mm,
                      const char *title, const char *more) {
    *d = (iol_drawing){out, width_mm, height_mm};
    put(d, "<svg role=\"img\" class=\"");
    put(d, name);
    put(d, "\" viewBox=\"0 0 ");
    put_number(d, width_mm);
    put(d, " ");
    put_number(d, height_mm);
    put(d, "\" style=\"width:calc(");
    put_number(d, width_mm);
    put(d, "*var(--u))\"><title>");
    iol_html_escaped(out, title);
    put(d, "</title><desc>");
    iol_html_escaped(out, more);
    put(d, "</desc>\n");
}

void iol_drawing_close(iol_drawing *d) { put(d, "</svg>\n"); }

static bool finite_all(const double *x, int count) {
    for (int i = 0; i < count; i++)
        if (!isfinite(x[i])) return false;
    return true;
}

void iol_draw_line(iol_drawing *d, const char *kind, double x1, double y1, double x2, double y2) {
    if (!finite_all((const double[]){x1, y1, x2, y2}, 4)) return;
    element(d, "line", kind);
    attribute(d, "x1", x1), attribute(d, "y1", y1), attribute(d, "x2", x2), attribute(d, "y2", y2);
    put(d, "/>\n");
}

void iol_draw_box(iol_drawing *d, const char *kind, double x, double y, double width, double height) {
    if (!finite_all((const double[]){x, y, width, height}, 4)) return;
    if (width < 0.0) x += width, width = -width;
    element(d, "rect", kind);
    attribute(d, "x", x), attribute(d, "y", y), attribute(d, "width", width), attribute(d, "height", height);
    put(d, "/>\n");
}

void iol_draw_disc(iol_drawing *d, const char *kind, double x, double y, double radius) {
    if (!finite_all((const double[]){x, y, radius}, 3)) return;
    element(d, "circle", kind);
    attribute(d, "cx", x), attribute(d, "cy", y), attribute(d, "r", radius);
    put(d, "/>\n");
}

void iol_draw_path(iol_drawing *d, const char *kind, const double *xy, int points, bool closed) {
    if (!finite_all(xy, 2 * points)) return;
    element(d, "path", kind);
    put(d, " d=\"");
    for (int i = 0; i < points; i++) {
        put(d, i ? "L" : "M");
        put_number(d, xy[2 * i]);
        put(d, " ");
        put_number(d, xy[2 * i + 1]);
    }
    put(d, closed ? "Z\"/>\n" : "\"/>\n");
}

void iol_draw_arc(iol_drawing *d, const char *kind, double x, double y, double radius, double from_deg, double to_deg) {
    enum { MOST = 49 };
    double xy[2 * MOST];
    if (!finite_all((const double[]){x, y, radius, from_deg, to_deg}, 5)) return;
    int steps = (int)ceil(fabs(to_deg - from_deg) / 7.5);
    steps = steps < 1 ? 1 : steps > MOST - 1 ? MOST - 1 : steps;
    for (int i = 0; i <= steps; i++) {
        double sine, cosine;
        iol_sincos_deg(from_deg + (to_deg - from_deg) * i / steps, &sine, &cosine);
        xy[2 * i] = x + radius * cosine;
        xy[2 * i + 1] = y - radius * sine;
    }
    iol_draw_path(d, kind, xy, steps + 1, false);
}

void iol_draw_head(iol_drawing *d, double x, double y, double direction_deg, double size) {
    double xy[6] = {x, y};
    for (int i = 1; i < 3; i++) {
        double sine, cosine;
        iol_sincos_deg(direction_deg + (i == 1 ? 155.0 : -155.0), &sine, &cosine);
        xy[2 * i] = x + size * cosine, xy[2 * i + 1] = y - size * sine;
    }
    iol_draw_path(d, "k", xy, 3, true);
}

static void text_open(iol_drawing *d, const char *kind, double x, double y) {
    element(d, "text", kind);
    attribute(d, "x", x), attribute(d, "y", y);
}

void iol_draw_text(iol_drawing *d, const char *kind, double x, double y, const char *text) {
    if (!finite_all((const double[]){x, y}, 2)) return;
    text_open(d, kind, x, y);
    put(d, ">");
    iol_html_escaped(d->out, text);
    put(d, "</text>\n");
}

void iol_draw_turned(iol_drawing *d, const char *kind, double x, double y, double degrees, const char *text) {
    text_open(d, kind, x, y);
    put(d, " transform=\"rotate(");
    put_number(d, degrees);
    put(d, " ");
    put_number(d, x);
    put(d, " ");
    put_number(d, y);
    put(d, ")\">");
    iol_html_escaped(d->out, text);
    put(d, "</text>\n");
}
