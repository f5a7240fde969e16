/* lib/numeric/front.h: a dense block of conductances, and the elimination of some of its nodes.

   Entry g[c * stride + r] is the conductance between nodes c and r, kept for r > c only; entries on
   and above the diagonal are never read. There is no diagonal: the pivot of a node is the sum of
   its conductances to the nodes not yet eliminated, and eliminating node p adds g_ip g_jp / pivot
   to every pair left. Only sums, products and quotients of non-negative numbers: every entry is
   right to a few units in the last place however far apart the conductances are.

   The sums are taken in the same order whatever the processor can do, and never contracted, so the
   result is the same to the last bit on all of them. */
#ifndef SL_NUMERIC_FRONT_H
#define SL_NUMERIC_FRONT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Distance of columns for n nodes, and doubles of the whole block. */
int32_t sl__front_stride(int32_t n);
size_t sl__front_size(int32_t n);

/* Makes all conductances 0. To be called before they are filled in: what lies below row n - 1 of a
   column is read too. */
void sl__front_clear(double *g, int32_t n);

/* The conductances between nodes `gone` .. n - 1 as a front of their own. `to` is another block. */
void sl__front_copy_left(const double *g, int32_t n, int32_t gone, double *to);

/* Doubles of workspace that eliminating in a front of n nodes takes. */
size_t sl__front_work(int32_t n);

/* Eliminates nodes 0 .. count - 1 of n; what is left are the conductances between the others. A
   node that nothing is joined to drops out. */
void sl__front_eliminate(double *g, int32_t n, int32_t count, double *work);

/* The same by one of the variants this processor can run, 1 .. sl__lane_kernels(). */
void sl__front_eliminate_with(int32_t kernel_index, double *g, int32_t n, int32_t count,
                              double *work);

/* What the elimination costs, in multiplications. */
double sl__front_cost(int32_t n, int32_t count);

#endif
