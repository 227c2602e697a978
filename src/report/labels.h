/* Labels of a figure that do not cover one another. */
#ifndef IOL_REPORT_LABELS_H
#define IOL_REPORT_LABELS_H

#include "figure.h"

#define IOL_LABELS_MOST 48

/* What is taken, in points from the frame's corner: middles and half sizes. */
typedef struct {
    iol_figure *f;
    double x[IOL_LABELS_MOST], y[IOL_LABELS_MOST], half_width[IOL_LABELS_MOST], half_height[IOL_LABELS_MOST];
    int taken;
} iol_labels;

/* The figure's extents, size and axes must be set. */
void iol_labels_start(iol_labels *l, iol_figure *f);
/* No label shall cover this point: a dot, the end of a line. */
void iol_labels_spare(iol_labels *l, double x, double y);
/* At the first of the sides at which it covers nothing and stays in the figure. False: at none, and it is left out. */
bool iol_labels_put(iol_labels *l, double x, double y, const iol_beside *side, int sides, const char *text);
/* The same of a label that belongs to the scale. */
bool iol_labels_put_scale(iol_labels *l, double x, double y, const iol_beside *side, int sides, const char *text);
/* All five sides, the usual order: right, above, left, below, on the point. */
bool iol_labels_put_beside(iol_labels *l, double x, double y, const char *text);

#endif
