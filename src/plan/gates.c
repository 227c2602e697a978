/* Gates in time (method, section 9). What is not known takes the later gate. */
#include "gates.h"

#include "tables/constants.h"
#include "text/dates.h"
#include "tables/note_codes.h"

static void refraction_gate(const iol_work *w, iol_facts *f) {
    int design, material;
    iol_eye_build(&w->eye, &w->c->first_surgery.lens, &design, &material);
    iol_flag one_piece = iol_is(design, IOL_design_one_piece);
    iol_flag dry = iol_not(iol_is(material, IOL_material_hydrophilic_acrylic));
    if (w->eye.no_lens == IOL_YES) one_piece = dry = IOL_YES; /* no lens has to settle */
    f->refraction_day = c_settle_late_day;
    if (w->eye.corneal_surgery == IOL_YES)
        f->refraction_why = IOL_NOTE_gate_cornea;
    else if (one_piece == IOL_NO || dry == IOL_NO)
        f->refraction_why = IOL_NOTE_gate_lens;
    else if (iol_and(iol_and(one_piece, dry), iol_not(w->eye.corneal_surgery)) == IOL_UNKNOWN)
        f->refraction_why = IOL_NOTE_gate_not_known;
    else {
        f->refraction_why = IOL_NOTE_gate_refraction;
        f->refraction_day = c_reading_stable_day;
    }
}

static void symptom_gate(int reason, iol_facts *f) {
    f->symptom_day = NAN;
    f->symptom_why = IOL_NOTE_gate_negative;
    switch (reason) {
    case IOL_reason_photic_negative: f->symptom_day = c_wait_negative_day; break;
    case IOL_reason_photic_positive:
        f->symptom_day = c_wait_positive_day;
        f->symptom_why = IOL_NOTE_gate_positive;
        break;
    case IOL_reason_photic_multifocal:
        f->symptom_day = c_wait_multifocal_day;
        f->symptom_why = IOL_NOTE_gate_multifocal;
        break;
    default: break;
    }
}

void iol_gates_make(const iol_work *w, iol_facts *f) {
    bool wrong = f->documented_wrong == IOL_YES;
    double day = iol_days_from(w->c->first_surgery.done_on, w->plan->as_of);
    f->day = iol_at_least(day, 0.0) == IOL_YES ? day : NAN;
    refraction_gate(w, f);
    symptom_gate(w->c->reason, f);
    f->turn = w->c->reason == IOL_reason_cylinder_error && w->eye.old.toric && w->eye.old.axis_known;
    f->refraction_gate_day = f->turn ? c_turn_first_day : f->refraction_day;
    f->reading_settled_day = f->refraction_why == IOL_NOTE_gate_lens ? f->refraction_day : c_reading_stable_day;
    f->settled = iol_at_least(f->day, f->refraction_gate_day);
    f->relieved = isnan(f->symptom_day) ? IOL_YES : iol_at_least(f->day, f->symptom_day);
    f->before_refraction_gate = wrong || w->eye.fluid_seen ? IOL_NO : iol_not(f->settled);
    f->before_symptom_gate = wrong ? IOL_NO : iol_not(f->relieved);
}

int32_t iol_gates_date(const iol_work *w, double day) {
    int32_t done_on = w->c->first_surgery.done_on;
    return done_on == IOL_UNKNOWN_DATE || isnan(day) ? IOL_UNKNOWN_DATE : done_on + (int32_t)day;
}
