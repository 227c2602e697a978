/* The case and the site, as structs made from data/case_fields.def and data/site_fields.def.
 *
 * A number that is not known is NaN, a word 0, a yes/no IOL_UNKNOWN, a date IOL_UNKNOWN_DATE, a text "".
 * An object or list element is `present` when at least one of its values is known.
 * Dates are days since 1970-01-01 (Gregorian). */
#ifndef IOLREVISE_CASE_H
#define IOLREVISE_CASE_H

#include "basics.h"
#include "faults.h"
#include "words.h"

#define BEGIN(o)                                                                                                       \
    typedef struct iol_##o {                                                                                           \
        bool present;
#define NUM(o, k, unit, lo, hi, ulo, uhi, text) double k;
#define RATE(o, k, key, text) double k;
#define WORD(o, k, set, text) int k;
#define FLAG(o, k, text) iol_flag k;
#define DATE(o, k, text) int32_t k;
#define TEXT(o, k, n, text) char k[(n) + 1];
#define PART(o, k, sub, text) struct iol_##sub k;
#define LIST(o, k, sub, cap, text)                                                                                     \
    struct iol_##sub k[cap];                                                                                           \
    int k##_count;                                                                                                     \
    bool k##_lost;
#define WORDS(o, k, set, cap, text)                                                                                    \
    int k[cap];                                                                                                        \
    int k##_count;
#define NUMS(o, k, unit, lo, hi, cap, text)                                                                            \
    double k[cap];                                                                                                     \
    int k##_count;
#define MUST(o, k)
#define END(o)                                                                                                         \
    }                                                                                                                  \
    iol_##o;
#include "case_fields.def"
#include "site_fields.def"
#include "fields_undef.h"

IOL_PUBLIC_BEGIN

/* Read one case, strictly: every fault of the text is found, none is mended.
 * Given: json, `length` bytes, UTF-8, need not end in NUL; at most 1 MiB, 16 levels, 4096 values.
 * Returned: true: `into` holds the case and faults->count is 0. false: refused; `faults` holds up to 50 faults,
 *   each with JSON Pointer and line, and counts the rest; into is not to be used.
 * Status: true or false; the fault codes are those of data/faults.def. It asks the C library for memory through
 *   the JSON parser; out of memory is a fault too. Not safe against a host that changes the parser's hooks while
 *   it runs; else safe from several threads.
 * Tests: tests/unit/test_reader.c, tests/fuzz */
bool iol_case_read(const char *json, size_t length, iol_case *into, iol_faults *faults);

/* Read a site file, as strictly.
 * Given: json and length as for iol_case_read.
 * Returned: as iol_case_read, of a site.
 * Status: as iol_case_read.
 * Tests: tests/unit/test_reader.c, tests/fuzz */
bool iol_site_read(const char *json, size_t length, iol_site *into, iol_faults *faults);

/* A case and a site of which nothing is known.
 * Given: the struct to fill.
 * Returned: every number NaN, word 0, yes/no IOL_UNKNOWN, date IOL_UNKNOWN_DATE, text and list empty, nothing
 *   present.
 * Status: none; cannot fail.
 * Tests: tests/unit/test_reader.c, tests/unit/test_ways.c */
void iol_case_reset(iol_case *c);
void iol_site_reset(iol_site *site);

/* The built-in shelf of unbranded lens classes, for a host without a site file.
 * Given: the struct to fill.
 * Returned: the classes of data/generic_shelf.def (powers in D, lengths in mm); no habits, no spreads.
 * Status: none; cannot fail.
 * Tests: tests/unit/test_reader.c, tests/unit/test_standing.c */
void iol_site_generic(iol_site *site);

/* Calendar date to day number.
 * Given: text, YYYY-MM-DD (ISO 8601), ends in NUL.
 * Returned: day, days since 1970-01-01 (Gregorian); IOL_UNKNOWN_DATE when false.
 * Status: false: no real date of the years 1900 to 2199.
 * Source: ISO 8601, the Gregorian rule
 * Tests: tests/unit/test_reader.c */
bool iol_date_read(const char *text, int32_t *day);

/* Day number to calendar date.
 * Given: day, days since 1970-01-01, of the years 1900 to 2199.
 * Returned: out, "YYYY-MM-DD" and NUL.
 * Status: none; IOL_UNKNOWN_DATE is not a day: ask before.
 * Source: ISO 8601
 * Tests: tests/unit/test_reader.c */
void iol_date_print(int32_t day, char out[11]);

IOL_PUBLIC_END

#endif
