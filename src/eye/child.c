#include "child.h"

#include "tables/constants.h"
#include "tables/tables.h"

/* Purpose   A child's eye with an implanted lens: the later refraction as a range, and how much the eye may have grown.
 * Equation  R(a2) = R(a1) + s log10((a2 + c)/(a1 + c)). Least: s -4.6, c 0.6 years; most: s -5.4, c 0, twice that change
 *           under 8 years. Length: 0.4 mm a year under 3, 0.2 to 6, 0.1 to 15.
 * Given     Refraction (D), ages (years).
 * Returned  Refraction (D); mm.
 * Status    NaN where an age or the refraction is not known.
 * Valid     An eye with a lens, from 1 year; it stands beside a target and sets none.
 * Source    mcclatchey_2000 (slopes; its offset was not seen); offset 0.6, slope -5.4, the factor and the growth: judgement,
 *           so that the printed means of plager_2002 lie inside.
 * Tests     tests/unit/test_new_eyes.c (derived rows) */

double iol_child_refraction(double now_d, double age_years, double later_years, double slope_d, double offset_years) {
    return now_d +
           slope_d * 2.0 * log((later_years + offset_years) / (age_years + offset_years)) / log(100.0); /* log10 */
}

void iol_child_range(double now_d, double age_years, double later_years, double *least_d, double *most_d) {
    bool small = iol_below(age_years, c_child_small_years) == IOL_YES;
    *least_d = iol_child_refraction(now_d, age_years, later_years, c_child_slope_least_d, c_child_offset_years);
    double most = iol_child_refraction(now_d, age_years, later_years, c_child_slope_most_d, 0.0);
    *most_d = small ? now_d + c_child_small_factor * (most - now_d) : most;
}

/* Years of the span that lie below an age. */
static double years_below(double from, double to, double low, double high) {
    double begin = fmax(from, low), end = fmin(to, high);
    return fmax(0.0, end - begin);
}

double iol_child_growth_mm(double age_from_years, double age_to_years) {
    if (isnan(age_from_years) || isnan(age_to_years)) return NAN;
    return c_child_growth_first_mm * years_below(age_from_years, age_to_years, 0.0, c_child_growth_first_years) +
           c_child_growth_second_mm *
               years_below(age_from_years, age_to_years, c_child_growth_first_years, c_child_growth_second_years) +
           c_child_growth_third_mm *
               years_below(age_from_years, age_to_years, c_child_growth_second_years, c_child_growth_third_years);
}

/* Purpose   How much more myopic a child's eye with an implanted lens became by growing: printed means by age at the operation.
 * Equation  Of a group mean m, range r, years y: m/y a year with a spread of (r/3)/y a year, for y years; then the group of the age
 *           reached. Between two groups in proportion; younger than the first as the first. Spreads of one eye add up.
 * Given     Ages (years). Returned D, both at least 0. Status: 0 from the age of 16, NaN where an age is not known.
 * Source    plager_2002 (38 eyes); that growing runs evenly, the spread of a range, and the years of the last group: judgement
 * Tests     tests/unit/test_child.c */

typedef struct {
    double first, last, mean_d, sd_d, years;
} group;

static const group groups[] = {
#define CHILD_SHIFT(first, last, figure, words) {first, last, 0.0, 0.0, 0.0},
#include "child_shift.def"
#undef CHILD_SHIFT
};
enum { GROUPS = sizeof groups / sizeof *groups };
/* ORDER child_shift: data/child_shift.def */
static const double years[] = {c_child_shift_2_years, c_child_shift_6_years, c_child_shift_8_years,
                               c_child_shift_10_years};
_Static_assert(sizeof years / sizeof *years == GROUPS, "years of every group");
static const iol_evidence_key printed[] = {
#define CHILD_SHIFT(first, last, figure, words) IOL_EVIDENCE_##figure,
#include "child_shift.def"
#undef CHILD_SHIFT
};

/* A group with its figures for a year. */
static group a_year(int which) {
    const iol_evidence_row *row = &iol_evidence[printed[which]];
    group g = groups[which];
    g.years = years[which];
    g.mean_d = row->value / g.years;
    g.sd_d = (row->high - row->low) / c_child_shift_range_sds / g.years;
    return g;
}

/* The group of an age below the end of the last one. */
static group group_at(double age) {
    int next = 0;
    while (next < GROUPS - 1 && age >= groups[next].first) next++;
    if (age >= groups[next].first) return a_year(next); /* in the last group */
    group after = a_year(next), before = a_year(next > 0 ? next - 1 : 0);
    const double from = before.last + 1.0;
    if (next == 0 || age < from) return before;
    const double share = (age - from) / (after.first - from);
    before.mean_d += share * (after.mean_d - before.mean_d);
    before.sd_d += share * (after.sd_d - before.sd_d);
    before.years = after.first - age; /* then that one's */
    return before;
}

iol_child_moved iol_child_shift(double age_from_years, double age_to_years) {
    iol_child_moved moved = {NAN, NAN};
    if (isnan(age_from_years) || isnan(age_to_years)) return moved;
    moved.mean_d = moved.sd_d = 0.0;
    for (double age = age_from_years; age < age_to_years && age < groups[GROUPS - 1].last + 1.0;) {
        const group g = group_at(age);
        const double span = fmin(g.years, age_to_years - age);
        moved.mean_d += span * g.mean_d;
        moved.sd_d += span * g.sd_d;
        age += span;
    }
    return moved;
}

double iol_child_usual_aim(double age_years) {
    if (iol_below(age_years, c_child_small_years) != IOL_YES) return NAN;
    return fmax(0.0, c_child_aim_at_birth_d - floor(age_years));
}
