/* iolrevise template KIND. */
#include "files/template.h"

#include <string.h>

#include "cli.h"

static bool known(const char *kind) {
    for (const iol_template_row *row = iol_templates; row->kind; row++)
        if (strcmp(row->kind, kind) == 0) return true;
    return strcmp(kind, "site") == 0;
}

int iol_cli_template(const iol_options *options) {
    const char *wanted = "one of power-error, opacity, dislocation, cylinder, photic, past-case, site";
    iol_output output;
    if (options->files == 0) return iol_cli_flag("template", NULL, wanted);
    if (options->files > 1) return iol_cli_usage("one name alone", options->file[1]);
    if (!known(options->file[0])) return iol_cli_usage(wanted, options->file[0]);
    int status = iol_output_open(&output, options->output);
    if (status != IOL_EXIT_DONE) return status;
    iol_template_write(options->file[0], iol_output_sink, &output);
    return iol_output_close(&output);
}
