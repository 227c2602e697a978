/* A drawing as numbers: marks in the units of its data. It knows nothing of plans, of HTML or of paper.
 *
 * A composer asks the page for a figure and adds marks; it need not test for room or for values that are not known:
 *
 *     iol_figure *f = iol_page_figure(page, "Title, printed under it", "What it shows, for who cannot see it.");
 *     iol_figure_extents(f, 18.0, 23.0, -2.0, +2.0);        x from, to; y from, to: what the frame holds
 *     iol_figure_axis_x(f, "Lens power", "D", 0.5, 1, true); label, unit, tick step, decimals, sign
 *     iol_figure_line(f, 18.0, 0.0, 23.0, 0.0, IOL_STROKE_DASHED);
 *     iol_figure_dot(f, 20.5, 0.09, IOL_DOT_DIAMOND);
 *     iol_figure_label(f, 20.5, 0.09, IOL_BESIDE_ABOVE, "+0.09 D");
 *
 * A mark with a coordinate that is NaN or infinite is not added, nor is its label. y grows upward. Shapes and strokes
 * tell marks apart, never colour. What a figure shows must also stand in a table or in pairs beside it. When it cannot
 * be drawn at all, iol_page_figure_missing says why. In text pages a figure is nothing. */
#ifndef IOL_REPORT_FIGURE_H
#define IOL_REPORT_FIGURE_H

#include <stdbool.h>
#include <stddef.h>

typedef enum {
    IOL_STROKE_PLAIN,
    IOL_STROKE_HEAVY,
    IOL_STROKE_DASHED,
    IOL_STROKE_DOTTED,
    IOL_STROKE_FAINT,
    IOL_STROKE_NONE
} iol_stroke;
typedef enum { IOL_FILL_NONE, IOL_FILL_PAPER, IOL_FILL_SHADE, IOL_FILL_INK, IOL_FILL_HATCH } iol_fill;
typedef enum {
    IOL_DOT_ROUND, /* full disc */
    IOL_DOT_RING,  /* open disc */
    IOL_DOT_SQUARE,
    IOL_DOT_DIAMOND,
    IOL_DOT_TRIANGLE,
    IOL_DOT_CROSS
} iol_dot;
/* Where a label stands, seen from its point. */
typedef enum { IOL_BESIDE_CENTRE, IOL_BESIDE_ABOVE, IOL_BESIDE_BELOW, IOL_BESIDE_LEFT, IOL_BESIDE_RIGHT } iol_beside;
typedef enum {
    IOL_MARK_LINE,
    IOL_MARK_SPAN,  /* a line with short bars across its ends */
    IOL_MARK_ARROW, /* a line with a head at its second end */
    IOL_MARK_PATH,  /* points joined in order */
    IOL_MARK_BOX,
    IOL_MARK_CIRCLE, /* radius in units of x */
    IOL_MARK_DOT,    /* same size whatever the scale */
    IOL_MARK_LABEL
} iol_mark_kind;

typedef struct {
    iol_mark_kind kind;
    iol_stroke stroke;
    iol_fill fill;
    iol_dot dot;
    iol_beside beside;
    bool closed;         /* a path that ends where it began */
    bool scale;          /* a label that belongs to the scale, as the numbers at the axes do */
    double x, y, x2, y2; /* ends; corners; centre and, in x2, radius */
    int point, points;   /* a path's points */
    int text;            /* a label's offset into bytes */
} iol_mark;

typedef struct {
    double x, y;
} iol_spot;

typedef struct {
    bool shown;
    int label, unit; /* offsets into bytes; unit "" for none */
    double step;     /* between ticks, > 0 */
    int decimals;
    bool sign; /* ticks carry + */
} iol_axis;

#define IOL_FIGURE_MARKS 200
#define IOL_FIGURE_POINTS 700
#define IOL_FIGURE_BYTES 3000

typedef struct {
    int title, description; /* offsets into bytes */
    double x_from, x_to, y_from, y_to;
    double width, height; /* as printed, in points, axes and labels included */
    bool equal;           /* one unit of y is as long as one of x; the height follows from it */
    iol_axis x, y;
    iol_mark mark[IOL_FIGURE_MARKS];
    int marks;
    iol_spot point[IOL_FIGURE_POINTS];
    int points;
    char bytes[IOL_FIGURE_BYTES];
    size_t used;
    bool lost;    /* something had no room: the figure is not drawn */
    bool missing; /* left out on purpose; the description says why */
} iol_figure;

/* 270 by 138 points, no axes, extents 0 to 1. Half the width of a printed page. */
void iol_figure_start(iol_figure *f, const char *title, const char *description);
void iol_figure_extents(iol_figure *f, double x_from, double x_to, double y_from, double y_to);
void iol_figure_size(iol_figure *f, double width, double height);
void iol_figure_equal(iol_figure *f);
void iol_figure_axis_x(iol_figure *f, const char *label, const char *unit, double step, int decimals, bool sign);
void iol_figure_axis_y(iol_figure *f, const char *label, const char *unit, double step, int decimals, bool sign);

void iol_figure_line(iol_figure *f, double x, double y, double x2, double y2, iol_stroke stroke);
void iol_figure_span(iol_figure *f, double x, double y, double x2, double y2, iol_stroke stroke);
void iol_figure_arrow(iol_figure *f, double x, double y, double x2, double y2, iol_stroke stroke);
void iol_figure_box(iol_figure *f, double x, double y, double x2, double y2, iol_stroke stroke, iol_fill fill);
void iol_figure_circle(iol_figure *f, double x, double y, double radius, iol_stroke stroke, iol_fill fill);
void iol_figure_dot(iol_figure *f, double x, double y, iol_dot dot);
void iol_figure_label(iol_figure *f, double x, double y, iol_beside beside, const char *text);
/* A label of a scale: a ring, a direction. It need not stand in a table. */
void iol_figure_scale_label(iol_figure *f, double x, double y, iol_beside beside, const char *text);
/* A path and, after it, its points one by one. A point that is not finite takes its whole path away. */
void iol_figure_path(iol_figure *f, iol_stroke stroke, iol_fill fill, bool closed);
void iol_figure_point(iol_figure *f, double x, double y);
/* Points on an arc of a circle (equal figures), degrees anticlockwise from the right; both ends included. */
void iol_figure_arc(iol_figure *f, double x, double y, double radius, double from_deg, double to_deg);

/* A round step (1, 2 or 5 times a power of ten) that makes at most `most` steps of a range; NaN without sense. */
double iol_figure_step(double range, int most);
/* Where the frame that holds the extents lies, points from the figure's upper left corner. */
void iol_figure_frame(const iol_figure *f, double *left, double *top, double *width, double *height);
/* Points of the whole figure from top to bottom, what stands under the frame included. */
double iol_figure_height(const iol_figure *f);
/* Where a place of the data lies, points from the same corner, y downward. */
double iol_figure_across(const iol_figure *f, double x);
double iol_figure_down(const iol_figure *f, double y);
/* Ticks of one axis that lie between two ends (either order): how many, and the least. 0 when there is no sense in
 * them: step not positive, ends not finite, more than 40. */
int iol_figure_ticks(double from, double to, double step, double *first);

#endif
