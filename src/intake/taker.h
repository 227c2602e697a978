/* One data set of one eye, and where its values go. */
#ifndef IOL_INTAKE_TAKER_H
#define IOL_INTAKE_TAKER_H

#include "dicom_map.h"

typedef struct {
    iol_intake *in;
    const iol_data_set *set;
    iol_view eye; /* first item of the eye's sequence */
    iol_view items;
    int count;                      /* items: a lens calculation has one for each lens */
    char biometry[32], reading[40]; /* where its values go; "" nowhere */
    bool after;                     /* biometry of an eye whose first operation is over */
    bool fellow;                    /* of the eye that the case is not of */
    int32_t length_day;             /* of that eye: the day whose biometry is taken */
    char day[11];
} iol_taker;

/* text: as it is typed; more: what stands behind the origin. */
void iol_taker_put(iol_taker *t, const char *key, const char *text, const char *more);
void iol_taker_note(iol_taker *t, const char *key, const char *words);
/* The i-th row of the map, where it is of this class and not had from an earlier one. */
void iol_taker_row(iol_taker *t, int i);
/* The data set holds a value of this key. */
bool iol_taker_has(const iol_taker *t, const char *key);
/* The index of the keratometer, from radii and dioptres. */
void iol_taker_index(iol_taker *t);
/* What the sheet printed for the lens put in, and that lens's constants. */
void iol_taker_sheet(iol_taker *t);
void iol_taker_acuity(iol_taker *t);

#endif
