/* Which biometry: first and repeat pooled, or the repeat alone when they disagree. */
#include "child.h"
#include "eye.h"
#include "tables/constants.h"
#include "tables/note_codes.h"

typedef struct {
    double length_mm, sd_length_mm;
    double k_d, sd_k_d; /* at index 1.3375 */
    iol_matrix keratometry;
    bool axis_known;
} measured;

/* Repeat biometry is of an eye with a lens in it unless it says otherwise. */
static double length_sd(const iol_eye *eye, const iol_biometry *b, int state) {
    if (!isnan(eye->site->spread.axial_length_mm)) return eye->site->spread.axial_length_mm;
    double sd = sd_length_contact_mm;
    if (state == IOL_eye_state_silicone_oil || eye->c->silicone_oil.at_measurement == IOL_YES)
        sd = sd_length_oil_mm;
    else if (b->method == IOL_biometry_method_optical)
        sd = state == IOL_eye_state_pseudophakic ? sd_length_pseudophakic_mm : sd_length_optical_mm;
    else if (b->method == IOL_biometry_method_immersion_ultrasound)
        sd = sd_length_immersion_mm;
    bool far = iol_between(b->axial_length_mm, c_spread_length_short_mm, c_spread_length_long_mm) == IOL_NO;
    return far ? sd * c_spread_length_factor : sd;
}

static double cornea_sd(const iol_eye *eye) {
    if (!isnan(eye->site->spread.cornea_d)) return eye->site->spread.cornea_d;
    const iol_cornea *cornea = &eye->c->cornea;
    int surgery = cornea->earlier_refractive_surgery;
    if (cornea->surface == IOL_surface_ectatic || surgery == IOL_corneal_surgery_radial_cuts)
        return sd_cornea_ectatic_d;
    if (surgery == IOL_corneal_surgery_myopic_laser || surgery == IOL_corneal_surgery_hyperopic_laser)
        return sd_cornea_laser_d;
    bool calm = cornea->surface == IOL_surface_regular && cornea->ocular_surface != IOL_ocular_surface_dry;
    return calm ? sd_cornea_regular_d : sd_cornea_irregular_d;
}

/* One meridian at index 1.3375: from its radius, or from dioptres with the index that the keratometer used. */
static double meridian_d(double k_d, double radius_mm, double index) {
    double radius = isnan(radius_mm) ? 1000.0 * (index - 1.0) / k_d : radius_mm;
    return 1000.0 * (c_keratometric_index - 1.0) / radius;
}

/* From the flat to the steep meridian; NaN where one of them is not measured. */
static double between_meridians(const iol_biometry *b) {
    double index = isnan(b->keratometric_index) ? c_keratometric_index : b->keratometric_index;
    return meridian_d(b->k_steep_d, b->k_steep_radius_mm, index) - meridian_d(b->k_flat_d, b->k_flat_radius_mm, index);
}

/* One meridian alone: the other lies from it as far as in the other biometry of the eye, else where it does itself. */
static void other_meridian(const iol_biometry *other, double *flat, double *steep, iol_notes *notes) {
    double known = isnan(*flat) ? *steep : *flat, apart = other ? between_meridians(other) : NAN;
    if (isnan(apart))
        iol_note_add(notes, IOL_AT_plan_assumptions, 0, IOL_NOTE_assume_one_k, known, NAN, NULL);
    else
        iol_note_add(notes, IOL_AT_plan_assumptions, 0, IOL_NOTE_assume_other_meridian, known, apart, NULL);
    if (isnan(apart)) apart = 0.0;
    if (isnan(*flat))
        *flat = known - apart;
    else
        *steep = known + apart;
}

static measured read_one(const iol_eye *eye, const iol_biometry *b, iol_notes *notes) {
    bool dioptres = !isnan(b->k_flat_d) || !isnan(b->k_steep_d);
    double index = c_keratometric_index;
    if (dioptres)
        index = iol_or_assume(b->keratometric_index, c_keratometric_index, IOL_NOTE_assume_index, NULL, notes);
    double flat = meridian_d(b->k_flat_d, b->k_flat_radius_mm, index);
    double steep = meridian_d(b->k_steep_d, b->k_steep_radius_mm, index);
    bool both = isnan(flat) == isnan(steep);
    const iol_case *c = eye->c;
    bool repeat = b == &c->biometry_repeat;
    const iol_biometry *other = repeat ? &c->biometry : b == &c->biometry ? &c->biometry_repeat : NULL;
    if (!both) other_meridian(other, &flat, &steep, notes);
    int state = b->eye_state > 0 ? b->eye_state : repeat ? IOL_eye_state_pseudophakic : IOL_eye_state_phakic;
    measured m = {
        .length_mm = b->axial_length_mm, .sd_length_mm = length_sd(eye, b, state), .k_d = (flat + steep) / 2.0};
    m.sd_k_d = cornea_sd(eye);
    m.axis_known = !isnan(b->k_steep_axis_deg) && both && !isnan(flat);
    m.keratometry =
        m.axis_known ? iol_matrix_from_meridians(flat, steep, b->k_steep_axis_deg + 90.0) : iol_matrix_scalar(m.k_d);
    if (both && !m.axis_known && flat != steep && !isnan(flat))
        iol_note_add(notes, IOL_AT_plan_cautions, 0, IOL_NOTE_k_axis_missing, NAN, NAN, NULL);
    return m;
}

/* Inverse-variance mean of a and b, or b alone when one of them is missing. */
static double pool(double a, double sd_a, double b, double sd_b, double *sd) {
    if (isnan(a) || isnan(b)) {
        *sd = isnan(b) ? sd_a : sd_b;
        return isnan(b) ? a : b;
    }
    double wa = 1.0 / (sd_a * sd_a), wb = 1.0 / (sd_b * sd_b);
    *sd = 1.0 / sqrt(wa + wb);
    return (a * wa + b * wb) / (wa + wb);
}

static bool apart(double a, double sd_a, double b, double sd_b, double limit) {
    double difference = fabs(a - b);
    return difference > c_pool_sigmas * hypot(sd_a, sd_b) || iol_above(difference, limit) == IOL_YES;
}

/* Keratometry before a corneal laser: as given, else that of today less the correction, else the middle of the bracket. */
static double before_laser(iol_eye *eye, const iol_laser_history *from, iol_notes *notes) {
    double change_d;
    eye->k_before_known = true;
    if (!isnan(from->k_before_d)) return from->k_before_d;
    if (iol_vertex_to_cornea(from->correction_d, from->correction_vertex_mm, &change_d) >= 0 &&
        !isnan(from->measured_d))
        return iol_or_assume(NAN, from->measured_d - change_d, IOL_NOTE_assume_k_before_worked, NULL, notes);
    eye->k_before_known = false;
    return isnan(eye->laser.k_d) ? NAN : iol_or_assume(NAN, c_laser_k_before_d, IOL_NOTE_assume_k_before, NULL, notes);
}

/* After corneal laser: the cornea of today by every witness, and the one before, which places the lens. */
static void alter_cornea(iol_eye *eye, iol_notes *notes) {
    const iol_cornea *c = &eye->c->cornea;
    bool myopic = c->earlier_refractive_surgery == IOL_corneal_surgery_myopic_laser;
    bool hyperopic = c->earlier_refractive_surgery == IOL_corneal_surgery_hyperopic_laser;
    eye->laser = (iol_laser_cornea){NAN, NAN, NAN, NAN, false, NAN, NAN};
    eye->radius_before_mm = eye->k_before_d = NAN;
    eye->k_before_known = false;
    if (!myopic && !hyperopic) return;
    const iol_laser_history from = {
        c->k_before_surgery_d, c->laser_correction_d, c_vertex_mm, eye->k_d, c->k_total_d, hyperopic};
    iol_cornea_after_laser(&from, &eye->laser);
    eye->k_before_d = before_laser(eye, &from, notes);
    eye->radius_before_mm = 1000.0 * (c_keratometric_index - 1.0) / eye->k_before_d;
    if (isnan(eye->laser.k_d)) return;
    iol_matrix shape = isnan(eye->k_d) ? iol_matrix_scalar(0.0) : iol_matrix_deviator(eye->keratometry);
    eye->k_d = eye->laser.k_d;
    eye->radius_mm = 1000.0 * (c_keratometric_index - 1.0) / eye->k_d;
    eye->keratometry = iol_matrix_add(iol_matrix_scalar(eye->k_d), shape);
    bool ectatic = c->surface == IOL_surface_ectatic;
    if (isnan(eye->site->spread.cornea_d)) /* two readings mislead alike */
        eye->sd_k_d = ectatic ? sd_cornea_ectatic_d : eye->laser.sd_d;
    if (!isnan(c->k_total_d))
        iol_note_add(notes, IOL_AT_plan_assumptions, 0, IOL_NOTE_assume_total_as_k, c->k_total_d, NAN, NULL);
}

static void use(iol_eye *eye, const measured *m) {
    eye->axial_length_mm = m->length_mm;
    eye->sd_length_mm = m->sd_length_mm;
    eye->k_d = m->k_d;
    eye->sd_k_d = m->sd_k_d;
    eye->radius_mm = 1000.0 * (c_keratometric_index - 1.0) / m->k_d;
    eye->keratometry = m->keratometry;
    eye->astigmatism_known = m->axis_known;
}

static measured pooled(const measured *first, const measured *repeat) {
    measured m = *repeat;
    m.length_mm = pool(first->length_mm, first->sd_length_mm, repeat->length_mm, repeat->sd_length_mm, &m.sd_length_mm);
    m.k_d = pool(first->k_d, first->sd_k_d, repeat->k_d, repeat->sd_k_d, &m.sd_k_d);
    m.axis_known = first->axis_known || repeat->axis_known;
    iol_matrix shape = repeat->axis_known ? repeat->keratometry : first->keratometry;
    if (first->axis_known && repeat->axis_known) {
        double share = pool(0.0, first->sd_k_d, 1.0, repeat->sd_k_d, &(double){0.0});
        shape = iol_matrix_add(iol_matrix_scale(first->keratometry, 1.0 - share),
                               iol_matrix_scale(repeat->keratometry, share));
    }
    m.keratometry = iol_matrix_add(iol_matrix_scalar(m.k_d), iol_matrix_deviator(shape));
    return m;
}

/* Age on a day; NaN when any of it is not known. */
static double age_on(const iol_eye *eye, int32_t day) {
    int32_t now = eye->c->assessed_on != IOL_UNKNOWN_DATE ? eye->c->assessed_on : eye->as_of;
    bool known = day != IOL_UNKNOWN_DATE && now != IOL_UNKNOWN_DATE;
    return known ? eye->c->age_years - ((double)now - (double)day) / c_days_a_year : NAN;
}

/* What a child's eye gained from the first length to a longer repeat, as far as it may have grown in that time. A first length
 * without a date was taken by the day of the operation. */
static double grown(const iol_eye *eye, const measured *first, const measured *repeat, iol_notes *notes) {
    const iol_case *c = eye->c;
    int32_t from = c->biometry.measured_on != IOL_UNKNOWN_DATE ? c->biometry.measured_on : c->first_surgery.done_on;
    double may = iol_child_growth_mm(age_on(eye, from), age_on(eye, c->biometry_repeat.measured_on));
    double longer = repeat->length_mm - first->length_mm;
    if (iol_above(longer, 0.0) != IOL_YES || iol_above(may, 0.0) != IOL_YES) return 0.0;
    iol_note_add(notes, IOL_AT_plan_assumptions, 0, IOL_NOTE_assume_growth, may, fmin(longer, may), NULL);
    return fmin(longer, may);
}

/* From the day of the length that is used (a repeat stands for the first), without one that of the operation, to that of the
 * reading, else to today. A length that the reading makes has nothing behind it. */
void iol_eye_growth(iol_eye *eye, iol_notes *notes) {
    const iol_case *c = eye->c;
    int32_t first = c->biometry.measured_on != IOL_UNKNOWN_DATE ? c->biometry.measured_on : c->first_surgery.done_on;
    int32_t now = c->assessed_on != IOL_UNKNOWN_DATE ? c->assessed_on : eye->as_of;
    int32_t read = eye->now.read_on != IOL_UNKNOWN_DATE ? eye->now.read_on : now;
    int32_t used = isnan(eye->axial_length_mm) ? c->first_surgery.done_on
                   : eye->length_repeated      ? c->biometry_repeat.measured_on
                                               : first;
    iol_child_moved since = iol_child_shift(age_on(eye, used), age_on(eye, read));
    iol_child_moved ever = iol_child_shift(age_on(eye, first), age_on(eye, read));
    const bool known = since.mean_d > 0.0 && !eye->length_from_reading;
    eye->grown_d = known ? since.mean_d : 0.0;
    eye->sd_grown_d = known ? iol_eye_factor(eye) * since.sd_d : 0.0;
    eye->may_have_grown = isnan(ever.mean_d) ? iol_and(iol_below(c->age_years, c_adult_years), IOL_UNKNOWN)
                                             : iol_at_least(ever.mean_d + 2.0 * ever.sd_d, c_child_moved_least_d);
    if (known) iol_note_add(notes, IOL_AT_plan_assumptions, 0, IOL_NOTE_assume_grown, since.mean_d, since.sd_d, NULL);
}

/* One biometry by itself; the site's factor widens its spreads here, those of the eye when the eye is made. */
static iol_figures figures(const iol_eye *eye, const measured *m) {
    double factor = iol_eye_factor(eye);
    return (iol_figures){m->length_mm, factor * m->sd_length_mm, m->k_d, factor * m->sd_k_d};
}

/* Each biometry by itself, as far as this eye is made of it. A cornea that was worked out stands as one figure. */
static void keep_figures(iol_eye *eye, int which, const measured *first, const measured *repeat) {
    static const iol_figures none = {NAN, NAN, NAN, NAN};
    iol_notes unheard;
    unheard.off = true;
    measured fellow = read_one(eye, &eye->c->fellow_eye.biometry, &unheard);
    eye->first = which == IOL_EYE_REPEAT_ONLY ? none : figures(eye, first);
    eye->repeat = which == IOL_EYE_FIRST_ONLY ? none : figures(eye, repeat);
    eye->fellow = figures(eye, &fellow);
    if (isnan(eye->laser.k_d)) return;
    eye->first.k_d = eye->k_d;
    eye->first.sd_k_d = iol_eye_factor(eye) * eye->sd_k_d;
    eye->repeat.k_d = NAN;
}

void iol_eye_biometry(iol_eye *eye, int which, iol_notes *notes) {
    const iol_case *c = eye->c;
    measured first = read_one(eye, &c->biometry, notes), repeat = read_one(eye, &c->biometry_repeat, notes);
    bool lens_inside =
        c->biometry.eye_state == IOL_eye_state_pseudophakic || c->biometry.eye_state == IOL_eye_state_aphakic;
    eye->chamber_depth_mm = lens_inside ? NAN : c->biometry.chamber_depth_mm;
    eye->lens_depth_mm = iol_case_no_lens(c) == IOL_YES ? NAN : c->biometry_repeat.lens_depth_mm; /* of which lens? */
    eye->length_repeated = !isnan(repeat.length_mm);
    eye->cornea_repeated = !isnan(repeat.k_d);
    double grown_mm = which == IOL_EYE_FIRST_ONLY ? 0.0 : grown(eye, &first, &repeat, notes);
    first.length_mm += grown_mm;
    eye->grown_mm = grown_mm;
    eye->conflict =
        apart(first.length_mm, first.sd_length_mm, repeat.length_mm, repeat.sd_length_mm, c_pool_length_mm) ||
        apart(first.k_d, first.sd_k_d, repeat.k_d, repeat.sd_k_d, c_pool_cornea_d);
    bool no_first = isnan(first.length_mm) && isnan(first.k_d);
    measured m = which == IOL_EYE_FIRST_ONLY ? first : which == IOL_EYE_REPEAT_ONLY ? repeat : pooled(&first, &repeat);
    if (eye->conflict && which == IOL_EYE_POOLED) {
        m = repeat;
        if (isnan(repeat.length_mm)) {
            m.length_mm = first.length_mm;
            m.sd_length_mm = first.sd_length_mm;
        }
        if (isnan(repeat.k_d)) {
            m.k_d = first.k_d;
            m.keratometry = first.keratometry;
            m.axis_known = first.axis_known;
        }
        iol_note_add(notes, IOL_AT_plan_cautions, 0, IOL_NOTE_measurements_in_conflict,
                     first.length_mm - repeat.length_mm, first.k_d - repeat.k_d, NULL);
    }
    use(eye, &m);
    alter_cornea(eye, notes);
    keep_figures(eye, which, &first, &repeat);
    if (no_first && (eye->length_repeated || eye->cornea_repeated)) {
        eye->from_repeat_only = true;
        iol_note_add(notes, IOL_AT_plan_assumptions, 0, IOL_NOTE_assume_repeat_first, NAN, NAN, "repeat");
    }
    if (isnan(eye->site->spread.cornea_d) && c->cornea.surface <= 0 && !isnan(m.k_d))
        iol_note_add(notes, IOL_AT_plan_assumptions, 0, IOL_NOTE_assume_surface, m.sd_k_d, NAN, NULL);
    if (!isnan(eye->site->spread.axial_length_mm)) return;
    if (!isnan(first.length_mm) && c->biometry.method <= 0)
        iol_note_add(notes, IOL_AT_plan_assumptions, 0, IOL_NOTE_assume_length_method, first.sd_length_mm, NAN, NULL);
    if (!isnan(repeat.length_mm) && c->biometry_repeat.method <= 0)
        iol_note_add(notes, IOL_AT_plan_assumptions, 0, IOL_NOTE_assume_length_method, repeat.sd_length_mm, NAN,
                     "repeat");
}
