/* Counts, rank test, HC4, Holm and what is said of a group of errors. */
#include "check.h"

#include "recheck/compare.h"
#include "recheck/fit.h"
#include "tables/constants.h"

/* ---- the tests ---- */

/* published (from memory): Darwin's fifteen pairs of maize plants, cross- less self-fertilised, in eighths of an inch, as
 * printed by Fisher (The Design of Experiments) and worked through for the signed-rank test in textbooks: the ranks of the two
 * negative differences sum to 24. */
static void darwins_maize(void **state) {
    (void)state;
    static const int difference[] = {49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48};
    const char *source = "Darwin's maize, signed ranks, textbook, from memory";
    iol_bins bins = {.over = false};
    int64_t n;
    double sum, z, p;
    for (size_t i = 0; i < sizeof difference / sizeof *difference; i++)
        assert_true(iol_bins_add(&bins, difference[i], 1));
    assert_true(iol_bins_add(&bins, 0, 3)); /* zeros are dropped */
    iol_signed_ranks(&bins, &n, &sum, &z, &p);
    assert_int_equal(n, 15);
    CHECK_NEAR(15 * 16 / 2 - sum, 24.0, 1e-12, source);
    CHECK_NEAR(z, (96.0 - 60.0) / sqrt(15.0 * 16.0 * 31.0 / 24.0), 1e-12, source);
    for (size_t i = 0; i < sizeof bins.page / sizeof *bins.page; i++) free(bins.page[i]);
}

/* reference: ranks by counting in a list, one by one, and the tie correction in its other form. */
static void ranks_with_ties(void **state) {
    (void)state;
    enum { N = 400 };
    int d[N];
    double plus = 0.0, used = 0.0, ties = 0.0, z, p, sum;
    int64_t n;
    iol_bins bins = {.over = false};
    uint32_t seed = 12345;
    for (int i = 0; i < N; i++) {
        seed = seed * 1664525u + 1013904223u;
        d[i] = (int)(seed >> 20) % 41 - 18;
        iol_bins_add(&bins, d[i], 1);
    }
    for (int i = 0; i < N; i++) {
        double below = 0.0, equal = 0.0;
        if (d[i] == 0) continue;
        used += 1.0;
        for (int k = 0; k < N; k++) {
            if (d[k] == 0) continue;
            below += abs(d[k]) < abs(d[i]);
            equal += abs(d[k]) == abs(d[i]);
        }
        if (d[i] > 0) plus += below + (equal + 1.0) / 2.0;
        ties += equal * equal - 1.0; /* over the members of a tie this sums to t^3 - t */
    }
    iol_signed_ranks(&bins, &n, &sum, &z, &p);
    const char *source = "independent code: ranks by counting";
    CHECK_NEAR((double)n, used, 0.0, source);
    CHECK_NEAR(sum, plus, 1e-9, source);
    double variance = used * (used + 1.0) * (2.0 * used + 1.0) / 24.0 - ties / 48.0;
    CHECK_NEAR(z, (plus - used * (used + 1.0) / 4.0) / sqrt(variance), 1e-9, source);
    CHECK_NEAR(p, erfc(fabs(z) / sqrt(2.0)), 1e-12, source);
    for (size_t i = 0; i < sizeof bins.page / sizeof *bins.page; i++) free(bins.page[i]);
}

static void free_moments(iol_moments *m) {
    for (size_t i = 0; i < sizeof m->page / sizeof *m->page; i++) free(m->page[i]);
}

/* reference: the sandwich (X'X)^-1 X' D X (X'X)^-1 written out over the single pairs. */
static void hc4_by_the_sandwich(void **state) {
    (void)state;
    enum { N = 300 };
    double x[N], y[N], sx = 0.0, sxx = 0.0, sy = 0.0, sxy = 0.0;
    iol_moments moments = {.over = false};
    uint32_t seed = 77;
    for (int i = 0; i < N; i++) {
        int e[2];
        for (int k = 0; k < 2; k++) {
            int sum = 0;
            for (int j = 0; j < 6; j++) seed = seed * 1664525u + 1013904223u, sum += (int)(seed >> 22) - 512;
            e[k] = k ? sum / 2 : sum / 3 + (i % 10 == 0 ? 900 : 0);
        }
        x[i] = e[0] + e[1], y[i] = e[0] - e[1];
        int64_t d = e[0] - e[1];
        iol_moments_add(&moments, e[0] + e[1], (iol_moment){1, d, d * d});
        sx += x[i], sxx += x[i] * x[i], sy += y[i], sxy += x[i] * y[i];
    }
    double det = N * sxx - sx * sx, b = (N * sxy - sx * sy) / det, a = (sy - b * sx) / N;
    double inverse[2][2] = {{sxx / det, -sx / det}, {-sx / det, N / det}}, meat[2][2] = {{0.0}}, cover = 0.0;
    for (int i = 0; i < N; i++) {
        double h = inverse[0][0] + 2.0 * inverse[0][1] * x[i] + inverse[1][1] * x[i] * x[i], left = y[i] - a - b * x[i];
        double weight = left * left / pow(1.0 - h, fmin(4.0, N * h / 2.0));
        meat[0][0] += weight, meat[0][1] += weight * x[i], meat[1][1] += weight * x[i] * x[i];
    }
    meat[1][0] = meat[0][1];
    for (int i = 0; i < 2; i++)
        for (int k = 0; k < 2; k++) cover += inverse[1][i] * meat[i][k] * inverse[k][1];
    int64_t n;
    double slope, t, p;
    iol_hc4(&moments, &n, &slope, &t, &p);
    assert_int_equal(n, N);
    CHECK_NEAR(slope, b, 1e-12, "independent code: normal equations");
    CHECK_NEAR(t, b / sqrt(cover), 1e-9, "independent code: the sandwich over the single pairs");
    free_moments(&moments);
}

/* definition: with all other eyes at one total, one eye alone decides the slope; its leverage is 1 and 1 - h divides by nothing. */
static void one_eye_decides(void **state) {
    (void)state;
    for (int lone = 0; lone < 2; lone++) {
        iol_moments moments = {.over = false};
        int64_t n;
        double slope, t, p;
        for (int i = 0; i < 40; i++) iol_moments_add(&moments, 100, (iol_moment){1, i - 20, (i - 20) * (i - 20)});
        iol_moments_add(&moments, 900, (iol_moment){1, 300, 90000});
        if (lone == 0) iol_moments_add(&moments, 890, (iol_moment){1, -40, 1600});
        iol_hc4(&moments, &n, &slope, &t, &p);
        assert_int_equal(n, lone ? 41 : 42);
        assert_int_equal(isnan(t), lone);
        assert_int_equal(isnan(p), lone);
        free_moments(&moments);
    }
}

/* Three eyes make a line, two do not: slope 1 through (1, 1), (2, 3), (3, 3). */
static void three_eyes_make_a_line(void **state) {
    (void)state;
    for (int n = 2; n <= 3; n++) {
        iol_moments moments = {.over = false};
        static const int y[] = {1, 3, 3};
        int64_t count;
        double slope, t, p;
        for (int i = 0; i < n; i++) iol_moments_add(&moments, i + 1, (iol_moment){1, y[i], y[i] * y[i]});
        iol_hc4(&moments, &count, &slope, &t, &p);
        assert_int_equal(count, n);
        if (n < 3) CHECK_NAN(slope);
        if (n == 3) CHECK_NEAR(slope, 1.0, 1e-12, "least squares by hand");
        free_moments(&moments);
    }
}

/* The scale has two ends: turned about, the same eyes have the same slope and chance. */
static void ends_count_alike(void **state) {
    (void)state;
    double slope[2], t[2], p[2];
    for (int side = 0; side < 2; side++) {
        iol_moments moments = {.over = false};
        int64_t n;
        int sign = side ? -1 : 1;
        for (int i = 0; i < 30; i++) {
            int total = i < 3 ? 2 * IOL_ERROR_MOST : 40 * i, apart = (i % 5) * 10 + (i < 3 ? 200 : 0);
            iol_moments_add(&moments, sign * total, (iol_moment){1, sign * apart, apart * apart});
        }
        iol_hc4(&moments, &n, &slope[side], &t[side], &p[side]);
        assert_int_equal(n, 30);
        free_moments(&moments);
    }
    CHECK_NEAR(slope[0], slope[1], 1e-12, "symmetry");
    CHECK_NEAR(t[0], t[1], 1e-9, "symmetry");
    CHECK_NEAR(p[0], p[1], 1e-12, "symmetry");
}

/* A count that would leave its bits is refused, and the statistics no longer hold. */
static void no_count_overflows(void **state) {
    (void)state;
    static iol_statistics s;
    iol_statistics_start(&s);
    assert_true(iol_bins_add(&s.tally[0][0].errors, 5, UINT32_MAX));
    assert_true(iol_statistics_hold(&s));
    assert_false(iol_bins_add(&s.tally[0][0].errors, 5, 1));
    assert_true(s.tally[0][0].errors.over);
    assert_false(iol_statistics_hold(&s));
    iol_statistics_end(&s);
    assert_true(iol_statistics_hold(&s));
    assert_true(iol_moments_add(&s.pair[1].by_total, -3, (iol_moment){1, 2, INT64_MAX}));
    assert_false(iol_moments_add(&s.pair[1].by_total, -3, (iol_moment){1, 2, 1}));
    assert_false(iol_statistics_hold(&s));
    iol_statistics_end(&s);
    iol_step_tally step = {1, INT64_MIN, 0, 0, 0}, more = {1, -1, 0, 0, 0};
    assert_false(iol_steps_add(&step, &more));
    s.cases = IOL_CASES_MOST;
    assert_true(iol_statistics_hold(&s));
    s.cases++;
    assert_false(iol_statistics_hold(&s));
    iol_statistics_end(&s);
}

static void students_table(void **state) {
    (void)state;
    static const struct {
        double t, degrees, p, tolerance;
    } row[] = {{12.706, 1, 0.05, 2e-6},
               {2.228, 10, 0.05, 2e-5},
               {2.750, 30, 0.01, 2e-5},
               {1.984, 100, 0.05, 3e-5},
               {3.169, 10, 0.01, 1e-5}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++)
        CHECK_NEAR(iol_student_p(row[i].t, row[i].degrees), row[i].p, row[i].tolerance,
                   "published: printed table of Student's t, from memory; tolerance from its last digit");
    CHECK_NEAR(iol_student_p(0.0, 5.0), 1.0, 1e-14, "the middle");
    CHECK_NEAR(iol_student_p(-2.0, 7.0), iol_student_p(2.0, 7.0), 0.0, "two-sided");
    CHECK_NEAR(iol_student_p(1.959964, 1e7), 0.05, 1e-6, "normal limit");
    CHECK_NAN(iol_student_p(NAN, 5.0));
    CHECK_NAN(iol_student_p(1.0, 0.0));
}

static void holm_step_down(void **state) {
    (void)state;
    double p[] = {0.01, NAN, 0.04, 0.03, 0.005}, want[] = {0.03, NAN, 0.06, 0.06, 0.02};
    iol_holm(p, 5);
    for (int i = 0; i < 5; i++) {
        if (isnan(want[i]))
            CHECK_NAN(p[i]);
        else
            CHECK_NEAR(p[i], want[i], 1e-15, "published: textbook example of Holm's method, from memory");
    }
    double one[] = {0.7, 0.9};
    iol_holm(one, 2);
    CHECK_NEAR(one[0], 1.0, 0.0, "never above 1");
}

/* ---- groups ---- */

static iol_score score_of(int error, int other, int held) {
    iol_score s = {.status = IOL_recheck_status_ok, .counted = 1, .tested = 1, .entries = 2};
    s.entry[0].error = (int16_t)error, s.entry[0].series = IOL_SERIES_JOINT, s.entry[0].held = (uint8_t)held;
    s.entry[0].slope = 1250;
    s.entry[1].error = (int16_t)other, s.entry[1].series = 5;
    return s;
}

static void a_group_by_hand(void **state) {
    (void)state;
    static iol_statistics s;
    static iol_summary out;
    const char *source = "by hand";
    static const int error[] = {-1000, -250, 0, 500, 501, 1250};
    static const int held[] = {
        IOL_interval_held_none,      IOL_interval_held_half, IOL_interval_held_half, IOL_interval_held_most, 0,
        IOL_interval_held_nearly_all};
    iol_statistics_start(&s);
    for (int i = 0; i < 6; i++) {
        iol_score one = score_of(error[i], 0, held[i]);
        assert_true(iol_statistics_add(&s, &one, 1));
    }
    iol_statistics_summary(&s, &out);
    const iol_group *g = &out.groups[0];
    assert_int_equal(g->method, IOL_recheck_method_joint);
    assert_int_equal(g->formula, 0);
    CHECK_NEAR(g->n, 6, 0, source);
    CHECK_NEAR(g->mean_error_d, 1.001 / 6, 1e-12, source);
    CHECK_NEAR(g->mae_d, 3.501 / 6, 1e-12, source);
    CHECK_NEAR(g->medae_d, (0.500 + 0.501) / 2, 1e-12, source);
    CHECK_NEAR(g->within_quarter, 2.0 / 6, 1e-12, "0.25 itself counts");
    CHECK_NEAR(g->within_half, 3.0 / 6, 1e-12, "0.50 counts, 0.501 does not");
    CHECK_NEAR(g->within_three_quarters, 4.0 / 6, 1e-12, source);
    CHECK_NEAR(g->within_one, 5.0 / 6, 1e-12, source);
    CHECK_NEAR(g->within_two, 1.0, 1e-12, source);
    CHECK_NEAR(g->held_50, 2.0 / 5, 1e-12, "one has no interval");
    CHECK_NEAR(g->held_80, 3.0 / 5, 1e-12, source);
    CHECK_NEAR(g->held_95, 4.0 / 5, 1e-12, source);
    CHECK_NEAR(g->constant_shift, 1.001 / 6 / 1.25, 1e-12, source);
    CHECK_NAN(out.groups[1].held_50);
    CHECK_NAN(out.pairs[0].wilcoxon_p); /* fewer than ten differences */
    iol_statistics_end(&s);
}

/* A joint prediction and what came, thousandths. */
static void add_eye(iol_statistics *s, int predicted, int achieved) {
    iol_score one = {
        .status = IOL_recheck_status_ok, .counted = 1, .entries = 1, .predicted = predicted, .achieved = achieved};
    one.entry[0].error = (int16_t)(achieved - predicted), one.entry[0].series = IOL_SERIES_JOINT;
    assert_true(iol_statistics_add(s, &one, 1));
}

static const iol_predicted_step *step_of(const iol_summary *out, double step_d) {
    for (int i = 0; i < out->steps_count; i++)
        if (out->steps[i].step_d == step_d) return &out->steps[i];
    return NULL;
}

static void steps_by_hand(void **state) {
    (void)state;
    static iol_statistics s;
    static iol_summary out;
    const char *source = "by hand";
    iol_statistics_start(&s);
    add_eye(&s, -749, -500); /* nearest to -0.50 D */
    add_eye(&s, -250, 0);    /* halfway: away from 0 */
    add_eye(&s, -249, 251);
    add_eye(&s, 249, -251);
    add_eye(&s, 250, 250);
    add_eye(&s, 9000, 8000); /* beyond the last step */
    add_eye(&s, -9000, -8000);
    iol_statistics_summary(&s, &out);
    assert_int_equal(out.steps_count, 5);
    const iol_predicted_step *step = step_of(&out, -0.5);
    CHECK_NEAR(step->n, 2, 0, source);
    CHECK_NEAR(step->predicted_mean_d, -0.4995, 1e-12, source);
    CHECK_NEAR(step->achieved_mean_d, -0.25, 1e-12, source);
    CHECK_NEAR(step->error_sd_d, 0.0005 * sqrt(2.0), 1e-12, "errors 0.249 and 0.250");
    CHECK_NEAR(step_of(&out, 0.0)->error_sd_d, 0.5 * sqrt(2.0), 1e-12, "errors +0.500 and -0.500");
    CHECK_NEAR(step_of(&out, 0.5)->n, 1, 0, source);
    CHECK_NAN(step_of(&out, 0.5)->error_sd_d);
    CHECK_NEAR(step_of(&out, 6.0)->predicted_mean_d, 9.0, 1e-12, "all beyond");
    CHECK_NEAR(step_of(&out, -6.0)->achieved_mean_d, -8.0, 1e-12, "all beyond");
    iol_statistics_end(&s);
}

static void bars_by_hand(void **state) {
    (void)state;
    static iol_statistics s;
    static iol_summary out;
    static const int error[] = {-124, 124, 125, -125, 374, 1874, 1875, 8000, -8000, -1874};
    static const int want[17] = {[0] = 1, [1] = 1, [7] = 1, [8] = 2, [9] = 2, [15] = 1, [16] = 2};
    iol_statistics_start(&s);
    for (int i = 0; i < 10; i++) add_eye(&s, 0, error[i]);
    iol_statistics_summary(&s, &out);
    assert_int_equal(out.error_bars_count, 17);
    for (int i = 0; i < 17; i++) {
        CHECK_NEAR(out.error_bars[i].error_d, -2.0 + 0.25 * i, 0.0, "a bar a quarter dioptre");
        CHECK_NEAR(out.error_bars[i].n, want[i], 0.0, "by hand: halfway goes away from 0");
        CHECK_NEAR(out.error_bars[i].share, want[i] / 10.0, 1e-12, "ten errors");
    }
    iol_statistics_end(&s);
}

static void beyond_the_bins(void **state) {
    (void)state;
    iol_recheck r = {.status = IOL_recheck_status_ok, .counted = IOL_YES, .predictions_count = 1};
    double slope[IOL_PAST_ROWS] = {NAN};
    iol_score score;
    static const double error[] = {8.191, 8.192, 30.0, -8.1916, -30.0};
    static const int want[] = {8191, 8192, 8192, -8192, -8192};
    for (int i = 0; i < 5; i++) {
        r.predictions[0] = (iol_prediction){
            .method = IOL_recheck_method_joint, .formula = 1, .reference = IOL_YES, .error_d = error[i]};
        iol_score_make(&r, slope, &score);
        assert_int_equal(score.entry[0].error, want[i]);
        assert_int_equal(score.entries, 2); /* its formula's own series too */
    }
    iol_bins bins = {.over = false}; /* those at either end count too */
    int64_t n;
    double sum, z, p;
    assert_true(iol_bins_add(&bins, 8192, 3) && iol_bins_add(&bins, -8192, 2));
    iol_signed_ranks(&bins, &n, &sum, &z, &p);
    assert_int_equal(n, 5);
    CHECK_NEAR(sum, 9.0, 0.0, "three of five that share the mean rank 3");
    for (size_t i = 0; i < sizeof bins.page / sizeof *bins.page; i++) free(bins.page[i]);
}

/* Exact limits by hand: of none among n the upper one is 1 - 0.025^(1/n), and the same the other way round. */
static void exact_limits(void **state) {
    (void)state;
    double low, high;
    for (int n = 1; n < 200; n += 7) {
        double edge = 1.0 - pow(0.025, 1.0 / n);
        iol_binomial_limits(0, n, &low, &high);
        CHECK_NEAR(low, 0.0, 0.0, "by hand");
        CHECK_NEAR(high, edge, 1e-12, "by hand: (1 - p)^n = 0.025");
        iol_binomial_limits(n, n, &low, &high);
        CHECK_NEAR(low, 1.0 - edge, 1e-12, "by hand: p^n = 0.025");
        CHECK_NEAR(high, 1.0, 0.0, "by hand");
    }
    iol_binomial_limits(1, 10, &low, &high);
    CHECK_NEAR(low, 0.0025, 5e-5, "published: tables of exact limits, 1 of 10, from memory");
    CHECK_NEAR(high, 0.4450, 5e-5, "published: tables of exact limits, 1 of 10, from memory");
    iol_binomial_limits(5, 10, &low, &high);
    CHECK_NEAR(low, 0.1871, 5e-5, "published: tables of exact limits, 5 of 10, from memory");
    CHECK_NEAR(high, 0.8129, 5e-5, "published: tables of exact limits, 5 of 10, from memory");
    iol_binomial_limits(3, 2, &low, &high);
    CHECK_NAN(low);
}

/* Forty-nine exchanges say nothing of the score; fifty do. Tiers without a case have no row. */
static void support_from_fifty_on(void **state) {
    (void)state;
    static iol_statistics s;
    static iol_summary out;
    iol_statistics_start(&s);
    for (int i = 1; i <= 50; i++) {
        iol_score score = {.tier = i % 5 == 0 ? IOL_tier_high : IOL_tier_routine, .vitrectomy = i % 10 == 0 ? 2 : 1};
        iol_score unknown = {.tier = IOL_tier_high};
        assert_true(iol_statistics_add(&s, &score, 1) && iol_statistics_add(&s, &unknown, 1));
        iol_statistics_summary(&s, &out);
        assert_int_equal(out.support_count, i < 5 ? 1 : 2);
        assert_int_equal(isnan(out.support[0].share), i < 50);
    }
    assert_int_equal(out.support[1].tier, IOL_tier_high);
    CHECK_NEAR(out.support[1].n, 10, 0, "by hand");
    CHECK_NEAR(out.support[1].vitrectomies, 5, 0, "by hand");
    CHECK_NEAR(out.support[1].share_low, 0.1871, 5e-5, "published: tables of exact limits, 5 of 10, from memory");
    CHECK_NEAR(out.support[0].share, 0.0, 0.0, "by hand");
    iol_statistics_end(&s);
}

/* The word for what the intervals held: 30 eyes at least; nearer than 3 of 100 fits; beyond 10 of 100 is much. */
static void how_sure(void **state) {
    (void)state;
    static const struct {
        int held, n, word;
    } row[] = {{23, 29, 0},
               {24, 30, IOL_sureness_fits},
               {77, 100, IOL_sureness_fits},
               {76, 100, IOL_sureness_too_sure},
               {70, 100, IOL_sureness_too_sure},
               {69, 100, IOL_sureness_much_too_sure},
               {83, 100, IOL_sureness_fits},
               {84, 100, IOL_sureness_too_wide},
               {91, 100, IOL_sureness_much_too_wide}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        static iol_statistics s;
        static iol_summary out;
        iol_statistics_start(&s);
        for (int k = 0; k < row[i].n; k++) {
            iol_score score = {.status = IOL_recheck_status_ok, .counted = 1, .entries = 1};
            score.entry[0].series = IOL_SERIES_JOINT;
            score.entry[0].held = (uint8_t)(k < row[i].held ? IOL_interval_held_most : IOL_interval_held_none);
            assert_true(iol_statistics_add(&s, &score, 1));
        }
        iol_statistics_summary(&s, &out);
        assert_int_equal(out.finding.sureness, row[i].word);
        iol_statistics_end(&s);
    }
}

static void order_cannot_matter(void **state) {
    (void)state;
    static iol_statistics a, b;
    static iol_summary first, second;
    iol_statistics_start(&a), iol_statistics_start(&b);
    for (int i = 0; i < 500; i++) {
        int k = 499 - i;
        iol_score one = score_of(i * 37 % 1999 - 999, i * 53 % 2503 - 1251, 1 + i % 4);
        iol_score two = score_of(k * 37 % 1999 - 999, k * 53 % 2503 - 1251, 1 + k % 4);
        iol_statistics_add(&a, &one, 1);
        iol_statistics_add(&b, &two, 1);
    }
    iol_statistics_summary(&a, &first);
    iol_statistics_summary(&b, &second);
    assert_memory_equal(&first, &second, sizeof first);
    iol_statistics_end(&a), iol_statistics_end(&b);
}

/* ---- fitting ---- */

static void a_line_through_the_origin(void **state) {
    (void)state;
    iol_fit_line line = {0};
    for (int i = 1; i <= 29; i++) iol_fit_add(&line, i, 2.0 * i);
    CHECK_NAN(iol_fit_line_value(&line).value); /* one eye too few */
    iol_fit_add(&line, 1.0, 3.0);
    iol_fitted f = iol_fit_line_value(&line);
    CHECK_NEAR(f.value, (2.0 * 8555.0 + 3.0) / 8556.0, 1e-12, "least squares by hand: 1 + 4 + ... + 29^2 = 8555");
    assert_true(f.low < f.value && f.value < f.high);
    /* Student's t of 29 degrees, 97.5 of a hundred: 2.045 in every table */
    const double rest = 4.0 * 8555.0 + 9.0 - (2.0 * 8555.0 + 3.0) * (2.0 * 8555.0 + 3.0) / 8556.0, se = sqrt(rest / 29.0 / 8556.0);
    CHECK_NEAR((f.high - f.value) / se, 2.045, 0.0005, "table of t; spread of a slope through the origin by hand");
    CHECK_NEAR((f.value - f.low) / se, 2.045, 0.0005, "table of t; spread of a slope through the origin by hand");
}

static void a_factor_from_intervals(void **state) {
    (void)state;
    iol_fit fit;
    iol_fit_start(&fit);
    for (int i = 1; i <= 100; i++) {
        fit.ratios += 1.0;
        iol_bins_add(&fit.ratio, i * 20, 1);
    }
    CHECK_NEAR(iol_fit_factor(&fit).value, 1.6 / c_sigmas_80, 1e-12, "the 80th of 100 ratios is 1.600");
    iol_fit_end(&fit);
}

/* An eye whose spread is known tells how wide eyes are beside what was told, one whose spread is not tells nothing. */
static void an_eye_without_a_spread_tells_no_factor(void **state) {
    (void)state;
    static iol_fit fit;
    static iol_recheck r;
    for (int known = 0; known < 2; known++) {
        iol_fit_start(&fit);
        r = (iol_recheck){.counted = IOL_YES, .predictions_count = 1};
        r.predictions[0] = (iol_prediction){.method = IOL_recheck_method_joint, .reference = IOL_YES, .error_d = 0.3};
        r.predictions[0].expected_sd_d = known ? 0.4 : NAN;
        assert_true(iol_fit_case(&fit, &r, -1, NAN, NAN));
        CHECK_NEAR(fit.ratios, known, 0.0, "one eye");
        iol_fit_end(&fit);
    }
}

/* An eye whose depth is grossly off the usual, to either side, tells nothing of what is usual. */
static void a_gross_depth_is_left_out(void **state) {
    (void)state;
    static iol_fit fit;
    static iol_recheck r;
    static const double off_mm[] = {-9.0, -0.1, 0.1, 9.0, NAN};
    for (int i = 0; i < 5; i++) {
        iol_fit_start(&fit);
        r = (iol_recheck){.counted = IOL_NO, .predictions_count = 1};
        assert_true(iol_fit_case(&fit, &r, -1, NAN, c_depth_offset_mm + off_mm[i]));
        CHECK_NEAR(fit.depth.n, fabs(off_mm[i]) < 1.0, 0.0, "within the limit alone");
        iol_fit_end(&fit);
    }
}

/* Of two site files the one whose errors are smaller is called nearer, none where they do not differ. Errors of exactly half
 * and one dioptre lie within those bands. */
static void which_site_is_nearer(void **state) {
    (void)state;
    static iol_comparison found;
    static const struct {
        int a, b;
        int nearer;
    } row[] = {{100, -500, IOL_nearer_a},
               {-500, 100, IOL_nearer_b},
               {500, -500, IOL_nearer_not_shown},
               {1000, -1001, IOL_nearer_a}};
    for (size_t r = 0; r < sizeof row / sizeof *row; r++) {
        static iol_comparing all;
        memset(&all, 0, sizeof all);
        for (int i = 0; i < 40; i++) {
            iol_score a = {.counted = 1, .entries = 1}, b = a;
            a.entry[0].series = b.entry[0].series = IOL_SERIES_JOINT;
            a.entry[0].error = (int16_t)row[r].a, b.entry[0].error = (int16_t)row[r].b;
            assert_true(iol_compare_add(&all, &a, &b));
        }
        iol_compare_result(&all, "a", "b", &found);
        assert_int_equal(found.groups_count, 1);
        assert_int_equal(found.groups[0].nearer, row[r].nearer);
        CHECK_NEAR(found.groups[0].mae_a_d, abs(row[r].a) / 1000.0, 1e-12, "all alike");
        CHECK_NEAR(found.groups[0].within_half_a, abs(row[r].a) <= 500, 0.0, "the limit counts as within");
        CHECK_NEAR(found.groups[0].within_one_b, abs(row[r].b) <= 1000, 0.0, "the limit counts as within");
        iol_compare_end(&all);
    }
}

/* Each lens of a shelf has its own line, the first one too: its errors over the slope a millimetre of its place. */
static void a_line_for_each_lens(void **state) {
    (void)state;
    static iol_fit fit;
    static iol_recheck r;
    for (int lens = -1; lens < 3; lens++) {
        iol_fit_start(&fit);
        r = (iol_recheck){.counted = IOL_YES, .predictions_count = 1};
        r.predictions[0] = (iol_prediction){
            .method = IOL_recheck_method_joint, .reference = IOL_YES, .error_d = 0.3, .expected_sd_d = 0.4};
        r.predictions[0].formula = IOL_formula_srk_t;
        assert_true(iol_fit_case(&fit, &r, lens, -1.2, NAN));
        for (int i = 0; i < 3; i++) CHECK_NEAR(fit.lens[i].n, i == lens, 0.0, "the eye counts for its lens alone");
        iol_fit_end(&fit);
    }
}

static void constants_move_together(void **state) {
    (void)state;
    iol_constants k = {.a_constant = 118.4, .surgeon_factor_mm = NAN, .pacd_mm = 5.2, .haigis_a0_mm = NAN};
    iol_fit_move(&k, 0.1);
    CHECK_NEAR(k.a_constant, 118.4 + 0.1 / 0.62467, 1e-9, "retzlaff_1990, from memory: 0.62467 mm an A-constant");
    CHECK_NEAR(k.surgeon_factor_mm, iol_surgeon_factor_from_a(118.4) + 0.1, 1e-12, "what stood for it, moved");
    CHECK_NEAR(k.pacd_mm, 5.3, 1e-12, "moved");
    CHECK_NAN(k.haigis_a0_mm);
}

/* Eyes that were told certainty count like any others: one group, as told and as it came. */
static void told_for_certain(void **state) {
    (void)state;
    static iol_statistics s;
    static iol_summary out;
    s.cases = 100;
    s.told[IOL_TOLD_MOST] = (iol_told_tally){100, 90, 100 * IOL_TOLD_MOST};
    iol_statistics_summary(&s, &out);
    int rows = 0;
    for (int i = 0; i < out.calibration_count; i++) {
        if (out.calibration[i].by != IOL_calibrated_by_told_chance || !(out.calibration[i].n > 0.0)) continue;
        rows++;
        CHECK_NEAR(out.calibration[i].n, 100.0, 0.0, "all of them");
        CHECK_NEAR(out.calibration[i].told, 1.0, 1e-12, "as told");
        CHECK_NEAR(out.calibration[i].came_true, 0.9, 1e-12, "90 of 100");
    }
    assert_int_equal(rows, 1);
}

/* Errors of 0.500 and 1.000 D lie within those bands, a thousandth more beyond; a case without a year stands in no group of years,
 * one without a place in none of places. By definition. */
static void compared_by_hand(void **state) {
    (void)state;
    static const int a[] = {-500, 501, 1000, -1001}, b[] = {500, -501, -1000, 1001};
    static iol_comparing all;
    static iol_comparison out;
    for (int i = 0; i < 4; i++) {
        iol_score one = {.counted = 1, .entries = 1}, other = one;
        one.entry[0].series = other.entry[0].series = IOL_SERIES_JOINT;
        one.entry[0].error = (int16_t)a[i], other.entry[0].error = (int16_t)b[i];
        assert_true(iol_compare_add(&all, &one, &other));
    }
    iol_compare_result(&all, "A", "B", &out);
    assert_int_equal(out.groups_count, 1);
    assert_int_equal(out.groups[0].by, IOL_group_by_all);
    CHECK_NEAR(out.groups[0].n, 4.0, 0.0, "counted");
    CHECK_NEAR(out.groups[0].within_half_a, 0.25, 0.0, "one of four");
    CHECK_NEAR(out.groups[0].within_half_b, 0.25, 0.0, "one of four");
    CHECK_NEAR(out.groups[0].within_one_a, 0.75, 0.0, "three of four");
    CHECK_NEAR(out.groups[0].within_one_b, 0.75, 0.0, "three of four");
    CHECK_NEAR(out.groups[0].same, 4.0, 0.0, "of the same size");
    CHECK_NEAR(out.groups[0].mean_a_d, 0.0, 1e-12, "they cancel out");
    iol_compare_end(&all);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(darwins_maize),
        cmocka_unit_test(ranks_with_ties),
        cmocka_unit_test(hc4_by_the_sandwich),
        cmocka_unit_test(one_eye_decides),
        cmocka_unit_test(ends_count_alike),
        cmocka_unit_test(three_eyes_make_a_line),
        cmocka_unit_test(no_count_overflows),
        cmocka_unit_test(students_table),
        cmocka_unit_test(holm_step_down),
        cmocka_unit_test(a_group_by_hand),
        cmocka_unit_test(steps_by_hand),
        cmocka_unit_test(bars_by_hand),
        cmocka_unit_test(beyond_the_bins),
        cmocka_unit_test(exact_limits),
        cmocka_unit_test(support_from_fifty_on),
        cmocka_unit_test(how_sure),
        cmocka_unit_test(order_cannot_matter),
        cmocka_unit_test(a_line_through_the_origin),
        cmocka_unit_test(a_factor_from_intervals),
        cmocka_unit_test(a_gross_depth_is_left_out),
        cmocka_unit_test(which_site_is_nearer),
        cmocka_unit_test(a_line_for_each_lens),
        cmocka_unit_test(constants_move_together),
        cmocka_unit_test(an_eye_without_a_spread_tells_no_factor),
        cmocka_unit_test(compared_by_hand),
        cmocka_unit_test(told_for_certain),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
