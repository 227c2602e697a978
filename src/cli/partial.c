/* Counts of one part of the cases as JSON Lines. */
#include "partial.h"

#include <string.h>

#include "seen.h"
#include "write/json.h"

/* Bytes and lines on their way out. */
typedef struct {
    iol_output *output;
    uint64_t digest;
    int64_t lines;
    iol_json json;
} part;

static bool digest_sink(void *context, const char *bytes, size_t length) {
    part *p = context;
    p->digest = iol_digest(p->digest, bytes, length);
    return iol_output_sink(p->output, bytes, length);
}

static iol_json *open_line(part *p, const char *line) {
    iol_json_start(&p->json, digest_sink, p, false);
    iol_json_open(&p->json, NULL, '{');
    if (line) iol_json_text(&p->json, "line", line);
    return &p->json;
}

static void close_line(part *p) {
    iol_json_close(&p->json, '}');
    iol_json_finish(&p->json);
    p->lines++;
}

static void put_digest(iol_json *j, const char *key, uint64_t digest) {
    char text[17];
    snprintf(text, sizeof text, "%016llx", (unsigned long long)digest);
    iol_json_text(j, key, text);
}

/* So many entries in a line at most: the scanner takes 4096 values. */
enum { MOST_BINS = 1000, MOST_TOTALS = 600, MOST_TOLD = 501 };

static void names_of(iol_json *j, int series) {
    int method, formula;
    iol_series_names(series, &method, &formula);
    iol_json_text(j, "method", IOL_WORD(recheck_method, method));
    iol_json_text(j, "formula", IOL_WORD(formula, formula));
}

/* From value `from` on; returns where the next line goes on, beyond the last when all are written. */
/* Numbers of a row. */
static void put_counts(iol_json *j, const char *key, const int64_t count[], int n) {
    iol_json_open(j, key, '[');
    for (int i = 0; i < n; i++) iol_json_integer(j, NULL, count[i]);
    iol_json_close(j, ']');
}

static int write_bins(iol_json *j, const char *key, const iol_bins *bins, int from) {
    int v = iol_bins_next(bins, from);
    iol_json_open(j, key, '[');
    for (int i = 0; i < MOST_BINS && v <= IOL_ERROR_MOST; i++, v = iol_bins_next(bins, v + 1)) {
        put_counts(j, NULL, (int64_t[]){v, iol_bins_at(bins, v)}, 2);
    }
    iol_json_close(j, ']');
    return v;
}

/* The figures of a tally stand on its first line; on the others they are 0. */
static void write_tally(part *p, const iol_tally *t, int series, int sort) {
    static const iol_tally none;
    int by, v = -IOL_ERROR_MOST;
    const char *is;
    iol_sort_names(sort, &by, &is);
    for (const iol_tally *figures = t; iol_bins_next(&t->errors, v) <= IOL_ERROR_MOST; figures = &none) {
        iol_json *j = open_line(p, "tally");
        iol_json_text(j, "by", IOL_WORD(group_by, by));
        iol_json_text(j, "is", is);
        names_of(j, series);
        iol_json_open(j, "held", '[');
        for (int i = 0; i < IOL_interval_held_end; i++) iol_json_integer(j, NULL, figures->held[i]);
        iol_json_close(j, ']');
        iol_json_integer(j, "slopes", figures->slopes);
        iol_json_integer(j, "slope_sum", figures->slope_sum);
        v = write_bins(j, "errors", &t->errors, v);
        close_line(p);
    }
}

static int write_totals(iol_json *j, const iol_moments *all, int from) {
    int v = iol_moments_next(all, from);
    iol_json_open(j, "totals", '[');
    for (int i = 0; i < MOST_TOTALS && v <= 2 * IOL_ERROR_MOST; i++, v = iol_moments_next(all, v + 1)) {
        const iol_moment *m = iol_moments_at(all, v);
        put_counts(j, NULL, (int64_t[]){v, m->n, m->sum, m->square}, 4);
    }
    iol_json_close(j, ']');
    return v;
}

static void write_pair(part *p, const iol_pair_tally *pair, int series) {
    for (int v = -IOL_ERROR_MOST; iol_bins_next(&pair->ranks, v) <= IOL_ERROR_MOST; close_line(p)) {
        names_of(open_line(p, "ranks"), series);
        v = write_bins(&p->json, "ranks", &pair->ranks, v);
    }
    for (int v = -2 * IOL_ERROR_MOST; iol_moments_next(&pair->by_total, v) <= 2 * IOL_ERROR_MOST; close_line(p)) {
        names_of(open_line(p, "totals"), series);
        v = write_totals(&p->json, &pair->by_total, v);
    }
}

static void write_steps(part *p, const iol_step_tally step[IOL_STEPS]) {
    iol_json *j = open_line(p, "steps");
    iol_json_open(j, "steps", '[');
    for (int i = 0; i < IOL_STEPS; i++) {
        if (step[i].n == 0) continue;
        const iol_step_tally *t = &step[i];
        put_counts(j, NULL, (int64_t[]){i - IOL_STEP_MOST, t->n, t->predicted, t->achieved, t->error, t->square}, 6);
    }
    iol_json_close(j, ']');
    close_line(p);
}

/* Each tally that holds an eye: which it is, and its sums. */
static void write_told(part *p, const char *line, const iol_told_tally tally[], int from, int count) {
    iol_json *j = open_line(p, line);
    iol_json_open(j, "tallies", '[');
    for (int i = from; i < from + count; i++) {
        if (tally[i].n == 0) continue;
        put_counts(j, NULL, (int64_t[]){i, tally[i].n, tally[i].came, tally[i].told}, 4);
    }
    iol_json_close(j, ']');
    close_line(p);
}

static void write_counts(part *p, const iol_statistics *s) {
    iol_json *j = open_line(p, "counts");
    put_counts(j, "not_counted", s->not_counted, IOL_not_counted_end);
    put_counts(j, "constants", s->constants, IOL_constants_of_end);
    put_counts(j, "support", s->support[0], 2 * IOL_tier_end);
    put_counts(j, "standing", s->standing, IOL_standing_end);
    iol_json_integer(j, "alarms_open", s->alarms_open);
    close_line(p);
}

static void write_head(part *p, const iol_statistics *s, const iol_records *records, const char *settings) {
    iol_json *j = open_line(p, NULL);
    iol_json_integer(j, "partial_format", IOL_PARTIAL_FORMAT);
    iol_json_text(j, "program_version", IOLREVISE_VERSION);
    iol_json_text(j, "settings", settings);
    iol_json_integer(j, "cases", s->cases);
    iol_json_integer(j, "refused", s->refused);
    iol_json_integer(j, "no_outcome", s->no_outcome);
    iol_json_integer(j, "inputs", records->count);
    close_line(p);
}

static void write_inputs(part *p, const iol_records *records) {
    for (int i = 0; i < records->count; i++) {
        const iol_input *input = &records->input[i];
        iol_json *j = open_line(p, "input");
        iol_json_text(j, "name", input->name);
        iol_json_integer(j, "bytes", (int64_t)input->bytes);
        put_digest(j, "digest", input->digest);
        close_line(p);
    }
    iol_json *j = open_line(p, "records");
    iol_json_open(j, "least", '[');
    for (int i = 0; i < records->leasts; i++) put_digest(j, NULL, records->least[i]);
    iol_json_close(j, ']');
    close_line(p);
}

/* Copies have other inodes, but their digests tell. */
static int same_bytes(const iol_records *records) {
    iol_seen seen = {NULL};
    int status = IOL_EXIT_DONE;
    for (int i = 0; i < records->count && status == IOL_EXIT_DONE; i++) {
        const iol_input *input = &records->input[i];
        int found = input->bytes > 0 ? iol_seen_add(&seen, input->digest ^ input->bytes) : IOL_SEEN_NEW;
        if (found == IOL_SEEN_NO_MEMORY) status = iol_cli_no_memory();
        if (found == IOL_SEEN_BEFORE)
            status = iol_cli_usage("each input once: this one holds the same bytes as another", input->name);
    }
    iol_seen_end(&seen);
    return status;
}

int iol_partial_write(iol_output *output, const iol_statistics *s, const iol_records *records, const char *settings) {
    part p = {.output = output, .digest = IOL_DIGEST_START};
    int status = same_bytes(records);
    if (status != IOL_EXIT_DONE) return status;
    write_head(&p, s, records, settings);
    write_inputs(&p, records);
    write_counts(&p, s);
    for (int series = 0; series < IOL_SERIES; series++)
        for (int sort = 0; sort < IOL_SORTS; sort++) write_tally(&p, &s->tally[series][sort], series, sort);
    for (int series = 1; series < IOL_SERIES; series++) write_pair(&p, &s->pair[series], series);
    write_steps(&p, s->step);
    for (int from = 0; from <= IOL_TOLD_MOST; from += MOST_TOLD) {
        int left = IOL_TOLD_MOST + 1 - from;
        write_told(&p, "told", s->told, from, left < MOST_TOLD ? left : MOST_TOLD);
    }
    write_told(&p, "eye-part", s->eye_part, 0, IOL_EYE_PARTS);
    uint64_t digest = p.digest;
    iol_json *j = open_line(&p, NULL);
    iol_json_bool(j, "end", true);
    iol_json_integer(j, "lines", p.lines);
    put_digest(j, "digest", digest);
    close_line(&p);
    return IOL_EXIT_DONE;
}
