/* What every step of a dioptric power matrix asks of its result. */
#ifndef IOL_OPTICS_MATRIX_H
#define IOL_OPTICS_MATRIX_H

#include "optics.h"

static inline bool iol_matrix_is_finite(iol_matrix a) { return isfinite(a.xx) && isfinite(a.xy) && isfinite(a.yy); }

#endif
