/* The box of a lens against the plan that was printed. */
#ifndef IOL_INTAKE_BOX_H
#define IOL_INTAKE_BOX_H

#include "case/view.h"
#include "text/gs1.h"

typedef enum { IOL_BOX_KNOWN, IOL_BOX_CHOSEN, IOL_BOX_REPEAT, IOL_BOX_OTHER, IOL_BOX_STOP } iol_box_verdict;

typedef struct {
    iol_box_verdict verdict;
    char lens[160]; /* what is in the box, and for which eye */
    char text[320]; /* what to make of it */
} iol_box;

/* A plan as it was written as JSON; into is large. False when it is none. */
bool iol_box_plan(iol_view root, iol_plan *into, bool *stops);
/* plan NULL: only what is in the box; wrong: why the code cannot be read, NULL when it was. */
void iol_box_judge(const iol_gs1 *code, const char *wrong, const iol_site *site, const iol_plan *plan, bool stops,
                   int32_t day, iol_box *out);
/* CHOSEN, KNOWN, REPEAT, OTHER, STOP. */
const char *iol_box_word(iol_box_verdict verdict);

#endif
