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

enum { MOST_JOBS = 256 };

typedef struct {
    iol_site site;
    iol_records records;
    iol_statistics statistics;
    iol_summary summary;
    iol_page page;
    iol_output output;
    int32_t as_of;
    int jobs;
    iol_recheck_format format;
} workspace;

static int read_format(const char *text, iol_recheck_format *format) {
    static const char *const name[] = {"text", "csv", "jsonl", "json", "html"};
    *format = IOL_RECHECK_TEXT;
    for (int i = 0; text && i < 5; i++)
        if (strcmp(text, name[i]) == 0) return *format = (iol_recheck_format)i, IOL_EXIT_DONE;
    return text ? iol_cli_usage("text, csv, jsonl, json or html", text) : IOL_EXIT_DONE;
}

static int read_jobs(const char *text, int *jobs) {
    *jobs = text ? 0 : 1;
    for (size_t i = 0; text && text[i] && *jobs <= MOST_JOBS; i++)
        *jobs = text[i] >= '0' && text[i] <= '9' ? *jobs * 10 + (text[i] - '0') : MOST_JOBS + 1;
    return *jobs >= 1 && *jobs <= MOST_JOBS ? IOL_EXIT_DONE : iol_cli_usage("a number of jobs from 1 to 256", text);
}

/* Standard output holds one thing: what is written beside it goes to files. */
static int other_files(const iol_options *options) {
    const char *const other[] = {options->summary, options->partial, options->fit_site};
    for (size_t i = 0; i < sizeof other / sizeof *other; i++)
        if (other[i] && strcmp(other[i], "-") == 0)
            return iol_cli_usage("a file: standard output is for --output alone", "-");
    return IOL_EXIT_DONE;
}

static int read_options(const iol_options *options, workspace *w) {
    int status = read_format(options->format, &w->format);
    if (status == IOL_EXIT_DONE) status = read_jobs(options->jobs, &w->jobs);
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
    if (status == IOL_EXIT_DONE) status = other_files(options);
    if (status == IOL_EXIT_DONE) status = iol_cli_site(options->site, &w->site);
    return status;
}

static bool colour_wanted(const iol_options *options) {
    const char *no = getenv("NO_COLOR");
    return !options->output && !(no && no[0]) && isatty(STDOUT_FILENO);
}

static void write_summary(const iol_options *options, workspace *w) {
    iol_statistics_summary(&w->statistics, &w->summary);
    if (w->format == IOL_RECHECK_JSON) {
        iol_object_write(iol_object_summary, &w->summary, true, iol_output_sink, &w->output);
        return;
    }
    iol_report_summary(&w->summary, &w->page);
    if (w->format == IOL_RECHECK_TEXT)
        iol_page_text(&w->page, colour_wanted(options), iol_output_sink, &w->output);
    else
        iol_page_html(&w->page, iol_output_sink, &w->output);
}

static int write_beside(const char *file, workspace *w) {
    iol_output beside;
    int status = iol_output_open(&beside, file);
    if (status != IOL_EXIT_DONE) return status;
    iol_statistics_summary(&w->statistics, &w->summary);
    iol_object_write(iol_object_summary, &w->summary, true, iol_output_sink, &beside);
    return iol_output_close(&beside);
}

static int merge(const iol_options *options, workspace *w) {
    int status = iol_partial_merge(options->file, options->files, &w->statistics);
    if (status != IOL_EXIT_DONE) return status;
    status = iol_output_open(&w->output, options->output);
    if (status != IOL_EXIT_DONE) return status;
    write_summary(options, w);
    return iol_output_close(&w->output);
}

/* An old file stays when memory gave out or an input could not be read; what is no plain file still gets the rest. */
static bool keeps_old(int status, const iol_output *output) {
    return status == IOL_EXIT_FAULT || (status == IOL_EXIT_INPUT && output->temporary);
}

static int run(const iol_options *options, workspace *w) {
    char settings[17];
    iol_partial_settings(&w->site, w->as_of, settings);
    w->records.digesting = options->partial != NULL;
    int status = iol_output_open(&w->output, options->output);
    if (status != IOL_EXIT_DONE) return status;
    bool rows = w->format == IOL_RECHECK_CSV || w->format == IOL_RECHECK_JSONL;
    iol_recheck_run all = {.records = &w->records,
                           .site = &w->site,
                           .as_of = w->as_of,
                           .format = w->format,
                           .output = rows ? &w->output : NULL,
                           .statistics = !rows || options->partial || options->summary ? &w->statistics : NULL};
    status = iol_recheck_over(&all, w->jobs);
    if (keeps_old(status, &w->output)) {
        iol_output_drop(&w->output);
        return status;
    }
    const bool whole = status != IOL_EXIT_INPUT;
    if (!rows) write_summary(options, w);
    status = iol_cli_worse(status, iol_output_close(&w->output));
    if (!whole) return status;
    if (options->partial)
        status = iol_cli_worse(status, iol_partial_write(options->partial, &w->statistics, &w->records, settings));
    if (options->summary) status = iol_cli_worse(status, write_beside(options->summary, w));
    return status;
}

static int drift(const iol_options *options, workspace *w) {
    iol_against *against = NULL;
    int status = iol_output_open(&w->output, options->output);
    if (status != IOL_EXIT_DONE) return status;
    status = iol_against_start(&against, options->against, w->format, &w->output);
    iol_recheck_run all = {
        .records = &w->records, .site = &w->site, .as_of = w->as_of, .each = iol_against_case, .context = against};
    bool begun = status == IOL_EXIT_DONE;
    if (begun) status = iol_recheck_over(&all, w->jobs);
    const bool kept = !begun || keeps_old(status, &w->output);
    if (!kept) status = iol_cli_worse(status, iol_against_finish(against, options->fail_on_change != NULL));
    iol_against_end(against);
    if (!kept && status != IOL_EXIT_FAULT) return iol_cli_worse(status, iol_output_close(&w->output));
    iol_output_drop(&w->output);
    return status;
}

static int fit(const iol_options *options, workspace *w) {
    iol_recheck_run all = {.records = &w->records, .site = &w->site, .as_of = w->as_of, .statistics = &w->statistics};
    int status = iol_output_open(&w->output, options->output);
    if (status != IOL_EXIT_DONE) return status;
    status = iol_fit_site(&all, w->jobs, &w->site, options->fit_site, &w->output);
    if (status == IOL_EXIT_DONE || status == IOL_EXIT_REFUSED)
        return iol_cli_worse(status, iol_output_close(&w->output));
    iol_output_drop(&w->output);
    return status;
}

static bool read_twice(const iol_records *records) {
    for (int i = 0; i < records->count; i++)
        if (strcmp(records->input[i].name, "-") == 0) return false;
    return true;
}

static int over_cases(const iol_options *options, workspace *w) {
    if (options->against) return drift(options, w);
    if (!options->fit_site) return run(options, w);
    if (!read_twice(&w->records)) return iol_cli_usage("files: they are read twice", "standard input with --fit-site");
    return fit(options, w);
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
        if (status == IOL_EXIT_DONE) status = over_cases(options, w);
        iol_records_end(&w->records);
    }
    iol_statistics_end(&w->statistics);
    free(w);
    return status;
}
