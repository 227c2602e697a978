/* cJSON's memory: one stack of bytes a thread, emptied after each case. */
#include <cJSON.h>
#include <stdlib.h>

#include "arena.h"

enum { ALIGN = 16 };

static _Thread_local iol_arena *mine;

static void *take(size_t size) {
    iol_arena *arena = mine;
    if (!arena) return malloc(size);
    size_t need = (size + ALIGN - 1) / ALIGN * ALIGN;
    if (need > arena->size - arena->used) return NULL;
    void *at = arena->bytes + arena->used;
    arena->used += need;
    return at;
}

static void give(void *at) {
    if (!mine) free(at);
}

static _Thread_local bool lacked;

static void *take_or_note(size_t size) {
    void *at = take(size);
    if (!at) lacked = true;
    return at;
}

bool iol_arena_lacked(void) { return lacked; }

void iol_arena_hook(void) {
    cJSON_Hooks hooks = {take_or_note, give};
    cJSON_InitHooks(&hooks);
}

bool iol_arena_start(iol_arena *arena, size_t size) {
    *arena = (iol_arena){malloc(size), size, 0};
    mine = arena->bytes ? arena : NULL;
    return arena->bytes != NULL;
}

void iol_arena_empty(iol_arena *arena) { arena->used = 0; }

void iol_arena_end(iol_arena *arena) {
    mine = NULL;
    free(arena->bytes);
}
