/* How the old lens is turned and held for the cut (method, section 8).
 *
 * The cut runs on the wound's meridian. The near junction lies just beside it, its loop on the far side, so that each half
 * keeps one loop: a lens that turns freely clockwise has its loops leaving anticlockwise, so its junction goes to the
 * anticlockwise side of the cut. By its two junctions a lens comes back to itself after half a turn. */
#include "removal.h"
#include "tables/constants.h"
#include "tables/note_codes.h"

/* What the remarks on the turn read: REMOVAL_TURN of remarks.def. */
typedef struct {
    iol_removal_orientation *out;
    int turns;
    bool plate, loose, port_other_side;
    bool cuts; /* the way out asks for a cut: what comes out whole needs no turn */
    double port_deg, seat_apart_deg;
    double across_gap_deg;
    bool port_at_gap, wound_at_gap;
    bool zonule_spared; /* not where the capsule lies free with its lens and comes out too */
    bool into_sulcus;   /* the new lens, or one for another place */
    bool unsettled;     /* the wrong way round, and stated to turn as one that lies right */
    bool still;         /* a turn would be needed, and the zonule is weak */
} turning;

/* Clock hour of a place, above 0 and up to 12. */
static double clock_of(double position_deg) {
    double hour = c_clock_hours / 4.0 - position_deg / c_clock_hour_deg;
    return hour <= 0.0 ? hour + c_clock_hours : hour;
}

static int opposite(int direction) {
    return direction == IOL_direction_clockwise ? IOL_direction_anticlockwise : IOL_direction_clockwise;
}

static double signed_turn(double size_deg, int direction) {
    return direction == IOL_direction_clockwise ? 0.0 - size_deg : size_deg;
}

static iol_note_code cut_of(int method, bool plate) {
    if (plate) return IOL_NOTE_cut_plate;
    switch (method) {
    case IOL_removal_method_partial: return IOL_NOTE_cut_partial;
    case IOL_removal_method_wedge: return IOL_NOTE_cut_wedge;
    case IOL_removal_method_thirds: return IOL_NOTE_cut_thirds;
    default: return IOL_NOTE_cut_halves;
    }
}

/* From the meridian of the junctions now to the place where one of them must lie. */
static void turn_to(iol_removal_orientation *out, int turns) {
    double rising = iol_axis_reduce(out->junction_position_deg - out->junction_axis_now_deg);
    if (rising < IOL_SAME || rising > 180.0 - IOL_SAME) rising = 0.0; /* it lies there already */
    double falling = rising > 0.0 ? 180.0 - rising : 0.0;
    bool both = turns == IOL_turns_both;
    int free = turns == IOL_turns_anticlockwise || (both && rising <= falling) ? IOL_direction_anticlockwise
                                                                               : IOL_direction_clockwise;
    double size = free == IOL_direction_anticlockwise ? rising : falling, back = size > 0.0 ? 180.0 - size : 0.0;
    out->turn_deg = signed_turn(size, free) + 0.0;
    out->turn_clock_hours = size / c_clock_hour_deg;
    if (size > 0.0) out->direction = free;
    if (!both && back < size) out->turn_back_deg = signed_turn(back, opposite(free));
}

/* On a weak zonule nothing is turned: the end of the junction nearer to the wound, as it lies, is where the cut goes. */
static void keep_still(const iol_work *w, turning *t, double beside) {
    iol_removal_orientation *out = t->out;
    if (w->facts.zonule_weak != IOL_YES || isnan(out->turn_deg) || out->turn_deg == 0.0) return;
    double now = out->junction_axis_now_deg, apart = iol_position_reduce(now - w->eye.wound.position_deg);
    if (apart > 90.0 && apart < 270.0) now += 180.0;
    t->still = true;
    out->turn_deg = out->turn_back_deg = out->turn_clock_hours = NAN;
    out->direction = 0;
    out->junction_position_deg = iol_position_reduce(now);
    out->junction_clock = clock_of(out->junction_position_deg);
    if (!isnan(out->cut_meridian_deg)) out->cut_meridian_deg = iol_axis_reduce(now - beside);
}

/* The hand that does not cut holds the optic; the surgeon sits at seat_deg, right hand toward seat + 90. */
static void hold(const iol_work *w, const iol_old_optic *optic, turning *t) {
    bool left_holds = optic->hand == IOL_hand_right;
    t->out->grip_hand = left_holds ? IOL_hand_left : IOL_hand_right;
    double side = iol_position_reduce(optic->seat_deg + (left_holds ? -90.0 : 90.0));
    t->port_deg = w->c->operation.side_port_position_deg;
    double apart = iol_position_reduce(t->port_deg - side);
    bool on_side = iol_below(fmin(apart, 360.0 - apart), 90.0) == IOL_YES;
    t->out->grip_port_position_deg = on_side ? iol_position_reduce(t->port_deg) : side;
    t->port_other_side = !isnan(t->port_deg) && !on_side;
    double seat = iol_position_reduce(optic->seat_deg - w->eye.wound.position_deg);
    t->seat_apart_deg = fmin(seat, 360.0 - seat);
}

/* The gap in the zonule: its hours run clockwise on the dial, degrees the other way. */
static void zonule_gap(const iol_zonule *z, iol_removal_orientation *out) {
    const double hours = iol_position_reduce(30.0 * (z->missing_to_clock - z->missing_from_clock)) / 30.0;
    if (isnan(hours)) return;
    out->zonule_gap_hours = hours;
    out->zonule_gap_position_deg = iol_position_reduce(90.0 - 30.0 * (z->missing_from_clock + hours / 2.0));
}

static bool at_gap(const iol_removal_orientation *out, double position_deg) {
    double apart = iol_position_reduce(position_deg - out->zonule_gap_position_deg);
    return iol_at_most(fmin(apart, 360.0 - apart), c_clock_hour_deg * out->zonule_gap_hours / 2.0) == IOL_YES;
}

static bool is_sulcus(int position) {
    return position == IOL_position_sulcus || position == IOL_position_sulcus_captured;
}

static bool into_sulcus(const iol_plan *plan) {
    bool any = is_sulcus(plan->replacement.position);
    for (int i = 0; i < plan->fallbacks_count; i++) any = any || is_sulcus(plan->fallbacks[i].position);
    return any;
}

/* Hands, wound and the loops of the new lens keep away from it. */
static void away_from_gap(const iol_work *w, turning *t) {
    t->across_gap_deg = iol_axis_reduce(t->out->zonule_gap_position_deg + 90.0);
    t->port_at_gap = at_gap(t->out, t->out->grip_port_position_deg);
    t->wound_at_gap = at_gap(t->out, w->eye.wound.position_deg);
    t->zonule_spared = !(t->loose && w->c->dislocation.with_capsule == IOL_YES);
    t->into_sulcus = into_sulcus(w->plan);
}

/* How the old optic lies, as stated: drawn, not reckoned with. */
static void lies(const iol_lens *lens, iol_removal_orientation *out) {
    out->decentration_mm = lens->decentration_mm;
    out->decentration_position_deg = iol_position_reduce(lens->decentration_position_deg);
    out->tilt_deg = lens->tilt_deg;
    out->tilted_back_position_deg = iol_position_reduce(lens->tilted_back_position_deg);
    out->tilt_axis_deg = iol_axis_reduce(isnan(lens->tilted_back_position_deg) ? lens->tilt_axis_deg
                                                                               : lens->tilted_back_position_deg + 90.0);
}

void iol_removal_turn(iol_work *w, const iol_removal_hold *held, iol_removal *removal) {
    iol_removal_orientation *out = &removal->orientation;
    const iol_case *c = held->eye->c;
    const iol_old_optic *optic = held->optic;
    double wound = w->eye.wound.position_deg, beside = c_beside_junction_deg;
    const bool plate = optic->design == IOL_design_plate, loose = held->loose;
    const int turns = held->turns;
    if (removal->preferred == IOL_removal_method_wedge) beside += c_wedge_deg / 2.0; /* not in the wedge */
    if (plate) beside = 0.0;
    const iol_lens *lies_now = &c->first_surgery.lens;
    const bool unsettled = lies_now->way_up == IOL_way_up_reversed && turns == IOL_turns_both && !plate;
    if (turns == IOL_turns_anticlockwise || unsettled) beside = 0.0 - beside;
    turning t = {.out = out, .turns = turns, .plate = plate, .loose = loose, .unsettled = unsettled};
    t.cuts = removal->preferred != IOL_removal_method_whole;
    out->present = true;
    out->limbus_mm = c->biometry.white_to_white_mm;
    zonule_gap(&c->zonule, out);
    lies(&c->first_surgery.lens, out);
    out->loops_turn = turns;
    if (optic->material != IOL_material_pmma) out->cut_meridian_deg = iol_axis_reduce(wound);
    out->junction_position_deg = iol_position_reduce(wound + beside);
    out->junction_clock = clock_of(out->junction_position_deg);
    out->seat_position_deg = optic->seat_deg;
    if (!loose) out->junction_axis_now_deg = iol_axis_reduce(c->first_surgery.lens.junction_axis_deg);
    if (!loose && t.cuts && !t.unsettled && !isnan(out->junction_axis_now_deg)) turn_to(out, turns);
    keep_still(w, &t, beside);
    if (optic->material != IOL_material_pmma)
        iol_note_add(&w->plan->notes, IOL_AT_removal_orientation_cut, held->row,
                     t.still ? IOL_NOTE_cut_as_it_lies : cut_of(removal->preferred, plate), NAN, NAN, NULL);
    hold(w, optic, &t);
    away_from_gap(w, &t);
#define REMOVAL_TURN(id, when, value)                                                                                  \
    if (when)                                                                                                          \
        iol_note_add(&w->plan->notes, IOL_AT_removal_orientation_reasons, held->row, IOL_NOTE_##id, value, NAN, NULL);
#include "remarks.def"
#undef REMOVAL_TURN
}
