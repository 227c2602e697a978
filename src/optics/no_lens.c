#include "no_lens.h"

#include "optics/units.h"
#include "optics/vergence.h"
#include "tables/constants.h"

/* Purpose   The eye without a lens: the lens that it lacks, from its own refraction.
 * Equation  P = z(K + Ra, E) - z(K + Rt, E), z(x, t) = x / (1 - t x/n), Ra and Rt at the cornea: the axial length drops out.
 *           With X = K + Ra, Y = K + Rt, a = (1 - E X/n)^-2, c = (1 - E Y/n)^-2: dP/dR = a / (1 - V R)^2,
 *           dP/dV = a Ra^2, dP/dE = (z(X)^2 - z(Y)^2)/n, dP/dK = a - c; dRt/dP = -(1 - Vt Rt)^2 / c.
 *           Without a lens: L = n/(K + Ra). The line: 80.4 - 1.65 L - 0.7 K. Theatre: 0.07 x^2 + 1.27 x + 1.22.
 * Given     K, refractions (D), E and vertex distances (mm); n = 1.336.
 * Returned  Lens power (D) and its gradient; length (mm); refraction (D).
 * Status    IOL_BAD_INPUT: not finite, a distance below 0. IOL_NO_SOLUTION: light focuses on the way.
 * Valid     Readings of +2 to +20 D; paraxial rays, thin lens.
 * Source    The standard thin-lens eye, put together here; the line: aphakic_line_1980s; theatre: theatre_reading_82.
 * Tests     tests/unit/test_new_eyes.c (derived rows) */

static double square(double x) { return x * x; }

/* (1 - t x/n)^-2 */
static double grows(double vergence_d, double carried_d) { return square(carried_d / vergence_d); }

iol_status iol_no_lens_power(const iol_no_lens *eye, double *power_d, iol_no_lens_gradient *gradient) {
    double has_d, wants_d, reading_d, target_d;
    *power_d = NAN;
    *gradient = (iol_no_lens_gradient){NAN, NAN, NAN, NAN, NAN};
    iol_status status =
        iol_arriving_vergence(eye->cornea_d, eye->position_mm, eye->reading_d, eye->reading_vertex_mm, &has_d);
    if (status >= 0)
        status = iol_arriving_vergence(eye->cornea_d, eye->position_mm, eye->target_d, eye->target_vertex_mm, &wants_d);
    if (status >= 0) status = iol_vertex_to_cornea(eye->reading_d, eye->reading_vertex_mm, &reading_d);
    if (status >= 0) status = iol_vertex_to_cornea(eye->target_d, eye->target_vertex_mm, &target_d);
    if (status < 0) return status;
    double a = grows(eye->cornea_d + reading_d, has_d), c = grows(eye->cornea_d + target_d, wants_d);
    double by_mm = 1.0 / iol_millimetres(c_index_aqueous);
    *power_d = has_d - wants_d;
    gradient->reading = a / square(1.0 - iol_metres(eye->reading_vertex_mm) * eye->reading_d);
    gradient->vertex = iol_metres(a * square(reading_d));
    gradient->position = (square(has_d) - square(wants_d)) * by_mm;
    gradient->cornea = a - c;
    gradient->outcome = -square(1.0 - iol_metres(eye->target_vertex_mm) * eye->target_d) / c;
    return IOL_OK;
}

iol_status iol_no_lens_length(double cornea_d, double reading_d, double vertex_mm, double *length_mm) {
    return iol_length_for((iol_model){cornea_d, NAN, 0.0}, 0.0, reading_d, vertex_mm, length_mm);
}

iol_status iol_no_lens_refraction(double length_mm, double cornea_d, double vertex_mm, double *refraction_d,
                                  iol_gradient *gradient) {
    return iol_refraction_with_gradient((iol_model){cornea_d, length_mm, 0.0}, 0.0, vertex_mm, refraction_d, gradient);
}

double iol_no_lens_by_line(double length_mm, double k_d) {
    return c_aphakic_line_base_d - c_aphakic_line_length * length_mm - c_aphakic_line_cornea * k_d;
}

double iol_no_lens_by_theatre(double x) { return c_theatre_square * x * x + c_theatre_slope * x + c_theatre_base_d; }
