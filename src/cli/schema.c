/* iolrevise schema WHAT: what the program works from, for other programs and for people. */
#include "write/schema.h"

#include <string.h>

#include "cli.h"
#include "write/format_page.h"
#include "tables/say.h"

static const struct {
    const char *name, *title;
    const iol_object *const *object; /* NULL: the page */
    bool input;
} schemas[] = {
    {"case", "iolrevise case file, case_format 1", &iol_object_case, true},
    {"site", "iolrevise site file, site_format 1", &iol_object_site, true},
    {"plan", "iolrevise plan, plan_format 1", &iol_object_plan, false},
    {"recheck", "iolrevise recheck line, recheck_format 1", &iol_object_recheck, false},
    {"summary", "iolrevise recheck summary, summary_format 1", &iol_object_summary, false},
    {"case-format", NULL, NULL, true},
};
enum { SCHEMAS = sizeof schemas / sizeof *schemas };

static const char *list(char *out, size_t size) {
    out[0] = '\0';
    for (int i = 0; i < SCHEMAS; i++) {
        iol_append(out, size, i ? ", " : "one of ");
        iol_append(out, size, schemas[i].name);
    }
    return out;
}

int iol_cli_schema(const iol_options *options) {
    char wanted[160];
    iol_output output;
    int which = 0;
    list(wanted, sizeof wanted);
    if (options->files == 0) return iol_cli_flag("schema", NULL, wanted);
    if (options->files > 1) return iol_cli_usage("one name alone", options->file[1]);
    while (which < SCHEMAS && strcmp(schemas[which].name, options->file[0]) != 0) which++;
    if (which == SCHEMAS) return iol_cli_usage(wanted, options->file[0]);
    int status = iol_output_open(&output, options->output);
    if (status != IOL_EXIT_DONE) return status;
    if (schemas[which].object)
        iol_schema_write(*schemas[which].object, schemas[which].title, schemas[which].input, iol_output_sink, &output);
    else
        iol_format_page_write(iol_output_sink, &output);
    return iol_output_close(&output);
}
