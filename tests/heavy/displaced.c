/* COUNT SEED: displaced lenses of drawn eyes as iol_displaced_lens traces them, for tests/reference/displaced_reference.py. */
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include "iolrevise/displaced.h"

static uint64_t state;
static double between(double low, double high) {
    state = state * 6364136223846793005u + 1442695040888963407u;
    return low + (high - low) * (double)(state >> 11) / 9007199254740992.0;
}

int main(int argc, char **argv) {
    int wanted = argc > 1 ? (int)strtol(argv[1], NULL, 10) : 500;
    state = argc > 2 ? (uint64_t)strtoull(argv[2], NULL, 10) : 1;
    puts("cornea_d\tlength_mm\tposition_mm\tpupil_gap_mm\tpower_d\tshape_q\tindex\tcentre_thickness_mm\tfront_conic_q\t"
         "tilt_deg\ttilted_back_position_deg\tdecentration_mm\tdecentration_position_deg\tcentred_cornea_d\t"
         "rc_xx_d\trc_xy_d\trc_yy_d\tprism_x_pd\tprism_y_pd");
    for (int done = 0; done < wanted;) {
        const iol_model eye = {between(39.0, 48.0), between(20.5, 28.0), between(4.0, 5.8)};
        const double power_d = between(-5.0, 30.0), shape_q = between(-1.0, 1.0);
        const iol_optic optic = {power_d, shape_q, between(1.43, 1.56), between(0.3, 1.2), between(-4.0, 1.0)};
        const double tilt_deg = between(0.0, 15.0), off_mm = between(0.0, 2.0);
        const iol_displacement where = {tilt_deg, between(0.0, 360.0), off_mm, between(0.0, 360.0)};
        const double gap_mm = 0.9;
        iol_displaced_eye f;
        if (fabs(optic.power_d) < 1.0 || iol_displaced_lens(eye, gap_mm, optic, where, &f) != IOL_OK) continue;
        const double cell[] = {eye.cornea_d, eye.length_mm, eye.position_mm, gap_mm, optic.power_d, optic.shape_q, optic.index,
                               optic.centre_thickness_mm, optic.front_conic, where.tilt_deg, where.back_position_deg,
                               where.decentration_mm, where.decentration_position_deg, f.centred_d, f.at_cornea.xx,
                               f.at_cornea.xy, f.at_cornea.yy, f.prism_x_pd, f.prism_y_pd};
        const int cells = sizeof cell / sizeof *cell;
        for (int i = 0; i < cells; i++) printf("%.17g%c", cell[i], i + 1 < cells ? '\t' : '\n');
        done++;
    }
    return 0;
}
