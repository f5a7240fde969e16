/* tests/bench/klu_side.h: the peer of the benches: KLU, on the assembled matrix of a network; and
   how times are taken. Included by one C file a program. */
#ifndef SL_BENCH_KLU_SIDE_H
#define SL_BENCH_KLU_SIDE_H

#include "netgen.h"

#include <klu.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

static inline void *cells(int32_t count, size_t size)
{
    void *block = calloc((size_t)count + 1, size);
    if (!block) {
        fputs("out of memory\n", stderr);
        exit(1);
    }
    return block;
}

static inline double now_us(void)
{
    struct timespec t;
    timespec_get(&t, TIME_UTC);
    return (double)t.tv_sec * 1e6 + (double)t.tv_nsec * 1e-3;
}

static inline int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static inline double median(double *v, int32_t count)
{
    qsort(v, (size_t)count, sizeof *v, by_size);
    return v[count / 2];
}

/* An assembled matrix by columns, as KLU wants it. */
typedef struct matrix {
    int n;
    int *start, *row;
    double *value;
} matrix;

static inline matrix assemble(const netgen *net)
{
    int32_t n = net->rows, m = net->branches;
    matrix a = {n, cells(n + 1, sizeof(int)), cells(n + 2 * m, sizeof(int)),
                cells(n + 2 * m, sizeof(double))};
    int *column_end = cells(n + 1, sizeof(int)), *list = cells(2 * m, sizeof(int));
    for (int32_t e = 0; e < m; e++) {
        if (net->from[e] >= 0 && net->to[e] >= 0) {
            column_end[net->from[e]]++;
            column_end[net->to[e]]++;
        }
    }
    for (int32_t c = 0; c < n; c++) {
        column_end[c + 1] += column_end[c];
    }
    for (int32_t e = 0; e < m; e++) { /* afterwards column_end[c] is where column c begins */
        if (net->from[e] >= 0 && net->to[e] >= 0) {
            list[--column_end[net->from[e]]] = e;
            list[--column_end[net->to[e]]] = e;
        }
    }
    double *diagonal = cells(n, sizeof *diagonal);
    for (int32_t e = 0; e < m; e++) {
        if (net->from[e] >= 0) {
            diagonal[net->from[e]] += net->g[e];
        }
        if (net->to[e] >= 0) {
            diagonal[net->to[e]] += net->g[e];
        }
    }
    int used = 0, *where = cells(n, sizeof(int)); /* row r is at where[r] - 1, if in this column */
    for (int32_t c = 0; c < n; c++) {
        a.start[c] = used;
        a.row[used] = c;
        a.value[used++] = diagonal[c];
        for (int32_t p = column_end[c]; p < column_end[c + 1]; p++) {
            int32_t e = list[p], r = net->from[e] == c ? net->to[e] : net->from[e];
            if (where[r] <= a.start[c]) {
                a.row[used] = r;
                where[r] = ++used;
            }
            a.value[where[r] - 1] -= net->g[e];
        }
    }
    a.start[n] = used;
    free(column_end);
    free(list);
    free(diagonal);
    free(where);
    return a;
}

static inline void matrix_free(matrix *a)
{
    free(a->start);
    free(a->row);
    free(a->value);
}

typedef struct klu {
    klu_common common;
    klu_symbolic *symbolic;
    klu_numeric *numeric;
    matrix *a;
} klu;

static inline klu klu_of(matrix *a, int tuned)
{
    klu k = {.a = a};
    klu_defaults(&k.common);
    if (tuned) { /* what suits these matrices: no block triangular form, no scaling of rows */
        k.common.btf = 0;
        k.common.scale = 0;
    }
    k.symbolic = klu_analyze(a->n, a->start, a->row, &k.common);
    k.numeric = klu_factor(a->start, a->row, a->value, k.symbolic, &k.common);
    return k;
}

static inline void klu_end(klu *k)
{
    klu_free_numeric(&k->numeric, &k->common);
    klu_free_symbolic(&k->symbolic, &k->common);
}

#endif
