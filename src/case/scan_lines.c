/* Lines on which values start: looked for only once something was refused. */
#include "scan_state.h"

#include <string.h>

/* Start of the next value at or after *at, NULL at the end; *at is set behind it (behind the bracket of an object or
 * list). A text with a colon behind it is a key. */
static const byte *next_value(const byte **at, const byte *end) {
    const byte *p = *at;
    for (;;) {
        while (p < end && (is(*p, SPACE) || memchr(",:]}", *p, 4))) p++;
        if (p == end) return NULL;
        const byte *start = p++;
        if (*start == '"') {
            while (p < end && *p != '"') p += *p == '\\' && end - p > 1 ? 2 : 1;
            p += p < end;
            const byte *behind = skip_space(p, end);
            if (behind < end && *behind == ':') continue;
        } else if (*start != '{' && *start != '[') {
            while (p < end && !is(*p, SPACE) && !memchr(",:]}", *p, 4)) p++;
        }
        *at = p;
        return start;
    }
}

/* The smallest value_index above last of a fault without a line, -1 when there is none. */
static int next_wanted(const iol_faults *faults, int last) {
    int next = -1;
    for (int i = 0; i < faults->count; i++) {
        int index = faults->item[i].value_index;
        if (faults->item[i].line == 0 && index > last && (next < 0 || index < next)) next = index;
    }
    return next;
}

/* The line, and where nothing is said to be found, the number as it was typed from start to end. */
static void set_lines(iol_faults *faults, int value_index, int line, const byte *start, const byte *end) {
    for (int i = 0; i < faults->count; i++) {
        iol_fault *fault = &faults->item[i];
        if (fault->line != 0 || fault->value_index != value_index) continue;
        fault->line = line;
        size_t length = (size_t)(end - start);
        if (fault->found[0] || length == 0 || !is(*start, WORD)) continue;
        if (length > IOL_FAULT_SHOWN) length = IOL_FAULT_SHOWN;
        memcpy(fault->found, start, length);
        fault->found[length] = '\0';
        for (char *c = fault->found; *c; c++)
            if ((byte)*c < 0x20 || (byte)*c >= 0x7f) *c = '?'; /* text that did not pass the scan */
    }
}

void iol_scan_lines(const char *text, size_t length, iol_faults *faults) {
    const byte *at = (const byte *)text + iol_scan_mark(text, length), *end = (const byte *)text + length;
    const byte *start, *counted = at;
    int line = 1;
    set_lines(faults, -1, 1, at, at);
    int wanted = next_wanted(faults, -1);
    for (int index = 0; wanted >= 0 && (start = next_value(&at, end)) != NULL; index++) {
        if (index != wanted) continue;
        line += iol_scan_count_lines(counted, start);
        counted = start;
        set_lines(faults, index, line, start, at);
        wanted = next_wanted(faults, index);
    }
}

int iol_scan_locate(const char *text, size_t length, int value_index) {
    iol_faults one; /* only its first item is used */
    iol_faults_start(&one);
    iol_fault_add(&one, IOL_FAULT_syntax, "", "", "", "")->value_index = value_index;
    iol_scan_lines(text, length, &one);
    return value_index < 0 ? 0 : one.item[0].line;
}
