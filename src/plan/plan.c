/* The plan: one loop over the table of parts. */
#include <string.h>

#include "alarms.h"
#include "eye/child.h"
#include "case/unusual.h"
#include "glance.h"
#include "patient.h"
#include "iolrevise.h"
#include "secondary.h"
#include "surprise.h"
#include "tables/constants.h"
#include "tables/note_codes.h"

typedef void (*maker)(iol_work *w);
enum {
#define NEED(id, path, there) NEED_INDEX_##id,
#include "needs.def"
#undef NEED
    NEED_COUNT
};
#define N(id) (1u << NEED_INDEX_##id)
static const struct {
    const char *key;
    unsigned needs;
    maker make;
} parts[] = {
#define PLAN_PART(key, needs) {#key, needs, iol_part_##key},
#include "parts.def"
#undef PLAN_PART
};

static const char *const need_path[NEED_COUNT] = {
#define NEED(id, path, there) path,
#include "needs.def"
#undef NEED
};

static unsigned needs_met(const iol_work *w) {
    unsigned met = 0;
#define NEED(id, path, there)                                                                                          \
    if (there) met |= N(id);
#include "needs.def"
#undef NEED
    return met;
}

void iol_leave_out(iol_plan *plan, const char *part, int why, iol_note_code text, const char *word, const char *path) {
    if (!iol_has_room(plan->left_out_count, IOL_MOST(plan->left_out), &plan->left_out_lost)) return;
    int row = plan->left_out_count++;
    iol_left_out *out = &plan->left_out[row];
    *out = (iol_left_out){.present = true, .part = part, .why = why};
    if (path) out->missing[out->missing_count++] = path;
    iol_note_add(&plan->notes, IOL_AT_left_out_text, row, text, NAN, NAN, word ? word : path);
}

static void leave_out_missing(iol_work *w, const char *part, unsigned missing) {
    for (int i = 0; i < NEED_COUNT; i++) {
        if (!(missing & (1u << i))) continue;
        const bool unusable = (i == NEED_INDEX_refraction || i == NEED_INDEX_reading) && w->c->refractions_count > 0;
        iol_leave_out(w->plan, part, IOL_left_why_missing_input,
                      unusable ? IOL_NOTE_left_unusable : IOL_NOTE_left_missing, NULL, need_path[i]);
        return;
    }
}

/* A list-shaped part that is left out is null, not empty. */
static void null_left_out_lists(iol_plan *plan) {
    for (int i = 0; i < iol_object_plan->count; i++) {
        const iol_field *field = &iol_object_plan->field[i];
        if (field->kind != IOL_KIND_LIST) continue;
        int *count = (int *)(void *)((char *)plan + field->count_offset);
        for (int k = 0; k < plan->left_out_count && *count == 0; k++)
            if (strcmp(plan->left_out[k].part, field->key) == 0) *count = -1;
    }
}

static void general_notes(iol_work *w) {
    static const iol_note_code always[] = {IOL_NOTE_licensed_surgeon, IOL_NOTE_local_rules, IOL_NOTE_second_route,
                                           IOL_NOTE_range_of_formulas};
    for (size_t i = 0; i < sizeof always / sizeof *always; i++) iol_caution(w, always[i], NAN, NAN, NULL);
    if (w->plan->as_of == IOL_UNKNOWN_DATE) iol_assume(w, IOL_NOTE_assume_as_of, NAN, "none");
    if (!w->site->present) iol_assume(w, IOL_NOTE_assume_generic_shelf, NAN, "generic shelf");
}

static void tell_odd(void *context, const iol_odd_value *odd) {
    iol_work *w = context;
    if (strcmp(odd->path, "/age_years") == 0 && odd->value < c_adult_years)
        return;                                                  /* a child's eye has cautions of its own */
    const double child_d = iol_child_usual_aim(w->c->age_years); /* its usual limit lies that much higher */
    const bool aim = strcmp(odd->path, "/target_se_d") == 0 || strcmp(odd->path, "/first_surgery/intended_se_d") == 0;
    const double high = aim && !isnan(child_d) ? odd->high + child_d : odd->high;
    const double limit = odd->value < odd->low ? odd->low : high;
    if (!odd->axis_zero && odd->value >= odd->low && odd->value <= high) return;
    if (odd->axis_zero)
        iol_caution(w, IOL_NOTE_axis_zero, NAN, NAN, odd->path);
    else
        iol_caution(w, IOL_NOTE_unusual, odd->value, limit, odd->path);
}

/* A lens that no longer lies where the formula has it, an eye without one, or with two: no causes are weighed. */
static bool weighs(const iol_work *w) {
    static const int moved[] = {IOL_reason_lens_tilt, IOL_reason_lens_decentration, IOL_reason_lens_dislocation};
    bool lies_elsewhere = w->eye.moved.usable || !w->eye.now.usable;
    if (w->eye.aphakic || w->eye.two) return false;
    for (size_t i = 0; i < sizeof moved / sizeof *moved && lies_elsewhere; i++)
        if (iol_case_has_reason(w->c, moved[i]) == IOL_YES) return false;
    return true;
}

/* Nothing is missing, and no such eye is found: light or the update has no answer. */
static bool no_such_eye(const iol_eye *eye, const iol_estimate *joint) {
    const bool told = !iol_eye_second_unread(eye) && !isnan(eye->old.power_d);
    const bool read = eye->now.usable && !eye->aphakic && !eye->length_from_reading;
    const bool given = told && read && !isnan(joint->prior.position_mm);
    return given && (joint->status < 0 || isnan(joint->predicted_d));
}

/* The causes beside the joint estimate. Where ordinary error cannot be fitted to the reading at all, the leading gross cause
 * stands for it. */
static void weigh_causes(iol_work *w) {
    if (w->eye.reference < 0) return;
    iol_estimate *joint = &w->by_formula[w->eye.reference];
    bool fits = joint->status >= 0;
    w->unreckoned = no_such_eye(&w->eye, joint);
    iol_model prior;
    if (weighs(w) && (fits || joint->status == IOL_NO_CONVERGENCE)) {
        iol_mixture_make(&w->eye, joint->formula, &w->mixture);
        if (w->mixture.status >= 0) {
            iol_mixture_estimate(&w->eye, joint, iol_mixture_leader(&w->mixture), &w->leading);
            w->leading.status = fits ? joint->status : iol_eye_predict(&w->eye, joint->formula, &w->eye.old, &prior);
            if (!fits) *joint = w->leading;
            joint->mixture = &w->mixture;
            joint->leading = &w->leading;
        }
    }
    if (joint->status >= 0) w->joint = joint;
}

/* What the refraction alone leaves open. */
static void weigh_alone(iol_work *w) {
    if (w->eye.aphakic || w->eye.two) return;
    iol_mixture_alone(&w->eye, &w->alone_mixture, &w->alone_leading);
    if (w->alone_leading.status >= 0) w->alone = &w->alone_leading;
}

static void estimate(iol_work *w) {
    iol_estimate_all(&w->eye, w->plan->notes.off, w->by_formula);
    w->joint = NULL;
    weigh_causes(w);
}

/* What a displaced lens does, in the eye so far; then in the eye that the reading less that effect tells, where it may. */
static void see_displaced(iol_work *w) {
    w->moved.status = IOL_BAD_INPUT;
    if (w->eye.aphakic || iol_eye_lens_moved(w->c) != IOL_YES) return;
    iol_displaced_effect_of(&w->eye, w->joint, &w->plan->notes, &w->moved);
    if (w->eye.now.usable || !w->eye.moved.usable || !w->joint || !iol_displaced_calibrates(&w->moved)) return;
    iol_displaced_effect again;
    iol_displaced_take_off(&w->moved, &w->eye);
    estimate(w);
    iol_displaced_effect_of(&w->eye, w->joint, &w->plan->notes, &again);
    if (again.status < 0) return;
    w->moved = again;
    iol_displaced_take_off(&w->moved, &w->eye);
    estimate(w);
}

void iol_work_start(iol_work *w, const iol_case *c, const iol_site *site, int32_t as_of, iol_plan *plan) {
    memset(w, 0, offsetof(iol_work, mixture));
    w->c = c, w->site = site, w->plan = plan;
    plan->present = true;
    plan->plan_format = 1;
    plan->program_version = IOLREVISE_VERSION;
    memcpy(plan->case_ref, c->case_ref, sizeof plan->case_ref);
    plan->eye = c->eye;
    plan->as_of = as_of != IOL_UNKNOWN_DATE ? as_of : c->assessed_on;
    iol_alarms_say(c, &plan->notes);
    iol_eye_make(c, site, plan->as_of, IOL_EYE_POOLED, &plan->notes, &w->eye);
    estimate(w);
    see_displaced(w);
    weigh_alone(w);
    iol_plausible_make(&w->eye, w->joint, &w->plausible);
    w->search = iol_suspects_search(&w->eye, w->joint);
    iol_facts_begin(w);
}

/* keys: the parts wanted, NULL behind the last; NULL for all. */
static bool is_wanted(const char *const keys[], const char *key) {
    if (!keys) return true;
    while (*keys)
        if (strcmp(*keys++, key) == 0) return true;
    return false;
}

/* On the day of an alarm: what is to be done today, and what to say. Every other part is left out by name, and no power with it. */
static bool is_for_today(const char *key) {
    static const char *const today[] = {"decision", "timing", "counselling"};
    for (size_t i = 0; i < sizeof today / sizeof *today; i++)
        if (strcmp(today[i], key) == 0) return true;
    return false;
}

/* What is compared is the decision, the power and the way: these say more of it, and nothing is decided by them. */
static bool is_for_readers(const char *key) {
    static const char *const read[] = {"fallbacks", "removal", "theatre_list"};
    for (size_t i = 0; i < sizeof read / sizeof *read; i++)
        if (strcmp(read[i], key) == 0) return true;
    return false;
}

void iol_plan_make(const iol_case *c, const iol_site *site, int32_t as_of, iol_plan *plan) {
    iol_plan_make_parts(c, site, as_of, NULL, plan);
}

static void make(const iol_case *c, const iol_site *site, int32_t as_of, const char *const keys[], bool compared,
                 iol_plan *plan) {
    iol_work w;
    iol_object_reset(iol_object_plan, plan);
    iol_work_start(&w, c, site, as_of, plan);
    w.compared = compared;
    iol_odd_values(iol_object_case, c, tell_odd, &w);
    iol_biometry_doubts(&w);
    unsigned met = needs_met(&w);
    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++) {
        unsigned missing = parts[i].needs & ~met;
        if (compared && is_for_readers(parts[i].key)) continue;
        if (!is_wanted(keys, parts[i].key))
            iol_leave_out(plan, parts[i].key, IOL_left_why_not_applicable, IOL_NOTE_left_not_asked, NULL, NULL);
        else if (w.facts.alarm == IOL_YES && !is_for_today(parts[i].key))
            iol_leave_out(plan, parts[i].key, IOL_left_why_withheld, IOL_NOTE_left_alarm, NULL, NULL);
        else if (missing)
            leave_out_missing(&w, parts[i].key, missing);
        else
            parts[i].make(&w);
    }
    if (!compared) {
        iol_glance_make(&w);
        iol_patient_words(&w);
    }
    iol_secondary_take(&w);
    iol_leave_out(plan, "pair", IOL_left_why_not_applicable, IOL_NOTE_left_one_eye, NULL, NULL);
    general_notes(&w);
    null_left_out_lists(plan);
    iol_notes_close(&plan->notes);
}

void iol_plan_make_parts(const iol_case *c, const iol_site *site, int32_t as_of, const char *const keys[],
                         iol_plan *plan) {
    make(c, site, as_of, keys, false, plan);
}

void iol_plan_make_compared(const iol_case *c, const iol_site *site, int32_t as_of, iol_plan *plan) {
    make(c, site, as_of, NULL, true, plan);
}

bool iol_plan_stops(const iol_plan *plan) {
    for (int i = 0; i < plan->notes.count; i++) {
        const iol_note *note = &plan->notes.item[i];
        if (note->place == IOL_AT_plan_cautions && iol_note_rows[note->code].severity == IOL_SEVERITY_stop) return true;
    }
    return false;
}
