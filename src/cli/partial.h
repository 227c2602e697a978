/* Parts of a recheck: what --partial writes and --merge adds up. */
#ifndef IOL_CLI_PARTIAL_H
#define IOL_CLI_PARTIAL_H

#include "recheck.h"

/* Digest of everything but the cases that the counts rest on: program, tables, site (or the built-in shelf), --as-of. */
void iol_partial_settings(const iol_site *site, int32_t as_of, char digest[17]);
int iol_partial_write(const char *file, const iol_statistics *s, const iol_records *records, const char *settings);
/* Add up parts. Refused: parts of other settings, without their last line, or with the same input twice. */
int iol_partial_merge(char *const files[], int count, iol_statistics *s);

#endif
