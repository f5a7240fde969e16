/* lib/numeric/factor.h: a sparse LDL' of a conductance network that never subtracts.

   The matrix is A = (branches joining rows) + diag(leaks to the reference): a symmetric,
   diagonally dominant M-matrix. It is never assembled: off-diagonal conductances and the leak of
   each row are kept apart, the pivot of a column is rebuilt as leak + sum of its off-diagonals, and
   every operation is an addition, multiplication or division of non-negative numbers. So every
   entry of the factor, and every voltage, is right to a few units in the last place at any ratio
   of conductances, and a pivot is exactly zero if and only if an island has no path to the
   reference.

   Source of the method: diagonally dominant M-matrices given by off-diagonals and row sums, ETNA
   18 (2004) 198-208; Math. Comp. 77 (2008) 2195-2230. Ordering: approximate minimum degree (AMD).

   Threads: one thread at a time per factor. */
#ifndef SL_NUMERIC_FACTOR_H
#define SL_NUMERIC_FACTOR_H

#include "strapline/base.h"

typedef struct sl__factor sl__factor;

/* Orders and analyses a network of `rows` rows and `branches` branches. Branch e joins rows
   from[e] and to[e]; SL__REFERENCE stands for the reference. Parallel branches are allowed; a
   branch with both ends on one row, or on the reference, is ignored. Keeps no pointer to its
   arguments. */
#define SL__REFERENCE (-1)
sl_status sl__factor_new(const sl_alloc *al, int32_t rows, int32_t branches, const int32_t *from,
                         const int32_t *to, sl__factor **out);
void sl__factor_free(sl__factor *f);

/* Factors with conductances g[branches] in siemens: finite; 0 means the branch is not there.
   Negative ones are allowed while every pivot stays positive (the accuracy is then that of any
   factor); a pivot that does not counts as zero, and the caller sees more of them than there are
   islands. Allocates nothing. Returns the number of exactly zero pivots: the islands without a path
   to the reference. */
int32_t sl__factor_update(sl__factor *f, const double *g);

/* The rows whose pivots are zero, in elimination order: one row of each floating island. */
const int32_t *sl__factor_dead_rows(const sl__factor *f);

/* Solves A x = b; x and b (rows doubles each) may be the same array. A floating island is solved
   against its own dead row, whose x is 0: differences inside it are right when the currents into
   it sum to zero. Allocates nothing. */
void sl__factor_solve(sl__factor *f, const double *b, double *x);

/* Blocks that a solve goes through when the currents come in at some rows only, and the voltages of
   some only are wanted: marks them in ways[sl__factor_blocks(f)], which starts out as 0. A row may
   be the reference. Needs work[rows of f]. */
enum { SL__WAY_IN = 1, SL__WAY_OUT = 2 };
int32_t sl__factor_blocks(const sl__factor *f);
void sl__factor_mark_ways(const sl__factor *f, int32_t count, const int32_t *row, int way,
                          int32_t *work, uint8_t *ways);

/* Entries of L below the diagonal, for reports. */
int64_t sl__factor_fill(const sl__factor *f);

#endif
