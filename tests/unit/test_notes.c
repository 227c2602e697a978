/* The list of notes and the lists of a plan: each note once, and what does not fit is told, never dropped in silence. */
#include "check.h"

#include "example_case.h"
#include "tables/note_codes.h"

static iol_notes notes;

static void add(int place, int row, int code, double value, double limit, const char *word) {
    iol_note_add(&notes, place, row, (iol_note_code)code, value, limit, word);
}

static void test_each_once(void **state) {
    (void)state;
    notes = (iol_notes){.count = 0};
    const int place = IOL_AT_plan_cautions, code = IOL_NOTE_unusual;
    for (int i = 0; i < 2; i++) {
        add(place, 0, code, 1.0, NAN, "a");
        add(place, 0, code, NAN, NAN, NULL);
        assert_int_equal(notes.count, 2);
    }
    /* any one thing that differs makes another note */
    add(place, 0, code, 1.0, NAN, "b");
    add(place, 0, code, 1.0, 2.0, "a");
    add(place, 0, code, 2.0, NAN, "a");
    add(place, 1, code, 1.0, NAN, "a");
    add(IOL_AT_plan_assumptions, 0, code, 1.0, NAN, "a");
    add(place, 0, IOL_NOTE_axis_zero, 1.0, NAN, "a");
    assert_int_equal(notes.count, 8);
    assert_int_equal(iol_note_find(&notes, place, 1, 0), 5);
    assert_int_equal(iol_note_find(&notes, place, 1, 6), -1);
    assert_int_equal(iol_note_find(&notes, place, 0, 1), 1);
    notes.off = true;
    add(place, 2, code, 9.0, NAN, NULL);
    assert_int_equal(notes.count, 8);
}

static void test_too_many(void **state) {
    (void)state;
    notes = (iol_notes){.count = 0};
    for (int i = 0; i < IOL_NOTES_MOST; i++) add(IOL_AT_plan_cautions, 0, IOL_NOTE_unusual, i, NAN, NULL);
    assert_int_equal(notes.count, IOL_NOTES_MOST);
    assert_false(notes.lost);
    iol_notes_close(&notes);
    assert_int_equal(notes.item[IOL_NOTES_MOST - 1].code, IOL_NOTE_unusual);
    add(IOL_AT_plan_cautions, 0, IOL_NOTE_unusual, 0.0, NAN, NULL); /* held already: nothing is lost */
    assert_false(notes.lost);
    add(IOL_AT_plan_cautions, 0, IOL_NOTE_unusual, -1.0, NAN, NULL);
    assert_true(notes.lost);
    assert_int_equal(notes.count, IOL_NOTES_MOST);
    iol_notes_close(&notes);
    const iol_note *last = &notes.item[IOL_NOTES_MOST - 1];
    assert_int_equal(last->place, IOL_AT_plan_cautions);
    assert_int_equal(last->code, IOL_NOTE_notes_lost);
    CHECK_NAN(last->value);
    CHECK_NAN(last->limit);
    CHECK_NEAR(notes.item[IOL_NOTES_MOST - 2].value, IOL_NOTES_MOST - 2, 0.0, "the note before stands");
}

static void test_room(void **state) {
    (void)state;
    int list[3] = {0};
    bool lost = false;
    assert_true(iol_has_room(2, IOL_MOST(list), &lost));
    assert_false(lost);
    assert_false(iol_has_room(3, IOL_MOST(list), &lost));
    assert_true(lost);
}

/* Only a stop caution stops. */
static void test_stops(void **state) {
    (void)state;
    static iol_plan plan;
    assert_false(iol_plan_stops(&plan));
    iol_note_add(&plan.notes, IOL_AT_plan_cautions, 0, IOL_NOTE_unusual, 1.0, NAN, NULL);
    assert_int_not_equal(iol_note_rows[IOL_NOTE_unusual].severity, IOL_SEVERITY_stop);
    assert_false(iol_plan_stops(&plan));
    assert_int_equal(iol_note_rows[IOL_NOTE_alarm_pressure].severity, IOL_SEVERITY_stop);
    iol_note_add(&plan.notes, IOL_AT_plan_assumptions, 0, IOL_NOTE_alarm_pressure, 40.0, NAN, NULL);
    assert_false(iol_plan_stops(&plan)); /* not among the cautions */
    iol_note_add(&plan.notes, IOL_AT_plan_cautions, 0, IOL_NOTE_alarm_pressure, 40.0, NAN, NULL);
    assert_true(iol_plan_stops(&plan));
}

/* Every row of every list is there. */
static int rows_there(const iol_object *object, const void *at) {
    int rows = 0;
    for (int i = 0; i < object->count; i++) {
        const iol_field *f = &object->field[i];
        const char *inside = (const char *)at + f->offset;
        if (f->kind == IOL_KIND_PART) rows += rows_there(f->inside, inside);
        if (f->kind != IOL_KIND_LIST) continue;
        int count = *(const int *)(const void *)((const char *)at + f->count_offset);
        for (int k = 0; k < count; k++, rows++) {
            const void *row = inside + (size_t)k * f->inside->size;
            if (!*(const bool *)row) fail_msg("row %d of %s is not there", k, f->key);
            rows += rows_there(f->inside, row);
        }
    }
    return rows;
}

/* Every part of a plan is either there or named among what is left out. */
static void test_there_or_left_out(void **state) {
    (void)state;
    static iol_case c;
    static iol_plan plan;
    int there = 0, missing = 0;
    for (int e = 0; e < EXAMPLES; e++) {
        example_case(example_names[e], &c);
        iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
        assert_true(plan.present);
        assert_true(rows_there(iol_object_plan, &plan) > 20);
        assert_int_equal(plan.plan_format, 1); /* the contract */
        assert_string_equal(plan.program_version, IOLREVISE_VERSION);
        assert_string_equal(plan.case_ref, c.case_ref);
        assert_int_equal(plan.eye, c.eye);
#define PLAN_PART(key, needs)                                                                                          \
    {                                                                                                                  \
        const iol_field *f = iol_object_find(iol_object_plan, #key, strlen(#key));                                     \
        bool left = false;                                                                                             \
        for (int i = 0; i < plan.left_out_count; i++) left = left || strcmp(plan.left_out[i].part, #key) == 0;         \
        bool is = f->kind == IOL_KIND_PART ? *(const bool *)IOL_FIELD_AT(&plan, f)                                     \
                                           : *(const int *)(const void *)((const char *)&plan + f->count_offset) >= 0; \
        if (is == left) fail_msg("%s: %s is %s", example_names[e], #key, is ? "there and left out" : "neither");       \
        there += is, missing += left;                                                                                  \
    }
#include "parts.def"
#undef PLAN_PART
    }
    assert_true(there > 100 && missing > 5);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_each_once), cmocka_unit_test(test_too_many),
                                       cmocka_unit_test(test_room), cmocka_unit_test(test_stops),
                                       cmocka_unit_test(test_there_or_left_out)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
