/* Taking the old lens out (method, section 8). */
#include "secondary.h"
#include "removal.h"

#include "incision.h"
#include "tables/constants.h"
#include "tables/note_codes.h"

/* Wound of each way for a soft lens, by word of set removal_method. */
static const struct {
    double low_mm, high_mm;
} needed[] = {
#define REMOVAL_WIDTH(method, low, low_ref, low_status, high, high_ref, high_status, text)                             \
    [IOL_removal_method_##method] = {c_removal_##method##_low_mm, c_removal_##method##_high_mm},
#include "removal_widths.def"
#undef REMOVAL_WIDTH
};

iol_removal_choice iol_removal_choose(const iol_removal_facts *f) {
#define REMOVAL_RULE(id, method, when, why)                                                                            \
    if ((when) == IOL_YES) return (iol_removal_choice){IOL_removal_method_##method, IOL_NOTE_##why};
#include "removal_rules.def"
#undef REMOVAL_RULE
    return (iol_removal_choice){0, IOL_NOTE_prefer_enlarge};
}

/* What the rows share. */
typedef struct {
    iol_work *w;
    const iol_eye *eye; /* with the lens that is to come out as its old one */
    iol_removal *out;
    int row;            /* of its notes: 0, or IOL_ROW_SECOND_LENS */
    iol_old_optic optic;
    iol_optic_shape shape;
    iol_chamber chamber;
    iol_flag rigid, plate;
    bool bends;  /* known to bend in the wound: drawn out whole it needs none as wide as itself */
    bool shaped; /* a shape fits the lens */
    double wound_mm, plate_length_mm;
} job;

static void because(job *j, iol_note_code code, double value, double limit) {
    iol_note_add(&j->w->plan->notes, IOL_AT_removal_reasons, j->row, code, value, limit, NULL);
}

static void row_note(job *j, int row, iol_note_code code, double value, double limit) {
    iol_note_add(&j->w->plan->notes, IOL_AT_removal_row_reasons, j->row + row, code, value, limit, NULL);
}

static int fit(double wound_mm, double low_mm, double high_mm) {
    if (isnan(wound_mm) || isnan(low_mm)) return 0;
    return wound_mm >= high_mm ? IOL_fits_yes : wound_mm >= low_mm ? IOL_fits_perhaps : IOL_fits_no;
}

/* A way that this lens does not allow has neither geometry nor wound. */
static bool allowed(job *j, int row, int method) {
    bool turned = method == IOL_removal_method_halved_turned || method == IOL_removal_method_partial ||
                  method == IOL_removal_method_wedge;
    if (j->rigid == IOL_YES && method != IOL_removal_method_whole) {
        row_note(j, row, IOL_NOTE_row_rigid, NAN, NAN);
        return false;
    }
    if (j->plate == IOL_YES && turned) {
        row_note(j, row, IOL_NOTE_row_plate, NAN, NAN);
        return false;
    }
    return true;
}

/* The optic is drawn out whole and is not known to bend: the wound is as wide as it. */
static bool as_wide_as_optic(const job *j, int method) { return method == IOL_removal_method_whole && !j->bends; }

static void set_wound(job *j, int method, iol_removal_row *row) {
    const bool wide = as_wide_as_optic(j, method);
    row->wound_low_mm = wide ? j->optic.diameter_mm : needed[method].low_mm;
    row->wound_high_mm = wide ? j->optic.diameter_mm : needed[method].high_mm;
    row->fits = fit(j->wound_mm, row->wound_low_mm, row->wound_high_mm);
    if (row->fits == IOL_fits_yes || row->fits == 0) return;
    iol_wound_effect now, wider;
    row->enlarge_to_mm = row->wound_high_mm;
    iol_incision_effect(j->eye, j->wound_mm, &now);
    iol_incision_effect(j->eye, row->wound_high_mm, &wider);
    row->enlargement_cylinder_d = wider.cylinder_d - now.cylinder_d;
}

/* Equal thirds against cuts half way out: thinner cut, wider middle piece. */
static double thickness_outward(const job *j) {
    return iol_optic_thickness(&j->shape, j->optic.diameter_mm / 2.0 / 2.0);
}

static bool cuts_outward_thinner(const job *j, const iol_removal_geometry *g) {
    return thickness_outward(j) < g->thickest_mm && j->shape.edge_mm < j->shape.centre_mm;
}

static void explain(job *j, int row, int method, const iol_removal_geometry *g) {
#define IOL_removal_method_any method
#define REMOVAL_WAY(way, id, when, value, limit)                                                                       \
    if (method == IOL_removal_method_##way && (when)) row_note(j, row, IOL_NOTE_##id, value, limit);
#include "remarks.def"
#undef REMOVAL_WAY
#undef IOL_removal_method_any
}

static void add_row(job *j, int method) {
    iol_removal *out = j->out;
    int at = out->methods_count++;
    iol_removal_row *row = &out->methods[at];
    iol_removal_geometry g;
    row->present = true;
    row->id = method;
    if (!allowed(j, at, method)) {
        row->fits = IOL_fits_no;
        return;
    }
    iol_removal_geometry_of(method, &j->shape, &j->chamber, j->plate_length_mm, &g);
    row->widest_piece_mm = g.widest_mm;
    row->thickest_cut_mm = g.thickest_mm;
    row->cut_length_mm = g.length_mm;
    row->furthest_reach_mm = g.reach_mm;
    row->least_clearance_mm = g.clearance_mm;
    set_wound(j, method, row);
    explain(j, at, method, &g);
}

static iol_flag at_least(const job *j, int method) { return iol_at_least(j->wound_mm, needed[method].low_mm); }

static iol_removal_facts facts_of(const job *j) {
    iol_removal_geometry cut;
    iol_removal_geometry_of(IOL_removal_method_halved, &j->shape, &j->chamber, 0.0, &cut);
    int material = j->optic.material;
    iol_flag acrylic =
        iol_or(iol_is(material, IOL_material_hydrophobic_acrylic), iol_is(material, IOL_material_hydrophilic_acrylic));
    iol_flag thin = iol_at_most(j->shape.centre_mm, c_partial_thin_mm);
    return (iol_removal_facts){
        .rigid = j->rigid,
        .plate = j->plate,
        .pliable = iol_and(acrylic, iol_is(j->optic.design, IOL_design_one_piece)),
        .bends = iol_from_bool(j->bends),
        .whole_fits = iol_at_least(j->wound_mm, j->bends ? needed[IOL_removal_method_whole].high_mm : j->optic.diameter_mm),
        .takes_half = at_least(j, IOL_removal_method_halved),
        .takes_third = at_least(j, IOL_removal_method_thirds),
        .takes_wedge = at_least(j, IOL_removal_method_wedge),
        .takes_partial = iol_and(at_least(j, IOL_removal_method_partial),
                                 iol_or(thin, iol_at_least(j->wound_mm, needed[IOL_removal_method_partial].high_mm))),
        .shallow = iol_below(cut.clearance_mm, c_clearance_least_mm),
        .deep = j->optic.iris_plane_measured ? iol_at_least(cut.clearance_mm, c_clearance_full_cut_mm) : IOL_UNKNOWN};
}

static void describe_chamber(job *j, const iol_removal_geometry *preferred) {
    iol_removal_chamber *out = &j->out->chamber;
    if (isnan(iol_optic_clearance(&j->shape, &j->chamber, 0.0))) return;
    out->present = true;
    out->iris_plane_mm = j->chamber.iris_plane_mm;
    out->cornea_thickness_mm = j->chamber.cornea_mm;
    out->endothelium_radius_mm = iol_endothelium_radius(&j->chamber);
    out->lens_front_mm = iol_optic_front(&j->shape, &j->chamber);
    out->blade_height_mm = j->chamber.blade_mm;
    out->least_clearance_at_mm = preferred->least_at_mm;
}

static void prefer(job *j) {
    iol_removal *out = j->out;
    iol_removal_facts facts = facts_of(j);
    iol_removal_choice choice = iol_removal_choose(&facts);
    iol_removal_geometry g;
    iol_removal_geometry_of(IOL_removal_method_halved, &j->shape, &j->chamber, 0.0, &g);
    double value = choice.why == IOL_NOTE_prefer_wedge ? j->shape.centre_mm : g.clearance_mm;
    double limit = facts.shallow == IOL_YES ? c_clearance_least_mm : c_clearance_full_cut_mm;
    out->preferred = choice.method;
    iol_note_add(&j->w->plan->notes, IOL_AT_removal_why, j->row, choice.why, value, limit, NULL);
    iol_removal_geometry_of(choice.method, &j->shape, &j->chamber, j->plate_length_mm, &g);
    describe_chamber(j, &g);
    for (int i = 0; i < g.cuts; i++)
        out->cuts[out->cuts_count++] = (iol_drawing_piece){.present = true,
                                                           .x_from_mm = g.cut[i].x_from_mm,
                                                           .y_from_mm = g.cut[i].y_from_mm,
                                                           .x_to_mm = g.cut[i].x_to_mm,
                                                           .y_to_mm = g.cut[i].y_to_mm};
}

/* It lies, or is brought, in the chamber before anything is cut: with its capsule where that comes out too. */
static bool brings_capsule(const job *j, bool slipped) {
    return j->row == 0 && j->w->facts.bag_comes_out && (j->eye->c->dislocation.with_capsule == IOL_YES) == slipped;
}

/* Soft by its material, and free of its capsule when it is drawn out. What is not known does not bend. */
static bool known_to_bend(const job *j) {
    const int material = j->optic.material, grown_in = j->eye->c->capsule.fibrosis;
    const bool soft = material == IOL_material_hydrophobic_acrylic || material == IOL_material_hydrophilic_acrylic ||
                      material == IOL_material_silicone;
    const bool comes_free = grown_in == IOL_fibrosis_none || grown_in == IOL_fibrosis_mild;
    return soft && (comes_free || j->row != 0 || !j->w->facts.bag_comes_out);
}

static double finite_or_unknown(double x) { return isfinite(x) ? x : NAN; }

/* The shape, and where the case's own figures do not fit it. */
static void describe_shape(job *j) {
    const iol_case *c = j->eye->c;
    const iol_optic_shape *s = &j->shape;
    j->shaped = iol_optic_shape_make(&j->optic, &j->shape) >= 0;
    iol_removal_lens *lens = &j->out->lens;
    lens->present = true;
    lens->centre_thickness_mm = s->centre_mm;
    lens->edge_thickness_mm = s->edge_mm;
    lens->front_radius_mm = finite_or_unknown(s->front_radius_mm);
    lens->back_radius_mm = finite_or_unknown(s->back_radius_mm);
    lens->optic_diameter_mm = s->diameter_mm;
    lens->refractive_index = s->index;
    lens->length_mm = j->optic.length_mm;
#define REMOVAL_SHAPE(id, when, value, limit)                                                                          \
    if (when) because(j, IOL_NOTE_##id, value, limit);
#include "remarks.def"
#undef REMOVAL_SHAPE
}

/* What a wound for the whole optic does to the cornea. */
static double whole_optic_d(const job *j, int site_of_wound) {
    iol_wound_effect effect;
    iol_incision_new(j->w->site, j->w->eye.wound.position_deg, j->optic.diameter_mm, site_of_wound, &effect);
    return effect.cylinder_d;
}

/* Whether a loop that is cut off can stay: not where the zonule is lost, or a capsule is gone. */
static bool holds_a_loop(const job *j) {
    const iol_capsule *capsule = &j->eye->c->capsule;
    const bool gone = capsule->posterior == IOL_posterior_capsule_absent || capsule->anterior == IOL_anterior_capsule_absent;
    return j->w->facts.bag_slipped == IOL_NO && j->w->facts.zonule_lost != IOL_YES && !gone;
}

/* The whole lens leads through a wound as wide as its optic: its material is not told, or its capsule may come too. */
static bool wide_for_want(const job *j) { return as_wide_as_optic(j, j->out->preferred) && j->optic.material <= 0; }

static bool wide_for_capsule(const job *j) {
    return as_wide_as_optic(j, j->out->preferred) && j->optic.material > 0 && j->rigid != IOL_YES;
}

/* What changes for this lens, by build, material, place and capsule. */
static void describe_case(job *j) {
    const iol_case *c = j->eye->c;
#define REMOVAL_CASE(id, when, value, limit)                                                                           \
    if (when) because(j, IOL_NOTE_##id, value, limit);
#include "remarks.def"
#undef REMOVAL_CASE
}

/* Why there is no lens to be taken out by this operation; IOL_NOTE_left_missing: there is one. */
static iol_note_code none_to_take(const iol_case *c) {
    int last = c->refractions_count - 1;
    iol_note_code why = IOL_NOTE_left_missing;
    if (!c->first_surgery.lens.present) why = IOL_NOTE_left_no_lens;
    bool seen = c->dislocation.lies > 0; /* where it lies now, though it was not in the way of the last reading */
    if (last >= 0 && c->refractions[last].lens_then == IOL_lens_then_aphakic && !seen) why = IOL_NOTE_left_aphakic;
    return why;
}

/* Whether there is a lens that can be planned for; else one entry of left_out. */
static bool applies(iol_work *w) {
    iol_note_code why = none_to_take(w->c);
    if (why != IOL_NOTE_left_missing) {
        iol_leave_out(w->plan, "removal", IOL_left_why_not_applicable, why, NULL, NULL);
        return false;
    }
    if (!isnan(w->eye.label_d)) return true;
    iol_leave_out(w->plan, "removal", IOL_left_why_missing_input, why, NULL, "/first_surgery/lens/power_d");
    return false;
}

/* The ways out of one lens, with the way that is preferred. */
static void take_out(job *j) {
    iol_notes *notes = &j->w->plan->notes;
    const bool off = notes->off;
    notes->off = off || j->row != 0; /* what a second lens is taken to be is listed once, by the part of two lenses */
    iol_eye_old_optic(j->eye, notes, &j->optic);
    notes->off = off;
    j->wound_mm = j->w->eye.wound.width_mm;
    j->rigid = iol_is(j->optic.material, IOL_material_pmma);
    j->plate = iol_is(j->optic.design, IOL_design_plate);
    j->plate_length_mm = j->plate == IOL_YES ? j->optic.length_mm : 0.0;
    const iol_eye *eye = j->eye;
    double before = isnan(eye->radius_before_mm) ? eye->radius_mm : eye->radius_before_mm; /* a laser leaves the back */
    j->chamber = (iol_chamber){j->optic.iris_plane_mm, j->optic.cornea_mm, before, j->optic.blade_mm};
    describe_shape(j);
    j->bends = known_to_bend(j);
    for (int method = IOL_removal_method_whole; method <= IOL_removal_method_thirds; method++) add_row(j, method);
    prefer(j);
}

/* Without a word in the plan. */
static void take_out_unsaid(job *j) {
    const bool off = j->w->plan->notes.off;
    j->w->plan->notes.off = true;
    take_out(j);
    j->w->plan->notes.off = off;
}

/* A way that cuts comes out of the least wound that takes its pieces; the whole lens wants the comfortable one. */
static double needs(const iol_removal *r) {
    const iol_removal_row *way = iol_preferred_way(r);
    if (!way) return NAN;
    const bool wider = way->id == IOL_removal_method_whole || way->fits == IOL_fits_no;
    return wider ? way->enlarge_to_mm : NAN;
}

double iol_removal_needs(iol_work *w) {
    iol_removal out = w->plan->removal; /* not made yet */
    job j = {.w = w, .eye = &w->eye, .out = &out};
    if (w->eye.no_lens == IOL_YES || none_to_take(w->c) != IOL_NOTE_left_missing || isnan(w->eye.label_d)) return NAN;
    take_out_unsaid(&j);
    return needs(&out);
}

/* The turn of the loops before the cut, the hand that holds; loose: the lens lies free. */
static void turn_and_hold(job *j, bool loose) {
    iol_notes *notes = &j->w->plan->notes;
    const bool off = notes->off;
    notes->off = off || j->row != 0;
    const int turns = j->plate == IOL_YES ? IOL_turns_both : iol_eye_turns(j->eye, notes);
    notes->off = off;
    const iol_removal_hold hold = {j->eye, &j->optic, turns, loose, j->row};
    iol_removal_turn(j->w, &hold, j->out);
}

/* The second lens in the place of the old one: its case, and its eye. */
static void put_second(const iol_work *w, iol_case *c, iol_eye *eye) {
    *c = *w->c;
    *eye = w->eye;
    c->first_surgery.lens = c->second_lens;
    eye->c = c;
    eye->old = eye->second;
    eye->label_d = eye->second.power_d;
}

double iol_removal_second_needs(iol_work *w) {
    iol_case c;
    iol_eye eye;
    iol_removal out = w->plan->removal; /* not made yet */
    job j = {.w = w, .eye = &eye, .out = &out};
    put_second(w, &c, &eye);
    take_out_unsaid(&j);
    return needs(&out);
}

void iol_removal_second(iol_work *w, iol_removal *out) {
    iol_case c;
    iol_eye eye;
    job j = {.w = w, .eye = &eye, .out = out, .row = IOL_ROW_SECOND_LENS};
    put_second(w, &c, &eye);
    out->present = true;
    take_out(&j);
    describe_case(&j);
    turn_and_hold(&j, false);
}

void iol_part_removal(iol_work *w) {
    job j = {.w = w, .eye = &w->eye, .out = &w->plan->removal};
    if (iol_secondary_leaves_out(w, "removal") || !applies(w)) return;
    w->plan->removal.present = true;
    take_out(&j);
    describe_case(&j);
    const int lies = w->c->dislocation.lies;
    bool loose = lies == IOL_lies_anterior_vitreous || lies == IOL_lies_retina || lies == IOL_lies_chamber;
    loose = loose || brings_capsule(&j, false);
    if (j.optic.design > 0)
        turn_and_hold(&j, loose);
    else
        iol_leave_out(w->plan, "removal/orientation", IOL_left_why_missing_input, IOL_NOTE_left_missing, NULL,
                      "/first_surgery/lens/design");
}
