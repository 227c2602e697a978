/* Reads cases, one a line of standard input, and writes their values as values_plan reads them. */
#include "iolrevise.h"
#include "values.h"

static char line[1 << 20];
static iol_case c;
static iol_faults faults;

int main(void) {
    value_stream out = {stdout, true, false};
    while (fgets(line, sizeof line, stdin)) {
        if (!iol_case_read(line, strlen(line), &c, &faults)) return 1;
        value_object(&out, iol_object_case, &c);
    }
    return 0;
}
