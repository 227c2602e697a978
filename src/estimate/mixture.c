/* Depth, refraction and weights of the mixture. */
#include "mixture.h"

#include "tables/constants.h"

enum { MOST_ROUNDS = 50 };

double iol_log_normal(double x, double variance) { return -0.5 * (c_ln_two_pi + log(variance) + x * x / variance); }

static double square(double x) { return x * x; }

/* ---- one observation a.x of a component ---- */

static void times(double (*c)[IOL_STATES], const double a[IOL_STATES], double out[IOL_STATES]) {
    for (int i = 0; i < IOL_STATES; i++) {
        out[i] = 0.0;
        for (int k = 0; k < IOL_STATES; k++) out[i] += c[i][k] * a[k];
    }
}

static double dot(const double a[IOL_STATES], const double b[IOL_STATES]) {
    double sum = 0.0;
    for (int i = 0; i < IOL_STATES; i++) sum += a[i] * b[i];
    return sum;
}

static void take_away(double (*c)[IOL_STATES], const double column[IOL_STATES], double variance) {
    for (int i = 0; i < IOL_STATES; i++)
        for (int k = 0; k < IOL_STATES; k++) c[i][k] -= column[i] * column[k] / variance;
}

/* The measured depth of the lens: linear, of E alone. */
static void see_depth(double found_mm, double sd_mm, iol_component *c) {
    double left = found_mm - c->mean[IOL_E], variance = c->covariance[IOL_E][IOL_E] + square(sd_mm);
    double column[IOL_STATES];
    for (int i = 0; i < IOL_STATES; i++) column[i] = c->covariance[i][IOL_E];
    for (int i = 0; i < IOL_STATES; i++) c->mean[i] += column[i] * left / variance;
    take_away(c->covariance, column, variance);
    c->log_likelihood += iol_log_normal(left, variance);
}

/* ---- the refraction ---- */

static iol_status refraction_at(const double x[IOL_STATES], double vertex_mm, double *r, double g[IOL_STATES]) {
    iol_gradient d;
    iol_model model = {x[IOL_K], x[IOL_L], x[IOL_E]};
    iol_status status = iol_refraction_with_gradient(model, x[IOL_P], vertex_mm, r, &d);
    g[IOL_L] = d.length, g[IOL_K] = d.cornea, g[IOL_E] = d.position, g[IOL_P] = d.power;
    return status;
}

/* r and S with R and g at x. */
static void compare(const iol_component *c, double found_d, const double x[IOL_STATES], double r, iol_component *into,
                    double column[IOL_STATES]) {
    double moved = 0.0;
    times(into->covariance, into->slope, column);
    for (int i = 0; i < IOL_STATES; i++) moved += c->slope[i] * (c->mean[i] - x[i]);
    into->left_d = found_d - c->offset_d - r - moved;
    into->variance_d = dot(into->slope, column) + square(c->sd_reading_d);
}

/* The iterated update of method, section 3, with a full covariance. False: it does not settle. */
static bool see_refraction(const iol_eye *eye, iol_component *c) {
    double x[IOL_STATES], column[IOL_STATES], r, step = INFINITY;
    for (int i = 0; i < IOL_STATES; i++) x[i] = c->mean[i];
    for (int round = 0; round < MOST_ROUNDS; round++) {
        if (!(x[IOL_E] > 0.0 && x[IOL_E] < x[IOL_L])) return false;
        if (refraction_at(x, eye->vertex_mm, &r, c->slope) < 0) return false;
        compare(c, eye->now.spectacle_d, x, r, c, column);
        if (step < c_update_settled) break;
        step = 0.0;
        for (int i = 0; i < IOL_STATES; i++) {
            double next = c->mean[i] + column[i] * c->left_d / c->variance_d;
            step = fmax(step, fabs(next - x[i]));
            x[i] = next;
        }
    }
    if (!(step < c_update_settled)) return false;
    c->log_likelihood += iol_log_normal(c->left_d, c->variance_d);
    for (int i = 0; i < IOL_STATES; i++) c->mean[i] = x[i];
    take_away(c->covariance, column, c->variance_d);
    c->updated = true;
    return true;
}

/* ---- weights ---- */

bool iol_mixture_normalise(iol_mixture *m) {
    double most = -INFINITY, sum = 0.0;
    for (int i = 0; i < m->count; i++) most = fmax(most, m->item[i].log_prior + m->item[i].log_likelihood);
    if (!isfinite(most)) return false;
    for (int i = 0; i < m->count; i++)
        sum += m->item[i].weight = exp(m->item[i].log_prior + m->item[i].log_likelihood - most);
    for (int i = 0; i < m->count; i++) m->item[i].weight /= sum;
    m->log_evidence = most + log(sum);
    return true;
}

/* A component that cannot be is left out. */
static void drop_impossible(iol_mixture *m) {
    int kept = 0;
    for (int i = 0; i < m->count; i++)
        if (isfinite(m->item[i].log_likelihood)) m->item[kept++] = m->item[i];
    m->count = kept;
}

void iol_mixture_weigh(const iol_eye *eye, iol_mixture *m) {
    if (m->status < 0) return;
    bool depth = !isnan(eye->lens_depth_mm);
    for (int i = 0; i < m->count && depth; i++)
        see_depth(eye->lens_depth_mm + eye->depth_offset_mm, eye->sd_depth_mm, &m->item[i]);
    m->tested = eye->now.usable && !isnan(eye->old.power_d);
    for (int i = 0; i < m->count && m->tested; i++)
        if (!see_refraction(eye, &m->item[i])) m->item[i].log_likelihood = -INFINITY;
    drop_impossible(m);
    if (!iol_mixture_normalise(m)) m->status = IOL_NO_CONVERGENCE;
}

void iol_mixture_make(const iol_eye *eye, iol_formula formula, iol_mixture *out) {
    iol_gross_priors priors;
    iol_gross_priors_make(eye, &priors);
    iol_components_make(eye, formula, &priors, out);
    iol_mixture_weigh(eye, out);
}

double iol_mixture_probability(const iol_mixture *m, int kind) {
    double sum = 0.0;
    for (int i = 0; i < m->count; i++)
        if (m->item[i].kind == kind) sum += m->item[i].weight;
    return sum;
}

double iol_mixture_of_suspect(const iol_mixture *m, iol_suspect_id id) {
    if (!m || m->status < 0 || !m->tested) return NAN;
    for (int i = 0; i < IOL_GROSS_CAUSE_COUNT; i++)
        if (iol_gross_rows[i].suspect == id) return iol_mixture_probability(m, IOL_MIX_GROSS + i);
    return NAN;
}

/* A length taken by contact is on record: no question. */
double iol_mixture_gross(const iol_eye *eye, const iol_mixture *m) {
    iol_gross_priors priors;
    iol_gross_priors_make(eye, &priors);
    double sum = 1.0 - iol_mixture_ordinary(m) - iol_mixture_probability(m, IOL_MIX(contact));
    for (int i = 0; i < IOL_GROSS_CAUSE_COUNT; i++)
        if (priors.confirmed[i]) sum -= iol_mixture_probability(m, IOL_MIX_GROSS + i);
    return fmax(0.0, sum);
}

double iol_mixture_ordinary(const iol_mixture *m) {
    double sum = 0.0;
    for (int i = 0; i < m->count; i++)
        if (m->item[i].kind < IOL_MIX_ORDINARY) sum += m->item[i].weight;
    return sum;
}

const iol_component *iol_mixture_leader(const iol_mixture *m) {
    const iol_component *leader = NULL;
    for (int i = 0; i < m->count; i++)
        if (!leader || m->item[i].weight > leader->weight) leader = &m->item[i];
    return leader;
}

void iol_mixture_estimate(const iol_eye *eye, const iol_estimate *joint, const iol_component *c, iol_estimate *out) {
    *out = *joint;
    out->mixture = NULL;
    out->leading = NULL;
    out->posterior = (iol_model){c->mean[IOL_K], c->mean[IOL_L], c->mean[IOL_E]};
    out->posterior_p0_d = c->mean[IOL_P];
    for (int i = 0; i < IOL_STATES; i++)
        for (int k = 0; k < IOL_STATES; k++) out->covariance[i][k] = c->covariance[i][k];
    if (!isnan(out->posterior_p0_d))
        iol_refraction_of(out->posterior, out->posterior_p0_d, eye->vertex_mm, &out->believed_d);
}
