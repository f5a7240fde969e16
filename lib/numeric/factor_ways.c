/* lib/numeric/factor_ways.c: which blocks a solve for a few rows goes through: those of the rows,
   and all that come after them in the tree. */
#include "numeric/factor_internal.h"

#include <stdbool.h>

int32_t sl__factor_blocks(const sl__factor *f)
{
    return f->blocks;
}

void sl__factor_mark_ways(const sl__factor *f, int32_t count, const int32_t *row, int way,
                          int32_t *work, uint8_t *ways)
{
    for (int32_t r = 0; r < f->rows; r++) {
        work[r] = 0;
    }
    for (int32_t n = 0; n < count; n++) {
        if (row[n] >= 0) {
            work[row[n]] = 1;
        }
    }
    /* Blocks ascend, and the first row below one is the column that comes after it. */
    const int32_t *below = f->below_row;
    int32_t first = 0;
    for (int32_t b = 0; b < f->blocks; b++) {
        const sl__factor_block *block = &f->block[b];
        bool on = false;
        for (int32_t k = first; k < first + block->width; k++) {
            on = on || work[f->row_of[k]];
        }
        if (on) {
            ways[b] = (uint8_t)(ways[b] | way);
            if (below[0] < f->rows) {
                work[f->row_of[below[0]]] = 1;
            }
        }
        first += block->width;
        below += block->below;
    }
}
