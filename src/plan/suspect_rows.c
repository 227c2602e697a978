/* The suspects of a surprise on the plan, and what the two eyes say about each other. */
#include "case/acuity.h"
#include "estimate/suspects.h"
#include "tables/rule_codes.h"

#include <string.h>

#include "aim.h"
#include "replacement.h"
#include "surprise.h"
#include "tables/constants.h"

/* Yes or no by its number; without one not known, or no for a condition that proves nothing by itself. */
static iol_flag explains(const iol_suspicion *s) {
    if (!isnan(s->implied_miss_d)) return iol_from_bool(iol_suspicion_explains(s));
    return iol_suspect_rows[s->id].settles ? IOL_UNKNOWN : IOL_NO;
}

/* The sentence of its row; without its figure for those that can lack it. */
static iol_note_code check_of(const iol_suspicion *s) {
    if (s->confirmed && s->id == IOL_SUSPECT_displaced) return IOL_NOTE_check_displaced;
    if (s->confirmed && s->id == IOL_SUSPECT_reversed) return IOL_NOTE_check_reversed;
    if (isnan(s->value) && s->id == IOL_SUSPECT_another_lens) return IOL_NOTE_check_another_lens;
    const bool alike =
        iol_below(fabs(s->value - s->other), c_meant_lens_off_d) == IOL_YES; /* another cylinder, or kind of optic */
    if ((isnan(s->other) || alike) && s->id == IOL_SUSPECT_wrong_lens) return IOL_NOTE_check_wrong_lens;
    if (isnan(s->value) && s->id == IOL_SUSPECT_toric_axis) return IOL_NOTE_check_toric_axis;
    return (iol_note_code)(IOL_NOTE_suspect_selection + (int)s->id);
}

/* What the looks taken have made of its prior rate; NaN for a suspect that no cause of the mixture stands for. */
static double factor_of(const iol_work *w, iol_suspect_id id) {
    for (int i = 0; i < IOL_GROSS_CAUSE_COUNT; i++)
        if (iol_gross_rows[i].suspect == id) return iol_gross_factor(&w->eye, (iol_gross_cause)i);
    return NAN;
}

static void add_row(iol_work *w, const iol_suspicion *found) {
    iol_surprise *out = &w->plan->surprise;
    iol_suspicion kept = *found, *s = &kept;
    if (w->facts.spoiled) {
        if (s->id == IOL_SUSPECT_label) return;
        if (s->id == IOL_SUSPECT_another_lens) s->value = NAN;
    }
    if (!iol_has_room(out->suspects_count, IOL_MOST(out->suspects), &out->suspects_lost)) return;
    int row = out->suspects_count++;
    out->suspects[row] = (iol_suspect){.present = true,
                                       .id = iol_suspect_rows[s->id].code,
                                       .part = s->part,
                                       .implied_miss_d = s->implied_miss_d,
                                       .unexplained_d = s->unexplained_d,
                                       .confirmed = iol_from_bool(s->confirmed),
                                       .explains = explains(s),
                                       .not_excluded = iol_from_bool(s->loose),
                                       .confirmed_by = iol_suspect_rows[s->id].path,
                                       .probability = iol_work_causes(w) ? s->probability : NAN,
                                       .weight_factor = factor_of(w, s->id)};
    iol_note_add(&w->plan->notes, IOL_AT_suspect_check, row, check_of(s), s->value, s->other, s->word);
    if (s->id != IOL_SUSPECT_fellow_eye) return;
    if (iol_suspicion_explains(s)) iol_caution(w, IOL_NOTE_other_eye, s->unexplained_d, NAN, NULL);
}

/* Spherical equivalent of a reading, as written. */
static double se_of(const iol_refraction *r) {
    return r->sphere_d + (isnan(r->cylinder_d) ? 0.0 : r->cylinder_d / 2.0);
}

/* The fellow eye still has its own lens: half of this eye's own error is expected there too, so its lens is chosen
 * for a prediction that differs from the wish by half the error with the sign turned. An error that fluid, oil or a second
 * lens may have made says nothing of the fellow eye. */
static void fellow_next(iol_work *w) {
    double own = w->joint ? w->joint->eye_part_d : NAN;
    bool waits = w->c->fellow_eye.lens == IOL_fellow_lens_phakic;
    if (w->eye.may_have_grown != IOL_NO) return; /* its own growth is not the other eye's error */
    if (!waits || w->facts.spoiled || iol_above(fabs(own), c_suspect_part_d) != IOL_YES) return;
    if (w->facts.miss_ordinary)
        iol_caution(w, IOL_NOTE_fellow_half, own, 0.0 - own * c_fellow_share, NULL);
    else
        iol_caution(w, IOL_NOTE_fellow_waits, own, NAN, NULL);
}

/* What is read without glasses and what they correct belong together: the blur of sphere and cylinder together, as the length of
 * the power vector. Good acuity contradicts a large one, poor acuity that small glasses mend contradicts a small one. */
static void compare_unaided(iol_work *w) {
    if (w->c->refractions_count == 0 || w->eye.no_lens == IOL_YES) return;
    const iol_refraction *newest = &w->c->refractions[w->c->refractions_count - 1];
    double acuity = iol_acuity_uncorrected(newest), cylinder = isnan(newest->cylinder_d) ? 0.0 : newest->cylinder_d;
    double blur = hypot(se_of(newest), cylinder / 2.0);
    iol_flag good = iol_and(iol_at_least(blur, c_unaided_error_d), iol_at_most(acuity, c_unaided_good_logmar));
    iol_flag sharp = iol_and(iol_at_least(blur, c_unaided_sharp_error_d), iol_at_most(acuity, c_unaided_sharp_logmar));
    iol_flag worse = iol_at_least(acuity - iol_acuity_corrected(newest), c_unaided_lines_logmar);
    if (iol_or(good, sharp) == IOL_YES) iol_caution(w, IOL_NOTE_unaided_contradicts, acuity, blur, NULL);
    if (iol_and(worse, iol_at_most(blur, c_unaided_small_d)) == IOL_YES)
        iol_caution(w, IOL_NOTE_unaided_unexplained, acuity, blur, NULL);
}

/* A lens in the capsule lies in the room of the crystalline lens that it replaced: from its front, where the chamber ends, to
 * its back. Nothing is asked of a lens that is said to lie elsewhere, or to have moved. */
static void compare_depth(iol_work *w) {
    const iol_biometry *first = &w->c->biometry;
    double depth = w->eye.lens_depth_mm, front = first->chamber_depth_mm, back = front + first->lens_thickness_mm;
    bool elsewhere = w->facts.moved != IOL_NO || w->facts.outside_capsule == IOL_YES || w->eye.no_lens == IOL_YES;
    if (elsewhere || first->eye_state != IOL_eye_state_phakic) return;
    if (iol_above(depth, back + c_old_lens_beyond_mm) == IOL_YES)
        iol_caution(w, IOL_NOTE_depth_contradicts, depth, back, NULL);
    if (iol_below(depth, front - c_old_lens_beyond_mm) == IOL_YES)
        iol_caution(w, IOL_NOTE_depth_before, depth, front, NULL);
}

static void repeat_mode(iol_work *w) {
    const iol_biometry *repeat = &w->c->biometry_repeat;
    if (isnan(repeat->axial_length_mm) || repeat->eye_state == IOL_eye_state_pseudophakic || w->eye.no_lens == IOL_YES)
        return;
    iol_caution(w, IOL_NOTE_repeat_mode, NAN, NAN, repeat->eye_state > 0 ? IOL_WORD(eye_state, repeat->eye_state) : "nothing");
}

/* What the lens that was meant would leave in this eye, in the place of the lens that went in. */
static void meant_lens(iol_work *w) {
    const iol_meant_lens *meant = &w->c->first_surgery.meant_lens;
    iol_lens lens = w->c->first_surgery.lens;
    iol_lens_in_eye fresh;
    iol_notes unheard;
    iol_aim aim;
    iol_spectacle_form form;
    unheard.off = true;
    if (!meant->present || !w->joint || w->facts.spoiled) return;
    lens.power_d = meant->power_d, lens.power_is = meant->power_is;
    lens.cylinder_d = meant->cylinder_d, lens.axis_deg = NAN;
    if (meant->constants.present || meant->lens_id[0]) lens.constants = meant->constants;
    memcpy(lens.lens_id, meant->lens_id, sizeof lens.lens_id);
    iol_eye_lens_put_in(&w->eye, &lens, &unheard, &fresh);
    iol_aim_by_formula(&w->eye, w->joint, &fresh, &aim);
    iol_aim_expected(&w->eye, &aim, iol_matrix_scalar(fresh.power_d), w->induced, &form);
    if (!isnan(form.se_d)) iol_caution(w, IOL_NOTE_meant_lens, fresh.power_d, form.se_d, NULL);
}

/* The displaced lens as a cause: what it makes of the reading that was taken with it. */
static void displaced_lens(iol_work *w) {
    const iol_displaced_effect *e = &w->moved;
    const iol_reading *read = &w->eye.moved;
    double recentred_d, now_d = read->spectacle_d;
    if (e->status < 0 || e->trust == IOL_trust_none || !read->usable || (w->eye.now.usable && !w->eye.recentred) ||
        iol_vertex_to_spectacle(iol_matrix_mean(read->at_cornea) - iol_matrix_mean(e->explained), read->vertex_mm,
                                &recentred_d) < 0)
        return;
    iol_suspicion s = {.id = IOL_SUSPECT_displaced,
                       .part = IOL_miss_part_eye,
                       .implied_miss_d = now_d - recentred_d,
                       .unexplained_d = recentred_d - (w->joint ? w->joint->predicted_d : NAN),
                       .confirmed = iol_displaced_calibrates(e),
                       .value = now_d - recentred_d,
                       .other = NAN};
    add_row(w, &s);
}

void iol_surprise_suspects(iol_work *w) {
    iol_suspicions list;
    iol_suspects_make(&w->eye, w->joint, &list);
    displaced_lens(w);
    for (int i = 0; i < list.count; i++) add_row(w, &list.item[i]);
    bool child = w->eye.may_have_grown != IOL_NO && w->joint && w->joint->eye_part_d < 0.0;
    if (w->search == IOL_GROSS_not_found)
        iol_caution(w,
                    child                               ? IOL_NOTE_cause_growth
                    : w->facts.formula_suits != IOL_YES ? IOL_NOTE_cause_formula
                                                        : IOL_NOTE_cause_not_found,
                    w->facts.eye_part_d, NAN, NULL);
    fellow_next(w);
    meant_lens(w);
}

void iol_biometry_doubts(iol_work *w) {
    if (w->c->checks.biometry_belongs_to_this_eye == IOL_NO) iol_caution(w, IOL_NOTE_not_this_eye, NAN, NAN, NULL);
    const iol_plausible *p = &w->plausible;
    if (p->apart) iol_caution(w, IOL_NOTE_eyes_differ, p->longer_mm, p->steeper_d, NULL);
    if (p->glasses == IOL_NO) iol_caution(w, IOL_NOTE_glasses_contradict, w->eye.axial_length_mm, p->glasses_d, NULL);
    compare_unaided(w);
    compare_depth(w);
    if (w->facts.short_eye == IOL_YES) iol_caution(w, IOL_NOTE_short_eye, w->eye.axial_length_mm, c_short_eye_mm, NULL);
    repeat_mode(w);
}
