#include "altered_cornea.h"

#include "iolrevise/optics.h"
#include "tables/constants.h"

/* Purpose   Corneal power after laser: by history, by keratometry, the two together, or by a measured total power.
 * Equation  K_history = K_before + Rc(correction); weight by inverse variance, 0.64 and 0.36 with the spreads of
 *           data/spreads.def. After hyperopic laser without history K = 1.0457 K_measured - 1.9538.
 * Given     K (D, at 1.3375), correction (D) at its vertex distance (mm).
 * Returned  Every witness, and the one that is taken with its standard deviation (D).
 * Status    NaN where a figure is missing.
 * Valid     Laser, not radial cuts: their cornea changes through the day.
 * Source    The principle is common practice; spreads and the limit of 1.5 D are judgement; regression: hyperopic_k_regression.
 * Tests     tests/unit/test_new_eyes.c (derived rows) */

static double weight(double sd) { return 1.0 / (sd * sd); }

static void take(iol_laser_cornea *out, double k_d, double sd_d) { out->k_d = k_d, out->sd_d = sd_d; }

void iol_cornea_after_laser(const iol_laser_history *from, iol_laser_cornea *out) {
    double change_d;
    *out = (iol_laser_cornea){.measured_d = from->measured_d, .history_d = NAN, .regression_d = NAN, .apart_d = NAN};
    if (iol_vertex_to_cornea(from->correction_d, from->correction_vertex_mm, &change_d) >= 0)
        out->history_d = from->k_before_d + change_d;
    if (from->hyperopic) out->regression_d = c_laser_regression_slope * from->measured_d - c_laser_regression_base_d;
    out->apart_d = out->history_d - from->measured_d;
    take(out, from->measured_d, sd_cornea_laser_d);
    if (!isnan(from->total_d))
        take(out, from->total_d, sd_cornea_total_d);
    else if (!isnan(out->history_d) && isnan(from->measured_d))
        take(out, out->history_d, sd_cornea_history_d);
    else if (iol_at_most(fabs(out->apart_d), c_laser_apart_d) == IOL_YES) {
        double history = weight(sd_cornea_history_d), measured = weight(sd_cornea_laser_d), sum = history + measured;
        out->pooled = true;
        take(out, (history * out->history_d + measured * from->measured_d) / sum, 1.0 / sqrt(sum));
    } else if (isnan(out->history_d) && !isnan(out->regression_d))
        take(out, out->regression_d, sd_cornea_laser_d);
}
