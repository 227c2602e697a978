/* What a wound does to the cornea. */
#ifndef IOL_PLAN_INCISION_H
#define IOL_PLAN_INCISION_H

#include "work.h"

typedef struct {
    double cylinder_d; /* s: centroid of the induced cylinder, >= 0 */
    double sd_d;
    iol_matrix
        change;     /* corneal power changes by s (I/2 - u u'): flatter along the wound's meridian, steeper across it */
    bool from_site; /* the site's own figures were used */
} iol_wound_effect;

/* A wound of a width at a place, in cornea or sclera (word of set site_of_wound), cut anew. */
void iol_incision_new(const iol_site *site, double position_deg, double width_mm, int where, iol_wound_effect *out);
/* The planned wound of this eye at another width. Where it re-opens the first wound, only what is wider counts. */
void iol_incision_effect(const iol_eye *eye, double width_mm, iol_wound_effect *out);

#endif
