/* lib/numeric/factor.c: a factor of one network; what is done to its numbers is in
   factor_eliminate.h and factor_solve.h. */
#include "numeric/factor_internal.h"
#include "numeric/lanes.h"

#include <string.h>

#define REAL double
#define FUNCTION static
#define NAME(x) one_##x
#include "numeric/factor_solve.h"

#define FUNCTION static
#define NAME(x) plain_##x
#include "numeric/factor_eliminate.h"

#ifdef SL__WIDE_KERNELS
#define FUNCTION static SL__AVX2
#define NAME(x) plain_avx2_##x
#include "numeric/factor_eliminate.h"

#define FUNCTION static SL__AVX512
#define NAME(x) plain_avx512_##x
#include "numeric/factor_eliminate.h"
#endif

/* Fewer values than this lie in columns too short for wide vectors: measured. */
enum { WORTH_WIDE = 16384 };

int32_t sl__factor_update(sl__factor *f, const double *g)
{
    return sl__factor_update_with(f->values < WORTH_WIDE ? 1 : sl__lane_kernels(), f, g);
}

int32_t sl__factor_update_with(int32_t kernel, sl__factor *f, const double *g)
{
#define ELIMINATE(variant) variant##_eliminate(f, g)
    SL__CHOOSE(ELIMINATE, plain)
#undef ELIMINATE
    f->dead_rows = 0;
    for (int32_t k = 0; k < f->rows; k++) {
        if (f->inverse_pivot[k] == 0.0) {
            f->dead_row[f->dead_rows++] = f->row_of[k];
        }
    }
    return f->dead_rows;
}

const int32_t *sl__factor_dead_rows(const sl__factor *f)
{
    return f->dead_row;
}

int64_t sl__factor_fill(const sl__factor *f)
{
    return f->fill;
}

void sl__factor_solve(sl__factor *f, const double *b, double *x)
{
    one_solve(f, b, x, f->work, f->sum);
}
