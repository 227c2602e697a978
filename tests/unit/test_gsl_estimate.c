/* reference: the GNU Scientific Library's normal integral and matrix inverse against the chances and the estimate. */
#include "case_text.h"
#include "check.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_linalg.h>

#include "plan/aim.h"

static void chances(void **state) {
    (void)state;
    int tried = 0;
    for (double expected = -3.1; expected < 3.0; expected += 0.37)
        for (double sd = 0.21; sd < 1.6; sd += 0.13)
            for (double band = 0.5; band < 1.1; band += 0.5, tried++) {
                double target = -0.25, want = gsl_cdf_gaussian_P(target + band - expected, sd) -
                                              gsl_cdf_gaussian_P(target - band - expected, sd);
                CHECK_NEAR(iol_aim_chance(expected, sd, target, band), want, 1e-14, "GSL, gsl_cdf_gaussian_P");
            }
    assert_true(tried > 300);
}

static iol_case c;
static iol_site site;
static iol_notes notes;
static iol_eye eye;

/* Posterior covariance in information form: (C^-1 + g g' / s^2)^-1, and its mean as the least of the sum of squares. */
static void covariance(void **state) {
    (void)state;
    char json[4096];
    for (int f = 0; f < 4; f++)
        for (double sphere = -3.0; sphere <= 6.0; sphere += 1.5) {
            snprintf(json, sizeof json, WORKED_CASE, iol_formulas[f].name);
            must_read_case(json, &c);
            must_read_site(WORKED_SITE, &site);
            c.refractions[0].sphere_d = sphere;
            notes.count = 0;
            iol_eye_make(&c, &site, IOL_UNKNOWN_DATE, IOL_EYE_POOLED, &notes, &eye);
            iol_estimate e;
            iol_estimate_make(&eye, (iol_formula)f, &e);
            assert_int_equal(e.status >= 0, 1);
            iol_gradient h;
            assert_int_equal(iol_refraction_gradient(e.posterior, e.posterior_p0_d, eye.vertex_mm, &h), IOL_OK);
            const double g[IOL_STATES] =
                {[IOL_L] = h.length, [IOL_K] = h.cornea, [IOL_E] = h.position, [IOL_P] = h.power},
                         from[IOL_STATES] = {[IOL_L] = e.prior.length_mm,
                                             [IOL_K] = e.prior.cornea_d,
                                             [IOL_E] = e.prior.position_mm,
                                             [IOL_P] = e.p0_d},
                         to[IOL_STATES] = {[IOL_L] = e.posterior.length_mm,
                                           [IOL_K] = e.posterior.cornea_d,
                                           [IOL_E] = e.posterior.position_mm,
                                           [IOL_P] = e.posterior_p0_d};
            gsl_matrix *information = gsl_matrix_alloc(4, 4), *inverse = gsl_matrix_alloc(4, 4);
            gsl_permutation *order = gsl_permutation_alloc(4);
            double noise = eye.now.sd_d * eye.now.sd_d, left = eye.now.spectacle_d - e.believed_d;
            int sign;
            for (size_t i = 0; i < 4; i++)
                for (size_t k = 0; k < 4; k++)
                    gsl_matrix_set(information, i, k,
                                   g[i] * g[k] / noise + (i == k ? 1.0 / (e.prior_sd[i] * e.prior_sd[i]) : 0.0));
            gsl_linalg_LU_decomp(information, order, &sign);
            gsl_linalg_LU_invert(information, order, inverse);
            for (size_t i = 0; i < 4; i++) {
                for (size_t k = 0; k < 4; k++)
                    CHECK_NEAR(e.covariance[i][k], gsl_matrix_get(inverse, i, k), 1e-9, "GSL, LU inverse");
                /* At the least of the sum of squares each step from the prior is its variance times the pull of the reading. */
                CHECK_NEAR(to[i] - from[i], e.prior_sd[i] * e.prior_sd[i] * g[i] * left / noise, 1e-8,
                           "condition of the least sum of squares");
            }
            gsl_permutation_free(order);
            gsl_matrix_free(information);
            gsl_matrix_free(inverse);
        }
}

/* z by its definition, at the prior mean. */
static void expected_spread(void **state) {
    (void)state;
    char json[4096];
    for (double sphere = -4.0; sphere <= 6.0; sphere += 0.5) {
        snprintf(json, sizeof json, WORKED_CASE, "t2");
        must_read_case(json, &c);
        must_read_site(WORKED_SITE, &site);
        c.refractions[0].sphere_d = sphere;
        notes.count = 0;
        iol_eye_make(&c, &site, IOL_UNKNOWN_DATE, IOL_EYE_POOLED, &notes, &eye);
        iol_estimate e;
        iol_estimate_make(&eye, IOL_FORMULA_t2, &e);
        iol_gradient h;
        iol_refraction_gradient(e.prior, e.p0_d, eye.vertex_mm, &h);
        const double g[IOL_STATES] = {[IOL_L] = h.length, [IOL_K] = h.cornea, [IOL_E] = h.position, [IOL_P] = h.power};
        double spread = eye.now.sd_d * eye.now.sd_d;
        for (int i = 0; i < IOL_STATES; i++) spread += pow(e.prior_sd[i] * g[i], 2);
        CHECK_NEAR(e.z * e.z * spread, e.eye_part_d * e.eye_part_d, 1e-9, "z is the eye part over its spread");
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(chances), cmocka_unit_test(covariance),
                                       cmocka_unit_test(expected_spread)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
