/* The old lens as a body, and the tools and depths that taking it out needs. */
#include <string.h>

#include "eye.h"
#include "tables/constants.h"
#include "tables/note_codes.h"

typedef struct {
    const iol_shelf_lens *shelf; /* the site's row of this lens; NULL when there is none */
    bool used;                   /* something was taken from it */
} source;

static double from_shelf(double given, const double *on_shelf, source *s) {
    if (!isnan(given) || !s->shelf || isnan(*on_shelf)) return given;
    s->used = true;
    return *on_shelf;
}

static int word_from_shelf(int given, const int *on_shelf, source *s) {
    if (given > 0 || !s->shelf || *on_shelf <= 0) return given;
    s->used = true;
    return *on_shelf;
}

static double usual_index(int material) {
    switch (material) {
    case IOL_material_hydrophobic_acrylic: return c_old_index_hydrophobic;
    case IOL_material_hydrophilic_acrylic: return c_old_index_hydrophilic;
    case IOL_material_silicone: return c_old_index_silicone;
    case IOL_material_pmma: return c_old_index_pmma;
    default: return c_old_index_unknown;
    }
}

static void dimensions(const iol_eye *eye, iol_notes *notes, iol_old_optic *out) {
    const iol_lens *l = &eye->c->first_surgery.lens;
    source s = {iol_eye_on_shelf(eye->site, l->lens_id), false};
    out->material = word_from_shelf(l->material, s.shelf ? &s.shelf->material : NULL, &s);
    out->design = word_from_shelf(l->design, s.shelf ? &s.shelf->design : NULL, &s);
    out->index = from_shelf(l->refractive_index, s.shelf ? &s.shelf->refractive_index : NULL, &s);
    out->diameter_mm = from_shelf(l->optic_diameter_mm, s.shelf ? &s.shelf->optic_diameter_mm : NULL, &s);
    out->length_mm = from_shelf(l->length_mm, s.shelf ? &s.shelf->length_mm : NULL, &s);
    if (s.used) iol_note_add(notes, IOL_AT_plan_assumptions, 0, IOL_NOTE_assume_old_dimensions, NAN, NAN, l->lens_id);
    const char *named = out->material > 0 ? IOL_WORD(material, out->material) : "material not known";
    out->index = iol_or_assume(out->index, usual_index(out->material), IOL_NOTE_assume_old_index, named, notes);
    out->diameter_mm = iol_or_assume(out->diameter_mm, c_old_diameter_mm, IOL_NOTE_assume_old_diameter, NULL, notes);
}

/* One thickness at least: the given ones, else the edge of a plus lens, the centre of a minus lens. */
static void thicknesses(const iol_eye *eye, iol_notes *notes, iol_old_optic *out) {
    const iol_lens *l = &eye->c->first_surgery.lens;
    out->power_d = eye->label_d;
    out->shape_q = iol_shape_of_word(l->shape);
    out->front_radius_mm = l->front_radius_mm;
    out->back_radius_mm = l->back_radius_mm;
    out->centre_mm = l->centre_thickness_mm;
    out->edge_mm = l->edge_thickness_mm;
    if (isnan(out->centre_mm) && isnan(out->edge_mm)) {
        if (iol_below(out->power_d, 0.0) == IOL_YES)
            out->centre_mm = iol_or_assume(NAN, c_old_minus_centre_mm, IOL_NOTE_assume_old_centre, NULL, notes);
        else
            out->edge_mm = iol_or_assume(NAN, c_old_edge_mm, IOL_NOTE_assume_old_edge, NULL, notes);
    }
}

/* Depth of the iris plane: the chamber before the first operation (none that was read without a lens or with an implanted one),
 * else in front of the measured lens. */
static void depths(const iol_eye *eye, iol_notes *notes, iol_old_optic *out) {
    const iol_case *c = eye->c;
    double measured = c->cornea.thickness_um / 1000.0;
    out->cornea_mm = iol_or_assume(measured, c_cornea_thickness_mm, IOL_NOTE_assume_cornea_thickness, NULL, notes);
    out->iris_plane_mm = eye->chamber_depth_mm;
    out->iris_plane_measured = !isnan(out->iris_plane_mm);
    if (out->iris_plane_measured || isnan(eye->lens_depth_mm)) return;
    double estimate = eye->lens_depth_mm - c_iris_before_lens_mm;
    out->iris_plane_mm = iol_or_assume(NAN, estimate, IOL_NOTE_assume_iris_plane, NULL, notes);
}

static void surgeon(const iol_eye *eye, iol_notes *notes, iol_old_optic *out) {
    const iol_operation *o = &eye->c->operation;
    int habit = eye->site->habits.surgeon_hand > 0 ? eye->site->habits.surgeon_hand : IOL_hand_right;
    out->blade_mm = iol_or_assume(o->blade_height_mm, c_blade_height_mm, IOL_NOTE_assume_blade, NULL, notes);
    out->hand = iol_or_assume_word(o->surgeon_hand, habit, &iol_words_hand, IOL_NOTE_assume_hand, notes);
    double seat = isnan(o->seat_position_deg) ? eye->wound.position_deg : o->seat_position_deg;
    out->seat_deg = iol_position_reduce(seat);
}

void iol_eye_optic_body(const iol_eye *eye, iol_notes *notes, iol_old_optic *out) {
    *out = (iol_old_optic){.material = 0};
    dimensions(eye, notes, out);
    thicknesses(eye, notes, out);
}

void iol_eye_old_optic(const iol_eye *eye, iol_notes *notes, iol_old_optic *out) {
    iol_eye_optic_body(eye, notes, out);
    if (out->material <= 0)
        iol_note_add(notes, IOL_AT_plan_assumptions, 0, IOL_NOTE_assume_old_foldable, NAN, NAN, NULL);
    if (isnan(out->front_radius_mm) && isnan(out->back_radius_mm) && isnan(out->shape_q))
        iol_note_add(notes, IOL_AT_plan_assumptions, 0, IOL_NOTE_assume_old_radii, NAN, NAN, NULL);
    depths(eye, notes, out);
    surgeon(eye, notes, out);
}
