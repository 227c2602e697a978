/* A day as people write it: "14 Dec 2025"; no clinic misreads it. */
#ifndef IOL_TEXT_DATE_WORDS_H
#define IOL_TEXT_DATE_WORDS_H

#include "iolrevise/basics.h"

/* months: twelve names, each with what stands between day and month; NULL takes the short English ones. Cut to size. */
void iol_date_words(int32_t day, const char *const months[12], char *out, size_t size);

#endif
