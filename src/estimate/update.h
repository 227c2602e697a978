/* The update of many components by one refraction, side by side. */
#ifndef IOL_ESTIMATE_UPDATE_H
#define IOL_ESTIMATE_UPDATE_H

#include "mixture.h"

/* The iterated update of method, section 3, with a full covariance of L, K and E. A component that does not settle gets the
 * log likelihood -INFINITY. */
void iol_components_see(const iol_eye *eye, iol_component component[], int count);

#endif
