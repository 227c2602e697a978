/* iolrevise plan: one case, the whole plan. */
#include <stdlib.h>
#include <string.h>

#include "planning.h"
#include "report/report.h"
#include "tables/say.h"
#include "write/object_json.h"

typedef struct {
    iol_planning planning;
    iol_ask_room room;
    iol_page page;
    iol_plan variant[IOL_REPEATED_MOST];
} workspace;

/* The nearest of the screens and the keys of the plan. */
static int unknown_part(const char *found) {
    enum { NAMES = 80 };
    const char *name[NAMES] = {NULL, "decide", "theatre", "patient", "note"};
    char alone[64] = "";
    int count = 5;
    for (int i = 0; i < iol_object_plan->count && count < NAMES; i++) name[count++] = iol_object_plan->field[i].key;
    iol_append_bytes(alone, sizeof alone, found, strcspn(found, ","));
    iol_cli_unknown("decide, theatre, patient, note or a key of the plan", alone, name, count);
    return IOL_EXIT_USAGE;
}

/* Text is one screen or some parts unless all is asked for. */
static int screens(const iol_options *options, int *format) {
    const char *unknown = options->only ? iol_report_unknown(options->only) : NULL;
    if (options->only && options->full) return iol_cli_usage("--full or --only, not both", "--only");
    if ((options->only || options->full) && *format != IOL_FORMAT_TEXT)
        return iol_cli_usage("--full and --only with text alone", options->format);
    if (unknown) return unknown_part(unknown);
    if (!iol_language_find(options->language)) return iol_cli_usage("en or de as language", options->language);
    if (*format == IOL_FORMAT_HTML) *format = IOL_FORMAT_SHEETS;
    if (*format == IOL_FORMAT_TEXT && !options->full) *format = IOL_FORMAT_SCREEN;
    return IOL_EXIT_DONE;
}

/* One plan for each --what-if. */
static int vary(const iol_options *options, workspace *w) {
    iol_planning *p = &w->planning;
    int status = IOL_EXIT_DONE;
    for (int i = 0; i < options->what_if.count; i++) {
        iol_changes changes;
        w->room.c = p->c;
        int read = iol_cli_what_if(options->what_if.value[i], &w->room.c, &changes);
        status = iol_cli_worse(status, read);
        if (read != IOL_EXIT_DONE) continue;
        iol_plan_make(&w->room.c, &p->site, p->as_of, &w->variant[i]);
        iol_cli_tell_changes(&changes, &w->variant[i]);
    }
    return status;
}

/* The table of variants where --output says. */
static int write_variants(const iol_options *options, workspace *w) {
    iol_planning *p = &w->planning;
    iol_output output;
    int status = vary(options, w), count = options->what_if.count;
    if (status != IOL_EXIT_DONE) return status;
    if (p->format != IOL_FORMAT_JSON) {
        iol_report_what_if(&p->plan, w->variant, count, &w->page);
        return iol_cli_write_plan(options, p->format, &p->plan, &w->page);
    }
    status = iol_output_open(&output, options->output);
    if (status != IOL_EXIT_DONE) return status;
    iol_what_if_write(&p->plan, w->variant, count, iol_output_sink, &output);
    return iol_output_close(&output);
}

static int run(const iol_options *options, workspace *w) {
    iol_planning *p = &w->planning;
    int format, status = iol_cli_format("plan", options->format, &format);
    if (status == IOL_EXIT_DONE) status = screens(options, &format);
    if (status == IOL_EXIT_DONE) status = iol_planning_read(options, p);
    if (status != IOL_EXIT_DONE) return status;
    iol_plan_make(&p->c, &p->site, p->as_of, &p->plan);
    iol_cli_tell_changes(&p->changes, &p->plan);
    if (options->what_if.count > 0) return write_variants(options, w);
    iol_plan_ask(&p->c, &p->site, p->as_of, &w->room, &p->plan);
    iol_report_plan(&p->plan, &w->page);
    return iol_cli_write_plan(options, format, &p->plan, &w->page);
}

int iol_cli_plan(const iol_options *options) {
    if (options->files == 2) return iol_cli_pair(options);
    workspace *w = malloc(sizeof *w);
    if (!w) return iol_cli_cannot("plan", "the case", IOL_EXIT_FAULT);
    int status = run(options, w);
    free(w);
    return status;
}
