/* iolrevise plan: one case, the whole plan. */
#include <stdlib.h>

#include "case/reader.h"
#include "cli.h"
#include "report/report.h"

typedef struct {
    iol_case c;
    iol_site site;
    iol_plan plan;
    iol_faults faults;
    iol_page page;
} workspace;

/* Text is one screen or some parts unless all is asked for. */
static int screens(const iol_options *options, int *format) {
    const char *unknown = options->only ? iol_report_unknown(options->only) : NULL;
    if (options->only && options->full) return iol_cli_usage("--full or --only, not both", "--only");
    if ((options->only || options->full) && *format != IOL_FORMAT_TEXT)
        return iol_cli_usage("--full and --only with text alone", options->format);
    if (unknown) return iol_cli_usage("decide, theatre, patient, note or a key of the plan", unknown);
    if (*format == IOL_FORMAT_TEXT && !options->full) *format = IOL_FORMAT_SCREEN;
    return IOL_EXIT_DONE;
}

static int run(const iol_options *options, workspace *w) {
    int format;
    int32_t as_of;
    iol_text text;
    int status = iol_cli_format(options->format, &format);
    if (status == IOL_EXIT_DONE) status = iol_cli_as_of(options->as_of, &as_of);
    if (status == IOL_EXIT_DONE && options->files > 1)
        status = iol_cli_usage("one case (recheck takes many)", options->file[1]);
    if (status == IOL_EXIT_DONE) status = screens(options, &format);
    if (status != IOL_EXIT_DONE) return status;
    /* Both files are read, so that the faults of both are told in one run. */
    const char *file = options->files ? options->file[0] : "-";
    status = iol_cli_site(options->site, &w->site);
    int read = iol_cli_slurp(file, &text);
    if (read != IOL_EXIT_DONE) return iol_cli_worse(status, read);
    if (!iol_case_read(text.bytes, text.length, &w->c, &w->faults) || !iol_case_check_day(&w->c, as_of, &w->faults)) {
        status = iol_cli_worse(status, iol_cli_faults(file, &w->faults));
    } else if (status == IOL_EXIT_DONE) {
        iol_plan_make(&w->c, &w->site, as_of, &w->plan);
        iol_report_plan(&w->plan, &w->page);
        status = iol_cli_write_plan(options, format, &w->plan, &w->page);
    }
    free(text.bytes);
    return status;
}

int iol_cli_plan(const iol_options *options) {
    workspace *w = malloc(sizeof *w);
    if (!w) return iol_cli_cannot("plan", "the case", IOL_EXIT_FAULT);
    int status = run(options, w);
    free(w);
    return status;
}
