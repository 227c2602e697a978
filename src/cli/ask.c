/* iolrevise ask: the questions that could change the plan. */
#include <stdlib.h>

#include "fill.h"
#include "planning.h"
#include "report/report.h"
#include "write/object_json.h"

typedef struct {
    iol_planning planning;
    iol_ask_room room;
    iol_page page;
} workspace;

static int write(const iol_options *options, int format, const workspace *w) {
    iol_output output;
    int status = iol_output_open(&output, options->output);
    if (status != IOL_EXIT_DONE) return status;
    if (format == IOL_FORMAT_JSON)
        iol_object_write(iol_object_asked, &w->room.all, true, iol_output_sink, &output);
    else if (format == IOL_FORMAT_TEXT)
        iol_page_text(&w->page, false, iol_output_sink, &output);
    else
        iol_page_html(&w->page, iol_output_sink, &output);
    return iol_output_close(&output);
}

static int run(const iol_options *options, workspace *w) {
    iol_planning *p = &w->planning;
    int status = iol_planning_read(options, p);
    if (status != IOL_EXIT_DONE) return status;
    if (options->fill) return iol_cli_fill(options, p, &w->room);
    iol_plan_make(&p->c, &p->site, p->as_of, &p->plan);
    iol_plan_ask(&p->c, &p->site, p->as_of, &w->room, &p->plan);
    iol_report_asked(&w->room.all, &w->page);
    return write(options, p->format, w);
}

int iol_cli_ask(const iol_options *options) {
    workspace *w = malloc(sizeof *w);
    if (!w) return iol_cli_cannot("plan", "the case", IOL_EXIT_FAULT);
    int status = run(options, w);
    free(w);
    return status;
}
