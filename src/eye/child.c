#include "child.h"

#include "tables/constants.h"

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
