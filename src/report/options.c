/* All ways side by side, for people. */
#include "screen.h"

static const char *why(const iol_plan *plan, int row, char *text, size_t size) {
    int note = iol_note_find(&plan->notes, IOL_AT_option_row_why, row, 0);
    return note < 0 ? "" : iol_note_text(&plan->notes.item[note], text, size);
}

static void number(iol_line *line, const iol_option_row *o, double x) {
    iol_line_start(line);
    iol_line_after(line, o, x);
}

static void row(const iol_plan *plan, int at, iol_page *page) {
    const iol_option_row *o = &plan->options[at];
    char text[640];
    iol_line way, se, cylinder, fellow;
    iol_line_start(&way);
    iol_line_number(&way, o->rank, IOL_UNIT_count);
    iol_line_text(&way, iol_way_open(plan, o) ? " ?" : "  ");
    iol_line_text(&way, " ");
    iol_line_way(&way, plan, o);
    number(&se, o, iol_way_told(plan, o, o->expected_se_d));
    number(&cylinder, o, iol_way_told(plan, o, o->expected_cylinder_d));
    number(&fellow, o, iol_way_told(plan, o, o->difference_from_fellow_d));
    iol_line reason;
    iol_line_start(&reason);
    if (o->rank == 1.0)
        iol_line_why_first(&reason, plan, at);
    else
        iol_line_text(&reason, why(plan, at, text, sizeof text));
    const char *const cells[] = {way.text, se.text, cylinder.text, fellow.text, reason.text};
    iol_page_row(page, 5, cells);
}

void iol_compose_option_reasons(const iol_plan *plan, iol_page *page) {
    char text[640];
    for (int i = 0; i < plan->options_count; i++) {
        int ranked = iol_note_find(&plan->notes, IOL_AT_option_row_why, i, 0);
        if (isnan(plan->options[i].rank)) continue;
        for (int k = iol_note_find(&plan->notes, IOL_AT_option_row_reasons, i, 0); k >= 0;
             k = iol_note_find(&plan->notes, IOL_AT_option_row_reasons, i, k + 1)) {
            iol_line line;
            if (ranked >= 0 && plan->notes.item[k].code == plan->notes.item[ranked].code) continue;
            iol_line_start(&line);
            iol_line_text(&line, iol_way_of(plan, &plan->options[i]));
            iol_line_text(&line, ": ");
            iol_line_text(&line, iol_note_text(&plan->notes.item[k], text, sizeof text));
            iol_page_item(page, line.text);
        }
    }
}

static void not_for_this_eye(const iol_plan *plan, iol_page *page) {
    char text[640];
    bool said = false;
    for (int i = 0; i < plan->options_count; i++) {
        if (!isnan(plan->options[i].rank)) continue;
        if (!said) iol_page_paragraph(page, "Not for this eye now:");
        said = true;
        iol_page_pair(page, iol_way_of(plan, &plan->options[i]), why(plan, i, text, sizeof text));
    }
}

void iol_compose_options(const iol_plan *plan, iol_page *page) {
    static const char *const heads[] = {"Way", ">SE", ">Cyl", ">To fellow", "Why it stands here"};
    if (plan->options_count <= 0) return;
    iol_page_section(page, "options", "All ways side by side");
    iol_page_paragraph(
        page, "Refraction after each way, with glasses or contact lens worn, and its difference from the fellow eye, which "
              "glasses leave as it is. ?: something that decides is not known. The order follows stated "
              "rules; it does not replace the talk with the patient.");
    iol_page_table(page, 5, heads);
    for (int i = 0; i < plan->options_count; i++)
        if (!isnan(plan->options[i].rank)) row(plan, i, page);
    not_for_this_eye(plan, page);
}
