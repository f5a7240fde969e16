/* lib/analysis/path_make.h: a path while it is made. */
#ifndef SL_ANALYSIS_PATH_MAKE_H
#define SL_ANALYSIS_PATH_MAKE_H

#include "analysis/graph.h"

typedef struct sl__path_maker {
    sl__graph g;
    sl_path *path;
} sl__path_maker;

/* An empty path through a solved case: SL_OK, SL_E_ARG, SL_E_NOMEM. */
sl_status sl__path_begin(const sl_case *cs, sl__path_maker *m);

/* Frees what is left of the maker, and after a failure the path; hands it over otherwise. */
sl_status sl__path_end(sl__path_maker *m, sl_status st, sl_path **out);

/* From the source's edge at `plus` through the source to where it takes its current in. */
void sl__path_source(sl__path_maker *m, int32_t edge_at, sl_node plus);

sl_status sl__path_add(sl__path_maker *m, const sl__edge *edge, sl_node from, sl_side side);

/* Is an edge open though no fault opens it: a contact of a part that stands so? */
bool sl__path_moved(const sl_case *cs, const sl__edge *edge);

/* The path of a load with each side as the current takes it in the good circuit from the same
   point, where it does; SL_W_FLOATING when it does on neither side. */
sl_status sl__path_by_sides(const sl_case *cs, const sl_case *good, const sl_step *load,
                            sl_path **out);

/* When all steps are there. */
sl_status sl__path_finish(sl__path_maker *m);

#endif
