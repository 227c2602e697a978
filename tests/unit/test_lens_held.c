/* A displaced lens by small changes of the example: fixed with its bag, one piece in the sulcus, a rim to be cut first; what is
 * weighed stands on card and sheet as that. What is right: common practice, no source, but for the rim (Davison 1993, memory). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

#include "check.h"
#include "hard_case.h"
#include "kept_text.h"
#include "report/screen.h"
#include "report/sheet.h"
#include "tables/rule_codes.h"

static iol_case c;
static iol_plan plan;

static void make(void) { iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan); }
static void start(void) { example_case("displaced", &c); }
static bool says(int place, iol_note_code code) { return has_note(&plan, place, (int)code) >= 0; }
static bool acts(iol_note_code code) { return says(IOL_AT_act_text, code); }

static const char *card(void) {
    iol_html out = {.sink = keep, .ok = true};
    iol_sheet s = {.out = &out, .plan = &plan};
    kept.used = 0;
    kept.bytes[0] = '\0';
    iol_sheet_theatre(&s);
    return kept.bytes;
}

static const char *screen(const char *part) {
    text_of_plan(&plan, part);
    for (char *at = kept.bytes; *at; at++)
        if (*at == '\n') *at = ' ';
    return kept.bytes;
}

/* A weak zonule and a lens in its bag: both are fixed together where they lie, the rim is cut there. Opposite: no bag is
 * left, its state or the place is not told, a plate has no loops. */
static void with_its_bag(void **state) {
    (void)state;
    const char *why_not;
    start();
    c.zonule.donesis = IOL_donesis_marked;
    make();
    assert_int_equal(plan.reposition.how, IOL_reposition_how_suture);
    CHECK_NEAR(plan.reposition.shift_mm, 0.0, 1e-12, "definition: it stays in its bag");
    assert_true(plan.reposition.suitable == IOL_YES && plan.options[0].option == IOL_option_reposition);
    assert_string_equal(plan.decision.sentence,
                        "Settle first how the lens is to be held, within weeks: the zonule hardly holds it.");
    assert_int_equal(plan.options[0].option, IOL_option_reposition);
    assert_true(acts(IOL_NOTE_act_rim_at_fixing) && !acts(IOL_NOTE_suspect_contracted));
    assert_string_equal(iol_theatre_operation(&plan, &why_not), "FIX OR EXCHANGE the lens"); /* it has not moved */
    assert_true(strstr(screen("theatre"), "[ ] fix it where it lies [ ] exchange") && strstr(kept.bytes, "FIX    Lens and bag"));
    assert_null(strstr(card(), "ut it back"));
    assert_non_null(strstr(card(), "If it is fixed: the old lens stays"));
    assert_true(strstr(screen(NULL), "fix it where it lies") && !strstr(kept.bytes, "put it back"));
    assert_true(strstr(full_text_of_plan(&plan), "fix it where it lies: ") && !strstr(kept.bytes, "put it back, fix it: "));
    assert_non_null(strstr(screen("theatre"), "suture both loops through the bag"));
    for (int i = 0; i < 5; i++) {
        start();
        c.zonule.donesis = IOL_donesis_marked;
        if (i == 0) c.capsule.posterior = IOL_posterior_capsule_torn;
        if (i == 1) c.first_surgery.lens.design = IOL_design_plate;
        if (i == 2) c.capsule.posterior = IOL_NOT_EXAMINED;
        if (i == 3) c.first_surgery.lens.position = 0;
        if (i == 4)
            c.first_surgery.lens.design = IOL_design_three_piece, c.capsule.posterior = IOL_posterior_capsule_torn;
        make();
        assert_int_equal(plan.reposition.suitable, i < 2 ? IOL_NO : i < 4 ? IOL_UNKNOWN : plan.reposition.suitable);
        assert_true(plan.reposition.how != IOL_reposition_how_suture || i == 1);
        if (i == 4) assert_int_equal(plan.reposition.how, IOL_reposition_how_sclera);
        if (i != 4) continue;
        c.capsule.posterior = IOL_NOT_EXAMINED; /* three pieces would go into the sclera, or stay in a bag that may be whole */
        make();
        assert_true(plan.reposition.how == 0 && plan.reposition.suitable != IOL_YES);
    }
}

/* One piece in the sulcus, askew: it is exchanged, and all places say so; put back it may only go into the bag. Opposite: three
 * pieces may stay in the sulcus. */
static void one_piece_in_the_sulcus(void **state) {
    (void)state;
    iol_line line;
    start();
    c.first_surgery.lens.position = IOL_position_sulcus;
    make();
    assert_int_equal(deciding_note(&plan), IOL_NOTE_rule_one_piece_out);
    assert_true(plan.decision.state == IOL_state_exchange && plan.options[0].option == IOL_option_exchange);
    assert_null(iol_theatre_not_next(&plan, &line));
    assert_true(iol_exchange_leads(&plan) && !acts(IOL_NOTE_check_displaced));
    assert_false(says(IOL_AT_decision_reasons, IOL_NOTE_advise_fixation_cells));
    assert_int_equal(plan.reposition.how, IOL_reposition_how_bag);
    assert_true(plan.reposition.suitable == IOL_UNKNOWN &&
                plan.reposition.shift_mm > 0.3); /* the bag lies behind the sulcus */
    assert_true(plan.reposition.expected.se_d > plan.displaced.recentred.se_d + 0.3); /* further back: less myopic */
    c.first_surgery.lens.design = IOL_design_three_piece;
    make();
    assert_int_equal(plan.reposition.how, IOL_reposition_how_recentre);
    assert_int_equal(plan.decision.state, IOL_state_other_option_first);
}

/* A contracted rim round a shifted lens is cut first, then measured. Opposite: an opening that is whole; not looked at; a
 * dislocated lens; a lens so far off that no rim has drawn it; a clouded one; within the ordinary. */
static void the_rim_first(void **state) {
    (void)state;
    const char *why_not;
    start();
    make();
    assert_int_equal(deciding_note(&plan), IOL_NOTE_rule_rim);
    assert_true(plan.options[0].option == IOL_option_relax_rim && plan.options[0].suitable == IOL_YES);
    assert_true(isnan(plan.options[0].expected_se_d)); /* measured anew, not foretold */
    assert_true(plan.options[1].option == IOL_option_reposition && plan.options[1].suitable == IOL_UNKNOWN);
    assert_true(acts(IOL_NOTE_act_rim) && acts(IOL_NOTE_act_rim_again) && !acts(IOL_NOTE_suspect_contracted));
    assert_null(iol_theatre_operation(&plan, &why_not));
    assert_non_null(strstr(why_not, "rim is relaxed first"));
    assert_true(says(IOL_AT_told_say, IOL_NOTE_plain_loosen_skin) &&
                says(IOL_AT_told_say, IOL_NOTE_plain_next_loosened));
    for (int i = 0; i < 6; i++) {
        start();
        if (i == 0) c.capsule.anterior = IOL_anterior_capsule_intact_opening;
        if (i == 1) c.capsule.anterior = IOL_NOT_EXAMINED;
        if (i == 2) c.reason = IOL_reason_lens_dislocation;
        if (i == 3) c.first_surgery.lens.decentration_mm = 2.5;
        if (i == 4) c.reasons_also[0] = IOL_reason_lens_opacity, c.first_surgery.lens.opacity = IOL_opacity_marked;
        if (i == 5) c.first_surgery.lens.tilt_deg = 2.0, c.first_surgery.lens.decentration_mm = 0.1;
        make();
        assert_false(says(IOL_AT_decision_reasons, IOL_NOTE_rule_rim));
        assert_false(plan.options[0].option == IOL_option_relax_rim);
        for (int k = 0; k < plan.options_count; k++)
            if (plan.options[k].option == IOL_option_relax_rim)
                assert_int_equal(plan.options[k].suitable, i == 1 ? IOL_UNKNOWN : IOL_NO);
        if (i == 1) assert_int_equal(plan.reposition.suitable, IOL_UNKNOWN);
    }
}

/* What is weighed stands beside the exchange, in the hands and at the head, and nothing is signed without a tick. Opposite: an
 * exchange alone. */
static void weighed_on_the_card(void **state) {
    (void)state;
    const char *why_not;
    iol_line line;
    example_case("dislocation", &c);
    make();
    assert_int_equal(iol_weighed_beside(&plan)->option, IOL_option_reposition);
    assert_false(iol_exchange_leads(&plan));
    assert_string_equal(iol_theatre_operation(&plan, &why_not), "PUT BACK OR EXCHANGE the lens");
    assert_non_null(strstr(iol_theatre_not_next(&plan, &line),
                           "[ ] put it back, fix it [ ] exchange the lens. Not valid without a tick"));
    assert_non_null(strstr(card(), "If it is put back: the old lens stays"));
    assert_non_null(strstr(kept.bytes, "suture both loops through the bag to the sclera. Expect SE "));
    const char *text = screen("theatre");
    assert_non_null(strstr(text, "BACK   Lens and bag stay together"));
    assert_non_null(strstr(text, "If exchanged: Bring lens and capsule forward"));
    c.dislocation.with_capsule = IOL_UNKNOWN;
    c.zonule.donesis = IOL_donesis_marked;
    make();
    if (plan.reposition.suitable == IOL_UNKNOWN)
        assert_non_null(strstr(screen("theatre"), "Not known yet whether it fits."));
    example_case("lens-opacity", &c);
    make();
    assert_null(iol_weighed_beside(&plan));
    assert_null(strstr(card(), "If it is put back"));
}

/* Exchange ranked first and leaving the lens beside it: the exchange is not the answer alone. */
static void weighed_behind_the_exchange(void **state) {
    (void)state;
    iol_line line;
    start();
    c.zonule.donesis = IOL_donesis_marked;
    c.capsule.posterior = IOL_posterior_capsule_torn;
    make();
    assert_int_equal(plan.decision.state, IOL_state_exchange_or_alternative);
    assert_int_equal(plan.options[0].option, IOL_option_exchange);
    assert_int_equal(iol_weighed_beside(&plan)->option, IOL_option_leave);
    assert_false(iol_exchange_leads(&plan));
    assert_non_null(strstr(iol_theatre_not_next(&plan, &line), "[ ] leave it as it is [ ] exchange the lens"));
    assert_non_null(strstr(screen(NULL), "if exchanged."));
}

/* Where no reading counts no chance is told, on no sheet, and the card of the step that is named first is there, not to be signed.
 * Opposite: one that counts. */
static void no_chance_without_a_reading(void **state) {
    (void)state;
    const char *why_not;
    iol_line line;
    hard_case_named("displaced-at-the-wound", &c);
    make();
    assert_false(iol_chance_told(&plan));
    assert_null(strstr(screen(NULL), " of 100 within"));
    assert_non_null(strstr(kept.bytes, "No chance is given: what it rests on does not count yet."));
    assert_non_null(strstr(iol_theatre_operation(&plan, &why_not), "PUT THE LENS BACK"));
    assert_non_null(strstr(iol_theatre_not_next(&plan, &line), "Not yet: whether it fits is not known."));
    assert_int_equal(iol_theatre_use(&plan), IOL_CARD_NOT_NEXT);
    assert_null(strstr(card(), "surgeon, name"));
    assert_true(says(IOL_AT_told_say, IOL_NOTE_plain_next_lens_look) &&
                !says(IOL_AT_told_say, IOL_NOTE_plain_of_model));
    hard_case_named("put-back", &c);
    make();
    assert_true(iol_chance_told(&plan) && iol_theatre_use(&plan) == IOL_CARD_NOW);
    assert_non_null(strstr(screen(NULL), " of 100 within"));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(with_its_bag),
        cmocka_unit_test(one_piece_in_the_sulcus),
        cmocka_unit_test(the_rim_first),
        cmocka_unit_test(weighed_on_the_card),
        cmocka_unit_test(weighed_behind_the_exchange),
        cmocka_unit_test(no_chance_without_a_reading),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
