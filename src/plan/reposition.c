/* Putting the old lens back: recentre, capture, suture, sclera (method, section 6). */
#include "secondary.h"
#include "suit.h"
#include "tables/constants.h"

/* How it would be held; 0 when what decides it is not known. */
static int how_held(const iol_case *c, const iol_facts *f) {
    const iol_lens *lens = &c->first_surgery.lens;
    if (f->zonule_lost == IOL_UNKNOWN) return 0;
    if (f->zonule_lost == IOL_YES) {
        if (f->bag_slipped == IOL_YES) return IOL_reposition_how_suture;
        return lens->design == IOL_design_three_piece ? IOL_reposition_how_sclera : 0;
    }
    bool three_piece = lens->design == IOL_design_three_piece;
    bool in_sulcus = lens->position == IOL_position_sulcus;
    bool opening = c->capsule.anterior == IOL_anterior_capsule_intact_opening &&
                   iol_between(c->capsule.opening_mm, c_capture_opening_low_mm, c_capture_opening_high_mm) == IOL_YES;
    return three_piece && in_sulcus && opening ? IOL_reposition_how_capture : IOL_reposition_how_recentre;
}

void iol_part_reposition(iol_work *w) {
    if (iol_secondary_leaves_out(w, "reposition")) return;
    static const iol_note_code say[] = {[IOL_reposition_how_recentre] = IOL_NOTE_place_how_recentre,
                                        [IOL_reposition_how_capture] = IOL_NOTE_place_how_capture,
                                        [IOL_reposition_how_suture] = IOL_NOTE_place_how_suture,
                                        [IOL_reposition_how_sclera] = IOL_NOTE_place_how_sclera};
    iol_reposition *out = &w->plan->reposition;
    iol_verdict verdict;
    if (w->facts.moved != IOL_YES) {
        iol_leave_out(w->plan, "reposition", IOL_left_why_not_applicable, IOL_NOTE_left_not_moved, NULL, NULL);
        return;
    }
    out->present = true;
    out->how = how_held(w->c, &w->facts);
    if (out->how > 0)
        iol_note_add(&w->plan->notes, IOL_AT_reposition_reasons, 0, say[out->how], FIGURE(capture_held), NAN, NULL);
    iol_facts_grow(w);
    iol_option_judge(w, IOL_option_reposition, IOL_AT_reposition_reasons, 0, &verdict);
    out->suitable = verdict.suitable;
}
