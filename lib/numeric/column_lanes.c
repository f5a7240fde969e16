/* lib/numeric/column_lanes.c: solves refined in pairs, several at once. */
#include <math.h>
#include <stdbool.h>
#include <string.h>

#include "base/arena.h"
#include "base/memory.h"
#include "numeric/column.h"
#include "numeric/factor_internal.h"

/* In every array but g an entry is SL__LANES doubles, or of pairs the high parts and then the low
   ones; the last entry is the reference's. */
struct sl__columns {
    sl__arena arena;
    sl_alloc al;
    const sl__factor *f;
    int32_t rows, branches;
    int32_t *from, *to; /* branches; rows for the reference */
    const double *g;
    double *into, *b, *x, *work; /* rows + 1 */
    double *v, *sum;             /* rows + 1, pairs */
    double *i;                   /* branches, pairs */
};

typedef double vector2 __attribute__((vector_size(16), aligned(8), may_alias));
#define FUNCTION static
#define NAME(x) plain_##x
#define VECTOR vector2
#define PARTS (SL__LANES / 2)
#include "numeric/column_refine.h"

#ifdef SL__WIDE_KERNELS
typedef double vector4 __attribute__((vector_size(32), aligned(8), may_alias));
#define FUNCTION static SL__AVX2
#define NAME(x) plain_avx2_##x
#define VECTOR vector4
#define PARTS (SL__LANES / 4)
#include "numeric/column_refine.h"

/* Rounding to nearest, in all lanes. */
#define FUSED(a, k, c) __builtin_ia32_vfmaddpd512_mask(a, (k) + (sl__lanes){0.0}, c, 0xff, 4)
#define FUNCTION static SL__AVX512
#define NAME(x) plain_avx512_##x
#define VECTOR sl__lanes
#define PARTS (SL__LANES / 8)
#include "numeric/column_refine.h"
#endif

static double *vectors(sl__columns *c, int32_t count)
{
    return (double *)(void *)sl__lanes_at(sl__arena_take(&c->arena, count + 1, sizeof(sl__lanes)));
}

static void place(int32_t rows, int32_t branches, const int32_t *end, int32_t *at)
{
    for (int32_t e = 0; e < branches; e++) {
        at[e] = end[e] == SL__REFERENCE ? rows : end[e];
    }
}

sl_status sl__columns_new(const sl__factor *f, int32_t rows, int32_t branches, const int32_t *from,
                          const int32_t *to, const double *g, sl__columns **out)
{
    sl__columns *c = sl__new(&f->al, 1, sizeof *c);
    if (!c) {
        return SL_E_NOMEM;
    }
    c->al = f->al;
    c->arena.al = &c->al;
    c->f = f;
    c->rows = rows;
    c->branches = branches;
    c->g = g;
    c->from = sl__arena_take(&c->arena, branches, sizeof *c->from);
    c->to = sl__arena_take(&c->arena, branches, sizeof *c->to);
    c->into = vectors(c, rows + 1);
    c->b = vectors(c, rows + 1);
    c->x = vectors(c, rows + 1);
    c->work = vectors(c, rows + 1);
    c->v = vectors(c, 2 * (rows + 1));
    c->sum = vectors(c, 2 * (rows + 1));
    c->i = vectors(c, 2 * branches);
    if (c->arena.failed) {
        sl__columns_free(c);
        return SL_E_NOMEM;
    }
    place(rows, branches, from, c->from);
    place(rows, branches, to, c->to);
    *out = c;
    return SL_OK;
}

void sl__columns_free(sl__columns *c)
{
    if (c) {
        sl_alloc al = c->al;
        sl__arena_clear(&c->arena);
        sl__free(&al, c, 1, sizeof *c);
    }
}

void sl__columns_into(sl__columns *c, const double *into, double *high, double *low,
                      ptrdiff_t apart)
{
    sl__columns_into_with(sl__lane_kernels(), c, into, high, low, apart);
}

void sl__columns_into_with(int32_t kernel, sl__columns *c, const double *into, double *high,
                           double *low, ptrdiff_t apart)
{
    memcpy(c->into, into, (size_t)c->rows * sizeof(sl__lanes));
#define REFINE(variant) variant##_refine(c)
    SL__CHOOSE(REFINE, plain)
#undef REFINE
    const double *v = c->v;
    const ptrdiff_t pair = (ptrdiff_t)2 * SL__LANES;
    for (int32_t r = 0; r < c->rows; r++, high += apart, low += apart, v += pair) {
        memcpy(high, v, sizeof(sl__lanes));
        memcpy(low, v + SL__LANES, sizeof(sl__lanes));
    }
}

void sl__columns_rest(sl__columns *c, int32_t count, const int32_t *branch, double *rest)
{
    sl__columns_rest_with(sl__lane_kernels(), c, count, branch, rest);
}

void sl__columns_rest_with(int32_t kernel, sl__columns *c, int32_t count, const int32_t *branch,
                           double *rest)
{
    memset(c->into, 0, ((size_t)c->rows + 1) * sizeof(sl__lanes));
    for (int32_t l = 0; l < count; l++) {
        c->into[(ptrdiff_t)c->from[branch[l]] * SL__LANES + l] += 1.0;
        c->into[(ptrdiff_t)c->to[branch[l]] * SL__LANES + l] -= 1.0;
    }
#define REFINE(variant) variant##_refine(c)
    SL__CHOOSE(REFINE, plain)
#undef REFINE
    for (int32_t l = 0; l < count; l++) {
        const double *own = c->i + (ptrdiff_t)branch[l] * 2 * SL__LANES + l;
        const sl__pair share = {own[0], own[SL__LANES]};
        rest[l] = sl__pair_value(sl__pair_sub(sl__pair_of(1.0), share));
    }
}
