/* Numbers and notations typed on a line. Each reader returns NULL, or what should have been typed. */
#ifndef IOL_CASE_TYPED_H
#define IOL_CASE_TYPED_H

#include "iolrevise/optics.h"

/* A plain number: digits, at most one decimal point, a sign. The minus is that of the keyboard or U+2212, here and below. */
const char *iol_typed_number(const char *text, double *value);
/* A lens power, its D typed or not. */
const char *iol_typed_power(const char *text, double *value);
/* A spherical equivalent that is wanted: "-0.25", "-0.25 DS", "plano" or "pl"; signed unless it is 0. */
const char *iol_typed_target(const char *text, double *value);
/* A sphere, or sphere, cylinder and axis: "+2.25 -0.75 x 80", "+2.25/-0.75x80", "-1.50", "-1.50 DS", "plano -0.75 x 80" (or "pl"),
 * "+2.25DS/-0.75DCx80", "+2.25 -0.75 ax 80".
 * A cylinder of either sign; handed over in minus form, axis above 0 to 180. The sphere stands alone with cylinder 0. */
const char *iol_typed_refraction(const char *text, iol_spherocylinder *refraction);
/* Keratometry: "43.50" (the mean), both meridians as "43.10/43.90" or, with their axes, "43.10@5/43.90@95". */
typedef struct {
    double flat_d, steep_d, steep_axis_deg; /* axis NaN where none was typed */
} iol_typed_k;
const char *iol_typed_keratometry(const char *text, iol_typed_k *k);

#endif
