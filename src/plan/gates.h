/* From which day on: what the refraction, the symptoms and a turn allow. */
#ifndef IOL_PLAN_GATES_H
#define IOL_PLAN_GATES_H

#include "work.h"

/* The day, and the facts of time. */
void iol_gates_make(const iol_work *w, iol_facts *f);
/* Date of a day after the first operation; IOL_UNKNOWN_DATE when one of them is not known. */
int32_t iol_gates_date(const iol_work *w, double day);

#endif
