/* What to do: the first rule that fires decides, the others that fire stand beside it. */
#include "decision.h"

#include "gates.h"
#include "tables/constants.h"
#include "tables/note_codes.h"

enum {
#define RULE(id, when, state, urgency, value, limit, word) RULE_##id,
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
    f->not_excluded = IOL_NO;
#define RULE(id, when, state, urgency, value, limit, word)                                                             \
    all[RULE_##id] = (verdict){when, IOL_state_##state, IOL_urgency_##urgency, IOL_NOTE_rule_##id, value, limit, word};
#define EXCLUDE(id, ...)                                                                                               \
    RULE(id, __VA_ARGS__)                                                                                              \
    if (all[RULE_##id].fires == IOL_UNKNOWN) open++, f->not_excluded = answered ? IOL_NO : IOL_YES;
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

/* Rules before those ask which way is first: a plan alone has ranked them. */
static bool asks_first_way(const iol_facts *f, int rule) {
    const bool young = f->small_child == IOL_YES || f->haze_young == IOL_YES;
    return (f->second_chafes == IOL_YES && rule >= RULE_second_rubs) || (young && rule >= RULE_child_sees);
}

int iol_decision_early(iol_work *w, int *alarms_open) {
    verdict all[RULES];
    iol_facts_grow(w);
    bool fluid_open = w->facts.trapped_fluid == IOL_UNKNOWN; /* no sign of it, and nobody looked: open as an alarm is */
    if (fluid_open) w->facts.trapped_fluid = IOL_NO;
    *alarms_open = judge(w, true, all) + fluid_open;
    for (int i = 0; i < NEEDS_POWERS; i++)
        if (all[i].fires == IOL_YES) return asks_first_way(&w->facts, i) ? 0 : all[i].state;
    return 0;
}

/* Both gates hold: the later one decides. */
static int32_t not_before(const iol_work *w, const verdict all[RULES], int rule) {
    if (rule != RULE_refraction_gate && rule != RULE_symptom_gate) return IOL_UNKNOWN_DATE;
    double day = NAN;
    if (all[RULE_refraction_gate].fires == IOL_YES) day = w->facts.refraction_gate_day;
    if (all[RULE_symptom_gate].fires == IOL_YES) day = fmax(day, w->facts.symptom_day);
    return iol_gates_date(w, day);
}

/* What holds up an operation has no more time than what it holds up. */
static void no_later_than_held(const verdict all[RULES], iol_ruling *out) {
    if (out->state != IOL_state_wait && out->state != IOL_state_find_cause_first) return;
    for (int i = RULE_documented_wrong; i < RULE_better_turn;
         i++) /* ORDER urgency: the most urgent word stands first */
        if (all[i].fires == IOL_YES && all[i].urgency < out->urgency) out->urgency = all[i].urgency;
}

/* The first rule that fires; what can only be done for days brings it forward. */
static iol_ruling ruling_of(iol_work *w, const verdict all[RULES]) {
    iol_facts *f = &w->facts;
    iol_ruling out = {.rule = -1};
    for (int i = 0; i < RULES && out.rule < 0; i++)
        if (all[i].fires == IOL_YES) out = (iol_ruling){.state = all[i].state, .urgency = all[i].urgency, .rule = i};
    if (out.rule >= RULE_better_turn || out.rule == RULE_child_sees || out.rule == RULE_child_wears)
        out.first_option = f->first_option;
    if (out.rule == RULE_better_turn || out.rule == RULE_better_option) f->turn_window = false; /* settled */
    out.not_before = not_before(w, all, out.rule);
    bool soon = f->turn_window || f->early_misfit, open = out.urgency == IOL_urgency_planned;
    if (soon && (open || out.state == IOL_state_find_cause_first) && out.urgency > IOL_urgency_days)
        out.urgency = IOL_urgency_days;
    if (out.rule >= 0) no_later_than_held(all, &out);
    if (f->pressure_soon != IOL_NO && out.urgency > IOL_urgency_days) out.urgency = IOL_urgency_days;
    if (f->front_swollen && out.urgency > IOL_urgency_weeks) out.urgency = IOL_urgency_weeks;
    /* Sight that is still learned does not wait for a planned day. */
    if (out.urgency == IOL_urgency_planned && f->small_child == IOL_YES) out.urgency = IOL_urgency_weeks;
    /* An eye without its lens sees nothing sharp: what can be worn is worn within days. */
    if (out.first_option > 0 && f->worn_first && f->no_lens == IOL_YES && f->small_child == IOL_YES)
        out.urgency = IOL_urgency_days;
    return out;
}

iol_ruling iol_decision_ruling(iol_work *w) {
    verdict all[RULES];
    judge(w, false, all);
    return ruling_of(w, all);
}

/* The way ranked first is the one that the decision is for. */
static bool leads_by(int state, int first) {
    if (state == IOL_state_exchange) return first == IOL_option_exchange;
    if (state == IOL_state_secondary_lens) return first == IOL_option_secondary_lens;
    return state == IOL_state_other_option_first;
}

void iol_part_decision(iol_work *w) {
    iol_decision *out = &w->plan->decision;
    verdict all[RULES];
    iol_facts_grow(w);
    judge(w, false, all);
    iol_ruling ruling = ruling_of(w, all);
    out->present = true;
    out->state = ruling.state;
    out->urgency = ruling.urgency;
    w->facts.operates = leads_by(ruling.state, w->facts.first_option);
    out->not_before = ruling.not_before;
    for (int i = 0; i < RULES; i++) {
        bool way = i >= RULE_better_turn;
        if (all[i].fires != IOL_YES || (way && i != ruling.rule)) continue;
        iol_note_add(&w->plan->notes, IOL_AT_decision_reasons, 0, all[i].note, all[i].value, all[i].limit, all[i].word);
    }
    if (out->urgency != IOL_urgency_same_day) advise(w);
    iol_missing_tests(w);
    if (!w->plan->notes.off && !w->compared) iol_decision_then(w, &ruling);
}
