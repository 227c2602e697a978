/* Where a new lens can be held: the ladder of data/rungs.def. */
#ifndef IOL_PLAN_POSITIONS_H
#define IOL_PLAN_POSITIONS_H

#include "work.h"

enum { IOL_RUNGS = 7 };
typedef struct {
    int position;      /* word of set position */
    int outlook;       /* word of set outlook */
    iol_note_code why; /* reason that decides it */
    char missing[60];  /* findings that are not known, in words */
    bool bar_unknown;  /* one of them would bar the place */
    bool only_unknown; /* nothing speaks against it but what is not known */
    bool by_ring;      /* nothing found speaks against it but a zonule that a ring holds */
} iol_rung;

/* All places from best to last resort. A lens held without the capsule keeps its kind of fixation before the others. */
void iol_ladder_make(const iol_work *w, iol_rung ladder[IOL_RUNGS]);
/* The place to plan for: the first that is expected; the place of the old lens counts as expected when nothing speaks
 * against it but what is not known, and so does the bag of a weak zonule that a ring holds. Else the first against which nothing
 * was found and that nothing unknown would bar;
 * else the first that is possible; else the old place. */
int iol_position_planned(const iol_work *w);
/* The same, or where the shelf holds no lens for it the first place not barred that it holds one for. */
int iol_position_on_shelf(const iol_work *w);
/* Something that would bar this place, or make it doubtful, is not known. */
bool iol_position_unknown(const iol_work *w, int position);
/* May this lens of the shelf be held there at a revision? A one-piece or plate lens, or one of unknown build, never goes
 * into the sulcus. */
bool iol_position_allows(const iol_shelf_lens *lens, int position);

#endif
