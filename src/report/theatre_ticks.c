/* What is ticked on the theatre card: of the list of the plan what the operation of the card needs. */
#include "screen.h"
#include "tables/note_codes.h"

static bool turns(const iol_plan *plan) {
    iol_turn unused;
    return iol_turn_operates(plan, &unused);
}

/* A second lens goes in front and no bag is opened; where it is changed, it has to be taken out too. */
static bool for_second_lens(const iol_two_lenses *second, int code, bool comes_out) {
    switch (code) {
    case IOL_NOTE_item_turn:
    case IOL_NOTE_item_suture:
    case IOL_NOTE_item_dispersive:
    case IOL_NOTE_item_spare:
    case IOL_NOTE_item_cohesive:
    case IOL_NOTE_item_miotic:
    case IOL_NOTE_item_antibiotic:
    case IOL_NOTE_item_steroid:
    case IOL_NOTE_item_vitrector_ready:
    case IOL_NOTE_item_vitrector_room:
    case IOL_NOTE_item_cornea:
    case IOL_NOTE_item_anaesthetist:
    case IOL_NOTE_item_blood_thinner: return true;
    case IOL_NOTE_item_hold:
    case IOL_NOTE_item_pot: return comes_out;
    case IOL_NOTE_item_cut: return comes_out && second->second_removal != IOL_removal_method_whole;
    case IOL_NOTE_item_loops:
    case IOL_NOTE_item_wide_wound:
        return comes_out && second->second_removal == IOL_removal_method_whole && second->second_fits != IOL_fits_yes;
    default: return false;
    }
}

/* For a turn with no lens at hand: nothing is cut and nothing comes out. */
static bool for_turn(int code) {
    switch (code) {
    case IOL_NOTE_item_cut:
    case IOL_NOTE_item_loops:
    case IOL_NOTE_item_hold:
    case IOL_NOTE_item_wide_wound:
    case IOL_NOTE_item_claw:
    case IOL_NOTE_item_sclera:
    case IOL_NOTE_item_pot:
    case IOL_NOTE_item_miotic: return false;
    default: return true;
    }
}

/* Only what lies in front of the first lens is put in, changed, taken out or turned. */
static bool in_front(const iol_plan *plan) {
    iol_lead lead;
    iol_turn t;
    if (iol_lead_operates(plan, &lead) || iol_second_out_operates(plan)) return true;
    return iol_turn_operates(plan, &t) && t.second && (iol_turn_second_instead(plan, &lead) || !iol_power_given(plan));
}

/* A second lens is turned with another one at hand for it, or it comes out. */
static bool second_may_come_out(const iol_plan *plan) {
    iol_lead unused;
    return iol_second_comes_out(plan) || (turns(plan) && iol_turn_second_instead(plan, &unused));
}

static bool marks_wanted(const iol_plan *plan) {
    iol_lead lead;
    return turns(plan) || (iol_lead_operates(plan, &lead) && lead.cylinder_d > 0.0);
}

bool iol_theatre_tick(const iol_plan *plan, int row, iol_line *line) {
    const iol_theatre_item *t = &plan->theatre_list[row];
    const int why = iol_note_find(&plan->notes, IOL_AT_theatre_item_why, row, 0);
    const int code = why < 0 ? -1 : plan->notes.item[why].code;
    if (t->kind == IOL_theatre_kind_lens) return false;
    if (code >= 0 && in_front(plan) && !for_second_lens(&plan->two_lenses, code, second_may_come_out(plan)))
        if (code != IOL_NOTE_item_toric || !marks_wanted(plan)) return false;
    const bool lens_at_hand = iol_power_given(plan) || second_may_come_out(plan);
    if (code >= 0 && turns(plan) && !lens_at_hand && !for_turn(code)) return false;
    iol_line_start(line);
    iol_line_text(line, t->item);
    if (t->count > 1.0) {
        iol_line_text(line, " x ");
        iol_line_number(line, t->count, IOL_UNIT_count);
    }
    return true;
}

/* The row is full, or what follows does not fit into it. */
static void have(iol_screen *s, iol_line *row, bool *first) {
    if (row->used) iol_screen_say(s, IOL_RANK_FACT, *first ? "HAVE" : NULL, row->text);
    *first = false;
    iol_line_start(row);
}

/* What is ticked before the patient lies down, two in a row where there is room. */
void iol_screen_ticks(const iol_plan *plan, iol_screen *s) {
    iol_line line, item;
    bool first = true, people = false; /* a line of people alone, so that it is not cut with things */
    if (iol_only_seeing_eye(plan))
        iol_screen_say(s, IOL_RANK_NEVER, "AGREED", "[ ] second surgeon, name: ____________________");
    iol_line_start(&line);
    for (int i = 0; i < plan->theatre_list_count; i++) {
        if (!iol_theatre_tick(plan, i, &item)) continue;
        const bool things = plan->theatre_list[i].kind != IOL_theatre_kind_standby;
        if (line.used && ((things && people) || item.used > 30 || line.used > 36)) have(s, &line, &first);
        people = !things;
        const bool second = line.used > 0;
        if (second) iol_line_column(&line, 38);
        iol_line_text(&line, "[ ] ");
        iol_line_text(&line, item.text);
        if (second || item.used > 30) have(s, &line, &first);
    }
    have(s, &line, &first);
}
