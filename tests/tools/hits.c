/* Who finds the gross errors of generated past cases: hits FILE... Plans every case of the files (JSON Lines from
 * generate_past_cases; the remark of each says what was put in) and prints a tab-separated table, a row a file and kind. It
 * proves that the search finds what it was told to look for, at the noise of the generator; it says nothing of real eyes. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "iolrevise.h"
#include "tables/constants.h"

/* Kinds of gross error and the suspect that names each. */
static const struct {
    const char *kind, *suspect;
} kinds[] = {{"wrong-power", "another-lens-than-recorded"},
             {"wrong-eye", "other-eye-measurements"},
             {"index", "keratometric-index"},
#define GROSS(suspect, key, rate, quantities, look, reference, status, text) {key, key},
#include "gross_rates.def"
#undef GROSS
             {"none", NULL}};
enum { KINDS = sizeof kinds / sizeof *kinds };

typedef struct {
    long cases, stopped, listed, explains, first, only_open, misled, alarm;
} tally;

static bool explains_alone(const iol_suspect *s) { return s->explains == IOL_YES && s->not_excluded != IOL_YES; }

static void count(const iol_surprise *found, const char *cause, tally *t) {
    bool stopped = iol_above(fabs(found->z), c_z_ordinary) == IOL_YES, other = false;
    t->cases++;
    t->stopped += stopped;
    for (int i = 0; i < found->suspects_count; i++) {
        const iol_suspect *s = &found->suspects[i];
        if (!cause || strcmp(s->id, cause) != 0) {
            other = other || explains_alone(s);
            continue;
        }
        t->listed++;
        t->explains += s->explains == IOL_YES;
        t->first += i == 0;
        t->only_open += s->not_excluded == IOL_YES;
    }
    const iol_suspect *head = &found->suspects[0];
    t->misled += found->suspects_count > 0 && explains_alone(head) && (!cause || strcmp(head->id, cause) != 0);
    t->alarm += stopped && other;
}

static int kind_of(const char *line) {
    const char *mark = "gross: ", *word = strstr(line, mark);
    for (int i = 0; word && i < KINDS; i++) {
        const char *at = word + strlen(mark);
        size_t length = strlen(kinds[i].kind);
        if (strncmp(at, kinds[i].kind, length) == 0 && at[length] == '"') return i;
    }
    return -1;
}

static bool take(const char *name, tally all[KINDS]) {
    static const char *const parts[] = {"surprise", NULL};
    static char line[65536];
    static iol_case c;
    static iol_site site;
    static iol_faults faults;
    static iol_plan plan;
    FILE *file = fopen(name, "r");
    if (!file) return false;
    bool good = true;
    iol_site_generic(&site);
    while (good && fgets(line, sizeof line, file)) {
        int kind = kind_of(line);
        good = kind >= 0 && iol_case_read(line, strlen(line), &c, &faults);
        if (!good) break;
        iol_plan_make_parts(&c, &site, IOL_UNKNOWN_DATE, parts, &plan);
        count(&plan.surprise, kinds[kind].suspect, &all[kind]);
    }
    fclose(file);
    return good;
}

int main(int argc, char **argv) {
    printf("set\tgross_error\tsuspect\tcases\tz_above_3\tlisted\texplains\tfirst\tnot_excluded_only\t"
           "other_leads\tother_explains_z_above_3\n");
    for (int f = 1; f < argc; f++) {
        tally all[KINDS] = {0};
        if (!take(argv[f], all)) {
            fprintf(stderr, "hits: %s: not the past cases of the generator\n", argv[f]);
            return 1;
        }
        const char *slash = strrchr(argv[f], '/');
        for (int i = 0; i < KINDS; i++) {
            const tally *t = &all[i];
            if (t->cases == 0) continue;
            printf("%s\t%s\t%s\t%ld\t%ld\t%ld\t%ld\t%ld\t%ld\t%ld\t%ld\n", slash ? slash + 1 : argv[f], kinds[i].kind,
                   kinds[i].suspect ? kinds[i].suspect : "-", t->cases, t->stopped, t->listed, t->explains, t->first,
                   t->only_open, t->misled, t->alarm);
        }
    }
    return fflush(stdout) == 0 ? 0 : 1;
}
