/* The rules that rank the ways: each row of data/option_rules.def both ways and at its limit, and the order they make. */
#include "check.h"
#include "example_case.h"
#include "plan/suit.h"
#include "tables/constants.h"
#include "tables/rule_codes.h"

static iol_case c;
static iol_plan plan;
static iol_work w;
#define f w.facts

/* An eye in which no rule of any way fires, but those that hold of every eye. */
static void calm(void) {
    example_case("hyperopic-surprise", &c);
    iol_work_start(&w, &c, example_site(), IOL_UNKNOWN_DATE, &plan);
    plan.replacement.present = true;
    plan.replacement.standing = IOL_standing_advised;
    plan.replacement.position = IOL_position_bag;
    plan.piggyback.present = true;
    strcpy(plan.piggyback.power.lens_id, "sulcus-addon");
    w.eye.target_se_d = 0.0;
    c.complaint.trend = IOL_trend_same;
    c.wish.glasses_accepted = IOL_YES;
    c.complaint.relieved_by_glasses = IOL_NO;
    c.wish.contact_lens = IOL_tolerance_tolerated;
    c.cornea.surface = IOL_surface_regular;
    c.cornea.ocular_surface = IOL_ocular_surface_healthy;
    c.cornea.endothelial_cells_per_mm2 = c_cells_high_risk_per_mm2;
    c.checks.topography_done = IOL_YES;
    c.capsule.opening_mm = 5.0;
    c.capsule.posterior = IOL_posterior_capsule_opacified;
    c.retina.macula = IOL_macula_other;
    c.dislocation.lies = IOL_lies_pupil;
    c.dislocation.with_capsule = IOL_NO;
    c.anterior_segment.iris_to_lens_gap_mm = c_piggyback_gap_mm;
    c.first_surgery.lens.position = IOL_position_bag;
    c.first_surgery.lens.design = IOL_design_one_piece;
    iol_facts_begin(&w);
    f.reading = true;
    f.gap_d = 2.0, f.cylinder_d = 0.5, f.cylinder_accepted_d = 0.5, f.target_d = 0.0, f.remainder_d = 0.0;
    f.difference_most_d = c_anisometropia_d;
    f.day = c_laser_wait_days;
    f.chamber_mm = c_piggyback_chamber_mm;
    iol_flag *const no[] = {&f.lens_fault,
                            &f.clouded,
                            &f.first_clouded,
                            &f.front_alone_clouded,
                            &f.lens_damage,
                            &f.moved,
                            &f.shifted,
                            &f.inflamed,
                            &f.photic_negative,
                            &f.photic_positive,
                            &f.multifocal,
                            &f.zonule_lost,
                            &f.cornea_damage,
                            &f.lens_harms_cornea,
                            &f.cornea_fails,
                            &f.lens_chafes,
                            &f.cloud_small,
                            &f.blur_not_power,
                            &f.cornea_swollen,
                            &f.cornea_unfit,
                            &f.contracted,
                            &f.short_eye,
                            &f.cause_open,
                            &f.capsule_blurs,
                            &f.haze_young,
                            &f.youth,
                            &f.contact_again,
                            &f.child_near_target,
                            &f.may_rub,
                            &f.trembles,
                            &f.zonule_weighs,
                            &f.came_with_haze,
                            &f.documented_wrong,
                            &f.pb_three_piece,
                            &f.laser_hyperopic,
                            &f.cylinder_open,
                            &f.child,
                            &f.no_lens,
                            &f.second_rubs,
                            &f.second_chafes,
                            &f.zonule_weak,
                            &f.second_out_leaves,
                            &f.second_exchange_leaves,
                            &f.second_clouded,
                            &f.one_piece_sulcus};
    for (size_t i = 0; i < sizeof no / sizeof *no; i++) *no[i] = IOL_NO;
    f.optical = f.power_mends = f.glasses_mend = f.laser_central = IOL_YES;
    f.turn_se_d = c_turn_se_d, f.turn_gain_d = c_turn_gain_d, f.turn_cylinder_d = 0.5, f.turn_short_deg = -10.0;
    f.laser_se_d = -5.0, f.k_after_d = 40.0, f.bed_left_um = f.bed_wanted_um = 400.0, f.bed_least_um = 350.0;
    f.tissue_share = 0.39;
    f.second_turn_se_d = c_turn_se_d, f.second_turn_gain_d = c_turn_gain_d, f.second_turn_cylinder_d = 0.5;
    f.turn_mends = IOL_YES, f.close_to_target = f.shadow_early = IOL_NO;
    f.pb_se_d = f.ex_se_d = 0.5, f.pb_cylinder_d = f.ex_cylinder_d = 0.5;
    f.pb_se_gain_d = f.pb_cylinder_gain_d = c_option_gain_d;
    f.in_place_d = 1.01;
    f.without_lens_d = 12.0;
    f.off_centre = IOL_YES, f.rim_pulls = IOL_NO;
}

/* What makes each rule answer yes, and what makes it not known; "" where it cannot be unknown. Limits stand just beyond. */
#define ROWS                                                                                                           \
    ROW(surface_healthy, , c.cornea.ocular_surface = 0)                                                                \
    ROW(surface_first, c.cornea.ocular_surface = IOL_ocular_surface_dry, c.cornea.ocular_surface = 0)                  \
    ROW(surface_oedema, f.cornea_swollen = IOL_YES, f.cornea_swollen = IOL_UNKNOWN)                                    \
    ROW(ex_cornea_fails, f.cornea_fails = IOL_YES, f.cornea_fails = IOL_UNKNOWN)                                       \
    ROW(ex_blur, f.blur_not_power = IOL_YES, f.blur_not_power = IOL_UNKNOWN)                                           \
    ROW(pb_blur, f.blur_not_power = IOL_YES, f.blur_not_power = IOL_UNKNOWN)                                           \
    ROW(laser_blur, f.blur_not_power = IOL_YES, f.blur_not_power = IOL_UNKNOWN)                                        \
    ROW(ex_swollen, f.cornea_swollen = IOL_YES, f.cornea_swollen = IOL_UNKNOWN)                                        \
    ROW(pb_swollen, f.cornea_swollen = IOL_YES, f.cornea_swollen = IOL_UNKNOWN)                                        \
    ROW(ex_cornea_unfit, f.cornea_unfit = IOL_YES, f.cornea_unfit = IOL_UNKNOWN)                                       \
    ROW(pb_cornea_unfit, f.cornea_unfit = IOL_YES, f.cornea_unfit = IOL_UNKNOWN)                                       \
    ROW(laser_contracted, f.contracted = IOL_YES, f.contracted = IOL_UNKNOWN)                                          \
    ROW(pb_contracted, f.contracted = IOL_YES, f.contracted = IOL_UNKNOWN)                                             \
    ROW(ex_short_end, f.short_eye = IOL_YES, )                                                                         \
    ROW(ex_short, f.short_eye = IOL_YES, f.short_eye = IOL_UNKNOWN)                                                    \
    ROW(pb_short, f.short_eye = IOL_YES, )                                                                             \
    ROW(yag_blurs, f.capsule_blurs = IOL_YES, f.capsule_blurs = IOL_UNKNOWN)                                           \
    ROW(macula_normal, c.retina.macula = IOL_macula_normal, c.retina.macula = 0)                                       \
    ROW(macula_oedema, f.macular_oedema = IOL_YES, f.macular_oedema = IOL_UNKNOWN)                                     \
    ROW(macula_other, , f.macular_oedema = IOL_UNKNOWN)                                                                \
    ROW(glasses_no_reading, f.reading = false, )                                                                       \
    ROW(glasses_fluid, f.trapped_fluid = IOL_YES, )                                                                    \
    ROW(glasses_cause, f.power_mends = f.glasses_mend = IOL_NO, f.power_mends = f.glasses_mend = IOL_UNKNOWN)         \
    ROW(glasses_moved, f.power_mends = IOL_NO, )                                                                       \
    ROW(glasses_aniso, f.difference_most_d = -3.001, f.difference_most_d = NAN)                                        \
    ROW(glasses_refused, c.wish.glasses_accepted = IOL_NO, c.wish.glasses_accepted = IOL_UNKNOWN)                      \
    ROW(glasses_refused_short, (f.short_eye = IOL_YES, c.wish.glasses_accepted = IOL_NO),                              \
        (f.short_eye = IOL_YES, c.wish.glasses_accepted = IOL_UNKNOWN))                                                \
    ROW(glasses_refused_after, (f.short_eye = IOL_YES, c.wish.glasses_accepted = IOL_NO), )                            \
    ROW(glasses_refused_shelf, (f.shelf_short = true, c.wish.glasses_accepted = IOL_NO), )                             \
    ROW(glasses_wanted, c.complaint.relieved_by_glasses = IOL_YES, c.complaint.relieved_by_glasses = IOL_UNKNOWN)      \
    ROW(contact_no_reading, f.reading = false, )                                                                       \
    ROW(contact_fluid, f.trapped_fluid = IOL_YES, )                                                                    \
    ROW(contact_cause, f.power_mends = IOL_NO, f.power_mends = IOL_UNKNOWN)                                            \
    ROW(contact_refused, c.wish.contact_lens = IOL_tolerance_not_tolerated, c.wish.contact_lens = 0)                   \
    ROW(contact_not_tried, c.wish.contact_lens = IOL_tolerance_not_tried, c.wish.contact_lens = 0)                     \
    ROW(contact_oedema, c.cornea.oedema = IOL_YES, c.cornea.oedema = IOL_UNKNOWN)                                      \
    ROW(contact_surface, c.cornea.ocular_surface = IOL_ocular_surface_blepharitis, c.cornea.ocular_surface = 0)        \
    ROW(contact_rigid, c.cornea.surface = IOL_surface_irregular, c.cornea.surface = 0)                                 \
    ROW(glasses_child, f.child = IOL_YES, f.child = IOL_UNKNOWN)                                                       \
    ROW(contact_again, (f.contact_again = IOL_YES, c.wish.contact_lens = IOL_tolerance_not_tolerated),                 \
        (f.contact_again = IOL_UNKNOWN, c.wish.contact_lens = IOL_tolerance_not_tolerated))                            \
    ROW(contact_youth, f.youth = IOL_YES, f.youth = IOL_UNKNOWN)                                                       \
    ROW(glasses_child_haze, f.haze_young = IOL_YES, f.haze_young = IOL_UNKNOWN)                                        \
    ROW(yag_child, f.haze_young = IOL_YES, f.haze_young = IOL_UNKNOWN)                                                 \
    ROW(ex_child_near, f.child_near_target = IOL_YES, f.child_near_target = IOL_UNKNOWN)                               \
    ROW(second_turn_macula, f.macular_oedema = IOL_YES, f.macular_oedema = IOL_UNKNOWN)                                \
    ROW(second_exchange_macula, f.macular_oedema = IOL_YES, f.macular_oedema = IOL_UNKNOWN)                            \
    ROW(laser_macula, f.macular_oedema = IOL_YES, f.macular_oedema = IOL_UNKNOWN)                                      \
    ROW(turn_macula, f.macular_oedema = IOL_YES, f.macular_oedema = IOL_UNKNOWN)                                       \
    ROW(place_macula, f.macular_oedema = IOL_YES, f.macular_oedema = IOL_UNKNOWN)                                      \
    ROW(pb_macula, f.macular_oedema = IOL_YES, f.macular_oedema = IOL_UNKNOWN)                                         \
    ROW(ex_macula, f.macular_oedema = IOL_YES, f.macular_oedema = IOL_UNKNOWN)                                         \
    ROW(secondary_macula, f.macular_oedema = IOL_YES, f.macular_oedema = IOL_UNKNOWN)                                  \
    ROW(capture_macula, f.macular_oedema = IOL_YES, f.macular_oedema = IOL_UNKNOWN)                                    \
    ROW(leave_may_rub, f.may_rub = IOL_YES, f.may_rub = IOL_UNKNOWN)                                                   \
    ROW(glasses_may_rub, f.may_rub = IOL_YES, f.may_rub = IOL_UNKNOWN)                                                 \
    ROW(contact_may_rub, f.may_rub = IOL_YES, f.may_rub = IOL_UNKNOWN)                                                 \
    ROW(laser_may_rub, f.may_rub = IOL_YES, f.may_rub = IOL_UNKNOWN)                                                   \
    ROW(laser_chafes, f.second_chafes = IOL_YES, f.second_chafes = IOL_UNKNOWN) \
    ROW(glasses_rub_last, f.may_chafe = true, ) \
    ROW(contact_rub_last, f.may_chafe = true, ) \
    ROW(laser_rubs_last, f.may_rub = IOL_UNKNOWN, )                                                                    \
    ROW(leave_trembles, f.trembles = IOL_YES, f.trembles = IOL_UNKNOWN)                                                \
    ROW(ex_trembles, f.trembles = IOL_YES, f.trembles = IOL_UNKNOWN)                                                   \
    ROW(ex_haze, f.came_with_haze = IOL_YES, f.came_with_haze = IOL_UNKNOWN)                                           \
    ROW(yag_came, f.came_with_haze = IOL_YES, f.came_with_haze = IOL_UNKNOWN)                                          \
    ROW(pb_child, f.child = IOL_YES, f.child = IOL_UNKNOWN)                                                            \
    ROW(ex_negative_loose, (f.photic_negative = f.zonule_weak = IOL_YES, f.power_mends = IOL_NO),                      \
        (f.photic_negative = IOL_YES, f.zonule_weak = IOL_UNKNOWN, f.power_mends = IOL_NO))                            \
    ROW(glasses_refused_loose, (f.zonule_weighs = IOL_YES, c.wish.glasses_accepted = IOL_NO),                             \
        (f.zonule_weighs = IOL_YES, c.wish.glasses_accepted = IOL_UNKNOWN))                                               \
    ROW(glasses_refused_bag, (f.zonule_weighs = IOL_YES, c.wish.glasses_accepted = IOL_NO), )                             \
    ROW(contact_child, f.child = IOL_YES, f.child = IOL_UNKNOWN)                                                       \
    ROW(second_turn_inflamed, f.uveitis_active = IOL_YES, f.uveitis_active = IOL_UNKNOWN)                              \
    ROW(second_turn_pressure, f.pressure_uncontrolled = IOL_YES, f.pressure_uncontrolled = IOL_UNKNOWN)                \
    ROW(second_turn_withheld, f.withheld = true, )                                                                     \
    ROW(second_turn_no_target, f.target_stated = false, )                                                              \
    ROW(second_turn_remainder, f.cylinder_open = IOL_YES, f.cylinder_open = IOL_UNKNOWN)                               \
    ROW(second_turn_rubs, f.second_rubs = IOL_YES, f.second_rubs = IOL_UNKNOWN)                                        \
    ROW(second_turn_chafes, f.second_chafes = IOL_YES, f.second_chafes = IOL_UNKNOWN) \
    ROW(second_turn_cause, f.power_mends = IOL_NO, f.power_mends = IOL_UNKNOWN)                                        \
    ROW(second_turn_se, f.second_turn_se_d = -0.76, f.second_turn_se_d = NAN)                                          \
    ROW(second_turn_gain, f.second_turn_gain_d = 0.49, f.second_turn_gain_d = NAN)                                     \
    ROW(second_turn_cylinder, f.second_turn_cylinder_d = 0.51, f.second_turn_cylinder_d = NAN)                         \
    ROW(second_turn_best, f.second_turn_mends = IOL_YES, f.second_turn_mends = IOL_UNKNOWN)                            \
    ROW(second_out_cylinder, f.second_out_leaves = IOL_YES, f.second_out_leaves = IOL_UNKNOWN)                         \
    ROW(second_exchange_remainder, f.cylinder_open = IOL_YES, f.cylinder_open = IOL_UNKNOWN)                           \
    ROW(second_exchange_cylinder, f.second_exchange_leaves = IOL_YES, f.second_exchange_leaves = IOL_UNKNOWN)          \
    ROW(second_out_fault, f.lens_fault = IOL_YES, f.lens_fault = IOL_UNKNOWN)                                          \
    ROW(second_exchange_fault, f.lens_fault = IOL_YES, f.lens_fault = IOL_UNKNOWN)                                    \
    ROW(second_exchange_clears, f.front_alone_clouded = IOL_YES, )                                                    \
    ROW(second_out_cause, f.power_mends = IOL_NO, f.power_mends = IOL_UNKNOWN)                                         \
    ROW(second_out_chafes, f.one_piece_sulcus = IOL_YES, f.one_piece_sulcus = IOL_UNKNOWN)                             \
    ROW(second_exchange_cause, f.power_mends = IOL_NO, f.power_mends = IOL_UNKNOWN)                                    \
    ROW(second_exchange_zonule, f.zonule_weak = IOL_YES, f.zonule_weak = IOL_UNKNOWN)                                  \
    ROW(second_exchange_chafes, f.one_piece_sulcus = IOL_YES, f.one_piece_sulcus = IOL_UNKNOWN)                        \
    ROW(second_out_withheld, f.withheld = true, )                                                                      \
    ROW(second_out_fluid, f.trapped_fluid = IOL_YES, f.trapped_fluid = IOL_UNKNOWN)                                    \
    ROW(second_out_no_reading, f.reading = false, )                                                                    \
    ROW(second_out_no_target, f.target_stated = false, )                                                               \
    ROW(second_exchange_no_target, f.target_stated = false, )                                                          \
    ROW(second_out_off, f.second_out_d = -0.51, f.second_out_d = NAN)                                                  \
    ROW(second_out_rubs, f.second_rubs = IOL_YES, f.second_rubs = IOL_UNKNOWN)                                         \
    ROW(second_out_does, f.second_out_d = 0.5, f.second_out_d = NAN)                                                   \
    ROW(second_exchange_withheld, f.withheld = true, )                                                                 \
    ROW(second_exchange_provisional, f.provisional = true, )                                                           \
    ROW(second_exchange_rubs, f.second_rubs = IOL_YES, f.second_rubs = IOL_UNKNOWN)                                    \
    ROW(second_exchange_does, f.second_exchanged_d = -0.5, f.second_exchanged_d = NAN)                                 \
    ROW(laser_child, f.child = IOL_YES, f.child = IOL_UNKNOWN)                                                         \
    ROW(secondary_withheld, f.withheld = true, )                                                                       \
    ROW(secondary_provisional, f.provisional = true, )                                                                 \
    ROW(secondary_no_target, f.target_stated = false, )                                                                \
    ROW(secondary_first, f.no_lens = IOL_YES, f.no_lens = IOL_UNKNOWN)                                                 \
    ROW(secondary_zonule, f.zonule_weak = IOL_YES, f.zonule_weak = IOL_UNKNOWN)                                        \
    ROW(second_exchange_inflamed, f.uveitis_active = IOL_YES, f.uveitis_active = IOL_UNKNOWN)                          \
    ROW(second_exchange_pressure, f.pressure_uncontrolled = IOL_YES, f.pressure_uncontrolled = IOL_UNKNOWN)            \
    ROW(laser_inflamed, f.uveitis_active = IOL_YES, f.uveitis_active = IOL_UNKNOWN)                                    \
    ROW(laser_pressure, f.pressure_uncontrolled = IOL_YES, f.pressure_uncontrolled = IOL_UNKNOWN)                      \
    ROW(turn_inflamed, f.uveitis_active = IOL_YES, f.uveitis_active = IOL_UNKNOWN)                                     \
    ROW(turn_pressure, f.pressure_uncontrolled = IOL_YES, f.pressure_uncontrolled = IOL_UNKNOWN)                       \
    ROW(capture_inflamed, f.uveitis_active = IOL_YES, f.uveitis_active = IOL_UNKNOWN)                                  \
    ROW(capture_pressure, f.pressure_uncontrolled = IOL_YES, f.pressure_uncontrolled = IOL_UNKNOWN)                    \
    ROW(place_calm, (f.uveitis_active = IOL_YES, f.inflamed_by_lens = true),                              \
        (f.uveitis_active = IOL_UNKNOWN, f.inflamed_by_lens = true)) \
    ROW(ex_calm, (f.uveitis_active = IOL_YES, f.inflamed_by_lens = true),                              \
        (f.uveitis_active = IOL_UNKNOWN, f.inflamed_by_lens = true)) \
    ROW(place_inflamed, f.uveitis_active = IOL_YES, f.uveitis_active = IOL_UNKNOWN)                                    \
    ROW(place_pressure, f.pressure_uncontrolled = IOL_YES, f.pressure_uncontrolled = IOL_UNKNOWN)                      \
    ROW(pb_inflamed, f.uveitis_active = IOL_YES, f.uveitis_active = IOL_UNKNOWN)                                       \
    ROW(pb_pressure, f.pressure_uncontrolled = IOL_YES, f.pressure_uncontrolled = IOL_UNKNOWN)                         \
    ROW(ex_inflamed, f.uveitis_active = IOL_YES, f.uveitis_active = IOL_UNKNOWN)                                       \
    ROW(ex_pressure, f.pressure_uncontrolled = IOL_YES, f.pressure_uncontrolled = IOL_UNKNOWN)                         \
    ROW(secondary_inflamed, f.uveitis_active = IOL_YES, f.uveitis_active = IOL_UNKNOWN)                                \
    ROW(secondary_pressure, f.pressure_uncontrolled = IOL_YES, f.pressure_uncontrolled = IOL_UNKNOWN)                  \
    ROW(yag_inflamed, f.uveitis_active = IOL_YES, f.uveitis_active = IOL_UNKNOWN)                                      \
    ROW(yag_pressure, f.pressure_uncontrolled = IOL_YES, f.pressure_uncontrolled = IOL_UNKNOWN)                        \
    ROW(laser_loose, f.zonule_lost = IOL_YES, f.zonule_lost = IOL_UNKNOWN)                                             \
    ROW(laser_no_reading, f.reading = false, )                                                                         \
    ROW(laser_open, f.cause_open = IOL_YES, f.cause_open = IOL_UNKNOWN)                                                \
    ROW(laser_open_last, f.cause_doubtful = true, )                                                                    \
    ROW(laser_clouded, c.first_surgery.lens.opacity = IOL_opacity_marked, )                                            \
    ROW(pb_clouded, c.first_surgery.lens.opacity = IOL_opacity_marked, )                                               \
    ROW(laser_cause, f.power_mends = IOL_NO, f.power_mends = IOL_UNKNOWN)                                              \
    ROW(laser_withheld, f.withheld = true, )                                                                           \
    ROW(laser_surface, c.cornea.surface = IOL_surface_ectatic, c.cornea.surface = IOL_NOT_EXAMINED)                    \
    ROW(laser_dry, c.cornea.ocular_surface = IOL_ocular_surface_dry, c.cornea.ocular_surface = 0)                      \
    ROW(laser_endothelium, c.cornea.guttata = IOL_YES, c.cornea.oedema = IOL_UNKNOWN)                                  \
    ROW(laser_topography, c.checks.topography_done = IOL_NO, c.checks.topography_done = IOL_UNKNOWN)                   \
    ROW(laser_earlier, c.cornea.earlier_refractive_surgery = IOL_corneal_surgery_radial_cuts,                          \
        c.cornea.earlier_refractive_surgery = 0)                                                                       \
    ROW(laser_remainder, f.remainder_d = 0.751, )                                                                      \
    ROW(laser_early, f.day = 89, f.day = NAN)                                                                          \
    ROW(laser_flat, f.k_after_d = 34.99, f.k_after_d = NAN)                                                            \
    ROW(laser_steep, (f.laser_hyperopic = IOL_YES, f.k_after_d = 50.01),                                               \
        (f.laser_hyperopic = IOL_YES, f.k_after_d = NAN))                                                              \
    ROW(laser_steepish, (f.laser_hyperopic = IOL_YES, f.k_after_d = 48.01),                                            \
        f.laser_hyperopic = (f.k_after_d = NAN, IOL_YES))                                                              \
    ROW(laser_bed, f.bed_left_um = 349, f.bed_left_um = NAN)                                                           \
    ROW(laser_bed_thin, f.bed_left_um = 399, f.bed_left_um = NAN)                                                      \
    ROW(laser_share, f.tissue_share = 0.40, f.tissue_share = NAN)                                                      \
    ROW(laser_range, , f.laser_se_d = NAN)                                                                             \
    ROW(laser_best, f.laser_se_d = -4.0, f.cylinder_open = IOL_UNKNOWN)                                                \
    ROW(turn_withheld, f.withheld = true, )                                                                            \
    ROW(turn_remainder, f.remainder_d = 0.751, )                                                                       \
    ROW(turn_fault, f.lens_fault = IOL_YES, )                                                                          \
    ROW(turn_se, f.turn_se_d = -0.76, f.turn_se_d = NAN)                                                               \
    ROW(turn_gain, f.turn_gain_d = 0.49, f.turn_gain_d = NAN)                                                          \
    ROW(turn_cylinder, f.turn_cylinder_d = 0.51, f.turn_cylinder_d = NAN)                                              \
    ROW(turn_small, f.turn_short_deg = 9.9, f.turn_short_deg = NAN)                                                    \
    ROW(turn_early, f.day = 6, f.day = NAN)                                                                            \
    ROW(turn_late, , f.day = NAN)                                                                                      \
    ROW(turn_dense, c.capsule.fibrosis = IOL_fibrosis_dense, c.capsule.fibrosis = 0)                                   \
    ROW(turn_zonule, f.zonule_weak = IOL_YES, f.zonule_weak = IOL_UNKNOWN)                                             \
    ROW(turn_best, , f.turn_mends = IOL_UNKNOWN)                                                                       \
    ROW(capture_cause, , )                                                                                             \
    ROW(capture_clouded, f.first_clouded = IOL_YES, )                                                                        \
    ROW(capture_anterior, c.capsule.anterior = IOL_anterior_capsule_tear, c.capsule.anterior = 0)                      \
    ROW(capture_wide, c.capsule.opening_mm = 5.51, c.capsule.opening_mm = NAN)                                         \
    ROW(capture_narrow, c.capsule.opening_mm = 3.99, c.capsule.opening_mm = NAN)                                       \
    ROW(capture_zonule, f.zonule_weak = IOL_YES, f.zonule_weak = IOL_UNKNOWN)                                          \
    ROW(capture_best, f.photic_negative = IOL_YES, )                                                                   \
    ROW(place_clouded, f.lens_damage = IOL_YES, )                                                                      \
    ROW(place_plate, (f.zonule_lost = IOL_YES, c.first_surgery.lens.design = IOL_design_plate),                        \
        (f.zonule_lost = IOL_YES, c.first_surgery.lens.design = 0))                                                    \
    ROW(place_bag_closed, (f.one_piece_sulcus = IOL_YES, f.bag_barred = IOL_NO),                                      \
        (f.one_piece_sulcus = IOL_UNKNOWN, f.bag_barred = IOL_NO))                                                     \
    ROW(place_in_sulcus, f.one_piece_sulcus = IOL_YES, f.one_piece_sulcus = IOL_UNKNOWN)                               \
    ROW(place_rim, f.rim_pulls = IOL_YES, f.rim_pulls = IOL_UNKNOWN)                                                   \
    ROW(place_outgrown, f.outgrown = IOL_YES, f.outgrown = IOL_UNKNOWN)                                                \
    ROW(rim_inflamed, f.uveitis_active = IOL_YES, f.uveitis_active = IOL_UNKNOWN)                                      \
    ROW(rim_pressure, f.pressure_uncontrolled = IOL_YES, f.pressure_uncontrolled = IOL_UNKNOWN)                        \
    ROW(rim_clouded, f.first_clouded = IOL_YES, f.lens_damage = IOL_UNKNOWN)                                           \
    ROW(rim_not_askew, f.off_centre = IOL_NO, f.off_centre = IOL_UNKNOWN)                                              \
    ROW(rim_unseen, f.rim_pulls = IOL_UNKNOWN, )                                                                       \
    ROW(rim_pulls, f.rim_pulls = IOL_YES, f.rim_pulls = IOL_UNKNOWN)                                                   \
    ROW(place_one_piece, f.zonule_lost = IOL_YES, f.zonule_lost = IOL_UNKNOWN)                                         \
    ROW(place_retina, (c.dislocation.lies = IOL_lies_retina, f.lens_in_vitreous = IOL_YES),                            \
        (c.dislocation.lies = 0, f.lens_in_vitreous = IOL_UNKNOWN))                                                    \
    ROW(place_power, , f.in_place_d = NAN)                                                                             \
    ROW(ex_on_target, f.wrong_on_target = IOL_YES, f.wrong_on_target = IOL_UNKNOWN)                                    \
    ROW(ex_worse, f.ex_se_d = f.target_d + 1.01 * fabs(f.gap_d), f.ex_se_d = NAN)                                      \
    ROW(glasses_nothing, f.nothing_to_correct = IOL_YES, f.nothing_to_correct = IOL_UNKNOWN)                           \
    ROW(contact_nothing, f.nothing_to_correct = IOL_YES, f.nothing_to_correct = IOL_UNKNOWN)                           \
    ROW(laser_nothing, f.nothing_to_correct = IOL_YES, f.nothing_to_correct = IOL_UNKNOWN)                             \
    ROW(laser_thin, c.cornea.thickness_um = 399.0, c.cornea.thickness_um = NAN)                                        \
    ROW(capture_build, (f.stated_in_bag = IOL_NO, c.first_surgery.lens.design = IOL_design_one_piece),                 \
        (f.stated_in_bag = IOL_UNKNOWN, c.first_surgery.lens.design = IOL_design_one_piece))                           \
    ROW(place_no_bag, (f.one_piece_sulcus = IOL_YES, f.bag_barred = IOL_YES),                                          \
        (f.one_piece_sulcus = IOL_YES, f.bag_barred = IOL_UNKNOWN))                                                    \
    ROW(yag_fluid, f.fluid_seen = IOL_YES, )                                                                           \
    ROW(place_fluid, f.trapped_fluid = IOL_YES, f.trapped_fluid = IOL_UNKNOWN)                                         \
    ROW(place_ring, c.capsule.soemmering_ring = IOL_YES, c.capsule.soemmering_ring = IOL_UNKNOWN)                      \
    ROW(place_cells, f.moved = IOL_YES; f.in_place_d = -1.0, f.moved = IOL_YES; f.in_place_d = NAN)                    \
    ROW(pb_no_reading, f.reading = false, )                                                                            \
    ROW(pb_withheld, f.pb_withheld = true, )                                                                           \
    ROW(pb_provisional, f.pb_provisional = true, )                                                                     \
    ROW(pb_remainder, f.cylinder_open = IOL_YES, f.cylinder_open = IOL_UNKNOWN)                                        \
    ROW(pb_shelf, f.pb_no_lens = true, )                                                                               \
    ROW(pb_second, f.two_lenses = IOL_YES, )                                                                           \
    ROW(pb_cause, f.power_mends = IOL_NO, f.power_mends = IOL_UNKNOWN)                                                 \
    ROW(pb_bag, c.first_surgery.lens.position = IOL_position_sulcus, c.first_surgery.lens.position = 0)                \
    ROW(pb_moved, f.moved = IOL_YES, )                                                                                 \
    ROW(pb_overlap, c.capsule.opening_overlaps_optic = IOL_overlap_partial, c.capsule.opening_overlaps_optic = 0)      \
    ROW(pb_opening, f.anterior_torn = IOL_YES, f.anterior_torn = IOL_UNKNOWN)                                          \
    ROW(pb_gap, c.anterior_segment.iris_to_lens_gap_mm = 0.49, c.anterior_segment.iris_to_lens_gap_mm = NAN)           \
    ROW(pb_chamber, f.chamber_mm = 2.79, f.chamber_mm = NAN)                                                           \
    ROW(pb_angle, c.anterior_segment.angle = IOL_angle_narrow, c.anterior_segment.angle = 0)                           \
    ROW(pb_pigment, c.anterior_segment.pigment_dispersion = IOL_YES,                                                   \
        c.anterior_segment.pigment_dispersion = IOL_UNKNOWN)                                                           \
    ROW(pb_uveitis, f.uveitis = IOL_YES, f.uveitis = IOL_UNKNOWN)                                                      \
    ROW(pb_glaucoma, f.pressure_uncontrolled = IOL_YES, f.pressure_uncontrolled = IOL_UNKNOWN)                         \
    ROW(pb_glaucoma_controlled, f.glaucoma = IOL_YES, f.glaucoma = IOL_UNKNOWN)                                        \
    ROW(pb_zonule, f.zonule_weak = IOL_YES, f.zonule_weak = IOL_UNKNOWN)                                               \
    ROW(pb_cells, c.cornea.endothelial_cells_per_mm2 = 999, )                                                          \
    ROW(pb_iris, f.iris_unfit = IOL_YES, f.iris_unfit = IOL_UNKNOWN)                                                   \
    ROW(pb_material, f.pb_three_piece = IOL_YES, f.pb_three_piece = IOL_UNKNOWN)                                       \
    ROW(pb_gain, f.pb_se_gain_d = f.pb_cylinder_gain_d = 0.49, f.pb_se_gain_d = f.pb_cylinder_gain_d = NAN)            \
    ROW(pb_off_target, f.pb_se_d = 0.51, f.pb_se_d = NAN)                                                              \
    ROW(pb_cylinder, f.pb_cylinder_d = 0.51, f.pb_cylinder_d = NAN)                                                    \
    ROW(pb_open, f.posterior_open = IOL_YES, f.posterior_open = IOL_UNKNOWN)                                           \
    ROW(pb_negative, (f.photic_negative = IOL_YES, f.power_mends = IOL_NO), )                                          \
    ROW(ex_withheld, f.withheld = true, )                                                                              \
    ROW(ex_provisional, f.provisional = true, )                                                                        \
    ROW(ex_remainder, f.cylinder_open = IOL_YES, f.cylinder_open = IOL_UNKNOWN)                                        \
    ROW(ex_trend, f.trend_open = true, )                                                                               \
    ROW(ex_no_target, f.target_stated = false, )                                                                       \
    ROW(laser_no_target, f.target_stated = false, )                                                                    \
    ROW(turn_no_target, f.target_stated = false, )                                                                     \
    ROW(pb_no_target, f.target_stated = false, )                                                                       \
    ROW(place_no_target, f.target_stated = false, )                                                                    \
    ROW(place_open, f.old_place_stated = NAN, )                                                                        \
    ROW(capture_open, (f.shifted = IOL_YES, f.reading = false), (f.shifted = IOL_UNKNOWN, f.reading = false))          \
    ROW(ex_clouded, f.first_clouded = IOL_YES, )                                                                             \
    ROW(ex_wrong, f.wrong_first = IOL_YES, f.wrong_first = IOL_UNKNOWN)                                                \
    ROW(capture_rubs, f.may_rub = IOL_YES, f.may_rub = IOL_UNKNOWN)                                                      \
    ROW(capture_power, (f.capture_moves = IOL_YES, f.captured_d = 1.1), (f.capture_moves = IOL_YES, f.captured_d = NAN)) \
    ROW(ex_chafes, f.lens_chafes = IOL_YES, f.lens_chafes = IOL_UNKNOWN)                                               \
    ROW(ex_one_piece, f.one_piece_sulcus = IOL_YES, f.one_piece_sulcus = IOL_UNKNOWN)                                  \
    ROW(ex_positive, f.photic_positive = IOL_YES, )                                                                    \
    ROW(ex_multifocal, f.multifocal = IOL_YES, )                                                                       \
    ROW(ex_negative_bag, f.photic_negative = IOL_YES, )                                                                \
    ROW(ex_negative_sulcus, (f.photic_negative = IOL_YES, f.place = IOL_position_sulcus), )                            \
    ROW(ex_off_target, f.ex_se_d = -0.51, f.ex_se_d = NAN)                                                             \
    ROW(ex_shelf_short, f.exchange_misses = true, )                                                                    \
    ROW(ex_negative_elsewhere, (f.photic_negative = IOL_YES, f.power_mends = IOL_NO, f.place = IOL_position_sclera), ) \
    ROW(ex_cloud_open, f.cloud_small = IOL_YES, )                                                                      \
    ROW(ex_cloud_small, f.cloud_small = IOL_YES, f.cloud_small = IOL_UNKNOWN)                                          \
    ROW(ex_cylinder, f.ex_cylinder_d = 0.51, f.ex_cylinder_d = NAN)                                                    \
    ROW(ex_open, f.posterior_open = IOL_YES, f.posterior_open = IOL_UNKNOWN)                                           \
    ROW(ex_zonule, f.zonule_weak = IOL_YES, f.zonule_weak = IOL_UNKNOWN)                                               \
    ROW(ex_cells, c.cornea.endothelial_cells_per_mm2 = 999, c.cornea.endothelial_cells_per_mm2 = NAN)                  \
    ROW(ex_only_eye, c.patient.only_seeing_eye = IOL_YES, c.patient.only_seeing_eye = IOL_UNKNOWN)                     \
    ROW(yag_clear, c.capsule.posterior = IOL_posterior_capsule_clear, c.capsule.posterior = 0)                         \
    ROW(yag_lens, f.clouded = IOL_YES, )                                                                               \
    ROW(yag_door, , )                                                                                                  \
    ROW(remove_cause, , )                                                                                              \
    ROW(remove_last, f.inflamed = IOL_YES, )                                                                           \
    ROW(leave_harm, f.lens_damage = IOL_YES, )                                                                         \
    ROW(leave_child, f.small_child = IOL_YES, f.small_child = IOL_UNKNOWN)                                             \
    ROW(leave_better, f.complaint_fades = IOL_YES, f.complaint_fades = IOL_UNKNOWN)                                    \
    ROW(ex_blurs, f.ex_blurs = IOL_YES, f.ex_blurs = IOL_UNKNOWN)                                                      \
    ROW(leave_cause, f.cause_first = true, )                                                                           \
    ROW(leave_close, f.close_to_target = IOL_YES, f.close_to_target = IOL_UNKNOWN)                                     \
    ROW(leave_photic, f.shadow_early = IOL_YES, f.shadow_early = IOL_UNKNOWN)                                          \
    ROW(leave_stays, , f.close_to_target = IOL_UNKNOWN)                                                                \
    ROW(place_enough, f.recentring_enough = IOL_YES, f.recentring_enough = IOL_UNKNOWN)                                \
    ROW(place_short, f.recentring_short = IOL_YES, f.recentring_short = IOL_UNKNOWN)                                   \
    ROW(ex_recentring, f.recentring_enough = IOL_YES, f.recentring_enough = IOL_UNKNOWN)

/* Rules that already answer yes in the calm eye, and what makes them answer no. */
#define FIRING                                                                                                         \
    ROW(surface_healthy, c.cornea.ocular_surface = IOL_ocular_surface_dry, )                                           \
    ROW(macula_other, f.macular_oedema = IOL_YES, )                                                                    \
    ROW(laser_range, f.laser_se_d = 2.0, )                                                                             \
    ROW(turn_late, f.day = 21, )                                                                                       \
    ROW(turn_best, f.turn_mends = IOL_NO, )                                                                            \
    ROW(capture_cause, f.capture_moves = IOL_YES, )                                                                    \
    ROW(place_power, f.in_place_d = 1.0, )                                                                             \
    ROW(remove_cause, f.lens_harms_cornea = IOL_YES, )                                                                 \
    ROW(leave_stays, f.close_to_target = IOL_YES, )                                                                    \
    ROW(yag_door, , )                                                                                                  \
    ROW(remove_last, , )

#define ROW(id, yes, unknown)                                                                                          \
    static void yes_##id(void) { yes; }                                                                                \
    static void unknown_##id(void) { unknown; }
ROWS
#undef ROW
#define ROW(id, no, unused)                                                                                            \
    static void no_##id(void) { no; }
    FIRING
#undef ROW

    static const struct {
    const char *id;
    int option;
    iol_option_effect effect;
    iol_note_code note;
} rules[] = {
#define OPTION_RULE(option, id, effect, predicate, finding, value, limit, reference, code, text)                       \
    {#id, IOL_option_##option, IOL_EFFECT_##effect, IOL_NOTE_opt_##id},
#include "option_rules.def"
};
enum { RULES = sizeof rules / sizeof *rules };
typedef struct {
    iol_note_code note;
    void (*set)(void);
    void (*unknown)(void);
    bool can_be_unknown;
} change;
static const change yes_rows[] = {
#define ROW(id, yes, unknown) {IOL_NOTE_opt_##id, yes_##id, unknown_##id, sizeof #unknown > 1},
    ROWS
#undef ROW
};
static const change no_rows[] = {
#define ROW(id, no, unused) {IOL_NOTE_opt_##id, no_##id, NULL, sizeof #no > 1},
    FIRING
#undef ROW
};

static const change *row_of(const change *rows, size_t count, iol_note_code note) {
    for (size_t i = 0; i < count; i++)
        if (rows[i].note == note) return &rows[i];
    return NULL;
}

/* Judge, and tell whether the rule's sentence is among the reasons: two rules may have one. A rule that only orders is silent when
 * the way does not fit. */
static bool fires(int rule, iol_verdict *verdict) {
    plan.notes.count = 0;
    iol_option_judge(&w, rules[rule].option, IOL_AT_option_row_reasons, 0, verdict);
    for (int i = 0; i < plan.notes.count; i++)
        if (strcmp(iol_note_rows[plan.notes.item[i].code].text, iol_note_rows[rules[rule].note].text) == 0) return true;
    return false;
}

/* A lens put back that would leave the eye far on either side of the wish is not "right". */
static void put_back_it_must_be_right_either_way(void **state) {
    (void)state;
    int rule = 0;
    iol_verdict v;
    while (rules[rule].note != IOL_NOTE_opt_place_cells) rule++;
    for (int sign = -1; sign <= 1; sign += 2)
        for (int k = -1; k <= 1; k++) {
            calm();
            f.moved = IOL_YES;
            f.in_place_d = f.target_d + sign * (c_place_power_d + 0.01 * k);
            assert_true(fires(rule, &v) == (k < 1));
        }
}

static bool placed(iol_option_effect effect, const iol_verdict *v) {
    switch (effect) {
    case IOL_EFFECT_top: return v->top;
    case IOL_EFFECT_first: return v->first;
    case IOL_EFFECT_after:
    case IOL_EFFECT_last: return v->last;
    case IOL_EFFECT_end:
    case IOL_EFFECT_least: return v->least;
    case IOL_EFFECT_doubt: return v->suitable != IOL_YES;
    default: return v->suitable == IOL_NO;
    }
}

static void each_rule_both_ways(void **state) {
    (void)state;
    iol_verdict verdict;
    for (int i = 0; i < RULES; i++) {
        const change *yes = row_of(yes_rows, sizeof yes_rows / sizeof *yes_rows, rules[i].note);
        const change *no = row_of(no_rows, sizeof no_rows / sizeof *no_rows, rules[i].note);
        if (!yes) fail_msg("%s has no row", rules[i].id);
        calm();
        if (no) no->set();
        if (fires(i, &verdict) && !(no && !no->can_be_unknown)) fail_msg("%s fires in a calm eye", rules[i].id);
        calm();
        yes->set();
        bool said = fires(i, &verdict), silent = verdict.suitable == IOL_NO && rules[i].effect > IOL_EFFECT_doubt;
        if (!said && !silent) fail_msg("%s does not fire", rules[i].id);
        if (!placed(rules[i].effect, &verdict)) fail_msg("%s has no effect", rules[i].id);
    }
}

/* A limit itself does not fire a rule that speaks of more or less than it. */
#define AT_LIMIT                                                                                                       \
    ROW(turn_early, f.day = c_turn_first_day)                                                                          \
    ROW(turn_se, f.turn_se_d = -0.75)                                                                                   \
    ROW(turn_gain, f.turn_gain_d = 0.5)                                                                                \
    ROW(second_turn_se, f.second_turn_se_d = -0.75)                                                                     \
    ROW(second_turn_gain, f.second_turn_gain_d = 0.5)                                                                  \
    ROW(second_turn_cylinder, f.second_turn_cylinder_d = 0.5)                                                          \
    ROW(turn_cylinder, f.turn_cylinder_d = 0.5)                                                                        \
    ROW(turn_small, f.turn_short_deg = 10)                                                                             \
    ROW(turn_remainder, f.remainder_d = 0.75)                                                                          \
    ROW(laser_early, f.day = 90)                                                                                       \
    ROW(laser_flat, f.k_after_d = 35)                                                                                  \
    ROW(laser_steep, (f.laser_hyperopic = IOL_YES, f.k_after_d = 50))                                                  \
    ROW(laser_steepish, (f.laser_hyperopic = IOL_YES, f.k_after_d = 48))                                               \
    ROW(laser_bed_thin, f.bed_left_um = 400)                                                                           \
    ROW(ex_off_target, f.ex_se_d = -0.5)                                                                               \
    ROW(ex_cylinder, f.ex_cylinder_d = 0.5)                                                                            \
    ROW(ex_cells, c.cornea.endothelial_cells_per_mm2 = 1000)                                                           \
    ROW(glasses_aniso, f.difference_most_d = -3.0)                                                                     \
    ROW(laser_thin, c.cornea.thickness_um = 400.0)                                                                     \
    ROW(laser_bed, f.bed_left_um = 350.0)                                                                              \
    ROW(laser_remainder, f.remainder_d = 0.75)                                                                         \
    ROW(turn_late, f.day = c_turn_last_day)                                                                            \
    ROW(capture_wide, c.capsule.opening_mm = 5.5)                                                                      \
    ROW(capture_narrow, c.capsule.opening_mm = 4.0)                                                                    \
    ROW(capture_power, (f.capture_moves = IOL_YES, f.captured_d = 1.0))                                                \
    ROW(place_power, f.in_place_d = 1.0)                                                                               \
    ROW(pb_gap, c.anterior_segment.iris_to_lens_gap_mm = 0.5)                                                          \
    ROW(pb_chamber, f.chamber_mm = 2.8)                                                                                \
    ROW(pb_cells, c.cornea.endothelial_cells_per_mm2 = 1000)                                                           \
    ROW(pb_gain, f.pb_se_gain_d = f.pb_cylinder_gain_d = 0.5)                                                          \
    ROW(pb_off_target, f.pb_se_d = -0.5)                                                                               \
    ROW(pb_cylinder, f.pb_cylinder_d = 0.5)                                                                            \
    ROW(second_out_off, f.second_out_d = -0.5)
#define ROW(id, at)                                                                                                    \
    static void at_##id(void) { at; }
AT_LIMIT
#undef ROW

static void each_limit_itself(void **state) {
    (void)state;
    static const struct {
        iol_note_code note;
        void (*set)(void);
    } rows[] = {
#define ROW(id, at) {IOL_NOTE_opt_##id, at_##id},
        AT_LIMIT
#undef ROW
    };
    iol_verdict verdict;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        for (int k = 0; k < RULES; k++) {
            if (rules[k].note != rows[i].note) continue;
            calm();
            rows[i].set();
            if (fires(k, &verdict)) fail_msg("%s fires at its limit", rules[k].id);
        }
}

/* Not known: no way fits by it, and an exchange goes after the others. */
static void each_rule_not_known(void **state) {
    (void)state;
    iol_verdict verdict;
    for (int i = 0; i < RULES; i++) {
        const change *row = row_of(yes_rows, sizeof yes_rows / sizeof *yes_rows, rules[i].note);
        if (!row || !row->can_be_unknown) continue;
        calm();
        row->unknown();
        if (fires(i, &verdict)) fail_msg("%s fires when not known", rules[i].id);
        bool orders = rules[i].effect >= IOL_EFFECT_least;
        if (!orders && verdict.suitable == IOL_YES) fail_msg("%s: fits while not known", rules[i].id);
        if (rules[i].effect == IOL_EFFECT_last && !verdict.last) fail_msg("%s: not put after the others", rules[i].id);
        if (rules[i].effect == IOL_EFFECT_top && verdict.top)
            fail_msg("%s: put before all while not known", rules[i].id);
    }
}

/* A one-piece lens of PMMA may stay in the sulcus: the 30 referred eyes had acrylic ones (Chang 2009). */
static void only_an_acrylic_one_piece_must_leave_the_sulcus(void **state) {
    (void)state;
    static const struct {
        int material;
        bool must;
    } row[] = {{IOL_material_hydrophobic_acrylic, true},
               {IOL_material_hydrophilic_acrylic, true},
               {IOL_material_pmma, false},
               {0, false}};
    iol_verdict verdict;
    int rule = -1;
    for (int i = 0; i < RULES; i++)
        if (strcmp(rules[i].id, "ex_one_piece") == 0) rule = i;
    assert_true(rule >= 0);
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        calm();
        c.first_surgery.lens.position = IOL_position_sulcus;
        c.first_surgery.lens.material = row[i].material;
        iol_facts_begin(&w);
        f.clouded = f.lens_damage = IOL_NO;
        assert_int_equal(fires(rule, &verdict), row[i].must);
    }
}

/* Of each way that may lead: whether it is chosen for an aim (what a turn, a capture or a lens put back leaves is not), is worn,
 * or is the exchange itself. */
static void what_the_first_way_is(void **state) {
    (void)state;
    static const int aimed[] = {IOL_option_corneal_laser,   IOL_option_piggyback,  IOL_option_exchange,
                                IOL_option_second_exchange, IOL_option_second_out, IOL_option_secondary_lens};
    static const int worn[] = {IOL_option_spectacles, IOL_option_contact_lens};
    static const int taken[] = {IOL_option_exchange, IOL_option_remove_only, IOL_option_secondary_lens};
    calm();
    for (int option = 0; option < IOL_option_end; option++) {
        bool aims = false, wears = false, takes = false;
        for (int i = 0; i < 6; i++) aims |= aimed[i] == option;
        for (int i = 0; i < 2; i++) wears |= worn[i] == option;
        for (int i = 0; i < 3; i++) takes |= taken[i] == option;
        iol_facts_first_way(&f, option, IOL_YES);
        if (f.aim_sets_way != aims || f.worn_first != wears)
            fail_msg("option %d: aims %d, worn %d", option, f.aim_sets_way, f.worn_first);
        assert_int_equal(f.better_option, option == 0 ? IOL_UNKNOWN : takes ? IOL_NO : IOL_YES);
        assert_int_equal(f.first_option, option);
    }
}

/* A tilt matters over 5 deg by eye and 8.5 deg by an instrument, the limit itself does not; found by an unknown way and between the
 * two it is not known to. */
static void which_tilt_matters(void **state) {
    (void)state;
    static const struct {
        double tilt;
        int by;
        iol_flag is;
    } row[] = {{5.0, 0, IOL_NO},       {5.1, 0, IOL_UNKNOWN}, {8.5, 0, IOL_UNKNOWN}, {8.6, 0, IOL_YES},
               {5.0, IOL_tilt_by_slit_lamp, IOL_NO},   {5.1, IOL_tilt_by_slit_lamp, IOL_YES},
               {8.5, IOL_tilt_by_instrument, IOL_NO}, {8.6, IOL_tilt_by_instrument, IOL_YES}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        calm();
        c.first_surgery.lens.tilt_deg = row[i].tilt, c.first_surgery.lens.tilt_by = row[i].by;
        c.first_surgery.lens.decentration_mm = 0.0;
        iol_facts_begin(&w);
        if (f.askew != row[i].is) fail_msg("%g deg by %d: %d", row[i].tilt, row[i].by, f.askew);
    }
}

/* The chamber of today by the depth of the lens; else that of before, where it was deep enough already, for it has only become
 * deeper. */
static void which_chamber(void **state) {
    (void)state;
    static const struct {
        double lens, before, is;
    } row[] = {{4.0, 2.5, 4.0}, {NAN, 2.8, 2.8}, {NAN, 3.4, 3.4}, {NAN, 2.79, NAN}, {2.6, 3.4, 2.6}, {NAN, NAN, NAN}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        calm();
        w.eye.lens_depth_mm = row[i].lens, w.eye.chamber_depth_mm = row[i].before;
        iol_facts_begin(&w);
        CHECK_NEAR(isnan(f.chamber_mm) ? -1.0 : f.chamber_mm, isnan(row[i].is) ? -1.0 : row[i].is, 0.0, "the rule");
    }
}

static double rank_of(int option) {
    for (int i = 0; i < plan.options_count; i++)
        if (plan.options[i].option == option) return plan.options[i].rank;
    return -1.0;
}

static const iol_option_row *row_for(int option) {
    for (int i = 0; i < plan.options_count; i++)
        if (plan.options[i].option == option) return &plan.options[i];
    return NULL;
}

static void make(void) { iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan); }

static void ranks_run_from_one_without_gaps(void **state) {
    (void)state;
    for (size_t i = 0; i < sizeof example_names / sizeof *example_names; i++) {
        example_case(example_names[i], &c);
        make();
        assert_true(plan.options_count >= (c.aphakic_now == IOL_YES ? 6 : 11)); /* no lens: nothing to do with one */
        double next = 1.0;
        for (int k = 0; k < plan.options_count; k++) {
            const iol_option_row *row = &plan.options[k];
            assert_true(iol_note_find(&plan.notes, IOL_AT_option_row_why, k, 0) >= 0);
            assert_int_equal(isnan(row->rank), row->suitable == IOL_NO);
            if (!isnan(row->rank)) assert_true(row->rank == next++);
        }
    }
}

static void findings_change_the_order(void **state) {
    (void)state;
    example_case("toric-turned", &c);
    make();
    assert_true(rank_of(IOL_option_rotation) == 1.0);
    c.reasons_also[c.reasons_also_count++] = IOL_reason_lens_opacity, c.first_surgery.lens.opacity = IOL_opacity_marked;
    make();
    assert_true(isnan(rank_of(IOL_option_rotation)));
    assert_true(rank_of(IOL_option_exchange) == 1.0);
    example_case("negative-dysphotopsia", &c);
    make();
    assert_true(rank_of(IOL_option_leave) < rank_of(IOL_option_optic_capture)); /* it usually fades */
    assert_true(rank_of(IOL_option_optic_capture) < rank_of(IOL_option_exchange));
    assert_true(isnan(rank_of(IOL_option_spectacles)));
    example_case("multifocal-photic", &c);
    make();
    assert_true(rank_of(IOL_option_treat_surface) == 1.0);
    example_case("wrong-lens", &c);
    make();
    assert_true(rank_of(IOL_option_exchange) == 1.0);
    example_case("dislocation", &c);
    make();
    assert_true(rank_of(IOL_option_reposition) < rank_of(IOL_option_exchange));
    assert_true(rank_of(IOL_option_remove_only) > rank_of(IOL_option_exchange));
    assert_true(isnan(rank_of(IOL_option_leave)));
    example_case("hyperopic-surprise", &c);
    c.capsule.posterior = IOL_posterior_capsule_opened_by_laser;
    c.target_cylinder_d = 1.0;
    make();
    assert_true(rank_of(IOL_option_piggyback) < rank_of(IOL_option_exchange));
}

static void difference_from_the_fellow_eye(void **state) {
    (void)state;
    example_case("hyperopic-surprise", &c);
    make();
    const iol_refraction *fellow = &c.fellow_eye.refraction;
    double se = fellow->sphere_d + fellow->cylinder_d / 2.0;
    const iol_option_row *leave = row_for(IOL_option_leave), *laser = row_for(IOL_option_corneal_laser);
    CHECK_NEAR(leave->difference_from_fellow_d, plan.surprise.current_se_d - se, 1e-12, "difference of equivalents");
    CHECK_NEAR(laser->difference_from_fellow_d, c.target_se_d - se, 1e-12, "difference of equivalents");
    CHECK_NEAR(plan.spectacles.difference_from_fellow_d, leave->difference_from_fellow_d, 1e-12, "the same");
    c.fellow_eye.refraction.cylinder_d = NAN;
    make();
    assert_true(isnan(row_for(IOL_option_leave)->difference_from_fellow_d));
    assert_int_equal(plan.spectacles.suitable, IOL_UNKNOWN);
}

static bool has(int place, iol_note_code code, double *value, double *limit) {
    for (int i = 0; i < plan.notes.count; i++) {
        const iol_note *n = &plan.notes.item[i];
        if (n->place != place || n->code != (int)code) continue;
        *value = n->value, *limit = n->limit;
        return true;
    }
    return false;
}

/* Beyond the shelf: the two lenses together bring the eye to the target. */
static void a_power_beyond_the_shelf_is_split(void **state) {
    (void)state;
    double last = NAN, second = NAN;
    example_case("short-eye", &c);
    make();
    assert_true(has(IOL_AT_option_row_reasons, IOL_NOTE_pb_split, &last, &second));
    CHECK_NEAR(last, 30.0, 0.0, "last power of the class on the shelf");
    double residual = row_for(IOL_option_exchange)->expected_se_d - c.target_se_d;
    assert_true(residual > 1.0);
    assert_true(second > residual && second < 2.0 * residual); /* a lens in the eye is stronger than one before it */
    example_case("hyperopic-surprise", &c);
    make();
    assert_false(has(IOL_AT_option_row_reasons, IOL_NOTE_pb_split, &last, &second));
}

static void withheld_leaves_no_power_and_no_expected_result(void **state) {
    (void)state;
    example_case("myopic-surprise-early", &c);
    make();
    assert_int_equal(plan.replacement.standing, IOL_standing_withheld);
    assert_true(isnan(plan.piggyback.power.power_exact_d) && isnan(plan.piggyback.power_from_reading_d));
    assert_true(isnan(plan.piggyback.multiplier) && plan.piggyback.power.choices_count == 0);
    assert_true(plan.piggyback.power.cross_checks_count == 0);
    assert_true(isnan(plan.corneal_laser.se_cornea_d) && isnan(plan.corneal_laser.depth_um));
    assert_true(isnan(row_for(IOL_option_exchange)->expected_se_d));
    assert_true(isnan(row_for(IOL_option_piggyback)->expected_se_d));
    assert_int_equal(row_for(IOL_option_exchange)->suitable, IOL_UNKNOWN);
    int said = 0;
    for (int i = 0; i < plan.left_out_count; i++)
        if (strcmp(plan.left_out[i].part, "measure_next") == 0) said += plan.left_out[i].why == IOL_left_why_withheld;
    assert_int_equal(said, 1);
    assert_true(plan.measure_next_count <= 0);
}

static void published_stands_beside_the_models_chance(void **state) {
    (void)state;
    double value = NAN, limit = NAN;
    example_case("hyperopic-surprise", &c);
    make();
    assert_true(has(IOL_AT_option_row_reasons, IOL_NOTE_published_exchange, &value, &limit));
    CHECK_NEAR(value, 62.5, 0.0, "Fernandez-Buenaga 2013, within 1.00 D, 17 eyes");
    assert_true(limit > 0.0 && limit <= 100.0);
    assert_true(has(IOL_AT_piggyback_reasons, IOL_NOTE_published_piggyback, &value, &limit));
    CHECK_NEAR(value, 85.0, 0.0, "Fernandez-Buenaga 2013, within 1.00 D, 20 eyes");
    assert_true(has(IOL_AT_corneal_laser_reasons, IOL_NOTE_published_laser, &value, &limit));
    CHECK_NEAR(value, 92.0, 0.0, "Jin 2008, within 0.50 D, 28 eyes");
    CHECK_NEAR(limit, 90.4, 0.0, "Schallhorn 2016, within 0.50 D, 782 eyes");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_limit_itself),
        cmocka_unit_test(which_chamber), cmocka_unit_test(which_tilt_matters), cmocka_unit_test(what_the_first_way_is),
        cmocka_unit_test(each_rule_both_ways),
        cmocka_unit_test(each_rule_not_known),
        cmocka_unit_test(only_an_acrylic_one_piece_must_leave_the_sulcus),
        cmocka_unit_test(ranks_run_from_one_without_gaps),
        cmocka_unit_test(findings_change_the_order),
        cmocka_unit_test(difference_from_the_fellow_eye),
        cmocka_unit_test(a_power_beyond_the_shelf_is_split),
        cmocka_unit_test(withheld_leaves_no_power_and_no_expected_result),
        cmocka_unit_test(published_stands_beside_the_models_chance),
        cmocka_unit_test(put_back_it_must_be_right_either_way),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
