/* Linked to the tests by tests/heavy/mutants.py. ASK_ONLY and ASK_SKIP: which tests of a program run. ASK_MAP: a file with a byte
 * for every address of the two libraries, the core first; those of the blocks that a process entered become 1, however it ends. */
#define _GNU_SOURCE
#include <fcntl.h>
#include <link.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

extern void cmocka_set_test_filter(const char *pattern) __attribute__((weak));
extern void cmocka_set_skip_filter(const char *pattern) __attribute__((weak));

enum { ROOM = 1 << 25 }; /* for each library */
typedef struct {
    uintptr_t begin, size;
} range; /* of the addresses that a library takes: the two may lie side by side */
static range core, cli;
static unsigned char *entered;

static int library(struct dl_phdr_info *info, size_t size, void *unused) {
    (void)size, (void)unused;
    range *of = strstr(info->dlpi_name, "/libcore.so") ? &core : strstr(info->dlpi_name, "/libcli.so") ? &cli : NULL;
    if (!of) return 0;
    of->begin = info->dlpi_addr;
    for (int i = 0; i < info->dlpi_phnum; i++) {
        const uintptr_t end = info->dlpi_phdr[i].p_vaddr + info->dlpi_phdr[i].p_memsz;
        if (info->dlpi_phdr[i].p_type == PT_LOAD && end > of->size) of->size = end < ROOM ? end : ROOM;
    }
    return 0;
}

static void map(const char *path) {
    int file = open(path, O_RDWR | O_CREAT, 0600);
    if (file < 0) return;
    if (ftruncate(file, 2 * (off_t)ROOM) == 0) {
        void *all = mmap(NULL, 2 * (size_t)ROOM, PROT_READ | PROT_WRITE, MAP_SHARED, file, 0);
        if (all != MAP_FAILED) entered = all;
    }
    close(file);
}

__attribute__((constructor)) static void ask(void) {
    const char *only = getenv("ASK_ONLY"), *skip = getenv("ASK_SKIP"), *path = getenv("ASK_MAP");
    if (only && cmocka_set_test_filter) cmocka_set_test_filter(only);
    if (skip && cmocka_set_skip_filter) cmocka_set_skip_filter(skip);
    if (!path) return;
    dl_iterate_phdr(library, NULL);
    map(path);
}

void __sanitizer_cov_trace_pc(void) {
    if (!entered) return;
    uintptr_t at = (uintptr_t)__builtin_return_address(0);
    if (at - core.begin < core.size) entered[at - core.begin] = 1;
    else if (at - cli.begin < cli.size) entered[ROOM + (at - cli.begin)] = 1;
}
