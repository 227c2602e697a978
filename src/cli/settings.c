/* The settings that the counts of a recheck rest on, as a digest (FNV-1a, 64 bits). */
#include <string.h>

#include "write/object_json.h"
#include "partial.h"

/* Every row that decides what is read and what is predicted, as it stands in its table. */
static const char *const rows[] = {
    IOLREVISE_VERSION, "counts, tally, ranks, totals, steps", /* what is counted */
#define CONSTANT(...) #__VA_ARGS__,
#include "constants.def"
#undef CONSTANT
#define SPREAD(...) #__VA_ARGS__,
#include "spreads.def"
#undef SPREAD
#define GROSS(...) #__VA_ARGS__,
#include "gross_rates.def"
#undef GROSS
#define FACTOR(...) #__VA_ARGS__,
#include "evidence_factors.def"
#undef FACTOR
#define FORMULA(...) #__VA_ARGS__,
#include "formulas.def"
#undef FORMULA
#define NEED(...) #__VA_ARGS__,
#include "needs.def"
#undef NEED
#define RULE(...) #__VA_ARGS__,
#define EXCLUDE(...) "exclude " #__VA_ARGS__,
#include "decision_rules.def"
#undef RULE
#define EXPECTED(...) #__VA_ARGS__,
#define RUNG(...) #__VA_ARGS__,
#include "rungs.def"
#undef EXPECTED
#undef RUNG
#define BEGIN(...) #__VA_ARGS__,
#define NUM(...) #__VA_ARGS__,
#define RATE(...) #__VA_ARGS__,
#define WORD(...) #__VA_ARGS__,
#define FLAG(...) #__VA_ARGS__,
#define DATE(...) #__VA_ARGS__,
#define TEXT(...) #__VA_ARGS__,
#define PART(...) #__VA_ARGS__,
#define LIST(...) #__VA_ARGS__,
#define WORDS(...) #__VA_ARGS__,
#define NUMS(...) #__VA_ARGS__,
#define MUST(...) #__VA_ARGS__,
#define END(...)
#include "case_fields.def"
#include "site_fields.def"
#include "fields_undef.h"
};

static uint64_t mix(uint64_t digest, const char *bytes, size_t length) {
    for (size_t i = 0; i < length; i++) digest = (digest ^ (unsigned char)bytes[i]) * 0x100000001b3u;
    return digest;
}

static bool mix_sink(void *context, const char *bytes, size_t length) {
    uint64_t *digest = context;
    *digest = mix(*digest, bytes, length);
    return true;
}

void iol_partial_settings(const iol_site *site, int32_t as_of, bool site_constants, char digest[17]) {
    uint64_t mixed = 0xcbf29ce484222325u;
    char day[11] = "";
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) mixed = mix(mixed, rows[i], strlen(rows[i]) + 1);
    iol_object_write(iol_object_site, site, false, mix_sink, &mixed);
    if (as_of != IOL_UNKNOWN_DATE) iol_date_print(as_of, day);
    mixed = mix(mixed, day, sizeof day);
    mixed = mix(mixed, site_constants ? "site" : "case", 4);
    snprintf(digest, 17, "%016llx", (unsigned long long)mixed);
}
