/* The element string of a lens box or sticker (GS1 General Specifications): product number and expiry. Lot and serial number trace
 * to a person: they are read past and never kept. */
#ifndef IOL_TEXT_GS1_H
#define IOL_TEXT_GS1_H

#include "iolrevise/basics.h"

enum { IOL_GS1_GTIN = 14, IOL_GS1_CODE = 512 /* characters of a code that is read at all */ };

typedef struct {
    char gtin[IOL_GS1_GTIN + 1]; /* AI 01: the product number; "" not in the code */
    int32_t expires;             /* AI 17: the last day of use; IOL_UNKNOWN_DATE not in the code */
} iol_gs1;

/* 14 digits whose last is the check digit of the others. */
bool iol_gs1_gtin(const char *text);

/* Given: the code as the reader types it, with or without symbology prefix (]d2, ]C1, ]Q3, ]e0), FNC1 as the character GS (0x1d) or
 * "{GS}"; the day that decides the century of a two-digit year.
 * Returned: NULL and what was found, or what is wrong, as what is wanted instead. No word of the code stands in it. */
const char *iol_gs1_read(const char *code, int32_t day, iol_gs1 *out);

#endif
