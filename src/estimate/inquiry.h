/* The search for gross causes, shared by its files: what is to be explained, and the best number of one suspect. */
#ifndef IOL_ESTIMATE_INQUIRY_H
#define IOL_ESTIMATE_INQUIRY_H

#include "suspects.h"

typedef struct {
    const iol_eye *eye;
    const iol_estimate *joint; /* NULL: no formula */
    double predicted_d;        /* for the lens put in; NaN not known */
    double eye_part_d, selection_d, cylinder_d;
} iol_inquiry;

/* One suspect under its candidates: the one that leaves least, how many were tried and how many explain. */
typedef struct {
    iol_suspicion best;
    bool any;
    bool forced; /* the case confirms it: weighed however small the part is */
    int tried, fits;
} iol_weighing;

/* The part of the miss that a suspect speaks of is worth a search. Without an eye part the whole miss stands for it. */
bool iol_inquiry_trouble(const iol_inquiry *q, int part);
/* Weigh one candidate. Nothing for a part not worth a search, unless the case confirms the suspect. */
void iol_inquiry_weigh(const iol_inquiry *q, int part, double implied_d, iol_weighing *w);
/* All candidates of one suspect. state: what the case says of it. */
void iol_inquiry_run(const iol_inquiry *q, iol_suspect_id id, iol_flag state, iol_weighing *w);
/* Yes: the case confirms it; no: the case rules it out; unknown. */
iol_flag iol_inquiry_state(const iol_inquiry *q, iol_suspect_id id);

/* ---- altered figures, shared with the mixture ---- */
/* Neighbouring digits number `place` (0: the last two) of a value with two decimals changed over; NaN when they are alike. */
double iol_digits_swapped(double value, int place);
/* How far back the optic goes when the lens lies the wrong way up: its principal plane by the thick lens, its vault by the
 * angle of the loops. NaN when neither is known. */
double iol_suspect_reversed_mm(const iol_eye *eye);

#endif
