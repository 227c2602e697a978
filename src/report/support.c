/* Support, places for the new lens, fallbacks and corneal cells, for people. */
#include <string.h>

#include "screen.h"

static void add_points(iol_line *line, double points) { iol_line_number(line, points, IOL_UNIT_count); }

static void tier_pair(iol_page *page, const char *label, int tier, double points, const char *after) {
    iol_line line;
    iol_line_start(&line);
    iol_line_text(&line, IOL_PLAIN(tier, tier));
    iol_line_text(&line, ", ");
    add_points(&line, points);
    iol_line_text(&line, after);
    iol_page_pair(page, label, line.text);
}

static void tier(const iol_support *s, iol_page *page) {
    bool open = s->score_if_unknowns_present > s->score || s->tier != s->tier_of_findings;
    tier_pair(page, open ? "Prepare for" : "Tier", s->tier, s->score_if_unknowns_present,
              open ? " points, as long as what is named below is not known" : " points");
    if (open) tier_pair(page, "By findings alone", s->tier_of_findings, s->score, " points");
    iol_page_paragraph(page, "Points say how likely the bag is lost or vitreous comes forward during this operation: "
                             "routine below 10, guarded from 10, high from 20, very high from 30. It is an aid made of "
                             "published anchors and stated judgement, not a validated probability.");
}

static void found(const iol_support *s, iol_page *page) {
    static const char *const heads[] = {"Found", ">Points", "Counts", "Rests on"};
    bool any = false;
    for (int i = 0; i < s->factors_count; i++) {
        const iol_risk_factor *f = &s->factors[i];
        if (f->state != IOL_risk_state_yes) continue;
        if (!any) iol_page_table(page, 4, heads);
        any = true;
        iol_line points;
        iol_line_start(&points);
        add_points(&points, f->points);
        const char *counts = f->counted != IOL_YES ? "no, another is larger"
                             : f->hard == IOL_YES  ? "yes: very high by itself"
                                                   : "yes";
        const char *const cells[] = {f->finding, points.text, counts, f->basis};
        iol_page_row(page, 4, cells);
    }
}

/* One pair a group: what is not known, and what it could add. */
static void not_known(const iol_support *s, int group, iol_page *page) {
    iol_line line;
    bool any = false;
    iol_line_start(&line);
    for (int i = 0; i < s->factors_count; i++) {
        const iol_risk_factor *f = &s->factors[i];
        if (f->group != group || f->state != IOL_risk_state_unknown) continue;
        if (any) iol_line_text(&line, "; ");
        any = true;
        iol_line_text(&line, f->finding);
        iol_line_text(&line, " (");
        add_points(&line, f->points);
        iol_line_text(&line, ")");
    }
    if (any) iol_page_pair(page, IOL_PLAIN(risk_group, group), line.text);
}

static int factors_with(const iol_support *s, int state) {
    int count = 0;
    for (int i = 0; i < s->factors_count; i++) count += s->factors[i].state == state;
    return count;
}

static void looked_for(const iol_support *s, iol_page *page) {
    int unknown = factors_with(s, IOL_risk_state_unknown);
    iol_line line;
    iol_line_start(&line);
    iol_line_text(&line, "Looked for and not found: ");
    add_points(&line, factors_with(s, IOL_risk_state_no));
    iol_line_text(&line, " of ");
    add_points(&line, s->factors_count);
    iol_line_text(&line, " factors.");
    if (unknown) {
        iol_line_text(&line, " Not known: ");
        add_points(&line, unknown);
        iol_line_text(&line, ".");
    }
    iol_page_paragraph(page, line.text);
}

static void positions(const iol_plan *plan, iol_page *page) {
    static const char *const heads[] = {"Place", "Outlook", "Why"};
    char text[640];
    iol_page_paragraph(page,
                       "Places for the new lens, from best to last resort. Expected: nothing found speaks against it.");
    iol_page_table(page, 3, heads);
    for (int i = 0; i < plan->support.positions_count; i++) {
        const iol_position_outlook *p = &plan->support.positions[i];
        int note = iol_note_find(&plan->notes, IOL_AT_position_outlook_why, i, 0);
        const char *why = note < 0 ? "" : iol_note_text(&plan->notes.item[note], text, sizeof text);
        const char *const cells[] = {IOL_PLAIN(position, p->position), IOL_WORD(outlook, p->outlook), why};
        iol_page_row(page, 3, cells);
    }
}

void iol_compose_support(const iol_plan *plan, iol_page *page) {
    if (!plan->support.present) return;
    int unknown = factors_with(&plan->support, IOL_risk_state_unknown);
    iol_page_section(page, "support", "Support of capsule and zonule");
    tier(&plan->support, page);
    found(&plan->support, page);
    looked_for(&plan->support, page);
    positions(plan, page);
    /* None where no lens comes out. */
    const bool rates = iol_note_find(&plan->notes, IOL_AT_support_vitrectomy_anchor, 0, 0) >= 0;
    if (!unknown && !rates) return;
    iol_page_fold(page, !rates    ? "What is not known and the points it could add"
                        : unknown ? "What is not known and the points it could add; published rates"
                                  : "Published rates");
    if (unknown)
        iol_page_paragraph(page, "Not known, with the points each could add (of a kind only the largest counts):");
    for (int group = 1; unknown && group < IOL_risk_group_end; group++) not_known(&plan->support, group, page);
    if (rates) iol_page_paragraph(page, "Published rates, to stand beside the points; they come from small series:");
    iol_compose_notes(page, plan, IOL_AT_support_vitrectomy_anchor, 0);
    iol_page_unfold(page);
}

/* Outlook of a place in the ladder, for its fallback. */
static const char *outlook_of(const iol_plan *plan, int position) {
    for (int i = 0; i < plan->support.positions_count; i++)
        if (plan->support.positions[i].position == position)
            return IOL_WORD(outlook, plan->support.positions[i].outlook);
    return "";
}

/* The outlook of a place gives way to the cylinder that is left there, in an eye whose chosen lens is toric. */
static void fallback_row(const iol_plan *plan, const iol_fallback *f, iol_page *page) {
    iol_line cell[5];
    for (int k = 0; k < 5; k++) iol_line_start(&cell[k]);
    bool power = !isnan(f->power_d);
    if (power) iol_line_power(&cell[0], f->power_d);
    if (power) iol_line_signed(&cell[1], f->aim_d, IOL_UNIT_d);
    if (power) iol_line_signed(&cell[2], f->expected_se_d, IOL_UNIT_d);
    if (power) iol_line_number(&cell[3], f->sd_d, IOL_UNIT_d);
    if (power) iol_line_signed(&cell[4], f->expected_cylinder_d, IOL_UNIT_d);
    const char *const left = power ? cell[4].text : "-";
    const char *const cells[] = {IOL_PLAIN(position, f->position),
                                 iol_others_not_toric(plan) ? left : outlook_of(plan, f->position),
                                 f->lens_id[0] ? f->lens_id : "-",
                                 power ? cell[0].text : "no power",
                                 power ? cell[1].text : "-",
                                 power ? cell[2].text : "-",
                                 power ? cell[3].text : "-"};
    iol_page_row(page, 7, cells);
}

/* What one fallback needs, in one item. */
static void fallback_needs(const iol_plan *plan, int row, iol_page *page) {
    char text[640];
    iol_line line;
    iol_line_start(&line);
    iol_line_text(&line, IOL_PLAIN(position, plan->fallbacks[row].position));
    iol_line_text(&line, ":");
    for (int i = iol_note_find(&plan->notes, IOL_AT_fallback_needs, row, 0); i >= 0;
         i = iol_note_find(&plan->notes, IOL_AT_fallback_needs, row, i + 1)) {
        iol_line_text(&line, " ");
        iol_line_text(&line, iol_note_text(&plan->notes.item[i], text, sizeof text));
    }
    iol_page_item(page, line.text);
}

/* No power is told: the places alone. */
static void fallback_places(const iol_plan *plan, iol_page *page) {
    iol_line line;
    iol_line_start(&line);
    iol_line_text(&line, "No power is given: the standing is ");
    iol_line_text(&line, IOL_PLAIN(standing, iol_new_lens(plan)->standing));
    iol_line_text(&line, ". Places that could be needed:");
    for (int i = 0; i < plan->fallbacks_count; i++) {
        iol_line_text(&line, i ? ", " : " ");
        iol_line_text(&line, IOL_PLAIN(position, plan->fallbacks[i].position));
    }
    iol_line_text(&line, ".");
    iol_page_paragraph(page, line.text);
}

void iol_compose_fallbacks(const iol_plan *plan, iol_page *page) {
    const char *const heads[] = {"Place", iol_others_not_toric(plan) ? ">Cyl left" : "Outlook", "Lens", ">Power",
                                 ">Aims at", ">Expected", ">SD"};
    if (plan->fallbacks_count < 0 || !iol_new_lens(plan)->present) return;
    const bool two = plan->two_lenses.present;
    iol_page_section(page, "fallbacks", two ? "Fallback lenses for the one in place of both, if its place does not hold"
                                            : "Fallback lenses, if the planned place does not hold");
    iol_lead lead;
    if (iol_lead_lens(plan, &lead))
        iol_page_paragraph(page, "These are places for the lens of an exchange, not for the lens in front that comes first.");
    if (iol_new_lens(plan)->standing == IOL_standing_provisional)
        iol_page_paragraph(page, "PROVISIONAL: order nothing by these powers.");
    if (plan->fallbacks_count == 0) {
        iol_page_paragraph(page,
                           "No other place in this eye is open to a lens. Agree beforehand to leave it without one "
                           "if the planned place fails, and to come back.");
    } else if (!iol_powers_told(page, iol_new_lens(plan)->standing)) {
        fallback_places(plan, page);
        return;
    } else {
        iol_page_table(page, 7, heads);
    }
    for (int i = 0; i < plan->fallbacks_count; i++) fallback_row(plan, &plan->fallbacks[i], page);
    if (plan->fallbacks_count == 0) return;
    iol_page_fold(page, "What each place needs");
    for (int i = 0; i < plan->fallbacks_count; i++) fallback_needs(plan, i, page);
    iol_page_unfold(page);
}

static int theatre_note(const iol_plan *plan, int row) {
    return iol_note_find(&plan->notes, IOL_AT_theatre_item_why, row, 0);
}

/* Lenses of one class and cylinder that are there for the same reason stand on one line. */
static bool on_one_line(const iol_plan *plan, int a, int b) {
    const iol_theatre_item *one = &plan->theatre_list[a], *two = &plan->theatre_list[b];
    const int first = theatre_note(plan, a), second = theatre_note(plan, b);
    char why[2][640];
    if (!one->lens_id[0] || strcmp(one->lens_id, two->lens_id) != 0 || isnan(one->power_d) || isnan(two->power_d))
        return false;
    if (!iol_same(one->cylinder_d, two->cylinder_d)) return false;
    if (first < 0 || second < 0) return false;
    return strcmp(iol_note_text(&plan->notes.item[first], why[0], sizeof why[0]),
                  iol_note_text(&plan->notes.item[second], why[1], sizeof why[1])) == 0;
}

static bool told_before(const iol_plan *plan, int row) {
    for (int i = 0; i < row; i++)
        if (on_one_line(plan, i, row)) return true;
    return false;
}

/* "three-piece +19.5 D, +20.0 D, cylinder +1.50 D" and how many. */
static void theatre_row(const iol_plan *plan, int row, iol_page *page) {
    const iol_theatre_item *t = &plan->theatre_list[row];
    char text[640];
    iol_line what, count;
    double number = t->count;
    iol_line_start(&what);
    iol_line_start(&count);
    iol_line_text(&what, t->lens_id[0] ? t->lens_id : t->item);
    if (!isnan(t->power_d)) {
        iol_line_text(&what, " ");
        iol_line_power(&what, t->power_d);
    }
    for (int i = row + 1; i < plan->theatre_list_count; i++) {
        if (!on_one_line(plan, row, i)) continue;
        iol_line_text(&what, ", ");
        iol_line_power(&what, plan->theatre_list[i].power_d);
        number += plan->theatre_list[i].count;
    }
    if (t->cylinder_d > 0.0) {
        iol_line_text(&what, ", cylinder ");
        iol_line_signed(&what, t->cylinder_d, IOL_UNIT_d);
    }
    add_points(&count, number);
    const int note = theatre_note(plan, row);
    const char *const cells[] = {what.text, count.text,
                                 note < 0 ? "" : iol_note_text(&plan->notes.item[note], text, sizeof text)};
    iol_page_row(page, 3, cells);
}

/* Each class that has a name of the surgeon's own, once. */
static void classes(const iol_plan *plan, iol_page *page) {
    bool started = false;
    for (int i = 0; i < plan->theatre_list_count; i++) {
        const iol_theatre_item *t = &plan->theatre_list[i];
        bool told = !t->lens_label[0];
        for (int k = 0; k < i; k++) told |= strcmp(plan->theatre_list[k].lens_id, t->lens_id) == 0;
        if (told) continue;
        iol_compose_class(started ? "" : "Lens classes", t->lens_id, t->lens_label, page);
        started = true;
    }
}

void iol_compose_theatre_list(const iol_plan *plan, iol_page *page) {
    static const char *const heads[] = {"To have in theatre", ">No.", "Why"};
    if (plan->theatre_list_count <= 0) return;
    iol_page_section(page, "theatre-list", "Theatre list");
    bool now = plan->decision.state == IOL_state_exchange ||
               plan->decision.state == IOL_state_exchange_or_alternative ||
               plan->decision.state == IOL_state_secondary_lens;
    if (plan->decision.present && !now)
        iol_page_paragraph(page,
                           "Exchange is not the next step for this eye: the list is for the day that it comes to it.");
    iol_page_table(page, 3, heads);
    for (int i = 0; i < plan->theatre_list_count; i++)
        if (!told_before(plan, i)) theatre_row(plan, i, page);
    classes(plan, page);
    iol_page_paragraph(page,
                       "Two identifiers on the sheet; the lens seen in the room before the patient; one lens opened "
                       "at a time; power and sign said aloud (common practice; local rules decide).");
}

static void cells_pair(iol_page *page, const char *label, double cells, const char *after) {
    iol_line line;
    iol_line_start(&line);
    iol_line_number(&line, cells, IOL_UNIT_per_mm2);
    iol_line_text(&line, after);
    iol_page_pair(page, label, line.text);
}

void iol_compose_endothelium(const iol_plan *plan, iol_page *page) {
    const iol_endothelium *e = &plan->endothelium;
    if (!e->present) return;
    iol_page_section(page, "cells", "Corneal cells");
    cells_pair(page, "Now", e->cells_now_per_mm2, "");
    cells_pair(page, plan->secondary.present ? "After the operation" : "After an exchange", e->cells_expected_per_mm2,
               " expected");
    cells_pair(page, "Low after it", e->cells_low_per_mm2, " (one eye in twenty does worse)");
    cells_pair(page, "After 5 years", e->cells_5y_per_mm2, " expected");
    cells_pair(page, "After 10 years", e->cells_10y_per_mm2, " expected");
    iol_compose_notes(page, plan, IOL_AT_endothelium_advice, 0);
    iol_compose_notes(page, plan, IOL_AT_endothelium_reasons, 0);
}
