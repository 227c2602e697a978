/* Records of JSON Lines from a block that is refilled. */
#include "lines.h"

#include <string.h>

void iol_lines_start(iol_lines *lines, iol_source source, void *context) {
    lines->source = source;
    lines->context = context;
    lines->line = 0;
    lines->at = lines->end = 0;
    lines->started = lines->over = lines->unended = false;
}

/* Bytes not yet taken move to the front, new ones come behind them. */
static void refill(iol_lines *lines) {
    size_t kept = lines->end - lines->at;
    memmove(lines->block, lines->block + lines->at, kept);
    size_t got = lines->source(lines->context, lines->block + kept, sizeof lines->block - kept);
    lines->at = 0;
    lines->end = kept + got;
    lines->over = got == 0;
}

static const char *line_end(const iol_lines *lines, size_t searched) {
    size_t from = lines->at + searched;
    return from < lines->end ? memchr(lines->block + from, '\n', lines->end - from) : NULL;
}

/* Read past a line that no block will hold; its length. */
static size_t read_past(iol_lines *lines) {
    size_t length = 0;
    for (;;) {
        const char *end = line_end(lines, 0);
        if (end) {
            length += (size_t)(end - lines->block) - lines->at;
            lines->at = (size_t)(end - lines->block) + 1;
            return length;
        }
        length += lines->end - lines->at;
        lines->at = lines->end;
        if (lines->over) return length;
        refill(lines);
    }
}

static bool blank(const char *text, size_t length) {
    for (size_t i = 0; i < length; i++)
        if (text[i] != ' ' && text[i] != '\t' && text[i] != '\r') return false;
    return true;
}

static void start(iol_lines *lines) {
    lines->started = true;
    while (!lines->over && lines->end < 3) refill(lines);
    if (lines->end >= 3 && memcmp(lines->block, "\xef\xbb\xbf", 3) == 0) lines->at = 3;
}

/* One line, blank or not; false at the end. */
static bool take(iol_lines *lines, iol_record *record) {
    size_t searched = 0;
    const char *end = line_end(lines, 0);
    while (!end && !lines->over && lines->end - lines->at <= IOL_LINE_MOST + 1) {
        searched = lines->end - lines->at;
        refill(lines);
        end = line_end(lines, searched);
    }
    if (!end && lines->at == lines->end) return false;
    record->line = ++lines->line;
    lines->unended = !end && lines->over;
    record->text = lines->block + lines->at;
    if (!end && !lines->over) {
        record->text = NULL;
        record->length = read_past(lines);
        return true;
    }
    record->length = (end ? (size_t)(end - lines->block) : lines->end) - lines->at;
    lines->at += record->length + (end != NULL);
    if (record->length > 0 && record->text[record->length - 1] == '\r') record->length--;
    if (record->length > IOL_LINE_MOST) record->text = NULL;
    return true;
}

bool iol_lines_next(iol_lines *lines, iol_record *record) {
    if (!lines->started) start(lines);
    while (take(lines, record))
        if (!record->text || !blank(record->text, record->length)) return true;
    return false;
}

/* The object at p is still open where its line ends. */
static bool open_at_line_end(const char *p, const char *end) {
    int level = 0;
    bool text = false;
    for (; p < end && *p != '\n'; p++) {
        if (text && *p == '\\')
            p++;
        else if (*p == '"')
            text = !text;
        else if (!text)
            level += (*p == '{' || *p == '[') - (*p == '}' || *p == ']');
    }
    return p < end && level > 0;
}

/* The first byte that is no blank and no line end. */
static size_t first_sign(const iol_lines *lines) {
    size_t at = lines->at;
    while (at < lines->end && (lines->block[at] == '\n' || blank(lines->block + at, 1))) at++;
    return at;
}

bool iol_lines_one_value(iol_lines *lines) {
    if (!lines->started) start(lines);
    size_t at = first_sign(lines);
    while (!lines->over && lines->end - lines->at < sizeof lines->block && !line_end(lines, at - lines->at)) {
        refill(lines);
        at = first_sign(lines);
    }
    return at < lines->end && lines->block[at] == '{' && open_at_line_end(lines->block + at, lines->block + lines->end);
}

size_t iol_lines_rest(iol_lines *lines, char *out, size_t size) {
    size_t kept = lines->end - lines->at;
    if (kept == 0) return lines->source(lines->context, out, size);
    if (kept > size) kept = size;
    memcpy(out, lines->block + lines->at, kept);
    lines->at += kept;
    return kept;
}
