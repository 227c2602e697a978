#include "fit.h"

#include <stdlib.h>
#include <string.h>

#include "text/number.h"
#include "tables/constants.h"

void iol_fit_start(iol_fit *fit) { memset(fit, 0, sizeof *fit); }

void iol_fit_end(iol_fit *fit) {
    for (size_t i = 0; i < sizeof fit->ratio.page / sizeof *fit->ratio.page; i++) free(fit->ratio.page[i]);
}

void iol_fit_add(iol_fit_line *line, double x, double y) {
    line->n += 1.0, line->xx += x * x, line->xy += x * y, line->yy += y * y;
}

static iol_fitted nothing(double n) { return (iol_fitted){NAN, NAN, NAN, n}; }

/* Student's 97.5th part of a hundred, by halving: iol_student_p falls as t grows. */
static double student_95(double degrees) {
    double low = 0.0, high = 100.0;
    for (int i = 0; i < 100; i++) {
        double middle = (low + high) / 2.0;
        if (iol_student_p(middle, degrees) > 0.05)
            low = middle;
        else
            high = middle;
    }
    return low;
}

iol_fitted iol_fit_line_value(const iol_fit_line *line) {
    if (line->n < c_fit_least_eyes || !(line->xx > 0.0)) return nothing(line->n);
    double b = line->xy / line->xx, rest = fmax(0.0, line->yy - b * line->xy), degrees = line->n - 1.0;
    double half = student_95(degrees) * sqrt(rest / degrees / line->xx);
    return (iol_fitted){b, b - half, b + half, line->n};
}

bool iol_fit_case(iol_fit *fit, const iol_recheck *r, int lens, double slope, double depth_offset_mm) {
    const iol_prediction *p = &r->predictions[0];
    if (iol_at_most(fabs(depth_offset_mm - c_depth_offset_mm), c_fit_gross_depth_mm) == IOL_YES)
        iol_fit_add(&fit->depth, 1.0, depth_offset_mm);
    if (r->counted != IOL_YES || p->method != IOL_recheck_method_joint || p->reference != IOL_YES) return true;
    if (iol_at_most(fabs(p->error_d), c_fit_gross_d) != IOL_YES) return true;
    double slope_per_mm = slope / iol_past_position_by_constant(p->formula);
    if (lens >= 0 && !isnan(slope_per_mm)) iol_fit_add(&fit->lens[lens], slope_per_mm, p->error_d);
    int64_t ratio = iol_count(fabs(p->error_d) / p->expected_sd_d, 3);
    if (ratio == IOL_NO_COUNT) return true;
    fit->ratios += 1.0;
    return iol_bins_add(&fit->ratio, ratio > IOL_ERROR_MOST ? IOL_ERROR_MOST : (int)ratio, 1);
}

/* The ratio of a rank from 1, thousandths. */
static double at_rank(const iol_bins *bins, double rank) {
    double below = 0.0;
    for (int value = 0; value <= IOL_ERROR_MOST; value++) {
        below += iol_bins_at(bins, value);
        if (below >= rank) return value;
    }
    return IOL_ERROR_MOST;
}

iol_fitted iol_fit_factor(const iol_fit *fit) {
    const double share = c_fit_interval_share;
    double n = fit->ratios, unit = 1000.0 * c_sigmas_80;
    if (n < c_fit_least_eyes) return nothing(n);
    double half = c_sigmas_95 * sqrt(n * share * (1.0 - share));
    return (iol_fitted){at_rank(&fit->ratio, share * n) / unit,
                        at_rank(&fit->ratio, fmax(1.0, share * n - half)) / unit,
                        at_rank(&fit->ratio, fmin(n, share * n + half)) / unit, n};
}

void iol_fit_move(iol_constants *k, double shift_mm) {
    if (isnan(k->surgeon_factor_mm)) k->surgeon_factor_mm = iol_surgeon_factor_from_a(k->a_constant);
    if (isnan(k->pacd_mm)) k->pacd_mm = iol_pacd_from_a(k->a_constant);
    k->a_constant += shift_mm / c_nominal_position_slope;
    k->surgeon_factor_mm += shift_mm;
    k->pacd_mm += shift_mm;
    k->haigis_a0_mm += shift_mm;
}

void iol_past_site_constants(iol_case *c, const iol_site *site, const iol_constants *none) {
    iol_lens *lens[] = {&c->first_surgery.lens, &c->outcome.lens};
    for (int i = 0; i < 2; i++) {
        const iol_shelf_lens *shelf = iol_eye_on_shelf(site, lens[i]->lens_id);
        if (shelf && shelf->constants.present) lens[i]->constants = *none;
    }
}
