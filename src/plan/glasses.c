/* Glasses and contact lens (method, section 6). */
#include "suit.h"

static iol_flag judge(iol_work *w, int option, int place) {
    iol_verdict verdict;
    iol_facts_grow(w);
    iol_option_judge(w, option, place, 0, &verdict);
    return verdict.suitable;
}

void iol_part_spectacles(iol_work *w) {
    iol_spectacles *out = &w->plan->spectacles;
    iol_matrix spectacle;
    out->present = true;
    const iol_reading *worn = iol_eye_worn(&w->eye);
    if (iol_matrix_step(worn->at_cornea, -worn->vertex_mm / 1000.0, &spectacle) >= 0) {
        iol_spherocylinder form = iol_matrix_to_spherocylinder(spectacle);
        out->sphere_d = form.sphere_d;
        out->cylinder_d = form.cylinder_d;
        out->axis_deg = form.axis_deg;
    }
    iol_facts_grow(w);
    out->image_larger = w->facts.glasses_larger;
    out->difference_from_fellow_d = w->facts.difference_d;
    out->suitable = judge(w, IOL_option_spectacles, IOL_AT_spectacles_reasons);
}

void iol_part_contact_lens(iol_work *w) {
    iol_contact_lens *out = &w->plan->contact_lens;
    iol_spherocylinder form = iol_matrix_to_spherocylinder(iol_eye_worn(&w->eye)->at_cornea);
    out->present = true;
    out->se_d = iol_matrix_mean(iol_eye_worn(&w->eye)->at_cornea);
    out->sphere_d = form.sphere_d;
    out->cylinder_d = form.cylinder_d;
    out->axis_deg = form.axis_deg;
    iol_facts_grow(w);
    out->image_larger = w->facts.contact_larger;
    out->suitable = judge(w, IOL_option_contact_lens, IOL_AT_contact_lens_reasons);
}
