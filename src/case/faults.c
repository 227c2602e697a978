/* The fault list: fixed size, every text made printable on its way in. */
#include "iolrevise/faults.h"

#include <stdio.h>
#include <string.h>

_Static_assert(sizeof(iol_faults) < 40 * 1024, "the list must fit on a stack");

static const struct {
    const char *word, *meaning;
} rows[IOL_FAULT_COUNT] = {
#define FAULT(id, word, meaning) {word, meaning},
#include "faults.def"
#undef FAULT
};

static bool is_code(iol_fault_code code) { return (int)code >= 0 && code < IOL_FAULT_COUNT; }

const char *iol_fault_word(iol_fault_code code) { return is_code(code) ? rows[code].word : ""; }
const char *iol_fault_meaning(iol_fault_code code) { return is_code(code) ? rows[code].meaning : ""; }

void iol_faults_start(iol_faults *faults) {
    faults->count = 0;
    faults->more = 0;
}

bool iol_faults_no_memory(const iol_faults *faults) {
    return faults->count > 0 && faults->item[0].code == IOL_FAULT_no_memory;
}

static bool is_printable(unsigned char byte) { return byte >= 0x20 && byte < 0x7f; }

/* One byte as printable ASCII: itself or \xNN. Returns the characters written, 1 or 4. */
static size_t put_byte(unsigned char byte, char *out) {
    static const char hex[] = "0123456789abcdef";
    if (is_printable(byte)) {
        out[0] = (char)byte;
        return 1;
    }
    out[0] = '\\';
    out[1] = 'x';
    out[2] = hex[byte >> 4];
    out[3] = hex[byte & 15];
    return 4;
}

static size_t width(char byte) { return is_printable((unsigned char)byte) ? 1 : 4; }

/* Characters that text needs, counted no further than just past limit. */
static size_t printed_width(const char *text, size_t limit) {
    size_t total = 0;
    while (*text != '\0' && total <= limit) total += width(*text++);
    return total;
}

/* Copy text made printable into a field of size bytes. A text too long keeps its head, "..." and its last tail
 * characters or a few less. */
static void put_text(const char *text, size_t tail, char *out, size_t size) {
    size_t room = size - 1, used = 0;
    if (printed_width(text, room) <= room) {
        for (; *text != '\0'; text++) used += put_byte((unsigned char)*text, out + used);
        out[used] = '\0';
        return;
    }
    for (size_t head = room - tail - 3; used + width(*text) <= head; text++)
        used += put_byte((unsigned char)*text, out + used);
    memcpy(out + used, "...", 3);
    used += 3;
    const char *end = text + strlen(text);
    const char *from = end;
    for (; from > text && width(from[-1]) <= tail; from--) tail -= width(from[-1]);
    for (; from < end; from++) used += put_byte((unsigned char)*from, out + used);
    out[used] = '\0';
}

iol_fault *iol_fault_add(iol_faults *faults, iol_fault_code code, const char *path, const char *found,
                         const char *wanted, const char *unit) {
    if (faults->count >= IOL_FAULTS_KEPT) {
        faults->more++;
        return NULL;
    }
    iol_fault *fault = &faults->item[faults->count++];
    fault->code = code;
    fault->line = 0;
    fault->column = 0;
    fault->value_index = -1;
    put_text(path ? path : "", 80, fault->path, sizeof fault->path);
    put_text(found ? found : "", 0, fault->found, sizeof fault->found);
    put_text(wanted ? wanted : "", 0, fault->wanted, sizeof fault->wanted);
    put_text(unit ? unit : "", 0, fault->unit, sizeof fault->unit);
    return fault;
}

char *iol_fault_quote(const char *bytes, size_t length, char *out, size_t size) {
    if (size < 6) { /* two marks, three dots and NUL */
        if (size > 0) out[0] = '\0';
        return out;
    }
    size_t room = size - 6 < IOL_FAULT_SHOWN ? size - 6 : IOL_FAULT_SHOWN;
    size_t used = 1, taken = 0;
    out[0] = '"';
    for (; taken < length; taken++) {
        bool marked = bytes[taken] == '"' || bytes[taken] == '\\';
        if (used - 1 + width(bytes[taken]) + marked > room) break;
        if (marked) out[used++] = '\\';
        used += put_byte((unsigned char)bytes[taken], out + used);
    }
    memcpy(out + used, taken < length ? "\"..." : "\"", taken < length ? 5 : 2);
    return out;
}

/* "17:" becomes "17:K:", as spreadsheets name columns. */
static void append_column(char line[32], int column) {
    char letters[8];
    int at = (int)sizeof letters;
    letters[--at] = '\0';
    letters[--at] = ':';
    for (; column > 0 && at > 0; column = (column - 1) / 26) letters[--at] = (char)('A' + (column - 1) % 26);
    memcpy(line + strlen(line), letters + at, sizeof letters - (size_t)at);
}

size_t iol_fault_print(const iol_fault *fault, char *out, size_t size) {
    if (size == 0) return 0;
    char line[32] = "";
    if (fault->line > 0) snprintf(line, sizeof line, "%d:", fault->line);
    if (fault->line > 0 && fault->column > 0) append_column(line, fault->column);
    const char *path = fault->path[0] ? fault->path : "(whole)";
    const char *found = fault->found[0] ? fault->found : "nothing";
    int length = snprintf(out, size, "%s %s: %s: found %s%s%s%s%s", line, path, iol_fault_word(fault->code), found,
                          fault->wanted[0] ? ", wanted " : "", fault->wanted, fault->unit[0] ? " " : "", fault->unit);
    return length < 0 ? 0 : (size_t)length < size ? (size_t)length : size - 1;
}
