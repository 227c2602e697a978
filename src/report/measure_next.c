/* What to look at or to measure next, for people. */
#include <string.h>

#include "compose.h"
#include "tables/tables.h"

/* The words of a look or a measurement. */
const char *iol_measure_words(const char *id) {
    static const struct {
        const char *id, *words;
    } rows[] = {
#define MEASUREMENT(id, code, sd, words) {code, words},
#include "measurements.def"
#undef MEASUREMENT
        {"lens-identified", "the sticker of the lens inside, found and read"},
        {"biometry-of-this-eye", "the biometry, checked to be of this eye and person"},
        {"original-sheet", "the original biometry sheet, seen"},
        {"dilated-look", "a look at the lens through a dilated pupil"},
        {"topography", "topography"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (strcmp(rows[i].id, id) == 0) return rows[i].words;
    return id;
}

void iol_compose_measure_next(const iol_plan *plan, iol_page *page) {
    static const char *const heads[] = {"Look or measurement", ">Of 100 now", ">Of 100 after it"};
    if (plan->measure_next_count <= 0) return;
    iol_page_section(page, "measure_next", "What the next look or measurement would buy");
    iol_line line;
    iol_line_start(&line);
    iol_line_bands(&line, "Chance of the chosen step to be within %h of the target, now and after it, averaged over what "
                          "may be found. Readings that fail for a reason of the eye buy less.");
    iol_page_paragraph(page, line.text);
    iol_page_table(page, 3, heads);
    for (int i = 0; i < plan->measure_next_count; i++) {
        const iol_next_measure *m = &plan->measure_next[i];
        iol_line now, after;
        iol_line_start(&now);
        iol_line_start(&after);
        iol_line_number(&now, 100.0 * m->chance_now, IOL_UNIT_count);
        iol_line_number(&after, 100.0 * m->chance_after, IOL_UNIT_count);
        const char *cell[] = {iol_measure_words(m->id), now.text, after.text};
        iol_page_row(page, 3, cell);
    }
}
