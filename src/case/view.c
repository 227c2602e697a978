/* Values of scanned JSON text, found again by walking it. */
#include "view.h"

#include <math.h>
#include <string.h>

static const iol_view nothing = {NULL, NULL};

static const char *behind_space(const char *p, const char *end) {
    while (p < end && (*p == ' ' || *p == '\t' || *p == '\n' || *p == '\r')) p++;
    return p;
}

static const char *behind_text(const char *p, const char *end) {
    for (p++; p < end && *p != '"'; p++)
        if (*p == '\\') p++;
    return p < end ? p + 1 : end;
}

static const char *behind_value(const char *p, const char *end) {
    int level = 0;
    while (p < end) {
        if (*p == '"') {
            p = behind_text(p, end);
            if (level == 0) return p;
            continue;
        }
        bool opens = *p == '{' || *p == '[', closes = *p == '}' || *p == ']';
        if (level == 0 && (closes || *p == ',')) return p;
        level += opens - closes;
        p++;
        if (closes && level == 0) return p;
    }
    return end;
}

iol_view iol_view_of(const char *text, size_t length) {
    const char *end = text + length, *at = behind_space(text, end);
    return at < end ? (iol_view){at, end} : nothing;
}

iol_view iol_view_member(iol_view object, const char *key) {
    size_t length = strlen(key);
    if (!object.at || *object.at != '{') return nothing;
    const char *p = behind_space(object.at + 1, object.end), *end = object.end;
    while (p < end && *p == '"') {
        const char *name = p + 1;
        p = behind_text(p, end);
        bool found = (size_t)(p - name) == length + 1 && memcmp(name, key, length) == 0;
        p = behind_space(p, end);
        if (p >= end || *p != ':') return nothing;
        p = behind_space(p + 1, end);
        if (found) return p < end ? (iol_view){p, end} : nothing;
        p = behind_space(behind_value(p, end), end);
        if (p < end && *p == ',') p = behind_space(p + 1, end);
    }
    return nothing;
}

bool iol_view_is_list(iol_view v) { return v.at && *v.at == '['; }

bool iol_view_each(iol_view list, iol_view *item) {
    if (!iol_view_is_list(list)) return false;
    const char *end = list.end, *p = item->at ? behind_space(behind_value(item->at, end), end) : list.at;
    if (p >= end || (*p != '[' && *p != ',')) return false;
    p = behind_space(p + 1, end);
    if (p >= end || *p == ']') return false;
    *item = (iol_view){p, end};
    return true;
}

bool iol_view_each_member(iol_view object, iol_view *key, iol_view *item) {
    if (!object.at || *object.at != '{') return false;
    const char *end = object.end, *p = item->at ? behind_space(behind_value(item->at, end), end) : object.at;
    if (p >= end || (*p != '{' && *p != ',')) return false;
    p = behind_space(p + 1, end);
    if (p >= end || *p != '"') return false;
    *key = (iol_view){p, end};
    p = behind_space(behind_text(p, end), end);
    if (p >= end || *p != ':') return false;
    p = behind_space(p + 1, end);
    *item = (iol_view){p, end};
    return p < end;
}

/* Digits from *at with one point, the first seventeen that count; *behind: so many of them stood behind the point, less those
 * left out before it. False when there is none. */
static bool take_digits(const char **at, const char *end, double *sum, int *behind) {
    enum { HELD = 17 };
    int held = 0;
    bool point = false, any = false;
    for (*behind = 0; *at < end && ((**at >= '0' && **at <= '9') || (**at == '.' && !point)); ++*at) {
        if (**at == '.') {
            point = true;
            continue;
        }
        any = true;
        if (held < HELD) {
            *sum = 10.0 * *sum + (**at - '0');
            held += held > 0 || **at != '0';
            *behind += point;
        } else
            *behind -= !point;
    }
    return any;
}

bool iol_view_number(iol_view v, double *value) {
    const char *p = v.at;
    double sum = 0.0, power = 0.0;
    int behind, unused;
    if (!p) return false;
    const char *end = *p == '"' ? behind_text(p, v.end) - 1 : v.end;
    if (*p == '"') p++;
    while (p < end && *p == ' ') p++;
    bool minus = p < end && *p == '-';
    if (p < end && (*p == '-' || *p == '+')) p++;
    if (!take_digits(&p, end, &sum, &behind)) return false;
    if (p < end && (*p | 0x20) == 'e') {
        bool small = ++p < end && *p == '-';
        if (p < end && (*p == '-' || *p == '+')) p++;
        if (!take_digits(&p, end, &power, &unused) || power > 30.0) return false;
        behind += small ? (int)power : -(int)power;
    }
    if (*v.at == '"' && p < end && strspn(p, " ") < (size_t)(end - p)) return false;
    *value = (minus ? -sum : sum) * pow(10.0, -behind);
    return true;
}

bool iol_view_count(iol_view v, int decimals, int64_t low, int64_t high, int64_t *count) {
    int left = -1; /* decimals still to come; -1 before the point */
    if (!v.at) return false;
    bool minus = *v.at == '-';
    const char *p = v.at + minus;
    int64_t sum = 0;
    for (; p < v.end && ((*p >= '0' && *p <= '9') || *p == '.'); p++) {
        if (*p == '.' && left >= 0) return false;
        if (*p == '.') {
            left = decimals;
            continue;
        }
        if (left == 0) return false;
        if (left > 0) left--;
        if (__builtin_mul_overflow(sum, 10, &sum) || __builtin_add_overflow(sum, *p - '0', &sum)) return false;
    }
    if (p == v.at + minus || (p < v.end && (*p | 0x20) == 'e')) return false;
    for (int i = left < 0 ? decimals : left; i > 0; i--)
        if (__builtin_mul_overflow(sum, 10, &sum)) return false;
    *count = minus ? -sum : sum;
    return *count >= low && *count <= high;
}

/* ---- texts ---- */

static unsigned hex4(const char *p) {
    unsigned unit = 0;
    for (int i = 0; i < 4; i++) {
        char c = p[i];
        unit = unit * 16 + (unsigned)(c <= '9' ? c - '0' : (c | 0x20) - 'a' + 10);
    }
    return unit;
}

/* UTF-8 of a character at out; its length. */
static size_t put_character(unsigned c, char out[4]) {
    if (c < 0x80) return out[0] = (char)c, 1;
    if (c < 0x800) {
        out[0] = (char)(0xc0 | c >> 6), out[1] = (char)(0x80 | (c & 0x3f));
        return 2;
    }
    if (c < 0x10000) {
        out[0] = (char)(0xe0 | c >> 12), out[1] = (char)(0x80 | (c >> 6 & 0x3f)), out[2] = (char)(0x80 | (c & 0x3f));
        return 3;
    }
    out[0] = (char)(0xf0 | c >> 18), out[1] = (char)(0x80 | (c >> 12 & 0x3f));
    out[2] = (char)(0x80 | (c >> 6 & 0x3f)), out[3] = (char)(0x80 | (c & 0x3f));
    return 4;
}

/* The escape at *p, moved behind it. */
static size_t take_escape(const char **p, const char *end, char out[4]) {
    static const char letter[] = "bfnrt", named[] = "\b\f\n\r\t";
    char c = (*p)[1];
    if (c != 'u') {
        const char *found = strchr(letter, c);
        *p += 2;
        return out[0] = found ? named[found - letter] : c, 1;
    }
    unsigned unit = end - *p >= 6 ? hex4(*p + 2) : '?';
    bool pair = unit >= 0xd800 && unit <= 0xdbff && end - *p >= 12;
    if (pair) unit = 0x10000 + ((unit - 0xd800) << 10) + (hex4(*p + 8) - 0xdc00);
    *p += pair ? 12 : 6;
    return put_character(unit, out);
}

bool iol_view_text(iol_view v, char *out, size_t size) {
    size_t used = 0;
    if (!v.at || *v.at != '"') return false;
    for (const char *p = v.at + 1; p < v.end && *p != '"';) {
        char bytes[4] = {*p};
        size_t length = 1;
        if (*p == '\\')
            length = take_escape(&p, v.end, bytes);
        else
            p++;
        if (used + length >= size) return false;
        memcpy(out + used, bytes, length);
        used += length;
    }
    out[used] = '\0';
    return true;
}

static bool starts(iol_view v, const char *text) {
    size_t length = strlen(text);
    return v.at && (size_t)(v.end - v.at) >= length && memcmp(v.at, text, length) == 0;
}

bool iol_view_is(iol_view v, const char *word) {
    if (!word) return starts(v, "null");
    size_t length = strlen(word);
    return v.at && (size_t)(v.end - v.at) >= length + 2 && v.at[0] == '"' && memcmp(v.at + 1, word, length) == 0 &&
           v.at[length + 1] == '"';
}

bool iol_view_is_true(iol_view v) { return starts(v, "true"); }
