#include "optics.h"
#include "optics/units.h"

/* Purpose   Shape of a lens from its power and back.
 * Equation  D1 = (n - m)/r1, D2 = (m - n)/r2, D = D1 + D2 - (t/n) D1 D2; first principal point m (t/n) D2/D from the
 *           front vertex, second -m (t/n) D1/D from the back vertex. Equal radii: 2 s - (t/n) s^2 = D with
 *           s = (n - m)/r, so s = D / (1 + sqrt(1 - (t/n) D)). Sagitta |r| - sqrt(r^2 - h^2).
 * Given     Radii and thicknesses in mm, indices n (lens) and m (medium). An infinite radius is a plane.
 * Returned  Power in dioptres, points, radii and thicknesses in mm.
 * Status    IOL_BAD_INPUT: not a number, no positive index, negative thickness or height. IOL_NO_SOLUTION: no such
 *           lens (no power, height beyond the radius, centre worn through). IOL_NO_CONVERGENCE: edge not reached.
 * Valid     Paraxial rays, spherical surfaces.
 * Source    iso_11979_2 (power in situ), from memory; schroeder_2018 (where the thin lens stands).
 * Differs   No.
 * Tests     tests/unit/test_thick_lens.c */

enum { edge_rounds = 200 };
static const double edge_tolerance_mm = 1e-12;

static bool is_thickness(double mm) { return isfinite(mm) && mm >= 0.0; }
static bool is_index(double index) { return isfinite(index) && index > 0.0; }

iol_status iol_sagitta(double radius_mm, double height_mm, double *sagitta_mm) {
    *sagitta_mm = NAN;
    if (isnan(radius_mm) || !is_thickness(height_mm)) return IOL_BAD_INPUT;
    double r = fabs(radius_mm);
    if (height_mm > r || r == 0.0) return IOL_NO_SOLUTION;
    double found_mm = height_mm * height_mm / (r + sqrt((r - height_mm) * (r + height_mm)));
    if (!isfinite(found_mm)) return IOL_NO_SOLUTION;
    *sagitta_mm = found_mm;
    return IOL_OK;
}

iol_status iol_thick_lens_power(double front_radius_mm, double back_radius_mm, double thickness_mm, double index,
                                double medium_index, iol_thick_lens *lens) {
    *lens = (iol_thick_lens){NAN, NAN, NAN};
    bool radii_known = !isnan(front_radius_mm) && !isnan(back_radius_mm);
    if (!radii_known || front_radius_mm == 0.0 || back_radius_mm == 0.0 || !is_thickness(thickness_mm) ||
        !is_index(index) || !is_index(medium_index)) {
        return IOL_BAD_INPUT;
    }
    double front_d = (index - medium_index) / iol_metres(front_radius_mm);
    double back_d = (medium_index - index) / iol_metres(back_radius_mm);
    double reduced_m = iol_metres(thickness_mm) / index;
    double power_d = front_d + back_d - reduced_m * front_d * back_d;
    if (power_d == 0.0) return IOL_NO_SOLUTION;
    double shift_mm = iol_millimetres(medium_index * reduced_m);
    iol_thick_lens found = {power_d, shift_mm * back_d / power_d, 0.0 - shift_mm * front_d / power_d};
    if (!isfinite(power_d) || !isfinite(found.first_principal_mm) || !isfinite(found.second_principal_mm))
        return IOL_NO_SOLUTION;
    *lens = found;
    return IOL_OK;
}

/* The same with its sign: above 0 biconvex where the lens is denser than the medium. */
static iol_status signed_radius(double power_d, double thickness_mm, double index, double medium_index,
                                double *radius_mm) {
    *radius_mm = NAN;
    if (!isfinite(power_d) || !is_thickness(thickness_mm) || !is_index(index) || !is_index(medium_index))
        return IOL_BAD_INPUT;
    double square = 1.0 - iol_metres(thickness_mm) / index * power_d;
    if (power_d == 0.0 || index == medium_index || square < 0.0) return IOL_NO_SOLUTION;
    double surface_d = power_d / (1.0 + sqrt(square));
    double found_mm = iol_millimetres((index - medium_index) / surface_d);
    if (!isfinite(found_mm)) return IOL_NO_SOLUTION;
    *radius_mm = found_mm;
    return IOL_OK;
}

iol_status iol_thick_lens_equal_radius(double power_d, double thickness_mm, double index, double medium_index,
                                       double *radius_mm) {
    iol_status status = signed_radius(power_d, thickness_mm, index, medium_index, radius_mm);
    *radius_mm = fabs(*radius_mm);
    return status;
}

/* One round: the radius that the centre thickness asks for, and the centre thickness that the radius leaves. */
static iol_status edge_round(double power_d, double edge_mm, double optic_diameter_mm, double index,
                             double medium_index, double *radius_mm, double *centre_mm) {
    double sagitta_mm;
    iol_status status = signed_radius(power_d, *centre_mm, index, medium_index, radius_mm);
    if (status < 0) return status;
    status = iol_sagitta(*radius_mm, 0.5 * optic_diameter_mm, &sagitta_mm);
    if (status < 0) return status;
    *centre_mm = edge_mm + 2.0 * copysign(sagitta_mm, *radius_mm);
    return *centre_mm > 0.0 ? IOL_OK : IOL_NO_SOLUTION;
}

iol_status iol_thick_lens_from_edge(double power_d, double edge_mm, double optic_diameter_mm, double index,
                                    double medium_index, double *radius_mm, double *centre_mm) {
    double centre = edge_mm, radius;
    *radius_mm = *centre_mm = NAN;
    for (int round = 0; round < edge_rounds; round++) {
        double before = centre;
        iol_status status = edge_round(power_d, edge_mm, optic_diameter_mm, index, medium_index, &radius, &centre);
        if (status < 0) return status;
        if (fabs(centre - before) <= edge_tolerance_mm) {
            *radius_mm = radius;
            *centre_mm = centre;
            return IOL_OK;
        }
    }
    return IOL_NO_CONVERGENCE;
}
