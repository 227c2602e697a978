/* What to do, for people: first on the page. */
#include "compose.h"

void iol_compose_decision(const iol_plan *plan, iol_page *page) {
    if (!plan->decision.present) return;
    iol_page_heading(page, "What to do");
    iol_page_pair(page, "Decision", IOL_WORD(state, plan->decision.state));
    iol_page_pair(page, "How soon", IOL_WORD(urgency, plan->decision.urgency));
    iol_compose_notes(page, plan, IOL_AT_decision_reasons, 0);
}
