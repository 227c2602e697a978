/* The tilted or decentred lens from the side, to scale. */
#include "iolrevise/optics.h"

#include "compose.h"
#include "labels.h"

#define TITLE "The lens where it lies, from the side"

enum { POINTS = 20 };
static const double iris_mm = 5.5, pupil_mm = 1.5, axis_mm = 3.4; /* half widths; how far the lens's axis is drawn */

/* A lens turned by an angle and moved along: depth grows into the eye. */
typedef struct {
    const iol_displaced_drawing *d;
    double sine, cosine, along;
} body;

/* How far a face lies behind its vertex at a height. */
static double fall(double radius_mm, double height_mm) {
    double sag;
    if (isnan(radius_mm)) return 0.0;
    if (iol_sagitta(radius_mm, fabs(height_mm), &sag) < 0) return NAN;
    return radius_mm < 0.0 ? 0.0 - sag : sag;
}

/* A point of the lens: height from its axis, depth behind its front vertex. It turns about its middle; the right side goes back. */
static iol_spot at(const body *b, double height, double depth) {
    const double middle = b->d->centre_thickness_mm / 2.0, z = depth - middle;
    return (iol_spot){b->along + height * b->cosine - z * b->sine,
                      b->d->front_depth_mm + middle + height * b->sine + z * b->cosine};
}

static void outline(iol_figure *f, const body *b, iol_stroke stroke, iol_fill fill) {
    const double half = b->d->optic_diameter_mm / 2.0;
    iol_figure_path(f, stroke, fill, true);
    for (int side = 0; side < 2; side++)
        for (int i = 0; i <= POINTS; i++) {
            double x = half * (2.0 * i / POINTS - 1.0) * (side == 0 ? 1.0 : -1.0);
            double depth =
                side == 0 ? fall(b->d->front_radius_mm, x) : b->d->centre_thickness_mm + fall(b->d->back_radius_mm, x);
            iol_spot p = at(b, x, depth);
            iol_figure_point(f, p.x, p.y);
        }
}

static void cornea_and_iris(iol_figure *f, const iol_displaced_drawing *d) {
    iol_figure_path(f, IOL_STROKE_HEAVY, IOL_FILL_NONE, false);
    for (int i = 0; i <= POINTS; i++) {
        double x = iris_mm * (2.0 * i / POINTS - 1.0);
        iol_figure_point(f, x, fall(d->cornea_radius_mm, x));
    }
    for (int side = -1; side <= 1; side += 2)
        iol_figure_line(f, side * pupil_mm, d->pupil_depth_mm, side * iris_mm, d->pupil_depth_mm, IOL_STROKE_HEAVY);
}

static void axes(iol_figure *f, iol_labels *labels, const body *b, double bottom, double tilt_deg) {
    static const iol_beside beside[] = {IOL_BESIDE_RIGHT, IOL_BESIDE_LEFT, IOL_BESIDE_ABOVE};
    const double middle = b->d->centre_thickness_mm / 2.0;
    iol_spot front = at(b, 0.0, middle - axis_mm), back = at(b, 0.0, middle + axis_mm), centre = at(b, 0.0, middle);
    iol_line line;
    iol_figure_line(f, 0.0, 0.0, 0.0, bottom, IOL_STROKE_DOTTED);
    iol_figure_line(f, front.x, front.y, back.x, back.y, IOL_STROKE_DASHED);
    iol_figure_dot(f, centre.x, centre.y, IOL_DOT_ROUND);
    iol_line_start(&line);
    iol_line_text(&line, "tilt ");
    iol_line_number(&line, tilt_deg, IOL_UNIT_deg);
    if (tilt_deg > 0.0) iol_labels_put(labels, front.x, front.y, beside, 3, line.text);
}

static void offset(iol_figure *f, iol_labels *labels, const body *b, double off_mm, double bottom) {
    static const iol_beside beside[] = {IOL_BESIDE_LEFT, IOL_BESIDE_RIGHT, IOL_BESIDE_BELOW};
    iol_line line;
    if (!(off_mm > 0.0)) return;
    iol_figure_span(f, 0.0, bottom - 0.3, b->along, bottom - 0.3, IOL_STROKE_PLAIN);
    iol_line_start(&line);
    iol_line_text(&line, "off centre ");
    iol_line_number(&line, off_mm, IOL_UNIT_mm);
    iol_labels_put(labels, fmin(0.0, b->along), bottom - 0.3, beside, 3, line.text);
}

/* Which place of the limbus each side of the drawing is. */
static void sides(iol_labels *labels, double meridian_deg, double y) {
    static const iol_beside right[] = {IOL_BESIDE_RIGHT, IOL_BESIDE_BELOW},
                            left[] = {IOL_BESIDE_LEFT, IOL_BESIDE_BELOW};
    for (int side = 0; side < 2 && !isnan(meridian_deg); side++) {
        iol_line line;
        iol_line_start(&line);
        iol_line_number(&line, iol_position_reduce(meridian_deg + 180.0 * side), IOL_UNIT_deg);
        iol_labels_put_scale(labels, side == 0 ? iris_mm : -iris_mm, y, side == 0 ? right : left, 2, line.text);
    }
}

void iol_draw_displaced(const iol_plan *plan, iol_page *page) {
    const iol_displaced *p = &plan->displaced;
    const iol_displaced_drawing *d = &p->drawing;
    const double tilt_deg = isnan(p->tilt_deg) ? 0.0 : p->tilt_deg,
                 off_mm = isnan(p->decentration_mm) ? 0.0 : p->decentration_mm;
    iol_labels labels;
    iol_line caption;
    if (!p->present) return;
    if (!d->present) {
        iol_page_figure_missing(page, TITLE, "Nothing is traced: see the reasons.");
        return;
    }
    iol_line_start(&caption);
    iol_line_text(&caption, isnan(d->right_position_deg) ? TITLE "; toward which place is not known" : TITLE);
    iol_line_assumed(&caption, plan, IOL_VIEW_SIZE | IOL_VIEW_SHAPE);
    iol_figure *f = iol_page_figure(
        page, caption.text,
        "To scale, front of the eye at the top, the edge that lies back at the right. Heavy: cornea and iris with a "
        "pupil of 3 mm. "
        "Shaded: the lens as it lies, its axis dashed. Faint: where it belongs. Dotted: the axis of the cornea.");
    const double bottom = d->front_depth_mm + d->centre_thickness_mm + axis_mm;
    body there = {.d = d, .cosine = 1.0}, here = {.d = d, .along = d->along_mm};
    iol_sincos_deg(tilt_deg, &here.sine, &here.cosine);
    iol_figure_size(f, 270.0, 0.0);
    iol_figure_extents(f, -iris_mm - 3.0, iris_mm + 3.0, bottom, -0.4);
    iol_figure_equal(f);
    iol_figure_axis_y(f, "Depth behind the front of the cornea", "mm", 1.0, 0, false);
    iol_labels_start(&labels, f);
    cornea_and_iris(f, d);
    outline(f, &there, IOL_STROKE_FAINT, IOL_FILL_NONE);
    outline(f, &here, IOL_STROKE_PLAIN, IOL_FILL_SHADE);
    axes(f, &labels, &here, bottom, tilt_deg);
    offset(f, &labels, &here, off_mm, bottom);
    sides(&labels, d->right_position_deg, d->pupil_depth_mm);
}
