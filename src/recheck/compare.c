#include "compare.h"

#include <stdlib.h>

#include "tables/constants.h"

static bool counts(const iol_score *s) {
    return s->counted && s->entries > 0 && s->entry[0].series == IOL_SERIES_JOINT;
}

static bool pair_up(iol_paired *p, int a, int b) {
    return iol_bins_add(&p->a, a, 1) && iol_bins_add(&p->b, b, 1) && iol_bins_add(&p->ranks, abs(a) - abs(b), 1);
}

bool iol_compare_add(iol_comparing *all, const iol_score *a, const iol_score *b) {
    all->cases++;
    if (!counts(a) || !counts(b)) return true;
    all->own_constants += a->constants == IOL_constants_of_case;
    int sorts[4] = {0, a->position, a->posterior ? IOL_position_end - 1 + a->posterior : 0,
                    a->year ? IOL_SORT_YEAR - 1 + a->year : 0};
    for (int i = 0; i < 4; i++)
        if ((i == 0 || sorts[i] > 0) && !pair_up(&all->sort[sorts[i]], a->entry[0].error, b->entry[0].error))
            return false;
    return true;
}

static void free_bins(iol_bins *bins) {
    for (size_t i = 0; i < sizeof bins->page / sizeof *bins->page; i++) free(bins->page[i]);
}

void iol_compare_end(iol_comparing *all) {
    for (int i = 0; i < IOL_SORTS; i++)
        free_bins(&all->sort[i].a), free_bins(&all->sort[i].b), free_bins(&all->sort[i].ranks);
}

typedef struct {
    double n, sum, size, within_half, within_one;
} side;

static side add_up(const iol_bins *errors) {
    side s = {0};
    for (int e = iol_bins_next(errors, -IOL_ERROR_MOST); e <= IOL_ERROR_MOST; e = iol_bins_next(errors, e + 1)) {
        double n = iol_bins_at(errors, e);
        s.n += n, s.sum += n * e, s.size += n * abs(e);
        if (abs(e) <= iol_near_limit[IOL_NEAR_HALF]) s.within_half += n;
        if (abs(e) <= iol_near_limit[IOL_NEAR_ONE]) s.within_one += n;
    }
    return s;
}

static void nearer(const iol_bins *ranks, iol_compared *row) {
    int64_t used;
    double rank_sum;
    for (int d = iol_bins_next(ranks, -IOL_ERROR_MOST); d <= IOL_ERROR_MOST; d = iol_bins_next(ranks, d + 1)) {
        double n = iol_bins_at(ranks, d);
        *(d < 0 ? &row->nearer_a : d > 0 ? &row->nearer_b : &row->same) += n;
    }
    iol_signed_ranks(ranks, &used, &rank_sum, &row->wilcoxon_z, &row->wilcoxon_p);
    if (used < (int64_t)c_least_differences) row->wilcoxon_z = row->wilcoxon_p = NAN;
    row->nearer_by_d = fabs(row->mae_a_d - row->mae_b_d);
    bool shown = iol_below(row->wilcoxon_p, c_chance_shown) == IOL_YES && row->mae_a_d != row->mae_b_d;
    row->nearer = !shown ? IOL_nearer_not_shown : row->mae_a_d < row->mae_b_d ? IOL_nearer_a : IOL_nearer_b;
}

void iol_compare_result(const iol_comparing *all, const char *site_a, const char *site_b, iol_comparison *out) {
    iol_object_reset(iol_object_comparison, out);
    out->present = true;
    out->comparison_format = 1.0;
    out->site_a = site_a;
    out->site_b = site_b;
    out->cases = (double)all->cases;
    out->own_constants = (double)all->own_constants;
    out->compared = 0.0;
    for (int i = 0; i < IOL_SORTS; i++) {
        side a = add_up(&all->sort[i].a), b = add_up(&all->sort[i].b);
        if (i == 0) out->compared = a.n;
        if (a.n == 0.0) continue;
        iol_compared *row = &out->groups[out->groups_count++];
        *row = (iol_compared){.present = true, .n = a.n};
        iol_sort_names(i, &row->by, &row->is);
        row->mean_a_d = a.sum / a.n / 1000.0, row->mean_b_d = b.sum / a.n / 1000.0;
        row->mae_a_d = a.size / a.n / 1000.0, row->mae_b_d = b.size / a.n / 1000.0;
        row->within_half_a = a.within_half / a.n, row->within_half_b = b.within_half / a.n;
        row->within_one_a = a.within_one / a.n, row->within_one_b = b.within_one / a.n;
        nearer(&all->sort[i].ranks, row);
    }
}
