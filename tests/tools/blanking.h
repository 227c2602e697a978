/* Not knowing something must never make a plan more permissive: a power may not rise in standing, no lens may be chosen that was
 * not, no decision may move toward lens surgery, no way may become suitable, no tier may fall. A new comparison is one row of
 * `comparisons` in blanking.c. */
#ifndef IOL_TESTS_BLANKING_H
#define IOL_TESTS_BLANKING_H

#include "iolrevise.h"

/* Told of each comparison that `after` loses: the leaf that is blank, the comparison, and how. */
typedef void (*blanking_teller)(void *context, const char *path, const char *comparison, const char *what);

void more_permissive(const iol_plan *before, const iol_plan *after, const char *path, blanking_teller tell,
                     void *context);
/* Every leaf of the case in turn, where the reader takes the case without it. Returns how many. */
int blank_every_leaf(const iol_case *c, const iol_site *site, blanking_teller tell, void *context);

#endif
