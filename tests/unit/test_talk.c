/* The patient's sentences, the surgeon's words, advice and the theatre card against the case and the plan that is printed beside
 * them: each is said when, and only when, what it tells stands there.
 * Kind: property, on the examples and the hard cases, each also answered otherwise; our own rules (judgement). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

#include "case/acuity.h"
#include "check.h"
#include "eye/eye.h"
#include "hard_case.h"
#include "report/report.h"
#include "tables/note_codes.h"
#include "tables/rule_codes.h"
#include "tools/random_case.h"

static iol_case c;
static iol_plan plan;
static char trying[120];
static int wrong_ones;

static bool says(int code) { return has_note(&plan, IOL_AT_told_say, code) >= 0; }
#define SAYS(id) says(IOL_NOTE_plain_##id)
/* Said exactly when. */
#define EXACTLY(id, when)                                                                                              \
    if (SAYS(id) != (when)) print_message("%s: %s " #id "\n", trying, SAYS(id) ? "says" : "does not say"), wrong_ones++
/* Said only where. */
#define ONLY(id, where)                                                                                                \
    if (SAYS(id) && !(where)) print_message("%s: says " #id "\n", trying), wrong_ones++

static int suits(int option) {
    for (int i = 0; i < plan.options_count; i++)
        if (plan.options[i].option == option) return plan.options[i].suitable;
    return IOL_NO;
}
static bool opens(int option) { return suits(option) == IOL_YES; }

/* How a lens that has not moved is held comes first: no way leads before that. */
static bool held_first(void) {
    const int reason = iol_note_find(&plan.notes, IOL_AT_decision_reasons, 0, 0);
    const int why = reason < 0 ? -1 : (int)plan.notes.item[reason].code;
    return plan.decision.state == IOL_state_exchange_or_alternative &&
           (why == IOL_NOTE_rule_lens_loose || why == IOL_NOTE_rule_lens_loose_unread);
}

/* The way that the decision puts before an exchange, 0 none; the lens back in its place beside an exchange has words of its own. */
static int leading(void) {
    const int state = plan.decision.state;
    const iol_option_row *first = iol_first_way(&plan);
    if (!first || (state != IOL_state_other_option_first && state != IOL_state_exchange_or_alternative)) return 0;
    if (first->option == IOL_option_exchange || first->option == IOL_option_secondary_lens || held_first()) return 0;
    if (state == IOL_state_exchange_or_alternative && first->option == IOL_option_reposition) return 0;
    return first->option;
}

static void found(bool today) {
    const bool wrong = c.first_surgery.lens.documented_wrong == IOL_YES && c.aphakic_now != IOL_YES,
               fluid = c.anterior_segment.fluid_behind_lens == IOL_finding_yes;
    const bool child = c.age_years < 18.0;
    ONLY(no_lens, !today && c.aphakic_now != IOL_NO);
    if (c.aphakic_now == IOL_YES && !today && !SAYS(no_lens))
        print_message("%s: no lens is not told\n", trying), wrong_ones++;
    EXACTLY(for_parents, child);
    EXACTLY(today, today);
    const bool two = iol_case_two_lenses(&c), cloudy = !today && !SAYS(no_lens) &&
                                                         iol_case_has_reason(&c, IOL_reason_lens_opacity) == IOL_YES;
    const int front = c.second_lens.opacity, back = c.first_surgery.lens.opacity, none = IOL_opacity_none;
    EXACTLY(two_inside, two && !today);
    EXACTLY(wrong, wrong && !today && !two);
    EXACTLY(wrong_two, wrong && !today && two);
    EXACTLY(clouded, cloudy && !two && back != IOL_opacity_marked);
    EXACTLY(clouded_seen, cloudy && !two && back == IOL_opacity_marked);
    EXACTLY(clouded_both, cloudy && two && front > 0 && front != none && back > 0 && back != none);
    EXACTLY(clouded_front, cloudy && two && front > 0 && front != none && back == none);
    EXACTLY(clouded_behind, cloudy && two && front == none && back > 0 && back != none);
    EXACTLY(clouded_which, cloudy && two && (front == 0 || back == 0 || (front == none && back == none)));
    ONLY(loose, !two);
    ONLY(loose_two, two);
    ONLY(damaged, !two);
    EXACTLY(damaged_two, two && !today && iol_case_has_reason(&c, IOL_reason_lens_damage) == IOL_YES);
    EXACTLY(sorry_mistake, wrong && !today);
    ONLY(sorry, !wrong && !today);
    EXACTLY(grows, child && !today);
    EXACTLY(fluid_there, fluid && !today);
    ONLY(fluid, !fluid && !today);
    bool oil = c.silicone_oil.now != IOL_NO || c.silicone_oil.at_refraction != IOL_NO ||
               c.silicone_oil.at_measurement != IOL_NO;
    for (int i = 0; i < c.refractions_count; i++) oil |= c.refractions[i].oil_then == IOL_YES;
    ONLY(oil, !today && oil && c.silicone_oil.now != IOL_YES);
    ONLY(oil_there, !today && c.silicone_oil.now == IOL_YES);
    ONLY(sheet, !today && !wrong);
    ONLY(cause_open, !today);
    ONLY(turned, !today && !SAYS(perhaps_turned));
    ONLY(inflamed, !today && !SAYS(rubs));
    ONLY(pressure_up, !today && (c.anterior_segment.pressure_mmhg > 21.0 ||
                                 c.anterior_segment.glaucoma == IOL_glaucoma_uncontrolled));
    ONLY(long_sighted, !today && plan.surprise.miss_d > 0.0 && !SAYS(no_lens));
    ONLY(short_sighted, !today && plan.surprise.miss_d < 0.0 && !SAYS(no_lens));
    ONLY(as_planned, !today && !SAYS(long_sighted) && !SAYS(short_sighted) && !SAYS(no_lens));
}

/* A way that leads has its own sentence and no other has one. */
static void the_first_way(int first) {
    EXACTLY(laser, first == IOL_option_corneal_laser);
    EXACTLY(turn, first == IOL_option_rotation);
    EXACTLY(glasses, first == IOL_option_spectacles);
    EXACTLY(contact, first == IOL_option_contact_lens && !(c.age_years < 18.0));
    EXACTLY(contact_child, first == IOL_option_contact_lens && c.age_years < 18.0);
    EXACTLY(second_lens, first == IOL_option_piggyback);
    EXACTLY(forward, first == IOL_option_optic_capture);
    EXACTLY(back, first == IOL_option_reposition);
    EXACTLY(surface, first == IOL_option_treat_surface);
    EXACTLY(macula, first == IOL_option_treat_macula);
    EXACTLY(leave, first == IOL_option_leave);
    EXACTLY(open_skin, first == IOL_option_capsule_laser);
    EXACTLY(second_out, first == IOL_option_second_out);
    EXACTLY(second_turn, first == IOL_option_second_turn);
    EXACTLY(second_new, first == IOL_option_second_exchange);
    EXACTLY(not_known, first > 0 && !opens(first));
    EXACTLY(next_surface, first == IOL_option_treat_surface);
    EXACTLY(next_macula, first == IOL_option_treat_macula);
    EXACTLY(next_eyetest, first == IOL_option_spectacles);
    EXACTLY(next_trial, first == IOL_option_contact_lens);
    EXACTLY(next_laser, first == IOL_option_corneal_laser && !opens(first));
    EXACTLY(risk_turn, first == IOL_option_rotation || first == IOL_option_second_turn);
    EXACTLY(risk_second, first == IOL_option_piggyback || first == IOL_option_second_exchange);
    EXACTLY(risk_front, first == IOL_option_second_out || first == IOL_option_second_exchange);
    EXACTLY(risk_back, first == IOL_option_reposition);
    EXACTLY(risk_laser, first == IOL_option_corneal_laser);
    EXACTLY(risk_bulge, first == IOL_option_corneal_laser);
    EXACTLY(risk_opened, first == IOL_option_capsule_laser);
    EXACTLY(risk_loosened, first == IOL_option_relax_rim);
    ONLY(risk_later, first == IOL_option_capsule_laser && c.age_years >= 18.0);
    ONLY(risk_flap, SAYS(risk_laser) && !SAYS(risk_scar));
    ONLY(risk_scar, SAYS(risk_laser) && !SAYS(risk_flap));
    const bool worn = first == IOL_option_spectacles || first == IOL_option_contact_lens;
    const bool days = plan.decision.urgency == IOL_urgency_days;
    EXACTLY(learns_days, c.age_years < 8.0 && worn && days);
    EXACTLY(still_learns,
            (c.age_years < 8.0 && worn && !days) || (c.age_years < 10.0 && first == IOL_option_capsule_laser));
    EXACTLY(next_opened, first == IOL_option_capsule_laser);
    EXACTLY(next_bifocal, c.age_years < 18.0 && first == IOL_option_spectacles);
    ONLY(next_sleeps, c.age_years < 18.0);
}

static void the_state(bool today, int first) {
    const int state = plan.decision.state;
    const bool fluid = c.anterior_segment.fluid_behind_lens == IOL_finding_yes,
               waits = state == IOL_state_wait && !today;
    const bool weighs = state == IOL_state_exchange_or_alternative && first == 0;
    EXACTLY(treat_today, today);
    EXACTLY(not_now, state == IOL_state_not_for_exchange);
    const bool two = iol_case_two_lenses(&c);
    EXACTLY(exchange, state == IOL_state_exchange && !two);
    EXACTLY(exchange_two, state == IOL_state_exchange && two);
    if (two && (SAYS(exchange) || SAYS(take_out) || SAYS(both) || SAYS(exchange_maybe)))
        print_message("%s: one lens comes out of two\n", trying), wrong_ones++;
    ONLY(both_two, two);
    ONLY(take_out_two, two);
    EXACTLY(maybe_both_out, two && first > 0 && state == IOL_state_exchange_or_alternative &&
                                suits(IOL_option_exchange) == IOL_UNKNOWN);
    EXACTLY(put_in, state == IOL_state_secondary_lens);
    const int reason = iol_note_find(&plan.notes, IOL_AT_decision_reasons, 0, 0); /* nobody looked behind the lens */
    const bool look = reason >= 0 && plan.notes.item[reason].code == IOL_NOTE_rule_fluid_not_looked && !today;
    const bool which = reason >= 0 && !today && (plan.notes.item[reason].code == IOL_NOTE_rule_two_lenses ||
                                                 plan.notes.item[reason].code == IOL_NOTE_rule_labels_doubted);
    const bool sought = state == IOL_state_find_cause_first && !look && !which && !today;
    EXACTLY(which_lenses, which);
    EXACTLY(find_cause, sought && iol_case_no_lens(&c) != IOL_YES);
    const bool data = reason >= 0 && !today && plan.notes.item[reason].code == IOL_NOTE_rule_no_lens_open;
    const bool shelf = reason >= 0 && !today && plan.notes.item[reason].code == IOL_NOTE_rule_no_lens_short;
    EXACTLY(data_first, data);
    EXACTLY(lens_sought, shelf);
    EXACTLY(find_cause_none, sought && !data && !shelf && iol_case_no_lens(&c) == IOL_YES);
    const bool day = plan.decision.do_by != IOL_UNKNOWN_DATE, tests = state == IOL_state_find_cause_first && !shelf && !today;
    EXACTLY(next_tests, tests && !day);
    EXACTLY(next_tests_by, tests && day);
    EXACTLY(let_out, waits && fluid);
    EXACTLY(next_let_out, waits && fluid);
    EXACTLY(look_behind, (waits && !fluid && SAYS(fluid)) || look);
    EXACTLY(next_look, (waits && !fluid && SAYS(fluid)) || look);
    const bool out_first = reason >= 0 && plan.notes.item[reason].code == IOL_NOTE_rule_oil_out && !today;
    EXACTLY(oil_out, out_first);
    EXACTLY(next_oil, out_first);
    if (out_first) ONLY(next_measure, false); /* no day can be told before the oil is out */
    const int why = reason < 0 ? -1 : (int)plan.notes.item[reason].code;
    const bool fades = why == IOL_NOTE_rule_symptom_gate && !today;
    const bool treated = why == IOL_NOTE_rule_pressure_uncontrolled || why == IOL_NOTE_rule_pressure_moved ||
                         why == IOL_NOTE_rule_uveitis_active || why == IOL_NOTE_rule_moved_inflamed ||
                         why == IOL_NOTE_rule_rubs_treat || why == IOL_NOTE_rule_macular_oedema;
    EXACTLY(treat_first, treated && !today);
    EXACTLY(wait, waits && !fluid && !SAYS(fluid) && !out_first && !fades && !treated);
    EXACTLY(wait_fades, fades);
    ONLY(next_ask, fades && !SAYS(next_measure));
    ONLY(next_alarms, !today && has_note(&plan, IOL_AT_decision_missing_tests, IOL_NOTE_missing_red_flags) >= 0);
    const bool back = opens(IOL_option_reposition), out = SAYS(both) || SAYS(take_out) || SAYS(back_maybe) ||
               SAYS(both_two) || SAYS(take_out_two) || SAYS(hold_first) || SAYS(hold_first_two);
    EXACTLY(hold_first, held_first() && !two && suits(IOL_option_reposition) != IOL_NO);
    EXACTLY(hold_first_two, held_first() && two && suits(IOL_option_reposition) != IOL_NO);
    ONLY(both, weighs && back && opens(IOL_option_exchange));
    ONLY(put_back, weighs && back);
    ONLY(take_out, weighs && !back && opens(IOL_option_exchange));
    ONLY(talk_first, weighs && !back);
    ONLY(back_maybe, suits(IOL_option_reposition) == IOL_UNKNOWN && (first > 0 || (weighs && opens(IOL_option_exchange))));
    if (weighs && out + SAYS(put_back) + SAYS(talk_first) == 0)
        print_message("%s: weighs nothing\n", trying), wrong_ones++;
    ONLY(calm_then_out, waits && SAYS(rubs));
    EXACTLY(rubs_look, (why == IOL_NOTE_rule_rubs_treat || why == IOL_NOTE_rule_second_rubs) && !today);
    EXACTLY(next_today, today);
    EXACTLY(next_decide, !today);
    EXACTLY(next_thinner, c.patient.blood_thinner == IOL_YES);
    ONLY(next_measure, !today && !SAYS(next_let_out) && !SAYS(next_look) &&
         !SAYS(find_cause) && !SAYS(find_cause_none) && !SAYS(which_lenses));
    EXACTLY(next_by, !today && day && !tests);
    EXACTLY(next_back, reason >= 0 && plan.notes.item[reason].code == IOL_NOTE_rule_lens_on_retina);
    ONLY(next_only_eye, c.patient.only_seeing_eye == IOL_YES);
    ONLY(next_operate, !today && !SAYS(next_by) && !SAYS(wait) && !SAYS(treat_first) && !SAYS(find_cause) && !SAYS(not_now));
    const bool dry =
        c.cornea.ocular_surface == IOL_ocular_surface_dry || c.cornea.ocular_surface == IOL_ocular_surface_blepharitis;
    EXACTLY(next_meanwhile, waits && dry);
}

/* The other ways and their sentences. */
static const struct {
    int option, fits, open;
} other[] = {
    {IOL_option_exchange, IOL_NOTE_plain_else_exchange, IOL_NOTE_plain_maybe_exchange},
    {IOL_option_exchange, IOL_NOTE_plain_else_one, IOL_NOTE_plain_maybe_one},
    {IOL_option_piggyback, IOL_NOTE_plain_else_second, IOL_NOTE_plain_maybe_second},
    {IOL_option_corneal_laser, IOL_NOTE_plain_else_laser, IOL_NOTE_plain_maybe_laser},
    {IOL_option_contact_lens, IOL_NOTE_plain_else_contact, IOL_NOTE_plain_maybe_contact},
    {IOL_option_spectacles, IOL_NOTE_plain_else_glasses, IOL_NOTE_plain_maybe_glasses},
    {IOL_option_rotation, IOL_NOTE_plain_else_turn, IOL_NOTE_plain_maybe_turn},
    {IOL_option_optic_capture, IOL_NOTE_plain_else_forward, IOL_NOTE_plain_maybe_forward},
    {IOL_option_reposition, IOL_NOTE_plain_else_back, IOL_NOTE_plain_back_maybe},
    {IOL_option_second_out, IOL_NOTE_plain_else_second_out, IOL_NOTE_plain_maybe_second_out},
    {IOL_option_second_turn, IOL_NOTE_plain_else_second_turn, IOL_NOTE_plain_maybe_second_turn},
    {IOL_option_second_exchange, IOL_NOTE_plain_else_second_new, IOL_NOTE_plain_maybe_second_new},
    {IOL_option_secondary_lens, IOL_NOTE_plain_else_put_in, IOL_NOTE_plain_maybe_put_in},
};

static double rank_of(int option) {
    for (int i = 0; i < plan.options_count; i++)
        if (plan.options[i].option == option) return plan.options[i].rank;
    return NAN;
}

/* One of the other ways: only as it fits, only where sheet 1 shows it, never the way that leads; worn ways only where wanted. */
static void one_other(bool today, int first, bool weighs, size_t k, int *told) {
    const int option = other[k].option, fit = suits(option);
    const bool fits = says(other[k].fits), open = says(other[k].open) && other[k].open != IOL_NOTE_plain_back_maybe;
    const bool beside = option == IOL_option_exchange && plan.decision.state == IOL_state_exchange_or_alternative;
    const bool worn = option == IOL_option_spectacles || option == IOL_option_contact_lens;
    bool sound = !(fits && open) && !today && option != first && (rank_of(option) <= 5.0 || beside);
    const bool new_lens = plan.decision.state == IOL_state_exchange || plan.decision.state == IOL_state_secondary_lens;
    sound = sound && (fits ? fit == IOL_YES : fit == IOL_UNKNOWN) && (weighs || (worn && (fits || new_lens)));
    if (option == IOL_option_spectacles) sound = sound && (c.wish.glasses_accepted != IOL_NO || c.age_years < 18.0);
    if (option == IOL_option_contact_lens) sound = sound && c.wish.contact_lens != IOL_tolerance_not_tolerated;
    if ((fits || open) && !sound) print_message("%s: tells way %d\n", trying, option), wrong_ones++;
    *told += fits || open;
}

/* The other ways: those of sheet 1, in its order, three at most, none twice, none while something comes first today. */
static void the_other_ways(bool today, int first) {
    const int state = plan.decision.state;
    const bool weighs = state == IOL_state_other_option_first || state == IOL_state_exchange_or_alternative;
    const bool healthy = c.cornea.ocular_surface == IOL_ocular_surface_healthy;
    int told = 0;
    for (size_t k = 0; k < sizeof other / sizeof *other; k++) one_other(today, first, weighs, k, &told);
    if (told > 3) print_message("%s: tells %d other ways\n", trying, told), wrong_ones++;
    double last = 0.0;
    for (int i = 0; i < plan.patient_count; i++) {
        const int code = plan.notes.item[iol_note_find(&plan.notes, IOL_AT_told_say, i, 0)].code;
        for (size_t k = 0; k < sizeof other / sizeof *other; k++) {
            if ((code != other[k].fits && code != other[k].open) || code == IOL_NOTE_plain_back_maybe) continue;
            const bool ahead = other[k].option == IOL_option_exchange && state == IOL_state_exchange_or_alternative;
            if (!ahead && rank_of(other[k].option) < last) print_message("%s: ways out of order\n", trying), wrong_ones++;
            if (!ahead) last = rank_of(other[k].option);
        }
    }
    const bool room = told < 3 && !today;
    if (room && weighs && opens(IOL_option_piggyback) && rank_of(IOL_option_piggyback) <= 5.0)
        EXACTLY(else_second, first != IOL_option_piggyback);
    if (room && weighs && opens(IOL_option_corneal_laser) && rank_of(IOL_option_corneal_laser) <= 5.0)
        EXACTLY(else_laser, first != IOL_option_corneal_laser);
    if (room && state != IOL_state_wait && healthy && opens(IOL_option_contact_lens) && rank_of(IOL_option_contact_lens) <= 5.0)
        EXACTLY(else_contact, first != IOL_option_contact_lens);
    EXACTLY(else_leave, !today && opens(IOL_option_leave) && first != IOL_option_leave && state != IOL_state_wait &&
                            !iol_plan_stops(&plan));
    bool near = false; /* a lens is made that comes within 1 D of the target */
    for (int i = 0; i < plan.replacement.choices_count; i++)
        near |= fabs(plan.replacement.choices[i].expected.se_d - plan.replacement.target_se_d) < 1.0;
    if (first > 0 && opens(IOL_option_exchange) && !plan.two_lenses.present && near && !SAYS(else_exchange) &&
        (state == IOL_state_exchange_or_alternative || (room && rank_of(IOL_option_exchange) <= 5.0)))
        print_message("%s: the exchange is not told\n", trying), wrong_ones++;
    ONLY(exchange_maybe,
         first > 0 && suits(IOL_option_exchange) == IOL_UNKNOWN && state == IOL_state_exchange_or_alternative);
    ONLY(of_series, !today && c.age_years >= 18.0);
    ONLY(of_second, !today && first == IOL_option_second_exchange && c.age_years >= 18.0 && !SAYS(of_model));
    ONLY(of_model, !today && !SAYS(of_series) && c.age_years >= 18.0);
    bool elsewhere = false; /* another place has a lens within 0.25 D of its aim */
    for (int i = 0; i < plan.fallbacks_count; i++)
        elsewhere |= fabs(plan.fallbacks[i].expected_se_d - plan.fallbacks[i].aim_d) <= 0.2500001;
    EXACTLY(close_first, SAYS(risk_gel) && !elsewhere && !SAYS(no_lens));
    ONLY(risk_short, !today && plan.replacement.present && iol_at_least(c.biometry.axial_length_mm, 20.6) != IOL_YES);
    const double meant = c.first_surgery.intended_se_d, aim = isnan(c.target_se_d) ? meant : c.target_se_d;
    ONLY(next_goal, !today && (fabs(aim - meant) > 1.0 || aim <= -1.5));
    ONLY(risk_film, !SAYS(risk_gel) && (first == 0 || first == IOL_option_reposition));
    const int why_now = deciding_note(&plan);
    const bool soon = why_now == IOL_NOTE_rule_second_rubs || why_now == IOL_NOTE_rule_lens_loose;
    ONLY(next_weeks, plan.decision.urgency == IOL_urgency_weeks && (first == 0 || soon));
    ONLY(next_reads, iol_case_has_reason(&c, IOL_reason_photic_multifocal) == IOL_YES && !SAYS(next_glasses));
    ONLY(next_far, c.target_se_d <= -1.5 && !SAYS(next_reads));
    ONLY(risk_swell, !SAYS(risk_window));
}

/* ---- the surgeon's words, and advice ---- */

static bool reason(int word) { return iol_case_has_reason(&c, word) == IOL_YES; }
static bool tells(int code) { return has_note(&plan, IOL_AT_counsel_say, code) >= 0; }
static bool advises(int code) { return has_note(&plan, IOL_AT_decision_reasons, code) >= 0; }
#define TELLS(id) tells(IOL_NOTE_say_##id)
#define TOLD(id, when)                                                                                                 \
    if (TELLS(id) != (when))                                                                                           \
    print_message("%s: %s " #id "\n", trying, TELLS(id) ? "tells" : "does not tell"), wrong_ones++
#define TOLD_ONLY(id, where)                                                                                           \
    if (TELLS(id) && !(where)) print_message("%s: tells " #id "\n", trying), wrong_ones++
#define ADVISED(id, when)                                                                                              \
    if (advises(IOL_NOTE_advise_##id) != (when)) print_message("%s: advice " #id "\n", trying), wrong_ones++

static void the_talk(bool today) {
    const bool lens = c.aphakic_now != IOL_YES, wrong = lens && c.first_surgery.lens.documented_wrong == IOL_YES;
    const bool optical = reason(IOL_reason_power_error) || reason(IOL_reason_cylinder_error);
    const int behind = c.capsule.posterior;
    const bool opened = behind == IOL_posterior_capsule_torn || behind == IOL_posterior_capsule_absent ||
                        behind == IOL_posterior_capsule_opened_by_laser;
    const bool closed = behind == IOL_posterior_capsule_clear || behind == IOL_posterior_capsule_opacified;
    TOLD(alarm, today);
    TOLD(found_child, c.age_years < 18.0);
    TOLD(found_wrong, wrong);
    TOLD(open_talk_mistake, wrong);
    TOLD(option_keep_wrong, wrong && !today);
    TOLD_ONLY(open_talk, !wrong);
    TOLD_ONLY(option_leave, !wrong && !today);
    if (c.anterior_segment.fluid_behind_lens == IOL_finding_yes && lens) TOLD(found_fluid, true);
    TOLD_ONLY(found_fluid, c.anterior_segment.fluid_behind_lens != IOL_finding_no);
    TOLD(found_negative, reason(IOL_reason_photic_negative));
    TOLD(negative_fades, reason(IOL_reason_photic_negative));
    TOLD(negative_outcome, reason(IOL_reason_photic_negative));
    TOLD(found_positive, reason(IOL_reason_photic_positive));
    TOLD(positive_fades, reason(IOL_reason_photic_positive));
    TOLD(found_multifocal, reason(IOL_reason_photic_multifocal));
    TOLD(option_multifocal, reason(IOL_reason_photic_multifocal));
    TOLD(option_multifocal_other, reason(IOL_reason_photic_multifocal));
    TOLD(multifocal_adapts, reason(IOL_reason_photic_multifocal));
    const bool two = iol_case_two_lenses(&c), takes = plan.decision.state == IOL_state_exchange;
    const bool inside = iol_case_no_lens(&c) != IOL_YES; /* an eye without a lens has none that is clouded or damaged */
    TOLD(found_opacity, inside && reason(IOL_reason_lens_opacity) && !two);
    const int which = TELLS(found_opacity_both) + TELLS(found_opacity_front) +
                      TELLS(found_opacity_behind) + TELLS(found_opacity_which);
    if (which != (reason(IOL_reason_lens_opacity) && two)) print_message("%s: which lens is clouded\n", trying), wrong_ones++;
    if (TELLS(found_opacity_both) != SAYS(clouded_both) && !today) print_message("%s: not both\n", trying), wrong_ones++;
    if (TELLS(found_opacity_front) != SAYS(clouded_front) && !today) print_message("%s: not the front\n", trying), wrong_ones++;
    if (takes && !today) TOLD(option_both_out, two);
    TOLD(found_damage, inside && reason(IOL_reason_lens_damage));
    TOLD(found_inflamed, reason(IOL_reason_inflammation));
    TOLD(found_cornea, reason(IOL_reason_cornea_damage));
    TOLD_ONLY(found_oil, c.silicone_oil.now != IOL_NO || c.silicone_oil.at_refraction != IOL_NO || SAYS(oil) || today);
    TOLD_ONLY(found_no_lens, c.aphakic_now != IOL_NO);
    TOLD_ONLY(found_two_lenses, plan.two_lenses.present || today);
    if (TELLS(option_two_lenses) + TELLS(option_both_out) != (two && !today))
        print_message("%s: what comes out of two\n", trying), wrong_ones++;
    TOLD(option_small_child, c.age_years < 8.0 && !today);
    TOLD_ONLY(option_glasses, optical && !today && !TELLS(option_spectacles));
    TOLD_ONLY(option_spectacles, optical && !today);
    TOLD_ONLY(option_no_lens, TELLS(found_no_lens) && !today);
    TOLD_ONLY(found_turned, reason(IOL_reason_cylinder_error));
    TOLD(option_turn, TELLS(found_turned) && !today);
    TOLD(chance_turn, TELLS(found_turned) && !today);
    TOLD_ONLY(chance_exchange_half, optical && TELLS(chance_exchange));
    if (optical) TOLD(chance_exchange_half, TELLS(chance_exchange));
    TOLD_ONLY(chance_satisfied, !optical && TELLS(chance_exchange));
    TOLD_ONLY(chance_acuity, !TELLS(chance_satisfied) && plan.support.tier == IOL_tier_routine);
    TOLD_ONLY(risk_vitreous_open, opened && TELLS(chance_exchange));
    TOLD_ONLY(risk_vitreous_closed, closed && TELLS(chance_exchange));
    TOLD_ONLY(risk_vitreous, !opened && !closed && TELLS(chance_exchange));
    if (TELLS(chance_exchange) &&
        TELLS(risk_vitreous) + TELLS(risk_vitreous_open) + TELLS(risk_vitreous_closed) + TELLS(risk_vitreous_loose) !=
            1)
        print_message("%s: not one word on the gel\n", trying), wrong_ones++;
    TOLD_ONLY(plan_b_closed, !opened && TELLS(plan_b) && !TELLS(plan_b_open));
    TOLD(plan_b_open, opened && TELLS(plan_b));
    if (TELLS(plan_b) && !opened) TOLD(plan_b_closed, plan.replacement.position == IOL_position_bag);
    TOLD(risk_detachment_opaque, TELLS(plan_b) && reason(IOL_reason_lens_opacity));
    TOLD_ONLY(option_refix, TELLS(plan_b) && TELLS(found_loose));
    TOLD_ONLY(found_loose, reason(IOL_reason_lens_dislocation) || reason(IOL_reason_lens_decentration) ||
                               reason(IOL_reason_lens_tilt));
    TOLD(risk_only_eye, TELLS(uncertain_drift) && c.patient.only_seeing_eye == IOL_YES);
    TOLD_ONLY(chance_sclera, TELLS(uncertain_drift) && !TELLS(chance_claw));
    TOLD_ONLY(uncertain_power, optical && !wrong && TELLS(chance_exchange));
    const int first = iol_first_way(&plan) ? iol_first_way(&plan)->option : 0;
    TOLD_ONLY(option_contact, first == IOL_option_contact_lens);
    TOLD_ONLY(option_laser, first == IOL_option_corneal_laser);
    TOLD(chance_laser, TELLS(option_laser));
    TOLD_ONLY(option_piggyback, first == IOL_option_piggyback);
    TOLD(chance_piggyback, TELLS(option_piggyback));
    TOLD_ONLY(option_capture, first == IOL_option_optic_capture);
    TOLD_ONLY(option_reposition, first == IOL_option_reposition);
    TOLD_ONLY(option_put_back, TELLS(option_reposition));
    TOLD_ONLY(option_treat, first == IOL_option_treat_surface || first == IOL_option_treat_macula);
}

static void the_advice(bool today) {
    const bool negative = !today && reason(IOL_reason_photic_negative);
    const int surface = c.cornea.ocular_surface, readings = c.refractions_count;
    const bool weak = readings > 0 && iol_acuity_corrected(&c.refractions[readings - 1]) > 0.1;
    const bool swollen = c.cornea.oedema == IOL_YES && weak; /* the cornea itself leads */
    ADVISED(negative_bag, negative);
    ADVISED(negative_works, negative);
    ADVISED(negative_sulcus, negative);
    ADVISED(positive_index, !today && reason(IOL_reason_photic_positive));
    ADVISED(multifocal_first, !today && reason(IOL_reason_photic_multifocal));
    const bool cloudy = !today && iol_case_no_lens(&c) != IOL_YES && reason(IOL_reason_lens_opacity);
    const bool leads = c.reason == IOL_reason_lens_opacity && c.first_surgery.lens.opacity != IOL_opacity_marked;
    if (!leads) ADVISED(opacity_material, cloudy); /* one that is hardly clouded stays: no word of another lens */
    ADVISED(vitreous_lens, !today && c.dislocation.lies == IOL_lies_anterior_vitreous);
    ADVISED(surface_first,
            !today && !swollen && (surface == IOL_ocular_surface_dry || surface == IOL_ocular_surface_blepharitis));
    ADVISED(uveitis_quiet, !today && c.anterior_segment.uveitis == IOL_uveitis_quiet);
    ADVISED(only_eye, !today && c.patient.only_seeing_eye == IOL_YES);
    ADVISED(blood_thinner, !today && c.patient.blood_thinner == IOL_YES);
    ADVISED(cannot_lie_flat, !today && c.patient.cannot_lie_flat == IOL_YES);
    ADVISED(child, !today && c.age_years < 18.0);
    ADVISED(small_child, !today && c.age_years < 8.0);
    ADVISED(child_near, !today && c.age_years < 18.0);
    ADVISED(fixation_first, !today && TELLS(found_loose));
}

/* ---- the theatre card ---- */

/* 1 listed for this case, -1 only if found, 0 not at all. */
static int card(const char *item) {
    for (int i = 0; i < plan.theatre_list_count; i++)
        if (strcmp(plan.theatre_list[i].item, item) == 0) {
            const int why = iol_note_find(&plan.notes, IOL_AT_theatre_item_why, i, 0);
            return why >= 0 && plan.notes.item[why].code == IOL_NOTE_item_not_known ? -1 : 1;
        }
    return 0;
}

/* As a finding is known: yes, no or not. */
#define LAID_OUT(item, found)                                                                                          \
    if (card(item) != ((found) == IOL_YES ? 1 : (found) == IOL_NO ? 0 : -1))                                           \
    print_message("%s: %s is laid out %d\n", trying, item, card(item)), wrong_ones++

static void the_card(void) {
    static const char *const always[] = {"blunt lens hooks",      "10-0 suture", "dispersive viscoelastic",
                                         "cohesive viscoelastic", "miotic",      "antibiotic for the chamber"};
    if (plan.theatre_list_count <= 0) return;
    for (size_t i = 0; i < sizeof always / sizeof *always; i++) LAID_OUT(always[i], IOL_YES);
    LAID_OUT("anaesthetist", c.patient.cannot_lie_flat);
    LAID_OUT("plan for the blood thinner", c.patient.blood_thinner);
    LAID_OUT("pupil hooks or ring", iol_below(c.anterior_segment.pupil_dilated_mm, 5.0));
    const bool beyond = plan.support.tier > IOL_tier_routine;
    LAID_OUT("triamcinolone without preservative", iol_from_bool(beyond));
    LAID_OUT("anterior vitrector, set up and tested", iol_from_bool(beyond));
    LAID_OUT("anterior vitrector in the room", iol_from_bool(plan.support.tier == IOL_tier_routine));
    const double cells = plan.endothelium.cells_low_per_mm2;
    LAID_OUT("corneal surgeon and donor cornea agreed", iol_or(iol_below(cells, 700.0), c.cornea.oedema));
    LAID_OUT("dispersive viscoelastic, spare", iol_or(iol_below(cells, 1000.0), c.cornea.guttata));
    LAID_OUT("anaesthetist for children", iol_below(c.age_years, 18.0));
    LAID_OUT("capsule scissors and forceps", iol_or(iol_is(c.capsule.anterior, IOL_anterior_capsule_contracted),
                                                    iol_below(c.capsule.opening_mm, 4.0)));
    LAID_OUT("steroid cover", iol_not(iol_is(c.anterior_segment.uveitis, IOL_uveitis_none)));
    if (c.dislocation.lies > 0) {
        const bool behind = c.dislocation.lies == IOL_lies_anterior_vitreous || c.dislocation.lies == IOL_lies_retina;
        LAID_OUT("retinal surgeon, present or agreed", iol_from_bool(behind || plan.support.tier >= IOL_tier_high));
    }
    if (plan.support.tier >= IOL_tier_high) LAID_OUT("retinal surgeon, present or agreed", IOL_YES);
    if (beyond) LAID_OUT("set for fixation in the sclera", IOL_YES);
    if (c.dislocation.lies == IOL_lies_retina) LAID_OUT("vitrectomy set for the pars plana", IOL_YES);
    const int behind_it = c.capsule.posterior;
    if (behind_it == IOL_posterior_capsule_clear || behind_it == IOL_posterior_capsule_opacified)
        LAID_OUT("capsule dye", iol_or(iol_is(c.capsule.anterior, IOL_anterior_capsule_contracted),
                                       iol_is(c.capsule.fibrosis, IOL_fibrosis_dense)));
    if (behind_it > IOL_posterior_capsule_opacified && card("capsule dye"))
        print_message("%s: dye for an open capsule\n", trying), wrong_ones++;
    const bool torn = behind_it == IOL_posterior_capsule_torn || behind_it == IOL_posterior_capsule_absent ||
                      c.capsule.anterior == IOL_anterior_capsule_tear || c.capsule.anterior == IOL_anterior_capsule_absent;
    if ((torn || c.zonule.donesis == IOL_donesis_marked) && card("capsule hooks and tension ring"))
        print_message("%s: a ring for a bag that does not bear it\n", trying), wrong_ones++;
    if (c.zonule.donesis == IOL_donesis_slight && !torn && card("capsule hooks and tension ring") == 0 &&
        !c.dislocation.present && c.reason != IOL_reason_lens_dislocation && !(c.zonule.missing_clock_hours > 0.0))
        print_message("%s: no ring for a weak zonule\n", trying), wrong_ones++;
    const iol_choice *put_in = iol_chosen_step(iol_new_lens(&plan));
    if (put_in && put_in->cylinder_d > 0.0) LAID_OUT("marker for the lens axis", IOL_YES);
    if (leading() == IOL_option_rotation || leading() == IOL_option_second_turn)
        LAID_OUT("marker for the lens axis", IOL_YES);
    if (c.second_lens.present) LAID_OUT("labelled pot for the second lens", IOL_YES);
    if (!c.second_lens.present && c.two_lenses_now == IOL_NO && card("labelled pot for the second lens"))
        print_message("%s: a pot for a lens that is not there\n", trying), wrong_ones++;
    const bool lens = c.aphakic_now == IOL_NO, rigid = c.first_surgery.lens.material == IOL_material_pmma;
    if (lens && c.first_surgery.lens.material > 0 && !c.second_lens.present) {
        LAID_OUT("lens scissors", iol_from_bool(!rigid));
        LAID_OUT("strong scissors for rigid loops", iol_from_bool(rigid));
    }
    if (lens) LAID_OUT("serrated forceps to hold the optic", IOL_YES);
    if (lens) LAID_OUT("labelled pot for the lens taken out", IOL_YES);
    if (lens) LAID_OUT("27 to 30 G needle or cannula", iol_is(c.first_surgery.lens.position, IOL_position_bag));
    if (lens && rigid) LAID_OUT("blades for a wound as wide as the optic", IOL_YES);
    if (c.aphakic_now == IOL_YES && (card("lens scissors") || card("labelled pot for the lens taken out")))
        print_message("%s: no lens is to be cut\n", trying), wrong_ones++;
}

/* ---- the standing of a power ---- */

/* What nothing stands against says so once, by the route that it came by; what something stands against never does. */
static void one_way_to_stand(const iol_replacement *r, bool second) {
    static const int stands[] = {IOL_NOTE_stands, IOL_NOTE_stands_second, IOL_NOTE_stands_unread};
    int said[3] = {0};
    for (int i = 0; i < plan.notes.count; i++)
        for (int k = 0; k < 3; k++)
            said[k] += plan.notes.item[i].place == IOL_AT_replacement_standing_reasons &&
                       plan.notes.item[i].code == stands[k] &&
                       plan.notes.item[i].row == (second ? IOL_ROW_SECOND_LENS : 0);
    const bool advised = r->standing == IOL_standing_advised;
    const int by = r->route == IOL_route_biometry_only ? 2 : second && r->route == IOL_route_refraction_only ? 1 : 0;
    for (int k = 0; k < 3; k++)
        if (said[k] != (advised && k == by))
            print_message("%s: standing %d, said %d\n", trying, r->standing, k), wrong_ones++;
}

static void as_printed(void) {
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    if (plan.replacement.present) one_way_to_stand(&plan.replacement, false);
    if (plan.piggyback.present) one_way_to_stand(&plan.piggyback.power, true);
    if (plan.patient_count <= 0) return;
    const bool today = plan.decision.urgency == IOL_urgency_same_day;
    const int first = leading();
    found(today);
    the_first_way(first);
    the_state(today, first);
    the_other_ways(today, first);
    the_talk(today);
    the_advice(today);
    the_card();
}

/* What is answered otherwise. */
static void change(int which) {
    switch (which) {
    case 1: c.red_flags.present = true, c.red_flags.pain = IOL_YES; break;
    case 2: c.cornea.ocular_surface = IOL_ocular_surface_dry; break;
    case 3: c.cornea.ocular_surface = IOL_ocular_surface_healthy, c.wish.contact_lens = IOL_tolerance_tolerated; break;
    case 4: c.anterior_segment.fluid_behind_lens = IOL_finding_yes; break;
    case 5: c.first_surgery.lens.documented_wrong = IOL_YES; break;
    case 6: c.wish.glasses_accepted = IOL_YES; break;
    case 7: c.patient.blood_thinner = IOL_YES, on_day(&c, 400); break;
    case 8: c.age_years = 6.0; break;
    case 9: c.retina.macula = IOL_macula_oedema; break;
    case 10: c.age_years = 9.0, c.capsule.posterior = IOL_posterior_capsule_opacified; break;
    default: break;
    }
}
enum { CHANGES = 11, DRAWN = 400 };

/* Two lenses, of which one, the other, both, or nobody knows which are clouded, damaged, loose or wrong. */
static void two_in_every_state(void) {
    static const int reasons[] = {IOL_reason_lens_opacity, IOL_reason_lens_damage, IOL_reason_lens_dislocation,
                                  IOL_reason_inflammation};
    for (int r = 0; r < 4; r++)
        for (int first = 0; first < IOL_opacity_end; first++)
            for (int second = 0; second < IOL_opacity_end; second++) {
                example_case("two-lenses", &c);
                c.reason = reasons[r];
                c.first_surgery.lens.opacity = first, c.second_lens.opacity = second;
                if (r == 2) c.dislocation.present = true, c.dislocation.stage = 2.0;
                if (r == 2) c.dislocation.with_capsule = first ? IOL_YES : IOL_NO;
                snprintf(trying, sizeof trying, "two lenses, reason %d, opacity %d behind %d", r, second, first);
                as_printed();
            }
}

static void two_lenses(void **state) {
    (void)state;
    two_in_every_state();
    assert_int_equal(wrong_ones, 0);
}

static void known_eyes(void **state) {
    (void)state;
    for (int e = 0; e < EXAMPLES + HARD_CASES; e++)
        for (int k = 0; k < CHANGES; k++) {
            const char *name = any_case(e, &c);
            change(k);
            snprintf(trying, sizeof trying, "%s, change %d", name, k);
            as_printed();
        }
    assert_int_equal(wrong_ones, 0);
}

static void drawn_eyes(void **state) {
    (void)state;
    /* the last ones say what is rarely said */
    static const int rare[] = {460, 538, 584, 672, 828, 833, 984, 1176, 1177, 1865};
    for (int k = 0; k < DRAWN + (int)(sizeof rare / sizeof *rare); k++) {
        const int i = k < DRAWN ? k : rare[k - DRAWN];
        snprintf(trying, sizeof trying, "drawn case %d", i);
        assert_true(random_case((uint64_t)(7000 + i), example_site(), &c));
        as_printed();
    }
    assert_int_equal(wrong_ones, 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(two_lenses), cmocka_unit_test(known_eyes), cmocka_unit_test(drawn_eyes)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
