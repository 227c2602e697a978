/* What went wrong: the miss in its two parts, every formula, ordinary causes. */
#include "surprise.h"

#include "replacement.h"
#include "tables/constants.h"
#include "text/dates.h"
#include "tables/note_codes.h"

static void add_formulas(iol_work *w, iol_surprise *out) {
    for (int i = 0; i < IOL_FORMULA_COUNT; i++) {
        const iol_estimate *e = &w->by_formula[i];
        if (e->status < 0 || isnan(e->predicted_d)) continue;
        iol_formula_fit *row = &out->formulas[out->formulas_count++];
        *row = (iol_formula_fit){.present = true,
                                 .formula = i + 1,
                                 .predicted_se_d = e->predicted_d,
                                 .error_d = e->eye_part_d,
                                 /* without a lens the reading is the same wherever one would lie */
                                 .predicted_position_mm = w->eye.aphakic ? NAN : e->prior.position_mm,
                                 .fitted_position_mm = e->needed[IOL_E]};
    }
}

/* A state as it stands in the model, as the instruments read it: the surgeon holds it against the printout. */
static double as_read(iol_formula formula, int state, double value) {
    return state == IOL_L   ? iol_formula_length_read(formula, value)
           : state == IOL_K ? iol_formula_cornea_read(formula, value)
                            : value;
}

/* Without a lens the reading tells nothing of a place or of a label: both have no row. */
static void add_causes(const iol_estimate *e, bool aphakic, iol_surprise *out) {
    static const struct {
        int quantity, state;
        const char *unit;
    } row[] = {{IOL_quantity_axial_length, IOL_L, "mm"},
               {IOL_quantity_cornea, IOL_K, "D"},
               {IOL_quantity_lens_position, IOL_E, "mm"},
               {IOL_quantity_lens_label, IOL_P, "D"}};
    const double posterior[IOL_STATES] = {[IOL_L] = e->posterior.length_mm,
                                          [IOL_K] = e->posterior.cornea_d,
                                          [IOL_E] = e->posterior.position_mm,
                                          [IOL_P] = e->posterior_p0_d};
    const size_t rows = aphakic ? 2 : sizeof row / sizeof *row;
    for (size_t i = 0; i < rows; i++)
        out->causes[out->causes_count++] =
            (iol_cause){.present = true,
                        .quantity = row[i].quantity,
                        .share = e->share[row[i].state],
                        .estimate = posterior[row[i].state],
                        .estimate_read = as_read(e->formula, row[i].state, posterior[row[i].state]),
                        .unit = row[i].unit,
                        .needed_alone = e->needed[row[i].state],
                        .needed_alone_read = as_read(e->formula, row[i].state, e->needed[row[i].state]),
                        .plausible_alone = e->plausible[row[i].state]};
    out->causes[out->causes_count++] = (iol_cause){.present = true,
                                                   .quantity = IOL_quantity_refraction,
                                                   .share = e->share[IOL_STATES],
                                                   .estimate = e->believed_d,
                                                   .estimate_read = e->believed_d,
                                                   .unit = "D",
                                                   .needed_alone = e->predicted_d,
                                                   .needed_alone_read = e->predicted_d,
                                                   .plausible_alone = IOL_UNKNOWN};
}

static iol_cause *cause_of(iol_surprise *s, int quantity) {
    int i = 0;
    while (s->causes[i].quantity != quantity) i++;
    return &s->causes[i];
}

/* While every power is withheld, no lens power is worked out from the reading either. */
static void silence_label(iol_cause *label) {
    label->estimate = label->estimate_read = label->needed_alone = label->needed_alone_read = NAN;
}

/* The newest reading, though it does not count: it must not be taken for the one that does. */
static void say_latest(iol_work *w, int32_t counted) {
    iol_surprise *s = &w->plan->surprise;
    int32_t newest = counted;
    s->read_on = counted;
    for (int i = 0; i < w->c->refractions_count; i++) {
        const iol_refraction *r = &w->c->refractions[i];
        if (r->measured_on == IOL_UNKNOWN_DATE || r->measured_on <= newest || isnan(r->sphere_d)) continue;
        newest = s->latest_on = r->measured_on;
        s->latest_se_d = r->sphere_d + r->cylinder_d / 2.0;
    }
}

/* A lens that moved or clouded leaves only an old reading to count: what is called now was then. */
static void say_old(iol_work *w) {
    int32_t on = w->eye.now.read_on, as_of = w->plan->as_of;
    char date[11];
    double days = iol_days_from(on, as_of);
    if (iol_above(days, c_reading_old_days) != IOL_YES) return;
    say_latest(w, on);
    iol_date_print(on, date);
    iol_caution(w, IOL_NOTE_reading_old, days, NAN, date);
}


iol_flag iol_surprise_back_surface(const iol_work *w, iol_matrix *total) {
    iol_flag average = iol_and(iol_not(w->eye.corneal_surgery), iol_is(w->c->cornea.surface, IOL_surface_regular));
    *total = iol_matrix_deviator(w->eye.keratometry);
    if (average == IOL_NO || !w->eye.astigmatism_known) return IOL_NO;
    return iol_back_cornea_total(w->eye.keratometry, total) >= 0 ? average : IOL_NO;
}

/* Cylinder that keratometry leaves unexplained as it is read, and with the average back of the cornea where that may hold. */
static void remainders(const iol_work *w, double *as_read_d, double *with_back_d) {
    bool known;
    const iol_estimate *e = w->joint;
    *as_read_d = *with_back_d = NAN;
    if (!w->eye.now.usable || !e || isnan(e->eye_part_d)) return;
    iol_matrix total, shape = iol_estimate_astigmatism(&w->eye, e, &known);
    if (!known || !w->eye.astigmatism_known || !w->facts.cylinder_stated) return;
    *as_read_d = iol_matrix_cylinder(iol_matrix_subtract(shape, iol_matrix_deviator(w->eye.keratometry)));
    iol_flag average = iol_surprise_back_surface(w, &total);
    double less = iol_matrix_cylinder(iol_matrix_subtract(shape, total));
    if (average == IOL_YES || (average == IOL_UNKNOWN && less > *as_read_d)) *with_back_d = less;
}

double iol_surprise_remainder(const iol_work *w) {
    double as_read_d, with_back_d;
    remainders(w, &as_read_d, &with_back_d);
    return isnan(with_back_d) ? as_read_d : with_back_d;
}

bool iol_surprise_turn_explains(const iol_work *w) {
    const iol_eye *eye = &w->eye;
    int surface = w->c->cornea.surface;
    bool misread = surface == IOL_surface_scarred || surface == IOL_surface_irregular;
    bool read = eye->now.usable && eye->now.subjective && w->facts.cylinder_stated;
    if (!misread || !read || eye->two || !eye->old.axis_known || !w->joint || isnan(w->joint->posterior_p0_d))
        return false;
    const iol_model *at = &w->joint->posterior;
    iol_matrix lens = iol_matrix_add(iol_matrix_scalar(w->joint->posterior_p0_d), iol_matrix_deviator(eye->old.power)),
               needed;
    bool known;
    iol_matrix shape = iol_estimate_astigmatism(eye, w->joint, &known);
    if (!known || iol_matrix_needed(at->length_mm, at->position_mm, lens, &needed) < 0) return false;
    double left = fabs(iol_matrix_cylinder(shape) - iol_matrix_cylinder(needed));
    return iol_at_most(left, fmax(c_option_cylinder_d, w->c->target_cylinder_d)) == IOL_YES;
}

/* What the causes weigh, once a refraction has tested them. */
static void add_probabilities(const iol_work *w, iol_surprise *out) {
    const iol_mixture *m = iol_work_causes(w);
    if (!m) return;
    out->ordinary_probability = iol_mixture_ordinary(m);
    out->unusual_position_probability = iol_mixture_probability(m, IOL_MIX_wide);
    out->reading_off_probability = iol_mixture_probability(m, IOL_MIX_off);
    out->gross_probability = iol_mixture_gross(m);
}

void iol_part_surprise(iol_work *w) {
    iol_surprise *out = &w->plan->surprise;
    const iol_estimate *e = w->joint;
    out->present = true;
    out->current_se_d = iol_eye_worn(&w->eye)->spectacle_d;
    out->intended_se_d = w->eye.intended_se_d;
    out->miss_d = out->current_se_d - out->intended_se_d;
    add_formulas(w, out);
    iol_surprise_suspects(w);
    say_old(w);
    add_probabilities(w, out);
    if (!e || isnan(e->eye_part_d)) return;
    out->selection_part_d = e->predicted_d - out->intended_se_d;
    out->eye_part_d = out->current_se_d - e->predicted_d;
    out->refraction_noise_d = w->eye.now.spectacle_d - e->believed_d;
    out->z = e->z;
    add_causes(e, w->eye.aphakic, out);
    if (w->facts.spoiled && !w->eye.aphakic) silence_label(cause_of(out, IOL_quantity_lens_label));
    cause_of(out, IOL_quantity_refraction)->plausible_alone =
        iol_at_most(fabs(e->eye_part_d), c_plausible_sigmas * w->eye.now.sd_d);
    remainders(w, &out->corneal_remainder_d, &out->remainder_back_surface_d);
    if (iol_above(iol_surprise_remainder(w), c_remainder_d) == IOL_YES)
        iol_caution(w, IOL_NOTE_corneal_remainder, iol_surprise_remainder(w), NAN, NULL);
    if (iol_below(e->depth_gap_mm, -c_depth_shallow_mm) != IOL_YES) return;
    bool in_place = w->plausible.depth == IOL_YES;
    iol_note_code told = in_place ? IOL_NOTE_depth_by_formula : IOL_NOTE_shallow_lens;
    iol_caution(w, told, -e->depth_gap_mm, w->plausible.by_old_lens_mm, NULL);
    if (!isnan(w->eye.k_before_d) && !w->eye.k_before_known) iol_caution(w, IOL_NOTE_depth_assumed_k, w->eye.k_before_d, NAN, NULL);
}
