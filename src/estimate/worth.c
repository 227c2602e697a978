/* Values of looks and measurements: Gauss-Hermite sums over what each cause foretells. */
#include "worth.h"

#include "tables/constants.h"

/* Points and weights of the sum over a normal distribution: seven, alike on both sides. */
enum { POINTS = 7 };
static const double point[POINTS] = {-c_hermite_point_3, -c_hermite_point_2, -c_hermite_point_1, 0.0,
                                     c_hermite_point_1,  c_hermite_point_2,  c_hermite_point_3};
static const double point_weight[POINTS] = {c_hermite_weight_3, c_hermite_weight_2, c_hermite_weight_1,
                                            c_hermite_weight_0, c_hermite_weight_1, c_hermite_weight_2,
                                            c_hermite_weight_3};

static double square(double x) { return x * x; }

/* Chance of the best step for these causes. Those that weigh nothing are left out: a few thousand chances are asked for. */
static double best(const iol_question *q, const iol_mixture *causes) {
    iol_mixture live;
    iol_prospect prospect;
    iol_outlook at;
    double sum = 0.0;
    live.status = causes->status;
    live.count = 0;
    for (int i = 0; i < causes->count; i++) {
        if (!(causes->item[i].weight > c_worth_least)) continue;
        live.item[live.count++] = causes->item[i];
        sum += causes->item[i].weight;
    }
    for (int i = 0; i < live.count; i++) live.item[i].weight /= sum;
    iol_prospect_exchange(q->eye, &live, q->change_mm, q->sd_change_mm, &prospect);
    iol_prospect_choose(&prospect, &q->shelf, q->target_d, &at);
    return at.within_half;
}

double iol_worth_now(const iol_question *q) { return best(q, q->causes); }

/* ---- looks ---- */

static iol_look look_of(const iol_component *c) {
    return c->kind < IOL_MIX_GROSS ? IOL_LOOK_none : iol_gross_rows[c->kind - IOL_MIX_GROSS].look;
}

/* Chance when one cause alone is left. */
static double when_found(const iol_question *q, int kind) {
    iol_mixture alone = *q->causes;
    for (int i = 0; i < alone.count; i++)
        if (alone.item[i].kind != kind) alone.item[i].weight = 0.0;
    return best(q, &alone);
}

double iol_worth_of_look(const iol_question *q, iol_look look, iol_suspect_id *settled) {
    double factor = iol_gross_look(q->eye, look), found = 0.0, chance = 0.0, most = 0.0, sum = 0.0;
    iol_mixture rest = *q->causes;
    if (isnan(factor) || !(factor < 1.0)) return NAN;
    for (int i = 0; i < IOL_GROSS_CAUSE_COUNT; i++) {
        double share = iol_mixture_probability(q->causes, IOL_MIX_GROSS + i);
        if (iol_gross_rows[i].look != look) continue;
        if (share > most) most = share, *settled = iol_gross_rows[i].suspect;
        if (share < c_worth_cause) continue;
        found += share * (1.0 - factor);
        chance += share * (1.0 - factor) * when_found(q, IOL_MIX_GROSS + i);
    }
    if (!(most > 0.0)) return NAN;
    for (int i = 0; i < rest.count; i++) {
        if (look_of(&rest.item[i]) == look) rest.item[i].weight *= factor;
        sum += rest.item[i].weight;
    }
    for (int i = 0; i < rest.count; i++) rest.item[i].weight /= sum;
    return chance + (1.0 - found) * best(q, &rest);
}

/* ---- measurements ---- */

/* What is measured, as one component foretells it: mean, variance, and its covariance with the eye. */
typedef struct {
    double mean, variance, with[IOL_STATES];
} foretold;

static int state_of(iol_measure measure) {
    return measure == IOL_MEASURE_axial_length ? IOL_L : measure == IOL_MEASURE_keratometry ? IOL_K : IOL_E;
}

static double noise(const iol_question *q, iol_measure measure) {
    static const double sd[IOL_MEASURE_COUNT] = {
#define MEASUREMENT(id, code, sd, words) sd,
#include "measurements.def"
#undef MEASUREMENT
    };
    return measure == IOL_MEASURE_lens_depth ? q->eye->sd_depth_mm : iol_eye_factor(q->eye) * sd[measure];
}

/* A second reading: part of a reading's error is shared by every reading of this eye. */
static void foretell_reading(const iol_question *q, const iol_component *c, foretold *f) {
    double sd2 = square(c->sd_reading_d), own = fmax(0.0, sd2 - c_reading_shared_d2);
    double scale = c->updated ? own / sd2 : 0.0;
    f->mean = q->eye->now.spectacle_d - own * c->left_d / c->variance_d;
    f->variance = own * (1.0 - own / c->variance_d) + c_reading_own_d2;
    for (int i = 0; i < IOL_STATES; i++) {
        f->with[i] = 0.0;
        for (int k = 0; k < IOL_STATES; k++) f->with[i] += scale * c->covariance[i][k] * c->slope[k];
    }
}

static void foretell(const iol_question *q, iol_measure measure, const iol_component *c, foretold *f) {
    if (measure == IOL_MEASURE_refraction) {
        foretell_reading(q, c, f);
        return;
    }
    int state = state_of(measure);
    f->mean = c->mean[state];
    f->variance = c->covariance[state][state] + square(noise(q, measure));
    for (int i = 0; i < IOL_STATES; i++) f->with[i] = c->covariance[i][state];
}

void iol_worth_foretell(const iol_question *q, iol_measure measure, const iol_component *c, double *mean, double *sd) {
    foretold f;
    foretell(q, measure, c, &f);
    *mean = f.mean, *sd = sqrt(f.variance);
}

/* The causes after a value was found. */
static void see(const foretold f[IOL_MIX_MOST], const iol_mixture *before, double found, iol_mixture *after) {
    after->status = before->status;
    after->count = before->count;
    for (int i = 0; i < before->count; i++) {
        iol_component *c = &after->item[i];
        double left = found - f[i].mean, variance = f[i].variance;
        *c = before->item[i];
        c->log_prior = c->weight > 0.0 ? log(c->weight) : -INFINITY;
        c->log_likelihood = iol_log_normal(left, variance);
        for (int a = 0; a < IOL_STATES; a++) {
            c->mean[a] += f[i].with[a] * left / variance;
            for (int b = 0; b < IOL_STATES; b++) c->covariance[a][b] -= f[i].with[a] * f[i].with[b] / variance;
        }
    }
    if (!iol_mixture_normalise(after)) after->status = IOL_NO_SOLUTION;
}

void iol_worth_see(const iol_question *q, iol_measure measure, double found, iol_mixture *after) {
    foretold f[IOL_MIX_MOST];
    for (int i = 0; i < q->causes->count; i++) foretell(q, measure, &q->causes->item[i], &f[i]);
    see(f, q->causes, found, after);
}

/* A depth is measured once; the others again and again. */
static bool may_measure(const iol_question *q, iol_measure measure) {
    bool taken = measure == IOL_MEASURE_lens_depth && !isnan(q->eye->lens_depth_mm);
    return q->causes->tested && !taken;
}

double iol_worth_of_measurement(const iol_question *q, iol_measure measure, double *sd) {
    iol_mixture live, after;
    foretold f[IOL_MIX_MOST];
    double chance = 0.0, weight = 0.0, sum = 0.0;
    *sd = measure == IOL_MEASURE_refraction ? sqrt(c_reading_shared_d2 + c_reading_own_d2) : noise(q, measure);
    if (!may_measure(q, measure)) return NAN;
    live.status = q->causes->status;
    live.count = 0;
    for (int i = 0; i < q->causes->count; i++)
        if (q->causes->item[i].weight > c_worth_least && q->causes->item[i].updated) {
            sum += q->causes->item[i].weight;
            live.item[live.count++] = q->causes->item[i];
        }
    for (int i = 0; i < live.count; i++) {
        live.item[i].weight /= sum;
        foretell(q, measure, &live.item[i], &f[i]);
    }
    for (int i = 0; i < live.count; i++) {
        double share = live.item[i].weight;
        if (!(share > c_worth_branch)) continue;
        weight += share;
        for (int k = 0; k < POINTS; k++) {
            see(f, &live, f[i].mean + point[k] * sqrt(f[i].variance), &after);
            if (after.status >= 0) chance += share * point_weight[k] * best(q, &after);
        }
    }
    return chance / weight;
}
