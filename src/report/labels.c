/* Where labels have room. Widths are taken a little too large: the reader's typeface is not known. */
#include "labels.h"

#include <math.h>
#include <string.h>

enum { LETTER = 5, HALF_TEXT = 5, HALF_DOT = 4, GAP = 6, RISE = 10, APART = 2 }; /* apart: two labels on a line are not read
                                                                            * as one */

void iol_labels_start(iol_labels *l, iol_figure *f) {
    l->f = f;
    l->taken = 0;
}

static void take(iol_labels *l, double x, double y, double half_width, double half_height) {
    if (l->taken == IOL_LABELS_MOST || !isfinite(x) || !isfinite(y)) return;
    l->x[l->taken] = x, l->y[l->taken] = y;
    l->half_width[l->taken] = half_width, l->half_height[l->taken] = half_height;
    l->taken++;
}

void iol_labels_spare(iol_labels *l, double x, double y) {
    take(l, iol_figure_across(l->f, x), iol_figure_down(l->f, y), HALF_DOT, HALF_DOT);
}

static bool is_free(const iol_labels *l, double x, double y, double half_width, double between) {
    if (l->taken == IOL_LABELS_MOST || x - half_width < 0.0 || x + half_width > l->f->width) return false;
    for (int i = 0; i < l->taken; i++)
        if (fabs(x - l->x[i]) < half_width + l->half_width[i] + between && fabs(y - l->y[i]) < HALF_TEXT + l->half_height[i])
            return false;
    return true;
}

static bool put(iol_labels *l, double x, double y, const iol_beside *side, int sides, const char *text, bool scale) {
    const double half = (double)strlen(text) * LETTER / 2.0;
    for (int n = 0; n < 2 * sides && isfinite(x) && isfinite(y); n++) { /* once with room between, else without */
        const int i = n % sides;
        double at_x = iol_figure_across(l->f, x), at_y = iol_figure_down(l->f, y);
        if (side[i] == IOL_BESIDE_RIGHT) at_x += GAP + half;
        if (side[i] == IOL_BESIDE_LEFT) at_x -= GAP + half;
        if (side[i] == IOL_BESIDE_ABOVE) at_y -= RISE;
        if (side[i] == IOL_BESIDE_BELOW) at_y += RISE + 1;
        if (!is_free(l, at_x, at_y, half, n < sides ? APART : 0.0)) continue;
        take(l, at_x, at_y, half, HALF_TEXT);
        if (scale)
            iol_figure_scale_label(l->f, x, y, side[i], text);
        else
            iol_figure_label(l->f, x, y, side[i], text);
        return true;
    }
    return false;
}

bool iol_labels_put(iol_labels *l, double x, double y, const iol_beside *side, int sides, const char *text) {
    return put(l, x, y, side, sides, text, false);
}

bool iol_labels_put_scale(iol_labels *l, double x, double y, const iol_beside *side, int sides, const char *text) {
    return put(l, x, y, side, sides, text, true);
}

bool iol_labels_put_beside(iol_labels *l, double x, double y, const char *text) {
    static const iol_beside side[] = {IOL_BESIDE_RIGHT, IOL_BESIDE_ABOVE, IOL_BESIDE_LEFT, IOL_BESIDE_BELOW,
                                      IOL_BESIDE_CENTRE};
    return iol_labels_put(l, x, y, side, 5, text);
}
