/* lib/analysis/loads.c: the loads of a solved case. */
#include "analysis/graph.h"

static bool is_load(const sl__graph *g, const sl__edge *edge)
{
    if (edge->use == SL_GIVES) {
        return sl__graph_is_charged(g, edge) && edge->open_v != 0.0;
    }
    return edge->use >= SL_LOAD_STARTER && edge->amps > 0.0;
}

int32_t sl_case_loads(const sl_case *cs, sl_load *out, int32_t room)
{
    sl__graph g;
    const sl_status st = cs->solved ? sl__graph_make(cs, &g) : SL_E_ARG;
    if (st != SL_OK) {
        return st;
    }
    int32_t count = 0;
    for (int32_t k = 0; k < g.edges; k++) {
        if (!is_load(&g, &g.edge[k])) {
            continue;
        }
        const sl__edge *edge = &g.edge[k];
        const sl_load load = {edge->part, edge->element, edge->use, edge->amps};
        int32_t at = count < room ? count : room;
        for (; at > 0 && out[at - 1].current_a < load.current_a; at--) {
            if (at < room) {
                out[at] = out[at - 1];
            }
        }
        if (at < room) {
            out[at] = load;
        }
        count++;
    }
    sl__graph_free(&g);
    return count;
}
