/* Questions that could change the plan, and plans of a changed case side by side. */
#include "compose.h"
#include "report.h"

#include <string.h>

#include "tables/constants.h"

/* ---- what was changed ---- */

void iol_line_changes(iol_line *line, const iol_plan *plan) {
    for (int i = 0; i < plan->changed_count; i++) {
        if (i > 0) iol_line_text(line, "; ");
        iol_line_text(line, plan->changed[i].path);
        iol_line_text(line, " ");
        iol_line_text(line, plan->changed[i].from);
        iol_line_text(line, " -> ");
        iol_line_text(line, plan->changed[i].to);
    }
}

void iol_compose_changes(const iol_plan *plan, iol_page *page) {
    iol_line line;
    if (plan->changed_count == 0) return;
    iol_line_start(&line);
    iol_line_text(&line, "Changed for this plan, not in the file: ");
    iol_line_changes(&line, plan);
    iol_page_paragraph(page, line.text);
}

/* ---- questions ---- */

/* The widest span of the powers that its answers bring; NaN with fewer than two. */
static double power_span(const iol_asked_question *q) {
    double low = NAN, high = NAN;
    for (int i = 0; i < q->answers_count; i++) {
        low = fmin(low, q->answers[i].power_d);
        high = fmax(high, q->answers[i].power_d);
    }
    return high - low;
}

/* "Could change: standing, power by 0.50 D" */
void iol_line_could_change(iol_line *line, const iol_asked_question *q) {
    iol_line_text(line, "Could change: ");
    for (int i = 0; i < q->could_change_count; i++) {
        bool power = strcmp(q->could_change[i], "power") == 0;
        if (i > 0) iol_line_text(line, ", ");
        iol_line_text(line, strcmp(q->could_change[i], "first-way") == 0 ? "first way" : q->could_change[i]);
        if (!power || iol_above(power_span(q), 0.0) != IOL_YES) continue;
        iol_line_text(line, " by ");
        iol_line_number(line, power_span(q), IOL_UNIT_d);
    }
}

static void answer(const iol_asked_answer *a, iol_page *page) {
    iol_line line;
    iol_line_start(&line);
    iol_line_text(&line, IOL_PLAIN(state, a->state));
    if (a->standing) iol_line_text(&line, ", power: ");
    if (a->standing) iol_line_text(&line, IOL_PLAIN(standing, a->standing));
    if (!isnan(a->power_d)) iol_line_text(&line, ", ");
    if (!isnan(a->power_d)) iol_line_power(&line, a->power_d);
    iol_page_pair(page, a->answer, line.text);
}

void iol_report_asked(const iol_asked *asked, iol_page *page) {
    iol_line line;
    iol_page_start(page);
    iol_line_start(&line);
    iol_line_text(&line, "Questions that could change the plan, case ");
    iol_line_text(&line, asked->case_ref);
    iol_line_text(&line, asked->eye == IOL_side_right ? ", RIGHT eye" : ", LEFT eye");
    iol_page_title(page, line.text);
    iol_asked_answer now = {
        .answer = "now", .state = asked->state, .standing = asked->standing, .power_d = asked->power_d};
    answer(&now, page);
    if (asked->questions_count == 0) iol_page_paragraph(page, "No open question could change the plan.");
    for (int i = 0; i < asked->questions_count; i++) {
        const iol_asked_question *q = &asked->questions[i];
        iol_line_start(&line);
        iol_line_number(&line, i + 1, IOL_UNIT_count);
        iol_line_text(&line, ". ");
        iol_line_text(&line, q->question);
        iol_line_text(&line, " ");
        iol_line_could_change(&line, q);
        iol_line_text(&line, "; key ");
        iol_line_text(&line, q->path);
        if (q->also[0]) iol_line_text(&line, " ");
        iol_line_text(&line, q->also);
        iol_page_paragraph(page, line.text);
        for (int k = 0; k < q->answers_count; k++) answer(&q->answers[k], page);
    }
}

/* ---- side by side ---- */

enum { ABREAST = 4, ROWS = 8 };

static double stops(const iol_plan *plan) {
    double count = 0.0;
    for (int i = iol_note_find(&plan->notes, IOL_AT_plan_cautions, 0, 0); i >= 0;
         i = iol_note_find(&plan->notes, IOL_AT_plan_cautions, 0, i + 1))
        count += iol_note_rows[plan->notes.item[i].code].severity == IOL_SEVERITY_stop;
    return count;
}

/* One cell of the table: what the row tells of a plan. */
static void cell(iol_line *line, const iol_plan *plan, int row) {
    const iol_choice *step = iol_chosen_step(iol_new_lens(plan));
    const iol_option_row *way = iol_first_way(plan);
    iol_line_start(line);
    switch (row) {
    case 0:
        if (plan->changed_count == 0) iol_line_text(line, "nothing");
        iol_line_changes(line, plan);
        break;
    case 1: iol_line_text(line, plan->decision.state ? IOL_PLAIN(state, plan->decision.state) : "-"); break;
    case 2:
        iol_line_text(line, iol_new_lens(plan)->standing ? IOL_PLAIN(standing, iol_new_lens(plan)->standing) : "-");
        break;
    case 3: step ? iol_line_power(line, step->power_d) : iol_line_text(line, "none chosen"); break;
    case 4: step ? iol_line_signed(line, step->expected.se_d, IOL_UNIT_d) : iol_line_text(line, "-"); break;
    case 5: step ? iol_line_percent(line, step->within_half_d) : iol_line_text(line, "-"); break;
    case 6: iol_line_text(line, way ? iol_way_name(way->option) : "-"); break;
    default: iol_line_number(line, stops(plan), IOL_UNIT_count); break;
    }
}

static void table(const iol_plan *plan, const iol_plan variant[], int count, int first, iol_page *page) {
    iol_line within;
    iol_line_start(&within);
    iol_line_bands(&within, "within %h");
    const char *const rows[ROWS] = {"changed",  "decision",  "standing",  "power",
                                    "expected SE", within.text, "first way", "stops"};
    iol_line text[ABREAST + 1];
    char heads[ABREAST][16];
    const char *cells[ABREAST + 2] = {"", "as it is"};
    for (int i = 0; i < count; i++) {
        heads[i][0] = '\0';
        iol_line_start(&text[0]);
        iol_line_number(&text[0], first + i + 1, IOL_UNIT_count);
        memcpy(heads[i], text[0].text, strlen(text[0].text) + 1);
        cells[i + 2] = heads[i];
    }
    iol_page_table(page, count + 2, cells);
    for (int row = 0; row < ROWS; row++) {
        cells[0] = rows[row];
        for (int i = 0; i <= count; i++) {
            cell(&text[i], i == 0 ? plan : &variant[i - 1], row);
            cells[i + 1] = text[i].text;
        }
        iol_page_row(page, count + 2, cells);
    }
}

void iol_report_what_if(const iol_plan *plan, const iol_plan variant[], int count, iol_page *page) {
    iol_line line;
    iol_page_start(page);
    iol_line_start(&line);
    iol_line_text(&line, "What if, case ");
    iol_line_text(&line, plan->case_ref);
    iol_line_text(&line, plan->eye == IOL_side_right ? ", RIGHT eye" : ", LEFT eye");
    iol_page_title(page, line.text);
    for (int first = 0; first < count; first += ABREAST) {
        int here = count - first < ABREAST ? count - first : ABREAST;
        table(plan, variant + first, here, first, page);
    }
    iol_page_paragraph(page, "One table, not a plan: read the whole plan of a variant before acting on it (--set).");
}
