/* A host whose locale writes 1,5: what the library reads and writes in it. Usage: locale LOCALE CASE.json json|text|full|html */
#include <locale.h>
#include <stdio.h>
#include <string.h>

#include "case/typed.h"
#include "iolrevise.h"
#include "report/report.h"

static iol_case c;
static iol_site site;
static iol_plan plan;
static iol_ask_room room;
static iol_faults faults;
static iol_page page;
static char text[1 << 20];

static bool sink(void *context, const char *bytes, size_t length) {
    return fwrite(bytes, 1, length, context) == length;
}

int main(int argc, char **argv) {
    char shown[8];
    if (argc != 4 || !setlocale(LC_ALL, argv[1])) return 2;
    snprintf(shown, sizeof shown, "%.1f", 1.5);
    if (strcmp(shown, "1,5") != 0) return 3;
    double typed;
    if (iol_typed_number("21.25", &typed) || typed != 21.25) return 5;
    FILE *in = fopen(argv[2], "rb");
    size_t length = in ? fread(text, 1, sizeof text, in) : 0;
    if (in) fclose(in);
    if (!iol_case_read(text, length, &c, &faults)) return 1;
    iol_site_generic(&site);
    iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan);
    iol_plan_ask(&c, &site, IOL_UNKNOWN_DATE, &room, &plan);
    iol_report_plan(&plan, &page);
    const iol_report_choice screen = {.only = NULL};
    bool good = argv[3][0] == 'j'   ? iol_plan_write(&plan, sink, stdout)
                : argv[3][0] == 't' ? iol_report_text(&plan, &screen, &page, sink, stdout)
                : argv[3][0] == 'f' ? iol_page_text(&page, false, sink, stdout)
                                    : iol_sheets_html(&plan, iol_language_find(NULL), &page, sink, stdout);
    return good && fflush(stdout) == 0 ? 0 : 4;
}
