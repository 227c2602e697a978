/* What was meant by a key or a word that is not known. */
#ifndef IOL_CASE_SUGGEST_H
#define IOL_CASE_SUGGEST_H

#include "tables/tables.h"

/* What to say for an unknown key of `here`: the nearest key of the same object, else its place elsewhere below root. */
void iol_suggest_key(const iol_object *root, const iol_object *here, const char *key, char *out, size_t size);
/* The nearest word of a set, NULL when none is near. */
const char *iol_suggest_word(const iol_word_set *set, const char *text);

#endif
