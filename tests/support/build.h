/* tests/support/build.h: small circuits through the public interface. Whatever the library refuses
   fails the test that asked for it, with the library's message. */
#ifndef SL_SUPPORT_BUILD_H
#define SL_SUPPORT_BUILD_H

#include "strapline/strapline.h"

typedef struct build {
    sl_circuit *circuit;
    sl_case *cs;    /* NULL until build_solve */
    double probe_a; /* the current of build_ohms: 1 A at first */
} build;

/* A parameter by name. */
typedef struct build_value {
    const char *param;
    double value;
} build_value;

build build_start(void);
void build_free(build *b);
void build_reference(build *b, const char *node);

/* Parts name themselves; a node is made where its name is new. */
sl_part build_resistor(build *b, const char *from, const char *to, double ohm);
sl_part build_voltage(build *b, const char *positive, const char *negative, double volts);
sl_part build_current(build *b, const char *into, const char *out_of, double amps);

/* A part of any kind: a node for every terminal, the values that are given, ended by {NULL, 0}. */
sl_part build_part(build *b, const char *kind, const char *const *nodes, const build_value *values);
sl_part build_pair(build *b, const char *kind, const char *from, const char *to,
                   const build_value *values);

/* A case in the first condition; build_set, build_series and build_open then change it, and
   build_solve solves it (making it when there is none). build_healthy takes all changes back. */
void build_case(build *b);
void build_set(build *b, sl_part part, const char *param, double value);
void build_series(build *b, sl_part part, double ohm);
void build_open(build *b, sl_part part);
void build_healthy(build *b);
void build_solve(build *b);

/* Answers of the solved case. build_volts and build_across are NaN where they are not defined. */
double build_volts(const build *b, const char *node);
double build_across(const build *b, const char *red, const char *black);
double build_amps(const build *b, sl_part part); /* into the first terminal */
double build_drop(const build *b, sl_part part);
double build_watts(const build *b, sl_part part); /* taken from the circuit */

/* The resistance between two nodes, sources as they are: a case of its own in which a current is
   driven in at a and out at c. INFINITY when nothing joins them. */
double build_ohms(const build *b, sl_node a, sl_node c);
double build_ohms_with(const build *b, sl_node a, sl_node c, const sl_edit *edits, int32_t count);

/* Index of a parameter of a kind. */
int32_t build_param(const sl_kind *kind, const char *param);

/* A list of values in place. */
#define BUILD_VALUES(...)                                                                          \
    (build_value[])                                                                                \
    {                                                                                              \
        __VA_ARGS__,                                                                               \
        {                                                                                          \
            NULL, 0                                                                                \
        }                                                                                          \
    }

build build_grounded(void);

/* A load that takes a current at any voltage. */
sl_part build_takes(build *b, const char *node, double amps);

sl_part build_battery(build *b, const char *positive, const char *negative, double charge,
                      double ohm);

bool build_notices(const build *b, sl_part part, const char *name, double *value);

const char *build_state(const build *b, sl_part part);

/* A condition that sets one parameter, after another condition or on its own. */
sl_condition build_setting(build *b, const char *name, sl_condition after, sl_part part,
                           const char *param, double value);

void build_solve_in(build *b, sl_condition c);

/* An alternator that turns fast enough for 90 A. */
sl_part build_alternator(build *b, const char *stud, const char *body, const char *sense,
                         const build_value *more);

/* Open-circuit volts of a flooded battery at 20 C. */
double build_at_rest_v(double table_v);

#endif
