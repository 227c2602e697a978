/* All ways side by side, ranked by the rules of data/option_rules.def (method, section 6). */
#include <string.h>

#include "ranking.h"

#include "choices.h"
#include "displaced.h"
#include "piggyback.h"
#include "replacement.h"
#include "suit.h"
#include "tables/constants.h"
#include "tables/note_codes.h"

/* The ways in the order that holds when nothing else decides. */
static const int order[] = {
#define OPTION(option, words) IOL_option_##option,
#include "option_rules.def"
};
enum { WAYS = sizeof order / sizeof *order };

/* A way that does not fit has no rank. One of which that is not known keeps its place. */
enum { TIER_TOP = 1, TIER_FIRST, TIER_FITS, TIER_LAST, TIER_LEAST, TIER_NOT };
static int tier_of(const iol_verdict *v) {
    if (v->suitable == IOL_NO) return TIER_NOT;
    if (v->top) return TIER_TOP;
    return v->least ? TIER_LEAST : v->last ? TIER_LAST : v->first ? TIER_FIRST : TIER_FITS;
}

static void without_lens(iol_work *w) {
    iol_aim aim;
    iol_estimate own;
    iol_spectacle_form form;
    if (w->eye.aphakic) {
        w->facts.without_lens_d = w->eye.now.spectacle_d;
        return;
    }
    iol_replacement_route(&w->eye, w->joint, w->alone, &w->eye.old, &own, NULL, &aim);
    iol_aim_expected(&w->eye, &aim, iol_matrix_scalar(0.0), w->induced, &form);
    if (!w->facts.withheld) w->facts.without_lens_d = form.se_d;
}

static void expect(iol_option_row *row, double se_d, double cylinder_d) {
    row->expected_se_d = se_d;
    row->expected_cylinder_d = cylinder_d;
}

static void expect_choice(iol_option_row *row, const iol_replacement *r) {
    const iol_choice *chosen = iol_chosen_step(r);
    if (chosen) expect(row, chosen->expected.se_d, chosen->expected.cylinder_d);
}

static void expect_way(iol_option_row *row, const iol_work *w, int id) {
    const iol_two_way *way = iol_two_way_of(w->plan, id);
    if (way && !w->facts.first_days) expect(row, way->expected.se_d, way->expected.cylinder_d);
}

/* The refraction after each way, with what is then worn, in glasses as in a contact lens. Glasses leave the difference of the two
 * eyes as it is. */
static void expect_after(const iol_work *w, iol_option_row *row) {
    const iol_facts *f = &w->facts;
    const iol_plan *plan = w->plan;
    iol_place_back captured;
    switch (row->option) {
    case IOL_option_leave: expect(row, f->left_d, -f->cylinder_left_d); break;
    case IOL_option_capsule_laser: expect(row, f->worn_d, -f->cylinder_worn_d); break;
    case IOL_option_spectacles:
        if (!isnan(f->worn_d)) expect(row, 0.0, 0.0);
        break;
    case IOL_option_contact_lens:
        if (plan->contact_lens.present) expect(row, 0.0, 0.0);
        break;
    case IOL_option_corneal_laser:
        if (!isnan(plan->corneal_laser.se_cornea_d) && !f->first_days) expect(row, w->eye.target_se_d, 0.0);
        break;
    case IOL_option_rotation: expect(row, plan->rotation.expected.se_d, plan->rotation.expected.cylinder_d); break;
    case IOL_option_reposition:
        if (f->outgrown == IOL_NO) expect(row, plan->reposition.expected.se_d, plan->reposition.expected.cylinder_d);
        break;
    case IOL_option_optic_capture:
        iol_place_back_at(w, IOL_position_sulcus_captured, &captured);
        expect(row, captured.expected.se_d, captured.expected.cylinder_d);
        break;
    case IOL_option_piggyback: expect_choice(row, &plan->piggyback.power); break;
    case IOL_option_second_out: expect_way(row, w, IOL_two_way_second_out); break;
    case IOL_option_second_turn: expect_way(row, w, IOL_two_way_second_turned); break;
    case IOL_option_second_exchange:
        if (!f->provisional) expect_way(row, w, IOL_two_way_second_exchanged);
        break;
    case IOL_option_secondary_lens:
    case IOL_option_exchange: expect_choice(row, &plan->replacement); break;
    case IOL_option_remove_only: expect(row, f->without_lens_d, NAN); break;
    default: break;
    }
    const iol_refraction *fellow = &w->c->fellow_eye.refraction;
    const double eye_d = row->option == IOL_option_spectacles ? f->left_d : row->expected_se_d;
    row->difference_from_fellow_d = eye_d - (fellow->sphere_d + fellow->cylinder_d / 2.0);
}

/* Beyond the shelf's end: the last lens in the bag and the rest in the sulcus. */
static void add_split(iol_work *w, int row) {
    const iol_replacement *r = &w->plan->replacement;
    const iol_choice *last = iol_choice_leading(r);
    for (int i = 0; last && i < w->site->lenses_count; i++) {
        const iol_shelf_lens *lens = &w->site->lenses[i];
        if (strcmp(lens->id, last->lens_id) != 0) continue;
        if (fabs(r->power_exact_d - last->power_d) <= lens->power_step_d * (0.5 + 1e-6)) continue;
        iol_note_add(&w->plan->notes, IOL_AT_option_row_reasons, row, IOL_NOTE_pb_split, last->power_d,
                     iol_piggyback_between(w, last->expected.se_d, w->eye.target_se_d), NULL);
    }
}

/* Published accuracy of exchange beside the model's own chance. */
static void add_published(iol_work *w, int row) {
    const iol_choice *chosen = iol_chosen_step(&w->plan->replacement);
    if (!chosen) return;
    iol_note_add(&w->plan->notes, IOL_AT_option_row_reasons, row, IOL_NOTE_published_exchange,
                 FIGURE(exchange_within_one), 100.0 * chosen->within_one_d, NULL);
    iol_note_add(&w->plan->notes, IOL_AT_option_row_reasons, row, IOL_NOTE_published_lens_surgery,
                 FIGURE(lens_surgery_within_half), 100.0 * chosen->within_half_d, NULL);
}

/* Ways with a part of their own have their reasons there. */
static bool has_part(int option) {
    return (option >= IOL_option_spectacles && option <= IOL_option_reposition) || option == IOL_option_piggyback;
}

/* A way that this eye does not have at all: its part says why. */
static bool not_there(const iol_work *w, int option) {
    bool second = option == IOL_option_second_out || option == IOL_option_second_exchange;
    if (second) return !w->eye.two;
    if (option == IOL_option_second_turn) return !w->eye.two || !w->eye.second.toric;
    if (option == IOL_option_secondary_lens) return w->eye.no_lens != IOL_YES;
    if (option == IOL_option_piggyback && w->eye.two) return true;
    if (w->eye.no_lens == IOL_YES && option > IOL_option_contact_lens)
        return true; /* ORDER option: what acts on a lens */
    if (w->eye.no_lens == IOL_YES && option == IOL_option_capsule_laser) return true;
    if (option == IOL_option_relax_rim && w->facts.rim_pulls == IOL_NO) return true;
    return (option == IOL_option_rotation && !w->eye.old.toric) ||
           (option == IOL_option_reposition && !w->plan->reposition.present);
}

typedef struct {
    int option, tier;
    iol_verdict verdict;
} way;

static int judge_all(iol_work *w, way ways[WAYS]) {
    int count = 0;
    for (int i = 0; i < WAYS; i++) {
        if (not_there(w, order[i])) continue;
        way *way_now = &ways[count++];
        way_now->option = order[i];
        iol_option_judge(w, order[i], -1, 0, &way_now->verdict);
        way_now->tier = tier_of(&way_now->verdict);
    }
    return count;
}

static void add_row(iol_work *w, const way *one, double rank) {
    int at = w->plan->options_count++;
    iol_option_row *row = &w->plan->options[at];
    const iol_verdict *v = &one->verdict;
    row->present = true;
    row->option = one->option;
    row->rank = rank;
    row->suitable = v->suitable;
    expect_after(w, row);
    iol_note_add(&w->plan->notes, IOL_AT_option_row_why, at, v->why, v->value, v->limit, v->word);
    iol_verdict again;
    if (!has_part(one->option) && one->tier < TIER_NOT)
        iol_option_judge(w, one->option, IOL_AT_option_row_reasons, at, &again);
    if (one->option != IOL_option_exchange) return;
    add_published(w, at);
    add_split(w, at);
}

void iol_part_options(iol_work *w) {
    way ways[WAYS];
    iol_facts_grow(w);
    without_lens(w);
    int count = judge_all(w, ways), rank = 0;
    for (int tier = 1; tier <= TIER_NOT; tier++)
        for (int i = 0; i < count; i++)
            if (ways[i].tier == tier) add_row(w, &ways[i], tier < TIER_NOT ? (double)++rank : NAN);
}

void iol_ways_rank(iol_work *w) {
    way ways[WAYS];
    int count = judge_all(w, ways), first = -1;
    for (int i = 0; i < count; i++)
        if (ways[i].tier < TIER_NOT && (first < 0 || ways[i].tier < ways[first].tier)) first = i;
    iol_facts_first_way(&w->facts, first < 0 ? 0 : ways[first].option,
                        first < 0 ? IOL_NO : ways[first].verdict.suitable);
}
