/* Invented past cases as JSON Lines: generate_past_cases COUNT SEED [shelf] [tails] [times=N] [CAUSE=RATE ...]. shelf: the new
 * lenses leave their constants to the site file (bag-119, bag-118, three-piece). tails: every error by Student's t with three
 * degrees of freedom, scaled to the same standard deviation. times, CAUSE: gross causes of data/gross_rates.def, by their keys,
 * per 10 000 (times: all of them so many times the rate of the table, but that of contact ultrasound, which is a finding); they
 * take the place of the three of a shipped set. Eyes are drawn, measured with error, given a first lens and a
 * second one, and refracted with error. Generator and estimator share the eye model, so recovering what was put in proves
 * the statistics, not the optics. The remark of each case tells what was wrong; tests/tools/hits.c counts who finds it. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "estimate/inquiry.h"
#include "estimate/mixture.h"
#include "iolrevise.h"
#include "tables/constants.h"

/* ---- chance: splitmix64, Box and Muller ---- */
static uint64_t state;
static double uniform(void) {
    uint64_t z = state += 0x9e3779b97f4a7c15u;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return ((double)((z ^ (z >> 31)) >> 11) + 0.5) / 9007199254740992.0;
}
static double normal(double mean, double sd) {
    double size = sqrt(-2.0 * log(uniform())); /* one after the other: C leaves the order within a sum open */
    return mean + sd * size * cos(6.283185307179586 * uniform());
}
static bool tails;
/* An error of a measurement, a position, a label, a reading. */
static double error(double mean, double sd) {
    if (!tails) return normal(mean, sd);
    double unit = normal(0.0, 1.0), squares = 0.0;
    for (int i = 0; i < 3; i++) {
        double x = normal(0.0, 1.0);
        squares += x * x;
    }
    return mean + sd * unit / sqrt(squares); /* t, less its own standard deviation, the root of 3 */
}
static double within(double x, double low, double high) { return x < low ? low : x > high ? high : x; }
static double step(double x, double size) { return size * floor(x / size + 0.5); }

/* What a biometry sheet holds, true or measured; dioptres at index 1.3375. */
typedef struct {
    double length_mm, k_d, half_cylinder_d, axis_deg, chamber_mm;
} sheet;

typedef struct {
    sheet own;
    sheet recorded, fellow; /* as printed in the case; the lens was chosen from the first */
    bool fellow_known;
    iol_model model; /* true, by Holladay 1 */
    double constant, new_constant;
    double back_mm, offset_d; /* what the new lens does not share; what the reading has too much */
    bool by_contact;
    double old_label_d, old_true_d, new_label_d, new_true_d, target_d;
} eye_drawn;

enum { GROSS_NONE, GROSS_WRONG_POWER, GROSS_WRONG_EYE, GROSS_INDEX };
static const char *const gross_word[] = {"none", "wrong-power", "wrong-eye", "index"};

static iol_status model_of(double length_mm, double k_d, double constant, iol_model *model) {
    iol_formula_input in = {
        length_mm, 337.5 / k_d, NAN, {constant, iol_surgeon_factor_from_a(constant), NAN, NAN, NAN, NAN}, NAN};
    return iol_formula_predict(IOL_FORMULA_holladay_1, &in, model);
}

static double label_sd(double power_d) { return fabs(power_d) <= 15.0 ? 0.15 : fabs(power_d) <= 25.0 ? 0.20 : 0.25; }

static sheet draw_own(void) {
    sheet own;
    own.length_mm = within(normal(23.6, 1.1), 20.8, 28.5);
    own.k_d = within(normal(43.6, 1.4), 39.5, 48.0);
    own.half_cylinder_d = within(fabs(normal(0.0, 0.35)), 0.05, 0.6);
    own.axis_deg = 1.0 + floor(uniform() * 180.0);
    own.chamber_mm = within(normal(3.15, 0.3), 2.3, 4.0);
    return own;
}

/* The other eye: much like this one, its axis as in a mirror; in a share of people of another length (common practice, no
 * source). Eyes whose sheets were swapped come back mostly when they differ, so that share is larger among them. */
static sheet draw_other(const sheet *own, double share_apart) {
    sheet other = *own;
    bool apart = uniform() < share_apart, longer = uniform() < 0.5;
    double length = apart ? within(normal(1.0, 0.35), 0.5, 2.0) : 0.0;
    other.length_mm = within(own->length_mm + normal(longer ? length : -length, 0.2), 20.6, 28.7);
    other.k_d = within(normal(own->k_d, 0.4), 39.2, 48.3);
    other.half_cylinder_d = within(fabs(normal(own->half_cylinder_d, 0.15)), 0.05, 0.6);
    other.axis_deg = within(180.0 - own->axis_deg, 1.0, 180.0);
    other.chamber_mm = within(normal(own->chamber_mm, 0.08), 2.3, 4.0);
    return other;
}

static sheet measured(const sheet *eye) {
    sheet seen = *eye;
    seen.length_mm = error(eye->length_mm, 0.05);
    seen.k_d = error(eye->k_d, 0.20);
    return seen;
}

/* Another index at the keratometer: both eyes are read so, and the lens is chosen from it. */
static void other_index(sheet *seen) {
    seen->k_d *= 0.3315 / 0.3375;
    seen->half_cylinder_d *= 0.3315 / 0.3375;
}

static void draw_sheets(eye_drawn *e, int gross) {
    e->own = draw_own();
    sheet other = draw_other(&e->own, gross == GROSS_WRONG_EYE ? 0.5 : 0.1);
    sheet own_seen = measured(&e->own), other_seen = measured(&other);
    bool swapped = gross == GROSS_WRONG_EYE;
    e->recorded = swapped ? other_seen : own_seen;
    e->fellow = swapped ? own_seen : other_seen;
    e->fellow_known = uniform() < 0.5 || swapped;
    if (gross == GROSS_INDEX) other_index(&e->recorded), other_index(&e->fellow);
}

/* ---- the causes of the table ---- */

static bool by_table;                      /* rates were given */
static double rate[IOL_GROSS_CAUSE_COUNT]; /* per 10 000 */
static const char *key_of(int cause) { return iol_suspect_rows[iol_gross_rows[cause].suspect].code; }

static int draw_cause(void) {
    double u = 10000.0 * uniform();
    for (int i = 0; i < IOL_GROSS_CAUSE_COUNT; i++)
        if ((u -= rate[i]) < 0.0) return i;
    return -1;
}

static double swapped(double value, double low, double high) {
    double other = iol_digits_swapped(step(value, 0.01), uniform() < 0.5);
    return other >= low && other <= high ? other : value;
}

/* What stands on the sheet. */
static void spoil_sheet(eye_drawn *e, int cause) {
    sheet *s = &e->recorded;
    switch (cause) {
    case IOL_GROSS_CAUSE_fellow_eye:
        if (uniform() < 0.5) {
            sheet other = draw_own();
            *s = measured(&other);
        } else if (e->fellow_known) {
            sheet own = *s;
            *s = e->fellow;
            e->fellow = own;
        } else
            *s = e->fellow;
        break;
    case IOL_GROSS_CAUSE_index: other_index(s), other_index(&e->fellow); break;
    case IOL_GROSS_CAUSE_swapped_length: s->length_mm = swapped(s->length_mm, 20.0, 30.0); break;
    case IOL_GROSS_CAUSE_swapped_cornea: {
        double flat = swapped(s->k_d - s->half_cylinder_d, 37.0, 50.0), steep = s->k_d + s->half_cylinder_d;
        s->k_d = (flat + steep) / 2.0, s->half_cylinder_d = fabs(steep - flat) / 2.0;
        break;
    }
    case IOL_GROSS_CAUSE_contact:
        e->by_contact = true;
        s->length_mm -= normal(c_contact_pressed_mm, c_contact_sd_mm);
        break;
    case IOL_GROSS_CAUSE_oil_measured:
        s->length_mm = within(s->length_mm - normal(c_oil_length_mm, c_oil_length_sd_mm), 20.0, 30.0);
        break;
    }
}

/* The lens lies elsewhere for a reason that the next one does not share. */
static void move_back(eye_drawn *e, double by_mm) { e->model.position_mm += by_mm, e->back_mm = by_mm; }

static void operate_with_laser(eye_drawn *e, double sign) {
    e->model.cornea_d += normal(-sign * c_laser_k_d, c_laser_k_sd_d);
    e->model.position_mm += normal(sign * c_laser_position_mm, c_laser_position_sd_mm);
}

/* What is in the eye, and in its reading. */
static void spoil_eye(eye_drawn *e, int cause) {
    double other = e->constant < 119.0 ? 119.1 : 118.4;
    switch (cause) {
    case IOL_GROSS_CAUSE_another_lens: e->old_true_d = normal(e->old_true_d, c_other_lens_sd_d); break;
    case IOL_GROSS_CAUSE_swapped_power: {
        double meant = iol_digits_swapped(e->old_label_d, 1 + (uniform() < 0.5));
        bool made = fabs(meant) <= c_swap_power_most_d && fmod(fabs(meant), c_swap_power_grid_d) == 0.0;
        if (made) e->old_true_d += meant - e->old_label_d;
        break;
    }
    case IOL_GROSS_CAUSE_sulcus: e->model.position_mm += normal(c_shift_sulcus_mm, sd_shift_sulcus_mm); break;
    case IOL_GROSS_CAUSE_myopic_laser: operate_with_laser(e, 1.0); break;
    case IOL_GROSS_CAUSE_hyperopic_laser: operate_with_laser(e, -1.0); break;
    case IOL_GROSS_CAUSE_reversed: move_back(e, c_reversed_unknown_mm); break;
    case IOL_GROSS_CAUSE_other_constant:
        move_back(e, iol_nominal_position_from_a(other) - iol_nominal_position_from_a(e->constant));
        break;
    case IOL_GROSS_CAUSE_ultrasound: move_back(e, c_ultrasound_constant_less * c_nominal_position_slope); break;
    case IOL_GROSS_CAUSE_fluid: e->offset_d = normal(c_fluid_early_d, c_fluid_early_sd_d); break;
    case IOL_GROSS_CAUSE_oil_now: e->offset_d = normal(c_oil_reading_d, c_oil_reading_sd_d); break;
    }
}

/* The true eye, its first lens by the recorded values, as a surgeon would have chosen. */
static void draw_eye(eye_drawn *e, int gross, int cause) {
    iol_model seen;
    double power;
    e->back_mm = e->offset_d = 0.0, e->by_contact = false;
    draw_sheets(e, gross);
    spoil_sheet(e, cause);
    e->constant = uniform() < 0.5 ? 118.4 : 119.1;
    e->new_constant = uniform() < 0.7 ? 119.1 : 118.7;
    e->target_d = step(within(normal(-0.3, 0.3), -2.0, 0.25), 0.25);
    model_of(e->own.length_mm, e->own.k_d, e->constant, &e->model);
    e->model.position_mm += error(0.0, 0.30);
    model_of(e->recorded.length_mm, e->recorded.k_d, e->constant, &seen);
    iol_power_for(seen, e->target_d, 12.0, &power);
    e->old_label_d = step(within(power, 6.0, 34.0), 0.5);
    e->old_true_d = error(e->old_label_d, label_sd(e->old_label_d));
    if (gross == GROSS_WRONG_POWER) e->old_true_d += uniform() < 0.5 ? -3.0 : 3.0;
    spoil_eye(e, cause);
}

/* Sphere and cylinder in steps of 0.25 D of an eye with a scalar lens. */
static double read_eye(const eye_drawn *e, iol_model model, double power_d, double offset_d, double sd,
                       double form[3]) {
    double se = NAN;
    iol_refraction_of(model, power_d, 12.0, &se);
    se += offset_d;
    if (isnan(se)) return NAN;
    se = error(se, sd);
    double half = within(normal(e->own.half_cylinder_d, 0.1), 0.0, 1.5);
    form[1] = -step(2.0 * half, 0.25);
    form[0] = step(se - form[1] / 2.0, 0.25);
    form[2] = within(normal(e->own.axis_deg, 4.0), 1.0, 180.0);
    return form[0] + form[1] / 2.0;
}

static void print_refraction(const char *key, const char *day, const double form[3]) {
    printf("%s{\"measured_on\":\"%s\",\"sphere_d\":%.2f,\"cylinder_d\":%.2f,\"axis_deg\":%.0f,\"vertex_mm\":12,"
           "\"method\":\"manifest\"}",
           key, day, form[0], form[1], form[2]);
}

static void print_biometry(const sheet *seen, bool by_contact) {
    printf("\"biometry\":{\"axial_length_mm\":%.2f,\"method\":\"%s\",\"k_flat_d\":%.2f,"
           "\"k_steep_d\":%.2f,\"k_steep_axis_deg\":%.0f,\"chamber_depth_mm\":%.2f,"
           "\"measured_on\":\"2024-01-10\"}",
           seen->length_mm, by_contact ? "contact-ultrasound" : "optical", seen->k_d - seen->half_cylinder_d,
           seen->k_d + seen->half_cylinder_d, seen->axis_deg, seen->chamber_mm);
}

static const char *date(int32_t day, char text[11]) {
    iol_date_print(day, text);
    return text;
}

static void print_eye(const eye_drawn *e) {
    print_biometry(&e->recorded, e->by_contact);
    if (e->fellow_known) {
        printf(",\"fellow_eye\":{");
        print_biometry(&e->fellow, false);
        printf("}");
    }
    printf(",\"cornea\":{\"surface\":\"regular\",\"earlier_refractive_surgery\":\"none\"},");
}

static bool print_case(int number, bool from_shelf) {
    char constants[48] = "";
    static const double share[] = {0.0, 0.04, 0.08, 0.12}; /* below: wrong power, wrong eye, index */
    double chance = by_table ? 1.0 : uniform(), now[3], after[3], se;
    int cause = by_table ? draw_cause() : -1;
    int gross = chance < share[1]   ? GROSS_WRONG_POWER
                : chance < share[2] ? GROSS_WRONG_EYE
                : chance < share[3] ? GROSS_INDEX
                                    : GROSS_NONE;
    eye_drawn e;
    char day[4][11];
    int32_t done;
    iol_date_read("2024-02-01", &done);
    done += (int32_t)(uniform() * 300.0);
    int32_t read_on = done + 30 + (int32_t)(uniform() * 60.0), again = read_on + 5 + (int32_t)(uniform() * 40.0);
    draw_eye(&e, gross, cause);
    se = read_eye(&e, e.model, e.old_true_d, e.offset_d, 0.25, now);
    if (isnan(se)) return false;
    bool torn = uniform() < 0.15, opened = !torn && uniform() < 0.2, sulcus = torn && uniform() < 0.7;
    iol_model old_nominal, new_nominal, later = e.model;
    model_of(e.own.length_mm, e.own.k_d, e.constant, &old_nominal);
    model_of(e.own.length_mm, e.own.k_d, e.new_constant, &new_nominal);
    later.position_mm +=
        new_nominal.position_mm - old_nominal.position_mm + error(sulcus ? -0.5 : 0.0, sulcus ? 0.29 : 0.15);
    double thumb = se > e.target_d ? 1.45 : 1.25;
    e.new_label_d = step(
        within(e.old_label_d + thumb * (se - e.target_d) + 0.96 * (e.new_constant - e.constant) - (sulcus ? 0.8 : 0.0),
               5.5, 34.0),
        0.5);
    e.new_true_d = error(e.new_label_d, label_sd(e.new_label_d));
    if (isnan(read_eye(&e, later, e.new_true_d, 0.0, 0.25, after))) return false;
    bool early = uniform() < 0.05;
    if (!from_shelf) snprintf(constants, sizeof constants, ",\"constants\":{\"a_constant\":%.1f}", e.new_constant);
    const char *side = uniform() < 0.5 ? "right" : "left";
    double age = within(normal(70.0, 8.0), 40.0, 92.0);
    printf("{\"//\":\"invented; gross: %s\",\"case_format\":1,\"case_ref\":\"PAST-%06d\",",
           cause >= 0 ? key_of(cause) : gross_word[gross], number);
    printf("\"eye\":\"%s\",\"assessed_on\":\"%s\",\"age_years\":%.0f,\"reason\":\"power-error\",\"target_se_d\":%.2f,",
           side, date(again, day[0]), age, e.target_d);
    print_eye(&e);
    print_refraction("\"refractions\":[", date(read_on, day[1]), now);
    printf("],\"first_surgery\":{\"done_on\":\"%s\",\"intended_se_d\":%.2f,\"lens\":{\"power_d\":%.1f,"
           "\"identified_by\":\"%s\",\"position\":\"bag\",\"constants\":{\"a_constant\":%.1f}}},",
           date(done, day[2]), e.target_d, e.old_label_d, by_table ? "letter" : "sticker", e.constant);
    printf("\"capsule\":{\"posterior\":\"%s\"},%s",
           torn     ? "torn"
           : opened ? "opened-by-laser"
                    : "clear",
           by_table ? "" : "\"anterior_segment\":{\"fluid_behind_lens\":\"no\"},"); /* nobody looked */
    printf("\"outcome\":{\"operation\":\"exchange\",\"done_on\":\"%s\",\"lens\":{\"lens_id\":\"%s\",\"power_d\":%.1f,"
           "\"position\":\"%s\"%s},",
           date(again + 10, day[3]),
           sulcus                   ? "three-piece"
           : e.new_constant > 119.0 ? "bag-119"
                                    : "bag-118",
           e.new_label_d, sulcus ? "sulcus" : "bag", constants);
    print_refraction("\"refraction\":", date(again + 10 + (early ? 14 : 92), day[3]), after);
    printf("}}\n");
    return true;
}

static void set_rates(const char *word, bool *shelf) {
    const char *value = strchr(word, '=');
    if (strcmp(word, "tails") == 0)
        tails = true;
    else if (strcmp(word, "shelf") == 0)
        *shelf = true;
    else if (!value)
        exit(2);
    else {
        bool all = strncmp(word, "times=", 6) == 0, known = all;
        by_table = true;
        for (int i = 0; i < IOL_GROSS_CAUSE_COUNT; i++) {
            bool named = !all && strncmp(word, key_of(i), (size_t)(value - word)) == 0 && !key_of(i)[value - word];
            if (all && i != IOL_GROSS_CAUSE_contact) rate[i] = strtod(value + 1, NULL) * iol_gross_rows[i].rate;
            if (named) rate[i] = strtod(value + 1, NULL);
            known |= named;
        }
        if (!known) exit(2);
    }
}

int main(int argc, char **argv) {
    long count = argc > 1 ? strtol(argv[1], NULL, 10) : 200;
    bool shelf = false;
    state = argc > 2 ? strtoull(argv[2], NULL, 10) : 1;
    for (int i = 3; i < argc; i++) set_rates(argv[i], &shelf);
    for (int number = 1; number <= count;) number += print_case(number, shelf);
    return fflush(stdout) == 0 ? 0 : 1;
}
