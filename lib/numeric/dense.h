/* lib/numeric/dense.h: small dense systems, for the ports of nonlinear parts. */
#ifndef SL_NUMERIC_DENSE_H
#define SL_NUMERIC_DENSE_H

#include "strapline/base.h"

/* LU with partial pivoting of the n x n row-major matrix a, in place; row[n] receives the pivot
   rows. Returns SL_OK, or SL_E_CONVERGENCE when a pivot is exactly zero. */
sl_status sl__dense_factor(int32_t n, double *a, int32_t *row);

/* Solves with the factor from sl__dense_factor; b[n] becomes x. */
void sl__dense_solve(int32_t n, const double *a, const int32_t *row, double *b);

#endif
