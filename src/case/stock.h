/* What the product numbers of the boxes mean, by the site's stock. */
#ifndef IOL_CASE_STOCK_H
#define IOL_CASE_STOCK_H

#include "iolrevise/case.h"

/* The row of a product number; NULL there is none. */
const iol_stock_item *iol_stock_find(const iol_site *site, const char *gtin);
/* Power of a row as its spherical equivalent; its cylinder, 0 where it has none. */
double iol_stock_equivalent(const iol_stock_item *item);
double iol_stock_cylinder(const iol_stock_item *item);
/* The row is this lens: class, power (spherical equivalent) and cylinder, NaN for none. */
bool iol_stock_is(const iol_stock_item *item, const char *lens_id, double power_d, double cylinder_d);
/* The product number of a lens, the first in the stock; "" where it has none. */
const char *iol_stock_number(const iol_site *site, const char *lens_id, double power_d, double cylinder_d);

#endif
