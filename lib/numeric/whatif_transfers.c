/* lib/numeric/whatif_transfers.c: what 1 A through each of many branches does to each of many
   readings. */
#include <string.h>

#include "numeric/factor_internal.h"
#include "numeric/whatif.h"

static void enter(double *b, int32_t row, int32_t lane, double amp)
{
    if (row >= 0) {
        b[(ptrdiff_t)row * SL__LANES + lane] += amp;
    }
}

/* The differences for `now` readings, `apart` from one pair to the next; the reference is the last
   row of x, at 0 V. */
#define KERNELS(name, target, lanes)                                                               \
    typedef double name##_vector __attribute__((vector_size(8 * (lanes)), aligned(8), may_alias)); \
    target static void name##_eight(const double *x, int32_t rows, int32_t pairs,                  \
                                    const int32_t *from, const int32_t *to, ptrdiff_t apart,       \
                                    double *w)                                                     \
    {                                                                                              \
        for (int32_t k = 0; k < pairs; k++, w += apart) {                                          \
            const double *a = x + (ptrdiff_t)(from[k] < 0 ? rows : from[k]) * SL__LANES;           \
            const double *b = x + (ptrdiff_t)(to[k] < 0 ? rows : to[k]) * SL__LANES;               \
            for (int32_t l = 0; l < SL__LANES; l += (lanes)) {                                     \
                *(name##_vector *)(w + l) =                                                        \
                    *(const name##_vector *)(a + l) - *(const name##_vector *)(b + l);             \
            }                                                                                      \
        }                                                                                          \
    }
#define EVERYWHERE
KERNELS(apart, EVERYWHERE, 2)
#ifdef SL__WIDE_KERNELS
KERNELS(apart_avx2, SL__AVX2, 4)
KERNELS(apart_avx512, SL__AVX512, 8)
#endif

static void differences(const double *x, int32_t rows, int32_t now, int32_t pairs,
                        const int32_t *from, const int32_t *to, int32_t apart, double *w)
{
    const int32_t kernel = sl__lane_kernels();
    if (now == SL__LANES) {
#define EIGHT(variant) variant##_eight(x, rows, pairs, from, to, apart, w)
        SL__CHOOSE(EIGHT, apart)
#undef EIGHT
        return;
    }
    for (int32_t k = 0; k < pairs; k++) {
        const double *a = x + (ptrdiff_t)(from[k] < 0 ? rows : from[k]) * SL__LANES;
        const double *b = x + (ptrdiff_t)(to[k] < 0 ? rows : to[k]) * SL__LANES;
        for (int32_t l = 0; l < now; l++) {
            w[(ptrdiff_t)k * apart + l] = a[l] - b[l];
        }
    }
}

void sl__whatif_transfers(const sl__factor *f, int32_t readings, const int32_t *plus,
                          const int32_t *minus, int32_t pairs, const int32_t *from,
                          const int32_t *to, double *w, double *work)
{
    const ptrdiff_t all = ((ptrdiff_t)f->rows + 1) * SL__LANES;
    double *x = work, *room = work + all;
    for (int32_t first = 0; first < readings; first += SL__LANES) {
        const int32_t now = readings - first < SL__LANES ? readings - first : SL__LANES;
        memset(x, 0, (size_t)all * sizeof *x);
        for (int32_t l = 0; l < now; l++) {
            enter(x, plus[first + l], l, 1.0);
            enter(x, minus[first + l], l, -1.0);
        }
        sl__factor_solve_lanes(f, x, x, room);
        differences(x, f->rows, now, pairs, from, to, readings, w + first);
    }
}
