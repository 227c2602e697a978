/* The stock, asked by product number and by lens. */
#include "stock.h"

#include <string.h>

#include "lens_power.h"

/* Labels have two decimals. */
static bool same(double a, double b) { return iol_below(fabs(a - b), 0.005) == IOL_YES; }

const iol_stock_item *iol_stock_find(const iol_site *site, const char *gtin) {
    for (int i = 0; i < site->stock_count; i++)
        if (strcmp(site->stock[i].gtin, gtin) == 0) return &site->stock[i];
    return NULL;
}

double iol_stock_cylinder(const iol_stock_item *item) { return isnan(item->cylinder_d) ? 0.0 : item->cylinder_d; }

double iol_stock_equivalent(const iol_stock_item *item) {
    return iol_lens_equivalent(item->power_d, item->power_is, iol_stock_cylinder(item));
}

bool iol_stock_is(const iol_stock_item *item, const char *lens_id, double power_d, double cylinder_d) {
    return strcmp(item->lens_id, lens_id) == 0 && same(iol_stock_equivalent(item), power_d) &&
           same(iol_stock_cylinder(item), isnan(cylinder_d) ? 0.0 : cylinder_d);
}

const char *iol_stock_number(const iol_site *site, const char *lens_id, double power_d, double cylinder_d) {
    for (int i = 0; i < site->stock_count; i++)
        if (iol_stock_is(&site->stock[i], lens_id, power_d, cylinder_d)) return site->stock[i].gtin;
    return "";
}
