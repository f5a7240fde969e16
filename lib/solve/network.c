/* lib/solve/network.c: from laws to rows: which nodes are one, which hang together, and whether the
   ideal sources can all be right at once. */
#include <math.h>
#include <string.h>

#include "base/memory.h"
#include "solve/solve.h"

/* Currents of ideal sources into an island that should have none may differ from zero by rounding.
 */
#define BALANCED 1e-12

static bool is_link(const sl__branch *branch)
{
    return branch->law.form == SL__OHMIC && branch->law.ohm == 0.0;
}

/* Lists the links at each node: list[at[n] .. at[n + 1]). */
static void list_links(sl_case *cs)
{
    sl__network *net = &cs->net;
    int32_t count = 0;
    memset(net->at, 0, ((size_t)cs->nodes + 1) * sizeof *net->at);
    for (int32_t k = 0; k < cs->branches; k++) {
        net->link[k] = is_link(&cs->branch[k]);
        net->loop[k] = false;
        if (net->link[k]) {
            net->at[cs->branch[k].from]++;
            net->at[cs->branch[k].to]++;
            count++;
        }
    }
    net->links = count;
    if (count == 0) {
        return;
    }
    for (int32_t n = 0; n < cs->nodes; n++) {
        net->at[n + 1] += net->at[n];
    }
    for (int32_t k = cs->branches - 1; k >= 0; k--) {
        if (net->link[k]) {
            net->list[--net->at[cs->branch[k].from]] = k;
            net->list[--net->at[cs->branch[k].to]] = k;
        }
    }
    net->at[cs->nodes] = 2 * count;
}

/* Adds the parts on the way from a node up to (not including) another to the message. */
static void name_way(sl_case *cs, sl_node from, sl_node top)
{
    for (sl_node n = from; n != top; n = cs->net.up_node[n]) {
        sl__message_add(&cs->message, ", \"%s\"",
                        sl__case_part_name(cs, cs->branch[cs->net.up_link[n]].part));
    }
}

/* Distance of a node from the root of its class. */
static int32_t depth_of(const sl__network *net, sl_node n)
{
    int32_t depth = 0;
    for (; net->up_node[n] >= 0; n = net->up_node[n]) {
        depth++;
    }
    return depth;
}

/* Where the ways up from two nodes of a class meet. */
static sl_node meeting(const sl__network *net, sl_node a, sl_node b)
{
    int32_t da = depth_of(net, a), db = depth_of(net, b);
    for (; da > db; da--) {
        a = net->up_node[a];
    }
    for (; db > da; db--) {
        b = net->up_node[b];
    }
    while (a != b) {
        a = net->up_node[a];
        b = net->up_node[b];
    }
    return a;
}

/* Is every link on the way up a plain joint, without a source? Marks them as a loop. */
static bool mark_way(sl_case *cs, sl_node from, sl_node top)
{
    bool plain = true;
    for (sl_node n = from; n != top; n = cs->net.up_node[n]) {
        int32_t k = cs->net.up_link[n];
        cs->net.loop[k] = true;
        plain = plain && cs->branch[k].law.open_v == 0.0;
    }
    return plain;
}

/* A link between two nodes that are one class already closes a loop without resistance. Of plain
   links, only the share of current is undefined; with a source in it, there is no answer. */
static sl_status close_loop(sl_case *cs, int32_t k)
{
    const sl__branch *branch = &cs->branch[k];
    sl_node top = meeting(&cs->net, branch->from, branch->to);
    bool plain = mark_way(cs, branch->from, top);
    plain = mark_way(cs, branch->to, top) && plain && branch->law.open_v == 0.0;
    cs->net.loop[k] = true;
    if (plain) {
        return SL_OK;
    }
    sl__fail(&cs->message, SL_E_CONTRADICTION,
             "a loop of ideal voltage sources without resistance: \"%s\"",
             sl__case_part_name(cs, branch->part));
    name_way(cs, branch->from, top);
    name_way(cs, branch->to, top);
    sl__message_add(&cs->message,
                    "; give one of them a resistance (a battery has one), or take one away");
    return SL_E_CONTRADICTION;
}

/* Hangs every node reachable over links on `root`, in breadth. Returns the new end of the order. */
static int32_t hang_class(sl_case *cs, sl_node root, int32_t end)
{
    sl__network *net = &cs->net;
    int32_t begin = end;
    net->up_node[root] = -1;
    net->offset[root] = sl__pair_of(0.0);
    net->order[end++] = root;
    for (int32_t q = begin; q < end; q++) {
        sl_node n = net->order[q];
        for (int32_t s = net->at[n]; s < net->at[n + 1]; s++) {
            const sl__branch *branch = &cs->branch[net->list[s]];
            sl_node m = branch->from == n ? branch->to : branch->from;
            if (net->row[m] != INT32_MIN) {
                continue;
            }
            net->row[m] = net->row[root];
            net->up_node[m] = n;
            net->up_link[m] = net->list[s];
            sl__pair rise =
                sl__pair_of(branch->from == n ? -branch->law.open_v : branch->law.open_v);
            net->offset[m] = sl__pair_add(net->offset[n], rise);
            net->order[end++] = m;
        }
    }
    return end;
}

/* Joins nodes into classes and numbers the rows; the class of the reference comes first, rowless.
 */
static sl_status find_classes(sl_case *cs)
{
    sl__network *net = &cs->net;
    list_links(cs);
    for (sl_node n = 0; n < cs->nodes; n++) {
        net->row[n] = INT32_MIN;
    }
    sl_node reference = sl_circuit_reference(cs->circuit);
    net->row[reference] = SL__REFERENCE;
    int32_t end = hang_class(cs, reference, 0);
    net->rows = 0;
    for (sl_node n = 0; n < cs->nodes; n++) {
        if (net->row[n] == INT32_MIN) {
            net->row[n] = net->rows++;
            end = hang_class(cs, n, end);
        }
    }
    for (int32_t k = 0; net->links && k < cs->branches; k++) {
        const sl__branch *branch = &cs->branch[k];
        bool hangs =
            net->link[k] && ((net->up_node[branch->from] >= 0 && net->up_link[branch->from] == k) ||
                             (net->up_node[branch->to] >= 0 && net->up_link[branch->to] == k));
        if (net->link[k] && !hangs) {
            sl_status st = close_loop(cs, k);
            if (st != SL_OK) {
                return st;
            }
        }
    }
    return SL_OK;
}

/* Rows, conductance and source of every branch. */
static void lay_rows(sl_case *cs)
{
    sl__network *net = &cs->net;
    for (int32_t k = 0; k < cs->branches; k++) {
        const sl__branch *branch = &cs->branch[k];
        net->from[k] = net->row[branch->from];
        net->to[k] = net->row[branch->to];
        net->emf[k] = sl__pair_sub(net->offset[branch->from], net->offset[branch->to]);
        net->g[k] = 0.0;
        if (branch->law.form == SL__OHMIC && !net->link[k]) {
            net->g[k] = 1.0 / branch->law.ohm;
            net->emf[k] = sl__pair_sub(net->emf[k], sl__pair_of(branch->law.open_v));
        } else if (branch->law.form == SL__CURVE) {
            net->g[k] = branch->law.scale_s;
        }
    }
}

static int32_t root_of(int32_t *up, int32_t row)
{
    while (up[row] != row) {
        row = up[row] = up[up[row]];
    }
    return row;
}

/* Islands: rows that conducting branches join; entry `rows` stands for the reference. */
static void find_islands(sl_case *cs)
{
    sl__network *net = &cs->net;
    for (int32_t r = 0; r <= net->rows; r++) {
        net->island[r] = r;
    }
    int32_t separate = net->rows;
    for (int32_t k = 0; k < cs->branches; k++) {
        if (net->g[k] > 0.0) {
            int32_t a = root_of(net->island, net->from[k] < 0 ? net->rows : net->from[k]);
            int32_t b = root_of(net->island, net->to[k] < 0 ? net->rows : net->to[k]);
            separate -= a != b;
            /* The later row is the root, so the island of the reference keeps its mark. */
            net->island[a < b ? a : b] = a < b ? b : a;
        }
    }
    for (int32_t r = 0; r <= net->rows; r++) {
        net->island[r] = root_of(net->island, r);
    }
    net->islands = separate;
}

static int32_t island_of(const sl__network *net, int32_t row)
{
    return net->island[row < 0 ? net->rows : row];
}

/* What an ideal current source sends into an island must come out of it again. */
static sl_status check_currents(sl_case *cs)
{
    sl__network *net = &cs->net;
    double total = 0.0;
    memset(net->inject, 0, ((size_t)net->rows + 1) * sizeof *net->inject);
    for (int32_t k = 0; k < cs->branches; k++) {
        if (cs->branch[k].law.form == SL__FIXED) {
            double amp = cs->branch[k].law.amp;
            sl__pair *from = &net->inject[island_of(net, net->from[k])];
            *from = sl__pair_sub(*from, sl__pair_of(amp));
            sl__pair *to = &net->inject[island_of(net, net->to[k])];
            *to = sl__pair_add(*to, sl__pair_of(amp));
            total += fabs(amp);
        }
    }
    int32_t bad = 0;
    while (bad <= net->rows && fabs(net->inject[bad].hi) <= BALANCED * total) {
        bad++;
    }
    if (bad > net->rows) {
        return SL_OK;
    }
    sl__fail(&cs->message, SL_E_CONTRADICTION, "a current source feeds an open circuit:");
    for (int32_t k = 0; k < cs->branches; k++) {
        int32_t a = island_of(net, net->from[k]), b = island_of(net, net->to[k]);
        if (cs->branch[k].law.form == SL__FIXED && a != b && (a == bad || b == bad)) {
            sl__message_add(&cs->message, " \"%s\"", sl__case_part_name(cs, cs->branch[k].part));
        }
    }
    sl__message_add(&cs->message, "; give its current a way back, or take it away");
    return SL_E_CONTRADICTION;
}

/* Orders and analyses again only when the pattern has changed. */
static sl_status make_factor(sl_case *cs)
{
    sl__network *net = &cs->net;
    size_t bytes = (size_t)cs->branches * sizeof *net->from;
    bool same = net->factor && net->made_rows == net->rows && net->made_branches == cs->branches &&
                memcmp(net->made_from, net->from, bytes) == 0 &&
                memcmp(net->made_to, net->to, bytes) == 0;
    if (same) {
        return SL_OK;
    }
    sl__factor_free(net->factor);
    net->factor = NULL;
    if (sl__factor_new(&cs->al, net->rows, cs->branches, net->from, net->to, &net->factor) !=
        SL_OK) {
        return sl__fail(&cs->message, SL_E_NOMEM, "%s", sl_status_text(SL_E_NOMEM));
    }
    if (bytes > 0) {
        memcpy(net->made_from, net->from, bytes);
        memcpy(net->made_to, net->to, bytes);
    }
    net->made_rows = net->rows;
    net->made_branches = cs->branches;
    return SL_OK;
}

sl_status sl__network_update(sl_case *cs)
{
    sl_status st = find_classes(cs);
    if (st != SL_OK) {
        return st;
    }
    lay_rows(cs);
    find_islands(cs);
    if ((st = check_currents(cs)) != SL_OK || (st = make_factor(cs)) != SL_OK) {
        return st;
    }
    int32_t dead = sl__factor_update(cs->net.factor, cs->net.g);
    if (dead != cs->net.islands) {
        return sl__fail(&cs->message, SL_E_QUALITY,
                        "topology finds %d floating islands, the factor finds %d",
                        (int)cs->net.islands, (int)dead);
    }
    return SL_OK;
}
