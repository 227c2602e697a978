/* Case, site, day and changes of the commands that plan one case. */
#include "planning.h"

#include <stdlib.h>

#include "case/reader.h"

int iol_planning_read_file(const iol_options *options, const char *file, iol_planning *p) {
    iol_text text;
    int status = iol_cli_format("plan", options->format, &p->format);
    if (status == IOL_EXIT_DONE) status = iol_cli_as_of(options->as_of, &p->as_of);
    if (status != IOL_EXIT_DONE) return status;
    /* Both files are read, so that the faults of both are told in one run. */
    status = iol_cli_site(options->site, &p->site);
    if (iol_cli_is_sheet(file)) return iol_cli_usage("a case in JSON: import makes one of a row of a sheet", file);
    int read = iol_cli_slurp(file, &text);
    if (read != IOL_EXIT_DONE) return iol_cli_worse(status, read);
    if (!iol_case_read(text.bytes, text.length, &p->c, &p->faults))
        status = iol_cli_worse(status, iol_cli_faults(file, &p->faults));
    else
        status = iol_cli_worse(status, iol_cli_set(&options->set, &p->c, &p->changes));
    if (status == IOL_EXIT_DONE && !iol_case_check_day(&p->c, p->as_of, &p->faults))
        status = iol_cli_faults(file, &p->faults);
    free(text.bytes);
    return status;
}

int iol_planning_read(const iol_options *options, iol_planning *p) {
    if (options->files > 1) return iol_cli_usage("one case (recheck takes many)", options->file[1]);
    return iol_planning_read_file(options, options->files ? options->file[0] : "-", p);
}
