/* What to have in theatre, each with the reason why this case needs it (contract, theatre_list). */
#include <string.h>

#include "case/stock.h"
#include "choices.h"
#include "tables/constants.h"
#include "text/list.h"
#include "tables/note_codes.h"

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

static void ask(const iol_work *w, iol_flag answer[ITEMS]) {
    const iol_case *c = w->c;
    const iol_facts *f = &w->facts;
    int i = 0;
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

static bool listed(const iol_plan *plan, const char *id, double power_d, double cylinder_d) {
    for (int i = 0; i < plan->theatre_list_count; i++) {
        const iol_theatre_item *row = &plan->theatre_list[i];
        if (strcmp(row->lens_id, id) == 0 && iol_same(row->power_d, power_d) && iol_same(row->cylinder_d, cylinder_d))
            return true;
    }
    return false;
}

/* The places that a lens is the fallback for: "sulcus, sclera". What has no room is left to the fallbacks themselves. */
static void places_of(const iol_plan *plan, bool usable, const iol_theatre_item *lens, char places[60]) {
    places[0] = '\0';
    for (int i = 0; i < plan->fallbacks_count; i++) {
        const iol_fallback *f = &plan->fallbacks[i];
        const char *place = IOL_WORD(position, f->position);
        if (strcmp(f->lens_id, lens->lens_id) != 0 || !iol_same(usable ? f->power_d : NAN, lens->power_d)) continue;
        if (isnan(lens->cylinder_d)) iol_list_add(places, 60, place, "");
    }
}

static void name_lens(const iol_work *w, const char *id, iol_theatre_item *row) {
    const iol_shelf_lens *shelf = iol_eye_on_shelf(w->site, id);
    if (!shelf) return;
    memcpy(row->lens_id, shelf->id, sizeof row->lens_id);
    memcpy(row->lens_label, shelf->label, sizeof row->lens_label);
}

/* Which lens with its power a row is for, if there was room for the row, and its number in the stock. */
static void say_lens(const iol_work *w, iol_theatre_item *row, const char *id, double power_d, double cylinder_d) {
    if (!row) return;
    name_lens(w, id, row);
    row->power_d = power_d;
    row->cylinder_d = cylinder_d;
    const char *number = iol_stock_number(w->site, row->lens_id, power_d, cylinder_d);
    memcpy(row->product_number, number, strlen(number) + 1);
}

/* One row a lens, though it may be wanted more than once: why when it is for one thing only, too when for a fallback as well. */
static void add_lens(iol_work *w, const iol_theatre_item *lens, bool usable, iol_note_code why, iol_note_code too) {
    char places[60];
    if (listed(w->plan, lens->lens_id, lens->power_d, lens->cylinder_d)) return;
    places_of(w->plan, usable, lens, places);
    iol_theatre_item *row = add(w, IOL_theatre_kind_lens, "lens", 1, places[0] ? too : why, places);
    say_lens(w, row, lens->lens_id, lens->power_d, lens->cylinder_d);
}

/* A second lens in front of the old one is what comes first, and its power may be used. */
static bool front_leads(const iol_work *w) {
    const iol_option_row *first = iol_first_way(w->plan);
    return first && first->option == IOL_option_piggyback && iol_chosen_step(&w->plan->piggyback.power);
}

static void add_front(iol_work *w) {
    const iol_choice *c = iol_chosen_step(&w->plan->piggyback.power);
    if (!front_leads(w)) return;
    iol_theatre_item *row = add(w, IOL_theatre_kind_lens, "lens", 1, IOL_NOTE_item_lens_front, NULL);
    say_lens(w, row, c->lens_id, c->power_d, c->cylinder_d);
}

static void add_step(iol_work *w, const iol_choice *c, bool is_chosen) {
    iol_theatre_item lens = {.power_d = c->power_d, .cylinder_d = c->cylinder_d};
    memcpy(lens.lens_id, c->lens_id, sizeof lens.lens_id);
    if (is_chosen && w->eye.two)
        add_lens(w, &lens, true, IOL_NOTE_item_lens_both, IOL_NOTE_item_lens_both_too);
    else if (is_chosen && front_leads(w))
        add_lens(w, &lens, true, IOL_NOTE_item_lens_instead, IOL_NOTE_item_lens_instead_too);
    else if (is_chosen)
        add_lens(w, &lens, true, IOL_NOTE_item_lens_chosen, IOL_NOTE_item_lens_chosen_too);
    else
        add_lens(w, &lens, true, IOL_NOTE_item_lens_step, IOL_NOTE_item_lens_step_too);
}

/* A lens for every other place, of those for an eye without capsule the first. */
static void add_fallbacks(iol_work *w, bool usable) {
    const iol_plan *plan = w->plan;
    bool without_capsule = false;
    for (int i = 0; i < plan->fallbacks_count; i++) {
        const iol_fallback *f = &plan->fallbacks[i];
        bool capsule = f->position <= IOL_position_sulcus_captured;
        if (!f->lens_id[0] || (!capsule && without_capsule)) continue;
        without_capsule = without_capsule || !capsule;
        iol_note_code why = capsule ? IOL_NOTE_item_lens_fallback : IOL_NOTE_item_lens_no_capsule;
        iol_theatre_item lens = {.power_d = usable ? f->power_d : NAN, .cylinder_d = NAN};
        memcpy(lens.lens_id, f->lens_id, sizeof lens.lens_id);
        add_lens(w, &lens, usable, why, why);
    }
}

/* Another second lens, for an eye that has two. */
static void add_second(iol_work *w) {
    const iol_two_way *way = iol_two_way_of(w->plan, IOL_two_way_second_exchanged);
    if (!way || !way->lens_id[0]) return;
    iol_theatre_item *row = add(w, IOL_theatre_kind_lens, "lens", 1, IOL_NOTE_item_lens_second, NULL);
    say_lens(w, row, way->lens_id, way->power_d, way->cylinder_d);
}

/* The chosen lens first, then the steps of its class beside it, then the fallbacks: powers only when they may be used. */
static void add_lenses(iol_work *w) {
    const iol_replacement *r = &w->plan->replacement;
    const iol_choice *choice = iol_chosen_step(r);
    add_front(w);
    if (choice) add_step(w, choice, true);
    if (!choice && r->present && r->lens_id[0]) {
        iol_theatre_item *row =
            add(w, IOL_theatre_kind_lens, "lens", 1, IOL_NOTE_item_lens_open, IOL_WORD(standing, r->standing));
        if (row) name_lens(w, r->lens_id, row);
    }
    for (int i = 0; choice && i < r->choices_count; i++) {
        const iol_choice *c = &r->choices[i];
        bool near = fabs((double)(c - choice)) <= c_theatre_steps_each_side;
        if (c != choice && strcmp(c->lens_id, choice->lens_id) == 0 && near) add_step(w, c, false);
    }
    if (choice) add_second(w);
    add_fallbacks(w, choice != NULL);
}

void iol_part_theatre_list(iol_work *w) {
    iol_flag answer[ITEMS];
    add_lenses(w);
    iol_facts_grow(w);
    ask(w, answer);
    for (int i = 0; i < ITEMS; i++) {
        if (answer[i] == IOL_NO) continue;
        bool yes = answer[i] == IOL_YES;
        add(w, items[i].kind, items[i].item, items[i].count, yes ? items[i].why : IOL_NOTE_item_not_known,
            yes ? NULL : items[i].finding);
    }
}
