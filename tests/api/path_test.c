/* Paths of the current and limits, through the public headers only. */
#include "near.h"
#include "probe.h"
#include "rig.h"
#include "strapline/strapline.h"

#include <string.h>

static const double EXACT = 1e-12;

/* 12.6 V behind 6 mohm, 1 mohm each way, a load of 34 mohm: 300 A, by hand. The ground side is two
   cables of 1.25 and 5 mohm, 1 mohm together, the first with 4/5 of the current. */
typedef struct loop {
    sl_circuit *c;
    sl_case *cs;
    sl_part load;
} loop;

static loop make_loop(void)
{
    loop l = {.c = rig_circuit(NULL)};
    rig_part(l.c, "source", "E", "pos neg", "voltage=12.6");
    rig_part(l.c, "joint", "RI", "pos post", "resistance=0.006");
    rig_part(l.c, "cable", "RP", "post stud", "per_metre=0.001, length=1");
    l.load = rig_part(l.c, "resistor", "RL", "stud engine", "resistance=0.034");
    rig_part(l.c, "cable", "G1", "engine neg", "per_metre=0.00125, length=1");
    rig_part(l.c, "cable", "G2", "engine neg", "per_metre=0.005, length=1");
    rig_part(l.c, "switch", "S", "stud lamp", "");
    rig_part(l.c, "lamp", "L", "lamp engine", "power=5");
    sl_circuit_set_reference(l.c, sl_circuit_find_node(l.c, "neg"));
    l.cs = rig_solved(l.c, 0);
    return l;
}

static void free_loop(loop *l)
{
    sl_case_free(l->cs);
    sl_circuit_free(l->c);
}

static const char *part_at(const sl_circuit *c, const sl_path *path, int32_t step)
{
    return sl_circuit_part_name(c, path->step[step].part);
}

static void a_path_goes_from_the_source_to_the_load_and_back(void **unused)
{
    (void)unused;
    loop l = make_loop();
    sl_path *path = NULL;
    assert_int_equal(sl_path_load(l.cs, l.load, -1, &path), SL_OK);
    assert_int_equal(path->step_count, 4);
    static const char *const parts[] = {"RI", "RP", "RL", "G1"};
    static const double drops[] = {1.8, 0.3, 10.2, 0.3};
    static const sl_side sides[] = {SL_FEED_SIDE, SL_FEED_SIDE, SL_LOAD_SIDE, SL_RETURN_SIDE};
    for (int32_t k = 0; k < 4; k++) {
        assert_string_equal(part_at(l.c, path, k), parts[k]);
        assert_near("drop", path->step[k].drop_v, drops[k], EXACT);
        assert_int_equal(path->step[k].side, sides[k]);
        assert_int_equal(path->step[k].shown, (int32_t)lround(drops[k] * 1e3));
    }
    assert_near("current", path->load_a, 300.0, EXACT);
    assert_near("share", path->step[3].share, 0.8, EXACT);
    assert_int_equal(path->beside_count, 1);
    assert_near("beside it", path->beside[0].share, 0.2, EXACT);
    assert_near("source", path->source_v, 12.6, EXACT);
    assert_int_equal(path->shown_source, 12600);
    assert_true(path->nominal_v == 12.0);
    sl_path_free(path);
    free_loop(&l);
}

static void a_load_that_is_off_has_the_way_it_would_take(void **unused)
{
    (void)unused;
    loop l = make_loop();
    sl_path *path = NULL;
    const sl_part lamp = sl_circuit_find_part(l.c, "L");
    assert_int_equal(sl_path_load(l.cs, lamp, 0, &path), SL_OK);
    assert_int_equal(path->stops, 1);
    assert_true(path->load_a == 0.0);
    assert_string_equal(part_at(l.c, path, 2), "S");
    assert_true(path->step[2].open);
    for (int32_t k = 0; k < path->step_count; k++) {
        sl_judgement j;
        assert_int_equal(sl_path_judge_step(path, sl_limit_set_at(0), l.cs, k, &j), SL_OK);
        assert_int_not_equal(j.verdict, SL_WITHIN);
    }
    sl_path_free(path);
    free_loop(&l);
}

static void leads_and_cuts(void **unused)
{
    (void)unused;
    loop l = make_loop();
    sl_path *path = NULL;
    const sl_node stud = sl_circuit_find_node(l.c, "stud");
    const sl_node engine = sl_circuit_find_node(l.c, "engine");
    assert_int_equal(sl_path_leads(l.cs, stud, engine, &path), SL_OK);
    double between = 0.0;
    for (int32_t k = 0; k < path->step_count; k++) {
        between += path->step[k].side == SL_LOAD_SIDE ? path->step[k].drop_v : 0.0;
    }
    assert_near("reading", between, 10.2, EXACT);
    sl_path_free(path);
    assert_int_equal(sl_path_leads(l.cs, stud, stud, &path), SL_E_ARG);
    sl_step cut[2];
    const sl_edit open = rig_open(l.c, "L", NULL);
    assert_int_equal(sl_case_edit(l.cs, &open, 1), SL_OK);
    assert_int_equal(sl_case_cuts(l.cs, stud, cut, 2), SL_E_ARG); /* not solved */
    assert_int_equal(sl_case_solve(l.cs), SL_OK);
    assert_int_equal(sl_case_cuts(l.cs, sl_circuit_find_node(l.c, "lamp"), cut, 2), 2);
    assert_int_equal(cut[0].to, stud);
    assert_int_equal(cut[1].to, engine);
    assert_int_equal(sl_case_cuts(l.cs, stud, NULL, 0), 2);
    free_loop(&l);
}

/* From the stud to the other end of the ground cables: the load's 300 A part there as 4 to 1. */
static void what_flows_beside_a_way_between_leads_is_told(void **unused)
{
    (void)unused;
    loop l = make_loop();
    sl_path *path = NULL;
    assert_int_equal(sl_path_leads(l.cs, sl_circuit_find_node(l.c, "stud"),
                                   sl_circuit_find_node(l.c, "neg"), &path),
                     SL_OK);
    assert_int_equal(path->step_count, 4);
    assert_int_equal(path->step[3].side, SL_LOAD_SIDE);
    assert_string_equal(part_at(l.c, path, 3), "G1");
    assert_near("share", path->step[3].share, 0.8, EXACT);
    assert_int_equal(path->beside_count, 1);
    assert_int_equal(path->beside[0].step, 3);
    assert_int_equal(path->beside[0].part, sl_circuit_find_part(l.c, "G2"));
    assert_near("share beside", path->beside[0].share, 0.2, EXACT);
    assert_near("current beside", path->beside[0].current_a, 60.0, EXACT);
    sl_path_free(path);
    free_loop(&l);
}

/* Leads across a blown fuse while another load is on: the fuse is the way, and its load goes on
   from there; not the other load and back through that of the fuse. */
static void an_open_place_between_the_leads_is_the_way(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "battery", "B", "plus minus", "cca=500");
    rig_part(c, "fuse", "F", "plus f", "rating=10");
    rig_part(c, "lamp", "L1", "f minus", "power=21");
    rig_part(c, "lamp", "L2", "plus minus", "power=5");
    sl_case *cs = rig_solved(c, 0);
    const sl_edit open = rig_open(c, "F", NULL);
    assert_int_equal(sl_case_edit(cs, &open, 1), SL_OK);
    assert_int_equal(sl_case_solve(cs), SL_OK);
    static const char *const names[] = {"plus", "f", "minus"};
    static const char *const ways[][2] = {{"F", "L1"}, {"F", "L1"}, {"L2", ""}};
    for (int32_t k = 0; k < 3; k++) { /* plus to f, f to minus, plus to minus */
        const sl_node red = sl_circuit_find_node(c, names[k == 1]);
        const sl_node black = sl_circuit_find_node(c, names[k == 0 ? 1 : 2]);
        sl_path *path = NULL;
        assert_int_equal(sl_path_leads(cs, red, black, &path), SL_OK);
        assert_int_equal(path->step_count, k == 2 ? 1 : 2);
        for (int32_t n = 0; n < path->step_count; n++) {
            assert_string_equal(part_at(c, path, n), ways[k][n]);
        }
        assert_int_equal(path->step[0].side, k == 1 ? SL_FEED_SIDE : SL_LOAD_SIDE);
        sl_path_free(path);
    }
    rig_free(c, cs);
}

/* Two batteries in series: the path goes through both. */
static void sources_in_series_are_gone_through(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "battery", "A", "a+ a-", "resistance=0.005");
    rig_part(c, "battery", "B", "b+ b-", "resistance=0.005");
    rig_part(c, "joint", "link", "a+ b-", "resistance=0.001");
    sl_part load = rig_part(c, "resistor", "R", "b+ a-", "resistance=1");
    sl_case *cs = rig_solved(c, 0);
    sl_path *path = NULL;
    assert_int_equal(sl_path_load(cs, load, -1, &path), SL_OK);
    assert_string_equal(sl_circuit_part_name(c, path->source), "B");
    assert_int_equal(path->step_count, 3);
    assert_string_equal(part_at(c, path, 1), "A");
    assert_true(path->step[1].drop_v < -12.0 && path->nominal_v == 24.0);
    sl_path_free(path);
    rig_free(c, cs);
}

static void check_closed(const sl_path *path)
{
    double sum = 0.0;
    int64_t shown = 0;
    sl_node at = path->plus;
    for (int32_t k = 0; k < path->step_count; k++) {
        assert_int_equal(path->step[k].from, at);
        at = path->step[k].to;
        sum += path->step[k].drop_v;
        shown += path->step[k].shown;
    }
    assert_int_equal(at, path->minus);
    if (!isnan(sum) && !isnan(path->source_v)) {
        assert_true(fabs(sum - path->source_v) < 1e-9);
        assert_int_equal(shown, path->shown_source);
    }
}

/* Every element of a circuit that has every kind there is, in every condition and both ends. */
static void every_path_closes_and_comes_out_the_same_twice(void **unused)
{
    (void)unused;
    sl_circuit *c = NULL;
    int32_t found = 0;
    assert_int_equal(rig_every_kind(NULL, &c), SL_OK);
    for (sl_condition q = 0; q < sl_circuit_condition_count(c); q++) {
        sl_case *cs = rig_solved(c, q);
        for (int32_t view = 0; sl_case_view(cs, view) == SL_OK; view++) {
            for (sl_part p = 0; p < sl_circuit_part_count(c); p++) {
                const int32_t elements = sl_circuit_part_kind(c, p)->element_count;
                for (int32_t e = -1; e < elements; e++) {
                    sl_path *one = NULL, *two = NULL;
                    const sl_status st = sl_path_load(cs, p, e, &one);
                    assert_int_equal(sl_path_load(cs, p, e, &two), st);
                    if (st == SL_OK) {
                        check_closed(one);
                        assert_int_equal(one->step_count, two->step_count);
                        for (int32_t k = 0; k < one->step_count; k++) {
                            assert_int_equal(one->step[k].part, two->step[k].part);
                            assert_int_equal(one->step[k].element, two->step[k].element);
                            assert_int_equal(one->step[k].shown, two->step[k].shown);
                        }
                        found++;
                    }
                    sl_path_free(one);
                    sl_path_free(two);
                }
            }
        }
        sl_case_free(cs);
    }
    assert_true(found > 100);
    sl_circuit_free(c);
}

static void loads_come_greatest_first(void **unused)
{
    (void)unused;
    sl_circuit *c = NULL;
    sl_load load[64], first;
    assert_int_equal(rig_every_kind(NULL, &c), SL_OK);
    sl_case *cs = rig_case(c, 1);
    assert_int_equal(sl_case_loads(cs, load, 64), SL_E_ARG);
    assert_int_equal(sl_case_solve(cs), SL_OK);
    const int32_t count = sl_case_loads(cs, load, 64);
    assert_true(count > 5);
    for (int32_t n = 1; n < count && n < 64; n++) {
        assert_true(load[n].current_a <= load[n - 1].current_a);
    }
    assert_int_equal(sl_case_loads(cs, &first, 1), count);
    assert_int_equal(first.part, load[0].part);
    rig_free(c, cs);
}

static sl_status use_everything(const sl_circuit *c)
{
    sl_case *cs = NULL;
    sl_path *path = NULL;
    sl_load load;
    sl_status st = sl_case_new(c, 0, &cs);
    st = st == SL_OK ? sl_case_solve(cs) : st;
    if (st == SL_OK) {
        const int32_t count = sl_case_loads(cs, &load, 1);
        st = count < 0 ? (sl_status)count : SL_OK;
    }
    if (st == SL_OK) {
        st = sl_path_load(cs, load.part, load.element, &path);
    }
    if (st == SL_OK) {
        sl_path *usual = NULL;
        st = sl_path_usual(path, cs, &usual);
        sl_path_free(usual);
    }
    sl_path_free(path);
    path = NULL;
    if (st == SL_OK) {
        st = sl_path_leads(cs, load.part > 0 ? 1 : 0, 3, &path);
        sl_path_free(path);
    }
    if (st == SL_OK) {
        const int32_t cuts = sl_case_cuts(cs, 3, NULL, 0);
        st = cuts < 0 ? (sl_status)cuts : SL_OK;
    }
    sl_case_free(cs);
    if (st == SL_OK) {
        sl_size size;
        const sl_size_question ask = {sl_circuit_find_part(c, "RP"), 1.0, (double)NAN,
                                      sl_limit_set_at(0)};
        st = sl_size_conductor(c, 0, NULL, 0, &ask, &size);
    }
    return st;
}

static void out_of_memory_anywhere_leaks_nothing(void **unused)
{
    (void)unused;
    alloc_probe probe;
    sl_alloc al = probe_start(&probe, PROBE_NEVER);
    sl_circuit *c = rig_circuit(&al);
    rig_part(c, "source", "E", "pos neg", "voltage=12.6");
    rig_part(c, "fuse", "F", "pos post", "rating=20");
    rig_part(c, "cable", "RP", "post stud", "size=2.5, length=1");
    rig_part(c, "resistor", "RL", "stud engine", "resistance=1");
    rig_part(c, "cable", "G", "engine neg", "size=2.5, length=1");
    sl_circuit_set_reference(c, sl_circuit_find_node(c, "neg"));
    const size_t blocks = probe.live_blocks, first = probe.calls;
    assert_int_equal(use_everything(c), SL_OK);
    const size_t calls = probe.calls - first;
    assert_true(calls > 20);
    /* probe_start counts anew, so the circuit's own blocks are gone from the count. */
    for (size_t n = 0; n < calls; n += 1 + n / 40) {
        probe.fail_at = probe.calls + n;
        const sl_status st = use_everything(c);
        assert_true(st == SL_E_NOMEM || st == SL_OK);
        assert_int_equal(probe.live_blocks, blocks);
    }
    probe.fail_at = PROBE_NEVER;
    sl_circuit_free(c);
    assert_int_equal(probe.live_blocks, 0);
}

/* Both leads of the lamp are off: nothing joins its black end to the source, which still has its
   12.6 V. */
static void the_source_of_a_load_cut_off_on_both_sides_is_shown(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "source", "E", "pos neg", "voltage=12.6");
    rig_part(c, "cable", "F", "pos feed", "per_metre=0.001, length=1");
    const sl_part lamp = rig_part(c, "lamp", "L", "feed engine", "power=5");
    rig_part(c, "cable", "G", "engine neg", "per_metre=0.001, length=1");
    sl_circuit_set_reference(c, sl_circuit_find_node(c, "neg"));
    sl_case *cs = rig_case(c, 0);
    const sl_edit off[] = {rig_open(c, "F", NULL), rig_open(c, "G", NULL)};
    assert_int_equal(sl_case_edit(cs, off, 2), SL_OK);
    assert_int_equal(sl_case_solve(cs), SL_OK);
    sl_path *path = NULL;
    assert_int_equal(sl_path_load(cs, lamp, -1, &path), SL_OK);
    assert_int_equal(path->stops, 2);
    assert_near("source", path->source_v, 12.6, EXACT);
    assert_int_equal(path->shown_source, 12600);
    sl_path_free(path);
    rig_free(c, cs);
}

/* 12 V behind 1 mohm, a load of 0.1 ohm, and back by a strap or by a control cable of 0.3 ohm
   beside it. With 0.5 ohm in the strap most of the current goes by the control cable; the place to
   test is still the strap. By hand: 0.5 and 0.3 ohm in parallel are 0.1875 ohm, the strap has 3/8
   of the current. */
static void the_usual_way_is_followed_into_the_fault(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "source", "E", "plus neg", "voltage=12");
    rig_part(c, "joint", "RI", "plus pos", "resistance=0.001");
    const sl_part load = rig_part(c, "resistor", "RL", "pos engine", "resistance=0.1");
    const sl_part strap = rig_part(c, "joint", "S", "engine neg", "resistance=0.001");
    const sl_part sheath = rig_part(c, "resistor", "W", "engine neg", "resistance=0.3");
    sl_circuit_set_reference(c, sl_circuit_find_node(c, "neg"));
    sl_case *good = rig_solved(c, 0), *bad = rig_case(c, 0);
    const sl_edit corroded = rig_set(c, "S", "resistance", 0.5);
    assert_int_equal(sl_case_edit(bad, &corroded, 1), SL_OK);
    assert_int_equal(sl_case_solve(bad), SL_OK);
    sl_path *path = NULL, *usual = NULL;
    assert_int_equal(sl_path_load(bad, load, -1, &path), SL_OK);
    assert_int_equal(path->step[path->step_count - 1].part, sheath);
    assert_int_equal(sl_path_usual(path, good, &usual), SL_OK);
    const sl_step *last = &usual->step[usual->step_count - 1];
    const double all = 12.0 / (0.001 + 0.1 + 0.1875);
    assert_int_equal(last->part, strap);
    assert_near("strap", last->current_a, all * 3.0 / 8.0, EXACT);
    assert_near("drop", last->drop_v, all * 0.1875, EXACT);
    assert_near("load", usual->load_a, all, EXACT);
    assert_near("share", last->share, 3.0 / 8.0, EXACT);
    assert_int_equal(usual->beside_count, 1);
    assert_int_equal(usual->beside[0].part, sheath);
    assert_near("source", usual->source_v, path->source_v, EXACT);
    sl_path_free(usual);
    usual = path;
    assert_int_equal(sl_case_edit(good, &(sl_edit){load, SL_OPEN, -1, 0.0}, 1), SL_OK);
    assert_int_equal(sl_case_solve(good), SL_OK); /* no current there: no way that it takes */
    assert_int_equal(sl_path_usual(path, good, &usual), SL_W_FLOATING);
    assert_null(usual);
    sl_path_free(path);
    sl_case_free(good);
    rig_free(c, bad);
}

/* The same with a load that is off in the good circuit: its ground side is the way that another
   load's current takes there. By hand: 0.5 and 0.3 ohm in parallel behind 0.1 ohm twice side by
   side, so the strap has 3/8 of what both loads take. */
static void a_load_that_is_off_has_the_ground_of_the_others(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "source", "E", "plus neg", "voltage=12");
    rig_part(c, "joint", "RI", "plus pos", "resistance=0.001");
    rig_part(c, "resistor", "RL", "pos engine", "resistance=0.1");
    rig_part(c, "joint", "K", "pos feed", "resistance=0.0");
    const sl_part load = rig_part(c, "resistor", "RM", "feed engine", "resistance=0.1");
    const sl_part strap = rig_part(c, "joint", "S", "engine neg", "resistance=0.001");
    const sl_part sheath = rig_part(c, "resistor", "W", "engine neg", "resistance=0.3");
    sl_circuit_set_reference(c, sl_circuit_find_node(c, "neg"));
    sl_case *good = rig_case(c, 0), *bad = rig_case(c, 0);
    assert_int_equal(sl_case_edit(good, &(sl_edit){load, SL_OPEN, -1, 0.0}, 1), SL_OK);
    const sl_edit corroded = rig_set(c, "S", "resistance", 0.5);
    assert_int_equal(sl_case_edit(bad, &corroded, 1), SL_OK);
    assert_int_equal(sl_case_solve(good), SL_OK);
    assert_int_equal(sl_case_solve(bad), SL_OK);
    sl_path *path = NULL, *usual = NULL;
    assert_int_equal(sl_path_load(bad, load, -1, &path), SL_OK);
    assert_int_equal(path->step[path->step_count - 1].part, sheath);
    assert_int_equal(sl_path_usual(path, good, &usual), SL_OK);
    const sl_step *last = &usual->step[usual->step_count - 1];
    const double all = 12.0 / (0.001 + 0.05 + 0.1875);
    assert_int_equal(last->part, strap);
    assert_near("strap", last->current_a, all * 3.0 / 8.0, EXACT);
    assert_near("load", usual->load_a, all / 2.0, EXACT);
    assert_int_equal(usual->step_count, path->step_count);
    assert_int_equal(usual->stops, 0);
    sl_path_free(usual);
    sl_path_free(path);
    sl_case_free(good);
    rig_free(c, bad);
}

/* A conductor's size is asked for with a drop above 0 or a set of limits. */
static void a_question_of_size_says_what_may_be_lost(void **unused)
{
    (void)unused;
    loop l = make_loop();
    const double none = (double)NAN;
    sl_size size;
    sl_size_question ask = {sl_circuit_find_part(l.c, "G1"), none, none, NULL};
    assert_int_equal(sl_size_conductor(l.c, 0, NULL, 0, &ask, &size), SL_E_ARG);
    assert_true(*size.why);
    ask.drop_v = 0.0;
    assert_int_equal(sl_size_conductor(l.c, 0, NULL, 0, &ask, &size), SL_E_VALUE);
    free_loop(&l);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_path_goes_from_the_source_to_the_load_and_back),
        cmocka_unit_test(a_load_that_is_off_has_the_way_it_would_take),
        cmocka_unit_test(leads_and_cuts),
        cmocka_unit_test(what_flows_beside_a_way_between_leads_is_told),
        cmocka_unit_test(an_open_place_between_the_leads_is_the_way),
        cmocka_unit_test(sources_in_series_are_gone_through),
        cmocka_unit_test(every_path_closes_and_comes_out_the_same_twice),
        cmocka_unit_test(loads_come_greatest_first),
        cmocka_unit_test(the_source_of_a_load_cut_off_on_both_sides_is_shown),
        cmocka_unit_test(the_usual_way_is_followed_into_the_fault),
        cmocka_unit_test(a_load_that_is_off_has_the_ground_of_the_others),
        cmocka_unit_test(a_question_of_size_says_what_may_be_lost),
        cmocka_unit_test(out_of_memory_anywhere_leaks_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
