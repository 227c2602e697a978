/* What the three files of the raw scan (scan.c, scan_words.c, scan_lines.c) share; nothing else includes it. */
#ifndef IOL_CASE_SCAN_STATE_H
#define IOL_CASE_SCAN_STATE_H

#include "scan.h"

typedef unsigned char byte;

typedef struct {
    const byte *text, *end; /* the text behind a byte-order mark, and its end */
    const byte *at;         /* the next byte to read */
    iol_faults *faults;
    bool refused;
    int values, most, level, levels; /* most, levels: values and levels allowed */
    const byte *opened[IOL_SCAN_DEEPEST];
    const byte *counted; /* lines are counted up to here */
    int line;
} iol_scanner;

/* Kinds of bytes: what a text holds as it is, white space (RFC 8259, section 2), what numbers and bare words hold. */
enum { PLAIN = 1, SPACE = 2, DIGIT = 4, LETTER = 8, WORD = 16 };
extern const byte iol_scan_kinds[256];
static inline bool is(byte b, int kind) { return (iol_scan_kinds[b] & kind) != 0; }

static inline const byte *skip_space(const byte *p, const byte *end) {
    while (p < end && *p <= ' ' && is(*p, SPACE)) p++;
    return p;
}

/* Bytes of the UTF-8 character at p, 0 when it is none (Unicode, table 3-7: no overlong form, no surrogate, nothing
 * above U+10FFFF). */
size_t iol_scan_utf8_length(const byte *p, const byte *end);
int iol_scan_count_lines(const byte *from, const byte *to);

#define IOL_SCAN_NOT_UTF8 "UTF-8 text (save the file as UTF-8)"

/* Each adds one fault and returns false. Found is: a count; the bytes from p to end; the bytes around p in the text
 * that starts at start; the token at start; the token at s->at, with a better hint where there is one. */
bool iol_scan_refuse_limit(iol_scanner *s, iol_fault_code code, const byte *p, size_t found, size_t limit,
                           const char *unit);
bool iol_scan_refuse_bytes(iol_scanner *s, iol_fault_code code, const byte *p, const byte *end, const char *wanted);
bool iol_scan_refuse_in_text(iol_scanner *s, iol_fault_code code, const byte *start, const byte *p, const char *wanted);
bool iol_scan_refuse_token(iol_scanner *s, iol_fault_code code, const byte *start, const char *wanted);
bool iol_scan_refuse(iol_scanner *s, const char *wanted);
/* s->at is no value, no key, or nothing that may follow a value. */
bool iol_scan_refuse_value(iol_scanner *s);
bool iol_scan_refuse_key(iol_scanner *s);
bool iol_scan_refuse_after(iol_scanner *s, iol_fault_code code);

#endif
