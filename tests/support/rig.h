/* tests/support/rig.h: circuits written in a line a part, and answers by name. What must succeed
   and does not ends the program with the circuit's own message. */
#ifndef SL_SUPPORT_RIG_H
#define SL_SUPPORT_RIG_H

#include "strapline/case.h"

/* Nodes in the order of the terminals, separated by spaces, "-" where left out; values as
   "resistance=4.7, starts=pulled in", in the unit of the quantity, choices by their names. */
sl_status rig_try(sl_circuit *c, const char *kind, const char *name, const char *nodes,
                  const char *values, sl_part *out);
sl_part rig_part(sl_circuit *c, const char *kind, const char *name, const char *nodes,
                 const char *values);

/* The same for a case. */
sl_status rig_attach(sl_case *cs, const char *kind, const char *name, const char *nodes,
                     const char *values, sl_part *out);

sl_circuit *rig_circuit(const sl_alloc *alloc);
sl_circuit *rig_grounded(void); /* the reference is node "0" */
void rig_free(sl_circuit *c, sl_case *cs);
sl_condition rig_condition(sl_circuit *c, const char *name);
sl_case *rig_case(const sl_circuit *c, sl_condition condition);
sl_case *rig_solved(const sl_circuit *c, sl_condition condition);

/* Numbers of a parameter and an element by name. */
int32_t rig_param(const sl_kind *kind, const char *name);
int32_t rig_element(const sl_kind *kind, const char *name);

/* Edits by the names of part and parameter or element; NULL for every element. */
sl_edit rig_set(const sl_circuit *c, const char *part, const char *param, double value);
sl_edit rig_open(const sl_circuit *c, const char *part, const char *element);
sl_edit rig_series(const sl_circuit *c, const char *part, const char *element, double ohm);

/* The edit that puts in a mode of a part, with the value at a share of its range, 0 to 1. */
sl_edit rig_mode(const sl_circuit *c, sl_part part, int32_t mode, double share);

/* Answers by name, the value of a notice among them. NaN, or -2 for a state, where there is none.
 */
double rig_volts(const sl_case *cs, const sl_circuit *c, const char *node);
double rig_across(const sl_case *cs, const sl_circuit *c, const char *red, const char *black);
double rig_amps(const sl_case *cs, const sl_circuit *c, const char *part);
int32_t rig_state(const sl_case *cs, const sl_circuit *c, const char *part);
double rig_notice(const sl_case *cs, const sl_circuit *c, const char *part, const char *name);

/* A small motorcycle, and a part of every other kind there is, tied to it loosely. Conditions
   "rest", "on" and "crank" (after "on"). A step that runs out of memory is tried once more. On
   failure the circuit, as far as it got, is in *out, or NULL. */
sl_status rig_every_kind(const sl_alloc *alloc, sl_circuit **out);

#endif
