/* Mixtures of refractions with a new lens. */
#include "prospect.h"

#include "tables/constants.h"

static double square(double x) { return x * x; }

double iol_outcome_sd(const iol_eye *eye) {
    double own = eye->site->spread.refraction_d;
    return iol_eye_factor(eye) * (isnan(own) ? sd_refraction_manifest_d : own);
}

static void start(const iol_eye *eye, double sd_mm, iol_prospect *out) {
    out->status = IOL_BAD_INPUT;
    out->eye = eye;
    out->sd_change_mm = sd_mm;
    out->sd_outcome_d = iol_outcome_sd(eye);
    out->count = 0;
}

void iol_prospect_exchange(const iol_eye *eye, const iol_mixture *m, double change_mm, double sd_mm,
                           iol_prospect *out) {
    static const int state[3] = {IOL_L, IOL_K, IOL_E};
    start(eye, sd_mm, out);
    if (m->status < 0 || isnan(change_mm)) return;
    for (int i = 0; i < m->count; i++) {
        const iol_component *c = &m->item[i];
        iol_prospect_part *v = &out->view[out->count++];
        v->weight = c->weight;
        v->kind = c->kind;
        v->model = (iol_model){c->mean[IOL_K], c->mean[IOL_L], c->mean[IOL_E] - c->back_mm + change_mm};
        for (int a = 0; a < 3; a++)
            for (int b = 0; b < 3; b++) v->covariance[a][b] = c->covariance[state[a]][state[b]];
        v->start_sd_d = NAN;
    }
    out->status = m->status;
}

/* The refraction that a component believes in today, and its spread. */
static double believed(const iol_eye *eye, const iol_component *c, double *sd_d) {
    iol_gradient h;
    double r, variance = 0.0;
    const iol_model model = {c->mean[IOL_K], c->mean[IOL_L], c->mean[IOL_E]};
    if (iol_refraction_with_gradient(model, c->mean[IOL_P], eye->vertex_mm, &r, &h) < 0) return NAN;
    const double g[IOL_STATES] = {[IOL_L] = h.length, [IOL_K] = h.cornea, [IOL_E] = h.position, [IOL_P] = h.power};
    for (int i = 0; i < IOL_STATES; i++)
        for (int k = 0; k < IOL_STATES; k++) variance += g[i] * c->covariance[i][k] * g[k];
    *sd_d = sqrt(fmax(0.0, variance));
    return r;
}

void iol_prospect_second(const iol_eye *eye, const iol_mixture *m, double by_mm, double sd_mm, iol_prospect *out) {
    start(eye, sd_mm, out);
    if (m->status < 0 || !m->tested) return;
    for (int i = 0; i < m->count; i++) {
        const iol_component *c = &m->item[i];
        iol_prospect_part *v = &out->view[out->count];
        *v = (iol_prospect_part){.weight = c->weight, .kind = c->kind};
        double now_d = believed(eye, c, &v->start_sd_d);
        v->model = (iol_model){c->mean[IOL_K], NAN, c->mean[IOL_E] + by_mm};
        if (!isnan(now_d) && iol_length_for(v->model, 0.0, now_d, eye->vertex_mm, &v->model.length_mm) >= 0)
            out->count++;
    }
    if (out->count > 0) out->status = IOL_OK;
}

void iol_prospect_of_one(const iol_eye *eye, const iol_model *model, double covariance[3][3], double start_sd_d,
                         double sd_mm, iol_prospect *out) {
    start(eye, sd_mm, out);
    iol_prospect_part *v = &out->view[out->count++];
    *v = (iol_prospect_part){.weight = 1.0, .kind = IOL_MIX_measured, .model = *model, .start_sd_d = start_sd_d};
    for (int a = 0; a < 3; a++)
        for (int b = 0; b < 3; b++) v->covariance[a][b] = covariance[a][b];
    out->status = IOL_OK;
}

void iol_prospect_without(const iol_prospect *from, int kind, iol_prospect *out) {
    double sum = 0.0;
    start(from->eye, from->sd_change_mm, out);
    for (int i = 0; i < from->count; i++) {
        if (from->view[i].kind == kind) continue;
        out->view[out->count++] = from->view[i];
        sum += from->view[i].weight;
    }
    for (int i = 0; i < out->count; i++) out->view[i].weight /= sum;
    if (from->status >= 0 && sum > 0.0) out->status = from->status;
}

/* Share of a normal distribution below a limit. */
static double below(double limit, double mean, double sd) { return 0.5 * erfc((mean - limit) / (sd * sqrt(2.0))); }

/* Refraction, its variance and its gradient with a lens under one component. */
static bool look(const iol_prospect *p, const iol_prospect_part *v, double power_d, double *mean_d, double *variance,
                 double *by_power) {
    iol_gradient h;
    if (iol_refraction_with_gradient(v->model, power_d, p->eye->vertex_mm, mean_d, &h) < 0) return false;
    const double g[3] = {h.length, h.cornea, h.position};
    double own = isnan(v->start_sd_d) ? 0.0 : square(v->start_sd_d);
    for (int a = 0; a < 3 && isnan(v->start_sd_d); a++)
        for (int b = 0; b < 3; b++) own += g[a] * v->covariance[a][b] * g[b];
    *variance = own + square(iol_eye_label_sd(p->eye, power_d) * h.power) + square(p->sd_change_mm * h.position) +
                square(p->sd_outcome_d);
    *by_power = h.power;
    return true;
}

void iol_outlook_make(const iol_prospect *p, double power_d, double target_d, iol_outlook *out) {
    double mean = 0.0, squares = 0.0, half = 0.0, one = 0.0, far = 0.0, weight = 0.0;
    *out = (iol_outlook){NAN, NAN, NAN, NAN, NAN};
    if (p->status < 0) return;
    for (int i = 0; i < p->count; i++) {
        double w = p->view[i].weight, m, variance, unused;
        if (!(w > 0.0)) continue;
        if (!look(p, &p->view[i], power_d, &m, &variance, &unused))
            continue; /* it leaves no refraction at all: no chance */
        double sd = sqrt(variance);
        weight += w, mean += w * m, squares += w * (variance + m * m);
        half += w * (below(target_d + c_band_half_d, m, sd) - below(target_d - c_band_half_d, m, sd));
        one += w * (below(target_d + c_band_one_d, m, sd) - below(target_d - c_band_one_d, m, sd));
        far += w * (1.0 - below(target_d + c_band_one_d, m, sd));
    }
    if (!(weight > 0.5)) return;
    mean /= weight;
    *out = (iol_outlook){mean, sqrt(fmax(0.0, squares / weight - mean * mean)), half, one, far};
}

double iol_prospect_power(const iol_prospect *p, double target_d) {
    enum { MOST_ROUNDS = 20 };
    double power = 0.0, weight = 0.0, step = INFINITY;
    if (p->status < 0) return NAN;
    for (int i = 0; i < p->count; i++) {
        double alone;
        if (iol_power_for(p->view[i].model, target_d, p->eye->vertex_mm, &alone) < 0) continue;
        power += p->view[i].weight * alone, weight += p->view[i].weight;
    }
    if (!(weight > 0.5)) return NAN;
    power /= weight;
    for (int round = 0; !(fabs(step) < c_update_settled); round++) {
        double mean = 0.0, slope = 0.0, seen = 0.0;
        for (int i = 0; i < p->count; i++) {
            double m, variance, by_power, w = p->view[i].weight;
            if (!(w > 0.0) || !look(p, &p->view[i], power, &m, &variance, &by_power)) continue;
            mean += w * m, slope += w * by_power, seen += w;
        }
        if (!(seen > 0.5) || round == MOST_ROUNDS) return NAN;
        step = (mean / seen - target_d) / (slope / seen);
        power -= step;
    }
    return power;
}

double iol_prospect_choose(const iol_prospect *p, const iol_steps *shelf, double target_d, iol_outlook *out) {
    double exact = iol_prospect_power(p, target_d), best = NAN, greatest = 0.0;
    *out = (iol_outlook){NAN, NAN, NAN, NAN, NAN};
    if (isnan(exact)) return NAN;
    int last = (int)floor((shelf->last_d - shelf->first_d) / shelf->step_d + 1e-6);
    double low = ceil((exact - c_choice_reach_d - shelf->first_d) / shelf->step_d - 1e-9),
           high = floor((exact + c_choice_reach_d - shelf->first_d) / shelf->step_d + 1e-9);
    int from = low < 0.0 ? 0 : low > last ? last : (int)low, to = high < 0.0 ? 0 : high > last ? last : (int)high;
    for (int pass = 0; pass < 2; pass++)
        for (int k = from; k <= to; k++) {
            iol_outlook at;
            double power = shelf->first_d + k * shelf->step_d;
            iol_outlook_make(p, power, target_d, &at);
            if (isnan(at.mean_d)) continue;
            if (pass == 0) {
                greatest = fmax(greatest, at.within_half);
                continue;
            }
            double away = fabs(at.mean_d - target_d), best_away = fabs(out->mean_d - target_d);
            bool good = at.within_half >= greatest - c_choice_tie;
            bool nearer = isnan(best) || away < best_away || (away == best_away && at.mean_d < out->mean_d);
            if (good && nearer) best = power, *out = at;
        }
    return best;
}
