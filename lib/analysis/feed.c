/* lib/analysis/feed.c: where the feeds of a circuit come from. */
#include <math.h>

#include "kinds/kind.h"
#include "strapline/sweep.h"

/* The positive post of a battery: the other end of the element its negative post is on. */
static sl_node positive_post(const sl_circuit *circuit, sl_part part)
{
    const sl_kind *kind = sl_circuit_part_kind(circuit, part);
    for (int32_t e = 0; kind->negative_post >= 0 && e < kind->element_count; e++) {
        const sl_element *element = &kind->elements[e];
        if (element->from == kind->negative_post || element->to == kind->negative_post) {
            return sl_circuit_part_node(
                circuit, part, element->from == kind->negative_post ? element->to : element->from);
        }
    }
    return SL_NONE;
}

static void take_higher(const sl_case *cs, sl_node node, sl_node *best, double *best_v)
{
    double volts = SL__NAN;
    if (node != SL_NONE && sl_case_node(cs, node, &volts) == SL_OK && volts > *best_v) {
        *best = node;
        *best_v = volts;
    }
}

sl_status sl_circuit_find_feed(const sl_circuit *circuit, sl_node *out)
{
    sl_case *cs = NULL;
    sl_status st = sl_case_new(circuit, 0, &cs);
    st = st == SL_OK ? sl_case_solve(cs) : st;
    sl_node best = SL_NONE;
    double best_v = 0.0;
    for (sl_part p = 0; st == SL_OK && p < sl_circuit_part_count(circuit); p++) {
        take_higher(cs, positive_post(circuit, p), &best, &best_v);
    }
    const bool no_battery = best == SL_NONE;
    for (sl_node n = 0; st == SL_OK && no_battery && n < sl_circuit_node_count(circuit); n++) {
        take_higher(cs, n, &best, &best_v);
    }
    sl_case_free(cs);
    if (st == SL_OK && best == SL_NONE) {
        return SL_E_REFERENCE;
    }
    if (st == SL_OK) {
        *out = best;
    }
    return st;
}
