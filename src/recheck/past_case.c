/* One past case: eye, joint estimate, every method's prediction for the lens that was put in, standing and state. */
#include <stdlib.h>
#include <string.h>

#include "past_case.h"
#include "text/number.h"
#include "plan/alarms.h"
#include "plan/choices.h"
#include "plan/decision.h"
#include "text/dates.h"
#include "plan/incision.h"
#include "tables/constants.h"

/* The refraction after the revision. */
typedef struct {
    bool known, cylinder_known;
    iol_matrix spectacle; /* at the eye's vertex distance */
    double se_d;          /* spectacle-plane value of the mean at the cornea */
} achieved;

typedef struct {
    iol_past *a;
    iol_work *w;
    iol_recheck *out;
    double *slope;
    iol_lens_in_eye fresh;       /* the lens put in, or the class that a plan would take */
    double put_in_d;             /* its power; NaN nothing was put in */
    const iol_shelf_lens *shelf; /* that class; NULL where another lens was put in */
    iol_replacement_ways ways;   /* to `fresh`, where one is given */
    achieved after;
    bool powers; /* not withheld */
} replan;

const iol_prediction iol_no_prediction = {.present = true,
                                          .advised_power_d = NAN,
                                          .power_gap_d = NAN,
                                          .predicted_se_d = NAN,
                                          .error_d = NAN,
                                          .error_j0_d = NAN,
                                          .error_j45_d = NAN,
                                          .expected_sd_d = NAN};

static achieved read_outcome(const iol_eye *eye, const iol_refraction *r) {
    achieved out = {.se_d = NAN};
    iol_matrix at_cornea;
    if (isnan(r->sphere_d)) return out;
    double vertex_mm = isnan(r->vertex_mm) ? eye->vertex_mm : r->vertex_mm;
    double cylinder_d = isnan(r->cylinder_d) ? 0.0 : r->cylinder_d;
    iol_matrix read = iol_matrix_from_spherocylinder((iol_spherocylinder){r->sphere_d, cylinder_d, r->axis_deg});
    out.cylinder_known = !isnan(r->cylinder_d);
    out.known = iol_matrix_step(read, vertex_mm / 1000.0, &at_cornea) == IOL_OK &&
                iol_matrix_step(at_cornea, -eye->vertex_mm / 1000.0, &out.spectacle) == IOL_OK &&
                iol_vertex_to_spectacle(iol_matrix_mean(at_cornea), eye->vertex_mm, &out.se_d) == IOL_OK;
    return out;
}

/* ---- one row ---- */

/* Narrowest interval that held the error: of the numbers as they are printed, so that a reader can check it. */
static int interval_held(double error_d, double sd_d) {
    if (isnan(error_d) || isnan(sd_d)) return 0;
    double error = (double)llabs(iol_count(error_d, 3)), sd = (double)iol_count(sd_d, 3);
    return error <= c_sigmas_50 * sd   ? IOL_interval_held_half
           : error <= c_sigmas_80 * sd ? IOL_interval_held_most
           : error <= c_sigmas_95 * sd ? IOL_interval_held_nearly_all
                                       : IOL_interval_held_none;
}

/* Set the errors of a row from what it predicts; at_cornea may be NULL where only the spherical equivalent is predicted. */
static void compare(const replan *k, const iol_matrix *at_cornea, bool shape_known, iol_prediction *row) {
    iol_matrix spectacle;
    double mean_d;
    if (!k->after.known) return;
    row->error_d = k->after.se_d - row->predicted_se_d;
    row->interval_held = interval_held(row->error_d, row->expected_sd_d);
    if (!at_cornea || !shape_known || !k->after.cylinder_known) return;
    if (iol_matrix_step(*at_cornea, -k->w->eye.vertex_mm / 1000.0, &spectacle) < 0) return;
    iol_matrix error = iol_matrix_subtract(k->after.spectacle, spectacle);
    iol_matrix_to_power_vector(error, &mean_d, &row->error_j0_d, &row->error_j45_d);
}

static void add(replan *k, const iol_prediction *row, double slope) {
    iol_recheck *out = k->out;
    k->slope[out->predictions_count] = slope;
    iol_prediction *to = &out->predictions[out->predictions_count++];
    *to = *row;
    if (!k->powers) to->advised_power_d = NAN;
    to->power_gap_d = to->advised_power_d - k->put_in_d;
}

double iol_past_position_by_constant(int formula) {
    return formula == IOL_formula_srk_t || formula == IOL_formula_t2 ? c_nominal_position_slope : 1.0;
}

/* A lens matrix in the eye of an aim. */
static void add_aim(replan *k, const iol_aim *aim, iol_matrix lens, int method, int formula, bool reference) {
    const iol_eye *eye = &k->w->eye;
    iol_prediction row = iol_no_prediction;
    iol_matrix at_cornea;
    iol_prospect prospect;
    row.method = method;
    row.formula = formula;
    row.reference = iol_from_bool(reference);
    bool leads = reference && k->out->predictions_count == 0;
    iol_aim_prospect(eye, aim, &prospect);
    const iol_replacement *r = &k->w->plan->replacement; /* the plan's own power leads */
    bool planned = aim == &k->ways.joint && r->route == IOL_route_joint;
    row.advised_power_d = planned ? r->power_exact_d : iol_prospect_power(&prospect, eye->target_se_d);
    if (isnan(k->put_in_d)) {
        if (!isnan(row.advised_power_d)) add(k, &row, NAN);
        return;
    }
    if (iol_aim_at_cornea(aim, lens, k->w->induced, &at_cornea) < 0) return;
    if (iol_vertex_to_spectacle(iol_matrix_mean(at_cornea), eye->vertex_mm, &row.predicted_se_d) < 0) return;
    bool cause = method >= IOL_recheck_method_lens_position && method <= IOL_recheck_method_lens_label;
    iol_gradient by = {NAN, NAN, NAN, NAN};
    if (!cause) {
        iol_refraction_gradient(aim->model, k->put_in_d, eye->vertex_mm, &by);
        /* over every cause that the aim weighs, in place of the leading cause's own */
        iol_outlook at;
        iol_aim_spread(eye, aim, &prospect, lens, row.predicted_se_d, leads, &at);
        row.expected_sd_d = at.sd_d;
        if (!isnan(at.mean_d)) row.predicted_se_d = at.mean_d;
        if (leads) k->out->told_within_half = at.within_half;
    }
    bool axis_known = !k->fresh.toric || k->fresh.axis_known;
    compare(k, &at_cornea, aim->shape_known && axis_known, &row);
    add(k, &row, by.position * iol_past_position_by_constant(formula));
}

/* ---- exchange ---- */

static void add_joint(replan *k, const iol_aim *aim, bool reference) {
    int formula = aim->status < 0 ? 0 : (int)aim->from->formula + 1;
    if (formula > 0) add_aim(k, aim, k->fresh.power, IOL_recheck_method_joint, formula, reference);
}

/* One quantity alone at fault. */
static void add_causes(replan *k) {
    static const struct {
        int method, state;
    } cause[] = {{IOL_recheck_method_lens_position, IOL_E},
                 {IOL_recheck_method_axial_length, IOL_L},
                 {IOL_recheck_method_cornea, IOL_K},
                 {IOL_recheck_method_lens_label, IOL_P}};
    const iol_estimate *e = k->w->joint;
    if (isnan(e->eye_part_d)) return;
    for (size_t i = 0; i < sizeof cause / sizeof *cause; i++) {
        iol_estimate own;
        iol_aim aim;
        iol_aim_by_cause(&k->w->eye, &k->ways.joint, cause[i].state, &own, &aim);
        if (aim.status >= 0) add_aim(k, &aim, k->fresh.power, cause[i].method, (int)e->formula + 1, true);
    }
}

static void add_refraction_only(replan *k) {
    iol_aim aim;
    iol_aim_alone(&k->w->eye, k->w->alone, &k->fresh, NULL, &aim);
    if (aim.status >= 0) add_aim(k, &aim, k->fresh.power, IOL_recheck_method_refraction_only, 0, false);
}

static void exchange(replan *k) {
    iol_work *w = k->w;
    add_joint(k, &k->ways.joint, true);
    if (w->joint) add_causes(k);
    add_refraction_only(k);
    for (int i = 0; i < IOL_FORMULA_COUNT; i++) {
        iol_aim aim;
        if (w->by_formula[i].status < 0 || &w->by_formula[i] == w->joint) continue;
        iol_aim_by_formula(&w->eye, &w->by_formula[i], &k->fresh, &aim);
        add_joint(k, &aim, false);
    }
}

/* ---- piggyback and rotation ---- */

static void add_thumb(replan *k) {
    const iol_eye *eye = &k->w->eye;
    iol_prediction row = iol_no_prediction;
    if (!eye->now.usable) return;
    double now = eye->now.spectacle_d, thumb = k->put_in_d < 0.0 ? c_thumb_myopic : c_thumb_hyperopic;
    row.method = IOL_recheck_method_rule_of_thumb;
    row.predicted_se_d = now - k->put_in_d / thumb;
    row.advised_power_d = (now > eye->target_se_d ? c_thumb_hyperopic : c_thumb_myopic) * (now - eye->target_se_d);
    compare(k, NULL, false, &row);
    add(k, &row, NAN);
}

static void piggyback(replan *k) {
    iol_work *w = k->w;
    iol_estimate own;
    iol_aim aim;
    if (w->joint) {
        iol_aim_by_piggyback(&w->eye, w->joint, IOL_route_joint, &aim);
        if (aim.status >= 0)
            add_aim(k, &aim, k->fresh.power, IOL_recheck_method_joint, (int)w->joint->formula + 1, true);
    }
    iol_aim_by_refraction(&w->eye, &w->eye.old, &own, NULL, &aim);
    if (aim.status >= 0) iol_aim_by_piggyback(&w->eye, &own, IOL_route_refraction_only, &aim);
    if (aim.status >= 0) add_aim(k, &aim, k->fresh.power, IOL_recheck_method_refraction_only, 0, false);
    add_thumb(k);
}

/* The old lens on another meridian: nothing moves but its marks, so its own label no longer adds to the spread. */
static void rotation(replan *k) {
    const iol_eye *eye = &k->w->eye;
    const iol_estimate *e = k->w->joint;
    iol_aim aim;
    double axis_deg = k->w->c->outcome.lens.axis_deg;
    if (!e || !eye->old.axis_known || isnan(axis_deg)) return;
    iol_aim_by_formula(eye, e, &eye->old, &aim);
    if (aim.status < 0) return;
    aim.sd_change_mm = 0.0;
    iol_matrix turned = iol_eye_old_lens_turned(eye, e->posterior_p0_d, axis_deg);
    add_aim(k, &aim, turned, IOL_recheck_method_joint, (int)e->formula + 1, true);
    for (int i = 0; i < k->out->predictions_count; i++) {
        k->out->predictions[i].advised_power_d = k->out->predictions[i].power_gap_d = NAN;
        k->slope[i] = NAN;
    }
}

/* ---- standing, counting ---- */

/* Late enough: the day on which the refraction of such a lens has settled; not known is not late. */
static bool settled(const replan *k) {
    const iol_case *c = k->w->c;
    const iol_outcome *o = &c->outcome;
    const iol_lens *lens = o->operation == IOL_operation_done_rotation ? &c->first_surgery.lens : &o->lens;
    int design, material;
    iol_eye_build(&k->w->eye, lens, &design, &material);
    bool slow = design == IOL_design_three_piece || design == IOL_design_plate ||
                material == IOL_material_hydrophilic_acrylic || k->w->eye.corneal_surgery == IOL_YES;
    double day = iol_days_from(o->done_on, o->refraction.measured_on);
    return iol_at_least(day, slow ? c_late_day_slow : c_late_day) == IOL_YES;
}

static void stand(replan *k) {
    iol_work *w = k->w;
    iol_replacement *r = &w->plan->replacement;
    r->present = true;
    r->power_exact_d = NAN;
    r->route = r->by_cause_count = r->cross_checks_count = 0;
    r->position = w->facts.place;
    r->lens_id[0] = '\0';
    r->target_se_d = w->eye.target_se_d;
    if (k->fresh.given) iol_replacement_powers(w, &k->fresh, "-", &k->ways, r);
    if (k->shelf) { /* what was put in was to be had */
        iol_choices_name(k->shelf, r);
        if (iol_choices_beyond(k->shelf, r->power_exact_d) > 0.0) iol_replacement_steps(w, k->shelf, r);
    }
    r->standing = iol_standing_make(w, r);
    k->powers = r->standing != IOL_standing_withheld;
    k->out->standing = isnan(w->eye.target_se_d) ? 0 : r->standing;
}

/* The lens that the powers are for: the one put in at an exchange, else the class that a plan would take. */
static void take_lens(replan *k) {
    iol_work *w = k->w;
    const iol_outcome *o = &w->c->outcome;
    bool exchanged = o->operation == IOL_operation_done_exchange && !isnan(o->lens.power_d);
    k->fresh = (iol_lens_in_eye){.power_d = NAN};
    k->put_in_d = NAN;
    if (exchanged) {
        iol_eye_lens_put_in(&w->eye, &o->lens, &w->plan->notes, &k->fresh);
        k->put_in_d = k->fresh.power_d;
        w->facts.place = k->fresh.position;
        return;
    }
    k->shelf = iol_replacement_class(w, NULL);
    if (k->shelf) iol_eye_shelf_lens(&w->eye, k->shelf, w->facts.place, &k->fresh);
}

/* decision.state, open alarms answered no. Most cases are decided before the ways are weighed; only the others need the whole
 * plan. */
static int state_of(iol_past *past, const iol_case *c, double *alarms_open) {
    bool fluid_open = past->work.facts.trapped_fluid == IOL_UNKNOWN; /* a sign of it is not answered away */
    int open, state = iol_decision_early(&past->work, &open);
    *alarms_open = open;
    if (state > 0) return state;
    past->answered = *c;
    if (open > 0) iol_alarms_answer_no(&past->answered);
    if (fluid_open) past->answered.anterior_segment.fluid_behind_lens = IOL_finding_no;
    iol_plan_make_compared(&past->answered, past->site, past->as_of, &past->whole);
    return past->whole.decision.state;
}

static void predict(replan *k) {
    const iol_work *w = k->w;
    const iol_outcome *o = &w->c->outcome;
    iol_recheck *out = k->out;
    if (o->operation == IOL_operation_done_exchange && !isnan(k->put_in_d)) {
        exchange(k);
        out->position = k->fresh.position;
    } else if (o->operation == IOL_operation_done_piggyback && !isnan(o->lens.power_d)) {
        iol_eye_lens_put_in(&w->eye, &o->lens, &k->w->plan->notes, &k->fresh);
        k->put_in_d = k->fresh.power_d;
        piggyback(k);
        out->position = o->lens.position;
    } else if (o->operation == IOL_operation_done_rotation) {
        k->put_in_d = w->eye.old.power_d;
        rotation(k);
        out->position = w->eye.old.position;
    } else if (k->fresh.given && o->operation <= 0 && w->joint)
        add_joint(k, &k->ways.joint, true);
    else if (k->fresh.given && o->operation <= 0)
        add_refraction_only(k);
    out->lens_power_d = k->put_in_d;
}

static void head(const iol_case *c, iol_recheck *out) {
    out->present = true;
    out->recheck_format = 1.0;
    memcpy(out->case_ref, c->case_ref, sizeof out->case_ref);
    memcpy(out->lens_id, c->outcome.lens.lens_id, sizeof out->lens_id);
    out->eye = c->eye;
    out->operation = c->outcome.operation;
    out->posterior = c->capsule.posterior;
    out->dated_on = c->outcome.done_on != IOL_UNKNOWN_DATE ? c->outcome.done_on : c->assessed_on;
    out->position = out->state = out->standing = 0;
    out->lens_power_d = out->achieved_se_d = NAN;
    out->predictions_count = out->faults_count = 0;
    out->counted = out->tested = IOL_NO;
    out->alarms_open = out->told_within_half = out->eye_part_d = out->end_lines = NAN;
    out->end_digest = NULL;
    out->not_counted = out->constants = out->tier = 0;
    bool exchanged = c->outcome.operation == IOL_operation_done_exchange;
    out->anterior_vitrectomy = exchanged ? c->outcome.anterior_vitrectomy : IOL_UNKNOWN;
}

void iol_past_start(iol_past *past, const iol_site *site, int32_t as_of) {
    past->site = site;
    past->as_of = as_of;
    iol_object_reset(iol_object_plan, &past->plan);
    past->plan.notes.off = true;
}

void iol_past_case(iol_past *past, const iol_case *c, iol_recheck *out, double slope[IOL_PAST_ROWS]) {
    replan k = {.a = past, .w = &past->work, .out = out, .slope = slope};
    iol_wound_effect wound;
    head(c, out);
    iol_work_start(&past->work, c, past->site, past->as_of, &past->plan);
    const iol_estimate *joint = past->work.joint;
    past->depth_offset_mm = joint ? joint->needed[IOL_E] - past->work.eye.lens_depth_mm : NAN;
    if (joint) out->eye_part_d = joint->eye_part_d;
    past->ordinary = joint && iol_above(fabs(joint->z), c_z_ordinary) == IOL_NO;
    iol_incision_effect(&past->work.eye, past->work.eye.wound.width_mm, &wound);
    past->work.induced = wound.change;
    k.after = read_outcome(&past->work.eye, &c->outcome.refraction);
    out->achieved_se_d = k.after.se_d;
    take_lens(&k);
    stand(&k);
    out->state = state_of(past, c, &out->alarms_open);
    if (k.out->anterior_vitrectomy != IOL_UNKNOWN) out->tier = iol_support_tier(&past->work);
    predict(&k);
    bool predicted = out->predictions_count > 0 && !isnan(out->predictions[0].predicted_se_d);
    out->status = !k.after.known ? IOL_recheck_status_no_outcome
                  : !predicted   ? IOL_recheck_status_not_predicted
                                 : IOL_recheck_status_ok;
    bool put_in = !isnan(k.put_in_d) && c->outcome.operation != IOL_operation_done_rotation;
    bool known = put_in && iol_eye_has_constants(&k.fresh);
    past->shelf_constants = known && k.fresh.given != &c->outcome.lens.constants;
    out->constants = !known ? 0 : past->shelf_constants ? IOL_constants_of_site : IOL_constants_of_case;
    bool dated = c->outcome.done_on != IOL_UNKNOWN_DATE && c->outcome.refraction.measured_on != IOL_UNKNOWN_DATE;
    bool counted = out->status == IOL_recheck_status_ok && settled(&k);
    out->not_counted = counted                                           ? 0
                       : out->status == IOL_recheck_status_no_outcome    ? IOL_not_counted_no_outcome
                       : out->status == IOL_recheck_status_not_predicted ? IOL_not_counted_not_predicted
                       : dated                                           ? IOL_not_counted_too_early
                                                                         : IOL_not_counted_no_dates;
    out->counted = iol_from_bool(counted);
    out->tested = iol_from_bool(counted && (c->pair_ref[0] == '\0' || c->eye == IOL_side_right));
}

/* What stood in the file as a text goes no further than the message: it may be a name. Keys stand in the path. */
static const char *found_of(const iol_fault *f) {
    bool key = f->code == IOL_FAULT_unknown_key || f->code == IOL_FAULT_identity_key;
    bool raw = f->code == IOL_FAULT_syntax || f->code == IOL_FAULT_bad_utf8 || f->code == IOL_FAULT_trailing_text ||
               f->code == IOL_FAULT_control_character;
    return !key && (raw || f->found[0] == '"') ? "a text" : f->found;
}

void iol_past_refused(const iol_case *c, const iol_faults *faults, iol_recheck *out) {
    head(c, out);
    out->status = IOL_recheck_status_refused;
    out->not_counted = IOL_not_counted_refused;
    for (int i = 0; i < faults->count; i++) {
        const iol_fault *f = &faults->item[i];
        out->faults[out->faults_count++] = (iol_recheck_fault){.present = true,
                                                               .code = iol_fault_word(f->code),
                                                               .path = f->path,
                                                               .found = found_of(f),
                                                               .wanted = f->wanted,
                                                               .unit = f->unit};
    }
}
