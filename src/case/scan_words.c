/* Why the raw scan refuses a text, in words that a person can act on. Nothing here runs for a good text. */
#include "scan_state.h"

#include <stdio.h>
#include <string.h>

int iol_scan_count_lines(const byte *from, const byte *to) {
    int lines = 0;
    while (from < to && (from = memchr(from, '\n', (size_t)(to - from))) != NULL) {
        lines++;
        from++;
    }
    return lines;
}

/* Add a fault that stands at p; found is ready to print. */
static bool refuse_words(iol_scanner *s, iol_fault_code code, const byte *p, const char *found, const char *wanted,
                         const char *unit) {
    s->refused = true;
    iol_fault *fault = iol_fault_add(s->faults, code, "", found, wanted, unit);
    if (fault) {
        s->line += iol_scan_count_lines(s->counted, p);
        s->counted = p > s->counted ? p : s->counted;
        fault->line = s->line;
    }
    return false;
}

bool iol_scan_refuse_limit(iol_scanner *s, iol_fault_code code, const byte *p, size_t found, size_t limit,
                           const char *unit) {
    char found_words[24], wanted[40];
    snprintf(found_words, sizeof found_words, "%zu", found);
    snprintf(wanted, sizeof wanted, "at most %zu", limit);
    return refuse_words(s, code, p, found_words, wanted, unit);
}

bool iol_scan_refuse_bytes(iol_scanner *s, iol_fault_code code, const byte *p, const byte *end, const char *wanted) {
    char found[IOL_FAULT_QUOTED];
    iol_fault_quote((const char *)p, (size_t)(end - p), found, sizeof found);
    return refuse_words(s, code, p, found, wanted, "");
}

/* The dozen bytes on each side of p, no further than the quotation marks and the end of the line. */
bool iol_scan_refuse_in_text(iol_scanner *s, iol_fault_code code, const byte *start, const byte *p,
                             const char *wanted) {
    char found[IOL_FAULT_QUOTED];
    const byte *from = p - start > 12 ? p - 12 : start;
    const byte *to = s->end - p > 12 ? p + 12 : s->end;
    const byte *mark = memchr(p, '"', (size_t)(to - p));
    const byte *line_end = memchr(p, '\n', (size_t)(to - p));
    to = line_end ? line_end + 1 : to;
    to = mark && mark < to ? mark : to;
    iol_fault_quote((const char *)from, (size_t)(to - from), found, sizeof found);
    return refuse_words(s, code, p, found, wanted, "");
}

/* End of what a person sees as one thing from p: a quoted text, a number or word, one character. */
static const byte *token_end(const byte *p, const byte *end) {
    const byte *q = p;
    if (*p == '"') {
        while (++q < end && *q != '"' && *q != '\n') {
        }
        return q;
    }
    while (q < end && (is(*q, WORD) || *q == '%')) q++;
    if (q > p) return q;
    size_t length = iol_scan_utf8_length(p, end);
    return p + (length ? length : 1);
}

bool iol_scan_refuse_token(iol_scanner *s, iol_fault_code code, const byte *start, const char *wanted) {
    return iol_scan_refuse_bytes(s, code, *start == '"' ? start + 1 : start, token_end(start, s->end), wanted);
}

typedef struct {
    const char *start; /* of the bytes found; a word as a whole, in small letters */
    const char *wanted;
} hint;

static const hint hints[] = {
    {"'", "double quotation marks (\")"},
    {"\xe2\x80\x98", "straight double quotation marks (\")"},
    {"\xe2\x80\x99", "straight double quotation marks (\")"},
    {"\xe2\x80\x9c", "straight double quotation marks (\")"},
    {"\xe2\x80\x9d", "straight double quotation marks (\")"},
    {"\xe2\x80\x9e", "straight double quotation marks (\")"},
    {"\xe2\x80\x93", "a plain minus sign (-)"},
    {"\xe2\x88\x92", "a plain minus sign (-)"},
    {"\xc2\xa0", "ordinary spaces"},
    {"//", "no comment: JSON has none, use the key \"//\""},
    {"/*", "no comment: JSON has none, use the key \"//\""},
    {"#", "no comment: JSON has none, use the key \"//\""},
    {NULL, NULL},
};

static const hint value_hints[] = {
    {"+", "a number without a plus sign (JSON writes 1.5 for +1.5)"},
    {"-", "a digit right after the minus sign"},
    {".", "a digit before the decimal point (0.5)"},
    {"true", "true, in small letters"},
    {"false", "false, in small letters"},
    {"null", "null, in small letters"},
    {"yes", "true or false"},
    {"no", "true or false"},
    {"none", "null for a value not known"},
    {"nan", "null for a value not known"},
    {"nil", "null for a value not known"},
    {"na", "null for a value not known"},
    {"undefined", "null for a value not known"},
    {"inf", "a number that a computer can hold"},
    {"infinity", "a number that a computer can hold"},
    {NULL, NULL},
};

static bool hint_fits(const char *start, const byte *p, const byte *end) {
    const byte *stop = is(*p, LETTER) ? token_end(p, end) : NULL;
    for (; *start != '\0' && p < end; start++, p++) {
        byte small = is(*p, LETTER) ? *p | 0x20 : *p;
        if (small != (byte)*start) return false;
    }
    return *start == '\0' && (stop == NULL || p == stop);
}

static const char *find_hint(const hint *row, const byte *p, const byte *end) {
    while (row->start && !hint_fits(row->start, p, end)) row++;
    return row->wanted;
}

bool iol_scan_refuse(iol_scanner *s, const char *wanted) {
    const byte *p = s->at;
    if (p == s->end) return refuse_words(s, IOL_FAULT_syntax, p, "the end of the text", wanted, "");
    if (*p < 0x20) return iol_scan_refuse_bytes(s, IOL_FAULT_control_character, p, p + 1, IOL_SCAN_NOT_UTF8);
    if (iol_scan_utf8_length(p, s->end) == 0)
        return iol_scan_refuse_bytes(s, IOL_FAULT_bad_utf8, p, p + 1, IOL_SCAN_NOT_UTF8);
    const char *better = find_hint(hints, p, s->end);
    return iol_scan_refuse_token(s, IOL_FAULT_syntax, p, better ? better : wanted);
}

/* The last byte before p that is no space, 0 at the start of the text. */
static byte byte_before(const iol_scanner *s, const byte *p) {
    while (p > s->text && is(p[-1], SPACE)) p--;
    return p > s->text ? p[-1] : 0;
}

static const byte *word_start(const iol_scanner *s, const byte *p) {
    while (p > s->text && is(p[-1], WORD)) p--;
    return p;
}

static bool refuse_end(iol_scanner *s) {
    char wanted[80];
    if (s->level == 0) return iol_scan_refuse(s, "a JSON object, from { to }");
    const byte *opened = s->opened[s->level - 1];
    snprintf(wanted, sizeof wanted, "%c to close the %c of line %d", *opened == '{' ? '}' : ']', *opened,
             1 + iol_scan_count_lines(s->text, opened));
    return iol_scan_refuse(s, wanted);
}

bool iol_scan_refuse_value(iol_scanner *s) {
    byte before = byte_before(s, s->at);
    if (s->at == s->end) return refuse_end(s);
    const char *better = find_hint(value_hints, s->at, s->end);
    if (better) return iol_scan_refuse(s, better);
    if (is(*s->at, LETTER)) return iol_scan_refuse(s, "a text in double quotation marks");
    if (*s->at == ']' && before == ',') return iol_scan_refuse(s, "a value after the comma, or no comma");
    return iol_scan_refuse(s, before == ':' ? "a value (null when not known)" : "a value");
}

bool iol_scan_refuse_key(iol_scanner *s) {
    const byte *p = s->at;
    if (p == s->end) return refuse_end(s);
    if (*p == '}') return iol_scan_refuse(s, "no comma before the closing }");
    if (is(*p, DIGIT) && p - s->text >= 2 && p[-1] == ',' && is(p[-2], DIGIT)) {
        const byte *start = word_start(s, p - 1);
        return iol_scan_refuse_bytes(s, IOL_FAULT_syntax, start, token_end(p, s->end), "a decimal point, not a comma");
    }
    return iol_scan_refuse(s, "a key in double quotation marks");
}

/* code is for text behind the root. */
bool iol_scan_refuse_after(iol_scanner *s, iol_fault_code code) {
    const byte *p = s->at;
    if (p == s->end) return refuse_end(s);
    const byte *start = word_start(s, p);
    if (start < p && is(*p, WORD)) {
        const char *better = is(*start, LETTER)              ? "true, false, null or a text in double quotation marks"
                             : is(*p, DIGIT) && p[-1] == '0' ? "a number without a leading zero"
                                                             : "a plain number: no unit, one decimal point";
        return iol_scan_refuse_token(s, IOL_FAULT_syntax, start, better);
    }
    if (code != IOL_FAULT_syntax)
        return iol_scan_refuse_token(s, code, p,
                                     *p == '{'
                                         ? "nothing after the end of the case; several cases, one a line, go into a "
                                           "file named .jsonl"
                                         : "nothing after the end of the case");
    bool object = *s->opened[s->level - 1] == '{';
    if (is(*p, LETTER) && is(byte_before(s, p), DIGIT))
        return iol_scan_refuse(s, object ? "a comma or }: a number stands without its unit"
                                         : "a comma or ]: a number stands without its unit");
    if (*p == '"') return iol_scan_refuse(s, object ? "a comma between two members" : "a comma between two values");
    return iol_scan_refuse(s, object ? "a comma or }" : "a comma or ]");
}
