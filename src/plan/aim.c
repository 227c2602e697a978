/* From an estimated eye to a lens and back (method, sections 2 and 4). */
#include "aim.h"

#include "tables/constants.h"
#include "tables/note_codes.h"

static void start(iol_aim *aim, int route) {
    *aim = (iol_aim){.status = IOL_BAD_INPUT,
                     .route = route,
                     .model = {NAN, NAN, NAN},
                     .change_mm = NAN,
                     .sd_change_mm = NAN,
                     .sd_start_d = NAN};
}

iol_matrix iol_aim_shape(const iol_eye *eye, const iol_estimate *e, bool *known) {
    iol_matrix shape = iol_estimate_astigmatism(eye, e, known), needed;
    double believed_cornea_d;
    if (!*known || !eye->now.usable || !iol_eye_has_toric(eye)) return shape; /* no reading: no part of it to give back */
    if (isnan(e->believed_d) || isnan(e->posterior_p0_d)) return shape;
    if (iol_estimate_needed(eye, e, &needed) < 0) return shape;
    if (iol_vertex_to_cornea(e->believed_d, eye->vertex_mm, &believed_cornea_d) < 0) return shape;
    double excess = iol_matrix_mean(needed) - e->posterior.cornea_d - believed_cornea_d;
    return iol_matrix_add(shape, iol_matrix_scalar(excess));
}

static void take_shape(const iol_eye *eye, iol_aim *aim) {
    aim->shape = iol_aim_shape(eye, aim->from, &aim->shape_known);
}

/* The estimated eye with its lens moved. What a wrong constant or a lens the wrong way up does to the position stays with the old
 * lens, as it does in every component of the mixture. */
static void stand_moved(const iol_eye *eye, iol_aim *aim) {
    aim->model = aim->from->posterior;
    aim->model.position_mm += aim->change_mm;
    if (aim->mixture) aim->model.position_mm -= iol_mixture_leader(aim->mixture)->back_mm;
    take_shape(eye, aim);
}

/* The new lens in the estimated eye: the old position moved by the difference of the two lenses. */
static void move_lens(const iol_eye *eye, const iol_lens_in_eye *fresh, iol_aim *aim) {
    if (aim->from->status < 0) return;
    aim->status = iol_eye_position_change(eye, aim->from->formula, aim->from->prior.position_mm, fresh, &aim->change_mm,
                                          &aim->sd_change_mm, &aim->change_basis);
    if (aim->status >= 0) stand_moved(eye, aim);
}

void iol_aim_by_formula(const iol_eye *eye, const iol_estimate *estimate, const iol_lens_in_eye *fresh, iol_aim *aim) {
    bool informed = eye->now.usable && !isnan(eye->old.power_d);
    start(aim, informed && eye->length_from_reading ? IOL_route_refraction_only
               : informed                           ? IOL_route_joint
                                                    : IOL_route_biometry_only);
    aim->from = estimate->leading ? estimate->leading : estimate;
    aim->mixture = estimate->mixture;
    move_lens(eye, fresh, aim);
}

void iol_aim_of_old_lens(iol_aim *aim) {
    if (!aim->mixture) return;
    aim->old_lens = true;
    aim->model.position_mm += iol_mixture_leader(aim->mixture)->back_mm;
}

void iol_aim_by_cause(const iol_eye *eye, const iol_aim *joint, int state, iol_estimate *own, iol_aim *aim) {
    *aim = *joint;
    aim->from = own;
    aim->mixture = NULL;
    iol_estimate_by_cause(eye, joint->from, state, own);
    if (own->status < 0) aim->status = own->status;
    if (aim->status >= 0) stand_moved(eye, aim);
}

void iol_aim_by_biometry(const iol_eye *eye, const iol_lens_in_eye *fresh, iol_estimate *own, iol_aim *aim) {
    int reason, formula = iol_eye_reference(eye, fresh, &reason);
    start(aim, IOL_route_biometry_only);
    aim->from = own;
    own->status = IOL_BAD_INPUT;
    if (formula < 0) return;
    iol_estimate_biometry_only(eye, (iol_formula)formula, fresh, own);
    aim->status = own->status;
    if (own->status < 0) return;
    aim->model = own->posterior;
    aim->sd_change_mm = fresh->shift_sd_mm;
    take_shape(eye, aim);
}

void iol_aim_without_lens(const iol_eye *eye, const iol_lens_in_eye *fresh, iol_estimate *own, iol_aim *aim) {
    int reason, formula = iol_eye_reference(eye, fresh, &reason);
    start(aim, !eye->now.usable           ? IOL_route_biometry_only
               : eye->length_from_reading ? IOL_route_aphakic_refraction
                                          : IOL_route_joint);
    aim->from = own;
    own->status = IOL_BAD_INPUT;
    if (formula < 0) return;
    iol_estimate_without_lens(eye, (iol_formula)formula, fresh, own);
    aim->status = own->status;
    if (own->status < 0) return;
    aim->model = own->posterior;
    aim->sd_change_mm = fresh->shift_sd_mm;
    take_shape(eye, aim);
}

/* Nominal position of a lens, its fixation included, by its A-constant or by its Haigis constants. */
static double nominal_by_a(const iol_lens_in_eye *lens) {
    return iol_nominal_position_from_a(lens->constants.a_constant) + lens->shift_mm;
}
static double nominal_by_haigis(const iol_lens_in_eye *lens) {
    const iol_lens_constants *k = &lens->constants;
    return k->haigis_a0_mm + c_nominal_chamber_mm * k->haigis_a1 + c_nominal_length_mm * k->haigis_a2 + lens->shift_mm;
}

static void assume(iol_notes *notes, iol_note_code code, double value, const char *word) {
    if (notes) iol_note_add(notes, IOL_AT_plan_assumptions, 0, code, value, NAN, word);
}

/* Positions of old and new lens by one kind of constant, never mixed. Without a common kind both stand in one plane, that of
 * the lens that has a position, and only the fixation moves it. */
static void nominal_positions(const iol_eye *eye, const iol_lens_in_eye *fresh, iol_notes *notes, double *from,
                              double *to) {
    const iol_lens_in_eye *old = &eye->old;
    *from = nominal_by_a(old), *to = nominal_by_a(fresh);
    if (!isnan(*from) && !isnan(*to)) return;
    *from = nominal_by_haigis(old), *to = nominal_by_haigis(fresh);
    if (!isnan(*from) && !isnan(*to)) return;
    assume(notes, IOL_NOTE_assume_old_constant, NAN, "same plane");
    double fixation = iol_eye_fixation(eye, fresh->position) - iol_eye_old_fixation(eye);
    if (old->position == fresh->position) fixation = 0.0;
    *to = isnan(nominal_by_a(fresh)) ? nominal_by_haigis(fresh) : nominal_by_a(fresh);
    *from = *to - fixation;
    if (!isnan(*from)) return;
    *from = isnan(nominal_by_a(old)) ? nominal_by_haigis(old) : nominal_by_a(old);
    if (isnan(*from)) *from = iol_nominal_position_from_a(c_a_constant_assumed) + iol_eye_old_fixation(eye);
    *to = *from + fixation;
}

/* Of two lenses known to differ in asphericity, where no constant holds what that does. */
static double class_spread(const iol_eye *eye, const iol_lens_in_eye *fresh) {
    bool known = eye->old.asphericity > 0 && fresh->asphericity > 0;
    return known && eye->old.asphericity != fresh->asphericity ? sd_asphericity_class_d : 0.0;
}

void iol_aim_by_refraction(const iol_eye *eye, const iol_lens_in_eye *fresh, iol_estimate *own, iol_notes *notes,
                           iol_aim *aim) {
    start(aim, IOL_route_refraction_only);
    aim->from = own;
    double from, to, k = eye->k_d;
    if (isnan(k)) {
        k = c_k_assumed;
        assume(notes, IOL_NOTE_assume_k, k, NULL);
    }
    nominal_positions(eye, fresh, notes, &from, &to);
    iol_estimate_refraction_only(eye, k, from, own);
    aim->status = own->status;
    if (own->status < 0 || isnan(to) || !iol_eye_has_constants(fresh)) {
        aim->status = IOL_BAD_INPUT;
        return;
    }
    aim->sd_change_mm = iol_eye_change_sd(eye, fresh);
    aim->sd_class_d = class_spread(eye, fresh);
    aim->model = own->posterior;
    aim->model.position_mm = to;
    take_shape(eye, aim);
}

void iol_aim_alone(const iol_eye *eye, const iol_estimate *alone, const iol_lens_in_eye *fresh, iol_notes *notes,
                   iol_aim *aim) {
    double from, to;
    start(aim, IOL_route_refraction_only);
    if (!alone || alone->status < 0 || !iol_eye_has_constants(fresh)) return;
    if (isnan(eye->k_d)) assume(notes, IOL_NOTE_assume_k, c_person_k_d, NULL);
    nominal_positions(eye, fresh, notes, &from, &to);
    if (isnan(from) || isnan(to)) return;
    aim->from = alone;
    aim->mixture = alone->mixture;
    aim->change_mm = to - from;
    aim->sd_class_d = class_spread(eye, fresh);
    aim->sd_change_mm = iol_eye_change_sd(eye, fresh);
    aim->status = IOL_OK;
    stand_moved(eye, aim);
}

void iol_aim_reading_alone(const iol_eye *eye, iol_estimate *own, iol_notes *notes) {
    const iol_lens_in_eye *old = &eye->old;
    double k = eye->k_d, from = isnan(nominal_by_a(old)) ? nominal_by_haigis(old) : nominal_by_a(old);
    if (isnan(k)) {
        k = c_k_assumed;
        assume(notes, IOL_NOTE_assume_k, k, NULL);
    }
    if (isnan(from)) {
        from = iol_nominal_position_from_a(c_a_constant_assumed) + iol_eye_old_fixation(eye);
        assume(notes, IOL_NOTE_assume_nominal_place, from, NULL);
    }
    *own = (iol_estimate){.status = IOL_OK, .p0_d = NAN, .posterior_p0_d = NAN, .believed_d = eye->now.spectacle_d};
    own->posterior = own->prior = (iol_model){k, NAN, from};
    if (!eye->now.usable) own->status = IOL_BAD_INPUT;
}

/* Astigmatism of the eye behind a second lens: what arrives at its plane today, against the mean. */
static void take_behind(const iol_eye *eye, iol_aim *aim) {
    double believed_cornea_d, arriving_d;
    iol_matrix today;
    if (isnan(aim->from->posterior_p0_d)) {
        aim->shape_known = !eye->old.toric || eye->old.axis_known;
        if (eye->astigmatism_known) aim->shape = iol_matrix_deviator(eye->keratometry);
    } else
        take_shape(eye, aim);
    if (!aim->shape_known || iol_vertex_to_cornea(aim->from->believed_d, eye->vertex_mm, &believed_cornea_d) < 0)
        return;
    iol_matrix at_cornea = iol_matrix_add(aim->shape, iol_matrix_deviator(eye->now.at_cornea));
    at_cornea = iol_matrix_add(at_cornea, iol_matrix_scalar(aim->model.cornea_d + believed_cornea_d));
    iol_status status = iol_matrix_step(at_cornea, aim->model.position_mm / 1000.0 / c_index_aqueous, &today);
    if (status >= 0)
        status = iol_arriving_vergence(aim->model.cornea_d, aim->model.position_mm, aim->from->believed_d,
                                       eye->vertex_mm, &arriving_d);
    aim->shape_known = status >= 0;
    if (status >= 0) aim->behind = iol_matrix_subtract(iol_matrix_scalar(arriving_d), today);
}

/* Spread of the refraction that the estimate believes in. */
static double believed_sd(const iol_eye *eye, const iol_estimate *e) {
    iol_gradient h;
    if (iol_refraction_gradient(e->posterior, e->posterior_p0_d, eye->vertex_mm, &h) < 0) return eye->now.sd_d;
    const double g[IOL_STATES] = {[IOL_L] = h.length, [IOL_K] = h.cornea, [IOL_E] = h.position, [IOL_P] = h.power};
    double variance = 0.0;
    for (int i = 0; i < IOL_STATES; i++)
        for (int k = 0; k < IOL_STATES; k++) variance += g[i] * e->covariance[i][k] * g[k];
    return sqrt(fmax(0.0, variance));
}

void iol_aim_by_piggyback(const iol_eye *eye, const iol_estimate *estimate, int route, iol_aim *aim) {
    double behind_mm, own = eye->site->spread.piggyback_position_mm;
    start(aim, route);
    if (estimate->mixture && estimate->mixture->tested) aim->mixture = estimate->mixture;
    if (estimate->leading) estimate = estimate->leading;
    aim->from = estimate;
    aim->second = true;
    aim->status = estimate->status;
    if (estimate->status < 0) return;
    aim->model = estimate->posterior;
    aim->model.position_mm += c_piggyback_shift_mm;
    aim->status = iol_length_for(aim->model, 0.0, estimate->believed_d, eye->vertex_mm, &behind_mm);
    aim->model.length_mm = behind_mm;
    aim->sd_change_mm = iol_eye_factor(eye) * (isnan(own) ? sd_piggyback_mm : own);
    aim->sd_start_d = route == IOL_route_refraction_only ? eye->now.sd_d : believed_sd(eye, estimate);
    take_behind(eye, aim);
}

void iol_aim_keep_second(const iol_eye *eye, iol_aim *aim) {
    if (!eye->two_known || aim->status < 0) return;
    aim->keeps_second = true;
    aim->gap_mm = aim->from->gap_mm + aim->change_mm;
    aim->front = iol_matrix_add(iol_matrix_scalar(aim->from->second_d), iol_matrix_deviator(eye->second.power));
}

static iol_lens_pair pair_of(const iol_aim *aim) { return (iol_lens_pair){aim->model, aim->gap_mm, NAN, NAN}; }

iol_status iol_aim_lens(const iol_eye *eye, const iol_aim *aim, double target_d, iol_matrix induced, iol_matrix *lens) {
    iol_matrix shape = iol_matrix_add(aim->shape, induced);
    iol_matrix cornea = iol_matrix_add(iol_matrix_scalar(aim->model.cornea_d), shape);
    double at_cornea_d;
    *lens = iol_matrix_scalar(NAN);
    if (aim->status < 0 || !aim->shape_known) return IOL_BAD_INPUT;
    iol_status status = iol_vertex_to_cornea(target_d, eye->vertex_mm, &at_cornea_d);
    iol_lens_pair pair = pair_of(aim);
    if (status >= 0 && aim->keeps_second)
        return iol_two_lenses_matrix_first_for(&pair, cornea, aim->front, at_cornea_d, lens);
    if (status >= 0)
        status = iol_matrix_lens_for(cornea, aim->model.length_mm, aim->model.position_mm,
                                     iol_matrix_scalar(at_cornea_d), lens);
    if (status >= 0) *lens = iol_matrix_subtract(*lens, aim->behind);
    return status;
}

void iol_aim_prospect(const iol_eye *eye, const iol_aim *aim, iol_prospect *out) {
    static const int state[3] = {IOL_L, IOL_K, IOL_E};
    double covariance[3][3] = {{0.0}};
    out->status = IOL_BAD_INPUT;
    if (aim->status < 0) return;
    if (aim->mixture && aim->second)
        iol_prospect_second(eye, aim->mixture, c_piggyback_shift_mm, aim->sd_change_mm, out);
    else if (aim->mixture)
        iol_prospect_exchange(eye, aim->mixture, aim->change_mm, aim->sd_change_mm, out);
    else {
        for (int i = 0; i < 3 && !aim->second; i++)
            for (int k = 0; k < 3; k++) covariance[i][k] = aim->from->covariance[state[i]][state[k]];
        iol_prospect_of_one(eye, &aim->model, covariance, aim->sd_start_d, aim->sd_change_mm, out);
    }
    for (int i = 0; aim->old_lens && i < out->count; i++) out->position_mm[i] += aim->mixture->item[i].back_mm;
    if (!aim->second) out->sd_outcome_d = hypot(out->sd_outcome_d, aim->sd_class_d);
    if (!aim->shape_known) return;
    for (int i = 0; i < out->count; i++) out->cornea_d[i] += iol_matrix_mean(aim->shape);
}

/* The matrix eye of the leading cause gives the cylinder; the mean over all causes the spherical equivalent. What the matrix
 * eye, whose spherical equivalent is se_d, adds to the scalar one; NaN where there is no refraction. */
static double second_order(const iol_eye *eye, const iol_aim *aim, iol_matrix lens, double se_d) {
    iol_model leading = aim->model;
    double scalar;
    if (aim->shape_known) leading.cornea_d += iol_matrix_mean(aim->shape);
    iol_refraction_of(leading, iol_matrix_mean(lens), eye->vertex_mm, &scalar);
    return se_d - scalar;
}

void iol_aim_outlook(const iol_eye *eye, const iol_aim *aim, const iol_prospect *prospect, iol_matrix lens,
                     iol_matrix induced, iol_spectacle_form *form, iol_outlook *out) {
    iol_aim_expected(eye, aim, lens, induced, form);
    double more = second_order(eye, aim, lens, form->se_d);
    *out = (iol_outlook){NAN, NAN, NAN, NAN, NAN};
    if (isnan(more)) return;
    iol_outlook_make(prospect, iol_matrix_mean(lens), eye->target_se_d - more, out);
    out->mean_d += more;
    double moved = out->mean_d - form->se_d;
    form->se_d += moved;
    form->sphere_d += moved;
}

void iol_aim_spread(const iol_eye *eye, const iol_aim *aim, const iol_prospect *prospect, iol_matrix lens, double se_d,
                    bool chance, iol_outlook *out) {
    double more = second_order(eye, aim, lens, se_d);
    iol_outlook_spread(prospect, iol_matrix_mean(lens), chance, out);
    out->mean_d += more;
    if (isnan(more)) out->sd_d = out->within_half = NAN;
}

double iol_aim_more(const iol_eye *eye, const iol_aim *aim, double power_d) {
    iol_spectacle_form form;
    if (!aim->second || !aim->shape_known) return 0.0;
    iol_aim_expected(eye, aim, iol_matrix_scalar(power_d), iol_matrix_scalar(0.0), &form);
    return second_order(eye, aim, iol_matrix_scalar(power_d), form.se_d);
}

/* In front of a toric lens the matrix eye and the scalar one part: the power is sought whose refraction as told is the target. */
double iol_aim_power(const iol_eye *eye, const iol_aim *aim, double target_d) {
    enum { MOST_ROUNDS = 20 };
    iol_prospect prospect;
    iol_aim_prospect(eye, aim, &prospect);
    double power = iol_prospect_power(&prospect, target_d), moved = INFINITY;
    for (int round = 0; aim->second && moved >= c_update_settled && round < MOST_ROUNDS; round++) {
        double next = iol_prospect_power(&prospect, target_d - iol_aim_more(eye, aim, power));
        moved = fabs(next - power);
        power = next;
    }
    return power;
}

iol_status iol_aim_at_cornea(const iol_aim *aim, iol_matrix lens, iol_matrix induced, iol_matrix *at_cornea) {
    *at_cornea = (iol_matrix){NAN, NAN, NAN};
    if (aim->status < 0) return aim->status;
    iol_matrix cornea = iol_matrix_scalar(aim->model.cornea_d);
    if (aim->shape_known) cornea = iol_matrix_add(iol_matrix_add(cornea, aim->shape), induced);
    iol_lens_pair pair = pair_of(aim);
    if (aim->keeps_second) return iol_two_lenses_matrix(&pair, cornea, lens, aim->front, at_cornea);
    lens = iol_matrix_add(lens, aim->behind);
    return iol_matrix_refraction(cornea, aim->model.length_mm, aim->model.position_mm, lens, at_cornea);
}

void iol_aim_expected(const iol_eye *eye, const iol_aim *aim, iol_matrix lens, iol_matrix induced,
                      iol_spectacle_form *out) {
    iol_matrix at_cornea, spectacle;
    *out = (iol_spectacle_form){.present = true, .se_d = NAN, .sphere_d = NAN, .cylinder_d = NAN, .axis_deg = NAN};
    if (iol_aim_at_cornea(aim, lens, induced, &at_cornea) < 0) return;
    iol_vertex_to_spectacle(iol_matrix_mean(at_cornea), eye->vertex_mm, &out->se_d);
    if (!aim->shape_known || iol_matrix_step(at_cornea, -eye->vertex_mm / 1000.0, &spectacle) < 0) return;
    iol_spherocylinder form = iol_matrix_to_spherocylinder(spectacle);
    out->sphere_d = form.sphere_d;
    out->cylinder_d = form.cylinder_d;
    out->axis_deg = form.axis_deg;
}

double iol_aim_sd(const iol_eye *eye, const iol_aim *aim, double power_d) {
    iol_prospect prospect;
    iol_outlook at;
    iol_aim_prospect(eye, aim, &prospect);
    iol_outlook_spread(&prospect, power_d, false, &at);
    return at.sd_d;
}

double iol_aim_chance(double expected_d, double sd_d, double target_d, double band_d) {
    double low = (target_d - band_d - expected_d) / sd_d, high = (target_d + band_d - expected_d) / sd_d;
    return 0.5 * (erfc(-high / sqrt(2.0)) - erfc(-low / sqrt(2.0)));
}
