/* tests/support/netgen.c: seeded networks for tests and benches. */
#include "netgen.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

enum { NEARBY = 60 }; /* rows: what is wired in one corner of a vehicle */

uint64_t netgen_random(uint64_t *state)
{
    uint64_t z = *state += 0x9e3779b97f4a7c15u;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return z ^ (z >> 31);
}

double netgen_uniform(uint64_t *state, double low, double high)
{
    return low + (high - low) * ((double)(netgen_random(state) >> 11) * 0x1p-53);
}

double netgen_log_uniform(uint64_t *state, double low, double high)
{
    return exp(netgen_uniform(state, log(low), log(high)));
}

int32_t netgen_below(uint64_t *state, int32_t end)
{
    return (int32_t)(netgen_random(state) % (uint64_t)end);
}

static void *cells(int32_t count, size_t size)
{
    void *block = calloc((size_t)count + 1, size);
    if (!block) {
        fputs("netgen: out of memory\n", stderr);
        exit(1);
    }
    return block;
}

static netgen empty(int32_t rows, int32_t most_branches)
{
    return (netgen){.rows = rows,
                    .from = cells(most_branches, sizeof(int32_t)),
                    .to = cells(most_branches, sizeof(int32_t)),
                    .g = cells(most_branches, sizeof(double)),
                    .emf = cells(most_branches, sizeof(double)),
                    .inject = cells(rows, sizeof(double))};
}

static void join(netgen *net, int32_t from, int32_t to, double ohm)
{
    net->from[net->branches] = from;
    net->to[net->branches] = to;
    net->g[net->branches] = 1.0 / ohm;
    net->branches++;
}

/* Two statements for two draws, always: the order in which arguments are worked out is the
   compiler's, and a seed must mean one network. */
static void join_cable(netgen *net, int32_t from, int32_t to, uint64_t *state)
{
    join(net, from, to, netgen_log_uniform(state, 1e-4, 0.1));
}

/* Rows first..first+rows-1 as a tree of cables: mostly runs, now and then a junction. */
static void grow_cables(netgen *net, int32_t first, int32_t rows, uint64_t *state)
{
    for (int32_t i = 1; i < rows; i++) {
        int32_t reach = netgen_below(state, 3) ? 4 : NEARBY;
        int32_t back = 1 + netgen_below(state, reach < i ? reach : i);
        join_cable(net, first + i - back, first + i, state);
    }
}

/* A row of 0..count-1 not far from `row`. */
static int32_t near_row(int32_t row, int32_t count, uint64_t *state)
{
    int32_t near = row - NEARBY + netgen_below(state, 2 * NEARBY + 1);
    return near < 0 ? 0 : near < count ? near : count - 1;
}

netgen netgen_vehicle(int32_t rows, uint64_t seed)
{
    uint64_t state = seed;
    int32_t power = rows / 2, ground = rows - power, loads = rows / 3, loops = 7 * rows / 100;
    int32_t meters = rows / 50 + 1, leaks = rows / 20 + 1;
    netgen net = empty(rows, rows + loads + loops + meters + leaks);
    join(&net, NETGEN_REFERENCE, 0, 5e-3);
    net.emf[0] = 12.6;
    join(&net, power, NETGEN_REFERENCE, 1e-3);
    grow_cables(&net, 0, power, &state);
    grow_cables(&net, power, ground, &state);
    for (int32_t i = 0; i < loads + meters; i++) {
        int32_t a = netgen_below(&state, power);
        int32_t b = power + (netgen_below(&state, 8) ? near_row(a, ground, &state)
                                                     : netgen_below(&state, ground));
        join(&net, a, b, i < loads ? netgen_log_uniform(&state, 0.5, 500.0) : 1e7);
    }
    for (int32_t i = 0; i < loops; i++) {
        int32_t first = i % 2 ? power : 0, count = i % 2 ? ground : power;
        int32_t a = netgen_below(&state, count);
        int32_t b = near_row(a, count - 1, &state);
        join_cable(&net, first + a, first + b + (b >= a), &state);
    }
    for (int32_t i = 0; i < leaks; i++) {
        int32_t a = netgen_below(&state, rows);
        join(&net, a, NETGEN_REFERENCE, netgen_log_uniform(&state, 1e9, 1e11));
    }
    return net;
}

netgen netgen_mesh(int32_t side, uint64_t seed)
{
    uint64_t state = seed;
    netgen net = empty(side * side, 2 * side * side + 1);
    join(&net, 0, NETGEN_REFERENCE, 1e-3);
    for (int32_t k = 0; k < side * side; k++) {
        if ((k + 1) % side) {
            join(&net, k, k + 1, netgen_log_uniform(&state, 1e-4, 1e-3));
        }
        if (k + side < side * side) {
            join(&net, k, k + side, netgen_log_uniform(&state, 1e-4, 1e-3));
        }
    }
    net.inject[side * side - 1] = 100.0;
    return net;
}

netgen netgen_isolated(double isolation_ohm, uint64_t seed)
{
    uint64_t state = seed;
    netgen net = empty(60, 100);
    join(&net, NETGEN_REFERENCE, 0, 5e-3);
    net.emf[0] = 12.6;
    grow_cables(&net, 0, 30, &state);
    for (int32_t i = 0; i < 10; i++) {
        int32_t a = 1 + netgen_below(&state, 29);
        join(&net, a, NETGEN_REFERENCE, netgen_log_uniform(&state, 0.5, 500.0));
    }
    for (int32_t i = 1; i < 35; i++) { /* a tree, and five loops in it */
        int32_t a = netgen_below(&state, i < 30 ? i : 15);
        join(&net, 30 + a, 30 + (i < 30 ? i : i - 15), netgen_log_uniform(&state, 5e-6, 2e-5));
    }
    for (int32_t i = 0; i < 4; i++) {
        int32_t a = 30 + netgen_below(&state, 30);
        int32_t b = i % 2 ? NETGEN_REFERENCE : netgen_below(&state, 30);
        join(&net, a, b, isolation_ohm * netgen_uniform(&state, 0.5, 2.0));
    }
    return net;
}

netgen netgen_any(int32_t rows, int32_t branches, uint64_t seed)
{
    uint64_t state = seed;
    netgen net = empty(rows, branches);
    for (int32_t e = 0; e < branches; e++) {
        int32_t a = netgen_below(&state, rows);
        int32_t b = netgen_below(&state, rows) - 1;
        b = b >= a ? b + 1 : b; /* anything but a, the reference (-1) among it */
        join(&net, a, b, netgen_log_uniform(&state, 1e-5, 1e14));
        if (netgen_below(&state, 8) == 0) {
            net.g[e] = 0.0;
        }
        if (netgen_below(&state, 16) == 0) {
            net.emf[e] = netgen_uniform(&state, -12.0, 12.0);
        }
    }
    return net;
}

void netgen_currents_in(const netgen *net, double *b)
{
    for (int32_t r = 0; r < net->rows; r++) {
        b[r] = net->inject[r];
    }
    for (int32_t e = 0; e < net->branches; e++) {
        double i = net->g[e] * net->emf[e];
        if (net->from[e] != NETGEN_REFERENCE) {
            b[net->from[e]] -= i;
        }
        if (net->to[e] != NETGEN_REFERENCE) {
            b[net->to[e]] += i;
        }
    }
}

void netgen_free(netgen *net)
{
    free(net->from);
    free(net->to);
    free(net->g);
    free(net->emf);
    free(net->inject);
    *net = (netgen){0};
}
