/* lib/base/memory.h: every allocation of the library goes through these. */
#ifndef SL_BASE_MEMORY_H
#define SL_BASE_MEMORY_H

#include "strapline/base.h"

/* The allocator used when the caller gives NULL: the C library's realloc and free. */
extern const sl_alloc sl__default_alloc;

/* A zeroed array of count elements of size bytes each; NULL when memory or the product of the
   sizes runs out. An array of no elements is still a block, so NULL always means failure. */
void *sl__new(const sl_alloc *al, size_t count, size_t size);

/* The same, not zeroed. */
void *sl__take(const sl_alloc *al, size_t count, size_t size);

/* Grows (or shrinks) a block from old_count to count elements; new elements are zeroed. NULL on
   failure, the old block still valid. */
void *sl__grow(const sl_alloc *al, void *block, size_t old_count, size_t count, size_t size);

/* A block with room for at least `need` elements: the same one, or a larger one with new elements
   zeroed and *room raised. NULL on failure, block and *room still valid. Doubles, so appending one
   at a time costs little. */
void *sl__reserve(const sl_alloc *al, void *block, int32_t *room, int32_t need, size_t size);

/* Frees a block made by sl__new or sl__grow with the same count and size. NULL is allowed. */
void sl__free(const sl_alloc *al, void *block, size_t count, size_t size);

/* A copy of a text, to be freed with sl__text_free. NULL when memory runs out. */
char *sl__text_copy(const sl_alloc *al, const char *text);
void sl__text_free(const sl_alloc *al, char *text);

#endif
