/* The old optic as a solid, and the cuts that take it apart. Pure geometry. */
#ifndef IOL_PLAN_CUTS_H
#define IOL_PLAN_CUTS_H

#include "eye/eye.h"

typedef struct {
    double front_radius_mm, back_radius_mm; /* signed: front plus, back minus = convex outward; infinite: plane */
    double centre_mm, edge_mm, diameter_mm, index;
    double power_d; /* of the thick lens in aqueous that the shape makes; 0 for a flat one */
} iol_optic_shape;

/* Shape of the old optic. Radii as given, else by its word, else equal; the centre thickness leads, else the edge.
 * IOL_NO_SOLUTION: no such lens (worn through at the edge or at the centre); everything NaN. */
iol_status iol_optic_shape_make(const iol_old_optic *optic, iol_optic_shape *shape);
/* Thickness at radius_mm from the axis. */
double iol_optic_thickness(const iol_optic_shape *shape, double radius_mm);

/* Where the blade works. */
typedef struct {
    double iris_plane_mm, cornea_mm, front_radius_mm, blade_mm; /* depth; corneal thickness and front radius; blade */
} iol_chamber;

/* Radius of the back of the cornea, and depth of the front of the optic at rest on the iris plane. */
double iol_endothelium_radius(const iol_chamber *chamber);
double iol_optic_front(const iol_optic_shape *shape, const iol_chamber *chamber);

/* Clearance between blade and endothelium at radius_mm from the axis, the optic at rest on the iris plane; NaN where an
 * input is not known. */
double iol_optic_clearance(const iol_optic_shape *shape, const iol_chamber *chamber, double radius_mm);

/* One straight cut; x across the cut meridian, y along it, plus = toward the wound, origin at the optic's centre. */
typedef struct {
    double x_from_mm, y_from_mm, x_to_mm, y_to_mm;
} iol_cut;

typedef struct {
    int cuts;
    iol_cut cut[2];
    double widest_mm;    /* least width of the widest piece */
    double length_mm;    /* total length cut */
    double reach_mm;     /* from the edge at the wound to the furthest point cut in one pass; NaN without a cut */
    double thickest_mm;  /* thickest place cut; NaN without a cut */
    double clearance_mm; /* least over the cuts; NaN without a cut or where not known */
    double least_at_mm;  /* how far from the optic's centre that is */
} iol_removal_geometry;

/* One way (word of set removal_method). plate_length_mm: 0 for an optic with loops, the length of a plate, NaN for a plate
 * of unknown length. */
void iol_removal_geometry_of(int method, const iol_optic_shape *shape, const iol_chamber *chamber,
                             double plate_length_mm, iol_removal_geometry *out);

#endif
