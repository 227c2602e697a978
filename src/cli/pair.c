/* iolrevise plan RIGHT LEFT: both eyes of one person, in either order. */
#include <stdlib.h>

#include "planning.h"
#include "report/report.h"
#include "write/object_json.h"

typedef struct {
    iol_planning eye[2];
    iol_ask_room room;
    iol_page page;
} workspace;

static int read(const iol_options *options, workspace *w) {
    int status = IOL_EXIT_DONE;
    if (options->what_if.count > 0 || options->set.count > 0 || options->full || options->only)
        return iol_cli_usage("one case with --set, --what-if, --full or --only", options->file[1]);
    if (!iol_language_find(options->language)) return iol_cli_usage("en or de as language", options->language);
    for (int i = 0; i < 2; i++) {
        iol_planning *p = &w->eye[i];
        status = iol_cli_worse(status, iol_planning_read_file(options, options->file[i], p));
    }
    if (status != IOL_EXIT_DONE) return status;
    for (int i = 0; i < 2; i++) iol_plan_make(&w->eye[i].c, &w->eye[i].site, w->eye[i].as_of, &w->eye[i].plan);
    return status;
}

static void write_text(workspace *w, iol_planning *right, iol_planning *left, iol_output *output) {
    static const iol_report_choice screen = {.only = NULL};
    iol_report_pair(&right->plan, &left->plan, &w->page);
    iol_page_text(&w->page, false, iol_output_sink, output);
    iol_output_sink(output, "\n", 1);
    iol_report_text(&right->plan, &screen, &w->page, iol_output_sink, output);
    iol_output_sink(output, "\n", 1);
    iol_report_text(&left->plan, &screen, &w->page, iol_output_sink, output);
}

static int run(const iol_options *options, workspace *w) {
    iol_output output;
    int status = read(options, w);
    if (status != IOL_EXIT_DONE) return status;
    bool right_first = w->eye[0].c.eye == IOL_side_right;
    iol_planning *right = &w->eye[!right_first], *left = &w->eye[right_first];
    if (!iol_plan_pair(&right->c, &left->c, &right->site, right->as_of, &w->room, &right->plan, &left->plan))
        return iol_cli_usage("the two eyes of one person: one right, one left, the same pair_ref in both",
                             options->file[1]);
    status = iol_output_open(&output, options->output);
    if (status != IOL_EXIT_DONE) return status;
    if (right->format == IOL_FORMAT_JSON)
        iol_pair_write(&right->plan, &left->plan, iol_output_sink, &output);
    else if (right->format == IOL_FORMAT_TEXT)
        write_text(w, right, left, &output);
    else
        iol_sheets_pair_html(&right->plan, &left->plan, iol_language_find(options->language), &w->page, iol_output_sink,
                             &output);
    status = iol_output_close(&output);
    bool stops = iol_plan_stops(&right->plan) || iol_plan_stops(&left->plan);
    return options->strict && stops ? iol_cli_worse(status, IOL_EXIT_STOP) : status;
}

int iol_cli_pair(const iol_options *options) {
    workspace *w = malloc(sizeof *w);
    if (!w) return iol_cli_cannot("plan", "the cases", IOL_EXIT_FAULT);
    int status = run(options, w);
    free(w);
    return status;
}
