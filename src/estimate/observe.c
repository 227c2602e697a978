/* The Gaussian update by one observation, iterated (Gauss-Newton). */
#include "observe.h"

enum { MOST_ROUNDS = 60 };
static const double settled = 1e-13;

static double square(double x) { return x * x; }

/* The prior as it stands. */
static void keep(int count, const double mean[], const double sd[], iol_observed *out) {
    for (int i = 0; i < count; i++) {
        out->x[i] = mean[i];
        for (int k = 0; k < count; k++) out->covariance[i][k] = i == k ? square(sd[i]) : 0.0;
    }
}

/* One round: the gradient at x, the variance of the difference, and the next x. Size: the greatest step. */
static iol_status go_on(int count, const double mean[], const double sd[], double found, double sd_found,
                        iol_observable observable, const void *context, iol_observed *out, double g[], double *s,
                        double *size) {
    double value;
    iol_status status = observable(context, out->x, &value, g);
    if (status < 0) return status;
    double left = found - value;
    *s = square(sd_found);
    for (int i = 0; i < count; i++) {
        left -= g[i] * (mean[i] - out->x[i]);
        *s += square(sd[i] * g[i]);
    }
    *size = 0.0;
    for (int i = 0; i < count; i++) {
        double next = mean[i] + square(sd[i]) * g[i] * left / *s;
        *size = fmax(*size, fabs(next - out->x[i]) / fmax(1.0, fabs(next)));
        out->x[i] = next;
    }
    return IOL_OK;
}

void iol_observe(int count, const double mean[], const double sd[], double found, double sd_found,
                 iol_observable observable, const void *context, iol_observed *out) {
    double g[IOL_OBSERVE_MOST], s = NAN, size = INFINITY;
    *out = (iol_observed){.status = IOL_OK, .z = NAN, .predicted = NAN};
    keep(count, mean, sd, out);
    if (isnan(found)) return;
    out->status = observable(context, mean, &out->predicted, g);
    if (out->status >= 0) {
        double variance = square(sd_found);
        for (int i = 0; i < count; i++) variance += square(sd[i] * g[i]);
        out->z = (found - out->predicted) / sqrt(variance);
    }
    for (int round = 0; round < MOST_ROUNDS && out->status >= 0 && size > settled; round++)
        out->status = go_on(count, mean, sd, found, sd_found, observable, context, out, g, &s, &size);
    if (out->status >= 0 && !(size < 1e-9)) out->status = IOL_NO_CONVERGENCE;
    if (out->status < 0) {
        keep(count, mean, sd, out);
        return;
    }
    for (int i = 0; i < count; i++)
        for (int k = 0; k < count; k++) out->covariance[i][k] -= square(sd[i]) * g[i] * square(sd[k]) * g[k] / s;
}
