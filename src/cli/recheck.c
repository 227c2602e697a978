/* iolrevise recheck: many past cases, rows and a summary. */
#include "recheck.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "against.h"
#include "write/object_json.h"
#include "fit_site.h"
#include "partial.h"
#include "report/report.h"

enum { MOST_JOBS = 256, MOST_PARTS = 1000000 };

typedef struct {
    iol_site site;
    iol_records records;
    iol_statistics statistics;
    iol_summary summary;
    iol_page page;
    iol_output output[3], *open[3];
    int outputs; /* that are open */
    int32_t as_of;
    int jobs, parts;
    iol_recheck_format format;
} workspace;

/* A whole number from 1 to most; without a text what `number` holds. */
static int read_number(const char *text, int most, const char *wanted, int *number) {
    int sum = 0;
    if (!text) return IOL_EXIT_DONE;
    for (size_t i = 0; text[i] && sum <= most; i++)
        sum = text[i] >= '0' && text[i] <= '9' ? sum * 10 + (text[i] - '0') : most + 1;
    *number = sum;
    return sum >= 1 && sum <= most ? IOL_EXIT_DONE : iol_cli_usage(wanted, text);
}

/* Standard output holds one thing: what is written beside it goes to files. */
static int other_files(const iol_options *options) {
    const char *const other[] = {options->summary, options->partial, options->fit_site};
    for (size_t i = 0; i < sizeof other / sizeof *other; i++)
        if (other[i] && iol_cli_is_standard_output(other[i]))
            return iol_cli_usage("a file: standard output is for --output alone", other[i]);
    return IOL_EXIT_DONE;
}

static int read_options(const iol_options *options, workspace *w) {
    int format, status = iol_cli_format("recheck", options->format, &format);
    w->format = (iol_recheck_format)format;
    w->jobs = 1;
    w->parts = 0;
    if (status == IOL_EXIT_DONE)
        status = read_number(options->jobs, MOST_JOBS, "a number of jobs from 1 to 256", &w->jobs);
    if (status == IOL_EXIT_DONE)
        status = read_number(options->parts, MOST_PARTS, "a number of parts from 1 on", &w->parts);
    if (status == IOL_EXIT_DONE && options->parts && !options->merge)
        status = iol_cli_usage("--merge beside it", "--parts");
    if (status == IOL_EXIT_DONE) status = iol_cli_as_of(options->as_of, &w->as_of);
    bool rows = w->format == IOL_RECHECK_CSV || w->format == IOL_RECHECK_JSONL;
    if (status == IOL_EXIT_DONE && options->summary && !rows)
        status = iol_cli_usage("--format csv or jsonl beside it (the other formats are the summary)", "--summary");
    if (status == IOL_EXIT_DONE && options->merge &&
        (rows || options->partial || options->against || options->fit_site))
        status =
            iol_cli_usage("--merge with --format text, json or html alone: parts hold counts, no cases", "--merge");
    bool page = w->format == IOL_RECHECK_JSON || w->format == IOL_RECHECK_HTML;
    if (status == IOL_EXIT_DONE && options->against &&
        (page || options->summary || options->partial || options->fit_site))
        status = iol_cli_usage("--against with --format text, csv or jsonl alone: it lists what changed", "--against");
    bool alone = w->format == IOL_RECHECK_TEXT && !options->partial && !options->summary;
    if (status == IOL_EXIT_DONE && options->fit_site && (!options->site || !alone))
        status = iol_cli_usage("--site beside it, and no other output", "--fit-site");
    if (status == IOL_EXIT_DONE && options->fail_on_change && !options->against)
        status = iol_cli_usage("--against beside it", "--fail-on-change");
    /* --fit-site has --site beside it, --summary rows */
    const bool others = options->site || options->merge || options->against || options->partial;
    if (status == IOL_EXIT_DONE && options->compare && (rows || others))
        status = iol_cli_usage("--compare with --format text, json or html alone", "--compare");
    if (status == IOL_EXIT_DONE && options->site_constants && !options->site && !options->compare)
        status = iol_cli_usage("--site or --compare beside it", "--site-constants");
    if (status == IOL_EXIT_DONE) status = other_files(options);
    if (status == IOL_EXIT_DONE) status = iol_cli_site(options->compare ? options->compare : options->site, &w->site);
    return status;
}

/* For --compare. */
typedef struct {
    iol_site other;
    iol_comparing found;
    iol_comparison result;
} comparing;

static void write_json(workspace *w, iol_output *to) {
    iol_statistics_summary(&w->statistics, &w->summary);
    iol_object_write(iol_object_summary, &w->summary, true, iol_output_sink, to);
}

static void write_summary(const iol_options *options, workspace *w, iol_output *to) {
    if (w->format == IOL_RECHECK_JSON) {
        write_json(w, to);
        return;
    }
    iol_statistics_summary(&w->statistics, &w->summary);
    iol_report_summary(&w->summary, &w->page);
    if (w->format == IOL_RECHECK_TEXT)
        iol_page_text(&w->page, !options->output && iol_cli_colour(STDOUT_FILENO), iol_output_sink, to);
    else
        iol_sheet_page_html(&w->page, iol_output_sink, to);
}

static void write_comparison(const iol_options *options, workspace *w, const iol_comparison *found) {
    if (w->format == IOL_RECHECK_JSON) {
        iol_object_write(iol_object_comparison, found, true, iol_output_sink, w->output);
        return;
    }
    iol_report_comparison(found, &w->page);
    if (w->format == IOL_RECHECK_TEXT)
        iol_page_text(&w->page, !options->output && iol_cli_colour(STDOUT_FILENO), iol_output_sink, w->output);
    else
        iol_sheet_page_html(&w->page, iol_output_sink, w->output);
}

static int merge(const iol_options *options, workspace *w) {
    int status = iol_partial_merge(options->file, options->files, w->parts, &w->statistics);
    if (status != IOL_EXIT_DONE) return status;
    status = iol_output_open(w->output, options->output);
    if (status != IOL_EXIT_DONE) return status;
    write_summary(options, w, w->output);
    return iol_output_close(w->output);
}

/* An old file stays when memory gave out or an input could not be read; what is no plain file still gets the rest. */
static bool keeps_old(int status, const iol_output *output) {
    return status == IOL_EXIT_FAULT || (status == IOL_EXIT_INPUT && output->temporary);
}

/* All that a run writes: opened before the first case is read, renamed together. */
enum { MAIN, PARTIAL, SUMMARY, OUTPUTS };

static int open_outputs(const iol_options *options, workspace *w) {
    const char *const file[OUTPUTS] = {options->output, options->partial, options->summary};
    int status = IOL_EXIT_DONE;
    w->outputs = 0;
    for (int i = 0; i < OUTPUTS && status == IOL_EXIT_DONE; i++) {
        if (i != MAIN && !file[i]) continue;
        status = iol_output_open(&w->output[i], file[i]);
        if (status == IOL_EXIT_DONE) w->open[w->outputs++] = &w->output[i];
    }
    return status;
}

static int drop_outputs(workspace *w, int status) {
    for (int i = 0; i < w->outputs; i++) iol_output_drop(w->open[i]);
    return status;
}

/* What the cases left to be written behind them. Rows that stopped early were of part of the cases alone. */
static int write_rest(const iol_options *options, workspace *w, bool rows, const char *settings) {
    int status = IOL_EXIT_DONE;
    if (!rows) write_summary(options, w, &w->output[MAIN]);
    if (options->partial && !w->output[MAIN].failed)
        status = iol_partial_write(&w->output[PARTIAL], &w->statistics, &w->records, settings);
    if (options->summary && !w->output[MAIN].failed) write_json(w, &w->output[SUMMARY]);
    return status;
}

static int run(const iol_options *options, workspace *w) {
    char settings[17];
    iol_partial_settings(&w->site, w->as_of, options->site_constants != NULL, settings);
    w->records.digesting = options->partial != NULL;
    int status = open_outputs(options, w);
    if (status != IOL_EXIT_DONE) return drop_outputs(w, status);
    bool rows = w->format == IOL_RECHECK_CSV || w->format == IOL_RECHECK_JSONL;
    iol_recheck_run all = {.records = &w->records,
                           .site = &w->site,
                           .as_of = w->as_of,
                           .site_constants = options->site_constants != NULL,
                           .format = w->format,
                           .output = rows ? &w->output[MAIN] : NULL,
                           .statistics = !rows || w->outputs > 1 ? &w->statistics : NULL};
    status = iol_recheck_over(&all, w->jobs);
    if (keeps_old(status, &w->output[MAIN])) return drop_outputs(w, status);
    if (status == IOL_EXIT_INPUT) {
        if (!rows && w->statistics.cases > 0) write_summary(options, w, &w->output[MAIN]);
        for (; w->outputs > 1; w->outputs--) iol_output_drop(w->open[w->outputs - 1]);
    } else {
        int rest = write_rest(options, w, rows, settings);
        if (rest != IOL_EXIT_DONE) return drop_outputs(w, iol_cli_worse(status, rest));
    }
    return iol_cli_worse(status, iol_output_close_all(w->open, w->outputs));
}

static int drift(const iol_options *options, workspace *w) {
    iol_against *against = NULL;
    int status = iol_output_open(w->output, options->output);
    if (status != IOL_EXIT_DONE) return status;
    status = iol_against_start(&against, options->against, w->format, w->output);
    iol_recheck_run all = {.records = &w->records,
                           .site = &w->site,
                           .as_of = w->as_of,
                           .site_constants = options->site_constants != NULL,
                           .each = iol_against_case,
                           .context = against};
    bool begun = status == IOL_EXIT_DONE;
    if (begun) status = iol_recheck_over(&all, w->jobs);
    const bool kept = !begun || keeps_old(status, w->output);
    if (!kept) status = iol_cli_worse(status, iol_against_finish(against, options->fail_on_change != NULL));
    iol_against_end(against);
    if (!kept && status != IOL_EXIT_FAULT) return iol_cli_worse(status, iol_output_close(w->output));
    iol_output_drop(w->output);
    return status;
}

/* The same cases under two site files: no rows, one table. */
static int compare(const iol_options *options, workspace *w) {
    comparing *c = calloc(1, sizeof *c);
    if (!c) return iol_cli_no_memory();
    iol_recheck_run all = {.records = &w->records,
                           .site = &w->site,
                           .as_of = w->as_of,
                           .other = &c->other,
                           .comparing = &c->found,
                           .site_constants = options->site_constants != NULL};
    int status = iol_cli_site(options->second, &c->other);
    if (status == IOL_EXIT_DONE) status = iol_output_open(w->output, options->output);
    if (status == IOL_EXIT_DONE) {
        status = iol_recheck_over(&all, w->jobs);
        if (status == IOL_EXIT_DONE || status == IOL_EXIT_REFUSED) {
            iol_compare_result(&c->found, options->compare, options->second, &c->result);
            write_comparison(options, w, &c->result);
            status = iol_cli_worse(status, iol_output_close(w->output));
        } else
            iol_output_drop(w->output);
    }
    iol_compare_end(&c->found);
    free(c);
    return status;
}

static int fit(const iol_options *options, workspace *w) {
    iol_recheck_run all = {.records = &w->records,
                           .site = &w->site,
                           .as_of = w->as_of,
                           .site_constants = options->site_constants != NULL,
                           .statistics = &w->statistics};
    int status = iol_output_open(w->output, options->output);
    if (status != IOL_EXIT_DONE) return status;
    status = iol_fit_site(&all, w->jobs, &w->site, options->fit_site, w->output);
    if (status == IOL_EXIT_DONE || status == IOL_EXIT_REFUSED)
        return iol_cli_worse(status, iol_output_close(w->output));
    iol_output_drop(w->output);
    return status;
}

static int over_cases(const iol_options *options, workspace *w) {
    int status = iol_records_distinct(&w->records);
    if (status != IOL_EXIT_DONE) return status;
    if (options->compare) return compare(options, w);
    if (options->against) return drift(options, w);
    if (!options->fit_site) return run(options, w);
    status = iol_records_read_twice(&w->records);
    return status == IOL_EXIT_DONE ? fit(options, w) : status;
}

int iol_cli_recheck(const iol_options *options) {
    workspace *w = malloc(sizeof *w);
    if (!w) return iol_cli_cannot("start", "the recheck", IOL_EXIT_FAULT);
    iol_statistics_start(&w->statistics);
    int status = read_options(options, w);
    if (status == IOL_EXIT_DONE && options->merge)
        status = merge(options, w);
    else if (status == IOL_EXIT_DONE) {
        status = iol_records_start(&w->records, options->file, options->files);
        w->records.csv = options->csv != NULL;
        if (status == IOL_EXIT_DONE) status = over_cases(options, w);
        iol_records_end(&w->records);
    }
    iol_statistics_end(&w->statistics);
    free(w);
    return status;
}
