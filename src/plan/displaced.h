/* What the displaced lens means for the ways of mending it. */
#ifndef IOL_PLAN_DISPLACED_H
#define IOL_PLAN_DISPLACED_H

#include "work.h"

/* Putting the lens back does alone, and the refraction then. No where no lens is displaced, or it lies far from the pupil. Needs no
 * part of the plan. */
iol_flag iol_recentring_enough(const iol_work *w, iol_spectacle_form *recentred);
/* Not known for want of the wish alone: what it leaves is known. */
bool iol_recentring_wish_open(const iol_work *w, const iol_spectacle_form *recentred);
/* It does not. No where no lens is displaced. */
iol_flag iol_recentring_short(const iol_work *w);

/* The old lens put back: how, how far from where it was, and the refraction to be expected. */
typedef struct {
    int how; /* word of set reposition_how; 0 not known */
    double shift_mm, sd_d;
    iol_spectacle_form expected;
} iol_place_back;
void iol_place_back_make(const iol_work *w, iol_place_back *out);
/* The same for a stated place (word of set position). */
void iol_place_back_at(const iol_work *w, int position, iol_place_back *out);
/* Spherical equivalent of the newest reading with the lens in its place, or reckoned so; NaN not known. */
double iol_reading_in_place(const iol_work *w);

#endif
