/* The eye of a child: how its refraction and its length go on. */
#ifndef IOL_EYE_CHILD_H
#define IOL_EYE_CHILD_H

#include "iolrevise/basics.h"

/* Refraction at age later by the logarithmic law: slope (D, negative) and offset of the age (years). */
double iol_child_refraction(double now_d, double age_years, double later_years, double slope_d, double offset_years);
/* The range of it: the least change and the most. */
void iol_child_range(double now_d, double age_years, double later_years, double *least_d, double *most_d);
/* Length (mm) that an eye may gain from one age to another before a longer measurement is a conflict. */
double iol_child_growth_mm(double age_from_years, double age_to_years);

/* Hyperopia (D) usually aimed at when a lens is put into the eye of a child; NaN from 8 years on, or where the age is not known. */
double iol_child_usual_aim(double age_years);

/* How much more myopic (D) such an eye became from one age to another: mean and spread of the printed series; 0 for one operated at
 * a later age than those. NaN where an age is not known. */
typedef struct {
    double mean_d, sd_d;
} iol_child_moved;
iol_child_moved iol_child_shift(double age_from_years, double age_to_years);

#endif
