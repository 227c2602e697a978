/* The refraction-only mixture (method, section 6). */
#include "mixture.h"
#include "tables/constants.h"

enum { MOST_ROUNDS = 50 };

/* The eye in which figures are tried, its old lens with a constant. */
typedef struct {
    iol_eye at;
    iol_formula formula;
    bool guessed[2]; /* length, keratometry: from the population, so that E follows it */
} trial_eye;

/* What is known of length and cornea before any refraction, as the instruments read them. The measured length stays out, so that
 * this is a second route; only one that no population has is taken. */
typedef struct {
    double mean[2], covariance[2][2]; /* length, keratometry */
} prior;

static double square(double x) { return x * x; }

static void set_figures(trial_eye *t, const double x[2]) {
    t->at.axial_length_mm = x[0];
    t->at.radius_mm = 1000.0 * (c_keratometric_index - 1.0) / x[1];
}

/* A lens whose constants do not hold for its place stands as the first lens of the shelf that has one for the place. */
static void stand_as_shelf(const iol_eye *eye, iol_lens_in_eye *lens) {
    for (int i = 0; i < eye->site->lenses_count && isnan(lens->shift_mm); i++) {
        const iol_shelf_lens *shelf = &eye->site->lenses[i];
        if (shelf->constants.for_position != lens->position || isnan(shelf->constants.a_constant)) continue;
        iol_lens_in_eye held;
        iol_eye_shelf_lens(eye, shelf, lens->position, &held);
        lens->given = held.given, lens->constants = held.constants, lens->shift_mm = held.shift_mm;
    }
}

/* A lens without a constant that holds for its place takes the usual one. */
static void complete(const iol_eye *eye, iol_lens_in_eye *lens) {
    const double a = c_a_constant_assumed;
    stand_as_shelf(eye, lens);
    if (iol_eye_has_constants(lens) && !isnan(lens->shift_mm)) return;
    lens->constants = (iol_lens_constants){a, iol_surgeon_factor_from_a(a), iol_pacd_from_a(a), NAN, NAN, NAN};
    if (isnan(lens->shift_mm)) lens->shift_mm = 0.0;
}

static bool begin(const iol_eye *eye, trial_eye *t, prior *p) {
    const double known[2] = {eye->axial_length_mm, eye->k_d}, sd[2] = {eye->sd_length_mm, eye->sd_k_d};
    const double usual[2] = {c_person_length_mm, c_person_k_d}, usual_sd[2] = {c_person_length_sd_mm, c_person_k_sd_d};
    int reason;
    bool usual_length = iol_between(eye->axial_length_mm, c_formula_length_low, c_formula_length_high) != IOL_NO;
    *t = (trial_eye){.at = *eye};
    *p = (prior){.mean = {NAN}};
    for (int i = 0; i < 2; i++) {
        t->guessed[i] = isnan(known[i]) || (i == 0 && usual_length);
        p->mean[i] = t->guessed[i] ? usual[i] : known[i];
        p->covariance[i][i] = square(t->guessed[i] ? usual_sd[i] : sd[i]);
    }
    complete(eye, &t->at.old);
    set_figures(t, p->mean);
    int formula = iol_eye_reference(&t->at, &t->at.old, &reason);
    t->formula = (iol_formula)formula;
    return formula >= 0;
}

/* What the formula makes of figures, with the lens on its label: the model, the refraction (NaN: none), and how E and the
 * refraction follow length and cornea. */
typedef struct {
    iol_status status;
    iol_model model;
    double refraction_d, slope[2], position_slope[2];
} outlook;

static iol_status predict(trial_eye *t, const double x[2], iol_model *model) {
    set_figures(t, x);
    return iol_eye_predict(&t->at, t->formula, &t->at.old, model);
}

static void look(trial_eye *t, const double x[2], outlook *out) {
    iol_gradient by;
    out->status = predict(t, x, &out->model);
    iol_refraction_with_gradient(out->model, t->at.old.power_d, t->at.vertex_mm, &out->refraction_d, &by);
    for (int i = 0; i < 2 && out->status >= 0; i++) {
        double above[2] = {x[0], x[1]}, below[2] = {x[0], x[1]};
        iol_model up = out->model, down = out->model;
        above[i] += c_slope_step, below[i] -= c_slope_step;
        out->status = predict(t, above, &up);
        if (out->status >= 0) out->status = predict(t, below, &down);
        const double apart = 2.0 * c_slope_step;
        out->position_slope[i] = (up.position_mm - down.position_mm) / apart;
        out->slope[i] = by.position * out->position_slope[i] + by.length * (up.length_mm - down.length_mm) / apart +
                        by.cornea * (up.cornea_d - down.cornea_d) / apart;
    }
}

/* The aim measures length and cornea: whoever chose this lens foresaw what was meant. ln of its density; NaN when it fails.
 * at: the outlook from the mean; then from where it ends. */
static double see_aim(trial_eye *t, prior *p, double intended_d, double sd_d, outlook *at) {
    const double *g = at->slope;
    double x[2] = {p->mean[0], p->mean[1]}, column[2], left = NAN, s = NAN, step = INFINITY;
    for (int round = 0; round < MOST_ROUNDS && step >= c_update_settled; round++) {
        if (round > 0) look(t, x, at);
        if (at->status < 0) return NAN;
        left = intended_d - at->refraction_d - g[0] * (p->mean[0] - x[0]) - g[1] * (p->mean[1] - x[1]);
        for (int i = 0; i < 2; i++) column[i] = p->covariance[i][0] * g[0] + p->covariance[i][1] * g[1];
        s = g[0] * column[0] + g[1] * column[1] + square(sd_d);
        step = 0.0;
        for (int i = 0; i < 2; i++) {
            double next = p->mean[i] + column[i] * left / s;
            step += fabs(next - x[i]);
            x[i] = next;
        }
    }
    if (!(step < c_update_settled)) return NAN;
    for (int i = 0; i < 2; i++) {
        p->mean[i] = x[i];
        for (int k = 0; k < 2; k++) p->covariance[i][k] -= column[i] * column[k] / s;
    }
    return iol_log_normal(left, s);
}

/* One component as these figures have it; E follows what was guessed. */
static void add(const trial_eye *t, const prior *p, const outlook *at, int kind, double weight, double log_likelihood,
                iol_mixture *m) {
    const iol_eye *eye = &t->at;
    const iol_grown grown = iol_estimate_grown(eye, &at->model);
    const double b[2] = {t->guessed[0] ? at->position_slope[0] : 0.0, t->guessed[1] ? at->position_slope[1] : 0.0};
    if (!(weight > 0.0)) return;
    iol_component *c = &m->item[m->count++];
    *c = (iol_component){.kind = kind,
                         .log_prior = log(weight),
                         .log_likelihood = log_likelihood,
                         .sd_reading_d = eye->now.sd_d,
                         .left_d = NAN,
                         .variance_d = NAN,
                         .mean = {at->model.length_mm, at->model.cornea_d, at->model.position_mm, eye->old.power_d}};
    for (int i = 0; i < 2; i++) {
        for (int k = 0; k < 2; k++) c->covariance[i][k] = p->covariance[i][k];
        c->covariance[i][IOL_E] = c->covariance[IOL_E][i] = p->covariance[i][0] * b[0] + p->covariance[i][1] * b[1];
    }
    c->covariance[IOL_E][IOL_E] =
        square(eye->sd_position_mm) + b[0] * c->covariance[0][IOL_E] + b[1] * c->covariance[1][IOL_E];
    c->covariance[IOL_P][IOL_P] = square(eye->sd_label_d);
    c->mean[IOL_L] += grown.mean_mm; /* whoever chose the lens foresaw the eye of that day */
    c->covariance[IOL_L][IOL_L] += square(grown.sd_mm);
}

/* Ordinary causes and another lens, under one belief in the aim. */
static void add_all(const trial_eye *t, const prior *p, const outlook *at, double share, double log_likelihood,
                    double another_lens, iol_mixture *m) {
    iol_ordinary_rule rule;
    iol_ordinary_rule_make(&t->at, &rule);
    double rest = share * (1.0 - another_lens);
    int first = m->count;
    add(t, p, at, IOL_MIX_measured, rest * fmax(0.0, 1.0 - rule.wide_weight - rule.off_weight), log_likelihood, m);
    add(t, p, at, IOL_MIX_wide, rest * rule.wide_weight, log_likelihood, m);
    add(t, p, at, IOL_MIX_off, rest * rule.off_weight, log_likelihood, m);
    add(t, p, at, IOL_MIX(another_lens), share * another_lens, log_likelihood, m);
    for (int i = first; i < m->count; i++) {
        iol_component *c = &m->item[i];
        if (c->kind == IOL_MIX_wide)
            c->covariance[IOL_E][IOL_E] += (square(rule.wide_factor) - 1.0) * square(t->at.sd_position_mm);
        if (c->kind == IOL_MIX_off) c->sd_reading_d *= rule.off_factor;
        if (c->kind == IOL_MIX(another_lens)) c->covariance[IOL_P][IOL_P] += square(c_other_lens_sd_d);
    }
}

void iol_mixture_alone(const iol_eye *eye, iol_mixture *out, iol_estimate *leading) {
    trial_eye trial;
    prior start;
    outlook from_mean;
    bool altered = eye->corneal_surgery == IOL_YES || iol_above(eye->k_d, c_k_steep_limit_d) == IOL_YES;
    double sure = isnan(eye->intended_se_d) ? 0.0 : altered ? 0.0 : c_aim_weight;
    out->status = IOL_BAD_INPUT, out->log_evidence = NAN, out->count = 0, out->tested = false;
    *leading = (iol_estimate){.status = IOL_BAD_INPUT};
    if (!eye->now.usable || isnan(eye->old.power_d) || !begin(eye, &trial, &start)) return;
    iol_gross_priors_make(eye, &out->priors);
    double lens = fmin(1.0 - c_ordinary_least, out->priors.rate[IOL_GROSS_CAUSE_another_lens]);
    out->formula = trial.formula;
    look(&trial, start.mean, &from_mean);
    for (int i = 0; i < 2; i++) {
        prior p = start;
        outlook at = from_mean;
        double share = i == 0 ? sure : 1.0 - sure, seen = 0.0;
        if (!(share > 0.0)) continue;
        if (!isnan(eye->intended_se_d))
            seen = see_aim(&trial, &p, eye->intended_se_d, i == 0 ? c_aim_sd_d : c_aim_far_sd_d, &at);
        if (!isnan(seen) && at.status >= 0) add_all(&trial, &p, &at, share, seen, lens, out);
    }
    if (out->count > 0) out->status = IOL_OK;
    iol_mixture_weigh(eye, out);
    if (out->status < 0) return;
    iol_estimate blank = {.status = IOL_OK, .formula = trial.formula, .p0_d = eye->old.power_d, .believed_d = NAN};
    const iol_component *c = iol_mixture_leader(out);
    blank.prior = (iol_model){c->mean[IOL_K], c->mean[IOL_L], c->mean[IOL_E]};
    blank.predicted_d = blank.eye_part_d = blank.z = blank.depth_gap_mm = NAN;
    iol_mixture_estimate(eye, &blank, c, leading);
    leading->mixture = out;
}
