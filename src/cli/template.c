/* iolrevise template KIND. */
#include "write/template.h"

#include <string.h>

#include "cli.h"
#include "tables/say.h"

/* "one of power-error, ..., site"; true when kind is among them. */
static bool list_kinds(const char *kind, char *out, size_t size) {
    bool found = kind && strcmp(kind, "site") == 0;
    snprintf(out, size, "one of ");
    for (const iol_template_row *row = iol_templates; row->kind; row++) {
        iol_append(out, size, row->kind);
        iol_append(out, size, ", ");
        found |= kind && strcmp(row->kind, kind) == 0;
    }
    iol_append(out, size, "site");
    return found;
}

int iol_cli_template(const iol_options *options) {
    char wanted[200];
    iol_output output;
    bool known = list_kinds(options->files ? options->file[0] : NULL, wanted, sizeof wanted);
    if (options->files == 0) return iol_cli_flag("template", NULL, wanted);
    if (options->files > 1) return iol_cli_usage("one name alone", options->file[1]);
    if (!known) return iol_cli_usage(wanted, options->file[0]);
    if (options->csv && strcmp(options->file[0], "site") == 0)
        return iol_cli_usage("a kind of case with --csv: a site is no sheet", options->file[0]);
    int status = iol_output_open(&output, options->output);
    if (status != IOL_EXIT_DONE) return status;
    if (options->csv)
        iol_template_heading(options->file[0], options->brief != NULL, iol_output_sink, &output);
    else
        iol_template_write(options->file[0], options->brief != NULL, iol_output_sink, &output);
    return iol_output_close(&output);
}
