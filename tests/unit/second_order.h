/* What a displaced lens does to second order in tilt and decentration, by hand: no ray, no iteration. */
#ifndef TESTS_SECOND_ORDER_H
#define TESTS_SECOND_ORDER_H

#include "iolrevise/displaced.h"

typedef struct {
    double hh_mm, thick, s1,
        s2; /* distance of the principal points; factor of the thick lens; shape sums per cubic and square metre */
    iol_matrix change;
    double prism_x_pd, prism_y_pd;
} second_order;

static inline iol_matrix outer(double ax, double ay, double bx, double by) {
    return (iol_matrix){ax * bx, 0.5 * (ax * by + ay * bx), ay * by};
}

static inline second_order second_order_of(iol_model eye, double gap_mm, iol_optic o, iol_displacement where) {
    const double n0 = 1.336, Q = -0.26;
    second_order r;
    iol_optic_faces f;
    iol_optic_faces_of(o, &f);
    double P = o.power_d, m = o.index / n0, q = o.shape_q, K = eye.cornea_d, E = eye.position_mm / 1000.0;
    double s = eye.length_mm / 1000.0 - E, W1 = n0 / s, W = W1 - P, e = gap_mm / 1000.0;
    double c1 = 1000.0 * f.front_per_mm, c2 = 1000.0 * f.back_per_mm, t = o.centre_thickness_mm / 1000.0;
    double F1 = 1000.0 * (o.index - n0) * f.front_per_mm, F2 = -1000.0 * (o.index - n0) * f.back_per_mm;
    double k = 0.0005 * (f.first_mm + f.second_mm), V = 2.0 * W1 - P;
    r.hh_mm = f.second_mm - f.first_mm;
    r.thick = (F1 * pow(1.0 - c1 * k, 2) + F2 * pow(1.0 + c2 * (t - k), 2)) / (F1 + F2);
    r.s1 = P / (4.0 * n0 * n0) *
               (pow(m / (m - 1.0), 2) * P * P +
                (m + 2.0) / (m * pow(m - 1.0, 2)) * pow(q * P - 2.0 * (m * m - 1.0) / (m + 2.0) * V, 2) -
                m / (m + 2.0) * V * V) +
           (o.index - n0) * o.front_conic * pow(P / (o.index - n0) * (q + 1.0) / 2.0, 3);
    r.s2 = P / (2.0 * n0) * ((m + 1.0) / (m * (m - 1.0)) * q * P - (2.0 * m + 1.0) / m * V);
    double us, uc, ws, wc, ts, tc, eta = r.hh_mm / 2000.0, d = where.decentration_mm / 1000.0;
    iol_sincos_deg(where.back_position_deg, &us, &uc);
    iol_sincos_deg(where.decentration_position_deg, &ws, &wc);
    iol_sincos_deg(where.tilt_deg, &ts, &tc);
    double T = ts / tc, root = sqrt(r.thick);
    double u[2] = {uc, us}, w[2] = {wc, ws}, a[2], y[2], rr[2], b[2], bi[2], bo[2];
    for (int i = 0; i < 2; i++) {
        double dH = d * w[i] + eta * T * u[i];
        a[i] = (2.0 * eta * T * u[i] - s * P / n0 * dH) / (e + s - e * s * P / n0);
        y[i] = e * a[i];
        rr[i] = y[i] - dH;
        b[i] = root * T * u[i] - d * w[i] / s;
        bi[i] = b[i] - rr[i] / s;
        bo[i] = b[i] - rr[i] * W / n0;
    }
#define DOT(x, z) ((x)[0] * (z)[0] + (x)[1] * (z)[1])
    double de = T * DOT(u, rr);
    double unit = W + W1 * DOT(bi, bi) / 2.0 - W * DOT(bo, bo) / 2.0 - W1 * DOT(y, y) / (2.0 * s * s) +
                  W1 * W1 * de / n0 - P * (1.0 + 1.0 / m) * DOT(b, b) / 2.0 - r.s1 * DOT(rr, rr) / 2.0 -
                  r.s2 * DOT(rr, b);
    iol_matrix A = iol_matrix_scalar(unit);
    A = iol_matrix_subtract(A, iol_matrix_scale(outer(b[0], b[1], b[0], b[1]), P));
    A = iol_matrix_subtract(A, iol_matrix_scale(outer(rr[0], rr[1], rr[0], rr[1]), r.s1));
    A = iol_matrix_subtract(A, iol_matrix_scale(outer(rr[0], rr[1], b[0], b[1]), 2.0 * r.s2));
    double c = K / (n0 - 1.0), zp = E - e, h[2] = {-zp * a[0], -zp * a[1]};
    double in[2] = {a[0] * (1.0 - zp * c), a[1] * (1.0 - zp * c)};
    double tau = E + de + (E * DOT(a, a) - c * DOT(h, h)) / 2.0, Z0 = W / (1.0 + E * W / n0), R0 = Z0 - K;
    iol_matrix_step(A, -tau / n0, &r.change);
    r.change = iol_matrix_subtract(r.change, iol_matrix_scalar(Z0));
    r.change = iol_matrix_subtract(r.change, iol_matrix_scale(outer(in[0], in[1], in[0], in[1]), Z0 - n0 * n0 * R0));
    r.change = iol_matrix_subtract(r.change, iol_matrix_scalar(K * n0 * DOT(in, in) / 2.0));
    iol_matrix bend = iol_matrix_add(iol_matrix_scalar(DOT(h, h) / 2.0), outer(h[0], h[1], h[0], h[1]));
    r.change = iol_matrix_subtract(r.change, iol_matrix_scale(bend, K * Q * c * c));
#undef DOT
    r.prism_x_pd = -100.0 * (n0 - K * zp) * a[0];
    r.prism_y_pd = -100.0 * (n0 - K * zp) * a[1];
    return r;
}

#endif
