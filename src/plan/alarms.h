/* What is treated today: red flags and very high pressure. */
#ifndef IOL_PLAN_ALARMS_H
#define IOL_PLAN_ALARMS_H

#include "iolrevise/case.h"
#include "iolrevise/plan.h"

/* Stop cautions, one an alarm. Called before anything else adds a caution, so that they stand first in every output. */
void iol_alarms_say(const iol_case *c, iol_notes *notes);
/* Any red flag: yes, no or not known. The names of those that are there go into words. */
iol_flag iol_alarm_red_flags(const iol_case *c, char *words, size_t size);

/* Answers no, where nothing is known, to all that must be excluded before anything touches the lens: for past cases, which were
 * operated on. */
void iol_alarms_answer_no(iol_case *c);

#endif
