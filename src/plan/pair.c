/* Both eyes of one person: what each plan alone cannot see. */
#include <string.h>

#include "iolrevise.h"
#include "text/number.h"
#include "tables/constants.h"
#include "tables/note_codes.h"

typedef struct {
    const iol_case *c[2]; /* right, left */
    const iol_site *site;
    int32_t as_of;
    iol_ask_room *room;
    iol_plan *plan[2];
} couple;

static void say(couple *k, int place, iol_note_code code, double value, double limit, const char *word) {
    for (int e = 0; e < 2; e++) iol_note_add(&k->plan[e]->notes, place, 0, code, value, limit, word);
}
static void because(couple *k, iol_note_code code, double value, double limit, const char *word) {
    say(k, IOL_AT_both_eyes_reasons, code, value, limit, word);
}

/* The pair is there now: it is not left out any more (plan.c leaves it out last). */
static void not_left_out(iol_plan *plan) {
    int last = plan->left_out_count - 1;
    if (last >= 0 && strcmp(plan->left_out[last].part, "pair") == 0) plan->left_out_count = last;
}

/* ---- what ways would leave between the eyes ---- */

static bool counts(const iol_option_row *way) { return !isnan(way->rank) && !isnan(way->expected_se_d); }

/* Glasses leave the difference of the eyes as it is: as leaving does. */
static double between(const iol_plan *plan, const iol_option_row *way) {
    for (int i = 0; i < plan->options_count && way->option == IOL_option_spectacles; i++)
        if (plan->options[i].option == IOL_option_leave) return plan->options[i].expected_se_d;
    return way->expected_se_d;
}

static void combine(const couple *k, iol_both_eyes *out) {
    for (int r = 0; r < k->plan[0]->options_count; r++)
        for (int l = 0; l < k->plan[1]->options_count; l++) {
            const iol_option_row *a = &k->plan[0]->options[r], *b = &k->plan[1]->options[l];
            if (!counts(a) || !counts(b)) continue;
            if (!iol_has_room(out->combinations_count, IOL_MOST(out->combinations), &out->combinations_lost)) return;
            out->combinations[out->combinations_count++] =
                (iol_pair_ways){true, a->option, b->option, between(k->plan[0], a) - between(k->plan[1], b)};
        }
}

/* ---- which eye first ---- */

static void first_eye(couple *k, iol_both_eyes *out) {
    static const char *const word[] = {"right", "left"};
    static const int side[] = {IOL_side_right, IOL_side_left};
    double off[2];
    for (int e = 0; e < 2; e++) off[e] = fabs(k->plan[e]->surprise.current_se_d - k->plan[e]->replacement.target_se_d);
    int urgent[2] = {k->plan[0]->decision.urgency, k->plan[1]->decision.urgency};
    /* ORDER urgency: the most urgent word stands first */
    int sooner = urgent[0] < urgent[1] ? 0 : 1;
    if (urgent[0] > 0 && urgent[1] > 0 && urgent[0] != urgent[1] && urgent[sooner] <= IOL_urgency_days) {
        int e = sooner;
        out->first_eye = side[e];
        because(k, IOL_NOTE_pair_first_urgent, NAN, NAN, word[e]);
    } else if (iol_above(fabs(off[0] - off[1]), c_pair_same_d) == IOL_YES) {
        int e = off[0] > off[1] ? 0 : 1;
        out->first_eye = side[e];
        because(k, IOL_NOTE_pair_first_miss, off[e], off[1 - e], word[e]);
    } else
        because(k, IOL_NOTE_pair_first_either, NAN, NAN, NULL);
}

/* ---- what they share, what changed places ---- */

static bool missed(const couple *k) {
    return iol_above(fabs(k->plan[0]->surprise.miss_d), c_pair_miss_d) == IOL_YES &&
           iol_above(fabs(k->plan[1]->surprise.miss_d), c_pair_miss_d) == IOL_YES;
}

static void shared(couple *k) {
    double a = k->plan[0]->surprise.miss_d, b = k->plan[1]->surprise.miss_d;
    if (missed(k) && iol_at_most(fabs(a - b), c_pair_same_d) == IOL_YES) because(k, IOL_NOTE_pair_shared, a, b, NULL);
}

/* The eye part of one eye with the other's lens, or the other's biometry, in its case. */
static double eye_part_with(const couple *k, int eye, bool lens) {
    static const char *const keys[] = {"surprise", NULL};
    iol_case *c = &k->room->c;
    memcpy(c, k->c[eye], sizeof *c);
    if (lens)
        c->first_surgery.lens.power_d = k->c[1 - eye]->first_surgery.lens.power_d;
    else
        c->biometry = k->c[1 - eye]->biometry;
    iol_plan_make_parts(c, k->site, k->as_of, keys, &k->room->plan);
    return k->room->plan.surprise.eye_part_d;
}

/* Both eye parts, large now, vanish with the change. */
static bool explained_by(const couple *k, bool lens) {
    bool all = true;
    for (int e = 0; e < 2 && all; e++)
        all = iol_above(fabs(k->plan[e]->surprise.eye_part_d), c_pair_miss_d) == IOL_YES &&
              iol_below(fabs(eye_part_with(k, e, lens)), c_pair_same_d) == IOL_YES;
    return all;
}

static void swapped(couple *k, iol_both_eyes *out) {
    double a = k->plan[0]->surprise.miss_d, b = k->plan[1]->surprise.miss_d;
    bool opposite = missed(k) && (a > 0.0) != (b > 0.0);
    bool lenses = opposite && explained_by(k, true), figures = opposite && explained_by(k, false);
    out->swap_suspected = isnan(a) || isnan(b) ? IOL_UNKNOWN : iol_from_bool(lenses || figures);
    if (lenses) say(k, IOL_AT_plan_cautions, IOL_NOTE_pair_swap_lens, a, b, NULL);
    if (figures) say(k, IOL_AT_plan_cautions, IOL_NOTE_pair_swap_biometry, a, b, NULL);
}

static void second_eye(couple *k, iol_both_eyes *out) {
    int first = out->first_eye == IOL_side_left ? 1 : 0;
    double own = k->plan[first]->surprise.eye_part_d;
    if (!out->first_eye || isnan(own)) return;
    out->second_eye_part_d = c_pair_half * own;
    because(k, IOL_NOTE_pair_half, own, out->second_eye_part_d, NULL);
}

static bool one_person(const iol_case *right, const iol_case *left) {
    return right->eye == IOL_side_right && left->eye == IOL_side_left && right->pair_ref[0] != '\0' &&
           strcmp(right->pair_ref, left->pair_ref) == 0;
}

bool iol_plan_pair(const iol_case *right, const iol_case *left, const iol_site *site, int32_t as_of, iol_ask_room *room,
                   iol_plan *right_plan, iol_plan *left_plan) {
    couple k = {{right, left}, site, as_of, room, {right_plan, left_plan}};
    iol_both_eyes *out = &right_plan->pair;
    if (!one_person(right, left)) return false;
    out->present = true;
    out->difference_d = right_plan->surprise.current_se_d - left_plan->surprise.current_se_d;
    combine(&k, out);
    swapped(&k, out);
    first_eye(&k, out);
    shared(&k);
    second_eye(&k, out);
    if (iol_count(fabs(out->difference_d), iol_units[IOL_UNIT_d].text_decimals) > 0)
        because(&k, IOL_NOTE_pair_talk, fabs(out->difference_d), c_anisometropia_d, NULL);
    left_plan->pair = *out;
    for (int e = 0; e < 2; e++) not_left_out(k.plan[e]);
    return true;
}
