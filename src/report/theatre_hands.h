/* What the theatre card says of the hands: rows of data/theatre_hands.def that hold for a plan. */
#ifndef IOL_REPORT_THEATRE_HANDS_H
#define IOL_REPORT_THEATRE_HANDS_H

#include "iolrevise/plan.h"

enum { IOL_CARD_OUT = 1, IOL_CARD_HELD = 2, IOL_CARD_TURN = 4, IOL_CARD_FRONT = 8, IOL_CARD_IN = 16 };
typedef enum { IOL_HANDS_LIES, IOL_HANDS_NOT, IOL_HANDS_STEP, IOL_HANDS_MIND } iol_hands_kind;

typedef struct {
    iol_hands_kind kind;
    int cards, place, note;
    const char *text;
} iol_hands_row;
extern const iol_hands_row iol_hands[];
extern const int iol_hands_count;

/* For which operation the card is: one IOL_CARD_ bit. */
int iol_theatre_card(const iol_plan *plan);
/* The first row at or after `from` of this kind that holds for these cards, its sentence filled; -1: none. */
int iol_hands_find(const iol_plan *plan, iol_hands_kind kind, int cards, int from, char *text, size_t size);

#endif
