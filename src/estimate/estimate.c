/* The joint estimate: prior, shares, growth, update. */
#include "estimate.h"

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
        out->prior_sd[i] = out->grown_sd[i] = out->needed[i] = NAN;
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
    for (int i = 0; i < IOL_STATES; i++)
        out->plausible[i] = isnan(out->needed[i])
                                ? IOL_NO
                                : iol_at_most(fabs(out->needed[i] - x[i]), c_plausible_sigmas * out->prior_sd[i]);
}

/* Shares and z. */
static void explain(const iol_eye *eye, const double g[IOL_STATES], iol_estimate *out) {
    double term[IOL_STATES + 1], sum = 0.0;
    for (int i = 0; i < IOL_STATES; i++) sum += term[i] = square(out->prior_sd[i] * g[i]);
    sum += term[IOL_STATES] = square(eye->now.sd_d);
    for (int i = 0; i <= IOL_STATES; i++) out->share[i] = term[i] / sum;
    out->z = out->eye_part_d / sqrt(sum);
}

/* Growth: some prior was too tight. Each spread may grow up to its ceiling; the free ones share the same factor. */
static void grow(const iol_eye *eye, const double g[IOL_STATES], iol_estimate *out) {
    const double ceiling[IOL_STATES] = {
        [IOL_L] = INFINITY, [IOL_K] = INFINITY, [IOL_E] = c_growth_position, [IOL_P] = c_growth_label};
    double factor[IOL_STATES];
    bool held[IOL_STATES] = {false};
    for (bool again = true; again;) {
        double rest = square(out->eye_part_d) - square(eye->now.sd_d), free_sum = 0.0;
        for (int i = 0; i < IOL_STATES; i++) {
            double term = square(out->prior_sd[i] * g[i]);
            if (held[i])
                rest -= square(ceiling[i]) * term;
            else
                free_sum += term;
        }
        double k = fmax(1.0, rest / free_sum), root = sqrt(k);
        again = false;
        for (int i = 0; i < IOL_STATES; i++) {
            factor[i] = held[i] ? ceiling[i] : root;
            if (!held[i] && ceiling[i] < root) again = held[i] = true;
        }
    }
    for (int i = 0; i < IOL_STATES; i++) out->grown_sd[i] = factor[i] * out->prior_sd[i];
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

/* Iterated update by the refraction; IOL_NO_CONVERGENCE rather than the last iterate. g comes in as the gradient at the
 * prior: the first round stands there unless a measured depth moved the mean. */
static iol_status update(const iol_eye *eye, const double mean[IOL_STATES], const double variance[IOL_STATES],
                         double g[IOL_STATES], iol_estimate *out) {
    double x[IOL_STATES], s = NAN, r = out->predicted_d;
    for (int i = 0; i < IOL_STATES; i++) x[i] = mean[i];
    bool settled = false, at_prior = mean[IOL_E] == out->prior.position_mm;
    for (int round = 0; round < MOST_ROUNDS && !settled; round++) {
        double left, size = 0.0;
        if (!(x[IOL_E] > 0.0 && x[IOL_E] < x[IOL_L])) return IOL_NO_CONVERGENCE;
        iol_status status = round == 0 && at_prior ? IOL_OK : refraction_at(x, eye->vertex_mm, &r, g);
        if (status < 0) return status;
        left = eye->now.spectacle_d - r;
        s = square(eye->now.sd_d);
        for (int i = 0; i < IOL_STATES; i++) {
            left -= g[i] * (mean[i] - x[i]);
            s += variance[i] * square(g[i]);
        }
        for (int i = 0; i < IOL_STATES; i++) {
            double next = mean[i] + variance[i] * g[i] * left / s, step = fabs(next - x[i]);
            if (step > size) size = step;
            x[i] = next;
        }
        settled = size < 1e-10;
    }
    if (!settled || !(x[IOL_E] > 0.0 && x[IOL_E] < x[IOL_L])) return IOL_NO_CONVERGENCE;
    out->posterior = to_model(x);
    out->posterior_p0_d = x[IOL_P];
    for (int i = 0; i < IOL_STATES; i++)
        for (int k = 0; k < IOL_STATES; k++)
            out->covariance[i][k] = (i == k ? variance[i] : 0.0) - variance[i] * g[i] * g[k] * variance[k] / s;
    return iol_refraction_of(out->posterior, out->posterior_p0_d, eye->vertex_mm, &out->believed_d);
}

/* Without a usable refraction, or without the old lens's power, the prior stands. */
static void keep_prior(iol_estimate *out, const double mean[IOL_STATES], const double variance[IOL_STATES]) {
    out->posterior = to_model(mean);
    out->posterior_p0_d = mean[IOL_P];
    for (int i = 0; i < IOL_STATES; i++)
        for (int k = 0; k < IOL_STATES; k++) out->covariance[i][k] = i == k && i != IOL_P ? variance[i] : 0.0;
}

void iol_estimate_make(const iol_eye *eye, iol_formula formula, iol_estimate *out) {
    iol_estimate_joint(eye, formula, out);
    if (out->status >= 0 && !isnan(out->eye_part_d)) need_alone(eye, out);
}

void iol_estimate_joint(const iol_eye *eye, iol_formula formula, iol_estimate *out) {
    clear(out);
    out->formula = formula;
    out->status = iol_eye_predict(eye, formula, &eye->old, &out->prior);
    if (out->status < 0) return;
    out->p0_d = eye->old.power_d;
    const double sd[IOL_STATES] = {eye->sd_length_mm, eye->sd_k_d, eye->sd_position_mm, eye->sd_label_d};
    double mean[IOL_STATES], variance[IOL_STATES], g[IOL_STATES];
    for (int i = 0; i < IOL_STATES; i++) out->prior_sd[i] = out->grown_sd[i] = sd[i];
    to_vector(out->prior, out->p0_d, mean);
    if (!isnan(out->p0_d)) refraction_at(mean, eye->vertex_mm, &out->predicted_d, g);
    bool informed = eye->now.usable && !isnan(out->predicted_d);
    if (informed) {
        out->eye_part_d = eye->now.spectacle_d - out->predicted_d;
        explain(eye, g, out);
        grow(eye, g, out);
    }
    for (int i = 0; i < IOL_STATES; i++) variance[i] = square(out->grown_sd[i]);
    see_depth(eye, out, mean, variance);
    if (!informed) {
        keep_prior(out, mean, variance);
        return;
    }
    iol_status status = update(eye, mean, variance, g, out);
    if (status >= 0) return;
    clear(out);
    out->status = status;
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
    keep_prior(out, mean, variance);
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
    iol_matrix lens = iol_matrix_add(iol_matrix_scalar(estimate->posterior_p0_d), iol_matrix_deviator(eye->old.power));
    if (iol_matrix_needed(estimate->posterior.length_mm, estimate->posterior.position_mm, lens, &needed) < 0)
        return none;
    *known = true;
    return iol_matrix_deviator(iol_matrix_subtract(needed, eye->now.at_cornea));
}
