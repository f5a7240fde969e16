/* tests/support/probe.c: each block lies between a head, with its size, and a tail of known bytes.
   Growing always moves, so a pointer kept for too long is found by a sanitizer. */
#include "probe.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define HEAD_MARK ((size_t)0x5ca1ab1e)
#define GUARD_BYTE 0xa5
#define FREED_BYTE 0xdd
enum { GUARD_BYTES = 16 };

typedef struct head {
    size_t bytes, mark;
    max_align_t data[];
} head;

static _Noreturn void broken(const char *what)
{
    fprintf(stderr, "probe: %s\n", what);
    abort();
}

static head *head_of(void *block)
{
    return (head *)(void *)((char *)block - offsetof(head, data));
}

static void release(alloc_probe *probe, void *block, size_t old_bytes)
{
    head *h = head_of(block);
    if (h->mark != HEAD_MARK) {
        broken("not a live block");
    }
    if (h->bytes != old_bytes) {
        broken("the size of a block is not the one it was made with");
    }
    const unsigned char *tail = (unsigned char *)h->data + old_bytes;
    for (int i = 0; i < GUARD_BYTES; i++) {
        if (tail[i] != GUARD_BYTE) {
            broken("a write past the end of a block");
        }
    }
    probe->live_blocks--;
    probe->live_bytes -= old_bytes;
    memset(h, FREED_BYTE, sizeof *h + old_bytes);
    free(h);
}

static void *take(alloc_probe *probe, size_t bytes)
{
    head *h = malloc(sizeof *h + bytes + GUARD_BYTES);
    if (!h) {
        broken("out of memory");
    }
    *h = (head){bytes, HEAD_MARK};
    memset((unsigned char *)h->data + bytes, GUARD_BYTE, GUARD_BYTES);
    probe->live_blocks++;
    probe->live_bytes += bytes;
    if (probe->live_bytes > probe->peak_bytes) {
        probe->peak_bytes = probe->live_bytes;
    }
    return h->data;
}

static void *resize(void *user, void *block, size_t old_bytes, size_t new_bytes)
{
    alloc_probe *probe = user;
    if (!block && old_bytes) {
        broken("an old size without a block");
    }
    if (new_bytes == 0) {
        if (block) {
            release(probe, block, old_bytes);
        }
        return NULL;
    }
    if (probe->calls++ == probe->fail_at) {
        return NULL;
    }
    void *grown = take(probe, new_bytes);
    if (block) {
        memcpy(grown, block, old_bytes < new_bytes ? old_bytes : new_bytes);
        release(probe, block, old_bytes);
    }
    return grown;
}

sl_alloc probe_start(alloc_probe *probe, size_t fail_at)
{
    *probe = (alloc_probe){.fail_at = fail_at};
    return (sl_alloc){resize, probe};
}
