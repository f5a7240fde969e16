/* lib/numeric/dense.h: small dense systems, for the ports of nonlinear parts. */
#ifndef SL_NUMERIC_DENSE_H
#define SL_NUMERIC_DENSE_H

#include "strapline/base.h"

/* LU with partial pivoting of the n x n row-major matrix a, in place; row[n] receives the pivot
   rows. Returns SL_OK, or SL_E_CONVERGENCE when a pivot is exactly zero. */
sl_status sl__dense_factor(int32_t n, double *a, int32_t *row);

/* Solves with the factor from sl__dense_factor; b[n] becomes x. */
void sl__dense_solve(int32_t n, const double *a, const int32_t *row, double *b);

/* sum += weight[0] a_0 + weight[1] a_1 + ..., in that order. Column c begins at a[c * stride]; the
   first n entries count, and arrays have room for the next multiple of SL__LANES. */
void sl__dense_add_columns(int32_t columns, int32_t n, const double *a, int32_t stride,
                           const double *weight, double *sum);

#endif
