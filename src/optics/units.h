/* The only conversions of length in the optics. */
#ifndef IOL_OPTICS_UNITS_H
#define IOL_OPTICS_UNITS_H

static inline double iol_metres(double length_mm) { return 0.001 * length_mm; }
static inline double iol_millimetres(double length_m) { return 1000.0 * length_m; }

#endif
