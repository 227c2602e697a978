/* From the short starter to an advised power by answering only what is asked: six eyes whose whole record is known (examples, one
 * dated later). What is asked first is answered from the record; what the record does not hold stays open. Writes a row for each
 * answer to the file named, and prints a row for each eye. */
#include <stdlib.h>

#include "../unit/starter.h"
#include "case/entry.h"

enum { ROUNDS = 120 };

static iol_case record, c;
static iol_plan plan;
static iol_ask_room room;

/* What the record says there, the first reading of the starter being the newest of the record. */
static bool recorded(const char *path, char *value, size_t size) {
    char at[IOL_ENTRY_PATH];
    iol_entry entry;
    iol_refusal refusal;
    if (strcmp(path, "/red_flags/none") == 0)
        return snprintf(value, size, "%s", record.red_flags.pain == IOL_NO ? "true" : "false") > 0;
    if (strncmp(path, "/refractions/0/", 15) == 0)
        snprintf(at, sizeof at, "/refractions/%d/%s", record.refractions_count - 1, path + 15);
    else
        snprintf(at, sizeof at, "%s", path);
    return iol_entry_find(&record, at, &entry, &refusal) && iol_entry_known(&entry) &&
           strcmp(iol_entry_print(&entry, value, size), "null") != 0;
}

/* One field; true when it was answered. */
static bool answer(FILE *rows, const char *eye, const char *path, int step) {
    char value[80];
    iol_entry entry;
    iol_refusal refusal;
    if (!recorded(path, value, sizeof value)) return false;
    if (!iol_entry_find(&c, path, &entry, &refusal) || !iol_entry_set(&entry, value, &refusal)) abort();
    fprintf(rows, "%s\t%d\t%s\t%s\n", eye, step, path, value);
    return true;
}

static bool is_open(const iol_asked_question *q, char aside[][IOL_ENTRY_PATH], int count) {
    for (int i = 0; i < count; i++)
        if (strcmp(aside[i], q->path) == 0) return false;
    return true;
}

static void ask_eye(FILE *rows, int e) {
    static char aside[ROUNDS][IOL_ENTRY_PATH];
    int questions = 0, answers = 0, left = 0;
    starter_record(e, &record);
    starter_case(starter_eyes[e].kind, record.eye, record.reason, &c);
    for (int round = 0; round < ROUNDS; round++) {
        const iol_asked_question *q = NULL;
        iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
        if (iol_new_lens(&plan)->standing == IOL_standing_advised) break;
        iol_plan_ask(&c, example_site(), IOL_UNKNOWN_DATE, &room, &plan);
        for (int i = 0; i < room.all.questions_count && !q; i++)
            if (is_open(&room.all.questions[i], aside, left)) q = &room.all.questions[i];
        if (!q) break;
        questions++;
        int before = answers;
        answers += answer(rows, starter_eyes[e].eye, q->path, answers + 1);
        for (char *at = strtok(room.all.questions[q - room.all.questions].also, " "); at && answers > before;
             at = strtok(NULL, " "))
            answers += answer(rows, starter_eyes[e].eye, at, answers + 1);
        if (answers == before) snprintf(aside[left++], IOL_ENTRY_PATH, "%s", q->path);
    }
    const iol_choice *step = iol_chosen_step(iol_new_lens(&plan));
    printf("%s\t%s\t%s\t%d\t%d\t%s\t%+.1f D\n", starter_eyes[e].eye, starter_eyes[e].example, starter_eyes[e].kind,
           questions, answers, IOL_WORD(standing, iol_new_lens(&plan)->standing), step ? step->power_d : NAN);
}

int main(int count, char **argument) {
    FILE *rows = count == 2 ? fopen(argument[1], "w") : NULL;
    if (!rows) return 2;
    fprintf(rows, "eye\tstep\tpath\tanswer\n");
    printf("eye\trecord\tstarter\tquestions\tanswers\tstanding\tpower\n");
    for (int e = 0; e < STARTER_EYES; e++) ask_eye(rows, e);
    return fclose(rows);
}
