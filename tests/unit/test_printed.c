/* What is told does not hang on what cannot be seen: unprinted digits, the form in which a cylinder was written. */
#include "check.h"

#include <string.h>

#include "estimate/prospect.h"
#include "example_case.h"
#include "tools/random_case.h"

enum { TWINS = 400 };

static iol_case c, other;
static iol_plan plan, twin_plan;

/* Figures that a note may call unusual as they are written, or an axis written 0: those notes ask for the writing itself. */
static bool told_as_written(const iol_refraction *r) {
    double sphere = fabs(r->sphere_d), other_sphere = fabs(r->sphere_d + r->cylinder_d);
    return r->axis_deg == 0.0 || fmax(sphere, other_sphere) > 12.0 || fabs(r->cylinder_d) > 6.0;
}

/* What the numbers say of an eye does not hang on how a cylinder was written: suspects and cautions are compared too. */
static void other_cylinder(void **state) {
    char where[160];
    int compared = 0;
    (void)state;
    for (int seed = 1; seed <= TWINS; seed++) {
        assert_true(random_case((uint64_t)seed, example_site(), &c));
        bool written = told_as_written(&c.refraction_before_cataract) || told_as_written(&c.fellow_eye.refraction) ||
                       told_as_written(&c.outcome.refraction);
        for (int i = 0; i < c.refractions_count; i++) written = written || told_as_written(&c.refractions[i]);
        if (written) continue;
        compared++;
        case_other_cylinder(&c, &other);
        iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
        iol_plan_make(&other, example_site(), IOL_UNKNOWN_DATE, &twin_plan);
        plans_differ(&plan, &twin_plan, TWIN_SAME, 1e-9, where);
        if (where[0]) fail_msg("case %d, cylinder of the other sign: %s", seed, where);
    }
    assert_true(compared > TWINS / 2);
}

/* The exact power of a second lens is the one with which the eye reaches its target. Reckoned from the steps that the plan shows: a
 * parabola through three of them. Source: the meaning of the word. */
static void second_lens_reaches_its_target(void **state) {
    int compared = 0;
    (void)state;
    for (int seed = 1; seed <= 3 * TWINS; seed++) {
        assert_true(random_case((uint64_t)seed, example_site(), &c));
        iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
        const iol_replacement *r = &plan.piggyback.power;
        if (!plan.piggyback.present || r->choices_count < 3 || isnan(r->power_exact_d)) continue;
        for (int i = 0; i + 2 < r->choices_count; i++) {
            const iol_choice *a = &r->choices[i], *b = a + 1, *d = a + 2;
            if (!isnan(a->cylinder_d) || !(a->power_d <= r->power_exact_d && r->power_exact_d <= d->power_d)) continue;
            double t = (r->power_exact_d - b->power_d) / (d->power_d - b->power_d);
            double se = b->expected.se_d + t * (d->expected.se_d - a->expected.se_d) / 2.0 +
                        t * t * (d->expected.se_d + a->expected.se_d - 2.0 * b->expected.se_d) / 2.0;
            if (!(fabs(se - r->target_se_d) <= 0.001))
                fail_msg("case %d: %g D leaves %g D, target %g D", seed, r->power_exact_d, se, r->target_se_d);
            compared++;
            break;
        }
    }
    assert_true(compared > 50);
}

/* Two steps whose printed distances from the target are alike: the more myopic one is chosen, whatever the unprinted digits say. */
static void printed_ties(void **state) {
    int ties = 0;
    (void)state;
    for (int seed = 1; seed <= TWINS; seed++) {
        assert_true(random_case((uint64_t)seed, example_site(), &c));
        iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
        const iol_replacement *r = &plan.replacement;
        const iol_choice *one = iol_chosen_step(r);
        if (!plan.replacement.present || !one || one + 1 >= r->choices + r->choices_count) continue;
        double sum = round(1000.0 * one->expected.se_d) + round(1000.0 * one[1].expected.se_d), power = one[1].power_d;
        if (fmod(sum, 2.0) != 0.0) continue;
        c.target_se_d = sum / 2000.0;
        iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &twin_plan);
        const iol_choice *again = iol_chosen_step(&twin_plan.replacement);
        if (!again || strcmp(again->lens_id, one->lens_id) != 0) continue;
        for (int i = 0; i + 1 < twin_plan.replacement.choices_count; i++) {
            const iol_choice *b = &twin_plan.replacement.choices[i + 1], *a = b - 1;
            if (strcmp(b->lens_id, again->lens_id) != 0 || b->power_d != power) continue;
            if (round(1000.0 * a->expected.se_d) + round(1000.0 * b->expected.se_d) != sum) continue;
            if (fabs(a->within_half_d - b->within_half_d) > 0.009 || fabs(again->power_d - power) > 0.6) continue;
            if (again->power_d != power)
                fail_msg("case %d: %g D chosen, %g D is as near and more myopic", seed, again->power_d, power);
            ties++;
        }
    }
    assert_true(ties > 0);
}

/* The same of the step that a look or a measurement is valued by: the target lies a little beyond the middle between two steps,
 * toward the more hyperopic one, by less than is printed. */
static void step_of_the_estimate(void **state) {
    const iol_steps shelf = {10.0, 30.0, 0.5};
    const iol_model model = {43.5, 23.5, 5.2};
    double covariance[3][3] = {{0.0}};
    static iol_notes notes;
    iol_eye eye;
    iol_prospect p;
    iol_outlook weak, strong, at;
    int ties = 0;
    (void)state;
    assert_true(random_case(1, example_site(), &c));
    iol_eye_make(&c, example_site(), IOL_UNKNOWN_DATE, IOL_EYE_POOLED, &notes, &eye);
    iol_prospect_of_one(&eye, &model, covariance, NAN, 0.1, &p);
    for (double power = 18.0; power < 25.0; power += 0.5) {
        iol_outlook_spread(&p, power, false, &weak);
        iol_outlook_spread(&p, power + 0.5, false, &strong);
        assert_true(strong.mean_d < weak.mean_d);
        double target = (weak.mean_d + strong.mean_d) / 2.0 + 1e-5;
        double away = round(1000.0 * weak.mean_d) - round(1000.0 * target);
        if (away != round(1000.0 * target) - round(1000.0 * strong.mean_d)) continue;
        assert_true(weak.mean_d - target < target - strong.mean_d);
        CHECK_NEAR(iol_prospect_choose(&p, &shelf, target, &at), power + 0.5, 0.0, "the meaning of the rule");
        ties++;
    }
    assert_true(ties > 2);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(other_cylinder), cmocka_unit_test(second_lens_reaches_its_target),
                                       cmocka_unit_test(printed_ties), cmocka_unit_test(step_of_the_estimate)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
