/* A sheet of cases, one a row, as comma-separated values (RFC 4180): the heading cells are paths of the case, with points. */
#ifndef IOL_INTAKE_COLUMNS_H
#define IOL_INTAKE_COLUMNS_H

#include "case/entry.h"

enum { IOL_COLUMNS_MOST = 512, IOL_COLUMNS_ROW = 64 * 1024 /* bytes of a row */ };

typedef struct {
    enum { IOL_COLUMN_VALUE, IOL_COLUMN_REMARK, IOL_COLUMN_BLANK } kind;
    const iol_object *object;
    const iol_field *field;
    size_t at, count, present[IOL_ENTRY_DEPTH]; /* places in a case; count 0: in no list */
    int depth, index;                           /* index: in its list */
    char path[IOL_ENTRY_PATH];
} iol_column;

typedef struct {
    int count;
    iol_column column[IOL_COLUMNS_MOST];
    iol_faults faults; /* of the heading: any, and no row can be read */
} iol_columns;

/* Nothing but commas and blanks. */
bool iol_row_empty(const char *row, size_t length);
/* A quoted cell goes on behind the end of the text. */
bool iol_row_open(const char *row, size_t length);
/* Bytes of the first row of a text, its line end not counted. */
size_t iol_row_length(const char *text, size_t length);

/* The heading, row 1. False when its faults are to be told. */
bool iol_columns_read(const char *row, size_t length, iol_columns *columns);
/* One row, read as strictly as a file; blank is a case of which nothing is known. Faults name the column, and the caller gives them
 * their row. False when there are faults, those of the heading too. */
bool iol_columns_case(const iol_columns *columns, const char *row, size_t length, const iol_case *blank, iol_case *into,
                      iol_faults *faults);
/* The same without asking for what a whole case must have. */
bool iol_columns_part(const iol_columns *columns, const char *row, size_t length, iol_case *into, iol_faults *faults);

#endif
