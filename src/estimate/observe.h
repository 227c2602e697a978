/* One observation of a few quantities: the update that every estimate of a new eye shares. */
#ifndef IOL_ESTIMATE_OBSERVE_H
#define IOL_ESTIMATE_OBSERVE_H

#include "iolrevise/basics.h"

enum { IOL_OBSERVE_MOST = 6 };

/* The value that x predicts, and its gradient. */
typedef iol_status (*iol_observable)(const void *context, const double x[], double *value, double gradient[]);

typedef struct {
    iol_status status; /* negative: no update; the rest is then the prior */
    double x[IOL_OBSERVE_MOST];
    double covariance[IOL_OBSERVE_MOST][IOL_OBSERVE_MOST];
    double z;         /* found less predicted at the prior, in standard deviations of that difference */
    double predicted; /* at the prior */
} iol_observed;

/* Independent priors (mean, sd) of `count` quantities, updated by one value found with its standard deviation: the update of a
 * Gaussian, linear about the answer itself, round by round. A quantity whose gradient is 0 stays as it was; found NaN: all do. */
void iol_observe(int count, const double mean[], const double sd[], double found, double sd_found,
                 iol_observable observable, const void *context, iol_observed *out);

#endif
