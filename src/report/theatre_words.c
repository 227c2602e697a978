/* What the theatre card says, on a screen and on paper. */
#include "screen.h"
#include "theatre_hands.h"

#include <string.h>

#include "tables/constants.h"
#include "tables/note_codes.h"
#include "text/number.h"

static bool turn_leads(const iol_plan *plan) {
    iol_turn unused;
    return iol_turn_operates(plan, &unused);
}

/* The old lens is put back, or its optic brought forward, and that is the way that leads; an exchange stands behind it. */
const iol_option_row *iol_theatre_held_again(const iol_plan *plan) {
    const iol_option_row *first = iol_first_way(plan);
    const bool leads = plan->decision.state == IOL_state_other_option_first && first &&
                       first->not_before == IOL_UNKNOWN_DATE;
    const bool held = leads && (first->option == IOL_option_reposition || first->option == IOL_option_optic_capture);
    return held ? first : NULL;
}

static bool puts_back(const iol_option_row *way) { return way && way->option == IOL_option_reposition; }

/* An exchange alone: the range of its power is no power, and a lens that misses is none for an operation that is not the next. */
static const char *no_lens_for_card(const iol_plan *plan) {
    const iol_choice *c = iol_chosen_step(iol_new_lens(plan));
    const iol_option_row *first = iol_first_way(plan);
    iol_lead lead;
    if (plan->decision.state == IOL_state_other_option_first && first && first->option == IOL_option_relax_rim)
        return "the rim is relaxed first, then the eye is measured again";
    if (turn_leads(plan) || iol_lead_operates(plan, &lead) || iol_second_out_operates(plan) ||
        iol_theatre_held_again(plan))
        return NULL;
    if (iol_power_not_settled(plan)) return "the power is not settled";
    if (iol_theatre_use(plan) != IOL_CARD_NOT_NEXT || !c) return NULL;
    return iol_misses(c->expected.se_d, iol_new_lens(plan)->target_se_d) ? "no step of the shelf fits" : NULL;
}

const char *iol_theatre_operation(const iol_plan *plan, const char **why_not) {
    const int state = plan->decision.state;
    iol_lead lead;
    *why_not = NULL;
    if (iol_plan_stops(plan))
        *why_not = "a stop stands";
    else if (state == IOL_state_wait || state == IOL_state_find_cause_first || state == IOL_state_not_for_exchange ||
             !plan->decision.present)
        *why_not = "no operation is the next step";
    else if (!iol_power_given(plan) && !turn_leads(plan) && !iol_lead_operates(plan, &lead) &&
             !iol_second_out_operates(plan))
        *why_not = "no lens is chosen";
    else
        *why_not = no_lens_for_card(plan);
    if (*why_not) return NULL;
    if (iol_lead_operates(plan, &lead))
        return lead.way->option == IOL_option_piggyback ? "PUT A SECOND LENS in front: the old lens stays"
                                                        : "EXCHANGE THE SECOND LENS: the first lens stays";
    const iol_option_row *again = iol_theatre_held_again(plan);
    if (again)
        return again->option == IOL_option_reposition ? "PUT THE LENS BACK and hold it: it stays in"
                                                      : "BRING THE OPTIC FORWARD: the lens stays in";
    iol_turn t;
    if (iol_turn_operates(plan, &t))
        return t.second                   ? "TURN THE SECOND LENS: both stay in"
               : plan->two_lenses.present ? "TURN THE FIRST LENS, behind the second: both stay in"
                                          : "TURN the lens: it stays in";
    if (iol_second_out_operates(plan)) return "TAKE THE SECOND LENS OUT: the first lens stays";
    if (puts_back(iol_weighed_beside(plan)) && iol_only_held(plan))
        return plan->two_lenses.present ? "FIX IT OR EXCHANGE both lenses for one" : "FIX OR EXCHANGE the lens";
    if (puts_back(iol_weighed_beside(plan)))
        return plan->two_lenses.present ? "PUT BACK OR EXCHANGE both lenses for one" : "PUT BACK OR EXCHANGE the lens";
    if (plan->two_lenses.present) return "EXCHANGE BOTH lenses for one: take both out";
    return plan->secondary.present ? "PUT A LENS IN" : "EXCHANGE the lens";
}


bool iol_line_put_back(iol_line *line, const iol_plan *plan) {
    const iol_option_row *beside = iol_weighed_beside(plan);
    char text[200];
    if (!puts_back(beside)) return false;
    int i = iol_hands_find(plan, IOL_HANDS_STEP, IOL_CARD_HELD, 0, text, sizeof text);
    while (i >= 0 && iol_hands[i].place != IOL_AT_reposition_reasons)
        i = iol_hands_find(plan, IOL_HANDS_STEP, IOL_CARD_HELD, i + 1, text, sizeof text);
    iol_line_text(line, i >= 0 ? text : "How it would be held is not known yet.");
    if (beside->suitable != IOL_YES) iol_line_text(line, " Not known yet whether it fits.");
    if (isnan(beside->expected_se_d)) return true;
    iol_line_text(line, " Expect SE ");
    iol_line_signed(line, beside->expected_se_d, IOL_UNIT_d);
    if (!isnan(beside->expected_cylinder_d)) {
        iol_line_text(line, ", cylinder ");
        iol_line_signed(line, beside->expected_cylinder_d, IOL_UNIT_d);
    }
    iol_line_text(line, ".");
    return true;
}

const char *iol_theatre_not_next(const iol_plan *plan, iol_line *line) {
    const iol_option_row *first = iol_first_way(plan);
    iol_lead lead;
    if (iol_lead_operates(plan, &lead) || turn_leads(plan) || iol_exchange_leads(plan) || !first) return NULL;
    if (iol_second_out_operates(plan)) return NULL;
    iol_line_start(line);
    const iol_option_row *again = iol_theatre_held_again(plan), *beside = iol_weighed_beside(plan);
    if (again && again->suitable != IOL_YES) {
        iol_line_text(line, "Not yet: whether it fits is not known. Look how the lens lies; then print anew.");
        return line->text;
    }
    if (again) {
        iol_line_text(line, "SE ");
        iol_line_signed(line, again->expected_se_d, IOL_UNIT_d);
        iol_line_text(line, " is expected. Exchange only if it cannot be held: then the lens below.");
        return line->text;
    }
    const bool weigh = plan->decision.state == IOL_state_exchange_or_alternative;
    iol_line_text(line, weigh ? "Choose first, tick one: [ ] " : "Not the next step. First: ");
    iol_line_text(line, iol_way_of(plan, beside ? beside : first));
    if (weigh) {
        iol_line_text(line, " [ ] exchange the lens");
        iol_line_text(line, puts_back(beside) ? ". Not valid without a tick: each way has its own lines."
                                              : ". This card is for the last alone: not valid without its tick.");
        return line->text;
    }
    if (first->not_before != IOL_UNKNOWN_DATE) {
        iol_line_text(line, ", from ");
        iol_line_day(line, first->not_before);
    }
    iol_line_text(line, ". Then print anew.");
    return line->text;
}

static bool notes_say(const iol_plan *plan, int place, int code) {
    for (int i = iol_note_find(&plan->notes, place, 0, 0); i >= 0; i = iol_note_find(&plan->notes, place, 0, i + 1))
        if (plan->notes.item[i].code == code) return true;
    return false;
}

bool iol_only_seeing_eye(const iol_plan *plan) {
    return notes_say(plan, IOL_AT_decision_reasons, IOL_NOTE_advise_only_eye);
}

int iol_lens_behind(const iol_plan *plan) {
    if (notes_say(plan, IOL_AT_removal_reasons, IOL_NOTE_removal_retina) ||
        notes_say(plan, IOL_AT_decision_reasons, IOL_NOTE_rule_lens_on_retina))
        return IOL_lies_retina;
    return notes_say(plan, IOL_AT_removal_reasons, IOL_NOTE_removal_vitreous) ||
                   notes_say(plan, IOL_AT_decision_reasons, IOL_NOTE_advise_vitreous_lens)
               ? IOL_lies_anterior_vitreous
               : 0;
}

/* The standing of the lens that this card puts in; of a lens at hand for another operation nothing. */
static int standing_of(const iol_plan *plan) {
    iol_lead lead;
    iol_turn turn;
    if (iol_lead_operates(plan, &lead)) return lead.standing;
    if (iol_turn_operates(plan, &turn) || iol_second_out_operates(plan) || iol_theatre_held_again(plan)) return 0;
    return iol_new_lens(plan)->standing;
}

iol_card_use iol_theatre_use(const iol_plan *plan) {
    iol_line line;
    const iol_option_row *again = iol_theatre_held_again(plan);
    const bool behind = iol_theatre_not_next(plan, &line) != NULL && (!again || again->suitable != IOL_YES);
    const bool weigh = plan->decision.state == IOL_state_exchange_or_alternative;
    if (behind && !weigh) return IOL_CARD_NOT_NEXT;
    if (standing_of(plan) == IOL_standing_repeat_before_ordering) return IOL_CARD_REPEAT;
    return behind ? IOL_CARD_WEIGH : IOL_CARD_NOW;
}

/* What lifts the standing, at most two, each behind a blank. */
bool iol_line_lifts(iol_line *line, const iol_plan *plan) {
    enum { MOST = 2 };
    iol_lead lead;
    const int place = IOL_AT_replacement_standing_reasons;
    const int row =
        iol_lead_operates(plan, &lead) && lead.way->option == IOL_option_piggyback ? IOL_ROW_SECOND_LENS : 0;
    int count = 0;
    for (int i = iol_note_find(&plan->notes, place, row, 0); i >= 0;
         i = iol_note_find(&plan->notes, place, row, i + 1)) {
        char text[640];
        if (!*iol_note_lifts(&plan->notes.item[i], text, sizeof text) || count++ >= MOST) continue;
        iol_line_text(line, " ");
        iol_line_text(line, text);
    }
    if (count > MOST) {
        iol_line_text(line, " ");
        iol_line_number(line, count - MOST, IOL_UNIT_count);
        iol_line_text(line, " more: tables.");
    }
    return count > 0;
}

bool iol_card_puts_in(const iol_plan *plan) {
    iol_turn turn;
    return !iol_turn_operates(plan, &turn) && !iol_second_out_operates(plan) && !iol_theatre_held_again(plan);
}

bool iol_line_unsigned(iol_line *line, const iol_plan *plan) {
    const iol_card_use use = iol_theatre_use(plan);
    if (use == IOL_CARD_NOT_NEXT)
        iol_line_text(line, "NOT TO BE SIGNED: this is not the next step. Print anew when it is.");
    if (use == IOL_CARD_REPEAT)
        iol_line_text(line, "NOT TO BE SIGNED before what is to be repeated is done and the plan is printed anew.");
    const bool untested = use != IOL_CARD_NOT_NEXT && use != IOL_CARD_REPEAT && turn_leads(plan) &&
                          iol_note_with(&plan->notes, IOL_AT_decision_reasons, IOL_NOTE_advise_turn_scar) >= 0;
    if (untested)
        iol_line_text(line, "NOT TO BE SIGNED before topography and a refraction through a rigid contact lens: then print anew.");
    return use == IOL_CARD_NOT_NEXT || use == IOL_CARD_REPEAT || untested;
}

void iol_line_clock(iol_line *line, double hour) {
    static const char *const word[] = {"twelve", "one",   "two",   "three", "four", "five",
                                       "six",    "seven", "eight", "nine",  "ten",  "eleven"};
    if (isnan(hour)) return;
    const int halves = (int)iol_count(2.0 * hour, 0);
    iol_line_text(line, halves % 2 ? "half past " : "");
    iol_line_text(line, word[halves / 2 % 12]);
    iol_line_text(line, halves % 2 ? "" : " o'clock");
}

const char *iol_removal_words(int method) {
    static const char *const words[] = {[IOL_removal_method_whole] = "whole",
                                        [IOL_removal_method_halved] = "cut in two",
                                        [IOL_removal_method_halved_turned] =
                                            "cut in two, turned half round between the cuts",
                                        [IOL_removal_method_partial] = "cut past the centre, screwed out",
                                        [IOL_removal_method_wedge] = "a wedge first, then the rest",
                                        [IOL_removal_method_thirds] = "cut in three"};
    _Static_assert(sizeof words / sizeof *words == IOL_removal_method_end, "words for every way");
    return method > 0 && words[method] ? words[method] : ""; /* folded: no rule prefers it */
}

/* The wound at the end: the way out, of those that are gone, that wants the wider one; certain: it does not come out of less. */
typedef struct {
    double to_mm, adds_d;
    bool certain;
} widening;

static widening of_way(const iol_removal *r) {
    const iol_removal_row *way = iol_preferred_way(r);
    if (!way) return (widening){NAN, NAN, false};
    const bool certain = way->id == IOL_removal_method_whole || way->fits == IOL_fits_no;
    return (widening){way->enlarge_to_mm, way->enlargement_cylinder_d, certain};
}

/* Where only what lies in front comes out, the first lens asks for no wound; where nothing does, neither. */
static widening end_of_wound(const iol_plan *plan) {
    const iol_incision *i = &plan->incision;
    const widening none = {NAN, NAN, false}, front = of_way(iol_removal_of(plan, true));
    iol_lead lead;
    if (iol_second_comes_out(plan)) return front;
    if (iol_lead_operates(plan, &lead)) return none;
    if (iol_above(i->end_width_mm, i->width_mm) == IOL_YES)
        return (widening){i->end_width_mm, i->end_cylinder_d - i->induced_cylinder_d, true};
    const widening first = plan->removal.present ? of_way(&plan->removal) : none;
    return iol_two_come_out(plan) && !(front.to_mm <= first.to_mm) && !isnan(front.to_mm) ? front : first;
}

void iol_line_wound(iol_line *line, const iol_plan *plan) {
    const widening w = end_of_wound(plan);
    iol_line_number(line, plan->incision.width_mm, IOL_UNIT_mm);
    iol_line_text(line, " at ");
    iol_line_number(line, plan->incision.position_deg, IOL_UNIT_deg);
    if (isnan(w.to_mm)) return;
    iol_line_text(line, w.certain ? "; enlarge to " : "; if tight, to ");
    iol_line_number(line, w.to_mm, IOL_UNIT_mm);
    if (!w.certain || !(iol_count(w.adds_d, 2) > 0)) return;
    const double all_d = plan->incision.induced_cylinder_d + w.adds_d;
    iol_line_text(line, " (adds ");
    iol_line_number(line, w.adds_d, IOL_UNIT_d);
    if (iol_count(all_d, 2) != iol_count(w.adds_d, 2)) {
        iol_line_text(line, "; ");
        iol_line_number(line, all_d, IOL_UNIT_d);
        iol_line_text(line, " of cylinder in all)");
    } else
        iol_line_text(line, " of cylinder)");
}

/* What is small and has no direction is neither drawn nor told. */
static bool told(double size, double matters, double place) {
    return iol_above(size, matters) == IOL_YES || (iol_above(size, 0.0) == IOL_YES && !isnan(place));
}

/* "0.60 mm off centre toward 80 deg; tilted 9 deg, the edge at 88 deg back". */
void iol_line_lies(iol_line *line, const iol_removal_orientation *o) {
    const bool off = told(o->decentration_mm, c_decentration_matters_mm, o->decentration_position_deg),
               tilted = told(o->tilt_deg, c_tilt_matters_deg, o->tilt_axis_deg);
    if (off) {
        iol_line_number(line, o->decentration_mm, IOL_UNIT_mm);
        iol_line_text(line, " off centre");
        iol_line_text(line, isnan(o->decentration_position_deg) ? ", direction not known" : " toward ");
        if (!isnan(o->decentration_position_deg)) iol_line_number(line, o->decentration_position_deg, IOL_UNIT_deg);
    }
    if (!tilted) return;
    iol_line_text(line, off ? "; tilted " : "tilted ");
    iol_line_number(line, o->tilt_deg, IOL_UNIT_deg);
    const bool back = !isnan(o->tilted_back_position_deg), about = !isnan(o->tilt_axis_deg);
    iol_line_text(line, back ? ", the edge at " : about ? " about " : ", direction not known");
    if (back) iol_line_number(line, o->tilted_back_position_deg, IOL_UNIT_deg);
    if (!back && about) iol_line_axis(line, o->tilt_axis_deg);
    if (back || about) iol_line_text(line, back ? " back" : ", which edge is back not known");
}
