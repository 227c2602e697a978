/* The pieces of the summary of a recheck. */
#ifndef IOL_REPORT_SUMMARY_H
#define IOL_REPORT_SUMMARY_H

#include "compose.h"
#include "tables/recheck.h"

/* "joint", "joint, srk-t"; returns line->text. */
const char *iol_series_text(const iol_group *g, iol_line *line);
/* Achieved against predicted, spread of the errors, shares within limits: figures with their tables. */
void iol_compose_errors(const iol_summary *s, iol_page *page);
/* The figure of the intervals; its table is the caller's. */
void iol_compose_calibration(const iol_summary *s, iol_page *page);

/* A p. */
void iol_report_chance(iol_line *line, double p);

/* The prediction that a plan uses: joint, by the reference formula of each case. */
bool iol_is_joint(const iol_group *g);
/* "New lens: bag". */
void iol_line_group(iol_line *line, const iol_group *g);
/* How near, a dot a group with its limits. */
void iol_compose_by_group(const iol_summary *s, iol_page *page);

#endif
