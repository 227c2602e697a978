/* How far a lens that lies back to front has moved. */
#include "inquiry.h"
#include "tables/constants.h"

static double or_shelf(double given, const double *on_shelf) { return isnan(given) && on_shelf ? *on_shelf : given; }

/* How far the optic's edge lies behind its loops, right way up: their run by the sine of their angle; NaN not known. */
static double vault_of(const iol_eye *eye) {
    const iol_lens *lens = &eye->c->first_surgery.lens;
    const iol_shelf_lens *shelf = iol_eye_on_shelf(eye->site, lens->lens_id);
    double angle_deg = or_shelf(lens->front_angulation_deg, shelf ? &shelf->front_angulation_deg : NULL);
    double length_mm = or_shelf(lens->length_mm, shelf ? &shelf->length_mm : NULL), sine, cosine;
    double optic_mm = or_shelf(lens->optic_diameter_mm, shelf ? &shelf->optic_diameter_mm : NULL);
    if (isnan(angle_deg)) return NAN;
    iol_sincos_deg(angle_deg, &sine, &cosine);
    return sine == 0.0 ? 0.0 : 0.5 * (length_mm - optic_mm) * sine;
}

/* By shape and vault where both are known, else the middle of what lenses of its build do. */
double iol_suspect_reversed_mm(const iol_eye *eye) {
    iol_notes unheard;
    iol_optic optic;
    double diameter_mm, shift_mm, vault_mm = vault_of(eye);
    bool shape_known;
    int design, material;
    unheard.off = true;
    iol_status status = iol_eye_optic(eye, &unheard, &optic, &diameter_mm, &shape_known);
    iol_eye_build(eye, &eye->c->first_surgery.lens, &design, &material);
    bool three_piece = design == IOL_design_three_piece;
    if (isnan(vault_mm) && shape_known) vault_mm = three_piece ? c_vault_three_piece_mm : 0.0;
    if (status >= 0 && shape_known && iol_reversed_shift(optic, diameter_mm, vault_mm, &shift_mm) >= 0) return shift_mm;
    return three_piece                      ? c_reversed_three_piece_mm
           : design == IOL_design_one_piece ? c_reversed_one_piece_mm
                                            : c_reversed_unknown_mm;
}
