/* Every number of data/constants.def and data/spreads.def as a named double: c_<id>, sd_<id>; the wounds of
 * data/removal_widths.def as c_removal_<method>_low_mm and _high_mm. */
#ifndef IOL_TABLES_CONSTANTS_H
#define IOL_TABLES_CONSTANTS_H

/* The figure of a row of data/evidence.def. */
#define FIGURE(key) iol_evidence[IOL_EVIDENCE_##key].value

#define CONSTANT(id, value, unit, reference, status, text) static const double c_##id = value;
#include "constants.def"
#undef CONSTANT
#define SPREAD(id, value, unit, reference, status, text) static const double sd_##id = value;
#include "spreads.def"
#undef SPREAD
#define REMOVAL_WIDTH(method, low, low_ref, low_status, high, high_ref, high_status, text)                             \
    static const double c_removal_##method##_low_mm = low, c_removal_##method##_high_mm = high;
#include "removal_widths.def"
#undef REMOVAL_WIDTH

#endif
