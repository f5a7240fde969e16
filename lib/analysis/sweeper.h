/* lib/analysis/sweeper.h: how a sweeper is held, by what runs it case by case and in blocks. */
#ifndef SL_ANALYSIS_SWEEPER_H
#define SL_ANALYSIS_SWEEPER_H

#include "analysis/sweep.h"
#include "solve/curved.h"
#include "solve/straight.h"

/* What a fault adds to the circuit, as against what it changes in it. */
typedef struct sl__addition {
    sl_fault_type type; /* SL_FAULT_LEAK, SL_FAULT_SWAPPED; else: nothing */
    int32_t a, b;       /* the nodes of the leak, or the parts that are swapped */
    sl_node at_a, at_b; /* where those should end */
    sl_part part;       /* of the case: the leak */
} sl__addition;

/* A case kept for the next ones that differ from it in edits alone. */
typedef struct sl__kept_case {
    sl_case *cs; /* NULL: none */
    sl_condition condition;
    sl__addition add[2];
} sl__kept_case;

/* What a case came to, at one end or at both. */
typedef struct sl__swept {
    sl_status status;
    sl_outcome outcome;
    double period_s;
    int32_t ends;
    double *value[2]; /* [readings] */
    sl_sweep_notice *notice[2];
    int32_t notice_count[2], notice_room[2];
    const char *message;
} sl__swept;

/* The faults of the sweep by their places. A run are faults that follow each other and are of one
   place in several degrees; one of another sort is alone in its run. */
typedef struct sl__place_list {
    int32_t faults; /* when it was made */
    double *degree; /* [faults]; NULL: there is no list */
    int32_t runs;
    sl__straight_fault *place; /* [place_room] part and node SL_NONE: of another sort */
    int32_t *end;              /* [end_room] the fault after the last of each */
    int32_t place_room, end_room;
} sl__place_list;

/* Cases answered side by side, of which the first has perhaps been handed over. */
typedef struct sl__ahead {
    sl_sweep_case first;
    int32_t count;
    double *value; /* [SL__LANES][readings] */
    bool known[SL__LANES];
    sl_sweep_notice *notice[SL__LANES];
    int32_t notice_count[SL__LANES], notice_room[SL__LANES];
} sl__ahead;

struct sl_sweeper {
    sl_alloc al;
    const sl_sweep *sweep;
    sl_edit *edit; /* [edit_count] of every case */
    int32_t edit_count;
    bool notices, quick;
    bool lean;              /* quick, and all that is read can be had without the whole answer */
    bool by_ports;          /* the same, but for notices, which may be asked for */
    int32_t readings;       /* when it was made */
    sl__kept_case plain;    /* nothing is added */
    sl__kept_case with_add; /* something is */
    sl__swept found;
    const sl_case *solved; /* what found was read from; NULL: nothing was */
    sl_sweep_stats stats;

    sl__straight *straight;   /* they do in this condition; NULL: they do not, or none was tried */
    sl_condition straight_of; /* the condition that was tried last, or SL_NONE */
    sl__place_list list;
    sl__curved *curved; /* the same where laws are curved or much has changed */
    sl_condition curved_of;
    sl__ahead ahead;
};

/* Fills w->found with the answer to a case, by way of the circuit. SL_OK also when the case has no
   answer; SL_E_NOMEM. */
sl_status sl__sweeper_solve(sl_sweeper *w, const sl_sweep_case *what);

/* Does the state of a part change without end in the case answered last? */
bool sl__sweeper_chatters(const sl_sweeper *w, sl_part part);

/* Answers a case and up to `count` in all of the faults that follow it, or of the pairs of one
   later fault, SL__RECKONED_MOST at most, in closed form: value[][readings], known[] tells which of
   them it could. Returns how many it went through, 0 when closed forms are not for this case, or
   SL_E_NOMEM. past_caches: see sl__straight_run. */
enum { SL__RECKONED_MOST = 2048 };
int32_t sl__sweeper_reckon(sl_sweeper *w, const sl_sweep_case *what, int64_t count,
                           bool past_caches, double *value, bool *known);

/* Frees what that keeps. */
void sl__sweeper_forget(sl_sweeper *w);

/* The same for those that closed forms are not for, eight at a time. */
int32_t sl__sweeper_curved(sl_sweeper *w, const sl_sweep_case *what, int64_t count, double *value,
                           bool *known);
void sl__sweeper_forget_curved(sl_sweeper *w);

/* Reserves room for more notices and adds those of a part: as found[count] hold them. */
sl_status sl__sweeper_add_notices(sl_sweeper *w, sl_part part, const sl_notice *notice,
                                  int32_t count, sl_sweep_notice **list, int32_t *length,
                                  int32_t *room);

enum { SL__NOTICES_OF_A_PART = 8 };

/* What is read, as closed forms and those have it. */
sl__straight_reading sl__sweeper_reading(const sl_sweep *sweep, const sl_sweep_reading *r);

#endif
