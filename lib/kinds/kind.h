/* lib/kinds/kind.h: how a kind is written: its description and its law.

   A kind is one file that defines one constant sl__kind and one line in lib/kinds/registry.c. It
   knows volts, amperes and its own parameters; it knows no matrix, no other part and no circuit. */
#ifndef SL_KINDS_KIND_H
#define SL_KINDS_KIND_H

#include "strapline/kind.h"

/* The law of one element at one moment. v is the voltage of its first end against its second, i the
   current from the first to the second through it. */
typedef enum sl__form {
    SL__ABSENT, /* not there: no current at any voltage */
    SL__OHMIC,  /* i = (v - open_v) / ohm; ohm == 0: v = open_v at any current */
    SL__FIXED,  /* i = amp at any voltage */
    SL__CURVE   /* i = curve(v) */
} sl__form;

#define SL__CURVE_ROOM 8

/* Current at v and its slope in siemens; k is the law's, or its table. Continuous, with i(0) == 0,
   slope >= 0 and finite for every finite v (a part whose current falls with rising voltage says so
   in its kind). */
typedef void sl__curve(const double *k, double v, double *i, double *slope);

typedef struct sl__law {
    sl__form form;
    double open_v, ohm; /* SL__OHMIC; ohm >= 0 */
    double amp;         /* SL__FIXED */
    sl__curve *curve;   /* SL__CURVE */
    double scale_s;     /* SL__CURVE: a typical conductance, > 0, for the solver to start from */
    double bent; /* SL__CURVE: > 0: the curve is a line as far as a knee, then a power with this
                    exponent; k is as numeric/lane_power.h has it. Else 0. */
    double k[SL__CURVE_ROOM];
    const double *table; /* of a part with measured points: their count, then V, A, V, A, ...;
                            the curve is given this in place of k. Not to be changed. */
} sl__law;

/* Current of a curved law at v, and its slope. */
static inline void sl__law_current(const sl__law *law, double v, double *i, double *slope)
{
    law->curve(law->table ? law->table : law->k, v, i, slope);
}

/* What one element carries in a solution. */
typedef struct sl__flow {
    double v, i;
    double added_v; /* drop in the resistance that faults have put in series with it; 0 without */
} sl__flow;

/* Why a set of parameters cannot stand: which one, and a sentence of what to do. */
typedef struct sl__complaint {
    int32_t param;
    const char *text;
} sl__complaint;

/* Notices are written to a small list. */
typedef struct sl__notice_list {
    int32_t count;
    struct {
        int32_t index;
        double value;
    } item[4];
} sl__notice_list;

typedef struct sl__kind {
    sl_kind about;

    /* Works out the parameters that follow from others and checks what concerns several. p holds a
       value per parameter, NaN where not given; defaults are already filled in. NULL: nothing to
       do. Returns false and fills *bad when they cannot stand. */
    bool (*complete)(double *p, sl__complaint *bad);

    /* For a kind that takes points: can these stand? Voltages rise and all are finite already. */
    bool (*accept)(const double *points, int32_t count, sl__complaint *bad);

    /* The law of each element in a state, at an ambient temperature. law[] arrives zeroed, that is
       SL__ABSENT, but for its table. p is complete. */
    void (*laws)(const double *p, double ambient_c, int32_t state, sl__law *law);

    /* The state this part wants, given what its elements carry; `state` when content. NULL for a
       kind without states. */
    int32_t (*wants)(const double *p, double ambient_c, int32_t state, const sl__flow *flow);

    /* Seconds it takes to go from a state to another, > 0. NULL for a kind without states. */
    double (*delay_s)(const double *p, int32_t from, int32_t to);

    /* A part that adjusts itself (a regulator with its sense wire elsewhere, a conductor that
       warms): what its parameter `trim_param` ought to be, given what the elements carry with its
       present value. The solver makes the two agree. NULL for most kinds. */
    double (*trim)(const double *p, double ambient_c, int32_t state, const sl__flow *flow);
    int32_t trim_param;

    /* What a parameter that is not set comes to in the law at an ambient temperature; NaN where the
       part does without it. NULL: it does without all of those. */
    double (*comes_to)(const double *p, double ambient_c, int32_t param);

    /* Does it adjust itself at all, with these parameters? Where not, `trim` gives one value
       whatever the state and the flow, and no law hangs on it. NULL: always, when it has `trim`. */
    bool (*trims)(const double *p);

    /* What a person notices. NULL for nothing. */
    void (*notice)(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list);
} sl__kind;

/* Every kind, in the order of the reference pages. */
extern const sl__kind *const sl__kinds[];
extern const int32_t sl__kind_total;

/* The kind whose description this is. */
const sl__kind *sl__kind_of(const sl_kind *about);

/* Helpers that kinds share. */

/* A part's own temperature when set, else the ambient one. */
double sl__temperature_or(double own_c, double ambient_c);

/* A part made for one polarity with less than this across it is the wrong way round. */
#define SL__REVERSED_V (-0.5)

/* All that a person notices of a part of this kind. */
void sl__notices_of(const sl__kind *kind, const double *p, int32_t state, const sl__flow *flow,
                    sl__notice_list *list);

/* Adds a notice to a list. */
void sl__notice(sl__notice_list *list, int32_t index, double value);

/* An ohmic element without a source. */
void sl__law_resistor(sl__law *law, double ohm);

#define SL__COUNT(array) ((int32_t)(sizeof(array) / sizeof *(array)))

/* The tables of a description, each with its count. */
#define SL__TABLES(terminal, param, element, mode)                                                 \
    .terminals = (terminal), .terminal_count = SL__COUNT(terminal), .params = (param),             \
    .param_count = SL__COUNT(param), .elements = (element), .element_count = SL__COUNT(element),   \
    .modes = (mode), .mode_count = SL__COUNT(mode)

/* The last row of the notices of a kind that a poor contact anywhere in it heats: what is noticed
   of the resistance that faults have put in series with its elements, see sl__notices_of. */
#define SL__HOT_SPOT "hot spot"
#define SL__HOT_SPOT_ROW                                                                           \
    {                                                                                              \
        SL__HOT_SPOT, SL_POWER, "hot: @ at the bad spot"                                           \
    }

#define SL__NOTICES(notice) .notices = (notice), .notice_count = SL__COUNT(notice)

#define SL__NAN ((double)NAN)
#define SL__FROM_MEMORY "from memory"
#define SL__PRACTICE "common practice, no source"
#define SL__SOUND "a sound part"
#define SL__CONNECTED "a part that is in use"
#define SL__STARTS "an assumption; it matters only where both states can last"

#endif
