/* Sheet 1: what to do, by when, how sure, what first. */
#include <string.h>

#include "sheet.h"
#include "tables/constants.h"
#include "tables/note_codes.h"

/* ---- head and stops ---- */

static void ident(iol_sheet *s) {
    const iol_plan *plan = s->plan;
    iol_line line;
    iol_sheet_put(s, "<header class=\"ident\"><h1>");
    iol_sheet_put(s, plan->eye == IOL_side_right ? "RIGHT eye" : "LEFT eye");
    iol_sheet_text(s, "<span class=\"hidden\">, revision plan, case ", plan->case_ref, "</span></h1>");
    iol_sheet_two_eyes(s);
    iol_sheet_text(s, "<p class=\"case\"><b>case ", plan->case_ref, "</b><br>");
    iol_line_start(&line);
    iol_line_as_of(&line, plan);
    iol_sheet_line(s, "", &line, "</p></header>\n");
    if (plan->changed_count == 0) return;
    iol_line_start(&line);
    iol_line_changes(&line, plan);
    iol_sheet_line(s, "<p><b>For this plan alone, not in the file:</b> ", &line, "</p>\n");
}

static bool is_caution(const iol_note *note, iol_severity severity) {
    return note->place == IOL_AT_plan_cautions && iol_note_rows[note->code].severity == severity;
}

static void stops(iol_sheet *s) {
    bool any = false;
    for (int i = 0; i < s->plan->notes.count; i++) {
        const iol_note *note = &s->plan->notes.item[i];
        if (!is_caution(note, IOL_SEVERITY_stop)) continue;
        if (!any) iol_sheet_put(s, "<div class=\"stop-box\" role=\"note\" aria-label=\"Stop\">");
        if (!any) iol_sheet_stop_sign(s);
        if (!any) iol_sheet_put(s, "<ul>");
        any = true;
        iol_sheet_put(s, "<li>");
        iol_sheet_note(s, note);
        iol_sheet_put(s, "</li>\n");
    }
    if (any) iol_sheet_put(s, "</ul></div>\n");
}

/* ---- the band: decision, acts ---- */

static void act_list(iol_sheet *s, int when, const char *open, const char *close) {
    bool any = false;
    for (int i = 0; i < s->plan->decision.acts_count; i++) {
        const int note = iol_note_find(&s->plan->notes, IOL_AT_act_text, i, 0);
        if (s->plan->decision.acts[i].when != when || note < 0) continue;
        if (!any) iol_sheet_put(s, open);
        any = true;
        iol_sheet_put(s, "<li>");
        iol_sheet_note(s, &s->plan->notes.item[note]);
        iol_sheet_put(s, "</li>\n");
    }
    if (any) iol_sheet_put(s, close);
}

static void also(iol_sheet *s) {
    int count = 0;
    for (int i = 0; i < s->plan->decision.acts_count; i++) {
        const int note = iol_note_find(&s->plan->notes, IOL_AT_act_text, i, 0);
        if (s->plan->decision.acts[i].when != IOL_act_when_also || note < 0) continue;
        if (count == 0) iol_sheet_put(s, "<p class=\"also\"><b>Also:</b> ");
        if (count++ < 2) {
            iol_sheet_note(s, &s->plan->notes.item[note]);
            iol_sheet_put(s, " ");
        }
    }
    if (count > 2) {
        iol_html_count(s->out, count - 2);
        iol_sheet_put(s, " more: tables.");
    }
    if (count) iol_sheet_put(s, "</p>\n");
}

static int because_source(const iol_plan *plan) {
    const iol_option_row *first = iol_first_way(plan);
    const bool way = plan->decision.state == IOL_state_other_option_first && first;
    const iol_note *speaks = way ? iol_way_for(plan, (int)(first - plan->options)) : NULL;
    if (speaks) return (int)iol_note_rows[speaks->code].reference;
    const int note = way ? iol_note_find(&plan->notes, IOL_AT_option_row_why, (int)(first - plan->options), 0)
                         : iol_note_find(&plan->notes, IOL_AT_decision_reasons, 0, 0);
    return note < 0 ? -1 : (int)iol_note_rows[plan->notes.item[note].code].reference;
}

static void band(iol_sheet *s) {
    iol_line line;
    const int source = because_source(s->plan);
    iol_sheet_text(s, "<div class=\"band\"><p class=\"decision\">", s->plan->decision.sentence, "</p>\n");
    iol_sheet_lead(s);
    iol_line_start(&line);
    iol_line_goals(&line, s->plan);
    if (line.used && !iol_is_alarm(s->plan)) iol_sheet_line(s, "<p class=\"because\"><b>", &line, "</b></p>\n");
    iol_sheet_put(s, "<p class=\"because\">");
    iol_line_start(&line);
    iol_line_because(&line, s->plan);
    iol_sheet_line(s, "", &line, "");
    if (source >= 0) iol_sheet_source(s, source);
    iol_sheet_put(s, "</p>\n");
    iol_line_start(&line);
    iol_line_then(&line, s->plan);
    if (line.used) iol_sheet_line(s, "<p class=\"because\">", &line, "</p>\n");
    act_list(s, IOL_act_when_first, "<h2 class=\"hidden\">First</h2><ol class=\"acts first\">", "</ol>\n");
    act_list(s, IOL_act_when_after_it, "<h2>After it</h2><ol class=\"acts\">", "</ol>\n");
    also(s);
    act_list(s, IOL_act_when_weigh, "<ul class=\"weigh\" aria-label=\"Weigh\">", "</ul>\n");
    act_list(s, IOL_act_when_until_then, "<ul class=\"do-not\" aria-label=\"Do not\">", "</ul>\n");
    iol_sheet_put(s, "</div>\n");
}

/* ---- what went wrong, when ---- */

static void turn_facts(iol_sheet *s, const iol_turn *r) {
    iol_line line;
    iol_sheet_text(s, "<div class=\"zone\"><h2>", r->second ? "The turn of the second lens" : "The turn", " <small>");
    iol_sheet_put(s, "seen from in front of the eye</small></h2>");
    iol_line_start(&line);
    iol_line_number(&line, fabs(r->turn_deg), IOL_UNIT_deg);
    iol_sheet_line(s, "<p class=\"big\"><b>", &line, "</b> ");
    iol_sheet_text(s, "", r->turn_deg > 0.0 ? "anticlockwise" : "clockwise", "</p>\n<table class=\"pairs\"><tbody>");
    const struct {
        const char *label;
        double deg;
    } axis[] = {{"marks meant on", r->meant_deg},
                {"marks now on", r->from_deg},
                {"bring them to, for the least cylinder", r->to_deg}};
    for (int i = 0; i < 3; i++) {
        if (isnan(axis[i].deg)) continue;
        iol_sheet_text(s, "<tr><th scope=\"row\">", axis[i].label, "</th><td>");
        iol_line_axis(&line, axis[i].deg);
        if (i == 0) {
            iol_line_text(&line, ", now ");
            iol_line_number(&line, fabs(remainder(r->from_deg - r->meant_deg, 180.0)), IOL_UNIT_deg);
            iol_line_text(&line, " off");
        }
        iol_sheet_line(s, i ? "<b>" : "", &line, i ? "</b></td></tr>" : "</td></tr>");
    }
    iol_sheet_put(s, "<tr><th scope=\"row\">then</th><td>");
    iol_line_form(&line, &r->expected);
    iol_sheet_line(s, "<b>", &line, "</b></td></tr>");
    if (!isnan(r->loss_per_degree_d)) {
        iol_line_number(&line, r->loss_per_degree_d, IOL_UNIT_d);
        iol_sheet_line(s, "<tr><th scope=\"row\">each degree off</th><td>", &line, " of cylinder</td></tr>");
    }
    iol_sheet_put(s, "</tbody></table></div>\n");
}

static void when_words(iol_sheet *s) {
    const iol_timing *t = &s->plan->timing;
    iol_line line;
    const int advice = iol_note_find(&s->plan->notes, IOL_AT_timing_advice, 0, 0);
    if (advice >= 0) {
        char text[640], *end;
        iol_note_text(&s->plan->notes.item[advice], text, sizeof text);
        if ((end = strstr(text, ". ")) != NULL) end[1] = '\0'; /* its first sentence; the tables have the rest */
        iol_sheet_text(s, "<p>", text, "");
        iol_sheet_source(s, (int)iol_note_rows[s->plan->notes.item[advice].code].reference);
        iol_sheet_put(s, "</p>\n");
    }
    if (isnan(t->days_since_first_surgery)) iol_sheet_put(s, "<p>The day of the first operation is not known.</p>\n");
    if (iol_above(t->days_since_first_surgery, c_glance_days) == IOL_YES) {
        iol_line_start(&line);
        iol_line_number(&line, t->days_since_first_surgery, IOL_UNIT_count);
        iol_sheet_line(s, "<p>", &line, " days since the first operation: no healing has to be waited for.</p>\n");
    }
}

static void when(iol_sheet *s) {
    const iol_timing *t = &s->plan->timing;
    const bool words = iol_note_find(&s->plan->notes, IOL_AT_timing_advice, 0, 0) >= 0 ||
                       iol_at_most(t->days_since_first_surgery, c_glance_days) != IOL_YES;
    if (!t->present || (t->windows_count == 0 && !words)) return;
    iol_sheet_put(s, "<div class=\"zone\"><h2>When</h2>\n");
    iol_sheet_timeline(s);
    when_words(s);
    iol_sheet_put(s, "</div>\n");
}

/* A reading that is long past bears its day, the newest one beside it. */
static void read_when(iol_sheet *s) {
    iol_line line;
    iol_line_start(&line);
    if (s->plan->surprise.read_on == IOL_UNKNOWN_DATE) return;
    iol_line_text(&line, "Last reading ");
    iol_line_last_read(&line, s->plan);
    iol_line_signed(&line, s->plan->surprise.current_se_d, IOL_UNIT_d);
    iol_sheet_line(s, "<p>", &line, "; ");
    iol_line_latest(&line, s->plan);
    iol_sheet_line(s, "", &line, ".</p>\n");
}

static void meant(iol_sheet *s) {
    const iol_surprise *p = &s->plan->surprise;
    const bool old = p->read_on != IOL_UNKNOWN_DATE;
    iol_line line;
    iol_line_start(&line);
    iol_line_text(&line, "Meant ");
    iol_line_signed(&line, p->intended_se_d, IOL_UNIT_d);
    if (!old) {
        iol_line_text(&line, ", now ");
        iol_line_signed(&line, p->current_se_d, IOL_UNIT_d);
        iol_line_cylinder_now(&line, s->plan);
    }
    if (!isnan(p->miss_d)) {
        iol_line_text(&line, ": miss ");
        iol_line_signed(&line, p->miss_d, IOL_UNIT_d);
    }
    iol_sheet_line(s, "<p>", &line, old ? " at that reading.</p>\n" : ".</p>\n");
}

static void what_went_wrong(iol_sheet *s) {
    const iol_surprise *p = &s->plan->surprise;
    const bool drawn = p->present && iol_at_least(fabs(p->miss_d), c_glance_miss_d) == IOL_YES;
    iol_line line;
    iol_line_start(&line);
    iol_sheet_put(s, "<div class=\"zone\"><h2>");
    iol_sheet_put(s, drawn ? "What went wrong</h2>\n" : "What was found</h2>\n");
    if (p->present) read_when(s);
    if (drawn)
        iol_sheet_waterfall(s);
    else if (p->present)
        meant(s);
    else
        iol_sheet_put(s, "<p>No refraction of this eye counts.</p>\n");
    if (p->present) {
        iol_line_cause(&line, s->plan);
        iol_sheet_line(s, "<p><b>Cause:</b> ", &line, ".</p>\n");
    }
    iol_sheet_put(s, "</div>\n");
}

/* ---- the last lines ---- */

static void support(iol_sheet *s) {
    const iol_support *u = &s->plan->support;
    const iol_endothelium *e = &s->plan->endothelium;
    int unknown = 0;
    iol_line line, words;
    iol_line_start(&words);
    if (!u->present || u->tier <= 0) return;
    for (int i = 0; i < u->factors_count; i++) unknown += u->factors[i].state == IOL_risk_state_unknown;
    iol_line_start(&line);
    iol_line_number(&line, u->score_if_unknowns_present, IOL_UNIT_count);
    iol_sheet_put(s, "<div class=\"zone line\"><p><b>Risk to the bag: ");
    iol_line_words(&words, IOL_WORD(tier, u->tier));
    iol_sheet_line(s, "", &words, "</b> (");
    iol_sheet_line(s, "", &line, " points");
    if (unknown) {
        iol_line_number(&line, unknown, IOL_UNIT_count);
        iol_sheet_line(s, ", <b>", &line, " not looked for</b>");
    }
    iol_sheet_put(s, ").");
    if (e->present && !isnan(e->cells_now_per_mm2)) {
        iol_line_number(&line, e->cells_now_per_mm2, IOL_UNIT_per_mm2);
        iol_sheet_line(s, " <b>Corneal cells</b> ", &line,
                       s->plan->secondary.present ? ", after the operation " : ", after an exchange ");
        iol_line_number(&line, e->cells_expected_per_mm2, IOL_UNIT_count);
        iol_sheet_line(s, "", &line, " (");
        iol_line_number(&line, e->cells_low_per_mm2, IOL_UNIT_count);
        iol_sheet_line(s, "", &line, " in one eye of 20).");
    }
    iol_sheet_put(s, "</p></div>\n");
}

/* Miss, chances, what lifts a repeat and further acts, all on one sheet. */
static bool is_full(const iol_plan *plan) {
    bool also = false;
    for (int i = 0; i < plan->decision.acts_count; i++) also |= plan->decision.acts[i].when == IOL_act_when_also;
    also |= plan->decision.state == IOL_state_exchange_or_alternative && plan->two_lenses.present;
    return also && iol_new_lens(plan)->standing == IOL_standing_repeat_before_ordering &&
           iol_at_least(fabs(plan->surprise.miss_d), c_glance_miss_d) == IOL_YES;
}

static void minds(iol_sheet *s) {
    const int most = iol_plan_stops(s->plan) || is_full(s->plan) ? 1 : 2; /* these leave less room */
    int count = 0;
    for (int unusual = 0; unusual < 2; unusual++) /* values that are only unusual come last */
        for (int i = 0; i < s->plan->notes.count; i++) {
            const iol_note *note = &s->plan->notes.item[i];
            if (!is_caution(note, IOL_SEVERITY_warn) || iol_caution_said(s->plan, note)) continue;
            if ((note->code == IOL_NOTE_unusual) != unusual || count++ >= most) continue;
            iol_sheet_put(s, count == 1 ? "<p class=\"mind\"><b>Mind:</b> " : "</p>\n<p class=\"mind\"><b>Mind:</b> ");
            iol_sheet_note(s, note);
        }
    if (count > most) {
        iol_sheet_put(s, " <b>");
        iol_html_count(s->out, count - most);
        iol_sheet_put(s, count - most == 1 ? " more warning: tables.</b>" : " more warnings: tables.</b>");
    }
    if (count) iol_sheet_put(s, "</p>\n");
}

static void foot(iol_sheet *s) {
    iol_sheet_put(s, "<footer><p>Decision support for licensed surgeons; local rules come first.");
    if (iol_power_given(s->plan))
        iol_sheet_put(s, " Check every power by a second, independent route before a lens is ordered.");
    iol_sheet_sources(s);
    iol_sheet_put(s, "</p></footer>\n");
}

static void elective(iol_sheet *s) {
    iol_turn t;
    const bool turns = s->plan->decision.state == IOL_state_other_option_first && iol_turn_first(s->plan, &t);
    iol_sheet_put(s, "<div class=\"two\">\n");
    if (turns) {
        iol_sheet_put(s, "<div class=\"zone\"><h2>From your seat</h2>\n");
        iol_sheet_turn_dial(s, &t);
        iol_sheet_put(s, "</div><div>\n");
        turn_facts(s, &t);
        when(s);
        iol_sheet_put(s, "</div>\n");
    } else {
        what_went_wrong(s);
        when(s);
    }
    iol_sheet_put(s, "</div>\n");
    if (iol_ways_told(s->plan)) iol_sheet_ways(s);
    const bool given = iol_power_given(s->plan) && !iol_cause_before_lens(s->plan), two = given && !turns;
    if (two) iol_sheet_put(s, "<div class=\"two\">\n");
    if (two)
        iol_sheet_lens(s);
    else if (given)
        iol_sheet_lens_instead(s);
    else if (iol_new_lens(s->plan)->present)
        iol_sheet_no_power(s);
    if (two) iol_sheet_put(s, "<div>\n");
    if (two) iol_sheet_beside_lens(s);
    if (two) iol_sheet_put(s, "</div></div>\n");
    support(s);
    minds(s);
}

void iol_sheet_decide(iol_sheet *s) {
    iol_sheet_section(s, "decide", is_full(s->plan) ? " full" : "", "\">\n");
    ident(s);
    stops(s);
    band(s);
    if (iol_is_alarm(s->plan)) {
        iol_sheet_put(s, "<div class=\"zone\"><h2>No power is given</h2><p>Nothing elective is planned on this eye: no "
                         "way, no power, no "
                         "theatre card. Treat it, then refract and decide again.</p></div>\n<div class=\"sign\"><p>eye "
                         "seen by</p><p>date, "
                         "time</p><p>handed on to</p></div>\n");
    } else
        elective(s);
    foot(s);
    iol_sheet_put(s, "</section>\n");
}
