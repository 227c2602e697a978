/* What a theatre card is signed for, and whether a lens may go in under that signature. */
#include "screen.h"

bool iol_line_signed_for(iol_line *line, const iol_plan *plan) {
    iol_turn turn;
    iol_lead second;
    const int32_t from = iol_exchange_from(plan);
    if (!iol_power_given(plan) || iol_turn_alone(plan)) return false;
    if (iol_theatre_held_again(plan) && iol_new_lens(plan)->standing == IOL_standing_repeat_before_ordering) {
        iol_line_text(line, "Signed for putting it back alone: before any exchange repeat what is to be repeated.");
        return true;
    }
    const bool repeat = iol_new_lens(plan)->standing == IOL_standing_repeat_before_ordering;
    if (!iol_turn_operates(plan, &turn) || iol_turn_second_instead(plan, &second)) return false;
    if (from == IOL_UNKNOWN_DATE && !repeat) return false;
    iol_line_text(line, "Signed for the turn alone: if it fails leave it, close, and plan the exchange anew");
    iol_line_text(line, from == IOL_UNKNOWN_DATE ? "" : " from ");
    if (from != IOL_UNKNOWN_DATE) iol_line_day(line, from);
    iol_line_text(line, ".");
    return true;
}

bool iol_card_may_put_in(const iol_plan *plan) {
    iol_lead second;
    iol_line line;
    iol_line_start(&line);
    if (iol_card_puts_in(plan)) return true;
    if (iol_turn_alone(plan) || iol_line_signed_for(&line, plan)) return false;
    return iol_power_given(plan) || iol_turn_second_instead(plan, &second);
}
