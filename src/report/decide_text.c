/* The decision on one screen. */
#include <string.h>

#include "screen.h"
#include "tables/constants.h"
#include "text/number.h"
#include "tables/note_codes.h"

static void note_text(iol_line *line, const iol_plan *plan, int index) {
    char text[640];
    iol_line_text(line, iol_note_plain(&plan->notes.item[index], text, sizeof text));
}

/* ---- stops ---- */

static bool is_stop(const iol_note *note) {
    return note->place == IOL_AT_plan_cautions && iol_note_rows[note->code].severity == IOL_SEVERITY_stop;
}

void iol_screen_stops(const iol_plan *plan, iol_screen *s) {
    bool any = false;
    for (int i = 0; i < plan->notes.count; i++) {
        if (!is_stop(&plan->notes.item[i])) continue;
        iol_line line;
        iol_line_start(&line);
        note_text(&line, plan, i);
        iol_screen_say(s, IOL_RANK_NEVER, "STOP", line.text);
        any = true;
    }
    if (any) iol_screen_blank(s);
}

/* Every stop by its name, each line with its word, and how many there are. */
void iol_screen_last_stop(const iol_plan *plan, iol_screen *s) {
    enum { ROOM = 50 };
    iol_line names, line;
    iol_line_start(&names);
    const int stops = iol_line_stop_names(&names, plan);
    if (!stops) return;
    const char *at = names.text;
    while (strlen(at) > ROOM) {
        size_t end = ROOM;
        while (end > 0 && at[end] != ',') end--;
        if (end == 0) break;
        char part[ROOM + 1] = "";
        iol_append_bytes(part, sizeof part, at, end);
        iol_screen_say(s, IOL_RANK_NEVER, "STOP", part);
        at += end + 2;
    }
    iol_line_start(&line);
    iol_line_text(&line, at);
    iol_line_text(&line, ": ");
    if (stops > 1) iol_line_number(&line, stops, IOL_UNIT_count);
    iol_line_text(&line, stops > 1 ? " stops, see above." : "see above.");
    iol_screen_say(s, IOL_RANK_NEVER, "STOP", line.text);
}

/* ---- what to do ---- */

static void upper(char *text) {
    for (; *text; text++)
        if (*text >= 'a' && *text <= 'z') *text = (char)(*text - 'a' + 'A');
}

static bool turn(const iol_plan *plan, iol_screen *s) {
    iol_turn t;
    iol_line line;
    const bool cornea_first = iol_note_with(&plan->notes, IOL_AT_decision_reasons, IOL_NOTE_rule_cornea_unfit) >= 0;
    if (!iol_turn_first(plan, &t) || cornea_first) return false;
    iol_line_start(&line);
    iol_line_text(&line, "Marks now on ");
    iol_line_axis(&line, t.from_deg);
    if (!isnan(t.meant_deg)) {
        iol_line_text(&line, ", meant on ");
        iol_line_axis(&line, t.meant_deg);
    }
    iol_line_text(&line, "; the least cylinder is at ");
    iol_line_axis(&line, t.to_deg);
    iol_line_text(&line, ": bring them there. Expect ");
    iol_line_refraction(&line, t.expected.sphere_d, t.expected.cylinder_d, t.expected.axis_deg);
    iol_line_text(&line, ", SE ");
    iol_line_signed(&line, t.expected.se_d, IOL_UNIT_d);
    iol_line_text(&line, ".");
    iol_screen_more(s, line.text);
    return true;
}

/* brief: behind a line that tells its figure. */
static void sure(const iol_plan *plan, bool brief, iol_screen *s) {
    iol_line line, more;
    iol_line_doubt(plan, brief, &line, &more);
    if (line.used) iol_line_text(&line, strncmp(more.text, "THE POWER", 9) == 0 ? ": " : " ");
    iol_line_text(&line, more.text);
    iol_line_text(&line, ".");
    iol_screen_say(s, IOL_RANK_NEVER, "SURE", line.text);
}

static void decision(const iol_plan *plan, iol_screen *s) {
    iol_line line, because;
    iol_line_start(&line);
    iol_line_text(&line, plan->decision.sentence);
    upper(line.text);
    iol_screen_say(s, IOL_RANK_NEVER, "DO", line.text);
    const bool power = iol_screen_power(plan, s);
    iol_line_start(&line);
    iol_line_goals(&line, plan);
    if (line.used && !iol_is_alarm(plan)) iol_screen_more(s, line.text);
    iol_line_start(&line);
    iol_line_start(&because);
    iol_line_soon(&line, plan);
    iol_line_because(&because, plan);
    iol_line_text(&line, because.text);
    if (line.used) iol_screen_more(s, line.text);
    const bool turned = turn(plan, s);
    sure(plan, power || turned, s);
    iol_line_start(&line);
    iol_line_then(&line, plan);
    if (line.used) iol_screen_say(s, IOL_RANK_NEVER, "THEN", line.text);
}

/* All acts of one word under its head, numbered where they are first. */
static void acts(const iol_plan *plan, int when, const char *head, int rank, iol_screen *s) {
    int count = 0;
    for (int i = 0; i < plan->decision.acts_count; i++) {
        const int note = iol_note_find(&plan->notes, IOL_AT_act_text, i, 0);
        if (plan->decision.acts[i].when != when || note < 0) continue;
        iol_line line;
        iol_line_start(&line);
        if (when == IOL_act_when_first || when == IOL_act_when_after_it) {
            iol_line_number(&line, ++count, IOL_UNIT_count);
            iol_line_text(&line, " ");
        } else
            count++;
        note_text(&line, plan, note);
        iol_screen_say(s, rank, count == 1 ? head : NULL, line.text);
    }
}

/* "3 more, the first: ...". */
static void also(const iol_plan *plan, iol_screen *s) {
    int count = 0;
    iol_line line, first;
    iol_line_start(&line);
    iol_line_start(&first);
    for (int i = 0; i < plan->decision.acts_count; i++) {
        const int note = iol_note_find(&plan->notes, IOL_AT_act_text, i, 0);
        if (plan->decision.acts[i].when != IOL_act_when_also || note < 0) continue;
        if (count++ == 0) note_text(&first, plan, note);
    }
    if (count == 0) return;
    iol_line_text(&line, "also: ");
    iol_line_text(&line, first.text);
    if (count > 1) {
        iol_line_text(&line, " ");
        iol_line_number(&line, count - 1, IOL_UNIT_count);
        iol_line_text(&line, " more: --only decision.");
    }
    iol_screen_say(s, IOL_RANK_DETAIL, NULL, line.text);
}

static bool is_mind(const iol_plan *plan, const iol_note *note, bool unusual) {
    return note->place == IOL_AT_plan_cautions && !iol_caution_said(plan, note) &&
           iol_note_rows[note->code].severity == IOL_SEVERITY_warn && (note->code == IOL_NOTE_unusual) == unusual;
}

/* Values that are only unusual come last. */
static void minds(const iol_plan *plan, iol_screen *s) {
    enum { MOST = 3 };
    int count = 0;
    for (int unusual = 0; unusual < 2; unusual++)
        for (int i = 0; i < plan->notes.count; i++) {
            if (!is_mind(plan, &plan->notes.item[i], unusual) || count++ >= MOST) continue;
            iol_line line;
            iol_line_start(&line);
            note_text(&line, plan, i);
            iol_screen_say(s, count == 1 ? IOL_RANK_FACT : IOL_RANK_DETAIL, count == 1 ? "MIND" : NULL, line.text);
        }
    const int left = count - MOST;
    if (left <= 0) return;
    iol_line line;
    iol_line_start(&line);
    iol_line_number(&line, left, IOL_UNIT_count);
    iol_line_text(&line, left == 1 ? " more warning: --only cautions" : " more warnings: --only cautions");
    iol_screen_say(s, IOL_RANK_DETAIL, NULL, line.text);
}

/* ---- what went wrong ---- */

static void miss(const iol_plan *plan, iol_screen *s) {
    const iol_surprise *p = &plan->surprise;
    iol_line line;
    if (!p->present) {
        iol_line_start(&line);
        iol_line_text(&line, "no refraction of this eye counts");
        for (int i = 0; i < plan->options_count; i++) {
            if (plan->options[i].option != IOL_option_leave || isnan(plan->options[i].expected_se_d)) continue;
            iol_line_text(&line, "; as it is read now ");
            iol_line_signed(&line, plan->options[i].expected_se_d, IOL_UNIT_d);
        }
        iol_screen_say(s, IOL_RANK_DETAIL, "NOW", line.text);
        return;
    }
    iol_line_start(&line);
    const bool old = iol_line_last_read(&line, plan);
    iol_line_signed(&line, p->current_se_d, IOL_UNIT_d);
    iol_line_cylinder_now(&line, plan);
    iol_line_text(&line, "   MEANT ");
    iol_line_signed(&line, p->intended_se_d, IOL_UNIT_d);
    if (!isnan(p->miss_d)) {
        iol_line_text(&line, "   MISS ");
        iol_line_signed(&line, p->miss_d, IOL_UNIT_d);
    }
    if (!isnan(p->selection_part_d) && !isnan(p->eye_part_d)) {
        iol_line_text(&line, iol_grown_mm(plan) > 0.0 ? " = sheet and growth " : " = sheet ");
        iol_line_signed(&line, p->selection_part_d, IOL_UNIT_d);
        iol_line_text(&line, ", eye ");
        iol_line_signed(&line, p->eye_part_d, IOL_UNIT_d);
    }
    iol_screen_say(s, IOL_RANK_FACT, old ? "LAST" : "NOW", line.text);
    iol_line_start(&line);
    iol_line_latest(&line, plan);
    if (old) iol_screen_say(s, IOL_RANK_FACT, "NOW", line.text);
    iol_line_start(&line);
    iol_line_cause(&line, plan);
    iol_screen_say(s, IOL_RANK_FACT, "CAUSE", line.text);
}

/* ---- ways ---- */

static void cell(iol_line *line, const iol_option_row *o, double x, size_t right) {
    iol_line value;
    iol_line_start(&value);
    iol_line_after(&value, o, x);
    iol_line_column(line, right - value.used);
    iol_line_text(line, value.text);
}

static void way(const iol_plan *plan, int row, iol_screen *s) {
    enum { SE = 36, CYLINDER = 45, FELLOW = 54, WHY = 55 };
    const iol_option_row *o = &plan->options[row];
    iol_line line;
    iol_line_start(&line);
    iol_line_text(&line, "  ");
    iol_line_number(&line, o->rank, IOL_UNIT_count);
    iol_line_text(&line, iol_way_open(plan, o) ? " ?" : "  ");
    iol_line_column(&line, 7);
    iol_line_way(&line, plan, o);
    cell(&line, o, iol_way_told(plan, o, o->expected_se_d), SE);
    cell(&line, o, iol_way_told(plan, o, o->expected_cylinder_d), CYLINDER);
    cell(&line, o, iol_way_told(plan, o, o->difference_from_fellow_d), FELLOW);
    iol_line_column(&line, WHY);
    const bool said = o->rank == 1.0 && plan->decision.state == IOL_state_other_option_first; /* the day stands in DO */
    if (o->not_before != IOL_UNKNOWN_DATE && !said) {
        iol_line_text(&line, "not before ");
        iol_line_day(&line, o->not_before);
    } else
        iol_line_way_why(&line, plan, row);
    const bool both = plan->decision.state == IOL_state_exchange_or_alternative; /* the decision names it */
    const bool weighed = both && o->option == IOL_option_exchange;
    iol_screen_row(s, o->rank <= 3.0 || weighed ? IOL_RANK_FACT : IOL_RANK_EXTRA, line.text);
}

static void ways(const iol_plan *plan, iol_screen *s) {
    enum { MOST = 5 };
    int shown = 0, others = 0;
    bool unknown = false;
    for (int i = 0; i < plan->options_count; i++) {
        const bool ranked = !isnan(plan->options[i].rank);
        if (!ranked || shown == MOST) {
            others++;
            continue;
        }
        if (shown++ == 0)
            iol_screen_say(s, IOL_RANK_FACT, "WAYS", "in order              SE after      cyl  to fellow why");
        way(plan, i, s);
        unknown |= iol_way_open(plan, &plan->options[i]);
    }
    if (!shown || (!others && !unknown)) return;
    iol_line line;
    iol_line_start(&line);
    if (others) { /* all: of those above a short screen drops some */
        iol_line_text(&line, "all ");
        iol_line_number(&line, plan->options_count, IOL_UNIT_count);
        iol_line_text(&line, ": --only options. ");
    }
    iol_line_text(&line, unknown ? "?: not known yet whether it fits." : "");
    iol_screen_say(s, IOL_RANK_DETAIL, NULL, line.text);
}

/* ---- risk, more ---- */

static void risk(const iol_plan *plan, iol_screen *s) {
    const iol_endothelium *e = &plan->endothelium;
    iol_line line;
    if (!plan->support.present || plan->support.tier <= 0) return;
    iol_line_start(&line);
    iol_line_text(&line, "to the bag: ");
    iol_line_words(&line, IOL_WORD(tier, plan->support.tier));
    iol_line_text(&line, " (");
    iol_line_number(&line, plan->support.score_if_unknowns_present, IOL_UNIT_count);
    iol_line_text(&line, " points");
    int unknown = 0;
    for (int i = 0; i < plan->support.factors_count; i++)
        unknown += plan->support.factors[i].state == IOL_risk_state_unknown;
    if (unknown) {
        iol_line_text(&line, ", ");
        iol_line_number(&line, unknown, IOL_UNIT_count);
        iol_line_text(&line, " not looked for");
    }
    iol_line_text(&line, ")");
    if (e->present && !isnan(e->cells_now_per_mm2)) {
        iol_line_text(&line, "; cells ");
        iol_line_number(&line, e->cells_now_per_mm2, IOL_UNIT_count);
        iol_line_text(&line, plan->secondary.present ? ", operated " : ", exchanged ");
        iol_line_number(&line, e->cells_expected_per_mm2, IOL_UNIT_count);
        iol_line_text(&line, " per mm2");
    }
    iol_screen_say(s, IOL_RANK_FACT, "RISK", line.text);
}

/* What would make the power surer, of 100 eyes within 0.50 D: only what buys something. */
static void know(const iol_plan *plan, iol_screen *s) {
    enum { MOST = 2 };
    int count = 0;
    for (int i = 0; i < plan->measure_next_count && count < MOST && iol_power_given(plan) && iol_chance_told(plan);
         i++) {
        const iol_next_measure *m = &plan->measure_next[i];
        iol_line line;
        if (iol_at_least(m->gain, c_glance_gain) != IOL_YES) continue;
        iol_line_start(&line);
        iol_line_number(&line, 100.0 * m->chance_now, IOL_UNIT_count);
        iol_line_text(&line, " of 100 now, ");
        iol_line_number(&line, 100.0 * m->chance_after, IOL_UNIT_count);
        iol_line_text(&line, " with: ");
        iol_line_text(&line, iol_measure_words(m->id));
        iol_screen_say(s, IOL_RANK_EXTRA, count++ == 0 ? "KNOW" : NULL, line.text);
    }
}

/* The open questions that could change the plan most. */
static void questions(const iol_plan *plan, iol_screen *s) {
    enum { MOST = 3 };
    for (int i = 0; i < plan->ask_next_count && i < MOST; i++) {
        iol_line line;
        iol_line_start(&line);
        iol_line_text(&line, plan->ask_next[i].question);
        iol_screen_say(s, IOL_RANK_EXTRA, i == 0 ? "ASK" : NULL, line.text);
    }
}

void iol_screen_decide(const iol_plan *plan, iol_screen *s) {
    const bool alarm = iol_is_alarm(plan);
    iol_screen_start(s);
    iol_screen_ident(s, plan);
    iol_screen_stops(plan, s);
    decision(plan, s);
    acts(plan, IOL_act_when_first, "FIRST", IOL_RANK_NEVER, s);
    also(plan, s);
    acts(plan, IOL_act_when_after_it, "AFTER", IOL_RANK_FACT, s);
    acts(plan, IOL_act_when_weigh, "WEIGH", IOL_RANK_FACT, s);
    acts(plan, IOL_act_when_until_then, "UNTIL", IOL_RANK_FACT, s);
    if (!alarm) {
        minds(plan, s);
        iol_screen_blank(s);
        miss(plan, s);
        iol_screen_blank(s);
        if (iol_ways_told(plan)) ways(plan, s);
    }
    iol_screen_blank(s);
    iol_screen_lens(plan, s);
    if (!alarm) risk(plan, s);
    if (!alarm) know(plan, s);
    if (!alarm) questions(plan, s);
    iol_screen_say(s, IOL_RANK_NEVER, "MORE", "--full everything; --only PART one part; --format html the sheets");
    iol_screen_say(s, IOL_RANK_NEVER, NULL,
                   iol_power_given(plan) ? "Check the power by a second route before ordering. Local rules first."
                                         : "Decision support for licensed surgeons. Local rules come first.");
    iol_screen_last_stop(plan, s);
    iol_screen_fit(s, IOL_SCREEN_LINES);
}
