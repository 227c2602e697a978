/* The suspects for people: what is confirmed or explains the miss in full, the rest in a line each. */
#include <string.h>

#include "compose.h"
#include "plan/suspects_told.h"
#include "tables/constants.h"
#include "tables/note_codes.h"

enum { IN_FULL = 6 }; /* more than these stand in the short lines */

static void name(iol_line *line, const iol_suspect *s) { iol_line_words(line, s->id); }

static void figures(iol_line *line, const iol_suspect *s) {
    if (isnan(s->implied_miss_d)) {
        iol_line_text(line, "no number");
        return;
    }
    iol_line_signed(line, s->implied_miss_d, IOL_UNIT_d);
    iol_line_text(line, " of the ");
    iol_line_text(line, s->part == IOL_miss_part_eye ? "eye" : IOL_WORD(miss_part, s->part));
    iol_line_text(line, " part, leaves ");
    iol_line_signed(line, s->unexplained_d, IOL_UNIT_d);
}

static void check(iol_line *line, const iol_plan *plan, int row) {
    char text[640];
    int note = iol_note_find(&plan->notes, IOL_AT_suspect_check, row, 0);
    if (note < 0) return;
    iol_line_text(line, iol_note_text(&plan->notes.item[note], text, sizeof text));
}

/* The rest of one kind on one line, each with its number. */
static void short_line(const iol_surprise *s, iol_page *page, const char *label,
                       bool (*wanted)(const iol_suspect *s, int row)) {
    iol_line line;
    bool any = false;
    iol_line_start(&line);
    for (int i = 0; i < s->suspects_count; i++) {
        const iol_suspect *suspect = &s->suspects[i];
        if (!wanted(suspect, i)) continue;
        if (any) iol_line_text(&line, "; ");
        name(&line, suspect);
        if (!isnan(suspect->implied_miss_d) && suspect->not_excluded != IOL_YES) {
            iol_line_text(&line, " ");
            iol_line_signed(&line, suspect->implied_miss_d, IOL_UNIT_d);
        }
        any = true;
    }
    if (any) iol_page_pair(page, label, line.text);
}

static bool open_to_look(const iol_suspect *s, int row) {
    (void)row;
    return s->confirmed != IOL_YES && isnan(s->implied_miss_d);
}

static bool same_way(const iol_suspect *s) { return (s->unexplained_d + s->implied_miss_d) * s->implied_miss_d > 0.0; }

static bool leaves_much(const iol_suspect *s, int row) {
    if (iol_suspect_stands(s)) return row >= IN_FULL;
    return !isnan(s->implied_miss_d) && s->not_excluded != IOL_YES && same_way(s);
}

static bool wrong_way(const iol_suspect *s, int row) {
    (void)row;
    return !iol_suspect_stands(s) && !isnan(s->implied_miss_d) && s->not_excluded != IOL_YES && !same_way(s);
}

static bool fits_all(const iol_suspect *s, int row) {
    (void)row;
    return s->confirmed != IOL_YES && s->not_excluded == IOL_YES &&
           !isnan(s->implied_miss_d); /* else it is looked for */
}

double iol_grown_mm(const iol_plan *plan) {
    const iol_note *n = iol_compose_find(plan, IOL_AT_plan_assumptions, IOL_NOTE_assume_growth);
    return n ? n->limit : 0.0;
}

/* One part of the miss is explained by the record, the eye's own is not. */
static void partly(iol_line *line, const iol_suspect *cause) {
    name(line, cause);
    iol_line_text(line, ": confirmed by the case; the eye's own part is not explained");
}

void iol_line_cause(iol_line *line, const iol_plan *plan) {
    const iol_surprise *s = &plan->surprise;
    const iol_suspect *cause = iol_cause_named(s);
    bool as_meant = iol_at_most(fabs(s->miss_d), c_option_close_d) == IOL_YES;
    if (cause && as_meant && cause->confirmed != IOL_YES && cause->part != IOL_miss_part_cylinder) cause = NULL;
    bool not_found = false, strained = false;
    for (int i = 0; i < plan->notes.count; i++) {
        not_found |= plan->notes.item[i].code == IOL_NOTE_cause_not_found;
        strained |= plan->notes.item[i].code == IOL_NOTE_cause_formula;
    }
    bool growth = false, turned = false;
    for (int i = 0; i < s->suspects_count; i++) {
        growth |= !plan->secondary.present && strcmp(s->suspects[i].id, "eye-has-grown") == 0;
        turned |= s->suspects[i].part == IOL_miss_part_cylinder;
    }
    const double grown_mm = iol_grown_mm(plan);
    if (growth && !(cause && cause->confirmed == IOL_YES) && grown_mm > 0.0) {
        iol_line_text(line, "a child's eye that has grown by ");
        iol_line_number(line, grown_mm, IOL_UNIT_mm);
        iol_line_text(line, isnan(s->selection_part_d) ? "" : ", counted with the sheet");
    } else if (growth && !(cause && cause->confirmed == IOL_YES))
        iol_line_text(line, "a child's eye that has grown? Measure its length again");
    else if ((not_found || strained) && cause && cause->confirmed == IOL_YES)
        partly(line, cause);
    else if (not_found)
        iol_line_text(line, "not found by any look taken: suspect the label");
    else if (strained)
        iol_line_text(line, "no record explains it; the formulas may mispredict such an eye");
    else if (cause && (!plan->secondary.present || iol_at_most(fabs(s->z), c_z_ordinary) != IOL_YES)) {
        name(line, cause);
        bool ordinary = cause->part == IOL_miss_part_eye && iol_at_most(fabs(s->z), c_z_ordinary) == IOL_YES;
        iol_line_text(line, cause->confirmed == IOL_YES ? ": confirmed by the case"
                            : ordinary                  ? ": would explain it, not confirmed; ordinary error would too"
                                                        : ": explains it, not confirmed");
    } else if (plan->secondary.present)
        iol_line_text(line, plan->reposition.present ? "the lens has left its place: it was read without it"
                                                     : "there is no lens in the eye");
    else if (plan->displaced.present && plan->displaced.recentring_enough == IOL_YES)
        iol_line_text(line, "the lens off its place: put back it is expected to do");
    else if (isnan(s->miss_d))
        iol_line_text(line, "not to be judged: what was meant is not known");
    else if (s->suspects_count > 0 && (!as_meant || turned))
        iol_line_text(line, "not found yet: no suspect explains it alone");
    else if (iol_above(fabs(s->z), c_z_ordinary) == IOL_YES)
        iol_line_text(line, "not found yet: what is on record does not fit what was read");
    else if (iol_above(fabs(s->miss_d), c_option_close_d) == IOL_NO)
        iol_line_text(line, "none to look for: the power is not the trouble");
    else
        iol_line_text(line, "no gross cause is needed: ordinary errors explain it");
}

void iol_compose_cause(const iol_plan *plan, iol_page *page) {
    iol_line line;
    iol_line_start(&line);
    iol_line_cause(&line, plan);
    iol_page_pair(page, "Cause", line.text);
}

void iol_compose_suspects(const iol_plan *plan, iol_page *page) {
    const iol_surprise *s = &plan->surprise;
    if (s->suspects_count <= 0) return;
    iol_page_paragraph(page, "Gross causes: first what is confirmed, then what leaves less than 0.50 D.");
    for (int i = 0; i < s->suspects_count && i < IN_FULL; i++) {
        const iol_suspect *suspect = &s->suspects[i];
        if (!iol_suspect_stands(suspect)) continue;
        iol_line line;
        iol_line_start(&line);
        name(&line, suspect);
        iol_line_text(&line, suspect->confirmed == IOL_YES ? " (CONFIRMED): " : ": ");
        figures(&line, suspect);
        iol_line_text(&line, ". ");
        check(&line, plan, i);
        iol_page_item(page, line.text);
    }
    short_line(s, page, "Leaves more", leaves_much);
    short_line(s, page, "Look, no number", open_to_look);
}

void iol_compose_lesser_suspects(const iol_plan *plan, iol_page *page) {
    short_line(&plan->surprise, page, "Works the other way", wrong_way);
    short_line(&plan->surprise, page, "Not excluded", fits_all);
}
