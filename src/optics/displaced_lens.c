#include "displaced.h"
#include "optics/ray.h"
#include "optics/units.h"
#include "tables/constants.h"

/* Purpose   Refraction and prism of an eye whose lens is tilted or off centre.
 * Equation  One real ray from the fovea through the centre of the pupil (0, 0, E - gap) and out; face c (r.r + Q (n.r)^2)/2 = n.r
 *           about its vertex, n its axis. The wave about the ray is a 3x3 matrix H: point H = n/t (I - s s'), space
 *           H (I + t H/n)^-1, face T' (H + mu F''/|g|) T with mu = n2 s2.N - n1 s1.N, T = I - s2 N'/(N.s2), F'' = c (I + Q n n'):
 *           Coddington's equations for any orientation. The cornea is one conic face of power K. The retina lies at L + h2 - h1,
 *           so that the centred eye is the thin-lens eye exactly. The lens turns about the middle of its principal points.
 *           The slope at the fovea is mended by miss/B, B = n (l + p - l p P/1000), l = (L - E)/n, p = gap/n.
 * Given     mm, D, degrees.
 * Returned  D at the cornea across the ray in the frame turned least; prism (sx, sy)/|sz| in prism dioptres.
 * Status    IOL_BAD_INPUT, IOL_NO_SOLUTION (no power; a ray that meets no face), IOL_NO_CONVERGENCE (no ray through the pupil).
 * Valid     As the header says. Fovea and pupil centre lie on the axis of the cornea.
 * Source    Derived; Coddington's equations are textbook optics.
 * Differs   No.
 * Tests     tests/unit/test_displaced_lens.c */

enum { aim_turns = 60 };
static const double aimed_mm = 1e-13;
static const double widest_deg = 90.0;

/* A ray with its wave; per_mm is the wave's matrix of vergences, index-weighted. */
typedef struct {
    iol_vector at, way;
    iol_cube wave;
} ray;

typedef struct {
    iol_vector vertex, axis;
    double per_mm, conic, index_before, index_after;
} face;

typedef struct {
    face back, front, cornea;
    double retina_mm, pupil_mm;
} scene;

/* The path to the face, by way of the plane through its vertex: of the two crossings the one beside the vertex. NaN where it
 * is missed. */
static double path_to(const face *f, const ray *r) {
    double along = iol_dot(f->axis, r->way);
    double first = -iol_dot(f->axis, iol_minus(r->at, f->vertex)) / along;
    iol_vector from = iol_minus(iol_plus(r->at, iol_times(r->way, first)), f->vertex);
    double a = f->per_mm * (1.0 + f->conic * along * along);
    double b = f->per_mm * iol_dot(from, r->way) - along;
    double c = f->per_mm * iol_dot(from, from);
    double square = b * b - a * c;
    return square < 0.0 || !(b > 0.0) ? NAN : first - c / (b + sqrt(square));
}

/* H (I + t H/n)^-1 by the adjoint. */
static void wave_onward(iol_cube *wave, double reduced_mm) {
    double m[3][3], adjoint[3][3];
    for (int i = 0; i < 3; i++)
        for (int k = 0; k < 3; k++) m[i][k] = (i == k ? 1.0 : 0.0) + reduced_mm * wave->at[i][k];
    for (int i = 0; i < 3; i++) {
        for (int k = 0; k < 3; k++) {
            int i1 = (i + 1) % 3, i2 = (i + 2) % 3, k1 = (k + 1) % 3, k2 = (k + 2) % 3;
            adjoint[k][i] = m[i1][k1] * m[i2][k2] - m[i1][k2] * m[i2][k1];
        }
    }
    double whole = m[0][0] * adjoint[0][0] + m[0][1] * adjoint[1][0] + m[0][2] * adjoint[2][0];
    iol_cube before = *wave;
    for (int i = 0; i < 3; i++) {
        for (int k = 0; k < 3; k++) {
            double sum = 0.0;
            for (int j = 0; j < 3; j++) sum += before.at[i][j] * adjoint[j][k];
            wave->at[i][k] = sum / whole;
        }
    }
}

/* T' (H + mu F''/|g|) T. */
static void wave_through(iol_cube *wave, const face *f, iol_vector way, iol_vector normal, double bend) {
    double n[3] = {f->axis.x, f->axis.y, f->axis.z}, s[3] = {way.x, way.y, way.z};
    double across[3] = {normal.x, normal.y, normal.z}, meet = iol_dot(normal, way), t[3][3], part[3][3];
    for (int i = 0; i < 3; i++) {
        for (int k = 0; k < 3; k++) {
            wave->at[i][k] += bend * ((i == k ? 1.0 : 0.0) + f->conic * n[i] * n[k]);
            t[i][k] = (i == k ? 1.0 : 0.0) - s[i] * across[k] / meet;
        }
    }
    for (int i = 0; i < 3; i++) {
        for (int k = 0; k < 3; k++)
            part[i][k] = wave->at[i][0] * t[0][k] + wave->at[i][1] * t[1][k] + wave->at[i][2] * t[2][k];
    }
    for (int i = 0; i < 3; i++)
        for (int k = 0; k < 3; k++) wave->at[i][k] = t[0][i] * part[0][k] + t[1][i] * part[1][k] + t[2][i] * part[2][k];
}

/* To the face and through it. False where the ray misses it or is thrown back. */
static bool pass(const face *f, ray *r, bool with_wave) {
    double path_mm = path_to(f, r);
    if (!isfinite(path_mm)) return false;
    r->at = iol_plus(r->at, iol_times(r->way, path_mm));
    if (with_wave) wave_onward(&r->wave, path_mm / f->index_before);
    iol_vector from = iol_minus(r->at, f->vertex), n = f->axis;
    iol_vector slope = iol_minus(iol_times(iol_plus(from, iol_times(n, f->conic * iol_dot(n, from))), f->per_mm), n);
    double steep = sqrt(iol_dot(slope, slope)), ratio = f->index_before / f->index_after;
    iol_vector normal = iol_times(slope, 1.0 / steep);
    double before = iol_dot(normal, r->way), square = 1.0 - ratio * ratio * (1.0 - before * before);
    if (!(square > 0.0)) return false;
    double after = copysign(sqrt(square), before);
    r->way = iol_plus(iol_times(r->way, ratio), iol_times(normal, after - ratio * before));
    if (with_wave) {
        double turn = f->index_after * after - f->index_before * before;
        wave_through(&r->wave, f, r->way, normal, turn * f->per_mm / steep);
    }
    return true;
}

static ray from_fovea(const scene *s, const double slope[2]) {
    return (ray){{0.0, 0.0, s->retina_mm}, iol_unit((iol_vector){slope[0], slope[1], -1.0}), {{{0.0}}}};
}

/* The slope at the fovea by which the ray goes through the centre of the pupil. */
static iol_status aim(const scene *s, double reach_mm, double slope[2]) {
    slope[0] = slope[1] = 0.0;
    for (int turn = 0; turn < aim_turns; turn++) {
        ray r = from_fovea(s, slope);
        if (!pass(&s->back, &r, false) || !pass(&s->front, &r, false) || !(r.way.z < 0.0)) return IOL_NO_SOLUTION;
        double on = (s->pupil_mm - r.at.z) / r.way.z;
        double x = r.at.x + on * r.way.x, y = r.at.y + on * r.way.y;
        if (hypot(x, y) <= aimed_mm) return IOL_OK;
        slope[0] -= x / reach_mm;
        slope[1] -= y / reach_mm;
        if (!isfinite(slope[0]) || !isfinite(slope[1])) return IOL_NO_CONVERGENCE;
    }
    return IOL_NO_CONVERGENCE;
}

/* The wave across the ray in the frame that is turned least from the eye's. */
static iol_matrix across(const ray *r) {
    iol_vector away = {0.0, 0.0, -1.0}, s = r->way, sum = iol_plus(away, s);
    double part = 1.0 / (1.0 + iol_dot(away, s));
    iol_vector x = iol_minus((iol_vector){1.0, 0.0, 0.0}, iol_times(sum, s.x * part));
    iol_vector y = iol_minus((iol_vector){0.0, 1.0, 0.0}, iol_times(sum, s.y * part));
    iol_vector hx = iol_cube_times(&r->wave, x), hy = iol_cube_times(&r->wave, y);
    return (iol_matrix){iol_millimetres(iol_dot(x, hx)), iol_millimetres(iol_dot(y, hx)),
                        iol_millimetres(iol_dot(y, hy))};
}

static iol_status trace(const scene *s, const double slope[2], iol_displaced_eye *found) {
    ray r = from_fovea(s, slope);
    double to_back_mm = path_to(&s->back, &r), n = s->back.index_before;
    double way[3] = {r.way.x, r.way.y, r.way.z};
    /* The wave starts one mm on: a point has no vergence of its own. */
    r.at = iol_plus(r.at, r.way);
    for (int i = 0; i < 3; i++)
        for (int k = 0; k < 3; k++) r.wave.at[i][k] = n * ((i == k ? 1.0 : 0.0) - way[i] * way[k]);
    if (!(to_back_mm > 1.0)) return IOL_NO_SOLUTION;
    if (!pass(&s->back, &r, true) || !pass(&s->front, &r, true) || !pass(&s->cornea, &r, true) || !(r.way.z < 0.0))
        return IOL_NO_SOLUTION;
    found->at_cornea = across(&r);
    found->prism_x_pd = 0.0 - 100.0 * r.way.x / r.way.z;
    found->prism_y_pd = 0.0 - 100.0 * r.way.y / r.way.z;
    return IOL_OK;
}

static bool is_displacement(iol_displacement *w) {
    if (w->tilt_deg == 0.0) w->back_position_deg = 0.0;
    if (w->decentration_mm == 0.0) w->decentration_position_deg = 0.0;
    return w->tilt_deg >= 0.0 && w->tilt_deg < widest_deg && w->decentration_mm >= 0.0 &&
           isfinite(w->decentration_mm) && isfinite(w->back_position_deg) && isfinite(w->decentration_position_deg);
}

static scene set(iol_model eye, double gap_mm, iol_optic optic, const iol_optic_faces *f, iol_displacement w) {
    double up, across_deg, tilt_sine, tilt_cosine, w_sine, w_cosine, n = c_index_aqueous;
    iol_sincos_deg(w.back_position_deg, &up, &across_deg);
    iol_sincos_deg(w.tilt_deg, &tilt_sine, &tilt_cosine);
    iol_sincos_deg(w.decentration_position_deg, &w_sine, &w_cosine);
    iol_vector axis = {0.0 - across_deg * tilt_sine, 0.0 - up * tilt_sine, tilt_cosine};
    iol_vector pivot = {w.decentration_mm * w_cosine, w.decentration_mm * w_sine,
                        eye.position_mm + 0.5 * (f->second_mm - f->first_mm)};
    iol_vector front = iol_minus(pivot, iol_times(axis, 0.5 * (f->first_mm + f->second_mm)));
    iol_vector back = iol_plus(front, iol_times(axis, optic.centre_thickness_mm));
    double cornea_per_mm = iol_metres(eye.cornea_d) / (n - 1.0);
    return (scene){{back, axis, f->back_per_mm, 0.0, n, optic.index},
                   {front, axis, f->front_per_mm, optic.front_conic, optic.index, n},
                   {{0.0, 0.0, 0.0}, {0.0, 0.0, 1.0}, cornea_per_mm, c_cornea_conic, n, 1.0},
                   eye.length_mm + f->second_mm - f->first_mm,
                   eye.position_mm - gap_mm};
}

iol_status iol_displaced_lens(iol_model eye, double pupil_gap_mm, iol_optic optic, iol_displacement where,
                              iol_displaced_eye *found) {
    iol_optic_faces faces;
    iol_displaced_eye made;
    double slope[2], n = c_index_aqueous;
    *found = (iol_displaced_eye){{NAN, NAN, NAN}, {NAN, NAN, NAN}, NAN, NAN, NAN};
    if (!isfinite(optic.front_conic) || !isfinite(pupil_gap_mm) || !is_displacement(&where)) return IOL_BAD_INPUT;
    iol_status status = iol_optic_faces_of(optic, &faces);
    if (status >= 0) status = iol_refraction_of(eye, optic.power_d, 0.0, &made.centred_d);
    if (status < 0) return status;
    scene s = set(eye, pupil_gap_mm, optic, &faces, where);
    double length = (eye.length_mm - eye.position_mm) / n, gap = pupil_gap_mm / n;
    status = aim(&s, n * (length + gap - length * gap * iol_metres(optic.power_d)), slope);
    if (status >= 0) status = trace(&s, slope, &made);
    if (status < 0) return status;
    made.explained = iol_matrix_subtract(made.at_cornea, iol_matrix_scalar(made.centred_d));
    if (!isfinite(iol_matrix_mean(made.explained)) || !isfinite(made.explained.xy)) return IOL_NO_SOLUTION;
    *found = made;
    return IOL_OK;
}
