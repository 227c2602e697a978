/* A case and a site of which nothing is known; the generic shelf of data/generic_shelf.def. */
#include <string.h>

#include "tables/tables.h"

typedef struct {
    const char *id, *label;
    int material, design, optic, edge;
    double length_mm;
    int purpose;
    int positions[8]; /* ends with 0 */
    double a_constant;
    int stated_for;
    double index, optic_mm, first_d, last_d, step_d;
    double cylinders_d[24]; /* ends with 0 */
} class_row;

#define bag IOL_position_bag
#define sulcus IOL_position_sulcus
#define sulcus_captured IOL_position_sulcus_captured
#define sclera IOL_position_sclera
#define iris_behind IOL_position_iris_behind
#define chamber IOL_position_chamber
#define POSITIONS(...)                                                                                                 \
    { __VA_ARGS__, 0 }
#define CYLINDERS(...)                                                                                                 \
    { __VA_ARGS__, 0.0 }
#define NO_CYLINDERS                                                                                                   \
    { 0.0 }
static const class_row classes[] = {
#define SHELF(id, label, material, design, optic, edge, length, purpose, positions, a, stated, index, optic_mm, first, \
              last, step, cylinders)                                                                                   \
    {id,                                                                                                               \
     label,                                                                                                            \
     IOL_material_##material,                                                                                          \
     IOL_design_##design,                                                                                              \
     IOL_optic_##optic,                                                                                                \
     IOL_edge_##edge,                                                                                                  \
     length,                                                                                                           \
     IOL_purpose_##purpose,                                                                                            \
     positions,                                                                                                        \
     a,                                                                                                                \
     IOL_position_##stated,                                                                                            \
     index,                                                                                                            \
     optic_mm,                                                                                                         \
     first,                                                                                                            \
     last,                                                                                                             \
     step,                                                                                                             \
     cylinders},
#include "generic_shelf.def"
#undef SHELF
};
#undef bag
#undef sulcus
#undef sulcus_captured
#undef sclera
#undef iris_behind
#undef chamber

static void fill(const class_row *row, iol_shelf_lens *lens) {
    lens->present = true;
    memcpy(lens->id, row->id, strlen(row->id) + 1);
    memcpy(lens->label, row->label, strlen(row->label) + 1);
    lens->material = row->material;
    lens->design = row->design;
    lens->optic = row->optic;
    lens->edge = row->edge;
    lens->length_mm = row->length_mm;
    lens->purpose = row->purpose;
    for (int k = 0; row->positions[k]; k++) lens->positions[lens->positions_count++] = row->positions[k];
    lens->constants.present = true;
    lens->constants.a_constant = row->a_constant;
    lens->constants.for_position = row->stated_for;
    lens->constants.obtained_with = IOL_obtained_with_optical;
    lens->refractive_index = row->index;
    lens->optic_diameter_mm = row->optic_mm;
    lens->power_first_d = row->first_d;
    lens->power_last_d = row->last_d;
    lens->power_step_d = row->step_d;
    for (int k = 0; row->cylinders_d[k] > 0.0; k++)
        lens->cylinder_steps_d[lens->cylinder_steps_d_count++] = row->cylinders_d[k];
}

void iol_case_reset(iol_case *c) { iol_object_reset(iol_object_case, c); }
void iol_site_reset(iol_site *site) { iol_object_reset(iol_object_site, site); }

void iol_site_generic(iol_site *site) {
    iol_site_reset(site);
    for (size_t i = 0; i < sizeof classes / sizeof *classes; i++)
        fill(&classes[i], &site->lenses[site->lenses_count++]);
}
