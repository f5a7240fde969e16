/* lib/analysis/path_usual.c: the way a current should take, where it is and where it is not. */
#include "analysis/path_make.h"

static const sl_step *load_of(const sl_path *path)
{
    for (int32_t k = 0; k < path->step_count && path->load_use < SL_USE_COUNT; k++) {
        if (path->step[k].side == SL_LOAD_SIDE) {
            return &path->step[k];
        }
    }
    return NULL;
}

/* Does the load carry nothing here? Then where its path begins is a guess. */
static bool is_dead(const sl_path *path)
{
    return path->load_use < SL_USE_COUNT && path->load_a == 0.0;
}

/* Is it a way from the same source, with a current where there is a load? */
static bool leads_from(const sl_path *way, const sl_path *path)
{
    const bool same = way->source == path->source && way->source_element == path->source_element &&
                      way->plus == path->plus && way->minus == path->minus;
    return (same || is_dead(path)) && (way->load_use == SL_USE_COUNT || way->load_a > 0.0);
}

/* And by the same points? */
static bool leads_there(const sl_path *way, const sl_path *path)
{
    return leads_from(way, path) && way->red == path->red && way->black == path->black;
}

/* Or has the current of the load turned round? */
static bool is_turned(const sl_path *way, const sl_path *path)
{
    return leads_from(way, path) && way->load_use < SL_USE_COUNT && way->red == path->black &&
           way->black == path->red;
}

/* A step of another case's way, as it is in this one. */
static sl_status add_like(sl__path_maker *m, const sl_step *like)
{
    const sl__edge *edge = sl__graph_edge(&m->g, like->part, like->element);
    if (!edge || sl__path_moved(m->g.cs, edge)) {
        return SL_W_FLOATING; /* no fault, but a part that is in another state than there */
    }
    const bool forward = edge->tail == like->from || edge->head == like->to;
    const sl_status st = sl__path_add(m, edge, forward ? edge->tail : edge->head, like->side);
    if (st == SL_OK) {
        m->path->step[m->path->step_count - 1].inside = like->inside;
    }
    return st;
}

static sl_status follow(sl__path_maker *m, const sl_path *way)
{
    sl_path *path = m->path;
    const sl__edge *source = sl__graph_edge(&m->g, way->source, way->source_element);
    if (!source) {
        return SL_W_FLOATING;
    }
    path->red = way->red;
    path->black = way->black;
    path->load_use = way->load_use;
    sl__path_source(m, (int32_t)(source - m->g.edge), way->plus);
    sl_status st = SL_OK;
    for (int32_t k = 0; k < way->step_count && st == SL_OK; k++) {
        st = add_like(m, &way->step[k]);
    }
    if (st == SL_OK) {
        st = sl__path_finish(m);
    }
    if (st != SL_OK || path->step_count != way->step_count) {
        return st != SL_OK ? st : SL_W_FLOATING;
    }
    for (int32_t k = 0; k < path->step_count; k++) { /* named as there */
        path->step[k].from = way->step[k].from;
        path->step[k].to = way->step[k].to;
    }
    const sl_step *load = load_of(path);
    path->load_a = load ? load->current_a : 0.0;
    return SL_OK;
}

sl_status sl_path_usual(const sl_path *path, const sl_case *good, sl_path **out)
{
    const sl_step *load = load_of(path);
    sl_path *way = NULL;
    *out = NULL;
    sl_status st = load ? sl_path_load(good, load->part, load->element, &way)
                        : sl_path_leads(good, path->red, path->black, &way);
    const bool turned = st == SL_OK && is_turned(way, path);
    const bool stops = turned || is_dead(path);
    if (st == SL_OK && !turned && !leads_there(way, path)) {
        st = SL_W_FLOATING;
    }
    sl__path_maker m;
    if (st == SL_OK && (st = sl__path_begin(path->cs, &m)) == SL_OK) {
        st = follow(&m, way);
        if (st == SL_OK && stops && m.path->stops == 0) {
            st = SL_W_FLOATING; /* it goes by ends that are both joined: each side by itself */
        }
        st = sl__path_end(&m, st, out);
    }
    sl_path_free(way);
    return st == SL_W_FLOATING && load ? sl__path_by_sides(path->cs, good, load, out) : st;
}
