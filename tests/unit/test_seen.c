/* The set of digests of a part (src/cli/seen.c): each once, however many there are, with a few looks each. */
#include "check.h"

#include "cli/seen.h"

/* The inputs of a part: a few looks each, however many there are. */
static void inputs_of_parts(void **state) {
    (void)state;
    for (uint64_t n = 1000; n <= 100000; n *= 10) {
        iol_seen seen = {NULL};
        for (uint64_t i = 0; i < n; i++) {
            char name[32];
            size_t length = (size_t)snprintf(name, sizeof name, "cases.%llu", (unsigned long long)i);
            uint64_t digest = iol_digest(IOL_DIGEST_START, name, length);
            assert_int_equal(iol_seen_add(&seen, digest), IOL_SEEN_NEW);
            assert_int_equal(iol_seen_add(&seen, digest), IOL_SEEN_BEFORE);
        }
        assert_int_equal(seen.used, n);
        if (seen.probes > 8 * n)
            fail_msg("%llu looks for %llu inputs", (unsigned long long)seen.probes, (unsigned long long)n);
        iol_seen_end(&seen);
    }
}

/* A digest of 0 is one like any other. */
static void nought(void **state) {
    (void)state;
    iol_seen seen = {NULL};
    assert_int_equal(iol_seen_add(&seen, 0), IOL_SEEN_NEW);
    assert_int_equal(iol_seen_add(&seen, 0), IOL_SEEN_BEFORE);
    assert_int_equal(iol_seen_add(&seen, 2), IOL_SEEN_NEW);
    assert_int_equal(seen.used, 2);
    iol_seen_end(&seen);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(inputs_of_parts), cmocka_unit_test(nought)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
