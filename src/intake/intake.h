/* Values that come into a case: only what is not known is filled, another value is a fault that names both, and the origin of
 * each is kept as a remark beside it. */
#ifndef IOL_INTAKE_INTAKE_H
#define IOL_INTAKE_INTAKE_H

#include "case/entry.h"
#include "remarks.h"

enum { IOL_INTAKE_NOTES = 48, IOL_INTAKE_NOTE = 240, IOL_INTAKE_ORIGIN = 160, IOL_INTAKE_FRESH = 192 };

typedef struct {
    iol_case *c;
    iol_remarks *remarks;
    iol_faults *faults;
    int same;                                     /* values that the case held already */
    int taken;                                    /* values that came in */
    char fresh[IOL_INTAKE_FRESH][IOL_ENTRY_PATH]; /* their places */
    int notes, notes_lost;
    char note[IOL_INTAKE_NOTES][IOL_INTAKE_NOTE]; /* what is to be said of it, and is no fault */
} iol_intake;

void iol_intake_start(iol_intake *intake, iol_case *c, iol_remarks *remarks, iol_faults *faults);
/* text: as it is typed. A value that came in earlier by the same intake stays, and that is said. False after a fault. */
bool iol_intake_put(iol_intake *intake, const char *path, const char *text, const char *origin);
/* Said, not refused: "/biometry/chamber_depth_mm: not taken: wanted ..."; path NULL: of the whole. */
void iol_intake_note(iol_intake *intake, const char *path, const char *words);
void iol_intake_fault(iol_intake *intake, iol_fault_code code, const char *path, const char *found, const char *wanted);
/* The place of the reading of a day among the refractions, oldest first; a new one where there is none and may be. -1: none, or no
 * room. */
int iol_intake_reading(iol_intake *intake, int32_t day, int method, bool may_be_new);
/* Every value of another case, a row of a sheet. */
void iol_intake_case(iol_intake *intake, const iol_case *from, const char *origin);

#endif
