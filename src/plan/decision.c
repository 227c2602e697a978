/* What to do: the first rule that fires decides, the others that fire stand beside it. */
#include "decision.h"

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

/* Every rule in order. A rule that must be excluded and is not known is remembered for the rule `not_excluded`, unless such are
 * taken as answered no. Returns how many they are. */
static int judge(iol_work *w, bool answered, verdict all[RULES]) {
    const iol_case *c = w->c;
    iol_facts *f = &w->facts;
    int open = 0;
    iol_facts_grow(w);
    f->not_excluded = IOL_NO;
#define RULE(id, when, holds, state, urgency, value, limit, word)                                                      \
    all[RULE_##id] =                                                                                                   \
        (verdict){when, IOL_state_##state, IOL_urgency_##urgency, IOL_NOTE_rule_##id, value, limit, word};             \
    if (holds && all[RULE_##id].fires == IOL_UNKNOWN) open++, f->not_excluded = answered ? IOL_NO : IOL_YES;
#include "decision_rules.def"
#undef RULE
    return open;
}

static void advise(iol_work *w) {
    const iol_facts *f = &w->facts;
    const iol_case *c = w->c;
#define ADVICE(id, when, value, limit, word)                                                                           \
    if (when) iol_note_add(&w->plan->notes, IOL_AT_decision_reasons, 0, IOL_NOTE_advise_##id, value, limit, word);
#include "decision_advice.def"
#undef ADVICE
}

/* From this rule on powers and ranked options are asked for; a recheck's replacement is not the plan's. */
enum { NEEDS_POWERS = RULE_no_power };

int iol_decision_early(iol_work *w, int *alarms_open) {
    verdict all[RULES];
    *alarms_open = judge(w, true, all);
    for (int i = 0; i < NEEDS_POWERS; i++)
        if (all[i].fires == IOL_YES) return all[i].state;
    return 0;
}

void iol_part_decision(iol_work *w) {
    iol_decision *out = &w->plan->decision;
    verdict all[RULES];
    judge(w, false, all);
    out->present = true;
    for (int i = 0; i < RULES; i++) {
        bool way = i >= RULE_better_turn;
        if (all[i].fires != IOL_YES || (way && out->state > 0)) continue;
        if (out->state <= 0) out->state = all[i].state, out->urgency = all[i].urgency;
        if (i == RULE_better_turn || i == RULE_better_option) w->facts.turn_window = false; /* settled */
        iol_note_add(&w->plan->notes, IOL_AT_decision_reasons, 0, all[i].note, all[i].value, all[i].limit, all[i].word);
    }
    bool soon = w->facts.turn_window || w->facts.early_misfit, open = out->urgency == IOL_urgency_planned;
    if (soon && (open || out->state == IOL_state_find_cause_first) && out->urgency > IOL_urgency_days)
        out->urgency = IOL_urgency_days;
    /* Sight that is still learned does not wait for a planned day. */
    if (out->urgency == IOL_urgency_planned && w->facts.small_child == IOL_YES) out->urgency = IOL_urgency_weeks;
    if (out->urgency != IOL_urgency_same_day) advise(w);
    iol_missing_tests(w);
}
