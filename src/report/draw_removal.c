/* The old lens as the surgeon sees it: cut, junction, wound and port, and the widest piece.
 *
 * The eye from in front, turned so that the surgeon's seat is at the bottom, never mirrored: a place p lies at p - seat - 90
 * degrees on the drawing, so that the right hand (seat + 90) is on the right in either eye. */
#include "iolrevise/optics.h"

#include "compose.h"
#include "labels.h"

#define TITLE "The old lens, seen by the surgeon"

typedef struct {
    const iol_plan *plan;
    iol_figure *f;
    iol_labels labels;
    double half, dial, wound_deg, seat_deg; /* optic and ring of directions, mm; where the wound is and who sits */
    bool seat_known;
} sight;

/* Sides of a label, the wanted one first. */
static const iol_beside right[] = {IOL_BESIDE_RIGHT, IOL_BESIDE_BELOW, IOL_BESIDE_ABOVE};
static const iol_beside left[] = {IOL_BESIDE_LEFT, IOL_BESIDE_BELOW, IOL_BESIDE_ABOVE};

/* mm on the drawing, right and up, of a place on the limbus at a distance from the middle. */
static iol_spot at(const sight *v, double position_deg, double radius_mm) {
    double sine, cosine;
    iol_sincos_deg(position_deg - v->seat_deg - 90.0, &sine, &cosine);
    return (iol_spot){radius_mm * cosine, radius_mm * sine};
}

/* The same of the plan's cuts: across the cut meridian and along it, plus = toward the wound. */
static iol_spot at_cut(const sight *v, double across_mm, double along_mm) {
    const iol_spot along = at(v, v->wound_deg, 1.0), across = at(v, v->wound_deg + 90.0, 1.0);
    return (iol_spot){along_mm * along.x + across_mm * across.x, along_mm * along.y + across_mm * across.y};
}

static void radial(sight *v, double position_deg, double from_mm, double to_mm, iol_stroke stroke) {
    const iol_spot a = at(v, position_deg, from_mm), b = at(v, position_deg, to_mm);
    iol_figure_line(v->f, a.x, a.y, b.x, b.y, stroke);
}

/* A label that stands away from the middle. */
static void name_outward(sight *v, double position_deg, double radius_mm, const char *text) {
    const iol_spot p = at(v, position_deg, radius_mm);
    const iol_beside outward = p.x > 0.7 * radius_mm    ? IOL_BESIDE_RIGHT
                               : p.x < -0.7 * radius_mm ? IOL_BESIDE_LEFT
                               : p.y > 0.0              ? IOL_BESIDE_ABOVE
                                                        : IOL_BESIDE_BELOW;
    const iol_beside sides[] = {outward, IOL_BESIDE_RIGHT, IOL_BESIDE_LEFT, IOL_BESIDE_BELOW, IOL_BESIDE_ABOVE};
    iol_labels_put(&v->labels, p.x, p.y, sides, 5, text);
}

static void directions(sight *v) {
    const bool right_eye = v->plan->eye == IOL_side_right;
    const struct {
        double position_deg;
        const char *name;
    } side[] = {{90.0, "superior"},
                {270.0, "inferior"},
                {right_eye ? 180.0 : 0.0, "temporal"},
                {right_eye ? 0.0 : 180.0, "nasal"}};
    iol_figure_circle(v->f, 0.0, 0.0, v->dial, IOL_STROKE_FAINT, IOL_FILL_NONE);
    for (int i = 0; i < 4; i++) name_outward(v, side[i].position_deg, v->dial, side[i].name);
}

/* How far out the wound lies: a chord of the ring, as wide as it is planned. NaN: it has no place there. */
static double wound_along(const sight *v) {
    const double half = v->plan->incision.end_width_mm / 2.0;
    return half < v->dial ? sqrt(v->dial * v->dial - half * half) : NAN;
}

/* Labels drawn before it keep clear of the wound. */
static void spare_wound(sight *v) {
    const double half = v->plan->incision.end_width_mm / 2.0, along = wound_along(v);
    for (int i = -2; i <= 2 && !isnan(along); i++) {
        const iol_spot p = at_cut(v, half * i / 2.0, along);
        iol_labels_spare(&v->labels, p.x, p.y);
    }
}

static void wound(sight *v) {
    const double half = v->plan->incision.end_width_mm / 2.0, along = wound_along(v);
    iol_line line;
    if (isnan(along)) return;
    const iol_spot a = at_cut(v, -half, along), b = at_cut(v, half, along);
    iol_figure_line(v->f, a.x, a.y, b.x, b.y, IOL_STROKE_HEAVY);
    iol_line_start(&line);
    iol_line_text(&line, "wound ");
    iol_line_number(&line, 2.0 * half, IOL_UNIT_mm);
    if (!iol_labels_put(&v->labels, b.x, b.y, right, 3, line.text))
        iol_labels_put(&v->labels, a.x, a.y, left, 3, line.text);
}

static void cuts(sight *v) {
    const iol_removal *r = &v->plan->removal;
    for (int i = 0; i < r->cuts_count; i++) {
        const iol_drawing_piece *c = &r->cuts[i];
        const iol_spot a = at_cut(v, c->x_from_mm, c->y_from_mm), b = at_cut(v, c->x_to_mm, c->y_to_mm);
        const bool turned = r->preferred == IOL_removal_method_halved_turned;
        iol_figure_arrow(v->f, a.x, a.y, b.x, b.y, IOL_STROKE_HEAVY);
        const char *name = r->cuts_count == 1 ? "cut"
                           : i == 0           ? "first cut"
                           : turned           ? "after half a turn"
                                              : "second cut";
        bool named = false;
        for (int k = 3; k <= 7 && !named; k += 2) { /* further along where there is no room */
            const iol_spot p = {a.x + 0.1 * k * (b.x - a.x), a.y + 0.1 * k * (b.y - a.y)};
            named = iol_labels_put(&v->labels, p.x, p.y, p.x < -0.3 ? left : right, 3, name);
        }
    }
}

/* The least width of the widest piece, through the middle: across the cut meridian, of what a wedge leaves along it. */
static void widest(sight *v) {
    const iol_removal_row *way = iol_preferred_way(&v->plan->removal);
    iol_line line;
    if (!way || isnan(way->widest_piece_mm) || way->id == IOL_removal_method_folded) return;
    const double width = way->widest_piece_mm;
    const bool halves = way->id == IOL_removal_method_halved || way->id == IOL_removal_method_halved_turned;
    const bool wedge = way->id == IOL_removal_method_wedge;
    const double from = wedge ? 0.0 - v->half : halves ? 0.0 - width : 0.0 - width / 2.0;
    const iol_spot a = wedge ? at_cut(v, 0.0, from) : at_cut(v, from, 0.0);
    const iol_spot b = wedge ? at_cut(v, 0.0, from + width) : at_cut(v, from + width, 0.0);
    const double part = halves ? 0.35 : 0.25;
    static const iol_beside sides[] = {IOL_BESIDE_ABOVE, IOL_BESIDE_BELOW, IOL_BESIDE_LEFT, IOL_BESIDE_RIGHT};
    iol_figure_span(v->f, a.x, a.y, b.x, b.y, IOL_STROKE_PLAIN);
    iol_line_start(&line);
    iol_line_number(&line, width, IOL_UNIT_mm);
    iol_labels_put(&v->labels, a.x + part * (b.x - a.x), a.y + part * (b.y - a.y), wedge ? sides + 2 : sides,
                   wedge ? 2 : 4, line.text);
}

/* The way from where the near junction lies now to where it must lie. */
static void turn(sight *v, const iol_removal_orientation *o) {
    const double from_deg = o->junction_position_deg - o->turn_deg, radius = v->half + 1.1;
    const double from = from_deg - v->seat_deg - 90.0, head = o->turn_deg > 0.0 ? -5.0 : 5.0;
    iol_line line;
    if (isnan(o->turn_deg) || o->turn_deg == 0.0) return;
    radial(v, from_deg, v->half - 0.3, v->half + 0.9, IOL_STROKE_DOTTED);
    iol_figure_path(v->f, IOL_STROKE_PLAIN, IOL_FILL_NONE, false);
    iol_figure_arc(v->f, 0.0, 0.0, radius, from, from + o->turn_deg);
    const iol_spot a = at(v, o->junction_position_deg + head, radius), b = at(v, o->junction_position_deg, radius);
    iol_figure_arrow(v->f, a.x, a.y, b.x, b.y, IOL_STROKE_PLAIN);
    iol_labels_spare(&v->labels, a.x, a.y);
    iol_line_start(&line);
    iol_line_number(&line, fabs(o->turn_deg), IOL_UNIT_deg);
    iol_line_text(&line, " ");
    iol_line_text(&line, IOL_WORD(direction, o->direction));
    static const double part[] = {0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9};
    for (int i = 0; i < 7; i++) {
        const iol_spot p = at(v, from_deg + part[i] * o->turn_deg, radius);
        if (iol_labels_put(&v->labels, p.x, p.y, p.x > 0.0 ? right : left, 1, line.text)) break;
    }
    if (fabs(o->turn_deg) > 25.0) name_outward(v, from_deg, v->half + 0.9, "now");
}

static void junctions(sight *v) {
    const iol_removal_orientation *o = &v->plan->removal.orientation;
    const bool whole = v->plan->removal.preferred == IOL_removal_method_whole; /* nothing is cut: no place to turn it to */
    if (!o->present || isnan(o->junction_position_deg) || whole) return;
    radial(v, o->junction_position_deg, v->half - 0.3, v->half + 0.9, IOL_STROKE_HEAVY);
    for (int i = 0; i < 2; i++) {
        const iol_spot p = at(v, o->junction_position_deg, v->half + 0.6 * i);
        iol_labels_spare(&v->labels, p.x, p.y);
    }
    radial(v, o->junction_position_deg + 180.0, v->half - 0.3, v->half + 0.6, IOL_STROKE_PLAIN);
    turn(v, o);
    name_outward(v, o->junction_position_deg, v->half + 0.7, "near junction");
}

static void port(sight *v) {
    const iol_removal_orientation *o = &v->plan->removal.orientation;
    if (!o->present || isnan(o->grip_port_position_deg)) return;
    const iol_spot p = at(v, o->grip_port_position_deg, v->dial);
    iol_figure_dot(v->f, p.x, p.y, IOL_DOT_SQUARE);
    iol_labels_spare(&v->labels, p.x, p.y);
    name_outward(v, o->grip_port_position_deg, v->dial,
                 o->grip_hand == IOL_hand_left ? "port, left hand" : "port, right hand");
}

static void caption(const sight *v, iol_line *line) {
    iol_line_start(line);
    iol_line_text(line, v->plan->eye == IOL_side_right ? "Old lens of the RIGHT eye as the surgeon sees it, who sits "
                                                       : "Old lens of the LEFT eye as the surgeon sees it, who sits ");
    iol_line_text(line, v->seat_known ? "at the bottom (" : "at the bottom, behind the wound (");
    iol_line_number(line, v->seat_deg, IOL_UNIT_deg);
    iol_line_text(line, "). Span: widest piece");
    if (v->seat_known) iol_line_text(line, "; heavy bar: near junction in place; dotted: today");
    iol_line_assumed(line, v->plan, IOL_VIEW_SIZE);
}

void iol_draw_lens_from_front(const iol_plan *plan, iol_page *page) {
    const iol_removal_orientation *o = &plan->removal.orientation;
    sight v = {
        .plan = plan, .half = plan->removal.lens.optic_diameter_mm / 2.0, .wound_deg = plan->incision.position_deg};
    iol_line line;
    v.seat_known = o->present && !isnan(o->seat_position_deg);
    v.seat_deg = v.seat_known ? o->seat_position_deg : v.wound_deg;
    if (!plan->incision.present || isnan(v.half) || isnan(v.wound_deg)) {
        iol_page_figure_missing(page, TITLE, "The wound's place or the optic's size is not known.");
        return;
    }
    v.dial = v.half + 1.9;
    caption(&v, &line);
    v.f = iol_page_figure(
        page, line.text,
        "The optic to scale, the wound to scale on a ring that only gives directions. Heavy arrows: the "
        "cuts of the preferred way, as the blade goes. Heavy bar at the rim: where the near junction of "
        "optic and loop must lie; dotted bar: where it lies now. Loops are not drawn. The same places "
        "and widths stand in the text and the tables.");
    iol_figure_size(v.f, 270.0, 0.0);
    iol_figure_extents(v.f, -2.8 * v.dial, 2.8 * v.dial, -v.dial - 1.3, v.dial + 1.3);
    iol_figure_equal(v.f);
    iol_labels_start(&v.labels, v.f);
    port(&v);
    directions(&v);
    iol_figure_circle(v.f, 0.0, 0.0, v.half, IOL_STROKE_PLAIN, IOL_FILL_NONE);
    spare_wound(&v);
    junctions(&v);
    wound(&v);
    for (int i = 0; i < plan->removal.cuts_count; i++) {
        const iol_drawing_piece *c = &plan->removal.cuts[i];
        const iol_spot end = at_cut(&v, c->x_to_mm, c->y_to_mm);
        iol_labels_spare(&v.labels, end.x, end.y);
    }
    widest(&v);
    cuts(&v);
}
