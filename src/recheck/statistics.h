/* Exact statistics of errors in thousandths of a dioptre. Everything kept is an integer and only ever added to, so the order
 * of cases, jobs and parts cannot change a bit; memory grows with the spread of the errors, not with their number.
 * An error beyond 8.191 D counts as 8.192 D, on its side. */
#ifndef IOL_RECHECK_STATISTICS_H
#define IOL_RECHECK_STATISTICS_H

#include "past_case.h"

/* What is told apart: joint, the four causes with the reference formula; refraction-only; rule-of-thumb; joint of each
 * formula (that of the reference formula counts here too). */
enum {
    IOL_SERIES_JOINT = 0,
    IOL_SERIES_BY_FORMULA = 7,
    IOL_SERIES = IOL_SERIES_BY_FORMULA + IOL_FORMULA_COUNT,
    IOL_FIRST_YEAR = 1970, /* of operation; one outside stands in no group of a year */
    IOL_YEARS = 100,
    IOL_SORT_YEAR = 1 + (IOL_position_end - 1) + (IOL_posterior_capsule_end - 1),
    IOL_SORTS = IOL_SORT_YEAR + IOL_YEARS, /* all, each position, each capsule, each year (joint alone) */
    IOL_ERROR_MOST = 8192,                 /* thousandths */
    IOL_STEP = 500,     /* of the predicted refraction, thousandths; a step holds what is nearest to its middle, */
    IOL_STEP_MOST = 12, /* and the outermost steps all beyond */
    IOL_STEPS = 2 * IOL_STEP_MOST + 1,
    IOL_BAR = 250, /* of the error, the same */
    IOL_BAR_MOST = 8,
    IOL_PAGE_BINS = 256
};
/* More cases than this are not counted: below it no sum of squares leaves 64 bits. */
#define IOL_CASES_MOST INT64_C(10000000000)

/* Counts per thousandth from -least to +least; a page of them exists once one of its counts does. */
typedef struct {
    uint32_t *page[2 * IOL_ERROR_MOST / IOL_PAGE_BINS + 1];
    bool over; /* a count would have left its 32 bits */
} iol_bins;
typedef struct {
    int64_t n, sum, square; /* of e1 - e2 */
} iol_moment;
typedef struct {
    iol_moment *page[4 * IOL_ERROR_MOST / IOL_PAGE_BINS + 1];
    bool over;
} iol_moments;

typedef struct {
    iol_bins errors;
    int64_t held[IOL_interval_held_end]; /* by the word; [0] counts those without an interval */
    int64_t slopes, slope_sum;           /* change by the constant, thousandths of a dioptre a unit */
} iol_tally;
/* Eyes whose predicted refraction lies in one step: thousandths, the error cut as in the bins. */
typedef struct {
    int64_t n, predicted, achieved, error, square; /* square of the error */
} iol_step_tally;
typedef struct {
    iol_bins ranks;       /* of |e1| - |e2|; e1 is joint, e2 the other */
    iol_moments by_total; /* per value of e1 + e2 */
} iol_pair_tally;

/* Whether told chances came true: eyes, those within 0.50 D, sum of what was told in thousandths. */
typedef struct {
    int64_t n, came, told;
} iol_told_tally;
enum { IOL_TOLD_MOST = 1000, IOL_EYE_PARTS = 4, IOL_FIFTHS = 5 };

typedef struct {
    int64_t cases, refused, no_outcome;
    int64_t not_counted[IOL_not_counted_end], constants[IOL_constants_of_end]; /* by the word */
    int64_t support[IOL_tier_end][2];                                          /* by tier: vitrectomy no, yes */
    int64_t standing[IOL_standing_end], alarms_open;                           /* by the word; cases with one open */
    iol_tally tally[IOL_SERIES][IOL_SORTS];
    iol_pair_tally pair[IOL_SERIES];                                 /* [0] stays empty */
    iol_step_tally step[IOL_STEPS];                                  /* joint with the reference formula */
    iol_told_tally told[IOL_TOLD_MOST + 1], eye_part[IOL_EYE_PARTS]; /* by thousandth told; by size */
    bool over; /* a sum would have left its bits: nothing may be said */
} iol_statistics;

/* A case's contribution, small enough to wait for its turn. */
typedef struct {
    uint8_t status, counted, tested, position, posterior, entries, year; /* year: 1 for the first, 0 none */
    uint8_t not_counted, constants, tier, vitrectomy;                    /* vitrectomy: 0 not known, 1 no, 2 yes */
    uint8_t standing, alarms_open;
    int16_t told;                                                        /* thousandths; negative: nothing was told */
    uint8_t eye_part;                                                    /* 1 the smallest; 0 not known */
    int32_t predicted, achieved; /* joint with the reference formula; of entry 0 when that is its series */
    struct {
        int16_t error;
        uint8_t series, held;
        int32_t slope;
    } entry[IOL_PAST_ROWS + 1];
} iol_score;
void iol_score_make(const iol_recheck *recheck, const double slope[IOL_PAST_ROWS], iol_score *score);

void iol_statistics_start(iol_statistics *s);
/* The multiple of a width that is nearest, halves away from zero, cut at most. */
static inline int iol_nearest(int64_t value, int width, int most) {
    int64_t steps = ((value < 0 ? -value : value) + width / 2) / width;
    if (steps > most) steps = most;
    return (int)(value < 0 ? -steps : steps);
}
/* *to += more; false, and nothing changed, when it would not fit. */
static inline bool iol_sum(int64_t *to, int64_t more) {
    int64_t sum;
    if (__builtin_add_overflow(*to, more, &sum)) return false;
    *to = sum;
    return true;
}
/* False once a count or a sum of any kind would have left its bits. */
bool iol_statistics_hold(const iol_statistics *s);
/* Add the scores of many cases. False when there is no memory, or when iol_statistics_hold does not. */
bool iol_statistics_add(iol_statistics *s, const iol_score score[], int count);
void iol_statistics_end(iol_statistics *s);
/* Add n to the count of one value; the single steps of iol_statistics_add and of reading a partial file. Values lie within
 * the limits above, twice that for totals. False without memory, or (over) when the count would not fit. */
bool iol_bins_add(iol_bins *bins, int value, uint32_t n);
bool iol_moments_add(iol_moments *moments, int total, iol_moment more);
bool iol_steps_add(iol_step_tally *step, const iol_step_tally *more);
bool iol_told_add(iol_told_tally *to, const iol_told_tally *more);
/* Count of a value. */
uint32_t iol_bins_at(const iol_bins *bins, int value);
const iol_moment *iol_moments_at(const iol_moments *moments, int total);
/* The next value from `from` on that was counted; beyond IOL_ERROR_MOST, for a total beyond twice that, when there is none. */
int iol_bins_next(const iol_bins *bins, int from);
int iol_moments_next(const iol_moments *moments, int from);

void iol_statistics_summary(const iol_statistics *s, iol_summary *out);
/* What a series and a sort are called. */
void iol_series_names(int series, int *method, int *formula);
void iol_sort_names(int sort, int *by, const char **is);

/* ---- tests (tests.c); each sets NaN where it says nothing ---- */
/* Signed ranks of a list of integer differences given as counts: zeros dropped, ties at mid-ranks, normal with tie
 * correction and no continuity correction. n_used: differences that are not 0. */
void iol_signed_ranks(const iol_bins *differences, int64_t *n_used, double *rank_sum, double *z, double *p);
/* Slope of difference on total with the HC4 standard error; p by Student's t with n - 2 degrees of freedom. */
void iol_hc4(const iol_moments *moments, int64_t *count, double *slope, double *t, double *p);
/* Two-sided p of Student's t. */
double iol_student_p(double t, double degrees);
/* Exact 95 % limits of a share of so many among n (Clopper and Pearson). */
void iol_binomial_limits(int64_t count, int64_t n, double *low, double *high);
/* Holm's step-down correction in place; NaN stays and does not count. */
void iol_holm(double p[], int count);

#endif
