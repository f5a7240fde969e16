/* lib/solve/solve.h: how a case is held while it is solved. The one place where kinds, the circuit
   and the numbers meet.

   The way of a solve, one direction:
     sl__case_prepare    circuit + faults + attached  -> arrays of the right size
     sl__laws_values     circuit, condition, faults   -> a value for every parameter, the branches
     sl__laws_update     values and states            -> the law of every branch
     sl__network_update  laws                         -> classes, rows, islands, contradictions
     sl__newton          curves and residuals         -> row voltages and branch currents in pairs
     sl__steady          one state of every relay     -> voltages and currents, with their proof
     sl__trimmed         parts that adjust themselves -> the same, with all of them content
     sl__settle          the states themselves        -> one or two steady answers */
#ifndef SL_SOLVE_SOLVE_H
#define SL_SOLVE_SOLVE_H

#include "base/arena.h"
#include "circuit/circuit.h"
#include "numeric/factor.h"
#include "numeric/pair.h"
#include "strapline/case.h"

/* The most elements a kind may have. */
#define SL__ELEMENTS_MOST 8

/* Room for the parameters of any kind. */
#define SL__PARAMS_ROOM 48

/* A branch of the network: an element of a part, or the resistance a fault puts in series with one.
 */
typedef struct sl__branch {
    sl_part part;
    sl_node from, to;
    double series_ohm;   /* > 0: a fault's resistance; 0: an element, with the law below */
    int32_t series_with; /* the element it is in series with */
    bool open;           /* a fault has taken it away */
    sl__law law;
} sl__branch;

/* How the nodes hang together. Nodes joined by links (ohmic elements of 0 ohm, ideal sources among
   them) form a class: one unknown voltage and a known offset for each node. The class of the
   reference has no row; every other class is a row of the factor. */
typedef struct sl__network {
    int32_t rows, links;
    int32_t islands;    /* those without the reference */
    bool *link;         /* [branches] joins its nodes into one class */
    bool *loop;         /* [branches] a link in a loop of links: its current is not defined */
    int32_t *order;     /* [nodes] every node after the one it hangs on */
    int32_t *up_node;   /* [nodes] the node it hangs on, -1 for the root of a class */
    int32_t *up_link;   /* [nodes] the link it hangs by */
    int32_t *row;       /* [nodes] row of its class, or SL__REFERENCE */
    sl__pair *offset;   /* [nodes] against the root of its class, V */
    int32_t *at, *list; /* [nodes + 1], [2 branches] links at each node, while classes are found */
    int32_t *from, *to; /* [branches] rows */
    double *g;          /* [branches] siemens, 0 where there is no path */
    sl__pair *emf;      /* [branches] adds to the difference of its rows, V */
    int32_t *island;    /* [rows + 1] root row of an island; entry `rows` is the reference's */
    sl__pair *inject;   /* [nodes + 1] current of ideal sources into each island */
    sl__factor *factor;
    int32_t *made_from, *made_to; /* [branches] what the factor was made for */
    int32_t made_rows, made_branches;
} sl__network;

/* Voltages and currents with every relay and solenoid in one state. */
typedef struct sl__answer {
    sl__pair *row_v;  /* [nodes] rows, in fact */
    sl__pair *node_v; /* [nodes] against the reference, or within a floating island */
    int32_t *island;  /* [nodes] root row of its island; SL__REFERENCE: not floating */
    sl__pair *i;      /* [branches] */
    double *u;        /* [branches] first node against second, V */
    bool *loop;       /* [branches] current not defined */
    int32_t *state;   /* [parts] */
    double *trim;     /* [trimming_count] what the parts that adjust themselves came to */
    sl_quality quality;
} sl__answer;

/* Curved branches. */
typedef struct sl__curves {
    int32_t count;
    int32_t *branch; /* [count] */
    double *v;       /* [count] where a step starts from */
    double *slope;   /* [count] there */
    bool rows;       /* one of them at least lies between two rows */
} sl__curves;

/* The healthy circuit, ready to be asked about changes; see near.h. */
typedef struct sl__base sl__base;

/* Parameters that are moved off the values they have, and the temperature. Those of one part stand
   together. z is where in its spread each is: -1 to 1. */
typedef struct sl__vary {
    int32_t count;
    struct sl__vary_item {
        sl_part part;
        int32_t param;
        sl_spread spread;
        double z;
    } * item;
    sl_spread warmth;
    double warmth_z;
} sl__vary;

/* Faults answered from the healthy circuit. */
typedef struct sl__quick {
    bool on;
    bool lean;      /* only what moves parts is worked out; see lean.h */
    bool made;      /* the bases are there */
    bool recording; /* they are being made */
    bool missed;    /* while they were, a state had no answer or got no base */
    int32_t bases;
    sl__base *base;          /* [bases] */
    const sl__base *last;    /* of the last steady state, when it was found lean */
    const sl__answer *whose; /* the answer that was to be */
    sl_effort effort;
} sl__quick;

struct sl_case {
    sl_alloc al;
    const sl_circuit *circuit;
    sl_condition condition;
    sl__message message;
    sl_edit *edit; /* faults: [edit_room], edit_count in use */
    int32_t edit_count, edit_room;
    sl__part_list extra;   /* what is attached */
    sl__names extra_nodes; /* nodes that the attached parts brought */
    const sl__vary *vary;  /* NULL: every value is as it is. The owner of the case sets it. */

    sl__arena arena;                          /* everything from here to `answer` */
    int32_t parts, elements, nodes, branches; /* in use */
    int32_t node_room, branch_room;
    int32_t *branch_at; /* [parts + 1] the elements of a part are branches branch_at[p] ... */
    double *value;      /* parameters of all parts, in the condition being solved */
    double *given;      /* scratch, one kind's parameters */
    double celsius;
    sl__branch *branch; /* [branches] elements first, then what faults put in series */
    int32_t *opened;    /* [opened_count] elements that faults have taken away */
    int32_t opened_count;
    sl__network net;
    double *b, *x, *scale; /* [nodes] */
    sl__pair *sum;         /* [nodes] */
    int32_t *stateful;     /* [stateful_count] parts that have states */
    int32_t stateful_count;
    int32_t *state, *start; /* [parts]; -1 for a part without states */
    bool *chatters;         /* [parts] */
    int64_t *timer;         /* [stateful_count] us until it moves, -1: content */
    int32_t *want;          /* [stateful_count] the state it then moves to */
    int32_t *wish;          /* [stateful_count] the state each wants to be in */
    int64_t *delay;         /* [stateful_count] us it takes to get there, 0: it is */
    int32_t *past_state;    /* [moment_room][stateful_count], moments in use */
    int32_t *past_wish;     /* the same, and the next two too */
    int64_t *past_delay;
    int64_t *past_timer;
    int64_t *past_time; /* [moment_room] us */
    int32_t moment_room, moments;
    sl_part *adjusting; /* [adjusting_count] parts of kinds that adjust themselves */
    sl_part *trimming;  /* [trimming_count] those of them that do, with the values they have */
    int32_t adjusting_count, trimming_count;
    double *trim_error, *trim_last, *trim_step; /* [trimming_count] */
    sl__curves curves;
    sl__answer answer[2];

    sl__quick quick;

    sl_condition held; /* the one that values and branches are those of */
    bool borrows;      /* the edits and what is attached are another case's */
    bool one_order;    /* do not look whether another order of operation ends elsewhere */
    sl_outcome outcome;
    int32_t view, flips;
    double period_s;
    bool prepared; /* the arrays are there */
    bool laid;     /* elements have their nodes, but for what faults have done since */
    bool solved;
};

/* A part's record, and where its parameters and nodes are. */
const sl__part *sl__case_part(const sl_case *cs, sl_part part);
const char *sl__case_part_name(const sl_case *cs, sl_part part);
const double *sl__case_values(const sl_case *cs, sl_part part);
sl_node sl__case_terminal(const sl_case *cs, sl_part part, int32_t terminal);
const char *sl__case_node_name(const sl_case *cs, sl_node node);

/* Edit k of those in force in a condition: the condition's own, then the faults; NULL after them.
 */
const sl_edit *sl__case_edit_at(const sl_case *cs, sl_condition condition, int32_t k);

/* Another case of the same circuit, condition, faults and attached parts, which stay the first
   one's: it must stay as it is, and outlive this one. Takes its memory from `al`. */
sl_status sl__case_twin(const sl_case *cs, const sl_alloc *al, sl_case **out);

/* The value of every parameter of a part as given in a condition with its edits, NaN where left
   out, to cs->given. */
void sl__laws_given(sl_case *cs, sl_condition condition, sl_part part);

/* The same as the case was solved with last: what varies has the values it was moved to. */
void sl__laws_given_now(sl_case *cs, sl_part part);

/* Where the value `used` of a parameter comes from, with all edits in force. */
sl_origin sl__case_origin(const sl_case *cs, sl_part part, int32_t param, double used);

sl_status sl__case_prepare(sl_case *cs);
sl_status sl__laws_values(sl_case *cs, sl_condition condition);
void sl__laws_start(sl_case *cs); /* states as the parts' own parameters say */
void sl__laws_of(sl_case *cs,
                 sl_part part); /* the laws of its elements, as if no fault opened one */
/* The laws of a part's elements with these values, as if no fault opened one. */
void sl__laws_with(const sl_case *cs, sl_part part, const double *value, double celsius,
                   int32_t state, sl__law *law);
/* The laws of a part's elements in a state, faults that open one applied. */
void sl__laws_at(const sl_case *cs, sl_part part, int32_t state, sl__law *law);
void sl__laws_update(sl_case *cs);
sl_status sl__network_update(sl_case *cs);
void sl__curves_find(sl_case *cs);
sl_status sl__newton(sl_case *cs, sl__answer *answer); /* from answer->row_v */
sl_status sl__steady(sl_case *cs, sl__answer *answer);
sl_status sl__steady_whole(sl_case *cs, sl__answer *answer); /* the whole circuit, always */
void sl__flow_links(const sl_case *cs, const sl__network *net, int32_t nodes, sl__answer *answer);
/* From the conductances of the first elements. */
sl_status sl__prove(sl_case *cs, const double *g, int32_t elements, sl__answer *answer);
sl_status sl__trimmed(sl_case *cs, sl__answer *answer);

/* The next step of a part that adjusts itself: plain at first, then along the secant. */
double sl__trim_step(double error, double last_error, double last_step);
void sl__trim_show(sl_case *cs, const sl__answer *answer); /* to cs->value: those of an answer */
sl_status sl__settle(sl_case *cs);

/* Steps of it. What the parts want in the states they are in, to cs->wish, and how long each takes
   to get there, to cs->delay. That depends on nothing else, so it is only worked out where none of
   the cs->moments written down tells it; `answer` is not touched then. */
sl_status sl__settle_ask(sl_case *cs, sl__answer *answer);

/* Starts and stops timers; one that is to end elsewhere starts again. Returns how many run. */
int32_t sl__settle_timers(sl_case *cs);

/* Of cs->stateful the part whose timer runs out first, -1: none runs. */
int32_t sl__settle_first(const sl_case *cs);

/* Lets the time pass until then, and moves it. Returns how much has passed, us. */
int64_t sl__settle_move(sl_case *cs, int32_t first);

/* What the elements of a part carry in an answer; flow has room for SL__ELEMENTS_MOST. */
void sl__flows(const sl_case *cs, const sl__answer *answer, sl_part part, sl__flow *flow);

#endif
