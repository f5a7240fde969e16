/// strapline/path.h: the way the current of a solved case takes: from a source to a load and back.
///
/// A path closes: the drops of all its steps add up to the voltage across its source. It is read
/// from one view of a solved case and keeps nothing of it but the pointer, which serves the
/// allocator: free the path before the case. One thread at a time per case.
#ifndef STRAPLINE_PATH_H
#define STRAPLINE_PATH_H

#include "strapline/case.h"

#ifdef __cplusplus
extern "C" {
#endif

/// A load: an element that a current is there for, or a battery that is being charged.
typedef struct sl_load {
    sl_part part;
    int32_t element;
    sl_use use;       ///< SL_GIVES for a battery that is being charged
    double current_a; ///< its size
} sl_load;

/// The loads of a solved case in its present view, the greatest current first, equals in the order
/// of the circuit: writes at most `room`, returns how many there are; SL_E_ARG when not solved,
/// SL_E_NOMEM.
SL_API int32_t sl_case_loads(const sl_case *cs, sl_load *out, int32_t room);

/// Where a step of a path lies. Of a way between two leads: ahead of the red lead, between the
/// leads, after the black lead.
typedef enum sl_side { SL_FEED_SIDE, SL_LOAD_SIDE, SL_RETURN_SIDE } sl_side;

/// One element on a path, gone through from `from` to `to`.
typedef struct sl_step {
    sl_part part;
    int32_t element;
    sl_node from, to;
    sl_use use;
    sl_side side;
    bool inside;      ///< of the load's own part, but not the load itself
    bool open;        ///< nothing can flow through it: the path stops here
    bool moved;       ///< open, and by no fault of it: a contact of a part that stands so
    double current_a; ///< along the path; NaN in a loop without resistance
    double drop_v;    ///< `from` against `to`; below 0 through a second source; NaN: not joined
    double share;     ///< of the current that comes together (feed side) or parts (others) where it
                      ///< leaves the load's way; 1: nothing in parallel; NaN: no current
    int32_t shown;    ///< the drop in units of sl_path.unit_v; adds up exactly, see there
} sl_step;

/// An element beside a step, with its part of the same current.
typedef struct sl_beside {
    int32_t step;
    sl_part part;
    int32_t element;
    sl_use use;
    double current_a, share;
} sl_beside;

/// A path. Everything it points to belongs to it.
///
/// `shown` figures are for printing: every node's voltage on the path is rounded to unit_v once,
/// and a drop is the difference of two such figures. So what is printed adds up to the last digit,
/// and every figure is within one unit of the true one. Where there is no voltage they are 0.
typedef struct sl_path {
    const sl_case *cs;
    sl_part source;          ///< the part that feeds it
    int32_t source_element;  ///< its element at `plus`
    sl_node plus, minus;     ///< where the path leaves the source and comes back to it
    sl_node red, black;      ///< ends of the load, or the leads
    sl_use load_use;         ///< what limits go by; SL_USE_COUNT for a way between leads
    double load_a;           ///< current of the load; 0 for a way between two leads
    double source_a;         ///< current the source gives, to everything; NaN: not defined
    double source_v;         ///< plus against minus; NaN when not joined
    double open_v, inside_v; ///< voltage of the source without current, and what is lost in it;
                             ///< NaN when the source has no such simple law
    double nominal_v;        ///< 6, 12 or 24: what limits are chosen by
    double celsius;          ///< the temperature of the case
    double unit_v;           ///< 1e-3, 1e-4 or 1e-5 V, by the size of the drops
    int32_t shown_source, shown_open; ///< source_v and open_v in units of unit_v
    int32_t stops;                    ///< steps that are open
    sl_step *step;                    ///< [step_count] from the source's plus to its minus
    int32_t step_count;
    sl_beside *beside; ///< [beside_count] in the order of the steps, the greatest share first
    int32_t beside_count;
    int32_t room, beside_room; ///< of the arrays
} sl_path;

/// The path through a load: at every joining or parting of currents it takes the way that carries
/// the greatest part of the load's current. Where the load has no current, the way it would take,
/// through the fewest open places.
/// @param element the element of `load`; -1: the one that takes most power
/// @return SL_OK; SL_W_FLOATING: no way there at all, *out is NULL; SL_E_ARG (not solved, no such
/// element), SL_E_NOMEM. Free with sl_path_free. Cost: nodes x log(nodes).
SL_API sl_status sl_path_load(const sl_case *cs, sl_part load, int32_t element, sl_path **out);

/// The way from a source by the red lead and the black lead back to it, whose drops make up what a
/// meter shows between the two. Between the leads it goes along a current where one leads there,
/// else across the fewest open places and loads that are off. @return as sl_path_load; SL_E_ARG
/// also for equal nodes.
SL_API sl_status sl_path_leads(const sl_case *cs, sl_node red, sl_node black, sl_path **out);

/// The way that the current of a path takes in the good circuit, as it is in the case of the path.
/// Where a place goes bad, the current leaves it for what lies beside: for a ground strap a control
/// cable. The greatest part of the current then flows where nothing is wrong, and the place to test
/// is on the way it should take. So it is where the load's current has turned round because that
/// way is open; currents against it are below 0. Where the load itself has no such way there (it is
/// off, or fed through contacts that are open here, or its current turned round on ways that are
/// whole), each side by itself: the way that current takes there from the same end of the load.
/// @param good a solved case of the same circuit and condition
/// @return SL_OK; SL_W_FLOATING: on neither side does current take such a way there, *out is NULL;
/// SL_E_ARG, SL_E_NOMEM. Free with sl_path_free.
SL_API sl_status sl_path_usual(const sl_path *path, const sl_case *good, sl_path **out);

SL_API void sl_path_free(sl_path *path);

/// Open places round the piece of circuit that a node belongs to: writes at most `room`, returns
/// how many there are, or SL_E_ARG or SL_E_NOMEM. `from` is the end on the node's side.
SL_API int32_t sl_case_cuts(const sl_case *cs, sl_node node, sl_step *out, int32_t room);

#ifdef __cplusplus
}
#endif
#endif
