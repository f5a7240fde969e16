/* tests/bench/sweep_bench.c: every branch of a network with 25 resistances in series, and shorts
   between random rows, in closed form; beside KLU, which factors again and solves for each case.

   sweep_bench           the tables
   sweep_bench --quick   the smaller network, once; times mean nothing then

   What bounds them where it was measured: of 8 meters at 300 rows each part but the writing is
   chains of a few additions up or down the elimination tree, one waiting for the other, and no part
   is above a quarter; the writing is at what an array takes that was just written. At 5000 rows
   half is the ways of the shorts up the tree. All voltages: two thirds are writes past the caches,
   at the rate of memory, the rest are solves, which do not overlap with them.

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

enum { SEVERITIES = 25, METERS = 8, CHECKS = 400, MOST_ROUNDS = 64, AGAIN = 24 };

#define AGREE 1e-9    /* relative */
#define AGREE_V 1e-12 /* or absolute */
#define ERROR_MOST 1e-11

/* The parts of a sweep, timed one by one. */
enum { BASE, PASS, COLUMNS, TRANSFERS, SHORTS, WRITING, STAGES };

/* A network, its faults, and all that answering them takes. */
typedef struct sweep {
    netgen net;
    int32_t faults, shorts;         /* faults: branches first, then the shorts */
    int32_t *from, *to;             /* of all faults */
    int32_t *short_from, *short_to; /* in those */
    double ohm[SEVERITIES];
    int32_t meter[METERS]; /* rows */
    sl__factor *f;
    sl__effective *e;
    sl__columns *columns;
    double *b, *x, *rest, *error;
    sl__pair *v, *i, *emf, *inject, *sum;
    double *lanes_b, *lanes, *lanes_work, *w;
    sl__whatif *branch;      /* branches */
    int32_t *flagged;        /* refined: the branches with a column of their own */
    double *own;             /* their columns */
    double *apart, *between; /* shorts */
    double base[METERS];
    double *out, *out_block;
    int64_t out_room, refined, bridges;
    bool quick_runs;       /* of sweep_meters: some microseconds */
    double (*parts)(void); /* the clock they are timed by, if they are */
    double spent[STAGES], since;
} sweep;

static sweep sweep_of(netgen net, int32_t faults, int64_t out_room, uint64_t seed)
{
    int32_t n = net.rows, m = net.branches;
    sweep s = {.net = net,
               .faults = faults,
               .shorts = faults - m,
               .out_room = out_room,
               .quick_runs = net.rows <= 300};
    uint64_t random = seed;
    s.from = cells(faults, sizeof *s.from);
    s.to = cells(faults, sizeof *s.to);
    memcpy(s.from, net.from, (size_t)m * sizeof *s.from);
    memcpy(s.to, net.to, (size_t)m * sizeof *s.to);
    s.short_from = s.from + m;
    s.short_to = s.to + m;
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
        sl__effective_new(s.f, &s.e) < 0 ||
        sl__columns_new(s.f, n, m, net.from, net.to, net.g, &s.columns) < 0) {
        exit(1);
    }
    s.b = cells(n, sizeof *s.b);
    s.x = cells(n, sizeof *s.x);
    s.rest = cells(m, sizeof *s.rest);
    s.error = cells(m, sizeof *s.error);
    s.v = cells(n, sizeof *s.v);
    s.i = cells(m, sizeof *s.i);
    s.emf = cells(m, sizeof *s.emf);
    s.inject = cells(n, sizeof *s.inject);
    s.sum = cells(n, sizeof *s.sum);
    s.lanes_b = cells(n * SL__LANES, sizeof *s.lanes_b);
    s.lanes = cells(n * SL__LANES, sizeof *s.lanes);
    s.lanes_work = cells(2 * (n + 2) * SL__LANES, sizeof *s.lanes_work);
    s.w = cells((n > faults ? n : faults) * SL__LANES, sizeof *s.w);
    s.branch = cells(m, sizeof *s.branch);
    s.flagged = cells(m, sizeof *s.flagged);
    s.own = cells(n, (size_t)m / 8 * sizeof *s.own); /* more of them would be worth a look */
    s.apart = cells(s.shorts, sizeof *s.apart);
    s.between = cells(s.shorts, sizeof *s.between);
    s.out_block = cells(2, (size_t)out_room / 2 * sizeof *s.out + 64);
    memset(s.out_block, 1, (size_t)out_room * sizeof *s.out);
    s.out = (double *)(void *)sl__lanes_at(s.out_block);
    for (int32_t k = 0; k < m; k++) {
        s.emf[k] = sl__pair_of(net.emf[k]);
    }
    for (int32_t r = 0; r < n; r++) {
        s.inject[r] = sl__pair_of(net.inject[r]);
    }
    return s;
}

static void sweep_end(sweep *s)
{
    sl__effective_free(s->e);
    sl__factor_free(s->f);
    sl__columns_free(s->columns);
    void *all[] = {s->from, s->to,     s->b,       s->x,   s->rest,    s->error,   s->v,
                   s->i,    s->emf,    s->inject,  s->sum, s->lanes_b, s->lanes,   s->lanes_work,
                   s->w,    s->branch, s->flagged, s->own, s->apart,   s->between, s->out_block};
    for (size_t k = 0; k < sizeof all / sizeof *all; k++) {
        free(all[k]);
    }
    netgen_free(&s->net);
}

/* Processor time: others may be at work on this machine. */
static double used_us(void)
{
    return (double)clock() * (1e6 / CLOCKS_PER_SEC);
}

static void lap(sweep *s, int stage)
{
    if (s->parts) {
        double now = s->parts();
        s->spent[stage] += now - s->since;
        s->since = now;
    }
}

/* The unchanged network: once for all cases. */
static void solve_base(sweep *s)
{
    const netgen *net = &s->net;
    s->since = s->parts ? s->parts() : 0.0;
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
    lap(s, BASE);
    sl__effective_update(s->e, net->g, NULL, s->rest, s->error);
    lap(s, PASS);
}

static double row_of(const double *v, int32_t row)
{
    return row < 0 ? 0.0 : v[row];
}

/* All branches; where the pass has lost `rest`, from a column of their own: those of the readings
   `row` are kept in s->own, as many for each column as there are readings; of all rows if NULL. */
static void find_branches(sweep *s, int32_t readings, const int32_t *row)
{
    s->refined = s->bridges = 0;
    for (int32_t k = 0; k < s->net.branches; k++) {
        s->branch[k] = (sl__whatif){sl__pair_value(s->i[k]), s->net.g[k], s->rest[k]};
        if (s->error[k] > ERROR_MOST) {
            s->flagged[s->refined++] = k;
        }
        s->bridges += s->rest[k] == 0.0;
    }
    for (int64_t first = 0; first < s->refined; first += SL__LANES) {
        int32_t now = s->refined - first < SL__LANES ? (int32_t)(s->refined - first) : SL__LANES;
        const int32_t *of = s->flagged + first;
        double rest[SL__LANES];
        sl__columns_of(s->columns, now, of, s->lanes, NULL, rest);
        for (int32_t l = 0; l < now; l++) {
            s->branch[of[l]].rest = rest[l];
            for (int32_t r = 0; r < readings; r++) {
                s->own[(first + l) * readings + r] = s->lanes[(row ? row[r] : r) * SL__LANES + l];
            }
        }
    }
    lap(s, COLUMNS);
}

/* Eight meters: what 1 A at each does everywhere tells what 1 A through any branch does to it. */
static void sweep_meters(sweep *s)
{
    const netgen *net = &s->net;
    solve_base(s);
    find_branches(s, METERS, s->meter);
    static const int32_t reference[METERS] = {SL__REFERENCE, SL__REFERENCE, SL__REFERENCE,
                                              SL__REFERENCE, SL__REFERENCE, SL__REFERENCE,
                                              SL__REFERENCE, SL__REFERENCE};
    for (int32_t m = 0; m < METERS; m++) {
        s->base[m] = s->x[s->meter[m]];
    }
    sl__whatif_transfers(s->f, METERS, s->meter, reference, s->faults, s->from, s->to, s->w,
                         s->lanes_work);
    for (int64_t n = 0; n < s->refined; n++) {
        memcpy(s->w + (ptrdiff_t)s->flagged[n] * METERS, s->own + n * METERS,
               METERS * sizeof *s->w);
    }
    lap(s, TRANSFERS);
    sl__effective_between_all(s->e, s->shorts, s->short_from, s->short_to, s->between);
    for (int32_t k = 0; k < s->shorts; k++) {
        s->apart[k] = row_of(s->x, s->short_from[k]) - row_of(s->x, s->short_to[k]);
    }
    lap(s, SHORTS);
    sl__whatif_series_all(net->branches, s->branch, METERS, s->base, s->w, SEVERITIES, s->ohm,
                          s->out);
    sl__whatif_across_all(s->shorts, s->apart, s->between, METERS, s->base,
                          s->w + (ptrdiff_t)net->branches * METERS, SEVERITIES, s->ohm,
                          s->out + (ptrdiff_t)net->branches * SEVERITIES * METERS);
    lap(s, WRITING);
}

static double *next_out(sweep *s, int64_t *at, int64_t size)
{
    *at = *at + size > s->out_room ? 0 : *at;
    double *out = s->out + *at;
    *at += size;
    return out;
}

/* What 1 A through each of SL__LANES faults does to all rows, one after another in s->w. */
static void solve_faults(sweep *s, int32_t first, int32_t now)
{
    int32_t n = s->net.rows;
    memset(s->lanes_b, 0, (size_t)n * SL__LANES * sizeof *s->lanes_b);
    for (int32_t l = 0; l < now; l++) {
        int32_t a = s->from[first + l], b = s->to[first + l];
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
}

/* All rows for the faults that solve_faults has done. */
static void write_faults(sweep *s, int32_t first, int32_t now, int64_t *next_own, double *out)
{
    int32_t n = s->net.rows, m = s->net.branches, series = 0;
    double apart[SL__LANES], between[SL__LANES];
    for (int32_t l = 0; l < now; l++) {
        int32_t k = first + l, a = s->from[k], b = s->to[k];
        double *w = s->w + (ptrdiff_t)l * n;
        if (k < m) {
            series++;
            if (*next_own < s->refined && s->flagged[*next_own] == k) {
                memcpy(w, s->own + n * (*next_own)++, (size_t)n * sizeof *w);
            }
            continue;
        }
        apart[l - series] = row_of(s->x, a) - row_of(s->x, b);
        between[l - series] = row_of(w, a) - row_of(w, b);
    }
    sl__whatif_series_all(series, s->branch + (first < m ? first : 0), n, s->x, s->w, SEVERITIES,
                          s->ohm, out);
    sl__whatif_across_all(now - series, apart, between, n, s->x, s->w + (ptrdiff_t)series * n,
                          SEVERITIES, s->ohm, out + (ptrdiff_t)series * SEVERITIES * n);
}

/* Every voltage of every case, written out. */
static void sweep_rows(sweep *s)
{
    const netgen *net = &s->net;
    int32_t n = net->rows;
    int64_t at = 0, next_own = 0;
    solve_base(s);
    find_branches(s, n, NULL);
    for (int32_t first = 0; first < s->faults; first += SL__LANES) {
        int32_t now = s->faults - first < SL__LANES ? s->faults - first : SL__LANES;
        solve_faults(s, first, now);
        lap(s, TRANSFERS);
        double *out = next_out(s, &at, (int64_t)now * SEVERITIES * n);
        write_faults(s, first, now, &next_own, out);
        lap(s, WRITING);
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

typedef struct klu_case {
    matrix a;
    klu k;
    double *x;
} klu_case;

static double klu_us(klu_case *of, const netgen *net, int32_t cases)
{
    double start = used_us();
    for (int32_t c = 0; c < cases; c++) {
        klu_refactor(of->a.start, of->a.row, of->a.value, of->k.symbolic, of->k.numeric,
                     &of->k.common);
        netgen_currents_in(net, of->x);
        klu_solve(of->k.symbolic, of->k.numeric, of->a.n, 1, of->x, &of->k.common);
    }
    return (used_us() - start) / cases;
}

/* One run. To ask for processor time is to call the system, which empties tables that a run of
   some microseconds would miss: such runs are timed by the wall, many of them, for a median. */
static double sweep_us(sweep *s, void (*run)(sweep *))
{
    double (*clock_of)(void) = s->quick_runs && run == sweep_meters ? now_us : used_us;
    s->parts = NULL;
    double start = clock_of();
    run(s);
    return clock_of() - start;
}

/* Adds what the parts of another run take, of the same work. */
static void add_parts(sweep *s, void (*run)(sweep *), double (*part)[MOST_ROUNDS], int32_t round)
{
    s->parts = s->quick_runs && run == sweep_meters ? now_us : used_us;
    memset(s->spent, 0, sizeof s->spent);
    run(s);
    for (int n = 0; n < STAGES; n++) {
        part[n][round] = s->spent[n];
    }
}

/* What this machine writes past its caches in 1 us, in bytes; and into an array that was just
   written. */
static double write_rate(double *out, int64_t room, bool past)
{
    static const double row[4096], none[1] = {INFINITY};
    static double zero[SL__LANES * 64];
    enum { RUN = 4096, CASES = 64 };
    double start = used_us();
    if (past) {
        for (int64_t at = 0; at + RUN <= room; at += RUN) {
            sl__whatif_across(0.0, 1.0, RUN, row, row, 1, none, out + at);
        }
        return (double)(room / RUN * RUN) * sizeof *out / (used_us() - start);
    }
    for (int64_t at = 0; at + 8 * CASES <= room; at += 8 * CASES) {
        memcpy(out + at, zero, 8 * CASES * sizeof *out);
    }
    return (double)(room / (8 * CASES) * 8 * CASES) * sizeof *out / (used_us() - start);
}

/* Medians of all that is raced, round by round. */
typedef struct result {
    double klu, meters, rows, past, into;
    double meters_part[STAGES], rows_part[STAGES];
} result;

static result race(sweep *s, int32_t rounds, int32_t klu_cases)
{
    static double meters[MOST_ROUNDS * AGAIN];
    static double v[5][MOST_ROUNDS], of_meters[STAGES][MOST_ROUNDS], of_rows[STAGES][MOST_ROUNDS];
    matrix a = assemble(&s->net);
    klu_case k = {.a = a, .x = cells(s->net.rows, sizeof(double))};
    k.k = klu_of(&k.a, 1);
    for (int32_t i = -1; i < rounds; i++) { /* round -1 only warms up */
        int32_t at = i < 0 ? 0 : i;
        int64_t wrote = (int64_t)s->faults * SEVERITIES * METERS;
        v[0][at] = klu_us(&k, &s->net, klu_cases);
        for (int32_t again = 0; again < AGAIN; again++) { /* as the cases of KLU are */
            meters[at * AGAIN + again] = sweep_us(s, sweep_meters);
        }
        add_parts(s, sweep_meters, of_meters, at);
        v[4][at] = write_rate(s->out, wrote < s->out_room ? wrote : s->out_room, false);
        v[2][at] = sweep_us(s, sweep_rows);
        v[3][at] = write_rate(s->out, s->out_room, true);
        add_parts(s, sweep_rows, of_rows, at);
    }
    double cases = (double)s->faults * SEVERITIES;
    result r = {.klu = median(v[0], rounds),
                .meters = median(meters, rounds * AGAIN) / cases,
                .rows = median(v[2], rounds) / cases,
                .past = median(v[3], rounds),
                .into = median(v[4], rounds)};
    for (int n = 0; n < STAGES; n++) {
        r.meters_part[n] = median(of_meters[n], rounds);
        r.rows_part[n] = median(of_rows[n], rounds);
    }
    free(k.x);
    klu_end(&k.k);
    matrix_free(&k.a);
    return r;
}

static void print_parts(const double *part)
{
    static const char *const name[STAGES] = {"base",      "pass",   "columns",
                                             "transfers", "shorts", "writing"};
    double all = 0.0;
    for (int n = 0; n < STAGES; n++) {
        all += part[n];
    }
    printf("                ");
    for (int n = 0; n < STAGES; n++) {
        if (part[n] > 0.0) {
            printf(" %s %.0f us (%.0f %%)", name[n], part[n], 100.0 * part[n] / all);
        }
    }
    printf("\n");
}

static int table(int32_t rows, int32_t faults, int64_t out_room, int quick)
{
    sweep s = sweep_of(netgen_vehicle(rows, 1), faults, out_room, 7);
    double worst = rows <= 300 ? check_meters(&s, 3) : 0.0;
    if (!quick) {
        result r = race(&s, rows <= 300 ? 61 : 3, rows <= 300 ? 50 : 10);
        printf("%6d rows, %d faults x %d: KLU %.1f us a case\n"
               "   8 meters:     %.5f us, KLU / ours %.0f; %lld with a column of their own, "
               "%lld bridges; writes %.1f GB/s, an array as large once more %.1f\n",
               (int)rows, (int)faults, SEVERITIES, r.klu, r.meters, r.klu / r.meters,
               (long long)s.refined, (long long)s.bridges, METERS * 8e-3 / r.meters, r.into * 1e-3);
        print_parts(r.meters_part);
        double wrote = (double)rows * sizeof(double) / r.rows;
        printf("   all voltages: %.4f us, KLU / ours %.0f; writes %.1f GB/s of %.1f, %.0f %%\n",
               r.rows, r.klu / r.rows, wrote * 1e-3, r.past * 1e-3, 100.0 * wrote / r.past);
        print_parts(r.rows_part);
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
