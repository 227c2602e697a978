/* A host program: reads a case file, plans it by the library, prints what it needs of the plan and then all of it as JSON.
 *
 *     make install
 *     cc host.c -o host $(pkg-config --cflags --libs iolrevise)
 *     ./host hyperopic-surprise.json
 */
#include <iolrevise.h>
#include <stdio.h>

/* Large structs: static here, on the heap in a program of several threads. */
static char text[1 << 20];
static iol_case one_case;
static iol_site site;
static iol_plan plan;
static iol_faults faults;
static iol_ask_room room;

static bool to_stdout(void *context, const char *bytes, size_t length) {
    (void)context;
    return fwrite(bytes, 1, length, stdout) == length;
}

int main(int argc, char **argv) {
    FILE *in = argc == 2 ? fopen(argv[1], "rb") : NULL;
    if (!in) {
        fprintf(stderr, "usage: host CASE.json\n");
        return 2;
    }
    size_t length = fread(text, 1, sizeof text, in);
    fclose(in);

    if (!iol_case_read(text, length, &one_case, &faults)) {
        char line[IOL_FAULT_LINE];
        for (int i = 0; i < faults.count; i++) {
            iol_fault_print(&faults.item[i], line, sizeof line);
            fprintf(stderr, "%s:%s\n", argv[1], line);
        }
        return 1;
    }
    iol_site_generic(&site); /* or iol_site_read() for a shelf of one's own */
    iol_plan_make(&one_case, &site, IOL_UNKNOWN_DATE, &plan);
    iol_plan_ask(&one_case, &site, IOL_UNKNOWN_DATE, &room, &plan); /* which questions could change it */

    /* A number that is not known, or withheld, is NaN: ask before using it. */
    if (isnan(plan.replacement.power_exact_d)) fprintf(stderr, "no power\n");
    else fprintf(stderr, "exact power %+.2f D; read the cautions before using it\n", plan.replacement.power_exact_d);
    if (iol_plan_stops(&plan)) fprintf(stderr, "a stop caution stands\n");
    return iol_plan_write(&plan, to_stdout, NULL) ? 0 : 4;
}
