/* The raw scan: one pass, no allocation, an explicit stack. */
#include "scan_state.h"

#include <stdint.h>
#include <string.h>

#define P PLAIN
#define S SPACE
#define D (PLAIN | DIGIT | WORD)
#define L (PLAIN | LETTER | WORD)
#define W (PLAIN | WORD)
const byte iol_scan_kinds[256] = {
    0,     0, 0, 0, 0, 0, 0, 0, 0, S, S, 0, 0, S, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0,
    P | S, P, 0, P, P, P, P, P, P, P, P, W, P, W, W, P, D, D, D, D, D, D, D, D, D, D, P, P, P, P, P, P,
    P,     L, L, L, L, L, L, L, L, L, L, L, L, L, L, L, L, L, L, L, L, L, L, L, L, L, L, P, 0, P, P, W,
    P,     L, L, L, L, L, L, L, L, L, L, L, L, L, L, L, L, L, L, L, L, L, L, L, L, L, L, P, P, P, P, P,
};
#undef P
#undef S
#undef D
#undef L
#undef W

static bool at_digit(const byte *p, const byte *end) { return p < end && *p >= '0' && *p <= '9'; }

static const byte *skip_digits(const byte *p, const byte *end) {
    while (at_digit(p, end)) p++;
    return p;
}

/* Eight bytes, the first one lowest on every machine. */
static uint64_t eight_bytes(const byte *p) {
    return (uint64_t)p[0] | (uint64_t)p[1] << 8 | (uint64_t)p[2] << 16 | (uint64_t)p[3] << 24 | (uint64_t)p[4] << 32 |
           (uint64_t)p[5] << 40 | (uint64_t)p[6] << 48 | (uint64_t)p[7] << 56;
}

/* First byte that a text cannot simply hold: quotation mark, backslash, control, not ASCII. Eight bytes at a time: a
 * byte of ASCII below n borrows, so its high bit comes up in v - n; a borrow can only reach bytes above the first found. */
static inline const byte *skip_plain(const byte *p, const byte *end) {
    const uint64_t ones = 0x0101010101010101u, highs = 0x8080808080808080u;
    for (; end - p >= 8; p += 8) {
        uint64_t v = eight_bytes(p), quote = v ^ (ones * '"'), slash = v ^ (ones * '\\');
        uint64_t found = ((v - ones * 0x20) | (quote - ones) | (slash - ones) | v) & highs;
        if (found) return p + __builtin_ctzll(found) / 8;
    }
    while (p < end && is(*p, PLAIN)) p++;
    return p;
}

size_t iol_scan_utf8_length(const byte *p, const byte *end) {
    byte lead = *p, low = 0x80, high = 0xbf;
    size_t length = lead < 0x80 ? 1 : lead < 0xc2 ? 0 : lead < 0xe0 ? 2 : lead < 0xf0 ? 3 : lead < 0xf5 ? 4 : 0;
    if (lead == 0xe0)
        low = 0xa0;
    else if (lead == 0xed)
        high = 0x9f;
    else if (lead == 0xf0)
        low = 0x90;
    else if (lead == 0xf4)
        high = 0x8f;
    if ((size_t)(end - p) < length) return 0;
    for (size_t i = 1; i < length; i++, low = 0x80, high = 0xbf)
        if (p[i] < low || p[i] > high) return 0;
    return length;
}

static bool scan_hex4(const byte *p, const byte *end, unsigned *unit) {
    *unit = 0;
    for (int i = 0; i < 4; i++) {
        byte small = p + i < end ? p[i] | 0x20 : 0;
        if (at_digit(p + i, end))
            *unit = *unit * 16 + (unsigned)(p[i] - '0');
        else if (small >= 'a' && small <= 'f')
            *unit = *unit * 16 + (unsigned)(small - 'a' + 10);
        else
            return false;
    }
    return true;
}

/* Behind the escape at p within the text from start; NULL when it is none. */
static const byte *scan_escape(iol_scanner *s, const byte *start, const byte *p) {
    unsigned unit, other;
    if (p + 1 < s->end && p[1] != 0 && strchr("\"\\/bfnrt", p[1])) return p + 2;
    if (p + 1 >= s->end || p[1] != 'u') {
        iol_scan_refuse_bytes(s, IOL_FAULT_syntax, p, s->end - p > 2 ? p + 2 : s->end,
                              "two backslashes for one in a text");
        return NULL;
    }
    if (!scan_hex4(p + 2, s->end, &unit)) {
        iol_scan_refuse_bytes(s, IOL_FAULT_syntax, p, s->end - p > 6 ? p + 6 : s->end,
                              "four hexadecimal digits after \\u");
        return NULL;
    }
    bool first = unit >= 0xd800 && unit <= 0xdbff, second = unit >= 0xdc00 && unit <= 0xdfff;
    if (first && s->end - p >= 12 && p[6] == '\\' && p[7] == 'u' && scan_hex4(p + 8, s->end, &other) &&
        other >= 0xdc00 && other <= 0xdfff)
        return p + 12;
    if (first || second)
        iol_scan_refuse_in_text(s, IOL_FAULT_bad_utf8, start, p, "both halves of a surrogate pair");
    else if (unit == 0)
        iol_scan_refuse_in_text(s, IOL_FAULT_control_character, start, p, "no \\u0000 in a text");
    return p + 6;
}

/* Behind what stands at p within the text from start and is neither plain nor its end. NULL when the scan cannot go on. */
static const byte *scan_odd(iol_scanner *s, const byte *start, const byte *p) {
    if (p == s->end)
        iol_scan_refuse_token(s, IOL_FAULT_syntax, start - 1, "a closing quotation mark");
    else if (*p == '\\')
        return scan_escape(s, start, p);
    else if (*p == '\n' || *p == '\r')
        iol_scan_refuse_in_text(s, IOL_FAULT_control_character, start, p,
                                "a closing quotation mark before the line ends");
    else if (*p < 0x20) {
        iol_scan_refuse_in_text(s, IOL_FAULT_control_character, start, p, "a text without control characters");
        return p + 1;
    } else {
        size_t length = iol_scan_utf8_length(p, s->end);
        if (length > 0) return p + length;
        iol_scan_refuse_in_text(s, IOL_FAULT_bad_utf8, start, p, IOL_SCAN_NOT_UTF8);
        while (p < s->end && *p >= 0x80) p++; /* one fault for each run of such bytes */
        return p;
    }
    return NULL;
}

/* Behind the text from start whose first byte that is not plain stands at p. */
static const byte *scan_odd_text(iol_scanner *s, const byte *start, const byte *p) {
    while ((p = scan_odd(s, start, p)) != NULL) {
        p = skip_plain(p, s->end);
        if (p < s->end && *p == '"') return p + 1;
    }
    return NULL;
}

/* Behind the text whose quotation mark is at p; NULL when the scan cannot go on. */
static inline const byte *scan_text(iol_scanner *s, const byte *p) {
    const byte *start = p + 1;
    p = skip_plain(start, s->end);
    return p < s->end && *p == '"' ? p + 1 : scan_odd_text(s, start, p);
}

/* Whether the number from p to end, which has an exponent and no more than IOL_SCAN_NUMBER characters, rounds to a
 * finite double: whether it is below 2^1024 - 2^970, halfway from the largest double to the next. The digits of that
 * number decide where the powers of ten are equal; so few digits never hold all 309 of its own. */
static bool fits_double(const byte *p, const byte *end) {
    static const char halfway[IOL_SCAN_NUMBER + 1] = "179769313486231580793728971405303415079934132710037826936173778";
    char digits[IOL_SCAN_NUMBER];
    size_t count = 0;
    int power = 0; /* the number is 0.digits times 10^power */
    bool point = false;
    for (p += *p == '-'; *p != 'e' && *p != 'E'; p++) {
        if (*p == '.') {
            point = true;
            continue;
        }
        if (count > 0 || *p != '0') digits[count++] = (char)*p;
        power += count > 0 ? !point : -(int)point;
    }
    bool negative = *++p == '-';
    p += negative || *p == '+';
    int exponent = 0;
    for (; p < end; p++) exponent = exponent < 10000 ? exponent * 10 + (*p - '0') : exponent;
    power += negative ? -exponent : exponent;
    return count == 0 || power < 309 || (power == 309 && memcmp(digits, halfway, count) <= 0);
}

static const byte *refuse_number(iol_scanner *s, const byte *start, const char *wanted) {
    iol_scan_refuse_token(s, IOL_FAULT_syntax, start, wanted);
    return NULL;
}

static const byte *refuse_value(iol_scanner *s, const byte *p) {
    s->at = p;
    iol_scan_refuse_value(s);
    return NULL;
}

/* Behind the number at `start`; NULL when it is none. */
static const byte *scan_number(iol_scanner *s, const byte *start) {
    const byte *end = s->end, *p = start + (*start == '-');
    bool exponent = false;
    if (!at_digit(p, end)) return refuse_value(s, start);
    p = *p == '0' ? p + 1 : skip_digits(p, end);
    if (p < end && *p == '.') {
        if (!at_digit(++p, end)) return refuse_number(s, start, "a digit after the decimal point");
        p = skip_digits(p, end);
    }
    if (p < end && (*p | 0x20) == 'e') {
        exponent = true;
        p++;
        p += p < end && (*p == '+' || *p == '-');
        if (!at_digit(p, end)) return refuse_number(s, start, "a digit in the exponent");
        p = skip_digits(p, end);
    }
    if (p - start > IOL_SCAN_NUMBER) {
        iol_scan_refuse_limit(s, IOL_FAULT_syntax, start, (size_t)(p - start), IOL_SCAN_NUMBER, "characters");
        return NULL;
    }
    if (exponent && !fits_double(start, p)) return refuse_number(s, start, "a number that a computer can hold");
    return p;
}

static const byte *scan_name(iol_scanner *s, const byte *p, const char *name, size_t length) {
    bool same = (size_t)(s->end - p) >= length && memcmp(p, name, length) == 0;
    return same ? p + length : refuse_value(s, p);
}

/* Behind the value at p: the whole of a simple one, the bracket of an object or list. NULL when it is none. */
static const byte *scan_value(iol_scanner *s, const byte *p) {
    byte first = p < s->end ? *p : 0;
    if (first && ++s->values > s->most) {
        iol_scan_refuse_limit(s, IOL_FAULT_too_many_values, p, (size_t)s->values, (size_t)s->most, "values");
        return NULL;
    }
    switch (first) {
    case '"': return scan_text(s, p);
    case '{':
    case '[':
        if (s->level == s->levels) {
            iol_scan_refuse_limit(s, IOL_FAULT_too_deep, p, (size_t)s->levels + 1, (size_t)s->levels, "levels");
            return NULL;
        }
        s->opened[s->level++] = p;
        return p + 1;
    case 't': return scan_name(s, p, "true", 4);
    case 'f': return scan_name(s, p, "false", 5);
    case 'n': return scan_name(s, p, "null", 4);
    default: return first == '-' || is(first, DIGIT) ? scan_number(s, p) : refuse_value(s, p);
    }
}

/* Behind the colon of the key at p. */
static const byte *scan_key(iol_scanner *s, const byte *p) {
    s->at = p = skip_space(p, s->end);
    if (p == s->end || *p != '"') return iol_scan_refuse_key(s), NULL;
    p = scan_text(s, p);
    if (!p) return NULL;
    s->at = p = skip_space(p, s->end);
    if (p == s->end || *p != ':') return iol_scan_refuse(s, "a colon after the key"), NULL;
    return p + 1;
}

/* From the end of a value to the start of the next, over commas, keys and closing brackets; the end of the text, s->level
 * 0, when the root is over. */
static const byte *scan_to_next(iol_scanner *s, const byte *p) {
    bool just_opened = p[-1] == '{' || p[-1] == '[';
    for (;; just_opened = false) {
        p = skip_space(p, s->end);
        if (s->level == 0) return p;
        bool object = *s->opened[s->level - 1] == '{';
        if (p < s->end && *p == (object ? '}' : ']')) {
            p++;
            s->level--;
            continue;
        }
        if (!just_opened) {
            s->at = p;
            if (p == s->end || *p != ',') return iol_scan_refuse_after(s, IOL_FAULT_syntax), NULL;
            p++;
        }
        return object ? scan_key(s, p) : p;
    }
}

size_t iol_scan_mark(const char *text, size_t length) {
    return length >= 3 && memcmp(text, "\xef\xbb\xbf", 3) == 0 ? 3 : 0;
}

static bool scan_text_of(const char *text, size_t length, size_t limit, int values, int levels, iol_faults *faults) {
    const byte *start = (const byte *)text + iol_scan_mark(text, length);
    iol_scanner s = {.text = start,
                     .end = (const byte *)text + length,
                     .at = start,
                     .faults = faults,
                     .counted = start,
                     .line = 1,
                     .most = values,
                     .levels = levels};
    if (length > limit) return iol_scan_refuse_limit(&s, IOL_FAULT_too_long, start, length, limit, "bytes");
    const byte *p = start;
    do {
        p = scan_value(&s, skip_space(p, s.end));
        if (p) p = scan_to_next(&s, p);
    } while (p && s.level > 0);
    if (!p) return false;
    s.at = p;
    return p == s.end ? !s.refused : iol_scan_refuse_after(&s, IOL_FAULT_trailing_text);
}

bool iol_scan_json(const char *text, size_t length, size_t limit, iol_faults *faults) {
    return scan_text_of(text, length, limit, IOL_SCAN_VALUES, IOL_SCAN_LEVELS, faults);
}

bool iol_scan_json_within(const char *text, size_t length, int values, int levels, iol_faults *faults) {
    return scan_text_of(text, length, IOL_SCAN_FILE, values, levels, faults);
}
