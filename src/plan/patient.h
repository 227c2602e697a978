/* The patient's words of a plan: data/patient.def. */
#ifndef IOL_PLAN_PATIENT_H
#define IOL_PLAN_PATIENT_H

#include "work.h"

/* Needs the facts of the talk and the dates of the ways. */
void iol_patient_words(iol_work *w);

#endif
