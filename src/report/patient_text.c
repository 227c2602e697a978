/* The words for the patient on a screen. */
#include "screen.h"

void iol_screen_patient(const iol_plan *plan, iol_screen *s) {
    char text[640];
    iol_screen_start(s);
    for (int i = 0; i < plan->counselling_count; i++) {
        const int note = iol_note_find(&plan->notes, IOL_AT_counsel_say, i, 0);
        if (note >= 0)
            iol_screen_say(s, IOL_RANK_FACT, NULL, iol_note_text(&plan->notes.item[note], text, sizeof text));
    }
    iol_screen_fit(s, IOL_SCREEN_LINES);
}
