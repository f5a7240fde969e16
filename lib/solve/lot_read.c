/* lib/solve/lot_read.c: what is read off eight samples. */
#include <math.h>
#include <string.h>

#include "solve/lot_room.h"

static double row_volts(const sl__lot *lot, int32_t row, int32_t l)
{
    return sl__lanes_of(lot->out, row)[l];
}

/* One row against another with more volts in between, of which `source` is taken away; *size: what
   that is the difference of. */
static double between(const sl__lot *lot, int32_t a, int32_t b, double offset, double source,
                      int32_t l, double *size)
{
    const double at_a = row_volts(lot, a, l), at_b = row_volts(lot, b, l);
    *size = fabs(at_a) + fabs(at_b) + fabs(offset) + fabs(source);
    if (!lot->fine) {
        return at_a - at_b + (offset - source);
    }
    const double off = sl__lanes_of(lot->off, a)[l] - sl__lanes_of(lot->off, b)[l];
    const sl__pair v = sl__pair_add(sl__two_sum(at_a, -at_b), sl__two_sum(offset, -source));
    return sl__pair_value(sl__pair_add(v, sl__pair_of(off)));
}

/* Between the ends of a branch, V. */
static double across(const sl__lot *lot, int32_t k, int32_t l)
{
    const sl__stage *stage = lot->stage;
    return row_volts(lot, stage->from[k], l) - row_volts(lot, stage->to[k], l) +
           sl__lanes_of(lot->offset, k)[l];
}

static bool is_left(const sl__lot *lot, double left, double size)
{
    return lot->fine || size == 0.0 || fabs(left) >= SL__LOT_COARSE * size;
}

/* The current of a branch in a lane. *left: what it is the difference of leaves enough of it. */
static double amps_of(const sl__lot *lot, int32_t k, int32_t l, bool *left)
{
    const sl__stage *stage = lot->stage;
    const int32_t a = stage->from[k], b = stage->to[k];
    const double offset = sl__lanes_of(lot->offset, k)[l];
    double size, v;
    *left = true;
    switch (stage->law[k].form) {
    case SL__OHMIC:
        v = between(lot, a, b, offset, sl__lanes_of(lot->open_v, k)[l], l, &size);
        *left = is_left(lot, v, size);
        return sl__lanes_of(lot->g, k)[l] * v;
    case SL__CURVE:
        *left = !(fabs(between(lot, a, b, offset, 0.0, l, &size)) < SL__LOT_COARSE * size);
        return sl__lanes_of(lot->curve_i, lot->plan->slot[k])[l];
    case SL__FIXED:
        return sl__lanes_of(lot->amp, k)[l];
    default:
        return 0.0;
    }
}

/* The same of a link, whose current is that of others. */
static double link_amps(const sl__lot *lot, int32_t k, int32_t l, bool *left)
{
    const sl__stage *stage = lot->stage;
    const sl__plan_around *sum = stage->sum;
    while (sum->link != k) {
        sum++;
    }
    double amps = 0.0, size = 0.0;
    *left = true;
    for (int32_t n = 0; n < sum->count; n++) {
        bool enough;
        const double one = amps_of(lot, sum->branch[n], l, &enough);
        amps += sum->sign[n] * one;
        size += fabs(one);
        *left = *left && enough;
    }
    *left = *left && is_left(lot, amps, size);
    return amps;
}

static double current(const sl__lot *lot, int32_t k, int32_t l, bool *left)
{
    return lot->stage->link[k] ? link_amps(lot, k, l, left) : amps_of(lot, k, l, left);
}

void sl__lot_find_flows(sl__lot *lot, bool all)
{
    const sl__plan *plan = lot->plan;
    const sl__lot_net net = sl__lot_net_of(lot);
    plan->loops->flows(&net, all ? plan->flows : plan->trim_flows, lot->stage->flow, lot->flow_v,
                       lot->flow_i);
}

void sl__lot_flows(const sl__lot *lot, const sl__plan_part *part, int32_t l, sl__flow *flow)
{
    const sl__stage *stage = lot->stage;
    const sl_case *cs = lot->plan->cs;
    for (int32_t e = 0; e < part->count; e++) {
        const int32_t k = part->branch + e, at = part->flow_at + e;
        bool unused;
        flow[e] = (sl__flow){.v = stage->joined[k] ? sl__lanes_of(lot->flow_v, at)[l] : SL__NAN};
        flow[e].i =
            stage->link[k] ? link_amps(lot, k, l, &unused) : sl__lanes_of(lot->flow_i, at)[l];
    }
    for (int32_t k = cs->elements; k < lot->plan->branches; k++) {
        const int32_t e = cs->branch[k].series_with - part->branch;
        if (e >= 0 && e < part->count) {
            flow[e].added_v += across(lot, k, l);
        }
    }
}

/* Reads a lane. False: it is to be solved whole. */
bool sl__lot_read(const sl__lot *lot, int32_t l, double *value)
{
    const sl__plan *plan = lot->plan;
    const sl__stage *stage = lot->stage;
    const sl_reading *of = &plan->of;
    if (of->part == SL_NONE) {
        double size;
        *value = between(lot, stage->red, stage->black,
                         sl__lanes_of(lot->offset, plan->branches)[l], 0.0, l, &size);
        return is_left(lot, *value, size);
    }
    const int32_t first = plan->cs->branch_at[of->part];
    bool left;
    if (of->element >= 0) {
        *value = current(lot, first + of->element, l, &left);
        return left;
    }
    const sl_kind *kind = &sl__case_part(plan->cs, of->part)->kind->about;
    double sum = 0.0, size = 0.0;
    for (int32_t e = 0; e < kind->element_count; e++) {
        const bool out = kind->elements[e].from == 0, in = kind->elements[e].to == 0;
        if (!out && !in) {
            continue;
        }
        const double amps = current(lot, first + e, l, &left);
        if (!left) {
            return false;
        }
        sum += out ? amps : -amps;
        size += fabs(amps);
    }
    *value = sum;
    return is_left(lot, sum, size);
}

/* The current of a curve between its rows: where it stands is those in one number, and a last place
   of that makes much of a steep curve. */
static double curve_amps(const sl__lot *lot, int32_t c, int32_t l)
{
    const sl__stage *stage = lot->stage;
    const int32_t k = stage->curve[c];
    const double at = sl__lanes_of(lot->curve_v, stage->slot[c])[l];
    const sl__pair rows =
        sl__two_sum(row_volts(lot, stage->from[k], l), -row_volts(lot, stage->to[k], l));
    const sl__pair off = sl__two_sum(sl__lanes_of(lot->offset, k)[l], -at);
    double amps, slope;
    sl__lot_curve(lot, c, l, at, &amps, &slope);
    return amps + slope * sl__pair_value(sl__pair_add(rows, off));
}

/* What the voltages of all rows are off by, from what their currents leave over in pairs. */
void sl__lot_refine(sl__lot *lot)
{
    const sl__plan *plan = lot->plan;
    const sl__stage *stage = lot->stage;
    for (int32_t c = 0; c < stage->curves; c++) {
        for (int32_t l = 0; l < SL__LANES; l++) {
            if (sl__has(lot->alive, l)) {
                sl__lanes_of(lot->amp, stage->curve[c])[l] = curve_amps(lot, c, l);
            }
        }
    }
    const sl__lanes_net net = {.from = stage->from,
                               .to = stage->to,
                               .given = stage->given,
                               .g = lot->g,
                               .offset = lot->offset,
                               .source = lot->open_v,
                               .amps = lot->amp};
    plan->kernels->balance(plan->most_rows + 1, plan->branches, &net, lot->out, lot->off,
                           lot->room);
    sl__along_solve(stage->along, plan->kernel, lot->along, lot->off);
    sl__set_lanes(sl__lanes_of(lot->off, plan->most_rows), 0.0);
    lot->fine = true;
}
