/* The operation as it is planned here: wound, loops, corneal laser. */
#include "eye.h"

#include "tables/constants.h"
#include "tables/note_codes.h"

/* The case's value, else the site's habit, else the usual one; the last two are listed. */
static double taken(double given, double habit, double usual, iol_note_code by_habit, iol_note_code by_default,
                    iol_notes *notes) {
    return isnan(habit) ? iol_or_assume(given, usual, by_default, NULL, notes)
                        : iol_or_assume(given, habit, by_habit, NULL, notes);
}

void iol_eye_wound(iol_eye *eye, iol_notes *notes) {
    const iol_operation *o = &eye->c->operation;
    const iol_habits *habits = &eye->site->habits;
    const iol_wound *first = &eye->c->first_surgery.incision;
    iol_planned_wound *wound = &eye->wound;
    double temporal = eye->c->eye == IOL_side_left ? c_wound_temporal_left_deg : c_wound_temporal_right_deg;
    wound->position_deg =
        iol_position_reduce(taken(o->incision_position_deg, habits->incision_position_deg, temporal,
                                  IOL_NOTE_assume_wound_position_site, IOL_NOTE_assume_wound_position, notes));
    wound->width_mm = taken(o->incision_width_mm, habits->incision_width_mm, c_wound_width_mm,
                            IOL_NOTE_assume_wound_width_site, IOL_NOTE_assume_wound_width, notes);
    int usual = habits->incision_site > 0 ? habits->incision_site : IOL_site_of_wound_cornea;
    wound->site =
        iol_or_assume_word(o->incision_site, usual, &iol_words_site_of_wound, IOL_NOTE_assume_wound_site, notes);
    double apart = iol_position_reduce(wound->position_deg - first->position_deg);
    wound->again = !isnan(first->width_mm) && iol_at_most(fmin(apart, 360.0 - apart), c_wound_same_deg) == IOL_YES;
}

void iol_eye_laser(const iol_eye *eye, iol_notes *notes, iol_planned_laser *laser) {
    const iol_laser_habit *habit = &eye->site->habits.laser;
    laser->kind = iol_or_assume_word(habit->kind, IOL_laser_kind_surface, &iol_words_laser_kind,
                                     IOL_NOTE_assume_laser_kind, notes);
    bool flap = laser->kind == IOL_laser_kind_flap;
    laser->flap_um =
        flap ? iol_or_assume(habit->flap_um, c_laser_flap_um, IOL_NOTE_assume_laser_flap, NULL, notes) : 0.0;
    laser->zone_mm = iol_or_assume(habit->zone_mm, c_laser_zone_mm, IOL_NOTE_assume_laser_zone, NULL, notes);
    laser->transition_um =
        iol_or_assume(habit->transition_um, c_laser_transition_um, IOL_NOTE_assume_laser_transition, NULL, notes);
}

int iol_eye_turns(const iol_eye *eye, iol_notes *notes) {
    const iol_lens *lens = &eye->c->first_surgery.lens;
    int open_loops = lens->way_up == IOL_way_up_reversed ? IOL_turns_anticlockwise : IOL_turns_clockwise;
    int usual = lens->design == IOL_design_plate ? IOL_turns_both : open_loops;
    if (lens->way_up == IOL_way_up_reversed && lens->turns_freely == IOL_turns_clockwise) /* as one that lies right */
        return iol_or_assume_word(0, IOL_turns_both, &iol_words_turns, IOL_NOTE_assume_turns_reversed, notes);
    return iol_or_assume_word(lens->turns_freely, usual, &iol_words_turns, IOL_NOTE_assume_turns, notes);
}
