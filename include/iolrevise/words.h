/* Words of the case, site and plan as enums: IOL_<set>_<word>, 0 = not known, IOL_NOT_EXAMINED = a test can be asked for. */
#ifndef IOLREVISE_WORDS_H
#define IOLREVISE_WORDS_H

#define IOL_NOT_EXAMINED (-1)

#define SET_BEGIN(set) enum { IOL_##set##_not_known = 0,
#define W(set, id, text) IOL_##set##_##id,
#define NOT_EXAMINED(set)
#define UNKNOWN(set)
#define SET_END(set)                                                                                                   \
    IOL_##set##_end                                                                                                    \
    }                                                                                                                  \
    ;
#include "words.def"
#undef SET_BEGIN
#undef W
#undef NOT_EXAMINED
#undef UNKNOWN
#undef SET_END

#endif
