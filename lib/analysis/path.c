/* lib/analysis/path.c: paths through loads and between leads. */
#include "analysis/path_make.h"

#include <math.h>

#include "base/memory.h"

bool sl__path_moved(const sl_case *cs, const sl__edge *edge)
{
    return edge->open && !cs->branch[cs->branch_at[edge->part] + edge->element].open;
}

static sl_step step_of(const sl_case *cs, const sl__edge *edge, sl_node from, sl_side side)
{
    const double sign = edge->tail == from ? 1.0 : -1.0;
    return (sl_step){.part = edge->part,
                     .element = edge->element,
                     .from = from,
                     .to = sl__edge_other(edge, from),
                     .use = edge->use,
                     .side = side,
                     .open = edge->open,
                     .moved = sl__path_moved(cs, edge),
                     .current_a = edge->amps == 0.0 ? 0.0 : sign * edge->amps,
                     .drop_v = sign * edge->drop_v,
                     .share = edge->amps > 0.0 ? 1.0 : SL__NAN};
}

sl_status sl__path_add(sl__path_maker *m, const sl__edge *edge, sl_node from, sl_side side)
{
    sl_path *path = m->path;
    sl_step *grown = sl__reserve(&path->cs->al, path->step, &path->room, path->step_count + 1,
                                 sizeof *path->step);
    if (!grown) {
        return SL_E_NOMEM;
    }
    path->step = grown;
    grown[path->step_count] = step_of(path->cs, edge, from, side);
    path->stops += edge->open ? 1 : 0;
    path->step_count++;
    return SL_OK;
}

/* Is an edge of the good circuit one that its current takes, or could? Not against the current, nor
   where none can flow, nor through a load that is off. */
static bool is_taken(const sl__edge *edge, sl_node from)
{
    if (edge->amps == 0.0) {
        return !edge->open && edge->use < SL_LOAD_STARTER && edge->use != SL_GIVES &&
               edge->use != SL_LEAK;
    }
    return edge->tail == from;
}

/* An edge that a search found: in the maker's own graph, or in `good`, then as it is here; not
   where its part stands open here and not there. */
static sl_status add_found(sl__path_maker *m, const sl__graph *good, const sl__edge *found,
                           sl_node from, sl_side side)
{
    if (!good) {
        return sl__path_add(m, found, from, side);
    }
    const sl__edge *edge = sl__graph_edge(&m->g, found->part, found->element);
    if (!edge || !is_taken(found, from) || sl__path_moved(m->g.cs, edge)) {
        return SL_W_FLOATING;
    }
    return sl__path_add(m, edge, from, side);
}

/* Steps from a node to where the search up began: in the order of the path. The search was that of
   the maker's own graph, or of `good`. */
static sl_status add_found_up(sl__path_maker *m, const sl__graph *good, sl_node from, sl_node to,
                              sl_side side)
{
    const sl__graph *g = good ? good : &m->g;
    sl_status st = SL_OK;
    for (sl_node n = from; n != to && st == SL_OK;) {
        const sl__edge *edge = &g->edge[g->via[n]];
        st = add_found(m, good, edge, n, side);
        n = sl__edge_other(edge, n);
    }
    return st;
}

/* Steps of a search down come from its end; turns them round. */
static sl_status add_found_down(sl__path_maker *m, const sl__graph *good, sl_node from, sl_node to,
                                sl_side side)
{
    const sl__graph *g = good ? good : &m->g;
    const int32_t first = m->path->step_count;
    sl_status st = SL_OK;
    for (sl_node n = to; n != from && st == SL_OK;) {
        const sl__edge *edge = &g->edge[g->via[n]];
        n = sl__edge_other(edge, n);
        st = add_found(m, good, edge, n, side);
    }
    sl_step *step = m->path->step;
    for (int32_t a = first, b = m->path->step_count - 1; a < b; a++, b--) {
        const sl_step kept = step[a];
        step[a] = step[b];
        step[b] = kept;
    }
    return st;
}

/* Does any other part end on a node? */
static bool others_there(const sl__graph *g, sl_node node, sl_part part)
{
    for (int32_t a = g->at[node]; a < g->at[node + 1]; a++) {
        if (g->edge[g->list[a]].part != part) {
            return true;
        }
    }
    return false;
}

void sl__path_source(sl__path_maker *m, int32_t edge_at, sl_node plus)
{
    sl_path *path = m->path;
    const sl__graph *g = &m->g;
    const sl__edge *edge = &g->edge[edge_at];
    path->source = edge->part;
    path->source_element = edge->element;
    path->source_a = edge->amps;
    path->plus = plus;
    path->minus = sl__edge_other(edge, plus);
    path->open_v = edge->open_v != 0.0 ? fabs(edge->open_v) : SL__NAN;
    for (int32_t guard = 0; guard < SL__ELEMENTS_MOST; guard++) {
        const sl__edge *next = NULL;
        for (int32_t a = g->at[path->minus]; a < g->at[path->minus + 1]; a++) {
            const sl__edge *at = &g->edge[g->list[a]];
            if (at != edge && at->part == path->source && at->use == SL_GIVES) {
                next = at;
            }
        }
        if (!next || others_there(g, path->minus, path->source)) {
            break;
        }
        edge = next;
        path->open_v = SL__NAN; /* several elements in series: no simple law */
        path->minus = sl__edge_other(edge, path->minus);
    }
    sl_case_between(path->cs, path->plus, path->minus, &path->source_v);
    path->inside_v = path->open_v - path->source_v;
}

/* Marks the elements of the load's part next to the load. */
static void mark_inside(sl_path *path, sl_part part)
{
    int32_t at = 0;
    while (path->step[at].side != SL_LOAD_SIDE) {
        at++;
    }
    for (int32_t k = at - 1; k >= 0 && path->step[k].part == part; k--) {
        path->step[k].inside = true;
        if (sl_use_is_coil(path->step[k].use)) {
            path->load_use = path->step[k].use; /* a motor fed through pull-in does not turn */
        }
    }
    for (int32_t k = at + 1; k < path->step_count && path->step[k].part == part; k++) {
        path->step[k].inside = true;
    }
}

/* The steps from the source's plus to `red`; `good`: where the search up from `red` was done. */
static sl_status add_feed(sl__path_maker *m, const sl__graph *good)
{
    return add_found_up(m, good, m->path->plus, m->path->red, SL_FEED_SIDE);
}

/* The steps from `black` to the source's minus. */
static sl_status add_return(sl__path_maker *m)
{
    const sl_path *path = m->path;
    return sl__graph_down(&m->g, path->black, path->minus)
               ? add_found_down(m, NULL, path->black, path->minus, SL_RETURN_SIDE)
               : SL_W_FLOATING;
}

/* Keeps steps that were added by the good circuit, if current flows there; takes them back
   otherwise, to how the path was. */
static sl_status keep_good(sl__path_maker *m, const sl__graph *good, sl_status st, int32_t count,
                           int32_t stops)
{
    bool flows = false;
    for (int32_t k = count; k < m->path->step_count && st == SL_OK; k++) {
        const sl_step *step = &m->path->step[k];
        flows = flows || sl__graph_edge(good, step->part, step->element)->amps > 0.0;
    }
    if (!flows) {
        m->path->step_count = count;
        m->path->stops = stops;
    }
    return st == SL_OK && !flows ? SL_W_FLOATING : st;
}

/* The feed side as the current at `red` comes in the good circuit, from the same source. */
static sl_status add_good_feed(sl__path_maker *m, sl__graph *good)
{
    const sl_path *path = m->path;
    sl_node plus = SL_NONE;
    const int32_t source = path->red < good->nodes ? sl__graph_up(good, path->red, &plus) : -1;
    if (source < 0 || plus != path->plus || good->edge[source].part != path->source ||
        good->edge[source].element != path->source_element) {
        return SL_W_FLOATING;
    }
    const int32_t count = path->step_count, stops = path->stops;
    return keep_good(m, good, add_feed(m, good), count, stops);
}

/* The return side as the current at `black` goes in the good circuit. */
static sl_status add_good_return(sl__path_maker *m, sl__graph *good)
{
    const sl_path *path = m->path;
    if (path->black >= good->nodes || path->minus >= good->nodes ||
        !sl__graph_down(good, path->black, path->minus)) {
        return SL_W_FLOATING;
    }
    const int32_t count = path->step_count, stops = path->stops;
    return keep_good(m, good, add_found_down(m, good, path->black, path->minus, SL_RETURN_SIDE),
                     count, stops);
}

/* As trace below, with each side as the current takes it in the good circuit from the same point,
   where it does: SL_W_FLOATING when it does on neither. */
static sl_status trace_sides(sl__path_maker *m, const sl__edge *load, sl__graph *good)
{
    sl_node plus = SL_NONE;
    const int32_t source = sl__graph_up(&m->g, m->path->red, &plus);
    if (source < 0) {
        return SL_W_FLOATING;
    }
    sl__path_source(m, source, plus);
    const sl_status feed = add_good_feed(m, good);
    sl_status st = feed == SL_W_FLOATING ? add_feed(m, NULL) : feed;
    if (st == SL_OK) {
        st = sl__path_add(m, load, m->path->red, SL_LOAD_SIDE);
    }
    if (st == SL_OK) {
        st = add_good_return(m, good);
        if (st == SL_W_FLOATING && feed == SL_OK) {
            st = add_return(m);
        }
    }
    if (st == SL_OK) {
        mark_inside(m->path, load->part);
        st = sl__path_finish(m);
    }
    return st;
}

/* From a lead onwards: the way of a current, where one leads there. Else one across an open place
   or through a load that is off, and not round by loads that are on. */
static sl_status trace_from_lead(sl__path_maker *m, sl_node from, sl_node to, sl_side side)
{
    sl__graph *g = &m->g;
    g->idle_load = SL__IDLE_LOAD_FROM_LEAD;
    g->from_lead = true;
    bool found = sl__graph_down(g, from, to);
    if (found && g->cost[to] >= SL__IDLE_LOAD_FROM_LEAD) {
        g->live_load = SL__LIVE_LOAD_FROM_LEAD;
        found = sl__graph_down(g, from, to);
        g->live_load = 0.0;
    }
    g->idle_load = SL__IDLE_LOAD;
    g->from_lead = false;
    return found ? add_found_down(m, NULL, from, to, side) : SL_W_FLOATING;
}

/* From lead to lead: not once more through the source that the way comes from, where there is
   another; a round by a battery on charge and back through what charges it explains nothing. */
static sl_status trace_between(sl__path_maker *m)
{
    const sl_path *path = m->path;
    const int32_t steps = path->step_count, stops = path->stops;
    m->g.without_part = path->source;
    m->g.without_element = path->source_element;
    sl_status st = trace_from_lead(m, path->red, path->black, SL_LOAD_SIDE);
    m->g.without_part = SL_NONE;
    if (st == SL_W_FLOATING) {
        m->path->step_count = steps;
        m->path->stops = stops;
        st = trace_from_lead(m, path->red, path->black, SL_LOAD_SIDE);
    }
    return st;
}

/* Feed side up from `red`, then what lies between, then down from `black`. */
static sl_status trace(sl__path_maker *m, const sl__edge *load)
{
    sl_path *path = m->path;
    sl_node plus = SL_NONE;
    const int32_t source = sl__graph_up(&m->g, path->red, &plus);
    if (source < 0) {
        return SL_W_FLOATING;
    }
    sl__path_source(m, source, plus);
    sl_status st = add_feed(m, NULL);
    if (st == SL_OK && load) {
        st = sl__path_add(m, load, path->red, SL_LOAD_SIDE);
    } else if (st == SL_OK) {
        st = trace_between(m);
    }
    if (st == SL_OK && !load) {
        st = trace_from_lead(m, path->black, path->minus, SL_RETURN_SIDE);
    } else if (st == SL_OK) {
        st = add_return(m);
    }
    if (st == SL_OK && load) {
        mark_inside(path, load->part);
    }
    return st == SL_OK ? sl__path_finish(m) : st;
}

sl_status sl__path_begin(const sl_case *cs, sl__path_maker *m)
{
    if (!cs->solved) {
        return SL_E_ARG;
    }
    m->path = sl__new(&cs->al, 1, sizeof *m->path);
    if (!m->path) {
        return SL_E_NOMEM;
    }
    *m->path = (sl_path){.cs = cs, .source = SL_NONE, .load_use = SL_USE_COUNT};
    const sl_status st = sl__graph_make(cs, &m->g);
    if (st != SL_OK) {
        sl_path_free(m->path);
    }
    return st;
}

sl_status sl__path_end(sl__path_maker *m, sl_status st, sl_path **out)
{
    sl__graph_free(&m->g);
    if (st != SL_OK) {
        sl_path_free(m->path);
        m->path = NULL;
    }
    if (st >= 0) {
        *out = m->path;
    }
    return st;
}

/* What it costs to come from a source into one node and go back to it from another. */
static double round_cost(sl__path_maker *m, sl_node in, sl_node out)
{
    sl_node plus = SL_NONE;
    const int32_t source = sl__graph_up(&m->g, in, &plus);
    if (source < 0) {
        return INFINITY;
    }
    const double up = m->g.cost[plus];
    sl__path_source(m, source, plus);
    return sl__graph_down(&m->g, out, m->path->minus) ? up + m->g.cost[m->path->minus] : INFINITY;
}

/* Which end of the load its current comes to. Without current: the end the cheaper way comes to,
   and of equals the first as described. */
static void set_ends(sl__path_maker *m, const sl__edge *load)
{
    sl_path *path = m->path;
    m->g.idle = load->amps == 0.0;
    path->red = load->tail;
    path->black = load->head;
    if (m->g.idle &&
        round_cost(m, load->head, load->tail) < round_cost(m, load->tail, load->head)) {
        path->red = load->head;
        path->black = load->tail;
    }
}

/* What the maker follows. */
static void take_load(sl__path_maker *m, const sl__edge *edge)
{
    m->g.without_part = edge->part;
    m->g.without_element = edge->element;
    set_ends(m, edge);
    m->path->load_use = edge->use;
    m->path->load_a = edge->amps;
}

sl_status sl_path_load(const sl_case *cs, sl_part load, int32_t element, sl_path **out)
{
    sl__path_maker m;
    sl_status st = sl__path_begin(cs, &m);
    if (st != SL_OK) {
        return st;
    }
    const int32_t chosen = element < 0 ? sl__graph_main_element(&m.g, load) : element;
    const sl__edge *edge = sl__graph_edge(&m.g, load, chosen);
    if (!edge) {
        return sl__path_end(&m, SL_E_ARG, out);
    }
    take_load(&m, edge);
    return sl__path_end(&m, trace(&m, edge), out);
}

sl_status sl__path_by_sides(const sl_case *cs, const sl_case *good, const sl_step *load,
                            sl_path **out)
{
    sl__path_maker m;
    sl__graph g;
    sl_status st = sl__path_begin(cs, &m);
    if (st != SL_OK) {
        return st;
    }
    const sl__edge *edge = sl__graph_edge(&m.g, load->part, load->element);
    st = edge ? sl__graph_make(good, &g) : SL_W_FLOATING;
    if (st == SL_OK) {
        take_load(&m, edge);
        g.without_part = load->part;
        g.without_element = load->element;
        st = trace_sides(&m, edge, &g);
        sl__graph_free(&g);
    }
    return sl__path_end(&m, st, out);
}

sl_status sl_path_leads(const sl_case *cs, sl_node red, sl_node black, sl_path **out)
{
    sl__path_maker m;
    if (red < 0 || black < 0 || red >= cs->circuit->nodes.count ||
        black >= cs->circuit->nodes.count || red == black) {
        return SL_E_ARG;
    }
    sl_status st = sl__path_begin(cs, &m);
    if (st != SL_OK) {
        return st;
    }
    m.path->red = red;
    m.path->black = black;
    return sl__path_end(&m, trace(&m, NULL), out);
}

void sl_path_free(sl_path *path)
{
    if (!path) {
        return;
    }
    const sl_alloc *al = &path->cs->al;
    sl__free(al, path->step, (size_t)path->room, sizeof *path->step);
    sl__free(al, path->beside, (size_t)path->beside_room, sizeof *path->beside);
    sl__free(al, path, 1, sizeof *path);
}

int32_t sl_case_cuts(const sl_case *cs, sl_node node, sl_step *out, int32_t room)
{
    sl__graph g;
    const bool asked = cs->solved && node >= 0 && node < cs->circuit->nodes.count;
    const sl_status st = asked ? sl__graph_make(cs, &g) : SL_E_ARG;
    if (st != SL_OK) {
        return st;
    }
    const int32_t *island = cs->answer[cs->view].island;
    int32_t count = 0;
    for (int32_t k = 0; k < g.edges; k++) {
        const sl__edge *edge = &g.edge[k];
        const bool tail = island[edge->tail] == island[node];
        const bool head = island[edge->head] == island[node];
        if (!edge->open || tail == head) {
            continue;
        }
        if (count < room) {
            out[count] = step_of(cs, edge, tail ? edge->tail : edge->head, SL_FEED_SIDE);
        }
        count++;
    }
    sl__graph_free(&g);
    return count;
}
