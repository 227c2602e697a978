/* The eye as the surgeon sees it from the seat, which is at the bottom; never mirrored. A place p lies at p - seat - 90 degrees
 * on the drawing, anticlockwise from the right. Limbus, optic and wound are to scale: 25 mm of the drawing are half the white to
 * white. */
#include "iolrevise/optics.h"

#include <math.h>

#include "sheet.h"
#include "tables/constants.h"
#include "text/number.h"

static const double CX = 45.0, CY = 41.4, RING = 25.0;

typedef struct {
    iol_drawing d;
    const iol_plan *plan;
    double seat, scale; /* mm of the drawing a mm of the eye */
    double x, y;        /* centre of the optic, where it lies */
    bool measured;      /* white to white is known */
    bool second;        /* the lens drawn is the second one, of which no shift or tilt is on record */
} dial;

static double degrees(double radians) { return radians * 180.0 / acos(-1.0); }
static double turned(const dial *v, double place) { return place - v->seat - 90.0; }

static void spot(const dial *v, double place, double radius, double *x, double *y) {
    double sine, cosine;
    iol_sincos_deg(turned(v, place), &sine, &cosine);
    *x = CX + radius * cosine;
    *y = CY - radius * sine;
}

/* A place of the optic: from its own centre. */
static void on_optic(const dial *v, double place, double radius, double *x, double *y) {
    spot(v, place, radius, x, y);
    *x += v->x - CX, *y += v->y - CY;
}

static void radial(dial *v, const char *kind, double place, double from, double to) {
    double x1, y1, x2, y2;
    spot(v, place, from, &x1, &y1);
    spot(v, place, to, &x2, &y2);
    iol_draw_line(&v->d, kind, x1, y1, x2, y2);
}

static void optic_line(dial *v, const char *kind, double place, double from, double to) {
    double x1, y1, x2, y2;
    on_optic(v, place, from, &x1, &y1);
    on_optic(v, place, to, &x2, &y2);
    iol_draw_line(&v->d, kind, x1, y1, x2, y2);
}

static void optic_name(dial *v, const char *kind, double place, double radius, const char *text) {
    double x, y;
    on_optic(v, place, radius, &x, &y);
    iol_draw_text(&v->d, kind, x, y + 1.1, text);
}

static void name(dial *v, const char *kind, double place, double radius, const char *text) {
    double x, y;
    spot(v, place, radius, &x, &y);
    iol_draw_text(&v->d, kind, x, y + 1.1, text);
}

static void arc(dial *v, const char *kind, double radius, double from, double to) {
    iol_draw_arc(&v->d, kind, CX, CY, radius, turned(v, from), turned(v, to));
}

/* ---- ring, hours, degrees, sides ---- */

static void sides(dial *v) {
    const bool right = v->plan->eye == IOL_side_right;
    const struct {
        double place;
        const char *name;
    } side[] = {
        {90.0, "SUPERIOR"}, {270.0, "INFERIOR"}, {right ? 0.0 : 180.0, "NASAL"}, {right ? 180.0 : 0.0, "TEMPORAL"}};
    for (int i = 0; i < 4; i++) {
        double x, y, sine, cosine;
        iol_sincos_deg(turned(v, side[i].place), &sine, &cosine);
        x = CX + fmax(fmin(47.0 * cosine, 41.6), -41.6); /* on the slant further out than the degrees */
        y = CY - fmax(fmin(47.0 * sine, 39.6), -39.6);
        if (fabs(cosine) > 0.75)
            iol_draw_turned(&v->d, "s m w", x, y, cosine < 0.0 ? -90.0 : 90.0, side[i].name);
        else
            iol_draw_text(&v->d, "s m w", x, y + 1.0, side[i].name);
    }
}

static void ring(dial *v) {
    iol_draw_disc(&v->d, v->measured ? "ring" : "ring unmeasured", CX, CY, RING);
    for (int hour = 1; hour <= 12; hour++) {
        const double place = iol_position_reduce(90.0 - 30.0 * hour);
        iol_line line;
        radial(v, "l", place, RING, RING + 2.0);
        iol_line_start(&line);
        iol_line_number(&line, hour, IOL_UNIT_count);
        name(v, "t m w scale", place, RING + 5.2, line.text);
        iol_line_start(&line);
        iol_line_number(&line, place, IOL_UNIT_deg);
        const double off = fabs(remainder(turned(v, place), 90.0)); /* on the slant two labels are wider than high */
        name(v, "s m q scale", place, RING + (off < 1.0 ? 10.4 : 11.4), line.text);
    }
    sides(v);
}

/* ---- what lies on the ring ---- */

static double optic_radius(const dial *v) {
    const double diameter = v->second ? v->plan->two_lenses.second_optic_mm : v->plan->removal.lens.optic_diameter_mm;
    return isnan(diameter) ? RING / 2.0 : diameter / 2.0 * v->scale;
}

static void wound(dial *v) {
    const iol_incision *i = &v->plan->incision;
    const double limbus = 2.0 * RING / v->scale;
    double x, y;
    if (!i->present || isnan(i->position_deg) || isnan(i->width_mm)) return;
    const double wide = iol_above(i->end_width_mm, i->width_mm) == IOL_YES ? i->end_width_mm : NAN;
    const double half = degrees(asin(i->width_mm / limbus)), half_wide = degrees(asin(wide / limbus));
    arc(v, "wound-wide", RING, i->position_deg - half_wide, i->position_deg + half_wide);
    arc(v, "wound", RING, i->position_deg - half, i->position_deg + half);
    spot(v, i->position_deg, RING - 4.0, &x, &y);
    if (hypot(x - v->x, y - v->y) <
        optic_radius(v) + 2.0) { /* the lens lies there: outside, between hours and degrees */
        spot(v, i->position_deg + 15.0, RING + 8.4, &x, &y);
    }
    iol_draw_text(&v->d, "s m h", x, y + 1.0, "wound");
}

static void port(dial *v) {
    const iol_removal_orientation *o = &v->plan->removal.orientation;
    double x, y;
    if (!o->present || isnan(o->grip_port_position_deg)) return;
    spot(v, o->grip_port_position_deg, RING, &x, &y);
    iol_draw_box(&v->d, "port", x - 1.4, y - 1.4, 2.8, 2.8);
}

static void gap(dial *v) {
    const iol_removal_orientation *o = &v->plan->removal.orientation;
    double x, y;
    if (!o->present || isnan(o->zonule_gap_hours) || isnan(o->zonule_gap_position_deg)) return;
    const double half = 15.0 * o->zonule_gap_hours;
    arc(v, "zonule-gap", RING - 2.2, o->zonule_gap_position_deg - half, o->zonule_gap_position_deg + half);
    spot(v, o->zonule_gap_position_deg, RING - 6.0, &x, &y);
    iol_draw_text(&v->d, "s m h", x, y + 1.0, "zonule gap");
}

/* To scale as far as the edge of the optic stays inside the ring. */
static double off_centre(const dial *v) {
    if (isnan(v->plan->removal.orientation.decentration_position_deg)) return NAN; /* not drawn off centre */
    return fmin(v->plan->removal.orientation.decentration_mm * v->scale, fmax(RING - optic_radius(v), 0.0));
}

/* The optic where it lies: off centre to scale, the axis of its tilt dotted, the edge that lies back named. */
static double optic(dial *v) {
    const iol_removal_orientation *o = &v->plan->removal.orientation;
    const double radius = optic_radius(v);
    iol_draw_disc(&v->d, "optic", v->x, v->y, radius);
    if (v->second || !o->present || !(o->tilt_deg > 0.0) || isnan(o->tilt_axis_deg)) return radius;
    for (int i = 0; i < 2; i++) optic_line(v, "tilt-axis", o->tilt_axis_deg + 180.0 * i, 0.0, radius);
    if (isnan(o->tilted_back_position_deg)) return radius;
    const double back = turned(v, o->tilted_back_position_deg);
    iol_draw_arc(&v->d, "tilt-back", v->x, v->y, radius - 0.7, back - 25.0, back + 25.0);
    const double near = fabs(remainder(o->tilted_back_position_deg - o->junction_position_deg, 360.0));
    optic_name(v, "s m h", o->tilted_back_position_deg, near < 40.0 ? radius - 9.6 : radius - 5.0, "back");
    return radius;
}

/* An arrow along a circle about the optic from a place, by degrees (plus: anticlockwise). */
static void turn_arrow(dial *v, double radius, double from, double by, const char *kind) {
    double x, y;
    if (isnan(from) || isnan(by) || by == 0.0) return;
    iol_draw_arc(&v->d, kind, v->x, v->y, radius, turned(v, from), turned(v, from + by));
    on_optic(v, from + by, radius, &x, &y);
    iol_draw_head(&v->d, x, y, turned(v, from + by) + (by > 0.0 ? 90.0 : -90.0), 2.8);
}

static bool start(dial *v, iol_sheet *s, bool second, const char *kind, const char *title) {
    const iol_removal_orientation *o = &s->plan->removal.orientation;
    *v = (dial){.plan = s->plan, .seat = s->plan->incision.position_deg, .second = second};
    if (o->present && !isnan(o->seat_position_deg)) v->seat = o->seat_position_deg;
    if (isnan(v->seat)) return false;
    v->measured = o->present && !isnan(o->limbus_mm);
    v->scale = 2.0 * RING / (v->measured ? o->limbus_mm : c_limbus_drawn_mm);
    v->x = CX, v->y = CY;
    if (!second && o->present && o->decentration_mm > 0.0 && !isnan(o->decentration_position_deg))
        spot(v, o->decentration_position_deg, off_centre(v), &v->x, &v->y);
    iol_drawing_open(&v->d, s->out, kind, 90.0, 82.8, title,
                     "The eye from the surgeon's seat, which is at the bottom; clock hours inside, degrees outside.");
    ring(v);
    return true;
}

/* Where you sit, and what is to scale. */
static void caption(iol_sheet *s, const dial *v, const char *marks) {
    iol_line line;
    iol_line_start(&line);
    iol_line_text(&line, "As you sit at ");
    iol_line_number(&line, v->seat, IOL_UNIT_deg);
    iol_line_text(&line, ", seat at the bottom. Limbus ");
    iol_line_number(&line, 2.0 * RING / v->scale, IOL_UNIT_mm);
    iol_line_text(&line, v->measured ? ", optic and wound to scale. Square: port. "
                                     : ", not measured: drawn broken. Square: port. ");
    iol_line_text(&line, marks);
    const iol_removal_orientation *o = &v->plan->removal.orientation;
    if (!v->second && o->present && iol_above(o->decentration_mm * v->scale, off_centre(v)) == IOL_YES)
        iol_line_text(&line, " The lens lies further out than drawn.");
    iol_sheet_line(s, "<p class=\"key\">", &line, "</p>\n");
}

/* ---- the turn to make now ---- */

static void marks(dial *v, double radius, double axis, bool wanted) {
    for (int i = 0; i < 2; i++) {
        const double place = axis + 180.0 * i;
        double x1, y1, x2, y2;
        optic_line(v, wanted ? "mark" : "mark-now", place, radius - 6.0, radius - 1.0);
        on_optic(v, place, wanted ? radius - 1.0 : radius, &x1, &y1);
        spot(v, place, wanted ? RING - 3.0 : RING, &x2, &y2);
        iol_draw_line(&v->d, wanted ? "b" : "dot", x1, y1, x2, y2);
        if (wanted) radial(v, "mark limbus", place, RING - 3.0, RING - 0.6);
    }
}

void iol_sheet_turn_dial(iol_sheet *s, const iol_turn *r) {
    iol_line line;
    dial v;
    iol_line_start(&line);
    iol_line_text(&line, r->second ? "Turn the second lens " : "Turn the lens ");
    iol_line_marks_turn(&line, r);
    if (!start(&v, s, r->second, "dial turn-dial", line.text)) return;
    const double radius = optic(&v);
    wound(&v);
    port(&v);
    gap(&v);
    marks(&v, radius, r->from_deg, false);
    marks(&v, radius, r->to_deg, true);
    const double room = (RING - radius) / 2.0;
    for (int i = 0; i < 2; i++) turn_arrow(&v, radius + room, r->from_deg + 180.0 * i, r->turn_deg, "turn");
    iol_line_start(&line);
    iol_line_text(&line, "now ");
    iol_line_axis(&line, r->from_deg);
    iol_draw_text(&v.d, "t m h", CX, CY - 3.4, line.text);
    iol_line_start(&line);
    iol_line_text(&line, "to ");
    iol_line_axis(&line, r->to_deg);
    iol_draw_text(&v.d, "t m w h", CX, CY + 5.6, line.text);
    iol_line_start(&line);
    iol_line_number(&line, fabs(r->turn_deg), IOL_UNIT_deg);
    const double middle = r->from_deg + r->turn_deg / 2.0;
    optic_name(&v, "t m w h", middle + (r->turn_deg > 0.0 ? -1.0 : 1.0) * (fabs(r->turn_deg) / 2.0 + 14.0),
               radius + room, line.text);
    iol_drawing_close(&v.d);
    caption(s, &v, "Dotted: the marks today.");
}

/* ---- before the old lens is cut ---- */

static void loops(dial *v, double radius) {
    const iol_removal_orientation *o = &v->plan->removal.orientation;
    const double sense = o->loops_turn == IOL_turns_clockwise       ? 1.0
                         : o->loops_turn == IOL_turns_anticlockwise ? -1.0
                                                                    : 0.0;
    if (sense == 0.0 || isnan(o->junction_position_deg)) return;
    const double reach = fmax(0.82 * RING - hypot(v->x - CX, v->y - CY), radius + 2.0); /* inside the ring */
    for (int k = 0; k < 2; k++) {
        double xy[2 * 15];
        for (int i = 0; i < 15; i++) {
            double sine, cosine;
            const double t = i / 14.0;
            iol_sincos_deg(90.0 * fmin(1.0, 1.25 * t), &sine, &cosine);
            on_optic(v, o->junction_position_deg + 180.0 * k + sense * 105.0 * t, radius + (reach - radius) * sine,
                     &xy[2 * i], &xy[2 * i + 1]);
        }
        iol_draw_path(&v->d, "loop", xy, 15, false);
    }
}

/* The degrees of a turn: along its arrow; beside its start where the arrow is short, and never where the wound is named. */
static void turn_name(dial *v, double from, double by, double radius) {
    const double wound = v->plan->incision.present ? v->plan->incision.position_deg : NAN;
    const bool is_short = fabs(by) < 30.0;
    const double side = by > 0.0 ? -1.0 : 1.0; /* behind the start */
    double at = is_short ? from + side * 14.0 : from + by / 2.0;
    iol_line line;
    const double off = remainder(at - wound, 360.0);
    if (is_short && fabs(off) < 32.0) at = wound + side * 32.0;
    iol_line_start(&line);
    iol_line_number(&line, fabs(by), IOL_UNIT_deg);
    optic_name(v, "t m w h", at, is_short ? radius + 5.6 : radius + 9.0, line.text);
}

void iol_sheet_cut_dial(iol_sheet *s) {
    const iol_removal_orientation *o = &s->plan->removal.orientation;
    const iol_choice *fresh = iol_power_given(s->plan) ? iol_chosen_step(iol_new_lens(s->plan)) : NULL;
    const bool turns = !isnan(o->turn_deg) && o->turn_deg != 0.0;
    iol_line line;
    dial v;
    if (!o->present) return;
    iol_line_start(&line);
    if (turns) {
        iol_line_text(&line, "Before the cut turn the old lens ");
        iol_line_turn(&line, o->turn_deg);
        iol_line_text(&line, ", ");
    }
    iol_line_text(&line, "near junction at ");
    iol_line_number(&line, o->junction_position_deg, IOL_UNIT_deg);
    if (!start(&v, s, false, "dial cut-dial", line.text)) return;
    const double radius = optic(&v);
    loops(&v, radius);
    wound(&v);
    port(&v);
    gap(&v);
    optic_line(&v, "junction", o->junction_position_deg, radius - 2.6, radius + 1.4);
    optic_line(&v, "junction", o->junction_position_deg + 180.0, radius - 2.6, radius + 1.4);
    optic_name(&v, "s m h", o->junction_position_deg, radius - 5.2, "junction");
    if (turns) {
        optic_line(&v, "junction-now", o->junction_position_deg - o->turn_deg, radius - 2.0, radius + 2.0);
        turn_arrow(&v, radius + 4.4, o->junction_position_deg - o->turn_deg, o->turn_deg, "turn");
        turn_name(&v, o->junction_position_deg - o->turn_deg, o->turn_deg, radius);
    }
    if (fresh && fresh->cylinder_d > 0.0) {
        for (int i = 0; i < 2; i++) radial(&v, "mark limbus", fresh->axis_deg + 180.0 * i, RING - 3.0, RING - 0.6);
        iol_line_start(&line);
        iol_line_text(&line, "new marks ");
        iol_line_axis(&line, fresh->axis_deg);
        iol_draw_text(&v.d, "s m w h", CX, CY - 4.0, line.text);
    }
    iol_drawing_close(&v.d);
    caption(s, &v, "Loops not to scale.");
}
