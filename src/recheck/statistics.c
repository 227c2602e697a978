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

bool iol_told_add(iol_told_tally *to, const iol_told_tally *more) {
    return iol_sum(&to->n, more->n) && iol_sum(&to->came, more->came) && iol_sum(&to->told, more->told);
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

static uint8_t year_of(const iol_recheck *r) {
    char day[11];
    if (r->dated_on == IOL_UNKNOWN_DATE) return 0;
    iol_date_print(r->dated_on, day);
    int year = (day[0] - '0') * 1000 + (day[1] - '0') * 100 + (day[2] - '0') * 10 + (day[3] - '0') - IOL_FIRST_YEAR;
    return (uint8_t)(year >= 0 && year < IOL_YEARS ? year + 1 : 0);
}

/* Sizes of the eye part, thousandths of a dioptre: 1 under the first, 4 from the last on. */
static uint8_t eye_part_of(double eye_part_d) {
    static const int64_t limit[IOL_EYE_PARTS - 1] = {1000, 1500, 2500};
    if (isnan(eye_part_d)) return 0;
    int64_t size = llabs(iol_count(eye_part_d, 3));
    uint8_t part = 1;
    for (int i = 0; i < IOL_EYE_PARTS - 1; i++) part = (uint8_t)(part + (size >= limit[i]));
    return part;
}

void iol_score_make(const iol_recheck *r, const double slope[IOL_PAST_ROWS], iol_score *score) {
    score->status = (uint8_t)r->status;
    score->counted = r->counted == IOL_YES;
    score->tested = r->tested == IOL_YES;
    score->position = (uint8_t)(r->position > 0 ? r->position : 0);
    score->posterior = (uint8_t)(r->posterior > 0 ? r->posterior : 0);
    score->not_counted = (uint8_t)r->not_counted;
    score->constants = (uint8_t)r->constants;
    score->tier = (uint8_t)r->tier;
    score->standing = (uint8_t)(r->standing > 0 ? r->standing : 0);
    score->alarms_open = r->alarms_open > 0.0;
    score->vitrectomy = (uint8_t)(r->anterior_vitrectomy == IOL_YES ? 2 : r->anterior_vitrectomy == IOL_NO ? 1 : 0);
    score->year = year_of(r);
    score->told = (int16_t)(isnan(r->told_within_half) ? -1 : iol_count(r->told_within_half, 3));
    score->eye_part = eye_part_of(r->eye_part_d);
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
    bool by_year = score->year && score->entry[i].series == IOL_SERIES_JOINT;
    int sorts[4] = {0, score->position, score->posterior ? IOL_position_end - 1 + score->posterior : 0,
                    by_year ? IOL_SORT_YEAR - 1 + score->year : 0};
    for (int k = 0; k < 4; k++) {
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
    return iol_steps_add(step + IOL_STEP_MOST + iol_nearest(score->predicted, IOL_STEP, IOL_STEP_MOST), &one);
}

static bool told_up(iol_statistics *s, const iol_score *score) {
    if (score->told < 0) return true;
    const iol_told_tally one = {1, abs(score->entry[0].error) <= iol_near_limit[IOL_NEAR_HALF], score->told};
    return iol_told_add(&s->told[score->told], &one) &&
           (!score->eye_part || iol_told_add(&s->eye_part[score->eye_part - 1], &one));
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
        s->not_counted[score[k].not_counted]++;
        s->standing[score[k].standing]++;
        s->alarms_open += score[k].alarms_open;
        if (score[k].counted) s->constants[score[k].constants]++;
        if (score[k].vitrectomy && score[k].tier) s->support[score[k].tier][score[k].vitrectomy - 1]++;
        if (led_by_joint(&score[k])) s->over |= !step_up(s->step, &score[k]) || !told_up(s, &score[k]);
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
