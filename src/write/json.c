#include "json.h"

#include <string.h>

static void flush(iol_json *json) {
    if (!json->failed && json->used > 0 && !json->sink(json->context, json->buffer, json->used)) json->failed = true;
    json->used = 0;
}

/* After a failure nothing more is written. Most pieces are short and fit: they take the first way out. */
static void put(iol_json *json, const char *bytes, size_t length) {
    if (length < sizeof json->buffer - json->used && !json->failed) {
        memcpy(json->buffer + json->used, bytes, length);
        json->used += length;
        return;
    }
    while (!json->failed && length > 0) {
        const size_t room = sizeof json->buffer - json->used;
        const size_t take = length < room ? length : room;
        memcpy(json->buffer + json->used, bytes, take);
        json->used += take;
        bytes += take;
        length -= take;
        if (json->used == sizeof json->buffer) flush(json);
    }
}

static void put_byte(iol_json *json, char byte) { put(json, &byte, 1); }

static bool follows(unsigned char byte, unsigned char low, unsigned char high) { return byte >= low && byte <= high; }

/* Bytes of the valid UTF-8 sequence at s (RFC 3629, section 4: no overlong form, no surrogate, nothing above
 * U+10FFFF), or 0. The NUL that ends the text is no continuation byte, so nothing is read beyond it. */
static size_t sequence_length(const unsigned char *s) {
    if (s[0] < 0x80) return 1;
    if (follows(s[0], 0xC2, 0xDF)) return follows(s[1], 0x80, 0xBF) ? 2 : 0;
    if (follows(s[0], 0xE0, 0xEF)) {
        const unsigned char low = s[0] == 0xE0 ? 0xA0 : 0x80;
        const unsigned char high = s[0] == 0xED ? 0x9F : 0xBF;
        return follows(s[1], low, high) && follows(s[2], 0x80, 0xBF) ? 3 : 0;
    }
    if (follows(s[0], 0xF0, 0xF4)) {
        const unsigned char low = s[0] == 0xF0 ? 0x90 : 0x80;
        const unsigned char high = s[0] == 0xF4 ? 0x8F : 0xBF;
        return follows(s[1], low, high) && follows(s[2], 0x80, 0xBF) && follows(s[3], 0x80, 0xBF) ? 4 : 0;
    }
    return 0;
}

static bool is_plain(unsigned char byte) { return byte >= 0x20 && byte < 0x7F && byte != '"' && byte != '\\'; }

static void put_escape(iol_json *json, unsigned char byte) {
    static const char hex[] = "0123456789abcdef";
    static const char named[] = "\"\\\b\f\n\r\t";
    static const char letter[] = "\"\\bfnrt";
    const char *found = strchr(named, byte);
    if (found != NULL) {
        const char escape[2] = {'\\', letter[found - named]};
        put(json, escape, sizeof escape);
    } else {
        const char escape[6] = {'\\', 'u', '0', '0', hex[byte >> 4], hex[byte & 15]};
        put(json, escape, sizeof escape);
    }
}

/* Runs of bytes that need no escape go out at once. */
static void put_string(iol_json *json, const char *text) {
    put_byte(json, '"');
    while (*text != '\0') {
        const char *end = text;
        while (is_plain((unsigned char)*end)) end++;
        put(json, text, (size_t)(end - text));
        text = end;
        if (*text == '\0') break;
        const size_t length = sequence_length((const unsigned char *)text);
        if (length == 0) {
            put(json, "\\ufffd", 6);
            text++;
        } else if (length == 1) {
            put_escape(json, (unsigned char)*text++);
        } else if ((unsigned char)text[0] == 0xC2 && (unsigned char)text[1] < 0xA0) { /* a control character too */
            put_escape(json, (unsigned char)text[1]);
            text += 2;
        } else {
            put(json, text, length);
            text += length;
        }
    }
    put_byte(json, '"');
}

static void new_line(iol_json *json) {
    put_byte(json, '\n');
    for (int level = 0; level < json->depth; level++) put(json, "  ", 2);
}

/* Everything before a value: comma, line and key. */
static void lead(iol_json *json, const char *key) {
    if (json->depth > 0) {
        bool *has_member = &json->has_member[json->depth - 1];
        if (*has_member) put_byte(json, ',');
        *has_member = true;
        if (json->pretty) new_line(json);
    }
    if (key != NULL) {
        put_string(json, key);
        put(json, ": ", json->pretty ? 2 : 1);
    }
}

void iol_json_start(iol_json *json, iol_sink sink, void *context, bool pretty) {
    json->sink = sink;
    json->context = context;
    json->pretty = pretty;
    json->failed = false;
    json->depth = 0;
    json->used = 0;
}

void iol_json_open(iol_json *json, const char *key, char bracket) {
    if (json->depth == IOL_JSON_DEPTH) json->failed = true;
    if (json->failed) return;
    lead(json, key);
    put_byte(json, bracket);
    json->has_member[json->depth++] = false;
}

void iol_json_close(iol_json *json, char bracket) {
    if (json->depth == 0) { /* more closed than opened: the text would not be JSON */
        json->failed = true;
    }
    if (json->failed) return;
    json->depth--;
    if (json->pretty && json->has_member[json->depth]) new_line(json);
    put_byte(json, bracket);
}

/* A count that does not exist is null: JSON has no NaN and no infinity (RFC 8259, section 6). */
static void put_count(iol_json *json, const char *key, int64_t count, int decimals) {
    char digits[32];
    const size_t length = iol_print_count(count, decimals, false, digits, sizeof digits);
    if (length == 0) {
        iol_json_null(json, key);
        return;
    }
    lead(json, key);
    put(json, digits, length);
}

void iol_json_number(iol_json *json, const char *key, double x, int decimals) {
    put_count(json, key, iol_count(x, decimals), decimals);
}

void iol_json_integer(iol_json *json, const char *key, int64_t value) { put_count(json, key, value, 0); }

void iol_json_bool(iol_json *json, const char *key, bool value) {
    lead(json, key);
    put(json, value ? "true" : "false", value ? 4 : 5);
}

void iol_json_null(iol_json *json, const char *key) {
    lead(json, key);
    put(json, "null", 4);
}

void iol_json_text(iol_json *json, const char *key, const char *text) {
    if (text == NULL) {
        iol_json_null(json, key);
        return;
    }
    lead(json, key);
    put_string(json, text);
}

bool iol_json_finish(iol_json *json) {
    if (json->depth != 0) json->failed = true;
    put_byte(json, '\n');
    flush(json);
    return !json->failed;
}
