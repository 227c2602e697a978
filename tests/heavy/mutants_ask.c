/* Linked to the tests by tests/heavy/mutants.py. ASK_ONLY and ASK_SKIP: which tests of a program run. ASK_MAP: a folder;
 * the functions of ours that the process entered are written there, one a line: library, place behind its start. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

extern void cmocka_set_test_filter(const char *pattern) __attribute__((weak));
extern void cmocka_set_skip_filter(const char *pattern) __attribute__((weak));

enum { SLOTS = 1 << 16 };
static void *entered[SLOTS];
static const char *folder;

__attribute__((constructor)) static void ask(void) {
    const char *only = getenv("ASK_ONLY"), *skip = getenv("ASK_SKIP");
    if (only && cmocka_set_test_filter) cmocka_set_test_filter(only);
    if (skip && cmocka_set_skip_filter) cmocka_set_skip_filter(skip);
    folder = getenv("ASK_MAP");
}

__attribute__((destructor)) static void tell(void) {
    char path[4096];
    if (!folder) return;
    snprintf(path, sizeof path, "%s/%ld", folder, (long)getpid());
    FILE *out = fopen(path, "a");
    if (!out) return;
    for (int i = 0; i < SLOTS; i++) {
        Dl_info where;
        if (entered[i] && dladdr(entered[i], &where))
            fprintf(out, "%s\t%lx\n", where.dli_fname, (unsigned long)((char *)entered[i] - (char *)where.dli_fbase));
    }
    fclose(out);
}

void __cyg_profile_func_enter(void *function, void *from) {
    (void)from;
    if (!folder) return;
    for (uintptr_t i = (uintptr_t)function * 2654435761u >> 7;; i++) {
        void **slot = &entered[i % SLOTS];
        if (*slot == function) return;
        if (!*slot) {
            *slot = function;
            return;
        }
    }
}

void __cyg_profile_func_exit(void *function, void *from) {
    (void)function;
    (void)from;
}
