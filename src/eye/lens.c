/* A lens as the optics need it: constants, position and power matrix. */
#include <string.h>

#include "case/lens_power.h"
#include "eye.h"
#include "tables/constants.h"
#include "tables/note_codes.h"

/* Fixed in the sclera: the nearer to the limbus, the further forward. No series went beyond its two ends. */
static double shift_of_sclera(double distance_mm) {
    double share = (distance_mm - c_fixation_near_mm) / (c_fixation_far_mm - c_fixation_near_mm);
    share = fmin(fmax(share, 0.0), 1.0);
    return c_shift_sclera_near_mm + share * (c_shift_sclera_mm - c_shift_sclera_near_mm);
}

/* Shift of the lens position from the bag, NaN where none is published, and how far lenses held there scatter. */
static void shift_of(int position, double distance_mm, double *shift_mm, double *sd_mm) {
    *shift_mm = NAN, *sd_mm = sd_shift_other_mm;
    switch (position) {
    case IOL_position_bag: *shift_mm = c_shift_bag_mm, *sd_mm = 0.0; break;
    case IOL_position_sulcus: *shift_mm = c_shift_sulcus_mm, *sd_mm = sd_shift_sulcus_mm; break;
    case IOL_position_sulcus_captured: *shift_mm = c_shift_sulcus_captured_mm, *sd_mm = sd_shift_captured_mm; break;
    case IOL_position_sclera: *shift_mm = shift_of_sclera(distance_mm), *sd_mm = sd_shift_sclera_mm; break;
    default: break;
    }
}

/* Distance from the limbus of the planned operation. */
static double fixation_distance(const iol_eye *eye) {
    double given = eye->c->operation.fixation_distance_mm;
    return isnan(given) ? c_fixation_far_mm : given;
}

/* The position that the constants hold for; the bag where they state none. */
static int stated_for(const iol_lens_in_eye *lens) {
    return lens->given->for_position > 0 ? lens->given->for_position : IOL_position_bag;
}

/* Constants stated for the position itself need no shift; stated for another one, the shifts are subtracted. Constants take
 * away the mean shift of a position, never the scatter of lenses held there. */
static void place(iol_lens_in_eye *lens, int position, double distance_mm) {
    double from, from_sd, to, to_sd;
    int stated = stated_for(lens);
    lens->position = position;
    shift_of(stated, c_fixation_far_mm, &from, &from_sd);
    shift_of(position, distance_mm, &to, &to_sd);
    bool own = stated == position;
    lens->shift_mm = own ? 0.0 : to - from;
    lens->shift_sd_mm = own ? to_sd : hypot(to_sd, from_sd);
}

static void complete_constants(iol_lens_in_eye *lens) {
    const iol_constants *g = lens->given;
    iol_lens_constants *k = &lens->constants;
    *k = (iol_lens_constants){g->a_constant,   g->surgeon_factor_mm, g->pacd_mm,
                              g->haigis_a0_mm, g->haigis_a1,         g->haigis_a2};
    lens->derived[IOL_FORMULA_holladay_1] = isnan(k->surgeon_factor_mm) && !isnan(g->a_constant);
    lens->derived[IOL_FORMULA_hoffer_q] = isnan(k->pacd_mm) && !isnan(g->a_constant);
    if (lens->derived[IOL_FORMULA_holladay_1]) k->surgeon_factor_mm = iol_surgeon_factor_from_a(g->a_constant);
    if (lens->derived[IOL_FORMULA_hoffer_q]) k->pacd_mm = iol_pacd_from_a(g->a_constant);
}

void iol_eye_say_derived(const iol_lens_in_eye *lens, iol_formula formula, const char *whose, iol_notes *notes) {
    if (!lens->derived[formula]) return;
    bool factor = formula == IOL_FORMULA_holladay_1;
    iol_note_add(notes, IOL_AT_plan_assumptions, 0, factor ? IOL_NOTE_assume_surgeon_factor : IOL_NOTE_assume_pacd,
                 iol_formulas[formula].constant(&lens->constants), NAN, whose);
}

void iol_eye_say_constants(const iol_eye *eye, const iol_lens_in_eye *lens, const char *whose, iol_notes *notes) {
    bool optical = eye->c->biometry.method == IOL_biometry_method_optical ||
                   eye->c->biometry_repeat.method == IOL_biometry_method_optical;
    if (optical && iol_is(lens->given->obtained_with, IOL_obtained_with_ultrasound) == IOL_YES)
        iol_note_add(notes, IOL_AT_plan_cautions, 0, IOL_NOTE_ultrasound_constant, NAN, NAN, whose);
    bool low = iol_below(lens->given->a_constant, c_chamber_a_most) == IOL_YES;
    if (low && lens->given->for_position <= 0)
        iol_note_add(notes, IOL_AT_plan_cautions, 0, IOL_NOTE_constants_as_bag, lens->given->a_constant, c_chamber_a_most, whose);
    else if (lens->given->for_position <= 0 && isnan(lens->shift_mm) && iol_eye_has_constants(lens))
        iol_note_add(notes, IOL_AT_plan_assumptions, 0, IOL_NOTE_assume_bag_unused, NAN, NAN, whose);
    if (stated_for(lens) == lens->position || isnan(lens->shift_mm) || !iol_eye_has_constants(lens)) return;
    if (lens->given->for_position > 0)
        iol_note_add(notes, IOL_AT_plan_cautions, 0, IOL_NOTE_other_position_constant, lens->shift_mm,
                     lens->shift_sd_mm, whose);
    else
        iol_note_add(notes, IOL_AT_plan_assumptions, 0, IOL_NOTE_assume_bag_constants, lens->shift_mm, NAN, whose);
}

double iol_eye_label_sd(const iol_eye *eye, double power_d) {
    double own = eye->site->spread.lens_label_d;
    if (!isnan(own)) return own * iol_eye_factor(eye);
    if (isnan(power_d)) return NAN;
    double size = fabs(power_d);
    double tolerance = size <= c_label_band_1_d   ? c_label_tolerance_1_d
                       : size <= c_label_band_2_d ? c_label_tolerance_2_d
                       : size <= c_label_band_3_d ? c_label_tolerance_3_d
                                                  : c_label_tolerance_4_d;
    return tolerance / 2.0 * iol_eye_factor(eye);
}

const iol_shelf_lens *iol_eye_on_shelf(const iol_site *site, const char *id) {
    for (int i = 0; i < site->lenses_count && id[0]; i++)
        if (strcmp(site->lenses[i].id, id) == 0) return &site->lenses[i];
    return NULL;
}

static bool no_constants(const iol_constants *k) {
    return isnan(k->a_constant) && isnan(k->surgeon_factor_mm) && isnan(k->pacd_mm) && isnan(k->haigis_a0_mm);
}

bool iol_eye_has_constants(const iol_lens_in_eye *lens) { return !no_constants(lens->given); }

static void take_power(iol_lens_in_eye *lens, const iol_lens *l, iol_notes *notes) {
    double cylinder = isnan(l->cylinder_d) ? 0.0 : l->cylinder_d;
    lens->power_d = iol_lens_equivalent(l->power_d, l->power_is, cylinder);
    bool meant_toric = isnan(l->cylinder_d) && (l->power_is > 0 || !isnan(l->axis_deg) || !isnan(l->axis_intended_deg));
    lens->toric = cylinder > 0.0 || meant_toric;
    lens->axis_known = cylinder > 0.0 && !isnan(l->axis_deg);
    lens->power = iol_matrix_scalar(lens->power_d);
    if (lens->axis_known)
        lens->power =
            iol_matrix_from_meridians(lens->power_d - cylinder / 2.0, lens->power_d + cylinder / 2.0, l->axis_deg);
    if (lens->toric && !lens->axis_known)
        iol_note_add(notes, IOL_AT_plan_cautions, 0, IOL_NOTE_lens_axis_missing, NAN, NAN, NULL);
}

void iol_eye_old_lens(iol_eye *eye, iol_notes *notes) {
    const iol_lens *l = &eye->c->first_surgery.lens;
    iol_lens_in_eye *lens = &eye->old;
    lens->given = &l->constants;
    eye->label_d = NAN;
    if (eye->no_lens == IOL_YES) {
        iol_eye_take_no_lens(eye);
        return;
    }
    const iol_shelf_lens *shelf = no_constants(&l->constants) ? iol_eye_on_shelf(eye->site, l->lens_id) : NULL;
    if (shelf) {
        lens->given = &shelf->constants;
        iol_note_add(notes, IOL_AT_plan_assumptions, 0, IOL_NOTE_assume_shelf_constants, shelf->constants.a_constant,
                     NAN, shelf->id);
    }
    const iol_shelf_lens *listed = iol_eye_on_shelf(eye->site, l->lens_id);
    lens->asphericity = l->asphericity > 0 || !listed ? l->asphericity : listed->asphericity;
    complete_constants(lens);
    for (int i = 0; i < IOL_FORMULA_COUNT; i++) iol_eye_say_derived(lens, (iol_formula)i, "the lens in the eye", notes);
    place(lens, iol_or_assume_word(l->position, stated_for(lens), &iol_words_position, IOL_NOTE_assume_position, notes),
          c_fixation_far_mm);
    take_power(lens, l, notes);
    eye->label_d = lens->power_d;
    iol_eye_say_constants(eye, lens, "the lens in the eye", notes);
}

void iol_eye_shelf_lens(const iol_eye *eye, const iol_shelf_lens *shelf, int position, iol_lens_in_eye *lens) {
    *lens = (iol_lens_in_eye){.given = &shelf->constants, .asphericity = shelf->asphericity, .power_d = NAN};
    complete_constants(lens);
    place(lens, position, fixation_distance(eye));
}

void iol_eye_say_fixation(const iol_eye *eye, int position, iol_notes *notes) {
    double given = eye->c->operation.fixation_distance_mm;
    if (position != IOL_position_sclera) return;
    if (isnan(given))
        iol_note_add(notes, IOL_AT_plan_assumptions, 0, IOL_NOTE_assume_fixation_distance, c_fixation_far_mm, NAN,
                     NULL);
    else if (iol_between(given, c_fixation_near_mm, c_fixation_far_mm) == IOL_NO)
        iol_note_add(notes, IOL_AT_plan_assumptions, 0, IOL_NOTE_assume_fixation_held,
                     given < c_fixation_near_mm ? c_fixation_near_mm : c_fixation_far_mm, NAN, NULL);
}

void iol_eye_lens_put_in(const iol_eye *eye, const iol_lens *l, iol_notes *notes, iol_lens_in_eye *lens) {
    const iol_shelf_lens *shelf = no_constants(&l->constants) ? iol_eye_on_shelf(eye->site, l->lens_id) : NULL;
    *lens = (iol_lens_in_eye){.given = shelf ? &shelf->constants : &l->constants};
    complete_constants(lens);
    place(lens,
          iol_or_assume_word(l->position, eye->old.position, &iol_words_position, IOL_NOTE_assume_same_place, notes),
          fixation_distance(eye));
    take_power(lens, l, notes);
}

void iol_eye_old_lens_at(const iol_eye *eye, int position, iol_lens_in_eye *lens) {
    *lens = eye->old;
    place(lens, position, fixation_distance(eye));
}

void iol_eye_build(const iol_eye *eye, const iol_lens *l, int *design, int *material) {
    const iol_shelf_lens *shelf = iol_eye_on_shelf(eye->site, l->lens_id);
    *design = l->design > 0 || !shelf ? l->design : shelf->design;
    *material = l->material > 0 || !shelf ? l->material : shelf->material;
}

iol_matrix iol_eye_old_lens_turned(const iol_eye *eye, double power_d, double axis_deg) {
    double half = iol_matrix_cylinder(eye->old.power) / 2.0;
    return iol_matrix_from_meridians(power_d - half, power_d + half, axis_deg);
}

iol_status iol_eye_predict(const iol_eye *eye, iol_formula formula, const iol_lens_in_eye *lens, iol_model *model) {
    iol_formula_input in = {eye->axial_length_mm, eye->radius_mm, eye->chamber_depth_mm, lens->constants,
                            eye->radius_before_mm};
    iol_status status = iol_formula_predict(formula, &in, model);
    if (status < 0) return status;
    if (isnan(lens->shift_mm)) {
        *model = (iol_model){NAN, NAN, NAN};
        return IOL_BAD_INPUT;
    }
    model->position_mm += lens->shift_mm;
    return status;
}

double iol_eye_fixation(const iol_eye *eye, int position) {
    double shift_mm, sd_mm;
    shift_of(position, fixation_distance(eye), &shift_mm, &sd_mm);
    return shift_mm;
}

double iol_eye_old_fixation(const iol_eye *eye) {
    double shift_mm, sd_mm;
    shift_of(eye->old.position, c_fixation_far_mm, &shift_mm, &sd_mm);
    return shift_mm;
}

double iol_eye_change_sd(const iol_eye *eye, const iol_lens_in_eye *fresh) {
    const iol_lens_in_eye *old = &eye->old;
    double base = isnan(eye->site->spread.new_position_mm) ? sd_change_mm : eye->site->spread.new_position_mm;
    bool same = old->position == fresh->position && old->shift_mm == fresh->shift_mm &&
                fresh->position != IOL_position_sclera; /* a place that the surgeon makes is made anew */
    return iol_eye_factor(eye) * (same ? base : hypot(base, hypot(old->shift_sd_mm, fresh->shift_sd_mm)));
}

/* The formula's constant as the lens itself states it. */
static bool states_own(const iol_lens_in_eye *lens, iol_formula formula) {
    return !lens->derived[formula] && !isnan(iol_formulas[formula].constant(&lens->constants));
}

iol_status iol_eye_position_change(const iol_eye *eye, iol_formula formula, double from_mm,
                                   const iol_lens_in_eye *fresh, double *change_mm, double *sd_mm, int *basis) {
    const iol_lens_in_eye *old = &eye->old;
    double fixation = fresh->shift_mm - old->shift_mm;
    *change_mm = *sd_mm = NAN;
    *basis = IOL_CHANGE_FIXATION_ONLY;
    if (isnan(fixation) || !iol_eye_has_constants(fresh)) return IOL_BAD_INPUT;
    bool own = states_own(old, formula) && states_own(fresh, formula);
    if (own || (old->derived[formula] && fresh->derived[formula])) {
        iol_model to;
        *basis = IOL_CHANGE_OWN;
        iol_status status = iol_eye_predict(eye, formula, fresh, &to);
        *change_mm = to.position_mm - from_mm;
        if (status < 0) return status;
    } else if (!isnan(old->constants.a_constant) && !isnan(fresh->constants.a_constant)) {
        *basis = IOL_CHANGE_BY_A;
        *change_mm = fixation + iol_nominal_position_from_a(fresh->constants.a_constant) -
                     iol_nominal_position_from_a(old->constants.a_constant);
    } else
        *change_mm = fixation;
    *sd_mm = iol_eye_change_sd(eye, fresh);
    return IOL_OK;
}
