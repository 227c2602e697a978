/* A plan as one document: sheets, then tables. No script, nothing from outside. */
#include <string.h>

#include "report.h"
#include "sheet.h"
#include "sheet_style.h"

/* What may stand inside a string of the style sheet: letters, digits, points, lines, hyphens and blanks of a reference. */
static void put_plain(iol_html *out, const char *text) {
    for (; *text; text++) {
        const char c = *text;
        const bool plain = (c >= '0' && c <= '9') || ((c | 0x20) >= 'a' && (c | 0x20) <= 'z') || c == '.' || c == '-' ||
                           c == '_' || c == ' ';
        iol_html_put(out, (const char[]){plain ? c : '?', '\0'});
    }
}

/* Every printed sheet names eye, case, day and its place among all. */
static void running_heads(iol_html *out, const iol_plan *plan) {
    iol_line line;
    iol_line_start(&line);
    iol_line_text(&line, plan->as_of == IOL_UNKNOWN_DATE ? "plan without a date" : "plan of ");
    if (plan->as_of != IOL_UNKNOWN_DATE) iol_line_day(&line, plan->as_of);
    iol_html_put(out, "@page { margin: 13mm 12mm 10mm; @top-left { content: \"");
    iol_html_put(out, plan->eye == IOL_side_right ? "RIGHT eye" : "LEFT eye");
    iol_html_put(out, "\"; font: bold 11pt Arial, 'Liberation Sans', sans-serif; } @top-center { content: \"case ");
    put_plain(out, plan->case_ref);
    iol_html_put(
        out,
        "\"; font: 9pt Arial, 'Liberation Sans', sans-serif; } @top-right { content: \"sheet \" counter(page) \" of \" "
        "counter(pages); font: 9pt Arial, 'Liberation Sans', sans-serif; } @bottom-left { content: \"");
    put_plain(out, line.text);
    iol_html_put(out, ", program ");
    put_plain(out, plan->program_version);
    iol_html_put(out,
                 ", decision support for licensed surgeons\"; font: 8pt Arial, 'Liberation Sans', sans-serif; } }\n");
}

static void title(iol_html *out, const iol_plan *plan) {
    iol_html_put(out, plan->eye == IOL_side_right ? "<title>RIGHT eye, case " : "<title>LEFT eye, case ");
    iol_html_escaped(out, plan->case_ref);
    iol_html_put(out, ", revision plan</title>\n<style>\n");
}

static void contents(iol_html *out, const iol_plan *plan) {
    const char *why_not;
    iol_html_put(out, "<nav aria-label=\"Sheets\"><p><a href=\"#decide\">Decide</a> ");
    if (iol_theatre_operation(plan, &why_not)) iol_html_put(out, "<a href=\"#theatre\">Theatre card</a> ");
    if (plan->patient_count > 0) iol_html_put(out, "<a href=\"#patient\">Patient</a> ");
    iol_html_put(out, "<a href=\"#tables\">Tables</a></p></nav>\n");
}

/* An alarm has one page: its tables are the cautions and what was left out. */
bool iol_sheets_html(const iol_plan *plan, const iol_language *language, iol_page *tables, iol_sink sink,
                     void *context) {
    iol_html out = {.sink = sink, .context = context, .ok = true};
    iol_html_put(&out, iol_html_opening);
    title(&out, plan);
    running_heads(&out, plan);
    for (size_t i = 0; i < sizeof iol_sheet_style / sizeof *iol_sheet_style; i++)
        iol_html_put(&out, iol_sheet_style[i]);
    iol_html_put(&out, "</style>\n</head>\n<body>\n");
    contents(&out, plan);
    iol_html_put(&out, "<main id=\"plan\">\n");
    iol_sheet sheet = {.out = &out, .plan = plan};
    iol_sheet_decide(&sheet);
    sheet.sources = 0;
    iol_sheet_theatre(&sheet);
    sheet.sources = 0;
    iol_sheet_patient(&sheet, language ? language : iol_language_find(NULL));
    iol_html_put(&out, "<section class=\"sheet tables\" id=\"tables\">\n<h2>Tables: what it is built on</h2>\n");
    iol_report_tables(plan, tables);
    iol_page_html_blocks(tables, true, &out);
    iol_html_put(&out, "</section>\n</main>\n</body>\n</html>\n");
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
