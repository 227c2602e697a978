/* What follows from the counts: the summary. */
#include <stdlib.h>

#include "statistics.h"
#include "tables/constants.h"

/* ---- the summary ---- */

void iol_series_names(int series, int *method, int *formula) {
    bool by_formula = series >= IOL_SERIES_BY_FORMULA;
    *method = by_formula ? IOL_recheck_method_joint : series + 1;
    *formula = by_formula ? series - IOL_SERIES_BY_FORMULA + 1 : 0;
}

void iol_sort_names(int sort, int *by, const char **is) {
#define TEN(decade)                                                                                                    \
    decade "0", decade "1", decade "2", decade "3", decade "4", decade "5", decade "6", decade "7", decade "8",        \
        decade "9"
    static const char *const year[IOL_YEARS] = {TEN("197"), TEN("198"), TEN("199"), TEN("200"), TEN("201"),
                                                TEN("202"), TEN("203"), TEN("204"), TEN("205"), TEN("206")};
    *by = sort == 0 ? IOL_group_by_all : sort < IOL_position_end ? IOL_group_by_position : IOL_group_by_posterior;
    if (sort >= IOL_SORT_YEAR) {
        *by = IOL_group_by_year;
        *is = year[sort - IOL_SORT_YEAR];
        return;
    }
    *is = sort == 0                 ? NULL
          : sort < IOL_position_end ? IOL_WORD(position, sort)
                                    : IOL_WORD(posterior_capsule, sort - IOL_position_end + 1);
}

/* Median of the absolute errors, thousandths: the middle one, or the mean of the middle two. */
static double median(const iol_bins *errors, int64_t n) {
    int64_t below = 0;
    int first = -1;
    for (int size = 0; size <= IOL_ERROR_MOST; size++) {
        below += iol_bins_at(errors, size) + (size ? iol_bins_at(errors, -size) : 0);
        if (first < 0 && below >= (n + 1) / 2) first = size;
        if (below >= n / 2 + 1) return (first + size) / 2.0;
    }
    return NAN;
}

typedef struct {
    int64_t n, sum, size, square;
    int64_t within[IOL_NEAR_LIMITS];
} totals;

static totals add_up(const iol_bins *errors) {
    totals t = {0};
    for (int e = iol_bins_next(errors, -IOL_ERROR_MOST); e <= IOL_ERROR_MOST; e = iol_bins_next(errors, e + 1)) {
        int64_t count = iol_bins_at(errors, e), size = abs(e);
        t.n += count, t.sum += count * e, t.size += count * size, t.square += count * size * size;
        for (int i = 0; i < IOL_NEAR_LIMITS; i++) t.within[i] += size <= iol_near_limit[i] ? count : 0;
    }
    return t;
}

static void describe(const iol_tally *t, const totals *all, iol_group *g) {
    int64_t n = all->n;
    double number = (double)n;
    g->n = number;
    g->mean_error_d = (double)all->sum / number / 1000.0;
    g->mae_d = (double)all->size / number / 1000.0;
    g->rmse_d = sqrt((double)all->square / number) / 1000.0;
    /* n sum(e^2) - sum(e)^2 in integers would overflow beyond 10^8 errors: the remainder is taken first. */
    double spread = (double)all->square - (double)all->sum * ((double)all->sum / number);
    g->sd_d = n > 1 ? sqrt(fmax(spread, 0.0) / (number - 1.0)) / 1000.0 : NAN;
    g->medae_d = median(&t->errors, n) / 1000.0;
    g->within_quarter = (double)all->within[0] / number;
    g->within_half = (double)all->within[IOL_NEAR_HALF] / number;
    iol_binomial_limits(all->within[IOL_NEAR_HALF], n, &g->within_half_low, &g->within_half_high);
    g->within_three_quarters = (double)all->within[2] / number;
    g->within_one = (double)all->within[3] / number;
    g->within_two = (double)all->within[4] / number;
    double with = (double)(n - t->held[0]);
    int64_t half = t->held[IOL_interval_held_half], most = half + t->held[IOL_interval_held_most];
    g->held_50 = with > 0.0 ? (double)half / with : NAN;
    g->held_80 = with > 0.0 ? (double)most / with : NAN;
    g->held_95 = with > 0.0 ? (double)(most + t->held[IOL_interval_held_nearly_all]) / with : NAN;
    bool moved = t->slopes > 0 && t->slope_sum != 0;
    g->constant_shift = moved ? g->mean_error_d / ((double)t->slope_sum / (double)t->slopes / 1000.0) : NAN;
}

static void add_pairs(const iol_statistics *s, iol_summary *out) {
    double p[IOL_SERIES];
    for (int i = 1; i < IOL_SERIES; i++) {
        int64_t n, used;
        double rank_sum, slope;
        iol_pair row = {.present = true, .against = IOL_recheck_method_joint};
        iol_hc4(&s->pair[i].by_total, &n, &slope, &row.hc4_t, &row.hc4_p);
        if (n == 0) continue;
        iol_series_names(i, &row.method, &row.formula);
        row.n = (double)n;
        iol_signed_ranks(&s->pair[i].ranks, &used, &rank_sum, &row.wilcoxon_z, &row.wilcoxon_p);
        if (used < (int64_t)c_least_differences) row.wilcoxon_z = row.wilcoxon_p = NAN;
        p[out->pairs_count] = row.hc4_p;
        out->pairs[out->pairs_count++] = row;
    }
    iol_holm(p, out->pairs_count);
    for (int i = 0; i < out->pairs_count; i++) out->pairs[i].p_holm = p[i];
}

/* Mean and spread of each step that holds an eye. */
static void add_steps(const iol_statistics *s, iol_summary *out) {
    for (int i = 0; i < IOL_STEPS; i++) {
        const iol_step_tally *t = &s->step[i];
        double number = (double)t->n, mean = (double)t->error / number;
        if (t->n == 0) continue;
        iol_predicted_step *row = &out->steps[out->steps_count++];
        row->present = true;
        row->step_d = (i - IOL_STEP_MOST) * IOL_STEP / 1000.0;
        row->n = number;
        row->predicted_mean_d = (double)t->predicted / number / 1000.0;
        row->achieved_mean_d = (double)t->achieved / number / 1000.0;
        double spread = (double)t->square - (double)t->error * mean;
        row->error_sd_d = t->n > 1 ? sqrt(fmax(spread, 0.0) / (number - 1.0)) / 1000.0 : NAN;
    }
}

/* How many errors of a joint prediction lie nearest to each multiple of a quarter dioptre. */
static void add_bars(const iol_bins *errors, iol_summary *out) {
    int64_t bar[2 * IOL_BAR_MOST + 1] = {0}, n = 0;
    for (int e = iol_bins_next(errors, -IOL_ERROR_MOST); e <= IOL_ERROR_MOST; e = iol_bins_next(errors, e + 1)) {
        int64_t count = iol_bins_at(errors, e);
        bar[IOL_BAR_MOST + iol_nearest(e, IOL_BAR, IOL_BAR_MOST)] += count;
        n += count;
    }
    for (int i = 0; n > 0 && i <= 2 * IOL_BAR_MOST; i++) {
        iol_error_bar *row = &out->error_bars[out->error_bars_count++];
        row->present = true;
        row->error_d = (i - IOL_BAR_MOST) * IOL_BAR / 1000.0;
        row->n = (double)bar[i];
        row->share = (double)bar[i] / (double)n;
    }
}

/* ---- what it comes to ---- */

static void add_counts(const iol_statistics *s, iol_summary *out) {
    out->counted = (double)s->not_counted[0];
    for (int why = 1; why < IOL_not_counted_end; why++) {
        if (s->not_counted[why] == 0) continue;
        out->not_counted[out->not_counted_count++] =
            (iol_uncounted){.present = true, .why = why, .n = (double)s->not_counted[why]};
    }
    for (int word = 1; word < IOL_standing_end; word++)
        if (s->standing[word] > 0)
            out->standings[out->standings_count++] =
                (iol_stood){.present = true, .standing = word, .n = (double)s->standing[word]};
    out->alarms_open = (double)s->alarms_open;
    out->own_constants = (double)s->constants[IOL_constants_of_case];
    out->site_constants = (double)s->constants[IOL_constants_of_site];
}

static void add_finding(const iol_tally *t, iol_summary *out) {
    totals all = add_up(&t->errors);
    iol_finding *f = &out->finding;
    int64_t with = all.n - t->held[0], held = t->held[IOL_interval_held_half] + t->held[IOL_interval_held_most];
    if (all.n == 0) return;
    f->present = true;
    f->n = (double)all.n;
    f->within_half = (double)all.within[IOL_NEAR_HALF] / (double)all.n;
    if (with == 0) return;
    f->held_80 = (double)held / (double)with;
    iol_binomial_limits(held, with, &f->held_80_low, &f->held_80_high);
    double off = f->held_80 - c_fit_interval_share;
    if ((double)with < c_fit_least_eyes) return;
    bool fits = iol_at_most(fabs(off), c_sure_off) == IOL_YES, far = iol_above(fabs(off), c_sure_far) == IOL_YES;
    f->sureness = fits        ? IOL_sureness_fits
                  : off < 0.0 ? (far ? IOL_sureness_much_too_sure : IOL_sureness_too_sure)
                              : (far ? IOL_sureness_much_too_wide : IOL_sureness_too_wide);
}

static void add_support(const iol_statistics *s, iol_summary *out) {
    double all = 0.0;
    for (int tier = 1; tier < IOL_tier_end; tier++) all += (double)(s->support[tier][0] + s->support[tier][1]);
    for (int tier = 1; tier < IOL_tier_end; tier++) {
        int64_t with = s->support[tier][1], n = s->support[tier][0] + with;
        if (n == 0) continue;
        iol_tier_outcome *row = &out->support[out->support_count++];
        *row = (iol_tier_outcome){.present = true, .tier = tier, .n = (double)n, .vitrectomies = (double)with};
        row->share = row->share_low = row->share_high = NAN;
        if (all < c_support_least_cases) continue;
        row->share = (double)with / (double)n;
        iol_binomial_limits(with, n, &row->share_low, &row->share_high);
    }
}

/* ---- whether told chances came true ---- */

static void add_calibrated(const iol_told_tally *t, int by, const char *is, iol_summary *out) {
    if (t->n == 0) return;
    double n = (double)t->n;
    iol_calibrated *row = &out->calibration[out->calibration_count++];
    *row = (iol_calibrated){.present = true, .by = by, .is = is, .n = n, .told = (double)t->told / n / 1000.0};
    row->came_true = (double)t->came / n;
    iol_binomial_limits(t->came, t->n, &row->came_true_low, &row->came_true_high);
}

/* Fifths of the told chance: eyes told the same stay together, in the fifth in which the middle one of them lies. */
static void add_calibration(const iol_statistics *s, iol_summary *out) {
    static const char *const fifth_is[IOL_FIFTHS] = {"1", "2", "3", "4", "5"};
    static const char *const part_is[IOL_EYE_PARTS] = {"under 1 D", "1 to 1.5 D", "1.5 to 2.5 D", "over 2.5 D"};
    iol_told_tally fifth[IOL_FIFTHS] = {{0, 0, 0}};
    int64_t all = 0, before = 0;
    for (int i = 0; i <= IOL_TOLD_MOST; i++) all += s->told[i].n;
    if ((double)all < c_calibration_least_cases) return;
    for (int i = 0; i <= IOL_TOLD_MOST; i++) {
        if (s->told[i].n == 0) continue;
        iol_told_add(&fifth[(2 * before + s->told[i].n) * IOL_FIFTHS / (2 * all)], &s->told[i]);
        before += s->told[i].n;
    }
    for (int i = 0; i < IOL_FIFTHS; i++) add_calibrated(&fifth[i], IOL_calibrated_by_told_chance, fifth_is[i], out);
    for (int i = 0; i < IOL_EYE_PARTS; i++)
        add_calibrated(&s->eye_part[i], IOL_calibrated_by_eye_part, part_is[i], out);
}

void iol_statistics_summary(const iol_statistics *s, iol_summary *out) {
    iol_object_reset(iol_object_summary, out);
    out->present = true;
    out->summary_format = 1.0;
    out->cases = (double)s->cases;
    out->refused = (double)s->refused;
    out->no_outcome = (double)s->no_outcome;
    add_counts(s, out);
    for (int sort = 0; sort < IOL_SORTS; sort++) {
        for (int series = 0; series < IOL_SERIES; series++) {
            const iol_tally *t = &s->tally[series][sort];
            totals all = add_up(&t->errors);
            if (all.n == 0) continue;
            iol_group *g = &out->groups[out->groups_count++];
            g->present = true;
            iol_sort_names(sort, &g->by, &g->is);
            iol_series_names(series, &g->method, &g->formula);
            describe(t, &all, g);
        }
    }
    add_finding(&s->tally[IOL_SERIES_JOINT][0], out);
    add_support(s, out);
    add_calibration(s, out);
    add_pairs(s, out);
    add_steps(s, out);
    add_bars(&s->tally[IOL_SERIES_JOINT][0].errors, out);
}
