/* The dials: the turn to make now, the turn before the old lens is cut, the lens that is put back. */
#include "dial.h"

#include <math.h>

#include "iolrevise/optics.h"

/* ---- the turn to make now ---- */

static void marks(iol_dial *v, double radius, double axis, bool wanted) {
    for (int i = 0; i < 2; i++) {
        const double place = axis + 180.0 * i;
        double a[2], b[2];
        iol_dial_optic_line(v, wanted ? "mark" : "mark-now", IOL_DIAL_HEAVY, place, radius - 6.0, radius - 1.0);
        iol_dial_on_optic(v, place, wanted ? radius - 1.0 : radius, &a[0], &a[1]);
        iol_dial_spot(v, place, wanted ? IOL_DIAL_RING - 3.0 : IOL_DIAL_RING, &b[0], &b[1]);
        iol_dial_line(v, wanted ? "b" : "dot", IOL_DIAL_THIN, a, b);
        if (wanted) iol_dial_radial(v, "mark limbus", IOL_DIAL_HEAVY, place, IOL_DIAL_RING - 3.0, IOL_DIAL_RING - 0.6);
    }
}

/* Beside its line, on the side away from the other axis, at the end that its degrees name. */
static void axis_word(iol_dial *v, const char *kind, double place, double away, const char *text) {
    double x, y, to_x, to_y;
    iol_dial_spot(v, place, IOL_DIAL_RING - 5.0, &x, &y);
    iol_dial_spot(v, place + away, IOL_DIAL_RING - 5.0, &to_x, &to_y);
    iol_placing_word(&v->placing, &v->d, kind, x, y, to_x, to_y, text);
}

/* The degrees of a turn: beside its arrow, at the given part of it. */
static void turn_word(iol_dial *v, double radius, double from, double by, double to_radius) {
    double x, y, to_x, to_y;
    iol_line line;
    iol_line_start(&line);
    iol_line_number(&line, fabs(by), IOL_UNIT_deg);
    iol_dial_on_optic(v, from + by / 2.0, radius, &x, &y);
    iol_dial_on_optic(v, from + by / 2.0, to_radius, &to_x, &to_y);
    iol_placing_word(&v->placing, &v->d, "t m w h", x, y, to_x, to_y, line.text);
}

void iol_sheet_turn_dial(iol_sheet *s, const iol_turn *r) {
    iol_line line;
    iol_dial v;
    iol_line_start(&line);
    iol_line_text(&line, r->second ? "Turn the second lens " : "Turn the lens ");
    iol_line_marks_turn(&line, r);
    if (!iol_dial_start(&v, s, r->second, "dial turn-dial", line.text)) return;
    const double radius = iol_dial_optic(&v), room = (IOL_DIAL_RING - radius) / 2.0;
    iol_dial_wound(&v);
    iol_dial_port(&v);
    iol_dial_gap(&v);
    marks(&v, radius, r->from_deg, false);
    marks(&v, radius, r->to_deg, true);
    for (int i = 0; i < 2; i++) iol_dial_turn_arrow(&v, radius + room, r->from_deg + 180.0 * i, r->turn_deg, "turn");
    const double away = r->turn_deg > 0.0 ? -20.0 : 20.0;
    turn_word(&v, radius + room, r->from_deg + 180.0, r->turn_deg,
              IOL_DIAL_RING); /* the other arrow than that of the names */
    iol_line_start(&line);
    iol_line_text(&line, "to ");
    iol_line_axis(&line, r->to_deg);
    axis_word(&v, "t m w h", r->to_deg, -away, line.text);
    iol_line_start(&line);
    iol_line_text(&line, "now ");
    iol_line_axis(&line, r->from_deg);
    axis_word(&v, "t m h", r->from_deg, away, line.text);
    iol_dial_wound_name(&v);
    iol_dial_gap_name(&v);
    iol_dial_names_on_optic(&v, radius, false);
    iol_drawing_close(&v.d);
    iol_dial_caption(s, &v, "Full: the marks after the turn; dotted: today.");
}

/* ---- before the old lens is cut ---- */

/* Where the near junction must lie for the cut; of a lens that comes out whole where it lies now, NaN: not known. */
static double junction_of(const iol_removal *r) {
    const iol_removal_orientation *o = &r->orientation;
    return r->preferred == IOL_removal_method_whole ? o->junction_axis_now_deg : o->junction_position_deg;
}

static void loops(iol_dial *v, double junction_deg, double radius) {
    const iol_removal_orientation *o = iol_dial_orientation(v);
    const double sense = o->loops_turn == IOL_turns_clockwise       ? 1.0
                         : o->loops_turn == IOL_turns_anticlockwise ? -1.0
                                                                    : 0.0;
    if (sense == 0.0 || isnan(junction_deg)) return;
    const double reach =
        fmax(0.82 * IOL_DIAL_RING - hypot(v->x - IOL_DIAL_X, v->y - IOL_DIAL_Y), radius + 2.0); /* inside the ring */
    for (int k = 0; k < 2; k++) {
        double xy[2 * 15];
        for (int i = 0; i < 15; i++) {
            double sine, cosine;
            const double t = i / 14.0;
            iol_sincos_deg(90.0 * fmin(1.0, 1.25 * t), &sine, &cosine);
            iol_dial_on_optic(v, junction_deg + 180.0 * k + sense * 105.0 * t,
                              radius + (reach - radius) * sine, &xy[2 * i], &xy[2 * i + 1]);
        }
        iol_draw_path(&v->d, "loop", xy, 15, false);
        for (int i = 1; i < 15; i++)
            iol_placing_line(&v->placing, xy[2 * i - 2], xy[2 * i - 1], xy[2 * i], xy[2 * i + 1], 0.2, false);
    }
}

/* The meridian for the marks of the lens that goes in; NaN: none, or it has none. */
static double new_marks(const iol_plan *plan, bool second) {
    iol_lead lead;
    const iol_choice *c = iol_power_given(plan) ? iol_chosen_step(iol_new_lens(plan)) : NULL;
    if (second) return iol_lead_operates(plan, &lead) && lead.cylinder_d > 0.0 ? lead.axis_deg : NAN;
    return c && c->cylinder_d > 0.0 ? c->axis_deg : NAN;
}

/* What the dial shows, as a sentence. */
static void title(iol_line *line, const iol_removal_orientation *o, double junction_deg, bool second) {
    const bool turns = !isnan(o->turn_deg) && o->turn_deg != 0.0, known = !isnan(junction_deg);
    iol_line_start(line);
    if (turns) {
        iol_line_text(line, second ? "Before the cut turn the second lens " : "Before the cut turn the old lens ");
        iol_line_turn(line, o->turn_deg);
        iol_line_text(line, ", ");
    }
    iol_line_text(line, known ? "near junction at " : "it comes out as it lies");
    if (known) iol_line_number(line, junction_deg, IOL_UNIT_deg);
}

/* The meridian of the new marks, at the end that its degrees name and not on the old optic, which has no such marks. */
static void name_new(iol_dial *v, double axis_deg, double radius) {
    const double side = 0.86 * radius;
    iol_line line;
    double x, y;
    iol_line_start(&line);
    iol_line_text(&line, "new ");
    iol_line_axis(&line, axis_deg);
    iol_placing_taken(&v->placing, (iol_placed){v->x - side, v->y - side, v->x + side, v->y + side});
    iol_dial_spot(v, axis_deg, IOL_DIAL_RING - 3.0, &x, &y);
    iol_dial_word(v, "s m w h", x, y, line.text);
}

void iol_sheet_cut_dial(iol_sheet *s, bool second) {
    const iol_removal_orientation *o = &iol_removal_of(s->plan, second)->orientation;
    const double junction = junction_of(iol_removal_of(s->plan, second));
    const bool turns = !isnan(o->turn_deg) && o->turn_deg != 0.0, known = !isnan(junction);
    iol_line line;
    iol_dial v;
    double x, y;
    if (!o->present) return;
    title(&line, o, junction, second);
    if (!iol_dial_start(&v, s, second, "dial cut-dial", line.text)) return;
    const double radius = iol_dial_optic(&v);
    loops(&v, junction, radius);
    iol_dial_wound(&v);
    iol_dial_port(&v);
    iol_dial_gap(&v);
    for (int i = 0; known && i < 2; i++)
        iol_dial_optic_line(&v, "junction", IOL_DIAL_HEAVY, junction + 180.0 * i, radius - 2.6, radius + 1.4);
    const double was = junction - o->turn_deg, new_axis = new_marks(s->plan, second);
    const bool marked = !isnan(new_axis);
    /* where the optic lies at the ring there is no room round it */
    const bool inside = hypot(v.x - IOL_DIAL_X, v.y - IOL_DIAL_Y) + radius + 6.0 > IOL_DIAL_RING;
    const double arrow = inside ? radius - 4.5 : radius + 4.4;
    if (turns) {
        iol_dial_optic_line(&v, "junction-now", IOL_DIAL_HEAVY, was, radius - 2.0, radius + 2.0);
        iol_dial_turn_arrow(&v, arrow, was, o->turn_deg, "turn");
    }
    for (int i = 0; marked && i < 2; i++)
        iol_dial_radial(&v, "mark limbus", IOL_DIAL_HEAVY, new_axis + 180.0 * i, IOL_DIAL_RING - 3.0,
                        IOL_DIAL_RING - 0.6);
    if (turns && !inside) turn_word(&v, arrow, was, o->turn_deg, IOL_DIAL_RING);
    iol_dial_names_on_optic(&v, radius, false);
    if (known) {
        iol_dial_on_optic(&v, junction, radius - 2.0, &x, &y);
        iol_placing_word(&v.placing, &v.d, "s m h", x, y, v.x, v.y, "junction");
    }
    if (turns && inside)
        turn_word(&v, arrow, was, o->turn_deg, 0.0); /* the junction is named first: it lies at the ring */
    iol_dial_wound_name(&v);
    iol_dial_gap_name(&v);
    if (marked) name_new(&v, new_axis, radius);
    iol_drawing_close(&v.d);
    iol_line_start(&line);
    if (second) iol_line_text(&line, "The second lens, in front. ");
    if (turns) iol_line_text(&line, "Full: after the turn; dotted: the junction now. ");
    if (marked) iol_line_text(&line, "New: where the marks of the new lens go. ");
    iol_line_text(&line, "Loops not to scale.");
    iol_dial_caption(s, &v, line.text);
}

/* ---- the lens is put back ---- */

void iol_sheet_lies_dial(iol_sheet *s) {
    const iol_removal_orientation *o = &s->plan->removal.orientation;
    iol_line line;
    iol_dial v;
    if (!o->present) return;
    iol_line_start(&line);
    iol_line_text(&line, "The lens lies ");
    iol_line_lies(&line, o);
    if (!iol_dial_start(&v, s, false, "dial lies-dial", line.text)) return;
    const double away = hypot(v.x - IOL_DIAL_X, v.y - IOL_DIAL_Y);
    iol_draw_disc(&v.d, "belongs", IOL_DIAL_X, IOL_DIAL_Y, iol_dial_optic_radius(&v));
    iol_placing_arc(&v.placing, IOL_DIAL_X, IOL_DIAL_Y, iol_dial_optic_radius(&v), 0.0, 360.0, 0.3, false);
    const double radius = iol_dial_optic(&v);
    iol_dial_gap(&v);
    if (away > 1.5) { /* from its middle to where its middle belongs */
        const double direction = iol_dial_degrees(atan2(v.y - IOL_DIAL_Y, IOL_DIAL_X - v.x));
        iol_dial_line(&v, "move", IOL_DIAL_HEAVY, (double[]){v.x, v.y}, (double[]){IOL_DIAL_X, IOL_DIAL_Y});
        iol_draw_head(&v.d, IOL_DIAL_X, IOL_DIAL_Y, direction, 2.4);
    }
    iol_dial_names_on_optic(&v, radius, true);
    if (away > 1.5)
        iol_placing_word(&v.placing, &v.d, "s m h", IOL_DIAL_X, IOL_DIAL_Y, 2.0 * IOL_DIAL_X - v.x,
                         2.0 * IOL_DIAL_Y - v.y, "move");
    iol_dial_gap_name(&v);
    iol_drawing_close(&v.d);
    iol_dial_caption(s, &v, away > 0.0 ? "Full: the optic as it lies; broken: where it belongs." : "The optic as it lies.");
}
