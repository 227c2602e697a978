/* Rank test, HC4 and Holm on counts.
 * Source  Signed ranks with mid-ranks and tie correction: Wilcoxon 1945, Pratt and Gibbons 1981 (zeros dropped).
 *         HC4: Cribari-Neto 2004. Its use for the spread of two paired errors (slope of difference on sum): Wilcox; Holladay,
 *         Wilcox, Koch, Wang 2021. Holm 1979. Exact limits of a share: Clopper and Pearson 1934. All from memory. */
#include <math.h>

#include "statistics.h"

void iol_signed_ranks(const iol_bins *d, int64_t *n_used, double *rank_sum, double *z, double *p) {
    double below = 0.0, plus = 0.0, variance = 0.0, n = -(double)iol_bins_at(d, 0);
    for (int at = iol_bins_next(d, -IOL_ERROR_MOST); at <= IOL_ERROR_MOST; at = iol_bins_next(d, at + 1))
        n += iol_bins_at(d, at);
    for (int size = 1; below < n; size++) {
        double up = iol_bins_at(d, size), down = iol_bins_at(d, -size), tied = up + down;
        if (tied == 0.0) continue;
        double rank = below + (tied + 1.0) / 2.0;
        plus += up * rank;
        variance += tied * rank * rank;
        below += tied;
    }
    *n_used = (int64_t)n;
    *rank_sum = plus;
    *z = *p = NAN;
    if (n < 1.0) return;
    *z = (plus - n * (n + 1.0) / 4.0) / sqrt(variance / 4.0);
    *p = erfc(fabs(*z) / sqrt(2.0));
}

/* Continued fraction of the incomplete beta function, by the modified Lentz method. */
static double beta_fraction(double a, double b, double x) {
    const double tiny = 1e-300;
    double c = 1.0, d = 1.0 - (a + b) * x / (a + 1.0), h;
    d = 1.0 / (fabs(d) < tiny ? tiny : d);
    h = d;
    for (int m = 1; m <= 10000; m++) {
        double step[2] = {m * (b - m) * x / ((a + 2 * m - 1.0) * (a + 2 * m)),
                          -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1.0))};
        double change = 1.0;
        for (int i = 0; i < 2; i++) {
            d = 1.0 + step[i] * d;
            c = 1.0 + step[i] / c;
            d = 1.0 / (fabs(d) < tiny ? tiny : d);
            c = fabs(c) < tiny ? tiny : c;
            change = c * d;
            h *= change;
        }
        if (fabs(change - 1.0) < 1e-15) break;
    }
    return h;
}

/* ln of gamma(a + 1/2) / gamma(a); by its asymptotic series where the two logarithms would cancel. */
static double log_gamma_ratio(double a) {
    if (a < 50.0) return lgamma(a + 0.5) - lgamma(a);
    return 0.5 * log(a) - 1.0 / (8.0 * a) + 1.0 / (192.0 * a * a * a) - 1.0 / (640.0 * pow(a, 5.0));
}

/* Regularised incomplete beta function I_x(a, b). */
static double beta_share(double a, double b, double x) {
    if (x <= 0.0 || x >= 1.0) return x <= 0.0 ? 0.0 : 1.0;
    double front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(x) + b * log1p(-x));
    if (x < (a + 1.0) / (a + b + 2.0)) return front * beta_fraction(a, b, x) / a;
    return 1.0 - front * beta_fraction(b, a, 1.0 - x) / b;
}

/* The share x at which I_x(a, b) is so much, by halving. */
static double beta_quantile(double a, double b, double probability) {
    double low = 0.0, high = 1.0;
    for (int i = 0; i < 60; i++) {
        double middle = (low + high) / 2.0;
        if (beta_share(a, b, middle) < probability)
            low = middle;
        else
            high = middle;
    }
    return (low + high) / 2.0;
}

void iol_binomial_limits(int64_t count, int64_t n, double *low, double *high) {
    const double tail = 0.025;
    double k = (double)count, rest = (double)(n - count);
    *low = *high = NAN;
    if (n <= 0 || count < 0 || count > n) return;
    *low = count == 0 ? 0.0 : beta_quantile(k, rest + 1.0, tail);
    *high = count == n ? 1.0 : beta_quantile(k + 1.0, rest, 1.0 - tail);
}

double iol_student_p(double t, double degrees) {
    const double b = 0.5, log_root_pi = 0.57236494292470008707;
    if (isnan(t) || !(degrees > 0.0)) return NAN;
    /* The regularised incomplete beta function I_x(a, 1/2) at x = degrees / (degrees + t^2); rest is 1 - x. */
    double a = degrees / 2.0, rest = t * t / (degrees + t * t), x = 1.0 - rest;
    if (rest <= 0.0 || x <= 0.0) return rest <= 0.0 ? 1.0 : 0.0;
    double front = exp(log_gamma_ratio(a) - log_root_pi + a * log1p(-rest) + b * log(rest));
    if (x < (a + 1.0) / (a + b + 2.0)) return front * beta_fraction(a, b, x) / a;
    return 1.0 - front * beta_fraction(b, a, rest) / b;
}

void iol_hc4(const iol_moments *moments, int64_t *count, double *slope, double *t, double *p) {
    double n = 0.0, sum_x = 0.0, sum_y = 0.0, xx = 0.0, xy = 0.0, variance = 0.0;
    const int first = iol_moments_next(moments, -2 * IOL_ERROR_MOST), end = 2 * IOL_ERROR_MOST;
    *slope = *t = *p = NAN;
    for (int x = first; x <= end; x = iol_moments_next(moments, x + 1)) {
        const iol_moment *m = iol_moments_at(moments, x);
        n += (double)m->n, sum_x += (double)m->n * x, sum_y += (double)m->sum;
    }
    *count = (int64_t)n;
    if (n < 3.0) return;
    double mean_x = sum_x / n, mean_y = sum_y / n;
    for (int x = first; x <= end; x = iol_moments_next(moments, x + 1)) {
        const iol_moment *m = iol_moments_at(moments, x);
        xx += (double)m->n * (x - mean_x) * (x - mean_x);
        xy += (x - mean_x) * ((double)m->sum - (double)m->n * mean_y);
    }
    if (!(xx > 0.0)) return;
    *slope = xy / xx;
    for (int x = first; x <= end; x = iol_moments_next(moments, x + 1)) {
        const iol_moment *m = iol_moments_at(moments, x);
        double fitted = mean_y + *slope * (x - mean_x);
        double squares = (double)m->square - 2.0 * fitted * (double)m->sum + (double)m->n * fitted * fitted;
        double lever = 1.0 / n + (x - mean_x) * (x - mean_x) / xx;
        double power = fmin(4.0, n * lever / 2.0);
        if (lever > 1.0 - 1e-9) { /* one eye alone decides the slope: HC4 says nothing */
            *slope = NAN;
            return;
        }
        variance += (x - mean_x) * (x - mean_x) * fmax(squares, 0.0) / pow(1.0 - lever, power);
    }
    if (!(variance > 0.0)) return;
    *t = *slope * xx / sqrt(variance);
    *p = iol_student_p(*t, n - 2.0);
}

void iol_holm(double p[], int count) {
    int left = 0;
    bool done[IOL_SERIES] = {false};
    for (int i = 0; i < count; i++) left += !isnan(p[i]);
    double least = 0.0;
    for (;; left--) {
        int next = -1;
        for (int i = 0; i < count; i++)
            if (!done[i] && !isnan(p[i]) && (next < 0 || p[i] < p[next])) next = i;
        if (next < 0) return;
        done[next] = true;
        least = fmax(least, fmin(1.0, left * p[next]));
        p[next] = least;
    }
}
