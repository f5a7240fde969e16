/* lib/numeric/front_kernel.h: the two loops of front.c, included there for each width of vector.

   FRONT_NAME(x) is the name of x in this width, FRONT_TARGET an attribute, FRONT_WIDE the doubles
   in a vector. */

/* The sum of column[from .. stride), in LANES partial sums that are added in pairs. */
FRONT_TARGET static double FRONT_NAME(column_sum)(const double *column, int32_t from,
                                                  int32_t stride)
{
    double lane[LANES] = {0.0};
    int32_t r = from;
    for (; r % LANES != 0; r++) {
        lane[r % LANES] += column[r];
    }
    for (; r < stride; r += LANES) {
        for (int32_t k = 0; k < LANES; k++) {
            lane[k] += column[r + k];
        }
    }
    return ((lane[0] + lane[4]) + (lane[2] + lane[6])) +
           ((lane[1] + lane[5]) + (lane[3] + lane[7]));
}

/* Adds to a column of the panel what eliminating columns first .. before of the panel adds. */
FRONT_TARGET static void FRONT_NAME(add_before)(double *panel, int32_t stride, int32_t row,
                                                int32_t before, const double *inverse)
{
    double *column = panel + (ptrdiff_t)before * stride;
    int32_t q = 0;
    for (; q + TOGETHER <= before; q += TOGETHER) {
        const double *a = panel + (ptrdiff_t)q * stride;
        const double *b = a + stride, *c = b + stride, *d = c + stride;
        const double la = a[row] * inverse[q], lb = b[row] * inverse[q + 1];
        const double lc = c[row] * inverse[q + 2], ld = d[row] * inverse[q + 3];
        for (int32_t r = row + 1; r < stride; r++) {
            column[r] = (((column[r] + a[r] * la) + b[r] * lb) + c[r] * lc) + d[r] * ld;
        }
    }
    for (; q < before; q++) {
        const double *a = panel + (ptrdiff_t)q * stride;
        const double la = a[row] * inverse[q];
        for (int32_t r = row + 1; r < stride; r++) {
            column[r] += a[r] * la;
        }
    }
}

/* Finishes columns first .. first + width - 1; inverse[] receives the inverse pivots. */
FRONT_TARGET static void FRONT_NAME(finish)(double *g, int32_t stride, int32_t first, int32_t width,
                                            double *inverse)
{
    double *panel = g + (ptrdiff_t)first * stride;
    for (int32_t c = 0; c < width; c++) {
        FRONT_NAME(add_before)(panel, stride, first + c, c, inverse);
        const double pivot =
            FRONT_NAME(column_sum)(panel + (ptrdiff_t)c * stride, first + c + 1, stride);
        inverse[c] = pivot > 0.0 ? 1.0 / pivot : 0.0;
    }
}

typedef double FRONT_NAME(vector)
    __attribute__((vector_size(8 * FRONT_WIDE), aligned(8), may_alias));

/* Two vectors down and ACROSS columns: eight sums in registers. */
FRONT_TARGET static void FRONT_NAME(update)(int32_t width, const double *a, const double *w,
                                            double *c, int32_t stride)
{
    for (int32_t r = 0; r < STRIP; r += 2 * FRONT_WIDE) {
        FRONT_NAME(vector) sum[ACROSS][2];
        for (int32_t k = 0; k < ACROSS; k++) {
            double *at = c + (ptrdiff_t)k * stride + r;
            sum[k][0] = *(FRONT_NAME(vector) *)at;
            sum[k][1] = *(FRONT_NAME(vector) *)(at + FRONT_WIDE);
        }
        for (int32_t q = 0; q < width; q++) {
            const double *from = a + (ptrdiff_t)q * STRIP + r;
            const FRONT_NAME(vector) upper = *(const FRONT_NAME(vector) *)from;
            const FRONT_NAME(vector) lower = *(const FRONT_NAME(vector) *)(from + FRONT_WIDE);
            for (int32_t k = 0; k < ACROSS; k++) {
                const double by = w[(ptrdiff_t)q * ACROSS + k];
                sum[k][0] += upper * by;
                sum[k][1] += lower * by;
            }
        }
        for (int32_t k = 0; k < ACROSS; k++) {
            double *at = c + (ptrdiff_t)k * stride + r;
            *(FRONT_NAME(vector) *)at = sum[k][0];
            *(FRONT_NAME(vector) *)(at + FRONT_WIDE) = sum[k][1];
        }
    }
}

static const kernel FRONT_NAME(kernel) = {FRONT_NAME(finish), FRONT_NAME(update)};

#undef FRONT_NAME
#undef FRONT_TARGET
#undef FRONT_WIDE
