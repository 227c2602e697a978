/* From which day on: what the refraction, the symptoms and a turn allow. */
#ifndef IOL_PLAN_GATES_H
#define IOL_PLAN_GATES_H

#include "work.h"

typedef struct {
    double day;            /* days from the first operation to the day of the plan; NaN not known */
    double refraction_day; /* earliest day that the refraction allows; always known */
    iol_note_code refraction_why;
    double symptom_day; /* earliest day that the complaint allows; NaN when it sets none */
    iol_note_code symptom_why;
    bool turn;         /* a toric lens off its meridian, which a turn may mend: days 7 to 21 */
    bool in_bag;       /* the capsule bends round the lens */
    bool wrong_lens;   /* documented: exempt from both gates */
    iol_flag settled;  /* past the refraction's gate (a turn: past its first day) */
    iol_flag relieved; /* past the gate of the complaint; yes when it sets none */
} iol_gates;

void iol_gates_make(const iol_work *w, iol_gates *gates);
/* Date of a day after the first operation; IOL_UNKNOWN_DATE when one of them is not known. */
int32_t iol_gates_date(const iol_work *w, double day);

#endif
