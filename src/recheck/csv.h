/* Rows of comma-separated values (RFC 4180, lines end in \n): a row a prediction, at least one a case. */
#ifndef IOL_RECHECK_CSV_H
#define IOL_RECHECK_CSV_H

#include "iolrevise/plan.h"
#include "tables/recheck.h"

extern const char iol_csv_header[];
/* A text as a cell: in quotation marks where it needs them, "./" before a name that could start a spreadsheet's formula.
 * Returns the length; cut to size - 1. */
size_t iol_csv_name(const char *name, char *out, size_t size);
/* Most bytes of the rows of one case. */
size_t iol_csv_room(size_t input_length);
/* The rows of one case at out, which has that room; returns their length. input: its cell; fault_count: all of them, those
 * not kept too. */
size_t iol_csv_case(const iol_recheck *c, const char *input, size_t input_length, int fault_count, char *out);

#endif
