/* Corneal cells before and after (method, section 11). */
#include "tables/constants.h"
#include "work.h"
#include "tables/note_codes.h"

/* Steps of advice: 0 enough, 1 care, 2 the cornea may fail, 3 it is likely to. */
static int step_by_count(double low) { return low < c_cells_clear_per_mm2 ? 2 : low < c_cells_care_per_mm2 ? 1 : 0; }

void iol_part_endothelium(iol_work *w) {
    static const iol_note_code advice[] = {IOL_NOTE_cells_enough, IOL_NOTE_cells_care, IOL_NOTE_cells_may_fail,
                                           IOL_NOTE_cells_fail};
    iol_endothelium *out = &w->plan->endothelium;
    const iol_cornea *cornea = &w->c->cornea;
    double now = cornea->endothelial_cells_per_mm2;
    bool few = iol_below(now, c_cells_low_count_per_mm2) == IOL_YES;
    double loss = few ? c_cells_loss_low_count : c_cells_loss;
    out->present = true;
    out->cells_now_per_mm2 = now;
    out->cells_expected_per_mm2 = now * (1.0 - loss);
    out->cells_low_per_mm2 = now * (1.0 - loss - c_cells_low_quantile * c_cells_loss_sd);
    out->cells_5y_per_mm2 = out->cells_expected_per_mm2 * pow(1.0 - c_cells_loss_yearly, 5);
    out->cells_10y_per_mm2 = out->cells_expected_per_mm2 * pow(1.0 - c_cells_loss_yearly, 10);
    int step = step_by_count(out->cells_low_per_mm2);
    iol_flag thick = iol_above(cornea->thickness_um, c_cornea_thick_um);
    iol_flag raised = iol_or(iol_or(cornea->guttata, thick), cornea->oedema);
    if (raised == IOL_YES && step < 3) step++;
    iol_because(w, IOL_AT_endothelium_advice, advice[step], out->cells_low_per_mm2, c_cells_clear_per_mm2);
    iol_because(w, IOL_AT_endothelium_reasons, few ? IOL_NOTE_cells_by_series : IOL_NOTE_cells_by_trial, 100.0 * loss,
                100.0 * c_cells_loss_sd);
    if (iol_below(now, c_cells_explant_per_mm2) == IOL_YES)
        iol_because(w, IOL_AT_endothelium_reasons, IOL_NOTE_cells_explant, now, c_cells_explant_per_mm2);
    if (raised == IOL_YES) iol_because(w, IOL_AT_endothelium_reasons, IOL_NOTE_cells_raised, NAN, NAN);
    if (raised == IOL_UNKNOWN) iol_because(w, IOL_AT_endothelium_reasons, IOL_NOTE_cells_raise_unknown, NAN, NAN);
}
