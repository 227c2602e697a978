/* Case to eye: the order in which the pieces are found, and the reference formula. */
#include "eye.h"

#include "tables/constants.h"
#include "tables/note_codes.h"

double iol_or_assume(double given, double standard, iol_note_code code, const char *word, iol_notes *notes) {
    if (!isnan(given)) return given;
    iol_note_add(notes, IOL_AT_plan_assumptions, 0, code, standard, NAN, word);
    return standard;
}

int iol_or_assume_word(int given, int standard, const iol_word_set *set, iol_note_code code, iol_notes *notes) {
    if (given > 0) return given;
    iol_note_add(notes, IOL_AT_plan_assumptions, 0, code, NAN, NAN, iol_word_text(set, standard));
    return standard;
}

/* A lens that is said to lie in the vitreous or on the retina is dislocated, whatever brings the patient. */
static bool lies_behind(const iol_case *c) {
    return c->dislocation.lies == IOL_lies_anterior_vitreous || c->dislocation.lies == IOL_lies_retina;
}

iol_flag iol_case_has_reason(const iol_case *c, int reason) {
    iol_flag found = iol_is(c->reason, reason);
    const bool gone = c->reason == IOL_reason_no_lens || c->aphakic_now == IOL_YES;
    bool slips = reason == IOL_reason_lens_dislocation && !gone;
    if (slips && lies_behind(c)) return IOL_YES;
    if (slips && c->dislocation.present && c->dislocation.lies <= 0) found = iol_or(found, IOL_UNKNOWN);
    for (int i = 0; i < c->reasons_also_count; i++) found = iol_or(found, iol_is(c->reasons_also[i], reason));
    return found;
}

/* Oil at the refraction, now, or after the revision makes refraction and plan disagree. An object that says nothing at
 * all is "no oil", an assumption; within an object that says something, what is not answered stays unknown: only whether
 * oil stays is answered by there being none now, and all of it by there never having been a vitrectomy. */
static iol_flag oil_disturbs(const iol_eye *eye, iol_notes *notes) {
    const iol_silicone_oil *oil = &eye->c->silicone_oil;
    iol_flag at_refraction = oil->at_refraction != IOL_UNKNOWN ? oil->at_refraction
                             : eye->now.oil != IOL_UNKNOWN     ? eye->now.oil
                                                               : eye->moved.oil;
    iol_flag stays = oil->stays == IOL_UNKNOWN && oil->now == IOL_NO ? IOL_NO : oil->stays;
    iol_flag disturbs = iol_or(at_refraction, iol_or(oil->now, stays));
    if (oil->present && (disturbs != IOL_UNKNOWN || eye->c->zonule.vitrectomised != IOL_NO)) return disturbs;
    iol_note_add(notes, IOL_AT_plan_assumptions, 0, IOL_NOTE_assume_no_oil, NAN, NAN, "no");
    return IOL_NO;
}

/* K, L and the lens's constant are there for this formula. */
static bool can_predict(const iol_eye *eye, const iol_lens_in_eye *lens, int formula) {
    iol_model model;
    return iol_eye_predict(eye, (iol_formula)formula, lens, &model) >= 0;
}

static int reference_by_length(const iol_eye *eye, int *reason) {
    double length = eye->axial_length_mm;
    bool shorter = iol_below(length, c_reference_short_mm) == IOL_YES,
         longer = iol_above(length, c_reference_long_mm) == IOL_YES;
    *reason = shorter  ? IOL_reference_reason_length_below_22
              : longer ? IOL_reference_reason_length_above_26
                       : IOL_reference_reason_length_22_to_26;
    return shorter ? IOL_FORMULA_hoffer_q : longer ? IOL_FORMULA_srk_t : IOL_FORMULA_holladay_1;
}

/* The case's choice, the site's, the guidance by length, the first of the table that can run. */
int iol_eye_reference(const iol_eye *eye, const iol_lens_in_eye *lens, int *reason) {
    int by_length_reason, first = -1, possible = 0;
    const int choice[] = {eye->c->formula - 1, eye->site->habits.formula - 1,
                          reference_by_length(eye, &by_length_reason)};
    const int why[] = {IOL_reference_reason_case, IOL_reference_reason_site, by_length_reason};
    for (int i = 0; i < 3; i++) {
        *reason = why[i];
        if (choice[i] >= 0 && can_predict(eye, lens, choice[i])) return choice[i];
    }
    for (int i = IOL_FORMULA_COUNT - 1; i >= 0; i--)
        if (can_predict(eye, lens, i)) first = i, possible++;
    *reason = possible == 0   ? 0
              : possible == 1 ? IOL_reference_reason_only_one_possible
                              : IOL_reference_reason_first_possible;
    return first;
}

/* A formula that was asked for and cannot run is never replaced in silence. */
static void say_not_possible(const iol_eye *eye, iol_notes *notes) {
    int wished = (eye->c->formula > 0 ? eye->c->formula : eye->site->habits.formula) - 1;
    if (wished < 0 || eye->reference < 0 || eye->reference == wished) return;
    iol_note_add(notes, IOL_AT_plan_cautions, 0, IOL_NOTE_formula_not_possible, NAN, NAN, iol_formulas[wished].name);
}

/* What is wanted: as stated, else what the first operation aimed at; with neither plano, as a what-if. */
static void take_target(iol_eye *eye, iol_notes *notes) {
    double stated = eye->c->target_se_d, aim = eye->intended_se_d;
    eye->target_from = !isnan(stated) ? IOL_TARGET_STATED : !isnan(aim) ? IOL_TARGET_INTENDED : IOL_TARGET_NONE;
    eye->target_se_d = eye->target_from == IOL_TARGET_NONE
                           ? iol_or_assume(stated, 0.0, IOL_NOTE_assume_target_plano, NULL, notes)
                           : iol_or_assume(stated, aim, IOL_NOTE_assume_target_intended, NULL, notes);
}

void iol_eye_make(const iol_case *c, const iol_site *site, int32_t as_of, int which, iol_notes *notes, iol_eye *eye) {
    *eye = (iol_eye){.c = c, .site = site, .as_of = as_of};
    eye->intended_se_d = c->first_surgery.intended_se_d;
    take_target(eye, notes);
    int surgery = c->cornea.earlier_refractive_surgery;
    eye->corneal_surgery = iol_not(iol_is(surgery, IOL_corneal_surgery_none));
    eye->no_lens = iol_case_no_lens(c);
    iol_eye_biometry(eye, which, notes);
    iol_eye_old_lens(eye, notes);
    if (eye->no_lens == IOL_YES) eye->intended_se_d = NAN; /* of an operation that left no lens */
    iol_eye_second_lens(eye, notes);
    eye->aphakic = iol_eye_reads_without_lens(eye);
    if (eye->aphakic && eye->no_lens != IOL_YES) iol_eye_take_no_lens(eye);
    iol_eye_reading(eye, notes);
    eye->oil = oil_disturbs(eye, notes);
    double habit = site->habits.vertex_mm;
    eye->vertex_mm = eye->now.usable && !isnan(eye->now.vertex_mm) ? eye->now.vertex_mm
                     : eye->moved.usable                           ? eye->moved.vertex_mm
                     : isnan(habit) ? iol_or_assume(NAN, c_vertex_mm, IOL_NOTE_assume_vertex, NULL, notes)
                                    : iol_or_assume(NAN, habit, IOL_NOTE_assume_vertex_site, NULL, notes);
    const iol_spread *spread = &site->spread;
    bool altered = eye->corneal_surgery == IOL_YES || iol_above(eye->k_d, c_k_steep_limit_d) == IOL_YES;
    eye->sd_position_mm = !isnan(spread->lens_position_mm) ? spread->lens_position_mm
                          : altered                        ? sd_position_altered_mm
                                                           : sd_position_mm;
    eye->sd_label_d = eye->aphakic ? 0.0 : iol_eye_label_sd(eye, eye->old.power_d);
    bool own_offset = !isnan(site->habits.lens_depth_offset_mm);
    eye->depth_offset_mm = own_offset ? site->habits.lens_depth_offset_mm : c_depth_offset_mm;
    eye->sd_depth_mm = !isnan(spread->lens_depth_mm) ? spread->lens_depth_mm
                       : own_offset                  ? sd_depth_site_mm
                                                     : sd_depth_mm;
    eye->sd_length_mm *= iol_eye_factor(eye);
    eye->sd_k_d *= iol_eye_factor(eye);
    eye->sd_position_mm *= iol_eye_factor(eye);
    eye->sd_depth_mm *= iol_eye_factor(eye);
    eye->now.sd_d *= iol_eye_factor(eye);
    eye->moved.sd_d *= iol_eye_factor(eye);
    iol_eye_length_from_reading(eye, notes);
    iol_eye_two_length_from_reading(eye, notes);
    iol_eye_growth(eye, notes);
    iol_eye_wound(eye, notes);
    eye->reference = iol_eye_reference(eye, &eye->old, &eye->reference_reason);
    say_not_possible(eye, notes);
}
