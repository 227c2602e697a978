#include "records.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

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
    r->digesting = false;
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

void iol_records_rewind(iol_records *r) {
    r->next = 0;
    r->ticket = 0;
    r->file = -1;
}

void iol_records_end(iol_records *r) {
    for (int i = 0; i < r->count; i++) free(r->input[i].name);
    free(r->input);
    pthread_mutex_destroy(&r->lock);
}

/* ---- bytes ---- */

/* FNV-1a, 64 bits. */
static void digest(iol_input *input, const char *bytes, size_t length) {
    for (size_t i = 0; i < length; i++) input->digest = (input->digest ^ (unsigned char)bytes[i]) * 0x100000001b3u;
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
    if (r->digesting) digest(input, bytes, (size_t)got);
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
    r->whole = ends_in(input->name, ".json");
    input->bytes = 0;
    input->digest = 0xcbf29ce484222325u;
    if (r->file < 0)
        add_item(r, batch, IOL_RECORD_NOT_OPENED, 0, errno);
    else
        iol_lines_start(&r->lines, source, r);
}

/* A file of one case: at most a byte more than a case may have, for the reader to refuse. */
static void take_whole(iol_records *r, iol_batch *batch) {
    iol_batch_item *item = add_item(r, batch, IOL_RECORD, 1, 0);
    size_t got;
    item->whole = true;
    while (item->length <= IOL_WHOLE_MOST &&
           (got = source(r, batch->bytes + batch->used, IOL_WHOLE_MOST + 1 - item->length)) > 0) {
        item->length += got;
        batch->used += got;
    }
    if (r->error) *item = (iol_batch_item){.kind = IOL_RECORD_NOT_READ, .input = r->next - 1, .error = r->error};
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
    memcpy(batch->bytes + batch->used, record.text, record.length);
    batch->used += record.length;
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
        else
            take_line(r, batch);
    }
    if (batch->count > 0) batch->ticket = r->ticket++;
    pthread_mutex_unlock(&r->lock);
    return batch->count > 0;
}
