/* Parts of a recheck: what --partial writes and --merge adds up. JSON Lines, every line short enough for the strict scanner: a
 * head, the inputs, some digests of records, the counts, and an end with the number of lines and the digest of all before it. */
#ifndef IOL_CLI_PARTIAL_H
#define IOL_CLI_PARTIAL_H

#include "recheck.h"

enum { IOL_PARTIAL_FORMAT = 4 };

/* Digest of everything but the cases that the counts rest on: program, tables, site (or the built-in shelf), --as-of,
 * --site-constants. */
void iol_partial_settings(const iol_site *site, int32_t as_of, bool site_constants, char digest[17]);
/* Refused (IOL_EXIT_USAGE): two inputs that hold the same bytes. A failure to write is the output's own affair. */
int iol_partial_write(iol_output *output, const iol_statistics *s, const iol_records *records, const char *settings);
/* Add up parts; wanted: how many there must be, 0 any number. Refused: parts of other settings, damaged or without their end,
 * with an input or records that another part has too, or whose input has changed since. */
int iol_partial_merge(char *const files[], int count, int wanted, iol_statistics *s);

#endif
