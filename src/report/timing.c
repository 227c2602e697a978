/* When, for people. */
#include "compose.h"
#include "tables/note_codes.h"

double iol_timing_day(const iol_plan *plan, int32_t date) {
    if (date == IOL_UNKNOWN_DATE || plan->as_of == IOL_UNKNOWN_DATE) return NAN;
    return plan->timing.days_since_first_surgery + ((double)date - (double)plan->as_of);
}

const iol_note *iol_timing_turn(const iol_plan *plan) {
    return iol_compose_find(plan, IOL_AT_timing_reasons, IOL_NOTE_turn_window);
}

/* "2025-12-16, day 28 from the first operation, passed". */
static void pair_date(const iol_plan *plan, const char *label, int32_t date, iol_page *page) {
    const double day = iol_timing_day(plan, date);
    iol_line line;
    if (date == IOL_UNKNOWN_DATE) return;
    iol_line_start(&line);
    iol_line_date(&line, date);
    if (!isnan(day)) {
        iol_line_text(&line, ", day ");
        iol_line_number(&line, day, IOL_UNIT_count);
    }
    if (plan->as_of != IOL_UNKNOWN_DATE && date <= plan->as_of) iol_line_text(&line, ", passed");
    iol_page_pair(page, label, line.text);
}

static void pair_turn(const iol_plan *plan, iol_page *page) {
    const iol_note *turn = iol_timing_turn(plan);
    iol_line line;
    if (!turn) return;
    iol_line_start(&line);
    iol_line_text(&line, "day ");
    iol_line_number(&line, turn->value, IOL_UNIT_count);
    iol_line_text(&line, " to ");
    iol_line_number(&line, turn->limit, IOL_UNIT_count);
    iol_page_pair(page, "Turning", line.text);
}

/* From when a corneal laser may be judged: the one window of sheet 1 that no date above tells. */
static void pair_laser(const iol_plan *plan, iol_page *page) {
    iol_line line;
    for (int i = 0; i < plan->timing.windows_count; i++) {
        const iol_window *w = &plan->timing.windows[i];
        if (w->what != IOL_window_what_laser_judged || isnan(w->from_day)) continue;
        iol_line_start(&line);
        iol_line_text(&line, "day ");
        iol_line_number(&line, w->from_day, IOL_UNIT_count);
        iol_page_pair(page, "Corneal laser from", line.text);
    }
}

static void capsule(const iol_timing *t, iol_page *page) {
    iol_line line;
    iol_line_start(&line);
    iol_line_number(&line, t->days_since_first_surgery, IOL_UNIT_days);
    iol_page_pair(page, "Since the first operation", line.text);
    if (isnan(t->bend_index)) return;
    iol_line_start(&line);
    iol_line_text(&line, t->stage);
    iol_line_text(&line, "; typical bend ");
    iol_line_number(&line, t->bend_index, IOL_UNIT_ratio);
    iol_line_text(&line, " of 4 for this interval, not measured in this eye");
    iol_page_pair(page, "Capsule round the lens", line.text);
}

void iol_compose_timing(const iol_plan *plan, iol_page *page) {
    const iol_timing *t = &plan->timing;
    if (!t->present) return;
    iol_page_section(page, "timing", "When");
    capsule(t, page);
    pair_date(plan, "Refraction counts from", t->earliest_by_refraction, page);
    pair_date(plan, "Complaint: not before", t->earliest_by_symptoms, page);
    pair_turn(plan, page);
    pair_date(plan, "Exchange easier before", t->best_before, page);
    pair_laser(plan, page);
    if (t->conflict == IOL_YES)
        iol_page_pair(page, "Clash", "the easier days and the waiting time do not fit together");
    iol_draw_timing(plan, page);
    iol_compose_notes(page, plan, IOL_AT_timing_advice, 0);
    iol_compose_notes(page, plan, IOL_AT_timing_reasons, 0);
}
