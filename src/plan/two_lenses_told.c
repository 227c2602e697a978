/* Of an eye with two lenses: which is which, what to look for between them, and the way out of the second. */
#include "removal.h"
#include "tables/constants.h"
#include "tables/note_codes.h"
#include "two_lenses.h"

static void because(iol_work *w, iol_note_code code, double value, double limit) {
    iol_note_add(&w->plan->notes, IOL_AT_two_lenses_reasons, 0, code, value, limit, NULL);
}

/* Which of the two is toric, and where its marks lie. */
static void say_toric(iol_work *w) {
    const iol_eye *eye = &w->eye;
    const iol_lens_in_eye *lens[] = {&eye->old, &eye->second};
    const iol_lens *given[] = {&eye->c->first_surgery.lens, &eye->c->second_lens};
    for (int i = 0; i < 2; i++) {
        const char *which = i == 0 ? "first" : "second";
        if (lens[i]->axis_known)
            iol_note_add(&w->plan->notes, IOL_AT_two_lenses_reasons, 0, IOL_NOTE_two_toric, given[i]->cylinder_d,
                         iol_axis_reduce(given[i]->axis_deg), which);
        else if (lens[i]->toric)
            iol_note_add(&w->plan->notes, IOL_AT_two_lenses_reasons, 0, IOL_NOTE_two_toric_no_axis, NAN, NAN, which);
    }
}

/* Membranes between the lenses, what rubs, and what the refraction cannot tell. */
static void explain(iol_work *w) {
    const iol_lens *second = &w->c->second_lens;
    because(w, IOL_NOTE_two_labels, NAN, NAN);
    say_toric(w);
    bool both_in_bag = second->position == IOL_position_bag && w->eye.old.position == IOL_position_bag;
    because(w, both_in_bag ? IOL_NOTE_two_membrane_bag : IOL_NOTE_two_membrane, NAN, NAN);
    iol_flag rubs = w->facts.second_rubs;
    if (rubs != IOL_NO) because(w, rubs == IOL_YES ? IOL_NOTE_two_rubs : IOL_NOTE_two_rubs_not_known, NAN, NAN);
    because(w, IOL_NOTE_two_second_first, NAN, NAN);
    bool strong = iol_above(fabs(w->eye.second.power_d), c_two_gap_ask_d) == IOL_YES;
    if (strong && isnan(w->c->second_lens_gap_mm)) because(w, IOL_NOTE_two_gap, w->eye.second.power_d, NAN);
    because(w, IOL_NOTE_two_pressed, NAN, NAN);
}

/* Its size, build and thickness as given; what is not is that of a usual lens. */
static bool dimensions_given(const iol_lens *l) {
    return l->material > 0 && l->design > 0 && !isnan(l->optic_diameter_mm) && !isnan(l->refractive_index) &&
           (!isnan(l->centre_thickness_mm) || !isnan(l->edge_thickness_mm));
}

/* The second lens as a body: its way out is that of a lens of its own, in front of the first. */
static void take_out_second(iol_work *w, iol_two_lenses *out) {
    iol_removal *removal = &out->second_way_out.ways;
    iol_removal_second(w, removal);
    out->second_way_out.present = true;
    const iol_removal_row *way = iol_preferred_way(removal);
    out->second_end_width_mm = fmax(w->eye.wound.width_mm, iol_removal_second_needs(w));
    out->second_optic_mm = removal->lens.optic_diameter_mm;
    if (way) {
        out->second_removal = way->id;
        out->second_widest_mm = way->widest_piece_mm;
        out->second_wound_low_mm = way->wound_low_mm;
        out->second_wound_high_mm = way->wound_high_mm;
        out->second_fits = way->fits;
    }
    if (!dimensions_given(&w->c->second_lens))
        iol_note_add(&w->plan->notes, IOL_AT_plan_assumptions, 0, IOL_NOTE_assume_second_dimensions, NAN, NAN, NULL);
}

static iol_flag clouded(const iol_lens *l) { return iol_not(iol_is(l->opacity, IOL_opacity_none)); }

/* Which lens is which: place and label of both, as stated, and whether it has clouded. */
static void name_both(const iol_work *w, iol_two_lenses *out) {
    out->first_power_d = w->eye.label_d;
    out->second_power_d = w->eye.second.power_d;
    out->first_position = w->c->first_surgery.lens.position;
    out->second_position = w->c->second_lens.position;
    out->first_clouded = clouded(&w->c->first_surgery.lens);
    out->second_clouded = clouded(&w->c->second_lens);
}

void iol_two_lenses_describe(iol_work *w) {
    name_both(w, &w->plan->two_lenses);
    explain(w);
    take_out_second(w, &w->plan->two_lenses);
}
