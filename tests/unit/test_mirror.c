/* Signs and sides of the whole plan: the other eye in a mirror, and the cylinder written the other way round.
 * Source of every check: the definitions of the contract (axes and places are seen from in front, both eyes alike; plus and minus
 * cylinder are one lens). A mirror turns a meridian a to 180 - a, a place p to 180 - p, and every turn and hand round. */
#include <math.h>

#include "check.h"

#include "example_case.h"

#define DEFINITION "definition: mirror"

static iol_case c, other;
static iol_plan plan, twin;

static double meridian(double deg) { return isnan(deg) ? deg : 180.0 - deg; }
static double place(double deg) { return isnan(deg) ? deg : fmod(540.0 - deg, 360.0); }

static void mirror_biometry(iol_biometry *b) { b->k_steep_axis_deg = meridian(b->k_steep_axis_deg); }

static int turned(int turns) {
    if (turns == IOL_turns_anticlockwise) return IOL_turns_clockwise;
    return turns == IOL_turns_both ? turns : IOL_turns_anticlockwise; /* not stated is taken as clockwise */
}

/* What the case leaves open and the program would take from a habit of one side is stated first. */
static void mirror(void) {
    iol_operation *o = &c.operation;
    if (o->surgeon_hand <= 0) o->surgeon_hand = IOL_hand_right;
    if (isnan(o->incision_position_deg)) o->incision_position_deg = c.eye == IOL_side_right ? 180.0 : 0.0;
    other = c;
    other.eye = c.eye == IOL_side_right ? IOL_side_left : IOL_side_right;
    for (int i = 0; i < other.refractions_count; i++)
        other.refractions[i].axis_deg = meridian(other.refractions[i].axis_deg);
    mirror_biometry(&other.biometry);
    mirror_biometry(&other.biometry_repeat);
    mirror_biometry(&other.fellow_eye.biometry);
    other.fellow_eye.refraction.axis_deg = meridian(other.fellow_eye.refraction.axis_deg);
    other.refraction_before_cataract.axis_deg = meridian(other.refraction_before_cataract.axis_deg);
    iol_lens *lens = &other.first_surgery.lens;
    lens->axis_deg = meridian(lens->axis_deg);
    lens->axis_intended_deg = meridian(lens->axis_intended_deg);
    lens->junction_axis_deg = meridian(lens->junction_axis_deg);
    lens->turns_freely = turned(lens->turns_freely);
    lens->decentration_position_deg = place(lens->decentration_position_deg);
    lens->tilted_back_position_deg = place(lens->tilted_back_position_deg);
    lens->tilt_axis_deg = meridian(lens->tilt_axis_deg);
    other.first_surgery.incision.position_deg = place(other.first_surgery.incision.position_deg);
    o = &other.operation;
    o->surgeon_hand = o->surgeon_hand == IOL_hand_right ? IOL_hand_left : IOL_hand_right;
    o->incision_position_deg = place(o->incision_position_deg);
    o->side_port_position_deg = place(o->side_port_position_deg);
    o->seat_position_deg = place(o->seat_position_deg);
}

static void same(double a, double b, double tolerance) {
    if (isnan(a))
        CHECK_NAN(b);
    else
        CHECK_NEAR(b, a, tolerance, DEFINITION);
}

static void opposite_meridian(double a, double b) {
    if (isnan(a))
        CHECK_NAN(b);
    else
        CHECK_NEAR(fabs(remainder(a + b, 180.0)), 0.0, 1e-3, DEFINITION);
}

static void check_powers(const iol_replacement *a, const iol_replacement *b, bool mirrored) {
    assert_int_equal(a->choices_count, b->choices_count);
    same(a->power_exact_d, b->power_exact_d, 1e-9);
    same(a->power_low_d, b->power_low_d, 1e-9);
    for (int i = 0; i < a->choices_count; i++) {
        const iol_choice *p = &a->choices[i], *q = &b->choices[i];
        same(p->power_d, q->power_d, 0.0);
        same(p->cylinder_d, q->cylinder_d, 0.0);
        same(p->expected.se_d, q->expected.se_d, 1e-9);
        same(p->expected.sphere_d, q->expected.sphere_d, 1e-9);
        same(p->expected.cylinder_d, q->expected.cylinder_d, 1e-9);
        same(p->sd_d, q->sd_d, 1e-9);
        assert_int_equal(p->chosen, q->chosen);
        if (mirrored) {
            opposite_meridian(p->axis_deg, q->axis_deg);
            if (fabs(p->expected.cylinder_d) > 1e-3) opposite_meridian(p->expected.axis_deg, q->expected.axis_deg);
        } else
            same(p->axis_deg, q->axis_deg, 1e-6);
    }
}

static void check_rest(bool mirrored) {
    double turn = mirrored ? -1.0 : 1.0;
    same(plan.surprise.miss_d, twin.surprise.miss_d, 1e-12);
    same(plan.surprise.eye_part_d, twin.surprise.eye_part_d, 1e-12);
    same(plan.surprise.corneal_remainder_d, twin.surprise.corneal_remainder_d, 1e-9);
    same(plan.incision.induced_cylinder_d, twin.incision.induced_cylinder_d, 1e-12);
    same(plan.incision.corneal_cylinder_after_d, twin.incision.corneal_cylinder_after_d, 1e-9);
    same(turn * plan.rotation.turn_deg, twin.rotation.turn_deg, 1e-3);
    same(plan.rotation.expected.cylinder_d, twin.rotation.expected.cylinder_d, 1e-6);
    same(turn * plan.removal.orientation.turn_deg, twin.removal.orientation.turn_deg, 1e-9);
    same(plan.displaced.explained_cylinder_d, twin.displaced.explained_cylinder_d, 1e-9);
    same(plan.displaced.explained_cylinder_sd_d, twin.displaced.explained_cylinder_sd_d, 1e-9);
    same(plan.displaced.remainder_cylinder_d, twin.displaced.remainder_cylinder_d, 1e-9);
    same(plan.displaced.recentred.se_d, twin.displaced.recentred.se_d, 1e-9);
    if (mirrored) opposite_meridian(plan.displaced.explained_axis_deg, twin.displaced.explained_axis_deg);
    same(plan.contact_lens.sphere_d, twin.contact_lens.sphere_d, 1e-9);
    same(plan.contact_lens.cylinder_d, twin.contact_lens.cylinder_d, 1e-9);
    same(plan.spectacles.sphere_d, twin.spectacles.sphere_d, 1e-9);
    same(plan.corneal_laser.depth_um, twin.corneal_laser.depth_um, 1e-6);
    assert_int_equal(plan.decision.state, twin.decision.state);
    assert_int_equal(plan.replacement.standing, twin.replacement.standing);
}

static void other_eye(void **state) {
    (void)state;
    int powers = 0;
    for (int i = 0; i < EXAMPLES; i++) {
        example_case(example_names[i], &c);
        mirror();
        iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
        iol_plan_make(&other, example_site(), IOL_UNKNOWN_DATE, &twin);
        check_powers(&plan.replacement, &twin.replacement, true);
        check_powers(&plan.piggyback.power, &twin.piggyback.power, true);
        check_rest(true);
        powers += plan.replacement.choices_count;
    }
    assert_true(powers > 50);
}

/* S + C x a is S+C, -C x a+90. */
static void other_cylinder(void **state) {
    (void)state;
    for (int i = 0; i < EXAMPLES; i++) {
        example_case(example_names[i], &c);
        other = c;
        for (int k = 0; k < other.refractions_count; k++) {
            iol_refraction *r = &other.refractions[k];
            if (isnan(r->cylinder_d) || r->cylinder_d == 0.0) continue;
            r->sphere_d += r->cylinder_d;
            r->cylinder_d = -r->cylinder_d;
            r->axis_deg = r->axis_deg > 90.0 ? r->axis_deg - 90.0 : r->axis_deg + 90.0;
        }
        iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
        iol_plan_make(&other, example_site(), IOL_UNKNOWN_DATE, &twin);
        check_powers(&plan.replacement, &twin.replacement, false);
        check_powers(&plan.piggyback.power, &twin.piggyback.power, false);
        check_rest(false);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(other_eye), cmocka_unit_test(other_cylinder)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
