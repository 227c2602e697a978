/* Lists in words: "a, b". */
#ifndef IOL_TEXT_LIST_H
#define IOL_TEXT_LIST_H

#include <stddef.h>

/* Put one item behind a list, once. What does not fit is told by `rest` in its place (", more"; "": it is left out). */
void iol_list_add(char *list, size_t size, const char *item, const char *rest);
/* The same for every item of a list. */
void iol_list_add_each(char *list, size_t size, const char *items, const char *rest);

#endif
