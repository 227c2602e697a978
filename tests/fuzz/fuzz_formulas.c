/* Any doubles to every formula, the thin-lens eye, spherocylinders and the thick lens. A negative status and NaN in every output
 * go together; else every output is finite. Ways back lead back, for values such as eyes have.
 *
 * Byte 0 even: eight bytes a double, whatever they hold. Odd: two bytes a value, spread over the range that the reader takes. */
#include "fuzz.h"

typedef struct {
    const uint8_t *data;
    size_t left;
    bool plausible;
} doubles;

/* The next value; NaN when none is left. */
static double next(doubles *d, double low, double high) {
    double x = NAN;
    size_t size = d->plausible ? 2 : sizeof x;
    if (d->left < size) return d->plausible ? 0.5 * (low + high) : NAN;
    if (d->plausible)
        x = low + (high - low) * (double)(d->data[0] << 8 | d->data[1]) / 65535.0;
    else
        memcpy(&x, d->data, sizeof x);
    d->data += size;
    d->left -= size;
    return x;
}

static void check_outputs(iol_status status, const double *output, int count) {
    for (int i = 0; i < count; i++) {
        fuzz_must(status >= 0 || isnan(output[i]), "not computed, and an output all the same");
        fuzz_must(status < 0 || isfinite(output[i]), "computed, and an output that is not finite");
    }
}

static bool near(double a, double b, double tolerance) { return fabs(a - b) <= tolerance; }

/* ---- formulas ---- */

static void check_formula(iol_formula formula, const iol_formula_input *in, bool plausible) {
    iol_model model = {1.0, 1.0, 1.0};
    iol_status status = iol_formula_predict(formula, in, &model);
    const double output[] = {model.cornea_d, model.length_mm, model.position_mm};
    check_outputs(status, output, 3);
    if (status < 0) return;
    fuzz_must(model.position_mm > 0.0 && model.position_mm < model.length_mm, "a lens outside the eye");
    fuzz_must(status & IOL_OUTSIDE_SOURCE || (in->axial_length_mm >= 18.5 && in->axial_length_mm <= 31.0),
              "a length outside the source, not said");
    if (!plausible) return;
    double k_read = iol_formula_cornea_read(formula, model.cornea_d);
    fuzz_must(near(iol_formula_length_read(formula, model.length_mm), in->axial_length_mm, 1e-9),
              "another length read");
    fuzz_must(near(k_read, 337.5 / in->radius_mm, 1e-9), "another keratometry read");
}

/* ---- one eye ---- */

static void check_vertex(double refraction_d, double vertex_mm, bool plausible) {
    double cornea_d = 1.0, again_d = 1.0;
    iol_status status = iol_vertex_to_cornea(refraction_d, vertex_mm, &cornea_d);
    check_outputs(status, &cornea_d, 1);
    iol_status back = iol_vertex_to_spectacle(cornea_d, vertex_mm, &again_d);
    check_outputs(back, &again_d, 1);
    if (status < 0 || !plausible) return;
    fuzz_must(back >= 0 && near(again_d, refraction_d, 1e-9), "a vertex step does not come back");
}

/* Every inverse promises to come back within 1e-9 D. */
static void check_back(iol_status status, iol_model eye, double power_d, double refraction_d, double vertex_mm) {
    double again_d;
    if (status < 0) return;
    fuzz_must(iol_refraction_of(eye, power_d, vertex_mm, &again_d) >= 0, "an inverse that has no refraction");
    fuzz_must(near(again_d, refraction_d, 1e-9), "an inverse that does not come back");
}

static void check_inverses(iol_model eye, double power_d, double refraction_d, double vertex_mm) {
    double found = 1.0, other = 1.0;
    iol_model moved = eye;
    iol_status status = iol_power_for(eye, refraction_d, vertex_mm, &found);
    check_outputs(status, &found, 1);
    check_back(status, eye, found, refraction_d, vertex_mm);
    moved.length_mm = eye.length_mm + 0.5;
    if (status >= 0 && iol_power_for(moved, refraction_d, vertex_mm, &other) >= 0)
        fuzz_must(other <= found, "a longer eye takes a stronger lens");
    status = iol_position_for(eye, power_d, refraction_d, vertex_mm, &found);
    check_outputs(status, &found, 1);
    moved = (iol_model){eye.cornea_d, eye.length_mm, found};
    check_back(status, moved, power_d, refraction_d, vertex_mm);
    fuzz_must(status < 0 || (found >= 1.0 && found <= 8.0), "a position outside its range");
    status = iol_length_for(eye, power_d, refraction_d, vertex_mm, &found);
    check_outputs(status, &found, 1);
    moved = (iol_model){eye.cornea_d, found, eye.position_mm};
    check_back(status, moved, power_d, refraction_d, vertex_mm);
    status = iol_cornea_for(eye, power_d, refraction_d, vertex_mm, &found);
    check_outputs(status, &found, 1);
    moved = (iol_model){found, eye.length_mm, eye.position_mm};
    check_back(status, moved, power_d, refraction_d, vertex_mm);
}

static void check_eye(iol_model eye, double power_d, double refraction_d, double vertex_mm) {
    double seen_d = 1.0, again_d = 1.0, arriving_d = 1.0;
    iol_gradient gradient = {1.0, 1.0, 1.0, 1.0};
    iol_status status = iol_refraction_of(eye, power_d, vertex_mm, &seen_d);
    check_outputs(status, &seen_d, 1);
    iol_status with = iol_refraction_with_gradient(eye, power_d, vertex_mm, &again_d, &gradient);
    const double slope[] = {gradient.length, gradient.cornea, gradient.position, gradient.power, again_d};
    check_outputs(with, slope, 5);
    fuzz_must(with == status || with == IOL_NO_SOLUTION, "another status beside the gradient");
    fuzz_must(with < 0 || again_d == seen_d, "another refraction beside the gradient");
    fuzz_must(with < 0 || (gradient.length <= 0.0 && gradient.cornea <= 0.0 && gradient.power <= 0.0),
              "a longer eye or a stronger lens, and less myopia");
    status = iol_arriving_vergence(eye.cornea_d, eye.position_mm, refraction_d, vertex_mm, &arriving_d);
    check_outputs(status, &arriving_d, 1);
    check_inverses(eye, power_d, refraction_d, vertex_mm);
}

/* ---- spherocylinders ---- */

static void check_matrix_outputs(iol_status status, iol_matrix m) {
    const double output[] = {m.xx, m.xy, m.yy};
    check_outputs(status, output, 3);
}

static bool near_matrix(iol_matrix a, iol_matrix b, double tolerance) {
    return near(a.xx, b.xx, tolerance) && near(a.xy, b.xy, tolerance) && near(a.yy, b.yy, tolerance);
}

static void check_spherocylinder(iol_spherocylinder s, double reduced_m, bool plausible) {
    iol_matrix m = iol_matrix_from_spherocylinder(s), step = {1.0, 1.0, 1.0}, back = {1.0, 1.0, 1.0};
    iol_status status = iol_matrix_step(m, reduced_m, &step);
    check_matrix_outputs(status, step);
    iol_status returned = iol_matrix_step(step, -reduced_m, &back);
    check_matrix_outputs(returned, back);
    if (!plausible) return;
    iol_spherocylinder minus = iol_matrix_to_spherocylinder(m);
    fuzz_must(minus.cylinder_d <= 0.0 && minus.axis_deg > 0.0 && minus.axis_deg <= 180.0, "not in minus form");
    fuzz_must(near_matrix(iol_matrix_from_spherocylinder(minus), m, 1e-9), "minus form is another lens");
    fuzz_must(status < 0 || (returned >= 0 && near_matrix(back, m, 1e-6)), "a step does not come back");
}

static void check_matrix_eye(iol_model eye, iol_spherocylinder cornea, double power_d, bool plausible) {
    iol_matrix k = iol_matrix_from_spherocylinder(cornea), lens = {1.0, 1.0, 1.0}, at_cornea = lens, needed = lens;
    iol_status status =
        iol_matrix_refraction(k, eye.length_mm, eye.position_mm, iol_matrix_scalar(power_d), &at_cornea);
    check_matrix_outputs(status, at_cornea);
    check_matrix_outputs(iol_matrix_needed(eye.length_mm, eye.position_mm, k, &needed), needed);
    iol_status back = iol_matrix_lens_for(k, eye.length_mm, eye.position_mm, at_cornea, &lens);
    check_matrix_outputs(back, lens);
    if (!plausible || status < 0) return;
    fuzz_must(back >= 0 && near_matrix(lens, iol_matrix_scalar(power_d), 1e-6), "another lens gives that refraction");
}

static void check_angles(double a, double b) {
    double sine, cosine, turn = iol_axis_turn(a, b), axis = iol_axis_reduce(a), place = iol_position_reduce(a);
    iol_sincos_deg(a, &sine, &cosine);
    if (!isfinite(a)) {
        fuzz_must(isnan(axis) && isnan(place) && isnan(turn) && isnan(sine) && isnan(cosine), "an angle of nothing");
        return;
    }
    fuzz_must(axis > 0.0 && axis <= 180.0, "a meridian outside 0 to 180");
    fuzz_must(place >= 0.0 && place < 360.0, "a place outside 0 to 360");
    fuzz_must(near(sine * sine + cosine * cosine, 1.0, 1e-12), "a sine off the circle");
    fuzz_must(!isfinite(b) ? isnan(turn) : turn > -90.0 && turn <= 90.0, "a turn the long way");
}

/* ---- thick lens ---- */

static void check_thick_lens(doubles *d) {
    double power_d = next(d, -40.0, 60.0), thickness = next(d, 0.1, 2.0), index = next(d, 1.40, 1.60);
    double medium = next(d, 1.333, 1.337), edge = next(d, 0.1, 0.6), diameter = next(d, 4.0, 7.0);
    double front = next(d, 5.0, 100.0), back = next(d, -100.0, -5.0), radius = 1.0, centre = 1.0, sagitta = 1.0;
    iol_thick_lens lens = {1.0, 1.0, 1.0};
    iol_status status = iol_thick_lens_power(front, back, thickness, index, medium, &lens);
    const double output[] = {lens.power_d, lens.first_principal_mm, lens.second_principal_mm};
    check_outputs(status, output, 3);
    status = iol_sagitta(front, 0.5 * diameter, &sagitta);
    check_outputs(status, &sagitta, 1);
    status = iol_thick_lens_equal_radius(power_d, thickness, index, medium, &radius);
    check_outputs(status, &radius, 1);
    if (status >= 0 && d->plausible) {
        double signed_radius = copysign(radius, power_d);
        fuzz_must(iol_thick_lens_power(signed_radius, -signed_radius, thickness, index, medium, &lens) >= 0 &&
                      near(lens.power_d, power_d, 1e-6),
                  "equal radii of another power");
    }
    status = iol_thick_lens_from_edge(power_d, edge, diameter, index, medium, &radius, &centre);
    const double shape[] = {radius, centre};
    check_outputs(status, shape, 2);
    if (status < 0) return;
    fuzz_must(centre > 0.0, "a centre worn through");
    if (d->plausible && iol_sagitta(radius, 0.5 * diameter, &sagitta) >= 0)
        fuzz_must(near(centre, edge + 2.0 * copysign(sagitta, radius), 1e-9), "centre, edge and radius do not close");
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    if (size == 0) return 0;
    doubles d = {data + 1, size - 1, data[0] & 1};
    iol_formula_input in = {.axial_length_mm = next(&d, 14.0, 40.0),
                            .radius_mm = next(&d, 5.0, 12.0),
                            .chamber_depth_mm = next(&d, 1.5, 6.0),
                            .lens = {.a_constant = next(&d, 100.0, 125.0),
                                     .surgeon_factor_mm = next(&d, -2.0, 5.0),
                                     .pacd_mm = next(&d, 2.0, 8.0),
                                     .haigis_a0_mm = next(&d, -5.0, 6.0),
                                     .haigis_a1 = next(&d, -1.0, 1.5),
                                     .haigis_a2 = next(&d, -1.0, 1.0)}};
    iol_model eye = {next(&d, 25.0, 60.0), in.axial_length_mm, next(&d, 1.0, 8.0)};
    double power_d = next(&d, -30.0, 60.0), refraction_d = next(&d, -30.0, 20.0), vertex_mm = next(&d, 0.0, 20.0);
    iol_spherocylinder s = {next(&d, -30.0, 30.0), next(&d, -10.0, 10.0), next(&d, 0.0, 180.0)};
    iol_spherocylinder cornea = {next(&d, 30.0, 50.0), next(&d, 0.0, 10.0), next(&d, 0.0, 180.0)};
    for (int i = 0; i < IOL_FORMULA_COUNT; i++) check_formula((iol_formula)i, &in, d.plausible);
    check_vertex(refraction_d, vertex_mm, d.plausible);
    check_eye(eye, power_d, refraction_d, vertex_mm);
    check_spherocylinder(s, 1e-3 * vertex_mm, d.plausible);
    check_matrix_eye(eye, cornea, power_d, d.plausible);
    check_angles(s.axis_deg, cornea.axis_deg);
    check_thick_lens(&d);
    return 0;
}
