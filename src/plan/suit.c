/* What speaks for and against each way. */
#include "suit.h"
#include "tables/rule_codes.h"

#include <string.h>

#include "tables/constants.h"
#include "text/list.h"

typedef struct {
    int option;
    iol_option_effect effect;
    iol_flag answer;
    const char *finding;
    double value, limit;
    iol_note_code note;
} rule;

enum {
#define OPTION_RULE(option, id, effect, predicate, finding, value, limit, reference, code, text) RULE_##id,
#include "option_rules.def"
    RULES
};

static void ask(const iol_case *c, const iol_facts *f, rule all[RULES]) {
#define OPTION_RULE(option, id, effect, predicate, finding, value, limit, reference, code, text)                       \
    all[RULE_##id] =                                                                                                   \
        (rule){IOL_option_##option, IOL_EFFECT_##effect, predicate, finding, value, limit, IOL_NOTE_opt_##id};
#include "option_rules.def"
}

/* A rule that decides: the first of the strongest effect. */
static void decide(iol_verdict *out, int *strength, int this_strength, const rule *r) {
    if (this_strength <= *strength) return;
    *strength = this_strength;
    out->why = r->note;
    out->value = r->value;
    out->limit = r->limit;
}

/* Does not fit when a rule says so; not known when one that could speak against it is not known, an alarm first of all. */
static iol_flag suitable(const rule all[RULES], int option, iol_flag alarm) {
    iol_flag fits = iol_not(alarm);
    for (int i = 0; i < RULES; i++) {
        if (all[i].option != option || all[i].answer == IOL_NO) continue;
        bool not_known = all[i].answer == IOL_UNKNOWN && all[i].effect < IOL_EFFECT_least;
        if (not_known || all[i].effect == IOL_EFFECT_doubt) fits = iol_and(fits, IOL_UNKNOWN);
        if (all[i].effect == IOL_EFFECT_no && all[i].answer == IOL_YES) fits = IOL_NO;
    }
    return fits;
}

/* What is not known, named; it is the reason when nothing stronger decides. */
static void not_known(iol_work *w, const rule all[RULES], int option, int place, int row, int strength,
                      iol_verdict *out) {
    char list[60] = "";
    if (w->facts.alarm == IOL_UNKNOWN) iol_list_add_each(list, sizeof list, "red flags and pressure", ", more");
    for (int i = 0; i < RULES; i++)
        if (all[i].option == option && all[i].answer == IOL_UNKNOWN && all[i].effect < IOL_EFFECT_first)
            iol_list_add_each(list, sizeof list, all[i].finding, ", more");
    if (!list[0]) return;
    if (place >= 0) iol_note_add(&w->plan->notes, place, row, IOL_NOTE_opt_not_known, NAN, NAN, list);
    if (strength >= 3) return;
    out->why = IOL_NOTE_opt_not_known;
    memcpy(out->word, list, sizeof out->word);
}

/* Where one rule puts a way; a later place holds against an earlier one. */
static void place_by(const rule *r, iol_verdict *out) {
    bool yes = r->answer == IOL_YES;
    out->top = out->top || (r->effect == IOL_EFFECT_top && yes);
    out->first = out->first || (r->effect == IOL_EFFECT_first && yes);
    out->last = out->last || r->effect == IOL_EFFECT_last || (r->effect == IOL_EFFECT_after && yes);
    out->least = out->least || r->effect == IOL_EFFECT_least || (r->effect == IOL_EFFECT_end && yes);
}

/* Two rules may place a way differently for one reason: it is told once. */
static bool is_said(const iol_notes *notes, int place, int row, iol_note_code code) {
    for (int i = iol_note_find(notes, place, row, 0); i >= 0; i = iol_note_find(notes, place, row, i + 1))
        if (strcmp(iol_note_rows[notes->item[i].code].text, iol_note_rows[code].text) == 0) return true;
    return false;
}

void iol_option_judge(iol_work *w, int option, int place, int row, iol_verdict *out) {
    static const int strength_of[] = {
        [IOL_EFFECT_no] = 6,    [IOL_EFFECT_doubt] = 5, [IOL_EFFECT_top] = 4,   [IOL_EFFECT_last] = 2,
        [IOL_EFFECT_after] = 2, [IOL_EFFECT_end] = 3,   [IOL_EFFECT_least] = 2, [IOL_EFFECT_first] = 1};
    rule all[RULES];
    int strength = 0;
    ask(w->c, &w->facts, all);
    *out = (iol_verdict){
        .suitable = suitable(all, option, w->facts.alarm), .why = IOL_NOTE_opt_fits, .value = NAN, .limit = NAN};
    for (int i = 0; i < RULES; i++) {
        const rule *r = &all[i];
        if (r->option != option || r->answer == IOL_NO) continue;
        place_by(r, out);
        if (r->answer != IOL_YES) continue;
        decide(out, &strength, strength_of[r->effect], r);
        const bool speaks = place >= 0 && (out->suitable != IOL_NO || r->effect <= IOL_EFFECT_doubt);
        if (speaks && !is_said(&w->plan->notes, place, row, r->note))
            iol_note_add(&w->plan->notes, place, row, r->note, r->value, r->limit, NULL);
    }
    if (out->suitable != IOL_NO) not_known(w, all, option, place, row, strength, out);
}

const char *iol_option_words(int option) {
    static const char *const words[] = {
#define OPTION(option, words) [IOL_option_##option] = words,
#include "option_rules.def"
    };
    return option > 0 && option < (int)(sizeof words / sizeof *words) && words[option] ? words[option] : "";
}
