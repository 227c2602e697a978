/* Taking the old lens out: ways, the one preferred, and how to turn and hold it. */
#ifndef IOL_PLAN_REMOVAL_H
#define IOL_PLAN_REMOVAL_H

#include "cuts.h"
#include "work.h"

/* What the rules of data/removal_rules.def look at. */
typedef struct {
    iol_flag rigid, plate;
    iol_flag pliable;       /* one-piece and acrylic: can be twisted out */
    iol_flag bends;         /* soft and free of its capsule, as far as is known: it bends in the wound */
    iol_flag whole_fits;    /* today's wound takes the lens whole, comfortably */
    iol_flag takes_half;    /* today's wound is at least the least for halves */
    iol_flag takes_third;   /* ... for thirds */
    iol_flag takes_wedge;   /* ... for a lens with a wedge taken out */
    iol_flag takes_partial; /* ... for twisting out, by thickness */
    iol_flag shallow;       /* a blade would come too near the endothelium */
    iol_flag deep;          /* room for a cut beyond the centre, by a measured chamber */
} iol_removal_facts;

typedef struct {
    int method; /* word of set removal_method */
    iol_note_code why;
} iol_removal_choice;

/* The first rule that is certainly true; the last row always is. */
iol_removal_choice iol_removal_choose(const iol_removal_facts *f);

/* The ways out of a second lens, in front of the first: as for the old one, its notes in rows from IOL_ROW_SECOND_LENS on. */
void iol_removal_second(iol_work *w, iol_removal *out);

/* Wound that taking the old lens, or the second, out needs, in mm, where today's does not do: the comfortable one of the preferred
 * way. NaN: it does, nothing comes out, or it is not known. */
double iol_removal_needs(iol_work *w);
double iol_removal_second_needs(iol_work *w);

/* The lens that is turned and held. */
typedef struct {
    const iol_eye *eye; /* with it as the old one */
    const iol_old_optic *optic;
    int turns;  /* word of set turns: how its loops let it turn */
    bool loose; /* it lies free */
    int row;    /* of its notes */
} iol_removal_hold;
/* Where the junction must lie, the turn to it, and the hand that holds (removal_turn.c). */
void iol_removal_turn(iol_work *w, const iol_removal_hold *hold, iol_removal *out);

#endif
