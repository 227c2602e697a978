/* Turning a toric lens. */
#ifndef IOL_PLAN_ROTATION_H
#define IOL_PLAN_ROTATION_H

#include "iolrevise/plan.h"

/* Cylinder (D) with the marks of a lens on a meridian. */
typedef double (*iol_cylinder_at)(const void *context, double axis_deg);
/* Cylinder (D) of the difference between two refractions: of marks on their meridian, and a degree beside it. */
double iol_cylinder_between(const iol_spectacle_form *one, const iol_spectacle_form *other);
/* The meridian that leaves least, the one where they lie now if none leaves less; NaN when no cylinder can be planned. */
double iol_least_cylinder_meridian(iol_cylinder_at at, const void *context, double now_deg);

#endif
