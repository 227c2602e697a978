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

static void print_question(const iol_asked_question *q) {
    iol_line line;
    iol_line_start(&line);
    iol_line_could_change(&line, q);
    printf("\n%s\n  %s\n", q->question, line.text);
}

/* "axial length, 14 to 40 mm" */
static void prompt(const iol_entry *entry) {
    char value[IOL_FAULT_WANTED] = "";
    iol_append_value(value, sizeof value, entry->field);
    const char *unit = iol_units[entry->field->unit].printed;
    printf("  %s: %s%s%s\n> ", entry->field->text, value, unit[0] ? " " : "", unit);
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

/* One value as a file's; what is wrong with it is said, and it is asked again. */
static bool take(iol_entry *entry, const char *typed) {
    iol_refusal refusal = {.brief = false};
    if (iol_entry_set(entry, typed, &refusal)) return true;
    printf("  wanted %s%s%s\n", refusal.wanted, refusal.unit[0] ? " " : "", refusal.unit);
    return false;
}

enum { ENDED = -1, OPEN = 0, TAKEN = 1 };

/* One field of a question. */
static int ask_field(dialogue *d, const iol_asked_question *q, const char *path) {
    char typed[256];
    iol_entry entry;
    iol_refusal refusal = {.brief = false};
    if (!iol_entry_find(&d->p->c, path, &entry, &refusal)) return ENDED;
    for (;;) {
        prompt(&entry);
        if (!read_line(typed, sizeof typed)) return ENDED;
        if (!typed[0]) return OPEN;
        if (strcmp(typed, "?") == 0)
            explain(q, &entry);
        else if (take(&entry, typed))
            return TAKEN;
    }
}

/* All fields of a question, then checked together; the case stays as it was where they contradict it. Enter at the first leaves
 * all of them open, at another this one. ENDED: the end of what is typed. */
static int ask_question(dialogue *d, const iol_asked_question *q) {
    iol_case before = d->p->c;
    iol_faults faults;
    char line[IOL_FAULT_LINE];
    int taken = 0;
    print_question(q);
    for (const char *at = q->path; *at;) {
        char path[IOL_ENTRY_PATH] = "";
        size_t length = strcspn(at, " ");
        iol_append_bytes(path, sizeof path, at, length);
        int said = ask_field(d, q, path);
        if (said == ENDED) return ENDED;
        if (said == OPEN) put_aside(d, path);
        if (said == OPEN && taken == 0) return OPEN;
        taken += said;
        at = at == q->path ? q->also : at + length + (at[length] == ' ');
    }
    iol_faults_start(&faults);
    iol_case_check(&d->p->c, &faults);
    if (faults.count == 0) return taken;
    if (iol_fault_print(&faults.item[0], line, sizeof line)) printf("  %s\n", line);
    d->p->c = before;
    return OPEN;
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
    int status = IOL_EXIT_DONE;
    if (!options->output) return iol_cli_flag("--output", NULL, "the file that takes the case, with --fill");
    if (!isatty(STDIN_FILENO) || !isatty(STDOUT_FILENO))
        return iol_cli_usage("--fill on a terminal (in scripts: --set)", "no terminal");
    dialogue *d = calloc(1, sizeof *d);
    if (!d) return iol_cli_no_memory();
    *d = (dialogue){.options = options, .p = planning, .room = room};
    printf("Questions that could change the plan, most first. ? explains, Enter leaves it open.\n");
    for (const iol_asked_question *q; status == IOL_EXIT_DONE && (q = next_question(d)) != NULL;) {
        const iol_asked_question asked = *q;
        int said = ask_question(d, &asked);
        if (said == ENDED) break;
        d->answers += said;
        if (said > 0) status = save(d);
    }
    say_state(d);
    if (status == IOL_EXIT_DONE && d->answers == 0) status = save(d);
    free(d);
    return status;
}
