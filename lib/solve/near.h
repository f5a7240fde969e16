/* lib/solve/near.h: a faulted circuit answered from the healthy one.

   A base is the healthy circuit in one condition with its relays in one state: solved, factored,
   its curves replaced by straight lines that touch them where it stands. A fault changes the laws
   of a few elements, and each curve leaves its line by a little; the base answers 1 A sent through
   any one of these elements, from its first end to its second, with a column of voltages. So all
   there is to solve is a small dense system, one equation an element (a port).

   Of a port k the base knows the voltage V0 and current i0, the conductance g it stands in the
   factor with, its effective resistance z_kk and the share `rest` = 1 - g z_kk (effective.h); of
   two ports z_kl. With the new law i = I(u), a series resistance R, V = u + R I(u) and the current
   J = (I - i0) - g (V - V0) that the new law draws beyond the line:

       rest_k (V_k - V0_k) + z_kk (I_k - i0_k) + sum over l != k of z_kl J_l = 0

   which is V = V0 - Z J with what would cancel taken out: an open among paths of 1e9 ohm is as
   right as a lamp that is taken out. */
#ifndef SL_SOLVE_NEAR_H
#define SL_SOLVE_NEAR_H

#include "numeric/column.h"
#include "solve/solve.h"

/* What 1 A through an element, from its first end to its second, does to the base. */
typedef struct sl__base_column {
    int32_t element; /* -1: empty */
    int64_t used;    /* when it was last asked for */
    double *volt;    /* [rows] */
    double *amp;     /* [elements] what flows in each, 0 where the base holds no conductance */
    double ohm;      /* effective resistance between its ends */
    double rest;     /* share that goes every other way: 1 - conductance * ohm */
} sl__base_column;

struct sl__base {
    bool sound; /* false: its factor and the topology do not agree */
    sl_condition condition;
    int32_t *state;    /* [parts] */
    sl_part *trimming; /* [trimming_count] parts that adjust themselves */
    int32_t trimming_count;
    sl__arena arena;
    int32_t nodes, elements;
    sl__network net; /* its factor is the base's own, and so is g: slopes of the lines */
    sl__law *law;    /* [elements] */
    bool *open;      /* [elements] */
    sl__answer answer;
    double *slope; /* [elements] of the curves */
    struct sl__effective *effective;
    double *ohm, *rest, *error; /* [elements] see effective.h; with more places, see columns */
    int32_t curves, columns;
    int32_t *curve; /* [curves] elements */
    bool transfers; /* those between curves are in ports->z */
    int32_t *slot;  /* [elements] its column, or -1 */
    sl__base_column
        *column; /* [columns]: of curves and of parts that adjust themselves; then spare */
    int64_t asked;
    int32_t watched;      /* elements of parts that have states or adjust themselves */
    int32_t *watch;       /* [watched] */
    double *added, *size; /* [elements] scratch */
    int32_t *root;        /* [rows + 1] scratch */
    sl__column_room room;
    struct sl__ports *ports; /* scratch */
};

/* Elements that may be curved or changed at once; with more, the whole circuit is solved. */
#define SL__PORTS_MOST 64

typedef struct sl__port {
    int32_t element;
    const sl__law *law; /* the new one; NULL: open */
    double series_ohm;
    double origin;        /* V; of a straight law, where it has no current */
    double u;             /* across the element itself, less `origin`: no small current comes of a
                             difference of two volts */
    double i, slope;      /* through it */
    double beyond, bends; /* J, and dJ/du */
    bool changed;         /* not as in the base */
    const sl__base_column *column;
} sl__port;

typedef struct sl__ports {
    int32_t count, spare; /* ports, and those with a spare column */
    sl__port port[SL__PORTS_MOST];
    double z[SL__PORTS_MOST * SL__PORTS_MOST];
    double m[SL__PORTS_MOST * SL__PORTS_MOST];
    double f[SL__PORTS_MOST], step[SL__PORTS_MOST];
    double own[SL__PORTS_MOST];      /* 1 / what a port does to itself */
    int32_t changed[SL__PORTS_MOST]; /* [changes] ports that are not as in the base */
    int32_t changes;
    int32_t pivot[SL__PORTS_MOST];
} sl__ports;

void sl__base_clear(sl__base *base);

/* The column of an element; the last SL__SPARE_COLUMNS asked for stay valid. */
#define SL__SPARE_COLUMNS 8
const sl__base_column *sl__base_ask(sl__base *base, int32_t element);

/* Do some elements that conduct in the base, all of them away, leave ends apart that they joined?
   An answer from the base knows nothing of islands. */
bool sl__base_splits(sl__base *base, int32_t count, const int32_t *element);

/* Does a law, NULL being none, let no more pass at more volts? */
static inline bool sl__is_open(const sl__law *law)
{
    return !law || law->form == SL__ABSENT || law->form == SL__FIXED;
}

/* Makes a base of each state that the healthy circuit passes through while it settles. Which there
   are depends on nothing else, so no answer depends on what was solved before. SL_OK also when the
   healthy circuit has no answer; SL_E_NOMEM. */
sl_status sl__bases_make(sl_case *cs);

/* The same of the case as it is, its edits included, whose answer it then has. As sl__settle. */
sl_status sl__bases_record(sl_case *cs);

/* While they are made: one of an answer of the healthy circuit, in which all parts that adjust
   themselves are content, unless it is there. */
sl_status sl__base_record(sl_case *cs, const sl__answer *answer);

/* The base for the condition and states that the case is in, or NULL. */
sl__base *sl__base_of(const sl_case *cs);
void sl__bases_free(sl_case *cs);

/* A column's voltage at a row, which may be the reference. */
static inline double sl__at_row(const double *volt, int32_t row)
{
    return row < 0 ? 0.0 : volt[row];
}

bool sl__same_law(const sl__law *a, const sl__law *b);

/* Of terms that large, is so little left that it is mostly rounding? */
bool sl__is_lost(double left, double size);

/* Solves the ports of the case, whose values and states are set: base->ports. False: it cannot. */
bool sl__ports_solve(sl_case *cs, sl__base *base);

/* Answers the case, whose values and states are set, from the base. *done: it could. */
sl_status sl__near(sl_case *cs, sl__base *base, sl__answer *answer, bool *done);

#endif
