/* Days between dates. */
#ifndef IOL_TEXT_DATES_H
#define IOL_TEXT_DATES_H

#include "iolrevise/case.h"

/* Days from one date to another, negative when it comes before; NaN when one of them is not known. */
static inline double iol_days_from(int32_t from, int32_t to) {
    return from == IOL_UNKNOWN_DATE || to == IOL_UNKNOWN_DATE ? NAN : (double)to - (double)from;
}

#endif
