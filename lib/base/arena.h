/* lib/base/arena.h: many arrays that live and die together. */
#ifndef SL_BASE_ARENA_H
#define SL_BASE_ARENA_H

#include <stdbool.h>

#include "strapline/base.h"

typedef struct sl__arena_block sl__arena_block;

typedef struct sl__arena {
    const sl_alloc *al;
    sl__arena_block *blocks;
    bool failed; /* some array could not be had: look once, after taking them all */
} sl__arena;

/* A zeroed array, or NULL with `failed` set. */
void *sl__arena_take(sl__arena *arena, int32_t count, size_t size);

/* Frees every array; the arena can be used again. */
void sl__arena_clear(sl__arena *arena);

#endif
