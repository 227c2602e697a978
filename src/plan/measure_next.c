/* What to look at or to measure next, and what it buys (method, section 8). */
#include "estimate/worth.h"
#include "replacement.h"
#include "tables/constants.h"
#include "tables/note_codes.h"

/* The looks by name, in the order of the enum. */
static const char *const look_id[IOL_LOOK_COUNT] = {
    NULL, "lens-identified", "biometry-of-this-eye", "original-sheet", "dilated-look", "topography"};
static const char *const measure_id[IOL_MEASURE_COUNT] = {
#define MEASUREMENT(id, code, sd, words) code,
#include "measurements.def"
#undef MEASUREMENT
};

/* The class that the powers are for, as a question of its best step; false where no causes were weighed. */
static bool ask(const iol_work *w, iol_question *q) {
    const iol_replacement *r = &w->plan->replacement;
    const iol_shelf_lens *shelf = iol_eye_on_shelf(w->site, r->lens_id);
    iol_lens_in_eye fresh;
    iol_estimate own;
    iol_aim aim;
    if (!r->present || r->standing == IOL_standing_withheld || !shelf) return false;
    iol_eye_shelf_lens(&w->eye, shelf, w->facts.place, &fresh);
    iol_replacement_route(&w->eye, w->joint, w->alone, &fresh, &own, NULL, &aim);
    if (aim.status < 0 || !aim.mixture || !aim.mixture->tested) return false;
    *q = (iol_question){.eye = &w->eye,
                        .causes = aim.mixture,
                        .change_mm = aim.change_mm,
                        .sd_change_mm = aim.sd_change_mm,
                        .target_d = w->eye.target_se_d,
                        .shelf = {shelf->power_first_d, shelf->power_last_d, shelf->power_step_d}};
    return true;
}

/* Most first. */
static void add(iol_plan *plan, const iol_next_measure *row) {
    iol_next_measure *list = plan->measure_next;
    if (!(row->gain >= c_worth_told) || plan->measure_next_count == (int)IOL_MOST(plan->measure_next)) return;
    int at = plan->measure_next_count++;
    for (; at > 0 && list[at - 1].gain < row->gain; at--) list[at] = list[at - 1];
    list[at] = *row;
}

void iol_part_measure_next(iol_work *w) {
    iol_question q;
    if (w->plan->notes.off || w->compared) return;
    if (!ask(w, &q)) {
        bool withheld = w->plan->replacement.standing == IOL_standing_withheld;
        iol_leave_out(w->plan, "measure_next", withheld ? IOL_left_why_withheld : IOL_left_why_not_applicable,
                      IOL_NOTE_left_not_weighed, NULL, NULL);
        return;
    }
    double now = iol_worth_now(&q);
    for (int i = 1; i < IOL_LOOK_COUNT; i++) {
        iol_suspect_id settled = IOL_SUSPECT_another_lens;
        double after = iol_worth_of_look(&q, (iol_look)i, &settled);
        add(w->plan, &(iol_next_measure){.present = true,
                                         .id = look_id[i],
                                         .kind = IOL_measure_kind_look,
                                         .chance_now = now,
                                         .chance_after = after,
                                         .gain = fmax(0.0, after - now),
                                         .sd = NAN,
                                         .settles = iol_suspect_rows[settled].code});
    }
    for (int i = 0; i < IOL_MEASURE_COUNT; i++) {
        double sd, after = iol_worth_of_measurement(&q, (iol_measure)i, &sd);
        add(w->plan, &(iol_next_measure){.present = true,
                                         .id = measure_id[i],
                                         .kind = IOL_measure_kind_measurement,
                                         .chance_now = now,
                                         .chance_after = after,
                                         .gain = fmax(0.0, after - now),
                                         .sd = sd});
    }
}
