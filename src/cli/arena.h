/* A stack of bytes for cJSON. Only the program may set cJSON's hooks: a library that does breaks its host. */
#ifndef IOL_CLI_ARENA_H
#define IOL_CLI_ARENA_H

#include <stdbool.h>
#include <stddef.h>

/* Room for the greatest case that is read, 1 MiB and 4096 values, which needs half of it. */
enum { IOL_ARENA_BYTES = 3 << 20 };

typedef struct {
    char *bytes;
    size_t size, used;
} iol_arena;

/* Once, before any thread starts: cJSON takes its memory from the arena of the thread it runs in, and none when that is
 * full; from malloc where the thread has no arena. */
void iol_arena_hook(void);
/* True once cJSON asked this thread in vain: what it could not parse may have been good. */
bool iol_arena_lacked(void);
/* The arena of this thread. */
bool iol_arena_start(iol_arena *arena, size_t size);
/* Nothing that was parsed before may be used afterwards. */
void iol_arena_empty(iol_arena *arena);
void iol_arena_end(iol_arena *arena);

#endif
