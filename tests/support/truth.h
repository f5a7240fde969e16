/* tests/support/truth.h: networks solved in arithmetic of about 34 digits, to measure errors by.
   Small and slow: storage is dense. */
#ifndef SL_SUPPORT_TRUTH_H
#define SL_SUPPORT_TRUTH_H

#include "netgen.h"

#ifdef __SIZEOF_FLOAT128__
__extension__ typedef __float128 wide;
#else
typedef long double wide; /* as wide on most machines without __float128 */
#endif

/* The b of A v = b, not rounded. */
void truth_currents_in(const netgen *net, wide *b);

/* A v = b without subtractions, in an order of its own. The last row of a floating island that is
   eliminated is at 0. Returns the number of such islands. */
int32_t truth_solve(const netgen *net, const wide *b, wide *v);

/* The same by elimination of the assembled matrix, pivoting: another road to the same place, right
   as long as a sum of conductances in 34 digits keeps its smallest member. */
void truth_solve_assembled(const netgen *net, const wide *b, wide *v);

/* The current of each branch. */
void truth_currents(const netgen *net, const wide *v, wide *i);

/* |got - truth| / |truth|, 0 when both are 0. */
double truth_error(wide got, wide truth);

#endif
