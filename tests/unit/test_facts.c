/* The facts that rules ask: no two mean the same, and none is always the same. Kinds of check: properties on drawn cases (our
 * own), the day on each side of the surgery (arithmetic on the calendar). */
#include "check.h"
#include "example_case.h"
#include "plan/replacement.h"
#include "tools/random_case.h"

static const struct {
    const char *name;
    char kind; /* flags and truths are compared with each other: y; numbers n; words and codes w */
    size_t offset, size;
} facts[] = {
#define FLAG(name, meaning) {#name, 'y', offsetof(iol_facts, name), sizeof(iol_flag)},
#define BOOL(name, meaning) {#name, 'b', offsetof(iol_facts, name), sizeof(bool)},
#define NUM(name, meaning) {#name, 'n', offsetof(iol_facts, name), sizeof(double)},
#define WORD(name, set, meaning) {#name, 'w', offsetof(iol_facts, name), sizeof(int)},
#define CODE(name, meaning) {#name, 'w', offsetof(iol_facts, name), sizeof(iol_note_code)},
#define TEXT(name, meaning)
#include "facts.def"
#undef FLAG
#undef BOOL
#undef NUM
#undef WORD
#undef CODE
#undef TEXT
};
enum { FACTS = sizeof facts / sizeof *facts, DRAWN = 2400 };

static iol_case c;
static iol_site site;
static iol_plan plan;
static iol_work w;
static double value[FACTS];
static bool apart[FACTS][FACTS], opposite[FACTS][FACTS], moved[FACTS];

/* One number for each fact: yes and true are 1, no and false are -1, a number that is not known is far off. */
static void look(void) {
    for (int i = 0; i < FACTS; i++) {
        const char *at = (const char *)&w.facts + facts[i].offset;
        switch (facts[i].kind) {
        case 'y': value[i] = *(const iol_flag *)(const void *)at; break;
        case 'b': value[i] = *(const bool *)(const void *)at ? 1.0 : -1.0; break;
        case 'w': value[i] = *(const int *)(const void *)at; break;
        default: value[i] = *(const double *)(const void *)at;
        }
        if (isnan(value[i])) value[i] = 1e9;
    }
}

/* A site of the other habits: laser under a flap, a three-piece acrylic lens for the sulcus. */
static void other_site(void) {
    site = *example_site();
    site.habits.laser.kind = IOL_laser_kind_flap;
    for (int i = 0; i < site.lenses_count; i++)
        if (site.lenses[i].purpose == IOL_purpose_piggyback)
            site.lenses[i].design = IOL_design_three_piece, site.lenses[i].material = IOL_material_hydrophobic_acrylic;
}

/* Drawn cases, and now and then a toric lens that has turned. */
/* A toric second lens that holds the cornea's cylinder, and a toric one of the shelf in its place. */
static void two_lenses(void) {
    iol_biometry *read[] = {&c.biometry, &c.biometry_repeat};
    example_case("two-lenses", &c);
    for (int i = 0; i < 2; i++) read[i]->k_steep_d = 45.6;
    c.second_lens.cylinder_d = 3.0, c.second_lens.power_is = IOL_power_is_equivalent, c.second_lens.axis_deg = 94.0;
    for (int i = 0; i < site.lenses_count; i++)
        if (site.lenses[i].purpose == IOL_purpose_piggyback)
            site.lenses[i].cylinder_steps_d_count = 1, site.lenses[i].cylinder_steps_d[0] = 3.75;
}

static void draw(int n) {
    site = *example_site();
    if (n % 2) other_site();
    if (n % 40 == 7) site.lenses_count = 0; /* nothing on the shelf */
    if (n % 50 == 0)
        example_case("toric-turned", &c);
    else if (n % 50 == 25)
        example_case("no-lens", &c);
    else if (n % 50 == 30)
        example_case("two-lenses", &c);
    else if (n % 50 == 10) { /* no check told why, and the label is far off */
        example_case("hyperopic-surprise", &c);
        c.first_surgery.lens.power_d = 30.0;
    }
    else if (n % 50 == 40)
        two_lenses();
    else
        random_case((uint64_t)n + 1, example_site(), &c);
    if (n % 100 == 75) { /* read without a lens, and nobody says whether there is one */
        c.aphakic_now = IOL_UNKNOWN, c.reason = IOL_reason_power_error;
        c.biometry_repeat.eye_state = 0;
    }
}

/* The facts when every part is there: a plan first, then options and decision once more in a work of our own. */
static void plan_it(void) {
    static iol_plan unused;
    iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan);
    iol_work_start(&w, &c, &site, IOL_UNKNOWN_DATE, &unused);
    w.plan = &plan;
    plan.options_count = 0;
    iol_part_options(&w);
    iol_part_decision(&w);
    iol_facts_grow(&w);
    if (iol_new_lens(&plan)->present) iol_standing_make(&w, iol_new_lens(&plan));
}

static void no_two_mean_the_same(void **state) {
    (void)state;
    double first[FACTS];
    int same = 0;
    for (int n = 0; n < DRAWN; n++) {
        draw(n);
        plan_it();
        look();
        for (int i = 0; i < FACTS; i++) {
            if (n == 0) first[i] = value[i];
            moved[i] = moved[i] || value[i] != first[i];
            for (int k = 0; k < i; k++) {
                apart[i][k] = apart[i][k] || value[i] != value[k];
                opposite[i][k] = opposite[i][k] || value[i] != -value[k];
            }
        }
    }
    for (int i = 0; i < FACTS; i++) {
        if (!moved[i]) print_error("%s is always the same\n", facts[i].name), same++;
        for (int k = 0; k < i; k++) {
            bool sides = facts[i].kind != 'n' && facts[k].kind != 'n';
            if (apart[i][k] && (opposite[i][k] || !sides)) continue;
            print_error("%s and %s mean the same\n", facts[i].name, facts[k].name), same++;
        }
    }
    assert_int_equal(same, 0);
}

/* The comparison can fail. */
static void a_copy_is_seen(void **state) {
    (void)state;
    w.facts = (iol_facts){.photic_negative = IOL_YES, .photic_positive = IOL_YES};
    look();
    int a = -1, b = -1;
    for (int i = 0; i < FACTS; i++) {
        if (strcmp(facts[i].name, "photic_negative") == 0) a = i;
        if (strcmp(facts[i].name, "photic_positive") == 0) b = i;
    }
    assert_true(a >= 0 && b >= 0 && value[a] == value[b]);
}

/* One day since surgery, for every rule: on the day itself 0, before it not known. */
static void one_day(void **state) {
    (void)state;
    static const struct {
        int32_t after;
        double day;
    } row[] = {{-1, NAN}, {0, 0.0}, {1, 1.0}, {400, 400.0}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        example_case("hyperopic-surprise", &c);
        int32_t done = c.first_surgery.done_on;
        iol_object_reset(iol_object_plan, &plan);
        iol_work_start(&w, &c, example_site(), done + row[i].after, &plan);
        if (isnan(row[i].day))
            CHECK_NAN(w.facts.day);
        else
            CHECK_NEAR(w.facts.day, row[i].day, 0.0, "days between two dates");
        c.first_surgery.done_on = IOL_UNKNOWN_DATE;
        iol_work_start(&w, &c, example_site(), done, &plan);
        CHECK_NAN(w.facts.day);
    }
}

/* A shift that is complained of is off centre only where it was measured and is beyond a limit. */
static void off_centre(void **state) {
    (void)state;
    static const struct {
        double mm, deg;
        iol_flag off;
    } row[] = {{0.39, 4.9, IOL_NO},
               {NAN, NAN, IOL_UNKNOWN},
               {NAN, 4.9, IOL_UNKNOWN},
               {2.0, NAN, IOL_YES},
               {0.0, 20.0, IOL_YES}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        example_case("hyperopic-surprise", &c);
        c.first_surgery.lens.decentration_mm = row[i].mm;
        c.first_surgery.lens.tilt_deg = row[i].deg;
        iol_work_start(&w, &c, example_site(), IOL_UNKNOWN_DATE, &plan);
        assert_int_equal(w.facts.off_centre, IOL_NO);
        assert_int_equal(w.facts.moved, IOL_NO);
        c.reason = IOL_reason_lens_decentration;
        iol_work_start(&w, &c, example_site(), IOL_UNKNOWN_DATE, &plan);
        assert_int_equal(w.facts.off_centre, row[i].off);
        assert_int_equal(w.facts.moved, IOL_YES);
    }
}

/* Named combinations, below, at and above what they turn on (our own rules: judgement). */
static void named(void **state) {
    (void)state;
    static const struct {
        int day;
        iol_flag early;
    } shadow[] = {{179, IOL_YES}, {180, IOL_NO}, {181, IOL_NO}};
    for (size_t i = 0; i < sizeof shadow / sizeof *shadow; i++) {
        example_case("hyperopic-surprise", &c);
        c.reason = IOL_reason_photic_negative;
        iol_work_start(&w, &c, example_site(), c.first_surgery.done_on + shadow[i].day, &plan);
        assert_int_equal(w.facts.shadow_early, shadow[i].early);
        c.reason = IOL_reason_power_error;
        iol_work_start(&w, &c, example_site(), c.first_surgery.done_on + shadow[i].day, &plan);
        assert_int_equal(w.facts.shadow_early, IOL_NO);
    }
    static const struct {
        double sphere, cylinder;
        iol_flag close;
    } miss[] = {{-0.5, 0.0, IOL_YES},  {0.5, 0.0, IOL_YES},   {0.51, 0.0, IOL_NO},
                {0.25, -0.5, IOL_YES}, {0.26, -0.52, IOL_NO}, {0.0, NAN, IOL_UNKNOWN}};
    for (size_t i = 0; i < sizeof miss / sizeof *miss; i++) {
        example_case("hyperopic-surprise", &c);
        c.target_se_d = 0.0;
        c.refractions_count = 1;
        c.refractions[0].sphere_d = miss[i].sphere, c.refractions[0].cylinder_d = miss[i].cylinder;
        iol_work_start(&w, &c, example_site(), IOL_UNKNOWN_DATE, &plan);
        assert_int_equal(w.facts.close_to_target, miss[i].close);
        c.reason = IOL_reason_lens_opacity; /* no power mends a clouded lens */
        c.reasons_also_count = 0;
        iol_work_start(&w, &c, example_site(), IOL_UNKNOWN_DATE, &plan);
        assert_int_equal(w.facts.close_to_target, IOL_NO);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(no_two_mean_the_same), cmocka_unit_test(a_copy_is_seen),
                                       cmocka_unit_test(one_day), cmocka_unit_test(off_centre),
                                       cmocka_unit_test(named)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
