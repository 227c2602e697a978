/* Loaded before a program (LD_PRELOAD, glibc): memory runs out. SCARCE_AT=N refuses the Nth allocation alone, SCARCE_FROM=N that
 * and all behind it; a refusal makes the file SCARCE_MARK. */
#include <errno.h>
#include <fcntl.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

void *__libc_malloc(size_t size);
void *__libc_calloc(size_t count, size_t size);
void *__libc_realloc(void *at, size_t size);

static atomic_long calls;
static long at, from;
static const char *mark;

__attribute__((constructor)) static void start(void) {
    const char *a = getenv("SCARCE_AT"), *f = getenv("SCARCE_FROM");
    mark = getenv("SCARCE_MARK");
    at = a ? strtol(a, NULL, 10) : 0;
    from = f ? strtol(f, NULL, 10) : 0;
    atomic_store(&calls, 0);
}

static bool refused(void) {
    long call = atomic_fetch_add(&calls, 1) + 1;
    if (call != at && (from == 0 || call < from)) return false;
    int file = mark ? open(mark, O_WRONLY | O_CREAT, 0600) : -1;
    if (file >= 0) close(file);
    errno = ENOMEM;
    return true;
}

void *malloc(size_t size) { return refused() ? NULL : __libc_malloc(size); }
void *calloc(size_t count, size_t size) { return refused() ? NULL : __libc_calloc(count, size); }
void *realloc(void *old, size_t size) { return refused() ? NULL : __libc_realloc(old, size); }
