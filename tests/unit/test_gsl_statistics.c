/* reference: the GNU Scientific Library's means, quantiles and distributions against what a summary says. */
#include "check.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>

#include "recheck/statistics.h"

static void a_group_by_gsl(void **state) {
    (void)state;
    enum { N = 777 };
    static iol_statistics s;
    static iol_summary out;
    static double error[N], size[N];
    const char *source = "GSL: mean, sd, absolute values, median of the same errors";
    double square = 0.0;
    uint32_t seed = 5;
    iol_statistics_start(&s);
    for (int i = 0; i < N; i++) {
        int sum = 0;
        for (int k = 0; k < 6; k++) seed = seed * 1664525u + 1013904223u, sum += (int)(seed >> 22) - 500;
        iol_score one = {.status = IOL_recheck_status_ok, .counted = 1, .entries = 1};
        one.entry[0].error = (int16_t)sum;
        assert_true(iol_statistics_add(&s, &one, 1));
        error[i] = sum / 1000.0;
        size[i] = fabs(error[i]);
        square += error[i] * error[i];
    }
    iol_statistics_summary(&s, &out);
    const iol_group *g = &out.groups[0];
    gsl_sort(size, 1, N);
    CHECK_NEAR(g->mean_error_d, gsl_stats_mean(error, 1, N), 1e-12, source);
    CHECK_NEAR(g->sd_d, gsl_stats_sd(error, 1, N), 1e-12, source);
    CHECK_NEAR(g->mae_d, gsl_stats_mean(size, 1, N), 1e-12, source);
    CHECK_NEAR(g->medae_d, gsl_stats_median_from_sorted_data(size, 1, N), 1e-12, source);
    CHECK_NEAR(g->rmse_d, sqrt(square / N), 1e-12, source);
    iol_statistics_end(&s);
}

static void students_distribution(void **state) {
    (void)state;
    for (double degrees = 1.0; degrees < 3e5; degrees *= 2.7)
        for (double t = 0.01; t < 40.0; t *= 1.6) {
            double want = 2.0 * gsl_cdf_tdist_Q(t, degrees);
            CHECK_NEAR(iol_student_p(t, degrees), want, 1e-11, "GSL: gsl_cdf_tdist_Q");
        }
}

static void limits_of_shares(void **state) {
    (void)state;
    for (int64_t n = 1; n < 3000; n = n * 5 / 3 + 1)
        for (int64_t k = 0; k <= n; k += 1 + n / 13) {
            double low, high, rest = (double)(n - k);
            iol_binomial_limits(k, n, &low, &high);
            CHECK_NEAR(k == 0 ? 0.025 : gsl_cdf_beta_P(low, (double)k, rest + 1.0), 0.025, 1e-9, "GSL: gsl_cdf_beta_P");
            CHECK_NEAR(k == n ? 0.025 : gsl_cdf_beta_Q(high, (double)k + 1.0, rest), 0.025, 1e-9,
                       "GSL: gsl_cdf_beta_Q");
        }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_group_by_gsl),
        cmocka_unit_test(students_distribution),
        cmocka_unit_test(limits_of_shares),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
