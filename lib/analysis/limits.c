/* lib/analysis/limits.c: the sets of limits, as published, and where they come from. */
#include "strapline/limits.h"

#include <math.h>
#include <string.h>

#define NONE ((double)NAN)
#define COUNT(array) ((int32_t)(sizeof(array) / sizeof *(array)))

/* What limits are for. */
#define STARTER SL_USE_BIT(SL_LOAD_STARTER)
#define WINDINGS SL_USE_BIT(SL_LOAD_SOLENOID)
#define LAMPS SL_USE_BIT(SL_LOAD_LAMP)
#define MODULES SL_USE_BIT(SL_LOAD_MODULE)
#define SENSORS SL_USE_BIT(SL_LOAD_SENSOR)
#define CHARGING SL_USE_BIT(SL_GIVES)
#define ANY 0xffffffffu
#define BUT_STARTER (ANY & ~STARTER)

#define WIRES SL_USE_BIT(SL_WIRE)
#define CONNECTIONS SL_USE_BIT(SL_CONNECTION)
#define FUSES SL_USE_BIT(SL_PROTECTION)
#define HAND_SWITCHES SL_USE_BIT(SL_HAND_SWITCH)
#define RELAYS SL_USE_BIT(SL_RELAY_CONTACT)
#define SOLENOIDS SL_USE_BIT(SL_SOLENOID)

/* Kinds of figure: volts, volts per 100 A, part of the nominal voltage. */
#define VOLTS(v) .volts = (v), .per_100_a = NONE, .part = NONE
#define PER_100_A(v) .volts = NONE, .per_100_a = (v), .part = NONE
#define PART(p) .volts = NONE, .per_100_a = NONE, .part = (p)
#define EVERYWHERE .over_m = 0.0, .up_to_m = INFINITY, .over_c = -INFINITY, .up_to_c = INFINITY
#define LENGTH(over, up_to)                                                                        \
    .over_m = (over), .up_to_m = (up_to), .over_c = -INFINITY, .up_to_c = INFINITY
#define AT_C(over, up_to) .over_m = 0.0, .up_to_m = INFINITY, .over_c = (over), .up_to_c = (up_to)
#define SAYS(t, c, so, st) .text = (t), .condition = (c), .source = (so), .standing = (st)
#define STEP(u, l, n) .scope = SL_LIMIT_STEP, .uses = (u), .loads = (l), .nominal_v = (n)
#define WHOLE(s, l, n) .scope = (s), .uses = 0u, .loads = (l), .nominal_v = (n)

#define VERIFIED "published, verified"
#define IN_SUMMARY "published, verified in a summary; text of the standard not seen"
#define BY_MAKER "published by a vehicle maker, verified"
#define BY_ENGINE_MAKER "published by an engine maker, verified"
#define BY_TESTER "published by an instrument maker, verified"
#define FROM_MEMORY "published, from memory"
#define ATTRIBUTED "attributed to SAE, not found; verified as printed"
#define PRACTICE "common practice, no source"
#define PRACTICE_SOURCE "trade"

#define TM_2320 "US Army TM 9-2320-211-20"
#define TM_2420 "US Army TM 5-2420-230-24-2"
#define TM_3820 "US Army TM 5-3820-256-24-4"
#define TM_3895 "US Army TM 5-3895-382-24"
#define TM_3930 "US Army TM 10-3930-671-24"
#define J541 "SAE J541"
#define E11 "ABYC E-11"
#define AC43 "FAA AC 43.13-1B Table 11-6"

/* Rows that more than one set has. */
#define ROW_CABLE_SHORT                                                                            \
    {                                                                                              \
        STEP(WIRES, STARTER, 12.0), VOLTS(0.1), LENGTH(0.0, 0.9),                                  \
            SAYS("starting cable up to 0.9 m (3 ft)", "cranking", TM_3820, VERIFIED)               \
    }
#define ROW_CABLE_LONG(up_to)                                                                      \
    {                                                                                              \
        STEP(WIRES, STARTER, 12.0), VOLTS(0.2), LENGTH(0.9, up_to),                                \
            SAYS("starting cable from 0.9 to 1.8 m (6 ft)", "cranking", TM_3820, VERIFIED)         \
    }
#define ROW_MECHANICAL                                                                             \
    {                                                                                              \
        STEP(HAND_SWITCHES, STARTER, 12.0), VOLTS(0.1), EVERYWHERE,                                \
            SAYS("mechanical switch", "cranking", TM_3820, VERIFIED)                               \
    }
#define ROW_SOLENOID                                                                               \
    {                                                                                              \
        STEP(SOLENOIDS, STARTER, 12.0), VOLTS(0.2), EVERYWHERE,                                    \
            SAYS("solenoid switch", "cranking", TM_3820, VERIFIED)                                 \
    }
#define ROW_MAGNETIC                                                                               \
    {                                                                                              \
        STEP(RELAYS, STARTER, 12.0), VOLTS(0.3), EVERYWHERE,                                       \
            SAYS("magnetic switch", "cranking", TM_3820, VERIFIED)                                 \
    }
#define ROW_FEED                                                                                   \
    {                                                                                              \
        WHOLE(SL_LIMIT_FEED, STARTER, 12.0), VOLTS(0.5), EVERYWHERE,                               \
            SAYS("insulated side in all", "cranking", TM_3820, VERIFIED)                           \
    }
#define ROW_GROUND                                                                                 \
    {                                                                                              \
        WHOLE(SL_LIMIT_RETURN, STARTER, 12.0), VOLTS(0.2), EVERYWHERE,                             \
            SAYS("ground side in all", "cranking", TM_3820, VERIFIED)                              \
    }
#define ROW_CONTROL_12                                                                             \
    {                                                                                              \
        WHOLE(SL_LIMIT_BOTH, WINDINGS, 12.0), VOLTS(1.0), EVERYWHERE,                              \
            SAYS("control circuit of a solenoid, both sides",                                      \
                 "first reading, both windings on, 20 C", TM_2420, VERIFIED)                       \
    }
#define ROW_CONTROL_24                                                                             \
    {                                                                                              \
        WHOLE(SL_LIMIT_BOTH, WINDINGS, 24.0), VOLTS(2.0), EVERYWHERE,                              \
            SAYS("control circuit of a solenoid, both sides",                                      \
                 "first reading, both windings on, 20 C", TM_2420, VERIFIED)                       \
    }

/* Battery while cranking. The first source speaks of 21 to 27 C; a warmer battery gives no less,
   and 20 C is what temperatures are where nobody says one. The bands of the second are of typical
   readings; its lower end is taken. Between 10 and 20 C it alone speaks. */
#define ROW_POSTS_WARM                                                                             \
    {                                                                                              \
        WHOLE(SL_LIMIT_SOURCE, STARTER, 12.0), VOLTS(9.6), AT_C(19.999, INFINITY),                 \
            SAYS("battery while it cranks, 21 to 27 C; taken from 20 C up", "cranking", TM_3930,   \
                 VERIFIED)                                                                         \
    }
#define ROW_POSTS_ROOM                                                                             \
    {                                                                                              \
        WHOLE(SL_LIMIT_SOURCE, STARTER, 12.0), VOLTS(8.0), AT_C(10.0, 27.0),                       \
            SAYS("battery while it cranks, 10 to 27 C: 8 to 10 V is typical", "cranking", TM_3895, \
                 "published, verified as a typical reading")                                       \
    }
#define ROW_POSTS_COOL                                                                             \
    {                                                                                              \
        WHOLE(SL_LIMIT_SOURCE, STARTER, 12.0), VOLTS(7.0), AT_C(-7.0, 10.0),                       \
            SAYS("battery while it cranks, -7 to 10 C: 7 to 9 V is typical", "cranking", TM_3895,  \
                 "published, verified as a typical reading")                                       \
    }
#define ROW_POSTS_COLD                                                                             \
    {                                                                                              \
        WHOLE(SL_LIMIT_SOURCE, STARTER, 12.0), VOLTS(6.0), AT_C(-INFINITY, -7.0),                  \
            SAYS("battery while it cranks, -23 to -7 C: 6 to 8 V is typical", "cranking", TM_3895, \
                 "published, verified as a typical reading")                                       \
    }

/* A row of common practice. */
#define CUSTOM_STEP(u, l, v, text_, condition_)                                                    \
    {                                                                                              \
        STEP(u, l, 0.0), VOLTS(v), EVERYWHERE, SAYS(text_, condition_, PRACTICE_SOURCE, PRACTICE)  \
    }
#define CUSTOM_SIDE(s, l, v, text_, condition_)                                                    \
    {                                                                                              \
        WHOLE(s, l, 0.0), VOLTS(v), EVERYWHERE, SAYS(text_, condition_, PRACTICE_SOURCE, PRACTICE) \
    }

#define ROWS_PRACTICE                                                                              \
    CUSTOM_STEP(CONNECTIONS, BUT_STARTER, 0.1, "any connection", "rated load"),                    \
        CUSTOM_STEP(HAND_SWITCHES, BUT_STARTER, 0.3, "ignition or load switch", "rated load"),     \
        CUSTOM_STEP(RELAYS, BUT_STARTER, 0.2, "relay contacts", "rated load"),                     \
        CUSTOM_STEP(FUSES, BUT_STARTER, 0.2, "fuse", "rated current"),                             \
        CUSTOM_STEP(WIRES, BUT_STARTER, 0.2, "wire", "rated load"),                                \
        CUSTOM_SIDE(SL_LIMIT_FEED, LAMPS, 0.5, "feed side of a lamp", "lamp on"),                  \
        CUSTOM_SIDE(SL_LIMIT_RETURN, LAMPS, 0.1, "ground side of a lamp", "lamp on"),              \
        CUSTOM_SIDE(SL_LIMIT_RETURN, MODULES, 0.1, "ground of a control module", "operating"),     \
        CUSTOM_SIDE(SL_LIMIT_RETURN, SENSORS, 0.05, "ground of a sensor", "operating")

static const sl_limit shop[] = {
    ROW_CABLE_SHORT,
    ROW_CABLE_LONG(INFINITY),
    ROW_MECHANICAL,
    ROW_SOLENOID,
    ROW_MAGNETIC,
    {STEP(CONNECTIONS, STARTER, 12.0), VOLTS(0.1), EVERYWHERE,
     SAYS("each connection; " TM_3820 " allows none that shows", "cranking",
          "vehicle maker training page 1998-2000", BY_MAKER)},
    ROW_FEED,
    ROW_GROUND,
    {STEP(WIRES, STARTER, 24.0), VOLTS(0.2), EVERYWHERE,
     SAYS("cable from battery to solenoid", "cranking", TM_2320, VERIFIED)},
    {STEP(HAND_SWITCHES, STARTER, 24.0), VOLTS(1.0), EVERYWHERE,
     SAYS("battery disconnect", "cranking", TM_3895, VERIFIED)},
    {STEP(CONNECTIONS, STARTER, 24.0), VOLTS(0.1), EVERYWHERE,
     SAYS("each connection", "cranking", "vehicle maker training page 1998-2000 (12 V)", BY_MAKER)},
    {STEP(SOLENOIDS | RELAYS, STARTER, 24.0), VOLTS(0.2), EVERYWHERE,
     SAYS("solenoid to starter", "cranking", TM_2320, VERIFIED)},
    {WHOLE(SL_LIMIT_FEED, STARTER, 24.0), VOLTS(1.0), EVERYWHERE,
     SAYS("battery to starter stud", "cranking", TM_3895, VERIFIED)},
    {WHOLE(SL_LIMIT_CABLES, STARTER, 24.0), PER_100_A(0.4), EVERYWHERE,
     SAYS("positive and negative cables, 1.0 V at 250 A", "250 A", TM_2420 " p. 13-23", VERIFIED)},
    ROW_POSTS_WARM,
    ROW_POSTS_ROOM,
    ROW_POSTS_COOL,
    ROW_POSTS_COLD,
    ROW_CONTROL_12,
    ROW_CONTROL_24,
    {WHOLE(SL_LIMIT_FEED, CHARGING, 12.0), VOLTS(0.2), EVERYWHERE,
     SAYS("alternator B+ to battery +", "lamps and blower on",
          "vehicle maker service data 2007, 2009", BY_MAKER)},
    {WHOLE(SL_LIMIT_RETURN, CHARGING, 12.0), VOLTS(0.2), EVERYWHERE,
     SAYS("alternator case to battery -", "2000 rpm", "vehicle maker training text", BY_MAKER)},
    ROWS_PRACTICE,
};

static const sl_limit practice[] = {ROWS_PRACTICE};

static const sl_limit j541_light[] = {
    {WHOLE(SL_LIMIT_CABLES, STARTER, 6.0), PER_100_A(0.12), EVERYWHERE,
     SAYS("both sides but for motor and switches, 0.12 V per 100 A", "20 C", J541, IN_SUMMARY)},
    {WHOLE(SL_LIMIT_CABLES, STARTER, 12.0), PER_100_A(0.2), EVERYWHERE,
     SAYS("both sides but for motor and switches, 0.2 V per 100 A", "20 C", J541, IN_SUMMARY)},
    {WHOLE(SL_LIMIT_CABLES, STARTER, 24.0), PER_100_A(0.4), EVERYWHERE,
     SAYS("both sides but for motor and switches, 0.4 V per 100 A", "20 C", J541, IN_SUMMARY)},
};

static const sl_limit j541_heavy[] = {
    {WHOLE(SL_LIMIT_CABLES, STARTER, 12.0), PER_100_A(0.1), EVERYWHERE,
     SAYS("both sides but for motor and switches, 0.1 V per 100 A", "20 C", J541, IN_SUMMARY)},
    {WHOLE(SL_LIMIT_CABLES, STARTER, 24.0), PER_100_A(0.17), EVERYWHERE,
     SAYS("both sides but for motor and switches, 0.17 V per 100 A", "20 C", J541, IN_SUMMARY)},
};

static const sl_limit tm_3930[] = {
    {STEP(WIRES, STARTER, 12.0), PER_100_A(0.2), EVERYWHERE,
     SAYS("any cable run, 0.2 V per 100 A", "cranking", TM_3930 " p. F-303", VERIFIED)},
    {WHOLE(SL_LIMIT_FEED, STARTER, 12.0), VOLTS(0.4), EVERYWHERE,
     SAYS("positive cable with its connections", "cranking", TM_3930 " p. F-303", VERIFIED)},
    ROW_POSTS_WARM,
};

/* At 500 A (24 V: 250 A) of a load tester, so by resistance: 1 and 4 mohm. */
static const sl_limit tm_2420[] = {
    {WHOLE(SL_LIMIT_CABLES, STARTER, 12.0), PER_100_A(0.1), EVERYWHERE,
     SAYS("positive and negative cables, 0.5 V at 500 A", "500 A", TM_2420 " p. 13-23", VERIFIED)},
    {WHOLE(SL_LIMIT_CABLES, STARTER, 24.0), PER_100_A(0.4), EVERYWHERE,
     SAYS("positive and negative cables, 1.0 V at 250 A", "250 A", TM_2420 " p. 13-23", VERIFIED)},
    ROW_CONTROL_12,
    ROW_CONTROL_24,
};

static const sl_limit tm_3820[] = {
    ROW_CABLE_SHORT,
    ROW_CABLE_LONG(1.8),
    ROW_MECHANICAL,
    ROW_SOLENOID,
    ROW_MAGNETIC,
    {STEP(CONNECTIONS, STARTER, 12.0), VOLTS(0.0), EVERYWHERE,
     SAYS("each connection: no drop that shows", "cranking", TM_3820, VERIFIED)},
    ROW_FEED,
    ROW_GROUND,
};

static const sl_limit tm_2320[] = {
    {STEP(WIRES, STARTER, 24.0), VOLTS(0.2), EVERYWHERE,
     SAYS("cable from battery to solenoid", "cranking", TM_2320, VERIFIED)},
    {STEP(SOLENOIDS | RELAYS, STARTER, 24.0), VOLTS(0.2), EVERYWHERE,
     SAYS("solenoid to starter", "cranking", TM_2320, VERIFIED)},
};

#define TRAINING "vehicle maker training page 1998-2000"
static const sl_limit maker_training[] = {
    {STEP(WIRES, STARTER, 12.0), VOLTS(0.2), EVERYWHERE,
     SAYS("direct battery cable", "cranking", TRAINING, BY_MAKER)},
    {STEP(CONNECTIONS, STARTER, 12.0), VOLTS(0.1), EVERYWHERE,
     SAYS("each connection", "cranking", TRAINING, BY_MAKER)},
};

static const sl_limit tester[] = {
    {WHOLE(SL_LIMIT_FEED, STARTER, 12.0), VOLTS(0.5), EVERYWHERE,
     SAYS("positive circuit", "cranking", "starting-system tester manual", BY_TESTER)},
    {WHOLE(SL_LIMIT_RETURN, STARTER, 12.0), VOLTS(0.3), EVERYWHERE,
     SAYS("ground circuit", "cranking", "starting-system tester manual", BY_TESTER)},
    {WHOLE(SL_LIMIT_BOTH, STARTER, 12.0), VOLTS(0.8), EVERYWHERE,
     SAYS("positive and ground circuit", "cranking", "starting-system tester manual", BY_TESTER)},
    {STEP(WIRES, STARTER, 12.0), VOLTS(0.3), EVERYWHERE,
     SAYS("one cable with two connectors", "cranking", "multimeter manual", BY_TESTER)},
};

static const sl_limit engine_maker[] = {
    {WHOLE(SL_LIMIT_BOTH, ANY, 0.0), PART(0.05), EVERYWHERE,
     SAYS("wiring in general, 5 % of 12 V", "loaded", "engine service manual 2007",
          BY_ENGINE_MAKER)},
};

static const sl_limit abyc_3[] = {
    {WHOLE(SL_LIMIT_BOTH, BUT_STARTER, 0.0), PART(0.03), EVERYWHERE,
     SAYS("main feeder, bilge blower, electronics, navigation lights: 3 %, out and back", "loaded",
          E11, VERIFIED)},
};

static const sl_limit abyc_10[] = {
    {WHOLE(SL_LIMIT_BOTH, BUT_STARTER, 0.0), PART(0.10), EVERYWHERE,
     SAYS("lighting other than navigation, non-critical: 10 %, out and back", "loaded", E11,
          VERIFIED)},
};

/* 14 V and 28 V systems, that is 12 V and 24 V batteries under charge. */
static const sl_limit ac43_continuous[] = {
    {WHOLE(SL_LIMIT_BOTH, ANY, 12.0), VOLTS(0.5), EVERYWHERE,
     SAYS("aircraft bus to load, continuous, 14 V", "loaded", AC43,
          FROM_MEMORY "; used in verified tables 11-7, 11-8")},
    {WHOLE(SL_LIMIT_BOTH, ANY, 24.0), VOLTS(1.0), EVERYWHERE,
     SAYS("aircraft bus to load, continuous, 28 V", "loaded", AC43,
          FROM_MEMORY "; used in verified tables 11-7, 11-8")},
};

static const sl_limit ac43_intermittent[] = {
    {WHOLE(SL_LIMIT_BOTH, ANY, 12.0), VOLTS(1.0), EVERYWHERE,
     SAYS("aircraft bus to load, intermittent, 14 V", "loaded", AC43, FROM_MEMORY)},
    {WHOLE(SL_LIMIT_BOTH, ANY, 24.0), VOLTS(2.0), EVERYWHERE,
     SAYS("aircraft bus to load, intermittent, 28 V", "loaded", AC43, FROM_MEMORY)},
};

#define DEALER "battery dealer page"
static const sl_limit attributed[] = {
    {STEP(WIRES | CONNECTIONS, STARTER, 12.0), VOLTS(0.2), EVERYWHERE,
     SAYS("battery or starter cable, over 100 A", "cranking", DEALER, ATTRIBUTED)},
    {STEP(HAND_SWITCHES | RELAYS | SOLENOIDS, STARTER, 12.0), VOLTS(0.3), EVERYWHERE,
     SAYS("heavy duty switch or solenoid, over 100 A: 0.2 to 0.3 V", "cranking", DEALER,
          ATTRIBUTED)},
    {STEP(CONNECTIONS, MODULES | SENSORS, 12.0), VOLTS(0.09), EVERYWHERE,
     SAYS("computer connection, low current: 0.01 to 0.09 V", "operating", DEALER, ATTRIBUTED)},
    {STEP(WIRES | CONNECTIONS, BUT_STARTER, 12.0), VOLTS(0.2), EVERYWHERE,
     SAYS("alternator, high current accessory, 20 to 100 A: 0.1 to 0.2 V", "loaded", DEALER,
          ATTRIBUTED)},
};

static const sl_limit_set sets[] = {
    {"shop",
     "for the shop: starting from published manuals, the rest common practice; see each row", shop,
     COUNT(shop)},
    {"practice", "common practice for lamps, switches, relays, fuses, modules, sensors", practice,
     COUNT(practice)},
    {"j541-light", "SAE J541, starting circuit, light and medium duty, per 100 A", j541_light,
     COUNT(j541_light)},
    {"j541-heavy", "SAE J541, starting circuit, heavy duty, per 100 A", j541_heavy,
     COUNT(j541_heavy)},
    {"tm-2320", TM_2320 ": 24 V starting, by segment", tm_2320, COUNT(tm_2320)},
    {"tm-2420", TM_2420 ": cables at the current of a load tester; solenoid control", tm_2420,
     COUNT(tm_2420)},
    {"tm-3820", TM_3820 ": 12 V starting, by segment and side; cables up to 1.8 m", tm_3820,
     COUNT(tm_3820)},
    {"tm-3930", TM_3930 ": 12 V starting, per 100 A", tm_3930, COUNT(tm_3930)},
    {"maker-training", "a vehicle maker's training page: 12 V starting", maker_training,
     COUNT(maker_training)},
    {"tester", "instrument makers' manuals: 12 V starting, by side", tester, COUNT(tester)},
    {"attributed", "a dealer's table attributed to SAE, which was not found there", attributed,
     COUNT(attributed)},
    {"engine-maker", "an engine maker's manual: 5 % of the nominal voltage", engine_maker,
     COUNT(engine_maker)},
    {"abyc-3", "ABYC E-11, boats: 3 % out and back", abyc_3, COUNT(abyc_3)},
    {"abyc-10", "ABYC E-11, boats: 10 % out and back", abyc_10, COUNT(abyc_10)},
    {"ac43-continuous", "FAA AC 43.13-1B, aircraft: continuous loads", ac43_continuous,
     COUNT(ac43_continuous)},
    {"ac43-intermittent", "FAA AC 43.13-1B, aircraft: intermittent loads", ac43_intermittent,
     COUNT(ac43_intermittent)},
};

int32_t sl_limit_set_count(void)
{
    return COUNT(sets);
}

const sl_limit_set *sl_limit_set_at(int32_t index)
{
    return index >= 0 && index < COUNT(sets) ? &sets[index] : NULL;
}

const sl_limit_set *sl_limit_set_find(const char *name)
{
    for (int32_t s = 0; s < COUNT(sets); s++) {
        if (strcmp(sets[s].name, name) == 0) {
            return &sets[s];
        }
    }
    return NULL;
}
