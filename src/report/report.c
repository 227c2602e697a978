/* The whole plan as a page: what decides first, then why, then what stands behind it. */
#include "report.h"

#include <string.h>

#include "plan/references.h"

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

/* Why a part is left out, without the words of the heading. */
static void left_out_text(const iol_plan *plan, int row, char *text, size_t size) {
    static const char head[] = "Left out";
    const int note = iol_note_find(&plan->notes, IOL_AT_left_out_text, row, 0);
    text[0] = '\0';
    if (note < 0) return;
    iol_note_text(&plan->notes.item[note], text, size);
    if (strncmp(text, head, sizeof head - 1) != 0) return;
    const size_t start = sizeof head - 1 + strspn(text + sizeof head - 1, ":, ");
    memmove(text, text + start, strlen(text + start) + 1);
}

static bool is_said_above(const iol_plan *plan, int row, const char *text) {
    char other[640];
    for (int i = 0; i < row; i++) {
        left_out_text(plan, i, other, sizeof other);
        if (strcmp(other, text) == 0) return true;
    }
    return false;
}

/* " So too: piggyback, rotation.": the parts behind it that are left out for the same reason. */
static void the_same(const iol_plan *plan, int row, const char *text, iol_line *line) {
    char other[640];
    bool any = false;
    for (int i = row + 1; i < plan->left_out_count; i++) {
        left_out_text(plan, i, other, sizeof other);
        if (strcmp(other, text) != 0) continue;
        iol_line_text(line, any ? ", " : " So too: ");
        iol_line_words(line, plan->left_out[i].part);
        any = true;
    }
    if (any) iol_line_text(line, ".");
}

static void left_out(const iol_plan *plan, iol_page *page) {
    char text[640];
    if (plan->left_out_count <= 0) return;
    iol_page_section(page, "left-out", "Left out");
    for (int i = 0; i < plan->left_out_count; i++) {
        iol_line part, parts;
        left_out_text(plan, i, text, sizeof text);
        if (is_said_above(plan, i, text)) continue;
        iol_line_start(&part);
        iol_line_start(&parts);
        iol_line_words(&part, plan->left_out[i].part);
        iol_line_text(&parts, text);
        the_same(plan, i, text, &parts);
        iol_page_pair(page, part.text, parts.text);
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

static void all_cautions(const iol_plan *plan, iol_page *page) {
    iol_page_section(page, "cautions", "Cautions");
    cautions(plan, page, IOL_SEVERITY_warn);
    cautions(plan, page, IOL_SEVERITY_note);
}

/* The sections in the order of the page, each with the keys of the plan that it tells. */
static const struct {
    const char *keys; /* between blanks */
    void (*compose)(const iol_plan *plan, iol_page *page);
} sections[] = {
    {" decision ", iol_compose_decision},
    {" replacement secondary ", iol_compose_replacement},
    {" two_lenses ", iol_compose_two_lenses},
    {" altered_cornea ", iol_compose_altered_cornea},
    {" growth ", iol_compose_growth},
    {" options ", iol_compose_options},
    {" piggyback rotation reposition spectacles contact_lens corneal_laser ", iol_compose_ways},
    {" surprise ", iol_compose_surprise},
    {" displaced ", iol_compose_displaced},
    {" measure_next ", iol_compose_measure_next},
    {" support ", iol_compose_support},
    {" fallbacks ", iol_compose_fallbacks},
    {" endothelium ", iol_compose_endothelium},
    {" removal ", iol_compose_removal},
    {" incision ", iol_compose_incision},
    {" incision ", iol_draw_astigmatism},
    {" theatre_list ", iol_compose_theatre_list},
    {" timing ", iol_compose_timing},
    {" counselling ", iol_compose_counselling},
    {" cautions ", all_cautions},
    {" assumptions ", assumptions},
    {" left_out ", left_out},
    {" sources ", sources},
};
enum { SECTIONS = sizeof sections / sizeof *sections };

/* While an alarm stands nothing elective is told: its parts are named, no more. */
static void all_sections(const iol_plan *plan, iol_page *page) {
    static const char always[] = "; decision ; counselling ; left_out ; sources ;";
    const bool alarm = plan->decision.urgency == IOL_urgency_same_day;
    for (int i = 0; i < SECTIONS; i++)
        if (!alarm || strstr(always, sections[i].keys)) sections[i].compose(plan, page);
    if (alarm)
        iol_page_paragraph(
            page,
            "Not told while the alarm stands: new lens, ways, what went wrong, support, places, cells, taking the "
            "lens out, wound, theatre list, timing. Treat it, then refract and plan anew.");
}

void iol_report_plan(const iol_plan *plan, iol_page *page) {
    iol_page_start(page);
    title(plan, page);
    iol_compose_changes(plan, page);
    cautions(plan, page, IOL_SEVERITY_stop);
    all_sections(plan, page);
}

void iol_report_tables(const iol_plan *plan, iol_page *page) {
    iol_page_start(page);
    page->behind_sheets = true;
    all_sections(plan, page);
}

bool iol_report_part(const iol_plan *plan, const char *key, iol_page *page) {
    char wanted[48] = " ";
    const iol_field *field = iol_object_find(iol_object_plan, key, strlen(key));
    if (!field || strlen(key) + 3 > sizeof wanted) return false;
    memcpy(wanted + 1, key, strlen(key));
    memcpy(wanted + 1 + strlen(key), " ", 2);
    iol_page_start(page);
    for (int i = 0; i < SECTIONS; i++)
        if (strstr(sections[i].keys, wanted)) sections[i].compose(plan, page);
    if (page->blocks == 0 && (field->kind == IOL_KIND_PART || field->kind == IOL_KIND_LIST)) left_out(plan, page);
    if (page->blocks == 0) title(plan, page);
    return true;
}
