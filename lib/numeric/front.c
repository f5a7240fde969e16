/* lib/numeric/front.c: blocked elimination. A panel of columns is finished first; what it adds to
   the columns after it is then one product of dense blocks, and there the time goes.

   The two loops that matter are in front_kernel.h, compiled for each width of vector. */
#include "numeric/front.h"

#include <string.h>

#include "numeric/lanes.h"

enum {
    PANEL = 48,   /* columns finished at a time: two strips of them stay in the first cache */
    STRIP = 16,   /* rows of a strip; a stride is a multiple of it */
    ACROSS = 4,   /* columns a strip is updated in at a time */
    TOGETHER = 4, /* columns of the panel added at a time while it is finished */
    LANES = 8     /* partial sums of a pivot, the same for every width */
};

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

/* c[STRIP rows][ACROSS columns] += sum over q < width of a[q][row] w[q][column], in that order. */
typedef void update_tile(int32_t width, const double *a, const double *w, double *c,
                         int32_t stride);

/* Finishes columns first .. first + width - 1; inverse[] receives the inverse pivots. */
typedef void finish_panel(double *g, int32_t stride, int32_t first, int32_t width, double *inverse);

typedef struct kernel {
    finish_panel *finish;
    update_tile *update;
} kernel;

#define LANES_KERNEL "numeric/front_kernel.h"
#include "numeric/each_width.h"

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
    sl__front_eliminate_with(sl__lane_kernels(), g, n, count, work);
}

void sl__front_eliminate_with(int32_t kernel_index, double *g, int32_t n, int32_t count,
                              double *work)
{
    const kernel with = SL__OF_WIDTH(kernel_index, kernel);
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
