/* The joint estimate of an eye with two lenses. */
#include "estimate.h"
#include "tables/constants.h"

iol_lens_pair iol_estimate_two_of(const iol_observed *two) {
    const double *x = two->x;
    return (iol_lens_pair){{x[IOL_TWO_CORNEA], x[IOL_TWO_LENGTH], x[IOL_TWO_POSITION]},
                           x[IOL_TWO_GAP],
                           x[IOL_TWO_FIRST],
                           x[IOL_TWO_SECOND]};
}

static iol_status seen(const void *context, const double x[], double *value, double g[]) {
    const double *vertex_mm = context;
    iol_lens_pair two = {{x[IOL_TWO_CORNEA], x[IOL_TWO_LENGTH], x[IOL_TWO_POSITION]},
                         x[IOL_TWO_GAP],
                         x[IOL_TWO_FIRST],
                         x[IOL_TWO_SECOND]};
    return iol_two_lenses_refraction(&two, *vertex_mm, value, g);
}

static double square(double x) { return x * x; }

/* Shares of the expected variance; the two labels and the gap stand together. */
static void share(const iol_eye *eye, const double mean[], const double sd[], iol_estimate *out) {
    static const int part[IOL_TWO_STATES] = {
        [IOL_TWO_LENGTH] = IOL_L, [IOL_TWO_CORNEA] = IOL_K, [IOL_TWO_POSITION] = IOL_E,
        [IOL_TWO_GAP] = IOL_P,    [IOL_TWO_FIRST] = IOL_P,  [IOL_TWO_SECOND] = IOL_P};
    double g[IOL_TWO_STATES], unused, sum = square(eye->now.sd_d);
    if (seen(&eye->vertex_mm, mean, &unused, g) < 0) return;
    for (int i = 0; i <= IOL_STATES; i++) out->share[i] = 0.0;
    out->share[IOL_STATES] = sum;
    for (int i = 0; i < IOL_TWO_STATES; i++) {
        double term = square(sd[i] * g[i]);
        out->share[part[i]] += term;
        sum += term;
    }
    for (int i = 0; i <= IOL_STATES; i++) out->share[i] /= sum;
}

void iol_estimate_two_lenses(const iol_eye *eye, iol_formula formula, iol_observed *two, iol_estimate *out) {
    static const int of[IOL_STATES] = {
        [IOL_L] = IOL_TWO_LENGTH, [IOL_K] = IOL_TWO_CORNEA, [IOL_E] = IOL_TWO_POSITION, [IOL_P] = IOL_TWO_FIRST};
    iol_estimate_biometry_only(eye, formula, &eye->old, out);
    two->status = out->status;
    if (out->status < 0) return;
    const iol_model *m = &out->posterior; /* a child's as it has grown since */
    const double mean[IOL_TWO_STATES] = {m->length_mm, m->cornea_d,      m->position_mm,
                                         eye->gap_mm,  eye->old.power_d, eye->second.power_d};
    const double sd[IOL_TWO_STATES] = {
        sqrt(out->covariance[IOL_L][IOL_L]),       eye->sd_k_d, eye->sd_position_mm, eye->sd_gap_mm, eye->sd_label_d,
        iol_eye_label_sd(eye, eye->second.power_d)};
    bool reads = eye->now.usable;
    iol_observe(IOL_TWO_STATES, mean, sd, reads ? eye->now.spectacle_d : NAN, eye->now.sd_d, seen, &eye->vertex_mm,
                two);
    out->status = two->status;
    if (two->status < 0) return;
    iol_lens_pair after = iol_estimate_two_of(two);
    out->posterior = after.eye;
    out->p0_d = eye->old.power_d;
    out->posterior_p0_d = after.first_d;
    out->gap_mm = after.gap_mm;
    out->second_d = after.second_d;
    for (int i = 0; i < IOL_STATES; i++) {
        out->prior_sd[i] = sd[of[i]];
        for (int k = 0; k < IOL_STATES; k++) out->covariance[i][k] = two->covariance[of[i]][of[k]];
    }
    double unused[IOL_TWO_STATES];
    out->status = iol_two_lenses_refraction(&after, eye->vertex_mm, &out->believed_d, unused);
    if (!reads) seen(&eye->vertex_mm, mean, &out->predicted_d, (double[IOL_TWO_STATES]){0.0});
    if (!reads || out->status < 0) return;
    if (eye->length_from_reading) return; /* the reading made the length: it cannot test it */
    out->predicted_d = two->predicted;
    out->eye_part_d = eye->now.spectacle_d - two->predicted;
    out->z = two->z;
    share(eye, mean, sd, out);
}
