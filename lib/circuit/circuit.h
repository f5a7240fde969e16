/* lib/circuit/circuit.h: how a circuit is held, for the floors above. */
#ifndef SL_CIRCUIT_CIRCUIT_H
#define SL_CIRCUIT_CIRCUIT_H

#include "base/message.h"
#include "base/names.h"
#include "circuit/panel.h"
#include "circuit/spread.h"
#include "kinds/kind.h"
#include "strapline/circuit.h"

typedef struct sl__part {
    const sl__kind *kind;
    int32_t node_at;  /* its nodes are node[node_at ...], one per terminal */
    int32_t table_at; /* its points are table[table_at ...]: count, V, A, V, A, ...; -1: none */
    int32_t value_at; /* its parameters are given[value_at ...] and value[value_at ...] */
} sl__part;

/* Parts in the order they came. A circuit has such a list, and so has a case, for what is attached.
 */
typedef struct sl__part_list {
    sl__names names;
    sl__part *part; /* [part_room], names.count in use */
    int32_t *node;  /* [node_room], node_count in use */
    double *given;  /* [given_room], value_count in use: as given, NaN where left out */
    double *value;  /* [value_room], value_count in use: with defaults and what is worked out */
    double *table;  /* [table_room], table_count in use: measured points */
    int32_t part_room, node_count, node_room, value_count, given_room, value_room;
    int32_t table_count, table_room;
} sl__part_list;

/* Where a part's nodes come from: finds or makes the node of a name. */
typedef struct sl__node_finder {
    void *user;
    sl_status (*find)(void *user, const char *name, bool made_here, sl_node *out);
} sl__node_finder;

/* Checks a part and appends it. Nodes come from the finder; on failure the list is unchanged, but
   nodes may have been made: the caller takes those back. */
sl_status sl__parts_add(const sl_alloc *al, sl__part_list *list, const sl__part_list *also,
                        const sl__node_finder *finder, const sl_part_def *def, sl__message *why,
                        sl_part *out);
void sl__parts_free(const sl_alloc *al, sl__part_list *list);

/* Fills value[] from given[] (NaN where left out) with defaults and what is worked out. */
sl_status sl__parts_complete(const sl__kind *kind, const char *name, const double *given,
                             double *value, sl__message *why);

/* Where the value a part uses for a parameter comes from, by what was given (NaN: nothing). */
sl_origin sl__origin_of(const sl_param *param, double given, double used);

/* Is a value allowed for a parameter? Says why not. */
sl_status sl__param_check(const sl_kind *kind, const char *name, int32_t param, double value,
                          sl__message *why);

/* Is a temperature within what laws are made for? */
#define SL__LEAST_C (-60.0)
#define SL__GREATEST_C 200.0
sl_status sl__temperature_check(double celsius, sl__message *why);

/* Is an edit meaningful for a part of this kind? Says why not. */
sl_status sl__edit_check(const sl_kind *kind, const char *name, const sl_edit *edit,
                         sl__message *why);

typedef struct sl__condition {
    sl_edit *edit; /* [edit_room], edit_count in use */
    int32_t edit_count, edit_room;
    double celsius; /* NaN: the circuit's */
    sl_condition after;
} sl__condition;

struct sl_circuit {
    sl_alloc al;
    sl__message message;
    sl__names nodes;
    sl__part_list parts;
    sl__panel_list panels;
    sl__names condition_names;
    sl__condition *condition; /* [condition_room], condition_names.count in use */
    int32_t condition_room;
    bool conditions_given; /* false: condition 0 is the "rest" every circuit has */
    sl_node reference;     /* SL_NONE: not said */
    double celsius;
    sl__spread_record *spread; /* [spread_room], spread_count in use */
    int32_t spread_count, spread_room;
};

/* The parameter of a kind that the speed of the engine sets, or -1. */
int32_t sl__engine_speed_param(const sl_kind *kind);

#endif
