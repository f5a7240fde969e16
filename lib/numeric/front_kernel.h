/* lib/numeric/front_kernel.h: the two loops of front.c, for each width of vector (each_width.h). */

/* The sum of column[from .. stride), in LANES partial sums that are added in pairs. */
LANES_TARGET static double LANES_NAME(column_sum)(const double *column, int32_t from,
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
LANES_TARGET static void LANES_NAME(add_before)(double *panel, int32_t stride, int32_t row,
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
LANES_TARGET static void LANES_NAME(finish)(double *g, int32_t stride, int32_t first, int32_t width,
                                            double *inverse)
{
    double *panel = g + (ptrdiff_t)first * stride;
    for (int32_t c = 0; c < width; c++) {
        LANES_NAME(add_before)(panel, stride, first + c, c, inverse);
        const double pivot =
            LANES_NAME(column_sum)(panel + (ptrdiff_t)c * stride, first + c + 1, stride);
        inverse[c] = pivot > 0.0 ? 1.0 / pivot : 0.0;
    }
}

typedef double LANES_NAME(vector)
    __attribute__((vector_size(8 * LANES_WIDE), aligned(8), may_alias));

/* Two vectors down and ACROSS columns: eight sums in registers. */
LANES_TARGET static void LANES_NAME(update)(int32_t width, const double *a, const double *w,
                                            double *c, int32_t stride)
{
    for (int32_t r = 0; r < STRIP; r += 2 * LANES_WIDE) {
        LANES_NAME(vector) sum[ACROSS][2];
        for (int32_t k = 0; k < ACROSS; k++) {
            double *at = c + (ptrdiff_t)k * stride + r;
            sum[k][0] = *(LANES_NAME(vector) *)at;
            sum[k][1] = *(LANES_NAME(vector) *)(at + LANES_WIDE);
        }
        for (int32_t q = 0; q < width; q++) {
            const double *from = a + (ptrdiff_t)q * STRIP + r;
            const LANES_NAME(vector) upper = *(const LANES_NAME(vector) *)from;
            const LANES_NAME(vector) lower = *(const LANES_NAME(vector) *)(from + LANES_WIDE);
            for (int32_t k = 0; k < ACROSS; k++) {
                const double by = w[(ptrdiff_t)q * ACROSS + k];
                sum[k][0] += upper * by;
                sum[k][1] += lower * by;
            }
        }
        for (int32_t k = 0; k < ACROSS; k++) {
            double *at = c + (ptrdiff_t)k * stride + r;
            *(LANES_NAME(vector) *)at = sum[k][0];
            *(LANES_NAME(vector) *)(at + LANES_WIDE) = sum[k][1];
        }
    }
}

static const kernel LANES_NAME(kernel) = {LANES_NAME(finish), LANES_NAME(update)};
