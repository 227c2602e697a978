/* Measurements of an eye out of DICOM data sets in their JSON form (PS3.18 Annex F), by data/dicom_map.def and nothing else. */
#ifndef IOL_INTAKE_DICOM_H
#define IOL_INTAKE_DICOM_H

#include "intake.h"

enum { IOL_DICOM_SETS = 32, IOL_DICOM_VALUES = 60000 /* values of one file */ };

typedef struct {
    iol_view root;
    int class;      /* number of its SOP class */
    int32_t day;    /* of the measurement; IOL_UNKNOWN_DATE not in it */
    char stamp[15]; /* the same with the time, to tell newer from older */
} iol_data_set;

typedef struct {
    int count, others; /* others: of classes that are not read */
    iol_data_set set[IOL_DICOM_SETS];
} iol_data_sets;

/* The text is a data set or a list of them. */
bool iol_dicom_is(iol_view root);
/* Those of a scanned text are added, those of other classes passed by; false after a fault, or where none is read. */
bool iol_dicom_add(iol_data_sets *sets, iol_view root, iol_faults *faults);
/* Two of them bear different texts under this tag. */
bool iol_dicom_differ(const iol_data_sets *sets, const char *tag);
/* All of them into the case, the newest first, acuity last. eye: a row of the words of side. */
void iol_dicom_take(iol_data_sets *sets, int eye, iol_intake *intake);

#endif
