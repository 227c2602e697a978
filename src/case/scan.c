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

static bool at_digit(const byte *p, const byte *end) { return p < end && is(*p, DIGIT); }

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
 * byte below n borrows, so its high bit comes up in (v - n) & ~v; a borrow can only reach bytes above the first found. */
static const byte *skip_plain(const byte *p, const byte *end) {
    const uint64_t ones = 0x0101010101010101u, highs = 0x8080808080808080u;
    for (; end - p >= 8; p += 8) {
        uint64_t v = eight_bytes(p), quote = v ^ (ones * '"'), slash = v ^ (ones * '\\');
        uint64_t found = (((v - ones * 0x20) | (quote - ones) | (slash - ones)) & ~v & highs) | (v & highs);
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
    for (size_t i = 1; i < length; i++, low = 0x80, high = 0xbf) {
        if (p[i] < low || p[i] > high) return 0;
    }
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

/* The escape at p within the text from start; s->at is set behind it. False when it is none. */
static bool scan_escape(iol_scanner *s, const byte *start, const byte *p) {
    unsigned unit, other;
    if (p + 1 < s->end && p[1] != 0 && strchr("\"\\/bfnrt", p[1])) {
        s->at = p + 2;
        return true;
    }
    if (p + 1 >= s->end || p[1] != 'u')
        return iol_scan_refuse_bytes(s, IOL_FAULT_syntax, p, s->end - p > 2 ? p + 2 : s->end,
                                     "two backslashes for one in a text");
    if (!scan_hex4(p + 2, s->end, &unit))
        return iol_scan_refuse_bytes(s, IOL_FAULT_syntax, p, s->end - p > 6 ? p + 6 : s->end,
                                     "four hexadecimal digits after \\u");
    s->at = p + 6;
    bool first = unit >= 0xd800 && unit <= 0xdbff, second = unit >= 0xdc00 && unit <= 0xdfff;
    if (first && s->end - p >= 12 && p[6] == '\\' && p[7] == 'u' && scan_hex4(p + 8, s->end, &other) &&
        other >= 0xdc00 && other <= 0xdfff)
        s->at = p + 12;
    else if (first || second)
        iol_scan_refuse_in_text(s, IOL_FAULT_bad_utf8, start, p, "both halves of a surrogate pair");
    else if (unit == 0)
        iol_scan_refuse_in_text(s, IOL_FAULT_control_character, start, p, "no \\u0000 in a text");
    return true;
}

/* The text whose quotation mark is at s->at. False only when the scan cannot go on. */
static bool scan_text(iol_scanner *s) {
    const byte *start = s->at + 1, *p = start;
    for (;;) {
        p = skip_plain(p, s->end);
        if (p == s->end) {
            return iol_scan_refuse_token(s, IOL_FAULT_syntax, start - 1, "a closing quotation mark");
        } else if (*p == '"') {
            s->at = p + 1;
            return true;
        } else if (*p == '\\') {
            if (!scan_escape(s, start, p)) return false;
            p = s->at;
        } else if (*p == '\n' || *p == '\r') {
            return iol_scan_refuse_in_text(s, IOL_FAULT_control_character, start, p,
                                           "a closing quotation mark before the line ends");
        } else if (*p < 0x20) {
            iol_scan_refuse_in_text(s, IOL_FAULT_control_character, start, p, "a text without control characters");
            p++;
        } else {
            size_t length = iol_scan_utf8_length(p, s->end);
            if (length == 0) {
                iol_scan_refuse_in_text(s, IOL_FAULT_bad_utf8, start, p, IOL_SCAN_NOT_UTF8);
                while (p < s->end && *p >= 0x80) p++; /* one fault for each run of such bytes */
            }
            p += length;
        }
    }
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

static bool scan_number(iol_scanner *s) {
    const byte *start = s->at, *end = s->end, *p = start + (*start == '-');
    bool exponent = false;
    if (!at_digit(p, end)) return iol_scan_refuse_value(s);
    p = *p == '0' ? p + 1 : skip_digits(p, end);
    if (p < end && *p == '.') {
        if (!at_digit(++p, end))
            return iol_scan_refuse_token(s, IOL_FAULT_syntax, start, "a digit after the decimal point");
        p = skip_digits(p, end);
    }
    if (p < end && (*p | 0x20) == 'e') {
        exponent = true;
        p++;
        p += p < end && (*p == '+' || *p == '-');
        if (!at_digit(p, end)) return iol_scan_refuse_token(s, IOL_FAULT_syntax, start, "a digit in the exponent");
        p = skip_digits(p, end);
    }
    if (p - start > IOL_SCAN_NUMBER)
        return iol_scan_refuse_limit(s, IOL_FAULT_syntax, start, (size_t)(p - start), IOL_SCAN_NUMBER, "characters");
    if (exponent && !fits_double(start, p))
        return iol_scan_refuse_token(s, IOL_FAULT_syntax, start, "a number that a computer can hold");
    s->at = p;
    return true;
}

static bool scan_name(iol_scanner *s, const char *name, size_t length) {
    if ((size_t)(s->end - s->at) < length || memcmp(s->at, name, length) != 0) return iol_scan_refuse_value(s);
    s->at += length;
    return true;
}

/* The value at s->at: the whole of a simple one, the bracket of an object or list. */
static bool scan_value(iol_scanner *s) {
    byte first = s->at < s->end ? *s->at : 0;
    if (first && ++s->values > IOL_SCAN_VALUES)
        return iol_scan_refuse_limit(s, IOL_FAULT_too_many_values, s->at, (size_t)s->values, IOL_SCAN_VALUES, "values");
    switch (first) {
    case '"': return scan_text(s);
    case '{':
    case '[':
        if (s->level == IOL_SCAN_LEVELS)
            return iol_scan_refuse_limit(s, IOL_FAULT_too_deep, s->at, IOL_SCAN_LEVELS + 1, IOL_SCAN_LEVELS, "levels");
        s->opened[s->level++] = s->at++;
        return true;
    case 't': return scan_name(s, "true", 4);
    case 'f': return scan_name(s, "false", 5);
    case 'n': return scan_name(s, "null", 4);
    default: return first == '-' || is(first, DIGIT) ? scan_number(s) : iol_scan_refuse_value(s);
    }
}

static bool scan_key(iol_scanner *s) {
    s->at = skip_space(s->at, s->end);
    if (s->at == s->end || *s->at != '"') return iol_scan_refuse_key(s);
    if (!scan_text(s)) return false;
    s->at = skip_space(s->at, s->end);
    if (s->at == s->end || *s->at != ':') return iol_scan_refuse(s, "a colon after the key");
    s->at++;
    return true;
}

/* From the end of a value to the start of the next, over commas, keys and closing brackets; *more is false when the
 * root is over. */
static bool scan_to_next(iol_scanner *s, bool *more) {
    bool just_opened = s->at[-1] == '{' || s->at[-1] == '[';
    for (;; just_opened = false) {
        s->at = skip_space(s->at, s->end);
        *more = s->level > 0;
        if (!*more) return true;
        bool object = *s->opened[s->level - 1] == '{';
        if (s->at < s->end && *s->at == (object ? '}' : ']')) {
            s->at++;
            s->level--;
            continue;
        }
        if (!just_opened) {
            if (s->at == s->end || *s->at != ',') return iol_scan_refuse_after(s, IOL_FAULT_syntax);
            s->at++;
        }
        return !object || scan_key(s);
    }
}

size_t iol_scan_mark(const char *text, size_t length) {
    return length >= 3 && memcmp(text, "\xef\xbb\xbf", 3) == 0 ? 3 : 0;
}

bool iol_scan_json(const char *text, size_t length, size_t limit, iol_faults *faults) {
    const byte *start = (const byte *)text + iol_scan_mark(text, length);
    iol_scanner s = {
        .text = start, .end = (const byte *)text + length, .at = start, .faults = faults, .counted = start, .line = 1};
    if (length > limit) return iol_scan_refuse_limit(&s, IOL_FAULT_too_long, start, length, limit, "bytes");
    bool more = true;
    while (more) {
        s.at = skip_space(s.at, s.end);
        if (!scan_value(&s) || !scan_to_next(&s, &more)) return false;
    }
    return s.at == s.end ? !s.refused : iol_scan_refuse_after(&s, IOL_FAULT_trailing_text);
}
