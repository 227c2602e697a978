/* The chamber from the side, along the cut: lens, endothelium and blade. */
#include "iolrevise/optics.h"

#include "compose.h"
#include "labels.h"

#define TITLE "The chamber from the side, along the cut"

enum { POINTS = 24 };

/* The old lens; front: depth of its front vertex, 0 where the chamber is not known. */
typedef struct {
    const iol_removal_lens *lens;
    double front, half;
} body;

/* How far a surface lies behind its vertex; a plane one, whose radius is not told, not at all. */
static double fall(double radius_mm, double height_mm) {
    double sag;
    if (isnan(radius_mm)) return 0.0;
    if (iol_sagitta(radius_mm, fabs(height_mm), &sag) < 0) return NAN;
    return radius_mm < 0.0 ? 0.0 - sag : sag;
}

static double front_at(const body *b, double x) { return b->front + fall(b->lens->front_radius_mm, x); }
static double back_at(const body *b, double x) {
    return b->front + b->lens->centre_thickness_mm + fall(b->lens->back_radius_mm, x);
}

static double step(double half, int i) { return half * (2.0 * i / POINTS - 1.0); }

static void draw_lens(iol_figure *f, iol_labels *labels, const body *b) {
    static const iol_beside under[] = {IOL_BESIDE_BELOW, IOL_BESIDE_ABOVE};
    static const iol_beside outside[] = {IOL_BESIDE_LEFT, IOL_BESIDE_BELOW};
    iol_line line;
    iol_figure_path(f, IOL_STROKE_PLAIN, IOL_FILL_SHADE, true);
    for (int i = 0; i <= POINTS; i++) iol_figure_point(f, step(b->half, i), front_at(b, step(b->half, i)));
    for (int i = POINTS; i >= 0; i--) iol_figure_point(f, step(b->half, i), back_at(b, step(b->half, i)));
    iol_figure_span(f, 0.0, front_at(b, 0.0), 0.0, back_at(b, 0.0), IOL_STROKE_PLAIN);
    iol_line_start(&line);
    iol_line_text(&line, "centre ");
    iol_line_number(&line, b->lens->centre_thickness_mm, IOL_UNIT_mm);
    iol_labels_put(labels, -0.7, back_at(b, 0.0), under, 2, line.text);
    iol_line_start(&line);
    iol_line_text(&line, "edge ");
    iol_line_number(&line, b->lens->edge_thickness_mm, IOL_UNIT_mm);
    iol_labels_put(labels, -b->half, (front_at(b, b->half) + back_at(b, b->half)) / 2.0, outside, 2, line.text);
}

static double endothelium(const iol_removal_chamber *c, double x) {
    return c->cornea_thickness_mm + fall(c->endothelium_radius_mm, x);
}

static void draw_walls(iol_figure *f, iol_labels *labels, const iol_removal_chamber *c, double wide) {
    static const iol_beside above[] = {IOL_BESIDE_ABOVE, IOL_BESIDE_BELOW};
    static const iol_beside below[] = {IOL_BESIDE_BELOW, IOL_BESIDE_ABOVE};
    iol_line line;
    iol_figure_path(f, IOL_STROKE_HEAVY, IOL_FILL_NONE, false);
    for (int i = 0; i <= POINTS; i++) iol_figure_point(f, step(wide, i), endothelium(c, step(wide, i)));
    iol_labels_put(labels, 0.0, endothelium(c, 0.0), above, 2, "endothelium");
    iol_figure_line(f, -wide, c->iris_plane_mm, wide, c->iris_plane_mm, IOL_STROKE_DASHED);
    iol_line_start(&line);
    iol_line_text(&line, "iris plane ");
    iol_line_number(&line, c->iris_plane_mm, IOL_UNIT_mm);
    iol_labels_put(labels, wide + 0.9, c->iris_plane_mm, below, 2, line.text);
}

/* The blade on the lens where it comes nearest the endothelium, and what is left above it. */
static void draw_blade(iol_figure *f, iol_labels *labels, const body *b, const iol_removal_chamber *c,
                       double least_mm) {
    static const iol_beside right[] = {IOL_BESIDE_RIGHT}, left[] = {IOL_BESIDE_LEFT, IOL_BESIDE_RIGHT};
    const double x = c->least_clearance_at_mm, low = front_at(b, x), high = low - c->blade_height_mm;
    iol_line line;
    if (isnan(x) || isnan(least_mm)) return;
    iol_figure_box(f, x - 0.12, low, x + 0.12, high, IOL_STROKE_PLAIN, IOL_FILL_HATCH);
    iol_line_start(&line);
    iol_line_text(&line, "blade ");
    iol_line_number(&line, c->blade_height_mm, IOL_UNIT_mm);
    iol_labels_put(labels, x, (low + high) / 2.0, right, 1, line.text);
    iol_figure_span(f, x, high, x, endothelium(c, x), IOL_STROKE_PLAIN);
    iol_line_start(&line);
    iol_line_text(&line, "clearance ");
    iol_line_number(&line, least_mm, IOL_UNIT_mm);
    iol_labels_put(labels, x, (high + endothelium(c, x)) / 2.0, left, 2, line.text);
}

static double least_clearance(const iol_removal *r) {
    const iol_removal_row *way = iol_preferred_way(r);
    return way ? way->least_clearance_mm : NAN;
}

/* What the drawing shows, as a line of the text. */
static void say(const iol_plan *plan, iol_page *page) {
    const iol_removal_chamber *c = &plan->removal.chamber;
    iol_line line;
    iol_line_start(&line);
    iol_line_text(&line, "iris plane ");
    iol_line_number(&line, c->iris_plane_mm, IOL_UNIT_mm);
    iol_line_text(&line, ", front of the lens ");
    iol_line_number(&line, c->lens_front_mm, IOL_UNIT_mm);
    iol_line_text(&line, "; cornea ");
    iol_line_number(&line, c->cornea_thickness_mm, IOL_UNIT_mm);
    iol_line_text(&line, ", blade ");
    iol_line_number(&line, c->blade_height_mm, IOL_UNIT_mm);
    if (!isnan(c->least_clearance_at_mm)) {
        iol_line_text(&line, "; nearest the endothelium ");
        iol_line_number(&line, c->least_clearance_at_mm, IOL_UNIT_mm);
        iol_line_text(&line, " from the centre");
    }
    iol_line_assumed(&line, plan, IOL_VIEW_CHAMBER);
    iol_page_pair(page, "Depths", line.text);
}

void iol_compose_depths(const iol_plan *plan, iol_page *page) {
    const iol_removal *r = &plan->removal;
    if (r->chamber.present) say(plan, page);
}

void iol_draw_chamber(const iol_plan *plan, iol_page *page) {
    const iol_removal *r = &plan->removal;
    const bool room = r->chamber.present;
    body b = {
        .lens = &r->lens, .front = room ? r->chamber.lens_front_mm : 0.0, .half = r->lens.optic_diameter_mm / 2.0};
    iol_labels labels;
    if (isnan(r->lens.centre_thickness_mm) || isnan(b.half)) {
        iol_page_figure_missing(page, TITLE, "The shape of the old lens is not known.");
        return;
    }
    iol_line caption;
    iol_line_start(&caption);
    iol_line_text(
        &caption,
        room ? TITLE
             : "The old lens from the side; chamber and cornea are not drawn, their depth or curve is not known");
    iol_line_assumed(&caption, plan, IOL_VIEW_SIZE | IOL_VIEW_SHAPE | (room ? IOL_VIEW_CHAMBER : 0));
    iol_figure *f = iol_page_figure(
        page, caption.text,
        "To scale, front of the eye at the top. The lens lies on the iris plane; the hatched blade stands on it where "
        "it comes nearest the endothelium, and the span above it is what is left.");
    const double wide = b.half + 1.2;
    const double top = room ? 0.0 : -0.8, bottom = room ? r->chamber.iris_plane_mm + 1.0 : 1.8;
    iol_figure_size(f, 270.0, 0.0);
    iol_figure_extents(f, -b.half - 4.9, b.half + 4.9, bottom, top); /* labels stand at the sides */
    iol_figure_equal(f);
    if (room) iol_figure_axis_y(f, "Depth behind the front of the cornea", "mm", 1.0, 0, false);
    iol_labels_start(&labels, f);
    draw_lens(f, &labels, &b);
    if (!room) return;
    draw_walls(f, &labels, &r->chamber, wide);
    draw_blade(f, &labels, &b, &r->chamber, least_clearance(r));
}
