/* Numbers and notations typed on a line. Each reader returns NULL, or what should have been typed. */
#ifndef IOL_CASE_TYPED_H
#define IOL_CASE_TYPED_H

#include "iolrevise/optics.h"

/* A plain number: digits, at most one decimal point, a sign. */
const char *iol_typed_number(const char *text, double *value);
/* A sphere, or sphere, cylinder and axis: "+2.25 -0.75 x 80", "+2.25/-0.75x80", "-1.50", "-1.50 DS", "plano -0.75 x 80".
 * A cylinder of either sign; handed over in minus form, axis above 0 to 180. The sphere stands alone with cylinder 0. */
const char *iol_typed_refraction(const char *text, iol_spherocylinder *refraction);
/* Keratometry: "43.50" (the mean), or both meridians as "43.10@5/43.90@95". */
typedef struct {
    double flat_d, steep_d, steep_axis_deg; /* axis NaN for a mean alone */
} iol_typed_k;
const char *iol_typed_keratometry(const char *text, iol_typed_k *k);

#endif
