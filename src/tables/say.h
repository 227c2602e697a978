/* Words for people about a field: what to type for it. Messages, templates, schemas and the format's page share them. */
#ifndef IOL_TABLES_SAY_H
#define IOL_TABLES_SAY_H

#include "tables.h"

/* Put text behind what out holds, cut to size. */
void iol_append(char *out, size_t size, const char *text);
void iol_append_bytes(char *out, size_t size, const char *bytes, size_t length);
/* Decimals, at most 4, that x needs. */
int iol_say_decimals(double x);
/* x without trailing zeros, at most 4 decimals. */
void iol_append_number(char *out, size_t size, double x);

/* Whole numbers only. */
static inline bool iol_field_is_whole(const iol_field *field) {
    return field->unit == IOL_UNIT_count && field->kind == IOL_KIND_NUM;
}
/* A reference or an id: letters, digits, points, lines, hyphens. */
bool iol_field_is_reference(const iol_field *field);
/* Behind the text in out: "14 to 40", "right or left", "true or false", "a day as 2026-11-25"; no unit. */
void iol_append_value(char *out, size_t size, const iol_field *field);
/* The same for a set of words: "right or left". */
void iol_append_words(char *out, size_t size, const iol_word_set *set);
bool iol_field_required(const iol_object *object, const iol_field *field);
/* "axial length: 14 to 40 mm" with unit, for remarks and descriptions; a part or list of objects its meaning alone. */
const char *iol_say_field(const iol_field *field, char *out, size_t size);

/* A code as a reader is told it (data/plain_words.def); the code itself where no row has it. */
const char *iol_plain_word(const char *code);
#define IOL_PLAIN(set, id) iol_plain_word(IOL_WORD(set, id))

#endif
