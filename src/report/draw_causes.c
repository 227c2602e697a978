/* What explains the eye part of the miss: each ordinary cause and its share. */
#include "compose.h"

#define TITLE "What explains the part of the eye"

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
    iol_figure_size(f, 300.0, 34.0 + 26.0 * s->causes_count);
    iol_figure_extents(f, 0.0, fmin(100.0, 20.0 * (floor(most / 20.0) + 1.0)), 0.0, s->causes_count);
    iol_figure_axis_x(f, "Share", "%", most > 60.0 ? 20.0 : 10.0, 0, false);
    for (int i = 0; i < s->causes_count; i++) {
        const iol_cause *c = &s->causes[i];
        const double share = 100.0 * c->share, bottom = s->causes_count - 1 - i;
        iol_figure_box(f, 0.0, bottom + 0.08, share, bottom + 0.48, IOL_STROKE_PLAIN,
                       c->plausible_alone == IOL_NO ? IOL_FILL_HATCH : IOL_FILL_SHADE);
        iol_line_start(&line);
        iol_line_text(&line, IOL_WORD(quantity, c->quantity));
        iol_line_text(&line, " ");
        iol_line_percent(&line, c->share);
        if (c->plausible_alone == IOL_NO) iol_line_text(&line, ", not alone");
        iol_figure_label(f, 0.0, bottom + 0.7, IOL_BESIDE_RIGHT, line.text);
    }
}
