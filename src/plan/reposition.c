/* Putting the old lens back: recentre, capture, suture, sclera (method, section 6). */
#include "displaced.h"
#include "replacement.h"
#include "secondary.h"
#include "suit.h"
#include "tables/constants.h"
#include "tables/note_codes.h"

/* How it would be held; 0 when what decides it is not known. */
static int how_held(const iol_case *c, const iol_facts *f) {
    const iol_lens *lens = &c->first_surgery.lens;
    if (f->zonule_lost == IOL_UNKNOWN) return 0;
    if (f->zonule_lost == IOL_YES) {
        if (f->in_its_bag == IOL_YES) return IOL_reposition_how_suture;
        if (f->in_its_bag == IOL_UNKNOWN) return 0;
        return lens->design == IOL_design_three_piece ? IOL_reposition_how_sclera : 0;
    }
    if (f->one_piece_sulcus == IOL_YES) return IOL_reposition_how_bag;
    bool three_piece = lens->design == IOL_design_three_piece;
    bool in_sulcus = lens->position == IOL_position_sulcus;
    bool opening = c->capsule.anterior == IOL_anterior_capsule_intact_opening &&
                   iol_between(c->capsule.opening_mm, c_capture_opening_low_mm, c_capture_opening_high_mm) == IOL_YES;
    return three_piece && in_sulcus && opening ? IOL_reposition_how_capture : IOL_reposition_how_recentre;
}

/* The place of the rung; that of the old lens where it is only recentred or sutured in its bag. */
static int place_of(const iol_work *w, int how) {
    return how == IOL_reposition_how_capture  ? IOL_position_sulcus_captured
           : how == IOL_reposition_how_sclera ? IOL_position_sclera
           : how == IOL_reposition_how_bag    ? IOL_position_bag
                                              : w->eye.old.position;
}

static void as_it_was(const iol_work *w, iol_place_back *out) {
    iol_matrix glasses;
    iol_spectacle_form recentred;
    out->expected.se_d = iol_reading_in_place(w);
    if (!w->eye.now.usable && iol_recentring_enough(w, &recentred) != IOL_UNKNOWN && !isnan(recentred.se_d)) {
        out->expected = recentred; /* never read there: what is read less what the displacement makes */
        out->sd_d = hypot(w->eye.moved.sd_d, w->moved.sd_se_d);
    }
    if (!w->eye.now.usable || iol_matrix_step(w->eye.now.at_cornea, -w->eye.now.vertex_mm / 1000.0, &glasses) < 0)
        return;
    iol_spherocylinder form = iol_matrix_to_spherocylinder(glasses);
    out->expected.sphere_d = form.sphere_d;
    out->expected.cylinder_d = form.cylinder_d;
    out->expected.axis_deg = form.axis_deg;
    out->sd_d = w->eye.now.sd_d;
}

void iol_place_back_at(const iol_work *w, int position, iol_place_back *out) {
    iol_lens_in_eye there;
    iol_estimate own;
    iol_aim aim;
    *out = (iol_place_back){.shift_mm = NAN, .sd_d = NAN, .expected = {true, NAN, NAN, NAN, NAN}};
    iol_eye_old_lens_at(&w->eye, position, &there);
    out->shift_mm = there.shift_mm - w->eye.old.shift_mm;
    if (out->shift_mm == 0.0) {
        as_it_was(w, out);
        return;
    }
    if (w->facts.spoiled) return;
    iol_replacement_route(&w->eye, w->joint, w->alone, &there, &own, NULL, &aim);
    if (aim.status < 0) return;
    iol_aim_keep_second(&w->eye, &aim);
    iol_aim_of_old_lens(&aim);
    double power_d = isnan(aim.from->posterior_p0_d) ? w->eye.old.power_d : aim.from->posterior_p0_d;
    iol_matrix lens = iol_matrix_add(iol_matrix_scalar(power_d), iol_matrix_deviator(w->eye.old.power));
    iol_aim_expected(&w->eye, &aim, lens, iol_matrix_scalar(0.0), &out->expected);
    if (!aim.keeps_second) out->sd_d = iol_aim_sd(&w->eye, &aim, power_d);
}

void iol_place_back_make(const iol_work *w, iol_place_back *out) {
    int how = how_held(w->c, &w->facts);
    iol_place_back_at(w, place_of(w, how), out);
    out->how = how;
}

void iol_part_reposition(iol_work *w) {
    if (iol_secondary_leaves_out(w, "reposition")) return;
    static const iol_note_code say[] = {[IOL_reposition_how_recentre] = IOL_NOTE_place_how_recentre,
                                        [IOL_reposition_how_capture] = IOL_NOTE_place_how_capture,
                                        [IOL_reposition_how_suture] = IOL_NOTE_place_how_suture,
                                        [IOL_reposition_how_sclera] = IOL_NOTE_place_how_sclera,
                                        [IOL_reposition_how_bag] = IOL_NOTE_place_how_bag};
    iol_reposition *out = &w->plan->reposition;
    iol_verdict verdict;
    if (w->facts.moved != IOL_YES && w->facts.lens_loose != IOL_YES) {
        iol_leave_out(w->plan, "reposition", IOL_left_why_not_applicable, IOL_NOTE_left_not_moved, NULL, NULL);
        return;
    }
    out->present = true;
    iol_place_back back;
    iol_place_back_make(w, &back);
    out->how = back.how;
    out->shift_mm = back.how > 0 ? back.shift_mm : NAN;
    out->expected = back.expected;
    out->sd_d = back.sd_d;
    if (out->how > 0 && iol_above(fabs(back.shift_mm), 0.0) == IOL_YES)
        iol_note_add(&w->plan->notes, IOL_AT_reposition_reasons, 0, IOL_NOTE_place_shift, back.shift_mm,
                     back.expected.se_d, NULL);
    if (out->how > 0)
        iol_note_add(&w->plan->notes, IOL_AT_reposition_reasons, 0, say[out->how], FIGURE(capture_held), NAN, NULL);
    if (w->eye.two) iol_note_add(&w->plan->notes, IOL_AT_reposition_reasons, 0, IOL_NOTE_place_two, NAN, NAN, NULL);
    iol_facts_grow(w);
    iol_option_judge(w, IOL_option_reposition, IOL_AT_reposition_reasons, 0, &verdict);
    out->suitable = verdict.suitable;
}
