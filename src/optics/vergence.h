/* What the thin-lens eyes share: light carried through the eye. */
#ifndef IOL_OPTICS_VERGENCE_H
#define IOL_OPTICS_VERGENCE_H

#include "optics.h"
#include "optics/units.h"
#include "tables/constants.h"

/* Vergence distance_mm further back in the eye; negative: further front. */
iol_status iol_vergence_carry(double vergence_d, double distance_mm, double *out_d);

static const double iol_reduced_m_per_mm = 0.001 / c_index_aqueous;
static inline double iol_reduced_in_eye(double distance_mm) { return iol_reduced_m_per_mm * distance_mm; }

/* Where a lens can lie: what an inverse or an update may answer. */
static inline bool iol_position_possible(double position_mm, double length_mm) {
    return position_mm >= c_position_low && position_mm <= fmin(c_position_high, length_mm - c_position_room);
}

/* g, a, b, c and d of the way back (vergence.c): it leads to a refraction where b and d are above 0. Straight lines without a
 * branch, so that many eyes can go side by side. */
typedef struct {
    double gap_m, a, b, c, d;
} iol_way_back;

static inline iol_way_back iol_go_back(iol_model eye, double power_d, double vertex_mm) {
    iol_way_back w;
    w.gap_m = iol_reduced_in_eye(eye.length_mm - eye.position_mm);
    w.a = 1.0 - w.gap_m * power_d;
    w.b = w.gap_m + iol_reduced_in_eye(eye.position_mm) * w.a;
    w.c = w.a - eye.cornea_d * w.b;
    w.d = w.b + iol_metres(vertex_mm) * w.c;
    return w;
}

static inline iol_gradient iol_gradient_back(iol_way_back w) {
    double by_d = 1.0 / w.d, cornea = w.b * by_d, power = w.gap_m * by_d, length = iol_reduced_m_per_mm * by_d * by_d;
    return (iol_gradient){-length, -cornea * cornea, length * (1.0 - w.a * w.a), -power * power};
}

#endif
