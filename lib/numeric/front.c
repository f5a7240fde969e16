/* lib/numeric/front.c: blocked elimination. A panel of columns is finished first; what it adds to
   the columns after it is then one product of dense blocks, and there the time goes.

   The two loops that matter are written once, in vectors of the compiler, and compiled for each
   width the processor may have. */
#include "numeric/front.h"

#include <string.h>

enum {
    PANEL = 48,   /* columns finished at a time: two strips of them stay in the first cache */
    STRIP = 16,   /* rows of a strip; a stride is a multiple of it */
    ACROSS = 4,   /* columns a strip is updated in at a time */
    TOGETHER = 4, /* columns of the panel added at a time while it is finished */
    LANES = 8     /* partial sums of a pivot, the same for every width */
};

#if defined(__GNUC__)
#define ALWAYS_INLINE inline __attribute__((always_inline))
#else
#define ALWAYS_INLINE inline
#endif

int32_t sl__front_stride(int32_t n)
{
    return (n + STRIP - 1) / STRIP * STRIP;
}

static int32_t columns_of(int32_t n)
{
    return (n + ACROSS - 1) / ACROSS * ACROSS;
}

size_t sl__front_size(int32_t n)
{
    return (size_t)sl__front_stride(n) * (size_t)columns_of(n);
}

/* From the strip of the diagonal on: nothing above it is touched. */
void sl__front_clear(double *g, int32_t n)
{
    const int32_t stride = sl__front_stride(n);
    for (int32_t c = 0; c < columns_of(n); c++) {
        const int32_t from = c - c % STRIP;
        memset(g + (ptrdiff_t)c * stride + from, 0, (size_t)(stride - from) * sizeof *g);
    }
}

void sl__front_copy_left(const double *g, int32_t n, int32_t gone, double *to)
{
    const int32_t stride = sl__front_stride(n), left = n - gone;
    const int32_t to_stride = sl__front_stride(left);
    for (int32_t c = 0; c < left; c++) {
        memcpy(to + (ptrdiff_t)c * to_stride + c + 1,
               g + (ptrdiff_t)(c + gone) * stride + c + gone + 1,
               (size_t)(left - c - 1) * sizeof *to);
    }
}

size_t sl__front_work(int32_t n)
{
    return (size_t)PANEL * ((size_t)columns_of(n) + STRIP + 1);
}

double sl__front_cost(int32_t n, int32_t count)
{
    const double all = n, left = (double)n - count;
    return (all * all * all - left * left * left) / 6.0;
}

/* The sum of column[from .. stride), in LANES partial sums that are added in pairs. */
static ALWAYS_INLINE double column_sum(const double *column, int32_t from, int32_t stride)
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
static ALWAYS_INLINE void add_before(double *panel, int32_t stride, int32_t row, int32_t before,
                                     const double *inverse)
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
static ALWAYS_INLINE void finish_panel(double *g, int32_t stride, int32_t first, int32_t width,
                                       double *inverse)
{
    double *panel = g + (ptrdiff_t)first * stride;
    for (int32_t c = 0; c < width; c++) {
        add_before(panel, stride, first + c, c, inverse);
        const double pivot = column_sum(panel + (ptrdiff_t)c * stride, first + c + 1, stride);
        inverse[c] = pivot > 0.0 ? 1.0 / pivot : 0.0;
    }
}

/* c[STRIP rows][ACROSS columns] += sum over q < width of a[q][row] w[q][column], in that order. */
typedef void update_tile(int32_t width, const double *a, const double *w, double *c,
                         int32_t stride);
typedef void finish(double *g, int32_t stride, int32_t first, int32_t width, double *inverse);

typedef struct kernel {
    finish *finish;
    update_tile *update;
} kernel;

#if defined(__GNUC__)
/* Two vectors down and ACROSS columns: eight sums in registers. */
#define KERNEL(name, lanes, target)                                                                \
    typedef double name##_vector __attribute__((vector_size(8 * (lanes)), aligned(8), may_alias)); \
    target static void name##_update(int32_t width, const double *a, const double *w, double *c,   \
                                     int32_t stride)                                               \
    {                                                                                              \
        for (int32_t r = 0; r < STRIP; r += 2 * (lanes)) {                                         \
            name##_vector sum[ACROSS][2];                                                          \
            for (int32_t k = 0; k < ACROSS; k++) {                                                 \
                double *at = c + (ptrdiff_t)k * stride + r;                                        \
                sum[k][0] = *(name##_vector *)at;                                                  \
                sum[k][1] = *(name##_vector *)(at + (lanes));                                      \
            }                                                                                      \
            for (int32_t q = 0; q < width; q++) {                                                  \
                const double *from = a + (ptrdiff_t)q * STRIP + r;                                 \
                const name##_vector upper = *(const name##_vector *)from;                          \
                const name##_vector lower = *(const name##_vector *)(from + (lanes));              \
                for (int32_t k = 0; k < ACROSS; k++) {                                             \
                    const double by = w[(ptrdiff_t)q * ACROSS + k];                                \
                    sum[k][0] += upper * by;                                                       \
                    sum[k][1] += lower * by;                                                       \
                }                                                                                  \
            }                                                                                      \
            for (int32_t k = 0; k < ACROSS; k++) {                                                 \
                double *at = c + (ptrdiff_t)k * stride + r;                                        \
                *(name##_vector *)at = sum[k][0];                                                  \
                *(name##_vector *)(at + (lanes)) = sum[k][1];                                      \
            }                                                                                      \
        }                                                                                          \
    }                                                                                              \
    target static void name##_finish(double *g, int32_t stride, int32_t first, int32_t width,      \
                                     double *inverse)                                              \
    {                                                                                              \
        finish_panel(g, stride, first, width, inverse);                                            \
    }
#define PLAIN

KERNEL(plain, 2, PLAIN)
#if defined(__x86_64__)
KERNEL(avx2, 4, __attribute__((target("avx2"))))
KERNEL(avx512, 8, __attribute__((target("avx512f"))))
#endif

#else
static void plain_update(int32_t width, const double *a, const double *w, double *c, int32_t stride)
{
    for (int32_t q = 0; q < width; q++) {
        for (int32_t k = 0; k < ACROSS; k++) {
            for (int32_t r = 0; r < STRIP; r++) {
                c[(ptrdiff_t)k * stride + r] +=
                    a[(ptrdiff_t)q * STRIP + r] * w[(ptrdiff_t)q * ACROSS + k];
            }
        }
    }
}

static void plain_finish(double *g, int32_t stride, int32_t first, int32_t width, double *inverse)
{
    finish_panel(g, stride, first, width, inverse);
}
#endif

/* The narrowest first; every processor has that one. */
static kernel kernel_at(int32_t index)
{
#if defined(__GNUC__) && defined(__x86_64__)
    const kernel wide[] = {{avx2_finish, avx2_update}, {avx512_finish, avx512_update}};
    if (index > 0) {
        return wide[index - 1];
    }
#endif
    (void)index;
    return (kernel){plain_finish, plain_update};
}

int32_t sl__front_kernels(void)
{
#if defined(__GNUC__) && defined(__x86_64__)
    return !__builtin_cpu_supports("avx2") ? 1 : !__builtin_cpu_supports("avx512f") ? 2 : 3;
#else
    return 1;
#endif
}

/* Rows of the panel over their pivots, for the columns from `from` on, ACROSS side by side; 0 where
   there is no such column. */
static void pack_quotients(const double *panel, int32_t n, int32_t stride, int32_t from,
                           int32_t width, const double *inverse, double *w)
{
    for (int32_t j = from - from % ACROSS; j < columns_of(n); j += ACROSS) {
        for (int32_t q = 0; q < width; q++) {
            for (int32_t k = 0; k < ACROSS; k++) {
                const bool there = j + k >= from && j + k < n;
                *w++ = there ? panel[(ptrdiff_t)q * stride + j + k] * inverse[q] : 0.0;
            }
        }
    }
}

/* STRIP rows of the panel side by side; 0 above `from`. */
static void pack_strip(const double *panel, int32_t stride, int32_t row, int32_t from,
                       int32_t width, double *a)
{
    for (int32_t q = 0; q < width; q++) {
        memcpy(a, panel + (ptrdiff_t)q * stride + row, STRIP * sizeof *a);
        for (int32_t k = 0; k < STRIP && row + k < from; k++) {
            a[k] = 0.0;
        }
        a += STRIP;
    }
}

void sl__front_eliminate(double *g, int32_t n, int32_t count, double *work)
{
    sl__front_eliminate_with(sl__front_kernels() - 1, g, n, count, work);
}

void sl__front_eliminate_with(int32_t kernel_index, double *g, int32_t n, int32_t count,
                              double *work)
{
    const kernel with = kernel_at(kernel_index);
    const int32_t stride = sl__front_stride(n);
    double *inverse = work, *a = inverse + PANEL, *w = a + (ptrdiff_t)PANEL * STRIP;
    for (int32_t first = 0; first < count; first += PANEL) {
        const int32_t width = count - first < PANEL ? count - first : PANEL;
        const int32_t from = first + width, start = from - from % ACROSS;
        const double *panel = g + (ptrdiff_t)first * stride;
        with.finish(g, stride, first, width, inverse);
        pack_quotients(panel, n, stride, from, width, inverse, w);
        for (int32_t row = from - from % STRIP; row < stride; row += STRIP) {
            pack_strip(panel, stride, row, from, width, a);
            for (int32_t j = start; j < n && j < row + STRIP; j += ACROSS) {
                with.update(width, a, w + (ptrdiff_t)(j - start) * width,
                            g + (ptrdiff_t)j * stride + row, stride);
            }
        }
    }
}
