/* What speaks for and against each way: the rules of data/option_rules.def. */
#ifndef IOL_PLAN_SUIT_H
#define IOL_PLAN_SUIT_H

#include "work.h"

/* What a rule does to its way, as data/option_rules.def names it. */
typedef enum {
    IOL_EFFECT_no,
    IOL_EFFECT_doubt,
    IOL_EFFECT_after,
    IOL_EFFECT_last,
    IOL_EFFECT_end,
    IOL_EFFECT_least,
    IOL_EFFECT_first,
    IOL_EFFECT_top
} iol_option_effect;

typedef struct {
    iol_flag suitable;
    bool top, first, last, least; /* where rules put it: before all, before the others, after them, after those too */
    iol_note_code why;            /* the rule that decides */
    double value, limit;
    char word[60];
} iol_verdict;

/* The way in words, where it keeps the lens; else "". */
const char *iol_option_words(int option);
/* Judge one way (word of set option) by the facts of the work. Its reasons go to a place and row of the plan's notes; place < 0:
 * nowhere. */
void iol_option_judge(iol_work *w, int option, int place, int row, iol_verdict *out);

#endif
