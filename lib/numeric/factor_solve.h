/* lib/numeric/factor_solve.h: solving with a factor, written once for one right-hand side and for
   several side by side.

   A file that includes this has defined these, which are gone afterwards unless KEEP is defined:

       VALUE       of the factor: a double, or a vector of them: one for each of several networks
       REAL        of the right-hand side: a double, or a vector of them
       FUNCTION    what stands before every function, as `static`
       NAME(x)     the name of x for these two

   What is done, and in which order, is the same for all of them; so are the digits. */

/* A pattern and the numbers upon it. */
typedef struct NAME(figures) {
    const sl__factor *f;
    VALUE *value, *inverse_pivot; /* as in sl__factor */
    REAL *work, *sum;
    const uint8_t *ways; /* of blocks, as in factor.h; NULL: all of them */
} NAME(figures);

/* to[i] += sum of weight[c] * column c, row i. Four columns at a time: the sum then stays in a
   register for as many steps, and loads no longer bound the speed. */
FUNCTION void NAME(add_columns)(int32_t rows, int32_t columns, const REAL *weight,
                                const VALUE *from, int64_t stride, REAL *restrict to)
{
    int32_t c = 0;
    for (; c + 4 <= columns; c += 4, from += 4 * stride) {
        const VALUE *f0 = from, *f1 = f0 + stride, *f2 = f1 + stride, *f3 = f2 + stride;
        const REAL w0 = weight[c], w1 = weight[c + 1], w2 = weight[c + 2], w3 = weight[c + 3];
        for (int32_t i = 0; i < rows; i++) {
            to[i] += (w0 * f0[i] + w1 * f1[i]) + (w2 * f2[i] + w3 * f3[i]);
        }
    }
    for (; c < columns; c++, from += stride) {
        const REAL w = weight[c];
        for (int32_t i = 0; i < rows; i++) {
            to[i] += w * from[i];
        }
    }
}

FUNCTION void NAME(product_sum)(int32_t count, const VALUE *v, const REAL *w, REAL *sum)
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
FUNCTION void NAME(solve_down)(NAME(figures) * n, REAL *y)
{
    const sl__factor *f = n->f;
    const VALUE *g = n->value, *q = n->inverse_pivot;
    const int32_t *row = f->below_row;
    REAL *z = y;
    for (const sl__factor_block *b = f->block, *end = b + f->blocks; b < end; b++) {
        int32_t width = b->width, below = b->below - 1, height = width + b->below;
        if (n->ways && !(n->ways[b - f->block] & SL__WAY_IN)) {
            z += width;
            q += width;
            g += (int64_t)width * height;
            row += b->below;
            continue;
        }
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
        memset(n->sum, 0, (size_t)below * sizeof *n->sum);
        for (int32_t c = 0; c < width; c++) {
            const VALUE *column = g + (int64_t)c * height;
            z[c] *= q[c];
            for (int32_t i = c + 1; i < width; i++) {
                z[i] += column[i] * z[c];
            }
        }
        NAME(add_columns)(below, width, z, g + width, height, n->sum);
        for (int32_t i = 0; i < below; i++) {
            y[row[i]] += n->sum[i];
        }
        z += width;
        q += width;
        g += (int64_t)width * height;
        row += b->below;
    }
}

/* x = L'^-1 z, in place. */
FUNCTION void NAME(solve_up)(NAME(figures) * n, REAL *x)
{
    const sl__factor *f = n->f;
    const VALUE *g = n->value + f->values, *q = n->inverse_pivot + f->rows;
    const int32_t *row = f->below_row + f->below_rows;
    REAL *z = x + f->rows;
    for (const sl__factor_block *b = f->block + f->blocks; b-- > f->block;) {
        int32_t width = b->width, below = b->below - 1, height = width + b->below;
        row -= b->below;
        z -= width;
        q -= width;
        if (n->ways && !(n->ways[b - f->block] & SL__WAY_OUT)) {
            g -= (int64_t)width * height;
            continue;
        }
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
            n->sum[i] = x[row[i]];
        }
        for (int32_t c = width - 1; c >= 0; c--) {
            REAL within, beyond;
            g -= height;
            NAME(product_sum)(width - c - 1, g + c + 1, z + c + 1, &within);
            NAME(product_sum)(below, g + width, n->sum, &beyond);
            z[c] += q[c] * (within + beyond);
        }
    }
}

FUNCTION void NAME(solve)(NAME(figures) * n, const REAL *b, REAL *x)
{
    const sl__factor *f = n->f;
    for (int32_t k = 0; k < f->rows; k++) {
        n->work[k] = b[f->row_of[k]];
    }
    NAME(solve_down)(n, n->work);
    NAME(solve_up)(n, n->work);
    for (int32_t k = 0; k < f->rows; k++) {
        x[f->row_of[k]] = n->work[k];
    }
}

#ifndef KEEP
#undef VALUE
#undef REAL
#undef FUNCTION
#undef NAME
#endif
#undef KEEP
