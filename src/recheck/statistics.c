/* Tallies of errors and what follows from them. */
#include "statistics.h"

#include <stdlib.h>
#include <string.h>

#include "text/number.h"
#include "tables/constants.h"

/* ---- counts ---- */

static uint32_t *bin(iol_bins *bins, int value) {
    unsigned at = (unsigned)(value + IOL_ERROR_MOST);
    uint32_t **page = &bins->page[at / IOL_PAGE_BINS];
    if (!*page) *page = calloc(IOL_PAGE_BINS, sizeof **page);
    return *page ? *page + at % IOL_PAGE_BINS : NULL;
}

bool iol_bins_add(iol_bins *bins, int value, uint32_t n) {
    uint32_t *count = bin(bins, value);
    if (!count) return false;
    bins->over |= __builtin_add_overflow(*count, n, count);
    return !bins->over;
}

uint32_t iol_bins_at(const iol_bins *bins, int value) {
    unsigned at = (unsigned)(value + IOL_ERROR_MOST);
    const uint32_t *page = bins->page[at / IOL_PAGE_BINS];
    return page ? page[at % IOL_PAGE_BINS] : 0;
}

bool iol_moments_add(iol_moments *moments, int total, iol_moment more) {
    unsigned at = (unsigned)(total + 2 * IOL_ERROR_MOST);
    iol_moment **page = &moments->page[at / IOL_PAGE_BINS];
    if (!*page) *page = calloc(IOL_PAGE_BINS, sizeof **page);
    if (!*page) return false;
    iol_moment *m = *page + at % IOL_PAGE_BINS;
    moments->over |= !iol_sum(&m->n, more.n) || !iol_sum(&m->sum, more.sum) || !iol_sum(&m->square, more.square);
    return !moments->over;
}

bool iol_steps_add(iol_step_tally *step, const iol_step_tally *more) {
    return iol_sum(&step->n, more->n) && iol_sum(&step->predicted, more->predicted) &&
           iol_sum(&step->achieved, more->achieved) && iol_sum(&step->error, more->error) &&
           iol_sum(&step->square, more->square);
}

const iol_moment *iol_moments_at(const iol_moments *moments, int total) {
    static const iol_moment none = {0, 0, 0};
    unsigned at = (unsigned)(total + 2 * IOL_ERROR_MOST);
    const iol_moment *page = moments->page[at / IOL_PAGE_BINS];
    return page ? &page[at % IOL_PAGE_BINS] : &none;
}

int iol_bins_next(const iol_bins *bins, int from) {
    int at = from + IOL_ERROR_MOST;
    while (at <= 2 * IOL_ERROR_MOST) {
        const uint32_t *page = bins->page[at / IOL_PAGE_BINS];
        int i = page ? at % IOL_PAGE_BINS : IOL_PAGE_BINS, start = at / IOL_PAGE_BINS * IOL_PAGE_BINS;
        while (i < IOL_PAGE_BINS && page[i] == 0) i++;
        at = start + i;
        if (i < IOL_PAGE_BINS) break;
    }
    return at - IOL_ERROR_MOST;
}

int iol_moments_next(const iol_moments *moments, int from) {
    int at = from + 2 * IOL_ERROR_MOST;
    while (at <= 4 * IOL_ERROR_MOST) {
        const iol_moment *page = moments->page[at / IOL_PAGE_BINS];
        int i = page ? at % IOL_PAGE_BINS : IOL_PAGE_BINS, start = at / IOL_PAGE_BINS * IOL_PAGE_BINS;
        while (i < IOL_PAGE_BINS && page[i].n == 0) i++;
        at = start + i;
        if (i < IOL_PAGE_BINS) break;
    }
    return at - 2 * IOL_ERROR_MOST;
}

void iol_statistics_start(iol_statistics *s) { memset(s, 0, sizeof *s); }

static void free_bins(iol_bins *bins) {
    for (size_t i = 0; i < sizeof bins->page / sizeof *bins->page; i++) free(bins->page[i]);
}

void iol_statistics_end(iol_statistics *s) {
    for (int i = 0; i < IOL_SERIES; i++) {
        for (int k = 0; k < IOL_SORTS; k++) free_bins(&s->tally[i][k].errors);
        free_bins(&s->pair[i].ranks);
        iol_moments *m = &s->pair[i].by_total;
        for (size_t k = 0; k < sizeof m->page / sizeof *m->page; k++) free(m->page[k]);
    }
    iol_statistics_start(s);
}

bool iol_statistics_hold(const iol_statistics *s) {
    bool over = s->over || s->cases > IOL_CASES_MOST;
    for (int i = 0; i < IOL_SERIES; i++) {
        for (int k = 0; k < IOL_SORTS; k++) over |= s->tally[i][k].errors.over;
        over |= s->pair[i].ranks.over || s->pair[i].by_total.over;
    }
    return !over;
}

/* The multiple of a width that is nearest, halves away from zero, cut at most. */
static int nearest(int64_t value, int width, int most) {
    int64_t steps = (llabs(value) + width / 2) / width;
    if (steps > most) steps = most;
    return (int)(value < 0 ? -steps : steps);
}

/* ---- a case ---- */

static int series_of(const iol_prediction *p) {
    if (p->method == IOL_recheck_method_joint && p->reference != IOL_YES) return IOL_SERIES_BY_FORMULA + p->formula - 1;
    return p->method - 1;
}

static int64_t cut(int64_t count, int64_t most) { return count > most ? most : count < -most ? -most : count; }

static void enter(iol_score *score, int series, const iol_prediction *p, double achieved_se_d, double slope) {
    int i = score->entries++;
    score->entry[i].error = (int16_t)cut(iol_count(p->error_d, 3), IOL_ERROR_MOST);
    score->entry[i].series = (uint8_t)series;
    score->entry[i].held = (uint8_t)p->interval_held;
    int64_t count = isnan(slope) ? 0 : iol_count(slope, 3);
    score->entry[i].slope = count > INT32_MAX || count < INT32_MIN ? 0 : (int32_t)count;
    if (series != IOL_SERIES_JOINT) return;
    score->predicted = (int32_t)cut(iol_count(p->predicted_se_d, 3), INT32_MAX);
    score->achieved = (int32_t)cut(iol_count(achieved_se_d, 3), INT32_MAX);
}

void iol_score_make(const iol_recheck *r, const double slope[IOL_PAST_ROWS], iol_score *score) {
    score->status = (uint8_t)r->status;
    score->counted = r->counted == IOL_YES;
    score->tested = r->tested == IOL_YES;
    score->position = (uint8_t)(r->position > 0 ? r->position : 0);
    score->posterior = (uint8_t)(r->posterior > 0 ? r->posterior : 0);
    score->entries = 0;
    for (int i = 0; score->counted && i < r->predictions_count; i++) {
        const iol_prediction *p = &r->predictions[i];
        if (isnan(p->error_d)) continue;
        enter(score, series_of(p), p, r->achieved_se_d, slope[i]);
        bool reference = p->method == IOL_recheck_method_joint && p->reference == IOL_YES;
        if (reference) enter(score, IOL_SERIES_BY_FORMULA + p->formula - 1, p, r->achieved_se_d, slope[i]);
    }
}

static bool tally(iol_statistics *s, const iol_score *score, int i) {
    int sorts[3] = {0, score->position, score->posterior ? IOL_position_end - 1 + score->posterior : 0};
    for (int k = 0; k < 3; k++) {
        if (k > 0 && sorts[k] == 0) continue;
        iol_tally *t = &s->tally[score->entry[i].series][sorts[k]];
        if (!iol_bins_add(&t->errors, score->entry[i].error, 1)) return false;
        t->held[score->entry[i].held]++;
        t->slopes += score->entry[i].slope != 0;
        s->over |= !iol_sum(&t->slope_sum, score->entry[i].slope);
    }
    return true;
}

static bool pair_up(iol_statistics *s, int joint, int other, int series) {
    iol_pair_tally *pair = &s->pair[series];
    int64_t difference = joint - other;
    return iol_bins_add(&pair->ranks, abs(joint) - abs(other), 1) &&
           iol_moments_add(&pair->by_total, joint + other, (iol_moment){1, difference, difference * difference});
}

static bool step_up(iol_step_tally *step, const iol_score *score) {
    int64_t error = score->entry[0].error;
    iol_step_tally one = {1, score->predicted, score->achieved, error, error * error};
    return iol_steps_add(step + IOL_STEP_MOST + nearest(score->predicted, IOL_STEP, IOL_STEP_MOST), &one);
}

static bool led_by_joint(const iol_score *score) {
    return score->entries > 0 && score->entry[0].series == IOL_SERIES_JOINT;
}

/* Row i of every case before row i + 1 of any: most are of one method, so that its counts stay at hand. */
bool iol_statistics_add(iol_statistics *s, const iol_score score[], int count) {
    bool good = true;
    for (int k = 0; k < count; k++) {
        s->cases++;
        s->refused += score[k].status == IOL_recheck_status_refused;
        s->no_outcome += score[k].status == IOL_recheck_status_no_outcome;
        if (led_by_joint(&score[k])) s->over |= !step_up(s->step, &score[k]);
    }
    for (int i = 0; i < IOL_PAST_ROWS + 1; i++)
        for (int k = 0; k < count && good; k++)
            if (i < score[k].entries) good = tally(s, &score[k], i);
    for (int i = 1; i < IOL_PAST_ROWS + 1; i++)
        for (int k = 0; k < count && good; k++) {
            const iol_score *its = &score[k];
            if (i < its->entries && its->tested && led_by_joint(its))
                good = pair_up(s, its->entry[0].error, its->entry[i].error, its->entry[i].series);
        }
    return good && !s->over && s->cases <= IOL_CASES_MOST;
}

/* ---- the summary ---- */

void iol_series_names(int series, int *method, int *formula) {
    bool by_formula = series >= IOL_SERIES_BY_FORMULA;
    *method = by_formula ? IOL_recheck_method_joint : series + 1;
    *formula = by_formula ? series - IOL_SERIES_BY_FORMULA + 1 : 0;
}

void iol_sort_names(int sort, int *by, const char **is) {
    *by = sort == 0 ? IOL_group_by_all : sort < IOL_position_end ? IOL_group_by_position : IOL_group_by_posterior;
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

/* Of a quarter, a half, three quarters, one and two dioptres, thousandths. */
enum { LIMITS = 5 };
static const int limit[LIMITS] = {250, 500, 750, 1000, 2000};

typedef struct {
    int64_t n, sum, size, square;
    int64_t within[LIMITS];
} totals;

static totals add_up(const iol_bins *errors) {
    totals t = {0};
    for (int e = iol_bins_next(errors, -IOL_ERROR_MOST); e <= IOL_ERROR_MOST; e = iol_bins_next(errors, e + 1)) {
        int64_t count = iol_bins_at(errors, e), size = abs(e);
        t.n += count, t.sum += count * e, t.size += count * size, t.square += count * size * size;
        for (int i = 0; i < LIMITS; i++) t.within[i] += size <= limit[i] ? count : 0;
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
    g->within_half = (double)all->within[1] / number;
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
        bar[IOL_BAR_MOST + nearest(e, IOL_BAR, IOL_BAR_MOST)] += count;
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

void iol_statistics_summary(const iol_statistics *s, iol_summary *out) {
    iol_object_reset(iol_object_summary, out);
    out->present = true;
    out->summary_format = 1.0;
    out->cases = (double)s->cases;
    out->refused = (double)s->refused;
    out->no_outcome = (double)s->no_outcome;
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
    add_pairs(s, out);
    add_steps(s, out);
    add_bars(&s->tally[IOL_SERIES_JOINT][0].errors, out);
}
