/* The lens for an eye without one (docs/method.md, other eyes). */
#include "secondary.h"
#include "tables/note_codes.h"

#include <string.h>

static void forget(iol_replacement *r) {
    const iol_field *field = iol_object_find(iol_object_plan, "replacement", strlen("replacement"));
    iol_object_reset(field->inside, r);
}

void iol_part_secondary(iol_work *w) {
    if (!w->eye.aphakic)
        iol_leave_out(w->plan, "secondary", IOL_left_why_not_applicable, IOL_NOTE_left_a_lens, NULL, NULL);
}

void iol_secondary_take(iol_work *w) {
    iol_plan *plan = w->plan;
    if (!w->eye.aphakic || !plan->replacement.present) return;
    plan->secondary = plan->replacement;
    forget(&plan->replacement);
    iol_leave_out(plan, "replacement", IOL_left_why_not_applicable, IOL_NOTE_left_secondary, NULL, NULL);
}

bool iol_secondary_leaves_out(iol_work *w, const char *part) {
    if (w->eye.no_lens != IOL_YES) return false;
    iol_leave_out(w->plan, part, IOL_left_why_not_applicable, IOL_NOTE_left_without_lens, NULL, NULL);
    return true;
}
