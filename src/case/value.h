/* One value of a file against its row of the table: taken, or what is wrong with it. */
#ifndef IOL_CASE_VALUE_H
#define IOL_CASE_VALUE_H

#include "tables/tables.h"

typedef struct {
    iol_fault_code code;
    const char *unit;
    bool brief; /* set by who asks: nobody will read `wanted`, so nothing is looked for */
    char wanted[IOL_FAULT_WANTED];
} iol_refusal;

/* Each returns true and sets *into, or returns false and fills the refusal. */
bool iol_take_number(const iol_object *object, const iol_field *field, double x, double *into, iol_refusal *refusal);
bool iol_take_word(const iol_word_set *set, const char *text, int *into, iol_refusal *refusal);
bool iol_take_date(const char *text, int32_t *into, iol_refusal *refusal);
bool iol_take_text(const iol_field *field, const char *text, char *into, iol_refusal *refusal);
/* The value is of another kind than the field takes. element: one of a list. */
void iol_refuse_kind(const iol_field *field, bool element, iol_refusal *refusal);
/* The key is required and not there. */
void iol_refuse_missing(const iol_field *field, iol_refusal *refusal);

/* A key that identifies a person, however it is spelt (Date of Birth, date_of_birth). */
bool iol_key_names_a_person(const char *key);
/* A remark that does: a word of its key is such a key, or its text gives one ("MRN: 12345"). */
bool iol_remark_names_a_person(const char *key, const char *text);

#endif
