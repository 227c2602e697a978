/* The wound and what it does to the cornea (method, section 8). */
#include "incision.h"

#include "removal.h"
#include "tables/constants.h"
#include "tables/note_codes.h"

/* Centroid by the built-in figures. The place counts by the square of its height: 0 at 3 and 9 o'clock and below, 1 at 12. */
static double built_in(double position_deg, double width_mm, int where) {
    double sine, cosine;
    iol_sincos_deg(position_deg, &sine, &cosine);
    double up = sine > 0.0 ? sine * sine : 0.0;
    if (where == IOL_site_of_wound_sclera) {
        double rise = c_induced_scleral_superior_d - c_induced_scleral_temporal_d;
        return (c_induced_scleral_temporal_d + rise * up) * width_mm / c_induced_scleral_mm;
    }
    double level = fmax(0.0, c_induced_base_d + c_induced_slope_d_per_mm * (width_mm - c_induced_base_mm));
    return level * (1.0 + (c_induced_superior - 1.0) * up);
}

static double spread_of(double cylinder_d) { return fmax(c_induced_sd_share * cylinder_d, c_induced_sd_least_d); }

/* The rows of this site of wound next below and above a width; NULL where there is none. */
static void rows_beside(const iol_habits *habits, double width_mm, int where, const iol_induced_cylinder **below,
                        const iol_induced_cylinder **above) {
    *below = *above = NULL;
    for (int i = 0; i < habits->induced_cylinder_count; i++) {
        const iol_induced_cylinder *row = &habits->induced_cylinder[i];
        int site = row->site > 0 ? row->site : IOL_site_of_wound_cornea;
        if (site != where || isnan(row->width_mm) || isnan(row->cylinder_d)) continue;
        if (row->width_mm <= width_mm && (!*below || row->width_mm > (*below)->width_mm)) *below = row;
        if (row->width_mm >= width_mm && (!*above || row->width_mm < (*above)->width_mm)) *above = row;
    }
}

static double row_sd(const iol_induced_cylinder *row) {
    return isnan(row->sd_d) ? spread_of(row->cylinder_d) : row->sd_d;
}

/* The site's figures, linear between two rows; beyond them the built-in slope goes on from the last one. */
static bool by_site(const iol_site *site, double position_deg, double width_mm, int where, iol_wound_effect *out) {
    const iol_induced_cylinder *below, *above;
    rows_beside(&site->habits, width_mm, where, &below, &above);
    const iol_induced_cylinder *near = below ? below : above;
    if (!near) return false;
    if (below && above) {
        double gap = above->width_mm - below->width_mm;
        double part = gap > 0.0 ? (width_mm - below->width_mm) / gap : 0.0;
        out->cylinder_d = below->cylinder_d + part * (above->cylinder_d - below->cylinder_d);
        out->sd_d = row_sd(below) + part * (row_sd(above) - row_sd(below));
    } else {
        double more = built_in(position_deg, width_mm, where) - built_in(position_deg, near->width_mm, where);
        out->cylinder_d = fmax(0.0, near->cylinder_d + more);
        out->sd_d = fmax(row_sd(near), c_induced_sd_share * out->cylinder_d);
    }
    return true;
}

/* s (I/2 - u u') with u along the wound's meridian. */
static iol_matrix change_of(double position_deg, double cylinder_d) {
    double sine, cosine;
    iol_sincos_deg(2.0 * position_deg, &sine, &cosine);
    double half = cylinder_d / 2.0;
    return (iol_matrix){0.0 - half * cosine, 0.0 - half * sine, half * cosine};
}

void iol_incision_new(const iol_site *site, double position_deg, double width_mm, int where, iol_wound_effect *out) {
    *out = (iol_wound_effect){.cylinder_d = NAN, .sd_d = NAN, .change = {NAN, NAN, NAN}};
    if (!isfinite(position_deg) || !isfinite(width_mm)) return;
    out->from_site = by_site(site, position_deg, width_mm, where, out);
    if (!out->from_site) {
        out->cylinder_d = built_in(position_deg, width_mm, where);
        out->sd_d = spread_of(out->cylinder_d);
    }
    out->change = change_of(position_deg, out->cylinder_d);
}

void iol_incision_effect(const iol_eye *eye, double width_mm, iol_wound_effect *out) {
    const iol_planned_wound *wound = &eye->wound;
    iol_incision_new(eye->site, wound->position_deg, width_mm, wound->site, out);
    if (!wound->again) return;
    iol_wound_effect first;
    iol_incision_new(eye->site, wound->position_deg, eye->c->first_surgery.incision.width_mm, wound->site, &first);
    out->cylinder_d = fmax(0.0, out->cylinder_d - first.cylinder_d);
    if (!out->from_site) out->sd_d = spread_of(out->cylinder_d);
    out->change = change_of(wound->position_deg, out->cylinder_d);
}

/* One sentence at its place, in place of an earlier one. */
static void advice(iol_work *w, iol_note_code code, double value, double limit) {
    iol_notes *notes = &w->plan->notes;
    const int told = iol_note_find(notes, IOL_AT_incision_steep_meridian_advice, 0, 0);
    if (told < 0) {
        iol_note_add(notes, IOL_AT_incision_steep_meridian_advice, 0, code, value, limit, NULL);
        return;
    }
    notes->item[told].code = (int)code;
    notes->item[told].value = value;
    notes->item[told].limit = limit;
}

static void advise(iol_work *w, double width_mm, const iol_wound_effect *effect) {
    const iol_planned_wound *wound = &w->eye.wound;
    if (!w->eye.astigmatism_known) {
        advice(w, IOL_NOTE_wound_axis_unknown, NAN, NAN);
        return;
    }
    iol_matrix now = iol_matrix_deviator(w->eye.keratometry), after = iol_matrix_add(now, effect->change);
    iol_incision *out = &w->plan->incision;
    out->corneal_cylinder_now_d = iol_matrix_cylinder(now);
    out->corneal_axis_now_deg = iol_matrix_steep_axis(now);
    out->corneal_cylinder_after_d = iol_matrix_cylinder(after);
    out->corneal_axis_after_deg = iol_matrix_steep_axis(after);
    double cylinder = out->corneal_cylinder_now_d, steep = out->corneal_axis_now_deg;
    iol_note_code code = IOL_NOTE_wound_off_steep;
    double value = steep, limit;
    iol_wound_effect there;
    iol_incision_new(w->site, steep, width_mm, wound->site, &there);
    limit = iol_matrix_cylinder(iol_matrix_add(now, there.change));
    if (iol_below(cylinder, c_steep_matters_d) == IOL_YES) {
        code = IOL_NOTE_wound_no_preference;
        value = cylinder;
        limit = NAN;
    } else if (iol_at_most(fabs(iol_axis_turn(wound->position_deg, steep)), c_steep_near_deg) == IOL_YES) {
        limit = out->corneal_cylinder_after_d;
        code = iol_below(limit, cylinder) == IOL_YES ? IOL_NOTE_wound_on_steep : IOL_NOTE_wound_on_steep_same;
    }
    advice(w, code, value, limit);
}

iol_matrix iol_incision_change(const iol_work *w, const iol_shelf_lens *shelf) {
    const double base_mm = shelf->purpose == IOL_purpose_piggyback ? w->eye.wound.width_mm : w->end_wound_mm;
    const double lens_mm = shelf->material == IOL_material_pmma ? shelf->optic_diameter_mm : NAN;
    iol_wound_effect effect;
    iol_incision_effect(&w->eye, fmax(base_mm, lens_mm), &effect);
    return effect.change;
}

void iol_incision_end(iol_work *w, double width_mm) {
    iol_incision *out = &w->plan->incision;
    iol_wound_effect effect;
    iol_incision_effect(&w->eye, width_mm, &effect);
    out->end_width_mm = width_mm;
    out->end_cylinder_d = effect.cylinder_d;
    out->end_sd_d = effect.sd_d;
    advise(w, width_mm, &effect);
}

static void price(iol_work *w, double width_mm) {
    iol_wound_effect effect;
    if (isnan(width_mm)) return;
    iol_incision_effect(&w->eye, width_mm, &effect);
    iol_because(w, IOL_AT_incision_reasons, IOL_NOTE_wound_width_cost, width_mm, effect.cylinder_d);
}

/* As planned, or as wide as the way out of what leaves needs: of both lenses where there are two. */
static double end_width(iol_work *w) {
    const double first = fmax(w->eye.wound.width_mm, iol_removal_needs(w));
    return w->eye.two ? fmax(first, iol_removal_second_needs(w)) : first;
}

/* Positions run anticlockwise from the examiner's right: the nose lies there beside a right eye, and opposite beside a left one. */
static bool is_nasal(const iol_case *c, double position_deg) {
    const double nose_deg = c->eye == IOL_side_right ? 0.0 : 180.0;
    return iol_at_most(fabs(fmod(position_deg + 540.0 - nose_deg, 360.0) - 180.0), c_nasal_deg) == IOL_YES;
}

void iol_part_incision(iol_work *w) {
    iol_incision *out = &w->plan->incision;
    const iol_planned_wound *wound = &w->eye.wound;
    const iol_case *c = w->c;
    iol_wound_effect effect;
    w->end_wound_mm = end_width(w);
    iol_incision_effect(&w->eye, w->end_wound_mm, &effect);
    w->induced = effect.change;
    iol_incision_effect(&w->eye, wound->width_mm, &effect);
    out->present = true;
    out->position_deg = wound->position_deg;
    out->width_mm = wound->width_mm;
    out->induced_cylinder_d = effect.cylinder_d;
    out->sd_d = effect.sd_d;
    iol_incision_end(w, w->end_wound_mm);
#define INCISION_SAYS(id, when, value, limit)                                                                          \
    if (when) iol_because(w, IOL_AT_incision_reasons, IOL_NOTE_##id, value, limit);
#include "remarks.def"
#undef INCISION_SAYS
    if (is_nasal(c, c->operation.seat_position_deg))
        iol_caution(w, IOL_NOTE_seat_nasal, c->operation.seat_position_deg, NAN, NULL);
    if (c->cornea.earlier_refractive_surgery == IOL_corneal_surgery_radial_cuts &&
        wound->site != IOL_site_of_wound_sclera)
        iol_caution(w, IOL_NOTE_wound_radial, NAN, NAN, NULL);
#define INCISION_WIDTH(width) price(w, width);
#include "remarks.def"
#undef INCISION_WIDTH
    if (w->eye.no_lens == IOL_YES) return; /* nothing comes out */
    iol_because(w, IOL_AT_incision_reasons, IOL_NOTE_wound_enlarge, FIGURE(explant_enlarge_cylinder),
                FIGURE(explant_halves_cylinder));
}
