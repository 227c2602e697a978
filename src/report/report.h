/* A plan for people: composers turn its parts into blocks; they compute nothing. */
#ifndef IOL_REPORT_REPORT_H
#define IOL_REPORT_REPORT_H

#include "iolrevise/plan.h"
#include "tables/recheck.h"
#include "page.h"
#include "patient_words.h"

/* The whole plan, what decides first. */
void iol_report_plan(const iol_plan *plan, iol_page *page);
/* The same without title and stops: the tables behind the sheets. */
void iol_report_tables(const iol_plan *plan, iol_page *page);
/* What the plan says under one of its keys; false: it has no such key. */
bool iol_report_part(const iol_plan *plan, const char *key, iol_page *page);

/* What `plan` prints. only: screens (decide, theatre, patient, note) and keys of the plan, commas between; NULL: the decision
 * on one screen. Every stop stands at the head and the first again in the last line. */
typedef struct {
    const char *only;
    bool colour;
    const iol_language *language; /* of the patient's words; NULL: the first */
} iol_report_choice;
/* NULL, or the name in `only` that is neither a screen nor a key, as it begins. */
const char *iol_report_unknown(const char *only);
bool iol_report_text(const iol_plan *plan, const iol_report_choice *choice, iol_page *page, iol_sink sink,
                     void *context);

/* The sheets and the tables behind them as one HTML document; tables: room for them. language: of the patient sheet, NULL the
 * first. */
bool iol_sheets_html(const iol_plan *plan, const iol_language *language, iol_page *tables, iol_sink sink,
                     void *context);

/* Both eyes of one person: the page of the pair, then the sheets of each eye. page: room for blocks. */
bool iol_sheets_pair_html(const iol_plan *right, const iol_plan *left, const iol_language *language, iol_page *page,
                          iol_sink sink, void *context);
/* A page of blocks on the grid and in the type of the sheets; its first paragraph leads. */
bool iol_sheet_page_html(const iol_page *page, iol_sink sink, void *context);

/* The clinic line: the case as typed, standing, powers, assumptions; second: of a piggyback lens. */

/* Questions that could change the plan, with what each answer would bring. */
void iol_report_asked(const iol_asked *asked, iol_page *page);
/* A plan and those of the case changed, side by side. */
void iol_report_what_if(const iol_plan *plan, const iol_plan variant[], int count, iol_page *page);

/* What both eyes of one person show together; pair is in both plans. */
void iol_report_pair(const iol_plan *right, const iol_plan *left, iol_page *page);

/* The summary of a recheck. */
void iol_report_comparison(const iol_comparison *comparison, iol_page *page);
void iol_report_summary(const iol_summary *summary, iol_page *page);

#endif
