/* The pieces of what went wrong. */
#ifndef IOL_PLAN_SURPRISE_H
#define IOL_PLAN_SURPRISE_H

#include "work.h"

/* Gross causes, in order. */
void iol_surprise_suspects(iol_work *w);
/* Whose biometry is it: the other eye, the old glasses, the mode of the repeat. For every plan, with or without a refraction. */
void iol_biometry_doubts(iol_work *w);

/* The remainder that counts: with the average back of the cornea taken off where that is known to hold. */
double iol_surprise_remainder(const iol_work *w);
/* The cornea misleads keratometry, and the refraction's own cylinder is the toric lens off its mark: turned, it leaves little. */
bool iol_surprise_turn_explains(const iol_work *w);
/* Corneal astigmatism to be expected from keratometry: as read, where no average back of the cornea holds (no), else with it; not
 * known: the cornea may be another than the average is of. */
iol_flag iol_surprise_back_surface(const iol_work *w, iol_matrix *total);

#endif
