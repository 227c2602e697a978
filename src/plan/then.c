/* What follows if every open question is answered reassuringly: the rules of the decision once more, on the case so answered. */
#include "case/entry.h"
#include "decision.h"
#include "gates.h"
#include "ranking.h"
#include "replacement.h"

static const struct {
    const char *path, *answer;
    bool again;
    const char *means;
} answers[] = {
#define ANSWER(path, answer, means) {path, answer, false, means},
#define DONE(path, answer, means) {path, answer, true, means},
#include "reassuring.def"
#undef ANSWER
#undef DONE
};
enum { ANSWERS = sizeof answers / sizeof *answers };

/* The field of a row, where the case leaves it open. */
static bool open_in(iol_case *c, int row, iol_entry *entry) {
    iol_refusal refusal = {.brief = true};
    if (!iol_entry_find(c, answers[row].path, entry, &refusal)) return false;
    if (entry->field->kind == IOL_KIND_NUM) return !iol_entry_known(entry);
    int value = *(const int *)(const void *)((const char *)entry->base + entry->field->offset);
    if (entry->field->kind == IOL_KIND_FLAG) return value == IOL_UNKNOWN || (answers[row].again && value == IOL_NO);
    return value <= 0;
}

/* The rules on the case with the rows of `take` answered. The parts are those of the plan; the ways are ranked anew. */
static iol_ruling rule_on(const iol_work *now, const bool take[ANSWERS]) {
    iol_case c = *now->c;
    iol_work w = *now;
    bool off = w.plan->notes.off;
    for (int i = 0; i < ANSWERS; i++) {
        iol_entry entry;
        iol_refusal refusal = {.brief = true};
        if (take[i] && open_in(&c, i, &entry)) iol_entry_set(&entry, answers[i].answer, &refusal);
    }
    w.c = &c;
    if (w.eye.oil == IOL_UNKNOWN && c.silicone_oil.now == IOL_NO) w.eye.oil = IOL_NO;
    if (c.cornea.earlier_refractive_surgery == IOL_corneal_surgery_none) w.eye.corneal_surgery = IOL_NO;
    w.plan->notes.off = true;
    iol_facts_begin(&w);
    iol_replacement *lens = w.plan->secondary.present ? &w.plan->secondary : &w.plan->replacement;
    const int standing = lens->standing;
    if (standing == IOL_standing_provisional) lens->standing = iol_standing_make(&w, lens); /* what the answers lift */
    iol_facts_grow(&w);
    iol_ways_rank(&w);
    iol_ruling ruling = iol_decision_ruling(&w);
    lens->standing = standing;
    w.plan->notes.off = off;
    return ruling;
}

static bool same(const iol_ruling *a, const iol_ruling *b) {
    return a->state == b->state && a->urgency == b->urgency && a->first_option == b->first_option;
}

static void add_if(iol_then *out, int row) {
    if (!iol_has_room(out->if__count, IOL_MOST(out->if_), &out->if__lost)) return;
    out->if_[out->if__count++] = (iol_then_if){
        .present = true, .path = answers[row].path, .answer = answers[row].answer, .means = answers[row].means};
}

void iol_decision_then(iol_work *w, const iol_ruling *now) {
    iol_then *out = &w->plan->decision.then;
    bool take[ANSWERS];
    iol_case c = *w->c;
    iol_entry entry;
    int open = 0;
    for (int i = 0; i < ANSWERS; i++) open += take[i] = open_in(&c, i, &entry);
    if (open == 0) return;
    iol_ruling all = rule_on(w, take);
    if (all.state <= 0 || same(&all, now)) return;
    out->present = true;
    out->state = all.state;
    out->urgency = all.urgency;
    out->first_way = all.first_option;
    out->not_before = all.not_before;
    for (int i = 0; i < ANSWERS; i++) {
        if (!take[i]) continue;
        take[i] = false;
        iol_ruling without = rule_on(w, take);
        take[i] = true;
        if (!same(&without, &all)) add_if(out, i);
    }
}
