/* Corneal laser. */
#ifndef IOL_PLAN_LASER_H
#define IOL_PLAN_LASER_H

/* Depth, in um, removed at the centre of a zone to change a cornea of radius_mm by change_d (negative: flatter) at the
 * cornea: the exact difference of two spheres. NaN for a change that is not negative, or a zone wider than a sphere. */
double iol_laser_depth_um(double radius_mm, double change_d, double zone_mm);

#endif
