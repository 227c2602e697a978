/* Theatre card: what is ticked and who signs. */
#include "sheet.h"
#include "theatre_hands.h"

/* What is said and looked at whatever is done; where no power is put in, what is turned is said. */
static int always(iol_sheet *s, bool turns, bool write) {
    const iol_choice *c = iol_chosen_step(iol_new_lens(s->plan));
    iol_lead lead;
    const bool leads = iol_lead_operates(s->plan, &lead);
    const bool alone = iol_second_out_operates(s->plan), puts_in = !turns && !alone, may = iol_card_may_put_in(s->plan);
    const bool axis = turns || (leads ? lead.cylinder_d > 0.0 : puts_in && c && c->cylinder_d > 0.0);
    const struct {
        bool when;
        const char *text;
    } item[] = {{true, "label, side and eye mark agree"},
                {puts_in, "lens seen in the room before the patient"},
                {iol_only_seeing_eye(s->plan), "second surgeon agreed, name: __________"},
                {may && !puts_in, "lens for the exchange seen in the room"},
                {may, "power and sign said aloud"},
                {iol_second_comes_out(s->plan), "which lens comes out said aloud"},
                {turns, "degrees and direction said aloud"},
                {may, "one lens opened at a time"},
                {axis, "axis marked upright, before lying down"},
                {turns, "marks of the lens read, pupil wide"}};
    int count = 0;
    for (size_t i = 0; i < sizeof item / sizeof *item; i++) {
        count += item[i].when;
        if (item[i].when && write) iol_sheet_text(s, "<li>", item[i].text, "</li>\n");
    }
    return count;
}

void iol_sheet_ticks(iol_sheet *s, bool turns) {
    static const int order[] = {IOL_theatre_kind_standby, IOL_theatre_kind_instrument, IOL_theatre_kind_fluid};
    enum { MANY = 18 }; /* smaller above */
    int items = always(s, turns, false);
    iol_line line;
    for (int i = 0; i < s->plan->theatre_list_count; i++) items += iol_theatre_tick(s->plan, i, &line);
    iol_sheet_put(s, items > MANY ? "<ul class=\"ticks many\">" : "<ul class=\"ticks\">");
    always(s, turns, true);
    for (int kind = 0; kind < 3; kind++)
        for (int i = 0; i < s->plan->theatre_list_count; i++)
            if (s->plan->theatre_list[i].kind == order[kind] && iol_theatre_tick(s->plan, i, &line))
                iol_sheet_line(s, "<li>", &line, "</li>\n");
    iol_sheet_put(s, "</ul>\n");
}

/* Two people sign what may be done; a card that is not for now has nothing to be signed. */
void iol_sheet_signed(iol_sheet *s) {
    iol_line line;
    iol_line_start(&line);
    if (iol_line_unsigned(&line, s->plan)) {
        iol_sheet_line(s, "<p class=\"unsigned\"><b>", &line, "</b></p>\n");
        return;
    }
    if (iol_theatre_use(s->plan) == IOL_CARD_WEIGH)
        iol_sheet_put(s, "<p class=\"signed-for\"><b>Signed only once a way is ticked above.</b></p>\n");
    if (iol_line_signed_for(&line, s->plan)) iol_sheet_line(s, "<p class=\"signed-for\"><b>", &line, "</b></p>\n");
    iol_sheet_put(s, iol_card_may_put_in(s->plan)
                         ? "<div class=\"sign\"><div class=\"label-box\">Lens label: compare power and sign</div>"
                         : "<div class=\"sign\">");
    iol_sheet_put(s, "<p>said aloud and checked: surgeon</p><p>checked: nurse</p><p>date, time</p></div>\n");
}
