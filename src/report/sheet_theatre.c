/* Sheet 2: what is needed in the hands. Only where an operation is chosen and no stop stands. */
#include "sheet.h"
#include "theatre_hands.h"

#include <string.h>

#include "text/number.h"

static void head(iol_sheet *s) {
    iol_sheet_put(s, "<header class=\"ident\"><h2 class=\"eye-word\">");
    iol_sheet_put(s, s->plan->eye == IOL_side_right ? "RIGHT eye" : "LEFT eye");
    iol_sheet_put(s, "</h2>");
    iol_sheet_two_eyes(s);
    iol_sheet_put(s, "<p class=\"label-box\">Patient label: two identifiers</p></header>\n");
}

/* "toric-1p, cylinder +1.50 D, marks on 90 deg" */
void iol_sheet_class(iol_sheet *s, const iol_choice *c) {
    iol_line line;
    iol_sheet_text(s, "", c->lens_id, "");
    iol_line_start(&line);
    iol_line_toric(&line, c->cylinder_d, c->axis_deg);
    iol_sheet_line(s, "", &line, "");
}

static void box(iol_sheet *s, const char *number) {
    iol_line line;
    iol_line_start(&line);
    iol_line_box(&line, number);
    iol_sheet_line(s, number[0] ? "<p class=\"facts box\">" : "<p class=\"facts box soft\">", &line, "</p>");
}

/* "toric-1p, cylinder +1.50 D, marks on 90 deg, IN THE BAG", what is expected and aimed at, the number on the box. */
static void lens_words(iol_sheet *s, const iol_lead *lens) {
    iol_line line;
    iol_line_start(&line);
    iol_sheet_text(s, "<p class=\"facts\"><b>", lens->lens_id, "</b>");
    if (lens->label[0]) iol_sheet_text(s, "<small> ", lens->label, "</small>");
    if (lens->cylinder_d > 0.0) {
        iol_line_signed(&line, lens->cylinder_d, IOL_UNIT_d);
        iol_sheet_line(s, ", cylinder <b>", &line, "</b><br>");
        iol_line_axis(&line, lens->axis_deg);
        iol_sheet_line(s, "marks on <b>", &line, "</b>, ");
    } else
        iol_sheet_put(s, "<br>");
    iol_line_place(&line, lens->position);
    iol_sheet_line(s, "<b class=\"place\">", &line, "</b><br>expect <b>");
    iol_line_form(&line, &lens->expected);
    iol_sheet_line(s, "", &line, "</b><br>SE ");
    iol_line_signed(&line, lens->expected.se_d, IOL_UNIT_d);
    iol_sheet_line(s, "", &line, ", target ");
    iol_line_signed(&line, lens->target_se_d, IOL_UNIT_d);
    iol_sheet_line(s, "", &line, "</p>");
    box(s, lens->product_number);
    iol_sheet_put(s, "</div>\n");
}

static void fact(iol_sheet *s, const char *label, iol_line *line) {
    if (line->used) {
        iol_sheet_text(s, "<p><b>", label, "</b> ");
        iol_sheet_line(s, "", line, "</p>\n");
    }
    iol_line_start(line);
}

static void wound(iol_sheet *s) {
    const iol_incision *i = &s->plan->incision;
    iol_line line;
    iol_line_start(&line);
    if (!i->present) return;
    iol_line_wound(&line, s->plan);
    fact(s, "Wound", &line);
}

static void lies(iol_sheet *s) {
    iol_line line;
    iol_line_start(&line);
    if (s->plan->removal.orientation.present && !iol_lens_behind(s->plan))
        iol_line_lies(&line, &s->plan->removal.orientation);
    fact(s, "Lies", &line);
}

static void cut_facts(iol_sheet *s, bool second) {
    const iol_removal_orientation *o = &iol_removal_of(s->plan, second)->orientation;
    const iol_removal_row *way = iol_preferred_way(iol_removal_of(s->plan, second));
    iol_line line;
    iol_line_start(&line);
    if (!second && !iol_theatre_held_again(s->plan)) lies(s); /* said beside the lens that stays */
    if (way && !isnan(way->thickest_cut_mm)) {
        iol_line_text(&line, "thickest cut ");
        iol_line_number(&line, way->thickest_cut_mm, IOL_UNIT_mm);
        if (!isnan(way->least_clearance_mm)) {
            iol_line_text(&line, "; at least ");
            iol_line_number(&line, way->least_clearance_mm, IOL_UNIT_mm);
            iol_line_text(&line, " to the endothelium");
        }
    }
    fact(s, "Blade", &line);
    wound(s);
    iol_line_text(&line, o->grip_hand == IOL_hand_left ? "left hand, port at " : "right hand, port at ");
    iol_line_number(&line, o->grip_port_position_deg, IOL_UNIT_deg);
    fact(s, "Hold", &line);
}

/* What is left to do of an eye with two lenses where that does not go as planned; the wound where nothing comes out. */
static void front_else(iol_sheet *s, bool alone) {
    const iol_choice *c = iol_power_given(s->plan) ? iol_chosen_step(iol_new_lens(s->plan)) : NULL;
    const iol_two_way *none = iol_two_way_of(s->plan, IOL_two_way_second_out);
    iol_line line;
    iol_line_start(&line);
    if (!alone && none && none->expected.present) {
        iol_line_form(&line, &none->expected);
        iol_line_text(&line, ", SE ");
        iol_line_signed(&line, none->expected.se_d, IOL_UNIT_d);
        fact(s, "No new second lens holds: leave none in front,", &line);
    }
    if (!s->plan->two_lenses.present || !c) return;
    iol_line_step(&line, iol_new_lens(s->plan), c);
    fact(s, "First lens has to come out too: one lens for both,", &line);
}

/* Under what an operation in front of the first lens puts in or leaves: the way out of the second lens; beside it what is done. */
static void front_out(iol_sheet *s, bool alone) {
    const bool comes_out = iol_second_comes_out(s->plan);
    if (comes_out) {
        iol_sheet_put(s, "<div class=\"zone\">\n");
        iol_sheet_cut_dial(s, true);
        iol_sheet_put(s, "</div>");
    }
    iol_sheet_put(s, "</div>\n<div><div class=\"zone notes\">\n");
    front_else(s, alone);
    if (comes_out) {
        iol_sheet_put(s, "<h3>How the second lens comes out</h3>\n");
        iol_sheet_out_steps(s, true, 0);
        cut_facts(s, true);
    } else
        wound(s);
    iol_sheet_minded(s, IOL_CARD_FRONT, 0);
    iol_sheet_put(s, "</div></div>\n");
}

/* A second lens in front, or a new one: no cut, no wound of an exchange. */
static void lead_lens(iol_sheet *s, const iol_lead *lead) {
    iol_line line;
    iol_line_start(&line);
    iol_line_power(&line, lead->power_d);
    iol_sheet_line(s,
                   iol_theatre_use(s->plan) == IOL_CARD_REPEAT ? "<div><div class=\"zone\"><p class=\"huge later\">"
                                                               : "<div><div class=\"zone\"><p class=\"huge\">",
                   &line, "</p>");
    iol_line_lead_warns(&line, lead);
    if (line.used) iol_sheet_line(s, "<p class=\"repeat\"><b>", &line, "</b></p>");
    lens_words(s, lead);
    front_out(s, false);
}

static void lens(iol_sheet *s) {
    const iol_card_use use = iol_theatre_use(s->plan);
    const iol_replacement *r = iol_new_lens(s->plan);
    iol_lead chosen;
    iol_line line;
    if (!iol_lead_step(r, &chosen)) return;
    const bool later = use != IOL_CARD_NOW || iol_misses(chosen.expected.se_d, r->target_se_d);
    iol_line_start(&line);
    iol_sheet_put(s, iol_weighed_beside(s->plan) ? "<div class=\"zone\"><h3>If it is exchanged</h3>" : "<div class=\"zone\">");
    if (use == IOL_CARD_REPEAT)
        iol_line_lens_warns(&line, s->plan); /* what is repeated stands across the head */
    else
        iol_line_lens_warns_full(&line, s->plan);
    if (line.used) iol_sheet_line(s, "<p class=\"repeat\"><b>", &line, "</b></p>");
    iol_line_start(&line);
    iol_line_power(&line, chosen.power_d);
    iol_sheet_line(s, later ? "<p class=\"huge later\">" : "<p class=\"huge\">", &line, "</p>");
    lens_words(s, &chosen);
}

/* The second lens comes out, the first stays. */
static void second_alone(iol_sheet *s) {
    const iol_two_way *out = iol_two_way_of(s->plan, IOL_two_way_second_out);
    iol_line line;
    iol_line_start(&line);
    iol_sheet_put(s, "<div><div class=\"zone\"><p class=\"stays\">no lens goes in</p><p class=\"facts\">expect <b>");
    iol_line_form(&line, &out->expected);
    iol_sheet_line(s, "", &line, "</b><br>SE ");
    iol_line_signed(&line, out->expected.se_d, IOL_UNIT_d);
    iol_sheet_line(s, "", &line, ", target ");
    iol_line_signed(&line, iol_new_lens(s->plan)->target_se_d, IOL_UNIT_d);
    iol_sheet_line(s, "", &line, "</p></div>\n");
    front_out(s, true);
}

static void turn(iol_sheet *s, const iol_turn *r) {
    iol_line line;
    iol_line_start(&line);
    iol_line_number(&line, fabs(r->turn_deg), IOL_UNIT_deg);
    iol_sheet_line(s, "<div class=\"zone\"><p class=\"huge\">", &line, "");
    iol_sheet_text(s, " <span>", r->turn_deg > 0.0 ? "anticlockwise" : "clockwise",
                   "</span></p><p class=\"facts\">marks from <b>");
    iol_line_axis(&line, r->from_deg);
    iol_sheet_line(s, "", &line, "</b> to <b>");
    iol_line_axis(&line, r->to_deg);
    iol_sheet_line(s, "", &line, "</b><br>expect <b>");
    iol_line_form(&line, &r->expected);
    iol_sheet_line(s, "", &line, "</b><br>SE ");
    iol_line_signed(&line, r->expected.se_d, IOL_UNIT_d);
    if (!isnan(r->loss_per_degree_d)) {
        iol_line_text(&line, "; ");
        iol_line_number(&line, r->loss_per_degree_d, IOL_UNIT_d);
        iol_line_text(&line, " of cylinder per degree off");
    }
    iol_sheet_line(s, "", &line, "</p></div>\n");
}

/* If the turn of a second lens fails: another one, else one lens for both. */
static bool second_instead(iol_sheet *s, iol_line *line) {
    iol_lead lens;
    if (!iol_turn_second_instead(s->plan, &lens)) return false;
    iol_sheet_put(
        s, "<div class=\"zone\"><h3>If it does not turn or hold: exchange the second lens</h3><p class=\"facts\">");
    iol_line_lead(line, &lens);
    iol_sheet_line(s, "<b>", line, "</b></p>");
    box(s, lens.product_number);
    iol_sheet_put(s, "</div>\n");
    return true;
}

/* The old lens stays: what is expected of it. */
static void held(iol_sheet *s, const iol_option_row *again) {
    iol_line line;
    iol_line_start(&line);
    iol_sheet_put(s, "<div class=\"zone\"><p class=\"stays\">old lens stays</p><p class=\"facts\">");
    if (s->plan->removal.orientation.present && !iol_lens_behind(s->plan))
        iol_line_lies(&line, &s->plan->removal.orientation);
    if (line.used) iol_sheet_line(s, "lies <b>", &line, "</b><br>");
    iol_line_signed(&line, again->expected_se_d, IOL_UNIT_d);
    iol_sheet_line(s, "expect SE <b>", &line, "</b>");
    if (!isnan(again->expected_cylinder_d)) {
        iol_line_signed(&line, again->expected_cylinder_d, IOL_UNIT_d);
        iol_sheet_line(s, ", cylinder <b>", &line, "</b>");
    }
    iol_line_signed(&line, iol_new_lens(s->plan)->target_se_d, IOL_UNIT_d);
    iol_sheet_line(s, "<br>target ", &line, "</p></div>\n");
}

/* If what is done to the old lens fails: the lens in its place first, small, then the other places. */
static void instead(iol_sheet *s, const char *title, bool second) {
    const iol_choice *c = iol_chosen_step(iol_new_lens(s->plan));
    iol_line line;
    iol_line_start(&line);
    if (second && second_instead(s, &line)) return;
    if (!iol_power_given(s->plan)) return;
    if (iol_sheet_turn_alone(s, "h3")) return;
    iol_sheet_text(s, "<div><div class=\"zone\"><h3>", title, "</h3>");
    iol_line_lens_warns_full(&line, s->plan);
    if (line.used) iol_sheet_line(s, "<p class=\"repeat\"><b>", &line, "</b></p>");
    iol_sheet_put(s, "<p class=\"facts\">");
    iol_line_power(&line, c->power_d);
    iol_sheet_line(s, "<b class=\"second\">", &line, "</b> ");
    iol_sheet_class(s, c);
    iol_line_place(&line, iol_new_lens(s->plan)->position);
    iol_sheet_line(s, ", <b class=\"place\">", &line, "</b></p>");
    box(s, c->product_number);
    iol_sheet_put(s, "</div>\n");
    iol_sheet_fallbacks(s, true, 5);
    iol_sheet_put(s, "</div>\n");
}

static void turn_facts(iol_sheet *s, bool second) {
    iol_line line;
    iol_line_start(&line);
    if (!second) lies(s);
    if (s->plan->decision.do_by != IOL_UNKNOWN_DATE) iol_line_day(&line, s->plan->decision.do_by);
    fact(s, "By", &line);
    if (second) iol_sheet_put(s, "<p>Read the marks of the second lens, not those of the first.</p>\n");
    iol_sheet_minded(s, IOL_CARD_TURN, 0);
}

/* The lens and how the old one lies on the left; on the right the other places and how the old one comes out. */
static void exchanged(iol_sheet *s) {
    enum { LONG = 4 }; /* places that fill the right column, as two ways out do: what is minded stands on the left then */
    const bool comes_out = s->plan->removal.orientation.present || iol_two_come_out(s->plan);
    int places = 0;
    for (int i = 0; i < s->plan->fallbacks_count; i++) places += !isnan(s->plan->fallbacks[i].power_d);
    const bool right_full = places >= LONG || iol_two_come_out(s->plan);
    iol_sheet_put(s, "<div>");
    lens(s);
    if (s->plan->removal.orientation.present) {
        iol_sheet_put(s, "<div class=\"zone\">\n");
        iol_sheet_cut_dial(s, false);
        iol_sheet_put(s, "</div>");
    }
    if (right_full) iol_sheet_minded(s, iol_theatre_card(s->plan), 0);
    iol_sheet_put(s, "</div>\n<div>");
    iol_sheet_fallbacks(s, true, 5);
    iol_sheet_put(s, "<div class=\"zone notes\">\n");
    if (comes_out) {
        iol_sheet_text(s, "<h3>How the old ", s->plan->two_lenses.present ? "lenses come" : "lens comes",
                       " out</h3>\n");
        iol_sheet_out_steps(s, false, 0);
        cut_facts(s, false);
    } else {
        iol_sheet_brought_forward(s, iol_theatre_card(s->plan), 0, 1);
        wound(s);
    }
    if (!right_full) iol_sheet_minded(s, iol_theatre_card(s->plan), 0);
    iol_sheet_put(s, "</div></div>\n");
}

/* The turn and its dial on the left; on the right what is done if it fails, and what bears on it. */
static void turned(iol_sheet *s, const iol_turn *t) {
    iol_sheet_put(s, "<div>");
    turn(s, t);
    iol_sheet_put(s, "<div class=\"zone\">\n");
    iol_sheet_turn_dial(s, t);
    iol_sheet_put(s, "</div></div>\n<div>");
    instead(s, "If it does not turn or hold: exchange", t->second);
    iol_sheet_turn_out(s, t->second);
    turn_facts(s, t->second);
    iol_sheet_put(s, "</div></div>\n");
}

/* The old lens and how it lies on the left; on the right all of an exchange, if it cannot be held. */
static void put_back(iol_sheet *s, const iol_option_row *again) {
    const bool comes_out = s->plan->removal.orientation.present;
    iol_sheet_put(s, "<div>");
    held(s, again);
    iol_sheet_put(s, "<div class=\"zone\">\n");
    iol_sheet_lies_dial(s);
    iol_sheet_put(s, "</div>\n<div class=\"notes\">");
    iol_sheet_brought_forward(s, IOL_CARD_HELD, 0, 1);
    iol_sheet_minded(s, IOL_CARD_HELD, 0);
    iol_sheet_put(s, "</div>\n");
    if (comes_out) {
        iol_sheet_put(s, "<div class=\"zone notes\"><h3>If exchanged</h3>\n");
        iol_sheet_not_done(s, IOL_CARD_OUT, IOL_CARD_HELD);
        cut_facts(s, false);
        iol_sheet_put(s, "</div>\n");
    }
    iol_sheet_put(s, "</div>\n<div>");
    instead(s, "If it cannot be held: exchange", false);
    if (comes_out) {
        iol_sheet_put(s, "<div class=\"zone notes\"><h3>How the old lens comes out then</h3>\n");
        iol_sheet_out_steps(s, false, IOL_CARD_HELD);
        iol_sheet_minded(s, IOL_CARD_OUT, IOL_CARD_HELD);
        iol_sheet_put(s, "</div>\n");
    }
    iol_sheet_put(s, "</div>\n");
}

/* Across the head: why the card is not for now, and what a repeat is for. */
static void band(iol_sheet *s) {
    const iol_card_use use = iol_theatre_use(s->plan);
    iol_line line;
    const char *not_next = iol_theatre_not_next(s->plan, &line);
    if (not_next)
        iol_sheet_text(s, use == IOL_CARD_NOT_NEXT ? "<p class=\"not-next barred\">" : "<p class=\"not-next\">",
                       not_next, "</p>\n");
    iol_line_start(&line);
    iol_line_text(&line, "REPEAT BEFORE ORDERING:");
    if (use == IOL_CARD_REPEAT && iol_line_lifts(&line, s->plan))
        iol_sheet_line(s, "<p class=\"not-next barred\">", &line, "</p>\n");
}

void iol_sheet_theatre(iol_sheet *s) {
    const char *why_not, *operation = iol_theatre_operation(s->plan, &why_not);
    iol_line line;
    if (!operation) return;
    iol_lead lead;
    iol_turn t;
    const bool turns = iol_turn_operates(s->plan, &t), leads = iol_lead_operates(s->plan, &lead);
    const iol_option_row *again = iol_theatre_held_again(s->plan);
    const size_t word = iol_sheet_shouted(operation);
    iol_sheet_section(s, "theatre", iol_sheet_card_is_full(s->plan) ? " full" : "", "\">\n");
    head(s);
    iol_line_start(&line);
    iol_line_text(&line, operation);
    line.text[word] = '\0';
    iol_sheet_text(s, "<p class=\"operation\"><b>", line.text, "</b>");
    iol_sheet_text(s, "", operation + word, "</p>\n");
    iol_line_start(&line);
    if (iol_line_out_and_stays(&line, s->plan)) iol_sheet_line(s, "<p class=\"facts\"><b>", &line, "</b></p>\n");
    band(s);
    iol_sheet_not_done(s, iol_theatre_card(s->plan), 0);
    if (iol_theatre_card(s->plan) == IOL_CARD_OUT) iol_sheet_put_back(s);
    iol_sheet_put(s, "<div class=\"two\">\n");
    if (leads)
        lead_lens(s, &lead);
    else if (iol_second_out_operates(s->plan))
        second_alone(s);
    else if (turns)
        turned(s, &t);
    else if (again)
        put_back(s, again);
    else
        exchanged(s);
    iol_sheet_put(s, "</div>\n");
    iol_sheet_ticks(s, turns);
    iol_sheet_signed(s);
    iol_sheet_put(s, "</section>\n");
}
