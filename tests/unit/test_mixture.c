/* The mixture against 30 rows of an independent computation, and against a worked example printed beside them. Kind: reference.
 * The rows: rates of what their heading does not name are 0, evidence factors other than the lens's are 1. */
#include "check.h"
#include "estimate/worth.h"
#include "example_case.h"

#define ROWS "tests/reference/derived/mixture.tsv, independent computation"

/* The ten probabilities of the rows, by kind; other-eye-measurements stand in two columns, laser in one. */
static const struct {
    const char *column;
    int kind, kind_too;
} probability[] = {{"p_lens", IOL_MIX(another_lens), -1},
                   {"p_index", IOL_MIX(index), -1},
                   {"p_digits_L", IOL_MIX(swapped_length), -1},
                   {"p_digits_K", IOL_MIX(swapped_cornea), -1},
                   {"p_digits_P", IOL_MIX(swapped_power), -1},
                   {"p_sulcus", IOL_MIX(sulcus), -1},
                   {"p_laser", IOL_MIX(myopic_laser), IOL_MIX(hyperopic_laser)}};

/* NaN where the row has none. */
static double known(const check_table *t, const char *name) {
    return strcmp(check_text(t, name), "na") == 0 ? NAN : check_number(t, name);
}

static void biometry(iol_biometry *b, double length_mm, double k_d, int state) {
    b->present = !isnan(length_mm);
    b->axial_length_mm = length_mm;
    b->k_flat_d = b->k_steep_d = k_d;
    b->method = IOL_biometry_method_optical;
    b->eye_state = state;
}

/* The eye of a row, by way of a case. */
static void row_eye(const check_table *t, iol_case *c, iol_site *site, iol_eye *eye) {
    static iol_notes notes;
    iol_case_reset(c);
    iol_site_reset(site);
    notes.off = true;
    biometry(&c->biometry, check_number(t, "axial_length_mm"), check_number(t, "keratometry_d"), IOL_eye_state_phakic);
    biometry(&c->biometry_repeat, known(t, "repeat_length_mm"), known(t, "repeat_k_d"), IOL_eye_state_pseudophakic);
    biometry(&c->fellow_eye.biometry, known(t, "fellow_length_mm"), known(t, "fellow_k_d"), IOL_eye_state_phakic);
    c->cornea.surface = IOL_surface_regular;
    iol_lens *lens = &c->first_surgery.lens;
    lens->power_d = check_number(t, "implanted_d");
    lens->constants.a_constant = check_number(t, "a_constant");
    lens->position = IOL_position_bag;
    double factor = check_number(t, "lens_factor");
    lens->identified_by = factor < 0.2   ? IOL_identified_by_sticker
                          : factor < 0.5 ? IOL_identified_by_operation_record
                          : factor < 2.0 ? IOL_identified_by_letter
                                         : 0;
    iol_gross_rates *rates = &site->gross_rates;
    double scale = check_number(t, "rate_scale");
    rates->others = 0.0;
    rates->another_lens = 12.0 * scale, rates->fellow_eye = 8.0 * scale, rates->index = 8.0 * scale;
    rates->swapped_length = rates->swapped_cornea = rates->swapped_power = 2.0 * scale;
    rates->sulcus = 10.0 * scale, rates->myopic_laser = 4.5 * scale, rates->hyperopic_laser = 0.5 * scale;
    iol_eye_make(c, site, IOL_UNKNOWN_DATE, IOL_EYE_POOLED, &notes, eye);
    eye->now.usable = !isnan(known(t, "spectacle_se_d"));
    eye->now.spectacle_d = known(t, "spectacle_se_d");
    eye->now.sd_d = check_number(t, "sd_refraction_d");
    eye->now.readings = check_number(t, "readings_agree") > 0.0 ? 2 : 1;
    eye->vertex_mm = check_number(t, "vertex_mm");
    eye->target_se_d = check_number(t, "target_d");
    eye->lens_depth_mm = known(t, "lens_position_mm") - eye->depth_offset_mm;
    eye->sd_depth_mm = check_number(t, "sd_lens_position_mm");
    CHECK_NEAR(eye->first.sd_length_mm, check_number(t, "sd_length_mm"), 1e-12, ROWS);
    CHECK_NEAR(eye->sd_k_d, check_number(t, "sd_cornea_d") / (isnan(known(t, "repeat_k_d")) ? 1.0 : sqrt(2.0)), 0.2,
               ROWS);
    CHECK_NEAR(eye->sd_position_mm, check_number(t, "sd_position_mm"), 1e-12, ROWS);
    CHECK_NEAR(eye->sd_label_d, check_number(t, "sd_label_d"), 1e-12, ROWS);
}

/* Of other-eye-measurements, the part of another person. */
static double person_of(const iol_mixture *m) {
    double person = 0.0;
    for (int i = 0; i < m->count; i++)
        if (m->item[i].person) person += m->item[i].weight;
    return person;
}

static void check_probabilities(const check_table *t, const iol_mixture *m) {
    double person = person_of(m);
    CHECK_NEAR(iol_mixture_ordinary(m), check_number(t, "p_ordinary"), 1e-6, ROWS);
    CHECK_NEAR(person, check_number(t, "p_person"), 1e-6, ROWS);
    CHECK_NEAR(iol_mixture_probability(m, IOL_MIX(fellow_eye)) - person, check_number(t, "p_eye"), 1e-6, ROWS);
    for (size_t i = 0; i < sizeof probability / sizeof *probability; i++) {
        double found = iol_mixture_probability(m, probability[i].kind);
        if (probability[i].kind_too >= 0) found += iol_mixture_probability(m, probability[i].kind_too);
        CHECK_NEAR(found, check_number(t, probability[i].column), 1e-6, ROWS);
    }
    CHECK_NEAR(m->log_evidence, check_number(t, "ln_evidence"), 1e-6, ROWS);
}

static void check_power(const check_table *t, const iol_prospect *p) {
    iol_steps steps = {-10.0, 60.0, 0.5};
    iol_outlook at;
    double target = check_number(t, "target_d");
    CHECK_NEAR(iol_prospect_power(p, target), check_number(t, "power_exact_d"), 1e-6, ROWS);
    CHECK_NEAR(iol_prospect_choose(p, &steps, target, &at), check_number(t, "chosen_d"), 0.0, ROWS);
    CHECK_NEAR(at.mean_d, check_number(t, "mean_se_d"), 1e-6, ROWS);
    CHECK_NEAR(at.sd_d, check_number(t, "sd_d"), 1e-6, ROWS);
    CHECK_NEAR(at.within_half, check_number(t, "within_half"), 1e-6, ROWS);
    CHECK_NEAR(at.within_one, check_number(t, "within_one"), 1e-6, ROWS);
    CHECK_NEAR(at.hyperopic_over_one, check_number(t, "hyperopic_over_one"), 1e-6, ROWS);
}

/* The old lens exchanged for one with another constant. */
static void exchange(const iol_eye *eye, iol_formula formula, const iol_mixture *m, double a_constant,
                     iol_prospect *p) {
    const double none = NAN;
    iol_shelf_lens shelf = {.constants = {true, a_constant, none, none, none, none, none, 0, 0}};
    iol_lens_in_eye fresh;
    iol_model prior;
    double change, sd;
    int basis;
    iol_eye_shelf_lens(eye, &shelf, IOL_position_bag, &fresh);
    assert_true(iol_eye_predict(eye, formula, &eye->old, &prior) >= 0);
    assert_true(iol_eye_position_change(eye, formula, prior.position_mm, &fresh, &change, &sd, &basis) >= 0);
    iol_prospect_exchange(eye, m, change, sd, p);
}

static void rows_of_the_mixture(void **state) {
    (void)state;
    static const iol_formula formula[] = {IOL_FORMULA_srk_t, IOL_FORMULA_holladay_1, IOL_FORMULA_hoffer_q};
    static iol_case c;
    static iol_site site;
    static iol_eye eye;
    static iol_mixture m;
    static iol_prospect p;
    check_table t;
    int rows = 0;
    check_open(&t, DERIVED("mixture"));
    while (check_next(&t)) {
        iol_formula f = formula[(int)check_number(&t, "formula")];
        row_eye(&t, &c, &site, &eye);
        iol_mixture_make(&eye, f, &m);
        assert_true(m.status >= 0);
        check_probabilities(&t, &m);
        exchange(&eye, f, &m, check_number(&t, "a_constant_new"), &p);
        check_power(&t, &p);
        rows++;
    }
    assert_int_equal(rows, 30);
}

/* ---- examples/hyperopic-surprise.json as it was worked out beside the rows ---- */

#define WORKED "worked example beside the rows, six printed digits"

/* It took the mean of both keratometries for one figure, and left out the sheet's constants of other lenses. */
static void worked_eye(iol_case *c, iol_site *site, iol_eye *eye) {
    static iol_notes notes;
    notes.off = true;
    example_case("hyperopic-surprise", c);
    iol_site_generic(site);
    c->biometry.k_flat_d = c->biometry.k_steep_d = 43.975;
    iol_eye_make(c, site, IOL_UNKNOWN_DATE, IOL_EYE_POOLED, &notes, eye);
}

static void worked_example(void **state) {
    (void)state;
    static iol_case c;
    static iol_site site;
    static iol_eye eye;
    static iol_mixture m;
    static iol_prospect p;
    static const struct {
        double power_d, mean_d, sd_d, half, one, hyperopic;
    } step[] = {{21.5, 0.358592, 0.447761, .397506, .808835, .190998},
                {22.0, 0.026038, 0.454059, .645381, .942103, .055411},
                {22.5, -0.310349, 0.460556, .718301, .968667, .010661},
                {23.0, -0.650636, 0.467256, .557264, .898865, .001363}};
    worked_eye(&c, &site, &eye);
    iol_mixture_make(&eye, IOL_FORMULA_holladay_1, &m);
    const iol_component *leader = iol_mixture_leader(&m);
    assert_int_equal(leader->kind, IOL_MIX_measured);
    CHECK_NEAR(leader->mean[IOL_L], 23.424505, 6e-7, WORKED);
    CHECK_NEAR(leader->mean[IOL_K], 43.316303, 6e-7, WORKED);
    CHECK_NEAR(leader->mean[IOL_E], 5.778283, 6e-7, WORKED);
    CHECK_NEAR(leader->mean[IOL_P], 20.413498, 6e-7, WORKED);
    CHECK_NEAR(leader->left_d, 0.620843, 6e-7, WORKED);
    CHECK_NEAR(leader->variance_d, 0.181231, 6e-7, WORKED);
    CHECK_NEAR(leader->weight, .981675, 6e-7, WORKED);
    CHECK_NEAR(iol_mixture_probability(&m, IOL_MIX_wide), .017031, 6e-7, WORKED);
    CHECK_NEAR(iol_mixture_probability(&m, IOL_MIX_off), .001136, 6e-7, WORKED);
    CHECK_NEAR(iol_mixture_ordinary(&m), .999842, 6e-7, WORKED);
    CHECK_NEAR(iol_mixture_probability(&m, IOL_MIX(another_lens)), .0000565, 6e-8, WORKED);
    CHECK_NEAR(iol_mixture_probability(&m, IOL_MIX(fellow_eye)) - person_of(&m), .0000170, 6e-8, WORKED);
    CHECK_NEAR(iol_mixture_probability(&m, IOL_MIX(swapped_cornea)), .0000243, 6e-8, WORKED);
    CHECK_NEAR(iol_mixture_probability(&m, IOL_MIX(index)), .00000867, 6e-9, WORKED);
    CHECK_NEAR(iol_mixture_probability(&m, IOL_MIX(sulcus)), .0000104, 6e-8, WORKED);
    /* The new lens's surgeon factor from its A-constant less the old lens's own: the plan compares the two A-constants. */
    iol_prospect_exchange(&eye, &m, iol_surgeon_factor_from_a(118.8) - 1.85, 0.15, &p);
    for (size_t i = 0; i < sizeof step / sizeof *step; i++) {
        iol_outlook at;
        iol_outlook_make(&p, step[i].power_d, -0.25, &at);
        CHECK_NEAR(at.mean_d, step[i].mean_d, 6e-7, WORKED);
        CHECK_NEAR(at.sd_d, step[i].sd_d, 6e-7, WORKED);
        CHECK_NEAR(at.within_half, step[i].half, 6e-7, WORKED);
        CHECK_NEAR(at.within_one, step[i].one, 6e-7, WORKED);
        CHECK_NEAR(at.hyperopic_over_one, step[i].hyperopic, 6e-7, WORKED);
    }
    iol_outlook alone, about;
    iol_outlook_spread(&p, 22.5, true, &alone);
    iol_outlook_make(&p, 22.5, alone.mean_d, &about);
    CHECK_NEAR(alone.mean_d, step[2].mean_d, 1e-6, WORKED);
    CHECK_NEAR(alone.within_half, about.within_half, 0.0, "the target is the mean");
    assert_true(isnan(alone.within_one) && alone.within_half > 0.0);
    iol_outlook_spread(&p, 22.5, false, &alone);
    assert_true(isnan(alone.within_half));
    CHECK_NEAR(iol_prospect_power(&p, -0.25), 22.410721, 6e-7, WORKED);
    int heaviest = 0;
    for (int i = 0; i < p.count; i++)
        if (p.weight[i] > p.weight[heaviest]) heaviest = i;
    assert_true(p.weight[heaviest] > 0.5);
    p.position_mm[heaviest] = p.length_mm[heaviest] + 1.0; /* most of the weight has no refraction: nothing is foretold */
    iol_outlook_make(&p, 22.5, -0.25, &about);
    assert_true(isnan(about.mean_d) && isnan(about.within_half));
    for (int i = 0; i < p.count; i++) p.position_mm[i] = p.length_mm[i] + 1.0;
    CHECK_NAN(iol_prospect_power(&p, -0.25)); /* behind the retina no power is the answer, not one of 0 D */
}

/* ---- the lens of the fellow eye ---- */

/* Components of another lens, their prior together, and the one on a power (NULL: none). */
static int another_lens(const iol_mixture *m, double power_d, double *prior, const iol_component **on) {
    int count = 0;
    *prior = 0.0, *on = NULL;
    for (int i = 0; i < m->count; i++) {
        if (m->item[i].kind != IOL_MIX(another_lens)) continue;
        count++, *prior += exp(m->item[i].log_prior);
        if (fabs(m->item[i].mean[IOL_P] - power_d) < 0.1) *on = &m->item[i];
    }
    return count;
}

/* One lens in six that is another than recorded is the fellow eye's, where its power is known and another: a miss that such a lens
 * makes speaks for it, and the rate of all together stays. Source: docs/method.md; the arithmetic of shares. */
static void fellow_lens(void **state) {
    (void)state;
    static iol_case c;
    static iol_site site;
    static iol_eye eye;
    static iol_mixture m;
    const iol_component *on;
    double before, prior, without, label;
    worked_eye(&c, &site, &eye);
    label = eye.old.power_d;
    iol_model model;
    assert_true(iol_eye_predict(&eye, IOL_FORMULA_holladay_1, &eye.old, &model) >= 0);
    assert_true(iol_refraction_of(model, label - 3.0, eye.vertex_mm, &eye.now.spectacle_d) >= 0);
    iol_mixture_make(&eye, IOL_FORMULA_holladay_1, &m);
    assert_int_equal(another_lens(&m, label, &before, &on), 1);
    without = iol_mixture_probability(&m, IOL_MIX(another_lens));
    c.fellow_eye.lens_power_d = label;
    iol_mixture_make(&eye, IOL_FORMULA_holladay_1, &m);
    assert_int_equal(another_lens(&m, label, &prior, &on), 1);
    CHECK_NEAR(iol_mixture_probability(&m, IOL_MIX(another_lens)), without, 0.0,
               "the same lens in both eyes tells nothing");
    c.fellow_eye.lens_power_d = label - 3.0;
    iol_mixture_make(&eye, IOL_FORMULA_holladay_1, &m);
    assert_int_equal(another_lens(&m, label - 3.0, &prior, &on), 2);
    CHECK_NEAR(prior, before, 1e-15, "the rate stays");
    assert_non_null(on);
    CHECK_NEAR(exp(on->log_prior), before / 6.0, 1e-15, "docs/method.md");
    double spread = sqrt(on->covariance[IOL_P][IOL_P]);
    CHECK_NEAR(spread, iol_eye_label_sd(&eye, label - 3.0), 0.02, "the spread of a label, a little less");
    CHECK_NEAR(on->mean[IOL_P], label - 3.0, 0.05, "it foretells what was found");
    double with = iol_mixture_probability(&m, IOL_MIX(another_lens));
    assert_true(with / (1.0 - with) > 1.5 * without / (1.0 - without));
    c.fellow_eye.lens_power_d = label + 3.0;
    iol_mixture_make(&eye, IOL_FORMULA_holladay_1, &m);
    assert_true(iol_mixture_probability(&m, IOL_MIX(another_lens)) < without);
}

/* ---- causes of figures that there are ---- */

/* Before any reading: the components of a case. */
static void prepare(const iol_case *c, const iol_site *site, iol_eye *eye, iol_mixture *m) {
    static iol_notes notes;
    notes.off = true;
    iol_eye_make(c, site, IOL_UNKNOWN_DATE, IOL_EYE_POOLED, &notes, eye);
    iol_gross_priors_make(eye, &m->priors);
    iol_components_make(eye, IOL_FORMULA_holladay_1, m);
}

/* Nobody can have typed or measured wrongly what is not on record or does not stand in the estimate. */
static void no_cause_without_its_figure(void **state) {
    (void)state;
    static iol_case c;
    static iol_site site;
    static iol_eye eye;
    static iol_mixture m;
    const double *rate = m.priors.rate;
    worked_eye(&c, &site, &eye);
    c.biometry.method = IOL_biometry_method_contact_ultrasound;
    prepare(&c, &site, &eye, &m);
    assert_true(rate[IOL_GROSS_CAUSE_contact] > 0.1 && rate[IOL_GROSS_CAUSE_swapped_length] > 0.0);
    c.biometry_repeat.axial_length_mm = c.biometry.axial_length_mm, c.biometry.axial_length_mm = NAN;
    prepare(&c, &site, &eye, &m);
    CHECK_NEAR(rate[IOL_GROSS_CAUSE_contact], 0.0, 0.0, "no first length");
    CHECK_NEAR(rate[IOL_GROSS_CAUSE_swapped_length], 0.0, 0.0, "no first length");
    assert_true(rate[IOL_GROSS_CAUSE_swapped_cornea] > 0.0 && rate[IOL_GROSS_CAUSE_index] > 0.0);
    c.cornea.earlier_refractive_surgery = IOL_corneal_surgery_myopic_laser;
    prepare(&c, &site, &eye, &m);
    assert_true(rate[IOL_GROSS_CAUSE_swapped_cornea] > 0.0 && rate[IOL_GROSS_CAUSE_index] > 0.0);
    c.cornea.k_total_d = 41.0;
    prepare(&c, &site, &eye, &m);
    CHECK_NEAR(rate[IOL_GROSS_CAUSE_swapped_cornea], 0.0, 0.0, "the measured total power stands for the keratometry");
    CHECK_NEAR(rate[IOL_GROSS_CAUSE_index], 0.0, 0.0, "the measured total power stands for the keratometry");
    c.cornea.earlier_refractive_surgery = IOL_corneal_surgery_none;
    c.biometry.k_flat_d = c.biometry.k_steep_d = NAN;
    prepare(&c, &site, &eye, &m);
    CHECK_NEAR(rate[IOL_GROSS_CAUSE_swapped_cornea], 0.0, 0.0, "no first keratometry");
}

/* Digits are those that were typed: of the label, not of the equivalent; of one meridian, which moves the mean by half of what it
 * moves itself. A constant that differs by the last bit is the same constant. Arithmetic by hand. */
static void digits_as_typed(void **state) {
    (void)state;
    static iol_case c;
    static iol_site site;
    static iol_eye eye;
    static iol_mixture m;
    double power = NAN, k[4], other = NAN;
    int count = 0;
    worked_eye(&c, &site, &eye);
    iol_lens *lens = &c.first_surgery.lens;
    lens->power_d = 25.0, lens->power_is = IOL_power_is_weakest_meridian, lens->cylinder_d = 3.0;
    c.biometry.k_flat_d = 42.10, c.biometry.k_steep_d = 46.10;
    c.biometry_repeat.k_flat_d = c.biometry_repeat.k_steep_d = NAN;
    lens->constants.a_constant = site.lenses[0].constants.a_constant + 1e-13;
    c.first_surgery.lens.lens_id[0] = 0;
    prepare(&c, &site, &eye, &m);
    for (int i = 0; i < m.count; i++) {
        const iol_component *item = &m.item[i];
        if (item->kind == IOL_MIX(swapped_power)) power = item->mean[IOL_P];
        if (item->kind == IOL_MIX(swapped_cornea) && count < 4) k[count++] = item->mean[IOL_K] * 337.5 * 3.0 / 1000.0;
        if (item->kind == IOL_MIX(other_constant)) other = fmin(isnan(other) ? 9.0 : other, fabs(item->back_mm));
    }
    CHECK_NEAR(eye.old.power_d, 26.5, 1e-12, "half the cylinder above the weakest meridian");
    CHECK_NEAR(power, 20.5 + 1.5, 1e-12, "25.0 is 20.5 changed over; 52.0 is no lens");
    assert_int_equal(count, 4);
    CHECK_NEAR(k[0], (42.01 + 46.10) / 2.0, 1e-9, "by hand");
    CHECK_NEAR(k[1], (41.20 + 46.10) / 2.0, 1e-9, "by hand");
    CHECK_NEAR(k[2], (42.10 + 46.01) / 2.0, 1e-9, "by hand");
    CHECK_NEAR(k[3], (42.10 + 41.60) / 2.0, 1e-9, "by hand");
    assert_true(other > 0.01);
}

/* ---- what a measurement buys ---- */

/* What a second refraction, length and keratometry would buy, as printed beside the rows. */
static void worth_of_measurements(void **state) {
    (void)state;
    static iol_case c;
    static iol_site site;
    static iol_eye eye;
    static iol_mixture m;
    worked_eye(&c, &site, &eye);
    iol_mixture_make(&eye, IOL_FORMULA_holladay_1, &m);
    iol_question q = {.eye = &eye,
                      .causes = &m,
                      .change_mm = iol_surgeon_factor_from_a(118.8) - 1.85,
                      .sd_change_mm = 0.15,
                      .target_d = -0.25,
                      .shelf = {-10.0, 60.0, 0.5}};
    double sd, now = iol_worth_now(&q);
    CHECK_NEAR(now, .718301, 6e-7, WORKED);
    CHECK_NEAR(iol_worth_of_measurement(&q, IOL_MEASURE_refraction, &sd), .719565, 1e-4, WORKED);
    CHECK_NEAR(iol_worth_of_measurement(&q, IOL_MEASURE_axial_length, &sd), .718318, 1e-4, WORKED);
    CHECK_NEAR(iol_worth_of_measurement(&q, IOL_MEASURE_keratometry, &sd), .718325, 1e-4, WORKED);
    CHECK_NAN(iol_worth_of_measurement(&q, IOL_MEASURE_lens_depth, &sd)); /* it was measured */
}

/* What a measurement foretells of one cause is its own figure and spread, and what is found tells the cause as Bayes has it:
 * precisions add, and causes are told apart by how well each foretold it (any textbook of probability). */
static void a_measurement_tells_as_bayes_has_it(void **state) {
    (void)state;
    static const struct {
        iol_measure measure;
        int state;
    } rows[] = {{IOL_MEASURE_axial_length, IOL_L}, {IOL_MEASURE_keratometry, IOL_K}, {IOL_MEASURE_lens_depth, IOL_E}};
    static iol_case c;
    static iol_site site;
    static iol_eye eye;
    static iol_mixture m, after;
    worked_eye(&c, &site, &eye);
    iol_mixture_make(&eye, IOL_FORMULA_holladay_1, &m);
    iol_question q = {.eye = &eye, .causes = &m};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const iol_component *before = &m.item[0];
        int s = rows[i].state;
        double mean, sd, own = before->covariance[s][s];
        iol_worth_foretell(&q, rows[i].measure, before, &mean, &sd);
        CHECK_NEAR(mean, before->mean[s], 1e-12, "identity");
        double noise2 = sd * sd - own, found = mean + 0.7 * sd;
        assert_true(noise2 > 0.0);
        iol_worth_see(&q, rows[i].measure, found, &after);
        assert_true(after.status >= 0);
        CHECK_NEAR(1.0 / after.item[0].covariance[s][s], 1.0 / own + 1.0 / noise2, 1e-6 / own, "precisions add");
        CHECK_NEAR(after.item[0].mean[s], (mean / own + found / noise2) / (1.0 / own + 1.0 / noise2), 1e-9,
                   "mean weighed by precision");
        double all = 0.0, odds_before = m.item[1].weight / m.item[0].weight, other, other_sd;
        iol_worth_foretell(&q, rows[i].measure, &m.item[1], &other, &other_sd);
        double told = exp(iol_log_normal(found - other, other_sd * other_sd) - iol_log_normal(found - mean, sd * sd));
        CHECK_NEAR(after.item[1].weight / after.item[0].weight, odds_before * told, 1e-9 * odds_before * told,
                   "odds times the ratio of densities");
        for (int k = 0; k < after.count; k++) all += after.item[k].weight;
        CHECK_NEAR(all, 1.0, 1e-12, "identity");
    }
}

/* What is no look brings nothing, a look that was taken brings nothing more. */
static void no_look_is_taken(void **state) {
    (void)state;
    static iol_case c;
    static iol_eye eye;
    iol_notes unheard = {.off = true};
    example_case("hyperopic-surprise", &c);
    c.checks.topography_done = IOL_YES, c.checks.dilated_look_done = IOL_NO;
    iol_eye_make(&c, example_site(), IOL_UNKNOWN_DATE, IOL_EYE_POOLED, &unheard, &eye);
    CHECK_NAN(iol_gross_look(&eye, IOL_LOOK_none));
    CHECK_NAN(iol_gross_look(&eye, IOL_LOOK_topography));
    assert_true(iol_gross_look(&eye, IOL_LOOK_dilated) > 0.0);
}

/* Of two steps the nearer to the target as it is printed; of two as near the more myopic one; a step before none. Our own rule. */
static void which_step_is_nearer(void **state) {
    (void)state;
    static const struct {
        double one, other, target;
        bool is;
    } row[] = {{-0.5, 0.25, -0.25, true},   {0.25, -0.5, -0.25, false},       {-0.5, 0.0, -0.25, true}, {0.0, -0.5, -0.25, false},
               {-0.25, -0.25, -0.25, false}, {-0.5004, 0.0, -0.25, true},      {-0.4996, 0.0, -0.25, true},
               {0.0, -0.5004, -0.25, false}, {1.0, NAN, -0.25, true}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++)
        if (iol_step_nearer(row[i].one, row[i].other, row[i].target) != row[i].is) fail_msg("row %d", (int)i);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(which_step_is_nearer),
        cmocka_unit_test(no_look_is_taken),
                                       cmocka_unit_test(rows_of_the_mixture),
                                       cmocka_unit_test(worked_example),
                                       cmocka_unit_test(worth_of_measurements),
                                       cmocka_unit_test(fellow_lens),
                                       cmocka_unit_test(no_cause_without_its_figure),
                                       cmocka_unit_test(digits_as_typed),
                                       cmocka_unit_test(a_measurement_tells_as_bayes_has_it)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
