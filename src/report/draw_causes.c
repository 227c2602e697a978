/* What explains the eye part of the miss: each ordinary cause and its share. */
#include "compose.h"

#define TITLE "What explains the part of the eye"

#define ROOM 1.8 /* width of the frame over the longest bar: the label stands behind it */

static void bar(iol_figure *f, const iol_cause *c, double middle) {
    const double share = 100.0 * c->share;
    iol_line line;
    iol_figure_box(f, 0.0, middle - 0.28, share, middle + 0.28, IOL_STROKE_PLAIN,
                   c->plausible_alone == IOL_NO ? IOL_FILL_HATCH : IOL_FILL_SHADE);
    iol_line_start(&line);
    iol_line_percent(&line, c->share);
    iol_line_text(&line, " ");
    iol_line_text(&line, IOL_PLAIN(quantity, c->quantity));
    if (c->plausible_alone == IOL_NO) iol_line_text(&line, ", not alone");
    iol_figure_label(f, share, middle, IOL_BESIDE_RIGHT, line.text);
}

void iol_draw_causes(const iol_surprise *s, iol_page *page) {
    iol_line line;
    double most = 0.0;
    if (s->causes_count <= 0) {
        iol_page_figure_missing(page, TITLE, "No share could be reckoned: what is needed stands under Left out.");
        return;
    }
    for (int i = 0; i < s->causes_count; i++) most = fmax(most, 100.0 * s->causes[i].share);
    iol_line_start(&line);
    iol_line_text(&line, "One bar a cause: its share of the spread expected, which is the share of the eye part, ");
    iol_line_signed(&line, s->eye_part_d, IOL_UNIT_d);
    iol_line_text(&line,
                  ", that it takes. Hatched: not plausible as the only cause. The same numbers stand in the table.");
    iol_figure *f = iol_page_figure(page, TITLE, line.text);
    iol_figure_size(f, 270.0, 34.0 + 13.0 * s->causes_count);
    iol_figure_extents(f, 0.0, ROOM * most, 0.0, s->causes_count);
    iol_figure_axis_x(f, "Share", "%", iol_figure_step(ROOM * most, 10), 0, false);
    for (int i = 0; i < s->causes_count; i++) bar(f, &s->causes[i], s->causes_count - 0.5 - i);
}
