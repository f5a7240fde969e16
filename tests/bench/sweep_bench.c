/* tests/bench/sweep_bench.c: every branch of a network with 25 resistances in series, and shorts
   between random rows, in closed form; beside KLU, which factors again and solves for each case.

   sweep_bench           the tables
   sweep_bench --quick   the smaller network, once; times mean nothing then

   Either way cases picked at random are compared with 34 digits, and the exit status is 1 if one is
   wrong; never if one is slow. Only ratios of one run are worth comparing. */
#include "klu_side.h"
#include "numeric/balance.h"
#include "numeric/column.h"
#include "numeric/effective.h"
#include "numeric/whatif.h"
#include "truth.h"

#include <klu.h>
#include <math.h>
#include <stdbool.h>

enum { SEVERITIES = 25, METERS = 8, CHECKS = 400, ROUNDS = 5 };

#define AGREE 1e-9    /* relative */
#define AGREE_V 1e-12 /* or absolute */
#define ERROR_MOST 1e-11

/* A network, its faults, and all that answering them takes. */
typedef struct sweep {
    netgen net;
    int32_t faults, shorts; /* faults: branches first, then the shorts */
    int32_t *short_from, *short_to;
    double ohm[SEVERITIES];
    int32_t meter[METERS]; /* rows */
    sl__factor *f;
    sl__effective *e;
    sl__column_room room;
    double *b, *x, *rest, *error, *volt, *amp;
    sl__pair *v, *i, *emf, *inject, *sum;
    double *lanes_b, *lanes, *lanes_work, *w;
    double base[METERS];
    double *out;
    int64_t out_room, refined, bridges;
} sweep;

static sweep sweep_of(netgen net, int32_t faults, int64_t out_room, uint64_t seed)
{
    int32_t n = net.rows, m = net.branches;
    sweep s = {.net = net, .faults = faults, .shorts = faults - m, .out_room = out_room};
    uint64_t random = seed;
    s.short_from = cells(s.shorts, sizeof *s.short_from);
    s.short_to = cells(s.shorts, sizeof *s.short_to);
    for (int32_t k = 0; k < s.shorts; k++) {
        s.short_from[k] = netgen_below(&random, n);
        s.short_to[k] = netgen_below(&random, n + 1) - 1;
    }
    for (int32_t k = 0; k < SEVERITIES; k++) {
        s.ohm[k] = pow(10.0, -4.0 + 10.0 * k / (SEVERITIES - 1));
    }
    for (int32_t k = 0; k < METERS; k++) {
        s.meter[k] = netgen_below(&random, n);
    }
    if (sl__factor_new(NULL, n, m, net.from, net.to, &s.f) < 0 ||
        sl__effective_new(s.f, &s.e) < 0) {
        exit(1);
    }
    s.b = cells(n, sizeof *s.b);
    s.x = cells(n, sizeof *s.x);
    s.rest = cells(m, sizeof *s.rest);
    s.error = cells(m, sizeof *s.error);
    s.volt = cells(n, sizeof *s.volt);
    s.amp = cells(m, sizeof *s.amp);
    s.v = cells(n, sizeof *s.v);
    s.i = cells(m, sizeof *s.i);
    s.emf = cells(m, sizeof *s.emf);
    s.inject = cells(n, sizeof *s.inject);
    s.sum = cells(n, sizeof *s.sum);
    s.lanes_b = cells(n * SL__LANES, sizeof *s.lanes_b);
    s.lanes = cells(n * SL__LANES, sizeof *s.lanes);
    s.lanes_work = cells(n * SL__LANES, sizeof *s.lanes_work);
    s.w = cells(n * SL__LANES, sizeof *s.w);
    s.out = cells(1, (size_t)out_room * sizeof *s.out);
    memset(s.out, 1, (size_t)out_room * sizeof *s.out);
    for (int32_t k = 0; k < m; k++) {
        s.emf[k] = sl__pair_of(net.emf[k]);
    }
    for (int32_t r = 0; r < n; r++) {
        s.inject[r] = sl__pair_of(net.inject[r]);
    }
    s.room = (sl__column_room){.factor = s.f,
                               .rows = n,
                               .branches = m,
                               .from = net.from,
                               .to = net.to,
                               .g = net.g,
                               .b = cells(n, sizeof(double)),
                               .x = cells(n, sizeof(double)),
                               .v = cells(n, sizeof(sl__pair)),
                               .sum = cells(n, sizeof(sl__pair)),
                               .inject = cells(n, sizeof(sl__pair)),
                               .i = cells(m, sizeof(sl__pair))};
    return s;
}

static void sweep_end(sweep *s)
{
    sl__effective_free(s->e);
    sl__factor_free(s->f);
    void *all[] = {s->short_from, s->short_to, s->b,      s->x,          s->rest,        s->error,
                   s->volt,       s->amp,      s->v,      s->i,          s->emf,         s->inject,
                   s->sum,        s->lanes_b,  s->lanes,  s->lanes_work, s->w,           s->out,
                   s->room.b,     s->room.x,   s->room.v, s->room.sum,   s->room.inject, s->room.i};
    for (size_t k = 0; k < sizeof all / sizeof *all; k++) {
        free(all[k]);
    }
    netgen_free(&s->net);
}

/* The unchanged network: once for all cases. */
static void solve_base(sweep *s)
{
    const netgen *net = &s->net;
    sl__factor_update(s->f, net->g);
    netgen_currents_in(net, s->b);
    sl__factor_solve(s->f, s->b, s->x);
    for (int32_t r = 0; r < net->rows; r++) {
        s->v[r] = sl__pair_of(s->x[r]);
    }
    sl__pair_currents(net->branches, net->from, net->to, net->g, s->emf, s->v, s->i);
    sl__pair_residual(net->rows, net->branches, net->from, net->to, s->i, s->inject, s->sum, s->b);
    sl__factor_solve(s->f, s->b, s->b);
    sl__pair_correct(net->rows, net->branches, net->from, net->to, net->g, s->b, s->v, s->i);
    for (int32_t r = 0; r < net->rows; r++) {
        s->x[r] = sl__pair_value(s->v[r]);
    }
    sl__effective_update(s->e, net->g, NULL, s->rest, s->error);
}

static double row_of(const double *v, int32_t row)
{
    return row < 0 ? 0.0 : v[row];
}

/* A branch with its severities; where the pass has lost `rest`, from a column of its own. */
static sl__whatif branch_of(sweep *s, int32_t k, bool *own_column)
{
    sl__whatif branch = {sl__pair_value(s->i[k]), s->net.g[k], s->rest[k]};
    *own_column = s->error[k] > ERROR_MOST;
    if (*own_column) {
        branch.rest = sl__column(&s->room, k, s->volt, s->amp);
        s->refined++;
    }
    s->bridges += s->rest[k] == 0.0;
    return branch;
}

static double *next_out(sweep *s, int64_t *at, int64_t size)
{
    *at = *at + size > s->out_room ? 0 : *at;
    double *out = s->out + *at;
    *at += size;
    return out;
}

/* Eight meters: what 1 A at each does everywhere tells what 1 A through any branch does to it. */
static void sweep_meters(sweep *s)
{
    const netgen *net = &s->net;
    s->refined = s->bridges = 0;
    solve_base(s);
    memset(s->lanes_b, 0, (size_t)net->rows * SL__LANES * sizeof *s->lanes_b);
    for (int32_t m = 0; m < METERS; m++) {
        s->lanes_b[s->meter[m] * SL__LANES + m] = 1.0;
        s->base[m] = s->x[s->meter[m]];
    }
    sl__factor_solve_lanes(s->f, s->lanes_b, s->lanes, s->lanes_work);
    static const double nothing[METERS];
    int64_t at = 0;
    for (int32_t k = 0; k < s->faults; k++) {
        bool branch = k < net->branches, own = false;
        int32_t a = branch ? net->from[k] : s->short_from[k - net->branches];
        int32_t b = branch ? net->to[k] : s->short_to[k - net->branches];
        const double *at_a = a < 0 ? nothing : s->lanes + (ptrdiff_t)a * METERS;
        const double *at_b = b < 0 ? nothing : s->lanes + (ptrdiff_t)b * METERS;
        double w[METERS], *out = next_out(s, &at, SEVERITIES * METERS);
        for (int32_t m = 0; m < METERS; m++) {
            w[m] = at_a[m] - at_b[m];
        }
        if (branch) {
            sl__whatif of = branch_of(s, k, &own);
            for (int32_t m = 0; m < METERS && own; m++) {
                w[m] = s->volt[s->meter[m]];
            }
            sl__whatif_series(of, METERS, s->base, w, SEVERITIES, s->ohm, out);
        } else {
            double apart = row_of(s->x, a) - row_of(s->x, b);
            sl__whatif_across(apart, sl__effective_between(s->e, a, b), METERS, s->base, w,
                              SEVERITIES, s->ohm, out);
        }
    }
}

/* Every voltage of every case, written out. */
static void sweep_rows(sweep *s)
{
    const netgen *net = &s->net;
    int32_t n = net->rows;
    int64_t at = 0;
    s->refined = s->bridges = 0;
    solve_base(s);
    for (int32_t first = 0; first < s->faults; first += SL__LANES) {
        int32_t now = s->faults - first < SL__LANES ? s->faults - first : SL__LANES;
        memset(s->lanes_b, 0, (size_t)n * SL__LANES * sizeof *s->lanes_b);
        for (int32_t l = 0; l < now; l++) {
            int32_t k = first + l;
            int32_t a = k < net->branches ? net->from[k] : s->short_from[k - net->branches];
            int32_t b = k < net->branches ? net->to[k] : s->short_to[k - net->branches];
            if (a >= 0) {
                s->lanes_b[a * SL__LANES + l] += 1.0;
            }
            if (b >= 0) {
                s->lanes_b[b * SL__LANES + l] -= 1.0;
            }
        }
        sl__factor_solve_lanes(s->f, s->lanes_b, s->lanes, s->lanes_work);
        for (int32_t r = 0; r < n; r++) {
            for (int32_t l = 0; l < SL__LANES; l++) {
                s->w[(ptrdiff_t)l * n + r] = s->lanes[r * SL__LANES + l];
            }
        }
        for (int32_t l = 0; l < now; l++) {
            int32_t k = first + l;
            const double *w = s->w + (ptrdiff_t)l * n;
            double *out = next_out(s, &at, (int64_t)SEVERITIES * n);
            if (k < net->branches) {
                bool own;
                sl__whatif of = branch_of(s, k, &own);
                sl__whatif_series(of, n, s->x, own ? s->volt : w, SEVERITIES, s->ohm, out);
            } else {
                int32_t a = s->short_from[k - net->branches], b = s->short_to[k - net->branches];
                double apart = row_of(s->x, a) - row_of(s->x, b);
                sl__whatif_across(apart, row_of(w, a) - row_of(w, b), n, s->x, w, SEVERITIES,
                                  s->ohm, out);
            }
        }
    }
}

/* Cases picked at random, against 34 digits. Returns the worst relative error of the meters. */
static double check_meters(sweep *s, uint64_t seed)
{
    const netgen *net = &s->net;
    wide *b = cells(net->rows, sizeof *b), *v = cells(net->rows, sizeof *v);
    netgen changed = *net;
    changed.branches = net->branches + 1;
    changed.from = cells(changed.branches, sizeof *changed.from);
    changed.to = cells(changed.branches, sizeof *changed.to);
    changed.g = cells(changed.branches, sizeof *changed.g);
    changed.emf = cells(changed.branches, sizeof *changed.emf);
    double worst = 0.0;
    sweep_meters(s);
    for (int32_t n = 0; n < CHECKS; n++) {
        int32_t k = netgen_below(&seed, s->faults), c = netgen_below(&seed, SEVERITIES);
        memcpy(changed.from, net->from, (size_t)net->branches * sizeof *net->from);
        memcpy(changed.to, net->to, (size_t)net->branches * sizeof *net->to);
        memcpy(changed.g, net->g, (size_t)net->branches * sizeof *net->g);
        memcpy(changed.emf, net->emf, (size_t)net->branches * sizeof *net->emf);
        int32_t last = net->branches;
        changed.g[last] = changed.emf[last] = 0.0;
        changed.from[last] = changed.to[last] = NETGEN_REFERENCE;
        wide more = 0;
        if (k < net->branches) {
            wide g = 1 / (1 / (wide)net->g[k] + (wide)s->ohm[c]);
            changed.g[k] = (double)g;
            more = g - (wide)changed.g[k]; /* what a double has not of it: laid in parallel */
        } else if (s->short_from[k - last] != s->short_to[k - last]) {
            changed.from[last] = s->short_from[k - last];
            changed.to[last] = s->short_to[k - last];
            changed.g[last] = 1.0 / s->ohm[c];
        }
        (void)more;
        truth_currents_in(&changed, b);
        truth_solve(&changed, b, v);
        const double *out = s->out + ((int64_t)k * SEVERITIES + c) * METERS;
        for (int32_t m = 0; m < METERS; m++) {
            double want = (double)v[s->meter[m]];
            double off = fabs(out[m] - want) / (fabs(want) + AGREE_V / AGREE);
            worst = off > worst ? off : worst;
        }
    }
    free(b);
    free(v);
    free(changed.from);
    free(changed.to);
    free(changed.g);
    free(changed.emf);
    return worst;
}

static double klu_case_us(const netgen *net, int32_t cases)
{
    matrix a = assemble(net);
    klu k = klu_of(&a, 1);
    double *x = cells(net->rows, sizeof *x), times[ROUNDS];
    for (int32_t i = 0; i < ROUNDS; i++) {
        double start = now_us();
        for (int32_t c = 0; c < cases; c++) {
            klu_refactor(a.start, a.row, a.value, k.symbolic, k.numeric, &k.common);
            netgen_currents_in(net, x);
            klu_solve(k.symbolic, k.numeric, a.n, 1, x, &k.common);
        }
        times[i] = (now_us() - start) / cases;
    }
    free(x);
    klu_end(&k);
    matrix_free(&a);
    return median(times, ROUNDS);
}

static double sweep_us(sweep *s, void (*run)(sweep *))
{
    double times[ROUNDS];
    for (int32_t i = 0; i < ROUNDS; i++) {
        double start = now_us();
        run(s);
        times[i] = (now_us() - start) / ((double)s->faults * SEVERITIES);
    }
    return median(times, ROUNDS);
}

/* What this machine writes past its caches, bytes a microsecond. */
static double write_rate(double *out, int64_t room)
{
    double times[ROUNDS], zero = 0.0, one = 1.0;
    enum { RUN = 4096 };
    static double row[RUN];
    double none[1] = {INFINITY};
    for (int32_t i = 0; i < ROUNDS; i++) {
        double start = now_us();
        for (int64_t at = 0; at + RUN <= room; at += RUN) {
            sl__whatif_across(zero, one, RUN, row, row, 1, none, out + at);
        }
        times[i] = now_us() - start;
    }
    return (double)(room / RUN * RUN) * sizeof *out / median(times, ROUNDS);
}

static int table(int32_t rows, int32_t faults, int64_t out_room, int quick)
{
    sweep s = sweep_of(netgen_vehicle(rows, 1), faults, out_room, 7);
    double worst = rows <= 300 ? check_meters(&s, 3) : 0.0;
    if (!quick) {
        double klu_us = klu_case_us(&s.net, rows <= 300 ? 2000 : 20);
        double meters_us = sweep_us(&s, sweep_meters);
        int64_t refined = s.refined, bridges = s.bridges;
        double rows_us = sweep_us(&s, sweep_rows);
        double wrote = (double)rows * sizeof(double) / rows_us, limit = write_rate(s.out, out_room);
        printf("%6d rows, %d faults x %d: KLU %.1f us a case\n"
               "   8 meters:     %.4f us, KLU / ours %.0f; %lld with a column of their own, "
               "%lld bridges\n"
               "   all voltages: %.4f us, KLU / ours %.0f; writes %.1f GB/s of %.1f, %.0f %%\n",
               (int)rows, (int)faults, SEVERITIES, klu_us, meters_us, klu_us / meters_us,
               (long long)refined, (long long)bridges, rows_us, klu_us / rows_us, wrote * 1e-3,
               limit * 1e-3, 100.0 * wrote / limit);
    }
    if (rows <= 300) {
        printf("   %d cases against 34 digits: worst %.1e, allowed %.0e\n", CHECKS, worst, AGREE);
    }
    sweep_end(&s);
    return worst > AGREE;
}

int main(int argc, char **argv)
{
    int quick = argc > 1 && strcmp(argv[1], "--quick") == 0;
    int failed = table(300, 600, 600 * (int64_t)SEVERITIES * 300, quick);
    if (!quick) {
        failed += table(5000, 10000, 25 * (int64_t)SEVERITIES * 5000 * 8, quick);
    }
    return failed ? 1 : 0;
}
