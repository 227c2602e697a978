/* One way of a plan, which must be there; include it after check.h. */
#ifndef IOL_TESTS_WAY_OF_H
#define IOL_TESTS_WAY_OF_H

#include "report/compose.h"

static inline const iol_option_row *way_of(const iol_plan *plan, int option) {
    for (int i = 0; i < plan->options_count; i++)
        if (plan->options[i].option == option) return &plan->options[i];
    fail_msg("no way %s", IOL_WORD(option, option));
    return NULL;
}

#endif
