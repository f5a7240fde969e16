/* tests/support/modulegen.c: random vehicles with modules of constant power. */
#include "modulegen.h"

#include <math.h>
#include <string.h>

#include "netgen.h"

static void join(modulegen *car, int32_t a, int32_t b, double ohm)
{
    car->g[a][b] += 1.0 / ohm;
    car->g[b][a] += 1.0 / ohm;
}

/* Node voltages for currents driven into the nodes, by elimination without pivoting. */
static void solve(const modulegen *car, const double *in, double *v)
{
    static double a[MODULEGEN_NODES][MODULEGEN_NODES];
    const int32_t n = car->nodes;
    memset(a, 0, sizeof a);
    for (int32_t r = 1; r < n; r++) {
        for (int32_t c = 0; c < n; c++) {
            a[r][c] -= car->g[r][c];
            a[r][r] += car->g[r][c];
        }
        v[r] = in[r];
    }
    a[1][1] += 1.0 / car->source_ohm;
    for (int32_t k = 1; k < n; k++) {
        for (int32_t r = k + 1; r < n; r++) {
            const double l = a[r][k] / a[k][k];
            for (int32_t c = k; l != 0.0 && c < n; c++) {
                a[r][c] -= l * a[k][c];
            }
            v[r] -= l * v[k];
        }
    }
    v[0] = 0.0;
    for (int32_t k = n - 1; k >= 1; k--) {
        for (int32_t c = k + 1; c < n; c++) {
            v[k] -= a[k][c] * v[c];
        }
        v[k] /= a[k][k];
    }
}

/* What the ports see of the rest. */
static void reduce(modulegen *car)
{
    double in[MODULEGEN_NODES] = {0.0}, v[MODULEGEN_NODES];
    in[1] = car->e / car->source_ohm;
    solve(car, in, v);
    for (int32_t i = 0; i < car->ports; i++) {
        car->v0[i] = v[car->port[i].from] - v[car->port[i].to];
    }
    for (int32_t c = 0; c < car->ports; c++) {
        memset(in, 0, sizeof in);
        in[car->port[c].from] += 1.0;
        in[car->port[c].to] -= 1.0;
        solve(car, in, v);
        for (int32_t r = 0; r < car->ports; r++) {
            car->z[r][c] = v[car->port[r].from] - v[car->port[r].to];
        }
    }
}

static void draw_once(modulegen *car, uint64_t *random)
{
    memset(car, 0, sizeof *car);
    car->nodes = 5 + netgen_below(random, MODULEGEN_NODES - 4);
    car->ports = 2 + netgen_below(random, 2);
    car->e = netgen_uniform(random, 10.0, 29.0);
    car->source_ohm = netgen_log_uniform(random, 3e-3, 0.3);
    const int32_t feeds = 1 + (car->nodes - 1) / 2; /* nodes 1 .. feeds - 1 feed, the rest ground */
    for (int32_t n = 2; n < feeds; n++) {
        join(car, n, 1 + netgen_below(random, n - 1), netgen_log_uniform(random, 1e-3, 1.0));
    }
    for (int32_t n = feeds; n < car->nodes; n++) {
        const int32_t to = netgen_below(random, n - feeds + 1);
        join(car, n, to ? feeds + to - 1 : 0, netgen_log_uniform(random, 1e-3, 1.0));
    }
    for (int32_t k = netgen_below(random, 6); k > 0; k--) {
        join(car, 1 + netgen_below(random, feeds - 1),
             feeds + netgen_below(random, car->nodes - feeds),
             netgen_log_uniform(random, 1.0, 1000.0));
    }
    for (int32_t i = 0; i < car->ports; i++) {
        car->port[i].from = 1 + netgen_below(random, feeds - 1);
        car->port[i].to = feeds + netgen_below(random, car->nodes - feeds);
    }
    reduce(car);
    for (int32_t i = 0; i < car->ports; i++) {
        /* up to more than its port can give at all */
        const double most_w = car->v0[i] * car->v0[i] / (4.0 * car->z[i][i]);
        car->port[i].watts = fmin(netgen_uniform(random, 0.05, 0.8) * most_w, 20000.0);
        car->port[i].fold_v = netgen_uniform(random, 0.05, 0.7) * car->v0[i];
    }
}

void modulegen_draw(modulegen *car, uint64_t *random)
{
    double least = 0.0;
    while (!(least > 3.0)) {
        draw_once(car, random);
        least = car->e;
        for (int32_t i = 0; i < car->ports; i++) {
            least = fmin(least, car->v0[i]);
        }
    }
}

modulegen_fate modulegen_from_no_load(const modulegen *car, double v[MODULEGEN_PORTS])
{
    double j[MODULEGEN_PORTS] = {0.0};
    for (int32_t n = 0; n < 200000; n++) {
        bool still = true;
        for (int32_t r = 0; r < car->ports; r++) {
            v[r] = car->v0[r];
            for (int32_t c = 0; c < car->ports; c++) {
                if (car->z[r][c] < 0.0) {
                    return MODULEGEN_UNKNOWN;
                }
                v[r] -= car->z[r][c] * j[c];
            }
        }
        for (int32_t r = 0; r < car->ports; r++) {
            if (v[r] < car->port[r].fold_v) {
                return MODULEGEN_COLLAPSES;
            }
            const double next = car->port[r].watts / v[r];
            still = still && next - j[r] <= 1e-14 * next;
            j[r] = next;
        }
        if (still) {
            return MODULEGEN_RUNS;
        }
    }
    return MODULEGEN_UNKNOWN;
}

bool modulegen_folds(const modulegen *car)
{
    modulegen folded = *car;
    for (int32_t i = 0; i < car->ports; i++) {
        const double fold_v = car->port[i].fold_v;
        join(&folded, car->port[i].from, car->port[i].to, fold_v * fold_v / car->port[i].watts);
    }
    reduce(&folded);
    for (int32_t i = 0; i < car->ports; i++) {
        if (folded.v0[i] >= folded.port[i].fold_v) {
            return false;
        }
    }
    return true;
}

/* When Z + Z G Z is positive definite, G the slopes of the modules. */
bool modulegen_stable(const modulegen *car, const double v[MODULEGEN_PORTS])
{
    double m[MODULEGEN_PORTS][MODULEGEN_PORTS];
    const int32_t n = car->ports;
    for (int32_t r = 0; r < n; r++) {
        for (int32_t c = 0; c < n; c++) {
            m[r][c] = car->z[r][c];
            for (int32_t k = 0; k < n; k++) {
                const double watts = car->port[k].watts, fold_v = car->port[k].fold_v;
                const double slope =
                    v[k] >= fold_v ? -watts / (v[k] * v[k]) : watts / (fold_v * fold_v);
                m[r][c] += car->z[r][k] * slope * car->z[k][c];
            }
        }
    }
    for (int32_t k = 0; k < n; k++) {
        if (!(m[k][k] > -1e-9 * car->z[k][k])) {
            return false;
        }
        const bool same_place = m[k][k] < 1e-9 * car->z[k][k]; /* as a port before it */
        for (int32_t r = k + 1; r < n && !same_place; r++) {
            for (int32_t c = k + 1; c < n; c++) {
                m[r][c] -= m[r][k] * m[k][c] / m[k][k];
            }
        }
    }
    return true;
}
