/* A lens turned back to front, and one of another design. */
#include "check.h"
#include "iolrevise/displaced.h"

static const double optic_mm = 6.0, edge_mm = 0.3, row_mm = 1e-9, row_d = 1e-9;

static void derived_reversed(void **state) {
    (void)state;
    check_table t;
    const char *source = DERIVATION "/reversed.tsv";
    check_open(&t, DERIVED("reversed"));
    while (check_next(&t)) {
        iol_optic o = {check_number(&t, "power_d"), check_number(&t, "shape_q"), check_number(&t, "index"),
                       check_number(&t, "centre_thickness_mm"), 0.0};
        iol_model eye = {check_number(&t, "cornea_d"), check_number(&t, "length_mm"), check_number(&t, "position_mm")};
        double middle, shift, right, turned, vertex = check_number(&t, "vertex_mm"), centre;
        iol_optic_faces f;
        assert_int_equal(iol_optic_edge_middle(o, optic_mm, &f, &middle), IOL_OK);
        CHECK_NEAR(middle, check_number(&t, "mid_edge_from_front_mm"), row_mm, source);
        CHECK_NEAR(f.first_mm, check_number(&t, "h_from_front_mm"), row_mm, source);
        CHECK_NEAR(f.second_mm, check_number(&t, "hprime_from_front_mm"), row_mm, source);
        assert_int_equal(iol_reversed_shift(o, optic_mm, check_number(&t, "vault_mm"), &shift), IOL_OK);
        CHECK_NEAR(shift, check_number(&t, "shift_mm"), row_mm, source);
        assert_int_equal(iol_refraction_of(eye, o.power_d, vertex, &right), IOL_OK);
        eye.position_mm += shift;
        assert_int_equal(iol_refraction_of(eye, o.power_d, vertex, &turned), IOL_OK);
        CHECK_NEAR(right, check_number(&t, "refraction_right_d"), row_d, source);
        CHECK_NEAR(turned, check_number(&t, "refraction_reversed_d"), row_d, source);
        CHECK_NEAR(turned - right, check_number(&t, "change_d"), row_d, source);
        if (o.power_d > 0.0) { /* the rows' lenses have edges of 0.30 mm */
            assert_int_equal(iol_optic_centre_from_edge(o, edge_mm, optic_mm, &centre), IOL_OK);
            CHECK_NEAR(centre, o.centre_thickness_mm, row_mm, source);
        }
    }
    assert_int_equal(t.rows, 24);
}

static iol_optic of_row(const check_table *t, const char *power, const char *q, const char *index) {
    iol_optic o = {check_number(t, power), check_number(t, q), check_number(t, index), 0.3, 0.0};
    assert_int_equal(iol_optic_centre_from_edge(o, edge_mm, optic_mm, &o.centre_thickness_mm), IOL_OK);
    return o;
}

static void derived_design_shift(void **state) {
    (void)state;
    check_table t;
    const char *source = DERIVATION "/design_shift.tsv";
    check_open(&t, DERIVED("design_shift"));
    while (check_next(&t)) {
        iol_optic was = of_row(&t, "old_power_d", "old_shape_q", "old_index"),
                  is = of_row(&t, "new_power_d", "new_shape_q", "new_index");
        iol_model eye = {check_number(&t, "cornea_d"), check_number(&t, "length_mm"),
                         check_number(&t, "position_old_mm")};
        double shift, length, same, shifted, vertex = check_number(&t, "vertex_mm");
        assert_int_equal(iol_design_shift(was, check_number(&t, "old_vault_mm"), is, check_number(&t, "new_vault_mm"),
                                          optic_mm, &shift, &length),
                         IOL_OK);
        CHECK_NEAR(shift, check_number(&t, "shift_mm"), row_mm, source);
        CHECK_NEAR(-length, check_number(&t, "hh_change_mm"), row_mm, source);
        assert_int_equal(iol_refraction_of(eye, is.power_d, vertex, &same), IOL_OK);
        CHECK_NEAR(same, check_number(&t, "refraction_same_plane_d"), row_d, source);
        eye.position_mm += shift, eye.length_mm += length;
        assert_int_equal(iol_refraction_of(eye, is.power_d, vertex, &shifted), IOL_OK);
        CHECK_NEAR(shifted, check_number(&t, "refraction_shifted_d"), row_d, source);
        CHECK_NEAR(shifted - same, check_number(&t, "change_d"), row_d, source);
    }
    assert_int_equal(t.rows, 22);
}

/* An optic of equal faces in a flat ring looks the same from both sides; turned twice, any lens is where it was. */
static void limits(void **state) {
    (void)state;
    double shift, back, length;
    iol_optic equal = {20.0, 0.0, 1.46, 1.0, 0.0}, bent = {20.0, 0.5, 1.49, 0.9, 0.0};
    assert_int_equal(iol_reversed_shift(equal, optic_mm, 0.0, &shift), IOL_OK);
    CHECK_NEAR(shift, 0.0, 1e-12, "symmetry");
    assert_int_equal(iol_reversed_shift(bent, optic_mm, 0.3, &shift), IOL_OK);
    bent.shape_q = -bent.shape_q;
    assert_int_equal(iol_reversed_shift(bent, optic_mm, -0.3, &back), IOL_OK);
    CHECK_NEAR(shift + back, 0.0, 1e-12, "there and back");
    assert_true(fabs(shift) > 0.1);
    assert_int_equal(iol_design_shift(bent, 0.2, bent, 0.2, optic_mm, &shift, &length), IOL_OK);
    CHECK_NEAR(shift, 0.0, 0.0, "the same lens");
    CHECK_NEAR(length, 0.0, 0.0, "the same lens");
}

static void refusals(void **state) {
    (void)state;
    double shift = 1.0, length = 1.0, centre = 1.0, middle = 1.0;
    iol_optic_faces f;
    iol_optic o = {20.0, 0.0, 1.46, 1.0, 0.0}, bad = o, ball = {60.0, 0.0, 1.46, 1.0, 0.0};
    bad.index = NAN;
    assert_int_equal(iol_reversed_shift(o, optic_mm, NAN, &shift), IOL_BAD_INPUT);
    CHECK_NAN(shift);
    assert_int_equal(iol_reversed_shift(bad, optic_mm, 0.0, &shift), IOL_BAD_INPUT);
    assert_int_equal(iol_design_shift(o, NAN, o, 0.0, optic_mm, &shift, &length), IOL_BAD_INPUT);
    assert_int_equal(iol_design_shift(o, 0.0, o, NAN, optic_mm, &shift, &length), IOL_BAD_INPUT);
    assert_int_equal(iol_design_shift(bad, 0.0, o, 0.0, optic_mm, &shift, &length), IOL_BAD_INPUT);
    assert_int_equal(iol_design_shift(o, 0.0, bad, 0.0, optic_mm, &shift, &length), IOL_BAD_INPUT);
    assert_true(isnan(shift) && isnan(length));
    assert_int_equal(iol_optic_edge_middle(o, -1.0, &f, &middle), IOL_BAD_INPUT);
    CHECK_NAN(middle);
    assert_int_equal(iol_optic_edge_middle(ball, 9.0, &f, &middle), IOL_NO_SOLUTION);
    assert_int_equal(iol_optic_centre_from_edge(o, NAN, optic_mm, &centre), IOL_BAD_INPUT);
    assert_int_equal(iol_optic_centre_from_edge(ball, edge_mm, 9.0, &centre), IOL_NO_SOLUTION);
    /* an optic as wide as its own sphere goes to and fro for ever */
    assert_int_equal(iol_optic_centre_from_edge((iol_optic){42.5, 0.0, 1.46, NAN, 0.0}, 2.4, 10.5, &centre),
                     IOL_NO_CONVERGENCE);
    CHECK_NAN(centre);
    o.power_d = -30.0;
    assert_int_equal(iol_optic_centre_from_edge(o, 0.05, optic_mm, &centre), IOL_NO_SOLUTION); /* worn through */
    CHECK_NAN(centre);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(derived_reversed),
        cmocka_unit_test(derived_design_shift),
        cmocka_unit_test(limits),
        cmocka_unit_test(refusals),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
