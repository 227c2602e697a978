/* What recheck wrote once, before a byte FF, and the rows of a new run behind it. Byte 0: bit 0, the old run gets the end that
 * its lines want; bits 1 and 2, the format; bit 3, --fail-on-change. Every change is told once, in its format, and the counts
 * agree with the changes. */
#include "memory.h"

#include "case/scan.h"
#include "case/value.h"
#include "case/view.h"
#include "cli/against.h"
#include "cli/seen.h"

enum { ROWS = 24 };
static iol_recheck_kept kept[ROWS];
static int rows;

/* A row as recheck makes it: its reference is one that a case may have. */
static void take_row(const char *text, size_t length) {
    static iol_faults faults;
    iol_recheck *r = &kept[rows].recheck;
    const iol_field *field = iol_object_find(iol_object_case, "case_ref", strlen("case_ref"));
    char ref[sizeof r->case_ref] = "";
    iol_refusal refusal;
    iol_faults_start(&faults);
    if (rows == ROWS || !iol_scan_json(text, length, IOL_LINE_MOST, &faults)) return;
    iol_object_reset(iol_object_recheck, r);
    iol_view_object(iol_view_of(text, length), iol_object_recheck, r);
    r->input = "past.jsonl", r->faults_count = 0;
    if (!(fabs(r->line) < 1e9)) r->line = rows + 1;
    if (r->case_ref[0] && !iol_take_text(field, r->case_ref, ref, &refusal)) return;
    rows++;
}

static void take_rows(const uint8_t *data, size_t size) {
    rows = 0;
    for (size_t at = 0; at < size;) {
        const uint8_t *stop = memchr(data + at, '\n', size - at);
        const size_t length = (stop ? (size_t)(stop - data) : size) - at;
        if (length > 0) take_row((const char *)data + at, length);
        at += length + 1;
    }
}

/* Every line as recheck writes it: null but on the last. */
static void put_ends(fuzz_text *t) {
    static fuzz_text out;
    uint64_t digest = IOL_DIGEST_START;
    long count = 0;
    out.used = 0;
    for (size_t at = 0; at < t->used;) {
        const char *line = t->bytes + at, *stop = memchr(line, '\n', t->used - at);
        const size_t length = stop ? (size_t)(stop - line) : t->used - at, covered = iol_recheck_covered(line, length);
        const bool last = at + length + 1 >= t->used;
        char end[100] = ",\"end_lines\":null,\"end_digest\":null}";
        at += length + 1;
        fuzz_must(out.used + length + sizeof end < sizeof out.bytes, "too long");
        memcpy(out.bytes + out.used, line, covered ? covered : length);
        out.used += covered ? covered : length;
        if (covered) count++, digest = iol_digest(digest, line, covered);
        if (covered && last)
            snprintf(end, sizeof end, ",\"end_lines\":%ld,\"end_digest\":\"%016llx\"}", count,
                     (unsigned long long)digest);
        if (covered) memcpy(out.bytes + out.used, end, strlen(end)), out.used += strlen(end);
        out.bytes[out.used++] = '\n';
    }
    *t = out;
}

static void check_line(const char *line, size_t length, iol_recheck_format format) {
    static iol_faults faults;
    int commas = 0;
    for (size_t i = 0; i < length; i++) {
        fuzz_must(line[i] >= ' ' && line[i] <= '~', "a change with a byte outside printable ASCII");
        commas += line[i] == ',';
    }
    iol_faults_start(&faults);
    if (format == IOL_RECHECK_CSV) fuzz_must(commas == 11, "a row with more or fewer cells than the heading");
    if (format == IOL_RECHECK_JSONL)
        fuzz_must(iol_scan_json(line, length, IOL_LINE_MOST, &faults), "a line that is no JSON");
}

static void check_told(iol_recheck_format format) {
    for (const char *line = fuzz_kept[0]; *line;) {
        const char *stop = strchr(line, '\n');
        fuzz_must(stop != NULL, "a change without its end");
        check_line(line, (size_t)(stop - line), format);
        line = stop + 1;
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    static const iol_recheck_format formats[] = {IOL_RECHECK_TEXT, IOL_RECHECK_CSV, IOL_RECHECK_JSONL,
                                                 IOL_RECHECK_TEXT};
    if (size == 0) return 0;
    const uint8_t *stop = memchr(data + 1, 0xFF, size - 1);
    const size_t old = stop ? (size_t)(stop - data) - 1 : size - 1;
    const iol_recheck_format format = formats[data[0] >> 1 & 3];
    iol_against *against = NULL;
    fuzz_fill(&fuzz_file[0], data + 1, old);
    if (data[0] & 1) put_ends(&fuzz_file[0]);
    if (stop) take_rows(stop + 1, size - old - 2);
    if (!stop) rows = 0;
    fuzz_listen();
    iol_output output = {.file = stdout};
    int status = iol_against_start(&against, fuzz_name[0], format, &output);
    const bool taken = status == IOL_EXIT_DONE;
    for (int i = 0; taken && i < rows; i++) fuzz_must(iol_against_case(against, &kept[i]), "a row is not taken");
    if (taken) status = iol_against_finish(against, data[0] & 8);
    iol_against_end(against);
    fuzz_heard();
    check_told(format);
    fuzz_must(taken || fuzz_kept[1][0], "refused without a message");
    fuzz_must(!taken || status == IOL_EXIT_DONE || (data[0] & 8 && status == IOL_EXIT_STOP),
              "read once, and not a second time");
    return 0;
}
