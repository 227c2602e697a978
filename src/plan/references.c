/* Which references a finished plan cites. */
#include "references.h"

#include <string.h>

#include "iolrevise/formulas.h"

static bool same_text(const char *a, const char *b) { return a && b && strcmp(a, b) == 0; }

void iol_plan_references(const iol_plan *plan, bool used[IOL_REF_COUNT]) {
    memset(used, 0, sizeof(bool) * IOL_REF_COUNT);
    for (int i = 0; i < plan->notes.count; i++) used[iol_note_rows[plan->notes.item[i].code].reference] = true;
    for (int i = 0; i < plan->surprise.formulas_count; i++)
        used[iol_formulas[plan->surprise.formulas[i].formula - 1].reference] = true;
    for (int i = 0; i < IOL_REF_COUNT; i++) {
        for (int k = 0; k < plan->support.factors_count; k++)
            used[i] |= same_text(plan->support.factors[k].source, iol_references[i].key);
        for (int k = 0; k < plan->counselling_count; k++)
            used[i] |= same_text(plan->counselling[k].source, iol_references[i].key);
    }
}
