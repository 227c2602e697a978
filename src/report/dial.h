/* The eye as the surgeon sees it from the seat, which is at the bottom; never mirrored. A place p lies at p - seat - 90 degrees
 * on the drawing, anticlockwise from the right. Limbus, optic and wound are to scale: 25 mm of the drawing are half the white to
 * white. */
#ifndef IOL_REPORT_DIAL_H
#define IOL_REPORT_DIAL_H

#include "placing.h"
#include "sheet.h"

#define IOL_DIAL_X 45.0
#define IOL_DIAL_Y 41.4
#define IOL_DIAL_RING 25.0
#define IOL_DIAL_PORT 26.5 /* where the port stands */

typedef struct {
    iol_drawing d;
    iol_placing placing;
    const iol_plan *plan;
    double seat, scale; /* mm of the drawing a mm of the eye */
    double x, y;        /* centre of the optic, where it lies */
    bool measured;      /* white to white is known */
    bool second;        /* the lens drawn is the second of two */
    bool wound, port;   /* are drawn: the caption names only what is */
} iol_dial;

/* How the lens that is drawn lies, is turned and held. */
const iol_removal_orientation *iol_dial_orientation(const iol_dial *v);

/* Ring, hours, degrees, sides; the optic's centre. False: the seat is not known. */
bool iol_dial_start(iol_dial *v, iol_sheet *s, bool second, const char *kind, const char *title);
/* Where you sit, what is to scale, and what of the lens is not drawn as it is. */
void iol_dial_caption(iol_sheet *s, const iol_dial *v, const char *marks);

double iol_dial_degrees(double radians);
/* On the drawing: degrees of a place, the spot at a radius from the middle, and from the optic's own centre. */
double iol_dial_turned(const iol_dial *v, double place);
void iol_dial_spot(const iol_dial *v, double place, double radius, double *x, double *y);
void iol_dial_on_optic(const iol_dial *v, double place, double radius, double *x, double *y);

/* Marks are drawn and kept clear of words; thin ones may be crossed where there is no other room. */
typedef enum { IOL_DIAL_THIN, IOL_DIAL_HEAVY } iol_dial_weight;
void iol_dial_line(iol_dial *v, const char *kind, iol_dial_weight w, const double from[2], const double to[2]);
void iol_dial_radial(iol_dial *v, const char *kind, iol_dial_weight w, double place, double from, double to);
void iol_dial_optic_line(iol_dial *v, const char *kind, iol_dial_weight w, double place, double from, double to);
/* An arrow along a circle about the optic from a place, by degrees (plus: anticlockwise). */
void iol_dial_turn_arrow(iol_dial *v, double radius, double from, double by, const char *kind);
/* A word beside a spot, first toward the middle. */
void iol_dial_word(iol_dial *v, const char *kind, double x, double y, const char *text);

/* What lies on the ring, and its names when all marks are drawn. */
void iol_dial_wound(iol_dial *v);
void iol_dial_port(iol_dial *v);
void iol_dial_gap(iol_dial *v);
void iol_dial_wound_name(iol_dial *v);
void iol_dial_gap_name(iol_dial *v);
double iol_dial_optic_radius(const iol_dial *v);
/* The optic where it lies; its radius. The names: the edge that lies back, and that it is not drawn as it lies. */
double iol_dial_optic(iol_dial *v);
/* outward: beside the optic, where its middle holds an arrow. */
void iol_dial_names_on_optic(iol_dial *v, double radius, bool outward);

#endif
