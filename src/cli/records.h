/* The records of many inputs, in order, handed out in batches to whoever asks. */
#ifndef IOL_CLI_RECORDS_H
#define IOL_CLI_RECORDS_H

#include <pthread.h>

#include "cli.h"
#include "case/lines.h"
#include "intake/columns.h"

typedef struct {
    char *name; /* as given, or folder/file; "-" is standard input */
    uint64_t bytes, digest;
    iol_columns *columns; /* of a sheet, once its heading was read */
} iol_input;

typedef enum { IOL_RECORD, IOL_RECORD_LONG, IOL_RECORD_NOT_OPENED, IOL_RECORD_NOT_READ } iol_record_kind;
typedef struct {
    iol_record_kind kind;
    int input, error; /* error: errno */
    long line;        /* 1 for a file of one case */
    bool whole;       /* a file of one case: its faults bring their own lines */
    const iol_columns *columns; /* of a row of a sheet, line is its row; NULL: JSON */
    size_t at, length;
} iol_batch_item;

enum { IOL_BATCH_ITEMS = 128, IOL_BATCH_BYTES = 96 * 1024, IOL_WHOLE_MOST = 1 << 20 };
typedef struct {
    long ticket;
    int count;
    iol_batch_item item[IOL_BATCH_ITEMS];
    size_t used;
    char bytes[IOL_BATCH_BYTES + IOL_WHOLE_MOST + 1];
} iol_batch;

/* The smallest digests of the records, in order: two sets of cases that share a tenth of their records nearly surely share some
 * of these. */
enum { IOL_LEAST = 128 };

typedef struct {
    pthread_mutex_t lock;
    iol_input *input;
    int count, room, next; /* next: input to be opened */
    int file;              /* descriptor, -1 none is open */
    int error;             /* errno of a failed read */
    bool whole, digesting;
    bool csv;       /* every input is a sheet, whatever its name; set behind iol_records_start */
    bool row, held; /* the input at hand is a sheet; one value over several lines, its first bytes in `lines` */
    long joined;    /* lines of the sheet that go on a row */
    uint64_t least[IOL_LEAST];
    int leasts;
    long ticket;
    iol_lines lines;
} iol_records;

/* The inputs that the names stand for; a folder gives its *.json and *.jsonl in byte order. IOL_EXIT_FAULT without memory. */
int iol_records_start(iol_records *records, char *const names[], int count);
/* Refused before a case is read: the same file twice among the inputs, by device and inode; an input that cannot be read a
 * second time. */
int iol_records_distinct(const iol_records *records);
int iol_records_read_twice(const iol_records *records);
/* From the first input again. */
void iol_records_rewind(iol_records *records);
void iol_records_end(iol_records *records);
/* Fill a batch and give it the next ticket; false when nothing is left. Safe from several threads. */
bool iol_records_take(iol_records *records, iol_batch *batch);

#endif
