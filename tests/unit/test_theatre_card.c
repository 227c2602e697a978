/* The theatre card against its plan: what changes what hands do stands on it, where the old lens lies, and whether it may be used
 * at all. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

#include <stdlib.h>

#include "check.h"
#include "hard_case.h"
#include "kept_text.h"
#include "report/screen.h"
#include "report/sheet.h"
#include "report/theatre_hands.h"
#include "tables/note_codes.h"

#define CARD "common practice, no source: what changes the work at the table stands on the card of that work"

static iol_case c;
static iol_plan plan;

static const char *drawn(void (*draw)(iol_sheet *)) {
    static char text[1 << 18];
    iol_html out = {.sink = keep, .ok = true};
    iol_sheet s = {.out = &out, .plan = &plan};
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    kept.used = 0;
    kept.bytes[0] = '\0';
    draw(&s);
    assert_true(kept.used < sizeof text);
    memcpy(text, kept.bytes, kept.used + 1);
    return text;
}

static const char *card(void) { return drawn(iol_sheet_theatre); }

/* A sentence as the page writes it. */
static const char *written(const char *sentence) {
    static char text[2000];
    iol_html out = {.sink = keep, .ok = true};
    kept.used = 0;
    iol_html_escaped(&out, sentence);
    memcpy(text, kept.bytes, kept.used + 1);
    return text;
}

static const char *screen(void) {
    static iol_screen s;
    static char text[1 << 14];
    iol_screen_theatre(&plan, &s);
    kept.used = 0;
    assert_true(iol_screen_write(&s, false, keep, NULL));
    char *to = text;
    for (const char *at = kept.bytes; *at; at++) { /* wrapped lines as one */
        const bool line = *at == '\n';
        *to++ = line ? ' ' : *at;
        while (line && at[1] == ' ') at++;
    }
    *to = '\0';
    return text;
}

/* ---- every caution that changes what hands do ---- */

/* Only the second of two lenses comes out: what is said of its way out counts, not what is said of the first's. */
static bool second_alone(void) {
    const iol_option_row *first = iol_first_way(&plan);
    return iol_theatre_card(&plan) == IOL_CARD_FRONT && plan.two_lenses.present &&
           first->option != IOL_option_piggyback;
}

static bool of_way_out(int place) {
    return place == IOL_AT_removal_reasons || place == IOL_AT_removal_why ||
           place == IOL_AT_removal_orientation_reasons;
}

static const iol_note *said(const iol_hands_row *row) {
    const bool second = of_way_out(row->place) && (second_alone() || row->note == IOL_NOTE_removal_second);
    for (int i = 0; i < plan.notes.count; i++)
        if (plan.notes.item[i].place == row->place && plan.notes.item[i].code == row->note &&
            (plan.notes.item[i].row >= IOL_ROW_SECOND_LENS) == second)
            return &plan.notes.item[i];
    return NULL;
}

static bool on_this_card(const iol_hands_row *row, int cards) {
    return (row->cards & (second_alone() && of_way_out(row->place) ? cards | IOL_CARD_OUT : cards)) != 0;
}

/* Of a lens that is put back the exchange stands behind it on the same card. */
static int cards_of(void) {
    const int this_one = iol_theatre_card(&plan);
    return this_one == IOL_CARD_HELD && plan.removal.orientation.present ? IOL_CARD_HELD | IOL_CARD_OUT : this_one;
}

static int seen_rows[100];

static void stands(const char *who) {
    const char *at = card();
    if (!*at) return;
    for (int i = 0; i < iol_hands_count; i++) {
        const iol_hands_row *row = &iol_hands[i];
        const iol_note *note = said(row);
        char sentence[300];
        iol_note_fill(row->text, note ? note : &(iol_note){.value = 1.0, .limit = 1.0}, NULL, sentence,
                      sizeof sentence);
        iol_line back;
        iol_line_start(&back);
        const bool weighed = row->place == IOL_AT_reposition_reasons && iol_line_put_back(&back, &plan);
        const bool wanted = note && (weighed || on_this_card(row, cards_of())),
                   is = strstr(at, written(sentence)) != NULL;
        if (wanted != is)
            fail_msg("%s: %s: %s", who, wanted ? "not on the card" : "on the card without cause", sentence);
        seen_rows[i] += wanted;
        if (wanted && row->kind != IOL_HANDS_MIND && on_this_card(row, iol_theatre_card(&plan)))
            if (!strstr(screen(), sentence)) fail_msg("%s: not on the screen: %s", who, sentence);
    }
}

static void on_the_card(void **state) {
    (void)state;
    for (int i = 0; i < EXAMPLES + HARD_CASES; i++) stands(any_case(i, &c));
        /* each kind of build, material, place and finding once, on an eye whose exchange is the next step */
#define CHANGED_OF(example, changes)                                                                                   \
    example_case(example, &c);                                                                                         \
    changes;                                                                                                           \
    stands(#changes)
#define CHANGED(changes) CHANGED_OF("lens-opacity", changes)
    CHANGED(c.first_surgery.lens.material = IOL_material_pmma);
    CHANGED(c.zonule.donesis = IOL_donesis_marked);
    CHANGED(c.first_surgery.lens.material = IOL_material_silicone);
    CHANGED(c.first_surgery.lens.design = IOL_design_plate);
    CHANGED(c.first_surgery.lens.design = IOL_design_three_piece);
    CHANGED(c.first_surgery.lens.position = IOL_position_sclera);
    CHANGED(c.first_surgery.lens.position = IOL_position_iris_behind);
    CHANGED(c.first_surgery.lens.position = IOL_position_chamber);
    CHANGED(c.dislocation.with_capsule = IOL_NO);
    CHANGED(c.capsule.posterior = IOL_posterior_capsule_opened_by_laser);
    CHANGED(c.anterior_segment.vitreous_in_chamber = IOL_YES);
    CHANGED(c.anterior_segment.drainage_surgery = IOL_UNKNOWN);
    CHANGED(c.first_surgery.lens.turns_freely = IOL_turns_both);
    CHANGED((c.zonule.missing_clock_hours = 2.0, c.zonule.missing_from_clock = 2.0, c.zonule.missing_to_clock = 4.0));
    CHANGED((c.zonule.missing_clock_hours = 2.0, c.zonule.missing_from_clock = 9.0, c.zonule.missing_to_clock = 12.0));
    CHANGED((c.zonule.missing_clock_hours = 2.0, c.zonule.missing_from_clock = 5.0, c.zonule.missing_to_clock = 7.0,
             c.operation.side_port_position_deg = 270.0));
    CHANGED(c.first_surgery.lens.way_up = IOL_way_up_reversed);
    CHANGED_OF("wrong-lens", (c.first_surgery.lens.way_up = IOL_way_up_reversed,
                              c.first_surgery.lens.turns_freely = IOL_turns_clockwise));
    CHANGED_OF("wrong-lens", (c.zonule.donesis = IOL_donesis_slight, c.zonule.missing_clock_hours = 0.0));
    CHANGED_OF("dislocation", c.dislocation.lies = IOL_lies_chamber);
    CHANGED_OF("displaced",
               (c.capsule.fibrosis = IOL_fibrosis_dense, c.capsule.anterior = IOL_anterior_capsule_intact_opening));
    CHANGED_OF("displaced", (c.capsule.anterior = IOL_anterior_capsule_intact_opening, c.capsule.opening_mm = 5.0,
                             c.first_surgery.lens.design = IOL_design_three_piece,
                             c.first_surgery.lens.position = IOL_position_sulcus));
    CHANGED_OF("displaced", (c.zonule.donesis = IOL_donesis_marked, c.capsule.posterior = IOL_posterior_capsule_torn,
                             c.first_surgery.lens.design = IOL_design_three_piece));
    CHANGED_OF("dislocation", (c.first_surgery.lens.position = IOL_position_sulcus, c.zonule.donesis = IOL_donesis_none,
                               c.zonule.missing_clock_hours = 0.0, c.dislocation.with_capsule = IOL_NO));
    CHANGED(c.biometry.chamber_depth_mm = c.biometry_repeat.chamber_depth_mm = c.biometry_repeat.lens_depth_mm = NAN);
    CHANGED(c.operation.incision_position_deg = fmod(c.operation.incision_position_deg + 180.0, 360.0));
    CHANGED(c.operation.seat_position_deg = 90.0);
    CHANGED(c.capsule.anterior = IOL_anterior_capsule_contracted);
    CHANGED((c.first_surgery.lens.material = 0, c.first_surgery.lens.lens_id[0] = '\0', c.biometry.chamber_depth_mm = 2.4,
             c.biometry_repeat.chamber_depth_mm = c.biometry_repeat.lens_depth_mm = NAN));
    CHANGED(c.first_surgery.lens.junction_axis_deg = NAN);
    CHANGED_OF("dislocation", c.dislocation.lies = IOL_lies_chamber);
    CHANGED(c.cornea.earlier_refractive_surgery = IOL_corneal_surgery_radial_cuts);
    CHANGED_OF("short-eye", (c.biometry.axial_length_mm = c.biometry_repeat.axial_length_mm = 20.4,
                             c.reason = IOL_reason_lens_opacity, c.first_surgery.lens.opacity = IOL_opacity_marked));
    CHANGED_OF("hyperopic-surprise", c.capsule.anterior = IOL_anterior_capsule_contracted);
    CHANGED_OF("hyperopic-surprise", c.biometry.k_flat_d = c.biometry_repeat.k_flat_d = c.biometry.k_steep_d =
                                         c.biometry_repeat.k_steep_d = NAN);
    CHANGED_OF("toric-turned", on_day_of(&c, 60));
    CHANGED_OF("toric-turned", c.capsule.posterior = IOL_posterior_capsule_torn);
    CHANGED_OF("toric-turned", c.cornea.surface = IOL_surface_scarred);
    CHANGED_OF("toric-turned", c.first_surgery.lens.turns_freely = IOL_turns_anticlockwise);
    CHANGED_OF("wrong-lens", c.first_surgery.lens.turns_freely = IOL_turns_both);
    CHANGED_OF("wrong-lens", c.dislocation.lies = IOL_lies_chamber);
    CHANGED_OF("negative-dysphotopsia", /* half a year on: the optic is captured */
               (c.checks.topography_done = IOL_YES, c.assessed_on += 140, c.refractions[1].measured_on = c.assessed_on));
    CHANGED_OF("two-lenses", /* the first of them toric and turned */
               (c.biometry.k_flat_d = c.biometry_repeat.k_flat_d = 42.5,
                c.biometry.k_steep_d = c.biometry_repeat.k_steep_d = 44.9,
                c.biometry.k_steep_axis_deg = c.biometry_repeat.k_steep_axis_deg = 95.0,
                c.refractions[0].sphere_d = 0.55, c.refractions[0].cylinder_d = -1.9, c.refractions[0].axis_deg = 36.0,
                c.refractions[1].sphere_d = 0.55, c.refractions[1].cylinder_d = -1.9, c.refractions[1].axis_deg = 36.0,
                c.reason = IOL_reason_cylinder_error, c.second_lens.power_d = 1.0,
                c.first_surgery.lens.cylinder_d = 3.0, c.first_surgery.lens.power_is = IOL_power_is_equivalent,
                c.first_surgery.lens.axis_deg = 70.0, c.first_surgery.lens.axis_intended_deg = 95.0));
#undef CHANGED
#undef CHANGED_OF
    int never = 0;
    for (int i = 0; i < iol_hands_count; i++) {
        if (seen_rows[i] == 0) print_message("no card here says: %s\n", iol_hands[i].text);
        never += seen_rows[i] == 0;
    }
    assert_int_equal(never, 0);
}

/* Whatever can be remarked on removal, turn and wound has its sentence for the card, or is said not to belong there. */
static void none_forgotten(void **state) {
    (void)state;
    static const int remark[] = {
#define REMOVAL_SHAPE(id, when, value, limit) IOL_NOTE_##id,
#define REMOVAL_CASE(id, when, value, limit) IOL_NOTE_##id,
#define REMOVAL_TURN(id, when, value) IOL_NOTE_##id,
#define INCISION_SAYS(id, when, value, limit) IOL_NOTE_##id,
#include "remarks.def"
        IOL_NOTE_prefer_no_blade, IOL_NOTE_prefer_no_blade_wide,
    };
    static const int off[] = {
#define OFF_CARD(note, why) IOL_NOTE_##note,
#include "theatre_hands.def"
    };
    for (size_t i = 0; i < sizeof remark / sizeof *remark; i++) {
        bool told = false, left = false;
        for (int k = 0; k < iol_hands_count; k++) told |= iol_hands[k].note == remark[i];
        for (size_t k = 0; k < sizeof off / sizeof *off; k++) left |= off[k] == remark[i];
        if (told == left)
            fail_msg("%s: %s", iol_note_rows[remark[i]].code, told ? "on the card and off it" : "forgotten");
    }
}

/* ---- a lens that has fallen ---- */

static void order(const char *at, const char *const words[], int count) {
    for (int i = 0; i < count; i++) {
        const char *next = strstr(at, words[i]);
        if (!next) fail_msg("missing or out of order: %s", words[i]);
        at = next;
    }
}

static void fallen(void **state) {
    (void)state;
    static const char *const retina[] = {"The old lens lies ON THE RETINA.",
                                         "<b>1</b> Retinal surgeon: vitrectomy first",
                                         "<b>2</b> Lift the lens off the retina", "Out</b> ", "Wound</b> "};
    static const char *const between[] = {"lies IN THE VITREOUS", "<b>1</b> Vitrectomy first, then lift the lens",
                                          "Out</b> "};
    hard_case_named("vitreous", &c);
    const char *at = card();
    order(at, retina, 5);
    assert_true(plan.removal.present && plan.removal.preferred > 0);
    assert_non_null(strstr(at, ">on the retina</text>"));
    assert_non_null(strstr(at, "optic unplaced"));
    assert_null(strstr(at, "off centre toward")); /* where a lens lay that lies on the retina is nothing to work by */
    example_case("dislocation", &c);
    at = card();
    order(at, between, 3);
    assert_null(strstr(at, "RETINA."));
    assert_non_null(strstr(at, ">in the vitreous</text>"));
    example_case("lens-opacity", &c);
    at = card();
    assert_null(strstr(at, "itrectomy first"));
    assert_null(strstr(at, "The old lens lies"));
}

/* The middle of the first closed path of a class, and how wide and high it is. */
static void extent(const char *svg, const char *kind, double middle[2], double size[2]) {
    char open[48];
    snprintf(open, sizeof open, "<path class=\"%s\" d=\"", kind);
    const char *at = strstr(svg, open);
    double low[2] = {1e9, 1e9}, high[2] = {-1e9, -1e9};
    assert_non_null(at);
    for (at = strchr(at, 'M'); *at != '"'; at++) {
        if (*at != 'M' && *at != 'L') continue;
        char *end;
        const double xy[] = {strtod(at + 1, &end), strtod(end, NULL)};
        for (int i = 0; i < 2; i++) low[i] = fmin(low[i], xy[i]), high[i] = fmax(high[i], xy[i]);
    }
    for (int i = 0; i < 2; i++) middle[i] = (low[i] + high[i]) / 2.0, size[i] = high[i] - low[i];
}

static void side(iol_sheet *s) { iol_sheet_eye_side(s, IOL_option_exchange, false, iol_language_find(NULL)); }

/* The eye is a circle of 20 mm round (48, 30), its front to the left; the iris ends left of 36 mm. */
static void patient_sees_it_lie(void **state) {
    (void)state;
    double place[2], lens[2], size[2], none[2];
    hard_case_named("vitreous", &c);
    const char *svg = drawn(side);
    extent(svg, "b", place, none), extent(svg, "kk", lens, size);
    assert_true(size[0] > 2.0 * size[1]);                                              /* flat */
    assert_true(lens[1] > 30.0 + 20.0 * 0.7 && lens[1] + size[1] / 2.0 < 30.0 + 20.0); /* at the bottom, inside */
    assert_true(lens[0] > place[0] + 5.0);
    example_case("dislocation", &c);
    svg = drawn(side);
    extent(svg, "b", place, none), extent(svg, "kk", lens, size);
    assert_true(lens[0] > place[0] + 5.0 && lens[1] > place[1] + 2.0 &&
                lens[1] < 30.0 + 20.0 * 0.7); /* behind, not down */
    example_case("displaced", &c);            /* off its place, and not fallen */
    svg = drawn(side);
    extent(svg, "b", place, none), extent(svg, "kk", lens, size);
    CHECK_NEAR(lens[0], place[0], 1e-6, "drawing: a lens that is only shifted stays in its plane");
}

/* ---- a card that is not for now ---- */

static void not_for_now(void **state) {
    (void)state;
    int now = 0, weigh = 0, repeat = 0, not_next = 0;
    for (int i = 0; i < EXAMPLES + HARD_CASES; i++) {
        const char *who = any_case(i, &c), *at = card();
        if (!*at) continue;
        const iol_card_use use = iol_theatre_use(&plan);
        const bool later = use == IOL_CARD_REPEAT || use == IOL_CARD_NOT_NEXT;
        if ((strstr(at, "class=\"sign\"") == NULL) != later) fail_msg("%s: signature lines", who);
        if ((strstr(at, "NOT TO BE SIGNED") != NULL) != later) fail_msg("%s: not to be signed", who);
        if ((strstr(at, "class=\"not-next barred\"") != NULL) != later) fail_msg("%s: no band across the head", who);
        if (later && strstr(at, "class=\"huge\"")) fail_msg("%s: a giant figure on a card that is not for now", who);
        if ((strstr(screen(), "NOT TO BE SIGNED") != NULL) != later) fail_msg("%s: screen", who);
        now += use == IOL_CARD_NOW, weigh += use == IOL_CARD_WEIGH, repeat += use == IOL_CARD_REPEAT;
        not_next += use == IOL_CARD_NOT_NEXT;
    }
    assert_true(now >= 4 && weigh >= 2 && repeat >= 1 && not_next >= 3);
}

/* The lens that leads, in the list: what it is expected to leave and what is wanted, as the plan has them. */
static void the_lens_that_leads_in_the_list(void **state) {
    (void)state;
    int seen = 0;
    for (int i = 0; i < EXAMPLES + HARD_CASES; i++) {
        const char *who = any_case(i, &c);
        iol_lead lead;
        char wanted[80];
        card();
        if (!iol_lead_operates(&plan, &lead) || isnan(lead.target_se_d) || isnan(lead.expected.se_d)) continue;
        const char *text = text_of_plan(&plan, "theatre"), *at = strstr(text, "EXPECT");
        if (!at) continue;
        snprintf(wanted, sizeof wanted, ", target %+.2f D", lead.target_se_d);
        if (!strstr(at, wanted)) fail_msg("%s: no%s: %.90s", who, wanted, at);
        seen++;
    }
    if (seen < 1) fail_msg("%d seen", seen);
}

/* Where it says to repeat it says what: the plan's own words for what lifts it, wherever a power of such a standing stands. */
static void says_what_to_repeat(void **state) {
    (void)state;
    int seen = 0, leads = 0;
    for (int i = 0; i < EXAMPLES + HARD_CASES; i++) {
        const char *who = any_case(i, &c), *at = card();
        const iol_replacement *r = iol_new_lens(&plan);
        iol_lead lead;
        const bool other = iol_lead_operates(&plan, &lead);
        if (other && *at && lead.standing == IOL_standing_repeat_before_ordering) {
            leads++;
            if (!strstr(at, "REPEAT BEFORE ORDERING")) fail_msg("%s: the lens that leads is to be repeated: %s", who, at);
        }
        if (!*at || other || r->standing != IOL_standing_repeat_before_ordering ||
            !strstr(at, "REPEAT BEFORE ORDERING"))
            continue;
        const int note = iol_note_find(&plan.notes, IOL_AT_replacement_standing_reasons, 0, 0);
        char lifts[640];
        iol_note_lifts(&plan.notes.item[note], lifts, sizeof lifts);
        if (!strstr(at, written(lifts))) fail_msg("%s: does not say what to repeat: %s", who, lifts);
        seen++;
    }
    assert_true(seen >= 4);
    assert_true(leads > 0);
}

/* ---- a lens that comes out with its capsule ---- */

static bool reasoned(int code) { /* of how it is turned and held */
    const int place = IOL_AT_removal_orientation_reasons;
    for (int i = iol_note_find(&plan.notes, place, 0, 0); i >= 0; i = iol_note_find(&plan.notes, place, 0, i + 1))
        if (plan.notes.item[i].code == code) return true;
    return false;
}

/* common practice, no source: a loop left in a capsule that has lost its hold falls back; a capsule that lies free with its lens
 * has no zonule that could be spared. What is not known is not cleared. */
static void with_its_capsule(void **state) {
    (void)state;
    static const iol_flag with[] = {IOL_YES, IOL_UNKNOWN, IOL_NO};
    for (int i = 0; i < 3; i++) {
        example_case("dislocation", &c);
        c.dislocation.with_capsule = with[i];
        if (with[i] == IOL_NO) c.zonule.donesis = IOL_donesis_slight, c.zonule.missing_clock_hours = 3.0;
        const char *at = card();
        assert_int_equal(strstr(at, "LEAVE NO LOOP BEHIND") != NULL, with[i] != IOL_NO);
        assert_int_equal(strstr(at, "cut it at its junction and leave it") != NULL, with[i] == IOL_NO);
        assert_int_equal(strstr(at, "Capsule and regrown ring come out too") != NULL, with[i] == IOL_YES);
        assert_int_equal(strstr(at, "ZONULE GAP") != NULL, with[i] != IOL_YES);
        assert_null(strstr(at, "before a cut;"));
    }
    static const int marked[] = {IOL_donesis_slight, IOL_donesis_marked};
    for (int i = 0; i < 2; i++) { /* out of its capsule, or in it: no loop stays in a capsule without its zonule */
        example_case("lens-opacity", &c);
        c.capsule.fibrosis = IOL_fibrosis_dense, c.zonule.donesis = marked[i];
        assert_int_equal(strstr(card(), "LEAVE NO LOOP BEHIND") != NULL, i);
    }
    for (int chamber = 0; chamber < 2; chamber++) { /* where it lies in front nothing brings it there, and no pupil is widened */
        example_case("dislocation", &c);
        if (chamber) c.dislocation.lies = IOL_lies_chamber;
        const char *at = card();
        assert_int_equal(strstr(at, "Bring lens and capsule forward") == NULL, chamber);
        assert_int_equal(strstr(at, "DO NOT DILATE") != NULL, chamber);
    }
    example_case("dislocation", &c);
    c.dislocation.lies = IOL_lies_pupil; /* it hangs there: what is left of the zonule holds it */
    assert_non_null(strstr(card(), "ZONULE GAP"));
    hard_case_named("vitreous", &c);
    c.dislocation.with_capsule = IOL_NO;
    card();
    assert_true(reasoned(IOL_NOTE_gap_hands));
    assert_false(reasoned(IOL_NOTE_gap_loops)); /* no lens is planned into the sulcus */
    hard_case_named("left-tilted-toric", &c);
    assert_non_null(strstr(card(), "If a lens goes in the sulcus: its loops about 15")); /* one for another place is */
    assert_true(reasoned(IOL_NOTE_gap_loops));
}

/* ---- a power that is none, ways that are weighed ---- */

static const char *no_card(void) {
    const char *why_not = NULL;
    card();
    iol_theatre_operation(&plan, &why_not);
    return why_not ? why_not : "";
}

/* common practice, no source: what misses the target by far, or spans many dioptres, is no lens to be held ready. */
static void no_power_on_a_card(void **state) {
    (void)state;
    hard_case_named("nanophthalmos", &c);
    assert_string_equal(no_card(), "no step of the shelf fits");
    hard_case_named("thick-in-thirds", &c);
    assert_string_equal(no_card(), "a stop stands");
    hard_case_named("power-not-settled", &c);
    assert_string_equal(no_card(), "the power is not settled");
    assert_null(strstr(drawn(iol_sheet_decide), "eyes within 0.50&nbsp;D of the target"));
    assert_non_null(strstr(drawn(iol_sheet_decide), "POWER NOT SETTLED"));
    example_case("short-eye",
                 &c); /* clouded it has to come out, whatever the shelf holds: a card, its power not in giant type */
    c.biometry.axial_length_mm = c.biometry_repeat.axial_length_mm = 20.4;
    c.reason = IOL_reason_lens_opacity, c.first_surgery.lens.opacity = IOL_opacity_marked;
    assert_string_equal(no_card(), "");
    assert_non_null(strstr(card(), "NO STEP FITS"));
    assert_null(strstr(card(), "class=\"huge\""));
    example_case("hyperopic-surprise", &c);
    assert_string_equal(no_card(), "");
    assert_non_null(strstr(drawn(iol_sheet_decide), "eyes within 0.50&nbsp;D of the target"));
}

static void weighed(void **state) {
    (void)state;
    example_case("dislocation", &c);
    const char *at = card();
    static const char *const words[] = {"Choose first, tick one: [ ] put it back, fix it [ ] exchange the lens",
                                        "class=\"huge later\"", "Signed only once a way is ticked above."};
    order(at, words, 3);
    assert_non_null(strstr(screen(), "if exchanged: +21.5 D"));
    assert_non_null(strstr(drawn(iol_sheet_lead), "old lens stays, or +21.5&nbsp;D"));
    example_case("wrong-lens", &c);
    at = card();
    assert_null(strstr(at, "tick one"));
    assert_null(strstr(at, "Signed only"));
    assert_non_null(strstr(at, "class=\"huge\""));
    assert_non_null(strstr(at, "<h3>How the old lens comes out</h3>"));
    assert_null(strstr(drawn(iol_sheet_lead), "old lens stays"));
}

/* What is to be repeated stands beside no word that nothing need be. */
static void nothing_to_measure(void **state) {
    (void)state;
    example_case("hyperopic-surprise", &c);
    assert_non_null(strstr(drawn(iol_sheet_decide), "No look or measurement moves"));
    iol_html out = {.sink = keep, .ok = true};
    iol_sheet s = {.out = &out, .plan = &plan};
    plan.replacement.standing = IOL_standing_repeat_before_ordering;
    kept.used = 0, kept.bytes[0] = '\0';
    iol_sheet_decide(&s);
    assert_null(strstr(kept.bytes, "No look or measurement moves"));
}

/* ---- what is ticked ---- */

static void ticked(void **state) {
    (void)state;
    assert_string_equal(iol_removal_words(0), ""); /* no way is chosen */
    static const char tick[] = "lens for the exchange seen in the room", agreed[] = "second surgeon agreed, name";
    example_case("toric-turned", &c);
    assert_null(strstr(card(), tick)); /* the exchange waits longer than the turn */
    assert_non_null(strstr(drawn(iol_sheet_lead), ", toric, not before 16&nbsp;Dec&nbsp;2025"));
    on_day(&c, 32);
    assert_non_null(strstr(card(), tick));
    assert_null(strstr(drawn(iol_sheet_lead), "not before"));
    assert_null(strstr(card(), agreed));
    hard_case_named("vitreous", &c);
    assert_non_null(strstr(card(), agreed));
    assert_null(strstr(card(), "a second surgeon has agreed"));
    assert_non_null(strstr(screen(), "[ ] second surgeon, name"));
    example_case("two-lenses", &c);
    assert_non_null(strstr(drawn(iol_sheet_decide), "Only if both lenses come out: other places"));
    assert_non_null(strstr(
        card(), "OUT: second lens, in front, in the sulcus, +5.0&nbsp;D. STAYS: first lens, behind it, in the bag"));
    assert_non_null(strstr(screen(), "OUT: second lens, in front, in the sulcus, +5.0 D. STAYS: first lens"));
    assert_non_null(strstr(drawn(iol_sheet_decide), "NOT TORIC: the cylinder stays"));
    example_case("wrong-lens", &c);
    assert_null(strstr(card(), "STAYS: "));
    hard_case_named("both-clouded", &c);
    assert_null(strstr(card(), "STAYS: "));
    example_case("lens-opacity", &c); /* its lens for the sclera is not toric */
    assert_null(strstr(drawn(iol_sheet_decide), "NOT TORIC"));
    example_case("hyperopic-surprise", &c);
    assert_null(strstr(drawn(iol_sheet_decide), "Only if both"));
}

/* What lifts a standing: two of them, and how many more there are. */
static void the_rest_is_counted(void **state) {
    (void)state;
    int counted = 0;
    for (int i = 0; i < EXAMPLES + HARD_CASES; i++) {
        const char *name = any_case(i, &c);
        iol_lead lead;
        char text[640], more[40];
        int all = 0;
        iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
        if (iol_lead_operates(&plan, &lead)) continue;
        for (int k = 0; k < plan.notes.count; k++) {
            const iol_note *note = &plan.notes.item[k];
            if (note->place != IOL_AT_replacement_standing_reasons || note->row != 0) continue;
            all += *iol_note_lifts(note, text, sizeof text) != '\0';
        }
        iol_line line;
        iol_line_start(&line);
        assert_true(iol_line_lifts(&line, &plan) == (all > 0));
        snprintf(more, sizeof more, " %d more: tables.", all - 2);
        const size_t length = strlen(more);
        const bool told = line.used >= length && strcmp(line.text + line.used - length, more) == 0;
        if (told != (all > 2)) fail_msg("%s: %d lift it: %s", name, all, line.text);
        counted += all > 2;
    }
    assert_true(counted > 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_rest_is_counted),
        cmocka_unit_test(on_the_card),
        cmocka_unit_test(none_forgotten),
        cmocka_unit_test(fallen),
        cmocka_unit_test(not_for_now),
        cmocka_unit_test(says_what_to_repeat), cmocka_unit_test(the_lens_that_leads_in_the_list),
        cmocka_unit_test(patient_sees_it_lie),
        cmocka_unit_test(with_its_capsule),
        cmocka_unit_test(no_power_on_a_card),
        cmocka_unit_test(weighed),
        cmocka_unit_test(ticked),
        cmocka_unit_test(nothing_to_measure),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
