/* The new lens, and how far its power may be used. */
#ifndef IOL_PLAN_REPLACEMENT_H
#define IOL_PLAN_REPLACEMENT_H

#include "aim.h"
#include "positions.h"

/* Standing of the power, its reasons added to the plan's notes. */
int iol_standing_make(iol_work *w, const iol_replacement *r);
/* The same for a second lens, which needs neither axial length nor formula: its reasons stand in row
 * IOL_ROW_SECOND_LENS of the same place. */
int iol_standing_second_lens(iol_work *w, const iol_replacement *r);
/* A lens that may lie in front of another. */
bool iol_piggyback_fits(const iol_shelf_lens *lens);
/* The two ways to one new lens that are compared, each made once; status negative where there is none. */
typedef struct {
    iol_aim joint, by_refraction;
    iol_estimate refraction_alone; /* what by_refraction rests on */
} iol_replacement_ways;
/* The route that leads for one lens of the shelf: joint, biometry alone, or refraction alone. */
void iol_replacement_route(const iol_eye *eye, const iol_estimate *joint, const iol_estimate *alone,
                           const iol_lens_in_eye *fresh, iol_estimate *own, iol_notes *notes, iol_aim *aim);

/* The class that the powers are for: the first of the shelf that fits the position and is made in the power, else the one
 * that comes nearest; a toric one when the wish for less cylinder asks for it; NULL none. Steps of every class that is made
 * in the power go into out (NULL: none are wanted). */
const iol_shelf_lens *iol_replacement_class(iol_work *w, iol_replacement *out);
/* The steps of that one class into out. */
void iol_replacement_steps(const iol_work *w, const iol_shelf_lens *shelf, iol_replacement *out);
/* Route, reference formula, exact power, powers by cause (unless notes are off) and cross-checks for one new lens; whose: its
 * name in notes. ways are filled, for whoever goes on with them. */
void iol_replacement_powers(iol_work *w, const iol_lens_in_eye *fresh, const char *whose, iol_replacement_ways *ways,
                            iol_replacement *out);

#endif
