/* A lens ready for every place that could be needed in this operation (method, section 7). */
#include <string.h>

#include "choices.h"
#include "replacement.h"
#include "tables/constants.h"
#include "tables/note_codes.h"

/* One class of the shelf at the place w->facts.place: the same route as the replacement. A toric lens is no fallback. */
static bool fallback_class(const iol_work *w, const iol_shelf_lens *shelf, iol_estimate *own, iol_aim *aim,
                           double *exact) {
    if (!iol_position_allows(shelf, w->facts.place) || shelf->cylinder_steps_d_count > 0) return false;
    iol_lens_in_eye fresh;
    iol_eye_shelf_lens(&w->eye, shelf, w->facts.place, &fresh);
    if (!iol_eye_has_constants(&fresh)) return false;
    iol_replacement_route(&w->eye, w->joint, w->alone, &fresh, own, NULL, aim);
    *exact = iol_aim_power(&w->eye, aim, w->eye.target_se_d);
    return !isnan(*exact);
}

/* The step that the site's habit picks for an aim; NULL when no class has a power there. */
static const iol_choice *pick(iol_work *w, double aim_d, iol_replacement *list) {
    w->eye.target_se_d = aim_d;
    memset(list, 0, sizeof *list);
    list->power_exact_d = NAN;
    const iol_shelf_lens *shelf = iol_choices_list(w, fallback_class, NULL);
    if (!shelf) return NULL;
    iol_choices_of(w, fallback_class, shelf, list);
    memcpy(list->lens_id, shelf->id, sizeof list->lens_id);
    iol_choices_choose(w, list);
    return iol_chosen_step(list);
}

static void need(iol_work *w, int row, iol_note_code code, double value, double limit, const char *word) {
    iol_note_add(&w->plan->notes, IOL_AT_fallback_needs, row, code, value, limit, word);
}

/* The power of one rung. The work is a copy, and its shelf notes are not the plan's. */
static void fill(iol_work *w, int row, iol_fallback *out) {
    iol_work at = *w;
    iol_replacement list;
    at.facts.place = out->position;
    at.facts.power_mends = IOL_NO; /* the old lens is out by then: the eye needs one */
    bool off = w->plan->notes.off;
    w->plan->notes.off = true;
    out->aim_d = w->eye.target_se_d;
    const iol_choice *choice = pick(&at, out->aim_d, &list);
    const bool grows = w->facts.child == IOL_YES; /* has an aim of its own: it turns myopic by itself */
    bool wide = choice && !grows && iol_above(choice->sd_d, c_fallback_wide_sd_d) == IOL_YES;
    if (wide) {
        out->aim_d -= c_fallback_myopic_d;
        choice = pick(&at, out->aim_d, &list);
    }
    w->plan->notes.off = off;
    if (choice) iol_eye_say_fixation(&w->eye, out->position, &w->plan->notes);
    if (!choice) {
        out->aim_d = NAN;
        const iol_shelf_lens *held = NULL;
        for (int i = 0; i < w->site->lenses_count && !held; i++)
            if (iol_position_allows(&w->site->lenses[i], out->position)) held = &w->site->lenses[i];
        need(w, row, held ? IOL_NOTE_need_constants : IOL_NOTE_need_lens, NAN, NAN, held ? held->id : NULL);
        if (held) memcpy(out->lens_id, held->id, sizeof out->lens_id);
        return;
    }
    memcpy(out->lens_id, choice->lens_id, sizeof out->lens_id);
    out->power_d = choice->power_d;
    out->expected_se_d = choice->expected.se_d;
    out->expected_cylinder_d = choice->expected.cylinder_d;
    out->sd_d = choice->sd_d;
    if (wide) need(w, row, IOL_NOTE_need_wide, choice->sd_d, out->aim_d, NULL);
    if (iol_above(fabs(out->expected_se_d - out->aim_d), c_fallback_off_shelf_d) == IOL_YES)
        need(w, row, IOL_NOTE_need_off_shelf, out->expected_se_d, out->aim_d, NULL);
}

static iol_note_code needs_of(int position) {
    switch (position) {
    case IOL_position_bag: return IOL_NOTE_need_bag;
    case IOL_position_sulcus_captured: return IOL_NOTE_need_captured;
    case IOL_position_sulcus: return IOL_NOTE_need_sulcus;
    case IOL_position_sclera: return IOL_NOTE_need_sclera;
    case IOL_position_iris_behind: return IOL_NOTE_need_iris_behind;
    case IOL_position_iris_front: return IOL_NOTE_need_iris_front;
    default: return IOL_NOTE_need_chamber;
    }
}

void iol_part_fallbacks(iol_work *w) {
    iol_rung ladder[IOL_RUNGS];
    int standing = w->plan->replacement.standing;
    iol_ladder_make(w, ladder);
    if (w->facts.child == IOL_YES) iol_caution(w, IOL_NOTE_child_place, NAN, NAN, NULL);
    int planned = 0; /* what lies behind the planned place comes first: it is there for when that does not hold */
    while (planned < IOL_RUNGS - 1 && ladder[planned].position != w->facts.place) planned++;
    for (int k = 1; k < IOL_RUNGS; k++) {
        const int i = (planned + k) % IOL_RUNGS;
        if (ladder[i].outlook == IOL_outlook_no) continue;
        int row = w->plan->fallbacks_count++;
        iol_fallback *out = &w->plan->fallbacks[row];
        *out = (iol_fallback){.present = true,
                              .position = ladder[i].position,
                              .power_d = NAN,
                              .expected_se_d = NAN,
                              .expected_cylinder_d = NAN,
                              .sd_d = NAN,
                              .aim_d = NAN};
        bool in_front = ladder[i].position == IOL_position_iris_front || ladder[i].position == IOL_position_chamber;
        if (standing == IOL_standing_withheld)
            need(w, row, IOL_NOTE_need_withheld, NAN, NAN, NULL);
        else if (in_front && ladder[i].bar_unknown)
            need(w, row, IOL_NOTE_need_examine, NAN, NAN, NULL);
        else
            fill(w, row, out);
        if (standing == IOL_standing_provisional) need(w, row, IOL_NOTE_need_provisional, NAN, NAN, NULL);
        need(w, row, needs_of(ladder[i].position), NAN, NAN, NULL);
        if (ladder[i].position == IOL_position_chamber && !isnan(w->c->biometry.white_to_white_mm))
            need(w, row, IOL_NOTE_need_chamber_length, w->c->biometry.white_to_white_mm + c_chamber_lens_over_white_mm,
                 NAN, NULL);
        if (ladder[i].missing[0]) need(w, row, IOL_NOTE_need_finding, NAN, NAN, ladder[i].missing);
    }
}
