/* Is the chance that is told the chance that comes true? Eyes drawn with a seed, planned by the library, lens put in, refraction
 * read. Truth and model share the optics: it proves the statistics, not the optics. Prints a table; ends in 1 when a floor is
 * missed.
 * Usage: mixture [EYES [PLANS]] : eyes with a miss of 1 D or more in each population. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "estimate/worth.h"

/* ---- numbers drawn ---- */
static uint64_t seed = 20260901;
static double uniform(void) { /* splitmix64 */
    uint64_t z = (seed += 0x9e3779b97f4a7c15u);
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return ((double)((z ^ (z >> 31)) >> 11) + 0.5) / 9007199254740992.0;
}
static double normal(double mean, double sd) {
    return mean + sd * sqrt(-2.0 * log(uniform())) * cos(6.283185307179586 * uniform());
}

/* ---- one eye ---- */
typedef struct {
    double length_mm, k_d, power_d, found_d; /* the record */
    iol_model truth;
    double true_power_d;
    int cause; /* kind of the mixture */
} drawn;

static const iol_formula formula = IOL_FORMULA_srk_t;
static iol_case c;
static iol_site site;
static iol_eye eye;
static iol_notes notes;

static iol_model formula_at(double length_mm, double k_d) {
    iol_formula_input in = {length_mm, 337.5 / k_d, NAN, eye.old.constants, NAN};
    iol_model model;
    iol_formula_predict(formula, &in, &model);
    return model;
}

static void prepare(const drawn *d) {
    c.biometry.axial_length_mm = d->length_mm;
    c.biometry.k_flat_d = c.biometry.k_steep_d = d->k_d;
    c.first_surgery.lens.power_d = d->power_d;
    iol_eye_make(&c, &site, IOL_UNKNOWN_DATE, IOL_EYE_POOLED, &notes, &eye);
    eye.now.usable = true;
    eye.now.readings = 1;
    eye.now.sd_d = 0.30;
    eye.now.spectacle_d = d->found_d;
    eye.vertex_mm = 12.0;
    eye.target_se_d = -0.25;
}

static int draw_cause(double scale) {
    static const struct {
        int kind;
        double rate;
    } row[] = {{IOL_MIX(another_lens), 12.0},
               {IOL_MIX(fellow_eye), 8.0},
               {IOL_MIX(sulcus), 10.0},
               {IOL_MIX(myopic_laser), 4.5}};
    double u = uniform() * 10000.0;
    for (size_t i = 0; i < sizeof row / sizeof *row; i++)
        if ((u -= scale * row[i].rate) < 0.0) return row[i].kind;
    u = uniform();
    return u < 0.03 ? IOL_MIX_wide : u < 0.04 ? IOL_MIX_off : IOL_MIX_measured;
}

/* The first operation, its cause, and the reading afterwards. spread: how much wider than told length, cornea, position and
 * label of the old lens are; readings and the change of position are as told. */
static void draw(drawn *d, double rates, double spread) {
    double aimed;
    do {
        d->length_mm = floor(100.0 * normal(23.6, 1.25) + 0.5) / 100.0;
        d->k_d = floor(100.0 * normal(43.8, 1.5) + 0.5) / 100.0;
    } while (d->length_mm < 22.0 || d->length_mm > 26.0);
    iol_model as_read = formula_at(d->length_mm, d->k_d);
    if (iol_power_for(as_read, -0.25, 12.0, &aimed) < 0) aimed = 20.0;
    d->power_d = floor(2.0 * aimed + 0.5) / 2.0;
    d->cause = draw_cause(rates);
    double length = d->length_mm, k = d->k_d;
    if (d->cause == IOL_MIX(fellow_eye) && uniform() < 0.5) {
        length = normal(23.6, 1.25), k = normal(43.8, 1.5);
    } else if (d->cause == IOL_MIX(fellow_eye))
        length = normal(length, 0.35), k = normal(k, 0.45);
    d->truth = formula_at(length, k);
    if (d->cause != IOL_MIX(fellow_eye)) {
        d->truth.length_mm += normal(0.0, 0.05 * spread);
        d->truth.cornea_d += normal(0.0, 0.20 * spread);
    }
    d->truth.position_mm += normal(0.0, (d->cause == IOL_MIX_wide ? 0.90 : 0.30) * spread);
    if (d->cause == IOL_MIX(sulcus)) d->truth.position_mm += normal(-0.50, 0.25);
    if (d->cause == IOL_MIX(myopic_laser)) {
        d->truth.cornea_d += normal(-1.0, 0.6);
        d->truth.position_mm += normal(0.4, 0.3);
    }
    d->true_power_d = normal(d->power_d, (fabs(d->power_d) <= 15.0   ? 0.15
                                          : fabs(d->power_d) <= 25.0 ? 0.20
                                                                     : 0.25) *
                                             spread);
    if (d->cause == IOL_MIX(another_lens)) d->true_power_d = normal(d->true_power_d, 4.0);
    iol_refraction_of(d->truth, d->true_power_d, 12.0, &d->found_d);
    d->found_d += normal(0.0, d->cause == IOL_MIX_off ? 0.90 : 0.30);
}

/* ---- told and come true ---- */
typedef struct {
    int eyes;
    double told, came, error;
} band;
static void count(band *b, double told, bool came, double error) {
    b->eyes++, b->told += told, b->came += came, b->error += error;
}
static int bad;
/* Where spreads are narrower than told, more of the large misses are gross than the rates say: told too high, known, and asserted
 * still to be so. Only a site's own spreads and rates mend it. */
static bool is_known(const char *population, const char *name) {
    return strcmp(population, "spreads of the eye 0.7 x") == 0 && strcmp(name, "1.5 to 2.5 D") == 0;
}
static void print(const char *population, const char *name, const band *b, double floor_d) {
    if (b->eyes == 0) return;
    double told = b->told / b->eyes, came = b->came / b->eyes;
    bool missed = fabs(told - came) > floor_d && b->eyes >= 500, known = is_known(population, name) && b->eyes >= 500;
    printf("%s\t%s\t%d\t%.3f\t%.3f\t%.3f\t%s\n", population, name, b->eyes, told, came, b->error / b->eyes,
           known && missed ? "missed, known"
           : missed        ? "MISSED"
                           : "held");
    bad |= missed != known;
}

static void population(const char *name, double rates, double spread, int eyes) {
    static const char *const sizes[] = {"eye part under 1 D", "1 to 1.5 D", "1.5 to 2.5 D", "over 2.5 D"};
    static const char *const parts[] = {"told under .2", ".2 to .4", ".4 to .6", ".6 to .8", "over .8"};
    band all = {0}, size[4] = {{0}}, part[5] = {{0}};
    int ordinary = 0, accused = 0;
    static iol_mixture m;
    static iol_prospect p;
    while (all.eyes < eyes) {
        drawn d;
        draw(&d, rates, spread);
        if (!(fabs(d.found_d + 0.25) >= 1.0) || !(fabs(d.found_d) < 12.0)) continue;
        prepare(&d);
        iol_mixture_make(&eye, formula, &m);
        iol_prospect_exchange(&eye, &m, 0.0, 0.15, &p);
        iol_outlook at;
        double after, step = iol_prospect_choose(&p, &(iol_steps){-10.0, 60.0, 0.5}, -0.25, &at);
        iol_model to = d.truth;
        to.position_mm += normal(0.0, 0.15);
        double label = fabs(step) <= 15.0 ? 0.15 : fabs(step) <= 25.0 ? 0.20 : fabs(step) <= 30.0 ? 0.25 : 0.5;
        if (iol_refraction_of(to, normal(step, label), 12.0, &after) < 0) continue;
        after += normal(0.0, 0.30);
        double error = fabs(after + 0.25), predicted;
        iol_refraction_of(formula_at(d.length_mm, d.k_d), d.power_d, 12.0, &predicted);
        double eye_part = fabs(d.found_d - predicted);
        bool came = error <= 0.50;
        count(&all, at.within_half, came, error);
        count(&size[eye_part < 1.0 ? 0 : eye_part < 1.5 ? 1 : eye_part < 2.5 ? 2 : 3], at.within_half, came, error);
        count(&part[at.within_half >= 1.0 ? 4 : (int)(5.0 * at.within_half)], at.within_half, came, error);
        if (d.cause >= IOL_MIX_ORDINARY) continue;
        ordinary++;
        for (int i = IOL_MIX_GROSS; i < IOL_MIX_KINDS; i++) accused += iol_mixture_probability(&m, i) > 0.5;
    }
    print(name, "all", &all, spread == 1.0 ? 0.03 : 0.06);
    for (int i = 0; i < 4; i++) print(name, sizes[i], &size[i], 0.06);
    for (int i = 0; i < 5; i++) print(name, parts[i], &part[i], 0.06);
    double share = (double)accused / ordinary;
    printf("%s\tordinary eyes with a cause over one half\t%d\t\t%.4f\t\t%s\n", name, ordinary, share,
           share > 0.005 ? "MISSED" : "held");
    bad |= share > 0.005 && spread == 1.0;
}

/* What a second refraction buys: told, and the mean over so many drawn readings. */
static void worth(double found_d, int repeats) {
    static iol_mixture m, after;
    drawn d = {.length_mm = 23.2, .k_d = 43.5, .power_d = 22.5, .found_d = found_d};
    prepare(&d);
    iol_mixture_make(&eye, formula, &m);
    iol_question q = {&eye, &m, 0.0, 0.15, -0.25, {-10.0, 60.0, 0.5}};
    double sd, now = iol_worth_now(&q), sum = 0.0;
    double told = fmax(0.0, iol_worth_of_measurement(&q, IOL_MEASURE_refraction, &sd) - now);
    for (int i = 0; i < repeats; i++) {
        double u = uniform(), mean, spread;
        int k = 0;
        while (k < m.count - 1 && (u -= m.item[k].weight) > 0.0) k++;
        iol_worth_foretell(&q, IOL_MEASURE_refraction, &m.item[k], &mean, &spread);
        iol_worth_see(&q, IOL_MEASURE_refraction, normal(mean, spread), &after);
        iol_question then = q;
        then.causes = &after;
        sum += iol_worth_now(&then);
    }
    double came = sum / repeats - now;
    bool missed = fabs(told - fmax(0.0, came)) > 0.015;
    printf("worth of a second refraction\tfound %+.2f D\t%d\t%.3f\t%.3f\t\t%s\n", found_d, repeats, told, came,
           missed ? "MISSED" : "held");
    bad |= missed;
}

int main(int argc, char **argv) {
    int eyes = argc > 1 ? atoi(argv[1]) : 6000, repeats = argc > 2 ? atoi(argv[2]) : 20000;
    iol_case_reset(&c);
    iol_site_reset(&site);
    notes.off = true;
    c.biometry.present = true;
    c.biometry.method = IOL_biometry_method_optical;
    c.biometry.eye_state = IOL_eye_state_phakic;
    c.cornea.surface = IOL_surface_regular;
    c.first_surgery.lens.constants.a_constant = 118.9;
    c.first_surgery.lens.position = IOL_position_bag;
    c.first_surgery.lens.identified_by = IOL_identified_by_letter;
    site.gross_rates.others = 0.0;
    site.gross_rates.another_lens = 12.0, site.gross_rates.fellow_eye = 8.0, site.gross_rates.sulcus = 10.0;
    site.gross_rates.myopic_laser = 4.5;
    prepare(&(drawn){.length_mm = 23.5, .k_d = 43.5, .power_d = 21.0, .found_d = 0.0});
    printf("population\tband\teyes\ttold\tcame_true\tmean_error_d\tfloor\n");
    population("exact", 1.0, 1.0, eyes);
    population("spreads of the eye 0.7 x", 1.0, 0.7, eyes);
    population("spreads of the eye 1.5 x", 1.0, 1.5, eyes);
    worth(1.5, repeats), worth(2.25, repeats), worth(3.0, repeats);
    return bad;
}
