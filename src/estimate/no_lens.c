/* The eye that was read without a lens: length and cornea by biometry and by that reading together. */
#include "estimate.h"
#include "observe.h"
#include "optics/no_lens.h"
#include "tables/constants.h"

static iol_status seen(const void *context, const double x[], double *value, double g[]) {
    const double *vertex_mm = context;
    iol_gradient gradient;
    iol_status status = iol_no_lens_refraction(x[IOL_L], x[IOL_K], *vertex_mm, value, &gradient);
    g[IOL_L] = gradient.length, g[IOL_K] = gradient.cornea;
    return status;
}

/* No length is measured: it is what the cornea and the reading make it, and so is its spread. */
static void by_reading_alone(const iol_eye *eye, iol_estimate *out) {
    double length_mm, r = eye->now.spectacle_d, v = eye->vertex_mm;
    iol_gradient g;
    out->status = iol_no_lens_length(out->prior.cornea_d, r, v, &length_mm);
    if (out->status >= 0) out->status = iol_no_lens_refraction(length_mm, out->prior.cornea_d, v, &r, &g);
    if (out->status < 0) return;
    out->prior.length_mm = out->posterior.length_mm = length_mm;
    double by_reading = eye->now.sd_d / g.length, by_cornea = -g.cornea / g.length, k = eye->sd_k_d * eye->sd_k_d;
    out->covariance[IOL_L][IOL_L] = by_reading * by_reading + by_cornea * by_cornea * k;
    out->covariance[IOL_L][IOL_K] = out->covariance[IOL_K][IOL_L] = by_cornea * k;
    out->covariance[IOL_K][IOL_K] = k;
    out->believed_d = r;
}

static void by_both(const iol_eye *eye, iol_estimate *out) {
    const double mean[2] = {[IOL_L] = out->posterior.length_mm, [IOL_K] = out->prior.cornea_d};
    const double sd[2] = {[IOL_L] = sqrt(out->covariance[IOL_L][IOL_L]), [IOL_K] = eye->sd_k_d};
    iol_observed joint;
    iol_gradient unused;
    iol_observe(2, mean, sd, eye->now.spectacle_d, eye->now.sd_d, seen, &eye->vertex_mm, &joint);
    out->status = joint.status;
    if (joint.status < 0) return;
    out->posterior.length_mm = joint.x[IOL_L];
    out->posterior.cornea_d = joint.x[IOL_K];
    for (int i = 0; i < 2; i++)
        for (int k = 0; k < 2; k++) out->covariance[i][k] = joint.covariance[i][k];
    out->predicted_d = joint.predicted;
    out->eye_part_d = eye->now.spectacle_d - joint.predicted;
    out->z = joint.z;
    out->status = iol_no_lens_refraction(joint.x[IOL_L], joint.x[IOL_K], eye->vertex_mm, &out->believed_d, &unused);
}

void iol_estimate_without_lens(const iol_eye *eye, iol_formula formula, const iol_lens_in_eye *fresh,
                               iol_estimate *out) {
    iol_estimate_biometry_only(eye, formula, fresh, out);
    if (out->status < 0 || !eye->now.usable) return;
    if (eye->length_from_reading)
        by_reading_alone(eye, out);
    else
        by_both(eye, out);
    out->p0_d = out->posterior_p0_d = 0.0;
}
