/* tests/support/kindprobe.h: one part of a kind on the bench: parameters by name, laws and notices
   asked of the kind itself, no circuit and no solver between. A wrong use fails the test. */
#ifndef SL_SUPPORT_KINDPROBE_H
#define SL_SUPPORT_KINDPROBE_H

#include "kinds/kind.h"

enum { PROBE_PARAMS = 40, PROBE_ELEMENTS = 8, PROBE_TABLE = 64 };

typedef struct probe {
    const sl__kind *kind;
    double given[PROBE_PARAMS]; /* as set, with defaults filled in */
    double p[PROBE_PARAMS];     /* completed by probe_laws and probe_notice */
    sl__law law[PROBE_ELEMENTS];
    double table[PROBE_TABLE]; /* measured points: count, V, A, V, A, ... */
} probe;

/* A part of that kind with nothing given but defaults. */
probe probe_of(const char *kind);

/* A part with what its kind's example line gives. */
probe probe_example(const sl_kind *about);

int32_t probe_param(const probe *part, const char *name);
void probe_set(probe *part, const char *name, double value); /* fails outside its range */
void probe_choose(probe *part, const char *name, const char *choice);

/* Inserts a mode that sets a parameter. */
void probe_mode(probe *part, const char *mode, double value);

/* Gives it measured points: V, A, V, A, ... Returns whether its kind accepts them. */
bool probe_points(probe *part, const double *points, int32_t count, sl__complaint *bad);

/* Works the parameters out; false and a complaint when they cannot stand. */
bool probe_complete(probe *part, sl__complaint *bad);

/* Must complain of that parameter, and the text must hold `word`. */
void probe_complains(probe *part, const char *param, const char *word);

/* Completed, which must go well, then its laws. */
const sl__law *probe_laws(probe *part, double ambient_c, int32_t state);

/* The resistance of the first element, which must be ohmic. */
double probe_ohm(probe *part, double ambient_c);

/* Current of the first element, which must be a curve. */
double probe_amps(probe *part, double volts);

/* Name of the only notice when the first element carries v and i, or NULL when there is none;
   more than one fails. */
const char *probe_notice(probe *part, double v, double i, double *value);

#endif
