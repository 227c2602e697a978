/* Plans the cases whose values stand on standard input (from values_dump): JSON and the rows of recheck; the first N also as
 * text and HTML. Usage: values_plan N. Needs no JSON parser. */
#include "recheck/csv.h"
#include "recheck/past_case.h"
#include "iolrevise.h"
#include "report/report.h"
#include "values.h"

static iol_case c;
static iol_site site;
static iol_plan plan;
static iol_page page;
static iol_past past;
static iol_recheck row;
static char rows[1 << 16];

static bool sink(void *context, const char *bytes, size_t length) {
    return fwrite(bytes, 1, length, context) == length;
}

int main(int argc, char **argv) {
    value_stream in = {stdin, false, false};
    double slope[IOL_PAST_ROWS];
    long pages = argc > 1 ? strtol(argv[1], NULL, 10) : 0;
    iol_site_generic(&site);
    iol_past_start(&past, &site, IOL_UNKNOWN_DATE);
    for (long n = 1;; n++) {
        iol_case_reset(&c);
        value_object(&in, iol_object_case, &c);
        if (in.ended) return n > 1 ? 0 : 1;
        row.input = "input";
        row.line = (double)n;
        iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan);
        iol_past_case(&past, &c, &row, slope);
        if (iol_csv_room(5) > sizeof rows || !iol_plan_write(&plan, sink, stdout)) return 4;
        if (!sink(stdout, rows, iol_csv_case(&row, "input", 5, 0, rows))) return 4;
        if (n > pages) continue;
        iol_report_plan(&plan, &page);
        if (!iol_page_text(&page, false, sink, stdout) || !iol_page_html(&page, sink, stdout)) return 4;
    }
}
