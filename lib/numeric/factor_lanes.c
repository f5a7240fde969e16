/* lib/numeric/factor_lanes.c: several solves at once, one in each lane of a vector. */
#include "numeric/factor_lanes.h"

#include <string.h>

#include "base/memory.h"
#include "numeric/factor_internal.h"

/* One network, several right-hand sides. */
#define VALUE double
#define REAL sl__lanes
#define FUNCTION static
#define NAME(x) sides_##x
#include "numeric/factor_solve.h"

/* Several networks. */
#define VALUE sl__lanes
#define REAL sl__lanes
#define FUNCTION static
#define NAME(x) nets_##x
#define KEEP
#include "numeric/factor_solve.h"

#include "numeric/factor_eliminate.h"

/* What each variant has of its own. */
#define INVERT(figures, name, count, target)                                                       \
    target static void count(int32_t rows, const sl__lanes *inverse_pivot, sl__lane_bits *zeros)   \
    {                                                                                              \
        const sl__lanes none = {0.0};                                                              \
        *zeros = (sl__lane_bits){0};                                                               \
        for (int32_t k = 0; k < rows; k++) {                                                       \
            *zeros -= inverse_pivot[k] == none;                                                    \
        }                                                                                          \
    }                                                                                              \
    target static void name(int32_t k, const sl__lanes *pivot, figures *n)                         \
    {                                                                                              \
        const sl__lanes none = {0.0};                                                              \
        n->inverse_pivot[k] =                                                                      \
            (sl__lanes)((sl__lane_bits)(1.0 / *pivot) & (sl__lane_bits)(*pivot > none));           \
    }
#define EVERYWHERE
INVERT(nets_figures, nets_invert, nets_count, EVERYWHERE)

#ifdef SL__WIDE_KERNELS
#define VALUE double
#define REAL sl__lanes
#define FUNCTION static SL__AVX512
#define NAME(x) sides_avx512_##x
#include "numeric/factor_solve.h"

#define VALUE sl__lanes
#define REAL sl__lanes
#define FUNCTION static SL__AVX512
#define NAME(x) nets_avx512_##x
#define KEEP
#include "numeric/factor_solve.h"

#include "numeric/factor_eliminate.h"

INVERT(nets_avx512_figures, nets_avx512_invert, nets_avx512_count, SL__AVX512)

/* Of these vectors half as wide as the lanes make more than they save: there the plain ones are
   quicker. */
#define sides_avx2_figures sides_figures
#define sides_avx2_solve sides_solve
#define nets_avx2_figures nets_figures
#define nets_avx2_eliminate nets_eliminate
#define nets_avx2_solve nets_solve
#define nets_avx2_count nets_count
#endif

struct sl__lane_factor {
    sl_alloc al;
    const sl__factor *f;
    int32_t kernel;
    double *room; /* of all below, which begin at a multiple of their size */
    size_t room_count;
    sl__lanes *value, *inverse_pivot; /* as in sl__factor */
    sl__lanes *work, *sum;            /* rows + 1 each */
};

sl_status sl__lane_factor_new(const sl__factor *f, sl__lane_factor **out)
{
    sl__lane_factor *w = sl__new(&f->al, 1, sizeof *w);
    if (!w) {
        return SL_E_NOMEM;
    }
    const size_t values = (size_t)f->values, rows = (size_t)f->rows;
    w->al = f->al;
    w->f = f;
    w->kernel = sl__lane_kernels();
    w->room_count = (values + 3 * rows + 3) * SL__LANES;
    w->room = sl__new(&w->al, w->room_count, sizeof *w->room);
    if (!w->room) {
        sl__lane_factor_free(w);
        return SL_E_NOMEM;
    }
    w->value = sl__lanes_at(w->room);
    w->inverse_pivot = w->value + values;
    w->work = w->inverse_pivot + rows;
    w->sum = w->work + rows + 1;
    *out = w;
    return SL_OK;
}

void sl__lane_factor_free(sl__lane_factor *w)
{
    if (w) {
        sl_alloc al = w->al;
        sl__free(&al, w->room, w->room_count, sizeof *w->room);
        sl__free(&al, w, 1, sizeof *w);
    }
}

void sl__factor_solve_lanes(const sl__factor *f, const double *b, double *x, double *work)
{
    sl__factor_solve_lanes_with(sl__lane_kernels(), f, b, x, work);
}

void sl__factor_solve_lanes_with(int32_t kernel, const sl__factor *f, const double *b, double *x,
                                 double *work)
{
    const sl__lanes *of = (const void *)b;
    sl__lanes *to = (void *)x, *room = (void *)work; /* x is room too: b is copied first */
#define SOLVE(variant)                                                                             \
    variant##_solve(&(variant##_figures){f, f->value, f->inverse_pivot, room, to, NULL}, of, to)
    SL__CHOOSE(SOLVE, sides)
#undef SOLVE
}

void sl__lane_factor_use(sl__lane_factor *w, int32_t kernel)
{
    w->kernel = kernel;
}

int32_t sl__lane_factor_update(sl__lane_factor *w, const double *g, int32_t *dead)
{
    const int32_t kernel = w->kernel;
    const sl__lanes *of = (const void *)g;
#define UPDATE(variant)                                                                            \
    variant##_eliminate(                                                                           \
        &(variant##_figures){w->f, w->value, w->inverse_pivot, w->work, w->sum, NULL}, of)
    SL__CHOOSE(UPDATE, nets)
#undef UPDATE
    sl__lane_bits zeros;
#define COUNT(variant) variant##_count(w->f->rows, w->inverse_pivot, &zeros)
    SL__CHOOSE(COUNT, nets)
#undef COUNT
    int32_t all = 0;
    for (int32_t l = 0; l < SL__LANES; l++) {
        all += (int32_t)zeros[l];
        if (dead) {
            dead[l] = (int32_t)zeros[l];
        }
    }
    return all;
}

void sl__lane_factor_solve(sl__lane_factor *w, const double *b, double *x)
{
    sl__lane_factor_solve_along(w, NULL, b, x);
}

void sl__lane_factor_solve_along(sl__lane_factor *w, const uint8_t *ways, const double *b,
                                 double *x)
{
    const int32_t kernel = w->kernel;
    const sl__lanes *of = (const void *)b;
    sl__lanes *to = (void *)x;
#define SOLVE(variant)                                                                             \
    variant##_solve(&(variant##_figures){w->f, w->value, w->inverse_pivot, w->work, w->sum, ways}, \
                    of, to)
    SL__CHOOSE(SOLVE, nets)
#undef SOLVE
}
