/* iolrevise ask --fill: the questions on a terminal, one at a time, and the case written after each answer. */
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "case/entry.h"
#include "case/reader.h"
#include "fill.h"
#include "report/compose.h"
#include "tables/say.h"
#include "write/case_json.h"

enum { ASIDE_MOST = 128 };

typedef struct {
    const iol_options *options;
    iol_planning *p;
    iol_ask_room *room;
    char aside[ASIDE_MOST][IOL_ENTRY_PATH]; /* left open by the person */
    int aside_count;
    int answers;
} dialogue;

static bool is_aside(const dialogue *d, const char *path) {
    for (int i = 0; i < d->aside_count; i++)
        if (strcmp(d->aside[i], path) == 0) return true;
    return false;
}

static void put_aside(dialogue *d, const char *path) {
    if (d->aside_count == ASIDE_MOST) return;
    char *into = d->aside[d->aside_count++];
    into[0] = '\0';
    iol_append(into, IOL_ENTRY_PATH, path);
}

static const iol_asked_question *next_question(dialogue *d) {
    iol_planning *p = d->p;
    iol_plan_make(&p->c, &p->site, p->as_of, &p->plan);
    iol_plan_ask(&p->c, &p->site, p->as_of, d->room, &p->plan);
    for (int i = 0; i < d->room->all.questions_count; i++)
        if (!is_aside(d, d->room->all.questions[i].path)) return &d->room->all.questions[i];
    return NULL;
}

static void print_question(const iol_asked_question *q, const iol_entry *entry) {
    char value[IOL_FAULT_WANTED] = "";
    iol_line line;
    iol_line_start(&line);
    iol_line_could_change(&line, q);
    iol_append_value(value, sizeof value, entry->field);
    const char *unit = iol_units[entry->field->unit].printed;
    printf("\n%s\n  %s%s%s; %s\n> ", q->question, value, unit[0] ? " " : "", unit, line.text);
    fflush(stdout);
}

static void explain(const iol_asked_question *q, const iol_entry *entry) {
    char text[640];
    printf("  %s (%s)\n", iol_say_field(entry->field, text, sizeof text), q->path);
    for (int i = 0; i < q->answers_count; i++) {
        const iol_asked_answer *a = &q->answers[i];
        printf("  %s: %s, power %s\n", a->answer, a->state ? IOL_WORD(state, a->state) : "no decision",
               a->standing ? IOL_WORD(standing, a->standing) : "none");
    }
    printf("  Enter leaves it open.\n");
}

/* A line without its end and the blanks round it; false at the end of what is typed. */
static bool read_line(char *out, size_t size) {
    if (!fgets(out, (int)size, stdin)) return false;
    size_t length = strcspn(out, "\r\n"), blanks = strspn(out, " \t");
    while (length > blanks && (out[length - 1] == ' ' || out[length - 1] == '\t')) length--;
    if (length <= blanks) return out[0] = '\0', true;
    memmove(out, out + blanks, length - blanks);
    out[length - blanks] = '\0';
    return true;
}

/* The answer as a file's value; what is wrong with it is said, and it is asked again. */
static bool take(dialogue *d, iol_entry *entry, const char *typed) {
    iol_case before = d->p->c;
    iol_refusal refusal;
    iol_faults faults;
    iol_faults_start(&faults);
    bool good = iol_entry_set(entry, typed, &refusal);
    if (good) iol_case_check(&d->p->c, &faults);
    if (good && faults.count == 0) return true;
    char line[IOL_FAULT_LINE];
    if (!good) printf("  wanted %s%s%s\n", refusal.wanted, refusal.unit[0] ? " " : "", refusal.unit);
    if (good && iol_fault_print(&faults.item[0], line, sizeof line)) printf("  %s\n", line);
    d->p->c = before;
    return false;
}

static int save(dialogue *d) {
    iol_output output;
    int status = iol_output_open(&output, d->options->output);
    if (status != IOL_EXIT_DONE) return status;
    iol_case_write(&d->p->c, iol_output_sink, &output);
    return iol_output_close(&output);
}

static void say_state(const dialogue *d) {
    const iol_asked *all = &d->room->all;
    printf("\n%d answered. Now: %s, power %s.\n", d->answers, all->state ? IOL_WORD(state, all->state) : "no decision",
           all->standing ? IOL_WORD(standing, all->standing) : "none");
}

int iol_cli_fill(const iol_options *options, iol_planning *planning, iol_ask_room *room) {
    char typed[256];
    int status = IOL_EXIT_DONE;
    if (!options->output) return iol_cli_flag("--output", NULL, "the file that takes the case, with --fill");
    if (!isatty(STDIN_FILENO) || !isatty(STDOUT_FILENO))
        return iol_cli_usage("--fill on a terminal (in scripts: --set)", "no terminal");
    dialogue *d = calloc(1, sizeof *d);
    if (!d) return iol_cli_no_memory();
    *d = (dialogue){.options = options, .p = planning, .room = room};
    printf("Questions that could change the plan, most first. ? explains, Enter leaves it open.\n");
    for (const iol_asked_question *q; status == IOL_EXIT_DONE && (q = next_question(d)) != NULL;) {
        iol_entry entry;
        iol_refusal refusal;
        if (!iol_entry_find(&planning->c, q->path, &entry, &refusal)) break;
        print_question(q, &entry);
        if (!read_line(typed, sizeof typed)) break;
        if (strcmp(typed, "?") == 0)
            explain(q, &entry);
        else if (!typed[0])
            put_aside(d, q->path);
        else if (take(d, &entry, typed)) {
            d->answers++;
            status = save(d);
        }
    }
    say_state(d);
    if (status == IOL_EXIT_DONE && d->answers == 0) status = save(d);
    free(d);
    return status;
}
