/* lib/base/names.c: open addressing over a table that is at most half full. */
#include "base/names.h"

#include <string.h>

#include "base/memory.h"

/* FNV-1a, 32 bits. */
static uint32_t hash_of(const char *text)
{
    uint32_t h = 2166136261u;
    for (; *text; text++) {
        h = (h ^ (unsigned char)*text) * 16777619u;
    }
    return h;
}

/* The slot where a name is, or the free one where it would go. */
static int32_t slot_of(const sl__names *names, const char *text)
{
    uint32_t mask = (uint32_t)names->slots - 1;
    uint32_t s = hash_of(text) & mask;
    while (names->slot[s] && strcmp(names->text[names->slot[s] - 1], text) != 0) {
        s = (s + 1) & mask;
    }
    return (int32_t)s;
}

int32_t sl__names_find(const sl__names *names, const char *text)
{
    return names->slots ? names->slot[slot_of(names, text)] - 1 : -1;
}

/* Enters every name again into an empty table. */
static void index_again(sl__names *names)
{
    memset(names->slot, 0, (size_t)names->slots * sizeof *names->slot);
    for (int32_t i = 0; i < names->count; i++) {
        names->slot[slot_of(names, names->text[i])] = i + 1;
    }
}

/* Makes room for one more name. Both new blocks are in hand before anything changes. */
static sl_status make_room(const sl_alloc *al, sl__names *names)
{
    if (names->count < names->room) {
        return SL_OK;
    }
    int32_t room = names->room ? 2 * names->room : 16;
    char **text = sl__new(al, (size_t)room, sizeof *text);
    int32_t *slot = sl__new(al, 2 * (size_t)room, sizeof *slot);
    if (!text || !slot) {
        sl__free(al, text, (size_t)room, sizeof *text);
        sl__free(al, slot, 2 * (size_t)room, sizeof *slot);
        return SL_E_NOMEM;
    }
    for (int32_t i = 0; i < names->count; i++) {
        text[i] = names->text[i];
    }
    sl__free(al, names->text, (size_t)names->room, sizeof *names->text);
    sl__free(al, names->slot, (size_t)names->slots, sizeof *names->slot);
    *names = (sl__names){text, slot, names->count, room, 2 * room};
    index_again(names);
    return SL_OK;
}

sl_status sl__names_add(const sl_alloc *al, sl__names *names, const char *text, int32_t *out)
{
    if (make_room(al, names) != SL_OK) {
        return SL_E_NOMEM;
    }
    char *copy = sl__text_copy(al, text);
    if (!copy) {
        return SL_E_NOMEM;
    }
    names->text[names->count] = copy;
    names->slot[slot_of(names, text)] = names->count + 1;
    *out = names->count++;
    return SL_OK;
}

sl_status sl__names_rename(const sl_alloc *al, sl__names *names, int32_t index, const char *text)
{
    char *copy = sl__text_copy(al, text);
    if (!copy) {
        return SL_E_NOMEM;
    }
    sl__text_free(al, names->text[index]);
    names->text[index] = copy;
    index_again(names);
    return SL_OK;
}

void sl__names_truncate(const sl_alloc *al, sl__names *names, int32_t count)
{
    if (names->count <= count) {
        return;
    }
    while (names->count > count) {
        sl__text_free(al, names->text[--names->count]);
    }
    index_again(names);
}

void sl__names_free(const sl_alloc *al, sl__names *names)
{
    sl__names_truncate(al, names, 0);
    sl__free(al, names->text, (size_t)names->room, sizeof *names->text);
    sl__free(al, names->slot, (size_t)names->slots, sizeof *names->slot);
    *names = (sl__names){0};
}
