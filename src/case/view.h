/* A look into JSON text that passed the scan (scan.h): members, elements, whole numbers, texts; no tree, no allocation. */
#ifndef IOL_CASE_VIEW_H
#define IOL_CASE_VIEW_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "tables/tables.h"

/* One value of the text; at NULL: none, of which nothing can be had. */
typedef struct {
    const char *at, *end; /* where it starts; end of the whole text */
} iol_view;

iol_view iol_view_of(const char *text, size_t length);
/* The first member of an object with this key, which holds nothing that needs an escape. */
iol_view iol_view_member(iol_view object, const char *key);
/* The elements of a list, one a call; *item starts as {NULL, NULL}. False behind the last, and for what is no list. */
bool iol_view_each(iol_view list, iol_view *item);
bool iol_view_is_list(iol_view v);
/* The members of an object, one a call, like the elements of a list; key in quotation marks at *key. */
bool iol_view_each_member(iol_view object, iol_view *key, iol_view *item);
/* A number with at most that many decimals within limits, as a count of its last decimal; no exponent. */
bool iol_view_count(iol_view v, int decimals, int64_t low, int64_t high, int64_t *count);
/* A number with or without exponent, or a text that is one. */
bool iol_view_number(iol_view v, double *value);
/* A text; false when it is none or does not fit. */
bool iol_view_text(iol_view v, char *out, size_t size);
/* The very word, in quotation marks; NULL: null. */
bool iol_view_is(iol_view v, const char *word);
bool iol_view_is_true(iol_view v);
/* What an object that the program wrote says, by its table: notes and references apart. What is not there or has no form that the
 * table knows stays not known. */
void iol_view_object(iol_view v, const iol_object *object, void *into);

#endif
