/* The remarks of a case file, kept while it is filled, and the origin of each value that came in. */
#ifndef IOL_INTAKE_REMARKS_H
#define IOL_INTAKE_REMARKS_H

#include "case/view.h"
#include "write/case_json.h"

enum { IOL_REMARKS_MOST = 640, IOL_REMARK_PATH = 120, IOL_REMARK_NAME = 80 };

typedef struct {
    char object[IOL_REMARK_PATH]; /* "" or "/biometry" */
    char name[IOL_REMARK_NAME];   /* "//" or "//axial_length_mm" */
    const char *text;             /* in `texts` */
} iol_remark;

typedef struct {
    int count;
    iol_remark item[IOL_REMARKS_MOST];
    size_t used, size;
    char *texts; /* the caller's room */
} iol_remarks;

/* texts: room for every remark, IOL_SCAN_FILE bytes always suffice for a file's. */
void iol_remarks_start(iol_remarks *remarks, char *texts, size_t size);
/* Those of a file that was read; false when there are more than can be kept. */
bool iol_remarks_read(iol_remarks *remarks, iol_view root);
/* Beside the value at a JSON Pointer, in place of one that stands there. False without room. */
bool iol_remarks_set(iol_remarks *remarks, const char *pointer, const char *text);
/* An element came into a list ("/refractions") at this place: those behind it moved on. */
void iol_remarks_moved(iol_remarks *remarks, const char *list, int place);
void iol_remark_path_moved(char path[IOL_REMARK_PATH], const char *list, int place);
iol_remarks_source iol_remarks_source_of(iol_remarks *remarks);

#endif
