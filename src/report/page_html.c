/* A page as one HTML document that needs nothing else: no script, no outside file, readable on screen and on paper,
 * in colour or not. All text of the page goes through iol_html_escaped. */
#include "page.h"

#include <string.h>

#include "html.h"

/* The same words as in page_text.c; a test holds them together. */
#define LOST_TEXT                                                                                                      \
    "This page is not complete: it was too long and its end was left out. Do not act on it; "                          \
    "take the same result as JSON."

static const char *const opening =
    "<!DOCTYPE html>\n"
    "<html lang=\"en\">\n"
    "<head>\n"
    "<meta charset=\"utf-8\">\n"
    "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n"
    "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n";

static const char *const style =
    "<style>\n"
    "body { font: 11pt/1.45 Georgia, serif; color: #111; background: #fff; max-width: 46em; margin: 2em auto; "
    "padding: 0 1em; overflow-wrap: anywhere; }\n"
    "h1 { font-size: 1.5em; border-bottom: 3px double #555; padding-bottom: 0.2em; }\n"
    "h2 { font-size: 1.15em; border-bottom: 1px solid #999; margin-top: 1.6em; }\n"
    "table { border-collapse: collapse; margin: 0.8em 0; }\n"
    "th, td { text-align: left; vertical-align: top; padding: 0.15em 1.1em 0.15em 0; }\n"
    "thead th { border-bottom: 1px solid #555; }\n"
    "tbody th { font-weight: normal; color: #444; }\n"
    "th.number, td.number { text-align: right; font-variant-numeric: tabular-nums; white-space: nowrap; }\n"
    "p.caution { border-left: 0.25em solid #777; padding: 0.2em 0 0.2em 0.8em; margin: 0.5em 0; }\n"
    "p.stop { border-left-color: #a00000; }\n"
    "p.stop strong { color: #a00000; }\n"
    "p.warn { border-left-color: #9a5b00; }\n"
    "strong { text-transform: uppercase; margin-right: 0.6em; }\n"
    "figure { margin: 0.8em 0; max-width: 34em; } figcaption { font-size: 0.9em; color: #444; }\n"
    "svg { display: block; width: 100%; height: auto; font: 8.5px Georgia, serif; fill: none; stroke: none; }\n"
    ".plain, .heavy, .dashed, .dotted { stroke: #111; stroke-width: 0.8; } .heavy { stroke-width: 2; }\n"
    ".dashed { stroke-dasharray: 5 3; } .dotted { stroke-dasharray: 1.5 2.5; }\n"
    ".faint { stroke: #888; stroke-width: 0.5; } .paper { fill: #fff; } .shade { fill: #e3e3e3; } .ink { fill: #111; "
    "}\n"
    "text { fill: #111; stroke: #fff; stroke-width: 2.5px; paint-order: stroke; stroke-linejoin: round; }\n"
    "text.middle { text-anchor: middle; } text.end { text-anchor: end; } text.axis { font-style: italic; }\n"
    "@page { margin: 18mm; }\n"
    "@media print { body { margin: 0; max-width: none; font-size: 10pt; } h2 { break-after: avoid; } "
    "tr, p, li { break-inside: avoid; } thead { display: table-header-group; } }\n"
    "</style>\n";

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

/* The first cell of a row heads it. */
static void put_table_row(iol_html *out, const iol_page *page, const iol_block *block) {
    const bool head = block->kind == IOL_BLOCK_TABLE_HEAD;
    iol_html_put(out, head ? "<thead><tr>" : "<tr>");
    for (int i = 0; i < block->cells; i++) {
        const bool heads = head || i == 0;
        iol_html_put(out, head ? "<th scope=\"col\"" : heads ? "<th scope=\"row\"" : "<td");
        iol_html_put(out, block->numeric[i] ? " class=\"number\">" : ">");
        put_element(out, "", cell_text(page, block, i), heads ? "</th>" : "</td>");
    }
    iol_html_put(out, head ? "</tr></thead>\n<tbody>\n" : "</tr>\n");
}

/* What a heading or the end of the page leaves open. */
typedef struct {
    bool section, fold;
} opened;

static void close_fold(iol_html *out, opened *open) {
    iol_html_put(out, open->fold ? "</details>\n" : "");
    open->fold = false;
}

static void close_section(iol_html *out, opened *open) {
    close_fold(out, open);
    iol_html_put(out, open->section ? "</section>\n" : "");
    open->section = false;
}

static void open_section(iol_html *out, opened *open, const char *text, const char *name) {
    close_section(out, open);
    if (*name)
        put_element(out, "<section id=\"", name, "\">\n");
    else
        iol_html_put(out, "<section>\n");
    open->section = true;
    put_element(out, "<h2>", text, "</h2>\n");
}

static void open_fold(iol_html *out, opened *open, const char *what) {
    close_fold(out, open);
    put_element(out, "<details>\n<summary>", what, "</summary>\n");
    open->fold = true;
}

static void put_block(iol_html *out, opened *open, const iol_page *page, const iol_block *block) {
    const char *text = cell_text(page, block, 0);
    switch (block->kind) {
    case IOL_BLOCK_TITLE: put_element(out, "<h1>", text, "</h1>\n"); break;
    case IOL_BLOCK_HEADING: open_section(out, open, text, cell_text(page, block, 1)); break;
    case IOL_BLOCK_SUBHEADING: put_element(out, "<h3>", text, "</h3>\n"); break;
    case IOL_BLOCK_PARAGRAPH: put_element(out, "<p>", text, "</p>\n"); break;
    case IOL_BLOCK_ITEM: put_element(out, "<li>", text, "</li>\n"); break;
    case IOL_BLOCK_PAIR:
        put_element(out, "<tr><th scope=\"row\">", text, "</th>");
        put_element(out, "<td>", cell_text(page, block, 1), "</td></tr>\n");
        break;
    case IOL_BLOCK_TABLE_HEAD:
    case IOL_BLOCK_ROW: put_table_row(out, page, block); break;
    case IOL_BLOCK_CAUTION: put_caution(out, text, cell_text(page, block, 1)); break;
    case IOL_BLOCK_FIGURE: iol_html_figure(out, &page->figure[block->figure], block->figure + 1); break;
    case IOL_BLOCK_FOLD: open_fold(out, open, text); break;
    case IOL_BLOCK_UNFOLD: close_fold(out, open); break;
    }
}

/* What stands around a run of blocks that begins with this kind. */
static const char *before_run(iol_block_kind kind) {
    switch (kind) {
    case IOL_BLOCK_ITEM: return "<ul>\n";
    case IOL_BLOCK_TABLE_HEAD: return "<table>\n";
    case IOL_BLOCK_PAIR:
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
    iol_html_put(out, before_run(kind));
    do {
        put_block(out, open, page, &page->block[end]);
        end++;
    } while (end < page->blocks && page->block[end].kind == next);
    iol_html_put(out, after_run(kind));
    return end;
}

bool iol_page_html(const iol_page *page, iol_sink sink, void *context) {
    iol_html out = {.sink = sink, .context = context, .ok = true};
    opened open = {false, false};
    const bool titled = page->blocks > 0 && page->block[0].kind == IOL_BLOCK_TITLE;
    iol_html_put(&out, opening);
    put_element(&out, "<title>", titled ? cell_text(page, &page->block[0], 0) : "Page", "</title>\n");
    iol_html_put(&out, style);
    iol_html_put(&out, "</head>\n<body>\n");
    for (int first = 0; first < page->blocks && out.ok;) {
        first = put_run(&out, &open, page, first);
    }
    close_section(&out, &open);
    if (page->lost) {
        put_caution(&out, "STOP", LOST_TEXT);
    }
    iol_html_put(&out, "</body>\n</html>\n");
    return out.ok;
}
