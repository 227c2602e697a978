/* What the thin-lens eyes share: light carried through the eye. */
#ifndef IOL_OPTICS_VERGENCE_H
#define IOL_OPTICS_VERGENCE_H

#include "optics.h"

/* Vergence distance_mm further back in the eye; negative: further front. */
iol_status iol_vergence_carry(double vergence_d, double distance_mm, double *out_d);

#endif
