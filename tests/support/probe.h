/* tests/support/probe.h: an allocator that counts, checks what it is told, and fails when asked. A
   wrong old size, a write past the end or a double free ends the program with a message. */
#ifndef SL_SUPPORT_PROBE_H
#define SL_SUPPORT_PROBE_H

#include "strapline/base.h"

#define PROBE_NEVER SIZE_MAX

typedef struct alloc_probe {
    size_t calls;   /* blocks asked for, new or grown, so far */
    size_t fail_at; /* the call that fails, counted from 0; every other one is served */
    size_t live_blocks, live_bytes, peak_bytes;
} alloc_probe;

/* Starts counting anew and gives the allocator; the probe must stay where it is. */
sl_alloc probe_start(alloc_probe *probe, size_t fail_at);

#endif
