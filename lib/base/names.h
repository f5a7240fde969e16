/* lib/base/names.h: names numbered in the order they come, found by hashing. */
#ifndef SL_BASE_NAMES_H
#define SL_BASE_NAMES_H

#include "strapline/base.h"

typedef struct sl__names {
    char **text;   /* [room], the first `count` in use */
    int32_t *slot; /* [slots], index + 1 of a name, 0 where free; slots is a power of two */
    int32_t count, room, slots;
} sl__names;

/* The number of a name, or -1. */
int32_t sl__names_find(const sl__names *names, const char *text);

/* Adds a name that is not there yet and gives its number. SL_OK or SL_E_NOMEM (unchanged). */
sl_status sl__names_add(const sl_alloc *al, sl__names *names, const char *text, int32_t *out);

/* Gives a number another name, which is not there yet or is its own. SL_OK or SL_E_NOMEM
   (unchanged). */
sl_status sl__names_rename(const sl_alloc *al, sl__names *names, int32_t index, const char *text);

/* Forgets every name from number `count` on. */
void sl__names_truncate(const sl_alloc *al, sl__names *names, int32_t count);

void sl__names_free(const sl_alloc *al, sl__names *names);

#endif
