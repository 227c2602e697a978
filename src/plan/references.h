/* Which references a finished plan cites. */
#ifndef IOL_PLAN_REFERENCES_H
#define IOL_PLAN_REFERENCES_H

#include "tables/tables.h"

/* Those of its notes, formulas, risk factors and counselling figures. */
void iol_plan_references(const iol_plan *plan, bool used[IOL_REF_COUNT]);

#endif
