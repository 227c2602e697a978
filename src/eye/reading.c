/* Which refraction: the newest usable one and those that agree with it. */
#include "case/acuity.h"
#include "eye.h"
#include "tables/constants.h"
#include "tables/say.h"
#include "text/dates.h"
#include "tables/note_codes.h"

/* Every reading, as a matrix at the cornea. */
typedef struct {
    bool usable;
    iol_matrix at_cornea;
    double se_d, sphere_d, vertex_mm; /* as written */
    bool vertex_given, stated, poor;
    int32_t on;
} reading;

/* Tilted or off centre by more than is ordinary. */
static iol_flag lies_askew(const iol_lens *lens) {
    return iol_or(iol_above(lens->tilt_deg, iol_eye_tilt_limit(lens)),
                  iol_above(lens->decentration_mm, c_decentration_matters_mm));
}

iol_flag iol_eye_lens_moved(const iol_case *c) {
    static const int moved[] = {IOL_reason_lens_tilt, IOL_reason_lens_decentration, IOL_reason_lens_dislocation};
    iol_flag found = lies_askew(&c->first_surgery.lens);
    for (size_t i = 0; i < sizeof moved / sizeof *moved; i++) found = iol_or(found, iol_case_has_reason(c, moved[i]));
    for (int i = 0; i < c->refractions_count; i++)
        if (c->refractions[i].lens_then == IOL_lens_then_displaced) found = IOL_YES;
    return found;
}

static iol_flag lens_was_displaced(const iol_case *c, const iol_refraction *r) {
    if (r->lens_then > 0) return iol_is(r->lens_then, IOL_lens_then_displaced);
    return iol_case_has_reason(c, IOL_reason_lens_opacity) == IOL_YES ? IOL_NO : iol_eye_lens_moved(c);
}

static iol_flag lens_was_in_place(const iol_case *c, const iol_refraction *r) {
    if (r->lens_then > 0) return iol_is(r->lens_then, IOL_lens_then_in_place);
    if (lies_askew(&c->first_surgery.lens) == IOL_YES) return IOL_NO;
    static const int moved[] = {IOL_reason_lens_tilt, IOL_reason_lens_decentration, IOL_reason_lens_dislocation,
                                IOL_reason_lens_opacity};
    for (size_t i = 0; i < sizeof moved / sizeof *moved; i++)
        if (iol_case_has_reason(c, moved[i]) == IOL_YES) return IOL_NO;
    return IOL_YES;
}

/* Readings of an eye that is read without a lens are those that say so. None taken in theatre counts. */
static bool counts(const iol_eye *eye, const iol_refraction *r) {
    if (r->with == IOL_reading_with_theatre) return false;
    if (eye->aphakic) return r->lens_then == IOL_lens_then_aphakic;
    return lens_was_in_place(eye->c, r) == IOL_YES;
}

static bool displaced_counts(const iol_eye *eye, const iol_refraction *r) {
    if (r->with == IOL_reading_with_theatre || eye->aphakic) return false;
    return lens_was_displaced(eye->c, r) == IOL_YES;
}

static double assumed_vertex(const iol_eye *eye, iol_notes *notes) {
    double habit = eye->site->habits.vertex_mm;
    return isnan(habit) ? iol_or_assume(NAN, c_vertex_mm, IOL_NOTE_assume_vertex, NULL, notes)
                        : iol_or_assume(NAN, habit, IOL_NOTE_assume_vertex_site, NULL, notes);
}

/* was: whether the lens was as this kind of reading wants it. */
static reading read_one(const iol_eye *eye, const iol_refraction *r, bool was, iol_notes *notes) {
    bool contact = r->with == IOL_reading_with_contact_lens;
    reading out = {.on = r->measured_on,
                   .sphere_d = r->sphere_d,
                   .vertex_mm = contact ? 0.0 : r->vertex_mm,
                   .vertex_given = contact || !isnan(r->vertex_mm)};
    iol_flag oil = r->oil_then != IOL_UNKNOWN ? r->oil_then : eye->c->silicone_oil.at_refraction;
    out.stated = r->lens_then > 0 && (r->with > 0 || r->method == IOL_refraction_method_manifest ||
                                      r->method == IOL_refraction_method_cycloplegic);
    out.usable = !isnan(r->sphere_d) && was && oil != IOL_YES &&
                 !eye->fluid_seen; /* none tells what the eye will be without the fluid */
    if (!out.usable) return out;
    if (!out.vertex_given) out.vertex_mm = assumed_vertex(eye, notes);
    double cylinder = isnan(r->cylinder_d) ? 0.0 : r->cylinder_d;
    iol_matrix spectacle = iol_matrix_from_spherocylinder((iol_spherocylinder){r->sphere_d, cylinder, r->axis_deg});
    out.se_d = r->sphere_d + cylinder / 2.0;
    out.poor = iol_above(iol_acuity_corrected(r), c_acuity_poor_logmar) == IOL_YES;
    out.usable = iol_matrix_step(spectacle, out.vertex_mm / 1000.0, &out.at_cornea) == IOL_OK;
    return out;
}

/* Compared at the newest reading's own plane, so that two readings at one vertex are compared as written. */
static bool agrees(const reading *a, const reading *newest, int32_t done_on) {
    iol_matrix here, there, gap;
    iol_flag apart = iol_at_least(fabs(iol_days_from(a->on, newest->on)), c_reading_apart_days);
    iol_flag late = iol_at_least(iol_days_from(done_on, a->on), c_reading_first_day);
    if (!a->usable || !a->stated || iol_and(apart, late) != IOL_YES) return false;
    double back_m = -newest->vertex_mm / 1000.0;
    if (iol_matrix_step(a->at_cornea, back_m, &here) < 0 || iol_matrix_step(newest->at_cornea, back_m, &there) < 0)
        return false;
    gap = iol_matrix_subtract(here, there);
    return iol_at_most(fabs(iol_matrix_mean(gap)), c_reading_agree_d) == IOL_YES &&
           iol_at_most(iol_matrix_cylinder(gap), c_reading_agree_d) == IOL_YES;
}

static double reading_sd(const iol_eye *eye, const iol_refraction *r, const iol_reading *now) {
    const int readings = now->readings;
    const double day = now->day;
    if (!isnan(eye->site->spread.refraction_d)) return eye->site->spread.refraction_d;
    if (iol_at_least(day, c_reading_first_day) != IOL_YES) return sd_refraction_early_d;
    bool subjective = r->method == IOL_refraction_method_manifest || r->method == IOL_refraction_method_cycloplegic;
    double sd = readings > 1 ? sd_refraction_mean_d : subjective ? sd_refraction_manifest_d : sd_refraction_auto_d;
    if (now->poor && sd < sd_refraction_poor_d) sd = sd_refraction_poor_d;
    return day < c_reading_stable_day ? hypot(sd, sd_refraction_settling_d) : sd;
}

/* The spread of a reading taken without a lens, at the plane of the plan's refractions: a strong one is less sure, and so is the
 * distance of its spectacles; a contact lens has none. */
static double sd_without_lens(const iol_reading *now, bool contact, double sd) {
    double at_cornea_d = iol_matrix_mean(now->at_cornea), plane = now->spectacle_d / at_cornea_d;
    double vertex_mm = now->vertex_given ? sd_vertex_mm : sd_vertex_assumed_mm;
    if (iol_above(now->strongest_d, c_aphakic_strong_d) == IOL_YES) sd = fmax(sd, sd_refraction_aphakic_d);
    return contact ? sd * plane * plane : hypot(sd, vertex_mm / 1000.0 * now->spectacle_d * now->spectacle_d);
}

/* A contact lens reading is told at the plane of spectacles, as every other refraction of the plan. */
static void to_spectacles(const iol_eye *eye, iol_notes *notes, iol_reading *now) {
    now->vertex_mm = assumed_vertex(eye, notes);
    now->usable = iol_vertex_to_spectacle(iol_matrix_mean(now->at_cornea), now->vertex_mm, &now->spectacle_d) == IOL_OK;
}

/* The mean of the readings that agree with number `newest`. */
static void average(const iol_eye *eye, const reading all[], int count, int newest, iol_reading *now) {
    int32_t done_on = eye->c->first_surgery.done_on;
    iol_matrix sum = all[newest].at_cornea;
    now->readings = 1;
    now->strongest_d = fmax(fabs(all[newest].se_d), fabs(all[newest].sphere_d));
    now->poor = all[newest].poor;
    for (int i = 0; i < count; i++) {
        if (i == newest || !agrees(&all[i], &all[newest], done_on)) continue;
        sum = iol_matrix_add(sum, all[i].at_cornea);
        now->readings++;
        now->poor = now->poor || all[i].poor;
        now->strongest_d = fmax(now->strongest_d, fmax(fabs(all[i].se_d), fabs(all[i].sphere_d)));
    }
    now->at_cornea = iol_matrix_scale(sum, 1.0 / now->readings);
    now->vertex_mm = all[newest].vertex_mm;
    now->vertex_given = all[newest].vertex_given;
    now->with_given = eye->c->refractions[newest].with > 0;
    now->oil = eye->c->refractions[newest].oil_then;
    now->read_on = all[newest].on;
    now->day = iol_days_from(done_on, all[newest].on);
    now->usable = iol_vertex_to_spectacle(iol_matrix_mean(now->at_cornea), now->vertex_mm, &now->spectacle_d) == IOL_OK;
}

static double greatest_fall(const reading all[], int count) {
    double fall = NAN;
    for (int i = 0; i < count; i++)
        for (int k = i + 1; k < count; k++)
            if (all[i].usable && all[k].usable) fall = fmin(fall, all[k].se_d - all[i].se_d);
    return fall;
}

/* "day 5 and day 12", or "one after the other" when a day is not known. */
static void say_days(double from, double to, char out[40]) {
    out[0] = '\0';
    if (isnan(from) || isnan(to)) {
        iol_append(out, 40, "one after the other");
        return;
    }
    iol_append(out, 40, "day ");
    iol_append_number(out, 40, from);
    iol_append(out, 40, " and day ");
    iol_append_number(out, 40, to);
}

/* The last usable reading before the newest that does not agree with it: the movement is told with both. */
static void find_movement(const iol_eye *eye, const reading all[], int newest, iol_notes *notes, iol_reading *now) {
    int32_t done_on = eye->c->first_surgery.done_on;
    for (int i = newest - 1; i >= 0; i--) {
        if (!all[i].usable) continue;
        if (iol_above(fabs(all[newest].se_d - all[i].se_d), c_reading_agree_d) != IOL_YES) return;
        char days[40];
        now->moved_from_d = all[i].se_d;
        now->moved_to_d = all[newest].se_d;
        now->moved_from_day = iol_days_from(done_on, all[i].on);
        say_days(iol_days_from(done_on, all[i].on), iol_days_from(done_on, all[newest].on), days);
        iol_note_add(notes, IOL_AT_plan_cautions, 0, IOL_NOTE_readings_moved, now->moved_from_d, now->moved_to_d, days);
        return;
    }
}

/* What bears on the reading that counts. */
static void say_doubts(const iol_eye *eye, const iol_refraction *r, iol_notes *notes) {
    const iol_case *c = eye->c;
    iol_flag behind =
        iol_and(iol_is(c->retina.macula, IOL_macula_normal), iol_is(c->first_surgery.lens.opacity, IOL_opacity_none));
    iol_flag clear = iol_and(behind, iol_from_bool(c->cornea.oedema != IOL_YES)); /* what would explain it */
    if (iol_and(clear, iol_at_least(r->corrected_acuity_logmar, c_acuity_scale_logmar)) == IOL_YES)
        iol_note_add(notes, IOL_AT_plan_cautions, 0, IOL_NOTE_acuity_scale, r->corrected_acuity_logmar, NAN, NULL);
    bool opened = c->capsule.posterior == IOL_posterior_capsule_opened_by_laser;
    if (opened && r->measured_on != IOL_UNKNOWN_DATE && c->capsule.opened_on > r->measured_on)
        iol_note_add(notes, IOL_AT_plan_cautions, 0, IOL_NOTE_capsule_opened_since, NAN, NAN, NULL);
}

/* The readings of one kind: in place, or displaced. Returns the newest that counts, or -1. */
static int gather(const iol_eye *eye, bool (*was)(const iol_eye *, const iol_refraction *), iol_notes *notes,
                  iol_reading *out) {
    const iol_case *c = eye->c;
    reading all[16];
    int newest = -1;
    *out = (iol_reading){.spectacle_d = NAN,
                         .vertex_mm = NAN,
                         .day = NAN,
                         .sd_d = NAN,
                         .drift_d = NAN,
                         .moved_from_d = NAN,
                         .moved_to_d = NAN,
                         .moved_from_day = NAN,
                         .read_on = IOL_UNKNOWN_DATE};
    for (int i = 0; i < c->refractions_count; i++) {
        all[i] = read_one(eye, &c->refractions[i], was(eye, &c->refractions[i]), notes);
        if (all[i].usable) newest = i;
    }
    if (newest < 0) return -1;
    const iol_refraction *r = &c->refractions[newest];
    average(eye, all, c->refractions_count, newest, out);
    bool contact = r->with == IOL_reading_with_contact_lens || (eye->aphakic && all[newest].vertex_mm == 0.0);
    if (contact) to_spectacles(eye, notes, out);
    out->drift_d = greatest_fall(all, c->refractions_count);
    find_movement(eye, all, newest, notes, out);
    out->place_stated = all[newest].stated;
    for (int i = 0; i < c->refractions_count; i++) {
        /* One without its figures, or of which it is not said how the lens lay: a later one, or, beside a displaced one, any that
         * may have been taken in place. */
        const bool matters = i > newest || was == displaced_counts;
        if (isnan(c->refractions[i].sphere_d) || (matters && c->refractions[i].lens_then <= 0)) out->place_stated = false;
    }
    out->subjective = r->method == IOL_refraction_method_manifest || r->method == IOL_refraction_method_cycloplegic;
    out->sd_d = reading_sd(eye, r, out);
    if (eye->aphakic) out->sd_d = sd_without_lens(out, contact, out->sd_d);
    return newest;
}

static void say_assumed(const iol_eye *eye, const iol_refraction *r, const iol_reading *now, iol_notes *notes) {
    if (isnan(r->cylinder_d))
        iol_note_add(notes, IOL_AT_plan_assumptions, 0, IOL_NOTE_assume_no_cylinder, 0.0, NAN, NULL);
    if (r->lens_then <= 0)
        iol_note_add(notes, IOL_AT_plan_assumptions, 0,
                     now == &eye->moved ? IOL_NOTE_assume_displaced : IOL_NOTE_assume_in_place, NAN, NAN, "in-place");
    if (!isnan(eye->site->spread.refraction_d)) return;
    if (isnan(now->day))
        iol_note_add(notes, IOL_AT_plan_assumptions, 0, IOL_NOTE_assume_day, now->sd_d, NAN, NULL);
    else if (r->method <= 0)
        iol_note_add(notes, IOL_AT_plan_assumptions, 0, IOL_NOTE_assume_method, now->sd_d, NAN, NULL);
}

void iol_eye_reading(iol_eye *eye, iol_notes *notes) {
    const iol_case *c = eye->c;
    eye->fluid_seen = c->anterior_segment.fluid_behind_lens == IOL_finding_yes;
    eye->fluid_at_a_reading = IOL_NO;
    for (int i = 0; i < c->refractions_count; i++)
        eye->fluid_at_a_reading =
            iol_or(eye->fluid_at_a_reading, iol_from_bool(c->refractions[i].lens_then == IOL_lens_then_fluid_behind));
    int placed = gather(eye, counts, notes, &eye->now);
    int displaced = gather(eye, displaced_counts, notes, &eye->moved);
    if (placed >= 0) say_doubts(eye, &c->refractions[placed], notes);
    if (placed >= 0) say_assumed(eye, &c->refractions[placed], &eye->now, notes);
    if (displaced >= 0) say_assumed(eye, &c->refractions[displaced], &eye->moved, notes);
}
