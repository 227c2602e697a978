/* The clinic line on one small screen: the answer in three lines, then as much behind it as there is room for. */
#include <string.h>

#include "power_text.h"
#include "report/compose.h"
#include "report/report.h"
#include "tables/constants.h"

enum { LINES = 24, LEAST = 0, NO_REASONS = 1, NO_WARNINGS = 2, NO_ASSUMPTIONS = 3, NO_CAUSES = 4, ALL = 5 };

typedef struct {
    const iol_case *c;
    const iol_plan *plan;
    const iol_replacement *r;
    bool second;
    int detail; /* how much there is room for */
    iol_page *page;
} screen;

static bool power_given(const iol_replacement *r) {
    return r->standing > 0 && r->standing != IOL_standing_withheld && !isnan(r->power_exact_d);
}

/* ---- the answer ---- */

enum { COLUMNS = 80 - 6 }; /* of a line behind its label */

/* " in the bag", in short the word of the flag. */
static void put_place(iol_line *line, int place, bool brief) {
    if (place <= 0) return;
    iol_line_text(line, " ");
    if (brief)
        iol_line_text(line, IOL_WORD(position, place));
    else
        iol_line_place(line, place);
}

static void eye_line(const screen *s, bool brief, iol_line *line) {
    const iol_refraction *r = &s->c->refractions[0];
    iol_line_start(line);
    iol_line_text(line, s->plan->eye == IOL_side_right ? "RIGHT, " : "LEFT, ");
    if (!brief) iol_line_text(line, "inside ");
    iol_line_power(line, s->c->first_surgery.lens.power_d);
    put_place(line, s->c->first_surgery.lens.position, brief);
    iol_line_text(line, ", now ");
    iol_line_refraction(line, r->sphere_d, r->cylinder_d, r->axis_deg);
    iol_line_text(line, brief ? ", aim " : ", target ");
    iol_line_signed(line, s->c->target_se_d, IOL_UNIT_d);
}

/* ---- the answer ---- */

static void chosen(const screen *s, const iol_choice *step, bool brief, iol_line *line) {
    /* the range ends before the target */
    const bool short_of = fabs(step->expected.se_d - s->r->target_se_d) > c_band_one_d;
    if (short_of)
        iol_line_text(line, brief ? "NOT ENOUGH: nearest " : "NONE REACHES THE TARGET; the nearest is ");
    else
        iol_line_text(line, s->second ? brief ? "2ND LENS " : "SECOND LENS " : "NEW LENS ");
    iol_line_power(line, step->power_d);
    put_place(line, s->r->position, brief);
    iol_line_text(line, brief ? ": expect " : ": ");
    iol_line_signed(line, step->expected.se_d, IOL_UNIT_d);
    iol_line_text(line, brief ? ", " : " expected, ");
    iol_line_number(line, floor(100.0 * step->within_half_d + 0.5), IOL_UNIT_count);
    iol_line_text(line, " of 100 within ");
    iol_line_number(line, c_band_half_d, IOL_UNIT_d);
}

static void lens_line(const screen *s, bool brief, iol_line *line) {
    const iol_choice *step = iol_chosen_step(s->r);
    iol_line_start(line);
    if (!power_given(s->r)) {
        iol_line_text(line, "NO POWER is given");
        return;
    }
    if (step) {
        chosen(s, step, brief, line);
        return;
    }
    iol_line_text(line, "NO LENS IS CHOSEN; the power would be about ");
    iol_line_signed(line, s->r->power_exact_d, IOL_UNIT_d);
    put_place(line, s->r->position, brief);
}

/* In short words where the plain ones take more than a line. */
static void in_a_line(const screen *s, const char *label, void (*put)(const screen *s, bool brief, iol_line *line)) {
    iol_line line;
    put(s, false, &line);
    if (line.used > COLUMNS) put(s, true, &line);
    iol_page_pair(s->page, label, line.text);
}

static int place_row(const screen *s) { return s->second ? IOL_ROW_SECOND_LENS : 0; }

static const char *short_standing(int standing) {
    switch (standing) {
    case IOL_standing_advised: return "ADVISED";
    case IOL_standing_repeat_before_ordering: return "REPEAT BEFORE ORDERING";
    case IOL_standing_provisional: return "PROVISIONAL";
    default: return "WITHHELD";
    }
}

/* Reasons in few words behind the standing, as far as `columns` hold them; how many were left. */
static int whys(const screen *s, size_t columns, iol_line *line) {
    int place = IOL_AT_replacement_standing_reasons, row = place_row(s), left = 0;
    bool any = false;
    iol_line_start(line);
    iol_line_text(line, short_standing(s->r->standing));
    for (int i = iol_note_find(&s->plan->notes, place, row, 0); i >= 0;
         i = iol_note_find(&s->plan->notes, place, row, i + 1)) {
        const char *why = iol_power_why(s->plan->notes.item[i].code);
        if (!why || strstr(line->text, why)) continue;
        bool fits = line->used + strlen(why) + 2 <= columns;
        left += !fits;
        if (!fits) continue;
        iol_line_text(line, !any ? ": " : line->text[line->used - 1] == '?' ? " " : ", ");
        iol_line_text(line, why);
        any = true;
    }
    return left;
}

/* "PROVISIONAL: no day, no age." in one line; what does not fit is counted. */
static void standing(const screen *s) {
    enum { MORE = 9 }; /* ", 10 more" */
    iol_line line;
    int left = whys(s, COLUMNS - 1, &line);
    if (left > 0) left = whys(s, COLUMNS - 1 - MORE, &line);
    if (s->r->standing <= 0)
        iol_line_text(&line, iol_power_alarm(s->plan) ? ": the alarm comes first" : ": the refraction cannot be used");
    if (left > 0) iol_line_text(&line, ", ");
    if (left > 0) iol_line_number(&line, left, IOL_UNIT_count);
    if (left > 0) iol_line_text(&line, " more");
    if (line.text[line.used - 1] != '?') iol_line_text(&line, ".");
    iol_page_pair(s->page, "Use", line.text);
}

/* "Lift  --days N; --age N." What nothing typed lifts stands among the reasons below. */
static void lifts(const screen *s) {
    int place = IOL_AT_replacement_standing_reasons, row = place_row(s);
    iol_line line;
    iol_line_start(&line);
    for (int i = iol_note_find(&s->plan->notes, place, row, 0); i >= 0;
         i = iol_note_find(&s->plan->notes, place, row, i + 1)) {
        const char *type = iol_power_answer(s->c, s->plan->notes.item[i].code);
        if (!type || strstr(line.text, type)) continue;
        iol_line_text(&line, line.used ? "; " : "type ");
        iol_line_text(&line, type);
    }
    if (s->r->standing <= 0 && !iol_power_alarm(s->plan)) iol_line_text(&line, "type a refraction without oil, and --no-oil");
    if (line.used) iol_line_text(&line, ".");
    if (line.used) iol_page_pair(s->page, "Lift", line.text);
}

/* ---- behind it ---- */

static int severities(const screen *s, iol_severity severity, bool said) {
    char text[640];
    int count = 0, place = IOL_AT_plan_cautions;
    for (int i = iol_note_find(&s->plan->notes, place, 0, 0); i >= 0;
         i = iol_note_find(&s->plan->notes, place, 0, i + 1)) {
        const iol_note *note = &s->plan->notes.item[i];
        if (iol_note_rows[note->code].severity != severity) continue;
        count++;
        if (said) iol_page_caution(s->page, iol_severity_text(severity), iol_note_text(note, text, sizeof text));
    }
    return count;
}

/* Reasons that nothing typed answers, with what lifts them. */
static int reasons(const screen *s, bool said) {
    char text[640];
    int count = 0, place = IOL_AT_replacement_standing_reasons, row = place_row(s);
    for (int i = iol_note_find(&s->plan->notes, place, row, 0); i >= 0;
         i = iol_note_find(&s->plan->notes, place, row, i + 1)) {
        const iol_note *note = &s->plan->notes.item[i];
        iol_line line;
        if (iol_power_answer(s->c, note->code)) continue;
        count++;
        if (!said) continue;
        iol_line_start(&line);
        iol_line_text(&line, iol_note_text(note, text, sizeof text));
        if (iol_note_rows[note->code].lifts) {
            iol_line_text(&line, " ");
            iol_line_text(&line, iol_note_lifts(note, text, sizeof text));
        }
        iol_page_item(s->page, line.text);
    }
    return count;
}

static int count_assumed(const screen *s) {
    int count = 0, place = IOL_AT_plan_assumptions;
    for (int i = iol_note_find(&s->plan->notes, place, 0, 0); i >= 0;
         i = iol_note_find(&s->plan->notes, place, 0, i + 1))
        count++;
    return count;
}

static void count_in(iol_line *line, int count, const char *one, const char *many) {
    if (count == 0) return;
    if (line->used) iol_line_text(line, ", ");
    iol_line_number(line, count, IOL_UNIT_count);
    iol_line_text(line, " ");
    iol_line_text(line, count == 1 ? one : many);
}

/* What did not fit, by number: nothing is dropped unsaid. */
static void left(const screen *s) {
    iol_line line;
    iol_line_start(&line);
    if (s->detail <= NO_REASONS) count_in(&line, reasons(s, false), "more reason", "more reasons");
    if (s->detail <= NO_WARNINGS) count_in(&line, severities(s, IOL_SEVERITY_warn, false), "warning", "warnings");
    if (s->detail <= NO_ASSUMPTIONS) count_in(&line, count_assumed(s), "value assumed", "values assumed");
    if (s->detail <= NO_CAUSES) count_in(&line, 1, "power by each cause", "");
    if (line.used) iol_line_text(&line, ": --full");
    if (line.used) iol_page_paragraph(s->page, line.text);
}

static void compose(const screen *s) {
    iol_page_start(s->page);
    in_a_line(s, "Eye", eye_line);
    in_a_line(s, "Lens", lens_line);
    standing(s);
    lifts(s);
    severities(s, IOL_SEVERITY_stop, true);
    if (s->detail > NO_REASONS) reasons(s, true);
    if (power_given(s->r)) iol_power_steps(s->r, s->page);
    if (power_given(s->r) && s->detail > NO_CAUSES) iol_power_beside(s->plan, s->r, s->page);
    if (s->second && s->plan->piggyback.suitable == IOL_NO)
        iol_page_caution(s->page, "warn", "a second lens does not fit this eye: --full says why");
    if (s->second && s->plan->piggyback.suitable == IOL_UNKNOWN)
        iol_page_caution(s->page, "warn",
                         "whether a second lens fits is not known here: gap behind the iris, angle, capsule");
    if (fabs(s->c->refractions[0].cylinder_d) >= c_typed_cylinder_d)
        iol_page_caution(s->page, "note", "cylinder is not planned here: use plan");
    if (s->detail > NO_WARNINGS) severities(s, IOL_SEVERITY_warn, true);
    if (s->detail > NO_ASSUMPTIONS) iol_power_assumed(s->plan, s->r, s->page);
    left(s);
    iol_page_paragraph(s->page, "For a licensed surgeon; local rules come first. Check by a second route.");
}

static bool count_lines(void *context, const char *bytes, size_t length) {
    for (size_t i = 0; i < length; i++) *(int *)context += bytes[i] == '\n';
    return true;
}

void iol_power_screen(const iol_case *c, const iol_plan *plan, bool second, iol_page *page) {
    screen s = {c, plan, second ? &plan->piggyback.power : iol_new_lens(plan), second, ALL, page};
    for (;; s.detail--) {
        int lines = 0;
        compose(&s);
        iol_page_text(page, false, count_lines, &lines);
        if (lines <= LINES || s.detail == LEAST) return;
    }
}
