/* Sheet 1: the lens, or why no power is given. */
#include <string.h>

#include "sheet.h"

void iol_sheet_no_power(iol_sheet *s) {
    const int most = iol_plan_stops(s->plan) ? 3 : 4;
    int count = 0;
    const int standing = iol_new_lens(s->plan)->standing;
    iol_sheet_put(s, "<div class=\"zone\"><h2>No power is given <small>and no theatre card</small></h2>\n");
    const bool usable = standing == IOL_standing_advised || standing == IOL_standing_repeat_before_ordering;
    if (usable && !iol_power_given(s->plan))
        iol_sheet_put(s, "<p>None is chosen: no step of the shelf fits this eye.</p>\n");
    for (int i = iol_note_find(&s->plan->notes, IOL_AT_replacement_standing_reasons, 0, 0); i >= 0;
         i = iol_note_find(&s->plan->notes, IOL_AT_replacement_standing_reasons, 0, i + 1)) {
        const iol_note *note = &s->plan->notes.item[i];
        char text[640];
        if (!iol_note_rows[note->code].lifts) continue;
        if (count == 0)
            iol_sheet_put(s, "<table class=\"lifts\"><thead><tr><th scope=\"col\">Because</th><th scope=\"col\">What "
                             "lifts it</th></tr></thead><tbody>\n");
        if (count++ == most) break;
        iol_sheet_put(s, "<tr><td>");
        iol_sheet_note(s, note);
        iol_sheet_text(s, "</td><td>", iol_note_lifts(note, text, sizeof text), "</td></tr>\n");
    }
    iol_sheet_put(s, count ? "</tbody></table></div>\n" : "</div>\n");
}

static void head(iol_sheet *s, const char *name, const iol_replacement *r, const char *before) {
    iol_line line;
    iol_line_start(&line);
    iol_line_text(&line, before);
    iol_line_text(&line, "exact ");
    iol_line_signed(&line, r->power_exact_d, IOL_UNIT_d);
    if (r->power_high_d > r->power_low_d && !iol_power_not_settled(s->plan)) { /* else it stands beside the power */
        iol_line_text(&line, ", range ");
        iol_line_range(&line, r);
    }
    iol_sheet_text(s, "<div class=\"zone\"><h2>", name, "");
    iol_sheet_line(s, " <small>", &line, "</small></h2>\n");
}

/* Power, class, place, what is expected. kind: "chosen-step", or "reserve" for what is not put in now. */
static void words(iol_sheet *s, const iol_choice *c, int position, const char *kind) {
    iol_line line;
    iol_line_start(&line);
    iol_line_power(&line, c->power_d);
    iol_sheet_text(s, "<div class=\"lens\"><p class=\"", kind, "\">");
    iol_sheet_line(s, "", &line, "</p><p>");
    iol_sheet_class(s, c);
    iol_line_place(&line, position);
    iol_sheet_line(s, c->cylinder_d > 0.0 ? "<br><b>" : ", <b>", &line, "</b><br>");
    iol_line_form(&line, &c->expected);
    iol_sheet_line(s, "<b>", &line, "</b>, SE ");
    iol_line_signed(&line, c->expected.se_d, IOL_UNIT_d);
    iol_line_text(&line, ", spread ");
    iol_line_number(&line, c->sd_d, IOL_UNIT_d);
    iol_sheet_line(s, "", &line, "</p></div>\n");
}

static void chances(iol_sheet *s, const iol_replacement *r) {
    iol_sheet_chances(s, r);
    iol_line line;
    iol_line_start(&line);
    iol_line_bands(&line, "of 100 eyes: full, within %h of the target; outline, within %o");
    iol_sheet_line(s, "<p class=\"key\">", &line, "</p>\n");
}

static void chance_words(iol_sheet *s, double half, double one) {
    iol_line line;
    iol_line_start(&line);
    iol_line_number(&line, 100.0 * half, IOL_UNIT_count);
    iol_line_bands(&line, " of 100 eyes within %h of the target, ");
    iol_line_number(&line, 100.0 * one, IOL_UNIT_count);
    iol_line_bands(&line, " within %o.");
    iol_sheet_line(s, "<p>", &line, "</p>\n");
}

/* What must stand beside a power. */
static void warn(iol_sheet *s, iol_line *line) {
    if (line->used) iol_sheet_line(s, "<p class=\"repeat\"><b>", line, "</b></p>\n");
}

static void repeat(iol_sheet *s, const iol_replacement *r) {
    const int i = iol_note_find(&s->plan->notes, IOL_AT_replacement_standing_reasons, 0, 0);
    char text[640];
    if (r->standing != IOL_standing_repeat_before_ordering || i < 0) return;
    iol_sheet_text(s, "<p>What lifts it: ", iol_note_lifts(&s->plan->notes.item[i], text, sizeof text), "</p>\n");
}

/* Its power is what is put in, or weighed: it is drawn with its steps. */
static bool is_drawn(const iol_plan *plan) {
    return iol_exchange_leads(plan) || plan->decision.state == IOL_state_exchange_or_alternative;
}

/* The exchange lens: its chances only where no other lens comes first and it does not miss the target anyway, drawn where it is
 * what is put in. */
static void exchange(iol_sheet *s, const char *name, const char *before, bool with_chances) {
    const bool leads = is_drawn(s->plan);
    const iol_replacement *r = iol_new_lens(s->plan);
    const iol_choice *c = iol_chosen_step(r);
    iol_line line;
    iol_line_start(&line);
    head(s, name, r, before);
    iol_line_lens_warns(&line, s->plan);
    warn(s, &line);
    repeat(s, r);
    words(s, c, r->position,
          leads && (iol_exchange_leads(s->plan) || s->plan->secondary.present) ? "chosen-step" : "reserve");
    const bool fits = with_chances && !iol_misses(c->expected.se_d, r->target_se_d) && iol_chance_told(s->plan);
    if (fits && leads)
        chances(s, r);
    else if (fits)
        chance_words(s, c->within_half_d, c->within_one_d);
    iol_sheet_put(s, "</div>\n");
}

/* A second lens: power, class, place, what is expected. */
static void second_words(iol_sheet *s, const iol_lead *lead, const char *kind) {
    iol_choice c = {.power_d = lead->power_d,
                    .cylinder_d = lead->cylinder_d,
                    .axis_deg = lead->axis_deg,
                    .expected = lead->expected,
                    .sd_d = lead->sd_d};
    iol_line line;
    memcpy(c.lens_id, lead->lens_id, strlen(lead->lens_id) + 1);
    iol_line_start(&line);
    iol_line_lead_warns(&line, lead);
    warn(s, &line);
    words(s, &c, lead->position, kind);
}

/* The lens of the way that leads, where that is a second lens. */
static void lead_lens(iol_sheet *s, const iol_lead *lead) {
    iol_line line;
    iol_sheet_text(s, "<div class=\"zone\"><h2>The chosen lens <small>", iol_way_name(lead->way->option),
                   "</small></h2>\n");
    second_words(s, lead, "chosen-step");
    const bool told = iol_lead_chance_told(s->plan, lead->way);
    if (lead->steps && told)
        chances(s, lead->steps);
    else if (told)
        chance_words(s, lead->within_half_d, lead->within_one_d);
    iol_line_start(&line);
    if (told) iol_line_series(&line, lead->way);
    if (line.used) iol_sheet_line(s, "<p class=\"key\">", &line, "</p>\n");
    iol_sheet_put(s, "</div>\n");
}

/* What would sharpen the power stands beside the lens where that is drawn or few places are listed; else under it. */
static bool beside(const iol_plan *plan) {
    enum { FEW = 3 };
    int listed = 0;
    for (int i = 0; i < plan->fallbacks_count; i++)
        listed += !isnan(plan->fallbacks[i].power_d) &&
                  !iol_misses(plan->fallbacks[i].expected_se_d, plan->fallbacks[i].aim_d);
    return is_drawn(plan) || listed <= FEW;
}

void iol_sheet_lens(iol_sheet *s) {
    iol_lead lead = {.way = NULL};
    iol_sheet_put(s, "<div>");
    if (iol_lead_lens(s->plan, &lead))
        lead_lens(s, &lead);
    else if (iol_exchange_leads(s->plan))
        exchange(s, "The chosen lens", "", true);
    else
        exchange(s, s->plan->secondary.present ? "If a lens is put in" : "If exchanged",
                 s->plan->decision.state == IOL_state_exchange_or_alternative ? "" : "not the next step; ", true);
    if (!lead.way && !beside(s->plan)) iol_sheet_sharpen(s, 1); /* under the few words of its lens */
    iol_sheet_put(s, "</div>\n");
}

void iol_sheet_beside_lens(iol_sheet *s) {
    iol_lead lead = {.way = NULL};
    if (iol_lead_lens(s->plan, &lead))
        exchange(s, s->plan->two_lenses.present ? "Not this: one lens for both instead" : "Not this: exchange instead",
                 "", false);
    iol_sheet_fallbacks(s, false, 5);
    if (!lead.way && beside(s->plan)) iol_sheet_sharpen(s, is_drawn(s->plan) ? 2 : 1);
}

bool iol_sheet_turn_alone(iol_sheet *s, const char *head) {
    if (!iol_turn_alone(s->plan)) return false;
    iol_sheet_text(s, "<div class=\"zone\"><", head, ">If it does not turn or hold");
    iol_sheet_text(s, "</", head, "><p class=\"facts\">" IOL_TURN_FAILS "</p></div>\n");
    return true;
}

void iol_sheet_lens_instead(iol_sheet *s) {
    if (iol_sheet_turn_alone(s, "h2")) return;
    iol_lead second;
    iol_sheet_put(s, "<div class=\"two\">\n");
    if (iol_second_instead(s->plan, &second)) {
        iol_sheet_put(s, "<div class=\"zone\"><h2>If it does not turn or hold: exchange the second lens</h2>\n");
        second_words(s, &second, "reserve");
        iol_sheet_put(s, "</div>\n");
    } else
        exchange(s, "If it does not turn or hold: exchange", "", false);
    iol_sheet_fallbacks(s, false, 5);
    iol_sheet_put(s, "</div>\n");
}
