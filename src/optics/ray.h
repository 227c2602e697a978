/* Three-vectors and symmetric 3x3 matrices for one real ray: x to the examiner's right, y up, z into the eye. */
#ifndef IOL_OPTICS_RAY_H
#define IOL_OPTICS_RAY_H

#include "basics.h"

typedef struct {
    double x, y, z;
} iol_vector;

/* Rows x, y, z; symmetric where a wave is meant. */
typedef struct {
    double at[3][3];
} iol_cube;

static inline double iol_dot(iol_vector a, iol_vector b) { return a.x * b.x + a.y * b.y + a.z * b.z; }
static inline iol_vector iol_times(iol_vector a, double factor) {
    return (iol_vector){factor * a.x, factor * a.y, factor * a.z};
}
static inline iol_vector iol_plus(iol_vector a, iol_vector b) { return (iol_vector){a.x + b.x, a.y + b.y, a.z + b.z}; }
static inline iol_vector iol_minus(iol_vector a, iol_vector b) { return (iol_vector){a.x - b.x, a.y - b.y, a.z - b.z}; }
static inline iol_vector iol_unit(iol_vector a) { return iol_times(a, 1.0 / sqrt(iol_dot(a, a))); }

static inline iol_vector iol_cube_times(const iol_cube *m, iol_vector a) {
    return (iol_vector){m->at[0][0] * a.x + m->at[0][1] * a.y + m->at[0][2] * a.z,
                        m->at[1][0] * a.x + m->at[1][1] * a.y + m->at[1][2] * a.z,
                        m->at[2][0] * a.x + m->at[2][1] * a.y + m->at[2][2] * a.z};
}

#endif
