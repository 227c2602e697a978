/* What to do. */
#ifndef IOL_PLAN_DECISION_H
#define IOL_PLAN_DECISION_H

#include "work.h"

/* What the rules come to: words of state and urgency, the rule's number (-1: none fires), the first way where the ways decide. */
typedef struct {
    int state, urgency, rule, first_option;
    int32_t not_before; /* date of the gate that decides */
} iol_ruling;
/* The rules on the facts of the work, which must be there; says nothing. */
iol_ruling iol_decision_ruling(iol_work *w);
/* decision.then: the rules once more, the open questions answered as data/reassuring.def says. */
void iol_decision_then(iol_work *w, const iol_ruling *now);
/* The state, where a rule decides it before powers and ranked options are asked for; 0 where none does. Reads eye and joint
 * estimate. For past cases: what must be excluded and is not known is taken as answered no; alarms_open, how many such rules
 * there are. */
int iol_decision_early(iol_work *w, int *alarms_open);
/* support.tier alone; facts as iol_decision_early leaves them. */
int iol_support_tier(const iol_work *w);
/* Every test to ask for, added to the plan's notes. */
void iol_missing_tests(iol_work *w);

#endif
