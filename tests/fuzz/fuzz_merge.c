/* Parts of a recheck, cut by a byte FF. Byte 0: bit 0, each part gets the end that its lines want, so that its counts are
 * judged; bit 1, so many parts are wanted. What is taken adds up: written as one part and read again it is the same. */
#include "memory.h"

#include "cli/partial.h"
#include "cli/seen.h"
#include "case/lines.h"

typedef struct {
    const fuzz_text *from;
    size_t at;
} bytes_source;

static size_t take_bytes(void *context, char *into, size_t size) {
    bytes_source *s = context;
    size_t left = s->from->used - s->at, take = size < left ? size : left;
    memcpy(into, s->from->bytes + s->at, take);
    s->at += take;
    return take;
}

static void put_end(fuzz_text *part) {
    static iol_lines lines;
    bytes_source s = {part, 0};
    iol_record record;
    uint64_t digest = IOL_DIGEST_START;
    long count = 0;
    char end[100];
    if (part->used > 0 && part->bytes[part->used - 1] != '\n') fuzz_put(part, "\n");
    iol_lines_start(&lines, take_bytes, &s);
    for (; iol_lines_next(&lines, &record); count++)
        if (record.text) digest = iol_digest(iol_digest(digest, record.text, record.length), "\n", 1);
    snprintf(end, sizeof end, "{\"end\":true,\"lines\":%ld,\"digest\":\"%016llx\"}\n", count,
             (unsigned long long)digest);
    fuzz_put(part, end);
}

static int cut(const uint8_t *data, size_t size, bool ends) {
    int count = 0;
    for (size_t at = 0; at <= size && count < FUZZ_FILES; count++) {
        const uint8_t *stop = memchr(data + at, 0xFF, size - at);
        const size_t length = (stop ? (size_t)(stop - data) : size) - at;
        fuzz_fill(&fuzz_file[count], data + at, length);
        if (ends) put_end(&fuzz_file[count]);
        at += length + 1;
    }
    return count;
}

static void write_part(const iol_statistics *s, const char *settings, fuzz_text *into) {
    static iol_records records;
    iol_output output = {.file = fmemopen(into->bytes, sizeof into->bytes, "w")};
    fuzz_must(output.file != NULL && iol_partial_write(&output, s, &records, settings) == IOL_EXIT_DONE, "not written");
    fflush(output.file);
    const long size = ftell(output.file);
    fuzz_must(size > 0 && !output.failed, "nothing is written");
    into->used = (size_t)size;
    fclose(output.file);
}

static int add_up(char *const names[], int count, int wanted, iol_statistics *s) {
    iol_statistics_start(s);
    fuzz_listen();
    const int status = iol_partial_merge(names, count, wanted, s);
    fuzz_must(fuzz_heard() == 0, "a part is told on standard output");
    fuzz_must((status == IOL_EXIT_DONE) == (fuzz_kept[1][0] == '\0'), "refused without a message, or taken with one");
    return status;
}

/* What came in goes out and comes in again as it was. */
static void again(const iol_statistics *s) {
    static iol_statistics other;
    static iol_summary summary;
    static fuzz_text once, twice;
    iol_statistics_summary(s, &summary);
    write_part(s, "0123456789abcdef", &once);
    fuzz_file[0] = once;
    fuzz_must(add_up(fuzz_name, 1, 1, &other) == IOL_EXIT_DONE, "a part that this program wrote is refused");
    write_part(&other, "0123456789abcdef", &twice);
    fuzz_must(once.used == twice.used && memcmp(once.bytes, twice.bytes, once.used) == 0,
              "a part is not the sum of its parts");
    iol_statistics_end(&other);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    static iol_statistics s;
    if (size == 0) return 0;
    const int count = cut(data + 1, size - 1, data[0] & 1), wanted = data[0] & 2 ? 2 : 0;
    const int status = add_up(fuzz_name, count, wanted, &s);
    fuzz_must(status == IOL_EXIT_DONE || status == IOL_EXIT_REFUSED || status == IOL_EXIT_INPUT, "another exit status");
    if (status == IOL_EXIT_DONE) again(&s);
    iol_statistics_end(&s);
    return 0;
}
