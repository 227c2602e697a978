/* What a recheck costs. FILE is JSON Lines.
 * bench ratio FILE   seconds of parsing its lines from memory, of the recheck at one job and at two, in turns in one process
 * bench each FILE    microseconds a case of the rows alone at one job: a summary is made once a run, however long
 * bench stages FILE  nanoseconds a case of each stage, lines from memory; the mixture, a part of compute, once more by itself
 * bench plan CASE SITE   seconds of one plan, and of the questions that it asks next */
#include <cJSON.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "recheck/csv.h"
#include "recheck/statistics.h"
#include "case/reader.h"
#include "case/scan.h"
#include "estimate/mixture.h"
#include "cli/arena.h"
#include "cli/cli.h"
#include "iolrevise.h"
#include "tools/whole_file.h"

typedef struct {
    char *bytes;
    size_t length, count;
    char **line;
    size_t *size;
} lines;

static double now(void) {
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + (double)t.tv_nsec / 1e9;
}

static void load(const char *name, lines *l) {
    memset(l, 0, sizeof *l);
    l->bytes = whole_file(name, (size_t)1 << 31, &l->length);
    for (size_t i = 0; i < l->length; i++) l->count += l->bytes[i] == '\n';
    l->line = malloc(l->count * sizeof *l->line);
    l->size = malloc(l->count * sizeof *l->size);
    if (!l->line || !l->size) exit(1);
    char *at = l->bytes;
    for (size_t i = 0; i < l->count; i++) {
        char *end = memchr(at, '\n', (size_t)(l->bytes + l->length - at));
        l->line[i] = at;
        l->size[i] = (size_t)(end - at);
        at = end + 1;
    }
}

static void give_back(lines *l) { free(l->line), free(l->size), free(l->bytes); }

/* With the allocator that cJSON comes with. */
static double parse_all(const lines *l) {
    cJSON_InitHooks(NULL);
    double start = now();
    for (size_t i = 0; i < l->count; i++) cJSON_Delete(cJSON_ParseWithLength(l->line[i], l->size[i]));
    return now() - start;
}

/* The command as the program runs it, all rows and, where it is wanted, the whole summary, to nowhere. */
static double recheck_all(char *name, const char *jobs, bool summary) {
    iol_options options = {.file = &name,
                           .files = 1,
                           .format = "csv",
                           .output = "/dev/null",
                           .summary = summary ? "/dev/null" : NULL,
                           .jobs = jobs};
    double start = now();
    if (iol_cli_recheck(&options) != IOL_EXIT_DONE) exit(1);
    return now() - start;
}

enum { TURNS = 5, STEADY = 100000 }; /* turns, of which the shortest counts; cases for a steady reading */

static void ratio(char *name) {
    lines l;
    double parse = INFINITY, one = INFINITY, two = INFINITY;
    load(name, &l);
    for (int i = 0; i < TURNS; i++) {
        parse = fmin(parse, parse_all(&l));
        one = fmin(one, recheck_all(name, "1", true));
        two = fmin(two, recheck_all(name, "2", true));
    }
    printf("%.4f %.4f %.4f\n", parse, one, two);
    give_back(&l);
}

static void each(char *name) {
    lines l;
    double least = INFINITY;
    load(name, &l);
    double count = (double)l.count;
    give_back(&l);
    int turns = TURNS + (int)(STEADY / count); /* a short run is disturbed more easily */
    for (int i = 0; i < turns; i++) least = fmin(least, recheck_all(name, "1", false));
    printf("%.2f\n", least / count * 1e6);
}

enum { AT_ONCE = 80 }; /* cases counted together: about those of one batch */

typedef struct {
    iol_case c, blank;
    iol_site site;
    iol_faults faults;
    iol_past past;
    iol_recheck recheck;
    iol_statistics statistics;
    iol_score score[AT_ONCE];
    iol_arena arena;
    iol_mixture mixture;
    iol_estimate leading;
    char rows[1 << 16];
} space;

/* Seconds of the causes of one case, joint and by the refraction alone. */
static double weigh(space *s) {
    const iol_work *w = &s->past.work;
    double start = now();
    if (w->joint) iol_mixture_make(&w->eye, w->joint->formula, &s->mixture);
    iol_mixture_alone(&w->eye, &s->mixture, &s->leading);
    return now() - start;
}

static void stages(const char *name) {
    static space s;
    lines l;
    load(name, &l);
    double slope[IOL_PAST_ROWS], scan = 0.0, parse = 0.0, read = 0.0, compute = 0.0, count = 0.0, print = 0.0, mixture = 0.0;
    if (iol_csv_room(1) > sizeof s.rows) exit(1);
    iol_case_reset(&s.blank);
    iol_site_generic(&s.site);
    iol_past_start(&s.past, &s.site, IOL_UNKNOWN_DATE);
    iol_statistics_start(&s.statistics);
    s.recheck.input = "x";
    iol_arena_hook();
    if (!iol_arena_start(&s.arena, 1 << 20)) exit(1);
    for (size_t i = 0; i < l.count; i++) {
        double t0 = now();
        iol_faults_start(&s.faults);
        iol_scan_json(l.line[i], l.size[i], 1 << 16, &s.faults);
        double t1 = now();
        cJSON_ParseWithLength(l.line[i], l.size[i]);
        double t2 = now();
        iol_arena_empty(&s.arena);
        bool good = iol_case_read_in_arena(l.line[i], l.size[i], &s.blank, &s.c, &s.faults);
        iol_arena_empty(&s.arena);
        double t3 = now();
        if (good) iol_past_case(&s.past, &s.c, &s.recheck, slope);
        double t4 = now();
        iol_score_make(&s.recheck, slope, &s.score[i % AT_ONCE]);
        if ((i + 1) % AT_ONCE == 0) iol_statistics_add(&s.statistics, s.score, AT_ONCE);
        double t5 = now();
        iol_csv_case(&s.recheck, "x", 1, 0, s.rows);
        double t6 = now();
        if (good) mixture += weigh(&s);
        scan += t1 - t0, parse += t2 - t1, read += t3 - t2, compute += t4 - t3, count += t5 - t4, print += t6 - t5;
    }
    double n = (double)l.count / 1e9;
    printf("scan\t%.0f\nparse\t%.0f\nread\t%.0f\ncompute\t%.0f\ncount\t%.0f\nprint\t%.0f\nmixture\t%.0f\n", scan / n,
           parse / n, (read - scan - parse) / n, compute / n, count / n, print / n, mixture / n);
    iol_statistics_end(&s.statistics);
    iol_arena_end(&s.arena);
    give_back(&l);
}

static void plan(const char *case_name, const char *site_name) {
    static iol_case c;
    static iol_site site;
    static iol_faults faults;
    static iol_plan made;
    static iol_ask_room room;
    size_t case_length, site_length;
    char *case_text = whole_file(case_name, 1 << 20, &case_length), *site_text = whole_file(site_name, 1 << 20, &site_length);
    double least = INFINITY, asked = INFINITY;
    if (!iol_case_read(case_text, case_length, &c, &faults) || !iol_site_read(site_text, site_length, &site, &faults)) exit(1);
    for (int i = 0; i < 4 * TURNS; i++) {
        double t0 = now();
        iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &made);
        double t1 = now();
        iol_plan_ask(&c, &site, IOL_UNKNOWN_DATE, &room, &made);
        least = fmin(least, t1 - t0), asked = fmin(asked, now() - t1);
    }
    printf("%.5f %.5f\n", least, asked);
    free(case_text), free(site_text);
}

int main(int argc, char **argv) {
    if (argc == 4 && strcmp(argv[1], "plan") == 0) {
        plan(argv[2], argv[3]);
        return 0;
    }
    if (argc != 3) return 2;
    if (strcmp(argv[1], "ratio") == 0)
        ratio(argv[2]);
    else if (strcmp(argv[1], "each") == 0)
        each(argv[2]);
    else
        stages(argv[2]);
    return 0;
}
