/* For hosts in other languages, and for a host that may meet a library of another version. */
#ifndef IOLREVISE_HOST_H
#define IOLREVISE_HOST_H

#include "plan.h"

IOL_PUBLIC_BEGIN

/* The version of the library that runs, not of the headers (those are IOLREVISE_VERSION).
 * Given: nothing.
 * Returned: a text as "0.1.0" that stays valid.
 * Status: none; cannot fail.
 * Tests: tests/runs/install.sh */
const char *iol_version(void);

/* Whether the caller was compiled with the headers of the library that runs: its structs are then as large as the library's.
 * Given: sizeof of iol_case, iol_site, iol_plan and iol_faults, bytes.
 * Returned: true or false.
 * Status: none; cannot fail. Every call that is handed one of these structs asks it by itself (macros at the end of this file)
 *   and refuses: a reader is false, a plan is all bytes 0xff, in which every number is NaN, a writer is false, and a stop
 *   caution is taken to stand.
 * Tests: tests/runs/install.sh */
bool iol_headers_match(size_t case_size, size_t site_size, size_t plan_size, size_t faults_size);

/* Text in, text out: no struct. One case planned, the plan as JSON (plan_format 1).
 * Given: case_text, a case file, and site_text, a site file or NULL for the built-in shelf, both UTF-8 that ends in NUL; as_of, the
 *   day to count to as YYYY-MM-DD, or NULL for the case's assessed_on; buffer of `size` bytes, or NULL and 0 to ask for the room.
 * Returned: above 0, the bytes of the plan without its NUL; below 0, refused: the negative bytes of an object with
 *   faults [ { file: case|site|as_of, line, code, path, found, wanted, unit } ] and more, how many found no room. When these
 *   and the NUL do not fit, buffer holds "" and nothing else: call again with more room. 0: out of memory, "".
 * Status: its sign. Asks the C library for memory and gives it back. Safe from several threads.
 * Tests: tests/unit/test_host.c, tests/runs/install.sh, examples/host.py */
int64_t iol_plan_json(const char *case_text, const char *site_text, const char *as_of, char *buffer, size_t size);

IOL_PUBLIC_END

/* A host compiled with other headers is refused, not misread. The library itself is built without these. */
#ifndef IOLREVISE_BUILDING
#define IOL_HEADERS_MATCH iol_headers_match(sizeof(iol_case), sizeof(iol_site), sizeof(iol_plan), sizeof(iol_faults))
#define iol_case_read(json, length, into, faults) (IOL_HEADERS_MATCH && (iol_case_read)(json, length, into, faults))
#define iol_site_read(json, length, into, faults) (IOL_HEADERS_MATCH && (iol_site_read)(json, length, into, faults))
#define iol_plan_make(c, site, as_of, plan)                                                                            \
    (IOL_HEADERS_MATCH ? (iol_plan_make)(c, site, as_of, plan) : iol_plan_refused(plan, sizeof(iol_plan)))
#define iol_plan_make_parts(c, site, as_of, keys, plan)                                                                \
    (IOL_HEADERS_MATCH ? (iol_plan_make_parts)(c, site, as_of, keys, plan) : iol_plan_refused(plan, sizeof(iol_plan)))
#define iol_plan_write(plan, sink, context) (IOL_HEADERS_MATCH && (iol_plan_write)(plan, sink, context))
#define iol_plan_stops(plan) (!IOL_HEADERS_MATCH || (iol_plan_stops)(plan))
static inline void iol_plan_refused(void *plan, size_t size) {
    unsigned char *byte = (unsigned char *)plan;
    for (size_t i = 0; i < size; i++) byte[i] = 0xff;
}
#endif

#endif
