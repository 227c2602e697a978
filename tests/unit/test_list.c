/* Lists in words (src/text/list.c): our own rules; lengths counted by hand. */
#include "check.h"
#include "text/list.h"

static void adds_once(void **state) {
    (void)state;
    char list[40] = "";
    iol_list_add(list, sizeof list, "refraction with glasses", "");
    iol_list_add(list, sizeof list, "refraction", ""); /* part of another item is an item of its own */
    iol_list_add(list, sizeof list, "refraction", "");
    assert_string_equal(list, "refraction with glasses, refraction");
    iol_list_add(list, sizeof list, "", "");
    assert_string_equal(list, "refraction with glasses, refraction");
}

static void what_does_not_fit(void **state) {
    (void)state;
    char list[14] = ""; /* room for 13 */
    iol_list_add(list, sizeof list, "iris", ", more");
    assert_string_equal(list, "iris");
    iol_list_add(list, sizeof list, "ab", ", more"); /* with the rest behind it: 4 + 2 + 2 + 6 and the end: 15 */
    assert_string_equal(list, "iris, more");
    iol_list_add(list, sizeof list, "a", ", more"); /* nothing comes behind the rest */
    assert_string_equal(list, "iris, more");
    char wide[15] = "iris";
    iol_list_add(wide, sizeof wide, "ab", ", more");
    assert_string_equal(wide, "iris, ab");
    char silent[9] = "iris";
    iol_list_add(silent, sizeof silent, "abc", "");
    assert_string_equal(silent, "iris");
    iol_list_add(silent, sizeof silent, "ab", "");
    assert_string_equal(silent, "iris, ab");
}

static void each(void **state) {
    (void)state;
    char list[40] = "zonule";
    iol_list_add_each(list, sizeof list, "build of the lens, zonule", "");
    assert_string_equal(list, "zonule, build of the lens");
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(adds_once), cmocka_unit_test(what_does_not_fit),
                                       cmocka_unit_test(each)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
