/* lib/base/memory.c: allocation through one caller-chosen function, sizes checked for overflow. */
#include "base/memory.h"

#include <stdlib.h>
#include <string.h>

static void *default_resize(void *user, void *block, size_t old_bytes, size_t new_bytes)
{
    (void)user;
    (void)old_bytes;
    if (new_bytes == 0) {
        free(block);
        return NULL;
    }
    return realloc(block, new_bytes);
}

const sl_alloc sl__default_alloc = {default_resize, NULL};

/* Bytes of an array; 0 when the product overflows. An empty array takes one element. */
static size_t bytes_of(size_t count, size_t size)
{
    if (count == 0) {
        count = 1;
    }
    return size > SIZE_MAX / count ? 0 : count * size;
}

void *sl__take(const sl_alloc *al, size_t count, size_t size)
{
    size_t bytes = bytes_of(count, size);
    return bytes ? al->resize(al->user, NULL, 0, bytes) : NULL;
}

void *sl__new(const sl_alloc *al, size_t count, size_t size)
{
    void *block = sl__take(al, count, size);
    if (block) {
        memset(block, 0, bytes_of(count, size));
    }
    return block;
}

void *sl__grow(const sl_alloc *al, void *block, size_t old_count, size_t count, size_t size)
{
    size_t old_bytes = block ? bytes_of(old_count, size) : 0;
    size_t bytes = bytes_of(count, size);
    if (bytes == 0) {
        return NULL;
    }
    char *grown = al->resize(al->user, block, old_bytes, bytes);
    if (grown && bytes > old_bytes) {
        memset(grown + old_bytes, 0, bytes - old_bytes);
    }
    return grown;
}

void *sl__reserve(const sl_alloc *al, void *block, int32_t *room, int32_t need, size_t size)
{
    if (block && need <= *room) {
        return block;
    }
    if (need > INT32_MAX / 2 - 8) {
        return NULL;
    }
    int32_t wanted = block ? 2 * need : need + 8;
    void *grown = sl__grow(al, block, (size_t)*room, (size_t)wanted, size);
    if (grown) {
        *room = wanted;
    }
    return grown;
}

void sl__free(const sl_alloc *al, void *block, size_t count, size_t size)
{
    if (block) {
        al->resize(al->user, block, bytes_of(count, size), 0);
    }
}

char *sl__text_copy(const sl_alloc *al, const char *text)
{
    size_t bytes = strlen(text) + 1;
    char *copy = sl__new(al, bytes, 1);
    if (copy) {
        memcpy(copy, text, bytes);
    }
    return copy;
}

void sl__text_free(const sl_alloc *al, char *text)
{
    if (text) {
        sl__free(al, text, strlen(text) + 1, 1);
    }
}
