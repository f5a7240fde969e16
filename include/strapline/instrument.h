/// strapline/instrument.h: what a technician's instruments show on a case.
///
/// A voltmeter is a part of the kind `meter` put across two nodes with sl_case_attach, a test lamp
/// is a `test_lamp`, and so on; this header has the readings that take more than that. A case that
/// an instrument has been put on keeps it, so a fresh case for each reading keeps them apart.
/// A call that fails takes what it put on off again. Where relays chatter, sl_case_clamp and
/// sl_case_terminal speak of the end chosen with sl_case_view; the others, which solve, of the
/// first end, and the second can be chosen after.
#ifndef STRAPLINE_INSTRUMENT_H
#define STRAPLINE_INSTRUMENT_H

#include "strapline/case.h"

#ifdef __cplusplus
extern "C" {
#endif

/// A multimeter.
typedef struct sl_multimeter {
    double input_ohm;  ///< volts: between its leads
    double lead_ohm;   ///< volts and ohms: both leads with their probes
    double test_v;     ///< ohms: of its own source, between open leads
    double burden_ohm; ///< amps: shunt, fuse and heavy leads, in the socket for `fuse_a`
    double fuse_a;     ///< amps: rating of the fuse inside it
    double counts;     ///< the greatest number its display has digits for, 6000 for 3 3/4 digits
} sl_multimeter;

/// A usual one: 10 Mohm (common practice, no source); 0.2 ohm of leads, 3 V, 0.05 ohm, 6000 counts
/// (from memory); 10 A (common practice, no source).
SL_API void sl_multimeter_usual(sl_multimeter *out);

/// A display that chooses its range: from `step`, the last digit of the lowest range, in steps of
/// ten.
typedef struct sl_display {
    double counts; ///< 100 to 1e9
    double step;   ///< > 0
    double most;   ///< above this it says OL
} sl_display;

/// What a display makes of a value: rounded to the last digit of the range it chooses (half a digit
/// away from 0), *step that digit. NaN stays NaN. @return false: it says OL; *shown is then the
/// value as it is.
SL_API bool sl_display_show(const sl_display *display, double value, double *shown, double *step);

/// An ohmmeter reading. A resistance is INFINITY where the display says OL.
typedef struct sl_ohms {
    double ohm;         ///< leads as asked, with the resistance of the leads in it
    double swapped_ohm; ///< leads swapped
    double before_v;    ///< red against black without the ohmmeter; NaN: nothing joins the two
    double range_ohm;   ///< the range it chose, leads as asked
    bool live; ///< the circuit's own voltage moves the reading by a digit or more: it is false
} sl_ohms;

/// Reads the resistance between two nodes as an ohmmeter does that compares the voltage at its
/// input with that across its reference resistor (kind `ohmmeter`), in ranges of `counts` digits
/// from counts / 10 ohm up, to 1e5 of the lowest. Adds two ohmmeters, both off again when it
/// returns. @return as sl_case_attach and sl_case_solve; SL_E_ARG for a meter that cannot be.
SL_API sl_status sl_case_ohms(sl_case *cs, sl_node red, sl_node black, const sl_multimeter *meter,
                              sl_ohms *out);

/// The edit that puts an ammeter in series with an element of a part (-1: the only one). Solve, and
/// read it with sl_case_element; more than `fuse_a` blows its fuse, which is SL_OPEN for the
/// element. Without it, sl_case_element is the current without the meter's burden.
SL_API sl_edit sl_multimeter_in_series(const sl_multimeter *meter, sl_part part, int32_t element);

/// Current into a part at one of its terminals, in A. @return SL_OK; SL_W_UNDETERMINED: a loop of
/// zero-ohm links, *current_a is NaN; SL_E_ARG.
SL_API sl_status sl_case_terminal(const sl_case *cs, sl_part part, int32_t terminal,
                                  double *current_a);

/// A lead within the jaws of a clamp: that of a part at one of its terminals.
typedef struct sl_clamped {
    sl_part part;
    int32_t terminal;
    bool reversed; ///< it runs through the jaws the other way
} sl_clamped;

/// What a clamp round these leads reads: the sum of the currents into the parts at the terminals.
/// @return as sl_case_terminal.
SL_API sl_status sl_case_clamp(const sl_case *cs, const sl_clamped *leads, int32_t count,
                               double *current_a);

/// A carbon pile that is turned up until a current flows.
typedef struct sl_pile {
    sl_part part;     ///< what stands for it in the case
    double current_a; ///< from red to black through it
    double drop_v;    ///< red against black
    double ohm;       ///< what it is set to
    bool reached;     ///< false: wound right in, and the circuit gives no more
} sl_pile;

/// Puts a carbon pile across two nodes, turned up until `current_a` (> 0) flows from red to black,
/// or wound right in to `least_ohm` (> 0). Its ammeter is taken as exact. The case ends solved with
/// it. @return as sl_case_attach and sl_case_solve; SL_E_ARG.
SL_API sl_status sl_case_pile(sl_case *cs, sl_node red, sl_node black, double current_a,
                              double least_ohm, sl_pile *out);

/// Takes every other part of the circuit out, as on a bench: edits that open them.
/// What is attached stays. @return as sl_case_edit; SL_E_ARG for a part the circuit does not have.
SL_API sl_status sl_case_alone(sl_case *cs, sl_part part);

typedef enum sl_verdict {
    SL_PASSES,
    SL_FAILS,
    SL_CHARGE_FIRST ///< below 2.067 V per cell at rest (12.4 V): too low for the test to mean much
} sl_verdict;

/// A load test at half the cold cranking rating.
typedef struct sl_load_test {
    double rating_a;  ///< its SAE cold cranking rating
    double load_a;    ///< half of it, or what a battery that cannot give that gives
    double surface_v; ///< surface charge of six cells that it has, taken off before
    double rest_v;    ///< without load, that taken off
    double loaded_v;  ///< at the end of 15 s
    double least_v;   ///< what the table asks for at its temperature
    double celsius;   ///< temperature of its electrolyte
    sl_verdict verdict;
} sl_load_test;

/// The least voltage of a 12 V battery at the end of 15 s at half its cold cranking rating, at a
/// temperature: 21 C 9.6 V (from 20 C up); 16 C 9.5; 10 C 9.4; 4 C 9.3; -1 C 9.1; -7 C 8.9; -12
/// C 8.7; -18 C 8.5; straight lines between them. Vehicle maker service data: several model tables
/// agree. NaN below -18 C, where no table was found.
SL_API double sl_load_test_least_v(double celsius);

/// Tests a battery off the vehicle (every other part is taken out) and without surface charge,
/// which a load takes off before a test, in the condition and with the faults of the case. Both
/// stay so in the case. Other numbers of cells have limits in proportion (that of 12 V: published;
/// the proportion: common practice, no source). The model has no time in it: what it gives is a
/// battery that has polarised, as its cold cranking rating is defined (30 s).
/// @return as sl_case_solve; SL_E_ARG: not a battery; SL_E_VALUE: no rating, or colder than the
/// table goes.
SL_API sl_status sl_case_load_test(sl_case *cs, sl_part battery, sl_load_test *out);

#ifdef __cplusplus
}
#endif
#endif
