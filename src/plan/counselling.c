/* What to tell the patient: the rows of data/counselling.def that hold for this case. */
#include "tables/constants.h"
#include "work.h"
#include "tables/rule_codes.h"

static void say(iol_work *w, iol_note_code code, double value, double limit, iol_evidence_status status) {
    iol_plan *plan = w->plan;
    if (!iol_has_room(plan->counselling_count, IOL_MOST(plan->counselling), &plan->counselling_lost)) {
        iol_caution(w, IOL_NOTE_notes_lost, NAN, NAN, NULL);
        return;
    }
    int row = plan->counselling_count++;
    plan->counselling[row] = (iol_counsel){.present = true,
                                           .topic = iol_note_rows[code].code,
                                           .figure = value,
                                           .source = iol_references[iol_note_rows[code].reference].key,
                                           .status = iol_status_text(status)};
    iol_note_add(&plan->notes, IOL_AT_counsel_say, row, code, value, limit, NULL);
}

void iol_part_counselling(iol_work *w) {
    const iol_case *c = w->c;
    const iol_facts *f = &w->facts;
    iol_facts_grow(w);
#define SAY(id, topic, when, first, second, text)                                                                      \
    if (when) say(w, IOL_NOTE_say_##id, FIGURE(first), FIGURE(second), iol_evidence[IOL_EVIDENCE_##first].status);
#define TELL(id, topic, when, value, limit, reference, text)                                                           \
    if (when) say(w, IOL_NOTE_say_##id, value, limit, iol_references[IOL_REF_##reference].status);
#include "counselling.def"
#undef SAY
#undef TELL
}
