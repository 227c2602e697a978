/* Depth, refraction and weights of the mixture. */
#include "mixture.h"

#include "tables/constants.h"
#include "update.h"

double iol_log_normal(double x, double variance) { return -0.5 * (c_ln_two_pi + log(variance) + x * x / variance); }

static double square(double x) { return x * x; }

/* ---- one observation a.x of a component ---- */

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
    for (int i = 0; i < m->count; i++) {
        if (!isfinite(m->item[i].log_likelihood)) continue;
        if (kept < i) m->item[kept] = m->item[i];
        kept++;
    }
    m->count = kept;
}

void iol_mixture_weigh(const iol_eye *eye, iol_mixture *m) {
    if (m->status < 0) return;
    bool depth = !isnan(eye->lens_depth_mm);
    for (int i = 0; i < m->count && depth; i++)
        see_depth(eye->lens_depth_mm + eye->depth_offset_mm, eye->sd_depth_mm, &m->item[i]);
    m->tested = eye->now.usable && !isnan(eye->old.power_d);
    if (m->tested) iol_components_see(eye, m->item, m->count);
    drop_impossible(m);
    if (!iol_mixture_normalise(m)) m->status = IOL_NO_CONVERGENCE;
}

void iol_mixture_make(const iol_eye *eye, iol_formula formula, iol_mixture *out) {
    iol_gross_priors_make(eye, &out->priors);
    iol_components_make(eye, formula, out);
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

void iol_mixture_shares(const iol_mixture *m, double share[IOL_MIX_KINDS]) {
    for (int i = 0; i < IOL_MIX_KINDS; i++) share[i] = 0.0;
    for (int i = 0; i < m->count; i++) share[m->item[i].kind] += m->item[i].weight;
}

/* A length taken by contact is on record: no question. */
double iol_mixture_gross(const iol_mixture *m) {
    double share[IOL_MIX_KINDS], sum = 1.0 - iol_mixture_ordinary(m);
    iol_mixture_shares(m, share);
    sum -= share[IOL_MIX(contact)];
    for (int i = 0; i < IOL_GROSS_CAUSE_COUNT; i++)
        if (m->priors.confirmed[i]) sum -= share[IOL_MIX_GROSS + i];
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
