/* How the old lens comes out, step by step; its cuts one frame after the other: the wound is at the bottom, the optic to its own
 * scale. */
#include "iolrevise/optics.h"

#include <math.h>

#include "sheet.h"
#include "theatre_hands.h"

/* Half round, the way that the loops let it turn. */
static void turn_half(iol_drawing *d, double x, double y, double radius, bool anticlockwise) {
    const double end = anticlockwise ? 60.0 : -60.0;
    double sine, cosine;
    iol_sincos_deg(end, &sine, &cosine);
    iol_draw_arc(d, "turn", x, y, radius, -end, end);
    iol_draw_head(d, x + radius * cosine, y - radius * sine, anticlockwise ? 150.0 : -150.0, 2.6);
}

enum { CUT_DONE, CUT_NOW, TURN_NOW };
static void frame(iol_sheet *s, const iol_removal *r, int number, int cuts, bool half_turn, int now, const char *says) {
    const double radius = 9.0, scale = radius / (r->lens.optic_diameter_mm / 2.0), x0 = 14.0, y0 = 12.0;
    iol_drawing d;
    iol_line line;
    iol_sheet_put(s, "<figure class=\"frame\">");
    iol_drawing_open(&d, s->out, "cut-frame", 28.0, 28.0, says, "The old optic, the wound below; full lines: cuts.");
    iol_draw_disc(&d, "optic", x0, y0, radius);
    iol_draw_box(&d, "k", x0 - 5.0, 25.0, 10.0, 1.8);
    for (int i = 0; i < cuts; i++) {
        const iol_drawing_piece *c = &r->cuts[i];
        const double turn = half_turn ? -1.0 : 1.0; /* all of it lies opposite */
        const double x1 = x0 + turn * scale * c->x_from_mm, y1 = y0 + turn * scale * c->y_from_mm;
        const double x2 = x0 + turn * scale * c->x_to_mm, y2 = y0 + turn * scale * c->y_to_mm;
        iol_draw_line(&d, "cut", x1, y1, x2, y2);
        if (now == CUT_NOW && i == cuts - 1 && hypot(x2 - x1, y2 - y1) > 1.0)
            iol_draw_head(&d, x2, y2, atan2(y1 - y2, x2 - x1) * 180.0 / acos(-1.0), 2.6);
    }
    if (now == TURN_NOW) turn_half(&d, x0, y0, radius + 2.0, r->orientation.loops_turn == IOL_turns_anticlockwise);
    iol_drawing_close(&d);
    iol_line_start(&line);
    iol_line_number(&line, number, IOL_UNIT_count);
    iol_sheet_line(s, "<figcaption><b>", &line, "</b> ");
    iol_sheet_text(s, "", says, "</figcaption></figure>\n");
}

/* number: of the first frame. How many there are. */
static int frames(iol_sheet *s, const iol_removal *r, int number) {
    if (r->cuts_count <= 0 || isnan(r->lens.optic_diameter_mm)) return 0;
    int count = 3;
    iol_sheet_put(s, "<div class=\"frames\">");
    switch (r->preferred) {
    case IOL_removal_method_halved_turned:
        frame(s, r, number, 1, false, CUT_NOW, "Cut from the wound to the centre");
        frame(s, r, number + 1, 1, true, TURN_NOW, "Turn the lens half round");
        frame(s, r, number + 2, 2, true, CUT_NOW, "Cut again from the wound");
        break;
    case IOL_removal_method_wedge:
        frame(s, r, number, 1, false, CUT_NOW, "First side of the wedge");
        frame(s, r, number + 1, 2, false, CUT_NOW, "Second side");
        frame(s, r, number + 2, 2, false, CUT_DONE, "Wedge out, then the rest along the gap");
        break;
    case IOL_removal_method_thirds:
        frame(s, r, number, 1, false, CUT_NOW, "First cut, right across");
        frame(s, r, number + 1, 2, false, CUT_NOW, "Second cut");
        frame(s, r, number + 2, 2, false, CUT_DONE, "Three pieces");
        break;
    case IOL_removal_method_partial:
        frame(s, r, number, 1, false, CUT_NOW, "Cut past the centre, not through");
        frame(s, r, number + 1, 1, false, CUT_DONE, "Screw it out along the cut");
        count = 2;
        break;
    default:
        frame(s, r, number, 1, false, CUT_NOW, "Cut right across");
        count = 1;
        break;
    }
    iol_sheet_put(s, "</div>\n");
    return count;
}

/* number 0: the only one. */
static void step(iol_sheet *s, int number, const char *label, iol_line *line) {
    iol_line head;
    iol_line_start(&head);
    if (number) iol_line_number(&head, number, IOL_UNIT_count);
    iol_line_text(&head, number ? " " : "");
    iol_line_text(&head, label);
    iol_sheet_line(s, "<p class=\"step\"><b>", &head, "</b> ");
    iol_sheet_line(s, "", line, "</p>\n");
}

/* "Second lens, in front, in the sulcus, +5.0 D:" as the head of its step. */
static void name_lens(const iol_sheet *s, bool second, const char *end, iol_line *line) {
    iol_line_start(line);
    iol_line_which_lens(line, s->plan, second);
    iol_line_text(line, end);
    line->text[0] = second ? 'S' : 'F';
}

void iol_sheet_out_steps(iol_sheet *s, bool second, int but) {
    const iol_removal *r = iol_removal_of(s->plan, second);
    const iol_removal_orientation *o = &r->orientation;
    const iol_removal_row *way = iol_preferred_way(r);
    const bool turns = !isnan(o->turn_deg) && o->turn_deg != 0.0, both = !second && iol_two_come_out(s->plan);
    int number = second ? 1 : iol_sheet_brought_forward(s, IOL_CARD_OUT, but, 1);
    iol_line line, name;
    iol_line_start(&line);
    if (both) {
        name_lens(s, true, ":", &name);
        iol_line_out(&line, iol_removal_of(s->plan, true), "turn it ", "; then ");
        iol_line_widest(&line, iol_removal_of(s->plan, true));
        step(s, number++, name.text, &line);
        if (!r->present) return;
    }
    if (turns) {
        iol_line_turn(&line, o->turn_deg);
        iol_line_text(&line, ", ");
        iol_line_number(&line, o->turn_clock_hours, IOL_UNIT_clock);
        iol_line_text(&line, ", until the near junction is at ");
        iol_line_clock(&line, o->junction_clock);
        step(s, number++, both ? "Turn the first lens" : second ? "Turn the second lens" : "Turn", &line);
    } else if (!isnan(o->junction_clock) && r->preferred != IOL_removal_method_whole) {
        iol_line_clock(&line, o->junction_clock);
        iol_sheet_line(s, "<p><b>Near junction</b> at ", &line, "</p>\n");
    }
    number += frames(s, r, number);
    if (!way) return;
    iol_line_text(&line, iol_removal_words(way->id));
    name_lens(s, second, ", out:", &name);
    step(s, number > 1 ? number : 0, both || second ? name.text : "Out", &line);
}

static void out_then(iol_sheet *s, bool second) {
    const iol_removal *r = iol_removal_of(s->plan, second);
    iol_line line, name;
    name_lens(s, second, ", out:", &name);
    iol_line_start(&line);
    iol_line_out(&line, r, "once freed turn it ", "; then ");
    iol_line_widest(&line, r);
    if (r->present) step(s, 0, s->plan->two_lenses.present ? name.text : "Then out:", &line);
}

void iol_sheet_turn_out(iol_sheet *s, bool second) {
    iol_lead lens;
    iol_line line;
    iol_sheet_put(s, "<div class=\"zone notes\">\n");
    if (!iol_card_may_put_in(s->plan)) return;
    if (second) out_then(s, true);
    if (!second || !iol_turn_second_instead(s->plan, &lens)) out_then(s, false);
    iol_line_start(&line);
    iol_line_wound(&line, s->plan);
    iol_sheet_line(s, "<p><b>Wound then</b> ", &line, "</p>\n");
}
