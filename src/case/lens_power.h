/* The power of a lens, whichever way its label states it. */
#ifndef IOL_CASE_LENS_POWER_H
#define IOL_CASE_LENS_POWER_H

/* Spherical equivalent (D) of a labelled power: half the cylinder above one that states the weakest meridian. NaN where the label
 * states that and the cylinder is NaN. power_is: a word of power_is, 0 not said, which counts as the equivalent. */
double iol_lens_equivalent(double power_d, int power_is, double cylinder_d);

#endif
