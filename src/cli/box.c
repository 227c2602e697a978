/* iolrevise box: what is in the box that was scanned, and is it the lens of the plan? */
#include "intake/box.h"

#include <stdlib.h>

#include "case/scan.h"
#include "cli.h"

typedef struct {
    iol_site site;
    iol_plan plan;
    iol_faults faults;
    iol_gs1 code;
    iol_box box;
    bool stops;
} workspace;

/* Not one word of a file that is no plan is printed. */
static int read_plan(const char *file, workspace *w) {
    static const char no_plan[] = "what plan --format json wrote of one case";
    iol_text text;
    int status = iol_cli_slurp(file, &text);
    if (status != IOL_EXIT_DONE) return status;
    iol_faults_start(&w->faults);
    if (!iol_scan_json(text.bytes, text.length, IOL_SCAN_FILE, &w->faults) ||
        !iol_box_plan(iol_view_of(text.bytes, text.length), &w->plan, &w->stops)) {
        iol_faults_start(&w->faults);
        iol_fault_add(&w->faults, IOL_FAULT_unsupported_format, "", "another file", no_plan, "");
        status = iol_cli_faults(file, &w->faults);
    }
    free(text.bytes);
    return status;
}

static int write(const iol_options *options, const iol_box *box) {
    iol_output output;
    int status = iol_output_open(&output, options->output);
    if (status != IOL_EXIT_DONE) return status;
    fprintf(output.file, "%s\n%s\n%s\n", iol_box_word(box->verdict), box->lens, box->text);
    status = iol_output_close(&output);
    bool good = box->verdict == IOL_BOX_CHOSEN || box->verdict == IOL_BOX_KNOWN;
    return status == IOL_EXIT_DONE && !good ? IOL_EXIT_STOP : status;
}

static int judge(const iol_options *options, const char *typed, workspace *w) {
    int32_t day;
    int status = iol_cli_as_of(options->as_of, &day);
    if (status == IOL_EXIT_DONE) status = iol_cli_site(options->site, &w->site);
    if (options->plan) status = iol_cli_worse(status, read_plan(options->plan, w));
    if (status != IOL_EXIT_DONE) return status;
    if (day == IOL_UNKNOWN_DATE && options->plan) day = w->plan.as_of;
    if (day == IOL_UNKNOWN_DATE)
        return iol_cli_flag("--as-of", NULL,
                            "today as 2026-11-25: the expiry is judged by it, the clock is never read");
    if (options->plan && w->plan.as_of != IOL_UNKNOWN_DATE && day < w->plan.as_of)
        return iol_cli_flag("--as-of", options->as_of,
                            "a day that is not before that of the plan: the day of the operation");
    const char *wrong = iol_gs1_read(typed, day, &w->code);
    iol_box_judge(&w->code, wrong, &w->site, options->plan ? &w->plan : NULL, w->stops, day, &w->box);
    return write(options, &w->box);
}

int iol_cli_box(const iol_options *options) {
    char typed[IOL_CLI_CODE];
    if (!options->site)
        return iol_cli_flag("--site", NULL, "the site file, whose stock says what product numbers mean");
    if (options->files > 1) return iol_cli_flag("box", NULL, "one code, in quotation marks");
    int status = iol_cli_code(options->files ? options->file[0] : "-", typed);
    workspace *w = status == IOL_EXIT_DONE ? malloc(sizeof *w) : NULL;
    if (status != IOL_EXIT_DONE) return status;
    if (!w) return iol_cli_no_memory();
    status = judge(options, typed, w);
    free(w);
    return status;
}
