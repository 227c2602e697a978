/* reference: the GNU Scientific Library as an outside root finder, matrix inverse and eigenvalue solver. */
#include "check.h"
#include "iolrevise/optics.h"

#include <gsl/gsl_eigen.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_roots.h>

static const double vertex_mm = 12.0;

typedef enum { LENGTH, CORNEA, POSITION, POWER } unknown;
typedef struct {
    iol_model eye;
    double power, refraction;
    unknown which;
} question;

static double miss(double x, void *parameters) {
    question q = *(const question *)parameters;
    double got;
    *(q.which == LENGTH     ? &q.eye.length_mm
      : q.which == CORNEA   ? &q.eye.cornea_d
      : q.which == POSITION ? &q.eye.position_mm
                            : &q.power) = x;
    return iol_refraction_of(q.eye, q.power, vertex_mm, &got) < 0 ? GSL_NAN : got - q.refraction;
}

/* Brent's method between two bounds. */
static double gsl_root(question q, double low, double high) {
    gsl_function f = {miss, &q};
    gsl_root_fsolver *solver = gsl_root_fsolver_alloc(gsl_root_fsolver_brent);
    assert_int_equal(gsl_root_fsolver_set(solver, &f, low, high), GSL_SUCCESS);
    for (int i = 0; i < 200; i++) {
        assert_int_equal(gsl_root_fsolver_iterate(solver), GSL_SUCCESS);
        if (gsl_root_test_interval(gsl_root_fsolver_x_lower(solver), gsl_root_fsolver_x_upper(solver), 1e-13, 0.0) ==
            GSL_SUCCESS) {
            break;
        }
    }
    double root = gsl_root_fsolver_root(solver);
    gsl_root_fsolver_free(solver);
    return root;
}

static void inverses_agree_with_a_root_finder(void **state) {
    (void)state;
    int eyes = 0;
    for (double length = 20.3; length <= 30.0; length += 2.1) {
        for (double power = 4.3; power <= 31.0; power += 5.1) {
            for (double shift = -0.4; shift <= 0.4; shift += 0.2) {
                iol_model eye = {43.7, length, 4.9}, moved = eye;
                double refraction, got;
                moved.position_mm += shift;
                assert_int_equal(iol_refraction_of(moved, power, vertex_mm, &refraction), IOL_OK);
                question q = {eye, power, refraction, LENGTH};
                assert_int_equal(iol_length_for(eye, power, refraction, vertex_mm, &got), IOL_OK);
                CHECK_NEAR(got, gsl_root(q, length - 3.0, length + 3.0), 1e-10, "GSL, Brent");
                q.which = CORNEA;
                assert_int_equal(iol_cornea_for(eye, power, refraction, vertex_mm, &got), IOL_OK);
                CHECK_NEAR(got, gsl_root(q, 35.0, 55.0), 1e-10, "GSL, Brent");
                q.which = POSITION;
                assert_int_equal(iol_position_for(eye, power, refraction, vertex_mm, &got), IOL_OK);
                CHECK_NEAR(got, gsl_root(q, 1.0, 8.0), 1e-9, "GSL, Brent");
                q.which = POWER;
                assert_int_equal(iol_power_for(eye, refraction, vertex_mm, &got), IOL_OK);
                CHECK_NEAR(got, gsl_root(q, power - 9.0, power + 9.0), 1e-10, "GSL, Brent");
                eyes++;
            }
        }
    }
    assert_true(eyes >= 100);
}

/* a (I - m a)^-1 by LU decomposition of the full matrix. */
static iol_matrix gsl_step(iol_matrix a, double m) {
    double rest[] = {1.0 - m * a.xx, -m * a.xy, -m * a.xy, 1.0 - m * a.yy}, inverse[4];
    int sign;
    gsl_matrix_view r = gsl_matrix_view_array(rest, 2, 2), inv = gsl_matrix_view_array(inverse, 2, 2);
    gsl_permutation *p = gsl_permutation_alloc(2);
    gsl_linalg_LU_decomp(&r.matrix, p, &sign);
    gsl_linalg_LU_invert(&r.matrix, p, &inv.matrix);
    gsl_permutation_free(p);
    CHECK_NEAR(a.xx * inverse[1] + a.xy * inverse[3], a.xy * inverse[0] + a.yy * inverse[2], 1e-11, "GSL: symmetric");
    return (iol_matrix){a.xx * inverse[0] + a.xy * inverse[2], a.xx * inverse[1] + a.xy * inverse[3],
                        a.xy * inverse[1] + a.yy * inverse[3]};
}

static void steps_agree_with_a_matrix_inverse(void **state) {
    (void)state;
    for (double sphere = -21.3; sphere <= 52.0; sphere += 9.7) {
        for (double cylinder = -5.9; cylinder <= 6.0; cylinder += 1.7) {
            for (double axis = 3.0; axis <= 180.0; axis += 17.0) {
                for (double m = -0.012; m <= 0.006; m += 0.0045) {
                    iol_matrix a = iol_matrix_from_spherocylinder((iol_spherocylinder){sphere, cylinder, axis}), got;
                    iol_matrix want = gsl_step(a, m);
                    assert_int_equal(iol_matrix_step(a, m, &got), IOL_OK);
                    CHECK_NEAR(got.xx, want.xx, 1e-11, "GSL, LU inverse");
                    CHECK_NEAR(got.xy, want.xy, 1e-11, "GSL, LU inverse");
                    CHECK_NEAR(got.yy, want.yy, 1e-11, "GSL, LU inverse");
                }
            }
        }
    }
}

static void cylinder_and_axis_agree_with_eigenvectors(void **state) {
    (void)state;
    gsl_vector *value = gsl_vector_alloc(2);
    gsl_matrix *vector = gsl_matrix_alloc(2, 2);
    gsl_eigen_symmv_workspace *work = gsl_eigen_symmv_alloc(2);
    for (double cylinder = -5.9; cylinder <= 6.0; cylinder += 1.7) {
        for (double axis = 3.0; axis <= 180.0; axis += 7.0) {
            iol_matrix a = iol_matrix_from_spherocylinder((iol_spherocylinder){42.3, cylinder, axis});
            double full[] = {a.xx, a.xy, a.xy, a.yy};
            gsl_matrix_view view = gsl_matrix_view_array(full, 2, 2);
            gsl_eigen_symmv(&view.matrix, value, vector, work);
            gsl_eigen_symmv_sort(value, vector, GSL_EIGEN_SORT_VAL_DESC);
            CHECK_NEAR(iol_matrix_cylinder(a), gsl_vector_get(value, 0) - gsl_vector_get(value, 1), 1e-12,
                       "GSL, eigenvalues");
            double steep = atan2(gsl_matrix_get(vector, 1, 0), gsl_matrix_get(vector, 0, 0)) * 180.0 / M_PI;
            CHECK_NEAR(iol_axis_turn(steep, iol_matrix_steep_axis(a)), 0.0, 1e-10, "GSL, eigenvectors");
        }
    }
    gsl_eigen_symmv_free(work);
    gsl_matrix_free(vector);
    gsl_vector_free(value);
}

int main(void) {
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(inverses_agree_with_a_root_finder),
        cmocka_unit_test(steps_agree_with_a_matrix_inverse),
        cmocka_unit_test(cylinder_and_axis_agree_with_eigenvectors),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
