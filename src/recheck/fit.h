/* What outcomes say about a site's constants, its depth offset and the spreads. One error an eye tells no more apart. */
#ifndef IOL_RECHECK_FIT_H
#define IOL_RECHECK_FIT_H

#include "statistics.h"

/* Least squares of y = b x through the origin. */
typedef struct {
    double n, xx, xy, yy;
} iol_fit_line;
typedef struct {
    double value, low, high; /* 95 % interval; NaN below the least number of eyes */
    double n;
} iol_fitted;

typedef struct {
    iol_fit_line lens[40]; /* error by slope a millimetre, per lens of the shelf */
    iol_fit_line depth;    /* x is 1 */
    iol_bins ratio;        /* |error| over expected spread, thousandths; beyond 8.191 counts as 8.192 */
    double ratios;
} iol_fit;

void iol_fit_start(iol_fit *fit);
void iol_fit_end(iol_fit *fit);
void iol_fit_add(iol_fit_line *line, double x, double y);
iol_fitted iol_fit_line_value(const iol_fit_line *line);
/* One counted case whose surprise ordinary error explains (a gross one would fit the wrong thing): its joint row of the
 * reference formula. lens: row of the shelf whose constants the new lens brought, -1 none. False without memory. */
bool iol_fit_case(iol_fit *fit, const iol_recheck *recheck, int lens, double slope, double depth_offset_mm);
/* Factor on the spreads: the 80th part of a hundred of the ratios over that of a normal distribution. */
iol_fitted iol_fit_factor(const iol_fit *fit);
/* Move every constant of a lens by millimetres of position; those that its A-constant stood for become its own, so that each
 * formula moves alike. */
void iol_fit_move(iol_constants *k, double shift_mm);
/* The constants of each lens of the case that the site's shelf knows give way to the shelf's; none: constants not known. */
void iol_past_site_constants(iol_case *c, const iol_site *site, const iol_constants *none);

#endif
