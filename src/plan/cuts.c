#include "cuts.h"

#include "iolrevise/displaced.h"
#include "iolrevise/optics.h"
#include "tables/constants.h"

/* Purpose   Shape of the old optic and the geometry of the ways to cut it.
 * Equation  t(x) = t0 - sag_front(x) - sag_back(x), sagittae signed, plus = convex outward. At rest its lowest part, the
 *           back vertex or the rim of a hollow back, touches the iris plane. Endothelium at c + sag(0.85 R, x).
 * Given     Lengths in mm, index, powers in dioptres.
 * Returned  Shape, thickness, clearance, cuts.
 * Status    IOL_NO_SOLUTION: no such lens. Clearance is NaN where depth or corneal radius is not known.
 * Valid     Spherical surfaces, centred optic, the eye's axis upright. Cuts outside the optic (a plate) are not judged.
 * Source    Geometry; the numbers are rows of data/constants.def.
 * Differs   A minus lens rests on its rim, not on its centre: its blade comes nearer the endothelium.
 * Tests     tests/unit/test_removal.c */

enum { samples = 64, rounds = 200 };

/* Signed sagitta: plus where the surface falls back from its vertex into the lens. */
static double sag(double outward_radius_mm, double height_mm) {
    double size;
    if (iol_sagitta(outward_radius_mm, height_mm, &size) < 0) return NAN;
    return outward_radius_mm < 0.0 ? 0.0 - size : size;
}

static double front_sag(const iol_optic_shape *s, double height_mm) { return sag(s->front_radius_mm, height_mm); }
static double back_sag(const iol_optic_shape *s, double height_mm) { return sag(-s->back_radius_mm, height_mm); }

double iol_optic_thickness(const iol_optic_shape *shape, double radius_mm) {
    return shape->centre_mm - front_sag(shape, radius_mm) - back_sag(shape, radius_mm);
}

/* Outward radius of the surface that completes the power beside one of a known outward radius. */
static double other_radius(const iol_old_optic *o, double known_radius_mm, double centre_mm) {
    double step = o->index - c_index_aqueous;
    double known_d = 1000.0 * step / known_radius_mm;
    double other_d = (o->power_d - known_d) / (1.0 - centre_mm / 1000.0 / o->index * known_d);
    return other_d == 0.0 ? INFINITY : 1000.0 * step / other_d;
}

/* One radius given: the other follows from power and centre; without a centre, from the edge, round by round. */
static iol_status one_radius(const iol_old_optic *o, iol_optic_shape *s) {
    bool front = !isnan(o->front_radius_mm);
    double known = front ? o->front_radius_mm : -o->back_radius_mm, half = o->diameter_mm / 2.0;
    double centre = isnan(o->centre_mm) ? o->edge_mm : o->centre_mm, other = NAN;
    for (int i = 0; i < rounds; i++) {
        double before = centre;
        other = other_radius(o, known, centre);
        if (!isnan(o->centre_mm)) break;
        centre = o->edge_mm + sag(known, half) + sag(other, half);
        if (!(centre > 0.0)) return IOL_NO_SOLUTION;
        if (fabs(centre - before) <= 1e-12) break;
        if (i == rounds - 1) return IOL_NO_CONVERGENCE;
    }
    s->front_radius_mm = front ? known : other;
    s->back_radius_mm = front ? -other : -known;
    s->centre_mm = centre;
    return IOL_OK;
}

static iol_status equal_radii(const iol_old_optic *o, iol_optic_shape *s) {
    double radius = INFINITY, centre = isnan(o->centre_mm) ? o->edge_mm : o->centre_mm;
    iol_status status = IOL_OK;
    if (o->power_d != 0.0 && isnan(o->centre_mm))
        status = iol_thick_lens_from_edge(o->power_d, o->edge_mm, o->diameter_mm, o->index, c_index_aqueous, &radius,
                                          &centre);
    else if (o->power_d != 0.0) {
        status = iol_thick_lens_equal_radius(o->power_d, centre, o->index, c_index_aqueous, &radius);
        if (o->power_d < 0.0) radius = -radius;
    }
    s->front_radius_mm = radius;
    s->back_radius_mm = -radius;
    s->centre_mm = centre;
    return status;
}

/* Curved by its word, not alike on both sides. */
static iol_status by_word(const iol_old_optic *o, iol_optic_shape *s) {
    iol_optic optic = {o->power_d, o->shape_q, o->index, o->centre_mm, 0.0};
    iol_optic_faces faces;
    iol_status status = IOL_OK;
    if (isnan(o->centre_mm))
        status = iol_optic_centre_from_edge(optic, o->edge_mm, o->diameter_mm, &optic.centre_thickness_mm);
    if (status >= 0) status = iol_optic_faces_of(optic, &faces);
    if (status < 0) return status;
    s->front_radius_mm = 1.0 / faces.front_per_mm;
    s->back_radius_mm = 1.0 / faces.back_per_mm;
    s->centre_mm = optic.centre_thickness_mm;
    return IOL_OK;
}

static iol_status both_radii(const iol_old_optic *o, iol_optic_shape *s) {
    s->front_radius_mm = o->front_radius_mm;
    s->back_radius_mm = o->back_radius_mm;
    double half = o->diameter_mm / 2.0;
    s->centre_mm = isnan(o->centre_mm) ? o->edge_mm + front_sag(s, half) + back_sag(s, half) : o->centre_mm;
    return IOL_OK;
}

iol_status iol_optic_shape_make(const iol_old_optic *optic, iol_optic_shape *shape) {
    const iol_optic_shape none = {NAN, NAN, NAN, NAN, optic->diameter_mm, optic->index, NAN};
    *shape = none;
    if (!isfinite(optic->power_d)) return IOL_BAD_INPUT;
    bool front = !isnan(optic->front_radius_mm), back = !isnan(optic->back_radius_mm);
    bool uneven = !isnan(optic->shape_q) && optic->shape_q != 0.0 && optic->power_d != 0.0;
    iol_status status = front && back   ? both_radii(optic, shape)
                        : front || back ? one_radius(optic, shape)
                        : uneven        ? by_word(optic, shape)
                                        : equal_radii(optic, shape);
    shape->edge_mm = iol_optic_thickness(shape, optic->diameter_mm / 2.0);
    iol_thick_lens lens = {.power_d = 0.0};
    bool solid = status >= 0 && shape->edge_mm > 0.0 && shape->centre_mm > 0.0;
    if (solid && isfinite(shape->front_radius_mm + shape->back_radius_mm))
        iol_thick_lens_power(shape->front_radius_mm, shape->back_radius_mm, shape->centre_mm, shape->index,
                             c_index_aqueous, &lens);
    else if (solid && (isfinite(shape->front_radius_mm) || isfinite(shape->back_radius_mm)))
        lens.power_d = optic->power_d; /* one plane surface: made from the power itself */
    shape->power_d = lens.power_d;
    if (solid) return IOL_OK;
    *shape = none;
    return status < 0 ? status : IOL_NO_SOLUTION;
}

double iol_endothelium_radius(const iol_chamber *chamber) { return c_back_radius_share * chamber->front_radius_mm; }

double iol_optic_front(const iol_optic_shape *shape, const iol_chamber *chamber) {
    return chamber->iris_plane_mm - shape->centre_mm + fmin(0.0, back_sag(shape, shape->diameter_mm / 2.0));
}

double iol_optic_clearance(const iol_optic_shape *shape, const iol_chamber *chamber, double radius_mm) {
    double blade_mm = iol_optic_front(shape, chamber) + front_sag(shape, radius_mm) - chamber->blade_mm;
    return blade_mm - chamber->cornea_mm - sag(iol_endothelium_radius(chamber), radius_mm);
}

static void add_cut(iol_removal_geometry *out, double x_from, double y_from, double x_to, double y_to) {
    out->cut[out->cuts++] = (iol_cut){x_from, y_from, x_to, y_to};
    out->length_mm += hypot(x_to - x_from, y_to - y_from);
}

/* Cuts, widest piece and reach. top: where the lens begins on the wound's side. */
static void lay_out(int method, double half, double top, iol_removal_geometry *out) {
    double sine, cosine, third = half / 3;
    switch (method) {
    case IOL_removal_method_folded: out->widest_mm = half; break;
    case IOL_removal_method_halved:
        add_cut(out, 0.0, top, 0.0, -top);
        out->widest_mm = half;
        out->reach_mm = 2.0 * top;
        break;
    case IOL_removal_method_halved_turned:
        add_cut(out, 0.0, top, 0.0, 0.0);
        add_cut(out, 0.0, -top, 0.0, 0.0); /* brought to the wound by the half turn */
        out->widest_mm = half;
        out->reach_mm = top;
        break;
    case IOL_removal_method_partial:
        add_cut(out, 0.0, half, 0.0, -c_partial_past_centre_mm);
        out->reach_mm = half + c_partial_past_centre_mm;
        break;
    case IOL_removal_method_wedge:
        iol_sincos_deg(c_wedge_deg / 2.0, &sine, &cosine);
        add_cut(out, -half * sine, half * cosine, 0.0, 0.0);
        add_cut(out, half * sine, half * cosine, 0.0, 0.0);
        out->widest_mm = half * (1.0 + cosine); /* what is left, across the gap */
        out->reach_mm = half;
        break;
    case IOL_removal_method_thirds: {
        bool plate = top != half;
        double end = plate ? top : sqrt(half * half - third * third);
        add_cut(out, -third, end, -third, -end);
        add_cut(out, third, end, third, -end);
        out->widest_mm = 2.0 * third;
        out->reach_mm = top + end;
        break;
    }
    default: break;
    }
}

/* Thickest place and least clearance of one cut; what lies beyond the optic (a plate) counts as its rim. */
static void walk(const iol_optic_shape *shape, const iol_chamber *chamber, iol_cut cut, iol_removal_geometry *out) {
    for (int k = 0; k <= samples; k++) {
        double part = (double)k / samples;
        double x = cut.x_from_mm + part * (cut.x_to_mm - cut.x_from_mm);
        double y = cut.y_from_mm + part * (cut.y_to_mm - cut.y_from_mm);
        double radius = fmin(hypot(x, y), shape->diameter_mm / 2.0);
        out->thickest_mm = fmax(out->thickest_mm, iol_optic_thickness(shape, radius));
        double clearance = iol_optic_clearance(shape, chamber, radius);
        if (isnan(out->clearance_mm) || clearance < out->clearance_mm) {
            out->clearance_mm = clearance;
            out->least_at_mm = isnan(clearance) ? NAN : radius;
        }
    }
}

void iol_removal_geometry_of(int method, const iol_optic_shape *shape, const iol_chamber *chamber,
                             double plate_length_mm, iol_removal_geometry *out) {
    double half = shape->diameter_mm / 2.0;
    double top = plate_length_mm > shape->diameter_mm ? plate_length_mm / 2.0 : half;
    *out = (iol_removal_geometry){
        .widest_mm = shape->diameter_mm, .reach_mm = NAN, .thickest_mm = NAN, .clearance_mm = NAN, .least_at_mm = NAN};
    lay_out(method, half, top, out);
    for (int i = 0; i < out->cuts; i++) walk(shape, chamber, out->cut[i], out);
    if (isnan(plate_length_mm) && out->cuts > 0) out->length_mm = out->reach_mm = NAN;
}
