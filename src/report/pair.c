/* Both eyes of one person on one page. */
#include "compose.h"
#include "report.h"
#include "screen.h"
#include "tables/note_codes.h"

static void eye(const char *label, const iol_plan *plan, iol_page *page) {
    iol_line line;
    iol_line_start(&line);
    iol_line_text(&line, plan->case_ref);
    iol_line_text(&line, ": now ");
    iol_line_signed(&line, plan->surprise.current_se_d, IOL_UNIT_d);
    iol_line_text(&line, ", missed by ");
    iol_line_signed(&line, plan->surprise.miss_d, IOL_UNIT_d);
    iol_line_text(&line, ". ");
    iol_line_text(&line, plan->decision.sentence);
    iol_page_pair(page, label, line.text);
}

static void combinations(const iol_both_eyes *pair, iol_page *page) {
    static const char *const heads[] = {"Right eye", "Left eye", ">Right less left"};
    if (pair->combinations_count == 0) return;
    iol_page_table(page, 3, heads);
    for (int i = 0; i < pair->combinations_count; i++) {
        const iol_pair_ways *ways = &pair->combinations[i];
        iol_line difference;
        iol_line_start(&difference);
        iol_line_signed(&difference, ways->difference_d, IOL_UNIT_d);
        const char *const cells[] = {iol_way_name(ways->right), iol_way_name(ways->left), difference.text};
        iol_page_row(page, 3, cells);
    }
}

void iol_report_pair(const iol_plan *right, const iol_plan *left, iol_page *page) {
    const iol_both_eyes *pair = &right->pair;
    char text[640];
    iol_line line;
    iol_page_start(page);
    iol_page_title(page, "Both eyes");
    for (int i = iol_note_find(&right->notes, IOL_AT_plan_cautions, 0, 0); i >= 0;
         i = iol_note_find(&right->notes, IOL_AT_plan_cautions, 0, i + 1)) {
        int code = right->notes.item[i].code;
        if (code == IOL_NOTE_pair_swap_lens || code == IOL_NOTE_pair_swap_biometry)
            iol_page_caution(page, "stop", iol_note_text(&right->notes.item[i], text, sizeof text));
    }
    eye("RIGHT", right, page);
    eye("LEFT", left, page);
    iol_line_start(&line);
    iol_line_signed(&line, pair->difference_d, IOL_UNIT_d);
    iol_line_text(&line, " now, right less left");
    iol_page_pair(page, "Between", line.text);
    iol_compose_notes(page, right, IOL_AT_both_eyes_reasons, 0);
    combinations(pair, page);
    iol_page_paragraph(page, "Each eye keeps its own plan; read both.");
}
