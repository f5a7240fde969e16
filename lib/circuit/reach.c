/* lib/circuit/reach.c: where a meter lead can go, and what a part does not have. */
#include <string.h>

#include "circuit/circuit.h"

bool sl_circuit_part_lacks(const sl_circuit *c, sl_part part, sl_lack_of of, int32_t index)
{
    if (part < 0 || part >= c->parts.names.count) {
        return false;
    }
    const sl__part *p = &c->parts.part[part];
    return sl_kind_lacks(&p->kind->about, c->parts.value + p->value_at, of, index);
}

/* Is a node's name the one that a terminal that was left out gives it? */
static bool is_own(const char *node, const char *part, const char *terminal)
{
    const size_t length = strlen(part);
    return strncmp(node, part, length) == 0 && node[length] == '.' &&
           strcmp(node + length + 1, terminal) == 0;
}

static bool is_stud(const sl_circuit *c, sl_node node)
{
    for (int32_t s = 0; s < c->panels.stud_count; s++) {
        if (c->panels.stud_node[s] == node) {
            return true;
        }
    }
    return false;
}

sl_reach sl_circuit_node_reach(const sl_circuit *c, sl_node node)
{
    if (node < 0 || node >= c->nodes.count) {
        return SL_INSIDE;
    }
    const char *name = c->nodes.text[node];
    sl_reach reach = SL_TEST_POINT;
    int32_t ends = 0;
    for (sl_part p = 0; p < c->parts.names.count && strchr(name, '.'); p++) {
        const sl__part *part = &c->parts.part[p];
        const sl_kind *kind = &part->kind->about;
        for (int32_t t = 0; t < kind->terminal_count; t++) {
            if (c->parts.node[part->node_at + t] != node) {
                continue;
            }
            const uint32_t bit = SL_TERMINAL_BIT(t);
            ends++;
            if (!is_own(name, c->parts.names.text[p], kind->terminals[t].name)) {
                return SL_TEST_POINT;
            }
            const bool hidden =
                (kind->inside & bit) != 0 || sl_circuit_part_lacks(c, p, SL_LACKS_TERMINAL, t);
            reach = hidden ? SL_INSIDE : (kind->reached & bit) != 0 ? SL_TEST_POINT : SL_UNUSED;
        }
    }
    return ends == 1 && !is_stud(c, node) ? reach : SL_TEST_POINT;
}

bool sl_circuit_mode_is_unused(const sl_circuit *c, sl_part part, int32_t mode)
{
    if (part < 0 || part >= c->parts.names.count) {
        return false;
    }
    const sl_kind *kind = &c->parts.part[part].kind->about;
    if (mode < 0 || mode >= kind->mode_count || kind->modes[mode].change == SL_SET ||
        kind->modes[mode].index < 0) {
        return false;
    }
    const sl_element *element = &kind->elements[kind->modes[mode].index];
    const sl_node *node = c->parts.node + c->parts.part[part].node_at;
    return sl_circuit_node_reach(c, node[element->from]) == SL_UNUSED ||
           sl_circuit_node_reach(c, node[element->to]) == SL_UNUSED;
}
