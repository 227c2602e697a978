/* Acuity in whichever form the case writes it. */
#ifndef IOL_CASE_ACUITY_H
#define IOL_CASE_ACUITY_H

#include "iolrevise/case.h"

/* LogMAR of a decimal acuity, and of a fraction as "6/9" or "20/30"; NaN when it is none. */
double iol_acuity_of_decimal(double decimal);
double iol_acuity_of_fraction(const char *text);
/* LogMAR with and without the correction of a reading, from the first form that is given; NaN not known. */
double iol_acuity_corrected(const iol_refraction *r);
double iol_acuity_uncorrected(const iol_refraction *r);

#endif
