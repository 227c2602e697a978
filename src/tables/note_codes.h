/* Codes of the cautions, reasons and assumptions. Apart from tables.h: a new sentence rebuilds only what says one. */
#ifndef IOL_TABLES_NOTE_CODES_H
#define IOL_TABLES_NOTE_CODES_H

#include "tables.h"

enum {
#define CAUTION(id, code, severity, reference, text) IOL_NOTE_##id,
#define REASON(id, code, reference, text, lifts) IOL_NOTE_##id,
#define ASSUMPTION(id, path, reference, text) IOL_NOTE_##id,
#include "cautions.def"
#include "reasons.def"
#include "assumptions.def"
#undef CAUTION
#undef REASON
#undef ASSUMPTION
    IOL_NOTE_OF_RULES /* the codes of rule_codes.h follow */
};

#endif
