/* Do the measurements of an eye fit those of the other eye, the glasses of before, and the place of the lens? */
#ifndef IOL_ESTIMATE_PLAUSIBLE_H
#define IOL_ESTIMATE_PLAUSIBLE_H

#include "estimate.h"

typedef struct {
    double longer_mm, steeper_d; /* this eye less the other; NaN not known */
    bool apart;                  /* by more than needs an explanation, and the refractions of both do not give it */
    double glasses_d;            /* spherical equivalent before the cataract; NaN not known */
    double by_old_lens_mm;       /* depth at which a lens in the bag lies by the crystalline lens that was there; NaN not known */
    /* Yes: they agree; no: they contradict each other; not known: nobody compared them. */
    iol_flag eyes;    /* length and keratometry with those of the other eye, within what two eyes of one person do */
    iol_flag glasses; /* the length with the glasses of before */
    iol_flag depth;   /* the depth of the lens with that which is expected */
} iol_plausible;

/* joint may be NULL: no formula. */
void iol_plausible_make(const iol_eye *eye, const iol_estimate *joint, iol_plausible *out);

#endif
