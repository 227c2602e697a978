/* Markup, escaped text and counts into a sink. */
#include "html.h"

#include <string.h>

#include "text/number.h"
#include "tables/tables.h"

static void put_bytes(iol_html *out, const char *bytes, size_t length) {
    out->ok = out->ok && (length == 0 || out->sink(out->context, bytes, length));
}

void iol_html_put(iol_html *out, const char *markup) { put_bytes(out, markup, strlen(markup)); }

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

static bool is_digit(char byte) { return byte >= '0' && byte <= '9'; }
static bool is_letter(char byte) { return (byte | 0x20) >= 'a' && (byte | 0x20) <= 'z'; }

/* A unit of data/units.def as a word of its own. */
static bool is_unit(const char *text) {
    for (int i = 0; i < IOL_UNIT_COUNT; i++) {
        const size_t length = strlen(iol_units[i].printed);
        if (length > 0 && strncmp(text, iol_units[i].printed, length) == 0 && !is_letter(text[length])) return true;
    }
    return false;
}

/* The blank between a number and its unit: no line ends there. */
static bool is_tie(const char *text, const char *at) {
    return *at == ' ' && at > text && is_digit(at[-1]) && is_unit(at + 1);
}

/* Bytes above ASCII pass: the document says that it is UTF-8, and no broken sequence of it can hide an ASCII byte. */
void iol_html_escaped(iol_html *out, const char *text) {
    while (*text != '\0') {
        const char *end = text, *stand = NULL;
        while (*end != '\0' && (stand = is_tie(text, end) ? "&nbsp;" : stand_in(*end)) == NULL) {
            end++;
        }
        put_bytes(out, text, (size_t)(end - text));
        if (!stand) {
            return;
        }
        iol_html_put(out, stand);
        text = end + 1;
    }
}

void iol_html_count(iol_html *out, int count) {
    char text[32];
    iol_print_count(count, 0, false, text, sizeof text);
    iol_html_put(out, text);
}
