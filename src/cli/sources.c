/* iolrevise sources: every built-in number with unit, citation and status. */
#include <stdlib.h>
#include <string.h>

#include "cli.h"
#include "report/sources.h"

static int write_sources(const char *section, int format, const char *file) {
    iol_output output;
    bool known;
    iol_page *page = malloc(sizeof *page);
    int status = page ? iol_output_open(&output, file) : iol_cli_cannot("print", "the sources", IOL_EXIT_FAULT);
    if (status == IOL_EXIT_DONE) {
        iol_sources_write(section, format, page, iol_output_sink, &output, &known);
        status = iol_output_close(&output);
    }
    free(page);
    return status;
}

int iol_cli_sources(const iol_options *options) {
    const char *section = options->files ? options->file[0] : NULL;
    int format, status = iol_cli_format("sources", options->format, &format);
    bool known = !section;
    for (int i = 0; section && iol_sources_section(i); i++)
        known = known || strcmp(section, iol_sources_section(i)) == 0;
    if (status != IOL_EXIT_DONE) return status;
    if (options->files > 1) return iol_cli_usage("one section, or none for all", options->file[1]);
    if (!known)
        return iol_cli_usage("formulas, constants, spreads, rates, factors, shelf, risk, rules, evidence, references or codes",
                             section);
    return write_sources(section, format, options->output);
}
