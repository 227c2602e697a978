/* What to tell the patient, for people: words by topic, the source in brackets behind a figure. */
#include <string.h>

#include "compose.h"

/* "published: galor_2009", the status that of the figure; what is no publication is named alone. */
static void source(iol_line *line, const char *key, const char *status) {
    bool own = strcmp(key, "this_plan") == 0;
    iol_line_text(line, " [");
    iol_line_text(line, own ? "this plan" : status);
    if (!own && strcmp(key, "judgement") != 0 && strcmp(key, "common_practice") != 0) {
        iol_line_text(line, ": ");
        iol_line_text(line, key);
    }
    iol_line_text(line, "]");
}

void iol_compose_counselling(const iol_plan *plan, iol_page *page) {
    char text[640];
    const char *topic = "";
    if (plan->counselling_count <= 0) return;
    iol_page_section(page, "counselling", "What to tell the patient");
    iol_page_alone(page, "Show and print this page alone", "Back to the whole plan");
    for (int i = 0; i < plan->counselling_count; i++) {
        const iol_counsel *row = &plan->counselling[i];
        int note = iol_note_find(&plan->notes, IOL_AT_counsel_say, i, 0);
        if (note < 0) continue;
        iol_line line;
        iol_line_start(&line);
        iol_line_text(&line, iol_note_text(&plan->notes.item[note], text, sizeof text));
        source(&line, row->source, row->status);
        iol_page_pair(page, strcmp(topic, row->topic) == 0 ? "" : row->topic, line.text);
        topic = row->topic;
    }
    iol_page_paragraph(page, "Words for the talk between patient and surgeon. They replace neither the examination nor "
                             "the consent form of the clinic.");
}
