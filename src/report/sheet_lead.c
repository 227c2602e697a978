/* Sheet 1 in ten seconds: when, which lens or why none, how sure. One date, one power, one doubt. */
#include "sheet.h"
#include "tables/note_codes.h"

static void cell(iol_sheet *s, const char *head, const char *kind, iol_line *first) {
    iol_sheet_text(s, "<div><dt>", head, "</dt><dd>");
    iol_sheet_text(s, "<b class=\"", kind, "\">");
    iol_sheet_line(s, "", first, "</b>");
}

static void under(iol_sheet *s, iol_line *line) {
    if (line->used) iol_sheet_line(s, "<br>", line, "");
    iol_sheet_put(s, "</dd></div>\n");
}

/* ---- when ---- */

/* A toric lens that may yet be turned, though something else comes first, turns easily for some days more; a day is said once. */
static void turn_until(const iol_plan *plan, int32_t told, iol_line *more) {
    const iol_timing *t = &plan->timing;
    const iol_option_row *first = iol_first_way(plan);
    bool may = false;
    for (int i = 0; i < plan->options_count; i++)
        may |= plan->options[i].option == IOL_option_rotation && !isnan(plan->options[i].rank);
    if (!may || plan->as_of == IOL_UNKNOWN_DATE || (first && first->option == IOL_option_rotation)) return;
    for (int i = 0; i < t->windows_count; i++) {
        const iol_window *w = &t->windows[i];
        const double left = w->to_day - t->days_since_first_surgery;
        const int32_t until = plan->as_of + (int32_t)left;
        if (w->what != IOL_window_what_turns_easily || iol_at_least(left, 0.0) != IOL_YES || until == told) continue;
        iol_line_text(more, "if it is turned: by ");
        iol_line_day(more, until);
    }
}

/* The alarm is one of the red flags, not the eye pressure alone. */
static bool flags_seen(const iol_plan *plan) {
    return iol_note_with(&plan->notes, IOL_AT_decision_reasons, IOL_NOTE_rule_red_flag) >= 0;
}

static void when(iol_sheet *s) {
    static const char *const soon[] = {[IOL_urgency_same_day] = "today",
                                       [IOL_urgency_days] = "within days",
                                       [IOL_urgency_weeks] = "within weeks",
                                       [IOL_urgency_planned] = "planned, no hurry"};
    const iol_decision *d = &s->plan->decision;
    const iol_option_row *first = iol_first_way(s->plan);
    const bool way = d->state == IOL_state_other_option_first || d->state == IOL_state_exchange_or_alternative;
    const int32_t from = d->not_before != IOL_UNKNOWN_DATE ? d->not_before
                         : way && first                    ? first->not_before
                                                           : IOL_UNKNOWN_DATE;
    iol_line line, more;
    iol_line_start(&line), iol_line_start(&more);
    if (from != IOL_UNKNOWN_DATE) {
        iol_line_text(&line, "not before ");
        iol_line_day(&line, from);
    } else if (d->do_by != IOL_UNKNOWN_DATE) {
        iol_line_text(&line, "by ");
        iol_line_day(&line, d->do_by);
    } else
        iol_line_text(&line, d->urgency > 0 ? soon[d->urgency] : "not known");
    if (iol_is_alarm(s->plan)) iol_line_text(&line, flags_seen(s->plan) ? ": red flags" : ": eye pressure");
    cell(s, "When", "day", &line);
    turn_until(s->plan, from == IOL_UNKNOWN_DATE ? d->do_by : IOL_UNKNOWN_DATE, &more);
    under(s, &more);
}

/* ---- which lens ---- */

static void in_reserve(iol_line *more, const iol_plan *plan, const char *words) {
    const iol_choice *c = iol_chosen_step(iol_new_lens(plan));
    if (!iol_power_given(plan)) return;
    if (iol_misses(c->expected.se_d, iol_new_lens(plan)->target_se_d)) return;
    const bool settled = !iol_power_not_settled(plan);
    iol_line_text(more, words);
    if (settled) iol_line_power(more, c->power_d);
    if (!settled) iol_line_text(more, "power not settled");
    if (c->cylinder_d > 0.0) iol_line_text(more, ", toric");
    if (iol_exchange_from(plan) != IOL_UNKNOWN_DATE) {
        iol_line_text(more, ", not before ");
        iol_line_day(more, iol_exchange_from(plan));
    }
    if (iol_new_lens(plan)->standing == IOL_standing_repeat_before_ordering)
        iol_line_text(more, ", repeat before ordering");
}

static void power(iol_sheet *s, double power_d, int position, int standing, const char *words) {
    iol_line line, more;
    iol_line_start(&line), iol_line_start(&more);
    iol_line_power(&line, power_d);
    cell(s, "Lens", "power", &line);
    iol_line_text(&more, words);
    iol_line_place(&more, position);
    if (iol_new_lens(s->plan)->present) {
        iol_sheet_line(s, "<br>", &more, "");
        iol_line_text(&more, "aim ");
        iol_line_signed(&more, iol_new_lens(s->plan)->target_se_d, IOL_UNIT_d);
    }
    if (standing == IOL_standing_repeat_before_ordering) {
        iol_sheet_line(s, "<br>", &more, "");
        iol_line_text(&more, "REPEAT BEFORE ORDERING");
        iol_sheet_line(s, "<br><strong>", &more, "</strong>");
    }
    under(s, &more);
}

/* Why there is none: the first thing that holds it back, in a few words. */
static void no_power(iol_sheet *s) {
    const int note = iol_note_find(&s->plan->notes, IOL_AT_replacement_standing_reasons, 0, 0);
    const iol_replacement *r = iol_new_lens(s->plan);
    const bool usable = r->standing == IOL_standing_advised || r->standing == IOL_standing_repeat_before_ordering;
    iol_line line, more;
    iol_line_start(&line), iol_line_start(&more);
    iol_line_text(&line, "no power");
    cell(s, "Lens", "none", &line);
    if (iol_is_alarm(s->plan))
        iol_line_text(&more, "because of the alarm");
    else if (iol_cause_before_lens(s->plan))
        iol_line_text(&more, "the cause is found first");
    else if (usable)
        iol_line_text(&more, "no step of the shelf fits");
    else if (note >= 0) {
        iol_line_text(&more, "held back by: ");
        iol_line_words(&more, iol_note_rows[s->plan->notes.item[note].code].code);
    }
    under(s, &more);
}

static void stays(iol_sheet *s, const char *words, const char *reserve) {
    iol_line line, more;
    iol_line_start(&line), iol_line_start(&more);
    iol_line_text(&line, words);
    cell(s, "Lens", "none", &line);
    in_reserve(&more, s->plan, reserve);
    under(s, &more);
}

/* Both ways are weighed: neither is the lens of this plan yet. */
static void stays_or(iol_sheet *s, const iol_replacement *r) {
    iol_line line, more;
    iol_line_start(&line), iol_line_start(&more);
    iol_line_text(&line, "old lens stays, or ");
    if (iol_power_not_settled(s->plan))
        iol_line_text(&line, "exchange");
    else
        iol_line_power(&line, iol_chosen_step(r)->power_d);
    cell(s, "Lens", "none", &line);
    iol_line_text(&more, "if exchanged, ");
    iol_line_place(&more, r->position);
    if (r->standing == IOL_standing_repeat_before_ordering) {
        iol_sheet_line(s, "<br>", &more, "");
        iol_line_text(&more, "REPEAT BEFORE ORDERING");
        iol_sheet_line(s, "<br><strong>", &more, "</strong>");
    }
    under(s, &more);
}

static void turn(iol_sheet *s, const iol_turn *t) {
    iol_line line, more;
    iol_line_start(&line), iol_line_start(&more);
    iol_line_turn(&line, t->turn_deg);
    cell(s, "Turn", "turned", &line);
    iol_lead second;
    if (iol_turn_alone(s->plan))
        iol_line_text(&more, "if it fails, leave it");
    else if (iol_second_instead(s->plan, &second)) {
        iol_line_text(&more, "if it fails, another second lens: ");
        iol_line_power(&more, second.power_d);
        if (second.cylinder_d > 0.0) iol_line_text(&more, ", toric");
        if (second.standing == IOL_standing_repeat_before_ordering) iol_line_text(&more, ", repeat before ordering");
    } else
        in_reserve(&more, s->plan, "if it fails, exchange: ");
    under(s, &more);
}

static void which(iol_sheet *s) {
    const iol_replacement *r = iol_new_lens(s->plan);
    iol_turn t;
    iol_lead lead;
    switch (iol_what_is_done(s->plan, &t, &lead)) {
    case IOL_DOES_turn: turn(s, &t); break;
    case IOL_DOES_lead:
        power(s, lead.power_d, lead.position, lead.standing,
              lead.way->option == IOL_option_piggyback ? "a second lens, " : "new second lens, ");
        break;
    case IOL_DOES_hold: stays(s, "old lens stays", "if it cannot be held: "); break;
    case IOL_DOES_out: stays(s, "second lens out, none in", "one lens for both instead: "); break;
    case IOL_DOES_exchange:
        if (iol_old_lens_may_stay(s->plan))
            stays_or(s, r);
        else
            power(s, iol_chosen_step(r)->power_d, r->position, r->standing,
                  s->plan->secondary.present ? "put in, " : "new lens, ");
        break;
    case IOL_DOES_other:
        stays(s, s->plan->secondary.present ? "none put in yet" : "lens is not touched",
              s->plan->secondary.present ? "if one is put in: " : "only if exchanged: ");
        break;
    default: no_power(s);
    }
}

/* ---- how sure ---- */

static void sure(iol_sheet *s) {
    iol_line line, more;
    iol_line_doubt(s->plan, false, &line, &more);
    cell(s, "How sure", "doubt", &line);
    under(s, &more);
}

void iol_sheet_lead(iol_sheet *s) {
    iol_sheet_put(s, iol_power_not_settled(s->plan) && !iol_cause_before_lens(s->plan) ? "<dl class=\"lead open\">\n"
                                                                                       : "<dl class=\"lead\">\n");
    when(s);
    which(s);
    sure(s);
    iol_sheet_put(s, "</dl>\n");
}
