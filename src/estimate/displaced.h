/* What the displacement of the old lens does to the refraction, and the reading less that. */
#ifndef IOL_ESTIMATE_DISPLACED_H
#define IOL_ESTIMATE_DISPLACED_H

#include "estimate.h"

enum { IOL_MOST_CANDIDATES = 2 * IOL_MOST_DESIGNS };

/* One way in which the lens may lie, as far as the case leaves it open. */
typedef struct {
    int asphericity;
    iol_displacement where;
    iol_displaced_eye found;
} iol_displaced_candidate;

typedef struct {
    iol_status status; /* negative: nothing is traced */
    bool stated;       /* tilt or decentration is stated */
    iol_moved_lens lens;
    iol_model eye; /* the eye that is traced */
    int count;
    iol_displaced_candidate candidate[IOL_MOST_CANDIDATES];
    bool axis_known;      /* the candidates agree on the axes: their mean has one */
    bool directions;      /* both directions are known, or there is nothing to place */
    iol_matrix explained; /* mean of the candidates at the cornea; without an axis: of their sizes, along 180 */
    double prism_x_pd, prism_y_pd, prism_pd;
    double sd_se_d, sd_cylinder_d;
    int trust; /* word of set trust */
} iol_displaced_effect;

/* By one real ray, in the eye of `joint` (its posterior; NULL: an ordinary eye that focuses as read). */
void iol_displaced_effect_of(const iol_eye *eye, const iol_estimate *joint, iol_notes *notes,
                             iol_displaced_effect *out);
/* Tilt and decentration are both known, with their directions. */
bool iol_displaced_is_measured(const iol_displaced_effect *effect);
/* True where the effect may be taken off the reading, so that the reading tells the eye. */
bool iol_displaced_calibrates(const iol_displaced_effect *effect);
/* The displaced reading less the effect, as the reading that counts; its spread is joined in squares. */
void iol_displaced_take_off(const iol_displaced_effect *effect, iol_eye *eye);

#endif
