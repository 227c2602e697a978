/* An optic that is tilted, off centre, back to front or of another shape, and the back of the cornea. Pure functions. */
#ifndef IOLREVISE_DISPLACED_H
#define IOLREVISE_DISPLACED_H

#include "optics.h"

IOL_PUBLIC_BEGIN

/* ---- optic_shape.c ------------------------------------------------------------------------------- */

/* An optic: power in the eye, shape (c1 + c2)/(c1 - c2) of its curvatures (0 equal, 1 front convex and back plane, -1 the other
 * way round), index, centre thickness, conic constant of its front face. The back face is spherical. */
typedef struct {
    double power_d, shape_q, index, centre_thickness_mm, front_conic;
} iol_optic;

/* Curvatures (per mm, plus = centre toward the retina) and principal points (mm behind the front vertex). */
typedef struct {
    double front_per_mm, back_per_mm, first_mm, second_mm;
} iol_optic_faces;

/* Faces of an optic in aqueous.
 * Equation: P = dn D + t/(1000 nl) dn^2 D^2 (q^2 - 1)/4, dn = 1000 (nl - n); c1 = D (q + 1)/2, c2 = D (q - 1)/2
 * Given: optic: power_d (D, not 0), shape_q (none), index (> 0, not that of aqueous), centre_thickness_mm (mm, >= 0); front_conic
 *   is not read.
 * Returned: faces: curvatures (per mm), principal points (mm).
 * Status: IOL_BAD_INPUT: not finite or no such index or thickness. IOL_NO_SOLUTION: no such lens, or no power.
 * Valid: paraxial rays
 * Source: iso_11979_2, from memory
 * Tests: tests/unit/test_displaced_lens.c, tests/unit/test_design_shift.c */
iol_status iol_optic_faces_of(iol_optic optic, iol_optic_faces *faces);

/* Centre thickness of an optic whose edge is known.
 * Equation: t = edge + sag1 - sag2 at the edge of the optic, round by round
 * Given: optic: as above, centre_thickness_mm is not read; edge_mm, optic_diameter_mm (mm, >= 0).
 * Returned: centre_mm (mm).
 * Status: as iol_optic_faces_of, and IOL_NO_SOLUTION where the centre is worn through or the optic is wider than its sphere;
 *   IOL_NO_CONVERGENCE: it did not settle to 1e-12 mm.
 * Source: geometry
 * Tests: tests/unit/test_design_shift.c */
iol_status iol_optic_centre_from_edge(iol_optic optic, double edge_mm, double optic_diameter_mm, double *centre_mm);

/* Middle of the optic's edge behind its front vertex.
 * Equation: (sag1 + t + sag2)/2 at the edge of the optic, spheres
 * Given: optic: as above, with centre_thickness_mm; optic_diameter_mm (mm, >= 0).
 * Returned: middle_mm (mm); faces: its curvatures (per mm) and principal points (mm).
 * Status: as iol_optic_faces_of, and IOL_NO_SOLUTION where the optic is wider than its sphere.
 * Source: geometry
 * Tests: tests/unit/test_design_shift.c */
iol_status iol_optic_edge_middle(iol_optic optic, double optic_diameter_mm, iol_optic_faces *faces, double *middle_mm);

/* Conic constant of the front face that suits a class of lens.
 * Equation: S1 of the lens = 0 (neutral) or -K c^2 (Qc + 1/n^2)/(1 - E K/n)^4 (correcting);
 *   Q1 = (S1 - S1 of spheres)/((nl - n) c1^3), c1 of the thin lens
 * Given: eye: cornea_d (D), length_mm, position_mm (mm); optic: as above, front_conic not read; correcting: else neutral.
 * Returned: front_conic (none).
 * Status: as iol_optic_faces_of, and IOL_NO_SOLUTION where the front face is plane or the eye has no such light.
 * Valid: third-order spherical aberration of a thin lens
 * Source: derived
 * Tests: tests/unit/test_displaced_lens.c */
iol_status iol_optic_front_conic(iol_model eye, iol_optic optic, bool correcting, double *front_conic);

/* ---- displaced_lens.c ------------------------------------------------------------------------------ */

/* Where an optic lies: tilt, with the place toward which its back edge points; distance from the pupil's centre, with the place
 * toward which it has moved. Places as seen facing the patient, 0 = the examiner's right, anticlockwise. */
typedef struct {
    double tilt_deg, back_position_deg, decentration_mm, decentration_position_deg;
} iol_displacement;

/* What a displaced optic does: the correction at the cornea that the eye now needs, that of the centred eye, the difference, and
 * the prism. */
typedef struct {
    iol_matrix at_cornea, explained;
    double centred_d, prism_x_pd, prism_y_pd;
} iol_displaced_eye;

/* One real ray from the fovea through the centre of the pupil, and the wave about it.
 * Equation: head of src/optics/displaced_lens.c
 * Given: eye: cornea_d (D), length_mm, position_mm (mm) of the centred eye; pupil_gap_mm (mm, pupil in front of the lens);
 *   optic (D, mm); where (deg, mm; 0 <= tilt < 90, decentration >= 0; a place is not read where there is nothing to place).
 * Returned: found: D at the cornea, prism in prism dioptres by the place of its base.
 * Status: IOL_BAD_INPUT: not finite or no such eye, optic or displacement. IOL_NO_SOLUTION: no lens power, or a ray that meets
 *   no face. IOL_NO_CONVERGENCE: no ray through the centre of the pupil.
 * Valid: tilt to 15 deg, decentration to 2 mm, difference to 2 D of cylinder; within 0.01 D of a cornea of two faces there
 * Source: derived
 * Tests: tests/unit/test_displaced_lens.c */
iol_status iol_displaced_lens(iol_model eye, double pupil_gap_mm, iol_optic optic, iol_displacement where,
                              iol_displaced_eye *found);

/* ---- design_shift.c --------------------------------------------------------------------------------- */

/* How far a lens's thin-lens position moves when it is turned back to front, held at its loops.
 * Equation: -2 v + 2 M - h1 - h2, M the middle of the edge
 * Given: optic (D, mm); optic_diameter_mm (mm); vault_mm (mm, middle of the edge behind the loops, right way up).
 * Returned: shift_mm (mm, plus = toward the retina).
 * Status: as iol_optic_edge_middle; IOL_BAD_INPUT also where the vault is not finite.
 * Source: derived, geometry
 * Tests: tests/unit/test_design_shift.c */
iol_status iol_reversed_shift(iol_optic optic, double optic_diameter_mm, double vault_mm, double *shift_mm);

/* How far the thin-lens position moves from one design to another held at the same plane, and how much the optical length changes.
 * Equation: (v + h1 - M) new less old; L less the change of h2 - h1
 * Given: before, after (D, mm); optic_diameter_mm (mm); vault_before_mm, vault_after_mm (mm).
 * Returned: shift_mm (mm, plus = toward the retina); length_change_mm (mm).
 * Status: as iol_reversed_shift.
 * Source: derived, geometry
 * Tests: tests/unit/test_design_shift.c */
iol_status iol_design_shift(iol_optic before, double vault_before_mm, iol_optic after, double vault_after_mm,
                            double optic_diameter_mm, double *shift_mm, double *length_change_mm);

/* ---- back_cornea.c ---------------------------------------------------------------------------------- */

/* Cylinder that the back of the cornea has on average, beside a keratometric cylinder.
 * Equation: 0.15 C + 0.22 with the rule, 0.27 against it, 0.05 C + 0.27 between; within 30 degrees of 90 and of 180
 * Given: keratometric_cylinder_d (D, >= 0), steep_axis_deg (degrees); without cylinder the axis is not read.
 * Returned: back_d (D, magnitude; its power is most negative along 90).
 * Status: IOL_BAD_INPUT: not finite, or below 0.
 * Source: eom_2015; the borders of the three: judgement
 * Tests: tests/unit/test_back_cornea.c */
iol_status iol_back_cornea_cylinder(double keratometric_cylinder_d, double steep_axis_deg, double *back_d);

/* Total corneal astigmatism from keratometry alone.
 * Equation: (376/337.5) C along the steep meridian and B along 180
 * Given: keratometry: matrix at index 1.3375 (D).
 * Returned: total: matrix without mean (D).
 * Status: as iol_back_cornea_cylinder.
 * Source: eom_2015; the step from one index to the other: derived
 * Tests: tests/unit/test_back_cornea.c */
iol_status iol_back_cornea_total(iol_matrix keratometry, iol_matrix *total);

IOL_PUBLIC_END

#endif
