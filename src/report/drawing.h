/* A drawing in millimetres, y downward, as inline SVG. What it shows stands in a table too; weight, fill and dash tell marks
 * apart, never colour. Classes: page_style of the sheets. */
#ifndef IOL_REPORT_DRAWING_H
#define IOL_REPORT_DRAWING_H

#include "html.h"

typedef struct {
    iol_html *out;
    double width_mm, height_mm;
} iol_drawing;

/* name: class of the figure, for tests and style. title: what it is, with its numbers; more: how to read it. */
void iol_drawing_open(iol_drawing *d, iol_html *out, const char *name, double width_mm, double height_mm,
                      const char *title, const char *more);
void iol_drawing_close(iol_drawing *d);

/* kind: class of the mark. Marks with a coordinate that is not finite are left out. */
void iol_draw_line(iol_drawing *d, const char *kind, double x1, double y1, double x2, double y2);
void iol_draw_box(iol_drawing *d, const char *kind, double x, double y, double width, double height);
void iol_draw_disc(iol_drawing *d, const char *kind, double x, double y, double radius);
/* Points as x, y pairs. */
void iol_draw_path(iol_drawing *d, const char *kind, const double *xy, int points, bool closed);
/* An arc of a circle as a path of short chords: degrees anticlockwise from the right, from and to in that order. */
void iol_draw_arc(iol_drawing *d, const char *kind, double x, double y, double radius, double from_deg, double to_deg);
/* A filled head of an arrow at x, y pointing toward a direction (degrees anticlockwise from the right). */
void iol_draw_head(iol_drawing *d, double x, double y, double direction_deg, double size);
/* Baseline at y. kind: t (3.1 mm), s (2.9), with m (middle), e (end), w (bold), q (soft), h (halo), scale (a number of the
 * scale, which stands in no table). */
void iol_draw_text(iol_drawing *d, const char *kind, double x, double y, const char *text);
/* Turned about x, y by degrees clockwise. */
void iol_draw_turned(iol_drawing *d, const char *kind, double x, double y, double degrees, const char *text);

#endif
