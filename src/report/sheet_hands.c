/* Theatre card: what is to be minded at the table, and whether the card may be used at all. */
#include "sheet.h"
#include "theatre_hands.h"

/* Where the old lens lies and what is not to be done, beside the operation. but: rows of these cards stand elsewhere. */
void iol_sheet_not_done(iol_sheet *s, int cards, int but) {
    static const iol_hands_kind order[] = {IOL_HANDS_LIES, IOL_HANDS_NOT};
    char text[200];
    bool any = false;
    for (int k = 0; k < 2; k++)
        for (int i = iol_hands_find(s->plan, order[k], cards, 0, text, sizeof text); i >= 0;
             i = iol_hands_find(s->plan, order[k], cards, i + 1, text, sizeof text)) {
            if (iol_hands[i].cards & but) continue;
            iol_sheet_text(s, any ? "<li>" : "<ul class=\"not-done\" aria-label=\"Not to be done\">\n<li>", text,
                           "</li>\n");
            any = true;
        }
    if (any) iol_sheet_put(s, "</ul>\n");
}

void iol_sheet_minded(iol_sheet *s, int cards, int but) {
    char text[200];
    bool any = false;
    for (int i = iol_hands_find(s->plan, IOL_HANDS_MIND, cards, 0, text, sizeof text); i >= 0;
         i = iol_hands_find(s->plan, IOL_HANDS_MIND, cards, i + 1, text, sizeof text)) {
        if (iol_hands[i].cards & but) continue;
        iol_sheet_text(s, any ? "<li>" : "<ul class=\"minded\" aria-label=\"Mind\">\n<li>", text, "</li>\n");
        any = true;
    }
    if (any) iol_sheet_put(s, "</ul>\n");
}

/* From this number on; the next one. */
int iol_sheet_brought_forward(iol_sheet *s, int cards, int but, int number) {
    char text[200];
    iol_line line;
    iol_line_start(&line);
    for (int i = iol_hands_find(s->plan, IOL_HANDS_STEP, cards, 0, text, sizeof text); i >= 0;
         i = iol_hands_find(s->plan, IOL_HANDS_STEP, cards, i + 1, text, sizeof text)) {
        if (iol_hands[i].cards & but) continue;
        iol_line_number(&line, number++, IOL_UNIT_count);
        iol_sheet_line(s, "<p class=\"step\"><b>", &line, "</b> ");
        iol_sheet_text(s, "", text, "</p>\n");
    }
    return number;
}

/* The way that is weighed against the exchange, with what it needs in the hands. */
void iol_sheet_put_back(iol_sheet *s) {
    iol_line line;
    iol_line_start(&line);
    if (!iol_line_put_back(&line, s->plan)) return;
    iol_sheet_text(s, "<div class=\"zone put-back\"><h3>If it is ", iol_only_held(s->plan) ? "fixed" : "put back",
                   ": the old lens stays</h3>\n");
    iol_sheet_line(s, "<p class=\"facts\">", &line, "</p></div>\n");
}

bool iol_sheet_card_is_full(const iol_plan *plan) {
    enum { MANY = 9, MANY_TICKS = 15 };
    const int card = iol_theatre_card(plan);
    char text[200];
    int count = 0;
    if (card == IOL_CARD_HELD) return plan->removal.orientation.present; /* two operations on one card */
    if (card == IOL_CARD_TURN && /* the way out of what comes out if it fails, or a band across the head */
        (iol_card_may_put_in(plan) || iol_hands_find(plan, IOL_HANDS_NOT, card, 0, text, sizeof text) >= 0))
        return true;
    for (int kind = IOL_HANDS_LIES; kind <= IOL_HANDS_MIND; kind++)
        for (int i = iol_hands_find(plan, kind, card, 0, text, sizeof text); i >= 0;
             i = iol_hands_find(plan, kind, card, i + 1, text, sizeof text))
            count++;
    if (card != IOL_CARD_OUT) return count > MANY;
    for (int i = 0; i < plan->fallbacks_count; i++) count += !isnan(plan->fallbacks[i].power_d);
    int ticks = 0;
    iol_line line;
    for (int i = 0; i < plan->theatre_list_count; i++) ticks += iol_theatre_tick(plan, i, &line);
    return count + (plan->removal.cuts_count > 0) + iol_two_come_out(plan) > MANY - 3 || ticks > MANY_TICKS;
}

/* How much of the operation stands in capitals: to the last word that is so. */
size_t iol_sheet_shouted(const char *text) {
    size_t end = 0;
    for (size_t i = 0; text[i] && !(text[i] >= 'a' && text[i] <= 'z'); i++)
        if (text[i + 1] == ' ' || text[i + 1] == '\0') end = i + 1;
    return end;
}
