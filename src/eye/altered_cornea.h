/* The cornea that a laser has altered: what its power is today, by every witness. */
#ifndef IOL_EYE_ALTERED_CORNEA_H
#define IOL_EYE_ALTERED_CORNEA_H

#include "iolrevise/basics.h"

typedef struct {
    double k_before_d;   /* before the laser; NaN not known */
    double correction_d; /* corrected at the spectacle plane: negative for myopia; NaN not known */
    double correction_vertex_mm;
    double measured_d; /* keratometry of today at 1.3375 */
    double total_d;    /* a measured total corneal power; NaN none */
    bool hyperopic;
} iol_laser_history;

typedef struct {
    double measured_d;              /* as given */
    double history_d, regression_d; /* NaN where there is none */
    double apart_d;                 /* history less measured */
    bool pooled;                    /* history and keratometry, within the limit */
    double k_d, sd_d;               /* what is taken */
} iol_laser_cornea;

void iol_cornea_after_laser(const iol_laser_history *from, iol_laser_cornea *out);

#endif
