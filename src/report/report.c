/* The whole plan as a page: what decides first, then why, then what stands behind it. */
#include "plan/references.h"
#include "report.h"

#include "compose.h"

static void title(const iol_plan *plan, iol_page *page) {
    iol_line line;
    iol_line_start(&line);
    iol_line_text(&line, "Revision plan, case ");
    iol_line_text(&line, plan->case_ref);
    iol_line_text(&line, plan->eye == IOL_side_right ? ", RIGHT eye" : ", LEFT eye");
    if (plan->as_of != IOL_UNKNOWN_DATE) {
        iol_line_text(&line, ", as of ");
        iol_line_date(&line, plan->as_of);
    }
    iol_page_title(page, line.text);
}

static void cautions(const iol_plan *plan, iol_page *page, iol_severity severity) {
    char text[640];
    for (int i = iol_note_find(&plan->notes, IOL_AT_plan_cautions, 0, 0); i >= 0;
         i = iol_note_find(&plan->notes, IOL_AT_plan_cautions, 0, i + 1)) {
        const iol_note *note = &plan->notes.item[i];
        if (iol_note_rows[note->code].severity != severity) continue;
        iol_page_caution(page, iol_severity_text(severity), iol_note_text(note, text, sizeof text));
    }
}

static void assumptions(const iol_plan *plan, iol_page *page) {
    iol_page_section(page, "assumptions", "Assumed, because the case does not say");
    if (iol_note_find(&plan->notes, IOL_AT_plan_assumptions, 0, 0) < 0) iol_page_paragraph(page, "Nothing.");
    iol_compose_notes(page, plan, IOL_AT_plan_assumptions, 0);
}

static void left_out(const iol_plan *plan, iol_page *page) {
    char text[640];
    if (plan->left_out_count <= 0) return;
    iol_page_section(page, "left-out", "Left out");
    for (int i = 0; i < plan->left_out_count; i++) {
        int note = iol_note_find(&plan->notes, IOL_AT_left_out_text, i, 0);
        iol_page_pair(page, plan->left_out[i].part,
                      note < 0 ? "" : iol_note_text(&plan->notes.item[note], text, sizeof text));
    }
}

static void sources(const iol_plan *plan, iol_page *page) {
    bool used[IOL_REF_COUNT];
    iol_plan_references(plan, used);
    iol_page_section(page, "sources", "Sources");
    for (int i = 0; i < IOL_REF_COUNT; i++) {
        iol_line line;
        if (!used[i]) continue;
        iol_line_start(&line);
        iol_line_text(&line, iol_references[i].citation);
        iol_line_text(&line, " [");
        iol_line_text(&line, iol_status_text(iol_references[i].status));
        iol_line_text(&line, "]");
        iol_page_pair(page, iol_references[i].key, line.text);
    }
}

void iol_report_plan(const iol_plan *plan, iol_page *page) {
    iol_page_start(page);
    title(plan, page);
    cautions(plan, page, IOL_SEVERITY_stop);
    iol_compose_decision(plan, page);
    iol_compose_replacement(plan, page);
    iol_compose_options(plan, page);
    iol_compose_ways(plan, page);
    iol_compose_surprise(plan, page);
    iol_compose_support(plan, page);
    iol_compose_fallbacks(plan, page);
    iol_compose_endothelium(plan, page);
    iol_compose_removal(plan, page);
    iol_compose_incision(plan, page);
    iol_draw_astigmatism(plan, page);
    iol_compose_theatre_list(plan, page);
    iol_compose_timing(plan, page);
    iol_compose_counselling(plan, page);
    iol_page_section(page, "cautions", "Cautions");
    cautions(plan, page, IOL_SEVERITY_warn);
    cautions(plan, page, IOL_SEVERITY_note);
    assumptions(plan, page);
    left_out(plan, page);
    sources(plan, page);
}
