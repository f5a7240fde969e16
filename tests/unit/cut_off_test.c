/* Sweeps where a fault, or two, cut something off: what floats has no voltage, and what hangs on a
   curve that lets nothing pass has the one that a whole solve gives it. */
#include "near.h"
#include "rig.h"
#include "strapline/sweep.h"

#include <string.h>

enum { FAULTS_MOST = 3, PARTS_MOST = 10, CASES_MOST = 16 };

typedef struct part {
    const char *kind, *name, *nodes, *values;
} part;

/* A circuit, what is opened in it (or what gets `series_ohm`), and what is read: volts between two
   nodes, or with `part` the current of its first element. */
typedef struct row {
    const char *what;
    part parts[PARTS_MOST];
    const char *faulted[FAULTS_MOST];
    double series_ohm;
    bool pairs;
    const char *red, *black, *part;
} row;

static sl_circuit *build(const row *r)
{
    sl_circuit *c = rig_grounded();
    for (int k = 0; k < PARTS_MOST && r->parts[k].kind; k++) {
        rig_part(c, r->parts[k].kind, r->parts[k].name, r->parts[k].nodes, r->parts[k].values);
    }
    return c;
}

static sl_sweep *build_sweep(const sl_circuit *c, const row *r)
{
    sl_sweep *sweep = NULL;
    assert_int_equal(sl_sweep_new(c, &sweep), SL_OK);
    for (int k = 0; k < FAULTS_MOST && r->faulted[k]; k++) {
        const sl_edit edit = r->series_ohm > 0.0 ? rig_series(c, r->faulted[k], NULL, r->series_ohm)
                                                 : rig_open(c, r->faulted[k], NULL);
        assert_int_equal(sl_sweep_add_edits(sweep, r->faulted[k], &edit, 1), SL_OK);
    }
    sl_sweep_set_pairs(sweep, r->pairs);
    sl_sweep_reading of = {SL_SWEEP_VOLTAGE, 0, 0, 0};
    if (r->part) {
        of = (sl_sweep_reading){SL_SWEEP_ELEMENT_CURRENT, sl_circuit_find_part(c, r->part), 0, 0};
    } else {
        of.a = sl_circuit_find_node(c, r->red);
        of.b = sl_circuit_find_node(c, r->black);
    }
    assert_int_equal(sl_sweep_add_reading(sweep, &of), SL_OK);
    return sweep;
}

static void fill(const sl_sweep *sweep, bool quick, int64_t cases, double *value)
{
    const sl_sweep_setup setup = {.quick = quick};
    sl_sweeper *w = NULL;
    assert_int_equal(sl_sweeper_new(sweep, &setup, &w), SL_OK);
    assert_int_equal(sl_sweeper_fill(w, 0, cases, value, NULL, NULL), SL_OK);
    sl_sweeper_free(w);
}

static void check(const row *r)
{
    sl_circuit *c = build(r);
    sl_sweep *sweep = build_sweep(c, r);
    const int64_t cases = sl_sweep_case_count(sweep);
    double quick[CASES_MOST], whole[CASES_MOST];
    assert_true(cases <= CASES_MOST);
    fill(sweep, true, cases, quick);
    fill(sweep, false, cases, whole);
    for (int64_t k = 0; k < cases; k++) {
        const bool same =
            isnan(whole[k]) ? isnan(quick[k]) : fabs(quick[k] - whole[k]) <= 1e-9 * fabs(whole[k]);
        if (!same) {
            fail_msg("%s, case %d: quick %.17g, whole %.17g", r->what, (int)k, quick[k], whole[k]);
        }
    }
    sl_sweep_free(sweep);
    sl_circuit_free(c);
}

static void every_row(void **unused)
{
    (void)unused;
    static const row rows[] = {
        {.what = "a motor alone on a contact that is open",
         .parts = {{"battery", "B", "p 0", "cca=500"},
                   {"motor", "steady", "p 0", "current=5,load=constant,field=series"},
                   {"relay", "K", "p out k 0 -", ""},
                   {"motor", "fan", "out 0", "current=16,load=fan,field=magnet"}},
         .faulted = {"fan"},
         .red = "out",
         .black = "0"},
        {.what = "two dead ends, both opened",
         .parts = {{"battery", "B", "p 0", "cca=500"},
                   {"resistor", "feed", "p q", "resistance=138.7"},
                   {"fuse", "F", "q m", "rating=5,heating=steady"},
                   {"resistor", "beside", "m q", "resistance=0.0007"},
                   {"resistor", "far", "q n", "resistance=0.436"},
                   {"resistor", "near", "0 e", "resistance=0.0006"},
                   {"resistor", "load", "q r", "resistance=0.0001"},
                   {"resistor", "bleed", "r 0", "resistance=10183"}},
         .faulted = {"far", "near"},
         .pairs = true,
         .part = "load"},
        {.what = "a dead end among curves, opened",
         .parts = {{"resistor", "back", "0 q", "resistance=0.65719419240971066"},
                   {"resistor", "bus", "p r", "resistance=0.00016084870519545138"},
                   {"resistor", "end", "q far", "resistance=0.011208860677675965"},
                   {"lamp", "L", "r 0", "power=39.83"},
                   {"led_lamp", "M", "p r", "power=8,driver=regulator"},
                   {"resistor", "beside", "q 0", "resistance=1.6285272894371214"},
                   {"diode", "D", "p 0", "rated_current=50.7894"},
                   {"source", "S", "q p", "voltage=7.7969128755948773"},
                   {"resistor", "ground", "0 q", "resistance=0.0077575785883002655"}},
         .faulted = {"end"},
         .red = "far",
         .black = "0"},
        {.what = "what hangs on a lamp, opened",
         .parts = {{"led_lamp", "L", "0 p", "power=5"},
                   {"led_lamp", "M", "q p", "power=5"},
                   {"diode", "D", "q 0", "rated_current=11.4862"},
                   {"resistor", "T", "far p", "resistance=3587.4845116144461"}},
         .faulted = {"T"},
         .red = "far",
         .black = "0"},
        {.what = "two ways to a node, both opened",
         .parts = {{"resistor", "one", "0 m", "resistance=0.029957072161447041"},
                   {"cable", "other", "m n", "size=4,length=2.380"}},
         .faulted = {"one", "other"},
         .pairs = true,
         .red = "m",
         .black = "0"},
        {.what = "two ways to a node among curves, both opened",
         .parts = {{"resistor", "one", "p m", "resistance=27276.625198379315"},
                   {"resistor", "other", "p n", "resistance=16.665116479222952"},
                   {"switch", "S", "p q", "position=closed"},
                   {"switch", "U", "r s", "position=closed"},
                   {"motor", "M", "s t", "current=1.51356,load=constant,field=series"},
                   {"glow_plug", "G", "r 0", "current=11"},
                   {"heater", "H", "q t", "power=38.8586"}},
         .faulted = {"one", "other"},
         .pairs = true,
         .red = "m",
         .black = "0"},
        {.what = "two dead ends apart, both opened",
         .parts = {{"switch", "S", "m n", "position=closed"},
                   {"resistor", "one", "m p", "resistance=25920309.852217019"},
                   {"resistor", "other", "p q", "resistance=0.14125706661194498"},
                   {"lamp", "L", "r 0", "power=2.32586"}},
         .faulted = {"one", "other"},
         .pairs = true,
         .red = "m",
         .black = "0"},
        {.what = "a regulator's lamp behind an open wire",
         .parts = {{"source", "S", "p 0", "voltage=10.332715043234433"},
                   {"resistor", "W", "p m", "resistance=0.00038092433313639367"},
                   {"led_lamp", "L", "m 0", "driver=regulator,power=8"}},
         .faulted = {"W"},
         .red = "m",
         .black = "0"},
        {.what = "a joint beside far more current than is left",
         .parts = {{"resistor", "way", "m 0", "resistance=0.0054386583004131656"},
                   {"resistor", "leak", "m n", "resistance=800683.02602409164"},
                   {"joint", "J", "n k", "resistance=0"},
                   {"resistor", "back", "k m", "resistance=0.0028563487184605722"},
                   {"cable", "feed", "k s", "size=1, length=2.655"},
                   {"source", "S", "s 0", "current=1.85693"}},
         .faulted = {"way"},
         .series_ohm = 501663.66542202403,
         .part = "J"},
        {.what = "a switch without resistance beside leaks alone",
         .parts = {{"battery", "B", "p 0", "cca=500"},
                   {"resistor", "leak", "0 q", "resistance=19050683.794648215"},
                   {"switch", "S", "q m", "position=closed,resistance=0"},
                   {"relay", "K", "q m p m m",
                    "pull_in=11.3712,drop_out=9.20936,contact_resistance=0"},
                   {"cable", "C", "0 p", "size=1,length=3.885"}},
         .faulted = {"B"},
         .series_ohm = 10.0,
         .part = "S"},
    };
    for (size_t k = 0; k < sizeof rows / sizeof *rows; k++) {
        check(&rows[k]);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(every_row)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
