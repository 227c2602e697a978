/* The theatre card as text. */
#include "screen.h"
#include "theatre_hands.h"

#include <string.h>

static void say(iol_screen *s, const char *head, iol_line *line) {
    iol_screen_say(s, IOL_RANK_NEVER, head, line->text);
    iol_line_start(line);
}

static void add_refraction(iol_line *line, const iol_spectacle_form *e) {
    if (!isnan(e->sphere_d)) {
        iol_line_refraction(line, e->sphere_d, e->cylinder_d, e->axis_deg);
        iol_line_text(line, ", ");
    }
    iol_line_text(line, "SE ");
    iol_line_signed(line, e->se_d, IOL_UNIT_d);
}

static void box(iol_screen *s, const char *number) {
    iol_line line;
    iol_line_start(&line);
    iol_line_box(&line, number);
    say(s, "BOX", &line);
}

static void fallbacks(const iol_plan *plan, iol_screen *s) {
    int count = 0;
    for (int i = 0; i < plan->fallbacks_count; i++) {
        const iol_fallback *f = &plan->fallbacks[i];
        if (isnan(f->power_d)) continue;
        iol_line line;
        iol_line_start(&line);
        iol_line_number(&line, count + 1, IOL_UNIT_count);
        iol_line_text(&line, " ");
        const bool misses = iol_misses(f->expected_se_d, f->aim_d);
        if (!misses) iol_line_power(&line, f->power_d); /* no power of what fits nothing */
        iol_line_text(&line, misses ? "NO LENS FITS " : " ");
        iol_line_place(&line, f->position);
        iol_line_text(&line, ", ");
        iol_line_text(&line, f->lens_id);
        iol_line_text(&line, misses ? ", the nearest leaves " : ", aims at ");
        iol_line_signed(&line, misses ? f->expected_se_d : f->aim_d, IOL_UNIT_d);
        if (iol_others_not_toric(plan)) {
            iol_line_text(&line, ", cyl ");
            iol_line_signed(&line, f->expected_cylinder_d, IOL_UNIT_d);
        }
        iol_screen_say(s, IOL_RANK_FACT, count++ == 0 ? "ELSE" : NULL, line.text);
    }
    if (count && iol_others_not_toric(plan))
        iol_screen_say(s, IOL_RANK_FACT, NULL, "NOT TORIC: the cylinder stays, in glasses.");
}

/* One of two lenses by name, and how it comes out. */
static void out_of_two(const iol_plan *plan, bool second, const char *number, iol_screen *s) {
    const iol_removal *r = iol_removal_of(plan, second);
    iol_line line;
    iol_line_start(&line);
    iol_line_text(&line, number);
    iol_line_which_lens(&line, plan, second);
    iol_line_text(&line, ": ");
    iol_line_out(&line, r, "turn it ", "; then ");
    iol_line_widest(&line, r);
    say(s, number[0] == '2' ? NULL : "OUT", &line);
}

/* With the place of the hand that holds what comes out. */
static void wound(const iol_plan *plan, const iol_removal_orientation *o, iol_screen *s) {
    iol_line line;
    if (!plan->incision.present) return;
    iol_line_start(&line);
    iol_line_wound(&line, plan);
    if (o && o->present) {
        iol_line_text(&line, "; ");
        iol_line_hold(&line, o);
    }
    say(s, "WOUND", &line);
}

static void cut(const iol_plan *plan, iol_screen *s) {
    iol_line line;
    const iol_removal_orientation *o = &plan->removal.orientation;
    const bool both = iol_two_come_out(plan), known = o->present && iol_preferred_way(&plan->removal);
    if (both) {
        out_of_two(plan, true, "1 ", s);
        if (plan->removal.present) out_of_two(plan, false, "2 ", s);
    } else if (known) {
        iol_line_start(&line);
        iol_line_text(&line, iol_theatre_held_again(plan) ? "if exchanged: " : "");
        iol_line_out(&line, &plan->removal, "1 turn the old lens ", "; 2 ");
        say(s, "OUT", &line);
    }
    wound(plan, known ? o : both ? &iol_removal_of(plan, true)->orientation : NULL, s);
}

static void lies(const iol_plan *plan, iol_screen *s) {
    iol_line line;
    iol_line_start(&line);
    if (plan->removal.orientation.present && !iol_lens_behind(plan)) iol_line_lies(&line, &plan->removal.orientation);
    if (line.used) say(s, "LIES", &line);
}

/* The lens of the way that leads. */
static void lead_lens(const iol_lead *lead, iol_screen *s) {
    iol_line line;
    iol_line_start(&line);
    iol_line_lead_warns(&line, lead);
    iol_line_lead(&line, lead);
    say(s, "LENS", &line);
    box(s, lead->product_number);
    add_refraction(&line, &lead->expected);
    iol_line_text(&line, ", target ");
    iol_line_signed(&line, lead->target_se_d, IOL_UNIT_d);
    say(s, "EXPECT", &line);
}

/* The way out of what comes out then, where that is for this day. */
static void out_then(const iol_plan *plan, const iol_turn *t, iol_screen *s) {
    iol_lead lens;
    iol_line line;
    if (!iol_card_may_put_in(plan)) return;
    const bool alone = t->second && iol_turn_second_instead(plan, &lens);
    if (t->second) {
        out_of_two(plan, true, alone ? "" : "1 ", s);
        if (!alone && plan->removal.present) out_of_two(plan, false, "2 ", s);
    } else if (plan->removal.present) {
        iol_line_start(&line);
        iol_line_text(&line, "if exchanged: ");
        iol_line_out(&line, &plan->removal, "once freed turn it ", "; then ");
        say(s, "OUT", &line);
    }
    wound(plan, &iol_removal_of(plan, t->second)->orientation, s);
}

/* What is done if the turn does not hold: another second lens, or the exchange. */
static void instead(const iol_plan *plan, const iol_turn *t, iol_screen *s) {
    iol_line line;
    iol_lead second;
    iol_line_start(&line);
    iol_line_text(&line, "if it does not turn or hold: ");
    if (t->second && iol_turn_second_instead(plan, &second)) {
        iol_line_lead(&line, &second);
        say(s, "LENS", &line);
        box(s, second.product_number);
        iol_line_text(&line, "then ");
        add_refraction(&line, &second.expected);
    } else if (iol_turn_alone(plan)) {
        iol_line_text(&line, IOL_TURN_FAILS);
        say(s, "LENS", &line);
        lies(plan, s);
        return;
    } else if (iol_power_given(plan)) {
        const iol_choice *c = iol_chosen_step(iol_new_lens(plan));
        iol_line_lens_warns(&line, plan);
        iol_line_step(&line, iol_new_lens(plan), c);
        say(s, "LENS", &line);
        box(s, c->product_number);
        iol_line_text(&line, "then ");
        add_refraction(&line, &c->expected);
    } else
        return;
    iol_line_text(&line, ", target ");
    iol_line_signed(&line, iol_new_lens(plan)->target_se_d, IOL_UNIT_d);
    say(s, "EXPECT", &line);
    out_then(plan, t, s);
    if (t->second) return;
    fallbacks(plan, s);
    lies(plan, s);
}

static void the_turn(const iol_plan *plan, const iol_turn *t, iol_screen *s) {
    iol_line line;
    iol_line_start(&line);
    iol_line_marks_turn(&line, t);
    say(s, "TURN", &line);
    add_refraction(&line, &t->expected);
    say(s, "EXPECT", &line);
    instead(plan, t, s);
}

/* What is left to do where that does not go as planned, of an eye with two lenses. */
static void what_else(const iol_plan *plan, iol_screen *s) {
    const iol_choice *c = iol_power_given(plan) ? iol_chosen_step(iol_new_lens(plan)) : NULL;
    const iol_two_way *none = iol_two_way_of(plan, IOL_two_way_second_out);
    const bool exchanged = !iol_second_out_operates(plan);
    iol_line line;
    iol_line_start(&line);
    if (!plan->two_lenses.present) return;
    if (exchanged && none && none->expected.present) {
        iol_line_text(&line, "no new second lens holds: leave none in front, expect ");
        add_refraction(&line, &none->expected);
        say(s, "ELSE", &line);
    }
    if (!c) return;
    iol_line_text(&line, "the first lens has to come out too: one lens for both, ");
    iol_line_step(&line, iol_new_lens(plan), c);
    iol_line_text(&line, ", expect SE ");
    iol_line_signed(&line, c->expected.se_d, IOL_UNIT_d);
    say(s, exchanged ? NULL : "ELSE", &line);
}

static void front(const iol_plan *plan, iol_screen *s) {
    const bool out = iol_second_comes_out(plan);
    what_else(plan, s);
    if (out) out_of_two(plan, true, "", s);
    wound(plan, out ? &iol_removal_of(plan, true)->orientation : NULL, s);
}

static void second_alone(const iol_plan *plan, iol_screen *s) {
    iol_line line;
    iol_line_start(&line);
    add_refraction(&line, &iol_two_way_of(plan, IOL_two_way_second_out)->expected);
    iol_line_text(&line, ", target ");
    iol_line_signed(&line, iol_new_lens(plan)->target_se_d, IOL_UNIT_d);
    say(s, "EXPECT", &line);
    front(plan, s);
}

static void exchange(const iol_plan *plan, iol_screen *s) {
    const iol_replacement *r = iol_new_lens(plan);
    const iol_choice *c = iol_chosen_step(r);
    iol_line line;
    iol_line_start(&line);
    if (iol_line_put_back(&line, plan)) say(s, iol_only_held(plan) ? "FIX" : "BACK", &line);
    const bool other =
        iol_theatre_held_again(plan) || iol_weighed_beside(plan) || iol_theatre_use(plan) == IOL_CARD_WEIGH;
    iol_line_text(&line, other ? "if exchanged: " : "");
    iol_line_lens_warns(&line, plan);
    iol_line_step(&line, r, c);
    say(s, "LENS", &line);
    box(s, c->product_number);
    iol_line_text(&line, other ? "then " : "");
    add_refraction(&line, &c->expected);
    iol_line_text(&line, ", target ");
    iol_line_signed(&line, r->target_se_d, IOL_UNIT_d);
    say(s, "EXPECT", &line);
    fallbacks(plan, s);
    cut(plan, s);
    lies(plan, s);
}

/* What is minded at the table: a line each, or all in one paragraph. */
static void hands(const iol_plan *plan, iol_hands_kind kind, const char *head, iol_screen *s) {
    const int card = iol_theatre_card(plan);
    iol_line back;
    iol_line_start(&back);
    const bool together = kind == IOL_HANDS_MIND, beside = iol_line_put_back(&back, plan);
    char text[200];
    iol_line all;
    bool first = true;
    iol_line_start(&all);
    for (int i = iol_hands_find(plan, kind, card, 0, text, sizeof text); i >= 0;
         i = iol_hands_find(plan, kind, card, i + 1, text, sizeof text)) {
        if (!together) {
            iol_line one; /* beside putting it back: what belongs to the exchange alone says so */
            iol_line_start(&one);
            iol_line_text(&one, beside && iol_hands[i].cards == IOL_CARD_OUT && kind == IOL_HANDS_STEP ? "If exchanged: " : "");
            iol_line_text(&one, text);
            iol_screen_say(s, IOL_RANK_NEVER, first ? head : NULL, one.text);
        }
        if (together && !first) iol_line_text(&all, " ");
        if (together) iol_line_text(&all, text);
        first = false;
    }
    if (all.used) iol_screen_say(s, IOL_RANK_DETAIL, head, all.text);
}

/* What does not stand on the lines of a screen is cut from the end; then that is said. */
static void say_cut(iol_screen *s) {
    int left = 0;
    for (int i = 0; i < s->lines; i++) left += !s->line[i].gone;
    if (left <= IOL_SCREEN_LINES || s->lines == IOL_SCREEN_ROOM) return;
    iol_screen_say(s, IOL_RANK_NEVER, "CUT", "Shortened: all of it on sheet 2 of the pages, or by --format json.");
    iol_screen_fit(s, IOL_SCREEN_LINES);
}

void iol_screen_theatre(const iol_plan *plan, iol_screen *s) {
    const char *why_not, *operation = iol_theatre_operation(plan, &why_not), *not_next;
    iol_line line, other;
    iol_screen_start(s);
    iol_screen_ident(s, plan);
    iol_line_start(&line);
    if (!operation) {
        iol_line_text(&line, "No theatre card: ");
        iol_line_text(&line, why_not);
        iol_line_text(&line, ".");
        say(s, "", &line);
        return;
    }
    iol_lead lead;
    iol_turn t;
    iol_screen_say(s, IOL_RANK_NEVER, "DO", operation);
    if (iol_line_out_and_stays(&line, plan)) say(s, "WHICH", &line);
    not_next = iol_theatre_not_next(plan, &other);
    if (not_next) iol_screen_say(s, IOL_RANK_NEVER, "BUT", not_next);
    hands(plan, IOL_HANDS_LIES, "OLD", s);
    hands(plan, IOL_HANDS_NOT, "NOT", s);
    hands(plan, IOL_HANDS_STEP, "FIRST", s);
    if (iol_turn_operates(plan, &t))
        the_turn(plan, &t, s);
    else if (iol_second_out_operates(plan))
        second_alone(plan, s);
    else if (iol_lead_operates(plan, &lead)) {
        lead_lens(&lead, s);
        front(plan, s);
    } else
        exchange(plan, s);
    hands(plan, IOL_HANDS_MIND, "MIND", s);
    iol_screen_ticks(plan, s);
    iol_line_start(&line);
    iol_line_start(&other);
    if (!iol_line_unsigned(&other, plan) && iol_line_signed_for(&line, plan)) say(s, "FOR", &line);
    iol_line_start(&line);
    iol_screen_say(s, IOL_RANK_NEVER, "SIGN",
                   iol_line_unsigned(&line, plan)
                       ? line.text
                       : "surgeon ________________  nurse ________________  date, time __________");
    say_cut(s);
}
