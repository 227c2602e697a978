/* The same cases under two site files: paired errors of joint with the reference formula of each. Integers alone, as in
 * statistics.h. */
#ifndef IOL_RECHECK_COMPARE_H
#define IOL_RECHECK_COMPARE_H

#include "statistics.h"

typedef struct {
    iol_bins a, b, ranks; /* errors; |a| - |b| */
} iol_paired;
typedef struct {
    int64_t cases, own_constants; /* own: compared cases whose new lens brought its own constants */
    iol_paired sort[IOL_SORTS];
} iol_comparing;

/* One case scored under each file. False without memory. */
bool iol_compare_add(iol_comparing *all, const iol_score *a, const iol_score *b);
void iol_compare_end(iol_comparing *all);
/* What follows; the names stand in the result. */
void iol_compare_result(const iol_comparing *all, const char *site_a, const char *site_b, iol_comparison *out);

#endif
