/* A plan as text: one part, or all of it; include it after check.h. */
#ifndef IOL_TESTS_KEPT_TEXT_H
#define IOL_TESTS_KEPT_TEXT_H

#include "kept.h"
#include "report/report.h"

static iol_page page;

static inline const char *text_of_plan(const iol_plan *plan, const char *only) {
    const iol_report_choice choice = {.only = only};
    kept.used = 0;
    kept.bytes[0] = '\0';
    assert_true(iol_report_text(plan, &choice, &page, keep, NULL));
    return kept.bytes;
}

static inline const char *full_text_of_plan(const iol_plan *plan) {
    iol_report_plan(plan, &page);
    kept.used = 0;
    kept.bytes[0] = '\0';
    assert_true(iol_page_text(&page, false, keep, NULL));
    return kept.bytes;
}

#endif
