/// strapline/kind.h: what the library knows of each kind of part, as constant tables.
///
/// A kind is described once; checking, the words of circuit files, fault lists, symptoms and
/// reference pages are all read from that description. Everything here is constant, lives as long
/// as the program, and may be read by any thread.
#ifndef STRAPLINE_KIND_H
#define STRAPLINE_KIND_H

#include <stdbool.h>

#include "strapline/base.h"

#ifdef __cplusplus
extern "C" {
#endif

/// Every quantity: name, the unit values are held in, whether a bare number in a circuit file is
/// unambiguous (SI, or what labels say), text. Temperatures are held in degrees Celsius, areas in
/// mm2, speeds in revolutions per minute, capacities in ampere-hours; everything else is SI. A
/// choice is held as its index.
#define SL_QUANTITY_LIST(X)                                                                        \
    X(SL_NUMBER, "", true, "number")                                                               \
    X(SL_VOLTAGE, "V", true, "voltage")                                                            \
    X(SL_CURRENT, "A", true, "current")                                                            \
    X(SL_RESISTANCE, "ohm", true, "resistance")                                                    \
    X(SL_POWER, "W", true, "power")                                                                \
    X(SL_LENGTH, "m", true, "length")                                                              \
    X(SL_AREA, "mm2", false, "conductor size")                                                     \
    X(SL_TEMPERATURE, "C", false, "temperature")                                                   \
    X(SL_FRACTION, "1", true, "fraction")                                                          \
    X(SL_TIME, "s", true, "time")                                                                  \
    X(SL_SPEED, "rpm", false, "speed of rotation")                                                 \
    X(SL_TORQUE, "N m", true, "torque")                                                            \
    X(SL_RESISTANCE_PER_LENGTH, "ohm/m", true, "resistance per length")                            \
    X(SL_CAPACITY, "Ah", true, "battery capacity")                                                 \
    X(SL_CHOICE, "", false, "choice")

typedef enum sl_quantity {
#define SL_QUANTITY_ENUM(name, unit, bare, text) name,
    SL_QUANTITY_LIST(SL_QUANTITY_ENUM)
#undef SL_QUANTITY_ENUM
        SL_QUANTITY_COUNT
} sl_quantity;

/// Unit a quantity is held in ("mm2"), its text ("conductor size"), and whether a bare number is
/// allowed for it in a circuit file.
SL_API const char *sl_quantity_unit(sl_quantity quantity);
SL_API const char *sl_quantity_text(sl_quantity quantity);
SL_API bool sl_quantity_bare(sl_quantity quantity);

/// A place on a part where a conductor ends. An optional terminal that is not named in the circuit
/// becomes a node of its own, "PART.TERMINAL".
typedef struct sl_terminal {
    const char *name; ///< as written in a circuit file
    bool optional;
    const char *doc;
} sl_terminal;

typedef enum sl_presence {
    SL_REQUIRED, ///< must be given
    SL_DEFAULT,  ///< `fallback` when not given; NaN means the part does without it
    SL_DERIVED   ///< worked out from the others when not given
} sl_presence;

/// A parameter of a kind. Values lie in [least, greatest], both included.
typedef struct sl_param {
    const char *name;
    sl_quantity quantity;
    sl_presence presence;
    double fallback;            ///< for SL_DEFAULT, in the unit of the quantity
    double least, greatest;     ///< in the unit of the quantity; for a choice 0 .. count - 1
    const char *const *choices; ///< for SL_CHOICE: names, ended by NULL
    const char *doc;
    const char *standing; ///< where the default or the law comes from: a published source,
                          ///< "common practice, no source", "from memory", or "" for a given value
} sl_param;

/// A path for current inside a part, between two of its terminals.
typedef struct sl_element {
    const char *name;
    int32_t from, to; ///< terminal indices; current is positive from `from` to `to`
    const char *doc;
} sl_element;

/// What a path inside a part is to the current that takes it: name, word.
#define SL_USE_LIST(X)                                                                             \
    X(SL_GIVES, "source")                                                                          \
    X(SL_WIRE, "wire")                                                                             \
    X(SL_CONNECTION, "connection")                                                                 \
    X(SL_PROTECTION, "fuse")                                                                       \
    X(SL_HAND_SWITCH, "switch")                                                                    \
    X(SL_RELAY_CONTACT, "relay contact")                                                           \
    X(SL_SOLENOID, "solenoid contact")                                                             \
    X(SL_SILICON, "semiconductor")                                                                 \
    X(SL_LEAK, "inner path")                                                                       \
    X(SL_LOAD_STARTER, "starter motor")                                                            \
    X(SL_LOAD_COIL, "coil")                                                                        \
    X(SL_LOAD_SOLENOID, "solenoid coil")                                                           \
    X(SL_LOAD_LAMP, "lamp")                                                                        \
    X(SL_LOAD_MODULE, "module")                                                                    \
    X(SL_LOAD_SENSOR, "sensor")                                                                    \
    X(SL_LOAD_OTHER, "load")

/// Those from SL_LOAD_STARTER on are what the current is there for.
typedef enum sl_use {
#define SL_USE_ENUM(name, text) name,
    SL_USE_LIST(SL_USE_ENUM)
#undef SL_USE_ENUM
        SL_USE_COUNT
} sl_use;

/// What moves a contact: the coil of a relay, a winding of a solenoid.
static inline bool sl_use_is_coil(sl_use use)
{
    return use == SL_LOAD_COIL || use == SL_LOAD_SOLENOID;
}

/// The word for a use ("wire"). Static storage. Any thread.
SL_API const char *sl_use_text(sl_use use);

/// What a fuse does that carries more than it is rated for.
typedef struct sl_fuse_band {
    double over;            ///< above this part of its rating
    double least_s, most_s; ///< between which it opens; INFINITY: or not at all
    const char *does;       ///< the same in words: "opens in 0.25 to 600 s"
} sl_fuse_band;

/// By the points of ISO 8820-3, from memory. @return constant; NULL: it holds for 100 h or more
SL_API const sl_fuse_band *sl_fuse_band_of(double part_of_rating);

typedef enum sl_change {
    SL_SET,   ///< parameter `index` takes `value`
    SL_OPEN,  ///< element `index` is not there (-1: none of them is)
    SL_SERIES ///< element `index` gets `value` ohm in series (-1: the only element)
} sl_change;

/// A way in which parts of this kind fail.
typedef struct sl_mode {
    const char *name;
    sl_change change;
    int32_t index;          ///< element or parameter that changes
    double least, greatest; ///< range of the value; equal when the mode has no severity
    const char *doc;        ///< what it is on the vehicle
    const char *standing;
} sl_mode;

/// What some parts of a kind do not have.
typedef enum sl_lack_of { SL_LACKS_TERMINAL, SL_LACKS_ELEMENT, SL_LACKS_MODE } sl_lack_of;

/// A part does not have this terminal, element or mode while its parameter `param` is `value`; NaN:
/// while that is not set. A closed element it does not have joins its two ends to one point.
typedef struct sl_lack {
    int32_t param;
    double value;
    sl_lack_of of;
    int32_t index; ///< of the terminal, element or mode
} sl_lack;

/// A usual value of a parameter that has no default and does not follow from the others, for
/// samples in reference pages.
typedef struct sl_usual {
    int32_t param;
    double value;
} sl_usual;

#define SL_TERMINAL_BIT(terminal) (1u << (terminal))

/// Something a person at the vehicle notices. "@" in the text stands for the value.
typedef struct sl_notice_def {
    const char *name;
    sl_quantity quantity; ///< of the value; SL_NUMBER when the text has none
    const char *text;
} sl_notice_def;

typedef struct sl_kind {
    const char *name;
    const char *doc;
    const char *law;      ///< the law in one or two sentences
    const char *standing; ///< source of the law
    const char *check;    ///< what published figures it is tested against; "none published" and
                          ///< what it is tested against instead, where there are none
    const sl_terminal *terminals;
    int32_t terminal_count;
    const sl_param *params;
    int32_t param_count;
    const sl_element *elements;
    int32_t element_count;
    const sl_use *uses; ///< [element_count] what each element is to the current that takes it
    const sl_mode *modes;
    int32_t mode_count;
    const sl_lack *lacks;  ///< [lack_count] what some of its parts do not have
    const sl_usual *usual; ///< [usual_count]
    int32_t lack_count, usual_count;
    uint32_t inside;  ///< SL_TERMINAL_BIT of those inside the part: no lead reaches them
    uint32_t reached; ///< of those a lead reaches on every part, though they may be left out
    const sl_notice_def *notices;
    int32_t notice_count;
    const char *const *states; ///< names of its discrete states, NULL when it has none
    int32_t state_count;       ///< 0 when it has none
    int32_t start_param;       ///< the choice parameter that sets the first state, or -1
    int32_t position_param;    ///< the choice parameter a condition sets by a bare word, or -1
    const char *engine_speed;  ///< the parameter that the speed of the engine sets, or NULL
    bool takes_points;         ///< its law is a table of measured points, given with the part
    bool falls;                ///< the current of an element may fall while its voltage rises
    int32_t negative_post;     ///< for a battery: the terminal that can serve as reference, or -1
    const char *example;       ///< a line of a circuit file
} sl_kind;

/// Number of kinds, and one of them; NULL when the index is out of range.
SL_API int32_t sl_kind_count(void);
SL_API const sl_kind *sl_kind_at(int32_t index);

/// Whether a part of this kind with these values of its parameters, [param_count], lacks the
/// terminal, element or mode of that index. Pure. Any thread.
SL_API bool sl_kind_lacks(const sl_kind *kind, const double *value, sl_lack_of of, int32_t index);

/// The kind of that name, or NULL.
SL_API const sl_kind *sl_kind_find(const char *name);

#ifdef __cplusplus
}
#endif
#endif
