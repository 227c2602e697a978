/* Every leaf of many drawn cases blanked: blanking COUNT [FIRST]. Prints each violation, and at the end how many there were by
 * leaf and comparison. Exit 1 when there was one. blanking case SEED prints that case. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "tools/blanking.h"
#include "tools/random_case.h"

enum { KINDS = 512 };
static struct {
    char name[200];
    int count, seed;
} kind[KINDS];
static int kinds, violations;

static void violation(void *context, const char *path, const char *comparison, const char *what) {
    char name[200];
    violations++;
    snprintf(name, sizeof name, "%s: %.60s (%.60s)", path, comparison, what);
    for (int i = 0; i < kinds; i++) {
        if (strcmp(kind[i].name, name) != 0) continue;
        kind[i].count++;
        return;
    }
    if (kinds == KINDS) return;
    memcpy(kind[kinds].name, name, sizeof name);
    kind[kinds].count = 1;
    kind[kinds++].seed = *(const int *)context;
}

int main(int argc, char **argv) {
    static iol_site site;
    static iol_case c;
    int count = argc > 1 ? atoi(argv[1]) : 2000, first = argc > 2 ? atoi(argv[2]) : 1;
    long leaves = 0;
    if (!read_site_file("examples/site.json", &site)) return 2;
    if (argc > 2 && strcmp(argv[1], "case") == 0) {
        static char text[RANDOM_CASE_TEXT];
        if (!random_case(strtoull(argv[2], NULL, 10), &site, &c)) return 2;
        return fwrite(text, 1, case_text(&c, 0, text), stdout) == 0;
    }
    for (int seed = first; seed < first + count; seed++) {
        if (!random_case((uint64_t)seed, &site, &c)) return 2;
        leaves += blank_every_leaf(&c, &site, violation, &seed);
    }
    for (int i = 0; i < kinds; i++)
        printf("%d times, first in case %d: without %s\n", kind[i].count, kind[i].seed, kind[i].name);
    printf("%d cases, %ld leaves blanked, %d times more permissive\n", count, leaves, violations);
    return violations > 0;
}
