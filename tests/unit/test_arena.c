/* cJSON's memory in the program: whatever its capacity, a case is read to the same values or memory is said to be out; the greatest
 * text that is read at all finds room in the capacity that recheck takes. */
#include "case/reader.h"
#include "case_text.h"
#include "check.h"
#include "cli/arena.h"

enum { MOST = 1 << 20 };
static iol_case blank, wanted, c;
static iol_faults faults;
static char text[MOST + 1];

static bool read_in(iol_arena *arena, size_t capacity, size_t length) {
    assert_true(iol_arena_start(arena, capacity));
    return iol_case_read_in_arena(text, length, &blank, &c, &faults);
}

static void every_capacity(void **state) {
    (void)state;
    iol_arena arena;
    size_t length = (size_t)snprintf(text, sizeof text, WORKED_CASE, "srk-t"), needed;
    must_read_case(text, &wanted);
    iol_case_reset(&blank);
    iol_arena_hook();
    assert_true(read_in(&arena, MOST, length));
    needed = arena.used;
    iol_arena_end(&arena);
    assert_true(needed > 2048 && needed < 65536);
    for (size_t capacity = 0; capacity <= needed + 16; capacity += capacity < 256 ? 1 : 16) {
        bool good = read_in(&arena, capacity, length);
        if (good != (capacity >= needed))
            fail_msg("%zu bytes of %zu: %s", capacity, needed, good ? "read" : "not read");
        if (good)
            assert_memory_equal(&c, &wanted, sizeof c);
        else
            assert_true(iol_faults_no_memory(&faults) && iol_arena_lacked());
        assert_true(arena.used <= capacity);
        iol_arena_end(&arena);
    }
}

/* One after another in an arena that is emptied. */
static void emptied(void **state) {
    (void)state;
    iol_arena arena;
    size_t length = (size_t)snprintf(text, sizeof text, WORKED_CASE, "srk-t");
    iol_case_reset(&blank);
    iol_arena_hook();
    assert_true(iol_arena_start(&arena, 65536));
    for (int i = 0; i < 50; i++) {
        assert_true(iol_case_read_in_arena(text, length, &blank, &c, &faults));
        iol_arena_empty(&arena);
        assert_int_equal(arena.used, 0);
    }
    iol_arena_end(&arena);
}

/* Texts of a mebibyte that ask for the most: many keys, and long ones. */
static void greatest(void **state) {
    (void)state;
    iol_arena arena;
    iol_case_reset(&blank);
    iol_arena_hook();
    for (int longest = 0; longest < 2; longest++) {
        size_t used = 1, values = 4000, each = MOST / values - 8;
        text[0] = '{';
        for (size_t i = 0; i < values; i++) {
            int room = longest ? (int)(i == 0 ? MOST - 12 * (int)values - 100 : 1) : (int)each;
            used += (size_t)snprintf(text + used, sizeof text - used, "\"%0*zu\":\"\",", room > 6 ? room : 4, i);
        }
        text[used - 1] = '}';
        assert_true(used < MOST && used > MOST / 2);
        assert_false(read_in(&arena, IOL_ARENA_BYTES, used));
        assert_false(iol_faults_no_memory(&faults));
        assert_true(arena.used > MOST);
        iol_arena_end(&arena);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(every_capacity), cmocka_unit_test(emptied),
                                       cmocka_unit_test(greatest)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
