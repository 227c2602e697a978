/* The facts of the case and of its eye: made when the plan is begun. */
#include <string.h>

#include "alarms.h"
#include "case/acuity.h"
#include "case/lens_power.h"
#include "displaced.h"
#include "gates.h"
#include "positions.h"
#include "tables/constants.h"
#include "text/list.h"

static const iol_facts not_known = {
#define FLAG(name, meaning) .name = IOL_UNKNOWN,
#define BOOL(name, meaning) .name = false,
#define NUM(name, meaning) .name = NAN,
#define WORD(name, set, meaning) .name = 0,
#define CODE(name, meaning) .name = 0,
#define TEXT(name, meaning) .name = "",
#include "facts.def"
#undef FLAG
#undef BOOL
#undef NUM
#undef WORD
#undef CODE
#undef TEXT
};

/* ---- capsule, zonule and what lies beside them ---- */

/* Lens and capsule slipped together. Not stated: unknown when anything at all is said of a dislocation. */
static iol_flag bag_slipped(const iol_case *c, iol_flag told) {
    if (iol_case_no_lens(c) == IOL_YES) return IOL_NO;
    if (c->dislocation.with_capsule != IOL_UNKNOWN) return c->dislocation.with_capsule;
    return told == IOL_YES ? IOL_UNKNOWN : IOL_NO;
}

static iol_flag in_vitreous(const iol_case *c, iol_flag told) {
    int lies = c->dislocation.lies;
    if (lies > 0) return iol_from_bool(lies == IOL_lies_anterior_vitreous || lies == IOL_lies_retina);
    return told == IOL_YES ? IOL_UNKNOWN : IOL_NO;
}

/* A lens in the bag trembles or shifts with it, where a whole bag is there to be fixed. */
static iol_flag in_its_bag(const iol_facts *f, iol_flag told) {
    if (told == IOL_YES || f->no_lens == IOL_YES) return f->bag_slipped;
    iol_flag whole = iol_not(iol_or(f->posterior_gone, f->anterior_torn));
    return iol_and(f->stated_in_bag, iol_and(iol_or(f->shifted, f->lens_loose), whole));
}

static void capsule_and_zonule(const iol_case *c, iol_facts *f) {
    const iol_capsule *capsule = &c->capsule;
    double gone = c->zonule.missing_clock_hours;
    iol_flag told = iol_or(iol_from_bool(c->dislocation.present), f->dislocation);
    f->posterior_gone = iol_or(iol_is(capsule->posterior, IOL_posterior_capsule_torn),
                               iol_is(capsule->posterior, IOL_posterior_capsule_absent));
    f->posterior_open = iol_or(iol_is(capsule->posterior, IOL_posterior_capsule_opened_by_laser), f->posterior_gone);
    f->bag_slipped = bag_slipped(c, told);
    f->lens_in_vitreous = in_vitreous(c, told);
    iol_flag marked = iol_is(c->zonule.donesis, IOL_donesis_marked);
    f->zonule_lost = iol_or(iol_or(marked, iol_above(gone, c_zonule_lost_hours)), f->bag_slipped);
    const iol_flag on_capsule = iol_not(iol_or(f->no_lens, iol_or(f->outside_capsule, f->dislocation)));
    f->lens_loose = iol_and(f->zonule_lost, on_capsule);
    f->bag_comes_out = iol_or(c->dislocation.with_capsule, iol_and(f->lens_loose, f->in_bag)) == IOL_YES;
    f->zonule_weak = iol_or(iol_or(iol_is(c->zonule.donesis, IOL_donesis_slight), f->zonule_lost), iol_above(gone, 0.0));
    f->held_badly = f->moved == IOL_YES && f->zonule_weak != IOL_NO;
    f->anterior_torn = iol_or(iol_is(capsule->anterior, IOL_anterior_capsule_tear),
                              iol_is(capsule->anterior, IOL_anterior_capsule_absent));
    const iol_flag neither = iol_and(iol_is(capsule->anterior, IOL_anterior_capsule_absent),
                                     iol_is(capsule->posterior, IOL_posterior_capsule_absent));
    f->bag_gone = iol_and(iol_and(f->stated_in_bag, iol_not(iol_or(f->no_lens, f->moved))), neither);
    f->bag_barred =
        iol_or(f->posterior_gone, iol_or(iol_is(capsule->anterior, IOL_anterior_capsule_absent), f->zonule_lost));
    f->in_its_bag = in_its_bag(f, told);
    iol_flag tight = iol_and(f->in_bag, iol_is(capsule->anterior, IOL_anterior_capsule_contracted));
    f->rim_pulls = iol_and(iol_and(f->shifted, iol_not(iol_or(f->dislocation, f->zonule_lost))), tight);
    f->bag_whole = iol_not(iol_or(iol_or(f->anterior_torn, f->posterior_gone), f->zonule_lost));
}

static void rest_of_the_eye(const iol_work *w, iol_facts *f) {
    const iol_anterior_segment *a = &w->c->anterior_segment;
    const iol_cornea *cornea = &w->c->cornea;
    f->cornea_swollen = iol_and(cornea->oedema, iol_not(iol_at_most(f->acuity_logmar, c_trial_lens_logmar)));
    f->cornea_unfit =
        iol_or(iol_is(cornea->surface, IOL_surface_ectatic), iol_is(cornea->surface, IOL_surface_irregular));
    iol_flag made_for = iol_between(f->length_mm, c_formula_length_low, c_formula_length_high);
    iol_flag plain = iol_and(iol_is(cornea->surface, IOL_surface_regular), iol_not(f->corneal_surgery));
    f->formula_suits = iol_and(plain, made_for);
    f->short_eye = iol_below(f->length_mm, c_short_eye_mm);
    f->contracted =
        iol_and(iol_and(f->optical, f->in_bag), iol_is(w->c->capsule.anterior, IOL_anterior_capsule_contracted));
    f->uveitis = iol_not(iol_is(a->uveitis, IOL_uveitis_none));
    f->uveitis_active = iol_is(a->uveitis, IOL_uveitis_active);
    const bool slipped = f->dislocation == IOL_YES && f->trembles != IOL_YES;
    f->inflamed_by_lens = f->lens_chafes == IOL_YES || f->may_chafe || slipped;
    f->glaucoma = iol_not(iol_is(a->glaucoma, IOL_glaucoma_none));
    f->pressure_uncontrolled =
        iol_or(iol_is(a->glaucoma, IOL_glaucoma_uncontrolled), iol_at_least(a->pressure_mmhg, c_pressure_treat_mmhg));
    const iol_flag drained = iol_or(f->glaucoma, a->drainage_surgery),
                   raised = iol_above(a->pressure_mmhg, c_pressure_rubs_mmhg);
    const iol_flag moved_soon = iol_and(f->moved, iol_or(f->pressure_uncontrolled, iol_and(drained, raised)));
    f->pressure_soon = iol_or(moved_soon, iol_and(drained, iol_at_least(a->pressure_mmhg, c_pressure_treat_mmhg)));
    f->oedema_prone = iol_or(w->c->patient.diabetes, w->c->retina.earlier_cystoid_oedema);
    f->onset_late = iol_and(f->optical, iol_above(w->c->complaint.onset_days, c_settle_late_day));
    f->macular_oedema = iol_is(w->c->retina.macula, IOL_macula_oedema);
    f->iris_unfit = iol_or(iol_is(a->iris, IOL_iris_atrophic), iol_is(a->iris, IOL_iris_defect));
    bool phakic = w->c->biometry.eye_state == IOL_eye_state_phakic;
    /* A lens that was taken out since lay behind the iris of today as well. */
    f->iris_plane_mm = fmax(w->c->biometry_repeat.lens_depth_mm - c_iris_before_lens_mm,
                            phakic ? w->eye.chamber_depth_mm : NAN); /* NaN is left out */
    f->chamber_mm = w->eye.lens_depth_mm; /* else the chamber before, which has only become deeper */
    if (isnan(f->chamber_mm) && iol_at_least(w->eye.chamber_depth_mm, c_piggyback_chamber_mm) == IOL_YES)
        f->chamber_mm = w->eye.chamber_depth_mm;
    f->weak_cornea = f->cornea_damage == IOL_YES || cornea->oedema == IOL_YES || cornea->guttata == IOL_YES ||
                     iol_below(cornea->endothelial_cells_per_mm2, c_cells_high_risk_per_mm2) == IOL_YES;
    f->clouded_and_macula = f->clouded == IOL_YES && w->c->retina.macula != IOL_macula_normal;
}

/* ---- why, and which lens ---- */

/* Found by an unknown way and between the limits of the two ways it is not known to matter. */
static iol_flag tilt_matters(const iol_lens *lens) {
    iol_flag least = iol_above(lens->tilt_deg, c_tilt_matters_deg);
    iol_flag most = iol_above(lens->tilt_deg, c_tilt_matters_instrument_deg);
    if (lens->tilt_by > 0) return iol_above(lens->tilt_deg, iol_eye_tilt_limit(lens));
    return least == most ? least : IOL_UNKNOWN;
}

/* A reason that speaks of the lens in the eye; none where there is none. */
static iol_flag of_a_lens(const iol_work *w, int reason) {
    return w->eye.no_lens == IOL_YES ? IOL_NO : iol_case_has_reason(w->c, reason);
}

static void complaints(const iol_work *w, iol_facts *f) {
    const iol_case *c = w->c;
    int first = c->reason;
    iol_flag cylinder = iol_case_has_reason(c, IOL_reason_cylinder_error);
    f->optical = iol_or(iol_case_has_reason(c, IOL_reason_power_error), cylinder);
    f->power_first = first == IOL_reason_power_error;
    f->elective = f->power_first || first == IOL_reason_cylinder_error || first == IOL_reason_photic_positive ||
                  first == IOL_reason_photic_negative || first == IOL_reason_photic_multifocal;
    f->photic_negative = iol_case_has_reason(c, IOL_reason_photic_negative);
    f->photic_positive = iol_case_has_reason(c, IOL_reason_photic_positive);
    f->multifocal = iol_case_has_reason(c, IOL_reason_photic_multifocal);
    f->clouded = of_a_lens(w, IOL_reason_lens_opacity);
    f->lens_damage = of_a_lens(w, IOL_reason_lens_damage);
    f->cornea_damage = iol_case_has_reason(c, IOL_reason_cornea_damage);
    f->inflamed = iol_case_has_reason(c, IOL_reason_inflammation);
    f->dislocation = iol_case_has_reason(c, IOL_reason_lens_dislocation);
    f->shifted = iol_or(of_a_lens(w, IOL_reason_lens_tilt), of_a_lens(w, IOL_reason_lens_decentration));
    f->moved = iol_or(f->shifted, f->dislocation);
    f->askew = iol_or(iol_above(c->first_surgery.lens.decentration_mm, c_decentration_matters_mm),
                      tilt_matters(&c->first_surgery.lens));
    if (w->eye.no_lens == IOL_YES) f->askew = IOL_NO;
    f->off_centre = iol_and(f->shifted, f->askew);
    const iol_flag clear = iol_is(c->first_surgery.lens.opacity, IOL_opacity_none);
    f->first_clouded = iol_and(f->clouded, iol_not(clear));
    f->lens_fault = iol_or(f->moved, iol_or(f->first_clouded, f->lens_damage));
}

/* Another power mends an optical complaint, and that of a multifocal lens with an error beside it: a cylinder too that the patient
 * would accept. A reading without a lens may be one of the theatre where nobody says with what it was taken. */
static void what_mends(const iol_work *w, iol_facts *f) {
    const iol_flag relieved = w->c->complaint.relieved_by_glasses;
    iol_flag near = iol_at_most(fabs(f->gap_d), c_option_close_d);
    const iol_refraction *newest = iol_case_newest_reading(w->c);
    const bool unplaced = newest && newest->lens_then <= 0 && newest->measured_on != w->eye.now.read_on; /* an older one counts */
    const bool maybe_in_theatre = w->eye.aphakic && !w->eye.now.with_given;
    if (!f->target_stated || !f->cylinder_stated || unplaced || maybe_in_theatre) near = IOL_UNKNOWN;
    const iol_flag close = iol_and(near, iol_at_most(f->cylinder_d, f->cylinder_accepted_d)),
                   sharp = iol_and(near, iol_at_most(f->cylinder_d, c_option_cylinder_d));
    f->power_mends = iol_and(iol_or(f->optical, iol_and(f->multifocal, iol_not(sharp))), iol_not(f->lens_fault));
    if (f->no_lens == IOL_YES) f->power_mends = IOL_YES;
    const bool held = f->zonule_lost == IOL_NO && f->dislocation != IOL_YES;
    f->glasses_mend = iol_or(f->power_mends, iol_from_bool(f->shifted == IOL_YES && held && relieved == IOL_YES));
    f->close_to_target = iol_and(f->power_mends, close);
    f->shadow_early = iol_and(f->photic_negative, iol_below(f->day, c_wait_negative_day));
}

static double newest_acuity(const iol_case *c) {
    return c->refractions_count > 0 ? iol_acuity_corrected(&c->refractions[c->refractions_count - 1]) : NAN;
}

/* Another power inside than the meant one, while nobody has said whether the record shows a wrong lens. */
static iol_flag lens_not_meant(const iol_case *c) {
    const iol_lens *lens = &c->first_surgery.lens;
    const iol_meant_lens *meant = &c->first_surgery.meant_lens;
    if (!meant->present || lens->documented_wrong != IOL_UNKNOWN || iol_case_no_lens(c) == IOL_YES) return IOL_NO;
    double apart = iol_lens_equivalent(lens->power_d, lens->power_is, lens->cylinder_d) -
                   iol_lens_equivalent(meant->power_d, meant->power_is, meant->cylinder_d);
    return iol_at_least(fabs(apart), c_meant_lens_off_d);
}

/* Only moves in its place, where nothing else that is told contradicts it. */
static iol_flag trembles(const iol_work *w, const iol_facts *f) {
    const iol_case *c = w->c;
    const int lies = c->dislocation.lies;
    const bool gone = lies == IOL_lies_retina || lies == IOL_lies_chamber;
    if (f->dislocation != IOL_YES || gone || iol_above(c->dislocation.stage, c_stage_trembles) == IOL_YES)
        return iol_and(f->dislocation, IOL_NO);
    const iol_flag elsewhere = iol_or(iol_not(iol_is(lies, IOL_lies_pupil)), iol_from_bool(w->eye.moved.usable));
    const iol_flag agrees = iol_and(iol_at_most(c->dislocation.stage, c_stage_trembles), iol_not(iol_or(elsewhere, f->askew)));
    return agrees == IOL_YES ? IOL_YES : IOL_UNKNOWN;
}

static void the_old_lens(const iol_work *w, iol_facts *f) {
    const iol_case *c = w->c;
    const iol_lens *lens = &c->first_surgery.lens;
    int held = w->eye.old.position, lies = c->dislocation.lies, known_by = lens->identified_by;
    iol_flag acrylic = iol_or(iol_is(lens->material, IOL_material_hydrophobic_acrylic),
                              iol_is(lens->material, IOL_material_hydrophilic_acrylic));
    iol_flag one_piece = iol_is(lens->design, IOL_design_one_piece);
    f->documented_wrong = w->eye.no_lens == IOL_YES ? IOL_NO : lens->documented_wrong;
    f->lens_not_meant = lens_not_meant(c);
    f->lens_identified = known_by == IOL_identified_by_sticker || known_by == IOL_identified_by_operation_record ||
                         w->eye.no_lens == IOL_YES;
    f->old_place_stated = lens->position > 0 ? (double)lens->position : NAN;
    f->no_lens = w->eye.no_lens;
    f->aphakic = w->eye.aphakic;
    const iol_refraction *newest = iol_case_newest_reading(c);
    iol_flag read = newest ? iol_is(newest->lens_then, IOL_lens_then_aphakic) : IOL_UNKNOWN;
    iol_flag measured = iol_is(c->biometry_repeat.eye_state, IOL_eye_state_aphakic);
    bool elsewhere = c->dislocation.lies > 0 || f->dislocation == IOL_YES;
    bool said = c->aphakic_now != IOL_UNKNOWN || w->eye.aphakic || elsewhere;
    bool one = read == IOL_YES || measured == IOL_YES;
    f->lens_not_told = one && !said && iol_and(read, measured) != IOL_NO;
    f->lens_told_twice = read == IOL_YES && !w->eye.aphakic && !f->lens_not_told;
    f->stated_in_bag = iol_is(lens->position, IOL_position_bag);
    f->stated_off_capsule = iol_above(f->old_place_stated, (double)IOL_position_sulcus_captured);
    f->in_bag = iol_from_bool(held == IOL_position_bag && f->no_lens != IOL_YES);
    f->outside_capsule = iol_from_bool(held > IOL_position_sulcus_captured); /* ORDER position */
    f->trembles = trembles(w, f);
    f->lens_on_retina = iol_and(f->dislocation, iol_is(lies, IOL_lies_retina));
    f->lens_in_chamber = iol_and(f->dislocation, iol_is(lies, IOL_lies_chamber));
    f->acuity_logmar = newest_acuity(c);
    iol_flag mild = iol_and(iol_is(lens->opacity, IOL_opacity_mild), iol_above(f->acuity_logmar, c_acuity_poor_logmar));
    f->opacity_matters = iol_and(f->first_clouded, iol_or(iol_is(lens->opacity, IOL_opacity_marked), mild));
    iol_flag rubs =
        iol_or(iol_is(lens->position, IOL_position_sulcus),
               iol_or(iol_is(lens->position, IOL_position_iris_front), iol_is(lens->position, IOL_position_chamber)));
    iol_flag there = iol_from_bool(f->no_lens != IOL_YES), soft = iol_and(one_piece, acrylic);
    f->one_piece_sulcus = iol_and(there, iol_and(iol_is(lens->position, IOL_position_sulcus), soft));
    f->lens_chafes = iol_or(iol_and(iol_and(there, f->inflamed), rubs), iol_and(f->one_piece_sulcus, iol_harm_of_rubbing(c)));
    const iol_flag in_place = iol_and(f->stated_in_bag, iol_not(f->moved));
    const iol_flag by_a_lens = iol_and(f->lens_not_told ? IOL_UNKNOWN : iol_not(f->no_lens), f->cornea_damage);
    f->cornea_fails = iol_and(by_a_lens, in_place);
    f->lens_harms_cornea = iol_and(by_a_lens, iol_not(in_place));
    iol_flag lost = iol_or(f->dislocation, iol_or(f->opacity_matters, f->off_centre));
    iol_flag harm = iol_or(lost, iol_or(f->lens_damage, iol_or(f->cornea_damage, f->lens_chafes)));
    f->lens_harms = !f->elective && harm == IOL_YES;
    const bool sore = c->reason == IOL_reason_inflammation && f->no_lens != IOL_YES;
    f->inflamed_bag = iol_and(iol_from_bool(sore), iol_and(f->stated_in_bag, iol_not(iol_or(harm, f->moved))));
    const bool first = c->reason == IOL_reason_lens_opacity && !iol_case_two_lenses(c);
    f->cloud_small = iol_and(iol_from_bool(first), iol_and(iol_not(f->optical), iol_not(harm)));
    f->only_elective = f->elective && harm != IOL_YES;
    iol_facts_of_rubbing(w, f);
    const bool mends_itself = f->no_lens != IOL_YES && !f->lens_harms;
    f->complaint_fades = iol_and(iol_is(c->complaint.trend, IOL_trend_better), iol_from_bool(mends_itself));
    f->trend_open =
        c->complaint.trend <= 0 && harm != IOL_YES && f->clouded != IOL_YES && f->documented_wrong != IOL_YES;
    f->needs_reading = f->elective || f->no_lens == IOL_YES;
}

/* A manifest reading that brings good acuity is the trial lens itself, but of rings and shadows it says nothing. */
static iol_flag trial_helps(const iol_case *c) {
    const iol_refraction *newest = c->refractions_count > 0 ? &c->refractions[c->refractions_count - 1] : NULL;
    bool manifest = newest && newest->method == IOL_refraction_method_manifest;
    iol_flag answered = c->checks.acuity_improves_with_trial_lens;
    const bool photic = iol_case_has_reason(c, IOL_reason_photic_negative) == IOL_YES ||
                        iol_case_has_reason(c, IOL_reason_photic_positive) == IOL_YES;
    if (answered != IOL_UNKNOWN || !manifest || photic) return answered;
    return iol_at_most(iol_acuity_corrected(newest), c_trial_lens_logmar) == IOL_YES ? IOL_YES : IOL_UNKNOWN;
}

static void tests_done(const iol_case *c, iol_facts *f) {
    f->trial_helps = trial_helps(c);
    f->blur_not_power = iol_and(f->optical, iol_not(f->trial_helps));
    f->capsule_blurs = iol_and(f->blur_not_power, iol_is(c->capsule.posterior, IOL_posterior_capsule_opacified));
    const iol_flag late = iol_above(c->complaint.onset_days, c_settle_late_day);
    const iol_flag hazy = iol_is(c->capsule.posterior, IOL_posterior_capsule_opacified);
    f->came_with_haze = iol_and(iol_and(iol_or(f->multifocal, f->photic_positive), iol_not(f->lens_fault)), iol_and(hazy, late));
    f->oct_missing = c->retina.oct_done != IOL_YES || c->retina.macula <= 0;
    f->topography_missing = c->checks.topography_done != IOL_YES;
    iol_flag diseased = iol_not(iol_is(c->retina.macula, IOL_macula_normal));
    iol_flag poor = iol_above(f->acuity_logmar, c_acuity_poor_logmar);
    f->macula_explains = iol_and(iol_and(iol_from_bool(f->elective), diseased), poor);
    if (iol_and(f->optical, f->trial_helps) == IOL_YES) f->macula_explains = IOL_NO;
    bool trial_missing = f->optical == IOL_YES && f->trial_helps == IOL_UNKNOWN;
    bool any = f->oct_missing || f->topography_missing || trial_missing || f->macula_explains == IOL_UNKNOWN ||
               c->complaint.trend == 0 || !f->target_stated || isnan(f->z) ||
               (isnan(f->old_place_stated) && f->no_lens != IOL_YES) || c->cornea.surface <= 0 ||
               f->cornea_swollen == IOL_UNKNOWN || f->bag_gone == IOL_UNKNOWN;
    f->tests_missing = iol_from_bool(f->elective && f->documented_wrong != IOL_YES && any);
}

/* Putting a displaced lens back. One that would be held elsewhere gives the refraction of that place instead. */
static void put_back(iol_work *w, iol_facts *f) {
    const iol_lens *lens = &w->c->first_surgery.lens;
    iol_spectacle_form recentred;
    f->reading_recentred = w->eye.recentred;
    const bool lies = f->off_centre == IOL_YES && f->dislocation != IOL_YES, told = f->reading && !w->eye.recentred;
    f->read_in_place = iol_and(iol_from_bool(lies && told), iol_at_least(w->eye.now.day, w->c->complaint.onset_days));
    f->displaced_unused = w->eye.moved.usable && !w->eye.now.usable;
    f->displaced_far = f->displaced_unused && w->moved.status >= 0 && iol_displaced_is_measured(&w->moved) &&
                       !iol_displaced_calibrates(&w->moved);
    f->displaced_beyond =
        w->moved.status >= 0 && iol_displaced_is_measured(&w->moved) && w->moved.trust == IOL_trust_none;
    if (f->displaced_beyond) f->rim_pulls = IOL_NO;
    f->recentred_by_d = w->eye.recentred ? w->eye.moved.spectacle_d - w->eye.now.spectacle_d : NAN;
    f->recentred_sd_d = w->eye.recentred ? w->moved.sd_se_d : NAN;
    f->recentring_enough = iol_recentring_enough(w, &recentred);
    f->recentring_short = iol_recentring_short(w);
    bool in_question = f->recentring_enough != IOL_NO || f->recentring_short != IOL_NO;
    if (in_question && w->eye.moved.usable && !w->eye.moved.place_stated)
        f->recentring_enough = f->recentring_short = IOL_UNKNOWN;
    if (f->moved != IOL_YES) f->recentring_enough = f->recentring_short = IOL_NO;
    f->recentring_wish_open = iol_recentring_wish_open(w, &recentred);
    f->recentred_d = recentred.se_d;
    f->recentred_cylinder_d = fabs(recentred.cylinder_d);
    const bool held_anew = f->moved == IOL_YES || f->lens_loose == IOL_YES;
    f->capture_moves = iol_or(f->shifted, iol_or(f->may_rub, f->lens_chafes));
    if (held_anew || f->capture_moves == IOL_YES) {
        iol_place_back captured;
        iol_place_back_at(w, IOL_position_sulcus_captured, &captured);
        f->captured_d = captured.expected.se_d;
    }
    if (held_anew) {
        iol_place_back back;
        iol_place_back_make(w, &back);
        f->in_place_d = back.expected.se_d;
        if (iol_above(fabs(back.shift_mm), 0.0) == IOL_YES) f->recentring_enough = f->recentring_short = IOL_NO;
    }
    iol_flag loose_one_piece = iol_and(iol_not(f->in_its_bag), iol_is(lens->design, IOL_design_one_piece));
    iol_flag not_held = iol_and(f->zonule_lost, iol_or(iol_is(lens->design, IOL_design_plate), loose_one_piece));
    iol_flag no_place = iol_or(not_held, iol_and(f->one_piece_sulcus, f->bag_barred));
    f->put_back_barred = iol_or(iol_or(f->first_clouded, f->lens_damage), no_place);
    f->put_back_does = f->put_back_barred == IOL_YES ? IOL_NO : f->recentring_enough;
}

/* Whether taking the lens out is plain, and in words what is found against it. */
static void what_hampers(const iol_case *c, iol_facts *f) {
    const iol_flag marked = iol_is(c->zonule.donesis, IOL_donesis_marked);
    const iol_flag zonule = iol_or(marked, iol_above(c->zonule.missing_clock_hours, c_zonule_lost_hours));
    const struct {
        iol_flag found;
        const char *words;
    } against[] = {{c->patient.only_seeing_eye, "only eye"},
                   {c->cornea.oedema, "swollen cornea"},
                   {f->posterior_open, "opened capsule"},
                   {zonule, "a zonule that hardly holds"},
                   {iol_is(c->capsule.fibrosis, IOL_fibrosis_dense), "dense fibrosis"},
                   {iol_above(f->day, c_wrong_lens_old_days), "more than a year"}};
    f->hampered = IOL_NO;
    f->hampered_words[0] = '\0';
    for (size_t i = 0; i < sizeof against / sizeof *against; i++) {
        f->hampered = iol_or(f->hampered, against[i].found);
        if (against[i].found == IOL_YES)
            iol_list_add(f->hampered_words, sizeof f->hampered_words, against[i].words, ", more");
    }
}

/* A wrong lens on record: is there a miss to operate for, and does the eye allow it? */
static void wrong_lens(const iol_case *c, iol_facts *f) {
    iol_flag off = iol_or(iol_above(fabs(f->now_d - f->intended_d), c_option_close_d),
                          iol_above(f->cylinder_d, f->cylinder_accepted_d));
    f->miss_matters = iol_or(off, f->multifocal);
    f->wrong_misses = iol_and(f->documented_wrong, f->miss_matters);
    f->wrong_on_target = iol_and(f->documented_wrong, iol_not(f->miss_matters));
    what_hampers(c, f);
    f->wrong_first = iol_and(f->wrong_misses, iol_not(f->hampered));
    f->wrong_cells = iol_and(f->wrong_first, iol_and(f->uveitis_active, iol_below(f->day, c_best_before_day)));
    f->nothing_to_correct =
        iol_and(iol_at_most(fabs(f->gap_d), c_correct_least_d), iol_at_most(f->cylinder_d, c_correct_least_d));
    if (!f->target_stated) f->nothing_to_correct = IOL_UNKNOWN;
    if (f->elective && f->documented_wrong == IOL_UNKNOWN && f->miss_matters == IOL_UNKNOWN) f->tests_missing = IOL_YES;
}

void iol_facts_begin(iol_work *w) {
    iol_facts *f = &w->facts;
    *f = not_known;
    complaints(w, f);
    the_old_lens(w, f);
    iol_facts_of_miss(w, f);
    iol_facts_of_spoilers(w, f);
    capsule_and_zonule(w->c, f);
    put_back(w, f);
    rest_of_the_eye(w, f);
    iol_facts_of_the_search(w, f);
    tests_done(w->c, f);
    iol_gates_make(w, f);
    iol_facts_of_reading(w, f);
    what_mends(w, f);
    wrong_lens(w->c, f);
    f->pb_three_piece = IOL_NO;
    f->place = iol_position_on_shelf(w);
    bool at_iris = f->place >= IOL_position_iris_behind; /* ORDER position */
    iol_facts_of_child(w, f);
    f->front_not_examined = at_iris && iol_position_unknown(w, f->place);
    iol_facts_grow(w);
}
