/* A site file from past cases: the first pass moves the constants and the depth offset, the second finds the factor on the
 * spreads that the moved constants leave. */
#include "fit_site.h"

#include <stdlib.h>
#include <string.h>

#include "recheck/fit.h"
#include "text/number.h"
#include "write/object_json.h"

typedef struct {
    const iol_site *site;
    iol_fit fit;
} fitting;

static int lens_of(const iol_site *site, const iol_recheck_kept *kept) {
    for (int i = 0; i < site->lenses_count && kept->shelf_constants; i++)
        if (strcmp(site->lenses[i].id, kept->recheck.lens_id) == 0) return i;
    return -1;
}

static bool take(void *context, const iol_recheck_kept *kept) {
    fitting *f = context;
    if (!kept->ordinary) return true;
    return iol_fit_case(&f->fit, &kept->recheck, lens_of(f->site, kept), kept->slope[0], kept->depth_offset_mm);
}

static void say(iol_output *report, const char *what, const iol_fitted *f, const char *unit, bool sign) {
    char line[240], value[32], low[32], high[32];
    int n = (int)f->n;
    if (isnan(f->value))
        snprintf(line, sizeof line, "%s: not fitted, %d eyes (30 needed)\n", what, n);
    else {
        iol_print_number(f->value, 3, sign, value, sizeof value);
        iol_print_number(f->low, 3, sign, low, sizeof low);
        iol_print_number(f->high, 3, sign, high, sizeof high);
        snprintf(line, sizeof line, "%s: %s%s (95 %% %s to %s), %d eyes\n", what, value, unit, low, high, n);
    }
    iol_output_sink(report, line, strlen(line));
}

static void move_constants(fitting *f, iol_site *site, iol_output *report) {
    for (int i = 0; i < site->lenses_count; i++) {
        char what[120];
        iol_fitted shift = iol_fit_line_value(&f->fit.lens[i]);
        snprintf(what, sizeof what, "constants of %s, as position", site->lenses[i].id);
        say(report, what, &shift, " mm", true);
        if (!isnan(shift.value)) iol_fit_move(&site->lenses[i].constants, shift.value);
    }
    iol_fitted depth = iol_fit_line_value(&f->fit.depth);
    say(report, "front of the lens to its optical position", &depth, " mm", true);
    if (!isnan(depth.value)) site->habits.lens_depth_offset_mm = depth.value;
    if (!isnan(depth.value)) site->habits.present = true;
}

static void widen(fitting *f, iol_site *site, iol_output *report) {
    iol_fitted factor = iol_fit_factor(&f->fit);
    double before = isnan(site->spread.factor) ? 1.0 : site->spread.factor;
    factor.value *= before, factor.low *= before, factor.high *= before;
    say(report, "factor on every standard deviation", &factor, "", false);
    if (isnan(factor.value)) return;
    site->spread.factor = factor.value < 0.5 ? 0.5 : factor.value > 2.0 ? 2.0 : factor.value;
    site->spread.present = true;
}

static int pass(iol_recheck_run *run, int jobs, fitting *f) {
    iol_fit_end(&f->fit);
    iol_fit_start(&f->fit);
    run->each = take;
    run->context = f;
    return iol_recheck_over(run, jobs);
}

static int write_site(const iol_site *site, const char *out) {
    iol_output output;
    int status = iol_output_open(&output, out);
    if (status != IOL_EXIT_DONE) return status;
    iol_object_write(iol_object_site, site, true, iol_output_sink, &output);
    return iol_output_close(&output);
}

static bool went_through(int status) { return status == IOL_EXIT_DONE || status == IOL_EXIT_REFUSED; }

int iol_fit_site(iol_recheck_run *run, int jobs, iol_site *site, const char *out, iol_output *report) {
    static const char limits[] =
        "One error an eye tells no more apart: which measurement spreads, or which formula errs, stays open.\n"
        "Check the file on cases that were not used here before you plan with it.\n";
    fitting *f = malloc(sizeof *f);
    if (!f) return iol_cli_cannot("fit", out, IOL_EXIT_FAULT);
    f->site = site;
    iol_fit_start(&f->fit);
    int status = pass(run, jobs, f);
    if (went_through(status)) {
        move_constants(f, site, report);
        iol_records_rewind(run->records);
        iol_statistics_end(run->statistics);
        run->quiet = true;
        status = iol_cli_worse(status, pass(run, jobs, f));
    }
    if (went_through(status)) {
        widen(f, site, report);
        iol_output_sink(report, limits, sizeof limits - 1);
        status = iol_cli_worse(status, write_site(site, out));
    }
    iol_fit_end(&f->fit);
    free(f);
    return status;
}
