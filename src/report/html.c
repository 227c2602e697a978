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

/* A month by its name or its first three letters: how many letters it has, 0 for none. */
static size_t month(const char *text) {
    static const char *const names[] = {"January", "February", "March",     "April",   "May",      "June",
                                        "July",    "August",   "September", "October", "November", "December"};
    size_t letters = 0;
    while (is_letter(text[letters])) letters++;
    for (int i = 0; i < 12; i++)
        if ((letters == 3 || letters == strlen(names[i])) && strncmp(text, names[i], letters) == 0) return letters;
    return 0;
}

/* A blank of "14 Dec 2025": behind the day, or before the year. */
static bool is_in_date(const char *text, const char *at) {
    const char *word = at;
    if (is_digit(at[-1]) && month(at + 1)) return true;
    while (word > text && is_letter(word[-1])) word--;
    return is_digit(at[1]) && word - text >= 2 && word[-1] == ' ' && is_digit(word[-2]) && month(word) == (size_t)(at - word);
}

/* The x of a refraction, "-0.50 D x 157": before its axis. */
static bool is_times(const char *text, const char *at) {
    return *at == 'x' && at - text >= 4 && is_digit(at[-4]) && strncmp(at - 3, " D ", 3) == 0 && at[1] == ' ' &&
           is_digit(at[2]);
}

/* "+- 0.46 D": one sign. */
static bool is_plus_minus(const char *at) { return strncmp(at, "+- ", 3) == 0 && is_digit(at[3]); }

/* A blank at which no line ends: between a number and its unit, in a date, on both sides of the sign before an axis, behind that
 * of a spread. */
static bool is_tie(const char *text, const char *at) {
    static const char times[] = "\xC3\x97";
    if (*at != ' ' || at == text) return false;
    if (is_digit(at[-1]) && is_unit(at + 1)) return true;
    if (is_in_date(text, at) || is_times(text, at + 1) || is_times(text, at - 1)) return true;
    if (at - text >= 2 && is_plus_minus(at - 2)) return true;
    return strncmp(at + 1, times, 2) == 0 || (at - text >= 2 && strncmp(at - 2, times, 2) == 0);
}

/* A hyphen before a number: the sign of it. */
static bool is_minus(const char *text, const char *at) {
    return *at == '-' && is_digit(at[1]) && (at == text || at[-1] == ' ' || at[-1] == '(');
}

/* " deg" behind a number: the sign stands closed up to it. */
static bool is_degrees(const char *text, const char *at) {
    return at > text && is_digit(at[-1]) && strncmp(at, " deg", 4) == 0 && !is_letter(at[4]);
}

static bool is_square_mm(const char *text, const char *at) {
    return at > text && at[-1] == ' ' && strncmp(at, "mm2", 3) == 0 && !is_letter(at[3]) && !is_digit(at[3]);
}

/* The last digit of such an axis: the sign of degrees stands behind it. */
static bool is_axis_end(const char *text, const char *at) {
    const char *first = at;
    if (!is_digit(*at) || is_digit(at[1]) || (at[1] == '.' && is_digit(at[2])) || strncmp(at + 1, " deg", 4) == 0)
        return false;
    while (first > text && (is_digit(first[-1]) || first[-1] == '.')) first--;
    return first - text >= 2 && is_times(text, first - 2);
}

/* What stands for the bytes at `at`, and how many they are. */
static const char *stands_for(const char *text, const char *at, size_t *bytes) {
    *bytes = 1;
    if (is_minus(text, at)) return "\xE2\x88\x92";
    if (is_degrees(text, at)) return *bytes = 4, "\xC2\xB0";
    if (is_times(text, at)) return "\xC3\x97";
    if (is_plus_minus(at)) return *bytes = 2, "\xC2\xB1";
    if (is_axis_end(text, at)) {
        static const char *const digit[] = {"0\xC2\xB0", "1\xC2\xB0", "2\xC2\xB0", "3\xC2\xB0", "4\xC2\xB0",
                                            "5\xC2\xB0", "6\xC2\xB0", "7\xC2\xB0", "8\xC2\xB0", "9\xC2\xB0"};
        return digit[*at - '0'];
    }
    if (is_square_mm(text, at)) return *bytes = 3, "mm\xC2\xB2";
    return is_tie(text, at) ? "&nbsp;" : stand_in(*at);
}

/* Bytes above ASCII pass: the document says that it is UTF-8, and no broken sequence of it can hide an ASCII byte. */
void iol_html_escaped(iol_html *out, const char *text) {
    for (const char *at = text; *at != '\0';) {
        const char *end = at, *stand = NULL;
        size_t bytes = 0;
        while (*end != '\0' && (stand = stands_for(text, end, &bytes)) == NULL) end++;
        put_bytes(out, at, (size_t)(end - at));
        if (!stand) return;
        iol_html_put(out, stand);
        at = end + bytes;
    }
}

void iol_html_name(iol_html *out, const char *name) {
    if (out->prefix) iol_html_put(out, out->prefix);
    iol_html_escaped(out, name);
}

void iol_html_count(iol_html *out, int count) {
    char text[32];
    iol_print_count(count, 0, false, text, sizeof text);
    iol_html_put(out, text);
}
