/* lib/analysis/analysis.h: what the files that ask questions of cases share. */
#ifndef SL_ANALYSIS_ANALYSIS_H
#define SL_ANALYSIS_ANALYSIS_H

#include "solve/solve.h"

/* More parameters than any kind has that is put across two nodes here. */
#define SL__PARAMS_MOST 16

/* The parameter of that name, or -1. */
int32_t sl__param_of(const sl_kind *kind, const char *name);

/* Something across two nodes: its kind, first and second terminal, and what is not left to its
   defaults. */
typedef struct sl__pair_def {
    const char *kind;
    sl_node from, to;
    struct {
        const char *param;
        double value;
    } set[3];
} sl__pair_def;

/* Attaches it under a name of its own. */
sl_status sl__attach_pair(sl_case *cs, const sl__pair_def *def, sl_part *out);

/* Makes room for edits to come, which then cannot run out of memory. */
sl_status sl__edit_ahead(sl_case *cs, int32_t count);

/* Are both nodes of the circuit? Says so when not. */
sl_status sl__check_ends(sl_case *cs, sl_node red, sl_node black);

#endif
