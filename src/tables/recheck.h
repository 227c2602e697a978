/* What recheck writes, as structs made from data/recheck_fields.def. */
#ifndef IOL_TABLES_RECHECK_H
#define IOL_TABLES_RECHECK_H

#include "iolrevise/case.h"
#include "iolrevise/plan_members.h"
#include "recheck_fields.def"
#include "iolrevise/fields_undef.h"

#endif
