/* lib/analysis/load_test.c: a battery at half its cold cranking rating. */
#include <math.h>

#include "analysis/analysis.h"
#include "strapline/instrument.h"

/* Least voltage of six cells after 15 s: vehicle maker service data, several model tables agree.
   The last row is printed for 21 C and holds from 20 C up. */
static const struct {
    double celsius, volts;
} least[] = {
    {-18.0, 8.5}, {-12.0, 8.7}, {-7.0, 8.9}, {-1.0, 9.1},
    {4.0, 9.3},   {10.0, 9.4},  {16.0, 9.5}, {20.0, 9.6},
};

/* At rest, per six cells; below it the battery is charged before it is judged. US Army
   TM 5-3805-262-20, and the same service data. */
static const double TESTABLE_V = 12.4;

/* A load tester wound right in, cables and clamps: from memory. */
static const double TESTER_LEAST_OHM = 0.002;

double sl_load_test_least_v(double celsius)
{
    const int last = SL__COUNT(least) - 1;
    if (!(celsius >= least[0].celsius)) {
        return SL__NAN;
    }
    for (int n = 0; n < last; n++) {
        if (celsius < least[n + 1].celsius) {
            const double share =
                (celsius - least[n].celsius) / (least[n + 1].celsius - least[n].celsius);
            return least[n].volts + share * (least[n + 1].volts - least[n].volts);
        }
    }
    return least[last].volts;
}

/* The rating of a battery in a case, which has been solved, and how it compares with six cells. */
static sl_status look_up(sl_case *cs, sl_part battery, sl_load_test *test, double *size)
{
    const sl_kind *kind = &sl__case_part(cs, battery)->kind->about;
    const double *values = sl__case_values(cs, battery);
    const char *name = sl__case_part_name(cs, battery);
    test->rating_a = values[sl__param_of(kind, "cca")];
    test->celsius = sl__temperature_or(values[sl__param_of(kind, "temperature")], cs->celsius);
    *size = values[sl__param_of(kind, "cells")] / 6.0;
    test->least_v = sl_load_test_least_v(test->celsius) * *size;
    if (isnan(test->rating_a)) {
        return sl__fail(&cs->message, SL_E_VALUE,
                        "battery \"%s\" has no `cca`: the test is at half that rating, which is on "
                        "the label; give it",
                        name);
    }
    if (isnan(test->least_v)) {
        return sl__fail(&cs->message, SL_E_VALUE,
                        "battery \"%s\" is at %g C: the table of least voltages ends at -18 C; "
                        "warm it first",
                        name, test->celsius);
    }
    return SL_OK;
}

/* A load for a minute takes the surface charge off before the test. */
static sl_status take_surface_off(sl_case *cs, sl_part battery, sl_load_test *test)
{
    const int32_t param = sl__param_of(&sl__case_part(cs, battery)->kind->about, "surface_charge");
    sl_status st = sl_case_solve(cs);
    if (st != SL_OK) {
        return st;
    }
    test->surface_v = sl__case_values(cs, battery)[param];
    const sl_edit off = {battery, SL_SET, param, 0.0};
    st = sl_case_edit(cs, &off, 1);
    return st == SL_OK ? sl_case_solve(cs) : st;
}

static sl_verdict judge(const sl_load_test *test, const sl_pile *pile, double size)
{
    if (test->rest_v < TESTABLE_V * size) {
        return SL_CHARGE_FIRST;
    }
    return pile->reached && test->loaded_v >= test->least_v ? SL_PASSES : SL_FAILS;
}

sl_status sl_case_load_test(sl_case *cs, sl_part battery, sl_load_test *out)
{
    if (battery < 0 || battery >= cs->circuit->parts.names.count) {
        return sl__fail(&cs->message, SL_E_ARG, "the part to be tested is not of the circuit");
    }
    const sl_kind *kind = &sl__case_part(cs, battery)->kind->about;
    if (sl__param_of(kind, "cca") < 0) {
        return sl__fail(&cs->message, SL_E_ARG,
                        "only a battery has a load test; the kind of \"%s\" is %s",
                        sl__case_part_name(cs, battery), kind->name);
    }
    sl_load_test test = {0};
    double size = 1.0;
    sl_pile pile;
    const sl_node plus = sl__case_terminal(cs, battery, 0);
    const sl_node minus = sl__case_terminal(cs, battery, 1);
    sl_status st = sl_case_alone(cs, battery);
    if (st != SL_OK || (st = take_surface_off(cs, battery, &test)) != SL_OK ||
        (st = look_up(cs, battery, &test, &size)) != SL_OK) {
        return st;
    }
    sl_case_between(cs, plus, minus, &test.rest_v);
    st = sl_case_pile(cs, plus, minus, 0.5 * test.rating_a, TESTER_LEAST_OHM, &pile);
    if (st != SL_OK) {
        return st;
    }
    test.load_a = pile.current_a;
    test.loaded_v = pile.drop_v;
    test.verdict = judge(&test, &pile, size);
    *out = test;
    return SL_OK;
}
