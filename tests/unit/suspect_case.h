/* An invented eye whose surprise has one known gross cause, as JSON text with pieces left open. */
#ifndef TESTS_SUSPECT_CASE_H
#define TESTS_SUSPECT_CASE_H

#include <stdarg.h>

#include "case_text.h"
#include "tables/tables.h"

/* Pieces that a test may change; the rest stays. NULL or NaN: the piece below. */
typedef struct {
    double length_mm, k_flat_d, k_steep_d, index, power_d, a_constant, intended_se_d, sphere_d, cylinder_d;
    int age_years;
    const char *reason, *surgery, *surface, *fluid, *macula, *measured_on, *vertex, *index_key, *site;
    const char *identified_by, *position, *checks, *lens_more, *first_more, *zonule, *case_more;
} suspect_eye;

#define SUSPECT_EYE                                                                                                    \
    {                                                                                                                  \
        .length_mm = 23.50, .k_flat_d = 43.50, .k_steep_d = 44.00, .index = 1.3375, .power_d = 21.0,                   \
        .a_constant = 118.8, .intended_se_d = -0.25, .sphere_d = 0.0, .cylinder_d = -0.5, .age_years = 71,             \
        .reason = "power-error", .surgery = "none", .surface = "regular", .fluid = "no", .macula = "normal",           \
        .measured_on = "2026-03-20", .vertex = "12", .index_key = "keratometric_index", .site = WORKED_SITE,           \
        .identified_by = "sticker", .position = "bag", .checks = "\"biometry_belongs_to_this_eye\":null",              \
        .lens_more = "", .first_more = "",                                                                             \
        .case_more = "\"capsule\":{\"anterior\":\"intact-opening\"},"                                                  \
                     "\"silicone_oil\":{\"now\":false,\"at_measurement\":false,"                                       \
                     "\"at_refraction\":false,\"stays\":false},",                                                      \
        .zonule = "\"zonule\":{\"donesis\":\"none\",\"missing_clock_hours\":0},",                                      \
    }

static inline void suspect_json(const suspect_eye *e, char *json, size_t size) {
    snprintf(json, size,
             "{\"case_format\":1,\"case_ref\":\"S-1\",\"eye\":\"right\",\"reason\":\"%s\",\"formula\":\"srk-t\","
             "\"assessed_on\":\"2026-03-20\",\"age_years\":%d,\"target_se_d\":-0.25,"
             "\"complaint\":{\"trend\":\"same\"},\"red_flags\":{\"none\":true},"
             "\"biometry\":{\"axial_length_mm\":%.2f,\"method\":\"optical\",\"eye_state\":\"phakic\",\"k_flat_d\":%.2f,"
             "\"k_steep_d\":%.2f,\"k_steep_axis_deg\":90,\"%s\":%.4f,\"chamber_depth_mm\":3.1,"
             "\"measured_on\":\"2026-01-05\"},"
             "\"cornea\":{\"surface\":\"%s\",\"ocular_surface\":\"healthy\",\"oedema\":false,"
             "\"earlier_refractive_surgery\":\"%s\"},"
             "\"anterior_segment\":{\"uveitis\":\"none\",\"glaucoma\":\"none\",\"pressure_mmhg\":15,"
             "\"fluid_behind_lens\":\"%s\"},\"retina\":{\"macula\":\"%s\"},"
             "\"refractions\":[{\"measured_on\":\"%s\",\"sphere_d\":%.2f,\"cylinder_d\":%.2f,\"axis_deg\":90,"
             "\"vertex_mm\":%s,\"method\":\"manifest\",\"lens_then\":\"in-place\",\"corrected_acuity_logmar\":0.0}],"
             "\"first_surgery\":{\"done_on\":\"2026-02-01\",\"intended_se_d\":%.2f,%s\"lens\":{\"power_d\":%.2f,%s"
             "\"identified_by\":\"%s\",\"position\":\"%s\",\"constants\":{\"a_constant\":%.2f}}},"
             "%s%s\"checks\":{%s}}",
             e->reason, e->age_years, e->length_mm, e->k_flat_d, e->k_steep_d, e->index_key, e->index, e->surface,
             e->surgery, e->fluid, e->macula, e->measured_on, e->sphere_d, e->cylinder_d, e->vertex, e->intended_se_d,
             e->first_more, e->power_d, e->lens_more, e->identified_by, e->position, e->a_constant, e->zonule,
             e->case_more, e->checks);
}

static inline void suspect_plan(const suspect_eye *e, iol_plan *plan) {
    static iol_case c;
    static iol_site site;
    char json[6000];
    suspect_json(e, json, sizeof json);
    must_read_case(json, &c);
    must_read_site(e->site, &site);
    iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, plan);
}

/* Row of a suspect on the plan, or -1. */
static inline int suspect_at(const iol_plan *plan, const char *id) {
    for (int i = 0; i < plan->surprise.suspects_count; i++)
        if (strcmp(plan->surprise.suspects[i].id, id) == 0) return i;
    return -1;
}

/* Index of a note of the plan with this code at this place, or -1. */
static inline int note_at(const iol_plan *plan, int place, iol_note_code code) {
    for (int i = 0; i < plan->notes.count; i++)
        if (plan->notes.item[i].place == place && plan->notes.item[i].code == (int)code) return i;
    return -1;
}

#endif
