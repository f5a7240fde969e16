/* lib/numeric/dense.c: LU with partial pivoting; n is the number of ports, a few tens at most. */
#include "numeric/dense.h"

#include <math.h>

sl_status sl__dense_factor(int32_t n, double *a, int32_t *row)
{
    for (int32_t k = 0; k < n; k++) {
        int32_t p = k;
        for (int32_t i = k + 1; i < n; i++) {
            if (fabs(a[i * n + k]) > fabs(a[p * n + k])) {
                p = i;
            }
        }
        row[k] = p;
        if (a[p * n + k] == 0.0) {
            return SL_E_CONVERGENCE;
        }
        for (int32_t j = 0; p != k && j < n; j++) {
            double t = a[k * n + j];
            a[k * n + j] = a[p * n + j];
            a[p * n + j] = t;
        }
        for (int32_t i = k + 1; i < n; i++) {
            double l = a[i * n + k] /= a[k * n + k];
            for (int32_t j = k + 1; l != 0.0 && j < n; j++) {
                a[i * n + j] -= l * a[k * n + j];
            }
        }
    }
    return SL_OK;
}

void sl__dense_solve(int32_t n, const double *a, const int32_t *row, double *b)
{
    for (int32_t k = 0; k < n; k++) {
        double t = b[row[k]];
        b[row[k]] = b[k];
        b[k] = t;
        for (int32_t i = k + 1; i < n; i++) {
            b[i] -= a[i * n + k] * t;
        }
    }
    for (int32_t k = n - 1; k >= 0; k--) {
        b[k] /= a[k * n + k];
        for (int32_t i = 0; i < k; i++) {
            b[i] -= a[i * n + k] * b[k];
        }
    }
}
