/* The eye of the worked example with everything about its support examined and sound: a start for changes of one finding. */
#ifndef TESTS_SOUND_CASE_H
#define TESTS_SOUND_CASE_H

#include "case_text.h"

static inline void sound_case(iol_case *c) {
    char json[4096];
    snprintf(json, sizeof json, WORKED_CASE, "srk-t");
    must_read_case(json, c);
    c->first_surgery.complicated = IOL_NO;
    c->first_surgery.lens.design = IOL_design_one_piece;
    c->first_surgery.lens.material = IOL_material_hydrophobic_acrylic;
    c->capsule = (iol_capsule){.present = true,
                               .anterior = IOL_anterior_capsule_intact_opening,
                               .opening_mm = 5.0,
                               .opening_overlaps_optic = IOL_overlap_full,
                               .posterior = IOL_posterior_capsule_clear,
                               .opened_on = IOL_UNKNOWN_DATE,
                               .fibrosis = IOL_fibrosis_none,
                               .soemmering_ring = IOL_NO};
    c->zonule = (iol_zonule){.present = true,
                             .donesis = IOL_donesis_none,
                             .missing_clock_hours = 0.0,
                             .missing_from_clock = NAN,
                             .missing_to_clock = NAN,
                             .pseudoexfoliation = IOL_NO,
                             .trauma = IOL_NO,
                             .vitrectomised = IOL_NO,
                             .connective_tissue_disorder = IOL_NO,
                             .fellow_eye_zonule_problem = IOL_NO};
    c->anterior_segment = (iol_anterior_segment){.present = true,
                                                 .glaucoma = IOL_glaucoma_none,
                                                 .pressure_mmhg = 14.0,
                                                 .drainage_surgery = IOL_NO,
                                                 .uveitis = IOL_uveitis_none,
                                                 .iris = IOL_iris_normal,
                                                 .pupil_dilated_mm = 7.0,
                                                 .vitreous_in_chamber = IOL_NO,
                                                 .pigment_dispersion = IOL_NO,
                                                 .iris_to_lens_gap_mm = 0.6,
                                                 .angle = IOL_angle_open,
                                                 .fluid_behind_lens = IOL_finding_no};
    c->cornea.endothelial_cells_per_mm2 = 2400.0;
    c->cornea.guttata = c->cornea.oedema = IOL_NO;
    c->cornea.thickness_um = 550.0;
    c->patient.present = true;
    c->patient.blood_thinner = c->patient.cannot_lie_flat = IOL_NO;
}

/* Days since the first operation of the worked example: 2026-03-20 is day 47; this moves the day that they are counted to. */
static inline void set_interval(iol_case *c, int days) { c->assessed_on = c->first_surgery.done_on + days; }

#endif
