/* Element strings. Fixed fields end by their length, all others with FNC1 or with the code; sections 3, 7.8 and 7.12 of the GS1
 * General Specifications (from memory). */
#include "gs1.h"

#include <string.h>

#include "iolrevise/case.h"

enum { GS = 0x1d, LONGEST_VARIABLE = 90, LONGEST_TRACE = 20 };

static bool is_digit(char c) { return c >= '0' && c <= '9'; }

static bool all_digits(const char *text, size_t count) {
    for (size_t i = 0; i < count; i++)
        if (!is_digit(text[i])) return false;
    return true;
}

/* Modulo 10: weights 3 and 1 in turn from the left of the thirteen. */
bool iol_gs1_gtin(const char *text) {
    int sum = 0;
    if (strlen(text) != IOL_GS1_GTIN || !all_digits(text, IOL_GS1_GTIN)) return false;
    for (int i = 0; i < IOL_GS1_GTIN - 1; i++) sum += (i % 2 ? 1 : 3) * (text[i] - '0');
    return (10 - sum % 10) % 10 == text[IOL_GS1_GTIN - 1] - '0';
}

/* Characters behind a two-digit beginning whose fields have a length of their own, without those two; 0: variable. */
static size_t fixed_length(const char *ai) {
    static const struct {
        const char *ai;
        size_t length;
    } fixed[] = {{"00", 18}, {"01", 14}, {"02", 14}, {"03", 14}, {"04", 16}, {"11", 6}, {"12", 6}, {"13", 6},
                 {"14", 6},  {"15", 6},  {"16", 6},  {"17", 6},  {"18", 6},  {"19", 6}, {"20", 2}, {"31", 8},
                 {"32", 8},  {"33", 8},  {"34", 8},  {"35", 8},  {"36", 8},  {"41", 14}};
    for (size_t i = 0; i < sizeof fixed / sizeof *fixed; i++)
        if (strncmp(fixed[i].ai, ai, 2) == 0) return fixed[i].length;
    return 0;
}

static int two(const char *at) { return 10 * (at[0] - '0') + (at[1] - '0'); }

/* The year of two digits: the century that puts it from 49 years before to 50 years behind this year. */
static int whole_year(int year, int32_t day) {
    char today[11];
    iol_date_print(day, today);
    int century = 100 * two(today), off = year - two(today + 2);
    return century + year + (off >= 51 ? -100 : off <= -50 ? 100 : 0);
}

/* YYMMDD; day 00 is the last of the month. False when there is no such day. */
static bool read_date(const char *at, int32_t day, int32_t *out) {
    int year = whole_year(two(at), day), date = two(at + 4);
    char text[11] = "0000-00-00";
    text[0] = (char)('0' + year / 1000), text[1] = (char)('0' + year / 100 % 10);
    memcpy(text + 2, at, 2), memcpy(text + 5, at + 2, 2), memcpy(text + 8, at + 4, 2);
    if (date > 0) return iol_date_read(text, out);
    for (date = 31; date > 27; date--) {
        text[8] = (char)('0' + date / 10), text[9] = (char)('0' + date % 10);
        if (iol_date_read(text, out)) return true;
    }
    return false;
}

typedef struct {
    char text[IOL_GS1_CODE + 1]; /* without prefix; FNC1 as GS */
    size_t length;
    int32_t day;
    bool run_together; /* a field without length of its own ended with the code */
    iol_gs1 *out;
} code_reader;

/* Behind the prefix; NULL when it is that of another kind of code. */
static const char *behind_prefix(const char *code) {
    static const char *const known[] = {"]d2", "]C1", "]Q3", "]e0"};
    for (size_t i = 0; i < sizeof known / sizeof *known; i++)
        if (strncmp(code, known[i], 3) == 0) return code + 3;
    return code[0] == ']' ? NULL : code;
}

/* Copied with one character for FNC1, without line end and leading FNC1. */
static const char *take_text(code_reader *r, const char *code) {
    size_t length = strlen(code);
    while (length > 0 && (code[length - 1] == '\n' || code[length - 1] == '\r')) length--;
    for (size_t i = 0; i < length; i++) {
        bool named = length - i >= 4 && strncmp(code + i, "{GS}", 4) == 0;
        char c = named ? GS : code[i];
        if (named) i += 3;
        if (c != GS && (c < '!' || c > 'z')) return "the characters of a GS1 code alone: letters, digits, signs, FNC1";
        if (c == GS && r->length == 0) continue;
        if (r->length == IOL_GS1_CODE) return "a code of at most 512 characters";
        r->text[r->length++] = c;
    }
    r->text[r->length] = '\0';
    return r->length > 0 ? NULL : "a code: nothing was read";
}

static const char *take_gtin(code_reader *r, const char *at) {
    char gtin[IOL_GS1_GTIN + 1] = "";
    memcpy(gtin, at, IOL_GS1_GTIN);
    if (!iol_gs1_gtin(gtin)) return "a product number (01) whose check digit is right: scan it again";
    if (r->out->gtin[0] && strcmp(r->out->gtin, gtin) != 0) return "one product number (01), not two";
    memcpy(r->out->gtin, gtin, sizeof gtin);
    return NULL;
}

static const char *take_expiry(code_reader *r, const char *at) {
    int32_t expires;
    if (!read_date(at, r->day, &expires)) return "an expiry (17) that is a day of the calendar: scan it again";
    if (r->out->expires != IOL_UNKNOWN_DATE && r->out->expires != expires) return "one expiry (17), not two";
    r->out->expires = expires;
    return NULL;
}

static const char separator_lost[] =
    "FNC1 behind lot or serial number: this reader drops it, so the fields run together; set it to send it as GS";

/* One field from *at, moved behind it. */
static const char *take_field(code_reader *r, const char **at) {
    const char *start = *at, *end = r->text + r->length;
    if (end - start < 2 || !all_digits(start, 2))
        return "fields that begin with the two digits of their kind (01, 17): scan it again";
    size_t length = fixed_length(start);
    if (length > 0) {
        *at = start + 2 + length;
        if ((size_t)(end - start) < 2 + length || !all_digits(start + 2, length))
            return "whole fields: the code is cut, or holds letters where digits belong: scan it again";
        if (strncmp(start, "01", 2) == 0) return take_gtin(r, start + 2);
        return strncmp(start, "17", 2) == 0 ? take_expiry(r, start + 2) : NULL;
    }
    const char *stop = memchr(start, GS, (size_t)(end - start));
    size_t most = strncmp(start, "10", 2) == 0 || strncmp(start, "21", 2) == 0 ? LONGEST_TRACE : LONGEST_VARIABLE;
    length = (size_t)((stop ? stop : end) - start) - 2;
    if (!stop) r->run_together = true;
    if (length > most) return separator_lost;
    *at = stop ? stop : end;
    return NULL;
}

static const char *take_fields(code_reader *r) {
    const char *end = r->text + r->length, *wrong = NULL;
    for (const char *at = r->text; !wrong && at < end; at += *at == GS) wrong = take_field(r, &at);
    if (wrong) return wrong;
    bool whole = r->out->gtin[0] && r->out->expires != IOL_UNKNOWN_DATE;
    if (!whole && r->run_together) return separator_lost;
    return r->out->gtin[0] ? NULL : "a product number (01): this code has none";
}

const char *iol_gs1_read(const char *code, int32_t day, iol_gs1 *out) {
    code_reader r = {.day = day, .out = out};
    *out = (iol_gs1){.expires = IOL_UNKNOWN_DATE};
    if (code[0] == '+') return "a GS1 code: this one begins with + and is of the Health Industry Bar Code";
    if (code[0] == '=' || code[0] == '&') return "a GS1 code: this one is of ISBT 128";
    if (strncmp(code, "http", 4) == 0 || strncmp(code, "HTTP", 4) == 0)
        return "a GS1 code: this one is a web address; scan the other code of the box, or set the reader";
    if (code[0] == '(') return "the code as it is scanned, without brackets";
    code = behind_prefix(code);
    if (!code) return "a GS1 code: the prefix is that of another kind";
    const char *wrong = take_text(&r, code);
    if (!wrong) wrong = take_fields(&r);
    if (wrong) *out = (iol_gs1){.expires = IOL_UNKNOWN_DATE};
    return wrong;
}
