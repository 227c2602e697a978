/* A page as one HTML document that needs nothing else: no script, no outside file, readable on screen and on paper,
 * in colour or not. All text of the page goes through put_escaped. */
#include "page.h"

#include <string.h>

/* The same words as in page_text.c; a test holds them together. */
#define LOST_TEXT                                                                                                      \
    "This page is not complete: it was too long and its end was left out. Do not act on it; "                          \
    "take the same result as JSON."

typedef struct {
    iol_sink sink;
    void *context;
    bool ok;
} html_out;

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
    "@page { margin: 18mm; }\n"
    "@media print { body { margin: 0; max-width: none; font-size: 10pt; } h2 { break-after: avoid; } "
    "tr, p, li { break-inside: avoid; } thead { display: table-header-group; } }\n"
    "</style>\n";

static void put_bytes(html_out *out, const char *bytes, size_t length) {
    out->ok = out->ok && (length == 0 || out->sink(out->context, bytes, length));
}

static void put(html_out *out, const char *text) { put_bytes(out, text, strlen(text)); }

/* What stands for a byte that may not stand for itself, or NULL. Control characters become blanks. */
static const char *stand_in(char byte) {
    switch (byte) {
    case '&': return "&amp;";
    case '<': return "&lt;";
    case '>': return "&gt;";
    case '"': return "&quot;";
    case '\'': return "&#39;";
    default: return ((unsigned char)byte < ' ' && byte != '\n') || byte == 0x7F ? " " : NULL;
    }
}

/* Bytes above ASCII pass: the document says that it is UTF-8, and no broken sequence of it can hide an ASCII byte. */
static void put_escaped(html_out *out, const char *text) {
    while (*text != '\0') {
        const char *end = text;
        while (*end != '\0' && stand_in(*end) == NULL) {
            end++;
        }
        put_bytes(out, text, (size_t)(end - text));
        if (*end == '\0') {
            return;
        }
        put(out, stand_in(*end));
        text = end + 1;
    }
}

static void put_element(html_out *out, const char *open, const char *text, const char *close) {
    put(out, open);
    put_escaped(out, text);
    put(out, close);
}

static const char *cell_text(const iol_page *page, const iol_block *block, int cell) {
    return cell < block->cells ? page->bytes + block->text[cell] : "";
}

static void put_caution(html_out *out, const char *severity, const char *text) {
    const bool stop = strcmp(severity, "stop") == 0 || strcmp(severity, "STOP") == 0;
    const bool warn = strcmp(severity, "warn") == 0 || strcmp(severity, "WARN") == 0;
    put(out, stop ? "<p class=\"caution stop\">" : warn ? "<p class=\"caution warn\">" : "<p class=\"caution\">");
    put_element(out, "<strong>", severity, "</strong> ");
    put_element(out, "", text, "</p>\n");
}

static void put_table_row(html_out *out, const iol_page *page, const iol_block *block) {
    const bool head = block->kind == IOL_BLOCK_TABLE_HEAD;
    put(out, head ? "<thead><tr>" : "<tr>");
    for (int i = 0; i < block->cells; i++) {
        put(out, head ? "<th scope=\"col\"" : "<td");
        put(out, block->numeric[i] ? " class=\"number\">" : ">");
        put_element(out, "", cell_text(page, block, i), head ? "</th>" : "</td>");
    }
    put(out, head ? "</tr></thead>\n<tbody>\n" : "</tr>\n");
}

static void put_block(html_out *out, const iol_page *page, const iol_block *block) {
    const char *text = cell_text(page, block, 0);
    switch (block->kind) {
    case IOL_BLOCK_TITLE: put_element(out, "<h1>", text, "</h1>\n"); break;
    case IOL_BLOCK_HEADING: put_element(out, "<h2>", text, "</h2>\n"); break;
    case IOL_BLOCK_PARAGRAPH: put_element(out, "<p>", text, "</p>\n"); break;
    case IOL_BLOCK_ITEM: put_element(out, "<li>", text, "</li>\n"); break;
    case IOL_BLOCK_PAIR:
        put_element(out, "<tr><th scope=\"row\">", text, "</th>");
        put_element(out, "<td>", cell_text(page, block, 1), "</td></tr>\n");
        break;
    case IOL_BLOCK_TABLE_HEAD:
    case IOL_BLOCK_ROW: put_table_row(out, page, block); break;
    case IOL_BLOCK_CAUTION: put_caution(out, text, cell_text(page, block, 1)); break;
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

static int put_run(html_out *out, const iol_page *page, int first) {
    const iol_block_kind kind = page->block[first].kind;
    const iol_block_kind next = kind == IOL_BLOCK_TABLE_HEAD ? IOL_BLOCK_ROW : kind;
    int end = first;
    put(out, before_run(kind));
    do {
        put_block(out, page, &page->block[end]);
        end++;
    } while (end < page->blocks && page->block[end].kind == next);
    put(out, after_run(kind));
    return end;
}

bool iol_page_html(const iol_page *page, iol_sink sink, void *context) {
    html_out out = {.sink = sink, .context = context, .ok = true};
    const bool titled = page->blocks > 0 && page->block[0].kind == IOL_BLOCK_TITLE;
    put(&out, opening);
    put_element(&out, "<title>", titled ? cell_text(page, &page->block[0], 0) : "Page", "</title>\n");
    put(&out, style);
    put(&out, "</head>\n<body>\n");
    for (int first = 0; first < page->blocks && out.ok;) {
        first = put_run(&out, page, first);
    }
    if (page->lost) {
        put_caution(&out, "STOP", LOST_TEXT);
    }
    put(&out, "</body>\n</html>\n");
    return out.ok;
}
