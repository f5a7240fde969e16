/* tests/support/starterprobe.h: a starter by its parameters, and what it carries in small circuits
   that are solved here by bisection, apart from the solver. */
#ifndef SL_SUPPORT_STARTERPROBE_H
#define SL_SUPPORT_STARTERPROBE_H

#include "kinds/kind.h"

enum { CONTACTS, PULL_IN, HOLD_IN, MOTOR, ELEMENTS };
enum { RELEASED, PULLED_IN, SPINNING_UP, AT_REST, TURNING };
enum { ROOM = 64 };

#define RAD_S_PER_RPM 0.10471975511965977

typedef struct starter {
    const sl__kind *kind;
    double p[ROOM];
} starter;

typedef struct setting {
    const char *name;
    double value;
} setting;

#define WITH(...)                                                                                  \
    starter_made((const setting[]){__VA_ARGS__}, SL__COUNT(((const setting[]){__VA_ARGS__})))

int32_t starter_param(const starter *st, const char *name);
void starter_set(starter *st, const char *name, double value);
starter starter_given(const setting *settings, int32_t count);
starter starter_made(const setting *settings, int32_t count);
starter starter_healthy(void);
void starter_slope_at(const sl__law *law, double v, double *i, double *slope);
double starter_current(const sl__law *law, double v);
/* What a person notices: index or -1, and its value. */
int32_t starter_notice(const starter *st, int32_t state, const sl__flow *flow, double *value);
void starter_assert_notice(const starter *st, int32_t state, const sl__flow *flow,
                           const char *name);
/* Crankshaft, or pinion when it runs free, from what is noticed; 0 when nothing turns. */
double starter_rpm(const starter *st, const sl__flow *flow);
/* The motor alone, v volts at its stud. */
void starter_run(const starter *st, double v, double celsius, sl__flow flow[ELEMENTS]);
/* e volts through `ohm` and the closed contacts to the motor; S is held at the battery. */
void starter_crank(const starter *st, double e, double ohm, double celsius,
                   sl__flow flow[ELEMENTS]);
/* e volts through `ohm` to S, contacts open: the pull-in winding returns through the motor.
   `open` is an element taken away, or -1. */
void starter_command(const starter *st, double e, double ohm, double celsius, int32_t open,
                     sl__flow flow[ELEMENTS]);
/* Windings with s volts at S and m volts at M against the case. */
void starter_windings(const starter *st, double s, double m, double celsius,
                      sl__flow flow[ELEMENTS]);
int32_t starter_wants(const starter *st, int32_t state, const sl__flow *flow);

#endif
