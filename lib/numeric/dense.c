/* lib/numeric/dense.c: LU with partial pivoting; n is the number of ports, a few tens at most. */
#include "numeric/dense.h"

#include <math.h>

#include "numeric/lanes.h"

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

#define ADD_COLUMNS(name, target)                                                                  \
    target static void name(int32_t columns, int32_t n, const double *a, int32_t stride,           \
                            const double *weight, double *sum)                                     \
    {                                                                                              \
        for (int32_t r = 0; r < n; r += SL__LANES) {                                               \
            sl__lanes total = *(const sl__lanes *)(sum + r);                                       \
            for (int32_t c = 0; c < columns; c++) {                                                \
                total += weight[c] * *(const sl__lanes *)(a + (ptrdiff_t)c * stride + r);          \
            }                                                                                      \
            *(sl__lanes *)(sum + r) = total;                                                       \
        }                                                                                          \
    }
#define EVERYWHERE
ADD_COLUMNS(add_columns, EVERYWHERE)
#ifdef SL__WIDE_KERNELS
ADD_COLUMNS(add_columns_avx2, SL__AVX2)
ADD_COLUMNS(add_columns_avx512, SL__AVX512)
#endif

void sl__dense_add_columns(int32_t columns, int32_t n, const double *a, int32_t stride,
                           const double *weight, double *sum)
{
    const int32_t kernel = sl__lane_kernels();
#define ADD(name) name(columns, n, a, stride, weight, sum)
    SL__CHOOSE(ADD, add_columns)
#undef ADD
}
