/* Which class of the shelf leads: a toric one only where it leaves less than the plain one. Limit: judgement. */
#include <math.h>

#include "check.h"

#include "example_case.h"
#include "plan/choices.h"

static iol_case c;
static iol_site site;
static iol_plan plan;

/* Plain and toric classes of one lens; the toric one with a single cylinder. */
static void shelf(double cylinder_d) {
    must_read_site(WORKED_SITE, &site);
    site.lenses[1] = site.lenses[0];
    strcpy(site.lenses[1].id, "toric");
    site.lenses[1].cylinder_steps_d[0] = cylinder_d;
    site.lenses[1].cylinder_steps_d_count = 1;
    site.lenses_count = 2;
}

static double least_cylinder(const char *id) {
    double nearest = INFINITY, cylinder = NAN;
    for (int i = 0; i < plan.replacement.choices_count; i++) {
        const iol_choice *one = &plan.replacement.choices[i];
        double miss = fabs(one->power_d - plan.replacement.power_exact_d);
        if (strcmp(one->lens_id, id) != 0 || !(miss < nearest)) continue;
        nearest = miss;
        cylinder = fabs(one->expected.cylinder_d);
    }
    return cylinder;
}

static void start(double target_cylinder_d) {
    char json[4096];
    snprintf(json, sizeof json, WORKED_CASE, "srk-t");
    must_read_case(json, &c);
    c.target_cylinder_d = target_cylinder_d;
}

/* Whatever its cylinder: toric leads exactly where it leaves more than 0.10 D less. */
static void the_one_that_leaves_less(void **state) {
    (void)state;
    int toric = 0, plain = 0, near_the_limit = 0;
    start(0.25);
    for (double cylinder = 0.1; cylinder < 4.0; cylinder += 0.01) {
        shelf(cylinder);
        iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan);
        double gain = least_cylinder("bag-119") - least_cylinder("toric");
        bool leads = strcmp(plan.replacement.lens_id, "toric") == 0;
        if (fabs(gain - 0.10) < 0.005) {
            near_the_limit++; /* the steps are not the exact power: thousandths apart */
            continue;
        }
        assert_int_equal(leads, gain > 0.10);
        toric += leads, plain += !leads;
    }
    assert_true(toric > 50 && plain > 50 && near_the_limit > 0);
}

/* Opposite: an eye whose cylinder is accepted keeps the plain class, however well a toric one would do. */
static void accepted(void **state) {
    (void)state;
    shelf(1.0);
    start(0.0);
    iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan);
    assert_string_equal(plan.replacement.lens_id, "toric");
    start(least_cylinder("bag-119") + 0.01);
    iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan);
    assert_string_equal(plan.replacement.lens_id, "bag-119");
}

/* The second of two toric classes leads where the first did not help. */
static void a_later_class(void **state) {
    (void)state;
    shelf(4.0);
    site.lenses[2] = site.lenses[1];
    strcpy(site.lenses[2].id, "toric-low");
    site.lenses[2].cylinder_steps_d[0] = 1.0;
    site.lenses_count = 3;
    start(0.25);
    iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan);
    assert_string_equal(plan.replacement.lens_id, "toric-low");
}

/* How far a power lies beyond the steps that are made, half a step beyond the last counting as reached. By hand. */
static void beyond_the_shelf(void **state) {
    (void)state;
    const iol_shelf_lens made = {.power_first_d = 10.0, .power_last_d = 30.0, .power_step_d = 0.5};
    static const double row[][2] = {{10.0, 0.0},   {30.0, 0.0},  {9.75, 0.0},  {9.5, 0.25},
                                    {-1.0, 10.75}, {30.25, 0.0}, {31.0, 0.75}, {20.1, 0.0}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++)
        CHECK_NEAR(iol_choices_beyond(&made, row[i][0]), row[i][1], 1e-12, "by hand");
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(beyond_the_shelf), cmocka_unit_test(the_one_that_leaves_less),
                                       cmocka_unit_test(accepted), cmocka_unit_test(a_later_class)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
