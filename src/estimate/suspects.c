/* The list of gross causes: which stand on it, in what order, and whether the search is over. */
#include "suspects.h"

#include "inquiry.h"
#include "mixture.h"
#include "plausible.h"
#include "tables/constants.h"

_Static_assert(IOL_SUSPECT_label == IOL_SUSPECT_COUNT - 1, "ORDER suspects: label is the last row");
enum { way_myopic = -1, way_either, way_hyperopic };
enum { found_proves_nothing, found_settles };
const iol_suspect_row iol_suspect_rows[IOL_SUSPECT_COUNT] = {
#define SUSPECT(id, code, part, path, reference, check) {code, IOL_miss_part_##part, way_either, false, path},
#define CAUSE(id, code, way, found, path, reference, check)                                                            \
    {code, IOL_miss_part_eye, way_##way, found_##found == found_settles, path},
#include "suspects.def"
#undef SUSPECT
};

bool iol_suspicion_explains(const iol_suspicion *s) {
    double left = fabs(s->unexplained_d);
    return iol_below(left, c_suspect_left_d) == IOL_YES && left < fabs(s->implied_miss_d);
}

/* The part of the miss that a suspect speaks of; NaN not known. */
static double part_of_miss(const iol_inquiry *q, int part) {
    return part == IOL_miss_part_selection ? q->selection_d : part == IOL_miss_part_eye ? q->eye_part_d : q->cylinder_d;
}

/* Without a formula the whole miss has to stand for the eye part, without an aim the distance from the target. */
static double to_explain(const iol_inquiry *q, int part) {
    double whole = part_of_miss(q, part), now = q->eye->now.spectacle_d;
    if (part != IOL_miss_part_eye || !isnan(whole)) return whole;
    return isnan(q->eye->intended_se_d) ? now - q->eye->target_se_d : now - q->eye->intended_se_d;
}

bool iol_inquiry_trouble(const iol_inquiry *q, int part) {
    double limit = part == IOL_miss_part_cylinder ? c_toric_cylinder_d : c_suspect_part_d;
    return iol_above(fabs(to_explain(q, part)), limit) == IOL_YES;
}

void iol_inquiry_weigh(const iol_inquiry *q, int part, double implied_d, iol_weighing *w) {
    double whole = part_of_miss(q, part), left = whole - implied_d;
    if (isnan(left) || !(w->forced || iol_inquiry_trouble(q, part))) return;
    iol_suspicion s = w->best;
    s.part = part, s.implied_miss_d = implied_d, s.unexplained_d = left;
    if (iol_suspicion_explains(&s)) w->fits++;
    if (w->any && iol_below(fabs(left), fabs(w->best.unexplained_d)) != IOL_YES) return;
    w->best = s;
    w->any = true;
}

/* Causes without a number that say nothing when nothing is to be explained, or when they would work the other way. */
static bool speaks(const iol_inquiry *q, iol_suspect_id id, iol_flag state) {
    double whole = to_explain(q, IOL_miss_part_eye);
    bool fits = iol_inquiry_trouble(q, IOL_miss_part_eye) && whole * iol_suspect_rows[id].way >= 0.0;
    switch (id) {
    case IOL_SUSPECT_myopic_laser:
    case IOL_SUSPECT_hyperopic_laser:
    case IOL_SUSPECT_radial_cuts:
    case IOL_SUSPECT_fluid:
    case IOL_SUSPECT_oil_measured:
    case IOL_SUSPECT_oil_now:
    case IOL_SUSPECT_reversed: return fits || state == IOL_YES;
    case IOL_SUSPECT_long_eye:
    case IOL_SUSPECT_growth:
    case IOL_SUSPECT_contracted:
    case IOL_SUSPECT_cornea:
    case IOL_SUSPECT_macula: return fits;
    case IOL_SUSPECT_fellow_eye: {
        const iol_biometry *b = &q->eye->c->fellow_eye.biometry;
        bool trouble = fits || iol_inquiry_trouble(q, IOL_miss_part_selection);
        return state == IOL_YES || (state == IOL_UNKNOWN && trouble && isnan(b->axial_length_mm));
    }
    case IOL_SUSPECT_toric_axis:
        return q->eye->old.axis_known && (state == IOL_YES || iol_inquiry_trouble(q, IOL_miss_part_cylinder));
    case IOL_SUSPECT_another_lens: return state == IOL_YES || (isnan(q->predicted_d) && fits);
    default: return false;
    }
}

/* Numbers that only count when they explain: a reading written wrong. */
static bool only_if_it_explains(iol_suspect_id id) {
    return id == IOL_SUSPECT_cylinder_sign || id == IOL_SUSPECT_vertex;
}

/* It would fit every miss. The lens inside counts in full when it is known only by letter, by the patient or not at all. */
static bool loose(const iol_inquiry *q, iol_suspect_id id, const iol_weighing *w) {
    int known = q->eye->c->first_surgery.lens.identified_by;
    bool identified = known == IOL_identified_by_sticker || known == IOL_identified_by_operation_record;
    switch (id) {
    case IOL_SUSPECT_another_lens: return identified;
    case IOL_SUSPECT_label: return true;
    case IOL_SUSPECT_swapped_length:
    case IOL_SUSPECT_swapped_cornea:
    case IOL_SUSPECT_swapped_power: return w->fits > 1 || w->tried > (int)c_several_candidates;
    default: return false;
    }
}

static void look_at(const iol_inquiry *q, iol_suspect_id id, iol_flag state, iol_suspicions *out) {
    bool choice_alone = id == IOL_SUSPECT_fellow_eye; /* the sheet can have held them all the same */
    if (state == IOL_NO && !choice_alone) return;
    iol_weighing w = {.best = {.id = id,
                               .part = iol_suspect_rows[id].part,
                               .implied_miss_d = NAN,
                               .unexplained_d = NAN,
                               .value = NAN,
                               .other = NAN},
                      .forced = state == IOL_YES};
    iol_inquiry_run(q, id, state, &w);
    w.best.probability = iol_mixture_of_suspect(q->joint ? q->joint->mixture : NULL, id);
    if (state == IOL_YES && !(w.best.probability > 0.0)) w.best.probability = NAN; /* the eye has it already */
    bool likely = iol_above(w.best.probability, c_gross_advised) == IOL_YES;
    if (!w.any && !likely && !speaks(q, id, state)) return;
    if (only_if_it_explains(id) && !iol_suspicion_explains(&w.best)) return;
    w.best.confirmed = state == IOL_YES;
    w.best.loose = loose(q, id, &w);
    out->item[out->count++] = w.best;
}

/* ---- order ---- */

static int group_of(const iol_suspicion *s) {
    if (s->confirmed) return 0;
    if (s->id == IOL_SUSPECT_growth) return 1; /* common in a child, where every other cause is rare */
    if (iol_above(s->probability, c_gross_leads) == IOL_YES) return 1;
    if (s->loose) return 4;
    return iol_suspicion_explains(s) ? 2 : 3;
}

/* A gross cause without a number stands between those that explain and those that do not; a condition of the eye after
 * them all. That the lens does not fit the aim says nothing new: it comes after everything that explains why. */
static double left_of(const iol_suspicion *s) {
    if (s->id == IOL_SUSPECT_selection) return c_suspect_left_d;
    if (isnan(s->unexplained_d)) return iol_suspect_rows[s->id].settles ? c_suspect_left_d : INFINITY;
    return fabs(s->unexplained_d);
}

static bool before(const iol_suspicion *a, const iol_suspicion *b) {
    int ga = group_of(a), gb = group_of(b);
    if (ga != gb) return ga < gb;
    if (a->id == IOL_SUSPECT_growth || b->id == IOL_SUSPECT_growth) return a->id == IOL_SUSPECT_growth;
    if (!isnan(a->probability) && !isnan(b->probability)) return a->probability > b->probability;
    return ga != 4 && left_of(a) < left_of(b); /* the loose ones keep the order of the table */
}

static void sort(iol_suspicions *list) {
    for (int i = 1; i < list->count; i++) {
        iol_suspicion moving = list->item[i];
        int to = i;
        for (; to > 0 && before(&moving, &list->item[to - 1]); to--) list->item[to] = list->item[to - 1];
        list->item[to] = moving;
    }
}

/* ---- the search ---- */

static bool ends_the_search(const iol_suspicion *s, double eye_part_d) {
    if (!s->confirmed || s->part != IOL_miss_part_eye) return false;
    const iol_suspect_row *row = &iol_suspect_rows[s->id];
    bool same_way = eye_part_d * row->way >= 0.0;
    return isnan(s->implied_miss_d) ? row->settles && same_way : iol_suspicion_explains(s);
}

/* What was measured is only checked when it contradicts neither the other eye, nor the glasses of before, nor the lens's place. */
static iol_flag all_checked(const iol_eye *eye, const iol_estimate *joint) {
    const iol_checks *k = &eye->c->checks;
    iol_flag records = iol_and(k->biometry_belongs_to_this_eye, k->original_sheet_seen);
    iol_flag looks = iol_and(k->topography_done, k->dilated_look_done);
    iol_flag repeated = iol_from_bool(eye->length_repeated && eye->cornea_repeated);
    iol_flag checks = iol_and(iol_and(records, looks), iol_and(k->acuity_improves_with_trial_lens, repeated));
    iol_plausible fits;
    if (checks != IOL_YES) return checks;
    iol_plausible_make(eye, joint, &fits);
    return iol_and(fits.eyes, iol_and(fits.glasses, fits.depth));
}

static iol_gross end_of_search(const iol_eye *eye, const iol_estimate *joint, const iol_suspicions *list) {
    for (int i = 0; i < list->count; i++)
        if (ends_the_search(&list->item[i], joint->eye_part_d)) return IOL_GROSS_confirmed;
    return all_checked(eye, joint) == IOL_YES ? IOL_GROSS_not_found : IOL_GROSS_open;
}

static bool beyond_ordinary(const iol_estimate *joint) {
    return joint && iol_above(fabs(joint->z), c_z_ordinary) == IOL_YES;
}

/* For the lens put in, of the eye of that day: a child's as it was before it grew by what was measured. */
static double predicted_then(const iol_eye *eye, const iol_estimate *joint) {
    iol_model then = joint->prior;
    double refraction = joint->predicted_d;
    if (eye->grown_mm > 0.0) {
        then.length_mm -= eye->grown_mm;
        iol_refraction_of(then, joint->p0_d, eye->vertex_mm, &refraction);
    }
    return refraction;
}

static iol_inquiry inquire(const iol_eye *eye, const iol_estimate *joint) {
    if (eye->two) joint = NULL; /* the miss of two lenses is not weighed as that of one */
    iol_inquiry q = {.eye = eye, .joint = joint, .predicted_d = NAN, .eye_part_d = NAN, .selection_d = NAN};
    iol_matrix spectacle;
    q.cylinder_d = NAN;
    if (joint && joint->status >= 0) {
        q.predicted_d = joint->predicted_d;
        q.eye_part_d = joint->eye_part_d;
        q.selection_d = predicted_then(eye, joint) - eye->intended_se_d;
    }
    if (eye->now.usable && iol_matrix_step(eye->now.at_cornea, -eye->vertex_mm / 1000.0, &spectacle) >= 0)
        q.cylinder_d = iol_matrix_cylinder(spectacle);
    return q;
}

void iol_suspects_make(const iol_eye *eye, const iol_estimate *joint, iol_suspicions *out) {
    iol_inquiry q = inquire(eye, joint);
    out->count = 0;
    for (int i = 0; i < IOL_SUSPECT_label; i++) { /* ORDER suspects: the last row */
        iol_suspect_id id = (iol_suspect_id)i;
        look_at(&q, id, iol_inquiry_state(&q, id), out);
    }
    if (beyond_ordinary(joint) && end_of_search(eye, joint, out) == IOL_GROSS_not_found)
        look_at(&q, IOL_SUSPECT_label, iol_inquiry_state(&q, IOL_SUSPECT_label), out);
    sort(out);
}

/* Only what the case confirms can end the search, so nothing else is weighed. */
iol_gross iol_suspects_search(const iol_eye *eye, const iol_estimate *joint) {
    iol_suspicions confirmed = {.count = 0};
    if (!joint || iol_above(fabs(joint->z), c_z_near) != IOL_YES) return IOL_GROSS_none;
    iol_inquiry q = inquire(eye, joint);
    for (int i = 0; i < IOL_SUSPECT_label; i++) { /* ORDER suspects: the last row */
        iol_suspect_id id = (iol_suspect_id)i;
        if (iol_inquiry_state(&q, id) == IOL_YES) look_at(&q, id, IOL_YES, &confirmed);
    }
    iol_gross found = end_of_search(eye, joint, &confirmed);
    if (beyond_ordinary(joint)) return found;
    return found == IOL_GROSS_open ? IOL_GROSS_near : IOL_GROSS_none;
}
