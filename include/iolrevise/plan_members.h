/* The vocabulary of data/plan_fields.def as members of structs: a file of rows included behind this makes the structs, and
 * fields_undef.h ends it. */
#include "basics.h"

#define BEGIN(o)                                                                                                       \
    typedef struct iol_##o {                                                                                           \
        bool present;
#define NUM(o, k, unit, text) double k;
#define WORD(o, k, set, text) int k;
#define FLAG(o, k, text) iol_flag k;
#define DATE(o, k, text) int32_t k;
#define TEXT(o, k, n, text) char k[(n) + 1];
#define STRING(o, k, text) const char *k;
#define PART(o, k, sub, text) struct iol_##sub k;
#define SAME(o, k, sub) struct iol_##sub k;
#define LIST(o, k, sub, cap, text)                                                                                     \
    struct iol_##sub k[cap];                                                                                           \
    int k##_count;                                                                                                     \
    bool k##_lost;
#define LIST_AS(o, k, name, sub, cap, text) LIST(o, k, sub, cap, text)
#define PATHS(o, k, cap, text)                                                                                         \
    const char *k[cap];                                                                                                \
    int k##_count;
#define NOTE(o, k, text)
#define NOTES(o, k, text)
#define SAYS(o, k, text)
#define REFS(o, k, text) iol_notes notes;
#define END(o)                                                                                                         \
    }                                                                                                                  \
    iol_##o;
