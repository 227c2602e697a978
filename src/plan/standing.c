/* How far a power may be used: the worst that applies (method, section 4). */
#include <string.h>

#include "replacement.h"

#include "tables/constants.h"

typedef struct {
    iol_work *w;
    const iol_replacement *r;
    int worst;
    bool second; /* a second lens in front of the old one */
} state;

static void because(state *s, int standing, iol_note_code code, double value, double limit, const char *word) {
    iol_note_add(&s->w->plan->notes, IOL_AT_replacement_standing_reasons, s->second ? IOL_ROW_SECOND_LENS : 0, code,
                 value, limit, word);
    if (standing > s->worst) s->worst = standing;
}

static void withheld(state *s) {
    iol_work *w = s->w;
    const iol_facts *f = &w->facts;
    if (f->trapped_fluid == IOL_YES) {
        bool seen = f->fluid_seen == IOL_YES;
        because(s, IOL_standing_withheld, seen ? IOL_NOTE_withheld_fluid_seen : IOL_NOTE_withheld_fluid, NAN, NAN,
                NULL);
        iol_caution(w, seen ? IOL_NOTE_fluid_seen : IOL_NOTE_trapped_fluid, NAN, NAN, NULL);
    }
    if (f->oil != IOL_NO) {
        because(s, IOL_standing_withheld, IOL_NOTE_withheld_oil, NAN, NAN, NULL);
        iol_caution(w, IOL_NOTE_silicone_oil, NAN, NAN, NULL);
    }
    if (f->second_unread == IOL_YES) {
        because(s, IOL_standing_withheld, IOL_NOTE_withheld_two_lenses, NAN, NAN, NULL);
        iol_caution(w, IOL_NOTE_two_lenses, NAN, NAN, NULL);
    }
    if (isnan(s->r->power_exact_d) && !f->spoiled) /* from a spoiled reading none is worked out */
        because(s, IOL_standing_withheld, s->r->lens_id[0] ? IOL_NOTE_withheld_no_route : IOL_NOTE_withheld_no_lens,
                NAN, NAN, IOL_WORD(position, s->r->position));
}

/* An eye with an alarm is treated today: its power is shown and nothing is chosen. */
static void alarmed(state *s) {
    if (s->w->facts.alarm == IOL_YES) because(s, IOL_standing_provisional, IOL_NOTE_provisional_alarm, NAN, NAN, NULL);
}

static void provisional(state *s) {
    const iol_work *w = s->w;
    const iol_facts *f = &w->facts;
    bool wrong = f->documented_wrong == IOL_YES;
    bool reads = w->eye.now.usable && s->r->route != IOL_route_biometry_only;
    if (reads && !wrong && isnan(w->eye.now.day))
        because(s, IOL_standing_provisional, IOL_NOTE_provisional_day, NAN, NAN, NULL);
    if (reads && !wrong && iol_below(w->eye.now.day, c_reading_first_day) == IOL_YES)
        because(s, IOL_standing_provisional, IOL_NOTE_provisional_early, w->eye.now.day, NAN, NULL);
    if (w->c->checks.biometry_belongs_to_this_eye == IOL_NO)
        because(s, IOL_standing_provisional, IOL_NOTE_provisional_other_eye, NAN, NAN, NULL);
    if (iol_above(fabs(f->z), c_z_ordinary) == IOL_YES) {
        if (f->gross_error == IOL_YES) {
            iol_caution(s->w, IOL_NOTE_gross_error, fabs(f->z), NAN, NULL);
            because(s, IOL_standing_repeat_before_ordering, IOL_NOTE_repeat_cause_open, f->z, NAN, NULL);
        }
        if (!f->lens_identified)
            because(s, IOL_standing_provisional, IOL_NOTE_provisional_unidentified, f->z, NAN, NULL);
    }
    double settled = f->reading_settled_day;
    bool settling =
        iol_and(iol_at_least(w->eye.now.day, c_reading_first_day), iol_below(w->eye.now.day, settled)) == IOL_YES;
    if (reads && !wrong && settling && w->eye.now.readings < 2)
        because(s, IOL_standing_repeat_before_ordering, IOL_NOTE_repeat_settling, w->eye.now.day, settled, NULL);
}

/* The formula afresh on repeat biometry knows nothing of the refraction: beside a joint estimate it differs by the surprise
 * itself, which no repeat can mend. It is a check of the biometry-only route. */
static void cross_checks(state *s) {
    const iol_replacement *r = s->r;
    for (int i = 0; i < r->cross_checks_count; i++) {
        double apart = r->cross_checks[i].power_d - r->power_exact_d;
        bool afresh = r->cross_checks[i].method == IOL_cross_method_fresh_formula;
        if (afresh && r->route != IOL_route_biometry_only) continue;
        if (iol_above(fabs(apart), c_cross_check_d) == IOL_YES)
            because(s, IOL_standing_repeat_before_ordering, IOL_NOTE_repeat_cross_check, apart, NAN,
                    IOL_WORD(cross_method, r->cross_checks[i].method));
    }
}

/* A toric lens is in the eye, or the class that leads is toric. */
static bool toric_step(const state *s) {
    bool toric = s->w->eye.old.toric;
    for (int i = 0; i < s->w->site->lenses_count && !toric; i++) {
        const iol_shelf_lens *shelf = &s->w->site->lenses[i];
        toric = shelf->cylinder_steps_d_count > 0 && strcmp(shelf->id, s->r->lens_id) == 0;
    }
    return toric;
}

static void repeat(state *s) {
    const iol_work *w = s->w;
    const iol_facts *f = &w->facts;
    if (iol_at_least(fabs(f->eye_part_d), c_eye_part_repeat_d) == IOL_YES && !f->biometry_repeated)
        because(s, IOL_standing_repeat_before_ordering, IOL_NOTE_repeat_biometry, f->eye_part_d, NAN, NULL);
    cross_checks(s);
    if (w->eye.conflict) because(s, IOL_standing_repeat_before_ordering, IOL_NOTE_repeat_conflict, NAN, NAN, NULL);
    if (w->eye.corneal_surgery == IOL_YES)
        because(s, IOL_standing_repeat_before_ordering, IOL_NOTE_repeat_corneal_surgery, NAN, NAN, NULL);
    if (w->eye.corneal_surgery == IOL_UNKNOWN)
        because(s, IOL_standing_repeat_before_ordering, IOL_NOTE_repeat_surgery_not_stated, NAN, NAN, NULL);
    iol_flag child = iol_below(w->c->age_years, c_adult_years);
    if (child == IOL_YES)
        because(s, IOL_standing_repeat_before_ordering, IOL_NOTE_repeat_age, w->c->age_years, NAN, NULL);
    if (child == IOL_UNKNOWN)
        because(s, IOL_standing_repeat_before_ordering, IOL_NOTE_repeat_age_not_stated, NAN, NAN, NULL);
    if (!s->second && iol_between(w->eye.axial_length_mm, c_formula_length_low, c_formula_length_high) == IOL_NO)
        because(s, IOL_standing_repeat_before_ordering, IOL_NOTE_repeat_length, w->eye.axial_length_mm, NAN, NULL);
    if (iol_above(w->eye.k_d, c_k_steep_limit_d) == IOL_YES)
        because(s, IOL_standing_repeat_before_ordering, IOL_NOTE_repeat_steep_cornea, w->eye.k_d, NAN, NULL);
    if (toric_step(s) && iol_above(f->remainder_d, c_remainder_d) == IOL_YES)
        because(s, IOL_standing_repeat_before_ordering, IOL_NOTE_repeat_cylinder, f->remainder_d, NAN, NULL);
    if (s->r->route == IOL_route_biometry_only && w->eye.now.usable)
        because(s, IOL_standing_repeat_before_ordering, IOL_NOTE_repeat_refraction_unused, NAN, NAN, NULL);
    if (s->r->route == IOL_route_refraction_only && !s->second)
        because(s, IOL_standing_repeat_before_ordering, IOL_NOTE_repeat_route, NAN, NAN, NULL);
}

static int stand(iol_work *w, const iol_replacement *r, bool second) {
    state s = {w, r, IOL_standing_advised, second};
    iol_facts_grow(w);
    withheld(&s);
    alarmed(&s);
    provisional(&s);
    repeat(&s);
    iol_note_code stands = second && r->route == IOL_route_refraction_only ? IOL_NOTE_stands_second
                           : r->route == IOL_route_biometry_only           ? IOL_NOTE_stands_unread
                                                                           : IOL_NOTE_stands;
    if (s.worst == IOL_standing_advised) because(&s, IOL_standing_advised, stands, NAN, NAN, NULL);
    return s.worst;
}

int iol_standing_make(iol_work *w, const iol_replacement *r) { return stand(w, r, false); }
int iol_standing_second_lens(iol_work *w, const iol_replacement *r) { return stand(w, r, true); }
