/* Gates in time (method, section 9). What is not known takes the later gate. */
#include "gates.h"

#include "tables/constants.h"

static void refraction_gate(const iol_work *w, iol_gates *g) {
    int design, material;
    iol_eye_build(&w->eye, &w->c->first_surgery.lens, &design, &material);
    iol_flag one_piece = iol_is(design, IOL_design_one_piece);
    iol_flag dry = iol_not(iol_is(material, IOL_material_hydrophilic_acrylic));
    g->refraction_day = c_settle_late_day;
    if (w->eye.corneal_surgery == IOL_YES)
        g->refraction_why = IOL_NOTE_gate_cornea;
    else if (one_piece == IOL_NO || dry == IOL_NO)
        g->refraction_why = IOL_NOTE_gate_lens;
    else if (iol_and(iol_and(one_piece, dry), iol_not(w->eye.corneal_surgery)) == IOL_UNKNOWN)
        g->refraction_why = IOL_NOTE_gate_not_known;
    else {
        g->refraction_why = IOL_NOTE_gate_refraction;
        g->refraction_day = c_reading_stable_day;
    }
}

static void symptom_gate(int reason, iol_gates *g) {
    g->symptom_day = NAN;
    g->symptom_why = IOL_NOTE_gate_negative;
    switch (reason) {
    case IOL_reason_photic_negative: g->symptom_day = c_wait_negative_day; break;
    case IOL_reason_photic_positive:
        g->symptom_day = c_wait_positive_day;
        g->symptom_why = IOL_NOTE_gate_positive;
        break;
    case IOL_reason_photic_multifocal:
        g->symptom_day = c_wait_multifocal_day;
        g->symptom_why = IOL_NOTE_gate_multifocal;
        break;
    default: break;
    }
}

void iol_gates_make(const iol_work *w, iol_gates *g) {
    const iol_case *c = w->c;
    int32_t done_on = c->first_surgery.done_on, as_of = w->plan->as_of;
    bool known = done_on != IOL_UNKNOWN_DATE && as_of != IOL_UNKNOWN_DATE && as_of >= done_on;
    *g = (iol_gates){.day = known ? (double)as_of - (double)done_on : NAN};
    refraction_gate(w, g);
    symptom_gate(c->reason, g);
    g->turn = iol_is(c->reason, IOL_reason_cylinder_error) == IOL_YES && w->eye.old.toric && w->eye.old.axis_known;
    g->in_bag = w->eye.old.position == IOL_position_bag;
    g->wrong_lens = c->first_surgery.lens.documented_wrong == IOL_YES;
    g->settled = iol_at_least(g->day, g->turn ? c_turn_first_day : g->refraction_day);
    g->relieved = isnan(g->symptom_day) ? IOL_YES : iol_at_least(g->day, g->symptom_day);
}

int32_t iol_gates_date(const iol_work *w, double day) {
    int32_t done_on = w->c->first_surgery.done_on;
    return done_on == IOL_UNKNOWN_DATE || isnan(day) ? IOL_UNKNOWN_DATE : done_on + (int32_t)day;
}
