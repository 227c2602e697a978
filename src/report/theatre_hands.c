/* What the theatre card says of the hands: rows of data/theatre_hands.def that hold for a plan. */
#include "theatre_hands.h"

#include "screen.h"
#include "tables/note_codes.h"
#include "tables/rule_codes.h"

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

/* A remark on the way out: where the second of two lenses alone comes out, that of the second. */
static bool on_way_out(const iol_plan *plan, const iol_hands_row *row) {
    const int place = row->place;
    return iol_second_comes_out(plan) && (place == IOL_AT_removal_reasons || place == IOL_AT_removal_why ||
                                          place == IOL_AT_removal_orientation_reasons);
}

static const iol_note *said(const iol_plan *plan, const iol_hands_row *row) {
    const bool both = iol_two_come_out(plan) && row->note == IOL_NOTE_removal_second;
    const int second = on_way_out(plan, row) || both ? IOL_ROW_SECOND_LENS : 0;
    for (int i = iol_note_find(&plan->notes, row->place, second, 0); i >= 0;
         i = iol_note_find(&plan->notes, row->place, second, i + 1))
        if (plan->notes.item[i].code == row->note) return &plan->notes.item[i];
    return NULL;
}

static bool holds_for(const iol_plan *plan, const iol_hands_row *row, int cards) {
    const bool front = (cards & FRONT) && on_way_out(plan, row);
    return (row->cards & (front ? cards | OUT : cards)) != 0;
}

int iol_hands_find(const iol_plan *plan, iol_hands_kind kind, int cards, int from, char *text, size_t size) {
    for (int i = from; i < iol_hands_count; i++) {
        const iol_note *note =
            iol_hands[i].kind == kind && holds_for(plan, &iol_hands[i], cards) ? said(plan, &iol_hands[i]) : NULL;
        if (!note) continue;
        iol_note_fill(iol_hands[i].text, note, NULL, text, size);
        return i;
    }
    return -1;
}
