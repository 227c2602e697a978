/* Any bytes as JSON Lines of past cases, or records that are changes of an example (edits.h), cut by two bytes FF. Each line
 * gives its row whatever stood before it and however the bytes came; no cell starts a spreadsheet's formula; the counts do not
 * depend on the order. */
#include <cJSON.h>

#include "recheck/csv.h"
#include "recheck/statistics.h"
#include "edits.h"
#include "case/lines.h"
#include "write/object_json.h"
#include "outputs.h"
#include "report/report.h"

enum { MOST_LINES = 40 };
static const char input[] = "=past,cases.jsonl"; /* an ill-meant name */

typedef struct {
    const fuzz_text *from;
    size_t at, step;
} bytes_source;

static size_t take_bytes(void *context, char *into, size_t size) {
    bytes_source *s = context;
    size_t left = s->from->used - s->at, take = s->step && s->step < size ? s->step : size;
    if (take > left) take = left;
    memcpy(into, s->from->bytes + s->at, take);
    s->at += take;
    return take;
}

typedef struct {
    iol_past past;
    iol_case c;
    iol_faults faults;
    iol_recheck row;
    double slope[IOL_PAST_ROWS];
} worker;

static iol_site shelf;
static iol_score scores[MOST_LINES];

static void start(worker *w, int filler) {
    memset(w, filler, sizeof *w);
    iol_past_start(&w->past, &shelf, IOL_UNKNOWN_DATE);
    w->row.predictions_lost = w->row.faults_lost = false;
}

static void work(worker *w, const iol_record *record, double line, fuzz_text *json, fuzz_text *csv, iol_score *score) {
    static char name[9000];
    size_t length = iol_csv_name(input, name, sizeof name);
    w->row.input = input;
    w->row.line = line;
    bool good = record->text && iol_case_read(record->text, record->length, &w->c, &w->faults);
    if (!record->text) {
        iol_case_reset(&w->c);
        iol_faults_start(&w->faults);
        iol_fault_add(&w->faults, IOL_FAULT_too_long, "", "", "at most 65536", "bytes");
    } else if (!good) {
        fuzz_check_faults(&w->faults);
    }
    if (good)
        iol_past_case(&w->past, &w->c, &w->row, w->slope);
    else
        iol_past_refused(&w->c, &w->faults, &w->row);
    iol_score_make(&w->row, w->slope, score);
    fuzz_must(iol_object_write(iol_object_recheck, &w->row, false, fuzz_sink, json), "a row that is not written");
    fuzz_must(iol_csv_room(length) <= sizeof csv->bytes - csv->used, "too little room for the rows");
    csv->used += iol_csv_case(&w->row, name, length, good ? 0 : w->faults.count, csv->bytes + csv->used);
}

/* All lines with one worker; returns how many. first: byte of each line's object. */
static int run(const fuzz_text *from, size_t step, int filler, fuzz_text *json, fuzz_text *csv,
               size_t first[MOST_LINES]) {
    static iol_lines lines;
    static worker w;
    bytes_source s = {from, 0, step};
    iol_record record;
    int count = 0;
    json->used = csv->used = 0;
    start(&w, filler);
    iol_lines_start(&lines, take_bytes, &s);
    while (count < MOST_LINES && iol_lines_next(&lines, &record)) {
        first[count] = json->used;
        work(&w, &record, (double)record.line, json, csv, &scores[count]);
        count++;
    }
    return count;
}

/* A line by itself, with a worker that saw nothing before. */
static void run_alone(const fuzz_text *from, const fuzz_text *whole, const size_t first[MOST_LINES], int count) {
    static iol_lines lines;
    static worker w;
    static fuzz_text json, csv;
    bytes_source s = {from, 0, 0};
    iol_record record;
    iol_score score;
    iol_lines_start(&lines, take_bytes, &s);
    for (int i = 0; i < count && iol_lines_next(&lines, &record); i++) {
        size_t end = i + 1 < count ? first[i + 1] : whole->used;
        json.used = csv.used = 0;
        start(&w, i % 2 ? 0x5A : 0xA5);
        work(&w, &record, (double)record.line, &json, &csv, &score);
        fuzz_must(json.used == end - first[i] && memcmp(json.bytes, whole->bytes + first[i], json.used) == 0,
                  "a line gives another row behind others than alone");
        fuzz_must(score.status == scores[i].status && score.entries == scores[i].entries, "a line counts differently");
    }
}

/* Bytes are split at \n here, by hand: lines that are not blank. */
static int count_lines(const fuzz_text *t) {
    int count = 0;
    size_t at = t->used >= 3 && memcmp(t->bytes, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
    while (at < t->used) {
        const char *line = t->bytes + at, *end = memchr(line, '\n', t->used - at);
        size_t length = end ? (size_t)(end - line) : t->used - at;
        bool blank = true;
        for (size_t i = 0; i < length; i++) blank = blank && strchr(" \t\r", line[i]) != NULL && line[i] != '\0';
        count += !blank;
        at += length + (end != NULL);
    }
    return count;
}

/* Cells by RFC 4180. Returns the rows. */
static int check_csv(const fuzz_text *csv, int columns) {
    int rows = 0;
    for (size_t at = 0; at < csv->used; rows++) {
        int cells = 0;
        for (bool last = false; !last; cells++) {
            bool quoted = csv->bytes[at] == '"';
            if (quoted) at++;
            char begins = csv->bytes[at];
            bool number = begins == '-' && fuzz_is_digit(csv->bytes[at + 1]);
            fuzz_must(strchr("=+-@\t", begins) == NULL || begins == '\0' || number, "a cell that starts a formula");
            if (quoted) {
                for (; csv->bytes[at] != '"' || csv->bytes[at + 1] == '"'; at++) {
                    fuzz_must(at < csv->used, "a cell that does not end");
                    at += csv->bytes[at] == '"';
                }
                at++;
            } else {
                at += strcspn(csv->bytes + at, ",\"\n");
            }
            last = csv->bytes[at] == '\n';
            fuzz_must(last || csv->bytes[at] == ',', "a cell that does not end");
            at++;
        }
        fuzz_must(cells == columns, "a row with more or fewer cells than the header");
    }
    return rows;
}

static void summarise(int count, bool backwards, fuzz_text *json, fuzz_text *text) {
    static iol_statistics s;
    static iol_summary summary;
    static iol_page page;
    iol_statistics_start(&s);
    for (int i = 0; i < count; i++)
        fuzz_must(iol_statistics_add(&s, &scores[backwards ? count - 1 - i : i], 1), "no memory");
    memset(&summary, backwards ? 0xA5 : 0x5A, sizeof summary);
    iol_statistics_summary(&s, &summary);
    iol_report_summary(&summary, &page);
    json->used = text->used = 0;
    fuzz_must(iol_object_write(iol_object_summary, &summary, true, fuzz_sink, json), "a summary that is not written");
    fuzz_must(iol_page_text(&page, false, fuzz_sink, text), "a summary that is not written");
    iol_statistics_end(&s);
}

static void check_all(const fuzz_text *from) {
    static fuzz_text json, again, csv, csv_again, text;
    size_t first[MOST_LINES], other[MOST_LINES];
    int count = run(from, 0, 0xA5, &json, &csv, first), columns = 1;
    if (count == 0 || count == MOST_LINES) return;
    fuzz_must(count == count_lines(from), "lines that are not counted as they stand");
    fuzz_must(run(from, 1 + from->used % 97, 0x5A, &again, &csv_again, other) == count, "cut differently, other lines");
    fuzz_same(&json, &again, "cut differently, another object");
    fuzz_same(&csv, &csv_again, "cut differently, another row");
    run_alone(from, &json, first, count);
    fuzz_check_json(json.bytes);
    for (int i = 0; i < count; i++) {
        cJSON *row = cJSON_ParseWithOpts(json.bytes + first[i], NULL, false);
        fuzz_must(cJSON_IsObject(row), "a row that is no JSON");
        cJSON_Delete(row);
    }
    for (const char *c = iol_csv_header; *c; c++) columns += *c == ',';
    fuzz_must(check_csv(&csv, columns) >= count, "a case without a row");
    if (from->used % 16 != 0) return; /* the summary takes the most time and depends on little */
    summarise(count, false, &json, &text);
    summarise(count, true, &again, &csv);
    fuzz_same(&json, &again, "backwards, another summary");
    fuzz_same(&text, &csv, "backwards, another page");
    fuzz_check_json(json.bytes);
    fuzz_check_text(text.bytes);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    static fuzz_text from, json, site;
    iol_site_generic(&shelf);
    from.used = 0;
    if (size > (1u << 19)) return 0;
    if (!fuzz_is_edits(data, size)) {
        memcpy(from.bytes, data, size);
        from.used = size;
        from.bytes[size] = '\0';
    }
    for (size_t at = 0, end; fuzz_is_edits(data, size) && at < size && from.used < sizeof from.bytes / 2;
         at = end + 2) {
        for (end = at; end < size && !(data[end] == 0xFF && end + 1 < size && data[end + 1] == 0xFF);) end++;
        if (end - at < 2 || !fuzz_from_edits(data + at, end - at, &json, &site)) continue;
        fuzz_put(&from, json.bytes);
        fuzz_put(&from, "\n");
    }
    check_all(&from);
    return 0;
}
