/* Samples eight at a time through several states: what is worked out anew from one to the next. */
#include "lot_bench.h"
#include "near.h"
#include "netgen.h"
#include "rig.h"

#include <stdio.h>
#include <string.h>

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
    for (int32_t seed = 1; seed <= 24; seed++) {
        netgen net = netgen_vehicle(30 + seed, (uint64_t)seed);
        sl_circuit *c = build_switched(&net);
        let_vary(c, seed % 2, 1 + seed % 3);
        const sl_node end = sl_circuit_part_node(c, sl_circuit_part_count(c) - 1, 0);
        const sl_reading of[] = {{SL_NONE, -1, end, sl_circuit_reference(c)},
                                 {seed, 0, SL_NONE, SL_NONE}};
        for (int r = 0; r < 4; r++) {
            lot_bench b;
            if (lot_open(c, 1 + r / 2, &of[r % 2], false, &b)) {
                const lot_tried t = lot_check_whole(&b, 24);
                if (!(t.worst <= 1e-9)) {
                    fail_msg("seed %d, reading %d is off by %g", (int)seed, r, t.worst);
                }
                lot_check_alone(&b);
                answered += t.answered;
                asked += 24;
                const int32_t plans = sl__plans_count(b.plans);
                most_plans = plans > most_plans ? plans : most_plans;
            }
            lot_close(&b);
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
        lot_bench b;
        assert_true(lot_open(c, at, &of, false, &b));
        const lot_tried t = lot_check_whole(&b, 24);
        assert_at_most(names[n], t.worst, 1e-9);
        assert_int_equal(t.answered, 24);
        lot_close(&b);
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
        lot_bench b;
        assert_true(lot_open(c, 0, &of[r], false, &b));
        const lot_tried t = lot_check_whole(&b, 64);
        assert_at_most("off", t.worst, 1e-9);
        assert_int_equal(t.answered, 64);
        lot_close(&b);
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

/* A part of a list, and a parameter that varies by 10 %, or NULL. */
typedef struct item {
    const char *kind, *name, *nodes, *values, *varies;
} item;

static sl_circuit *build(int32_t count, const item *list)
{
    static const sl_spread tenth = {0.1, 0.1, true};
    sl_circuit *c = rig_circuit(NULL);
    for (int32_t k = 0; k < count; k++) {
        const sl_part part = rig_part(c, list[k].kind, list[k].name, list[k].nodes, list[k].values);
        const sl_kind *kind = sl_circuit_part_kind(c, part);
        if (list[k].varies) {
            const int32_t param = rig_param(kind, list[k].varies);
            assert_int_equal(sl_circuit_set_spread(c, SL_NONE, part, param, &tenth), SL_OK);
        }
    }
    assert_int_equal(sl_circuit_set_reference(c, sl_circuit_find_node(c, "0")), SL_OK);
    return c;
}

#define COUNT(list) (int32_t)(sizeof(list) / sizeof *(list))

static void add_edit(sl_circuit *c, sl_condition at, const char *part, const char *param,
                     double value)
{
    const sl_edit edit = rig_set(c, part, param, value);
    assert_int_equal(sl_condition_edit(c, at, &edit), SL_OK);
}

static sl_reading volts_of(const sl_circuit *c, const char *red, const char *black)
{
    return (sl_reading){SL_NONE, -1, sl_circuit_find_node(c, red), sl_circuit_find_node(c, black)};
}

/* A resistance is another one in the second of three conditions only. A lot that all samples leave
   there does not take that to the next one. */
static void test_lots_that_are_left(void **state)
{
    (void)state;
    static const item list[] = {
        {"battery", "B", "plus 0", "resistance=0.02", NULL},
        {"switch", "T", "plus t", "", NULL},
        {"resistor", "RT", "t coil", "resistance=30", NULL},
        {"relay", "K", "plus k coil 0", "pull_in=9.1,drop_out=1.5,coil_resistance=90", "pull_in"},
        {"resistor", "RH", "k coil", "resistance=10", NULL},
        {"resistor", "RS", "t coil", "resistance=100000", NULL},
        {"switch", "U", "plus u", "", NULL},
        {"resistor", "RM", "u mcoil", "resistance=30", NULL},
        {"relay", "M", "plus m mcoil 0", "pull_in=9.3,drop_out=1.5,coil_resistance=90", "pull_in"},
        {"resistor", "L", "k 0", "resistance=12000", NULL},
        {"resistor", "X", "t 0", "resistance=1e6", NULL},
    };
    sl_circuit *c = build(COUNT(list), list);
    sl_condition at[3];
    for (int32_t n = 0; n < 3; n++) {
        at[n] = rig_condition(c, (const char *[]){"first", "second", "third"}[n]);
        assert_int_equal(n > 0 ? sl_condition_after(c, at[n], at[n - 1]) : SL_OK, SL_OK);
    }
    add_edit(c, at[0], "T", "position", 1.0);
    add_edit(c, at[1], "RS", "resistance", 5.0);
    add_edit(c, at[1], "U", "position", 1.0);
    const sl_reading of = volts_of(c, "k", "0");
    lot_bench b;
    assert_true(lot_open(c, at[2], &of, false, &b));
    const lot_tried t = lot_check_whole(&b, 200);
    assert_at_most("off", t.worst, 1e-9);
    assert_int_equal(t.answered, 200);
    lot_check_gathering(&b, 200);
    lot_close(&b);
    sl_circuit_free(c);
}

/* A cable that warms with the temperature, which varies, is a dead end in the first condition and
   carries the current of a blown fuse's neighbour in the second. */
static void test_dead_ends_that_come_back(void **state)
{
    (void)state;
    static const item list[] = {
        {"battery", "B", "plus 0", "cca=500", NULL},
        {"cable", "W", "far fed", "size=16,length=2.187", NULL},
        {"fuse", "F", "far 0", "rating=20,heating=none", NULL},
        {"relay", "K", "plus fed plus 0 fed", "pull_in=10.7,drop_out=2.1", NULL},
    };
    static const sl_spread warmth = {3.5, 23.7, false};
    sl_circuit *c = build(COUNT(list), list);
    assert_int_equal(sl_circuit_set_spread(c, SL_NONE, SL_NONE, 0, &warmth), SL_OK);
    const sl_condition blown = rig_condition(c, "blown"), good = rig_condition(c, "good");
    assert_int_equal(sl_condition_after(c, good, blown), SL_OK);
    add_edit(c, blown, "F", "link", 1.0);
    const sl_reading of = volts_of(c, "far", "0");
    lot_bench b;
    assert_true(lot_open(c, good, &of, false, &b));
    const lot_tried t = lot_check_whole(&b, 48);
    assert_at_most("off", t.worst, 1e-9);
    assert_int_equal(t.answered, 48);
    lot_close(&b);
    sl_circuit_free(c);
}

/* A contact that nothing else ends on has a voltage while its relay is released, and none once it
   has pulled in, as about half of the samples do. */
static void test_what_floats(void **state)
{
    (void)state;
    static const item list[] = {
        {"battery", "B", "plus 0", "cca=500", NULL},
        {"resistor", "W", "plus 30", "resistance=0.5", NULL},
        {"relay", "K", "30 plus plus 0 87a", "pull_in=12.7,drop_out=7.3", "pull_in"},
    };
    sl_circuit *c = build(COUNT(list), list);
    const sl_reading of = volts_of(c, "plus", "87a");
    lot_bench b;
    (void)lot_open(c, 0, &of, false, &b);
    sl_draw how = {.samples = 400, .seed = LOT_SEED, .threads = 1, .least = -1.0, .greatest = 1.0};
    sl_drawn drawn;
    assert_int_equal(sl_band_draw(b.band, &how, &drawn), SL_OK);
    int64_t without = 0;
    for (int64_t k = 0; k < how.samples; k++) {
        double value;
        without += sl_band_sample(b.band, LOT_SEED, SL_UNIFORM, k, &value) != SL_OK;
    }
    assert_true(without > 100 && without < 300);
    assert_int_equal(drawn.unsolved, without);
    lot_close(&b);
    sl_circuit_free(c);
}

/* What hangs on the reference by a high resistance alone keeps its level; and where rounding leaves
   nothing of it, lots do not answer. */
static void test_levels(void **state)
{
    (void)state;
    static const struct {
        item part[2];
        const char *red, *black;
        bool answers;
    } rows[] = {
        {{{"resistor", "leak", "plus 0", "resistance=633000", NULL},
          {"battery", "B", "plus minus", "cca=812,charge=0.767", "cca"}},
         "minus",
         "0",
         true},
        {{{"resistor", "leak", "plus 0", "resistance=50.8e6", NULL},
          {"battery", "B", "plus minus", "resistance=0.1", "resistance"}},
         "plus",
         "0",
         false},
        {{{"led_lamp", "L", "plus 0", "power=5", NULL},
          {"battery", "B", "loose plus", "resistance=0.45", "resistance"}},
         "plus",
         "0",
         false},
    };
    for (int32_t k = 0; k < COUNT(rows); k++) {
        sl_circuit *c = build(2, rows[k].part);
        const sl_reading of = volts_of(c, rows[k].red, rows[k].black);
        lot_bench b;
        assert_int_equal(lot_open(c, 0, &of, false, &b), rows[k].answers);
        if (rows[k].answers) {
            const lot_tried t = lot_check_whole(&b, 48);
            assert_at_most(rows[k].red, t.worst, 1e-9);
            assert_int_equal(t.answered, 48);
        }
        lot_close(&b);
        sl_circuit_free(c);
    }
}

/* A supply that gives nothing is steep on one side of 0 A: the last place of its volts is a
   current, which a high resistance makes a voltage of. */
static void test_knees(void **state)
{
    (void)state;
    for (int32_t n = 0; n < 16; n++) {
        char volts[60];
        snprintf(volts, sizeof volts, "voltage=%.17g,current_limit=22", 12.0 + 0.0137 * n);
        const item list[] = {
            {"battery", "B", "plus 0", "resistance=0.0127", "resistance"},
            {"resistor", "leak", "plus lug", "resistance=186000", NULL},
            {"joint", "crimp", "lug fed", "type=crimp", NULL},
            {"module", "M", "else plus", "power=15,low_voltage=draws less", NULL},
            {"supply", "S", "loose fed", volts, NULL},
            {"alternator", "A", "stud 0", "rated_current=41,speed=1167", NULL},
        };
        sl_circuit *c = build(COUNT(list), list);
        const sl_reading of = volts_of(c, "fed", "stud");
        lot_bench b;
        assert_true(lot_open(c, 0, &of, false, &b));
        const lot_tried t = lot_check_whole(&b, 24);
        assert_at_most(volts, t.worst, 1e-9);
        assert_int_equal(t.answered, 24);
        lot_close(&b);
        sl_circuit_free(c);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_runs),
        cmocka_unit_test(test_run_parts),
        cmocka_unit_test(test_ideal_sources),
        cmocka_unit_test(test_lots_that_are_left),
        cmocka_unit_test(test_dead_ends_that_come_back),
        cmocka_unit_test(test_what_floats),
        cmocka_unit_test(test_levels),
        cmocka_unit_test(test_knees),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
