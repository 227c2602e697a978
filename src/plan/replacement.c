/* The new lens: routes, causes, cross-checks, and the steps of the shelf (method, section 4). */
#include "replacement.h"
#include "tables/note_codes.h"

#include <string.h>

#include "choices.h"
#include "incision.h"
#include "optics/no_lens.h"
#include "tables/constants.h"

/* The causes in the order of by_cause. */
static const struct {
    int quantity, state;
} cause[] = {{IOL_quantity_lens_position, IOL_E},
             {IOL_quantity_axial_length, IOL_L},
             {IOL_quantity_cornea, IOL_K},
             {IOL_quantity_lens_label, IOL_P}};

static iol_flag length_in_range(const iol_eye *eye) {
    return iol_between(eye->axial_length_mm, c_formula_length_low, c_formula_length_high);
}

/* Eyes in which cornea and position are both mispredicted: the refraction leads. */
static bool refraction_leads(const iol_eye *eye) {
    return eye->corneal_surgery == IOL_YES || iol_above(eye->k_d, c_k_steep_limit_d) == IOL_YES ||
           length_in_range(eye) == IOL_NO;
}

static void find_ways(const iol_eye *eye, const iol_estimate *joint, const iol_lens_in_eye *fresh,
                      iol_replacement_ways *ways) {
    ways->joint = ways->by_refraction = (iol_aim){.status = IOL_BAD_INPUT};
    if (eye->aphakic) {
        iol_aim_without_lens(eye, fresh, &ways->refraction_alone, &ways->joint);
        return;
    }
    if (joint) iol_aim_by_formula(eye, joint, fresh, &ways->joint);
    if (eye->two) return; /* the refraction alone tells nothing of one of two lenses */
    iol_aim_by_refraction(eye, fresh, &ways->refraction_alone, NULL, &ways->by_refraction);
}

static void choose_way(const iol_eye *eye, const iol_replacement_ways *ways, const iol_estimate *alone,
                       const iol_lens_in_eye *fresh, iol_estimate *own, iol_notes *notes, iol_aim *aim) {
    bool formula_route = ways->joint.status >= 0;
    *aim = ways->joint;
    if (eye->aphakic) {
        iol_aim_without_lens(eye, fresh, own, aim);
        return;
    }
    if (ways->by_refraction.status >= 0 && (!formula_route || refraction_leads(eye))) {
        iol_aim_alone(eye, alone, fresh, notes, aim);
        if (aim->status >= 0) return;
        *aim = ways->joint;
    }
    if (!formula_route) iol_aim_by_biometry(eye, fresh, own, aim);
    if (aim->route == IOL_route_biometry_only && length_in_range(eye) == IOL_NO) aim->status = IOL_BAD_INPUT;
}

void iol_replacement_route(const iol_eye *eye, const iol_estimate *joint, const iol_estimate *alone,
                           const iol_lens_in_eye *fresh, iol_estimate *own, iol_notes *notes, iol_aim *aim) {
    iol_replacement_ways ways;
    find_ways(eye, joint, fresh, &ways);
    choose_way(eye, &ways, alone, fresh, own, notes, aim);
}

/* Power if one quantity alone were at fault. */
static void add_causes(const iol_work *w, const iol_aim *joint, iol_replacement *out) {
    if (!w->joint || isnan(w->joint->eye_part_d) || w->eye.aphakic || w->eye.two) return;
    for (int i = 0; i < (int)(sizeof cause / sizeof *cause); i++) {
        iol_estimate own;
        iol_aim aim;
        iol_aim_by_cause(&w->eye, joint, cause[i].state, &own, &aim);
        out->by_cause[out->by_cause_count++] =
            (iol_cause_power){.present = true,
                              .quantity = cause[i].quantity,
                              .power_d = iol_aim_power(&w->eye, &aim, w->eye.target_se_d)};
    }
}

static void add_check(iol_replacement *out, int method, double power) {
    if (!isnan(power))
        out->cross_checks[out->cross_checks_count++] =
            (iol_cross_check){.present = true, .method = method, .power_d = power};
}

/* The formula afresh on the repeat biometry alone, as if the eye had never been operated; not where formulas mispredict. */
static double fresh_formula(const iol_work *w, const iol_lens_in_eye *fresh) {
    if (refraction_leads(&w->eye) || w->eye.reference < 0 || !w->eye.length_repeated || !w->eye.cornea_repeated)
        return NAN;
    iol_notes unused;
    unused.off = true;
    iol_eye again = w->eye;
    iol_eye_biometry(&again, IOL_EYE_REPEAT_ONLY, &unused);
    iol_model model;
    double power = NAN;
    if (iol_eye_predict(&again, (iol_formula)w->eye.reference, fresh, &model) >= 0)
        iol_power_for(model, w->eye.target_se_d, w->eye.vertex_mm, &power);
    return power;
}

/* An eye read without a lens: each witness alone, with the other left out. Two powers are never pooled. */
static void check_witnesses(const iol_work *w, const iol_lens_in_eye *fresh, iol_replacement *out) {
    static const struct {
        int method;
        bool reads;
    } row[] = {{IOL_cross_method_aphakic_refraction, true}, {IOL_cross_method_biometry_only, false}};
    if (out->route != IOL_route_joint) return;
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        iol_eye eye = w->eye;
        iol_estimate own;
        iol_aim aim;
        eye.now.usable = row[i].reads;
        eye.length_from_reading = row[i].reads;
        iol_aim_without_lens(&eye, fresh, &own, &aim);
        add_check(out, row[i].method, iol_aim_power(&eye, &aim, eye.target_se_d));
    }
}

static void add_cross_checks(const iol_work *w, const iol_lens_in_eye *fresh, const iol_replacement_ways *ways,
                             iol_replacement *out) {
    if (w->eye.aphakic) {
        check_witnesses(w, fresh, out);
        return;
    }
    double now = w->eye.now.spectacle_d, target = w->eye.target_se_d;
    if (out->route != IOL_route_refraction_only)
        add_check(out, IOL_cross_method_refraction_only, iol_aim_power(&w->eye, &ways->by_refraction, target));
    else
        add_check(out, IOL_cross_method_joint, iol_aim_power(&w->eye, &ways->joint, target));
    double thumb = now > target ? c_thumb_hyperopic : c_thumb_myopic;
    double constants = fresh->constants.a_constant - w->eye.old.constants.a_constant;
    bool same_place = fresh->position == w->eye.old.position;
    if (w->eye.now.usable && same_place && !w->eye.two)
        add_check(out, IOL_cross_method_rule_of_thumb,
                  w->eye.old.power_d + thumb * (now - target) +
                      (isnan(constants) ? 0.0 : c_thumb_constant * constants));
    add_check(out, IOL_cross_method_fresh_formula, fresh_formula(w, fresh));
}

/* Least and greatest of the advice, every plausible single cause, and refraction-only. */
static void span(const iol_work *w, iol_replacement *out) {
    out->power_low_d = out->power_high_d = out->power_exact_d;
    for (int i = 0; i < out->by_cause_count; i++) {
        if (w->joint->plausible[cause[i].state] != IOL_YES) continue;
        out->power_low_d = fmin(out->power_low_d, out->by_cause[i].power_d);
        out->power_high_d = fmax(out->power_high_d, out->by_cause[i].power_d);
    }
    for (int i = 0; i < out->cross_checks_count; i++) {
        int method = out->cross_checks[i].method;
        if (method != IOL_cross_method_refraction_only && method != IOL_cross_method_aphakic_refraction &&
            method != IOL_cross_method_biometry_only)
            continue;
        out->power_low_d = fmin(out->power_low_d, out->cross_checks[i].power_d);
        out->power_high_d = fmax(out->power_high_d, out->cross_checks[i].power_d);
    }
}

/* One class of the shelf in the planned position; false when it has no power there. */
static bool aim_class(const iol_work *w, const iol_shelf_lens *shelf, iol_estimate *own, iol_aim *aim, double *exact) {
    iol_lens_in_eye fresh;
    if (!iol_position_allows(shelf, w->facts.place)) return false;
    iol_eye_shelf_lens(&w->eye, shelf, w->facts.place, &fresh);
    iol_replacement_route(&w->eye, w->joint, w->alone, &fresh, own, NULL, aim);
    *exact = iol_aim_power(&w->eye, aim, w->eye.target_se_d);
    bool toric = shelf->cylinder_steps_d_count > 0;
    return !isnan(*exact) && (!toric || aim->shape_known);
}

const iol_shelf_lens *iol_replacement_class(iol_work *w, iol_replacement *out) {
    return iol_choices_list(w, aim_class, out);
}

void iol_replacement_steps(const iol_work *w, const iol_shelf_lens *shelf, iol_replacement *out) {
    iol_choices_of(w, aim_class, shelf, out);
}

static void say_signs(iol_work *w, double power) {
    double old = w->eye.aphakic ? w->eye.label_d : w->eye.old.power_d;
    if (isnan(old) || isnan(power)) return;
    if (old * power < 0.0) iol_caution(w, IOL_NOTE_opposite_sign, old, power, NULL);
    if (iol_above(fabs(power - old), c_power_change_stop_d) == IOL_YES)
        iol_caution(w, IOL_NOTE_large_change, old, power, NULL);
}

/* Power of another view of the same case (a vertex, or the first biometry alone), for a caution. */
static double power_of_view(const iol_work *w, const iol_case *c, int which, const iol_shelf_lens *shelf) {
    iol_notes unused;
    unused.off = true;
    iol_eye eye;
    iol_estimate joint, own, leading, alone;
    iol_mixture mixture, alone_mixture;
    iol_lens_in_eye fresh;
    iol_aim aim;
    iol_eye_make(c, w->site, w->plan->as_of, which, &unused, &eye);
    bool have = eye.reference >= 0;
    joint.status = mixture.status = IOL_BAD_INPUT;
    if (have) iol_estimate_make(&eye, (iol_formula)eye.reference, &joint);
    bool weighed = w->joint && w->joint->mixture && (joint.status >= 0 || joint.status == IOL_NO_CONVERGENCE);
    if (weighed) iol_mixture_make(&eye, joint.formula, &mixture);
    if (mixture.status >= 0) {
        iol_mixture_estimate(&eye, &joint, iol_mixture_leader(&mixture), &leading);
        joint.status = leading.status = IOL_OK;
        joint.mixture = &mixture, joint.leading = &leading;
    }
    iol_mixture_alone(&eye, &alone_mixture, &alone);
    iol_eye_shelf_lens(&w->eye, shelf, w->facts.place, &fresh);
    iol_replacement_route(&eye, joint.status >= 0 ? &joint : NULL, &alone, &fresh, &own, NULL, &aim);
    return iol_aim_power(&eye, &aim, eye.target_se_d);
}

static double power_at_vertex(const iol_work *w, double vertex_mm, const iol_shelf_lens *shelf) {
    iol_case c = *w->c;
    for (int i = 0; i < c.refractions_count; i++)
        if (isnan(c.refractions[i].vertex_mm)) c.refractions[i].vertex_mm = vertex_mm;
    return power_of_view(w, &c, IOL_EYE_POOLED, shelf);
}

/* By the refraction alone, with another keratometry: how little it matters there. */
static double power_at_cornea(const iol_work *w, double by_d, const iol_shelf_lens *shelf) {
    iol_eye eye = w->eye;
    iol_mixture mixture;
    iol_estimate alone;
    iol_lens_in_eye fresh;
    iol_aim aim;
    eye.k_d += by_d;
    eye.radius_mm = 1000.0 * (c_keratometric_index - 1.0) / eye.k_d;
    iol_mixture_alone(&eye, &mixture, &alone);
    iol_eye_shelf_lens(&eye, shelf, w->facts.place, &fresh);
    iol_aim_alone(&eye, &alone, &fresh, NULL, &aim);
    return iol_aim_power(&eye, &aim, eye.target_se_d);
}

static bool doubtful_cornea(const iol_work *w) {
    bool ectatic = w->c->cornea.surface == IOL_surface_ectatic;
    return ectatic || iol_above(w->eye.k_d, c_k_steep_limit_d) == IOL_YES || w->eye.corneal_surgery == IOL_YES;
}

/* What the keratometry is worth where it is doubtful; nothing where none is given. */
static void cornea_aside(iol_work *w, const iol_shelf_lens *shelf) {
    if (!doubtful_cornea(w) || !w->eye.now.usable || w->eye.aphakic) return;
    const double flatter = power_at_cornea(w, -c_k_shown_aside_d, shelf);
    if (isnan(flatter)) return;
    iol_caution(w, IOL_NOTE_k_matters_little, flatter, power_at_cornea(w, c_k_shown_aside_d, shelf), NULL);
}

static void other_views(iol_work *w, const iol_shelf_lens *shelf) {
    const iol_constants *old = w->eye.old.given;
    double a_constant = old->a_constant; /* NOLINT: every eye has constants, known or not */
    if (w->eye.aphakic)
        iol_caution(w, IOL_NOTE_constants_new, shelf->constants.a_constant, NAN, shelf->id);
    else
        iol_caution(w, IOL_NOTE_constants_beside, a_constant, shelf->constants.a_constant, shelf->id);
    cornea_aside(w, shelf);
    if (w->eye.now.usable && !w->eye.now.vertex_given &&
        (w->eye.aphakic || iol_above(w->eye.now.strongest_d, c_vertex_matters_d) == IOL_YES))
        iol_caution(w, IOL_NOTE_vertex_matters, power_at_vertex(w, c_vertex_near_mm, shelf),
                    power_at_vertex(w, c_vertex_far_mm, shelf), NULL);
    if (w->eye.conflict)
        iol_caution(w, IOL_NOTE_power_on_first, power_of_view(w, w->c, IOL_EYE_FIRST_ONLY, shelf), NAN, NULL);
}

/* What must be known of the new lens's constants, and how the two lenses were compared. */
static void say_new_lens(iol_work *w, const char *whose, const iol_lens_in_eye *fresh, const iol_aim *aim) {
    iol_notes *notes = &w->plan->notes;
    iol_eye_say_constants(&w->eye, fresh, whose, notes);
    iol_eye_say_fixation(&w->eye, fresh->position, notes);
    if (aim->route == IOL_route_refraction_only) {
        if (aim->sd_class_d > 0.0) iol_caution(w, IOL_NOTE_asphericity_differs, aim->sd_class_d, NAN, NULL);
        return;
    }
    if (!w->joint || aim->change_basis == IOL_CHANGE_OWN)
        iol_eye_say_derived(fresh, aim->from->formula, whose, notes);
    else
        iol_assume(w, aim->change_basis == IOL_CHANGE_BY_A ? IOL_NOTE_assume_by_a : IOL_NOTE_assume_same_plane, NAN,
                   whose);
    if (aim->from->status & IOL_EXTRAPOLATED)
        iol_caution(w, IOL_NOTE_formula_held, NAN, NAN, iol_formulas[aim->from->formula].name);
}

void iol_replacement_powers(iol_work *w, const iol_lens_in_eye *fresh, const char *whose, iol_replacement_ways *ways,
                            iol_replacement *out) {
    iol_estimate own;
    iol_aim aim;
    find_ways(&w->eye, w->joint, fresh, ways);
    choose_way(&w->eye, ways, w->alone, fresh, &own, &w->plan->notes, &aim);
    out->route = aim.route;
    out->power_exact_d = iol_aim_power(&w->eye, &aim, w->eye.target_se_d);
    if (aim.status < 0) return;
    if (aim.route != IOL_route_refraction_only) {
        out->reference_formula = (int)aim.from->formula + 1;
        out->reference_reason = w->eye.reference_reason;
        if (!w->joint) iol_eye_reference(&w->eye, fresh, &out->reference_reason);
    }
    say_new_lens(w, whose, fresh, &aim);
    if (!w->plan->notes.off) add_causes(w, &ways->joint, out);
    add_cross_checks(w, fresh, ways, out);
}

/* Where another lens is a live cause: the power if it is so, and the power if it is not. */
static void two_powers(const iol_work *w, const iol_aim *joint, iol_replacement *out) {
    iol_prospect all, as_recorded;
    double other = iol_mixture_of_suspect(w->joint ? w->joint->mixture : NULL, IOL_SUSPECT_another_lens);
    if (iol_above(other, c_gross_advised) != IOL_YES || out->by_cause_count != 4) return;
    iol_aim_prospect(&w->eye, joint, &all);
    iol_prospect_without(&all, IOL_MIX(another_lens), &as_recorded);
    out->power_if_other_lens_inside_d = out->by_cause[3].power_d;
    out->power_if_as_recorded_d = iol_prospect_power(&as_recorded, w->eye.target_se_d);
}

static void fill_powers(iol_work *w, const iol_shelf_lens *shelf, iol_replacement *out) {
    iol_lens_in_eye fresh;
    iol_replacement_ways ways;
    iol_eye_shelf_lens(&w->eye, shelf, w->facts.place, &fresh);
    iol_choices_name(shelf, out);
    iol_replacement_powers(w, &fresh, shelf->id, &ways, out);
    span(w, out);
    two_powers(w, &ways.joint, out);
}

/* A fallback this wide aims more myopic; the planned lens keeps the surgeon's target, and says so. A target for near is enough. */
static void say_spread(iol_work *w, const iol_replacement *out) {
    if (iol_at_most(out->target_se_d, c_near_aim_d) == IOL_YES) return;
    if (w->facts.child == IOL_YES) return; /* it turns myopic by itself */
    for (int i = 0; i < out->choices_count; i++)
        if (out->choices[i].chosen == IOL_YES && iol_above(out->choices[i].sd_d, c_fallback_wide_sd_d) == IOL_YES)
            iol_caution(w, IOL_NOTE_wide_spread, out->choices[i].sd_d, out->target_se_d, NULL);
}

/* A rigid lens goes out or in whole: the wound ends as wide as its optic, whatever is planned. */
static void say_wound(iol_work *w, const iol_shelf_lens *shelf) {
    iol_notes unused;
    unused.off = true;
    iol_old_optic old;
    iol_eye_old_optic(&w->eye, &unused, &old);
    bool comes_out = w->eye.no_lens != IOL_YES;
    double out_mm = comes_out && old.material == IOL_material_pmma ? old.diameter_mm : NAN;
    double in_mm = shelf->material == IOL_material_pmma ? shelf->optic_diameter_mm : NAN;
    double front_mm = w->eye.two && w->c->second_lens.material == IOL_material_pmma ? w->end_wound_mm : NAN;
    double widest_mm = fmax(fmax(out_mm, in_mm), front_mm); /* of those that are rigid; NaN when none is */
    if (iol_above(widest_mm, w->end_wound_mm) == IOL_YES) iol_incision_end(w, widest_mm);
    if (iol_above(widest_mm, w->eye.wound.width_mm) != IOL_YES) return;
    iol_caution(w, IOL_NOTE_wound_for_rigid, widest_mm, w->plan->incision.end_cylinder_d,
                iol_same(widest_mm, out_mm)     ? "old lens"
                : iol_same(widest_mm, front_mm) ? "second lens"
                                                : "planned lens");
}

/* Readings taken in theatre with the lens out, by two relations that lie far apart: shown, never pooled. */
static void say_theatre(iol_work *w, const iol_shelf_lens *shelf) {
    iol_lens_in_eye fresh;
    iol_estimate own;
    iol_aim aim;
    iol_eye_shelf_lens(&w->eye, shelf, w->facts.place, &fresh);
    iol_aim_without_lens(&w->eye, &fresh, &own, &aim);
    for (int i = 0; i < w->c->refractions_count && aim.status >= 0; i++) {
        const iol_refraction *r = &w->c->refractions[i];
        double power, se = r->sphere_d + (isnan(r->cylinder_d) ? 0.0 : r->cylinder_d / 2.0);
        iol_no_lens_gradient unused;
        if (r->with != IOL_reading_with_theatre || isnan(se)) continue;
        double vertex_mm = isnan(r->vertex_mm) ? c_vertex_mm : r->vertex_mm;
        const iol_no_lens eye = {aim.model.cornea_d, aim.model.position_mm, se,
                                 vertex_mm,          w->eye.target_se_d,    w->eye.vertex_mm};
        if (iol_no_lens_power(&eye, &power, &unused) >= 0)
            iol_caution(w, IOL_NOTE_theatre_reading, power, iol_no_lens_by_theatre(se), NULL);
    }
}

/* What a straight line of length and keratometry makes of the eye without a lens, beside what was read. */
static void say_line(iol_work *w) {
    const iol_eye *eye = &w->eye;
    if (!eye->aphakic || !eye->now.usable || eye->length_from_reading) return;
    double line = iol_no_lens_by_line(eye->axial_length_mm, eye->k_d);
    if (!isnan(line)) iol_caution(w, IOL_NOTE_aphakic_line, line, eye->now.spectacle_d, NULL);
}

void iol_part_replacement(iol_work *w) {
    iol_replacement *out = &w->plan->replacement;
    out->present = true;
    out->position = w->facts.place;
    out->target_se_d = w->eye.target_se_d;
    iol_choices_say_goals(w);
    const iol_shelf_lens *preferred = iol_replacement_class(w, out);
    if (preferred) fill_powers(w, preferred, out);
    out->standing = iol_standing_make(w, out);
    if (!preferred || out->standing == IOL_standing_withheld) {
        iol_choices_withhold(out);
        return;
    }
    say_signs(w, out->power_exact_d);
    if (out->standing != IOL_standing_provisional) iol_choices_say_off_shelf(w, preferred, out->power_exact_d);
    other_views(w, preferred);
    say_theatre(w, preferred);
    say_line(w);
    say_wound(w, preferred);
    if (w->c->cornea.oedema == IOL_YES) iol_caution(w, IOL_NOTE_swollen_cornea, NAN, NAN, NULL);
    if (out->standing == IOL_standing_provisional) return;
    iol_choices_choose(w, out);
    say_spread(w, out);
}
