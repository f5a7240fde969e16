/* lib/analysis/instrument.c: what instruments show on a case. */
#include "strapline/instrument.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "analysis/analysis.h"
#include "base/memory.h"

#define OHM_RANGES 6 /* counts/10 ohm to 1e5 times that */

/* Of the kind `ohmmeter`: full scale against test current, so what the circuit's own voltage does
   to the reading in digits. */
static const double REFERENCE = 5.0;

void sl_multimeter_usual(sl_multimeter *out)
{
    *out = (sl_multimeter){.input_ohm = 10e6,
                           .lead_ohm = 0.2,
                           .test_v = 3.0,
                           .burden_ohm = 0.05,
                           .fuse_a = 10.0,
                           .counts = 6000.0};
}

bool sl_display_show(const sl_display *display, double value, double *shown, double *step)
{
    *shown = value;
    *step = display->step;
    if (isnan(value)) {
        return true;
    }
    /* Steps below 1 divide by a power of ten, so that 12.63 is the number nearest to 12.63. */
    double multiple = display->step >= 1.0 ? round(display->step) : 1.0;
    double parts = display->step >= 1.0 ? 1.0 : round(1.0 / display->step);
    double digits = round(value * parts / multiple);
    while (fabs(digits) > display->counts && display->counts * multiple / parts < display->most) {
        parts > 1.0 ? (parts = round(parts / 10.0)) : (multiple *= 10.0);
        digits = round(value * parts / multiple);
    }
    *step = multiple / parts;
    if (fabs(value) > display->most || fabs(digits) > display->counts) {
        return false;
    }
    *shown = digits == 0.0 ? 0.0 : digits * multiple / parts;
    return true;
}

int32_t sl__param_of(const sl_kind *kind, const char *name)
{
    for (int32_t n = 0; n < kind->param_count; n++) {
        if (strcmp(kind->params[n].name, name) == 0) {
            return n;
        }
    }
    return -1;
}

sl_status sl__attach_pair(sl_case *cs, const sl__pair_def *def, sl_part *out)
{
    const sl_kind *kind = sl_kind_find(def->kind);
    const char *nodes[SL__ELEMENTS_MOST] = {NULL};
    double values[SL__PARAMS_MOST];
    char name[48];
    /* Numbered, so that the same instrument can be put on once more. */
    snprintf(name, sizeof name, "(%s %d)", def->kind, (int)cs->extra.names.count + 1);
    for (int32_t n = 0; n < kind->param_count; n++) {
        values[n] = SL__NAN;
    }
    for (int k = 0; k < 3 && def->set[k].param; k++) {
        values[sl__param_of(kind, def->set[k].param)] = def->set[k].value;
    }
    nodes[0] = sl__case_node_name(cs, def->from);
    nodes[1] = sl__case_node_name(cs, def->to);
    return sl_case_attach(
        cs, &(sl_part_def){.kind = def->kind, .name = name, .nodes = nodes, .values = values}, out);
}

sl_status sl__check_ends(sl_case *cs, sl_node red, sl_node black)
{
    const int32_t count = cs->circuit->nodes.count;
    if (red < 0 || black < 0 || red >= count || black >= count) {
        return sl__fail(&cs->message, SL_E_ARG, "a lead is on no node of the circuit");
    }
    return SL_OK;
}

sl_status sl__edit_ahead(sl_case *cs, int32_t count)
{
    sl_edit *grown =
        sl__reserve(&cs->al, cs->edit, &cs->edit_room, cs->edit_count + count, sizeof *grown);
    if (!grown) {
        return sl__fail(&cs->message, SL_E_NOMEM, "%s", sl_status_text(SL_E_NOMEM));
    }
    cs->edit = grown;
    return SL_OK;
}

/* Takes an instrument off, for which there is room. */
static void take_off(sl_case *cs, sl_part part)
{
    const sl_edit off = {part, SL_OPEN, -1, 0.0};
    sl_case_edit(cs, &off, 1);
}

/* What a solved ohmmeter shows: INFINITY for OL. */
static double ohms_shown(const sl_case *cs, sl_part part)
{
    sl_notice notice;
    sl_case_notices(cs, part, &notice, 1);
    const sl_kind *kind = &sl__case_part(cs, part)->kind->about;
    return strcmp(kind->notices[notice.index].name, "reading") == 0 ? notice.value : INFINITY;
}

/* Puts one on, goes up through its ranges until it shows a number, and takes it off. */
static sl_status read_ohms(sl_case *cs, sl_node red, sl_node black, const sl_multimeter *meter,
                           double *ohm, double *range)
{
    sl_part part;
    sl_status st = sl__edit_ahead(cs, OHM_RANGES + 1);
    st = st != SL_OK ? st
                     : sl__attach_pair(cs,
                                       &(sl__pair_def){"ohmmeter",
                                                       red,
                                                       black,
                                                       {{"test_voltage", meter->test_v},
                                                        {"lead_resistance", meter->lead_ohm}}},
                                       &part);
    if (st != SL_OK) {
        return st;
    }
    const int32_t param = sl__param_of(&sl__case_part(cs, part)->kind->about, "range");
    *range = meter->counts / 10.0;
    *ohm = INFINITY;
    for (int n = 0; st == SL_OK && isinf(*ohm) && n < OHM_RANGES; n++) {
        *range = meter->counts / 10.0 * pow(10.0, n);
        const sl_edit edit = {part, SL_SET, param, *range};
        st = sl_case_edit(cs, &edit, 1);
        st = st == SL_OK ? sl_case_solve(cs) : st;
        if (st == SL_OK) {
            *ohm = ohms_shown(cs, part);
        }
    }
    take_off(cs, part); /* also when it could not be read */
    return st;
}

static bool is_usable(const sl_multimeter *meter)
{
    return meter->counts >= 100.0 && meter->counts <= 1e5 && meter->test_v >= 0.1 &&
           meter->test_v <= 15.0 && meter->lead_ohm >= 0.0 && meter->lead_ohm <= 100.0;
}

sl_status sl_case_ohms(sl_case *cs, sl_node red, sl_node black, const sl_multimeter *meter,
                       sl_ohms *out)
{
    if (!is_usable(meter)) {
        return sl__fail(&cs->message, SL_E_ARG,
                        "an ohmmeter has 100 to 100000 counts, a test voltage of 0.1 to 15 V and "
                        "leads of 0 to 100 ohm");
    }
    sl_ohms found = {.before_v = SL__NAN};
    double range;
    sl_status st = sl__check_ends(cs, red, black);
    if (st != SL_OK || (st = sl_case_solve(cs)) != SL_OK) {
        return st;
    }
    sl_case_between(cs, red, black, &found.before_v);
    if ((st = read_ohms(cs, red, black, meter, &found.ohm, &found.range_ohm)) != SL_OK ||
        (st = read_ohms(cs, black, red, meter, &found.swapped_ohm, &range)) != SL_OK) {
        return st;
    }
    /* A voltage e behind what is measured moves the reading by about e times reference resistor
       over test voltage: on every range so many digits. */
    const double digits = fabs(found.before_v) * REFERENCE * meter->counts / meter->test_v;
    found.live = digits >= 1.0;
    *out = found;
    return SL_OK;
}

sl_edit sl_multimeter_in_series(const sl_multimeter *meter, sl_part part, int32_t element)
{
    return (sl_edit){part, SL_SERIES, element, meter->burden_ohm};
}

sl_status sl_case_terminal(const sl_case *cs, sl_part part, int32_t terminal, double *current_a)
{
    const int32_t parts = cs->circuit->parts.names.count + cs->extra.names.count;
    if (!cs->solved || part < 0 || part >= parts || terminal < 0 ||
        terminal >= sl__case_part(cs, part)->kind->about.terminal_count) {
        return SL_E_ARG;
    }
    const sl_kind *kind = &sl__case_part(cs, part)->kind->about;
    const sl__answer *answer = &cs->answer[cs->view];
    sl__pair sum = sl__pair_of(0.0);
    bool defined = true;
    for (int32_t e = 0; e < kind->element_count; e++) {
        const int32_t k = cs->branch_at[part] + e;
        const bool in = kind->elements[e].from == terminal, out = kind->elements[e].to == terminal;
        defined = defined && !((in || out) && answer->loop[k]);
        sum = in ? sl__pair_add(sum, answer->i[k]) : out ? sl__pair_sub(sum, answer->i[k]) : sum;
    }
    *current_a = defined ? sl__pair_value(sum) : SL__NAN;
    return defined ? SL_OK : SL_W_UNDETERMINED;
}

sl_status sl_case_clamp(const sl_case *cs, const sl_clamped *leads, int32_t count,
                        double *current_a)
{
    double sum = 0.0;
    for (int32_t n = 0; n < count; n++) {
        double amps;
        const sl_status st = sl_case_terminal(cs, leads[n].part, leads[n].terminal, &amps);
        if (st < SL_OK) {
            return st;
        }
        sum += leads[n].reversed ? -amps : amps;
    }
    *current_a = sum;
    return isnan(sum) ? SL_W_UNDETERMINED : SL_OK;
}

/* A pile that is turned up until a current flows takes that current whatever the voltage, so it is
   solved as just that; the voltage found tells what it is set to. */
static sl_status pile_at(sl_case *cs, sl_node red, sl_node black, double amps, sl_pile *pile)
{
    sl_status st = sl__attach_pair(cs, &(sl__pair_def){"source", black, red, {{"current", amps}}},
                                   &pile->part);
    if (st != SL_OK || (st = sl_case_solve(cs)) != SL_OK) {
        return st;
    }
    pile->current_a = amps;
    sl_case_between(cs, red, black, &pile->drop_v);
    pile->ohm = pile->drop_v / amps;
    return SL_OK;
}

static sl_status pile_wound_in(sl_case *cs, sl_node red, sl_node black, double least_ohm,
                               sl_pile *pile)
{
    sl_part_answer answer;
    sl_status st = sl__attach_pair(
        cs, &(sl__pair_def){"resistor", red, black, {{"resistance", least_ohm}}}, &pile->part);
    if (st != SL_OK || (st = sl_case_solve(cs)) != SL_OK) {
        return st;
    }
    sl_case_part(cs, pile->part, &answer);
    pile->current_a = answer.current_a;
    pile->drop_v = answer.drop_v;
    pile->ohm = least_ohm;
    return SL_OK;
}

sl_status sl_case_pile(sl_case *cs, sl_node red, sl_node black, double current_a, double least_ohm,
                       sl_pile *out)
{
    if (!(current_a > 0.0) || !(least_ohm > 0.0) || isinf(current_a) || isinf(least_ohm)) {
        return sl__fail(&cs->message, SL_E_ARG,
                        "a carbon pile is set to a current and a least resistance above 0");
    }
    sl_pile pile = {.part = SL_NONE};
    sl_status st = sl__check_ends(cs, red, black);
    if (st != SL_OK) {
        return st;
    }
    if ((st = sl__edit_ahead(cs, 2)) != SL_OK) {
        return st;
    }
    st = pile_at(cs, red, black, current_a, &pile);
    pile.reached = st == SL_OK && pile.ohm >= least_ohm;
    /* Nothing that could feed so much, or nothing at all: no solution, or one that no pile has. */
    const bool cannot = st == SL_E_CONTRADICTION || st == SL_E_CONVERGENCE;
    if ((st == SL_OK && !pile.reached) || (cannot && pile.part != SL_NONE)) {
        take_off(cs, pile.part);
        pile.part = SL_NONE;
        st = pile_wound_in(cs, red, black, least_ohm, &pile);
    }
    if (st == SL_OK) {
        *out = pile;
    } else if (pile.part != SL_NONE) {
        take_off(cs, pile.part);
    }
    return st;
}

sl_status sl_case_alone(sl_case *cs, sl_part part)
{
    const int32_t parts = cs->circuit->parts.names.count;
    if (part < 0 || part >= parts) {
        return sl__fail(&cs->message, SL_E_ARG, "no part of the circuit is to be left alone");
    }
    sl_status st = sl__edit_ahead(cs, parts);
    for (sl_part p = 0; st == SL_OK && p < parts; p++) {
        const sl_edit out = {p, SL_OPEN, -1, 0.0};
        st = p == part ? SL_OK : sl_case_edit(cs, &out, 1);
    }
    return st;
}
