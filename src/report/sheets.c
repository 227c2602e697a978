/* A plan as one document: sheets, then tables. No script, nothing from outside. */
#include <string.h>

#include "report.h"
#include "sheet.h"
#include "sheet_style.h"
#include "text/date_words.h"

/* What may stand inside a string of the style sheet: letters, digits, points, lines, hyphens and blanks of a reference. */
static void put_plain(iol_html *out, const char *text) {
    for (; *text; text++) {
        const char c = *text;
        const bool plain = (c >= '0' && c <= '9') || ((c | 0x20) >= 'a' && (c | 0x20) <= 'z') || c == '.' || c == '-' ||
                           c == '_' || c == ' ';
        iol_html_put(out, (const char[]){plain ? c : '?', '\0'});
    }
}

static const char *which_eye(const iol_plan *plan) { return plan->eye == IOL_side_right ? "RIGHT eye" : "LEFT eye"; }

#define HEAD_TYPE "font: 9pt Arial, 'Liberation Sans', sans-serif; } "

/* What stands at the margins of a sheet, in the language of that sheet. */
static void head(iol_html *out, const char *page, const char *top, const iol_language *l) {
    iol_html_put(out, "@page ");
    iol_html_put(out, page);
    iol_html_put(out, "{ margin: 13mm 12mm 10mm; @top-left { content: \"");
    iol_html_put(out, top);
    iol_html_put(out, "\"; font: bold 11pt Arial, 'Liberation Sans', sans-serif; } @top-center { content: \"");
    iol_html_put(out, l->word[IOL_HEAD_top_case]);
    iol_html_put(out, " ");
}

static void put_day(iol_html *out, int32_t day, const iol_language *l) {
    char text[40];
    iol_html_put(out, l->word[day == IOL_UNKNOWN_DATE ? IOL_HEAD_plan_undated : IOL_HEAD_plan_of]);
    if (day == IOL_UNKNOWN_DATE) return;
    iol_date_words(day, l == iol_language_find(NULL) ? NULL : &l->word[IOL_HEAD_january], text, sizeof text);
    iol_html_put(out, " ");
    iol_html_put(out, text);
}

static void foot(iol_html *out, const iol_plan *plan, const iol_language *l) {
    iol_html_put(out, "\"; " HEAD_TYPE "@top-right { content: \"");
    iol_html_put(out, l->word[IOL_HEAD_top_sheet]);
    iol_html_put(out, " \" counter(page) \" ");
    iol_html_put(out, l->word[IOL_HEAD_top_of]);
    iol_html_put(out, " \" counter(pages); " HEAD_TYPE "@bottom-left { content: \"");
    put_day(out, plan->as_of, l);
    iol_html_put(out, ", ");
    iol_html_put(out, l->word[IOL_HEAD_program]);
    iol_html_put(out, " ");
    put_plain(out, plan->program_version);
    iol_html_put(out, ", ");
    iol_html_put(out, l->word[IOL_HEAD_support]);
    iol_html_put(out, "\"; font: 8pt Arial, 'Liberation Sans', sans-serif; } }\n");
}

/* Every printed sheet names eye, case, day and its place among all. page: whose sheets, a blank behind it; "" of all. */
static void running_heads(iol_html *out, const char *page, const iol_plan *plan, const iol_language *l) {
    head(out, page, l->word[plan->eye == IOL_side_right ? IOL_HEAD_top_right : IOL_HEAD_top_left], l);
    put_plain(out, plan->case_ref);
    if (plan->changed_count > 0) put_plain(out, " CHANGED");
    foot(out, plan, l);
}

static bool is_foreign(const iol_language *language) { return language && language != iol_language_find(NULL); }

static void style(iol_html *out) {
    for (size_t i = 0; i < sizeof iol_sheet_style / sizeof *iol_sheet_style; i++) iol_html_put(out, iol_sheet_style[i]);
    iol_html_put(out, "</style>\n</head>\n<body>\n");
}

static void title(iol_html *out, const iol_plan *plan) {
    iol_html_put(out, "<title>");
    iol_html_put(out, which_eye(plan));
    iol_html_put(out, ", case ");
    iol_html_escaped(out, plan->case_ref);
    iol_html_put(out, ", revision plan</title>\n<style>\n");
}

static void link(iol_html *out, const char *name, const char *text) {
    iol_html_put(out, strcmp(name, "decide") == 0 ? "<a href=\"#" : " <a href=\"#");
    iol_html_name(out, name);
    iol_html_put(out, "\">");
    iol_html_put(out, text);
    iol_html_put(out, "</a>");
}

static void contents(iol_html *out, const iol_plan *plan) {
    const char *why_not;
    link(out, "decide", "Decide");
    if (iol_theatre_operation(plan, &why_not)) link(out, "theatre", "Theatre card");
    if (plan->patient_count > 0) link(out, "patient", "Patient");
    link(out, "tables", "Tables");
}

/* The sheets of one plan and the tables behind them. An alarm has one page: its tables are the cautions and what was left out. */
static void sheets_of(iol_html *out, const iol_plan *plan, const iol_language *language, iol_page *tables) {
    iol_sheet sheet = {.out = out, .plan = plan};
    iol_sheet_decide(&sheet);
    sheet.sources = 0;
    iol_sheet_theatre(&sheet);
    sheet.sources = 0;
    iol_sheet_patient(&sheet, language ? language : iol_language_find(NULL));
    iol_sheet_section(&sheet, "tables", "", "\">\n<h2>Tables: what it is built on</h2>\n");
    iol_report_tables(plan, tables);
    iol_page_html_blocks(tables, true, out);
    iol_html_put(out, "</section>\n");
}

bool iol_sheets_html(const iol_plan *plan, const iol_language *language, iol_page *tables, iol_sink sink,
                     void *context) {
    iol_html out = {.sink = sink, .context = context, .ok = true};
    iol_html_put(&out, iol_html_opening);
    title(&out, plan);
    running_heads(&out, "", plan, iol_language_find(NULL));
    if (is_foreign(language)) running_heads(&out, "patient ", plan, language);
    if (is_foreign(language)) iol_html_put(&out, ".sheet.patient { page: patient; }\n");
    style(&out);
    iol_html_put(&out, "<nav aria-label=\"Sheets\"><p>");
    contents(&out, plan);
    iol_html_put(&out, "</p></nav>\n<main id=\"plan\">\n");
    sheets_of(&out, plan, language, tables);
    iol_html_put(&out, "</main>\n</body>\n</html>\n");
    return out.ok;
}

/* ---- both eyes ---- */

static void pair_heads(iol_html *out, const iol_plan *right, const iol_plan *left, const iol_language *language) {
    const iol_language *own = iol_language_find(NULL);
    iol_html_put(out, "<title>RIGHT and LEFT eye, cases ");
    iol_html_escaped(out, right->case_ref);
    iol_html_put(out, " and ");
    iol_html_escaped(out, left->case_ref);
    iol_html_put(out, ", revision plans</title>\n<style>\n");
    head(out, "", "RIGHT and LEFT eye", own);
    put_plain(out, right->case_ref);
    iol_html_put(out, " and ");
    put_plain(out, left->case_ref);
    foot(out, right, own);
    running_heads(out, "right ", right, own);
    running_heads(out, "left ", left, own);
    if (is_foreign(language)) running_heads(out, "patient-right ", right, language);
    if (is_foreign(language)) running_heads(out, "patient-left ", left, language);
    iol_html_put(out, ".of-right .sheet { page: right; } .of-left .sheet { page: left; }\n"
                      "@media print { .of-right .sheet:last-child { break-after: page; } }\n");
    if (is_foreign(language))
        iol_html_put(out, ".of-right .sheet.patient { page: patient-right; } .of-left .sheet.patient { page: patient-left; }\n");
    style(out);
}

static void pair_contents(iol_html *out, const iol_plan *const plan[2]) {
    static const char *const prefix[] = {"right-", "left-"}, *const name[] = {"</p><p><b>RIGHT</b> ",
                                                                              "</p><p><b>LEFT</b> "};
    iol_html_put(out, "<nav aria-label=\"Sheets\"><p><a href=\"#pair\">Both eyes</a> ");
    for (int i = 0; i < 2; i++) {
        iol_html_put(out, name[i]);
        out->prefix = prefix[i];
        contents(out, plan[i]);
    }
    out->prefix = NULL;
    iol_html_put(out, "</p></nav>\n");
}

bool iol_sheets_pair_html(const iol_plan *right, const iol_plan *left, const iol_language *language, iol_page *page,
                          iol_sink sink, void *context) {
    static const char *const prefix[] = {"right-", "left-"}, *const open[] = {"<div class=\"of-right\">\n",
                                                                              "<div class=\"of-left\">\n"};
    const iol_plan *const plan[] = {right, left};
    iol_html out = {.sink = sink, .context = context, .ok = true};
    iol_html_put(&out, iol_html_opening);
    pair_heads(&out, right, left, language);
    pair_contents(&out, plan);
    iol_html_put(&out, "<main id=\"plan\">\n<section class=\"sheet tables report\" id=\"pair\">\n");
    iol_report_pair(right, left, page);
    iol_page_html_blocks(page, true, &out);
    iol_html_put(&out, "</section>\n");
    for (int i = 0; i < 2; i++) {
        iol_html_put(&out, open[i]);
        out.prefix = prefix[i];
        sheets_of(&out, plan[i], language, page);
        out.prefix = NULL;
        iol_html_put(&out, "</div>\n");
    }
    iol_html_put(&out, "</main>\n</body>\n</html>\n");
    return out.ok;
}

/* A page of blocks on the same grid and in the same type: its first paragraph leads. */
bool iol_sheet_page_html(const iol_page *page, iol_sink sink, void *context) {
    iol_html out = {.sink = sink, .context = context, .ok = true};
    const bool titled = page->blocks > 0 && page->block[0].kind == IOL_BLOCK_TITLE;
    iol_html_put(&out, iol_html_opening);
    iol_html_put(&out, "<title>");
    iol_html_escaped(&out, titled ? page->bytes + page->block[0].text[0] : "Report");
    iol_html_put(
        &out,
        "</title>\n<style>\n@page { margin: 13mm 12mm 10mm; @top-left { content: \"Recheck\"; font: bold 11pt Arial, "
        "'Liberation Sans', sans-serif; } @top-right { content: \"sheet \" counter(page) \" of \" "
        "counter(pages); font: 9pt Arial, 'Liberation Sans', sans-serif; } }\n");
    for (size_t i = 0; i < sizeof iol_sheet_style / sizeof *iol_sheet_style; i++)
        iol_html_put(&out, iol_sheet_style[i]);
    iol_html_put(
        &out, "</style>\n</head>\n<body class=\"alone\">\n<main id=\"plan\">\n<div class=\"sheet tables report\">\n");
    iol_page_html_blocks(page, true, &out);
    iol_html_put(&out, "</div>\n</main>\n</body>\n</html>\n");
    return out.ok;
}
