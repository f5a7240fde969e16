/* lib/numeric/factor_lanes.c: several right-hand sides at once, one in each lane of a vector. */
#include <string.h>

#include "numeric/factor_internal.h"
#include "numeric/whatif.h"

/* Alignment is that of its elements, so that any array of doubles will do. */
typedef double lanes __attribute__((vector_size(SL__LANES * sizeof(double)), aligned(8)));

static void down(const sl__factor *f, lanes *y)
{
    const double *g = f->value, *q = f->inverse_pivot;
    const int32_t *row = f->below_row;
    lanes *z = y;
    for (const sl__factor_block *b = f->block, *end = b + f->blocks; b < end; b++) {
        int32_t width = b->width, below = b->below - 1;
        for (int32_t c = 0; c < width; c++, g += width + b->below) {
            lanes zc = z[c] *= q[c];
            for (int32_t i = c + 1; i < width; i++) {
                z[i] += g[i] * zc;
            }
            for (int32_t i = 0; i < below; i++) {
                y[row[i]] += g[width + i] * zc;
            }
        }
        z += width;
        q += width;
        row += b->below;
    }
}

static void up(const sl__factor *f, lanes *x)
{
    const double *g = f->value + f->values, *q = f->inverse_pivot + f->rows;
    const int32_t *row = f->below_row + f->below_rows;
    lanes *z = x + f->rows;
    for (const sl__factor_block *b = f->block + f->blocks; b-- > f->block;) {
        int32_t width = b->width, below = b->below - 1;
        row -= b->below;
        z -= width;
        q -= width;
        for (int32_t c = width - 1; c >= 0; c--) {
            lanes sum = {0};
            g -= width + b->below;
            for (int32_t i = c + 1; i < width; i++) {
                sum += g[i] * z[i];
            }
            for (int32_t i = 0; i < below; i++) {
                sum += g[width + i] * x[row[i]];
            }
            z[c] += q[c] * sum;
        }
    }
}

void sl__factor_solve_lanes(const sl__factor *f, const double *b, double *x, double *work)
{
    const size_t bytes = SL__LANES * sizeof *b;
    for (int32_t k = 0; k < f->rows; k++) {
        memcpy(work + (ptrdiff_t)k * SL__LANES, b + (ptrdiff_t)f->row_of[k] * SL__LANES, bytes);
    }
    down(f, (lanes *)(void *)work);
    up(f, (lanes *)(void *)work);
    for (int32_t k = 0; k < f->rows; k++) {
        memcpy(x + (ptrdiff_t)f->row_of[k] * SL__LANES, work + (ptrdiff_t)k * SL__LANES, bytes);
    }
}
