/* What the assumed rates of gross causes decide: sensitivity SITE CASE... plans each case with every rate a third, as built in and
 * three times, and prints docs/sensitivity.md. Ends in 1 when a standing hangs on the rates and the plan does not say so. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "iolrevise.h"
#include "plan/replacement.h"
#include "tables/note_codes.h"
#include "text/number.h"
#include "tools/whole_file.h"

enum { TIMES = 3, AS_BUILT_IN = 1 };
static const double times[TIMES] = {1.0 / 3.0, 1.0, 3.0};

static iol_case c;
static iol_site site, with;
static iol_plan plan[TIMES];
static iol_faults faults;

/* A length taken by contact is on record, no assumption. */
static void set_rates(double by) {
    with = site;
    if (by == 1.0) return;
#define GROSS(suspect, key, rate, quantities, look, reference, status, text)                                           \
    if (isnan(with.gross_rates.suspect)) with.gross_rates.suspect = (rate)*by;
#include "gross_rates.def"
#undef GROSS
    with.gross_rates.contact = site.gross_rates.contact;
}

static bool says(const iol_plan *p) {
    for (int i = 0; i < p->notes.count; i++)
        if (p->notes.item[i].code == IOL_NOTE_rates_decide) return true;
    return false;
}

static const char *number(double value, int places, bool sign, char text[32]) {
    return iol_print_number(value, places, sign, text, 32) ? text : "not known";
}

static void cell(const iol_plan *p) {
    const iol_replacement *r = iol_new_lens(p);
    const iol_choice *step = iol_chosen_step(r);
    char a[32], b[32], d[32];
    const char *standing = IOL_WORD(standing, r->standing);
    printf(" %s", standing ? standing : "no lens is planned");
    if (!isnan(r->power_exact_d)) printf(", %s D", number(r->power_exact_d, 2, true, a));
    if (step)
        printf("; %s chosen: %s of 100, SD %s", number(step->power_d, 1, true, a),
               number(100.0 * step->within_half_d, 0, false, b), number(step->sd_d, 2, false, d));
    if (!isnan(p->surprise.gross_probability)) printf("; gross %s", number(p->surprise.gross_probability, 4, false, a));
    printf(" |");
}

/* Returns whether the standing hangs on the rates; silent: and the plan does not say so. */
static bool row(const char *file, bool *step_hangs, bool *silent) {
    size_t length;
    char *text = whole_file(file, 1 << 20, &length);
    const char *name = strrchr(file, '/') ? strrchr(file, '/') + 1 : file;
    if (!iol_case_read(text, length, &c, &faults)) exit(2);
    free(text);
    for (int i = 0; i < TIMES; i++) {
        set_rates(times[i]);
        iol_plan_make(&c, &with, IOL_UNKNOWN_DATE, &plan[i]);
    }
    printf("| %.*s |", (int)strcspn(name, "."), name);
    bool hangs = false;
    const iol_replacement *built_in = iol_new_lens(&plan[AS_BUILT_IN]);
    for (int i = 0; i < TIMES; i++) {
        const iol_choice *here = iol_chosen_step(iol_new_lens(&plan[i])), *there = iol_chosen_step(built_in);
        hangs |= iol_new_lens(&plan[i])->standing != built_in->standing;
        *step_hangs |= here && there && here->power_d != there->power_d;
        cell(&plan[i]);
    }
    *silent |= hangs && !says(&plan[AS_BUILT_IN]);
    printf("%s\n", hangs && says(&plan[AS_BUILT_IN]) ? " yes, and says so |" : hangs ? " yes |" : " no |");
    return hangs;
}

int main(int argc, char **argv) {
    size_t length;
    if (argc < 3) return 2;
    char *text = whole_file(argv[1], 1 << 20, &length);
    if (!iol_site_read(text, length, &site, &faults)) return 2;
    free(text);
    puts("# Rates of gross causes a third and three times\n\n"
         "The shipped examples with `examples/site.json`; every rate of `gross_rates`, but that of contact ultrasound, "
         "a third, as built in\n"
         "and three times: standing, exact power, chosen step (chance within 0.50 D, spread), probability of an "
         "unconfirmed gross cause.\n"
         "Where no probability stands, no causes are weighed. A plan whose standing another rate would change says so "
         "(`rates-decide`).\n"
         "Written by `make docs`.\n\n"
         "| example | a third | as built in | three times | does the standing hang on it? |\n|---|---|---|---|---|");
    int hanging = 0;
    bool step_hangs = false, silent = false;
    for (int i = 2; i < argc; i++) hanging += row(argv[i], &step_hangs, &silent);
    printf("\nStandings that hang on the rates: %d of %d. %s\n", hanging, argc - 2,
           step_hangs ? "A chosen step hangs on them." : "No chosen step hangs on them.");
    return silent ? 1 : 0;
}
