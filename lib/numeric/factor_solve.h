/* lib/numeric/factor_solve.h: solving with a factor, written once for one right-hand side and for
   several side by side.

   A file that includes this has defined these, which are gone afterwards:

       REAL        of the right-hand side: a double, or a vector of them
       FUNCTION    what stands before every function, as `static`
       NAME(x)     the name of x for these two

   What is done, and in which order, is the same for all of them; so are the digits. */
#include "numeric/factor_columns.h"

FUNCTION void NAME(product_sum)(int32_t count, const double *v, const REAL *w, REAL *sum)
{
    REAL s0 = {0.0}, s1 = {0.0}, s2 = {0.0}, s3 = {0.0};
    int32_t i = 0;
    for (; i + 4 <= count; i += 4) {
        s0 += v[i] * w[i];
        s1 += v[i + 1] * w[i + 1];
        s2 += v[i + 2] * w[i + 2];
        s3 += v[i + 3] * w[i + 3];
    }
    for (; i < count; i++) {
        s0 += v[i] * w[i];
    }
    *sum = (s0 + s1) + (s2 + s3);
}

/* z = D^-1 L^-1 y, in place. Currents into the reference are nobody's concern: `below` is one row
   short of the block's. */
FUNCTION void NAME(solve_down)(const sl__factor *f, REAL *y, REAL *sum)
{
    const double *g = f->value, *q = f->inverse_pivot;
    const int32_t *row = f->below_row;
    REAL *z = y;
    for (const sl__factor_block *b = f->block, *end = b + f->blocks; b < end; b++) {
        int32_t width = b->width, below = b->below - 1, height = width + b->below;
        if (width == 1) {
            const REAL z0 = *z * *q++;
            *z++ = z0;
            for (int32_t i = 0; i < below; i++) {
                y[row[i]] += g[i + 1] * z0;
            }
            g += height;
            row += b->below;
            continue;
        }
        memset(sum, 0, (size_t)below * sizeof *sum);
        for (int32_t c = 0; c < width; c++) {
            const double *column = g + (int64_t)c * height;
            z[c] *= q[c];
            for (int32_t i = c + 1; i < width; i++) {
                z[i] += column[i] * z[c];
            }
        }
        NAME(add_columns)(below, width, z, g + width, height, sum);
        for (int32_t i = 0; i < below; i++) {
            y[row[i]] += sum[i];
        }
        z += width;
        q += width;
        g += (int64_t)width * height;
        row += b->below;
    }
}

/* x = L'^-1 z, in place. */
FUNCTION void NAME(solve_up)(const sl__factor *f, REAL *x, REAL *around)
{
    const double *g = f->value + f->values, *q = f->inverse_pivot + f->rows;
    const int32_t *row = f->below_row + f->below_rows;
    REAL *z = x + f->rows;
    for (const sl__factor_block *b = f->block + f->blocks; b-- > f->block;) {
        int32_t width = b->width, below = b->below - 1, height = width + b->below;
        row -= b->below;
        z -= width;
        q -= width;
        if (width == 1) {
            REAL sum = {0.0};
            g -= height;
            for (int32_t i = 0; i < below; i++) {
                sum += g[i + 1] * x[row[i]];
            }
            z[0] += q[0] * sum;
            continue;
        }
        for (int32_t i = 0; i < below; i++) {
            around[i] = x[row[i]];
        }
        for (int32_t c = width - 1; c >= 0; c--) {
            REAL within, beyond;
            g -= height;
            NAME(product_sum)(width - c - 1, g + c + 1, z + c + 1, &within);
            NAME(product_sum)(below, g + width, around, &beyond);
            z[c] += q[c] * (within + beyond);
        }
    }
}

/* Needs work[rows], and sum[rows], which may be x. */
FUNCTION void NAME(solve)(const sl__factor *f, const REAL *b, REAL *x, REAL *work, REAL *sum)
{
    for (int32_t k = 0; k < f->rows; k++) {
        work[k] = b[f->row_of[k]];
    }
    NAME(solve_down)(f, work, sum);
    NAME(solve_up)(f, work, sum);
    for (int32_t k = 0; k < f->rows; k++) {
        x[f->row_of[k]] = work[k];
    }
}

#undef REAL
#undef FUNCTION
#undef NAME
