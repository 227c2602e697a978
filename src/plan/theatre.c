/* What to have in theatre, each with the reason why this case needs it (contract, theatre_list). */
#include <string.h>

#include "findings.h"
#include "positions.h"
#include "work.h"

static const struct {
    int kind, count;
    const char *item;
    iol_note_code why;
    const char *finding;
} items[] = {
#define ITEM(kind, item, count, predicate, why, finding)                                                               \
    {IOL_theatre_kind_##kind, count, item, IOL_NOTE_##why, finding},
#include "theatre_items.def"
#undef ITEM
};
enum { ITEMS = sizeof items / sizeof *items };

static const iol_choice *chosen(const iol_replacement *r) {
    for (int i = 0; i < r->choices_count; i++)
        if (r->choices[i].chosen == IOL_YES) return &r->choices[i];
    return NULL;
}

static void ask(const iol_work *w, iol_flag answer[ITEMS]) {
    const iol_case *c = w->c;
    int place = iol_position_on_shelf(c, w->site, w->eye.old.position), tier = w->plan->support.tier, i = 0;
    const iol_choice *choice = chosen(&w->plan->replacement);
    bool toric = choice && choice->cylinder_d > 0.0;
#define ITEM(kind, item, count, predicate, why, finding) answer[i++] = (predicate);
#include "theatre_items.def"
#undef ITEM
}

static iol_theatre_item *add(iol_work *w, int kind, const char *item, int count, iol_note_code why, const char *word) {
    iol_plan *plan = w->plan;
    if (!iol_has_room(plan->theatre_list_count, IOL_MOST(plan->theatre_list), &plan->theatre_list_lost)) return NULL;
    int row = plan->theatre_list_count++;
    plan->theatre_list[row] = (iol_theatre_item){
        .present = true, .kind = kind, .item = item, .power_d = NAN, .cylinder_d = NAN, .count = count};
    iol_note_add(&plan->notes, IOL_AT_theatre_item_why, row, why, NAN, NAN, word);
    return &plan->theatre_list[row];
}

/* A fallback may be a lens that is listed already, as chosen or as the step beside: it is fetched once. */
static bool listed(const iol_plan *plan, const char *id, double power_d, double cylinder_d) {
    for (int i = 0; i < plan->theatre_list_count; i++) {
        const iol_theatre_item *row = &plan->theatre_list[i];
        if (strcmp(row->lens_id, id) == 0 && iol_same(row->power_d, power_d) && iol_same(row->cylinder_d, cylinder_d))
            return true;
    }
    return false;
}

static void add_lens(iol_work *w, const char *id, double power_d, double cylinder_d, iol_note_code why,
                     const char *word) {
    if (listed(w->plan, id, power_d, cylinder_d)) return;
    iol_theatre_item *row = add(w, IOL_theatre_kind_lens, "lens", 1, why, word);
    if (!row) return;
    memcpy(row->lens_id, id, sizeof row->lens_id);
    row->power_d = power_d;
    row->cylinder_d = cylinder_d;
}

/* The chosen lens and the steps of its class beside it, and lenses for the fallbacks, one of them for an
 * eye without capsule: powers only when they may be used. */
static void add_lenses(iol_work *w) {
    const iol_plan *plan = w->plan;
    const iol_replacement *r = &plan->replacement;
    const iol_choice *choice = chosen(r);
    bool usable = choice != NULL;
    if (r->present && !usable && r->lens_id[0])
        add_lens(w, r->lens_id, NAN, NAN, IOL_NOTE_item_lens_open, IOL_WORD(standing, r->standing));
    for (int i = 0; usable && i < r->choices_count; i++) {
        const iol_choice *c = &r->choices[i];
        bool near = fabs((double)(c - choice)) <= c_theatre_steps_each_side;
        if (strcmp(c->lens_id, choice->lens_id) != 0 || !near) continue;
        add_lens(w, c->lens_id, c->power_d, c->cylinder_d,
                 c == choice ? IOL_NOTE_item_lens_chosen : IOL_NOTE_item_lens_step, NULL);
    }
    bool without_capsule = false;
    for (int i = 0; i < plan->fallbacks_count; i++) {
        const iol_fallback *f = &plan->fallbacks[i];
        bool capsule = f->position <= IOL_position_sulcus_captured;
        if (!f->lens_id[0] || (!capsule && without_capsule)) continue;
        without_capsule = without_capsule || !capsule;
        add_lens(w, f->lens_id, usable ? f->power_d : NAN, NAN,
                 capsule ? IOL_NOTE_item_lens_fallback : IOL_NOTE_item_lens_no_capsule,
                 IOL_WORD(position, f->position));
    }
}

void iol_part_theatre_list(iol_work *w) {
    iol_flag answer[ITEMS];
    add_lenses(w);
    ask(w, answer);
    for (int i = 0; i < ITEMS; i++) {
        if (answer[i] == IOL_NO) continue;
        bool yes = answer[i] == IOL_YES;
        add(w, items[i].kind, items[i].item, items[i].count, yes ? items[i].why : IOL_NOTE_item_not_known,
            yes ? NULL : items[i].finding);
    }
}
