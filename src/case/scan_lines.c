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

static void set_lines(iol_faults *faults, int value_index, int line) {
    for (int i = 0; i < faults->count; i++) {
        if (faults->item[i].line == 0 && faults->item[i].value_index == value_index) faults->item[i].line = line;
    }
}

void iol_scan_lines(const char *text, size_t length, iol_faults *faults) {
    const byte *at = (const byte *)text + iol_scan_mark(text, length), *end = (const byte *)text + length;
    const byte *start, *counted = at;
    int line = 1;
    set_lines(faults, -1, 1);
    int wanted = next_wanted(faults, -1);
    for (int index = 0; wanted >= 0 && (start = next_value(&at, end)) != NULL; index++) {
        if (index != wanted) continue;
        line += iol_scan_count_lines(counted, start);
        counted = start;
        set_lines(faults, index, line);
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
