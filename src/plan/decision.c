/* What to do: the first rule that fires decides, the others that fire stand beside it. */
#include "facts.h"
#include "tables/constants.h"

enum {
#define RULE(id, when, holds, state, urgency, value, limit, word) RULE_##id,
#include "decision_rules.def"
#undef RULE
    RULES
};

typedef struct {
    iol_flag fires;
    int state, urgency;
    iol_note_code note;
    double value, limit;
    const char *word;
} verdict;

/* Every rule in order. A rule that must be excluded and is not known is remembered for the rule `not_excluded`. */
static void judge(iol_facts *f, verdict all[RULES]) {
#define RULE(id, when, holds, state, urgency, value, limit, word)                                                      \
    all[RULE_##id] =                                                                                                   \
        (verdict){when, IOL_state_##state, IOL_urgency_##urgency, IOL_NOTE_rule_##id, value, limit, word};             \
    if (holds && all[RULE_##id].fires == IOL_UNKNOWN) f->not_excluded = true;
#include "decision_rules.def"
#undef RULE
}

static void missing_test(iol_work *w, iol_note_code code, const char *word) {
    iol_note_add(&w->plan->notes, IOL_AT_decision_missing_tests, 0, code, NAN, NAN, word);
}

static void missing_tests(iol_work *w, const iol_facts *f) {
    const iol_case *c = w->c;
    (void)c;
#define MISSING(id, when)                                                                                              \
    if (when) missing_test(w, IOL_NOTE_missing_##id, NULL);
#include "missing_tests.def"
#undef MISSING
}

void iol_part_decision(iol_work *w) {
    iol_decision *out = &w->plan->decision;
    iol_facts f;
    verdict all[RULES];
    iol_facts_make(w, &f);
    judge(&f, all);
    out->present = true;
    for (int i = 0; i < RULES; i++) {
        bool way = i == RULE_better_option || i == RULE_no_better_option;
        if (all[i].fires != IOL_YES || (way && out->state > 0)) continue;
        if (out->state <= 0) out->state = all[i].state, out->urgency = all[i].urgency;
        iol_note_add(&w->plan->notes, IOL_AT_decision_reasons, 0, all[i].note, all[i].value, all[i].limit, all[i].word);
    }
    missing_tests(w, &f);
}
