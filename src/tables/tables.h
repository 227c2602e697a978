/* The tables of data/ as descriptors, and the words, units, references and note codes that they name. */
#ifndef IOL_TABLES_TABLES_H
#define IOL_TABLES_TABLES_H

#include "iolrevise/case.h"
#include "iolrevise/plan.h"

/* ---- units, words ---- */
typedef enum {
#define UNIT(id, printed, json_decimals, text_decimals) IOL_UNIT_##id,
#include "units.def"
#undef UNIT
    IOL_UNIT_COUNT
} iol_unit;
typedef struct {
    const char *printed;
    int json_decimals, text_decimals;
} iol_unit_row;
extern const iol_unit_row iol_units[IOL_UNIT_COUNT];

typedef struct {
    const char *name;
    const char *const *word;    /* word[0] is NULL: not known */
    int count;                  /* rows, row 0 included */
    bool unknown, not_examined; /* the two extra words it admits */
} iol_word_set;
/* The word printed for a value; NULL for not known, "not-examined" for IOL_NOT_EXAMINED. */
const char *iol_word_text(const iol_word_set *set, int value);
#define SET_BEGIN(set) extern const iol_word_set iol_words_##set;
#define W(set, id, text)
#define NOT_EXAMINED(set)
#define UNKNOWN(set)
#define SET_END(set)
#include "words.def"
#undef SET_BEGIN
#undef W
#undef NOT_EXAMINED
#undef UNKNOWN
#undef SET_END
#define IOL_WORD(set, value) iol_word_text(&iol_words_##set, (value))

/* ---- fields ---- */
typedef enum {
    IOL_KIND_NUM,
    IOL_KIND_WORD,
    IOL_KIND_FLAG,
    IOL_KIND_DATE,
    IOL_KIND_TEXT,
    IOL_KIND_PART,
    IOL_KIND_LIST,
    IOL_KIND_WORDS,
    IOL_KIND_NUMS,
    IOL_KIND_STRING,
    IOL_KIND_PATHS,
    IOL_KIND_SAME,
    IOL_KIND_NOTE,
    IOL_KIND_NOTES,
    IOL_KIND_SAYS,
    IOL_KIND_REFS
} iol_kind;

struct iol_object;
typedef struct {
    const char *key;
    iol_kind kind;
    iol_unit unit;
    size_t offset, count_offset; /* count_offset: LIST, WORDS, NUMS, PATHS */
    int most;                    /* elements of a list, bytes of a text */
    double hard_low, hard_high, usual_low, usual_high;
    const iol_word_set *words;
    const struct iol_object *inside;
    int place; /* NOTE, NOTES, SAYS */
    const char *text;
} iol_field;
enum { IOL_KEYS_MOST = 128 }; /* keys of an object */
typedef struct iol_object {
    const char *name;
    const iol_field *field;
    int count;
    size_t size;
    const char *const *must; /* required keys, NULL at the end */
} iol_object;
extern const iol_object *const iol_object_case;
extern const iol_object *const iol_object_site;
extern const iol_object *const iol_object_plan;
extern const iol_object *const iol_object_asked;
extern const iol_object *const iol_object_recheck;
extern const iol_object *const iol_object_summary;
extern const iol_object *const iol_object_comparison;
extern const iol_object *const iol_object_drift;

#define IOL_FIELD_AT(base, field) ((void *)((char *)(base) + (field)->offset))
/* Everything not known, for any object of the three tables. */
void iol_object_reset(const iol_object *object, void *into);
const iol_field *iol_object_find(const iol_object *object, const char *key, size_t length);
/* The field that a JSON Pointer names from an object on; numbers of list elements are passed over. NULL: none. */
const iol_field *iol_field_at(const iol_object *object, const char *path);

/* The same number, or both not known. */
static inline bool iol_same(double a, double b) { return a == b || (isnan(a) && isnan(b)); }
/* Room for one more in a list that holds so many? Without, the list is marked as having lost something. */
static inline bool iol_has_room(int count, size_t most, bool *lost) { return count < (int)most || !(*lost = true); }
#define IOL_MOST(list) (sizeof(list) / sizeof *(list))

/* ---- references ---- */
typedef enum {
    IOL_STATUS_published,
    IOL_STATUS_standard,
    IOL_STATUS_common_practice,
    IOL_STATUS_judgement,
    IOL_STATUS_memory
} iol_evidence_status;
const char *iol_status_text(iol_evidence_status status);
typedef enum {
#define REFERENCE(key, status, citation) IOL_REF_##key,
#include "references.def"
#undef REFERENCE
    IOL_REF_COUNT
} iol_reference;
typedef struct {
    const char *key;
    iol_evidence_status status;
    const char *citation;
} iol_reference_row;
extern const iol_reference_row iol_references[IOL_REF_COUNT];

/* ---- evidence: figures that a plan may quote; they never enter the optics ---- */
typedef enum {
#define EVIDENCE(key, value, low, high, unit, reference, status, text) IOL_EVIDENCE_##key,
#include "evidence.def"
#undef EVIDENCE
    IOL_EVIDENCE_COUNT
} iol_evidence_key;
typedef struct {
    const char *key;
    double value, low, high; /* as printed; low and high NaN where no interval was printed */
    const char *unit;        /* as data/evidence.def writes it */
    iol_reference reference;
    iol_evidence_status status;
    const char *text;
} iol_evidence_row;
extern const iol_evidence_row iol_evidence[IOL_EVIDENCE_COUNT];
/* The reference of a row as a constant: IOL_EVIDENCE_REF_<key>. */
enum {
#define EVIDENCE(key, value, low, high, unit, reference, status, text) IOL_EVIDENCE_REF_##key = IOL_REF_##reference,
#include "evidence.def"
#undef EVIDENCE
};

/* ---- note codes ---- */
typedef enum { IOL_SEVERITY_none, IOL_SEVERITY_stop, IOL_SEVERITY_warn, IOL_SEVERITY_note } iol_severity;
const char *iol_severity_text(iol_severity severity);
typedef int iol_note_code; /* of note_codes.h or rule_codes.h */
typedef struct {
    const char *code;      /* stable; an assumption's is its case-file path, a counselling sentence's its topic */
    iol_severity severity; /* cautions only */
    iol_reference reference;
    /* %1 %2 numbers, %+1 signed, %+1.2 with decimals, %1t with those it needs; %s the word; %f the word, a case-file path, told
     * in words */
    const char *text;
    const char *lifts; /* what lifts it, or NULL */
} iol_note_row;
extern const iol_note_row iol_note_rows[];

/* Add a note once (an equal one is kept, not repeated), unless nobody listens. word may be NULL. */
void iol_note_keep(iol_notes *notes, int place, int row, iol_note_code code, double value, double limit,
                   const char *word);
static inline void iol_note_add(iol_notes *notes, int place, int row, iol_note_code code, double value, double limit,
                                const char *word) {
    if (!notes->off) iol_note_keep(notes, place, row, code, value, limit, word);
}
/* A sentence with the numbers of a note filled in; %D: its value as a day, in words with these names of months (NULL: short
 * English ones). Returns out. */
const char *iol_note_fill(const char *sentence, const iol_note *note, const char *const months[12], char *out, size_t size);
/* The sentence of a note, with its numbers. Returns out. */
const char *iol_note_text(const iol_note *note, char *out, size_t size);
/* The same for its "what lifts it". */
const char *iol_note_lifts(const iol_note *note, char *out, size_t size);
/* When notes were lost, the last one kept says so instead. */
void iol_notes_close(iol_notes *notes);
/* First note of a place and row at or after index `from`; -1 when there is none. */
int iol_note_find(const iol_notes *notes, int place, int row, int from);
/* First note of a place with that code, whatever its row; -1 when there is none. */
int iol_note_with(const iol_notes *notes, int place, int code);

#endif
