/* What rules ask about a case: one struct, one definition a name (data/facts.def), held in the work. */
#ifndef IOL_PLAN_FACTS_H
#define IOL_PLAN_FACTS_H

#include "tables/tables.h"

typedef struct {
#define FLAG(name, meaning) iol_flag name;
#define BOOL(name, meaning) bool name;
#define NUM(name, meaning) double name;
#define WORD(name, set, meaning) int name;
#define CODE(name, meaning) iol_note_code name;
#define TEXT(name, meaning) char name[60];
#include "facts.def"
#undef FLAG
#undef BOOL
#undef NUM
#undef WORD
#undef CODE
#undef TEXT
} iol_facts;

/* A share as it is told: of 100. */
static inline double iol_in_100(double share) { return 100.0 * share; }

#endif
