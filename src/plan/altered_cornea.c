/* A cornea altered by laser: every witness of its power, and every formula with the lens placed by the cornea before it
 * (docs/method.md, other eyes). */
#include "replacement.h"
#include "secondary.h"
#include "tables/constants.h"
#include "tables/note_codes.h"

/* Power by biometry alone; the cornea before the laser: NaN for the plain formula. */
static double power(const iol_work *w, const iol_lens_in_eye *fresh, iol_formula formula, double k_before_d) {
    iol_eye eye = w->eye;
    iol_model model;
    double found = NAN;
    eye.radius_before_mm = 1000.0 * (c_keratometric_index - 1.0) / k_before_d;
    if (iol_eye_predict(&eye, formula, fresh, &model) >= 0)
        iol_power_for(model, eye.target_se_d, eye.vertex_mm, &found);
    return found;
}

static void add_formulas(const iol_work *w, const iol_lens_in_eye *fresh, iol_altered_cornea *out) {
    for (int i = 0; i < IOL_FORMULA_COUNT; i++) {
        iol_formula f = (iol_formula)i;
        double plain = power(w, fresh, f, NAN);
        if (isnan(plain)) continue;
        out->formulas[out->formulas_count++] =
            (iol_altered_formula){.present = true,
                                  .formula = i + 1,
                                  .power_plain_d = plain,
                                  .power_double_d = power(w, fresh, f, w->eye.k_before_d),
                                  .power_low_d = power(w, fresh, f, c_laser_k_before_low_d),
                                  .power_high_d = power(w, fresh, f, c_laser_k_before_high_d)};
    }
}

static void explain(iol_work *w) {
    const iol_laser_cornea *k = &w->eye.laser;
    if (!isnan(w->c->cornea.k_total_d))
        iol_because(w, IOL_AT_altered_cornea_reasons, IOL_NOTE_altered_total, k->k_d, w->eye.sd_k_d);
    else if (k->pooled)
        iol_because(w, IOL_AT_altered_cornea_reasons, IOL_NOTE_altered_pooled, k->history_d, k->k_d);
    else if (!isnan(k->apart_d))
        iol_because(w, IOL_AT_altered_cornea_reasons, IOL_NOTE_altered_apart, k->apart_d, c_laser_apart_d);
    else if (!isnan(k->regression_d))
        iol_because(w, IOL_AT_altered_cornea_reasons, IOL_NOTE_altered_regression, k->regression_d, NAN);
    else
        iol_because(w, IOL_AT_altered_cornea_reasons, IOL_NOTE_altered_measured, k->k_d, NAN);
    if (!w->eye.k_before_known)
        iol_because(w, IOL_AT_altered_cornea_reasons, IOL_NOTE_altered_bracket, c_laser_k_before_low_d,
                    c_laser_k_before_high_d);
    if (w->eye.now.usable) iol_because(w, IOL_AT_altered_cornea_reasons, IOL_NOTE_altered_refraction_leads, NAN, NAN);
}

void iol_part_altered_cornea(iol_work *w) {
    iol_altered_cornea *out = &w->plan->altered_cornea;
    const iol_replacement *r = &w->plan->replacement;
    int surgery = w->c->cornea.earlier_refractive_surgery;
    if (surgery != IOL_corneal_surgery_myopic_laser && surgery != IOL_corneal_surgery_hyperopic_laser) {
        iol_leave_out(w->plan, "altered_cornea", IOL_left_why_not_applicable, IOL_NOTE_left_no_laser, NULL, NULL);
        return;
    }
    out->present = true;
    out->k_measured_d = w->eye.laser.measured_d;
    out->k_history_d = w->eye.laser.history_d;
    out->k_regression_d = w->eye.laser.regression_d;
    out->k_total_d = w->c->cornea.k_total_d;
    out->k_today_d = w->eye.k_d;
    out->k_today_sd_d = w->eye.sd_k_d;
    out->k_before_d = w->eye.k_before_d;
    out->k_before_known = iol_from_bool(w->eye.k_before_known);
    explain(w);
    const iol_shelf_lens *shelf = iol_eye_on_shelf(w->site, r->lens_id);
    if (!shelf || r->standing == IOL_standing_withheld) return;
    iol_lens_in_eye fresh;
    iol_eye_shelf_lens(&w->eye, shelf, w->facts.place, &fresh);
    add_formulas(w, &fresh, out);
}
