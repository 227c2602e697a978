/* Mixtures of refractions with a new lens. */
#include "prospect.h"

#include <inttypes.h>

#include "optics/vergence.h"
#include "tables/constants.h"
#include "tables/tables.h"
#include "text/number.h"

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

/* The next lane. */
static int put(iol_prospect *out, double weight, int kind, iol_model model, double start_sd_d) {
    int i = out->count++;
    out->weight[i] = weight, out->kind[i] = kind, out->start_sd_d[i] = start_sd_d;
    out->length_mm[i] = model.length_mm, out->cornea_d[i] = model.cornea_d, out->position_mm[i] = model.position_mm;
    for (int a = 0; a < 3; a++)
        for (int b = 0; b < 3; b++) out->covariance[a][b][i] = 0.0;
    return i;
}

static iol_model model_of(const iol_prospect *p, int i) {
    return (iol_model){p->cornea_d[i], p->length_mm[i], p->position_mm[i]};
}

void iol_prospect_exchange(const iol_eye *eye, const iol_mixture *m, double change_mm, double sd_mm,
                           iol_prospect *out) {
    static const int state[3] = {IOL_L, IOL_K, IOL_E};
    start(eye, sd_mm, out);
    if (m->status < 0 || isnan(change_mm)) return;
    for (int k = 0; k < m->count; k++) {
        const iol_component *c = &m->item[k];
        iol_model model = {c->mean[IOL_K], c->mean[IOL_L], c->mean[IOL_E] - c->back_mm + change_mm};
        int i = put(out, c->weight, c->kind, model, NAN);
        for (int a = 0; a < 3; a++)
            for (int b = 0; b < 3; b++) out->covariance[a][b][i] = c->covariance[state[a]][state[b]];
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
        double sd_d, now_d = believed(eye, c, &sd_d);
        iol_model model = {c->mean[IOL_K], NAN, c->mean[IOL_E] + by_mm};
        if (!isnan(now_d) && iol_length_for(model, 0.0, now_d, eye->vertex_mm, &model.length_mm) >= 0)
            put(out, c->weight, c->kind, model, sd_d);
    }
    if (out->count > 0) out->status = IOL_OK;
}

void iol_prospect_of_one(const iol_eye *eye, const iol_model *model, double covariance[3][3], double start_sd_d,
                         double sd_mm, iol_prospect *out) {
    start(eye, sd_mm, out);
    int i = put(out, 1.0, IOL_MIX_measured, *model, start_sd_d);
    for (int a = 0; a < 3; a++)
        for (int b = 0; b < 3; b++) out->covariance[a][b][i] = covariance[a][b];
    out->status = IOL_OK;
}

void iol_prospect_without(const iol_prospect *from, int kind, iol_prospect *out) {
    double sum = 0.0;
    start(from->eye, from->sd_change_mm, out);
    out->sd_outcome_d = from->sd_outcome_d;
    for (int i = 0; i < from->count; i++) {
        if (from->kind[i] == kind) continue;
        int to = put(out, from->weight[i], from->kind[i], model_of(from, i), from->start_sd_d[i]);
        for (int a = 0; a < 3; a++)
            for (int b = 0; b < 3; b++) out->covariance[a][b][to] = from->covariance[a][b][i];
        sum += from->weight[i];
    }
    for (int i = 0; i < out->count; i++) out->weight[i] /= sum;
    if (from->status >= 0 && sum > 0.0) out->status = from->status;
}

/* Share of a normal distribution below a limit. */
static double below(double limit, double mean, double sd) { return 0.5 * erfc((mean - limit) / (sd * sqrt(2.0))); }

/* What every component has with a lens: the refraction (NaN: none), its variance, and how it follows the power. */
typedef struct {
    double power_d, mean[IOL_MIX_MOST], variance[IOL_MIX_MOST], by_power[IOL_MIX_MOST], h[3][IOL_MIX_MOST];
} views;

static void look(const iol_prospect *restrict p, double power_d, views *restrict v) {
    double vertex_mm = p->eye->vertex_mm;
    v->power_d = power_d;
    for (int i = 0; i < p->count; i++) {
        double length = p->length_mm[i], position = p->position_mm[i];
        iol_way_back w = iol_go_back((iol_model){p->cornea_d[i], length, position}, power_d, vertex_mm);
        iol_gradient h = iol_gradient_back(w);
        bool good = (position >= 0.0) & (length > position) & (w.b > 0.0) & (w.d > 0.0);
        v->mean[i] = good ? w.c / w.d : NAN;
        v->h[0][i] = h.length, v->h[1][i] = h.cornea, v->h[2][i] = h.position, v->by_power[i] = h.power;
    }
}

static void spread(const iol_prospect *restrict p, views *restrict v) {
    double label2 = square(iol_eye_label_sd(p->eye, v->power_d)), change2 = square(p->sd_change_mm),
           outcome2 = square(p->sd_outcome_d);
    for (int i = 0; i < p->count; i++) {
        double eye = 0.0;
        for (int a = 0; a < 3; a++)
            for (int b = 0; b < 3; b++) eye += v->h[a][i] * p->covariance[a][b][i] * v->h[b][i];
        double own = isnan(p->start_sd_d[i]) ? eye : square(p->start_sd_d[i]);
        v->variance[i] = own + label2 * square(v->by_power[i]) + change2 * square(v->h[2][i]) + outcome2;
    }
}

/* One that leaves no refraction at all has no chance. */
static bool counts(const iol_prospect *p, const views *v, int i) { return p->weight[i] > 0.0 && isfinite(v->mean[i]); }

static const iol_outlook no_outlook = {NAN, NAN, NAN, NAN, NAN};

/* Mean and spread over the components; false when most of their weight has none. */
static bool sum_up(const iol_prospect *p, views *v, iol_outlook *out) {
    double mean = 0.0, squares = 0.0, weight = 0.0;
    spread(p, v);
    for (int i = 0; i < p->count; i++) {
        double w = p->weight[i], m = v->mean[i];
        if (counts(p, v, i)) weight += w, mean += w * m, squares += w * (v->variance[i] + m * m);
    }
    if (!(weight > 0.5)) return false;
    mean /= weight;
    out->mean_d = mean, out->sd_d = sqrt(fmax(0.0, squares / weight - mean * mean));
    return true;
}

/* Chance within a band about the target, and above it. */
static double chance(const iol_prospect *p, const views *v, double target_d, double band_d, double *above) {
    double within = 0.0;
    *above = 0.0;
    for (int i = 0; i < p->count; i++) {
        if (!counts(p, v, i)) continue;
        double w = p->weight[i], m = v->mean[i], sd = sqrt(v->variance[i]), high = below(target_d + band_d, m, sd);
        within += w * (high - below(target_d - band_d, m, sd));
        *above += w * (1.0 - high);
    }
    return within;
}

void iol_outlook_spread(const iol_prospect *p, double power_d, bool chance_too, iol_outlook *out) {
    views v;
    double unused;
    *out = no_outlook;
    if (p->status < 0 || !isfinite(power_d)) return;
    look(p, power_d, &v);
    if (sum_up(p, &v, out) && chance_too) out->within_half = chance(p, &v, out->mean_d, c_band_half_d, &unused);
}

void iol_outlook_make(const iol_prospect *p, double power_d, double target_d, iol_outlook *out) {
    views v;
    double unused;
    *out = no_outlook;
    if (p->status < 0 || !isfinite(power_d)) return;
    look(p, power_d, &v);
    if (!sum_up(p, &v, out)) return;
    out->within_half = chance(p, &v, target_d, c_band_half_d, &unused);
    out->within_one = chance(p, &v, target_d, c_band_one_d, &out->hyperopic_over_one);
}

/* The powers that each component would need, weighed: where the search starts. NaN where most of the weight has none. */
static double first_power(const iol_prospect *restrict p, double target_d) {
    double alone[IOL_MIX_MOST], power = 0.0, weight = 0.0;
    double below_d = 1.0 - iol_metres(p->eye->vertex_mm) * target_d;
    for (int i = 0; i < p->count; i++) {
        double above = target_d + p->cornea_d[i] * below_d, position = p->position_mm[i];
        double reached = below_d - iol_reduced_in_eye(position) * above, gap_mm = p->length_mm[i] - position;
        double found = 1.0 / iol_reduced_in_eye(gap_mm) - above / reached;
        bool good = (gap_mm > 0.0) & (position >= 0.0) & (below_d > 0.0) & (reached > 0.0);
        alone[i] = good ? found : NAN;
    }
    for (int i = 0; i < p->count; i++)
        if (isfinite(alone[i])) power += p->weight[i] * alone[i], weight += p->weight[i];
    return weight > 0.5 ? power / weight : NAN;
}

/* Mean over the components with a power, and how it follows the power; false when most of their weight has none. */
static bool mean_at(const iol_prospect *restrict p, double power_d, double *mean_d, double *slope) {
    double sum = 0.0, slopes = 0.0, seen = 0.0;
    for (int i = 0; i < p->count; i++) {
        double position = p->position_mm[i], gap_mm = p->length_mm[i] - position;
        iol_way_back w = iol_go_back(model_of(p, i), power_d, p->eye->vertex_mm);
        bool good = (position >= 0.0) & (gap_mm > 0.0) & (w.b > 0.0) & (w.d > 0.0);
        double by_d = 1.0 / w.d, weight = good ? p->weight[i] : 0.0;
        sum += good ? weight * w.c * by_d : 0.0;
        slopes -= good ? weight * square(w.gap_m * by_d) : 0.0;
        seen += weight;
    }
    *mean_d = sum / seen, *slope = slopes / seen;
    return seen > 0.5 && isfinite(*mean_d);
}

double iol_prospect_power(const iol_prospect *p, double target_d) {
    enum { MOST_ROUNDS = 20 };
    double step = INFINITY, mean, slope;
    if (p->status < 0) return NAN;
    double power = first_power(p, target_d);
    for (int round = 0; !(fabs(step) < c_update_settled); round++) {
        if (!mean_at(p, power, &mean, &slope) || round == MOST_ROUNDS) return NAN;
        step = (mean - target_d) / slope;
        power -= step;
    }
    return power;
}

int64_t iol_step_miss(double mean_d, double target_d) {
    int decimals = iol_units[IOL_UNIT_d].json_decimals;
    return iol_count(mean_d, decimals) - iol_count(target_d, decimals);
}

bool iol_step_nearer(double mean_d, double other_d, double target_d) {
    if (isnan(other_d)) return true;
    int64_t miss = iol_step_miss(mean_d, target_d), other = iol_step_miss(other_d, target_d);
    return imaxabs(miss) < imaxabs(other) || (imaxabs(miss) == imaxabs(other) && miss < other);
}

static int64_t printed_chance(double share) { return iol_count(share, iol_units[IOL_UNIT_share].json_decimals); }

bool iol_step_among_best(double within_half, double greatest) {
    return printed_chance(within_half) >= printed_chance(greatest) - printed_chance(c_choice_tie);
}

/* Steps of a shelf: from, how many. */
enum { STEPS_MOST = 256 };
static int reach(const iol_steps *shelf, double exact_d, int *count) {
    int last = (int)floor((shelf->last_d - shelf->first_d) / shelf->step_d + 1e-6);
    double low = ceil((exact_d - c_choice_reach_d - shelf->first_d) / shelf->step_d - 1e-9),
           high = floor((exact_d + c_choice_reach_d - shelf->first_d) / shelf->step_d + 1e-9);
    int from = low < 0.0 ? 0 : low > last ? last : (int)low, to = high < 0.0 ? 0 : high > last ? last : (int)high;
    *count = to - from + 1 > STEPS_MOST ? STEPS_MOST : to - from + 1;
    return from;
}

double iol_prospect_choose(const iol_prospect *p, const iol_steps *shelf, double target_d, iol_outlook *out) {
    double exact = iol_prospect_power(p, target_d), best = NAN, greatest = 0.0, mean = NAN, unused;
    iol_outlook at[STEPS_MOST];
    int count, from;
    *out = no_outlook;
    if (isnan(exact)) return NAN;
    from = reach(shelf, exact, &count);
    for (int k = 0; k < count; k++) {
        views v;
        at[k] = no_outlook;
        look(p, shelf->first_d + (from + k) * shelf->step_d, &v);
        if (!sum_up(p, &v, &at[k])) continue;
        at[k].within_half = chance(p, &v, target_d, c_band_half_d, &unused);
        greatest = fmax(greatest, at[k].within_half);
    }
    for (int k = 0; k < count; k++) {
        if (isnan(at[k].mean_d) || !iol_step_among_best(at[k].within_half, greatest)) continue;
        if (!iol_step_nearer(at[k].mean_d, mean, target_d)) continue;
        best = shelf->first_d + (from + k) * shelf->step_d, mean = at[k].mean_d;
    }
    if (!isnan(best)) iol_outlook_make(p, best, target_d, out);
    return best;
}
