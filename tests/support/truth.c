/* tests/support/truth.c: networks solved in arithmetic of about 34 digits. */
#include "truth.h"

#include <stdio.h>
#include <stdlib.h>

static void *cells(int32_t count, size_t size)
{
    void *block = calloc((size_t)count + 1, size);
    if (!block) {
        fputs("truth: out of memory\n", stderr);
        exit(1);
    }
    return block;
}

void truth_currents_in(const netgen *net, wide *b)
{
    for (int32_t r = 0; r < net->rows; r++) {
        b[r] = (wide)net->inject[r];
    }
    for (int32_t e = 0; e < net->branches; e++) {
        wide i = (wide)net->g[e] * (wide)net->emf[e];
        if (net->from[e] != NETGEN_REFERENCE) {
            b[net->from[e]] -= i;
        }
        if (net->to[e] != NETGEN_REFERENCE) {
            b[net->to[e]] += i;
        }
    }
}

/* The row with the fewest neighbours among those not yet eliminated. */
static int32_t sparsest(int32_t n, const int32_t *neighbours, const char *done)
{
    int32_t best = -1;
    for (int32_t r = 0; r < n; r++) {
        if (!done[r] && (best < 0 || neighbours[r] < neighbours[best])) {
            best = r;
        }
    }
    return best;
}

/* a: (n+1) x (n+1) conductances, the reference last; eliminated rows keep what they had. */
static int32_t eliminate(int32_t n, wide *a, int32_t *order, wide *pivot)
{
    int32_t m = n + 1, floating = 0;
    char *done = cells(m, 1);
    int32_t *neighbours = cells(m, sizeof *neighbours), *list = cells(m, sizeof *list);
    for (int32_t r = 0; r < n; r++) {
        for (int32_t c = 0; c < n; c++) {
            neighbours[r] += a[r * m + c] > 0;
        }
    }
    for (int32_t k = 0; k < n; k++) {
        int32_t p = order[k] = sparsest(n, neighbours, done), count = 0;
        done[p] = 1;
        pivot[p] = 0;
        for (int32_t r = 0; r < m; r++) {
            if (!done[r] && a[p * m + r] > 0) {
                list[count++] = r;
                pivot[p] += a[p * m + r];
                neighbours[r]--;
            }
        }
        floating += count == 0;
        for (int32_t x = 0; x < count; x++) {
            wide l = a[p * m + list[x]] / pivot[p];
            for (int32_t y = 0; y < x; y++) {
                wide *g = &a[list[x] * m + list[y]];
                if (*g == 0) {
                    neighbours[list[x]]++;
                    neighbours[list[y]]++;
                }
                *g += l * a[p * m + list[y]];
                a[list[y] * m + list[x]] = *g;
            }
        }
    }
    free(done);
    free(neighbours);
    free(list);
    return floating;
}

/* a: m x m, filled with the conductances between rows (reference last), both ways. */
static void fill(const netgen *net, wide *a)
{
    int32_t m = net->rows + 1;
    for (int32_t e = 0; e < net->branches; e++) {
        int32_t i = net->from[e] == NETGEN_REFERENCE ? net->rows : net->from[e];
        int32_t j = net->to[e] == NETGEN_REFERENCE ? net->rows : net->to[e];
        a[i * m + j] += (wide)net->g[e];
        a[j * m + i] = a[i * m + j];
    }
}

int32_t truth_solve(const netgen *net, const wide *b, wide *v)
{
    int32_t n = net->rows, m = n + 1;
    wide *a = cells(m * m, sizeof *a), *pivot = cells(n, sizeof *pivot);
    int32_t *order = cells(n, sizeof *order), *when = cells(n, sizeof *when);
    fill(net, a);
    int32_t floating = eliminate(n, a, order, pivot);
    for (int32_t k = 0; k < n; k++) {
        when[order[k]] = k;
        v[k] = b[k];
    }
    for (int32_t k = 0; k < n; k++) {
        int32_t p = order[k];
        v[p] = pivot[p] > 0 ? v[p] / pivot[p] : 0;
        for (int32_t r = 0; r < n; r++) {
            if (when[r] > k && a[p * m + r] > 0) {
                v[r] += a[p * m + r] * v[p];
            }
        }
    }
    for (int32_t k = n - 1; k >= 0; k--) {
        int32_t p = order[k];
        wide sum = 0;
        for (int32_t r = 0; r < n; r++) {
            if (when[r] > k && a[p * m + r] > 0) {
                sum += a[p * m + r] * v[r];
            }
        }
        v[p] += pivot[p] > 0 ? sum / pivot[p] : 0;
    }
    free(a);
    free(pivot);
    free(order);
    free(when);
    return floating;
}

void truth_solve_assembled(const netgen *net, const wide *b, wide *v)
{
    int32_t n = net->rows, m = n + 1;
    wide *a = cells(m * m, sizeof *a);
    fill(net, a);
    for (int32_t r = 0; r < n;
         r++) { /* conductances become the matrix, and the reference's column b */
        wide sum = 0;
        for (int32_t c = 0; c < m; c++) {
            sum += a[r * m + c];
            a[r * m + c] = -a[r * m + c];
        }
        a[r * m + r] = sum;
        a[r * m + n] = b[r];
    }
    for (int32_t k = 0; k < n; k++) {
        int32_t p = k;
        for (int32_t r = k + 1; r < n; r++) {
            wide x = a[r * m + k] < 0 ? -a[r * m + k] : a[r * m + k];
            wide y = a[p * m + k] < 0 ? -a[p * m + k] : a[p * m + k];
            p = x > y ? r : p;
        }
        for (int32_t c = 0; c < m; c++) {
            wide t = a[k * m + c];
            a[k * m + c] = a[p * m + c];
            a[p * m + c] = t;
        }
        for (int32_t r = k + 1; r < n; r++) {
            wide l = a[r * m + k] / a[k * m + k];
            for (int32_t c = k; l != 0 && c < m; c++) {
                a[r * m + c] -= l * a[k * m + c];
            }
        }
    }
    for (int32_t k = n - 1; k >= 0; k--) {
        v[k] = a[k * m + n];
        for (int32_t c = k + 1; c < n; c++) {
            v[k] -= a[k * m + c] * v[c];
        }
        v[k] /= a[k * m + k];
    }
    free(a);
}

void truth_currents(const netgen *net, const wide *v, wide *i)
{
    for (int32_t e = 0; e < net->branches; e++) {
        wide a = net->from[e] == NETGEN_REFERENCE ? 0 : v[net->from[e]];
        wide b = net->to[e] == NETGEN_REFERENCE ? 0 : v[net->to[e]];
        i[e] = (wide)net->g[e] * (a - b + (wide)net->emf[e]);
    }
}

double truth_error(wide got, wide truth)
{
    if (got == truth) {
        return 0.0;
    }
    wide off = got > truth ? got - truth : truth - got;
    return (double)(off / (truth < 0 ? -truth : truth));
}
