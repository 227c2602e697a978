/* Blanks at which no line ends (src/text/tie.c), by rows: a number and its unit, an axis, a day of the calendar. Common practice of
 * typesetting, no source; our own rule which words are units. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>

#include <cmocka.h>

#include "check.h"
#include "text/tie.h"

/* "_": a blank that holds. */
static void rows(void **state) {
    (void)state;
    static const char *const row[] = {
        "power +21.5_D of it", "a 2.80_mm wound", "55_deg", "550_um, central", "2300_per mm2", "40_% of it", "2_D.",
        "6 Days", "3 mmol", "3 degrees", "5 umbra", "3 persons", "2 Z", "a D", "a mm", "x D", "class D is", "no deg",
        "-1.00_D x_90_deg", "it x_5 of", "it x_95 of", "it x_0 of", " x_5 of",
        "max 90 of", "x 90 of", "a x b", "on 16_Dec_2025, day", "on 6_Jan_2026.",
        "ON 16_DEC_2025", "of 28_Feb_2026 it", "16_Oct_2025", "on 19_Dec_2025, it", "by 30_Nov_2025", "in Dec 2025 it",
        "the 16 Decks 2025", "the 16 2025 of", "16 Abc 2025 it", "1_Dec_2025", "9_Jan_2026 it",
        " D", " 5", "of 3 4 lenses", "in 16 December 2025",
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        char text[60];
        snprintf(text, sizeof text, "%s", row[i]);
        for (char *at = text; *at; at++)
            if (*at == '_') *at = ' ';
        for (size_t at = 0; text[at]; at++)
            if (iol_is_tie(text, at) != (row[i][at] == '_')) fail_msg("%s, at %zu", row[i], at);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(rows)};
    return cmocka_run_group_tests_name("ties", tests, NULL, NULL);
}
