/* The pieces of the command `recheck`. */
#ifndef IOL_CLI_RECHECK_H
#define IOL_CLI_RECHECK_H

#include <string.h>

#include "recheck/compare.h"
#include "recheck/statistics.h"
#include "cli.h"
#include "records.h"

typedef enum {
    IOL_RECHECK_TEXT,
    IOL_RECHECK_JSON,
    IOL_RECHECK_HTML,
    IOL_RECHECK_CSV,
    IOL_RECHECK_JSONL
} iol_recheck_format;

typedef struct {
    iol_recheck recheck; /* its faults' texts are gone */
    double slope[IOL_PAST_ROWS];
    bool shelf_constants, ordinary; /* see iol_past */
    double depth_offset_mm;
} iol_recheck_kept;

/* One run over all inputs: rows in the format (csv, jsonl) to output, every case's score into statistics. */
typedef struct {
    iol_records *records;
    const iol_site *site;
    int32_t as_of;
    iol_recheck_format format;  /* only csv and jsonl write rows */
    iol_output *output;         /* NULL: none */
    iol_statistics *statistics; /* NULL: nobody asks for them */
    bool site_constants;        /* those in a case give way to the site's */
    const iol_site *other;      /* a second site file, for comparing; NULL none */
    iol_comparing *comparing;
    bool quiet; /* faults are not printed (a second pass) */
    /* Called in the order of the input, one at a time; NULL none. False ends the run (out of memory). */
    bool (*each)(void *context, const iol_recheck_kept *kept);
    void *context;
    int status;
} iol_recheck_run;
int iol_recheck_over(iol_recheck_run *run, int jobs);

/* How much of a line of jsonl its digest covers: up to the key that tells the end of a run; 0 where the line has none. */
static inline size_t iol_recheck_covered(const char *line, size_t length) {
    static const char key[] = ",\"end_lines\":";
    const size_t size = sizeof key - 1;
    for (size_t at = length; at >= size; at--)
        if (memcmp(line + at - size, key, size) == 0) return at - size;
    return 0;
}

#endif
