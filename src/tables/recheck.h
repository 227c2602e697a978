/* What recheck writes, as structs made from data/recheck_fields.def. */
#ifndef IOL_TABLES_RECHECK_H
#define IOL_TABLES_RECHECK_H

#include "iolrevise/case.h"
#include "iolrevise/plan_members.h"
#include "recheck_fields.def"
#include "iolrevise/fields_undef.h"

/* How near an outcome came is counted within these, thousandths of a dioptre: the keys within_quarter to within_two. The second
 * and the fourth are the bands of a plan (a test compares). */
enum { IOL_NEAR_LIMITS = 5, IOL_NEAR_HALF = 1, IOL_NEAR_ONE = 3 };
static const int iol_near_limit[IOL_NEAR_LIMITS] = {250, 500, 750, 1000, 2000};

#endif
