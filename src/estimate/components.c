/* The components of the mixture before any refraction: what each cause says of L, K, E and P0 (method, section 4). */
#include <string.h>

#include "inquiry.h"
#include "mixture.h"
#include "tables/constants.h"

const iol_gross_row iol_gross_rows[IOL_GROSS_CAUSE_COUNT] = {
#define GROSS(suspect, key, rate, quantities, look, reference, status, text)                                           \
    {IOL_SUSPECT_##suspect, rate, quantities, IOL_LOOK_##look},
#include "gross_rates.def"
#undef GROSS
};

static double square(double x) { return x * x; }

/* One measured quantity under a cause: value, spread, and ln of how well it foretells the other measurements. */
typedef struct {
    double value, sd, log_likelihood;
} figure;

typedef struct {
    const iol_eye *eye;
    iol_formula formula;
    iol_mixture *out;
    double rate; /* prior weight of the cause that is being added */
    int kind;
    figure length, cornea; /* as measured */
    iol_model model;       /* and what the formula makes of them */
    iol_grown grown;       /* since then, in a child */
    iol_status status;
} builder;

/* First and repeat of one eye, pooled by inverse variance whatever lies between them: the weight says how far apart. */
static figure of_this_eye(double first, double sd_first, double repeat, double sd_repeat) {
    if (isnan(first)) return (figure){repeat, sd_repeat, 0.0};
    if (isnan(repeat)) return (figure){first, sd_first, 0.0};
    double a = 1.0 / square(sd_first), b = 1.0 / square(sd_repeat);
    return (figure){(first * a + repeat * b) / (a + b), 1.0 / sqrt(a + b),
                    iol_log_normal(first - repeat, square(sd_first) + square(sd_repeat))};
}

/* The first is of the fellow eye: the repeat alone, else the fellow's own figures, else the first as one of two like eyes. */
static figure of_fellow(double first, double fellow, double sd_fellow, double repeat, double sd_repeat,
                        double between) {
    double like = square(between) + square(sd_repeat), same = square(sd_fellow) + square(sd_repeat);
    if (isnan(repeat)) return isnan(fellow) ? (figure){first, between, 0.0} : (figure){fellow, sd_fellow, 0.0};
    figure f = {repeat, sd_repeat, isnan(first) ? 0.0 : iol_log_normal(first - repeat, like)};
    if (!isnan(fellow))
        f.log_likelihood += iol_log_normal(fellow - repeat, same) - iol_log_normal(fellow - repeat, like);
    return f;
}

/* The first is of another person. */
static figure of_another(double first, double repeat, double sd_repeat, double mean, double sd) {
    if (isnan(repeat)) return (figure){mean, sd, 0.0};
    return (figure){repeat, sd_repeat, isnan(first) ? 0.0 : iol_log_normal(first - mean, square(sd))};
}

static figure length_with(const iol_eye *eye, double first_mm) {
    return of_this_eye(first_mm, eye->first.sd_length_mm, eye->repeat.length_mm, eye->repeat.sd_length_mm);
}
static figure cornea_with(const iol_eye *eye, double first_d, double repeat_d) {
    return of_this_eye(first_d, eye->first.sd_k_d, repeat_d, eye->repeat.sd_k_d);
}

/* ---- one component ---- */

static iol_status predict(const builder *b, double length_mm, double k_d, const iol_lens_in_eye *lens,
                          iol_model *model) {
    iol_formula_input in = {length_mm, 1000.0 * (c_keratometric_index - 1.0) / k_d, b->eye->chamber_depth_mm,
                            lens->constants, b->eye->radius_before_mm};
    iol_status status = iol_formula_predict(b->formula, &in, model);
    if (isnan(lens->shift_mm)) return IOL_BAD_INPUT;
    model->position_mm += lens->shift_mm;
    return status;
}

/* dE/dL and dE/dK of the formula, by central difference. */
static double slope_of_position(const builder *b, figure length, figure cornea, double by_mm, double by_d) {
    iol_model up, down;
    if (predict(b, length.value + by_mm, cornea.value + by_d, &b->eye->old, &up) < 0) return 0.0;
    if (predict(b, length.value - by_mm, cornea.value - by_d, &b->eye->old, &down) < 0) return 0.0;
    return (up.position_mm - down.position_mm) / (2.0 * (by_mm + by_d));
}

/* E follows L and K where their spread is one between eyes. */
static void let_follow(const builder *b, figure length, figure cornea, iol_component *c) {
    double by_length = slope_of_position(b, length, cornea, c_slope_step, 0.0),
           by_cornea = slope_of_position(b, length, cornea, 0.0, c_slope_step);
    double(*v)[IOL_STATES] = c->covariance;
    v[IOL_L][IOL_E] = v[IOL_E][IOL_L] = by_length * v[IOL_L][IOL_L];
    v[IOL_K][IOL_E] = v[IOL_E][IOL_K] = by_cornea * v[IOL_K][IOL_K];
    v[IOL_E][IOL_E] += square(by_length) * v[IOL_L][IOL_L] + square(by_cornea) * v[IOL_K][IOL_K];
}

/* A quantity lies elsewhere and less surely. */
static void shift(iol_component *c, int state, double by, double sd) {
    if (!c) return;
    c->mean[state] += by;
    c->covariance[state][state] += square(sd);
}

/* The next component, with what the formula has for these figures; NULL when its weight is 0. */
static iol_component *put(builder *b, double share, figure length, figure cornea, iol_model model) {
    const iol_eye *eye = b->eye;
    if (!(b->rate * share > 0.0) || b->out->count == IOL_MIX_MOST) return NULL;
    iol_component *c = &b->out->item[b->out->count++];
    *c = (iol_component){.kind = b->kind,
                         .log_prior = log(b->rate * share),
                         .log_likelihood = length.log_likelihood + cornea.log_likelihood,
                         .sd_reading_d = eye->now.sd_d,
                         .left_d = NAN,
                         .variance_d = NAN,
                         .mean = {[IOL_L] = model.length_mm,
                                  [IOL_K] = model.cornea_d,
                                  [IOL_E] = model.position_mm,
                                  [IOL_P] = eye->old.power_d}};
    const double sd[IOL_STATES] = {
        [IOL_L] = length.sd, [IOL_K] = cornea.sd, [IOL_E] = eye->sd_position_mm, [IOL_P] = eye->sd_label_d};
    for (int i = 0; i < IOL_STATES; i++) c->covariance[i][i] = isnan(sd[i]) ? 0.0 : square(sd[i]);
    shift(c, IOL_L, b->grown.mean_mm, b->grown.sd_mm);
    return c;
}

/* As the formula has it for these figures; NULL when it cannot be. */
static iol_component *add(builder *b, double share, figure length, figure cornea) {
    iol_model model;
    if (predict(b, length.value, cornea.value, &b->eye->old, &model) < 0) return NULL;
    return put(b, share, length, cornea, model);
}

static iol_component *add_as_measured(builder *b, double share) {
    return b->status < 0 ? NULL : put(b, share, b->length, b->cornea, b->model);
}

/* ---- ordinary eyes ---- */

static double taken(double own, double built_in) { return isnan(own) ? built_in : own; }

void iol_ordinary_rule_make(const iol_eye *eye, iol_ordinary_rule *out) {
    const iol_ordinary *own = &eye->site->ordinary;
    bool complicated = eye->c->first_surgery.complicated == IOL_YES, agree = eye->now.readings > 1;
    out->wide_weight = taken(own->wide_weight, complicated ? c_wide_weight_complicated : c_wide_weight);
    out->wide_factor = taken(own->wide_factor, c_wide_factor);
    out->off_weight = taken(own->off_weight, agree ? c_off_weight_agreeing : c_off_weight);
    out->off_factor = taken(own->off_factor, c_off_factor);
}

static void add_ordinary(builder *b, double rest) {
    iol_ordinary_rule rule;
    iol_ordinary_rule_make(b->eye, &rule);
    b->rate = rest;
    b->kind = IOL_MIX_measured;
    add_as_measured(b, fmax(0.0, 1.0 - rule.wide_weight - rule.off_weight));
    b->kind = IOL_MIX_wide;
    iol_component *c = add_as_measured(b, rule.wide_weight);
    if (c) c->covariance[IOL_E][IOL_E] *= square(rule.wide_factor);
    b->kind = IOL_MIX_off;
    c = add_as_measured(b, rule.off_weight);
    if (c) c->sd_reading_d *= rule.off_factor;
}

/* ---- gross causes ---- */

/* Another lens than recorded: of any power about the label, or the one of the fellow eye. */
static void add_another_lens(builder *b) {
    const iol_eye *eye = b->eye;
    double fellow_d = eye->c->fellow_eye.lens_power_d;
    bool another = !isnan(fellow_d) && fellow_d != eye->old.power_d;
    shift(add_as_measured(b, another ? 1.0 - c_fellow_lens_share : 1.0), IOL_P, 0.0, c_other_lens_sd_d);
    iol_component *c = another ? add_as_measured(b, c_fellow_lens_share) : NULL;
    if (!c) return;
    c->mean[IOL_P] = fellow_d;
    c->covariance[IOL_P][IOL_P] = square(iol_eye_label_sd(eye, fellow_d));
}

static void add_other_eye(builder *b) {
    const iol_figures *first = &b->eye->first, *again = &b->eye->repeat, *fellow = &b->eye->fellow;
    figure length = of_fellow(first->length_mm, fellow->length_mm, fellow->sd_length_mm, again->length_mm,
                              again->sd_length_mm, c_between_eyes_length_mm);
    figure cornea = of_fellow(first->k_d, fellow->k_d, fellow->sd_k_d, again->k_d, again->sd_k_d, c_between_eyes_k_d);
    iol_component *c = add(b, 0.5, length, cornea);
    if (c) let_follow(b, length, cornea, c);
    length =
        of_another(first->length_mm, again->length_mm, again->sd_length_mm, c_person_length_mm, c_person_length_sd_mm);
    cornea = of_another(first->k_d, again->k_d, again->sd_k_d, c_person_k_d, c_person_k_sd_d);
    c = add(b, 0.5, length, cornea);
    if (!c) return;
    let_follow(b, length, cornea, c);
    c->person = true;
}

/* Another index on both keratometries: their difference says nothing of it. */
static void add_index(builder *b) {
    const double index[] = {c_suspect_index_low, c_suspect_index_mid, c_suspect_index_third};
    enum { CANDIDATES = sizeof index / sizeof *index };
    for (int i = 0; i < CANDIDATES; i++) {
        double by = (c_keratometric_index - 1.0) / (index[i] - 1.0);
        figure cornea = cornea_with(b->eye, by * b->eye->first.k_d, by * b->eye->repeat.k_d);
        cornea.log_likelihood = b->cornea.log_likelihood;
        add(b, 1.0 / CANDIDATES, b->length, cornea);
    }
}

static bool inside(double value, double low, double high) { return value >= low && value <= high; }

/* The pairs behind the first digit of a figure with two decimals. */
enum { PAIRS = 2 };

static void add_swapped_length(builder *b) {
    for (int place = 0; place < PAIRS; place++) {
        double mm = iol_digits_swapped(b->eye->first.length_mm, place);
        if (inside(mm, c_swap_length_low_mm, c_swap_length_high_mm))
            add(b, 1.0 / PAIRS, length_with(b->eye, mm), b->cornea);
    }
}

/* In dioptres at 1.3375, however it was typed: radius and dioptres are one cornea. */
static double as_dioptres(const iol_biometry *b, double k_d, double radius_mm) {
    double index = isnan(b->keratometric_index) ? c_keratometric_index : b->keratometric_index;
    return isnan(k_d) ? 1000.0 * (c_keratometric_index - 1.0) / radius_mm
                      : k_d * (c_keratometric_index - 1.0) / (index - 1.0);
}

/* Each keratometry as it was typed; the mean of both is what the formula reads. */
static void add_swapped_cornea(builder *b) {
    const iol_biometry *typed = &b->eye->c->biometry;
    const double figures[] = {as_dioptres(typed, typed->k_flat_d, typed->k_flat_radius_mm),
                              as_dioptres(typed, typed->k_steep_d, typed->k_steep_radius_mm)};
    double together = figures[0] == figures[1] || isnan(figures[0]) || isnan(figures[1]) ? 1.0 : 2.0;
    for (int i = 0; i < (int)together; i++)
        for (int place = 0; place < PAIRS; place++) {
            double typed_d = isnan(figures[i]) ? figures[1] : figures[i];
            double other_d = iol_digits_swapped(typed_d, place);
            if (!inside(other_d, c_swap_k_low_d, c_swap_k_high_d)) continue;
            double mean_d = b->eye->first.k_d + (other_d - typed_d) / together;
            add(b, 1.0 / PAIRS / together, b->length, cornea_with(b->eye, mean_d, b->eye->repeat.k_d));
        }
}

/* The pairs of a power with one decimal, the first digit too: of the label as it was typed. */
static void add_swapped_power(builder *b) {
    const iol_lens *typed = &b->eye->c->first_surgery.lens;
    for (int place = 1; place <= PAIRS; place++) {
        double power = iol_digits_swapped(typed->power_d, place);
        bool two_digits = fabs(typed->power_d) >= c_two_digits || place == 1;
        bool made = two_digits && fabs(power) <= c_swap_power_most_d && fmod(fabs(power), c_swap_power_grid_d) == 0.0;
        iol_component *c = made ? add_as_measured(b, 1.0 / PAIRS) : NULL;
        if (c) c->mean[IOL_P] += power - typed->power_d;
    }
}

static void add_laser(builder *b, double sign) {
    iol_component *c = add_as_measured(b, 1.0);
    shift(c, IOL_K, -sign * c_laser_k_d, c_laser_k_sd_d);
    shift(c, IOL_E, sign * c_laser_position_mm, c_laser_position_sd_mm);
}

/* The old lens lies elsewhere than its constant says, for a reason that the new lens does not share. */
static void add_moved_behind(builder *b, double share, double by_mm) {
    iol_component *c = isnan(by_mm) ? NULL : add_as_measured(b, share);
    shift(c, IOL_E, by_mm, 0.0);
    if (c) c->back_mm = by_mm;
}

/* Constants of the shelf that differ from the old lens's own, each once. */
enum { CONSTANTS_MOST = 6 };
static int other_constants(const iol_eye *eye, double shift_mm[CONSTANTS_MOST]) {
    double own = eye->old.constants.a_constant, seen[CONSTANTS_MOST];
    int count = 0;
    for (int i = 0; i < eye->site->lenses_count && count < CONSTANTS_MOST; i++) {
        double other = eye->site->lenses[i].constants.a_constant;
        bool known =
            iol_above(fabs(other - own), 0.0) != IOL_YES || eye->site->lenses[i].purpose != IOL_purpose_replacement;
        for (int k = 0; k < count; k++) known = known || iol_above(fabs(other - seen[k]), 0.0) != IOL_YES;
        if (known) continue;
        seen[count] = other;
        shift_mm[count++] = iol_nominal_position_from_a(other) - iol_nominal_position_from_a(own);
    }
    return count;
}

static void add_constants(builder *b) {
    double by_mm[CONSTANTS_MOST];
    int count = other_constants(b->eye, by_mm);
    for (int i = 0; i < count; i++) add_moved_behind(b, 1.0 / count, by_mm[i]);
}

/* The first length alone was taken by the probe. */
static void add_pressed(builder *b) {
    const iol_figures *first = &b->eye->first, *again = &b->eye->repeat;
    add(b, 1.0,
        of_this_eye(first->length_mm + c_contact_pressed_mm, hypot(first->sd_length_mm, c_contact_sd_mm),
                    again->length_mm, again->sd_length_mm),
        b->cornea);
}

static bool late(const iol_eye *eye) { return iol_above(eye->now.day, c_fluid_late_day) == IOL_YES; }

/* What changes the reading and goes with the operation, or with the oil. */
static void add_reading(builder *b, double by_d, double sd_d) {
    iol_component *c = add_as_measured(b, 1.0);
    if (!c) return;
    c->offset_d = by_d;
    c->sd_reading_d = hypot(c->sd_reading_d, sd_d);
}

static void add_cause(builder *b, iol_gross_cause cause) {
    const iol_eye *eye = b->eye;
    switch ((int)cause) { /* one for each row of data/gross_rates.def */
    case IOL_GROSS_CAUSE_another_lens: add_another_lens(b); break;
    case IOL_GROSS_CAUSE_fellow_eye: add_other_eye(b); break;
    case IOL_GROSS_CAUSE_index: add_index(b); break;
    case IOL_GROSS_CAUSE_swapped_length: add_swapped_length(b); break;
    case IOL_GROSS_CAUSE_swapped_cornea: add_swapped_cornea(b); break;
    case IOL_GROSS_CAUSE_swapped_power: add_swapped_power(b); break;
    case IOL_GROSS_CAUSE_sulcus: shift(add_as_measured(b, 1.0), IOL_E, c_shift_sulcus_mm, sd_shift_sulcus_mm); break;
    case IOL_GROSS_CAUSE_myopic_laser: add_laser(b, 1.0); break;
    case IOL_GROSS_CAUSE_hyperopic_laser: add_laser(b, -1.0); break;
    case IOL_GROSS_CAUSE_reversed: add_moved_behind(b, 1.0, iol_suspect_reversed_mm(eye)); break;
    case IOL_GROSS_CAUSE_other_constant: add_constants(b); break;
    case IOL_GROSS_CAUSE_ultrasound:
        add_moved_behind(b, 1.0, c_ultrasound_constant_less * c_nominal_position_slope);
        break;
    case IOL_GROSS_CAUSE_fluid:
        add_reading(b, late(eye) ? c_fluid_late_d : c_fluid_early_d,
                    late(eye) ? c_fluid_late_sd_d : c_fluid_early_sd_d);
        break;
    case IOL_GROSS_CAUSE_contact: add_pressed(b); break;
    case IOL_GROSS_CAUSE_oil_measured:
        shift(add_as_measured(b, 1.0), IOL_L, c_oil_length_mm, c_oil_length_sd_mm);
        break;
    case IOL_GROSS_CAUSE_oil_now: add_reading(b, c_oil_reading_d, c_oil_reading_sd_d); break;
    }
}

void iol_components_make(const iol_eye *eye, iol_formula formula, iol_mixture *out) {
    const iol_gross_priors *priors = &out->priors;
    builder b = {.eye = eye, .formula = formula, .out = out};
    double gross = 0.0;
    out->status = IOL_BAD_INPUT, out->formula = formula, out->count = 0;
    out->log_evidence = NAN, out->tested = false;
    b.length = length_with(eye, eye->first.length_mm);
    b.cornea = cornea_with(eye, eye->first.k_d, eye->repeat.k_d);
    b.status = predict(&b, b.length.value, b.cornea.value, &eye->old, &b.model);
    if (b.status >= 0) b.grown = iol_estimate_grown(eye, &b.model);
    for (int i = 0; i < IOL_GROSS_CAUSE_COUNT; i++) gross += priors->rate[i];
    add_ordinary(&b, fmax(c_ordinary_least, 1.0 - gross));
    for (int i = 0; i < IOL_GROSS_CAUSE_COUNT; i++) {
        b.rate = priors->rate[i];
        b.kind = IOL_MIX_GROSS + i;
        if (b.rate > 0.0) add_cause(&b, (iol_gross_cause)i);
    }
    if (out->count > 0) out->status = IOL_OK;
}
