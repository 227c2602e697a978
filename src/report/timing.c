/* When, for people. */
#include "compose.h"

static void pair_date(iol_page *page, const char *label, int32_t day, int32_t as_of) {
    iol_line line;
    if (day == IOL_UNKNOWN_DATE) return;
    iol_line_start(&line);
    iol_line_date(&line, day);
    if (as_of != IOL_UNKNOWN_DATE && day <= as_of) iol_line_text(&line, ", passed");
    iol_page_pair(page, label, line.text);
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
    pair_date(page, "Refraction counts from", t->earliest_by_refraction, plan->as_of);
    pair_date(page, "Complaint: not before", t->earliest_by_symptoms, plan->as_of);
    pair_date(page, "Easier before", t->best_before, plan->as_of);
    if (t->conflict == IOL_YES)
        iol_page_pair(page, "Clash", "the easier days and the waiting time do not fit together");
    iol_draw_timing(plan, page);
    iol_compose_notes(page, plan, IOL_AT_timing_advice, 0);
    iol_compose_notes(page, plan, IOL_AT_timing_reasons, 0);
}
