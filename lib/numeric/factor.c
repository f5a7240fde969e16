/* lib/numeric/factor.c: a factor of one network; what is done to its numbers is in
   factor_eliminate.h and factor_solve.h. */
#include "numeric/factor_internal.h"

#include <string.h>

#define VALUE double
#define REAL double
#define FUNCTION static
#define NAME(x) one_##x
#define KEEP
#include "numeric/factor_solve.h"

#include "numeric/factor_eliminate.h"

static void one_invert(int32_t k, const double *pivot, one_figures *n)
{
    n->inverse_pivot[k] = *pivot > 0.0 ? 1.0 / *pivot : 0.0;
}

static one_figures figures_of(sl__factor *f)
{
    return (one_figures){f, f->value, f->inverse_pivot, f->work, f->sum};
}

int32_t sl__factor_update(sl__factor *f, const double *g)
{
    one_figures n = figures_of(f);
    one_eliminate(&n, g);
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
    one_figures n = figures_of(f);
    one_solve(&n, b, x);
}
