/* Sheet 3: plain words for the patient, of the way that leads. No power, no dioptre, no code. */
#include <string.h>

#include "sheet.h"

static int rows_of(const iol_plan *plan, int part) {
    int count = 0;
    for (int i = 0; i < plan->patient_count; i++) count += plan->patient[i].part == part;
    return count;
}

static void sentences(iol_sheet *s, const iol_language *l, int part, const char *open, const char *between,
                      const char *close) {
    bool any = false;
    for (int i = 0; i < s->plan->patient_count; i++) {
        const int note = iol_note_find(&s->plan->notes, IOL_AT_told_say, i, 0);
        char text[400];
        if (s->plan->patient[i].part != part || note < 0) continue;
        iol_sheet_put(s, any ? between : open);
        any = true;
        iol_patient_say(l, &s->plan->notes.item[note], text, sizeof text);
        const size_t length = strlen(text);
        iol_sheet_text(s, "", text, length > 0 && text[length - 1] == ':' ? " <span class=\"blank\"></span>" : "");
    }
    if (any) iol_sheet_put(s, close);
}

static void part(iol_sheet *s, const iol_language *l, int which, int head, bool list) {
    if (!rows_of(s->plan, which)) return;
    iol_sheet_text(s, "<h3>", l->word[head], "</h3>\n");
    if (list)
        sentences(s, l, which, which == IOL_told_part_next ? "<ol><li>" : "<ul><li>", "</li>\n<li>",
                  which == IOL_told_part_next ? "</li></ol>\n" : "</li></ul>\n");
    else
        sentences(s, l, which, "<p>", " ", "</p>\n");
}

static void chances(iol_sheet *s, const iol_language *l) {
    for (int i = 0; i < s->plan->patient_count; i++) {
        const int note = iol_note_find(&s->plan->notes, IOL_AT_told_say, i, 0);
        char text[400];
        if (isnan(s->plan->patient[i].of_100) || note < 0) continue;
        iol_patient_say(l, &s->plan->notes.item[note], text, sizeof text);
        iol_sheet_put(s, "<div class=\"of-100\">");
        iol_sheet_dots(s, s->plan->patient[i].of_100, text);
        iol_sheet_text(s, "<div><h3>", l->word[IOL_HEAD_chances], "</h3>");
        iol_sheet_text(s, "<p>", text, "</p>");
        iol_sheet_text(s, "<p class=\"soft\">", l->word[IOL_HEAD_dots], "</p></div></div>\n");
        return;
    }
}

/* So much is told that it wants smaller type to stay one sheet. */
static bool is_full(const iol_sheet *s, const iol_language *l) {
    enum { MANY = 720, MANY_BESIDE_DOTS = 600 }; /* letters */
    size_t letters = 0;
    bool dots = false;
    for (int i = 0; i < s->plan->patient_count; i++) {
        const int note = iol_note_find(&s->plan->notes, IOL_AT_told_say, i, 0);
        char text[400];
        dots |= !isnan(s->plan->patient[i].of_100);
        if (note < 0) continue;
        iol_patient_say(l, &s->plan->notes.item[note], text, sizeof text);
        letters += strlen(text);
    }
    return letters > (dots ? MANY_BESIDE_DOTS : MANY);
}

void iol_sheet_patient(iol_sheet *s, const iol_language *l) {
    const iol_option_row *first = iol_first_way(s->plan);
    const int state = s->plan->decision.state;
    const int option = state == IOL_state_other_option_first && first ? first->option : IOL_option_exchange;
    if (s->plan->patient_count <= 0) return;
    iol_sheet_section(s, "patient", is_full(s, l) ? " full" : "", "\" lang=\"");
    iol_sheet_text(s, "", l->code, "\">\n");
    iol_sheet_text(s, "<h2>", l->word[s->plan->eye == IOL_side_right ? IOL_HEAD_right_eye : IOL_HEAD_left_eye],
                   "</h2>\n");
    if (l->word[IOL_HEAD_unchecked][0])
        iol_sheet_text(s, "<p class=\"unchecked\">", l->word[IOL_HEAD_unchecked], "</p>\n");
    sentences(s, l, IOL_told_part_who, "<p><b>", " ", "</b></p>\n");
    iol_sheet_put(s, "<div class=\"story\"><div>\n");
    part(s, l, IOL_told_part_found, IOL_HEAD_found, false);
    part(s, l, IOL_told_part_suggest, IOL_HEAD_suggest, false);
    iol_sheet_put(s, "</div>\n");
    if (!iol_is_alarm(s->plan)) iol_sheet_eye_side(s, option, s->plan->secondary.present, l);
    iol_sheet_put(s, "</div>\n");
    chances(s, l);
    part(s, l, IOL_told_part_risks, IOL_HEAD_risks, true);
    part(s, l, IOL_told_part_next, IOL_HEAD_next, true);
    iol_sheet_text(s, "<p class=\"call\"><b>", l->word[IOL_HEAD_call], "</b> ");
    iol_sheet_text(s, "", l->word[IOL_HEAD_call_when], " <span class=\"blank\"></span> ");
    iol_sheet_text(s, "", l->word[IOL_HEAD_call_night], " <span class=\"blank\"></span></p>\n");
    iol_sheet_text(s, "<footer><p>", l->word[IOL_HEAD_foot], "</p></footer>\n</section>\n");
}
