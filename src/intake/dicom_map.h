/* The rows of data/dicom_map.def, and how a value is found by them. */
#ifndef IOL_INTAKE_DICOM_MAP_H
#define IOL_INTAKE_DICOM_MAP_H

#include "dicom.h"

typedef enum {
    IOL_MAP_NUMBER,
    IOL_MAP_NEWEST,
    IOL_MAP_PICK,
    IOL_MAP_CODED,
    IOL_MAP_WRITTEN,
    IOL_MAP_BOTH, /* to here a value comes of it */
    IOL_MAP_HAND,
    IOL_MAP_REFUSE,
    IOL_MAP_UNLESS,
    IOL_MAP_SAY
} iol_map_kind;

typedef struct {
    iol_map_kind kind;
    int class;
    const char *value; /* of PICK, within each */
    const char *path,
        *second; /* second: of NEWEST within each, of BOTH and PICK the other code, of NUMBER_IF what must be YES */
    long code, other;
    const char *key;   /* of the case; NULL of REFUSE: all of keratometry */
    const char *word;  /* WRITTEN: what stands there; REFUSE, UNLESS, SAY: the sentence; else the word taken */
    const char *taken; /* WRITTEN: the word taken */
} iol_map_row;

extern const iol_map_row iol_map[];
extern const int iol_map_rows;

typedef struct {
    int class;
    const char *right, *left, *name;
} iol_map_class;
const iol_map_class *iol_map_class_of(int class); /* NULL: none that is read */

/* First value of an attribute, by its tag. */
iol_view iol_dicom_value(iol_view item, const char *tag);
/* The item that a path of sequences leads to, with the last tag as an attribute of it: its first value. */
iol_view iol_dicom_at(iol_view item, const char *path);
/* The sequence at the path, or at the same path from the root, holds this code. */
bool iol_dicom_has_code(const iol_data_set *set, iol_view eye, const char *path, long code);
/* A number rounded to its decimals, as text; false where there is none. */
bool iol_dicom_number(iol_view v, int decimals, char *out, size_t size);
/* The index that keratometers are built with and that this one is; -1 none. */
double iol_map_index(double found);
/* The key of a lens constant by its code; NULL: none that is read. */
const char *iol_map_constant(iol_view name);
/* What a row finds in the eye, as it is typed; 1 found, 0 nothing there, -1 several and none selected. */
int iol_map_find(const iol_map_row *row, const iol_data_set *set, iol_view eye, char *out, size_t size);

#endif
