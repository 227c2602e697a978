#include "displaced.h"
#include "tables/constants.h"

/* Purpose   The back of the cornea, which keratometry does not see.
 * Equation  B steep at 90 with negative power: 0.15 C + 0.22 with the rule, 0.05 C + 0.27 oblique, 0.27 against. It adds to the
 *           front by its own index, not to keratometry at 1.3375: total = (376/337.5) C along the steep meridian + B along 180.
 * Given     D, degrees.
 * Returned  D.
 * Status    IOL_BAD_INPUT: not finite, or a cylinder below 0.
 * Valid     Corneas without earlier refractive surgery.
 * Source    eom_2015 (928 eyes); the borders of the three: judgement; the step of the index: derived.
 * Tests     tests/unit/test_back_cornea.c */

iol_status iol_back_cornea_cylinder(double keratometric_cylinder_d, double steep_axis_deg, double *back_d) {
    *back_d = NAN;
    double c = keratometric_cylinder_d;
    if (c == 0.0) steep_axis_deg = 0.0;
    if (!isfinite(c) || c < 0.0 || !isfinite(steep_axis_deg)) return IOL_BAD_INPUT;
    double from_180 = fabs(iol_axis_turn(180.0, steep_axis_deg)), near = c_back_cornea_near_deg;
    if (from_180 >= 90.0 - near) {
        *back_d = c_back_cornea_with_slope * c + c_back_cornea_with_d;
    } else if (from_180 <= near) {
        *back_d = c_back_cornea_against_d;
    } else {
        *back_d = c_back_cornea_oblique_slope * c + c_back_cornea_oblique_d;
    }
    return IOL_OK;
}

iol_status iol_back_cornea_total(iol_matrix keratometry, iol_matrix *total) {
    double back_d;
    *total = (iol_matrix){NAN, NAN, NAN};
    iol_status status =
        iol_back_cornea_cylinder(iol_matrix_cylinder(keratometry), iol_matrix_steep_axis(keratometry), &back_d);
    if (status < 0) return status;
    iol_matrix front = iol_matrix_scale(iol_matrix_deviator(keratometry), c_front_index_factor);
    *total = iol_matrix_add(front, (iol_matrix){0.5 * back_d, 0.0, -0.5 * back_d});
    return IOL_OK;
}
