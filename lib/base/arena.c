/* lib/base/arena.c: blocks in a list, each filled from its start. */
#include "base/arena.h"

#include <string.h>

#include "base/memory.h"

#define BLOCK_BYTES ((size_t)16384)

struct sl__arena_block {
    sl__arena_block *next;
    size_t used, room; /* bytes of data */
    max_align_t data[];
};

void *sl__arena_take(sl__arena *arena, int32_t count, size_t size)
{
    size_t bytes = ((size_t)count * size + sizeof(max_align_t) - 1) / sizeof(max_align_t) *
                   sizeof(max_align_t);
    sl__arena_block *block = arena->blocks;
    if (!block || block->room - block->used < bytes) {
        size_t room = bytes > BLOCK_BYTES ? bytes : BLOCK_BYTES;
        block = arena->failed ? NULL : sl__new(arena->al, 1, sizeof *block + room);
        if (!block) {
            arena->failed = true;
            return NULL;
        }
        *block = (sl__arena_block){arena->blocks, 0, room};
        arena->blocks = block;
    }
    void *array = (char *)block->data + block->used;
    block->used += bytes;
    return array;
}

void sl__arena_clear(sl__arena *arena)
{
    while (arena->blocks) {
        sl__arena_block *next = arena->blocks->next;
        sl__free(arena->al, arena->blocks, 1, sizeof *arena->blocks + arena->blocks->room);
        arena->blocks = next;
    }
    arena->failed = false;
}
