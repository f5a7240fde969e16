/* lib/numeric/effective_lanes.c: effective resistances of several pairs at once. */
#include "numeric/effective_internal.h"

#include <string.h>

typedef double vector2 __attribute__((vector_size(16), aligned(8), may_alias));
#define FUNCTION static
#define NAME(x) pairs_##x
#define VECTOR vector2
#define PARTS (SL__ABREAST / 2)
#include "numeric/effective_climb.h"

#ifdef SL__WIDE_KERNELS
typedef double vector4 __attribute__((vector_size(32), aligned(8), may_alias));
#define FUNCTION static SL__AVX2
#define NAME(x) pairs_avx2_##x
#define VECTOR vector4
#define PARTS (SL__ABREAST / 4)
#include "numeric/effective_climb.h"

#define FUNCTION static SL__AVX512
#define NAME(x) pairs_avx512_##x
#define VECTOR sl__lanes
#define PARTS (SL__ABREAST / 8)
#include "numeric/effective_climb.h"
#endif

/* Puts `amp` into a row and marks its way up the tree. */
static void enter(sl__effective *e, int32_t row, int32_t lane, double amp)
{
    if (row < 0) {
        return;
    }
    const int32_t column = e->column[row], blocks = e->f->blocks;
    e->abreast[(ptrdiff_t)column * SL__ABREAST + lane] += amp;
    for (int32_t s = e->block_of[column]; s < blocks; s = e->at[s].next) {
        const uint64_t bit = (uint64_t)1 << s % 64;
        if (e->marks[s / 64] & bit) {
            break;
        }
        e->marks[s / 64] |= bit;
    }
}

void sl__effective_between_all(sl__effective *e, int32_t count, const int32_t *a, const int32_t *b,
                               double *ohm)
{
    sl__effective_between_all_with(sl__lane_kernels(), e, count, a, b, ohm);
}

void sl__effective_between_all_with(int32_t kernel, sl__effective *e, int32_t count,
                                    const int32_t *a, const int32_t *b, double *ohm)
{
    double sum[SL__ABREAST];
    for (int32_t first = 0; first < count; first += SL__ABREAST) {
        const int32_t now = count - first < SL__ABREAST ? count - first : SL__ABREAST;
        for (int32_t l = 0; l < now; l++) {
            enter(e, a[first + l], l, 1.0);
            enter(e, b[first + l], l, -1.0);
        }
#define CLIMB(variant) variant##_climb_marked(e, sum)
        SL__CHOOSE(CLIMB, pairs)
#undef CLIMB
        memcpy(ohm + first, sum, (size_t)now * sizeof *sum);
    }
}
