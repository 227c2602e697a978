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

/* Read one case. json need not end in NUL. True: the case is good (faults->count is 0). False: refused; every fault of
 * the text is in `faults` (at most 50, then a count), each with JSON Pointer and line. Limits: 1 MiB, 16 levels, 4096 values.
 * Not safe against a host that changes cJSON's hooks while it runs. */
bool iol_case_read(const char *json, size_t length, iol_case *into, iol_faults *faults);
/* Read a site file, equally strict. */
bool iol_site_read(const char *json, size_t length, iol_site *into, iol_faults *faults);
/* Everything not known. */
void iol_case_reset(iol_case *c);
void iol_site_reset(iol_site *site);
/* The built-in shelf of unbranded lens classes (data/generic_shelf.def), no habits, no spreads. */
void iol_site_generic(iol_site *site);

/* Calendar: ISO 8601 date to day number; false if it is not a real date of the years 1900 to 2199. */
bool iol_date_read(const char *text, int32_t *day);
/* "2026-11-25"; out takes 11 bytes. */
void iol_date_print(int32_t day, char out[11]);

IOL_PUBLIC_END

#endif
