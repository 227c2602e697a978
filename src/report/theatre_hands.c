/* What the theatre card says of the hands: rows of data/theatre_hands.def that hold for a plan. */
#include "theatre_hands.h"

#include "screen.h"
#include "tables/note_codes.h"

enum { OUT = IOL_CARD_OUT, HELD = IOL_CARD_HELD, TURN = IOL_CARD_TURN, FRONT = IOL_CARD_FRONT, IN = IOL_CARD_IN };

const iol_hands_row iol_hands[] = {
#define HANDS(kind, cards, place, note, text) {IOL_HANDS_##kind, cards, IOL_AT_##place, IOL_NOTE_##note, text},
#include "theatre_hands.def"
};
const int iol_hands_count = sizeof iol_hands / sizeof *iol_hands;

int iol_theatre_card(const iol_plan *plan) {
    iol_lead lead;
    iol_turn turn;
    if (iol_lead_operates(plan, &lead) || iol_second_out_operates(plan)) return FRONT;
    if (iol_turn_operates(plan, &turn)) return TURN;
    if (iol_theatre_held_again(plan)) return HELD;
    return plan->secondary.present ? IN : OUT;
}

static const iol_note *said(const iol_plan *plan, const iol_hands_row *row) {
    for (int i = iol_note_find(&plan->notes, row->place, 0, 0); i >= 0;
         i = iol_note_find(&plan->notes, row->place, 0, i + 1))
        if (plan->notes.item[i].code == row->note) return &plan->notes.item[i];
    return NULL;
}

int iol_hands_find(const iol_plan *plan, iol_hands_kind kind, int cards, int from, char *text, size_t size) {
    for (int i = from; i < iol_hands_count; i++) {
        const iol_note *note =
            iol_hands[i].kind == kind && (iol_hands[i].cards & cards) ? said(plan, &iol_hands[i]) : NULL;
        if (!note) continue;
        iol_note_fill(iol_hands[i].text, note, NULL, text, size);
        return i;
    }
    return -1;
}
