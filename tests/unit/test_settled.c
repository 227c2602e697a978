/* What must be settled before a way that cannot be undone leads, and what a plan says of a way that ends off its target. Limits:
 * judgement or common practice, as the rules say; each eye beside one in which the plain advice stays right. */
#include <math.h>

#include "check.h"

#include "hard_case.h"
#include "report/compose.h"
#include "report/screen.h"
#include "tables/constants.h"
#include "tables/rule_codes.h"
#include "way_of.h"

static iol_case c;
static iol_plan plan;

static void example(const char *name) { example_case(name, &c); }
static void make(void) { iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan); }
static bool says(int place, iol_note_code code) { return has_note(&plan, place, (int)code) >= 0; }
static bool cautions(iol_note_code code) { return says(IOL_AT_plan_cautions, code); }
static bool advised(iol_note_code code) { return says(IOL_AT_decision_reasons, code); }
static bool asks(iol_note_code code) { return says(IOL_AT_decision_missing_tests, code); }
static bool acts(iol_note_code code) { return says(IOL_AT_act_text, code); }
static int deciding(void) { return deciding_note(&plan); }

static const iol_option_row *way(int option) { return way_of(&plan, option); }

static bool laser_is_last(void) {
    const double rank = way(IOL_option_corneal_laser)->rank;
    for (int i = 0; i < plan.options_count; i++)
        if (plan.options[i].suitable != IOL_NO && plan.options[i].option != IOL_option_remove_only &&
            plan.options[i].option != IOL_option_capsule_laser && plan.options[i].rank > rank)
            return false;
    return true;
}

/* A length that fits neither the other eye nor the glasses of before: both eyes are measured again, no laser leads. Opposite: the
 * same length with glasses and another eye that fit it. */
static void a_length_that_contradicts(void **state) {
    (void)state;
    iol_line line;
    hard_case_named("long-minus", &c);
    make();
    assert_int_equal(way(IOL_option_corneal_laser)->rank, 1);
    assert_false(advised(IOL_NOTE_rule_contradicted) || cautions(IOL_NOTE_glasses_contradict));
    c.refraction_before_cataract.sphere_d = 1.0; /* the glasses alone */
    make();
    assert_int_equal(deciding(), IOL_NOTE_rule_contradicted);
    assert_true(acts(IOL_NOTE_act_contradicted) && cautions(IOL_NOTE_glasses_contradict));
    assert_int_equal(way(IOL_option_corneal_laser)->suitable, IOL_UNKNOWN);
    assert_true(laser_is_last());
    iol_line_start(&line);
    iol_line_cause(&line, &plan);
    assert_null(strstr(line.text, "confirmed")); /* the sheet is not the cause of an eye that is beyond the ordinary itself */
    assert_non_null(strstr(line.text, "not found yet"));
    c.cornea.earlier_refractive_surgery = IOL_corneal_surgery_myopic_laser; /* a cornea that was flattened explains them */
    make();
    assert_false(cautions(IOL_NOTE_glasses_contradict));
    hard_case_named("long-minus", &c);
    c.fellow_eye.biometry.axial_length_mm = 23.3; /* the other eye alone */
    make();
    assert_int_equal(deciding(), IOL_NOTE_rule_contradicted);
    assert_true(cautions(IOL_NOTE_eyes_differ));
}

/* How far two eyes may differ, and how near-sighted a very long eye must have been. Below, at and above. */
static void limits_of_contradiction(void **state) {
    (void)state;
    static const double apart[] = {0.99, 1.0, 1.01}, sphere[] = {-2.9, -3.0, -3.1}, steep[] = {1.4, 1.5, 1.6};
    for (int i = 0; i < 3; i++) {
        hard_case_named("long-minus", &c);
        c.fellow_eye.biometry.axial_length_mm = c.biometry.axial_length_mm - apart[i];
        make();
        assert_true(advised(IOL_NOTE_rule_contradicted) == (i == 2));
        hard_case_named("long-minus", &c);
        c.fellow_eye.biometry.k_flat_d = c.fellow_eye.biometry.k_steep_d = 43.925 + steep[i];
        make(); /* the mean of both keratometries of this eye */
        assert_true(advised(IOL_NOTE_rule_contradicted) == (i == 2));
        hard_case_named("long-minus", &c);
        c.refraction_before_cataract.sphere_d = sphere[i], c.refraction_before_cataract.cylinder_d = 0.0;
        make();
        assert_true(cautions(IOL_NOTE_glasses_contradict) == (i == 0));
    }
}

/* While so wide a miss has no cause, what nobody compared is asked for. Opposite: an only eye has no other to measure. */
static void what_was_not_compared_is_asked(void **state) {
    (void)state;
    hard_case_named("long-minus", &c);
    blank(&c, "fellow_eye");
    make();
    assert_int_equal(deciding(), IOL_NOTE_rule_gross_error);
    assert_true(asks(IOL_NOTE_missing_other_eye) && !asks(IOL_NOTE_missing_old_glasses));
    c.patient.only_seeing_eye = IOL_YES;
    make();
    assert_false(advised(IOL_NOTE_rule_gross_error) || asks(IOL_NOTE_missing_other_eye));
    hard_case_named("long-minus", &c);
    blank(&c, "refraction_before_cataract");
    make();
    assert_int_equal(deciding(), IOL_NOTE_rule_gross_error);
    assert_true(asks(IOL_NOTE_missing_old_glasses));
    hard_case_named("long-minus", &c);
    c.biometry_repeat.lens_depth_mm = NAN;
    make();
    assert_true(asks(IOL_NOTE_missing_lens_depth) && laser_is_last());
}

/* A lens that lies forward, by the formula and by the crystalline lens of before: it is looked at first. Opposite: where the old
 * lens lay it is in its place, and the formula's expectation is doubted. */
static void a_lens_that_lies_forward(void **state) {
    (void)state;
    hard_case_named("long-minus", &c);
    make(); /* chamber 3.12, old lens 4.52 mm: 3.12 + 0.4 x 4.52 = 4.93 mm */
    assert_true(cautions(IOL_NOTE_depth_by_formula) && !cautions(IOL_NOTE_shallow_lens));
    CHECK_NEAR(c_old_lens_part, 0.4, 1e-12, "from memory: where a new lens lies in the room of the old one");
    static const double depth[] = {4.35, 4.32};
    for (int i = 0; i < 2; i++) { /* 0.6 mm in front of 4.928 mm */
        c.biometry_repeat.lens_depth_mm = depth[i];
        make();
        assert_true((deciding() == IOL_NOTE_rule_lens_forward) == (i == 1));
        assert_true(cautions(IOL_NOTE_shallow_lens) == (i == 1) && acts(IOL_NOTE_act_lens_forward) == (i == 1));
    }
    c.biometry.lens_thickness_mm = NAN; /* its room is not known */
    c.biometry_repeat.lens_depth_mm = 5.05;
    make();
    assert_int_equal(deciding(), IOL_NOTE_rule_lens_forward);
}

/* What cannot be undone on the cornea comes last where the cause is doubtful. Opposite: the sound eye. */
static void laser_waits_for_the_cause(void **state) {
    (void)state;
    example("hyperopic-surprise");
    make();
    assert_int_equal(way(IOL_option_corneal_laser)->rank, 1);
    for (int i = 0; i < 4; i++) {
        example("hyperopic-surprise");
        switch (i) {
        case 0: c.first_surgery.lens.tilt_deg = 12.0; break;
        case 1: c.first_surgery.lens.decentration_mm = 0.9; break;
        case 2: c.biometry_repeat.axial_length_mm += 0.6; break; /* first and repeat disagree */
        default: c.checks.biometry_belongs_to_this_eye = IOL_NO; break;
        }
        make();
        if (!laser_is_last()) fail_msg("row %d: laser stands at %.0f", i, way(IOL_option_corneal_laser)->rank);
        assert_true(advised(IOL_NOTE_advise_askew) == (i < 2));
        assert_true(acts(IOL_NOTE_act_weigh_askew) == (i < 2));
    }
}

/* Every check is done and no cause is found: the lens inside is in doubt, and the cornea is not treated for it.
 * Opposite: a very long eye, in which the formulas mispredict (long-minus, above). */
static void laser_waits_where_none_is_found(void **state) {
    (void)state;
    hard_case_named("thick-in-thirds", &c);
    make();
    assert_true(cautions(IOL_NOTE_cause_not_found) && laser_is_last());
    hard_case_named("long-minus", &c);
    make();
    assert_int_equal(way(IOL_option_corneal_laser)->rank, 1);
}

/* A child: no lens in the angle; sclera and iris with a word. Opposite: 18 years. */
static void places_of_a_child(void **state) {
    (void)state;
    for (int adult = 0; adult < 2; adult++) {
        example("wrong-lens");
        c.age_years = adult ? 18.0 : 17.9;
        make();
        bool angle = false;
        for (int i = 0; i < plan.fallbacks_count; i++) angle |= plan.fallbacks[i].position == IOL_position_chamber;
        assert_true(angle == adult && cautions(IOL_NOTE_child_place) == !adult);
    }
}

/* A toric lens off its mark that is not turned: why stands with the decision. Opposite: one that is turned. */
static void why_no_turn(void **state) {
    (void)state;
    hard_case_named("left-tilted-toric", &c);
    make();
    assert_true(advised(IOL_NOTE_advise_turn_zonule) && acts(IOL_NOTE_act_weigh_no_turn));
    for (int i = 0; i < 3; i++) {
        example("toric-turned");
        if (i == 1) c.target_se_d = 2.0;
        if (i == 2) { /* a weak toric lens: off its mark it does little */
            c.first_surgery.lens.cylinder_d = 1.0;
            c.biometry.k_steep_d = c.biometry.k_flat_d + 1.0;
            c.biometry_repeat.k_steep_d = c.biometry_repeat.k_flat_d + 1.0;
            for (int k = 0; k < c.refractions_count; k++)
                c.refractions[k].cylinder_d = -0.45, c.refractions[k].sphere_d = 0.2;
        }
        make();
        assert_true(advised(IOL_NOTE_advise_turn_power) == (i == 1) && acts(IOL_NOTE_act_weigh_turn_power) == (i == 1));
        assert_true(advised(IOL_NOTE_advise_turn_gain) == (i == 2) && acts(IOL_NOTE_act_weigh_turn_gain) == (i == 2));
        assert_false(advised(IOL_NOTE_advise_turn_zonule));
    }
}

/* A way that leads and ends off its target says so in the sentence. Opposite: one that ends on it. */
static void what_the_way_leaves(void **state) {
    (void)state;
    hard_case_named("second-rubs", &c);
    make();
    assert_non_null(strstr(plan.decision.sentence, "It leaves about +0.98 D."));
    assert_true(acts(IOL_NOTE_act_weigh_off) && !advised(IOL_NOTE_advise_leaves_cylinder));
    c.target_se_d = 0.5;
    make();
    assert_null(strstr(plan.decision.sentence, "It leaves"));
    assert_false(advised(IOL_NOTE_advise_leaves_off));
    hard_case_named("second-rigid", &c);
    make();
    assert_non_null(strstr(plan.decision.sentence, "It leaves about 1.97 D of cylinder."));
    assert_true(acts(IOL_NOTE_act_weigh_cylinder));
}

/* Turned by one day, exchanged not before another: the later is said wherever the exchange lens stands.
 * Opposite: after that day. */
static void one_story_of_dates(void **state) {
    (void)state;
    iol_line line;
    for (int late = 0; late < 2; late++) {
        example("toric-turned");
        if (late) on_day(&c, 28);
        make();
        iol_line_start(&line);
        iol_line_lens_warns(&line, &plan);
        assert_true((strstr(line.text, "NOT BEFORE 16 Dec 2025: refract again then.") != NULL) == !late);
    }
}

/* A very short eye is not opened for comfort: glasses are talked about once more. Opposite: at the limit they come last,
 * as refused. */
static void a_nanophthalmic_eye(void **state) {
    (void)state;
    hard_case_named("nanophthalmos", &c);
    make();
    assert_int_equal(way(IOL_option_spectacles)->rank, 1);
    assert_int_equal(way(IOL_option_spectacles)->suitable, IOL_UNKNOWN);
    assert_true(way(IOL_option_leave)->rank < way(IOL_option_piggyback)->rank);
    example("short-eye");
    make();
    assert_true(way(IOL_option_spectacles)->rank > way(IOL_option_piggyback)->rank);
}

/* A plan before the first operation has no day: it waits. Opposite: the day of the operation itself is day 0. */
static void no_day_before_the_operation(void **state) {
    (void)state;
    for (int same = 0; same < 2; same++) {
        example("hyperopic-surprise");
        iol_plan_make(&c, example_site(), c.first_surgery.done_on - !same, &plan);
        assert_true(isnan(plan.timing.days_since_first_surgery) == !same);
        assert_true((deciding() == IOL_NOTE_rule_day_not_known) == !same);
        assert_int_equal(plan.decision.state, IOL_state_wait);
    }
}

/* A hydrophilic lens on day 67 waits to day 90. Opposite: a hydrophobic one of one piece counts from day 28. */
static void a_hydrophilic_lens_waits(void **state) {
    (void)state;
    for (int dry = 0; dry < 2; dry++) {
        example("hyperopic-surprise");
        c.first_surgery.lens.material = dry ? IOL_material_hydrophobic_acrylic : IOL_material_hydrophilic_acrylic;
        on_day(&c, 67);
        make();
        assert_true((deciding() == IOL_NOTE_rule_refraction_gate) == !dry);
        assert_int_equal(plan.timing.earliest_by_refraction, c.first_surgery.done_on + (dry ? 28 : 90));
    }
}

/* An alarm leaves no power, no way and no lens. Opposite: a pressure just under it. */
static void no_power_in_an_alarm(void **state) {
    (void)state;
    for (int calm = 0; calm < 2; calm++) {
        example("hyperopic-surprise");
        c.anterior_segment.pressure_mmhg = c_pressure_same_day_mmhg - calm;
        make();
        assert_true(plan.replacement.present == calm && plan.piggyback.present == calm && (plan.options_count > 0) == calm);
        assert_true((plan.decision.urgency == IOL_urgency_same_day) == !calm);
    }
}

/* A warning names the field in words, the place in the file behind it. Opposite: within its usual limits nothing is said. */
static void a_warning_in_words(void **state) {
    (void)state;
    char text[640];
    for (int usual = 0; usual < 2; usual++) {
        example("hyperopic-surprise");
        c.anterior_segment.pupil_dilated_mm = usual ? 5.0 : 4.9;
        make();
        const int at = has_note(&plan, IOL_AT_plan_cautions, IOL_NOTE_unusual);
        assert_true((at >= 0) == !usual);
        if (usual) continue;
        iol_note_text(&plan.notes.item[at], text, sizeof text);
        const char *words = strstr(text, "dilated pupil"), *path = strstr(text, "/anterior_segment/pupil_dilated_mm");
        assert_true(words && path && words < path);
    }
}

/* A turn stands in the sentence, with its direction and last day. Opposite: where an exchange leads no turn is in it. */
static void the_turn_in_the_sentence(void **state) {
    (void)state;
    example("toric-turned");
    make();
    assert_string_equal(plan.decision.sentence, "Turn the lens 17 deg clockwise, by 9 Dec 2025.");
    assert_true(plan.rotation.axis_now_deg == 113.0 && plan.rotation.turn_deg < 0.0);
    example("wrong-lens");
    make();
    assert_null(strstr(plan.decision.sentence, "deg"));
}

/* Beside a wide spread the chosen step says how seldom it will do. Opposite: the ordinary spread. */
static void a_small_chance_is_said(void **state) {
    (void)state;
    static iol_site site;
    site = *example_site();
    for (int i = 0; i < 3; i++) {
        const bool wide = i > 0;
        example("hyperopic-surprise");
        if (wide) site.spread.refraction_d = 2.5;
        if (i == 2) c.target_se_d = -2.0, c.wish.distance = IOL_range_near; /* the same where it aims for near */
        iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan);
        const iol_choice *chosen = iol_chosen_step(&plan.replacement);
        assert_non_null(chosen);
        assert_true(cautions(IOL_NOTE_chance_low) == (chosen->within_half_d < c_chance_low));
        assert_true(cautions(IOL_NOTE_chance_low) == wide);
    }
}

/* Two readings of a settled eye that are far apart: read again before any way. Opposite: by 1 D, and one of the first days. */
static void readings_far_apart(void **state) {
    (void)state;
    static const double apart[] = {1.0, 1.01};
    for (int i = 0; i < 3; i++) {
        example("hyperopic-surprise");
        c.refractions[0].sphere_d = c.refractions[1].sphere_d - (i < 2 ? apart[i] : 3.0);
        if (i == 2) c.refractions[0].measured_on = c.first_surgery.done_on + 6;
        make();
        assert_true((deciding() == IOL_NOTE_rule_readings_apart) == (i == 1));
        assert_true(acts(IOL_NOTE_act_readings_apart) == (i == 1));
        if (i == 1) assert_true(laser_is_last());
    }
    for (int i = 0; i < 2; i++) { /* apart to the other side */
        example("hyperopic-surprise");
        c.refractions[0].sphere_d = c.refractions[1].sphere_d + apart[i];
        make();
        assert_true((deciding() == IOL_NOTE_rule_readings_apart) == (i == 1));
    }
    c.refractions[0].measured_on = IOL_UNKNOWN_DATE; /* its day is not known */
    make();
    assert_int_equal(deciding(), IOL_NOTE_rule_readings_apart);
}

/* A marked opacity that is not the reason given: no laser and no second lens lead past it. Opposite: a mild one. */
static void a_clouded_lens_beside(void **state) {
    (void)state;
    for (int mild = 0; mild < 2; mild++) {
        example("hyperopic-surprise");
        c.first_surgery.lens.opacity = mild ? IOL_opacity_mild : IOL_opacity_marked;
        make();
        assert_true((way(IOL_option_corneal_laser)->rank == 1.0) == mild);
        assert_true(acts(IOL_NOTE_act_weigh_clouded) == !mild && advised(IOL_NOTE_advise_clouded_too) == !mild);
    }
}

/* A wrong lens of which nobody has read the sticker is identified first. Opposite: it was read. */
static void a_wrong_lens_is_identified(void **state) {
    (void)state;
    for (int read = 0; read < 2; read++) {
        example("wrong-lens");
        c.first_surgery.lens.identified_by = read ? IOL_identified_by_sticker : IOL_identified_by_letter;
        make();
        assert_true((plan.notes.item[iol_note_find(&plan.notes, IOL_AT_act_text, 0, 0)].code == IOL_NOTE_act_wrong_unread) ==
                    !read);
    }
}

/* An eye without a lens has none that is damaged or clouded. Opposite: one with a lens. */
static void no_lens_no_fault(void **state) {
    (void)state;
    example("no-lens");
    c.reason = IOL_reason_lens_damage;
    make();
    assert_int_equal(plan.decision.state, IOL_state_secondary_lens);
    assert_null(strstr(plan.decision.sentence, "xchange"));
    example("no-lens");
    c.reason = IOL_reason_lens_tilt;
    make();
    assert_false(advised(IOL_NOTE_advise_fixation_first));
    c.reason = IOL_reason_lens_dislocation; /* one that was lost behind, and none in its place */
    make();
    assert_non_null(strstr(plan.decision.sentence, "Put a lens in"));
    example("hyperopic-surprise");
    c.reason = IOL_reason_lens_damage;
    make();
    assert_int_equal(deciding(), IOL_NOTE_rule_lens_damage);
}

/* A damaged lens leaves though the cornea fails of itself; what the sentence says it leaves is of the way that it names.
 * Opposite: a sound lens stays. */
static void a_damaged_lens_behind_a_weak_cornea(void **state) {
    (void)state;
    for (int sound = 0; sound < 2; sound++) {
        example("hyperopic-surprise");
        c.reason = sound ? IOL_reason_cornea_damage : IOL_reason_lens_damage;
        c.reasons_also_count = 1, c.reasons_also[0] = IOL_reason_cornea_damage;
        make();
        assert_true((way(IOL_option_exchange)->suitable == IOL_NO) == sound);
        assert_null(strstr(plan.decision.sentence, "It leaves"));
    }
}

/* A lens that rubs comes out before it is put back. Opposite: one that does not rub. */
static void a_lens_that_rubs_comes_out(void **state) {
    (void)state;
    for (int rubs = 0; rubs < 2; rubs++) {
        example("displaced");
        c.first_surgery.lens.position = rubs ? IOL_position_chamber : IOL_position_bag;
        c.reasons_also_count = 1, c.reasons_also[0] = IOL_reason_inflammation;
        make();
        assert_true((way(IOL_option_exchange)->rank == 1.0) == rubs);
    }
}

/* The patient hears of the cornea, the capsule and the clouded lens as they are. */
static bool told(iol_note_code code) {
    for (int i = 0; i < plan.notes.count; i++)
        if (plan.notes.item[i].place == IOL_AT_told_say && plan.notes.item[i].code == (int)code) return true;
    return false;
}

static void what_the_patient_hears(void **state) {
    (void)state;
    example("hyperopic-surprise");
    c.cornea.oedema = IOL_YES, c.refractions[1].corrected_acuity_logmar = 0.7;
    make();
    assert_true(told(IOL_NOTE_plain_window_swollen) && told(IOL_NOTE_plain_window_first) && told(IOL_NOTE_plain_wait));
    example("hyperopic-surprise");
    c.reason = IOL_reason_cornea_damage, c.cornea.oedema = IOL_YES;
    make();
    assert_true(told(IOL_NOTE_plain_window_first) && told(IOL_NOTE_plain_not_now));
    example("hyperopic-surprise");
    c.cornea.surface = IOL_surface_ectatic;
    make();
    assert_true(told(IOL_NOTE_plain_window_uneven) && told(IOL_NOTE_plain_window_test) && !told(IOL_NOTE_plain_find_cause));
    example("hyperopic-surprise");
    c.capsule.posterior = IOL_posterior_capsule_opacified, c.checks.acuity_improves_with_trial_lens = IOL_NO;
    make();
    assert_true(told(IOL_NOTE_plain_skin_cloudy) && told(IOL_NOTE_plain_open_later));
    example("hyperopic-surprise");
    c.refractions[0].sphere_d -= 3.0;
    make();
    assert_true(told(IOL_NOTE_plain_glasses_again));
    hard_case_named("beyond-the-shelf", &c);
    make();
    assert_true(told(IOL_NOTE_plain_measure_both));
    static const int opacity[] = {IOL_opacity_marked, IOL_opacity_mild, 0};
    for (int i = 0; i < 3; i++) {
        example("lens-opacity");
        c.first_surgery.lens.opacity = opacity[i];
        make();
        assert_true(told(IOL_NOTE_plain_clouded_seen) == (i == 0) && told(IOL_NOTE_plain_clouded) == (i > 0));
    }
    example("hyperopic-surprise"); /* opposite: a sound eye hears none of it */
    make();
    assert_false(told(IOL_NOTE_plain_window_swollen) || told(IOL_NOTE_plain_window_uneven));
    assert_false(told(IOL_NOTE_plain_skin_cloudy) ||
                 told(IOL_NOTE_plain_glasses_again) || told(IOL_NOTE_plain_measure_both));
}

/* A repeat of one meridian is that meridian: with the other as at first it agrees. Opposite: one that is another. */
static void one_meridian_again(void **state) {
    (void)state;
    static const double flat[] = {42.2, 43.2};
    for (int i = 0; i < 2; i++) {
        example("toric-turned");
        c.biometry.k_flat_d = 42.2, c.biometry.k_steep_d = 44.9;
        c.biometry_repeat.k_flat_d = flat[i], c.biometry_repeat.k_steep_d = NAN;
        make();
        assert_true(cautions(IOL_NOTE_measurements_in_conflict) == (i == 1));
        const int said = has_note(&plan, IOL_AT_plan_assumptions, IOL_NOTE_assume_other_meridian);
        assert_true(said >= 0);
        CHECK_NEAR(plan.notes.item[said].limit, 2.7, 1e-9, "arithmetic: 44.9 - 42.2 D");
    }
    c.biometry_repeat.k_flat_d = NAN, c.biometry_repeat.k_steep_d = 44.9; /* the steep one */
    make();
    assert_false(cautions(IOL_NOTE_measurements_in_conflict));
}

/* A wound or a seat on the nasal side is asked about. Opposite: the same place of the other eye. */
static void on_the_nasal_side(void **state) {
    (void)state;
    for (int left = 0; left < 2; left++) {
        example("hyperopic-surprise");
        c.eye = left ? IOL_side_left : IOL_side_right;
        c.operation.incision_position_deg = c.operation.seat_position_deg = 40.0;
        make();
        assert_true(cautions(IOL_NOTE_seat_nasal) == !left);
        assert_true(says(IOL_AT_incision_reasons, IOL_NOTE_wound_nasal) == !left);
        c.operation.incision_position_deg = c.operation.seat_position_deg = 135.0;
        make();
        assert_true(cautions(IOL_NOTE_seat_nasal) == left && says(IOL_AT_incision_reasons, IOL_NOTE_wound_nasal) == left);
        c.operation.incision_position_deg = c.operation.seat_position_deg = 90.0;
        make();
        assert_false(cautions(IOL_NOTE_seat_nasal) || says(IOL_AT_incision_reasons, IOL_NOTE_wound_nasal));
    }
}

/* Constants that state no place are those of the bag, and that is said where they look like others, or cannot serve. */
static void constants_without_a_place(void **state) {
    (void)state;
    static const double a[] = {115.3, 116.0};
    for (int i = 0; i < 2; i++) {
        example("hyperopic-surprise");
        c.first_surgery.lens.constants.a_constant = a[i];
        make();
        assert_true(cautions(IOL_NOTE_constants_as_bag) == (i == 0));
        c.first_surgery.lens.constants.for_position = IOL_position_bag;
        make();
        assert_false(cautions(IOL_NOTE_constants_as_bag));
    }
    example("hyperopic-surprise");
    c.first_surgery.lens.position = IOL_position_chamber;
    make();
    assert_true(says(IOL_AT_plan_assumptions, IOL_NOTE_assume_bag_unused));
    static const int stated[] = {IOL_position_chamber, IOL_position_bag}; /* nothing is assumed of what is stated */
    for (int i = 0; i < 2; i++) {
        c.first_surgery.lens.constants.for_position = stated[i];
        make();
        assert_false(says(IOL_AT_plan_assumptions, IOL_NOTE_assume_bag_unused));
    }
}

/* A lens that brings no constant and stands on the site's shelf has the shelf's, and that is said; with its own nothing is. */
static void constants_of_the_shelf(void **state) {
    (void)state;
    for (int own = 0; own < 2; own++) {
        example("hyperopic-surprise");
        iol_constants *k = &c.first_surgery.lens.constants;
        if (!own) k->a_constant = k->surgeon_factor_mm = k->pacd_mm = k->haigis_a0_mm = k->haigis_a1 = k->haigis_a2 = NAN;
        make();
        assert_true(says(IOL_AT_plan_assumptions, IOL_NOTE_assume_shelf_constants) == !own);
    }
}

/* A shifted lens of the wrong power is not captured first. Opposite: one whose power is right. */
static void captured_with_the_wrong_power(void **state) {
    (void)state;
    for (int right = 0; right < 2; right++) {
        example("hyperopic-surprise");
        c.reason = IOL_reason_lens_decentration;
        if (right) c.target_se_d = 1.0;
        make();
        assert_true((way(IOL_option_optic_capture)->rank < way(IOL_option_exchange)->rank) == right);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(constants_of_the_shelf),
        cmocka_unit_test(a_length_that_contradicts), cmocka_unit_test(limits_of_contradiction),
        cmocka_unit_test(what_was_not_compared_is_asked), cmocka_unit_test(a_lens_that_lies_forward),
        cmocka_unit_test(laser_waits_for_the_cause), cmocka_unit_test(laser_waits_where_none_is_found),
        cmocka_unit_test(places_of_a_child),
        cmocka_unit_test(why_no_turn), cmocka_unit_test(what_the_way_leaves),
        cmocka_unit_test(one_story_of_dates), cmocka_unit_test(a_nanophthalmic_eye),
        cmocka_unit_test(a_small_chance_is_said),     cmocka_unit_test(readings_far_apart),
        cmocka_unit_test(a_clouded_lens_beside),      cmocka_unit_test(a_wrong_lens_is_identified),
        cmocka_unit_test(no_lens_no_fault),           cmocka_unit_test(a_damaged_lens_behind_a_weak_cornea),
        cmocka_unit_test(a_lens_that_rubs_comes_out), cmocka_unit_test(captured_with_the_wrong_power),
        cmocka_unit_test(what_the_patient_hears),     cmocka_unit_test(one_meridian_again),
        cmocka_unit_test(on_the_nasal_side),          cmocka_unit_test(constants_without_a_place),
        cmocka_unit_test(no_day_before_the_operation), cmocka_unit_test(a_hydrophilic_lens_waits),
        cmocka_unit_test(no_power_in_an_alarm), cmocka_unit_test(a_warning_in_words),
        cmocka_unit_test(the_turn_in_the_sentence)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
