/* Every number of data/constants.def and data/spreads.def as a named double: c_<id>, sd_<id>. */
#ifndef IOL_TABLES_CONSTANTS_H
#define IOL_TABLES_CONSTANTS_H

#define CONSTANT(id, value, unit, reference, status, text) static const double c_##id = value;
#include "constants.def"
#undef CONSTANT
#define SPREAD(id, value, unit, reference, status, text) static const double sd_##id = value;
#include "spreads.def"
#undef SPREAD

#endif
