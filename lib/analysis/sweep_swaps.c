/* lib/analysis/sweep_swaps.c: conductors in each other's place. */
#include "analysis/sweep.h"

#include "circuit/circuit.h"

/* A part of one element between its only two terminals; NULL: it is none. */
static const sl_kind *conductor(const sl_sweep *sweep, sl_part part)
{
    const sl_kind *kind = sl_circuit_part_kind(sweep->circuit, part);
    const bool is =
        kind && kind->element_count == 1 && kind->terminal_count == 2 && !kind->takes_points;
    return is ? kind : NULL;
}

/* The node at the other end of a conductor; SL_NONE where it does not end on this one alone. */
static sl_node far_end(const sl_sweep *sweep, sl_part part, sl_node node)
{
    const sl_node first = sl_circuit_part_node(sweep->circuit, part, 0);
    const sl_node second = sl_circuit_part_node(sweep->circuit, part, 1);
    if (!conductor(sweep, part) || node == SL_NONE || (first == node) == (second == node)) {
        return SL_NONE;
    }
    return first == node ? second : first;
}

/* Can they change places, so that neither comes to lie across one node? */
static bool can_be(const sl_sweep *sweep, const sl_fault *swap)
{
    const sl_node far = far_end(sweep, swap->part, swap->node);
    const sl_node other = far_end(sweep, swap->other, swap->to);
    return far != SL_NONE && other != SL_NONE && swap->part != swap->other &&
           swap->node != swap->to && far != swap->to && other != swap->node;
}

static sl_status add(sl_sweep *sweep, const sl_fault *swap)
{
    const sl_edit out[2] = {{swap->part, SL_OPEN, -1, 0.0}, {swap->other, SL_OPEN, -1, 0.0}};
    return sl__sweep_append(sweep, swap, out, 2);
}

static sl_fault swap_of(sl_part part, sl_node node, sl_part other, sl_node to)
{
    sl_fault swap = sl__no_fault;
    swap.type = SL_FAULT_SWAPPED;
    swap.part = part;
    swap.node = node;
    swap.other = other;
    swap.to = to;
    return swap;
}

static const char *name_or_none(const char *name)
{
    return name ? name : "none";
}

sl_status sl_sweep_add_swap(sl_sweep *sweep, sl_part part, sl_node node, sl_part other, sl_node to)
{
    const sl_fault swap = swap_of(part, node, other, to);
    if (!can_be(sweep, &swap)) {
        return sl__fail(&sweep->message, SL_E_ARG,
                        "\"%s\" and \"%s\" cannot be swapped at \"%s\" and \"%s\": each has to be "
                        "one path between two nodes, of which this is one, and neither may come to "
                        "have both ends on one node",
                        name_or_none(sl_circuit_part_name(sweep->circuit, part)),
                        name_or_none(sl_circuit_part_name(sweep->circuit, other)),
                        name_or_none(sl_circuit_node_name(sweep->circuit, node)),
                        name_or_none(sl_circuit_node_name(sweep->circuit, to)));
    }
    return add(sweep, &swap);
}

/* Is all of it there to conduct, or to guard what does? Which end is which is then all one. */
static bool only_conducts(const sl_kind *kind)
{
    for (int32_t e = 0; e < kind->element_count; e++) {
        const sl_use use = kind->uses[e];
        if (use != SL_WIRE && use != SL_CONNECTION && use != SL_PROTECTION) {
            return false;
        }
    }
    return true;
}

/* Are these two a fault already, told either way round? */
static bool is_there(const sl_sweep *sweep, const sl_fault *swap)
{
    for (int32_t k = 0; k < sweep->fault_count; k++) {
        const sl_fault *at = &sweep->fault[k].about;
        const bool same = at->part == swap->part && at->node == swap->node &&
                          at->other == swap->other && at->to == swap->to;
        const bool turned = at->part == swap->other && at->node == swap->to &&
                            at->other == swap->part && at->to == swap->node;
        if (same || turned) {
            return true;
        }
    }
    return false;
}

/* Does a wire, or else a joint such as the clamp at its end, come to a node from elsewhere? */
static bool comes_to(const sl_sweep *sweep, sl_part part, sl_use use, sl_node node)
{
    const sl_kind *kind = conductor(sweep, part);
    return kind && kind->uses[0] == use && far_end(sweep, part, node) != SL_NONE;
}

/* Each wire on one node with each on another, or each joint: nobody takes a screw for a wire. Two
   that come from the same node are the same either way. */
static sl_status add_between(sl_sweep *sweep, sl_use use, sl_node node, sl_node to)
{
    const int32_t parts = sl_circuit_part_count(sweep->circuit);
    sl_status st = SL_OK;
    for (sl_part p = 0; p < parts; p++) {
        if (!comes_to(sweep, p, use, node)) {
            continue;
        }
        for (sl_part other = 0; other < parts && st == SL_OK; other++) {
            const sl_fault swap = swap_of(p, node, other, to);
            if (comes_to(sweep, other, use, to) && can_be(sweep, &swap) &&
                far_end(sweep, p, node) != far_end(sweep, other, to) && !is_there(sweep, &swap)) {
                st = add(sweep, &swap);
            }
        }
    }
    return st;
}

sl_status sl_sweep_add_swaps(sl_sweep *sweep, sl_part part)
{
    const sl_circuit *circuit = sweep->circuit;
    const sl_kind *kind = sl_circuit_part_kind(circuit, part);
    const int32_t first = sweep->fault_count;
    if (!kind) {
        return sl__fail(&sweep->message, SL_E_ARG, "there is no part %d", (int)part);
    }
    const int32_t terminals = only_conducts(kind) ? 0 : kind->terminal_count;
    sl_status st = SL_OK;
    for (int32_t b = 1; b < terminals; b++) {
        for (int32_t a = 0; a < b && st == SL_OK; a++) {
            const sl_node node = sl_circuit_part_node(circuit, part, a);
            const sl_node to = sl_circuit_part_node(circuit, part, b);
            st = node != to ? add_between(sweep, SL_WIRE, node, to) : SL_OK;
            st = node != to && st == SL_OK ? add_between(sweep, SL_CONNECTION, node, to) : st;
        }
    }
    if (st != SL_OK) {
        sl__sweep_truncate(sweep, first);
    }
    return st;
}
