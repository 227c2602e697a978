/* The facts of the miss, and of what spoils a reading. */
#include <string.h>

#include "alarms.h"
#include "tables/say.h"
#include "displaced.h"
#include "tables/constants.h"
#include "work.h"

/* Spherical equivalent of a written refraction; a cylinder that is not known makes it not known. */
static double equivalent(const iol_refraction *r) { return r->sphere_d + r->cylinder_d / 2.0; }

/* The newest reading taken with the lens in its place. */
double iol_reading_in_place(const iol_work *w) {
    const iol_case *c = w->c;
    if (w->eye.now.usable && !w->eye.aphakic) return w->eye.now.spectacle_d;
    double found = NAN;
    if (w->eye.fluid_seen) return NAN;
    for (int i = 0; i < c->refractions_count; i++)
        if (c->refractions[i].lens_then == IOL_lens_then_in_place) found = equivalent(&c->refractions[i]);
    return found;
}

/* Every refraction that is listed states its cylinder: none was only assumed to be 0, and none is kept back. */
static bool cylinder_stated(const iol_case *c) {
    for (int i = 0; i < c->refractions_count; i++)
        if (isnan(c->refractions[i].cylinder_d)) return false;
    return true;
}

static double cylinder_of(const iol_reading *read, bool stated) {
    iol_matrix spectacle;
    if (!stated || !read->usable || iol_matrix_step(read->at_cornea, -read->vertex_mm / 1000.0, &spectacle) < 0)
        return NAN;
    return iol_matrix_cylinder(spectacle);
}

/* Between the eyes in glasses. A reading may be one of a contact lens where it is not said what it was taken with: the larger. */
static double difference(const iol_eye *eye, double worn_d, double fellow_d) {
    const iol_reading *worn = iol_eye_worn(eye);
    double as_contact;
    if (worn->with_given || iol_vertex_to_spectacle(worn_d, worn->vertex_mm, &as_contact) < 0) return worn_d - fellow_d;
    return fabs(as_contact - fellow_d) > fabs(worn_d - fellow_d) ? as_contact - fellow_d : worn_d - fellow_d;
}

/* What the mixture says of gross causes. */
static void weigh(const iol_work *w, iol_facts *f) {
    const iol_mixture *m = iol_work_causes(w);
    double share[IOL_MIX_KINDS], most = 0.0;
    f->gross_probability = f->other_lens_probability = NAN;
    if (!m) return;
    iol_mixture_shares(m, share);
    f->gross_probability = iol_mixture_gross(m);
    f->other_lens_probability = share[IOL_MIX(another_lens)];
    for (int i = 0; i < IOL_GROSS_CAUSE_COUNT; i++) {
        if (!(share[IOL_MIX_GROSS + i] > most)) continue;
        const char *code = iol_suspect_rows[iol_gross_rows[i].suspect].code;
        most = share[IOL_MIX_GROSS + i];
        memcpy(f->likeliest_cause, code, strlen(code) + 1);
    }
}

/* Something that bears on the size of the miss is not given. */
static bool miss_open(const iol_work *w) {
    const iol_case *c = w->c;
    bool length = c->biometry.method <= 0 || c->biometry_repeat.method <= 0 || isnan(c->biometry.axial_length_mm);
    bool repeated = w->eye.length_repeated && w->eye.cornea_repeated;
    return length || !repeated || isnan(w->eye.lens_depth_mm) || isnan(w->eye.now.day) || !w->eye.now.vertex_given;
}

/* Both meridians and where the steep one lies. */
static bool whole_keratometry(const iol_biometry *b) {
    bool dioptres = !isnan(b->k_flat_d) && !isnan(b->k_steep_d);
    return !isnan(b->k_steep_axis_deg) && (dioptres || (!isnan(b->k_flat_radius_mm) && !isnan(b->k_steep_radius_mm)));
}

/* Of a lens that is to lie in the capsule and is not known to have moved. */
static bool lens_behind(const iol_work *w, const iol_facts *f) {
    const iol_biometry *first = &w->c->biometry;
    const bool phakic = first->eye_state == IOL_eye_state_phakic, held = w->eye.old.position == IOL_position_bag;
    const double back = phakic ? first->chamber_depth_mm + first->lens_thickness_mm + c_old_lens_beyond_mm : NAN;
    if (!held || f->moved == IOL_YES || w->eye.no_lens == IOL_YES) return false;
    return iol_above(w->eye.lens_depth_mm, back) == IOL_YES;
}

static void of_the_aim(const iol_work *w, iol_facts *f) {
    const iol_eye *eye = &w->eye;
    f->target_stated = eye->target_from == IOL_TARGET_STATED;
    f->near_aim = iol_and(iol_at_most(f->target_d, c_near_aim_d),
                          iol_not(iol_or(iol_is(w->c->wish.distance, IOL_range_near),
                                         iol_is(w->c->wish.distance, IOL_range_intermediate))));
    f->goals_apart = w->c->wish.aim_agreed != IOL_YES &&
                     iol_above(fabs(f->target_d - f->intended_d), c_goals_apart_d) == IOL_YES;
    f->target_what_if = eye->target_from == IOL_TARGET_NONE;
}

void iol_facts_of_miss(const iol_work *w, iol_facts *f) {
    const iol_eye *eye = &w->eye;
    f->reading = eye->now.usable;
    f->now_d = eye->now.spectacle_d;
    f->worn_d = iol_eye_worn(eye)->spectacle_d;
    const iol_reading *left = eye->moved.usable ? &eye->moved : &eye->now;
    f->left_d = left->spectacle_d;
    f->target_d = eye->target_se_d;
    f->intended_d = eye->intended_se_d;
    of_the_aim(w, f);
    f->readings_moved = !isnan(eye->now.moved_from_d);
    f->readings_apart_d = eye->now.moved_to_d - eye->now.moved_from_d;
    f->readings_apart = iol_above(fabs(f->readings_apart_d), c_readings_apart_d) == IOL_YES &&
                        iol_below(eye->now.moved_from_day, c_reading_first_day) != IOL_YES;
    f->gap_d = f->now_d - f->target_d;
    f->z = w->joint ? w->joint->z : NAN;
    weigh(w, f);
    f->eye_part_d = w->joint ? w->joint->eye_part_d : NAN;
    f->gross_error = isnan(f->z) ? IOL_UNKNOWN : iol_from_bool(w->search == IOL_GROSS_open);
    f->gross_near = w->search == IOL_GROSS_near && miss_open(w);
    f->contradicted = iol_not(iol_and(w->plausible.eyes, w->plausible.glasses));
    f->unreckoned = w->unreckoned;
    f->lens_forward = iol_not(w->plausible.depth);
    f->cause_open = iol_or(f->gross_error, iol_from_bool(f->gross_near));
    f->cause_confirmed = w->search == IOL_GROSS_confirmed;
    f->cause_not_found = w->search == IOL_GROSS_not_found;
    bool on_record = w->c->first_surgery.lens.documented_wrong == IOL_YES;
    f->gross_may_be = !f->cause_confirmed && !f->cause_not_found && !on_record;
    bool likely = f->gross_may_be && iol_above(f->gross_probability, c_gross_provisional) == IOL_YES;
    bool other_eye = w->c->checks.biometry_belongs_to_this_eye == IOL_NO;
    f->cause_doubtful =
        likely || other_eye || eye->conflict || f->lens_forward == IOL_YES || f->askew == IOL_YES || f->readings_apart;
    f->label_off_d = w->joint && !eye->two && !eye->aphakic ? w->joint->needed[IOL_P] - w->joint->p0_d : NAN;
    double miss = fabs(f->now_d - f->intended_d);
    f->miss_known = !isnan(miss);
    f->miss_tested = !isnan(f->z) && !isnan(f->old_place_stated);
    f->missed_widely = f->gross_error == IOL_YES || iol_and(f->optical, iol_at_least(miss, c_error_talk_d)) == IOL_YES;
    f->cylinder_stated = cylinder_stated(w->c);
    f->cylinder_d = cylinder_of(&eye->now, f->cylinder_stated);
    f->cylinder_worn_d = cylinder_of(iol_eye_worn(eye), f->cylinder_stated);
    f->cylinder_left_d = cylinder_of(left, f->cylinder_stated);
    f->cylinder_accepted_d = fmax(c_option_cylinder_d, w->c->target_cylinder_d);
    double fellow_d = equivalent(&w->c->fellow_eye.refraction);
    f->difference_d = f->cylinder_stated ? f->worn_d - fellow_d : NAN;
    f->difference_most_d = f->cylinder_stated ? difference(eye, f->worn_d, fellow_d) : NAN;
    f->in_place_d = iol_reading_in_place(w);
    f->measurements_conflict = eye->conflict;
    f->reading_day = eye->now.day;
    f->length_mm = eye->axial_length_mm;
    f->k_d = eye->k_d;
    f->corneal_surgery = eye->corneal_surgery;
    f->child = iol_below(w->c->age_years, c_adult_years);
    f->small_child = iol_below(w->c->age_years, c_child_small_years);
    f->k_before_known = eye->k_before_known;
    f->keratometry_known = !isnan(eye->k_d);
    f->keratometry_twice = whole_keratometry(&w->c->biometry) && whole_keratometry(&w->c->biometry_repeat);
    f->biometry_repeated = eye->length_repeated && eye->cornea_repeated;
}

/* Every check is done and none told why: is it the power that was written down? Of two lenses one reading cannot say which label is
 * off, by however much. Not in an eye that the formulas are known not to be made for, nor in one that grew more myopic. */
static bool label_doubted(const iol_work *w, const iol_facts *f) {
    const bool grew = w->eye.may_have_grown == IOL_YES && f->eye_part_d < 0.0;
    const double limit = miss_open(w) ? c_label_off_near_d : c_label_off_d;
    const bool off = w->eye.two || iol_above(fabs(f->label_off_d), limit) == IOL_YES;
    return f->cause_not_found && f->formula_suits != IOL_NO && !grew && off && w->c->checks.label_confirmed != IOL_YES;
}

void iol_facts_of_the_search(const iol_work *w, iol_facts *f) {
    f->lens_depth_mm = w->eye.lens_depth_mm;
    f->lens_behind = lens_behind(w, f);
    f->label_doubted = label_doubted(w, f);
    f->cause_first = f->only_elective && (f->gross_error == IOL_YES || f->label_doubted);
    const bool likely = iol_above(f->gross_probability, c_gross_advised) == IOL_YES;
    const bool fits = f->contradicted != IOL_YES && f->cause_open != IOL_YES && !f->cause_doubtful;
    f->miss_ordinary = fits && !f->cause_confirmed && !likely && iol_at_most(fabs(f->z), c_z_ordinary) == IOL_YES;
}

/* Fluid behind the lens, seen or suspected: a myopic eye part, else the whole miss, else the distance from the target; either of
 * them where nobody says where the lens lies, for the eye part rests on its place. It is
 * trapped where a capsule can close behind the lens: in the bag and in the sulcus. */
static iol_flag trapped_fluid(const iol_work *w, const iol_facts *f) {
    const double whole = isnan(f->intended_d) ? f->gap_d : f->now_d - f->intended_d;
    double myopic = isnan(f->eye_part_d) ? whole : isnan(f->old_place_stated) ? fmin(f->eye_part_d, whole) : f->eye_part_d;
    iol_flag sign = iol_or(iol_at_most(myopic, c_fluid_miss_d), iol_at_most(w->eye.now.drift_d, c_fluid_miss_d));
    sign = iol_or(sign, w->eye.fluid_at_a_reading);
    bool none = w->eye.no_lens == IOL_YES || f->stated_off_capsule == IOL_YES;
    if (w->eye.fluid_seen) return IOL_YES;
    if (w->c->anterior_segment.fluid_behind_lens == IOL_finding_no || none) return IOL_NO;
    return sign == IOL_YES ? IOL_YES : IOL_UNKNOWN;
}

/* What a lens that rubs the iris leaves behind. */
static iol_flag worn_by_rubbing(const iol_case *c) {
    const iol_anterior_segment *a = &c->anterior_segment;
    const iol_flag presses = iol_above(a->pressure_mmhg, c_pressure_rubs_mmhg);
    return iol_or(a->pigment_dispersion, iol_or(presses, iol_is(a->glaucoma, IOL_glaucoma_uncontrolled)));
}

/* The same, and cells. */
iol_flag iol_harm_of_rubbing(const iol_case *c) {
    return iol_or(iol_is(c->anterior_segment.uveitis, IOL_uveitis_active), worn_by_rubbing(c));
}

/* A lens, the first or a second, that may rub: cells alone do not say so, they have other causes. */
static bool may_chafe(const iol_case *c, const iol_facts *f) {
    const bool outside = f->no_lens != IOL_YES && iol_above(f->old_place_stated, (double)IOL_position_bag) == IOL_YES;
    const bool second = f->second_chafes == IOL_YES && f->inflamed == IOL_YES;
    const bool worn = (outside || f->second_chafes == IOL_YES) && worn_by_rubbing(c) == IOL_YES;
    return (second || worn) && f->lens_chafes != IOL_YES && f->dislocation != IOL_YES;
}

void iol_facts_of_rubbing(const iol_work *w, iol_facts *f) {
    const iol_case *c = w->c;
    const bool two = iol_case_two_lenses(c), lens = f->no_lens != IOL_YES;
    const int held = c->first_surgery.lens.position;
    const iol_flag outside = iol_and(iol_from_bool(f->only_elective && lens && !two), iol_not(f->stated_in_bag));
    const iol_flag harm = iol_harm_of_rubbing(c);
    f->may_rub = iol_and(iol_and(outside, iol_from_bool(f->lens_chafes != IOL_YES)), harm);
    f->second_chafes = iol_and(iol_from_bool(two), iol_or(harm, f->inflamed));
    const bool front = outside == IOL_YES || (two && f->second_chafes != IOL_YES);
    f->near_iris = front && iol_below(c->anterior_segment.iris_to_lens_gap_mm, c_rub_gap_mm) == IOL_YES;
    f->may_chafe = may_chafe(c, f);
    const bool before_iris = held == IOL_position_chamber || held == IOL_position_iris_front;
    f->front_swollen = before_iris && lens && c->cornea.oedema == IOL_YES;
}

/* What a second lens in front of the first does to the eye. */
static iol_flag rubs(const iol_work *w) {
    const iol_anterior_segment *a = &w->c->anterior_segment;
    if (!w->eye.two) return IOL_NO;
    iol_flag presses = iol_not(iol_is(a->glaucoma, IOL_glaucoma_none));
    iol_flag sharp = iol_is(w->c->second_lens.edge, IOL_edge_square);
    iol_flag inflamed = iol_case_has_reason(w->c, IOL_reason_inflammation);
    return iol_or(iol_or(a->pigment_dispersion, presses), iol_or(w->facts.second_chafes, iol_or(sharp, inflamed)));
}

/* Of two lenses, by what is stated of each. */
static void which_clouded(iol_facts *f) {
    const iol_flag first = iol_and(f->clouded, f->first_clouded), second = iol_and(f->clouded, f->second_clouded);
    f->both_clouded = iol_and(first, second);
    f->front_alone_clouded = iol_and(second, iol_not(f->first_clouded));
    f->behind_alone_clouded = iol_and(f->two_lenses, iol_and(first, iol_not(f->second_clouded)));
    const bool known =
        f->both_clouded == IOL_YES || f->front_alone_clouded == IOL_YES || f->behind_alone_clouded == IOL_YES;
    f->which_clouded_open = f->two_lenses == IOL_YES && f->clouded == IOL_YES && !known;
}

static void name_clouded(iol_facts *f) {
    const bool two = f->two_lenses == IOL_YES, both = f->second_clouded == IOL_YES;
    const char *words = !two   ? "The lens itself is"
                        : both ? "Both lenses are"
                               : "The first lens, behind the second, is";
    f->clouded_words[0] = '\0';
    iol_append(f->clouded_words, sizeof f->clouded_words, words);
}

void iol_facts_of_spoilers(const iol_work *w, iol_facts *f) {
    f->red_flag = iol_alarm_red_flags(w->c, f->red_flag_words, sizeof f->red_flag_words);
    f->alarm = iol_or(f->red_flag, iol_at_least(w->c->anterior_segment.pressure_mmhg, c_pressure_same_day_mmhg));
    f->fluid_seen = iol_from_bool(w->eye.fluid_seen);
    f->trapped_fluid = trapped_fluid(w, f);
    f->oil = w->eye.oil;
    f->oil_comes_out = iol_and(w->c->silicone_oil.now, iol_not(w->c->silicone_oil.stays));
    f->oil_not_said = !w->c->silicone_oil.present && w->c->zonule.vitrectomised != IOL_NO;
    const iol_flag checked = w->c->checks.biometry_belongs_to_this_eye;
    f->belongs = w->c->biometry.present || w->c->biometry_repeat.present ? checked : IOL_YES;
    const iol_reading *leads = w->eye.now.usable ? &w->eye.now : &w->eye.moved;
    f->reading_open = leads->usable && (!leads->place_stated || f->oil != IOL_NO || f->oil_not_said);
    f->two_lenses = iol_from_bool(w->eye.two);
    f->second_rubs = rubs(w);
    f->second_clouded = iol_and(f->two_lenses, iol_not(iol_is(w->c->second_lens.opacity, IOL_opacity_none)));
    name_clouded(f);
    which_clouded(f);
    const iol_flag old_rigid = iol_is(w->c->first_surgery.lens.material, IOL_material_pmma);
    const iol_flag second_rigid = iol_is(w->c->second_lens.material, IOL_material_pmma);
    f->soft_inside = iol_or(iol_not(old_rigid), iol_and(f->two_lenses, iol_not(second_rigid)));
    f->rigid_inside = iol_or(old_rigid, iol_and(f->two_lenses, second_rigid));
    f->second_unread = iol_from_bool(iol_eye_second_unread(&w->eye));
    const iol_biometry *again = &w->c->biometry_repeat;
    const bool inside = w->eye.no_lens != IOL_YES && again->present;
    f->own_lens = inside ? iol_is(again->eye_state, IOL_eye_state_phakic) : IOL_NO;
    f->spoiled = f->trapped_fluid == IOL_YES || f->oil != IOL_NO || f->second_unread == IOL_YES;
}
