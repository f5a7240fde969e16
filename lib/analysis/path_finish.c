/* lib/analysis/path_finish.c: a path that has its steps: what runs beside them, and the figures
   that are printed. */
#include "analysis/path_make.h"

#include <math.h>
#include <string.h>

#include "base/memory.h"

/* A way beside the path that carries less than this part of the current is not worth a line. */
static const double LEAST_SHARE = 1e-3;

/* Less than this is no drop but the last places of a solution. */
static const double NOTHING_V = 1e-7;

/* What sets of lead-acid cells are called by. */
static const double CELL_V = 2.0;

static sl_status add_beside(sl__path_maker *m, int32_t step, const sl__edge *edge, double share)
{
    sl_path *path = m->path;
    sl_beside *grown = sl__reserve(&path->cs->al, path->beside, &path->beside_room,
                                   path->beside_count + 1, sizeof *path->beside);
    if (!grown) {
        return SL_E_NOMEM;
    }
    path->beside = grown;
    int32_t at = path->beside_count++;
    for (; at > 0 && grown[at - 1].step == step && grown[at - 1].share < share; at--) {
        grown[at] = grown[at - 1];
    }
    grown[at] = (sl_beside){.step = step,
                            .part = edge->part,
                            .element = edge->element,
                            .use = edge->use,
                            .current_a = edge->amps,
                            .share = share};
    return SL_OK;
}

/* Where the currents of a step's node are those of one way: not at a load, which is one by itself.
   Between two leads, too: what flows beside the lead's way there is not in its drop. */
static bool may_divide(const sl_path *path, const sl_step *step)
{
    return step->side != SL_LOAD_SIDE || path->load_use == SL_USE_COUNT;
}

/* Does a way between the leads that is off, as across an open place, stand beside loads that are
   on? They have nothing to do with it. */
static bool is_another_load(const sl_step *step, const sl__edge *edge)
{
    return step->side == SL_LOAD_SIDE && step->current_a == 0.0 && edge->use >= SL_LOAD_STARTER;
}

/* What carries the same current beside a step: into its end on the feed side, out of its start
   on the others. */
static sl_status find_beside(sl__path_maker *m, int32_t k)
{
    const sl__graph *g = &m->g;
    sl_step *step = &m->path->step[k];
    const bool up = step->side == SL_FEED_SIDE;
    const sl_node node = up ? step->to : step->from;
    const double all = up ? g->in[node] : g->out[node];
    if (!(step->current_a >= 0.0) || !(all > 0.0) || !may_divide(m->path, step)) {
        return SL_OK;
    }
    step->share = fmin(1.0, step->current_a / all);
    for (int32_t a = g->at[node]; a < g->at[node + 1]; a++) {
        const sl__edge *edge = &g->edge[g->list[a]];
        const bool same = edge->part == step->part && edge->element == step->element;
        const bool along = (up ? edge->head : edge->tail) == node && edge->amps > 0.0;
        if (!same && along && edge->amps / all >= LEAST_SHARE && !is_another_load(step, edge)) {
            const sl_status st = add_beside(m, k, edge, edge->amps / all);
            if (st != SL_OK) {
                return st;
            }
        }
    }
    return SL_OK;
}

/* The cells of a battery; NaN for other parts. */
static double cells_of(const sl_path *path, sl_part part)
{
    const sl_kind *kind = &sl__case_part(path->cs, part)->kind->about;
    for (int32_t p = 0; p < kind->param_count && kind->negative_post >= 0; p++) {
        if (strcmp(kind->params[p].name, "cells") == 0) {
            return sl__case_values(path->cs, part)[p];
        }
    }
    return SL__NAN;
}

/* The voltage a set of sources is for: that of its cells, or what is seen across others. Batteries
   on charge leave less to a load behind them; a set of them is for all of it. */
static double nominal_of(const sl_path *path)
{
    double volts = 0.0;
    for (int32_t k = -1; k < path->step_count; k++) {
        const sl_step *step = k < 0 ? NULL : &path->step[k];
        if (step && (step->use != SL_GIVES || step->side == SL_LOAD_SIDE || step->inside)) {
            continue;
        }
        const bool takes = step && step->drop_v > 0.0;
        if (takes && path->load_use == SL_GIVES) {
            continue;
        }
        const double cells = cells_of(path, step ? step->part : path->source);
        const double seen = step ? -step->drop_v : path->source_v;
        volts += isnan(cells) || takes ? seen : CELL_V * cells;
    }
    return volts < 9.0 ? 6.0 : volts >= 18.0 ? 24.0 : 12.0;
}

static double unit_of(const sl_path *path)
{
    double most = 0.0;
    for (int32_t k = 0; k < path->step_count; k++) {
        const sl_step *step = &path->step[k];
        const bool counts = step->use < SL_LOAD_STARTER && step->use != SL_GIVES && !step->open;
        most = counts && fabs(step->drop_v) > most ? fabs(step->drop_v) : most;
    }
    return most >= 0.02 || most < NOTHING_V ||
                   (path->load_use < SL_USE_COUNT && path->load_a == 0.0)
               ? 1e-3
           : most >= 0.002 ? 1e-4
                           : 1e-5;
}

/* 0 where there is no voltage. */
static int32_t in_units(double volts, double per_v)
{
    return isnan(volts) ? 0 : (int32_t)lround(volts * per_v);
}

/* Rounds every node once. Nodes are measured against the black end, so that the voltage of the
   load, or of the reading, is rounded as it stands; the source by itself where an open place parts
   it from that end. */
static void round_drops(sl_path *path)
{
    path->unit_v = unit_of(path);
    double up = 0.0, down = 0.0;
    sl_case_between(path->cs, path->plus, path->black, &up);
    sl_case_between(path->cs, path->minus, path->black, &down);
    const double per_v = 1.0 / path->unit_v;
    path->shown_source = isnan(up) || isnan(down) ? in_units(path->source_v, per_v)
                                                  : in_units(up, per_v) - in_units(down, per_v);
    path->shown_open = in_units(path->open_v, per_v);
    for (int32_t k = 0; k < path->step_count; k++) {
        sl_step *step = &path->step[k];
        double from = SL__NAN, to = SL__NAN;
        sl_case_between(path->cs, step->from, path->black, &from);
        sl_case_between(path->cs, step->to, path->black, &to);
        step->shown = isnan(from) || isnan(to) ? 0 : in_units(from, per_v) - in_units(to, per_v);
    }
}

/* One point in the place of another. */
static void rename_node(sl_path *path, sl_node from, sl_node to)
{
    for (int32_t k = 0; k < path->step_count; k++) {
        sl_node *ends[] = {&path->step[k].from, &path->step[k].to};
        *ends[0] = *ends[0] == from ? to : *ends[0];
        *ends[1] = *ends[1] == from ? to : *ends[1];
    }
    path->red = path->red == from ? to : path->red;
    path->black = path->black == from ? to : path->black;
}

/* Takes out a step; what was beside it is beside the next. */
static void remove_step(sl_path *path, int32_t k)
{
    path->step_count--;
    memmove(&path->step[k], &path->step[k + 1],
            (size_t)(path->step_count - k) * sizeof *path->step);
    for (int32_t n = 0; n < path->beside_count; n++) {
        path->beside[n].step -= path->beside[n].step > k ? 1 : 0;
    }
}

/* Takes out steps through what a part does not have: both ends of one are the same point, which
   goes by the end that a lead reaches. */
static void join_points(sl_path *path)
{
    for (int32_t k = path->step_count - 2; k >= 0; k--) {
        const sl_step gone = path->step[k];
        if (sl_case_part_lacks(path->cs, gone.part, SL_LACKS_ELEMENT, gone.element)) {
            const bool back = sl_circuit_node_reach(path->cs->circuit, gone.from) == SL_INSIDE;
            remove_step(path, k);
            rename_node(path, back ? gone.from : gone.to, back ? gone.to : gone.from);
        }
    }
}

sl_status sl__path_finish(sl__path_maker *m)
{
    sl_status st = SL_OK;
    for (int32_t k = 0; k < m->path->step_count && st == SL_OK; k++) {
        st = find_beside(m, k);
    }
    join_points(m->path);
    m->path->nominal_v = nominal_of(m->path);
    m->path->celsius = m->path->cs->celsius;
    round_drops(m->path);
    return st;
}
