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

/* What the wound has done to the cornea at the end of the operation that puts this lens in: as planned, wider where the old lens
 * needs it on its way out or where the new one is rigid. A second lens in front leaves the old one where it is. */
iol_matrix iol_incision_change(const iol_work *w, const iol_shelf_lens *shelf);
/* The wound as it is at the end, told by the part: wider where the lens that leads asks for it. */
void iol_incision_end(iol_work *w, double width_mm);

#endif
