/* Many cases on several threads: a worker takes a batch and its ticket, works, waits for its turn, writes, counts. */
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "arena.h"
#include "recheck/csv.h"
#include "recheck/fit.h"
#include "buffer.h"
#include "case/reader.h"
#include "text/number.h"
#include "write/object_json.h"
#include "recheck.h"
#include "seen.h"

enum {
    NAME = 8500,
    SCORES = 4096 /* the tables of counts are wide: many cases at once find more of them still in the cache */
};

typedef struct {
    iol_recheck_run *run;
    pthread_mutex_t lock, counting; /* counting: of the statistics alone */
    pthread_cond_t turn;
    long next; /* ticket whose turn it is */
    atomic_bool stop;
    bool progress;
    struct timespec shown;
    long cases;      /* whose turn is over */
    iol_buffer last; /* jsonl: the last line so far, held back until it is known whether it ends the run */
    int64_t lines;
    uint64_t digest; /* of the lines */
} shared;

typedef struct {
    shared *all;
    iol_case c, blank;
    iol_faults faults;
    iol_past past;
    iol_past *other; /* under the second site file; NULL none */
    iol_case again;
    iol_recheck recheck;
    double slope[IOL_PAST_ROWS];
    iol_score score[SCORES]; /* of cases not yet counted; from `first` on those of the batch at hand */
    int scores, first, status;
    bool no_memory;         /* a case was not read for want of it */
    iol_recheck_kept *kept; /* copies for run->each; NULL none are wanted */
    iol_batch batch;
    iol_buffer rows, messages;
    iol_arena arena;
    int named; /* input that `name` is the cell of; -1 none */
    size_t name_length;
    char name[NAME];
} worker;

static void say_faults(worker *w, const char *file) {
    char line[IOL_CLI_LINE];
    if (w->all->run->quiet) return;
    for (int i = 0; i <= w->faults.count; i++)
        if (iol_cli_fault_line(file, &w->faults, i, line, sizeof line)) iol_buffer_text(&w->messages, line);
}

/* A JSON Lines record's faults stand on its own line. */
static void move_lines(worker *w, const iol_batch_item *item) {
    for (int i = 0; i < w->faults.count && !item->whole; i++) w->faults.item[i].line = (int)item->line;
}

static void write_rows(worker *w, const iol_batch_item *item) {
    const iol_recheck_run *run = w->all->run;
    if (w->named != item->input) {
        w->named = item->input;
        w->name_length = iol_csv_name(run->records->input[item->input].name, w->name, sizeof w->name);
    }
    int faults = w->recheck.status == IOL_recheck_status_refused ? w->faults.count + w->faults.more : 0;
    if (run->format == IOL_RECHECK_CSV) {
        char *at = iol_buffer_room(&w->rows, iol_csv_room(w->name_length));
        if (at) w->rows.used += iol_csv_case(&w->recheck, w->name, w->name_length, faults, at);
    } else
        iol_object_write(iol_object_recheck, &w->recheck, false, iol_buffer_sink, &w->rows);
}

static void refuse(worker *w, const iol_batch_item *item) {
    w->no_memory = iol_faults_no_memory(&w->faults);
    if (w->no_memory) return;
    w->status = iol_cli_worse(w->status, IOL_EXIT_REFUSED);
    move_lines(w, item);
    say_faults(w, w->all->run->records->input[item->input].name);
    iol_past_refused(&w->c, &w->faults, &w->recheck);
}

static void too_long(worker *w, const iol_batch_item *item) {
    char found[32];
    iol_case_reset(&w->c);
    iol_faults_start(&w->faults);
    iol_print_count((int64_t)item->length, 0, false, found, sizeof found);
    iol_fault_add(&w->faults, IOL_FAULT_too_long, "", found, "at most 65536", "bytes");
    refuse(w, item);
}

/* The case under the run's site and, where there is one, under the other. */
static void do_case(worker *w) {
    iol_recheck_run *run = w->all->run;
    const iol_constants *none = &w->blank.outcome.lens.constants;
    if (w->other) w->again = w->c;
    if (run->site_constants) iol_past_site_constants(&w->c, run->site, none);
    iol_past_case(&w->past, &w->c, &w->recheck, w->slope);
    if (!w->other) return;
    iol_score a, b;
    iol_score_make(&w->recheck, w->slope, &a);
    if (run->site_constants) iol_past_site_constants(&w->again, run->other, none);
    iol_past_case(w->other, &w->again, &w->recheck, w->slope);
    iol_score_make(&w->recheck, w->slope, &b);
    pthread_mutex_lock(&w->all->counting);
    if (!iol_compare_add(run->comparing, &a, &b)) w->no_memory = true;
    pthread_mutex_unlock(&w->all->counting);
}

static bool read_item(worker *w, const iol_batch_item *item) {
    const char *text = w->batch.bytes + item->at;
    if (item->columns) return iol_columns_case(item->columns, text, item->length, &w->blank, &w->c, &w->faults);
    return iol_case_read_in_arena(text, item->length, &w->blank, &w->c, &w->faults);
}

static void do_item(worker *w, const iol_batch_item *item) {
    iol_recheck_run *run = w->all->run;
    const char *name = run->records->input[item->input].name;
    if (item->kind == IOL_RECORD_NOT_OPENED || item->kind == IOL_RECORD_NOT_READ) {
        char line[IOL_CLI_LINE];
        w->status = iol_cli_worse(w->status, IOL_EXIT_INPUT);
        iol_cli_cannot_line(item->kind == IOL_RECORD_NOT_OPENED ? "open" : "read", name, item->error, line,
                            sizeof line);
        if (!run->quiet) iol_buffer_text(&w->messages, line);
        return;
    }
    w->recheck.input = name;
    w->recheck.line = (double)item->line;
    if (item->kind == IOL_RECORD_LONG)
        too_long(w, item);
    else if (!read_item(w, item))
        refuse(w, item);
    else
        do_case(w);
    iol_arena_empty(&w->arena);
    if (w->no_memory) return;
    if (w->kept) {
        iol_recheck_kept *kept = &w->kept[w->scores - w->first];
        kept->recheck = w->recheck;
        memcpy(kept->slope, w->slope, sizeof w->slope);
        kept->shelf_constants = w->past.shelf_constants;
        kept->ordinary = w->past.ordinary;
        kept->depth_offset_mm = w->past.depth_offset_mm;
    }
    if (run->statistics) iol_score_make(&w->recheck, w->slope, &w->score[w->scores]);
    w->scores++;
    if (run->output) write_rows(w, item);
}

/* ---- in turn ---- */

static void show_progress(shared *all) {
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    if (now.tv_sec == all->shown.tv_sec) return;
    all->shown = now;
    fprintf(stderr, "\r%ld cases\033[K", all->cases);
}

static void clear_progress(shared *all) {
    if (all->progress && all->shown.tv_sec) fputs("\r\033[K", stderr);
}

/* Outside the lock. */
static void out_of_memory(shared *all) {
    pthread_mutex_lock(&all->lock);
    all->stop = true;
    all->run->status = iol_cli_worse(all->run->status, IOL_EXIT_FAULT);
    pthread_mutex_unlock(&all->lock);
}

/* ---- the end of jsonl ---- */

/* Hold back the last of the lines, and write what was held back before it. False: the output failed. */
static bool put_lines(shared *all, const iol_buffer *rows) {
    size_t last = 0;
    for (size_t at = 0; at < rows->used;) {
        size_t length = (size_t)((char *)memchr(rows->bytes + at, '\n', rows->used - at) - (rows->bytes + at));
        all->digest = iol_digest(all->digest, rows->bytes + at, iol_recheck_covered(rows->bytes + at, length));
        all->lines++;
        last = at;
        at += length + 1;
    }
    bool good = iol_output_sink(all->run->output, all->last.bytes, all->last.used) &&
                iol_output_sink(all->run->output, rows->bytes, last);
    all->last.used = 0;
    return iol_buffer_sink(&all->last, rows->bytes + last, rows->used - last) && good;
}

/* The line that was held back: with the count and the digest, where the run came to its end. */
static void put_last(shared *all) {
    char end[80];
    if (all->last.used == 0) return;
    size_t length = all->stop ? all->last.used : iol_recheck_covered(all->last.bytes, all->last.used);
    iol_output_sink(all->run->output, all->last.bytes, length);
    snprintf(end, sizeof end, ",\"end_lines\":%lld,\"end_digest\":\"%016llx\"}\n", (long long)all->lines,
             (unsigned long long)all->digest);
    if (!all->stop) iol_output_sink(all->run->output, end, strlen(end));
}

static bool put_rows(shared *all, const iol_buffer *rows) {
    if (rows->used == 0) return true;
    if (all->run->format == IOL_RECHECK_JSONL) return put_lines(all, rows);
    return iol_output_sink(all->run->output, rows->bytes, rows->used);
}

static void hand_over(worker *w) {
    shared *all = w->all;
    iol_recheck_run *run = all->run;
    pthread_mutex_lock(&all->lock);
    while (all->next != w->batch.ticket) pthread_cond_wait(&all->turn, &all->lock);
    bool memory = !w->rows.failed && !w->messages.failed && !w->no_memory;
    if (!all->stop) {
        if (w->messages.used > 0) {
            clear_progress(all);
            fwrite(w->messages.bytes, 1, w->messages.used, stderr);
        }
        if (!put_rows(all, &w->rows)) all->stop = true;
        int cases = w->scores - w->first;
        for (int i = 0; i < cases && w->kept && memory; i++) memory = run->each(run->context, &w->kept[i]);
        w->first = w->scores;
        all->cases += cases;
        run->status = iol_cli_worse(run->status, w->status);
        if (all->progress) show_progress(all);
    }
    if (!memory) all->stop = true; /* before the next turn */
    all->next++;
    pthread_cond_broadcast(&all->turn);
    pthread_mutex_unlock(&all->lock);
    if (!memory) out_of_memory(all);
}

/* In no turn: the order of cases makes no difference to counts. */
static void count_scores(worker *w) {
    shared *all = w->all;
    pthread_mutex_lock(&all->counting);
    iol_statistics *statistics = all->run->statistics;
    bool memory = !statistics || iol_statistics_add(statistics, w->score, w->first);
    pthread_mutex_unlock(&all->counting);
    w->first = 0;
    if (!memory) out_of_memory(all);
}

static bool start_worker(worker *w, shared *all) {
    w->all = all;
    w->status = IOL_EXIT_DONE;
    w->named = -1;
    w->rows = w->messages = (iol_buffer){.bytes = NULL};
    iol_case_reset(&w->blank);
    iol_past_start(&w->past, all->run->site, all->run->as_of);
    w->kept = all->run->each ? malloc(IOL_BATCH_ITEMS * sizeof *w->kept) : NULL;
    if (all->run->each && !w->kept) return false;
    if (all->run->other && !(w->other = malloc(sizeof *w->other))) return false;
    if (w->other) iol_past_start(w->other, all->run->other, all->run->as_of);
    w->recheck.predictions_lost = w->recheck.faults_lost = false;
    return iol_arena_start(&w->arena, IOL_ARENA_BYTES);
}

static void *work(void *context) {
    shared *all = context;
    worker *w = calloc(1, sizeof *w);
    bool good = w && start_worker(w, all);
    while (good && !all->stop && iol_records_take(all->run->records, &w->batch)) {
        w->scores = w->first;
        w->rows.used = w->messages.used = 0;
        for (int i = 0; i < w->batch.count && !w->no_memory; i++) do_item(w, &w->batch.item[i]);
        hand_over(w);
        if (w->first > SCORES - IOL_BATCH_ITEMS) count_scores(w);
    }
    if (good)
        count_scores(w);
    else
        out_of_memory(all);
    if (w) {
        free(w->kept);
        free(w->other);
        iol_arena_end(&w->arena);
        free(w->rows.bytes);
        free(w->messages.bytes);
    }
    free(w);
    return NULL;
}

int iol_recheck_over(iol_recheck_run *run, int jobs) {
    shared *all = calloc(1, sizeof *all);
    pthread_t *thread = malloc((size_t)jobs * sizeof *thread);
    run->status = IOL_EXIT_DONE;
    if (!thread || !all) {
        free(thread), free(all);
        return iol_cli_cannot("start", "the jobs", IOL_EXIT_FAULT);
    }
    int started = 0;
    all->run = run;
    all->digest = IOL_DIGEST_START;
    all->progress = !run->quiet && iol_cli_colour(STDERR_FILENO);
    pthread_mutex_init(&all->lock, NULL);
    pthread_mutex_init(&all->counting, NULL);
    pthread_cond_init(&all->turn, NULL);
    iol_arena_hook();
    if (run->output && run->format == IOL_RECHECK_CSV)
        iol_output_sink(run->output, iol_csv_header, strlen(iol_csv_header));
    while (started < jobs - 1 && iol_cli_thread(&thread[started], work, all)) started++;
    work(all);
    for (int i = 0; i < started; i++) pthread_join(thread[i], NULL);
    clear_progress(all);
    put_last(all);
    if (run->status == IOL_EXIT_DONE && all->cases == 0 && !all->stop)
        run->status = iol_cli_nothing(run->records->count == 1 ? run->records->input[0].name : "the inputs");
    if (run->status == IOL_EXIT_FAULT && run->statistics && !iol_statistics_hold(run->statistics))
        fputs("iolrevise: more cases than can be counted in one run\n", stderr);
    else if (run->status == IOL_EXIT_FAULT)
        iol_cli_no_memory();
    pthread_cond_destroy(&all->turn);
    pthread_mutex_destroy(&all->counting);
    pthread_mutex_destroy(&all->lock);
    free(all->last.bytes);
    free(thread), free(all);
    return run->status;
}
