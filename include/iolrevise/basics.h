/* Statuses, three-valued logic and units shared by the whole library. */
#ifndef IOLREVISE_BASICS_H
#define IOLREVISE_BASICS_H

#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Around the declarations of each public header: C linkage, and seen outside a shared library. */
#ifdef __cplusplus
#define IOL_PUBLIC_BEGIN                                                                                               \
    extern "C" {                                                                                                       \
    _Pragma("GCC visibility push(default)")
#define IOL_PUBLIC_END                                                                                                 \
    _Pragma("GCC visibility pop")                                                                                      \
    }
#else
#define IOL_PUBLIC_BEGIN _Pragma("GCC visibility push(default)")
#define IOL_PUBLIC_END _Pragma("GCC visibility pop")
#endif

/* 0 computed; negative: not computed and every output is NaN; positive: computed, with cautions. */
typedef int iol_status;
enum {
    IOL_OK = 0,
    IOL_BAD_INPUT = -1,      /* an input is not finite or outside the function's domain */
    IOL_NO_SOLUTION = -2,    /* the equation has no root in the allowed range */
    IOL_NO_CONVERGENCE = -3, /* the iteration did not settle: the last iterate is never returned */
    IOL_OUTSIDE_SOURCE = 1,  /* bit: outside the range that the source covers */
    IOL_EXTRAPOLATED = 2     /* bit: the source's own clamp or extension was active */
};

/* Yes, no, unknown (Kleene). The order makes "and" the smaller and "or" the greater. */
typedef enum { IOL_NO = -1, IOL_UNKNOWN = 0, IOL_YES = 1 } iol_flag;

#define IOL_UNKNOWN_DATE INT32_MIN

static inline iol_flag iol_from_bool(bool b) { return b ? IOL_YES : IOL_NO; }
static inline iol_flag iol_not(iol_flag a) { return (iol_flag) - (int)a; }
static inline iol_flag iol_and(iol_flag a, iol_flag b) { return a < b ? a : b; }
static inline iol_flag iol_or(iol_flag a, iol_flag b) { return a > b ? a : b; }

/* Comparisons of a value with a limit: unknown stays unknown. Each limit itself counts as inside "at least" and "at most" and as
 * outside "above" and "below"; so does a value that misses it by less than IOL_SAME, which is arithmetic, not a finding: what is
 * decided does not hang on how a machine rounds. No value is written that finely. */
#define IOL_SAME 1e-9
static inline iol_flag iol_above(double x, double limit) {
    return isnan(x) ? IOL_UNKNOWN : iol_from_bool(x > limit + IOL_SAME);
}
static inline iol_flag iol_below(double x, double limit) {
    return isnan(x) ? IOL_UNKNOWN : iol_from_bool(x < limit - IOL_SAME);
}
static inline iol_flag iol_at_least(double x, double limit) { return iol_not(iol_below(x, limit)); }
static inline iol_flag iol_at_most(double x, double limit) { return iol_not(iol_above(x, limit)); }
static inline iol_flag iol_between(double x, double low, double high) {
    return iol_and(iol_at_least(x, low), iol_at_most(x, high));
}
/* A word against one of its values. 0 = unknown and -1 = not examined are both unknown. */
static inline iol_flag iol_is(int word, int value) { return word <= 0 ? IOL_UNKNOWN : iol_from_bool(word == value); }

#endif
