/* The joint estimate: prior, shares, update. */
#include "estimate.h"

#include "optics/vergence.h"
#include "tables/constants.h"

enum { MOST_ROUNDS = 50 };

static void clear(iol_estimate *out) {
    *out = (iol_estimate){.status = IOL_BAD_INPUT,
                          .p0_d = NAN,
                          .predicted_d = NAN,
                          .eye_part_d = NAN,
                          .z = NAN,
                          .posterior_p0_d = NAN,
                          .believed_d = NAN,
                          .depth_gap_mm = NAN};
    out->prior = out->posterior = (iol_model){NAN, NAN, NAN};
    for (int i = 0; i <= IOL_STATES; i++) out->share[i] = NAN;
    for (int i = 0; i < IOL_STATES; i++) {
        out->prior_sd[i] = out->needed[i] = NAN;
        for (int k = 0; k < IOL_STATES; k++) out->covariance[i][k] = NAN;
    }
}

static void to_vector(iol_model eye, double power_d, double x[IOL_STATES]) {
    x[IOL_L] = eye.length_mm, x[IOL_K] = eye.cornea_d, x[IOL_E] = eye.position_mm, x[IOL_P] = power_d;
}

static iol_model to_model(const double x[IOL_STATES]) { return (iol_model){x[IOL_K], x[IOL_L], x[IOL_E]}; }

static iol_status refraction_at(const double x[IOL_STATES], double vertex_mm, double *refraction_d,
                                double g[IOL_STATES]) {
    iol_gradient gradient;
    iol_status status = iol_refraction_with_gradient(to_model(x), x[IOL_P], vertex_mm, refraction_d, &gradient);
    g[IOL_L] = gradient.length, g[IOL_K] = gradient.cornea, g[IOL_E] = gradient.position, g[IOL_P] = gradient.power;
    return status;
}

static double square(double x) { return x * x; }

/* What each quantity alone would need. */
static void need_alone(const iol_eye *eye, iol_estimate *out) {
    double r = eye->now.spectacle_d, v = eye->vertex_mm;
    iol_length_for(out->prior, out->p0_d, r, v, &out->needed[IOL_L]);
    iol_cornea_for(out->prior, out->p0_d, r, v, &out->needed[IOL_K]);
    iol_position_for(out->prior, out->p0_d, r, v, &out->needed[IOL_E]);
    iol_power_for(out->prior, r, v, &out->needed[IOL_P]);
    double x[IOL_STATES];
    to_vector(out->prior, out->p0_d, x);
    x[IOL_L] += iol_estimate_grown(eye, &out->prior).mean_mm;
    for (int i = 0; i < IOL_STATES; i++)
        out->plausible[i] = isnan(out->needed[i])
                                ? IOL_NO
                                : iol_at_most(fabs(out->needed[i] - x[i]), c_plausible_sigmas * out->prior_sd[i]);
}

/* Shares and z: a measured depth has already spoken. r_d and g are those of the mean. */
static void explain(const iol_eye *eye, double r_d, const double g[IOL_STATES], const double variance[IOL_STATES],
                    iol_estimate *out) {
    double term[IOL_STATES + 1], sum = 0.0;
    for (int i = 0; i < IOL_STATES; i++) sum += term[i] = variance[i] * square(g[i]);
    sum += term[IOL_STATES] = square(eye->now.sd_d);
    double whole = 1.0 / sum;
    for (int i = 0; i <= IOL_STATES; i++) out->share[i] = term[i] * whole;
    out->z = (eye->now.spectacle_d - r_d) / sqrt(sum);
}

iol_grown iol_estimate_grown(const iol_eye *eye, const iol_model *model) {
    iol_grown none = {0.0, 0.0};
    iol_gradient by;
    double power_d, unused;
    if (!(eye->grown_d > 0.0)) return none;
    if (iol_power_for(*model, 0.0, eye->vertex_mm, &power_d) < 0) return none;
    if (iol_refraction_with_gradient(*model, power_d, eye->vertex_mm, &unused, &by) < 0) return none;
    return (iol_grown){eye->grown_d / fabs(by.length), eye->sd_grown_d / fabs(by.length)};
}

/* A child's eye has grown since: later than the prediction, which stays that of the measured length. */
static void grow(const iol_eye *eye, iol_estimate *out, double mean[IOL_STATES], double variance[IOL_STATES]) {
    const iol_grown by = iol_estimate_grown(eye, &out->prior);
    mean[IOL_L] += by.mean_mm;
    variance[IOL_L] += square(by.sd_mm);
    if (by.sd_mm > 0.0) out->prior_sd[IOL_L] = sqrt(variance[IOL_L]);
}

/* A measured lens depth corrects E alone; the prior covariance is diagonal. */
static void see_depth(const iol_eye *eye, iol_estimate *out, double mean[IOL_STATES], double variance[IOL_STATES]) {
    if (isnan(eye->lens_depth_mm)) return;
    double observed = eye->lens_depth_mm + eye->depth_offset_mm;
    out->depth_gap_mm = observed - out->prior.position_mm;
    double gain = variance[IOL_E] / (variance[IOL_E] + square(eye->sd_depth_mm));
    mean[IOL_E] += gain * (observed - mean[IOL_E]);
    variance[IOL_E] *= 1.0 - gain;
}

/* Without a usable refraction, or without the old lens's power, the prior stands. */
static void keep_prior(iol_estimate *out, const double mean[IOL_STATES], const double variance[IOL_STATES]) {
    out->posterior = to_model(mean);
    out->posterior_p0_d = mean[IOL_P];
    for (int i = 0; i < IOL_STATES; i++)
        for (int k = 0; k < IOL_STATES; k++) out->covariance[i][k] = i == k && i != IOL_P ? variance[i] : 0.0;
}

/* Iterated update by the refraction. */
typedef struct {
    iol_status status; /* negative: there is no update */
    bool going, settled;
    bool seen; /* r and g are those of x: the first round */
    double mean[IOL_STATES], variance[IOL_STATES], x[IOL_STATES], r, g[IOL_STATES], s;
} update;

static bool is_inside(const double x[IOL_STATES]) { return x[IOL_E] > 0.0 && x[IOL_E] < x[IOL_L]; }

static void start(const iol_eye *eye, iol_formula formula, update *u, iol_estimate *out) {
    clear(out);
    *u = (update){.going = false};
    out->formula = formula;
    out->status = iol_eye_predict(eye, formula, &eye->old, &out->prior);
    if (out->status < 0) return;
    out->p0_d = iol_eye_second_unread(eye) ? NAN : eye->old.power_d;
    const double sd[IOL_STATES] = {eye->sd_length_mm, eye->sd_k_d, eye->sd_position_mm, eye->sd_label_d};
    for (int i = 0; i < IOL_STATES; i++) out->prior_sd[i] = sd[i];
    to_vector(out->prior, out->p0_d, u->mean);
    for (int i = 0; i < IOL_STATES; i++) u->variance[i] = square(sd[i]);
    if (!isnan(out->p0_d)) iol_refraction_of(out->prior, out->p0_d, eye->vertex_mm, &out->predicted_d);
    grow(eye, out, u->mean, u->variance);
    see_depth(eye, out, u->mean, u->variance);
    u->seen = eye->now.usable && !isnan(out->predicted_d) && is_inside(u->mean);
    u->going = u->seen && refraction_at(u->mean, eye->vertex_mm, &u->r, u->g) >= 0;
    if (u->going) {
        out->eye_part_d = eye->now.spectacle_d - out->predicted_d;
        explain(eye, u->r, u->g, u->variance, out);
    } else
        keep_prior(out, u->mean, u->variance);
    for (int i = 0; i < IOL_STATES; i++) u->x[i] = u->mean[i];
}

static void go_on(const iol_eye *eye, update *u) {
    double left, size = 0.0;
    u->status = !is_inside(u->x) ? IOL_NO_CONVERGENCE
                : u->seen        ? IOL_OK
                                 : refraction_at(u->x, eye->vertex_mm, &u->r, u->g);
    if (u->status < 0) {
        u->going = false;
        return;
    }
    u->seen = false;
    left = eye->now.spectacle_d - u->r;
    u->s = square(eye->now.sd_d);
    for (int i = 0; i < IOL_STATES; i++) {
        left -= u->g[i] * (u->mean[i] - u->x[i]);
        u->s += u->variance[i] * square(u->g[i]);
    }
    double gain = left / u->s;
    for (int i = 0; i < IOL_STATES; i++) {
        double next = u->mean[i] + u->variance[i] * u->g[i] * gain, step = fabs(next - u->x[i]);
        if (step > size) size = step;
        u->x[i] = next;
    }
    u->settled = size < c_update_settled;
    u->going = !u->settled;
}

/* IOL_NO_CONVERGENCE rather than the last iterate; what the prior says of the reading stays. */
static void finish(const iol_eye *eye, update *u, iol_estimate *out) {
    const double *g = u->g, *variance = u->variance;
    if (u->status >= 0 && (!u->settled || !iol_position_possible(u->x[IOL_E], u->x[IOL_L]))) u->status = IOL_NO_CONVERGENCE;
    if (u->status >= 0) {
        out->posterior = to_model(u->x);
        out->posterior_p0_d = u->x[IOL_P];
        double part[IOL_STATES], root = 1.0 / sqrt(u->s);
        for (int i = 0; i < IOL_STATES; i++) part[i] = variance[i] * g[i] * root;
        for (int i = 0; i < IOL_STATES; i++)
            for (int k = 0; k < IOL_STATES; k++)
                out->covariance[i][k] = (i == k ? variance[i] : 0.0) - part[i] * part[k];
        u->status = iol_refraction_of(out->posterior, out->posterior_p0_d, eye->vertex_mm, &out->believed_d);
    }
    if (u->status >= 0) return;
    out->status = u->status;
    out->posterior = (iol_model){NAN, NAN, NAN};
    out->posterior_p0_d = out->believed_d = NAN;
    for (int i = 0; i < IOL_STATES; i++)
        for (int k = 0; k < IOL_STATES; k++) out->covariance[i][k] = NAN;
}

/* `count` formulas from `first` on, round by round side by side: the divisions of one round wait for each other, those of
 * another formula need not. */
static void estimate(const iol_eye *eye, int first, int count, iol_estimate out[]) {
    update u[IOL_FORMULA_COUNT];
    bool informed[IOL_FORMULA_COUNT], going = true;
    for (int i = 0; i < count; i++) {
        start(eye, (iol_formula)(first + i), &u[i], &out[i]);
        informed[i] = u[i].going;
    }
    for (int round = 0; round < MOST_ROUNDS && going; round++) {
        going = false;
        for (int i = 0; i < count; i++) {
            if (u[i].going) go_on(eye, &u[i]);
            going = going || u[i].going;
        }
    }
    for (int i = 0; i < count; i++)
        if (informed[i]) finish(eye, &u[i], &out[i]);
}

void iol_estimate_make(const iol_eye *eye, iol_formula formula, iol_estimate *out) {
    iol_observed two;
    if (eye->two_known) {
        iol_estimate_two_lenses(eye, formula, &two, out);
        return;
    }
    estimate(eye, (int)formula, 1, out);
    if (!isnan(out->eye_part_d)) need_alone(eye, out);
}

void iol_estimate_all(const iol_eye *eye, bool brief, iol_estimate out[IOL_FORMULA_COUNT]) {
    if (eye->two_known) {
        for (int i = 0; i < IOL_FORMULA_COUNT; i++) iol_estimate_make(eye, (iol_formula)i, &out[i]);
        return;
    }
    estimate(eye, 0, IOL_FORMULA_COUNT, out);
    for (int i = 0; i < IOL_FORMULA_COUNT; i++)
        if ((!brief || i == eye->reference) && !isnan(out[i].eye_part_d)) need_alone(eye, &out[i]);
}

void iol_estimate_refraction_only(const iol_eye *eye, double k_d, double position_mm, iol_estimate *out) {
    clear(out);
    double length_mm, r = eye->now.spectacle_d;
    iol_model seed = {k_d, NAN, position_mm};
    if (!eye->now.usable || isnan(eye->old.power_d)) return;
    out->status = iol_length_for(seed, eye->old.power_d, r, eye->vertex_mm, &length_mm);
    if (out->status < 0) return;
    out->posterior = out->prior = (iol_model){k_d, length_mm, position_mm};
    out->posterior_p0_d = out->p0_d = eye->old.power_d;
    out->believed_d = r;
    for (int i = 0; i < IOL_STATES; i++)
        for (int k = 0; k < IOL_STATES; k++) out->covariance[i][k] = 0.0;
}

void iol_estimate_by_cause(const iol_eye *eye, const iol_estimate *joint, int state, iol_estimate *out) {
    double x[IOL_STATES], needed = joint->status < 0 ? NAN : joint->needed[state];
    *out = *joint;
    out->mixture = NULL;
    out->leading = NULL;
    if (isnan(needed)) {
        clear(out);
        out->status = IOL_NO_SOLUTION;
        return;
    }
    to_vector(joint->prior, joint->p0_d, x);
    x[state] = needed;
    out->posterior = to_model(x);
    out->posterior_p0_d = x[IOL_P];
    out->believed_d = eye->now.spectacle_d;
    for (int i = 0; i < IOL_STATES; i++)
        for (int k = 0; k < IOL_STATES; k++) out->covariance[i][k] = 0.0;
}

void iol_estimate_biometry_only(const iol_eye *eye, iol_formula formula, const iol_lens_in_eye *fresh,
                                iol_estimate *out) {
    const double sd[IOL_STATES] = {eye->sd_length_mm, eye->sd_k_d, eye->sd_position_mm, 0.0};
    double mean[IOL_STATES], variance[IOL_STATES];
    clear(out);
    out->formula = formula;
    out->status = iol_eye_predict(eye, formula, fresh, &out->prior);
    if (out->status < 0) return;
    to_vector(out->prior, NAN, mean);
    for (int i = 0; i < IOL_STATES; i++) variance[i] = square(sd[i]);
    grow(eye, out, mean, variance);
    keep_prior(out, mean, variance);
}

iol_status iol_estimate_needed(const iol_eye *eye, const iol_estimate *estimate, iol_matrix *needed) {
    const iol_model *at = &estimate->posterior;
    iol_matrix lens = iol_matrix_add(iol_matrix_scalar(estimate->posterior_p0_d), iol_matrix_deviator(eye->old.power));
    if (!eye->two_known) return iol_matrix_needed(at->length_mm, at->position_mm, lens, needed);
    iol_matrix second = iol_matrix_add(iol_matrix_scalar(estimate->second_d), iol_matrix_deviator(eye->second.power));
    const iol_lens_pair two = {*at, estimate->gap_mm, 0.0, 0.0};
    return iol_two_lenses_matrix(&two, iol_matrix_scalar(0.0), lens, second, needed);
}

iol_matrix iol_estimate_astigmatism(const iol_eye *eye, const iol_estimate *estimate, bool *known) {
    iol_matrix none = iol_matrix_scalar(0.0), needed;
    bool lens_axis = !eye->old.toric || eye->old.axis_known;
    *known = false;
    if (estimate->status < 0 || !lens_axis) return none;
    if (!eye->now.usable || isnan(estimate->posterior_p0_d)) {
        *known = eye->astigmatism_known;
        return *known ? iol_matrix_deviator(eye->keratometry) : none;
    }
    if (iol_estimate_needed(eye, estimate, &needed) < 0) return none;
    *known = true;
    return iol_matrix_deviator(iol_matrix_subtract(needed, eye->now.at_cornea));
}
