/* The words for the patient on a screen. */
#include <string.h>

#include "screen.h"
#include "tables/say.h"

/* Letters with marks as plain ones, the way that they are written without: a terminal gets ASCII alone. */
static void plain_letters(const char *text, char *out, size_t size) {
    static const struct {
        const char *mark, *plain;
    } letter[] = {{"\xC3\xA4", "ae"}, {"\xC3\xB6", "oe"}, {"\xC3\xBC", "ue"}, {"\xC3\x84", "Ae"},
                  {"\xC3\x96", "Oe"}, {"\xC3\x9C", "Ue"}, {"\xC3\x9F", "ss"}};
    out[0] = '\0';
    while (*text) {
        size_t i = 0;
        while (i < sizeof letter / sizeof *letter && strncmp(text, letter[i].mark, 2) != 0) i++;
        const bool marked = i < sizeof letter / sizeof *letter;
        const size_t used = strlen(out);
        if (used + 3 > size) return;
        memcpy(out + used, marked ? letter[i].plain : text, marked ? 3 : 1);
        if (!marked) out[used + 1] = '\0';
        text += marked ? 2 : 1;
    }
}

static void say(iol_screen *s, int rank, const char *text) {
    char plain[600];
    plain_letters(text, plain, sizeof plain);
    iol_screen_say(s, rank, NULL, plain);
}

/* A heading, its sentences. */
static void part(const iol_plan *plan, const iol_language *l, int which, const char *head, iol_screen *s) {
    bool any = false;
    char text[500];
    for (int i = 0; i < plan->patient_count; i++) {
        const int note = iol_note_find(&plan->notes, IOL_AT_told_say, i, 0);
        if (plan->patient[i].part != which || note < 0) continue;
        if (!any) {
            iol_screen_blank(s);
            if (head) say(s, IOL_RANK_NEVER, head);
        }
        any = true;
        iol_patient_say(l, &plan->notes.item[note], text, sizeof text);
        if (strlen(text) > 0 && text[strlen(text) - 1] == ':' && strlen(text) + 12 < sizeof text)
            iol_append(text, sizeof text, " __________");
        say(s, IOL_RANK_FACT, text);
    }
}

/* Whom to call, and for what at once. */
static void call(const iol_language *l, iol_screen *s) {
    char text[500] = "";
    const int part[] = {IOL_HEAD_call, IOL_HEAD_call_when, IOL_HEAD_call_night};
    for (size_t i = 0; i < sizeof part / sizeof *part; i++) {
        if (i > 0) iol_append(text, sizeof text, " ");
        iol_append(text, sizeof text, l->word[part[i]]);
        if (i > 0) iol_append(text, sizeof text, " __________");
    }
    iol_screen_blank(s);
    say(s, IOL_RANK_NEVER, text);
    say(s, IOL_RANK_NEVER, l->word[IOL_HEAD_foot]);
}

void iol_screen_patient(const iol_plan *plan, const iol_language *l, iol_screen *s) {
    iol_screen_start(s);
    say(s, IOL_RANK_NEVER, l->word[plan->eye == IOL_side_right ? IOL_HEAD_right_eye : IOL_HEAD_left_eye]);
    if (l->word[IOL_HEAD_unchecked][0]) say(s, IOL_RANK_NEVER, l->word[IOL_HEAD_unchecked]);
    part(plan, l, IOL_told_part_who, NULL, s);
    part(plan, l, IOL_told_part_found, l->word[IOL_HEAD_found], s);
    part(plan, l, IOL_told_part_suggest, l->word[IOL_HEAD_suggest], s);
    part(plan, l, IOL_told_part_chances, l->word[IOL_HEAD_chances], s);
    part(plan, l, IOL_told_part_risks, l->word[IOL_HEAD_risks], s);
    part(plan, l, IOL_told_part_next, l->word[IOL_HEAD_next], s);
    call(l, s);
    iol_screen_fit(s, IOL_SCREEN_LINES);
}
