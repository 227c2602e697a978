#include "displaced.h"

/* Purpose   Where a lens comes to lie when it is turned back to front, or replaced by one of another design.
 * Equation  The loops stay; the middle of the edge lies v behind them and M behind the front vertex; h1, h2 the principal points.
 *           Thin lens from the loops: v + h1 - M. Turned: vault, edge and points change sides, so dE = -2 v + 2 M - h1 - h2.
 * Given     mm, D.
 * Returned  mm, plus = toward the retina.
 * Status    As iol_optic_edge_middle.
 * Source    Derived; how a bag holds a turned vault is judgement.
 * Tests     tests/unit/test_design_shift.c */

iol_status iol_reversed_shift(iol_optic optic, double optic_diameter_mm, double vault_mm, double *shift_mm) {
    iol_optic_faces f;
    double middle_mm;
    *shift_mm = NAN;
    if (!isfinite(vault_mm)) return IOL_BAD_INPUT;
    iol_status status = iol_optic_edge_middle(optic, optic_diameter_mm, &f, &middle_mm);
    if (status < 0) return status;
    *shift_mm = -2.0 * vault_mm + 2.0 * middle_mm - f.first_mm - f.second_mm;
    return IOL_OK;
}

iol_status iol_design_shift(iol_optic before, double vault_before_mm, iol_optic after, double vault_after_mm,
                            double optic_diameter_mm, double *shift_mm, double *length_change_mm) {
    iol_optic_faces was, is;
    double was_middle_mm, is_middle_mm;
    *shift_mm = *length_change_mm = NAN;
    if (!isfinite(vault_before_mm) || !isfinite(vault_after_mm)) return IOL_BAD_INPUT;
    iol_status status = iol_optic_edge_middle(before, optic_diameter_mm, &was, &was_middle_mm);
    if (status >= 0) status = iol_optic_edge_middle(after, optic_diameter_mm, &is, &is_middle_mm);
    if (status < 0) return status;
    *shift_mm = vault_after_mm + is.first_mm - is_middle_mm - (vault_before_mm + was.first_mm - was_middle_mm);
    *length_change_mm = was.second_mm - was.first_mm - (is.second_mm - is.first_mm);
    return IOL_OK;
}
