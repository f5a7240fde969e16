/* lib/solve/lean.c: readings straight from the ports of the last steady state. */
#include "solve/lean.h"

#include <math.h>

#include "solve/near.h"

/* The ports of the settled state: of those that were solved last when another order of operation
   has been tried since. */
static bool have_ports(sl_case *cs)
{
    bool done = true;
    if (cs->quick.whose != &cs->answer[0]) {
        sl__base *base = sl__base_of(cs);
        done = base && sl__near(cs, base, &cs->answer[0], &done) == SL_OK && done;
    }
    return done && cs->quick.last;
}

sl_status sl__lean_solve(sl_case *cs, bool *lean)
{
    *lean = false;
    if (!cs->quick.on || cs->edit_count == 0) {
        return SL_OK;
    }
    cs->quick.lean = true;
    cs->quick.last = NULL;
    cs->quick.whose = NULL;
    int64_t whole = cs->quick.effort.whole;
    sl_status st = sl_case_solve(cs);
    *lean = st == SL_OK && cs->outcome == SL_SETTLED && cs->quick.effort.whole == whole &&
            have_ports(cs);
    cs->quick.lean = cs->solved = false;
    return st == SL_E_NOMEM ? st : SL_OK;
}

bool sl__lean_between(const sl_case *cs, sl_node red, sl_node black, double *volts)
{
    const sl__base *base = cs->quick.last;
    const sl__answer *answer = &base->answer;
    if (answer->island[red] != answer->island[black]) {
        *volts = SL__NAN;
        return true;
    }
    int32_t a = base->net.row[red], b = base->net.row[black];
    double v = sl__pair_value(sl__pair_sub(answer->node_v[red], answer->node_v[black]));
    double size = 0.0;
    for (int32_t p = 0; p < base->ports->count; p++) {
        const sl__port *port = &base->ports->port[p];
        double change =
            port->beyond * (sl__at_row(port->column->volt, a) - sl__at_row(port->column->volt, b));
        v -= change;
        size += fabs(change);
    }
    *volts = v;
    return !sl__is_lost(v, size);
}

bool sl__lean_current(const sl_case *cs, sl_part part, int32_t element, double *amps)
{
    const sl__base *base = cs->quick.last;
    int32_t k = cs->branch_at[part] + element;
    if (base->net.link[k]) {
        return false;
    }
    double i = sl__pair_value(base->answer.i[k]), size = 0.0;
    for (int32_t p = 0; p < base->ports->count; p++) {
        const sl__port *port = &base->ports->port[p];
        if (port->element == k) {
            *amps = port->i;
            return true;
        }
        double change = port->beyond * port->column->amp[k];
        i -= change;
        size += fabs(change);
    }
    *amps = i;
    return !sl__is_lost(i, size);
}
