/* How far a power may be used: the worst of the rows of data/standing_rules.def that fire. */
#include <string.h>

#include "positions.h"
#include "replacement.h"
#include "tables/constants.h"
#include "tables/rule_codes.h"

typedef struct {
    bool first, second; /* asked of the new lens, of a second one in front of the old */
    iol_flag fires;
    int standing;
    iol_note_code note, caution;
    double value, limit;
    const char *word;
} rule;

enum {
    RULES = 0
#define STANDS(id, lens, when, standing, caution, value, limit, word) +1
#include "standing_rules.def"
#undef STANDS
};
enum { IOL_standing_by_reading = -1 }; /* of a row: what the reading is to this plan says which */
enum { ASK_both = 3, ASK_first = 1, ASK_second = 2 };

/* What must be excluded: not known counts as yes. */
static iol_flag unless_no(iol_flag found) { return found == IOL_NO ? IOL_NO : IOL_YES; }

static void ask(const iol_case *c, const iol_facts *f, rule all[RULES]) {
    int i = 0;
#define STANDS(id, lens, when, standing, caution, value, limit, word)                                                  \
    all[i++] = (rule){(ASK_##lens & ASK_first) != 0,                                                                   \
                      (ASK_##lens & ASK_second) != 0,                                                                  \
                      when,                                                                                            \
                      IOL_standing_##standing,                                                                         \
                      IOL_NOTE_##id,                                                                                   \
                      caution,                                                                                         \
                      value,                                                                                           \
                      limit,                                                                                           \
                      word};
#include "standing_rules.def"
#undef STANDS
    for (i = 0; i < RULES; i++)
        if (all[i].standing == IOL_standing_by_reading)
            all[i].standing = f->needs_reading ? IOL_standing_provisional : IOL_standing_repeat_before_ordering;
}

/* The shelf has a lens that may be held there, with constants that hold there. */
static bool shelf_has(const iol_work *w, int position) {
    for (int i = 0; i < w->site->lenses_count; i++) {
        iol_lens_in_eye fresh;
        if (!iol_position_allows(&w->site->lenses[i], position)) continue;
        iol_eye_shelf_lens(&w->eye, &w->site->lenses[i], position, &fresh);
        if (iol_eye_has_constants(&fresh) && !isnan(fresh.shift_mm)) return true;
    }
    return false;
}

/* A toric lens is in the eye, or the class that leads is toric. */
static bool toric(const iol_work *w, const iol_replacement *r) {
    const iol_shelf_lens *shelf = iol_eye_on_shelf(w->site, r->lens_id);
    return iol_eye_has_toric(&w->eye) || (shelf && shelf->cylinder_steps_d_count > 0);
}

/* What a cross-check differs by. The formula afresh on repeat biometry knows nothing of the refraction: beside a joint estimate
 * it differs by the surprise itself, which no repeat can mend. It is a check of the biometry-only route. */
static void cross_checks(const iol_replacement *r, iol_facts *f) {
    f->apart_aphakic_d = f->apart_biometry_d = NAN;
    f->apart_refraction_d = f->apart_joint_d = f->apart_fresh_d = NAN;
    for (int i = 0; i < r->cross_checks_count; i++) {
        double apart = r->cross_checks[i].power_d - r->power_exact_d;
        switch (r->cross_checks[i].method) {
        case IOL_cross_method_refraction_only: f->apart_refraction_d = apart; break;
        case IOL_cross_method_aphakic_refraction: f->apart_aphakic_d = apart; break;
        case IOL_cross_method_biometry_only: f->apart_biometry_d = apart; break;
        case IOL_cross_method_joint: f->apart_joint_d = apart; break;
        case IOL_cross_method_rule_of_thumb: break; /* shown, no witness */
        default:
            if (r->route == IOL_route_biometry_only) f->apart_fresh_d = apart;
        }
    }
}

/* How far from the target the steps of the class that leads end at best. */
static double nearest_step_off(const iol_replacement *r) {
    double least = NAN;
    for (int i = 0; i < r->choices_count; i++)
        if (strcmp(r->choices[i].lens_id, r->lens_id) == 0)
            least = fmin(least, fabs(r->choices[i].expected.se_d - r->target_se_d)); /* NaN is left out */
    return least;
}

/* The facts of the power that is judged. */
static void facts_of(const iol_work *w, const iol_replacement *r, bool second, iol_facts *f) {
    f->judged_route = r->route;
    f->judged_place = r->position;
    f->judged_none = isnan(r->power_exact_d) && !f->spoiled; /* from a spoiled reading none is worked out */
    f->judged_off_d = nearest_step_off(r);
    f->judged_no_lens = !shelf_has(w, r->position);
    f->judged_toric = toric(w, r);
    f->reading_counts =
        f->reading && r->route != IOL_route_biometry_only &&
        (second || f->documented_wrong != IOL_YES); /* a lens that stays can wait for a reading that counts */
    f->judged_blind = f->elective && r->route == IOL_route_biometry_only;
    const bool may_count = f->reading_open && r->route == IOL_route_biometry_only; /* the refraction alone would lead then */
    bool untested = r->route == IOL_route_refraction_only || may_count || isnan(w->eye.old.power_d);
    f->plane_assumed =
        untested && isnan(w->eye.old.shift_mm) && isnan(iol_eye_old_fixation(&w->eye)) && w->eye.no_lens != IOL_YES;
    f->readings_unused = w->c->refractions_count > 0 && r->route == IOL_route_biometry_only;
    iol_flag settling =
        iol_and(iol_at_least(f->reading_day, c_reading_first_day), iol_below(f->reading_day, f->reading_settled_day));
    f->reading_settling = iol_and(settling, iol_from_bool(f->reading_counts && w->eye.now.readings < 2));
    cross_checks(r, f);
}

static bool fires(const rule *row, bool second) { return (second ? row->second : row->first) && row->fires == IOL_YES; }

static double odds_times(double p, double times) { return p * times / (1.0 - p + p * times); }

/* The standing of the new lens with every rate of a gross cause so many times what is assumed. */
static int standing_at(const iol_work *w, double times) {
    int worst = IOL_standing_advised;
    rule all[RULES];
    iol_facts f = w->facts;
    f.gross_probability = odds_times(f.gross_probability, times);
    f.other_lens_probability = odds_times(f.other_lens_probability, times);
    ask(w->c, &f, all);
    for (int i = 0; i < RULES; i++)
        if (fires(&all[i], false) && all[i].standing > worst) worst = all[i].standing;
    return worst;
}

/* A standing that another judgement of the rates would change says so. */
static void say_rates(iol_work *w, int standing) {
    static const double times[] = {c_rates_fewer, c_rates_more};
    for (int i = 0; i < 2; i++) {
        int then = standing_at(w, times[i]);
        if (then != standing) iol_caution(w, IOL_NOTE_rates_decide, times[i], NAN, IOL_WORD(standing, then));
    }
}

static int stand(iol_work *w, const iol_replacement *r, bool second) {
    int worst = IOL_standing_advised;
    rule all[RULES];
    iol_facts_grow(w);
    facts_of(w, r, second, &w->facts);
    ask(w->c, &w->facts, all);
    for (int i = 0; i < RULES; i++) {
        const rule *row = &all[i];
        if (!fires(row, second) || (row->standing == IOL_standing_advised && worst > IOL_standing_advised)) continue;
        if (row->standing > worst) worst = row->standing;
        iol_note_add(&w->plan->notes, IOL_AT_replacement_standing_reasons, second ? IOL_ROW_SECOND_LENS : 0, row->note,
                     row->value, row->limit, row->word);
        if (row->caution < IOL_NOTE_COUNT) iol_caution(w, row->caution, fabs(row->value), row->limit, NULL);
    }
    return worst;
}

int iol_standing_make(iol_work *w, const iol_replacement *r) {
    int standing = stand(w, r, false);
    if (!w->plan->notes.off && !isnan(w->facts.gross_probability)) say_rates(w, standing);
    return standing;
}
int iol_standing_second_lens(iol_work *w, const iol_replacement *r) { return stand(w, r, true); }
