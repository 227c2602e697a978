/* Questions that matter (data/questions.def). */
#include <string.h>

#include "case/reader.h"
#include "alarms.h"
#include "case/entry.h"
#include "iolrevise.h"
#include "tables/constants.h"
#include "tables/say.h"
#include "work.h"

static const struct {
    const char *paths, *question;
} questions[] = {
#define QUESTION(paths, question) {paths, question},
#include "questions.def"
#undef QUESTION
};
enum { QUESTIONS = sizeof questions / sizeof *questions, FIELDS = 4 };

/* ---- what of a plan can change ---- */

typedef struct {
    int state, urgency, standing, position, first_way;
    int decided_by;          /* code of the reason that decides */
    unsigned long held_back; /* the reasons of the standing, as one number */
    int reasons;             /* how many */
    bool today;              /* an alarm */
    double power_d;
} outcome;

/* The codes of the notes of a place, in a number that another set hardly has. */
static unsigned long codes_of(const iol_plan *plan, int place, int *count) {
    unsigned long sum = 0;
    *count = 0;
    for (int i = iol_note_find(&plan->notes, place, 0, 0); i >= 0; i = iol_note_find(&plan->notes, place, 0, i + 1))
        sum = sum * 1000003ul + (unsigned long)plan->notes.item[i].code + 1ul, ++*count;
    return sum;
}

static outcome outcome_of(const iol_plan *plan) {
    const iol_choice *step = iol_chosen_step(iol_new_lens(plan));
    outcome o = {.state = plan->decision.state,
                 .urgency = plan->decision.urgency,
                 .standing = iol_new_lens(plan)->standing,
                 .position = iol_new_lens(plan)->position,
                 .power_d = step ? step->power_d : NAN};
    int decides = iol_note_find(&plan->notes, IOL_AT_decision_reasons, 0, 0);
    o.decided_by = decides < 0 ? -1 : plan->notes.item[decides].code;
    o.held_back = codes_of(plan, IOL_AT_replacement_standing_reasons, &o.reasons);
    o.today = o.urgency == IOL_urgency_same_day;
    const iol_option_row *first = iol_first_way(plan);
    if (first) o.first_way = first->option;
    return o;
}

/* What one answer changes, as bits: the greatest first. A reason that goes or comes holds the power back together with others: it
 * is of the standing too, and stands behind an answer that changes the word. */
enum {
    CHANGES_ALARM,
    CHANGES_DECISION,
    CHANGES_STANDING,
    CHANGES_HELD_BACK,
    CHANGES_POWER,
    CHANGES_PLACE,
    CHANGES_WAY,
    CHANGES_DECIDED_BY,
    CHANGES
};
static const char *const change_words[CHANGES] = {NULL,    "decision", "standing",  "standing",
                                                  "power", "place",    "first-way", "decision"};

static unsigned changes(const outcome *a, const outcome *b) {
    bool differs[CHANGES] = {a->today != b->today,
                             a->state != b->state || a->urgency != b->urgency,
                             a->standing != b->standing,
                             a->held_back != b->held_back,
                             !iol_same(a->power_d, b->power_d),
                             a->position != b->position,
                             a->first_way != b->first_way,
                             a->decided_by != b->decided_by};
    unsigned bits = 0;
    for (int i = 0; i < CHANGES; i++)
        if (differs[i]) bits |= 1u << i;
    return bits;
}

/* ---- a question's fields in a case ---- */

typedef struct {
    iol_entry entry[FIELDS];
    int count;
} fields;

/* `new` in a path is the newest reading. */
static void resolve(const iol_case *c, const char *path, size_t length, char out[IOL_ENTRY_PATH]) {
    static const char new_reading[] = "refractions.new.";
    size_t skip = sizeof new_reading - 1;
    out[0] = '\0';
    if (length > skip && memcmp(path, new_reading, skip) == 0) {
        iol_append(out, IOL_ENTRY_PATH, "refractions.");
        iol_append_number(out, IOL_ENTRY_PATH, c->refractions_count > 0 ? c->refractions_count : 1);
        iol_append(out, IOL_ENTRY_PATH, ".");
        path += skip;
        length -= skip;
    }
    iol_append_bytes(out, IOL_ENTRY_PATH, path, length);
}

/* Those of the question that the case leaves open. */
static void open_fields(iol_case *c, const char *paths, fields *f) {
    f->count = 0;
    for (const char *at = paths; *at && f->count < FIELDS;) {
        size_t length = strcspn(at, " ");
        char path[IOL_ENTRY_PATH];
        iol_refusal refusal = {.brief = true};
        iol_entry entry;
        resolve(c, at, length, path);
        bool open = iol_entry_find(c, path, &entry, &refusal) && !iol_entry_known(&entry);
        if (open) f->entry[f->count++] = entry;
        at += length + (at[length] == ' ');
    }
}

/* ---- answers ---- */

enum { NUMBER_WAYS = 3 };

static int ways_of(const iol_field *field) {
    switch (field->kind) {
    case IOL_KIND_WORD: return field->words->count - 1;
    case IOL_KIND_FLAG: return 2;
    default: return NUMBER_WAYS; /* numbers and days */
    }
}

/* A day that could be: the first operation some days before the plan, the plan some days after it, a reading on its day. */
static int32_t day_of(const iol_case *c, const iol_entry *entry, int way, double *days) {
    static const double after[NUMBER_WAYS] = {c_ask_day_early, c_ask_day_late, c_ask_day_old};
    int32_t done_on = c->first_surgery.done_on, plan_on = c->assessed_on, anchor = (int32_t)c_ask_anchor_day;
    for (int i = 0; i < c->refractions_count; i++)
        if (c->refractions[i].measured_on != IOL_UNKNOWN_DATE) anchor = c->refractions[i].measured_on;
    if (plan_on != IOL_UNKNOWN_DATE) anchor = plan_on;
    *days = after[way];
    if (entry->base == (const void *)&c->first_surgery) return anchor - (int32_t)after[way];
    return (done_on != IOL_UNKNOWN_DATE ? done_on : anchor) + (int32_t)after[way];
}

static void say_days(double days, char *out, size_t size) {
    iol_append(out, size, "day ");
    iol_append_number(out, size, days);
}

/* The field's answer number `way` as text to set, and in said how it is told. */
static void answer(const iol_case *c, const iol_entry *entry, int way, char *set, size_t size, char *said,
                   size_t said_size) {
    const iol_field *field = entry->field;
    double days;
    char day[11];
    set[0] = said[0] = '\0';
    switch (field->kind) {
    case IOL_KIND_WORD: iol_append(set, size, field->words->word[way + 1]); break;
    case IOL_KIND_FLAG: iol_append(set, size, way > 0 ? "no" : "yes"); break;
    case IOL_KIND_DATE:
        iol_date_print(day_of(c, entry, way, &days), day);
        iol_append(set, size, day);
        say_days(days, said, said_size);
        return;
    default:
        iol_append_number(set, size,
                          field->usual_low + (field->usual_high - field->usual_low) * way / (NUMBER_WAYS - 1));
        iol_append(said, said_size, set);
        iol_append(said, said_size, iol_units[field->unit].printed[0] ? " " : "");
        iol_append(said, said_size, iol_units[field->unit].printed);
        return;
    }
    iol_append(said, said_size, set);
}

/* The case with the question answered in one of its ways; false where that contradicts what it says. */
static bool answered(const iol_case *c, const char *paths, int way, iol_case *into, char *said, size_t size) {
    fields f;
    iol_faults faults;
    memcpy(into, c, sizeof *into);
    open_fields(into, paths, &f);
    for (int i = 0; i < f.count; i++) {
        char set[40], more[40];
        iol_refusal refusal = {.brief = true};
        answer(into, &f.entry[i], way % ways_of(f.entry[i].field), set, sizeof set, i == 0 ? said : more,
               i == 0 ? size : sizeof more);
        if (f.entry[i].count && *f.entry[i].count < f.entry[i].index) return false;
        if (!iol_entry_set(&f.entry[i], set, &refusal)) return false;
    }
    iol_faults_start(&faults);
    iol_case_check(into, &faults);
    return faults.count == 0;
}

/* ---- one question ---- */

typedef struct {
    const iol_case *c;
    const iol_site *site;
    int32_t as_of;
    iol_ask_room *room;
    outcome now;
    iol_asked *all;
    double weight[IOL_MOST(((iol_asked *)0)->questions)]; /* of each question */
} asker;

/* Most first: by the greatest change, then by how many answers change it. */
static double weigh(unsigned bits, int changing) {
    int first = 0;
    while (first < CHANGES && !(bits & 1u << first)) first++;
    return (double)((CHANGES - first) * 100 + changing);
}

/* The place of a question: of two that ask for the same field first, alone and together with others, the heavier one stays. */
static int place_for(asker *a, const iol_asked_question *found, double weight) {
    iol_asked *all = a->all;
    for (int i = 0; i < all->questions_count; i++)
        if (strcmp(all->questions[i].path, found->path) == 0) return a->weight[i] < weight ? i : -1;
    if (!iol_has_room(all->questions_count, IOL_MOST(all->questions), &all->questions_lost)) return -1;
    return all->questions_count++;
}

static void keep(asker *a, const iol_asked_question *found, unsigned bits, int changing) {
    iol_asked *all = a->all;
    int at = place_for(a, found, weigh(bits, changing));
    if (at < 0) return;
    a->weight[at] = weigh(bits, changing);
    all->questions[at] = *found;
    if (bits & 1u << CHANGES_DECISION) bits &= ~(1u << CHANGES_DECIDED_BY);
    if (bits & 1u << CHANGES_STANDING) bits &= ~(1u << CHANGES_HELD_BACK);
    for (int i = CHANGES_DECISION; i < CHANGES; i++)
        if (bits & 1u << i) all->questions[at].could_change[all->questions[at].could_change_count++] = change_words[i];
}

/* A second lens is asked about where one is told of, a first where it is not told to be gone. */
static bool is_told_of(const iol_case *c, const char *path) {
    bool first = strncmp(path, "first_surgery.lens", 18) == 0, second = strncmp(path, "second_lens", 11) == 0;
    return second ? iol_case_two_lenses(c) : !first || iol_case_no_lens(c) != IOL_YES;
}

/* Red flags all at once while one is open, a single one where not all are absent; where a lens lies, once a dislocation is told.
 * The marks of a lens once it is told to be toric, which is a question of its own. Other fields always. */
static bool matters(const iol_case *c, const iol_case *copy, const iol_entry *entry) {
    char words[sizeof((iol_note *)0)->word];
    if (entry->base == (const void *)&copy->dislocation)
        return c->dislocation.present || iol_case_has_reason(c, IOL_reason_lens_dislocation) == IOL_YES;
    if (entry->base == (const void *)&copy->first_surgery.lens && strcmp(entry->field->key, "axis_deg") == 0)
        return iol_above(copy->first_surgery.lens.cylinder_d, 0.0) == IOL_YES;
    if (entry->base != (const void *)&copy->red_flags) return true;
    if (strcmp(entry->field->key, "none") != 0) return c->red_flags.none == IOL_NO;
    return iol_alarm_red_flags(c, words, sizeof words) == IOL_UNKNOWN;
}

static void ask(asker *a, const char *paths, const char *question) {
    iol_asked_question q = {.present = true, .question = question, .lifts = IOL_NO};
    fields f;
    unsigned bits = 0;
    int changing = 0;
    memcpy(&a->room->c, a->c, sizeof *a->c);
    open_fields(&a->room->c, paths, &f);
    if (f.count == 0 || !is_told_of(a->c, paths) || !matters(a->c, &a->room->c, &f.entry[0])) return;
    iol_append(q.path, sizeof q.path, f.entry[0].path);
    for (int i = 1; i < f.count; i++) {
        if (i > 1) iol_append(q.also, sizeof q.also, " ");
        iol_append(q.also, sizeof q.also, f.entry[i].path);
    }
    for (int way = 0, ways = ways_of(f.entry[0].field); way < ways; way++) {
        iol_asked_answer row = {.present = true};
        if (!answered(a->c, paths, way, &a->room->c, row.answer, sizeof row.answer)) continue;
        iol_plan_make_compared(&a->room->c, a->site, a->as_of, &a->room->plan);
        outcome then = outcome_of(&a->room->plan);
        unsigned changed = changes(&a->now, &then);
        bits |= changed;
        changing += changed != 0;
        if (then.standing > 0 && then.standing <= a->now.standing && then.reasons < a->now.reasons) q.lifts = IOL_YES;
        row.state = then.state;
        row.standing = then.standing;
        row.power_d = then.power_d;
        if (iol_has_room(q.answers_count, IOL_MOST(q.answers), &q.answers_lost)) q.answers[q.answers_count++] = row;
    }
    if (bits) keep(a, &q, bits, changing);
}

/* Heaviest first; equal ones stay in the order of the table. */
static void sort(iol_asked *all, double weight[]) {
    for (int i = 1; i < all->questions_count; i++)
        for (int k = i; k > 0 && weight[k] > weight[k - 1]; k--) {
            iol_asked_question moved = all->questions[k];
            double w = weight[k];
            all->questions[k] = all->questions[k - 1];
            weight[k] = weight[k - 1];
            all->questions[k - 1] = moved;
            weight[k - 1] = w;
        }
}

void iol_plan_ask(const iol_case *c, const iol_site *site, int32_t as_of, iol_ask_room *room, iol_plan *plan) {
    iol_asked *all = &room->all;
    asker a = {.c = c, .site = site, .as_of = as_of, .room = room, .now = outcome_of(plan), .all = all};
    memset(all, 0, sizeof *all);
    all->present = true;
    memcpy(all->case_ref, plan->case_ref, sizeof all->case_ref);
    all->eye = plan->eye;
    all->state = a.now.state;
    all->standing = a.now.standing;
    all->power_d = a.now.power_d;
    for (int i = 0; i < QUESTIONS; i++) ask(&a, questions[i].paths, questions[i].question);
    sort(all, a.weight);
    plan->ask_next_count = 0;
    for (int i = 0; i < all->questions_count; i++) {
        if (plan->ask_next_count == (int)IOL_MOST(plan->ask_next)) break;
        plan->ask_next[plan->ask_next_count++] = all->questions[i];
    }
}
