/* A raw look at JSON text before it is parsed: grammar, UTF-8, control characters and limits, with line numbers. */
#ifndef IOL_CASE_SCAN_H
#define IOL_CASE_SCAN_H

#include "iolrevise/faults.h"

enum {
    IOL_SCAN_FILE = 1 << 20, /* bytes of a file of one case, site, plan or data set */
    IOL_SCAN_LEVELS = 16,   /* objects and lists within each other, the root counted */
    IOL_SCAN_VALUES = 4096, /* root, members and elements together */
    IOL_SCAN_NUMBER = 63    /* characters of one number: the parser behind reads no more */
};

/* Bytes of a leading UTF-8 byte-order mark: 3 or 0. The parser is given the text behind it. */
size_t iol_scan_mark(const char *text, size_t length);

/* Given: length bytes of text, no NUL needed at their end; limit, the bytes allowed.
 * Returned: true when the text is one JSON value as RFC 8259 has it, after an optional byte-order mark, within the
 * limits above. Otherwise false and at least one fault added, path "" (whole), line where it stands.
 * Stricter than RFC 8259, which leaves these to the reader (sections 8.2 and 9): refused are \u0000
 * (control-character), half surrogate pairs (bad-utf8), numbers longer than IOL_SCAN_NUMBER and numbers too large for
 * a double (syntax).
 * Bad UTF-8 and control characters within a text do not stop the scan; all else does, a line end within a text
 * included, since what follows a forgotten quotation mark means nothing. */
bool iol_scan_json(const char *text, size_t length, size_t limit, iol_faults *faults);

/* The same with other limits on values and levels (at most IOL_SCAN_DEEPEST), for files of other programs. */
enum { IOL_SCAN_DEEPEST = 64 };
bool iol_scan_json_within(const char *text, size_t length, int values, int levels, iol_faults *faults);

/* Line (from 1) on which a value starts; value_index in document order: root 0, then every member's value and every
 * element as it comes. 0 when there are not so many values. For text that passed the scan; other text is safe, the
 * answer then means nothing. */
int iol_scan_locate(const char *text, size_t length, int value_index);

/* The same for a whole list in one pass: fills each line that is 0, with 1 where value_index is -1, and each found that
 * is empty with the number that stands there, as it was typed. */
void iol_scan_lines(const char *text, size_t length, iol_faults *faults);

/* True when the outermost object of the text has this key, as far as the text can be followed; any text is safe. */
bool iol_scan_has_key(const char *text, size_t length, const char *key);
/* Any text: it begins as a DICOM data set in its JSON form, or a list of them: with a tag, eight digits of base 16. */
bool iol_scan_is_data_set(const char *text, size_t length);

#endif
