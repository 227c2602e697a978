/* What to do, for people: first on the page. */
#include "compose.h"
#include "screen.h"
#include "tables/note_codes.h"

/* The decision in plain words; rows in the order of the words of set state. */
static const char *const state_text[] = {
    [IOL_state_exchange] = "EXCHANGE the lens",
    [IOL_state_exchange_or_alternative] = "EXCHANGE, OR KEEP the lens: weigh both",
    [IOL_state_other_option_first] = "SOMETHING SMALLER FIRST, exchange later if needed",
    [IOL_state_wait] = "WAIT, then look again",
    [IOL_state_find_cause_first] = "FIND THE CAUSE FIRST",
    [IOL_state_not_for_exchange] = "NOT FOR EXCHANGE",
    [IOL_state_secondary_lens] = "PUT A LENS IN",
};
static const char *const urgency_text[] = {
    [IOL_urgency_same_day] = "TODAY",
    [IOL_urgency_days] = "within days",
    [IOL_urgency_weeks] = "within weeks",
    [IOL_urgency_planned] = "planned, no hurry",
};

/* What changes the plan stands apart from the rules that led to the decision. */
static bool changes_the_plan(int code) {
    switch (code) {
#define ADVICE(id, when, value, limit, word) case IOL_NOTE_advise_##id:
#include "decision_advice.def"
#undef ADVICE
        return true;
    default: return false;
    }
}

static void reasons(const iol_plan *plan, iol_page *page, bool advice) {
    char text[640];
    bool first = true;
    for (int i = iol_note_find(&plan->notes, IOL_AT_decision_reasons, 0, 0); i >= 0;
         i = iol_note_find(&plan->notes, IOL_AT_decision_reasons, 0, i + 1)) {
        const iol_note *note = &plan->notes.item[i];
        if (changes_the_plan(note->code) != advice) continue;
        iol_note_text(note, text, sizeof text);
        const char *label = advice ? "Bear in mind" : "Beside it";
        bool decides = i == iol_note_find(&plan->notes, IOL_AT_decision_reasons, 0, 0);
        if (decides)
            iol_page_pair(page, "Because", text);
        else {
            iol_page_pair(page, first ? label : "", text);
            first = false;
        }
    }
}

/* What to do now, in order, each under its word. */
static void acts(const iol_plan *plan, iol_page *page) {
    static const char *const label[] = {[IOL_act_when_first] = "First", [IOL_act_when_until_then] = "Until then",
                                        [IOL_act_when_weigh] = "Weigh", [IOL_act_when_after_it] = "After it",
                                        [IOL_act_when_also] = "Also"};
    char text[640];
    int last = 0;
    for (int i = 0; i < plan->decision.acts_count; i++) {
        const int note = iol_note_find(&plan->notes, IOL_AT_act_text, i, 0), when = plan->decision.acts[i].when;
        if (note < 0 || when <= 0) continue;
        iol_page_pair(page, when == last ? "" : label[when], iol_note_text(&plan->notes.item[note], text, sizeof text));
        last = when;
    }
}

static void then(const iol_plan *plan, iol_page *page) {
    iol_line line;
    iol_line_start(&line);
    iol_line_then(&line, plan);
    if (line.used) iol_page_pair(page, "Then", line.text);
}

void iol_compose_decision(const iol_plan *plan, iol_page *page) {
    const iol_decision *d = &plan->decision;
    if (!d->present || d->state <= 0 || d->urgency <= 0) return;
    bool today = d->urgency == IOL_urgency_same_day;
    iol_page_section(page, "decision", "What to do");
    iol_page_pair(page, "Decision", today ? "TREAT THE ALARM FIRST, no lens change now" : state_text[d->state]);
    iol_page_pair(page, "How soon", urgency_text[d->urgency]);
    if (d->sentence[0]) iol_page_pair(page, "In short", d->sentence);
    reasons(plan, page, false);
    reasons(plan, page, true);
    acts(plan, page);
    then(plan, page);
    if (!today) iol_compose_glance(plan, page);
    if (iol_note_find(&plan->notes, IOL_AT_decision_missing_tests, 0, 0) < 0) return;
    iol_page_section(page, "tests", "Tests to ask for");
    iol_compose_notes(page, plan, IOL_AT_decision_missing_tests, 0);
}
