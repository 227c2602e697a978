/* The miss that a gross cause would make: the same formula run again on an altered case. */
#include <string.h>

#include "inquiry.h"
#include "tables/constants.h"

enum { CHOICE = IOL_miss_part_selection, EYE = IOL_miss_part_eye };

/* The eye of an altered case; its notes are not kept. */
static void eye_of(const iol_inquiry *q, const iol_case *altered, int which, iol_eye *eye) {
    iol_notes unheard;
    unheard.off = true;
    iol_eye_make(altered, q->eye->site, q->eye->as_of, which, &unheard, eye);
}

/* Refraction that a formula predicts for the lens of an altered case; NaN when it cannot. */
static double predicted(const iol_inquiry *q, iol_formula formula, const iol_case *altered, int which) {
    iol_eye eye;
    iol_model model;
    double refraction = NAN;
    eye_of(q, altered, which, &eye);
    if (iol_eye_predict(&eye, formula, &eye.old, &model) < 0) return NAN;
    iol_refraction_of(model, eye.old.power_d, q->eye->vertex_mm, &refraction);
    return refraction;
}

/* ---- the sheet ---- */

static char plain(char letter) {
    if (letter >= 'A' && letter <= 'Z') return (char)(letter - 'A' + 'a');
    return (letter >= 'a' && letter <= 'z') || (letter >= '0' && letter <= '9') ? letter : '\0';
}

/* The same name whatever its case, blanks and strokes: "SRK/T" is srk-t. */
static bool same_name(const char *a, const char *b) {
    for (;;) {
        while (*a && !plain(*a)) a++;
        while (*b && !plain(*b)) b++;
        if (plain(*a) != plain(*b)) return false;
        if (!*a) return true;
        a++, b++;
    }
}

/* The formula that the sheet names, or -1. */
static int sheet_formula(const iol_case *c) {
    for (int i = 0; i < IOL_FORMULA_COUNT; i++)
        if (c->first_surgery.sheet_formula[0] && same_name(c->first_surgery.sheet_formula, iol_formulas[i].name))
            return i;
    return -1;
}

/* A choice made from altered figures must have printed the sheet that was printed. A sheet says nothing of the lens that was
 * meant, only of the one put in. by_d: added to what the altered case predicts. */
static bool sheet_allows(const iol_inquiry *q, const iol_case *altered, double by_d) {
    int formula = sheet_formula(q->eye->c);
    double printed = q->eye->c->first_surgery.sheet_se_d;
    if (q->eye->c->first_surgery.lens.documented_wrong == IOL_YES) return true; /* it was printed for the lens meant */
    if (formula < 0 || altered->first_surgery.lens.power_d != q->eye->c->first_surgery.lens.power_d) return true;
    double ours = predicted(q, (iol_formula)formula, altered, IOL_EYE_FIRST_ONLY) + by_d;
    return iol_above(fabs(ours - printed), c_sheet_differs_d) != IOL_YES;
}

/* Two readings of one altered case: it is the truth and the record is wrong (eye part), or the record is the truth and
 * the lens was chosen from the altered figures (selection part). */
static void consider(const iol_inquiry *q, const iol_case *altered, bool as_truth, bool as_choice, iol_weighing *w) {
    if (as_truth)
        iol_inquiry_weigh(q, EYE, predicted(q, q->joint->formula, altered, IOL_EYE_POOLED) - q->predicted_d, w);
    if (as_choice && sheet_allows(q, altered, 0.0))
        iol_inquiry_weigh(q, CHOICE, q->predicted_d - predicted(q, q->joint->formula, altered, IOL_EYE_FIRST_ONLY), w);
}

/* The lens a little further back than the formula has it. */
static double moved(const iol_inquiry *q, double by_mm) {
    iol_model model = q->joint->prior;
    double refraction = NAN;
    model.position_mm += by_mm;
    iol_refraction_of(model, q->joint->p0_d, q->eye->vertex_mm, &refraction);
    return refraction - q->predicted_d;
}

static void set_value(iol_weighing *w, double value, double other, const char *word) {
    w->best.value = value, w->best.other = other, w->best.word = word;
}

/* One of several candidates: its figures are kept when it leaves less than those before. */
static void candidate(const iol_inquiry *q, const iol_case *altered, bool as_truth, bool as_choice, double value,
                      const char *word, iol_weighing *w) {
    iol_weighing trial = *w;
    trial.fits = 0;
    consider(q, altered, as_truth, as_choice, &trial);
    int tried = w->tried + 1;
    int fits = w->fits + (trial.fits > 0 ? 1 : 0);
    if (trial.any && (!w->any || trial.best.unexplained_d != w->best.unexplained_d)) {
        *w = trial;
        set_value(w, value, NAN, word);
    }
    w->fits = fits;
    w->tried = tried;
}

/* ---- digits changed over ---- */

double iol_digits_swapped(double value, int place) {
    if (isnan(value)) return NAN;
    long unit = place == 0 ? 1 : place == 1 ? 10 : 100, count = (long)floor(fabs(value) * 100.0 + 0.5);
    long low = count / unit % 10, high = count / (10 * unit) % 10;
    if (low == high) return NAN;
    double swapped = (double)(count + (low - high) * 9 * unit) / 100.0;
    return value < 0.0 ? -swapped : swapped;
}

/* A value of the case that lies inside its usual limits (data/case_fields.def). */
static bool usual(const char *part, const char *key, double value) {
    const iol_field *object = iol_object_find(iol_object_case, part, strlen(part));
    const iol_field *field = iol_object_find(object->inside, key, strlen(key));
    return iol_between(value, field->usual_low, field->usual_high) == IOL_YES;
}

static void swap_length(const iol_inquiry *q, iol_weighing *w) {
    iol_case altered = *q->eye->c;
    for (int place = 0; place < 3; place++) {
        double value = iol_digits_swapped(q->eye->c->biometry.axial_length_mm, place);
        if (!usual("biometry", "axial_length_mm", value)) continue;
        altered.biometry.axial_length_mm = value;
        candidate(q, &altered, true, true, value, NULL, w);
    }
}

static void swap_cornea(const iol_inquiry *q, iol_weighing *w) {
    static const struct {
        const char *key;
        size_t at;
    } row[] = {{"k_flat_d", offsetof(iol_biometry, k_flat_d)},
               {"k_steep_d", offsetof(iol_biometry, k_steep_d)},
               {"k_flat_radius_mm", offsetof(iol_biometry, k_flat_radius_mm)},
               {"k_steep_radius_mm", offsetof(iol_biometry, k_steep_radius_mm)}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++)
        for (int place = 0; place < 3; place++) {
            iol_case altered = *q->eye->c;
            double *at = (double *)(void *)((char *)&altered.biometry + row[i].at);
            double value = iol_digits_swapped(*at, place);
            if (!usual("biometry", row[i].key, value)) continue;
            *at = value;
            candidate(q, &altered, true, true, value, row[i].key, w);
        }
}

static bool on_grid(double power_d) { return fmod(fabs(power_d), c_power_grid_d) == 0.0; }

static void swap_power(const iol_inquiry *q, iol_weighing *w) {
    iol_case altered = *q->eye->c;
    for (int place = 0; place < 3; place++) {
        double value = iol_digits_swapped(q->eye->c->first_surgery.lens.power_d, place);
        bool plausible = iol_at_most(fabs(value), c_swap_power_most_d) == IOL_YES && on_grid(value);
        if (!plausible) continue;
        altered.first_surgery.lens.power_d = value;
        candidate(q, &altered, true, true, value, NULL, w);
    }
}

/* ---- other figures ---- */

static void other_sign(const iol_inquiry *q, iol_weighing *w) {
    iol_case altered = *q->eye->c;
    double power = altered.first_surgery.lens.power_d;
    if (iol_at_most(fabs(power), c_minus_lens_most_d) != IOL_YES || power == 0.0) return;
    altered.first_surgery.lens.power_d = -power;
    candidate(q, &altered, true, true, -power, NULL, w);
}

static void other_eye(const iol_inquiry *q, iol_flag state, iol_weighing *w) {
    iol_case altered = *q->eye->c;
    altered.biometry = altered.fellow_eye.biometry;
    if (isnan(altered.biometry.axial_length_mm)) return; /* else a reading without a lens, or through two, would give its length */
    candidate(q, &altered, state != IOL_NO, true, altered.biometry.axial_length_mm, NULL, w);
}

static void first_alone(const iol_inquiry *q, iol_weighing *w) {
    candidate(q, q->eye->c, false, true, q->eye->c->biometry.axial_length_mm, NULL, w);
}

static void other_index(const iol_inquiry *q, iol_weighing *w) {
    const double index[] = {c_keratometric_index, c_suspect_index_low, c_suspect_index_mid, c_suspect_index_third};
    const iol_biometry *b = &q->eye->c->biometry;
    double stated = isnan(b->keratometric_index) ? c_keratometric_index : b->keratometric_index;
    if (isnan(b->k_flat_d) && isnan(b->k_steep_d)) return;
    for (size_t i = 0; i < sizeof index / sizeof *index; i++) {
        iol_case altered = *q->eye->c;
        if (fabs(index[i] - stated) < 1e-4) continue;
        altered.biometry.keratometric_index = index[i];
        candidate(q, &altered, true, true, index[i], NULL, w);
    }
}

static void other_constants(const iol_inquiry *q, iol_weighing *w) {
    const iol_site *site = q->eye->site;
    const iol_constants *own = q->eye->old.given;
    for (int i = 0; i < site->lenses_count; i++) {
        const iol_shelf_lens *shelf = &site->lenses[i];
        iol_case altered = *q->eye->c;
        if (shelf->constants.a_constant == own->a_constant || isnan(shelf->constants.a_constant)) continue;
        altered.first_surgery.lens.constants = shelf->constants;
        altered.first_surgery.lens.constants.for_position = own->for_position;
        candidate(q, &altered, false, true, shelf->constants.a_constant, shelf->id, w);
    }
}

/* An ultrasound constant sits lower than the optical one of the same lens; the shift of position is the same for every formula. */
static void ultrasound_constant(const iol_inquiry *q, iol_flag state, iol_weighing *w) {
    double shift = c_ultrasound_constant_less * c_nominal_position_slope, forward = moved(q, -shift);
    bool optical = q->eye->c->first_surgery.lens.constants.obtained_with == IOL_obtained_with_optical;
    if (!optical) iol_inquiry_weigh(q, EYE, moved(q, shift), w);
    if (state != IOL_YES && sheet_allows(q, q->eye->c, forward)) iol_inquiry_weigh(q, CHOICE, -forward, w);
    set_value(w, c_ultrasound_constant_less, NAN, NULL);
}

/* ---- sheet and target ---- */

static void sheet(const iol_inquiry *q, iol_weighing *w) {
    const iol_first_surgery *first = &q->eye->c->first_surgery;
    int formula = sheet_formula(q->eye->c);
    if (formula < 0) return;
    iol_case foreseen =
        *q->eye->c; /* a sheet is printed for the bag, and one that knows of no laser reads the cornea as it is */
    foreseen.first_surgery.lens.position = IOL_position_bag;
    double bag = predicted(q, (iol_formula)formula, &foreseen, IOL_EYE_POOLED);
    foreseen.cornea.earlier_refractive_surgery = IOL_corneal_surgery_none;
    double plain_cornea = predicted(q, (iol_formula)formula, &foreseen, IOL_EYE_POOLED);
    double ours = predicted(q, (iol_formula)formula, q->eye->c, IOL_EYE_POOLED), apart = ours - first->sheet_se_d;
    if (iol_above(fabs(apart), c_sheet_differs_d) != IOL_YES) return;
    if (iol_at_most(fabs(bag - first->sheet_se_d), c_sheet_differs_d) == IOL_YES) return;
    if (iol_at_most(fabs(plain_cornea - first->sheet_se_d), c_sheet_differs_d) == IOL_YES) return;
    iol_inquiry_weigh(q, CHOICE, apart, w);
    set_value(w, first->sheet_se_d, ours, NULL);
}

/* The sheet's formula says something else of this lens than the reference formula. */
static void other_formula(const iol_inquiry *q, iol_weighing *w) {
    int formula = sheet_formula(q->eye->c);
    if (formula < 0 || formula == (int)q->joint->formula) return;
    double theirs = predicted(q, (iol_formula)formula, q->eye->c, IOL_EYE_POOLED);
    iol_inquiry_weigh(q, CHOICE, q->predicted_d - theirs, w);
    set_value(w, theirs, q->predicted_d, iol_formulas[formula].name);
}

static void target_sign(const iol_inquiry *q, iol_weighing *w) {
    double meant = q->eye->intended_se_d;
    if (iol_above(fabs(2.0 * meant), c_suspect_left_d) != IOL_YES) return;
    iol_inquiry_weigh(q, CHOICE, -2.0 * meant, w);
    set_value(w, -meant, NAN, NULL);
}

/* ---- the lens in its place ---- */

static void sulcus(const iol_inquiry *q, iol_flag state, iol_weighing *w) {
    if (state == IOL_YES)
        iol_inquiry_weigh(q, CHOICE, -moved(q, -q->eye->old.shift_mm), w);
    else
        iol_inquiry_weigh(q, EYE, moved(q, c_shift_sulcus_mm), w);
}

/* A measured depth outweighs what its build says: where it contradicts, there is no number. */
static void turned_over(const iol_inquiry *q, iol_flag state, iol_weighing *w) {
    double shift_mm = iol_suspect_reversed_mm(q->eye), gap_mm = q->joint->depth_gap_mm;
    bool contradicted = iol_above(fabs(gap_mm - shift_mm), c_depth_shallow_mm) == IOL_YES;
    if (state == IOL_YES || !contradicted) iol_inquiry_weigh(q, EYE, moved(q, shift_mm), w);
}

static void pressed(const iol_inquiry *q, iol_weighing *w) {
    iol_case altered = *q->eye->c;
    altered.biometry.axial_length_mm += c_contact_pressed_mm;
    candidate(q, &altered, true, false, c_contact_pressed_mm, NULL, w);
}

/* The measured depth of the lens, or the fall from reading to reading: how far fluid has pushed it. */
static void fluid(const iol_inquiry *q, iol_weighing *w) {
    double gap = q->joint->depth_gap_mm, fall = q->eye->now.drift_d;
    if (iol_below(gap, -c_depth_shallow_mm) == IOL_YES)
        iol_inquiry_weigh(q, EYE, moved(q, gap), w);
    else if (iol_at_most(fall, c_fluid_miss_d) == IOL_YES)
        iol_inquiry_weigh(q, EYE, fall, w);
}

/* What is printed for the age, where the length was not measured again: then the prediction holds it already. */
static void grown(const iol_inquiry *q, iol_weighing *w) {
    if (q->eye->grown_d > 0.0) iol_inquiry_weigh(q, EYE, 0.0 - q->eye->grown_d, w);
    set_value(w, q->eye->grown_mm, NAN, NULL);
}

static void toric_axis(const iol_inquiry *q, iol_weighing *w) {
    const iol_lens *lens = &q->eye->c->first_surgery.lens;
    bool known;
    iol_matrix shape = iol_estimate_astigmatism(q->eye, q->joint, &known), at_cornea, spectacle;
    double p = q->joint->posterior_p0_d, half = lens->cylinder_d / 2.0;
    if (!known || !q->eye->old.axis_known || isnan(lens->axis_intended_deg)) return;
    iol_model m = q->joint->posterior;
    iol_matrix cornea = iol_matrix_add(iol_matrix_scalar(m.cornea_d), shape);
    iol_matrix meant = iol_matrix_from_meridians(p - half, p + half, lens->axis_intended_deg);
    if (iol_matrix_refraction(cornea, m.length_mm, m.position_mm, meant, &at_cornea) < 0) return;
    if (iol_matrix_step(at_cornea, -q->eye->vertex_mm / 1000.0, &spectacle) < 0) return;
    iol_inquiry_weigh(q, IOL_miss_part_cylinder, q->cylinder_d - iol_matrix_cylinder(spectacle), w);
    set_value(w, fabs(iol_axis_turn(lens->axis_intended_deg, lens->axis_deg)), NAN, NULL);
}

/* ---- the reading ---- */

/* The eye part that an altered reading takes away. */
static double reading_miss(const iol_inquiry *q, const iol_case *altered, double *spectacle_d) {
    iol_eye eye;
    double predicted_d = NAN;
    eye_of(q, altered, IOL_EYE_POOLED, &eye);
    iol_refraction_of(q->joint->prior, q->joint->p0_d, eye.vertex_mm, &predicted_d);
    *spectacle_d = eye.now.spectacle_d;
    return q->eye_part_d - (eye.now.spectacle_d - predicted_d);
}

/* The sign was lost on the way: which one hangs on the form that was written first, and that is not known. Both are tried. */
static void cylinder_sign(const iol_inquiry *q, iol_weighing *w) {
    double spectacle;
    for (int sign = -1; sign <= 1; sign += 2) {
        iol_case altered = *q->eye->c;
        iol_weighing trial = *w;
        for (int i = 0; i < altered.refractions_count; i++) {
            iol_refraction *r = &altered.refractions[i];
            if (sign * r->cylinder_d < 0.0) r->sphere_d += 2.0 * r->cylinder_d; /* the other form of the same reading */
            r->cylinder_d *= -1.0;
        }
        iol_inquiry_weigh(q, EYE, reading_miss(q, &altered, &spectacle), &trial);
        if (w->any && trial.best.unexplained_d == w->best.unexplained_d) continue;
        *w = trial;
        set_value(w, spectacle, NAN, NULL);
    }
}

static void vertex(const iol_inquiry *q, iol_weighing *w) {
    const double distance[] = {c_vertex_near_mm, c_vertex_far_mm};
    double spectacle;
    if (q->eye->now.vertex_given) return;
    for (size_t k = 0; k < sizeof distance / sizeof *distance; k++) {
        iol_case altered = *q->eye->c;
        iol_weighing trial = *w;
        for (int i = 0; i < altered.refractions_count; i++) altered.refractions[i].vertex_mm = distance[k];
        iol_inquiry_weigh(q, EYE, reading_miss(q, &altered, &spectacle), &trial);
        if (w->any && trial.best.unexplained_d == w->best.unexplained_d) continue;
        *w = trial;
        set_value(w, distance[k], NAN, NULL);
    }
}

/* Every power fits: the one that the refraction needs. */
static void any_power(const iol_inquiry *q, iol_weighing *w) {
    if (isnan(q->joint->needed[IOL_P])) return;
    iol_inquiry_weigh(q, EYE, q->eye_part_d, w);
    set_value(w, q->joint->needed[IOL_P], NAN, NULL);
}

void iol_inquiry_run(const iol_inquiry *q, iol_suspect_id id, iol_flag state, iol_weighing *w) {
    if (!q->joint || isnan(q->predicted_d)) return;
    switch (id) {
    case IOL_SUSPECT_selection:
        iol_inquiry_weigh(q, CHOICE, q->selection_d, w);
        set_value(w, q->predicted_d, NAN, NULL);
        break;
    case IOL_SUSPECT_wrong_lens:
        iol_inquiry_weigh(q, CHOICE, q->selection_d, w);
        set_value(w, q->eye->old.power_d, q->eye->c->first_surgery.meant_lens.power_d, NULL);
        break;
    case IOL_SUSPECT_fellow_eye: other_eye(q, state, w); break;
    case IOL_SUSPECT_first_biometry: first_alone(q, w); break;
    case IOL_SUSPECT_swapped_length: swap_length(q, w); break;
    case IOL_SUSPECT_swapped_cornea: swap_cornea(q, w); break;
    case IOL_SUSPECT_swapped_power: swap_power(q, w); break;
    case IOL_SUSPECT_index: other_index(q, w); break;
    case IOL_SUSPECT_other_constant: other_constants(q, w); break;
    case IOL_SUSPECT_ultrasound: ultrasound_constant(q, state, w); break;
    case IOL_SUSPECT_sheet: sheet(q, w); break;
    case IOL_SUSPECT_other_formula: other_formula(q, w); break;
    case IOL_SUSPECT_target_sign: target_sign(q, w); break;
    case IOL_SUSPECT_lens_sign: other_sign(q, w); break;
    case IOL_SUSPECT_sulcus: sulcus(q, state, w); break;
    case IOL_SUSPECT_reversed: turned_over(q, state, w); break;
    case IOL_SUSPECT_fluid: fluid(q, w); break;
    case IOL_SUSPECT_contact: pressed(q, w); break;
    case IOL_SUSPECT_growth: grown(q, w); break;
    case IOL_SUSPECT_toric_axis: toric_axis(q, w); break;
    case IOL_SUSPECT_cylinder_sign: cylinder_sign(q, w); break;
    case IOL_SUSPECT_vertex: vertex(q, w); break;
    case IOL_SUSPECT_another_lens:
    case IOL_SUSPECT_label: any_power(q, w); break;
    default: break; /* a cause without a number */
    }
}
