/* The steps of the shelf about a power, for an exchange and for a second lens alike. */
#ifndef IOL_PLAN_CHOICES_H
#define IOL_PLAN_CHOICES_H

#include "aim.h"

/* One class of the shelf: its aim and exact power; false when it has none here. own: room for an estimate of its own. */
typedef bool (*iol_aim_class)(const iol_work *w, const iol_shelf_lens *shelf, iol_estimate *own, iol_aim *aim,
                              double *exact);

/* The class that the powers are for: the first of the shelf that fits and is made in the power, else the one that comes
 * nearest; a toric one when the wish for less cylinder asks for it; NULL when none fits. Steps of every class that is
 * made in the power are listed in out (NULL: none are). */
const iol_shelf_lens *iol_choices_list(iol_work *w, iol_aim_class aim_class, iol_replacement *out);
/* The class that leads: the first asked, until a toric one leaves enough less cylinder than a plain one that leaves too much. */
typedef struct {
    const iol_shelf_lens *shelf; /* NULL: none yet */
    double left_d;               /* cylinder that it leaves; NaN: not known */
    bool want_toric;
} iol_preference;
/* Whether a class can still lead, and whether it does, by the cylinder that it leaves at its best. */
bool iol_choices_asks(const iol_preference *so_far, const iol_shelf_lens *shelf);
bool iol_choices_prefer(const iol_work *w, const iol_shelf_lens *shelf, double leaves_d, iol_preference *so_far);
/* How far an exact power lies beyond what is made, in dioptres; 0 within half a step of it. */
double iol_choices_beyond(const iol_shelf_lens *shelf, double exact);
/* The steps of one class alone. */
void iol_choices_of(const iol_work *w, iol_aim_class aim_class, const iol_shelf_lens *shelf, iol_replacement *out);
/* The class that the powers of out are for. */
void iol_choices_name(const iol_shelf_lens *shelf, iol_replacement *out);
/* Mark one choice of out->lens_id. Nearest: least |expected - target|, ties to the more myopic. Not above target: weakest
 * lens not above it. */
void iol_choices_choose(iol_work *w, iol_replacement *out);
/* That step, else the one of the class advised that comes nearest to the target; NULL when none is listed. */
const iol_choice *iol_choice_leading(const iol_replacement *r);
/* Every power null, every list empty. */
void iol_choices_withhold(iol_replacement *out);

/* A caution when the class is not made in the power that is needed. */
void iol_choices_say_off_shelf(iol_work *w, const iol_shelf_lens *shelf, double exact);
/* The aim against the wish, and against what was meant at the first operation. */
void iol_choices_say_goals(iol_work *w);

#endif
