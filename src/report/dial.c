/* The ring of a dial, what lies on it, and the old optic as it lies. */
#include "dial.h"

#include <math.h>

#include "iolrevise/optics.h"
#include "tables/constants.h"
#include "text/number.h"

double iol_dial_degrees(double radians) { return radians * 180.0 / acos(-1.0); }
double iol_dial_turned(const iol_dial *v, double place) { return place - v->seat - 90.0; }

void iol_dial_spot(const iol_dial *v, double place, double radius, double *x, double *y) {
    double sine, cosine;
    iol_sincos_deg(iol_dial_turned(v, place), &sine, &cosine);
    *x = IOL_DIAL_X + radius * cosine;
    *y = IOL_DIAL_Y - radius * sine;
}

/* A place of the optic: from its own centre. */
void iol_dial_on_optic(const iol_dial *v, double place, double radius, double *x, double *y) {
    iol_dial_spot(v, place, radius, x, y);
    *x += v->x - IOL_DIAL_X, *y += v->y - IOL_DIAL_Y;
}

void iol_dial_line(iol_dial *v, const char *kind, iol_dial_weight w, const double from[2], const double to[2]) {
    iol_draw_line(&v->d, kind, from[0], from[1], to[0], to[1]);
    iol_placing_line(&v->placing, from[0], from[1], to[0], to[1], w == IOL_DIAL_HEAVY ? 0.8 : 0.2, w == IOL_DIAL_HEAVY);
}

void iol_dial_radial(iol_dial *v, const char *kind, iol_dial_weight w, double place, double from, double to) {
    double a[2], b[2];
    iol_dial_spot(v, place, from, &a[0], &a[1]);
    iol_dial_spot(v, place, to, &b[0], &b[1]);
    iol_dial_line(v, kind, w, a, b);
}

void iol_dial_optic_line(iol_dial *v, const char *kind, iol_dial_weight w, double place, double from, double to) {
    double a[2], b[2];
    iol_dial_on_optic(v, place, from, &a[0], &a[1]);
    iol_dial_on_optic(v, place, to, &b[0], &b[1]);
    iol_dial_line(v, kind, w, a, b);
}

static void arc(iol_dial *v, const char *kind, double radius, double from, double to, double half) {
    iol_draw_arc(&v->d, kind, IOL_DIAL_X, IOL_DIAL_Y, radius, iol_dial_turned(v, from), iol_dial_turned(v, to));
    iol_placing_arc(&v->placing, IOL_DIAL_X, IOL_DIAL_Y, radius, iol_dial_turned(v, from), iol_dial_turned(v, to), half,
                    true);
}

static void optic_arc(iol_dial *v, const char *kind, iol_dial_weight w, double radius, double from, double to) {
    iol_draw_arc(&v->d, kind, v->x, v->y, radius, iol_dial_turned(v, from), iol_dial_turned(v, to));
    iol_placing_arc(&v->placing, v->x, v->y, radius, iol_dial_turned(v, from), iol_dial_turned(v, to),
                    w == IOL_DIAL_HEAVY ? 0.8 : 0.3, w == IOL_DIAL_HEAVY);
}

/* A word that stands where it must, and one that finds its room: beside a spot, first toward the middle. */
static void fixed(iol_dial *v, const char *kind, double place, double radius, const char *text) {
    double x, y;
    iol_dial_spot(v, place, radius, &x, &y);
    iol_draw_text(&v->d, kind, x, y + 1.1, text);
    iol_placing_taken(&v->placing, iol_placing_room(kind, x, y + 1.1, text));
}

void iol_dial_word(iol_dial *v, const char *kind, double x, double y, const char *text) {
    iol_placing_word(&v->placing, &v->d, kind, x, y, IOL_DIAL_X, IOL_DIAL_Y, text);
}

/* ---- ring, hours, degrees, sides ---- */

static void sides(iol_dial *v) {
    const bool right = v->plan->eye == IOL_side_right;
    const struct {
        double place;
        const char *name;
    } side[] = {
        {90.0, "SUPERIOR"}, {270.0, "INFERIOR"}, {right ? 0.0 : 180.0, "NASAL"}, {right ? 180.0 : 0.0, "TEMPORAL"}};
    for (int i = 0; i < 4; i++) {
        double x, y, sine, cosine;
        iol_sincos_deg(iol_dial_turned(v, side[i].place), &sine, &cosine);
        x = IOL_DIAL_X + fmax(fmin(47.0 * cosine, 41.6), -41.6); /* on the slant further out than the degrees */
        y = IOL_DIAL_Y - fmax(fmin(47.0 * sine, 39.6), -39.6);
        const iol_placed level = iol_placing_room("s m w", x, y + 1.0, side[i].name);
        const double half = (level.x2 - level.x1) / 2.0;
        if (fabs(cosine) > 0.75) {
            iol_draw_turned(&v->d, "s m w", x, y, cosine < 0.0 ? -90.0 : 90.0, side[i].name);
            iol_placing_taken(&v->placing, (iol_placed){x - 2.2, y - half, x + 2.2, y + half});
        } else {
            iol_draw_text(&v->d, "s m w", x, y + 1.0, side[i].name);
            iol_placing_taken(&v->placing, level);
        }
    }
}

static void ring(iol_dial *v) {
    iol_draw_disc(&v->d, v->measured ? "ring" : "ring unmeasured", IOL_DIAL_X, IOL_DIAL_Y, IOL_DIAL_RING);
    iol_placing_arc(&v->placing, IOL_DIAL_X, IOL_DIAL_Y, IOL_DIAL_RING, 0.0, 360.0, 0.4, true);
    for (int hour = 1; hour <= 12; hour++) {
        const double place = iol_position_reduce(90.0 - 30.0 * hour);
        iol_line line;
        iol_dial_radial(v, "l", IOL_DIAL_THIN, place, IOL_DIAL_RING, IOL_DIAL_RING + 2.0);
        iol_line_start(&line);
        iol_line_number(&line, hour, IOL_UNIT_count);
        fixed(v, "t m w scale", place, IOL_DIAL_RING + 5.2, line.text);
        iol_line_start(&line);
        iol_line_number(&line, place, IOL_UNIT_deg);
        const double off =
            fabs(remainder(iol_dial_turned(v, place), 90.0)); /* on the slant two labels are wider than high */
        fixed(v, "s m q scale", place, IOL_DIAL_RING + (off < 1.0 ? 10.4 : 11.4), line.text);
    }
    sides(v);
}

/* ---- what lies on the ring ---- */

const iol_removal_orientation *iol_dial_orientation(const iol_dial *v) {
    return &iol_removal_of(v->plan, v->second)->orientation;
}

double iol_dial_optic_radius(const iol_dial *v) {
    const double diameter = iol_removal_of(v->plan, v->second)->lens.optic_diameter_mm;
    return isnan(diameter) ? IOL_DIAL_RING / 2.0 : diameter / 2.0 * v->scale;
}

void iol_dial_wound(iol_dial *v) {
    const iol_incision *i = &v->plan->incision;
    const double limbus = 2.0 * IOL_DIAL_RING / v->scale;
    if (!i->present || isnan(i->position_deg) || isnan(i->width_mm)) return;
    const double end_mm = v->second ? v->plan->two_lenses.second_end_width_mm : i->end_width_mm;
    const double wide = iol_above(end_mm, i->width_mm) == IOL_YES ? end_mm : NAN;
    const double half = iol_dial_degrees(asin(i->width_mm / limbus)), half_wide = iol_dial_degrees(asin(wide / limbus));
    v->wound = true;
    arc(v, "wound-wide", IOL_DIAL_RING, i->position_deg - half_wide, i->position_deg + half_wide, 1.3);
    arc(v, "wound", IOL_DIAL_RING, i->position_deg - half, i->position_deg + half, 1.3);
}

void iol_dial_port(iol_dial *v) {
    const iol_removal_orientation *o = iol_dial_orientation(v);
    double x, y;
    if (!o->present || isnan(o->grip_port_position_deg)) return;
    v->port = true;
    iol_dial_spot(v, o->grip_port_position_deg, IOL_DIAL_PORT, &x, &y); /* outside: marks stand inside the ring */
    iol_draw_box(&v->d, "port", x - 1.1, y - 1.1, 2.2, 2.2);
    iol_placing_line(&v->placing, x, y, x, y, 1.5, true);
}

void iol_dial_gap(iol_dial *v) {
    const iol_removal_orientation *o = iol_dial_orientation(v);
    if (!o->present || isnan(o->zonule_gap_hours) || isnan(o->zonule_gap_position_deg)) return;
    const double half = 15.0 * o->zonule_gap_hours;
    arc(v, "zonule-gap", IOL_DIAL_RING - 2.2, o->zonule_gap_position_deg - half, o->zonule_gap_position_deg + half,
        0.7);
}

void iol_dial_wound_name(iol_dial *v) {
    const iol_incision *i = &v->plan->incision;
    double at[2][2], out[2], found[2];
    if (!i->present || isnan(i->position_deg) || isnan(i->width_mm)) return;
    iol_dial_spot(v, i->position_deg, IOL_DIAL_RING - 1.5, &at[0][0], &at[0][1]);
    iol_dial_spot(v, i->position_deg, IOL_DIAL_RING + 1.5, &at[1][0], &at[1][1]); /* outside, where a lens lies there */
    iol_dial_spot(v, i->position_deg, IOL_DIAL_RING + 9.0, &out[0], &out[1]);
    const double inner =
        iol_placing_find(&v->placing, &v->d, "s m h", at[0], (double[]){IOL_DIAL_X, IOL_DIAL_Y}, "wound", found);
    if (inner <= iol_placing_find(&v->placing, &v->d, "s m h", at[1], out, "wound", found))
        iol_dial_word(v, "s m h", at[0][0], at[0][1], "wound");
    else
        iol_placing_word(&v->placing, &v->d, "s m h", at[1][0], at[1][1], out[0], out[1], "wound");
}

void iol_dial_gap_name(iol_dial *v) {
    const iol_removal_orientation *o = iol_dial_orientation(v);
    if (!o->present || isnan(o->zonule_gap_hours) || isnan(o->zonule_gap_position_deg)) return;
    static const double along[] = {0.0, 0.4, -0.4, 0.8, -0.8}; /* parts of half the gap */
    const double middle[] = {IOL_DIAL_X, IOL_DIAL_Y};
    double least = INFINITY, best[2] = {NAN, NAN};
    for (size_t i = 0; i < sizeof along / sizeof *along; i++) {
        double at[2], found[2];
        iol_dial_spot(v, o->zonule_gap_position_deg + along[i] * 15.0 * o->zonule_gap_hours, IOL_DIAL_RING - 3.0,
                      &at[0], &at[1]);
        const double cost = iol_placing_find(&v->placing, &v->d, "s m h", at, middle, "zonule gap", found);
        if (cost < least) least = cost, best[0] = at[0], best[1] = at[1];
    }
    iol_dial_word(v, "s m h", best[0], best[1], "zonule gap");
}

/* ---- the optic as it lies ---- */

/* It is off its place, and nobody said toward where, or it has fallen behind the iris: it is drawn in the middle, and not as one
 * that lies there. */
static bool place_unknown(const iol_dial *v) {
    const iol_removal_orientation *o = iol_dial_orientation(v);
    if (!v->second && iol_lens_behind(v->plan)) return true;
    return o->present && iol_above(o->decentration_mm, c_decentration_matters_mm) == IOL_YES &&
           isnan(o->decentration_position_deg);
}

/* To scale as far as the edge of the optic stays inside the ring. */
static double off_centre(const iol_dial *v) {
    const iol_removal_orientation *o = iol_dial_orientation(v);
    if (isnan(o->decentration_position_deg) || place_unknown(v)) return NAN; /* not drawn off centre */
    return fmin(o->decentration_mm * v->scale,
                fmax(IOL_DIAL_RING - iol_dial_optic_radius(v), 0.0));
}

static bool lies_further_out(const iol_dial *v) {
    const iol_removal_orientation *o = iol_dial_orientation(v);
    return o->present && !place_unknown(v) && iol_above(o->decentration_mm * v->scale, off_centre(v)) == IOL_YES;
}

static bool tilt_drawn(const iol_dial *v) {
    const iol_removal_orientation *o = iol_dial_orientation(v);
    const bool fallen = !v->second && iol_lens_behind(v->plan);
    return o->present && o->tilt_deg > 0.0 && !isnan(o->tilt_axis_deg) && !fallen;
}

/* The optic where it lies: off centre to scale, the axis of its tilt dotted, the edge that lies back heavy. */
double iol_dial_optic(iol_dial *v) {
    const iol_removal_orientation *o = iol_dial_orientation(v);
    const double radius = iol_dial_optic_radius(v);
    iol_draw_disc(&v->d, place_unknown(v) ? "optic unplaced" : "optic", v->x, v->y, radius);
    iol_placing_arc(&v->placing, v->x, v->y, radius, 0.0, 360.0, 0.3, false);
    if (!tilt_drawn(v)) return radius;
    for (int i = 0; i < 2; i++)
        iol_dial_optic_line(v, "tilt-axis", IOL_DIAL_THIN, o->tilt_axis_deg + 180.0 * i, 0.0, radius);
    if (isnan(o->tilted_back_position_deg)) return radius;
    optic_arc(v, "tilt-back", IOL_DIAL_HEAVY, radius - 0.7, o->tilted_back_position_deg - 25.0,
              o->tilted_back_position_deg + 25.0);
    return radius;
}

/* The edge that lies back; and where the lens is not drawn as it lies. */
void iol_dial_names_on_optic(iol_dial *v, double radius, bool outward) {
    const iol_removal_orientation *o = iol_dial_orientation(v);
    double x, y;
    if (place_unknown(v)) {
        const int behind = iol_lens_behind(v->plan);
        iol_placing_word(&v->placing, &v->d, "s m w h", v->x, v->y - 2.0, v->x, v->y - 3.0,
                         behind == IOL_lies_retina ? "on the retina"
                         : behind                  ? "in the vitreous"
                                                   : "lies elsewhere");
        iol_placing_word(&v->placing, &v->d, "s m h", v->x, v->y + 1.0, v->x, v->y + 3.0, "not to scale");
    } else if (lies_further_out(v))
        iol_placing_word(&v->placing, &v->d, "s m w h", v->x, v->y, IOL_DIAL_X, IOL_DIAL_Y, "lies further out");
    if (!tilt_drawn(v) || isnan(o->tilted_back_position_deg)) return;
    iol_dial_on_optic(v, o->tilted_back_position_deg, outward ? radius : radius - 1.4, &x, &y);
    iol_placing_word(&v->placing, &v->d, "s m h", x, y, outward ? 2.0 * x - v->x : v->x, outward ? 2.0 * y - v->y : v->y,
                     "edge back");
}

/* An arrow along a circle about the optic from a place, by degrees (plus: anticlockwise). */
void iol_dial_turn_arrow(iol_dial *v, double radius, double from, double by, const char *kind) {
    double x, y;
    if (isnan(from) || isnan(by) || by == 0.0) return;
    optic_arc(v, kind, IOL_DIAL_HEAVY, radius, from, from + by);
    iol_dial_on_optic(v, from + by, radius, &x, &y);
    iol_draw_head(&v->d, x, y, iol_dial_turned(v, from + by) + (by > 0.0 ? 90.0 : -90.0), 2.8);
}

bool iol_dial_start(iol_dial *v, iol_sheet *s, bool second, const char *kind, const char *title) {
    const iol_removal_orientation *o = &iol_removal_of(s->plan, second)->orientation;
    *v = (iol_dial){.plan = s->plan, .seat = s->plan->incision.position_deg, .second = second};
    if (o->present && !isnan(o->seat_position_deg)) v->seat = o->seat_position_deg;
    if (isnan(v->seat)) return false;
    v->measured = o->present && !isnan(o->limbus_mm);
    v->scale = 2.0 * IOL_DIAL_RING / (v->measured ? o->limbus_mm : c_limbus_drawn_mm);
    v->x = IOL_DIAL_X, v->y = IOL_DIAL_Y;
    if (o->present && o->decentration_mm > 0.0 && !isnan(o->decentration_position_deg) && !place_unknown(v))
        iol_dial_spot(v, o->decentration_position_deg, off_centre(v), &v->x, &v->y);
    iol_drawing_open(&v->d, s->out, kind, 90.0, 82.8, title,
                     "The eye from the surgeon's seat, which is at the bottom; clock hours inside, degrees outside.");
    ring(v);
    return true;
}

/* What of the lens the drawing does not show as it is. */
static void not_as_drawn(iol_sheet *s, const iol_dial *v) {
    const iol_removal_orientation *o = iol_dial_orientation(v);
    iol_line line;
    iol_line_start(&line);
    if (!v->second && iol_lens_behind(v->plan))
        iol_line_text(&line, "Lens drawn where it comes to lie once it is lifted.");
    else if (place_unknown(v)) {
        iol_line_text(&line, "Lens not to scale: ");
        iol_line_number(&line, o->decentration_mm, IOL_UNIT_mm);
        iol_line_text(&line, " off centre, direction not known, drawn in the middle.");
    } else if (lies_further_out(v))
        iol_line_text(&line, "Lens not to scale: it lies further out than drawn.");
    if (line.used) iol_sheet_line(s, " <b>", &line, "</b>");
    const bool fallen = !v->second && iol_lens_behind(v->plan);
    if (!o->present || tilt_drawn(v) || fallen || iol_above(o->tilt_deg, c_tilt_matters_deg) != IOL_YES) return;
    iol_sheet_put(s, " <b>Its tilt is not drawn: direction not known.</b>");
}

/* Where you sit, and what is to scale. */
void iol_dial_caption(iol_sheet *s, const iol_dial *v, const char *marks) {
    iol_line line;
    iol_line_start(&line);
    iol_line_text(&line, "As you sit at ");
    iol_line_number(&line, v->seat, IOL_UNIT_deg);
    iol_line_text(&line, ", seat at the bottom. Limbus ");
    iol_line_number(&line, 2.0 * IOL_DIAL_RING / v->scale, IOL_UNIT_mm);
    iol_line_text(&line, !v->measured ? ", not measured: drawn broken. "
                         : v->wound   ? ", optic and wound to scale. "
                                      : ", optic to scale. ");
    if (v->port) iol_line_text(&line, "Square: port. ");
    iol_line_text(&line, marks);
    iol_sheet_line(s, "<p class=\"key\">", &line, "");
    not_as_drawn(s, v);
    iol_sheet_put(s, "</p>\n");
}
