/* lib/numeric/balance.c: branch currents and their balance at each row, in pairs. */
#include "numeric/balance.h"

#include "numeric/factor.h"

#include <math.h>

static sl__pair voltage_of(const sl__pair *v, int32_t row)
{
    return row == SL__REFERENCE ? sl__pair_of(0.0) : v[row];
}

void sl__pair_currents(int32_t branches, const int32_t *from, const int32_t *to, const double *g,
                       const sl__pair *emf, const sl__pair *v, sl__pair *i)
{
    for (int32_t e = 0; e < branches; e++) {
        sl__pair across = sl__pair_sub(voltage_of(v, from[e]), voltage_of(v, to[e]));
        if (emf && emf[e].hi != 0.0) {
            across = sl__pair_add(across, emf[e]);
        }
        i[e] = g[e] == 0.0 ? sl__pair_of(0.0) : sl__pair_scale(across, g[e]);
    }
}

double sl__pair_residual(int32_t rows, int32_t branches, const int32_t *from, const int32_t *to,
                         const sl__pair *i, const sl__pair *inject, sl__pair *work, double *r)
{
    for (int32_t k = 0; k < rows; k++) {
        work[k] = inject ? inject[k] : sl__pair_of(0.0);
    }
    for (int32_t e = 0; e < branches; e++) {
        if (from[e] != SL__REFERENCE) {
            work[from[e]] = sl__pair_sub(work[from[e]], i[e]);
        }
        if (to[e] != SL__REFERENCE) {
            work[to[e]] = sl__pair_add(work[to[e]], i[e]);
        }
    }
    double greatest = 0.0;
    for (int32_t k = 0; k < rows; k++) {
        r[k] = sl__pair_value(work[k]);
        greatest = fabs(r[k]) > greatest ? fabs(r[k]) : greatest;
    }
    return greatest;
}

void sl__pair_correct(int32_t rows, int32_t branches, const int32_t *from, const int32_t *to,
                      const double *g, const double *dv, sl__pair *v, sl__pair *i)
{
    for (int32_t k = 0; k < rows; k++) {
        v[k] = sl__pair_add(v[k], sl__pair_of(dv[k]));
    }
    for (int32_t e = 0; e < branches; e++) {
        double a = from[e] == SL__REFERENCE ? 0.0 : dv[from[e]];
        double b = to[e] == SL__REFERENCE ? 0.0 : dv[to[e]];
        i[e] = sl__pair_add(i[e], sl__pair_scale(sl__two_sum(a, -b), g[e]));
    }
}
