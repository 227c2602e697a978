/* Which figures of a plan may be told: to the surgeon and to the patient alike. */
#ifndef IOL_PLAN_TOLD_H
#define IOL_PLAN_TOLD_H

#include "iolrevise/plan.h"

bool iol_is_alarm(const iol_plan *plan);
/* Nothing bars a power: no alarm, no withheld or provisional standing, and one is chosen. */
bool iol_power_given(const iol_plan *plan);
/* A stop stands and the cause is found first: no lens is shown as one to be put in. */
bool iol_cause_before_lens(const iol_plan *plan);
/* The range of the exact power is so wide that one power says less than it. */
bool iol_power_not_settled(const iol_plan *plan);
/* Two aims stand apart, or the aim is for near and far is wanted clear. */
bool iol_aim_not_settled(const iol_plan *plan);
/* A stop has the cause found first: no figure is told of a way that acts on the eye. */
bool iol_way_barred(const iol_plan *plan, const iol_option_row *way);
/* A figure of a way; NaN, which is not known, where it is not told. */
double iol_way_told(const iol_plan *plan, const iol_option_row *way, double x);
/* Whether a way fits is not known, or no reading counts for what it leaves: an open dot, "?", and no chance is told. */
bool iol_way_open(const iol_plan *plan, const iol_option_row *way);
/* The same of the lens of the plan: a chance of it may be told. */
bool iol_chance_told(const iol_plan *plan);
/* The same of the lens of another way that leads. */
bool iol_lead_chance_told(const iol_plan *plan, const iol_option_row *way);

#endif
