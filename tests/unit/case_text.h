/* The worked example of the method, and helpers that make plans from JSON text. */
#ifndef TESTS_CASE_TEXT_H
#define TESTS_CASE_TEXT_H

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "iolrevise.h"

/* Invented eye of the worked example; %s the formula. */
#define WORKED_CASE                                                                                                    \
    "{\"case_format\":1,\"case_ref\":\"W-1\",\"eye\":\"right\",\"reason\":\"power-error\",\"formula\":\"%s\","         \
    "\"assessed_on\":\"2026-03-20\",\"age_years\":71,\"target_se_d\":-0.25,"                                           \
    "\"complaint\":{\"trend\":\"same\"},\"red_flags\":{\"none\":true},"                                               \
    "\"silicone_oil\":{\"now\":false,\"at_measurement\":false,\"at_refraction\":false,\"stays\":false},"               \
    "\"checks\":{\"biometry_belongs_to_this_eye\":true},"                                                              \
    "\"anterior_segment\":{\"uveitis\":\"none\",\"glaucoma\":\"none\",\"pressure_mmhg\":14,\"fluid_behind_lens\":\"no\"},"  \
    "\"zonule\":{\"donesis\":\"none\",\"missing_clock_hours\":0},"                                                    \
    "\"biometry\":{\"axial_length_mm\":22.86,\"method\":\"optical\",\"eye_state\":\"phakic\",\"k_flat_d\":43.75,\"k_"  \
    "steep_d\":44.75,"                                                                                                 \
    "\"k_steep_axis_deg\":170,\"keratometric_index\":1.3375,\"chamber_depth_mm\":3.1,\"measured_on\":\"2026-01-05\"}," \
    "\"cornea\":{\"surface\":\"regular\",\"ocular_surface\":\"healthy\",\"oedema\":false,"                               \
    "\"earlier_refractive_surgery\":\"none\"},\"retina\":{\"macula\":\"normal\"},"                                     \
    "\"capsule\":{\"anterior\":\"intact-opening\"},"                                                                   \
    "\"refractions\":[{\"measured_on\":\"2026-03-20\",\"sphere_d\":2.25,\"cylinder_d\":-0.75,\"axis_deg\":80,"         \
    "\"vertex_mm\":12,"                                                                                                \
    "\"method\":\"manifest\",\"lens_then\":\"in-place\",\"corrected_acuity_logmar\":0.0}],"                            \
    "\"first_surgery\":{\"done_on\":\"2026-02-01\",\"intended_se_d\":-0.25,\"lens\":{\"power_d\":20.0,\"identified_"   \
    "by\":\"sticker\","                                                                                                \
    "\"position\":\"bag\",\"constants\":{\"a_constant\":118.4}}}}"

#define WORKED_SITE                                                                                                    \
    "{\"site_format\":1,\"lenses\":[{\"id\":\"bag-119\",\"purpose\":\"replacement\",\"positions\":[\"bag\"],"          \
    "\"design\":\"one-piece\","                                                                                        \
    "\"constants\":{\"a_constant\":119.0},\"power_first_d\":6,\"power_last_d\":30,\"power_step_d\":0.5}],"             \
    "\"habits\":{\"aim\":\"nearest\"},\"spread\":{\"axial_length_mm\":0.05,\"cornea_d\":0.20,\"lens_position_mm\":0."  \
    "30,\"lens_label_d\":0.20,"                                                                                        \
    "\"refraction_d\":0.30}}"

static inline void must_read_case(const char *json, iol_case *c) {
    static iol_faults faults;
    if (iol_case_read(json, strlen(json), c, &faults)) return;
    for (int i = 0; i < faults.count; i++) {
        char line[IOL_FAULT_LINE];
        iol_fault_print(&faults.item[i], line, sizeof line);
        fprintf(stderr, "case:%s\n", line);
    }
    abort();
}

static inline void must_read_site(const char *json, iol_site *site) {
    static iol_faults faults;
    if (iol_site_read(json, strlen(json), site, &faults)) return;
    fprintf(stderr, "site refused: %s\n", faults.item[0].path);
    abort();
}

/* The plan of the worked example with one formula. */
static inline void worked_plan(const char *formula, iol_plan *plan) {
    static iol_case c;
    static iol_site site;
    char json[4096];
    snprintf(json, sizeof json, WORKED_CASE, formula);
    must_read_case(json, &c);
    must_read_site(WORKED_SITE, &site);
    iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, plan);
}

#endif
