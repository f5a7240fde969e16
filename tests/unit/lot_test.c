/* Samples eight at a time: the same as each by itself, and as each solved whole. */
#include "analysis/band.h"
#include "near.h"
#include "netgen.h"
#include "numeric/lane_kernels.h"
#include "rig.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Of parts that are alike in what they test, one in so many. */
enum { SEED = 7, EVERY_KIND = TEST_IS_SLOW ? 29 : 9, EVERY_BRANCH = TEST_IS_SLOW ? 7 : 3 };

/* A case, its plans, and a lot of the first of them. */
typedef struct bench {
    sl_case *cs;
    sl_band *band;
    sl__plans *plans;
    sl__lots *lots;
    sl__lot *lot;
    double *z, *other, *room;
} bench;

static double *lanes(int32_t count)
{
    double *array = calloc((size_t)count * SL__LANES, sizeof *array);
    assert_non_null(array);
    return array;
}

/* usual: what has no spread has the usual one of its kind. False: no such reading, or no plan. */
static bool open_bench(const sl_circuit *c, sl_condition condition, const sl_reading *of,
                       bool usual, bench *b)
{
    *b = (bench){.cs = rig_case(c, condition)};
    if (sl_band_new(b->cs, of, usual, &b->band) == SL_OK) {
        assert_int_equal(sl__plans_new(&b->band->al, b->cs, &b->band->vary, of, &b->plans), SL_OK);
        assert_int_equal(sl__lots_new(&b->band->al, b->plans, &b->lots), SL_OK);
        const int32_t count = b->band->vary.count + 1;
        b->z = lanes(count);
        b->other = lanes(count);
        b->room = lanes(count);
    }
    if (b->plans && sl__plans_count(b->plans) > 0) {
        assert_int_equal(sl__lot_new(&b->band->al, sl__plans_at(b->plans, 0), &b->lot), SL_OK);
    }
    return b->lot;
}

static void close_bench(bench *b)
{
    sl__lot_free(b->lot);
    sl__lots_free(b->lots);
    sl__plans_free(b->plans);
    sl_band_free(b->band);
    sl_case_free(b->cs);
    free(b->z);
    free(b->other);
    free(b->room);
}

static void draw_lanes(const bench *b, int64_t first, sl_shape shape, double *z)
{
    int64_t sample[SL__LANES];
    for (int l = 0; l < SL__LANES; l++) {
        sample[l] = first + l;
    }
    sl__counter_lanes(sl__lanes_kernels_of(sl__lane_kernels()), SEED, sample, b->band->count, shape,
                      z, b->room);
}

/* Every width of vector, and one number alone: the same digits. */
static void test_numbers(void **state)
{
    (void)state;
    enum { COUNT = 61 };
    double *z = lanes(COUNT), *room = lanes(COUNT);
    for (int shape = 0; shape < 2; shape++) {
        for (int32_t kernel = 1; kernel <= sl__lane_kernels(); kernel++) {
            for (int64_t first = 0; first < (INT64_C(1) << 40); first = first * 5000 + 3) {
                int64_t sample[SL__LANES];
                for (int l = 0; l < SL__LANES; l++) {
                    sample[l] = first + l;
                }
                sl__counter_lanes(sl__lanes_kernels_of(kernel), 5 + (UINT64_C(3) << 33), sample,
                                  COUNT, (sl_shape)shape, z, room);
                for (int32_t k = 0; k < COUNT * SL__LANES; k++) {
                    const double one =
                        sl__counter_draw(5 + (UINT64_C(3) << 33), first + k % SL__LANES,
                                         k / SL__LANES, (sl_shape)shape);
                    assert_memory_equal(&z[k], &one, sizeof one);
                }
            }
        }
    }
    free(z);
    free(room);
}

/* The kernels of every width, beside what they say they do. */
static void test_kernels(void **state)
{
    (void)state;
    static const double c[] = {0.5, -0.25, 0.125, 0.0625};
    const sl__lanes_spread spread[] = {
        {.value = 2.0,
         .down = 0.5,
         .up = 1.0,
         .least = 1.7,
         .greatest = 2.6,
         .ohm = 0.25,
         .ohm_each = 1.5,
         .z = 1,
         .to = 0},
    };
    double z[2 * SL__LANES], x[SL__LANES], g[SL__LANES], p[SL__LANES];
    for (int l = 0; l < SL__LANES; l++) {
        z[SL__LANES + l] = 2.0 * l / (SL__LANES - 1) - 1.0;
    }
    for (int32_t kernel = 1; kernel <= sl__lane_kernels(); kernel++) {
        const sl__lanes_kernels *with = sl__lanes_kernels_of(kernel);
        with->values(1, spread, z, x);
        with->ohmic(1, spread, z, g);
        for (int l = 0; l < SL__LANES; l++) {
            const sl_spread given = {0.5, 1.0, false};
            assert_true(x[l] == sl__spread_value(&given, 2.0, z[SL__LANES + l], 1.7, 2.6));
            assert_true(g[l] == 1.0 / (0.25 + 1.5 * x[l]));
            p[l] = 2.0;
        }
        const sl__lanes_spread series[] = {
            {.value = 2.0, .greatest = 9.0, .ohm = 1.0, .z = 1, .to = -1}, spread[0]};
        with->ohmic(2, series, z, g);
        for (int l = 0; l < SL__LANES; l++) {
            assert_true(g[l] == 1.0 / (1.0 + (0.25 + 1.5 * x[l])));
        }
        with->chebyshev(4, c, 2.0, 1.25, x, p);
        for (int l = 0; l < SL__LANES; l++) {
            const double t = (x[l] - 2.0) * 1.25;
            const double y =
                0.5 - 0.25 * t + 0.125 * (2.0 * t * t - 1.0) + 0.0625 * (4.0 * t * t * t - 3.0 * t);
            assert_near("series", p[l], 2.0 * y, 1e-14);
        }
    }
}

/* What comes out of a lane does not depend on the others, nor on which lane it is. */
static void check_alone(bench *b)
{
    const int32_t count = b->band->vary.count + 1;
    double value[SL__LANES], again[SL__LANES];
    for (int64_t first = 0; first < 64; first += SL__LANES) {
        draw_lanes(b, first, SL_UNIFORM, b->z);
        draw_lanes(b, 1000 + first, SL_NORMAL, b->other);
        const unsigned answered = sl__lot_solve(b->lot, (1U << SL__LANES) - 1U, b->z, value);
        for (int l = 0; l < SL__LANES; l++) {
            const int to = (l + 3) % SL__LANES;
            for (int32_t k = 0; k < count; k++) {
                b->other[k * SL__LANES + to] = b->z[k * SL__LANES + l];
            }
            const unsigned now = sl__lot_solve(b->lot, 1U << to, b->other, again);
            assert_int_equal(now >> to & 1U, answered >> l & 1U);
            if (answered >> l & 1U) {
                assert_memory_equal(&again[to], &value[l], sizeof *value);
            }
        }
    }
}

/* Less than this is no current, and no voltage. */
#define NOTHING 1e-16

/* Puts the case at a sample, and solves it whole. */
static double whole_reading(bench *b, int64_t sample)
{
    double whole;
    for (int32_t k = 0; k < b->band->count; k++) {
        sl__band_place(b->band, &b->band->vary, k, sl__counter_draw(SEED, sample, k, SL_UNIFORM));
    }
    b->cs->vary = &b->band->vary;
    b->cs->one_order = true;
    assert_int_equal(sl__band_solve(b->band, b->cs, &whole), SL_OK);
    return whole;
}

/* What samples of a band did. */
typedef struct tried {
    double worst; /* the greatest difference from whole solves, as a share of the reading */
    int64_t answered;
    uint64_t plans; /* that some of them took, as bits */
} tried;

static tried check_whole(bench *b, int32_t samples)
{
    tried t = {0};
    double value[SL__LOTS_MOST];
    int32_t plan[SL__LOTS_MOST];
    sl__lots_solve(b->lots, SEED, SL_UNIFORM, 0, samples, value, plan);
    for (int32_t k = 0; k < samples; k++) {
        if (plan[k] < 0) {
            continue;
        }
        const double whole = whole_reading(b, k);
        assert_memory_equal(sl__plan_ends(sl__plans_at(b->plans, plan[k])), b->cs->answer[0].state,
                            (size_t)b->cs->parts * sizeof *b->cs->answer[0].state);
        const double off = fabs(value[k] - whole) / fmax(fabs(whole), NOTHING);
        t.worst = off > t.worst ? off : t.worst;
        t.answered++;
        t.plans |= UINT64_C(1) << plan[k];
    }
    return t;
}

/* What comes out of a sample does not depend on those that are asked with it. */
static void check_gathering(bench *b, int32_t samples)
{
    double value[SL__LOTS_MOST], again[SL__LOTS_MOST];
    int32_t plan[SL__LOTS_MOST], now[SL__LOTS_MOST];
    sl__lots_solve(b->lots, SEED, SL_NORMAL, 0, samples, value, plan);
    for (int32_t first = 0, count = 1; first + count < samples; first += count++) {
        sl__lots_solve(b->lots, SEED, SL_NORMAL, first, count, again, now);
        assert_memory_equal(now, plan + first, (size_t)count * sizeof *now);
        for (int32_t k = 0; k < count; k++) {
            if (now[k] >= 0) {
                assert_memory_equal(&again[k], &value[first + k], sizeof *value);
            }
        }
    }
}

/* A circuit with a part of every kind, in each of its conditions: currents of parts and voltages.
 */
static void test_every_kind(void **state)
{
    (void)state;
    sl_circuit *c = NULL;
    assert_int_equal(rig_every_kind(NULL, &c), SL_OK);
    int64_t answered = 0, asked = 0;
    int32_t plans = 0, readings = 0;
    for (sl_condition condition = 0; condition < sl_circuit_condition_count(c); condition++) {
        for (sl_part p = 0; p < sl_circuit_part_count(c); p += EVERY_KIND) {
            bench b;
            const sl_reading amps = {p, 0, SL_NONE, SL_NONE};
            const sl_reading volts = {SL_NONE, -1, sl_circuit_part_node(c, p, 0),
                                      sl_circuit_reference(c)};
            if (open_bench(c, condition, p % 2 ? &amps : &volts, true, &b)) {
                const tried t = check_whole(&b, 24);
                if (!(t.worst <= 1e-9)) {
                    fail_msg("%s in condition %d is off by %g", sl_circuit_part_name(c, p),
                             (int)condition, t.worst);
                }
                answered += t.answered;
                asked += 24;
                plans++;
            }
            if (condition == 2 && p == 0 && b.lot) {
                check_alone(&b);
            }
            readings += b.band != NULL;
            close_bench(&b);
        }
    }
    assert_int_equal(plans, readings);
    assert_true(plans > 0 && answered * 10 > asked * 9);
    sl_circuit_free(c);
}

/* The wiring of a vehicle with lamps for loads: what is lost in single cables, down to microvolts
   between two nodes at 12 V, and currents of leaks; every sample of it in a lot. */
static void test_small_differences(void **state)
{
    (void)state;
    const sl_spread tenth = {0.1, 0.1, true};
    netgen net = netgen_vehicle(40, 3);
    sl_circuit *c = rig_circuit(NULL);
    for (int32_t e = 0; e < net.branches; e++) {
        char name[24], nodes[60], values[60];
        const double ohm = 1.0 / net.g[e];
        const bool battery = net.emf[e] != 0.0, lamp = e % 3 == 0 && ohm > 1.0 && ohm < 500.0;
        snprintf(name, sizeof name, "P%d", (int)e);
        snprintf(nodes, sizeof nodes, "n%d n%d", (int)(battery ? net.to[e] : net.from[e]) + 1,
                 (int)(battery ? net.from[e] : net.to[e]) + 1);
        snprintf(values, sizeof values, lamp ? "power=%.17g" : "resistance=%.17g",
                 lamp ? 144.0 / ohm : ohm);
        const sl_part part = rig_part(c,
                                      battery ? "battery"
                                      : lamp  ? "lamp"
                                              : "resistor",
                                      name, nodes, values);
        const int32_t param =
            rig_param(sl_circuit_part_kind(c, part), lamp ? "power" : "resistance");
        assert_int_equal(sl_circuit_set_spread(c, SL_NONE, part, param, &tenth), SL_OK);
    }
    assert_int_equal(sl_circuit_set_reference(c, sl_circuit_find_node(c, "n0")), SL_OK);
    double least = INFINITY;
    for (sl_part p = 0; p < sl_circuit_part_count(c); p += EVERY_BRANCH) {
        const sl_reading volts = {SL_NONE, -1, sl_circuit_part_node(c, p, 0),
                                  sl_circuit_part_node(c, p, 1)};
        const sl_reading amps = {p, 0, SL_NONE, SL_NONE};
        bench b;
        assert_true(open_bench(c, 0, p % 2 ? &amps : &volts, true, &b));
        const tried t = check_whole(&b, 16);
        assert_at_most("off", t.worst, 1e-9);
        assert_int_equal(t.answered, 16);
        least = fmin(least, fabs(sl_band_nominal(b.band)));
        close_bench(&b);
    }
    assert_true(least == 0.0);
    sl_circuit_free(c);
    netgen_free(&net);
}

/* Conditions one after another: switches are open, closed and open again, and one resistance in
   five is greater by half while they are closed. */
static void add_conditions(sl_circuit *c)
{
    static const char *const names[] = {"open", "closed", "open again"};
    for (sl_condition at = 0; at < 3; at++) {
        sl_condition same;
        assert_int_equal(sl_circuit_add_condition(c, names[at], &same), SL_OK);
        if (at > 0) {
            assert_int_equal(sl_condition_after(c, at, at - 1), SL_OK);
        }
    }
    for (sl_part p = 0; p < sl_circuit_part_count(c); p++) {
        const sl_kind *kind = sl_circuit_part_kind(c, p);
        sl_edit edit = {.part = p, .change = SL_SET};
        if (strcmp(kind->name, "switch") == 0) {
            edit.index = kind->position_param;
            edit.value = 1.0;
        } else if (strcmp(kind->name, "resistor") == 0 && p % 5 == 0) {
            edit.index = rig_param(kind, "resistance");
            assert_int_equal(sl_circuit_part_value(c, p, edit.index, &edit.value, NULL), SL_OK);
            edit.value *= 1.5;
        } else {
            continue;
        }
        assert_int_equal(sl_condition_edit(c, 1, &edit), SL_OK);
    }
}

/* The wiring of a vehicle with dead ends and long runs; one branch in nine comes behind a relay,
   and switches join others, so that what is a run at one moment is two, or none, at another. */
static sl_circuit *build_switched(const netgen *net)
{
    sl_circuit *c = rig_circuit(NULL);
    for (int32_t e = 0; e < net->branches; e++) {
        const int32_t from = net->from[e] + 1, to = net->to[e] + 1, coil = 1 + e % net->rows;
        const bool battery = net->emf[e] != 0.0, relay = e % 9 == 4;
        char name[24], nodes[100], values[60];
        if (relay) {
            snprintf(name, sizeof name, "K%d", (int)e);
            snprintf(nodes, sizeof nodes, "n%d k%d n%d n0", (int)from, (int)e, (int)coil);
            rig_part(c, "relay", name, nodes, "");
        }
        if (e % 9 == 7 && from != coil) {
            snprintf(name, sizeof name, "S%d", (int)e);
            snprintf(nodes, sizeof nodes, "n%d n%d", (int)from, (int)coil);
            rig_part(c, "switch", name, nodes, "");
        }
        snprintf(name, sizeof name, "P%d", (int)e);
        snprintf(nodes, sizeof nodes, "%s%d n%d", relay ? "k" : "n",
                 (int)(relay     ? e
                       : battery ? to
                                 : from),
                 (int)(battery ? from : to));
        snprintf(values, sizeof values, "resistance=%.17g", 1.0 / net->g[e]);
        rig_part(c, battery ? "battery" : "resistor", name, nodes, values);
    }
    assert_int_equal(sl_circuit_set_reference(c, sl_circuit_find_node(c, "n0")), SL_OK);
    add_conditions(c);
    return c;
}

/* Puts spreads of 10 % on some parts, from `first` on one in `every`. */
static void let_vary(sl_circuit *c, sl_part first, int32_t every)
{
    const sl_spread tenth = {0.1, 0.1, true};
    for (sl_part p = first; p < sl_circuit_part_count(c); p += every) {
        const sl_kind *kind = sl_circuit_part_kind(c, p);
        const char *param = strcmp(kind->name, "relay") == 0 ? "pull_in" : "resistance";
        assert_int_equal(sl_circuit_set_spread(c, SL_NONE, p, rig_param(kind, param), &tenth),
                         SL_OK);
    }
}

/* Resistances in series, of which some vary and some do not, from one moment to the next. */
static void test_runs(void **state)
{
    (void)state;
    int64_t answered = 0, asked = 0;
    int32_t most_plans = 0;
    for (int32_t seed = 1; seed <= (TEST_IS_SLOW ? 3 : 24); seed++) {
        netgen net = netgen_vehicle(30 + seed, (uint64_t)seed);
        sl_circuit *c = build_switched(&net);
        let_vary(c, seed % 2, 1 + seed % 3);
        const sl_node end = sl_circuit_part_node(c, sl_circuit_part_count(c) - 1, 0);
        const sl_reading of[] = {{SL_NONE, -1, end, sl_circuit_reference(c)},
                                 {seed, 0, SL_NONE, SL_NONE}};
        for (int r = 0; r < 4; r++) {
            bench b;
            if (open_bench(c, 1 + r / 2, &of[r % 2], false, &b)) {
                const tried t = check_whole(&b, 24);
                if (!(t.worst <= 1e-9)) {
                    fail_msg("seed %d, reading %d is off by %g", (int)seed, r, t.worst);
                }
                check_alone(&b);
                answered += t.answered;
                asked += 24;
                const int32_t plans = sl__plans_count(b.plans);
                most_plans = plans > most_plans ? plans : most_plans;
            }
            close_bench(&b);
        }
        sl_circuit_free(c);
        netgen_free(&net);
    }
    assert_true(asked > 0 && answered * 4 > asked * 3); /* in the others relays chatter */
    assert_true(most_plans > 1);
}

/* Two ways from the battery to a load, closed one after the other and then both: the first
   resistance stands for all of one, for all of the other, and for itself alone. */
static void test_run_parts(void **state)
{
    (void)state;
    static const struct {
        const char *kind, *name, *nodes, *values;
    } parts[] = {
        {"battery", "B", "plus 0", "resistance=0.02"},  {"relay", "K", "plus x plus 0", ""},
        {"resistor", "R", "plus fork", "resistance=1"}, {"switch", "S1", "fork a", ""},
        {"resistor", "R1", "a out", "resistance=2"},    {"switch", "S2", "fork b", ""},
        {"resistor", "R2", "b out", "resistance=3"},    {"resistor", "L", "out 0", "resistance=4"},
    };
    static const sl_spread tenth = {0.1, 0.1, true};
    static const char *const names[] = {"one", "other", "both"};
    sl_circuit *c = rig_circuit(NULL);
    for (size_t k = 0; k < sizeof parts / sizeof *parts; k++) {
        rig_part(c, parts[k].kind, parts[k].name, parts[k].nodes, parts[k].values);
    }
    const sl_part load = sl_circuit_find_part(c, "L");
    const int32_t ohm = rig_param(sl_circuit_part_kind(c, load), "resistance");
    assert_int_equal(sl_circuit_set_spread(c, SL_NONE, load, ohm, &tenth), SL_OK);
    for (int32_t n = 0; n < 3; n++) {
        sl_condition at;
        assert_int_equal(sl_circuit_add_condition(c, names[n], &at), SL_OK);
        assert_int_equal(n > 0 ? sl_condition_after(c, at, at - 1) : SL_OK, SL_OK);
        for (int32_t way = 0; way < 2; way++) {
            const sl_edit edit = rig_set(c, way ? "S2" : "S1", "position", n == 2 || n == way);
            assert_int_equal(sl_condition_edit(c, at, &edit), SL_OK);
        }
        const sl_reading of = {SL_NONE, -1, sl_circuit_find_node(c, "out"),
                               sl_circuit_reference(c)};
        bench b;
        assert_true(open_bench(c, at, &of, false, &b));
        const tried t = check_whole(&b, 24);
        assert_at_most(names[n], t.worst, 1e-9);
        assert_int_equal(t.answered, 24);
        close_bench(&b);
    }
    sl_circuit_free(c);
}

/* What a battery has with nothing on it. */
static double open_volts(void)
{
    sl_circuit *c = rig_grounded();
    rig_part(c, "battery", "B", "plus 0", "resistance=0.1,surface_charge=0.4");
    sl_case *cs = rig_solved(c, 0);
    const double volts = rig_volts(cs, c, "plus");
    rig_free(c, cs);
    return volts;
}

/* A source without resistance that varies lifts what hangs on it at every moment, not at the first
   alone; and one with a resistance drives a current though beside it hangs an equal one without. */
static void check_ideal_source(int moves)
{
    const sl_spread tenth = {0.1, 0.1, true}, charged = {0.3, 0.3, false};
    sl_circuit *c = rig_grounded();
    char volts[40];
    snprintf(volts, sizeof volts, "voltage=%.17g", open_volts());
    rig_part(c, "resistor", "G", "g 0", "resistance=0.01");
    const sl_part ideal = rig_part(c, "source", "ideal", "plus g", volts);
    const sl_part real =
        rig_part(c, "battery", "real", "plus 0", "resistance=0.1,surface_charge=0.4");
    rig_part(c, "relay", "K", "plus load plus 0", "");
    rig_part(c, "resistor", "R", "load out", "resistance=1");
    rig_part(c, "resistor", "S", "out 0", "resistance=1");
    const int32_t voltage = rig_param(sl_circuit_part_kind(c, ideal), "voltage");
    const int32_t surface = rig_param(sl_circuit_part_kind(c, real), "surface_charge");
    if (moves & 1) {
        assert_int_equal(sl_circuit_set_spread(c, SL_NONE, ideal, voltage, &tenth), SL_OK);
    }
    if (moves & 2) {
        assert_int_equal(sl_circuit_set_spread(c, SL_NONE, real, surface, &charged), SL_OK);
    }
    const sl_reading of[] = {{SL_NONE, -1, sl_circuit_find_node(c, "out"), sl_circuit_reference(c)},
                             {real, 0, SL_NONE, SL_NONE},
                             {ideal, 0, SL_NONE, SL_NONE}};
    for (int r = 0; r < 3; r++) {
        bench b;
        assert_true(open_bench(c, 0, &of[r], false, &b));
        const tried t = check_whole(&b, 64);
        assert_at_most("off", t.worst, 1e-9);
        assert_int_equal(t.answered, 64);
        close_bench(&b);
    }
    sl_circuit_free(c);
}

static void test_ideal_sources(void **state)
{
    (void)state;
    for (int moves = 1; moves <= 3; moves++) {
        check_ideal_source(moves);
    }
}

/* Nor on the number of threads, or on what they take at a time. */
static void check_threads(bench *b, int64_t samples)
{
    sl_drawn one, many;
    sl_draw how = {.samples = samples, .seed = SEED, .threads = 1, .least = 9.0, .greatest = 9.5};
    assert_int_equal(sl_band_draw(b->band, &how, &one), SL_OK);
    assert_int_equal(one.whole, 0);
    for (how.threads = 2; how.threads <= 5; how.threads += 3) {
        assert_int_equal(sl_band_draw(b->band, &how, &many), SL_OK);
        assert_memory_equal(&many, &one, sizeof one);
    }
}

/* Every width of vector gives the same digits. */
static void check_kernels(bench *b, int32_t samples)
{
    double value[SL__LOTS_MOST], again[SL__LOTS_MOST];
    int32_t plan[SL__LOTS_MOST], now[SL__LOTS_MOST];
    sl__lots_solve(b->lots, SEED, SL_UNIFORM, 0, samples, value, plan);
    for (int32_t kernel = 1; kernel < sl__lane_kernels(); kernel++) {
        for (int32_t p = 0; p < sl__plans_count(b->plans); p++) {
            sl__plan_use((sl__plan *)sl__plans_at(b->plans, p), kernel);
        }
        sl__lots_solve(b->lots, SEED, SL_UNIFORM, 0, samples, again, now);
        assert_memory_equal(now, plan, (size_t)samples * sizeof *now);
        assert_memory_equal(again, value, (size_t)samples * sizeof *value);
    }
}

/* Relays that just pull in or just do not, by what their coils, the battery and the wiring have
   come to; what one feeds takes from the others. Every way there is has its plan, every sample is
   answered along its own, and none of what comes out depends on how they are gathered. */
static void test_several_ways(void **state)
{
    (void)state;
    const sl_spread tenth = {0.1, 0.1, true};
    sl_circuit *c = rig_circuit(NULL);
    static const struct {
        const char *kind, *name, *nodes, *values, *varies;
    } parts[] = {
        {"battery", "B", "plus 0", "resistance=0.02", "resistance"},
        {"resistor", "feed", "plus rail", "resistance=0.6", "resistance"},
        {"resistor", "load", "rail 0", "resistance=3", "resistance"},
        {"relay", "K1", "rail a rail 0", "pull_in=10", "pull_in"},
        {"relay", "K2", "rail b rail 0", "pull_in=9.4,drop_out=7.5", "pull_in"},
        {"relay", "K3", "rail d a 0", "pull_in=9", "pull_in"},
        {"lamp", "L1", "a 0", "power=21", "power"},
        {"lamp", "L2", "b 0", "power=21", "power"},
        {"lamp", "L3", "d 0", "power=21", "power"},
    };
    for (size_t k = 0; k < sizeof parts / sizeof *parts; k++) {
        const sl_part part =
            rig_part(c, parts[k].kind, parts[k].name, parts[k].nodes, parts[k].values);
        const int32_t param = rig_param(sl_circuit_part_kind(c, part), parts[k].varies);
        assert_int_equal(sl_circuit_set_spread(c, SL_NONE, part, param, &tenth), SL_OK);
    }
    assert_int_equal(sl_circuit_set_reference(c, sl_circuit_find_node(c, "0")), SL_OK);
    const sl_reading of = {SL_NONE, -1, sl_circuit_find_node(c, "rail"),
                           sl_circuit_find_node(c, "0")};
    bench b;
    assert_true(open_bench(c, 0, &of, true, &b));
    const int32_t samples = TEST_IS_SLOW ? 200 : SL__LOTS_MOST;
    const tried t = check_whole(&b, samples);
    assert_at_most("off", t.worst, 1e-9);
    assert_int_equal(t.answered, samples);
    assert_true(__builtin_popcountll(t.plans) > 3);
    check_gathering(&b, samples);
    check_kernels(&b, samples);
    check_threads(&b, 10 * samples);
    close_bench(&b);
    sl_circuit_free(c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_numbers),      cmocka_unit_test(test_kernels),
        cmocka_unit_test(test_every_kind),   cmocka_unit_test(test_small_differences),
        cmocka_unit_test(test_several_ways), cmocka_unit_test(test_runs),
        cmocka_unit_test(test_run_parts),    cmocka_unit_test(test_ideal_sources),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
