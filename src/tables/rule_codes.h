/* Codes of what rules say: suspects, counselling, acts, sentences for the patient, rules of the ways. Apart from note_codes.h: a
 * rule touched rebuilds only what names such rules. */
#ifndef IOL_TABLES_RULE_CODES_H
#define IOL_TABLES_RULE_CODES_H

#include "note_codes.h"

enum {
    IOL_NOTE_BEFORE_RULES = IOL_NOTE_OF_RULES - 1,
#define SUSPECT(id, code, part, path, reference, check) IOL_NOTE_suspect_##id,
#define SAY(id, topic, when, figure, second, text) IOL_NOTE_say_##id,
#define TELL(id, topic, when, value, limit, reference, text) IOL_NOTE_say_##id,
#include "suspects.def"
#include "counselling.def"
#define ACT(id, when, place, note, told, text) IOL_NOTE_act_##id,
#include "acts.def"
#define PLAIN(id, part, when, value, limit) IOL_NOTE_plain_##id,
#include "patient.def"
#undef PLAIN
#define OPTION_RULE(option, id, effect, predicate, finding, value, limit, reference, code, text) IOL_NOTE_opt_##id,
#include "option_rules.def"
#undef SUSPECT
#undef SAY
#undef TELL
    IOL_NOTE_COUNT
};

#endif
