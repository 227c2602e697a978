/* Why an input was refused: a list of fixed size that the caller owns. Every text in it is printable ASCII, whatever
 * the input held. */
#ifndef IOLREVISE_FAULTS_H
#define IOLREVISE_FAULTS_H

#include "basics.h"

/* Order of data/faults.def: the enum value is the row. */
typedef enum {
#define FAULT(id, word, meaning) IOL_FAULT_##id,
#include "faults.def"
#undef FAULT
    IOL_FAULT_COUNT
} iol_fault_code;

enum {
    IOL_FAULTS_KEPT = 50,   /* faults kept for one input; the rest are only counted */
    IOL_FAULT_SHOWN = 60,   /* characters shown of a text that came from a file */
    IOL_FAULT_QUOTED = 66,  /* room for such a text with its quotation marks, "..." and NUL */
    IOL_FAULT_WANTED = 320, /* room for what is wanted */
    IOL_FAULT_LINE = 688    /* room for any line of iol_fault_print */
};

typedef struct {
    iol_fault_code code;
    int line;        /* 1 is the first line of the text; 0 not known */
    int column;      /* of a sheet, 1 is A; 0 no sheet, or the row as a whole */
    int value_index; /* number of the value in document order, root 0; -1 the text as a whole */
    char path[160];  /* JSON Pointer; "" the text as a whole */
    char found[96];
    char wanted[IOL_FAULT_WANTED];
    char unit[16];
} iol_fault;

typedef struct {
    int count; /* faults in item */
    int more;  /* faults that found no room */
    iol_fault item[IOL_FAULTS_KEPT];
} iol_faults;

IOL_PUBLIC_BEGIN

/* An empty list of faults.
 * Given: the list.
 * Returned: count and more 0.
 * Status: none; cannot fail.
 * Tests: tests/unit/test_faults.c */
void iol_faults_start(iol_faults *faults);

/* Whether the input was not judged at all: memory ran out. It is then the one fault.
 * Given: the list that a reader filled.
 * Returned: true or false.
 * Status: none; cannot fail.
 * Tests: tests/unit/test_reader.c, tests/heavy/faults.sh */
bool iol_faults_no_memory(const iol_faults *faults);

/* Append a fault with line 0, column 0 and value_index -1, for the caller to set.
 * Given: code; path (JSON Pointer), found, wanted and unit, texts ending in NUL; NULL stands for "". A byte
 *   outside printable ASCII is written \xNN; a text too long for its field loses its end, a path its middle, and
 *   "..." stands there.
 * Returned: the new fault, or NULL when the list is full.
 * Status: NULL: no room; the fault is counted in `more`.
 * Tests: tests/unit/test_faults.c */
iol_fault *iol_fault_add(iol_faults *faults, iol_fault_code code, const char *path, const char *found,
                         const char *wanted, const char *unit);

/* The word printed for a code, and its meaning in a sentence.
 * Given: code.
 * Returned: a text that stays valid.
 * Status: "" for a value that is no code.
 * Tests: tests/unit/test_faults.c */
const char *iol_fault_word(iol_fault_code code);
const char *iol_fault_meaning(iol_fault_code code);

/* A text from a file, fit to print: between quotation marks, outside printable ASCII as \xNN, quotation mark and
 * backslash behind a backslash, no more than IOL_FAULT_SHOWN characters between the marks, no escape cut in two,
 * "..." after the closing mark when something was left out.
 * Given: bytes, length; out with room for size bytes: IOL_FAULT_QUOTED always suffices.
 * Returned: out, ending in NUL.
 * Status: none; with less room the text is cut sooner, below 6 bytes out is "".
 * Tests: tests/unit/test_faults.c */
char *iol_fault_quote(const char *bytes, size_t length, char *out, size_t size);

/* What stands on a fault line after the name of the file and its colon, without newline: `LINE: PATH: CODE: found
 * F, wanted W UNIT`; in a sheet `ROW:COLUMN: PATH: ...` with the column as letters. Without a line ` PATH: ...`, so
 * that `FILE:` goes before it either way; an empty path is `(whole)`, an empty found `nothing`; an empty wanted
 * leaves out `, wanted ...`.
 * Given: a fault; out with room for size bytes: IOL_FAULT_LINE always suffices.
 * Returned: the length without NUL.
 * Status: none; cut to size - 1 bytes.
 * Tests: tests/unit/test_faults.c */
size_t iol_fault_print(const iol_fault *fault, char *out, size_t size);

IOL_PUBLIC_END

#endif
