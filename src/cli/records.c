#include "records.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "seen.h"

/* ---- names ---- */

static bool ends_in(const char *name, const char *ending) {
    size_t n = strlen(name), m = strlen(ending);
    return n > m && strcmp(name + n - m, ending) == 0;
}

static bool add_input(iol_records *r, const char *folder, const char *name) {
    if (r->count == r->room) {
        int room = r->room ? 2 * r->room : 16;
        iol_input *grown = realloc(r->input, (size_t)room * sizeof *grown);
        if (!grown) return false;
        r->input = grown;
        r->room = room;
    }
    size_t before = folder ? strlen(folder) : 0, length = strlen(name);
    char *whole = malloc(before + length + 2);
    if (!whole) return false;
    if (folder) memcpy(whole, folder, before);
    if (before > 0 && whole[before - 1] != '/') whole[before++] = '/';
    memcpy(whole + before, name, length + 1);
    r->input[r->count++] = (iol_input){.name = whole};
    return true;
}

static int by_name(const void *a, const void *b) {
    return strcmp(((const iol_input *)a)->name, ((const iol_input *)b)->name);
}

/* False without memory; *folder says whether it was one. */
static bool add_folder(iol_records *r, const char *name, bool *folder) {
    DIR *directory = opendir(name);
    const struct dirent *entry;
    bool good = true;
    int first = r->count;
    *folder = directory != NULL;
    if (!directory) return errno != ENOMEM;
    while (good && (entry = readdir(directory)) != NULL)
        if (ends_in(entry->d_name, ".json") || ends_in(entry->d_name, ".jsonl"))
            good = add_input(r, name, entry->d_name);
    closedir(directory);
    if (r->count > first) qsort(r->input + first, (size_t)(r->count - first), sizeof *r->input, by_name);
    return good;
}

int iol_records_start(iol_records *r, char *const names[], int count) {
    bool good = true;
    r->input = NULL;
    r->count = r->room = 0;
    r->digesting = r->csv = false;
    pthread_mutex_init(&r->lock, NULL);
    for (int i = 0; i < count && good; i++) {
        bool folder = false;
        if (strcmp(names[i], "-") != 0) good = add_folder(r, names[i], &folder);
        if (good && !folder) good = add_input(r, NULL, names[i]);
    }
    if (count == 0) good = add_input(r, NULL, "-");
    iol_records_rewind(r);
    return good ? IOL_EXIT_DONE : iol_cli_cannot("list", "the inputs", IOL_EXIT_FAULT);
}

static int stat_input(const char *name, struct stat *s) {
    return strcmp(name, "-") == 0 ? fstat(STDIN_FILENO, s) : stat(name, s);
}

typedef struct {
    dev_t device;
    ino_t inode;
    int input;
} known_file;

static int by_file(const void *a, const void *b) {
    const known_file *x = a, *y = b;
    if (x->device != y->device) return x->device < y->device ? -1 : 1;
    if (x->inode != y->inode) return x->inode < y->inode ? -1 : 1;
    return x->input - y->input;
}

int iol_records_distinct(const iol_records *r) {
    known_file *known = malloc(((size_t)r->count + 1) * sizeof *known);
    int count = 0, status = IOL_EXIT_DONE;
    struct stat s;
    if (!known) return iol_cli_no_memory();
    for (int i = 0; i < r->count; i++)
        if (stat_input(r->input[i].name, &s) == 0 && (S_ISREG(s.st_mode) || S_ISFIFO(s.st_mode)))
            known[count++] = (known_file){s.st_dev, s.st_ino, i};
    qsort(known, (size_t)count, sizeof *known, by_file);
    for (int i = 1; i < count && status == IOL_EXIT_DONE; i++)
        if (known[i].device == known[i - 1].device && known[i].inode == known[i - 1].inode)
            status = iol_cli_usage("each input once: this file is given twice", r->input[known[i].input].name);
    free(known);
    return status;
}

int iol_records_read_twice(const iol_records *r) {
    struct stat s;
    for (int i = 0; i < r->count; i++) {
        const char *name = r->input[i].name;
        bool plain = stat_input(name, &s) != 0 || S_ISREG(s.st_mode) || S_ISDIR(s.st_mode);
        if (!plain || strcmp(name, "-") == 0) return iol_cli_usage("plain files: --fit-site reads them twice", name);
    }
    return IOL_EXIT_DONE;
}

void iol_records_rewind(iol_records *r) {
    r->next = 0;
    r->ticket = 0;
    r->file = -1;
}

void iol_records_end(iol_records *r) {
    for (int i = 0; i < r->count; i++) free(r->input[i].name), free(r->input[i].columns);
    free(r->input);
    pthread_mutex_destroy(&r->lock);
}

/* ---- bytes ---- */

static void keep_least(iol_records *r, const char *record, size_t length) {
    uint64_t digest = iol_digest(IOL_DIGEST_START, record, length);
    int at = r->leasts;
    if (at == IOL_LEAST && digest >= r->least[at - 1]) return;
    while (at > 0 && r->least[at - 1] > digest) at--;
    if (at > 0 && r->least[at - 1] == digest) return;
    if (r->leasts < IOL_LEAST) r->leasts++;
    memmove(r->least + at + 1, r->least + at, (size_t)(r->leasts - at - 1) * sizeof *r->least);
    r->least[at] = digest;
}

static size_t source(void *context, char *bytes, size_t size) {
    iol_records *r = context;
    ssize_t got;
    do got = read(r->file, bytes, size);
    while (got < 0 && errno == EINTR);
    if (got < 0) r->error = errno;
    if (got <= 0) return 0;
    iol_input *input = &r->input[r->next - 1];
    input->bytes += (uint64_t)got;
    if (r->digesting) input->digest = iol_digest(input->digest, bytes, (size_t)got);
    return (size_t)got;
}

static iol_batch_item *add_item(iol_records *r, iol_batch *batch, iol_record_kind kind, long line, int error) {
    iol_batch_item *item = &batch->item[batch->count++];
    *item = (iol_batch_item){.kind = kind, .input = r->next - 1, .line = line, .error = error, .at = batch->used};
    return item;
}

static void close_input(iol_records *r) {
    if (r->file > STDIN_FILENO) close(r->file);
    r->file = -1;
}

/* Open the next input. A failure is an item of the batch. */
static void open_next(iol_records *r, iol_batch *batch) {
    iol_input *input = &r->input[r->next++];
    bool standard = strcmp(input->name, "-") == 0;
    r->file = standard ? STDIN_FILENO : open(input->name, O_RDONLY);
    r->error = 0;
    r->whole = ends_in(input->name, ".json") && !r->csv;
    r->row = ends_in(input->name, ".csv") || r->csv;
    r->held = false;
    r->joined = 0;
    input->bytes = 0;
    input->digest = IOL_DIGEST_START;
    if (r->file < 0)
        add_item(r, batch, IOL_RECORD_NOT_OPENED, 0, errno);
    else
        iol_lines_start(&r->lines, source, r);
    if (r->file == STDIN_FILENO && standard && !r->row) r->whole = r->held = iol_lines_one_value(&r->lines);
}

/* A file of one case: at most a byte more than a case may have, for the reader to refuse. */
static void take_whole(iol_records *r, iol_batch *batch) {
    iol_batch_item *item = add_item(r, batch, IOL_RECORD, 1, 0);
    size_t got;
    item->whole = true;
    while (item->length <= IOL_WHOLE_MOST) {
        char *at = batch->bytes + batch->used;
        const size_t room = IOL_WHOLE_MOST + 1 - item->length;
        got = r->held ? iol_lines_rest(&r->lines, at, room) : source(r, at, room);
        if (got == 0) break;
        item->length += got;
        batch->used += got;
    }
    if (r->error) *item = (iol_batch_item){.kind = IOL_RECORD_NOT_READ, .input = r->next - 1, .error = r->error};
    if (r->digesting && !r->error) keep_least(r, batch->bytes + item->at, item->length);
    close_input(r);
}

static void take_line(iol_records *r, iol_batch *batch) {
    iol_record record;
    if (!iol_lines_next(&r->lines, &record)) {
        if (r->error) add_item(r, batch, IOL_RECORD_NOT_READ, 0, r->error);
        close_input(r);
        return;
    }
    iol_batch_item *item = add_item(r, batch, record.text ? IOL_RECORD : IOL_RECORD_LONG, record.line, 0);
    item->length = record.length;
    if (!record.text) return;
    if (r->digesting) keep_least(r, record.text, record.length);
    memcpy(batch->bytes + batch->used, record.text, record.length);
    batch->used += record.length;
}

/* The rest of a row whose quoted cell goes on over line ends; false when the row grows too long or the input ends. */
static bool join_lines(iol_records *r, iol_batch *batch, iol_batch_item *item, long line) {
    iol_record more;
    while (iol_row_open(batch->bytes + item->at, item->length)) {
        if (!iol_lines_next(&r->lines, &more)) return true; /* the reader of the row says what is missing */
        r->joined += more.line - line;
        line = more.line;
        item->length += 1 + more.length;
        if (!more.text || item->length > IOL_LINE_MOST) return false;
        batch->bytes[batch->used++] = '\n';
        memcpy(batch->bytes + batch->used, more.text, more.length);
        batch->used += more.length;
    }
    return true;
}

/* The heading of the sheet, which is no item unless it cannot be read: then it is the last one. */
static void take_heading(iol_records *r, iol_batch *batch, iol_batch_item *item) {
    iol_input *input = &r->input[r->next - 1];
    if (!input->columns) input->columns = malloc(sizeof *input->columns);
    if (!input->columns) {
        *item = (iol_batch_item){.kind = IOL_RECORD_NOT_READ, .input = r->next - 1, .error = ENOMEM};
        close_input(r);
        return;
    }
    bool good = iol_columns_read(batch->bytes + item->at, item->length, input->columns);
    item->columns = input->columns;
    if (good)
        batch->count--, batch->used = item->at;
    else
        close_input(r);
}

/* A row of a sheet, a case each behind the heading; a row without a value is none. */
static void take_row(iol_records *r, iol_batch *batch) {
    const bool first = r->lines.line == 0;
    int before = batch->count;
    take_line(r, batch);
    if (r->file < 0 || batch->count == before) return;
    iol_batch_item *item = &batch->item[before];
    if (item->kind == IOL_RECORD_LONG) {
        if (first) close_input(r);
        return;
    }
    const long line = item->line;
    item->line -= r->joined;
    if (!join_lines(r, batch, item, line)) {
        *item = (iol_batch_item){
            .kind = IOL_RECORD_LONG, .input = item->input, .line = item->line, .length = item->length, .at = item->at};
        close_input(r);
    } else if (first)
        take_heading(r, batch, item);
    else if (iol_row_empty(batch->bytes + item->at, item->length))
        batch->count--, batch->used = item->at;
    else
        item->columns = r->input[item->input].columns;
}

bool iol_records_take(iol_records *r, iol_batch *batch) {
    pthread_mutex_lock(&r->lock);
    batch->count = 0;
    batch->used = 0;
    while (batch->count < IOL_BATCH_ITEMS - 1 && batch->used < IOL_BATCH_BYTES - IOL_LINE_MOST) {
        if (r->file < 0 && r->next == r->count) break;
        if (r->file < 0)
            open_next(r, batch);
        else if (r->whole)
            take_whole(r, batch);
        else if (r->row)
            take_row(r, batch);
        else
            take_line(r, batch);
    }
    if (batch->count > 0) batch->ticket = r->ticket++;
    pthread_mutex_unlock(&r->lock);
    return batch->count > 0;
}
