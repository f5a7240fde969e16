/* lib/numeric/factor_columns.h: what factor_eliminate.h and factor_solve.h both do with columns of
   a factor. They include it; REAL, FUNCTION and NAME are as factor_solve.h says. */

/* to[i] += sum of weight[c] * column c, row i. Four columns at a time: the sum then stays in a
   register for as many steps, and loads no longer bound the speed. */
FUNCTION void NAME(add_columns)(int32_t rows, int32_t columns, const REAL *weight,
                                const double *from, int64_t stride, REAL *restrict to)
{
    int32_t c = 0;
    for (; c + 4 <= columns; c += 4, from += 4 * stride) {
        const double *f0 = from, *f1 = f0 + stride, *f2 = f1 + stride, *f3 = f2 + stride;
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
