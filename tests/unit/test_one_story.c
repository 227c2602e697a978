/* One wound, one turn, one story: what a plan tells in several places agrees, and the patient hears of the way that leads. The eyes
 * are those of tests/inputs/eyes and the examples, each beside one in which the older words stay right. Limits: judgement. */
#include <math.h>

#include "check.h"

#include "example_case.h"
#include "kept_text.h"
#include "report/compose.h"
#include "report/screen.h"
#include "tables/rule_codes.h"
#include "way_of.h"

static iol_case c;
static iol_plan plan;
static iol_site site;

static void eye(const char *name) {
    eye_case(name, &c);
    site = *example_site();
}

static void example(const char *name) {
    example_case(name, &c);
    site = *example_site();
}

static void make(void) { iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan); }

static bool says(int place, iol_note_code code) { return has_note(&plan, place, (int)code) >= 0; }
static bool told(iol_note_code code) { return says(IOL_AT_told_say, code); }

static int deciding(void) { return deciding_note(&plan); }

static const iol_option_row *way(int option) { return way_of(&plan, option); }

/* Cylinder of the step nearest to the target, and of the same eye with that wound planned from the start: they agree. */
static double cylinder_of_lead(void) {
    const iol_choice *best = NULL;
    for (int i = 0; i < plan.replacement.choices_count; i++)
        if (plan.replacement.choices[i].chosen == IOL_YES) best = &plan.replacement.choices[i];
    assert_non_null(best);
    return best->expected.cylinder_d;
}

/* A rigid old lens (f5 with a lens of PMMA): the wound at the end is as wide as its optic, and every expected refraction of the
 * exchange counts it. Opposite: the same lens folds and leaves through the wound as planned. */
static void a_rigid_old_lens(void **state) {
    (void)state;
    eye("f5-reposition-sclera");
    make();
    CHECK_NEAR(plan.incision.end_width_mm, plan.incision.width_mm, 1e-12, "as planned");
    CHECK_NEAR(plan.incision.end_cylinder_d, plan.incision.induced_cylinder_d, 1e-12, "as planned");
    double soft = cylinder_of_lead();
    c.first_surgery.lens.material = IOL_material_pmma;
    make();
    CHECK_NEAR(plan.incision.end_width_mm, 6.0, 1e-12, "its optic");
    assert_true(plan.incision.end_cylinder_d > plan.incision.induced_cylinder_d + 0.5);
    double rigid = cylinder_of_lead(), after = plan.incision.corneal_cylinder_after_d;
    assert_true(fabs(rigid - soft) > 0.2);
    c.operation.incision_width_mm = 6.0;
    make();
    CHECK_NEAR(cylinder_of_lead(), rigid, 1e-12, "the plan with that wound from the start");
    CHECK_NEAR(plan.incision.corneal_cylinder_after_d, after, 1e-12, "the plan with that wound from the start");
}

/* A rigid new lens, chosen for its place, widens the wound of its own rows alone: a second lens in front is not charged for it. */
static void a_rigid_new_lens(void **state) {
    (void)state;
    example("hyperopic-surprise");
    make();
    double second = way(IOL_option_piggyback)->expected_cylinder_d, folds = plan.incision.end_cylinder_d;
    for (int i = 0; i < site.lenses_count; i++)
        if (site.lenses[i].purpose != IOL_purpose_piggyback) {
            site.lenses[i].material = IOL_material_pmma;
            site.lenses[i].optic_diameter_mm = 5.5;
        }
    make();
    CHECK_NEAR(plan.incision.end_width_mm, 5.5, 1e-12, "its optic");
    assert_true(plan.incision.end_cylinder_d > folds + 0.3);
    assert_true(says(IOL_AT_plan_cautions, IOL_NOTE_wound_for_rigid));
    CHECK_NEAR(way(IOL_option_piggyback)->expected_cylinder_d, second, 1e-12, "its wound is the planned one");
    CHECK_NEAR(plan.incision.width_mm, 2.8, 1e-12, "planned");
}

/* Where the whole lens is drawn out because a blade has no room the wound ends wide enough for it (shallow chamber); with room for
 * the blade it does not. */
static void a_way_out_that_widens(void **state) {
    (void)state;
    example("hyperopic-surprise");
    make();
    assert_true(plan.removal.preferred != IOL_removal_method_whole);
    CHECK_NEAR(plan.incision.end_width_mm, 2.8, 1e-12, "pieces come out of it");
    c.biometry_repeat.lens_depth_mm = 2.2, c.biometry.chamber_depth_mm = 2.2;
    make();
    assert_int_equal(plan.removal.preferred, IOL_removal_method_whole);
    CHECK_NEAR(plan.incision.end_width_mm, plan.removal.methods[0].enlarge_to_mm, 1e-12, "what the table says");
    assert_true(plan.incision.end_cylinder_d > plan.incision.induced_cylinder_d);
}

/* f4-lens-dislocation: a one-piece lens in the sulcus, loose, cannot be put back: nothing is weighed against taking it out, in
 * decision, advice and the patient's words. Opposite: f5, a three-piece lens, may be. */
static void what_cannot_be_put_back(void **state) {
    (void)state;
    eye("f4-lens-dislocation");
    make();
    assert_int_equal(deciding(), IOL_NOTE_rule_dislocation_out);
    assert_int_equal(plan.decision.state, IOL_state_exchange);
    assert_false(says(IOL_AT_decision_reasons, IOL_NOTE_advise_fixation_cells));
    assert_true(told(IOL_NOTE_plain_exchange) && !told(IOL_NOTE_plain_both) && !told(IOL_NOTE_plain_put_back));
    assert_true(strstr(plan.decision.sentence, "Exchange the lens") == plan.decision.sentence);
    c.first_surgery.lens.design = 0; /* what is not known is weighed, never cleared */
    make();
    assert_int_equal(plan.decision.state, IOL_state_exchange_or_alternative);
    eye("f5-reposition-sclera");
    make();
    assert_int_equal(deciding(), IOL_NOTE_rule_dislocation);
    assert_true(says(IOL_AT_decision_reasons, IOL_NOTE_advise_fixation_cells));
    assert_true(told(IOL_NOTE_plain_both));
}

/* f5, f6: the lens is put back first: no chance of a new lens is told. f4: it comes out, and the chance is told. */
static void chance_of_the_way_that_leads(void **state) {
    (void)state;
    static const char *const back[] = {"f5-reposition-sclera", "f6-no-place-open"};
    for (int i = 0; i < 2; i++) {
        eye(back[i]);
        make();
        assert_int_equal(way(IOL_option_reposition)->suitable, IOL_YES);
        assert_false(told(IOL_NOTE_plain_of_model) || told(IOL_NOTE_plain_of_series));
    }
    eye("f4-lens-dislocation");
    make();
    assert_true(told(IOL_NOTE_plain_of_model));
}

/* Two lenses, the one in front changed: the chance told is that of its own step, as the table has it. Opposite: nothing read, a
 * child. */
static void chance_of_the_lens_in_front(void **state) {
    (void)state;
    for (int i = 0; i < 3; i++) {
        example("two-lenses");
        if (i == 1) c.refractions_count = 0;
        if (i == 2) c.age_years = 12.0;
        make();
        const int at = has_note(&plan, IOL_AT_told_say, IOL_NOTE_plain_of_second);
        assert_true((at >= 0) == (i == 0));
        if (i > 0) continue;
        const iol_two_way *step = iol_two_way_of(&plan, IOL_two_way_second_exchanged);
        CHECK_NEAR(plan.notes.item[at].value, 100.0 * step->within_half_d, 1e-9, "definition");
        assert_true(plan.options[0].option == IOL_option_second_exchange && !told(IOL_NOTE_plain_of_model));
    }
}

/* wrong-old-open, wrong-only-eye-oedema: glasses come first in the ways, so they come first in the words, the rest in a sentence
 * each, and nothing is told of what may go wrong in an operation that is not the first. Opposite: nothing in the way. */
static void weighed_against_glasses(void **state) {
    (void)state;
    static const char *const eyes[] = {"wrong-old-open", "wrong-only-eye-oedema"};
    for (int i = 0; i < 2; i++) {
        eye(eyes[i]);
        make();
        assert_non_null(strstr(plan.decision.sentence, "or perhaps glasses"));
        assert_true(told(IOL_NOTE_plain_glasses) && told(IOL_NOTE_plain_not_known));
        assert_true(told(IOL_NOTE_plain_else_exchange) && !told(IOL_NOTE_plain_take_out));
        assert_false(told(IOL_NOTE_plain_risk_window) || told(IOL_NOTE_plain_risk_gel) ||
                     told(IOL_NOTE_plain_risk_infection) || told(IOL_NOTE_plain_of_model));
        assert_true(told(IOL_NOTE_plain_else_second) == (way(IOL_option_piggyback)->suitable == IOL_YES));
    }
    c.patient.only_seeing_eye = c.cornea.oedema = IOL_NO;
    make();
    assert_true(told(IOL_NOTE_plain_exchange) && told(IOL_NOTE_plain_risk_infection));
}

/* Day 3, wrong lens: only taking it out is exempt from the day gates: a second lens waits for a reading that counts. */
static void second_lens_waits(void **state) {
    (void)state;
    example("wrong-lens");
    make();
    const iol_option_row *second = way(IOL_option_piggyback);
    assert_int_equal(second->suitable, IOL_UNKNOWN);
    assert_true(second->not_before != IOL_UNKNOWN_DATE);
    assert_true(way(IOL_option_exchange)->not_before == IOL_UNKNOWN_DATE);
    assert_int_equal(way(IOL_option_exchange)->suitable, IOL_YES);
    example("short-eye"); /* opposite: day 64, two readings that agree */
    make();
    assert_int_equal(way(IOL_option_piggyback)->suitable, IOL_YES);
}

/* Capture of the optic is an operation for a shadow that fades: it waits as the exchange does. */
static void capture_waits(void **state) {
    (void)state;
    example("negative-dysphotopsia");
    make();
    assert_int_equal(way(IOL_option_optic_capture)->not_before, way(IOL_option_exchange)->not_before);
    assert_true(way(IOL_option_optic_capture)->not_before != IOL_UNKNOWN_DATE);
    c.first_surgery.done_on -= 100;
    make();
    assert_true(way(IOL_option_optic_capture)->not_before == IOL_UNKNOWN_DATE);
}

static iol_flag confirmed(const char *id) {
    for (int i = 0; i < plan.surprise.suspects_count; i++)
        if (strcmp(plan.surprise.suspects[i].id, id) == 0) return plan.surprise.suspects[i].confirmed;
    return IOL_NO;
}

/* The sheet is not blamed for a lens that went into the sulcus (sulcus-lens, f5) nor for a laser that it knew nothing of
 * (after-laser): for the bag and a plain cornea the formula prints what was printed. Opposite: hyperopic-surprise. */
static void the_sheet_is_not_blamed(void **state) {
    (void)state;
    example("sulcus-lens");
    make();
    assert_int_equal(confirmed("sulcus-with-bag-power"), IOL_YES);
    assert_int_equal(confirmed("sheet-differs"), IOL_NO);
    assert_false(told(IOL_NOTE_plain_sheet));
    c.first_surgery.sheet_se_d = 0.6; /* opposite: it fits neither place */
    make();
    assert_int_equal(confirmed("sheet-differs"), IOL_YES);
    example("after-laser");
    make();
    assert_int_equal(confirmed("earlier-myopic-laser"), IOL_YES);
    assert_int_equal(confirmed("sheet-differs"), IOL_NO);
    example("hyperopic-surprise");
    make();
    assert_int_equal(confirmed("sheet-differs"), IOL_YES);
    assert_true(told(IOL_NOTE_plain_sheet));
    eye("e33-scar-toric"); /* the eye is where it was meant to be: no sheet is spoken of */
    make();
    assert_false(told(IOL_NOTE_plain_sheet));
}

/* A lens that rubs in an inflamed eye (f4-photic-negative with uveitis): calmed, then out, without months of waiting. Opposite:
 * uveitis with a lens in the bag waits for them. */
static void rubs_and_inflamed(void **state) {
    (void)state;
    eye("f4-photic-negative");
    make();
    assert_int_equal(deciding(), IOL_NOTE_rule_lens_chafes);
    assert_true(told(IOL_NOTE_plain_rubs) && !told(IOL_NOTE_plain_inflamed));
    c.anterior_segment.uveitis = IOL_uveitis_active;
    make();
    assert_int_equal(deciding(), IOL_NOTE_rule_chafes_inflamed);
    assert_int_equal(plan.decision.state, IOL_state_wait);
    assert_true(told(IOL_NOTE_plain_calm_then_out));
    assert_true(says(IOL_AT_act_text, IOL_NOTE_act_quiet_chafes) && !says(IOL_AT_act_text, IOL_NOTE_act_quiet));
    assert_true(says(IOL_AT_replacement_standing_reasons, IOL_NOTE_repeat_chafes));
    c.first_surgery.lens.position = IOL_position_bag;
    make();
    assert_int_equal(deciding(), IOL_NOTE_rule_uveitis_active);
    assert_true(says(IOL_AT_act_text, IOL_NOTE_act_quiet));
    assert_true(told(IOL_NOTE_plain_inflamed) && !told(IOL_NOTE_plain_rubs));
}

/* An ectatic, scarred or swollen cornea: the power waits for agreeing measurements, and what is not known is not cleared. Opposite:
 * a regular, clear one. */
static void doubtful_corneas(void **state) {
    (void)state;
    static const struct {
        int surface;
        iol_flag oedema;
        iol_note_code why;
    } rows[] = {{IOL_surface_ectatic, IOL_NO, IOL_NOTE_repeat_cornea},
                {IOL_surface_scarred, IOL_NO, IOL_NOTE_repeat_cornea},
                {0, IOL_NO, IOL_NOTE_repeat_cornea},
                {IOL_surface_regular, IOL_YES, IOL_NOTE_repeat_swollen},
                {IOL_surface_regular, IOL_UNKNOWN, IOL_NOTE_repeat_swollen}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        example("hyperopic-surprise");
        make();
        assert_int_equal(plan.replacement.standing, IOL_standing_advised);
        c.cornea.surface = rows[i].surface;
        c.cornea.oedema = rows[i].oedema;
        c.refractions[c.refractions_count - 1].corrected_acuity_logmar = 0.3;
        make();
        assert_int_equal(plan.replacement.standing, IOL_standing_repeat_before_ordering);
        assert_true(says(IOL_AT_replacement_standing_reasons, rows[i].why));
        c.refractions[c.refractions_count - 1].corrected_acuity_logmar = 0.1; /* read through a cornea that is clear enough */
        make();
        assert_true(says(IOL_AT_replacement_standing_reasons, rows[i].why) == (rows[i].why == IOL_NOTE_repeat_cornea));
    }
}

/* Fluid that was seen is told as seen and let out; fluid that is not excluded is looked for. What lifts it is asked once. */
static void fluid_seen_or_looked_for(void **state) {
    (void)state;
    example("myopic-surprise-early");
    make();
    assert_true(told(IOL_NOTE_plain_look_behind) && told(IOL_NOTE_plain_fluid) && !told(IOL_NOTE_plain_let_out));
    c.anterior_segment.fluid_behind_lens = IOL_finding_yes;
    make();
    assert_true(told(IOL_NOTE_plain_let_out) && told(IOL_NOTE_plain_fluid_there) && told(IOL_NOTE_plain_next_let_out));
    assert_false(told(IOL_NOTE_plain_look_behind) || told(IOL_NOTE_plain_next_look));
    assert_false(says(IOL_AT_decision_missing_tests, IOL_NOTE_missing_refraction));
}

/* Oil that stays is not asked for again; oil that may come out is. */
static void oil_that_stays(void **state) {
    (void)state;
    example("silicone-oil");
    make();
    assert_int_equal(deciding(), IOL_NOTE_rule_oil_out);
    assert_true(says(IOL_AT_act_text, IOL_NOTE_act_oil_out) && !says(IOL_AT_act_text, IOL_NOTE_act_oil));
    assert_true(says(IOL_AT_replacement_standing_reasons, IOL_NOTE_withheld_oil_out));
    c.silicone_oil.stays = IOL_UNKNOWN; /* opposite: whether it stays is not told, and that is asked */
    make();
    assert_int_equal(deciding(), IOL_NOTE_rule_silicone_oil);
    assert_true(says(IOL_AT_act_text, IOL_NOTE_act_oil) && !says(IOL_AT_act_text, IOL_NOTE_act_oil_out));
    c.silicone_oil.stays = IOL_YES;
    make();
    assert_int_equal(deciding(), IOL_NOTE_rule_oil_stays);
    assert_int_equal(plan.decision.state, IOL_state_wait);
    assert_true(says(IOL_AT_act_text, IOL_NOTE_act_oil_stays) && !says(IOL_AT_act_text, IOL_NOTE_act_oil));
    assert_true(says(IOL_AT_replacement_standing_reasons, IOL_NOTE_withheld_oil_stays));
    assert_false(says(IOL_AT_replacement_standing_reasons, IOL_NOTE_withheld_oil));
}

/* What comes first in a waiting eye is told: the macula, the pressure, the surface. */
static void what_comes_first_is_told(void **state) {
    (void)state;
    example("hyperopic-surprise");
    make();
    assert_false(told(IOL_NOTE_plain_film_swollen) || told(IOL_NOTE_plain_pressure_up) || told(IOL_NOTE_plain_next_meanwhile));
    c.retina.macula = IOL_macula_oedema;
    make();
    assert_true(told(IOL_NOTE_plain_film_swollen));
    example("hyperopic-surprise");
    c.anterior_segment.glaucoma = IOL_glaucoma_uncontrolled;
    make();
    assert_true(told(IOL_NOTE_plain_pressure_up));
    example("after-laser");
    make();
    assert_true(told(IOL_NOTE_plain_next_meanwhile));
}

/* The eye came out as planned and the wish is another (monovision that is not tolerated): said so. Opposite: it missed. */
static void as_planned(void **state) {
    (void)state;
    example("hyperopic-surprise");
    make();
    assert_false(told(IOL_NOTE_plain_as_planned));
    c.first_surgery.intended_se_d = plan.surprise.current_se_d;
    make();
    assert_true(told(IOL_NOTE_plain_as_planned) && !told(IOL_NOTE_plain_long_sighted));
}

/* Under 8 an error is not left, in ways and words; a grown eye may leave it. */
static void a_small_child_is_not_left(void **state) {
    (void)state;
    example("child");
    make();
    assert_int_equal(way(IOL_option_leave)->suitable, IOL_NO);
    assert_false(told(IOL_NOTE_plain_else_leave));
    assert_true(told(IOL_NOTE_plain_grows) && told(IOL_NOTE_plain_still_learns)); /* the parents hear why not to wait */
    c.age_years = 9.0; /* sight is learned, the eye still grows */
    make();
    assert_true(told(IOL_NOTE_plain_grows) && !told(IOL_NOTE_plain_still_learns));
    c.age_years = 40.0;
    make();
    assert_false(told(IOL_NOTE_plain_grows));
    assert_int_equal(way(IOL_option_leave)->suitable, IOL_YES);
}

/* A shelf that ends before the eye does: no lens is promised if the second one does not help (short-eye). */
static void no_lens_is_promised(void **state) {
    (void)state;
    example("short-eye");
    make();
    assert_true(told(IOL_NOTE_plain_second_lens) && !told(IOL_NOTE_plain_else_exchange));
    example("hyperopic-surprise");
    make();
    assert_true(told(IOL_NOTE_plain_else_exchange));
}

/* Putting back that is not known to fit is told as such beside the exchange (a child's lens that slipped, its place not told). */
static void back_not_known(void **state) {
    (void)state;
    eye("f5-reposition-sclera");
    c.anterior_segment.uveitis = IOL_uveitis_none;
    c.target_se_d = NAN;
    make();
    if (plan.reposition.suitable != IOL_UNKNOWN || way(IOL_option_exchange)->suitable != IOL_YES)
        assert_false(told(IOL_NOTE_plain_back_maybe));
    eye("f5-reposition-sclera");
    c.first_surgery.lens.design = 0;
    make();
    assert_int_equal(plan.reposition.suitable, IOL_UNKNOWN);
    assert_true(told(IOL_NOTE_plain_back_maybe) == (way(IOL_option_exchange)->suitable == IOL_YES));
    example("displaced");
    c.capsule.anterior = IOL_anterior_capsule_intact_opening;
    make();
    assert_true(told(IOL_NOTE_plain_risk_back));
}

/* A weak acuity behind a swollen cornea asks for no other scale; behind a clear one it does. */
static void acuity_behind_a_swollen_cornea(void **state) {
    (void)state;
    example("hyperopic-surprise");
    c.refractions[c.refractions_count - 1].corrected_acuity_logmar = 0.8;
    c.first_surgery.lens.opacity = IOL_opacity_none;
    make();
    assert_true(says(IOL_AT_plan_cautions, IOL_NOTE_acuity_scale));
    c.cornea.oedema = IOL_YES;
    make();
    assert_false(says(IOL_AT_plan_cautions, IOL_NOTE_acuity_scale));
}

/* The card is that of the next operation: the lens is put back (displaced), or its optic brought forward; the exchange
 * stands behind
 * it. Opposite: what is to be weighed first keeps the exchange's card (f5), and one that waits has none yet. */
static void card_of_the_next_operation(void **state) {
    (void)state;
    const char *why_not, *not_next;
    iol_line line;
    example("displaced");
    c.capsule.anterior = IOL_anterior_capsule_intact_opening;
    make();
    assert_non_null(strstr(iol_theatre_operation(&plan, &why_not), "PUT THE LENS BACK"));
    not_next = iol_theatre_not_next(&plan, &line);
    assert_non_null(strstr(not_next, "Exchange only if it cannot be held"));
    assert_true(way(IOL_option_optic_capture)->suitable == IOL_YES);
    c.first_surgery.lens.decentration_mm = 5.0; /* no reading counts: nor is known what a capture leaves */
    make();
    assert_int_equal(way(IOL_option_optic_capture)->suitable, IOL_UNKNOWN);
    assert_non_null(strstr(iol_theatre_not_next(&plan, &line), "Not yet"));
    example("negative-dysphotopsia"); /* half a year on */
    c.checks.topography_done = IOL_YES;
    c.assessed_on += 140;
    c.refractions[c.refractions_count - 1].measured_on = c.assessed_on;
    make();
    assert_non_null(strstr(iol_theatre_operation(&plan, &why_not), "BRING THE OPTIC FORWARD"));
    assert_non_null(strstr(text_of_plan(&plan, "theatre"), "Free the rim from the optic all round"));
    eye("f5-reposition-sclera");
    make();
    assert_non_null(strstr(iol_theatre_operation(&plan, &why_not), "PUT BACK OR EXCHANGE the lens"));
    assert_non_null(strstr(iol_theatre_not_next(&plan, &line), "Choose first"));
}

/* A turn with no lens beside it (e33, no toric lens on the shelf): nothing that cuts or catches a lens is asked for, the axis is
 * marked. Opposite: an exchange. */
static void things_for_a_turn(void **state) {
    (void)state;
    static const char *const names[] = {"e33", "wrong"};
    static iol_site plain;
    plain = *example_site();
    for (int k = 0; k < plain.lenses_count; k++) plain.lenses[k].cylinder_steps_d_count = 0;
    for (int exchange = 0; exchange < 2; exchange++) {
        bool scissors = false, marker = false;
        iol_line line;
        if (exchange)
            example("wrong-lens");
        else
            eye("e33-scar-toric");
        iol_plan_make(&c, exchange ? example_site() : &plain, IOL_UNKNOWN_DATE, &plan);
        for (int i = 0; i < plan.theatre_list_count; i++) {
            if (!iol_theatre_tick(&plan, i, &line)) continue;
            scissors |= strstr(line.text, "lens scissors") != NULL;
            marker |= strstr(line.text, "marker for the lens axis") != NULL;
        }
        if (scissors != (exchange == 1) || marker != (exchange == 0)) fail_msg("%s", names[exchange]);
    }
}

/* A way that waits for an answer names it, where the column has room. */
static void what_is_missing_is_named(void **state) {
    (void)state;
    eye("wrong-old-open");
    make();
    for (int i = 0; i < plan.options_count; i++) {
        iol_line line;
        iol_line_start(&line);
        if (plan.options[i].option == IOL_option_spectacles) {
            iol_line_way_why(&line, &plan, i);
            assert_string_equal(line.text, "fellow eye refraction?");
        }
    }
}

/* A lens in the vitreous that was read past: the eye is not told to be without one (e41). */
static void the_lens_has_left_its_place(void **state) {
    (void)state;
    iol_line line;
    eye("e41-aphakic-reading");
    make();
    iol_line_start(&line);
    iol_line_cause(&line, &plan);
    assert_non_null(strstr(line.text, "has left its place"));
    example("no-lens");
    make();
    iol_line_start(&line);
    iol_line_cause(&line, &plan);
    assert_non_null(strstr(line.text, "there is no lens in the eye"));
}

/* Day 3, a lens wrong by 5 D, and nobody said whether it is the only eye: found out within days, and the patient hears that
 * the lens may have to be changed. Opposite: it is said. */
static void found_out_within_days(void **state) {
    (void)state;
    example("wrong-lens");
    c.patient.only_seeing_eye = IOL_UNKNOWN;
    make();
    assert_int_equal(deciding(), IOL_NOTE_rule_wrong_open);
    assert_int_equal(plan.decision.urgency, IOL_urgency_days);
    assert_true(told(IOL_NOTE_plain_exchange_maybe) && !told(IOL_NOTE_plain_else_exchange));
    c.patient.only_seeing_eye = IOL_NO;
    make();
    assert_int_equal(deciding(), IOL_NOTE_rule_documented_wrong);
    assert_false(told(IOL_NOTE_plain_exchange_maybe));
}

/* A turn after day 21 says that the loops are to be freed; one within says nothing of it (toric-turned). */
static void a_late_turn_frees_the_loops(void **state) {
    (void)state;
    for (int late = 0; late < 2; late++) {
        example("toric-turned");
        c.assessed_on = c.first_surgery.done_on + (late ? 22 : 21);
        make();
        assert_true(says(IOL_AT_act_text, IOL_NOTE_act_weigh_turn_late) == (late == 1));
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_rigid_old_lens),        cmocka_unit_test(a_rigid_new_lens),
        cmocka_unit_test(a_way_out_that_widens),   cmocka_unit_test(what_cannot_be_put_back),
        cmocka_unit_test(chance_of_the_way_that_leads),
        cmocka_unit_test(chance_of_the_lens_in_front), cmocka_unit_test(weighed_against_glasses),
        cmocka_unit_test(second_lens_waits),       cmocka_unit_test(capture_waits),
        cmocka_unit_test(the_sheet_is_not_blamed), cmocka_unit_test(rubs_and_inflamed),
        cmocka_unit_test(doubtful_corneas),        cmocka_unit_test(fluid_seen_or_looked_for),
        cmocka_unit_test(oil_that_stays),          cmocka_unit_test(what_comes_first_is_told),
        cmocka_unit_test(as_planned),              cmocka_unit_test(a_small_child_is_not_left),
        cmocka_unit_test(no_lens_is_promised),     cmocka_unit_test(back_not_known),
        cmocka_unit_test(acuity_behind_a_swollen_cornea), cmocka_unit_test(card_of_the_next_operation),
        cmocka_unit_test(things_for_a_turn),       cmocka_unit_test(what_is_missing_is_named),
        cmocka_unit_test(the_lens_has_left_its_place), cmocka_unit_test(found_out_within_days),
        cmocka_unit_test(a_late_turn_frees_the_loops)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
