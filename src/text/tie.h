/* Blanks at which no line ends. */
#ifndef IOL_TEXT_TIE_H
#define IOL_TEXT_TIE_H

#include <stdbool.h>
#include <stddef.h>

/* text[at] is the blank between a number and its unit, within a day, or before an axis. */
bool iol_is_tie(const char *text, size_t at);

#endif
