/* A page as one HTML document that needs nothing else: no script, no outside file, readable on screen and on paper,
 * in colour or not. All text of the page goes through iol_html_escaped. */
#include "page.h"

#include <string.h>

#include "html.h"
#include "page_style.h"

/* The same words as in page_text.c; a test holds them together. */
#define LOST_TEXT                                                                                                      \
    "This page is not complete: it was too long and its end was left out. Do not act on it; "                          \
    "take the same result as JSON."

const char iol_html_opening[] =
    "<!DOCTYPE html>\n"
    "<html lang=\"en\">\n"
    "<head>\n"
    "<meta charset=\"utf-8\">\n"
    "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n"
    "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n";

static void put_element(iol_html *out, const char *open, const char *text, const char *close) {
    iol_html_put(out, open);
    iol_html_escaped(out, text);
    iol_html_put(out, close);
}

static const char *cell_text(const iol_page *page, const iol_block *block, int cell) {
    return cell < block->cells ? page->bytes + block->text[cell] : "";
}

static void put_caution(iol_html *out, const char *severity, const char *text) {
    const bool stop = strcmp(severity, "stop") == 0 || strcmp(severity, "STOP") == 0;
    const bool warn = strcmp(severity, "warn") == 0 || strcmp(severity, "WARN") == 0;
    iol_html_put(out, stop   ? "<p class=\"caution stop\">"
                      : warn ? "<p class=\"caution warn\">"
                             : "<p class=\"caution\">");
    put_element(out, "<strong>", severity, "</strong> ");
    put_element(out, "", text, "</p>\n");
}

enum { SHORT = 10, SHORT_HEAD = 14 }; /* a cell of at most these many bytes is not broken into lines */

/* The first cell of a row heads it. */
static void put_table_row(iol_html *out, const iol_page *page, const iol_block *block) {
    const bool head = block->kind == IOL_BLOCK_TABLE_HEAD;
    iol_html_put(out, head ? "<thead><tr>" : "<tr>");
    for (int i = 0; i < block->cells; i++) {
        const bool heads = head || i == 0;
        iol_html_put(out, head ? "<th scope=\"col\"" : heads ? "<th scope=\"row\"" : "<td");
        const bool is_short = strlen(cell_text(page, block, i)) <= (i == 0 ? SHORT_HEAD : SHORT);
        iol_html_put(out, block->numeric[i] ? " class=\"number\">" : is_short && !head ? " class=\"short\">" : ">");
        put_element(out, "", cell_text(page, block, i), heads ? "</th>" : "</td>");
    }
    iol_html_put(out, head ? "</tr></thead>\n<tbody>\n" : "</tr>\n");
}

/* What a heading or the end of the page leaves open. */
typedef struct {
    bool section, fold;
    bool plain;       /* folds stand open, wide tables scroll on their own */
    const char *name; /* of the section, "" for none */
} opened;

static void close_fold(iol_html *out, opened *open) {
    iol_html_put(out, open->fold && !open->plain ? "</details>\n" : "");
    open->fold = false;
}

static void close_section(iol_html *out, opened *open) {
    close_fold(out, open);
    iol_html_put(out, open->section ? "</section>\n" : "");
    open->section = false;
}

static void open_section(iol_html *out, opened *open, const char *text, const char *name) {
    close_section(out, open);
    iol_html_put(out, *name ? "<section id=\"" : "<section>\n");
    if (*name) {
        iol_html_name(out, name);
        iol_html_put(out, "\">\n");
    }
    open->section = true;
    open->name = name;
    put_element(out, "<h2>", text, "</h2>\n");
}

static void open_fold(iol_html *out, opened *open, const char *what) {
    close_fold(out, open);
    if (open->plain)
        put_element(out, "<p class=\"fold\"><b>", what, "</b></p>\n");
    else
        put_element(out, "<details>\n<summary>", what, "</summary>\n");
    open->fold = true;
}

/* Two links: the one to the section itself makes the style sheet hide the others. */
static void put_alone(iol_html *out, const opened *open, const char *alone, const char *back) {
    iol_html_put(out, "<p class=\"alone\"><a class=\"show\" href=\"#");
    iol_html_name(out, open->name);
    iol_html_put(out, "\">");
    put_element(out, "", alone, "</a>");
    put_element(out, "<a class=\"back\" href=\"#plan\">", back, "</a></p>\n");
}

static bool is_pair(const iol_page *page, int at) {
    return at >= 0 && at < page->blocks && page->block[at].kind == IOL_BLOCK_PAIR;
}

/* A pair without a label belongs to the label above it, which spans its rows. */
static bool goes_on(const iol_page *page, int at) {
    return is_pair(page, at) && is_pair(page, at - 1) && cell_text(page, &page->block[at], 0)[0] == '\0';
}

static void put_pair(iol_html *out, const iol_page *page, int at) {
    const char *label = cell_text(page, &page->block[at], 0);
    const bool headed = *label != '\0';
    int rows = 1;
    while (goes_on(page, at + rows)) rows++;
    iol_html_put(out, "<tr>");
    if (!goes_on(page, at)) {
        iol_html_put(out, headed ? "<th scope=\"row\"" : "<td");
        if (rows > 1) {
            iol_html_put(out, " rowspan=\"");
            iol_html_count(out, rows);
            iol_html_put(out, "\"");
        }
        put_element(out, ">", label, headed ? "</th>" : "</td>");
    }
    put_element(out, "<td>", cell_text(page, &page->block[at], 1), "</td></tr>\n");
}

static void put_block(iol_html *out, opened *open, const iol_page *page, int at) {
    const iol_block *block = &page->block[at];
    const char *text = cell_text(page, block, 0);
    switch (block->kind) {
    case IOL_BLOCK_TITLE: put_element(out, "<h1>", text, "</h1>\n"); break;
    case IOL_BLOCK_HEADING: open_section(out, open, text, cell_text(page, block, 1)); break;
    case IOL_BLOCK_SUBHEADING: put_element(out, "<h3>", text, "</h3>\n"); break;
    case IOL_BLOCK_PARAGRAPH: put_element(out, "<p>", text, "</p>\n"); break;
    case IOL_BLOCK_ITEM: put_element(out, "<li>", text, "</li>\n"); break;
    case IOL_BLOCK_PAIR: put_pair(out, page, at); break;
    case IOL_BLOCK_TABLE_HEAD:
    case IOL_BLOCK_ROW: put_table_row(out, page, block); break;
    case IOL_BLOCK_CAUTION: put_caution(out, text, cell_text(page, block, 1)); break;
    case IOL_BLOCK_FIGURE: iol_html_figure(out, &page->figure[block->figure], block->figure + 1); break;
    case IOL_BLOCK_FOLD: open_fold(out, open, text); break;
    case IOL_BLOCK_UNFOLD: close_fold(out, open); break;
    case IOL_BLOCK_ALONE: put_alone(out, open, text, cell_text(page, block, 1)); break;
    }
}

/* What stands around a run of blocks that begins with this kind. */
static const char *before_run(iol_block_kind kind) {
    switch (kind) {
    case IOL_BLOCK_ITEM: return "<ul>\n";
    case IOL_BLOCK_TABLE_HEAD: return "<table>\n";
    case IOL_BLOCK_PAIR: return "<table class=\"pairs\">\n<tbody>\n";
    case IOL_BLOCK_ROW: return "<table>\n<tbody>\n";
    default: return "";
    }
}

static const char *after_run(iol_block_kind kind) {
    switch (kind) {
    case IOL_BLOCK_ITEM: return "</ul>\n";
    case IOL_BLOCK_TABLE_HEAD:
    case IOL_BLOCK_PAIR:
    case IOL_BLOCK_ROW: return "</tbody>\n</table>\n";
    default: return "";
    }
}

static int put_run(iol_html *out, opened *open, const iol_page *page, int first) {
    const iol_block_kind kind = page->block[first].kind;
    const iol_block_kind next = kind == IOL_BLOCK_TABLE_HEAD ? IOL_BLOCK_ROW : kind;
    int end = first;
    const bool wide = open->plain && kind == IOL_BLOCK_TABLE_HEAD && page->block[first].cells > 4;
    if (wide) {
        iol_html_put(out, "<div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-label=\"Table ");
        iol_html_count(out, first);
        put_element(out, ": ", cell_text(page, &page->block[first], 0), "\">\n");
    }
    iol_html_put(out, before_run(kind));
    do {
        put_block(out, open, page, end);
        end++;
    } while (end < page->blocks && page->block[end].kind == next);
    iol_html_put(out, after_run(kind));
    iol_html_put(out, wide ? "</div>\n" : "");
    return end;
}

void iol_page_html_blocks(const iol_page *page, bool plain, iol_html *out) {
    opened open = {.plain = plain, .name = ""};
    for (int first = 0; first < page->blocks && out->ok;) first = put_run(out, &open, page, first);
    close_section(out, &open);
    if (page->lost) put_caution(out, "STOP", LOST_TEXT);
}

bool iol_page_html(const iol_page *page, iol_sink sink, void *context) {
    iol_html out = {.sink = sink, .context = context, .ok = true};
    const bool titled = page->blocks > 0 && page->block[0].kind == IOL_BLOCK_TITLE;
    iol_html_put(&out, iol_html_opening);
    put_element(&out, "<title>", titled ? cell_text(page, &page->block[0], 0) : "Page", "</title>\n");
    for (size_t i = 0; i < sizeof iol_page_style / sizeof *iol_page_style; i++) iol_html_put(&out, iol_page_style[i]);
    iol_html_put(&out, "</head>\n<body>\n<main id=\"plan\">\n");
    iol_page_html_blocks(page, false, &out);
    iol_html_put(&out, "</main>\n</body>\n</html>\n");
    return out.ok;
}
