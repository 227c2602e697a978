/* The facts that rules ask for, from the case and the parts made so far. */
#include "facts.h"

#include "alarms.h"
#include "case/acuity.h"
#include "estimate/suspects.h"
#include "findings.h"
#include "replacement.h"
#include "surprise.h"
#include "tables/constants.h"

static void before_any_power(const iol_work *w, iol_facts *f) {
    const iol_anterior_segment *a = &w->c->anterior_segment;
    f->red_flag = iol_alarm_red_flags(w->c, f->red_flag_words, sizeof f->red_flag_words);
    f->pressure_mmhg = a->pressure_mmhg;
    f->fluid_seen = iol_from_bool(w->eye.fluid_seen);
    f->trapped_fluid = iol_standing_fluid(w);
    f->oil = w->eye.oil;
    f->two_lenses = iol_from_bool(w->c->second_lens.present);
    f->z = w->joint ? w->joint->z : NAN;
    f->gross_error = isnan(f->z) ? IOL_UNKNOWN : iol_from_bool(w->search == IOL_GROSS_open);
    f->cause_confirmed = w->search == IOL_GROSS_confirmed;
    f->cause_not_found = w->search == IOL_GROSS_not_found;
    f->uveitis_active = iol_is(a->uveitis, IOL_uveitis_active);
    f->macular_oedema = iol_is(w->c->retina.macula, IOL_macula_oedema);
    f->pressure_uncontrolled = iol_is(a->glaucoma, IOL_glaucoma_uncontrolled);
}

static double newest_acuity(const iol_case *c) {
    return c->refractions_count > 0 ? iol_acuity_corrected(&c->refractions[c->refractions_count - 1]) : NAN;
}

static void causes(const iol_work *w, iol_facts *f) {
    const iol_case *c = w->c;
    const iol_lens *lens = &c->first_surgery.lens;
    int lies = c->dislocation.lies;
    f->documented_wrong = lens->documented_wrong;
    f->stage = c->dislocation.stage;
    f->dislocation = iol_from_bool(iol_facts_reason(f, IOL_reason_lens_dislocation));
    f->lens_on_retina = iol_and(f->dislocation, iol_is(lies, IOL_lies_retina));
    f->lens_in_chamber = iol_and(f->dislocation, iol_is(lies, IOL_lies_chamber));
    iol_flag clouded =
        iol_or(iol_is(lens->opacity, IOL_opacity_marked),
               iol_and(iol_is(lens->opacity, IOL_opacity_mild), iol_above(f->acuity_logmar, c_acuity_poor_logmar)));
    f->opacity_matters = iol_and(iol_from_bool(iol_facts_reason(f, IOL_reason_lens_opacity)), clouded);
    f->lens_damage = iol_from_bool(iol_facts_reason(f, IOL_reason_lens_damage));
    f->cornea_damage = iol_from_bool(iol_facts_reason(f, IOL_reason_cornea_damage));
    f->decentration_mm = lens->decentration_mm;
    f->tilt_deg = lens->tilt_deg;
    f->lens_chafes =
        iol_and(iol_from_bool(iol_facts_reason(f, IOL_reason_inflammation)), iol_found_lens_rubs(w->eye.old.position));
    bool moved = iol_facts_reason(f, IOL_reason_lens_tilt) || iol_facts_reason(f, IOL_reason_lens_decentration);
    f->off_centre = iol_and(iol_from_bool(moved), iol_or(iol_above(f->decentration_mm, c_decentration_matters_mm),
                                                         iol_above(f->tilt_deg, c_tilt_matters_deg)));
}

static void time_gates(const iol_work *w, iol_facts *f) {
    iol_gates_make(w, &f->gates);
    f->day = f->gates.day;
    f->refraction_gate_day = f->gates.turn ? c_turn_first_day : f->gates.refraction_day;
    f->symptom_gate_day = f->gates.symptom_day;
    f->day_not_known = iol_from_bool(isnan(f->day));
    bool exempt = f->gates.wrong_lens;
    f->before_refraction_gate = exempt || w->eye.fluid_seen ? IOL_NO : iol_not(f->gates.settled);
    f->before_symptom_gate = exempt ? IOL_NO : iol_not(f->gates.relieved);
    f->turn_window = iol_facts_reason(f, IOL_reason_cylinder_error) && w->eye.old.toric && !exempt &&
                     iol_at_most(f->day, c_turn_last_day) == IOL_YES && w->plan->rotation.suitable != IOL_NO;
}

static void other_explanations(const iol_work *w, iol_facts *f) {
    const iol_case *c = w->c;
    int macula = c->retina.macula;
    iol_flag helps = c->checks.acuity_improves_with_trial_lens;
    iol_flag diseased = iol_not(iol_is(macula, IOL_macula_normal));
    f->blur_not_power = iol_and(iol_from_bool(f->optical), iol_not(helps));
    f->cylinder_open = f->optical ? iol_surprise_cylinder_open(w) : IOL_NO;
    f->remainder_d = w->plan->surprise.corneal_remainder_d;
    f->macula_explains =
        iol_and(iol_and(iol_from_bool(f->elective), diseased), iol_above(f->acuity_logmar, c_acuity_poor_logmar));
    if (f->optical && helps == IOL_YES) f->macula_explains = IOL_NO;
    f->oct_missing = c->retina.oct_done != IOL_YES || macula <= 0;
    f->topography_missing = c->checks.topography_done != IOL_YES;
    bool trial_missing = f->optical && helps == IOL_UNKNOWN;
    bool any = f->oct_missing || f->topography_missing || trial_missing || f->macula_explains == IOL_UNKNOWN;
    f->tests_missing = iol_from_bool(f->elective && f->documented_wrong != IOL_YES && any);
    const iol_replacement *r = &w->plan->replacement;
    bool other_biometry = c->checks.biometry_belongs_to_this_eye == IOL_NO;
    f->no_power = iol_from_bool(f->optical && (!r->present || isnan(r->power_exact_d) || isnan(f->z) ||
                                               other_biometry || r->standing >= IOL_standing_provisional));
}

static void what_changes_the_plan(const iol_work *w, iol_facts *f) {
    const iol_cornea *cornea = &w->c->cornea;
    int known_by = w->c->first_surgery.lens.identified_by;
    f->biometry_repeated = w->eye.length_repeated && w->eye.cornea_repeated;
    f->lens_identified = known_by == IOL_identified_by_sticker || known_by == IOL_identified_by_operation_record;
    f->loose = iol_facts_reason(f, IOL_reason_lens_dislocation) || iol_facts_reason(f, IOL_reason_lens_tilt) ||
               iol_facts_reason(f, IOL_reason_lens_decentration);
    f->weak_cornea = f->cornea_damage == IOL_YES || cornea->oedema == IOL_YES || cornea->guttata == IOL_YES ||
                     iol_below(cornea->endothelial_cells_per_mm2, c_cells_high_risk_per_mm2) == IOL_YES;
    f->clouded_and_macula = iol_facts_reason(f, IOL_reason_lens_opacity) && w->c->retina.macula != IOL_macula_normal;
}

/* A lens that was never to give what was meant, in the days in which a wrong one is best exchanged. */
static void early_misfit(const iol_work *w, iol_facts *f) {
    const iol_surprise *s = &w->plan->surprise;
    f->lens_predicted_d = s->selection_part_d + s->intended_se_d;
    f->early_misfit = s->present && f->optical && !f->gates.wrong_lens &&
                      iol_above(fabs(s->selection_part_d), c_early_misfit_d) == IOL_YES &&
                      iol_below(f->day, c_best_before_day) == IOL_YES;
}

/* What the ranked options put first. Without a ranking (a recheck makes none) neither way is known. */
static void which_way(const iol_work *w, iol_facts *f) {
    static const char *const words[] = {
        [IOL_option_leave] = "leave it as it is",
        [IOL_option_treat_surface] = "treat the surface",
        [IOL_option_treat_macula] = "treat the macula",
        [IOL_option_capsule_laser] = "laser opening of the capsule",
        [IOL_option_spectacles] = "glasses",
        [IOL_option_contact_lens] = "a contact lens",
        [IOL_option_corneal_laser] = "corneal laser",
        [IOL_option_rotation] = "turn the lens",
        [IOL_option_reposition] = "put the lens back and hold it",
        [IOL_option_optic_capture] = "capture of the optic",
        [IOL_option_piggyback] = "a second lens in front (piggyback)",
        [IOL_option_exchange] = "",
        [IOL_option_remove_only] = "",
    };
    const iol_replacement *r = &w->plan->replacement;
    double least = NAN;
    for (int i = 0; i < r->choices_count; i++) least = fmin(least, fabs(r->choices[i].expected.se_d - r->target_se_d));
    f->not_made = iol_above(least, c_band_one_d) == IOL_YES;
    f->better_option = IOL_UNKNOWN;
    f->turn_in_time = IOL_NO;
    f->first_option_words = "";
    for (int i = 0; i < w->plan->options_count; i++) {
        if (iol_at_most(w->plan->options[i].rank, 1.0) != IOL_YES) continue;
        f->first_option = w->plan->options[i].option;
        bool taking = f->first_option == IOL_option_exchange || f->first_option == IOL_option_remove_only;
        f->better_option = iol_from_bool(!taking);
        f->first_fits = iol_from_bool(w->plan->options[i].suitable == IOL_YES);
        f->turn_in_time = iol_and(iol_from_bool(w->plan->options[i].option == IOL_option_rotation),
                                  iol_at_most(f->day, c_turn_last_day));
        f->first_option_words = words[f->first_option];
    }
}

void iol_facts_make(const iol_work *w, iol_facts *f) {
    int reason = w->c->reason;
    *f = (iol_facts){.c = w->c, .plan = w->plan};
    f->optical = reason == IOL_reason_power_error || reason == IOL_reason_cylinder_error;
    f->elective = f->optical || reason == IOL_reason_photic_positive || reason == IOL_reason_photic_negative ||
                  reason == IOL_reason_photic_multifocal;
    f->acuity_logmar = newest_acuity(w->c);
    before_any_power(w, f);
    causes(w, f);
    time_gates(w, f);
    other_explanations(w, f);
    what_changes_the_plan(w, f);
    early_misfit(w, f);
    which_way(w, f);
}
