/* lib/kinds/starter.c: a starter: a solenoid of two windings, its contacts, and a motor that turns
   an engine. */
#include <math.h>

#include "kinds/engine.h"
#include "kinds/motor.h"

#define COPPER_PER_K 0.00393 /* of the resistance at 20 C */
#define RAD_S_PER_RPM (3.14159265358979323846 / 30.0)

/* Part of the motor's own drag, with the engine off it, that is there at standstill: from memory.
 */
#define OWN_AT_REST 0.5

/* A starter of which only the cranking point is known is taken to be like one whose test points
   are published, 1.4 kW, made larger or smaller: for 180 A at 10.5 V it is that one. */
#define LIKE_CRANKING_A 180.0
#define LIKE_CRANKING_V 10.5
#define LIKE_STALL_A 780.0
#define LIKE_STALL_V 4.0
#define LIKE_FREE_A 90.0
#define LIKE_FREE_V 11.5
#define LIKE_SATURATION_A 100.0

#define LIVE_V 1.0      /* at the solenoid: somebody wants it to crank */
#define TURNING_RPM 0.5 /* less cannot be told from standstill */
#define TURNING_V                                                                                  \
    1e-3 /* nor can a motor with less than this: its speed is a ratio of two nothings */
#define SLOW_RPM 100.0  /* an engine does not start below: published courseware */
#define SLOW_SHARE 0.75 /* of its healthy cranking speed: somebody hears that it is slow */
#define NO_ENGINE 1e-6  /* a drag factor below it: nothing is coupled to the motor */
#define STOPS 0.999     /* of the current that starts it: below this it stands still again */

enum {
    PULL_IN_RESISTANCE,
    HOLD_IN_RESISTANCE,
    PULL_IN,
    HOLD,
    CONTACT_RESISTANCE,
    OPERATE_TIME,
    RELEASE_TIME,
    SPIN_UP_TIME,
    FIELD,
    SATURATION,
    STALL_CURRENT,
    STALL_VOLTAGE,
    FREE_CURRENT,
    FREE_VOLTAGE,
    FREE_SPEED,
    CRANKING_CURRENT,
    CRANKING_VOLTAGE,
    CRANKING_SPEED,
    BREAKAWAY,
    COLD_DRAG,
    DRAG,
    SEIZED,
    TEMPERATURE,
    SOLENOID,
    STUCK,
    STARTS
};
enum { B, CASE, S, M };
enum { CONTACTS, PULL_IN_WINDING, HOLD_IN_WINDING, MOTOR };
/* With a solenoid: contacts open; closed and the motor up to speed; closed and the motor still at
   rest. Without one the motor alone. */
enum { RELEASED, PULLED_IN, SPINNING_UP, AT_REST, TURNING };
enum { SERIES, MAGNET };
enum { NOT_SEIZED, IS_SEIZED };
enum { BUILT_IN, NO_SOLENOID };
enum { FREE, STUCK_OPEN, STUCK_CLOSED };
enum { CRANKS, CRANKS_SLOWLY, SPINS_FREE, BACKWARDS, ONE_CLICK, STANDS_STILL, NO_CLICK, CLICKING };

static const sl_terminal terminals[] = {
    [B] = {"B", false, "battery stud"},
    [CASE] = {"case", false, "the return, through the mounting on the engine"},
    [S] = {"S", true, "solenoid control"},
    [M] = {"M", true, "motor stud, behind the contacts"},
};

static const char *const field_choices[] = {"series", "magnet", NULL};
static const char *const seized_choices[] = {"no", "yes", NULL};
static const char *const solenoid_choices[] = {"built in", "none", NULL};
static const char *const stuck_choices[] = {"free", "open", "closed", NULL};
static const char *const states[] = {"released", "pulled in", "pulled in with the motor at rest",
                                     "at rest",  "turning",   NULL};

#define LIKE_PUBLISHED                                                                             \
    "in proportion to the cranking point, from vehicle maker service data of a 1.4 kW starter"

static const sl_param params[] = {
    [PULL_IN_RESISTANCE] = {"pull_in_resistance", SL_RESISTANCE, SL_DEFAULT, 0.174, 1e-3, 1e3, NULL,
                            "of the pull-in winding, S to M, at 20 C",
                            "mid value of vehicle maker service data: 40 to 75 A at 10 V"},
    [HOLD_IN_RESISTANCE] = {"hold_in_resistance", SL_RESISTANCE, SL_DEFAULT, 0.667, 1e-3, 1e3, NULL,
                            "of the hold-in winding, S to case, at 20 C",
                            "mid value of vehicle maker service data: 10 to 20 A at 10 V"},
    [PULL_IN] = {"pull_in", SL_VOLTAGE, SL_DEFAULT, 8.0, 0.1, 60.0, NULL,
                 "at S, at 20 C with the motor at rest, from which it pulls in",
                 "a vehicle maker's minimum operating voltage"},
    [HOLD] = {"hold", SL_VOLTAGE, SL_DEFAULT, 3.0, 0.01, 60.0, NULL,
              "at S, at 20 C with M as high as S, below which it lets go; where M is lower, the "
              "pull-in winding helps",
              "from memory: a battery above 33 mohm chatters"},
    [CONTACT_RESISTANCE] = {"contact_resistance", SL_RESISTANCE, SL_DEFAULT, 2e-4, 0.0, 10.0, NULL,
                            "of the closed contacts, B to M",
                            "from memory; 36 mV at 180 A, where a manual allows 0.2 V"},
    [OPERATE_TIME] = {"operate_time", SL_TIME, SL_DEFAULT, 20e-3, 1e-6, 60.0, NULL,
                      "from enough current to closed contacts", SL__FROM_MEMORY},
    [RELEASE_TIME] = {"release_time", SL_TIME, SL_DEFAULT, 10e-3, 1e-6, 60.0, NULL,
                      "from too little current to open contacts", SL__FROM_MEMORY},
    [SPIN_UP_TIME] = {"spin_up_time", SL_TIME, SL_DEFAULT, 60e-3, 1e-6, 60.0, NULL,
                      "from voltage at the motor until it turns; so long it draws what it draws "
                      "locked, and a solenoid that lets go meanwhile chatters",
                      SL__FROM_MEMORY},
    [FIELD] = {"field", SL_CHOICE, SL_DEFAULT, SERIES, SERIES, MAGNET, field_choices,
               "what makes the field: a winding in series with the armature, or magnets",
               "the published test points fit a series winding or a heavily saturating field"},
    [SATURATION] = {"saturation", SL_CURRENT, SL_DERIVED, SL__NAN, 0.0, 1e5, NULL,
                    "current that makes half of the field a large current makes; series field only",
                    "from memory: 100 A for 180 A of cranking current"},
    [STALL_CURRENT] = {"stall_current", SL_CURRENT, SL_DERIVED, SL__NAN, 1.0, 1e5, NULL,
                       "of the locked motor at `stall_voltage` at its stud", LIKE_PUBLISHED},
    [STALL_VOLTAGE] = {"stall_voltage", SL_VOLTAGE, SL_DERIVED, SL__NAN, 0.1, 60.0, NULL,
                       "at the motor stud, with the motor locked", LIKE_PUBLISHED},
    [FREE_CURRENT] = {"free_current", SL_CURRENT, SL_DERIVED, SL__NAN, 0.1, 1e5, NULL,
                      "of the motor running without an engine at `free_voltage`", LIKE_PUBLISHED},
    [FREE_VOLTAGE] = {"free_voltage", SL_VOLTAGE, SL_DERIVED, SL__NAN, 0.1, 60.0, NULL,
                      "at the motor stud, running without an engine", LIKE_PUBLISHED},
    [FREE_SPEED] = {"free_speed", SL_SPEED, SL_DEFAULT, 4000.0, 1.0, 1e5, NULL,
                    "of the pinion, running without an engine, where a test bench measures it",
                    "from memory; a vehicle maker asks for at least 2800 rpm of a small starter"},
    [CRANKING_CURRENT] = {"cranking_current", SL_CURRENT, SL_DEFAULT, LIKE_CRANKING_A, 1.0, 1e5,
                          NULL, "of the motor turning the engine, all good, at 20 C or more",
                          "US Army TM 10-3930-671-24: 180 to 220 A; an article: 4 cylinders 100 to "
                          "200 A"},
    [CRANKING_VOLTAGE] = {"cranking_voltage", SL_VOLTAGE, SL_DEFAULT, LIKE_CRANKING_V, 0.1, 60.0,
                          NULL, "at the motor stud, at `cranking_current`", SL__PRACTICE},
    [CRANKING_SPEED] = {"cranking_speed", SL_SPEED, SL_DEFAULT, 220.0, 1.0, 1e4, NULL,
                        "of the crankshaft, at `cranking_current`", SL__PRACTICE},
    [BREAKAWAY] = {"breakaway", SL_FRACTION, SL_DEFAULT, 0.6, 0.0, 0.95, NULL,
                   "part of the engine's cranking torque that is there at standstill; the rest "
                   "rises with speed",
                   SL__FROM_MEMORY},
    [COLD_DRAG] = {"cold_drag", SL_NUMBER, SL_DEFAULT, 1.0, 0.0, 10.0, NULL,
                   "how much of the published rise of drag with cold this engine shows; 0: none",
                   "trade table of engine power required: 155 % at 0 C, 210 % at -17.8 C, 350 % "
                   "at -28.9 C"},
    [DRAG] = {"drag", SL_NUMBER, SL_DEFAULT, 1.0, 0.0, 1000.0, NULL,
              "the engine's torque against that of a healthy one; 0: no engine on the motor",
              SL__SOUND},
    [SEIZED] = {"seized", SL_CHOICE, SL_DEFAULT, NOT_SEIZED, NOT_SEIZED, IS_SEIZED, seized_choices,
                "an engine or motor that cannot turn", SL__SOUND},
    [TEMPERATURE] = {"temperature", SL_TEMPERATURE, SL_DEFAULT, SL__NAN, -60.0, 200.0, NULL,
                     "of windings and engine, when not that of the surroundings", ""},
    [SOLENOID] = {"solenoid", SL_CHOICE, SL_DEFAULT, BUILT_IN, BUILT_IN, NO_SOLENOID,
                  solenoid_choices,
                  "none: a relay elsewhere feeds the stud, and B and M are the same point",
                  SL__PRACTICE},
    [STUCK] = {"stuck", SL_CHOICE, SL_DEFAULT, FREE, FREE, STUCK_CLOSED, stuck_choices,
               "a solenoid that stays where it is whatever its windings do", SL__SOUND},
    [STARTS] = {"starts", SL_CHOICE, SL_DEFAULT, RELEASED, RELEASED, TURNING, states,
                "its state before the condition is set up; without a solenoid released means at "
                "rest",
                SL__STARTS},
};

static const sl_element elements[] = {
    [CONTACTS] = {"contacts", B, M, "closed when pulled in"},
    [PULL_IN_WINDING] = {"pull-in", S, M, "returns through the motor while the contacts are open"},
    [HOLD_IN_WINDING] = {"hold-in", S, CASE, "holds once the contacts are closed"},
    [MOTOR] = {"motor", M, CASE, "brushes, armature and field"},
};

enum { CONTACTS_OPEN, BURNED_CONTACTS, PULL_IN_OPEN, HOLD_IN_OPEN, MOTOR_OPEN, WORN_BRUSHES };
enum { DRAGGING = WORN_BRUSHES + 1, SEIZED_ENGINE, SLIPPING, JAMMED, WELDED };

static const sl_mode modes[] = {
    [CONTACTS_OPEN] = {"contacts open", SL_OPEN, CONTACTS, 0.0, 0.0,
                       "burnt away: it clicks and does not crank", SL__PRACTICE},
    [BURNED_CONTACTS] = {"burned contacts", SL_SERIES, CONTACTS, 1e-3, 0.1,
                         "pitted contact disc or studs", SL__PRACTICE},
    [PULL_IN_OPEN] = {"pull-in open", SL_OPEN, PULL_IN_WINDING, 0.0, 0.0,
                      "a broken pull-in winding: too weak", SL__PRACTICE},
    [HOLD_IN_OPEN] = {"hold-in open", SL_OPEN, HOLD_IN_WINDING, 0.0, 0.0,
                      "a broken hold-in winding: it chatters, or does not pull in", SL__PRACTICE},
    [MOTOR_OPEN] = {"motor open", SL_OPEN, MOTOR, 0.0, 0.0, "brushes worn off or a broken field",
                    SL__PRACTICE},
    [WORN_BRUSHES] = {"worn brushes", SL_SERIES, MOTOR, 1e-3, 0.1,
                      "short brushes or a burnt commutator", SL__PRACTICE},
    [DRAGGING] = {"dragging engine", SL_SET, DRAG, 1.2, 5.0,
                  "tight bearings, thick oil, or a rubbing armature", SL__PRACTICE},
    [SEIZED_ENGINE] = {"seized engine", SL_SET, SEIZED, IS_SEIZED, IS_SEIZED,
                       "the engine cannot turn: seized, or fluid in a cylinder", SL__PRACTICE},
    [SLIPPING] = {"slipping clutch", SL_SET, DRAG, 0.0, 0.0,
                  "the pinion turns and the engine does not", SL__PRACTICE},
    [JAMMED] = {"stuck open", SL_SET, STUCK, STUCK_OPEN, STUCK_OPEN,
                "the plunger is jammed at rest", SL__PRACTICE},
    [WELDED] = {"stuck closed", SL_SET, STUCK, STUCK_CLOSED, STUCK_CLOSED,
                "the contacts are welded: it cranks on after the key is released", SL__PRACTICE},
};

#define WITHOUT_SOLENOID(of, index)                                                                \
    {                                                                                              \
        SOLENOID, NO_SOLENOID, of, index                                                           \
    }
static const sl_lack lacks[] = {
    WITHOUT_SOLENOID(SL_LACKS_TERMINAL, S),
    WITHOUT_SOLENOID(SL_LACKS_TERMINAL, M),
    WITHOUT_SOLENOID(SL_LACKS_ELEMENT, CONTACTS),
    WITHOUT_SOLENOID(SL_LACKS_ELEMENT, PULL_IN_WINDING),
    WITHOUT_SOLENOID(SL_LACKS_ELEMENT, HOLD_IN_WINDING),
    WITHOUT_SOLENOID(SL_LACKS_MODE, CONTACTS_OPEN),
    WITHOUT_SOLENOID(SL_LACKS_MODE, BURNED_CONTACTS),
    WITHOUT_SOLENOID(SL_LACKS_MODE, PULL_IN_OPEN),
    WITHOUT_SOLENOID(SL_LACKS_MODE, HOLD_IN_OPEN),
    WITHOUT_SOLENOID(SL_LACKS_MODE, JAMMED),
    WITHOUT_SOLENOID(SL_LACKS_MODE, WELDED),
};

static const sl_notice_def notices[] = {
    [CRANKS] = {"cranks", SL_SPEED, "cranks at @"},
    [CRANKS_SLOWLY] = {"cranks slowly", SL_SPEED, "cranks slowly at @"},
    [SPINS_FREE] = {"spins free", SL_SPEED, "spins free at @, the engine does not turn"},
    [BACKWARDS] = {"backwards", SL_NUMBER, "the motor turns backwards"},
    [ONE_CLICK] = {"one click", SL_NUMBER, "one click, the engine does not turn"},
    [STANDS_STILL] = {"stands still", SL_NUMBER, "the engine does not turn"},
    [NO_CLICK] = {"no click", SL_NUMBER, "no click"},
    [CLICKING] = {"clicking", SL_NUMBER, "rapid clicking, the engine does not turn"},
    SL__HOT_SPOT_ROW,
};

/* The motor, its own drag, and its speed where the cranking point is. Speeds and torques are those
   of the pinion; gears inside the starter are part of the motor. */
typedef struct starter {
    sl__motor motor;
    sl__drag own;
    double cranking_rads;
    double engine_nm; /* torque of the healthy engine there */
} starter;

/* From test points to constants. The locked motor gives the resistance; the free one gives the
   flux, as its speed is known, and the drag of the motor itself; and what torque is left where it
   cranks is the engine's. */
static starter work_out(const double *p)
{
    starter st;
    double free_rads = p[FREE_SPEED] * RAD_S_PER_RPM;
    st.motor.ohm = p[STALL_VOLTAGE] / p[STALL_CURRENT];
    st.motor.saturation_a = p[FIELD] == MAGNET ? 0.0 : p[SATURATION];
    st.motor.flux_nm_a = (p[FREE_VOLTAGE] - p[FREE_CURRENT] * st.motor.ohm) / free_rads *
                         (1.0 + st.motor.saturation_a / p[FREE_CURRENT]);
    double free_nm = sl__motor_torque(&st.motor, p[FREE_CURRENT]);
    st.own.rest_nm = OWN_AT_REST * free_nm;
    st.own.rise_nms = (1.0 - OWN_AT_REST) * free_nm / free_rads;
    st.cranking_rads = sl__motor_speed(&st.motor, p[CRANKING_VOLTAGE], p[CRANKING_CURRENT]);
    st.engine_nm = sl__motor_torque(&st.motor, p[CRANKING_CURRENT]) - st.own.rest_nm -
                   st.own.rise_nms * st.cranking_rads;
    return st;
}

/* What the motor turns at a temperature: itself and the engine. */
static sl__drag whole_drag(const double *p, const starter *st, double celsius)
{
    double factor = p[DRAG] * (1.0 + p[COLD_DRAG] * (sl__engine_cold_torque(celsius) - 1.0));
    double engine_nm = factor * st->engine_nm;
    sl__drag drag = st->own;
    drag.rest_nm += p[BREAKAWAY] * engine_nm;
    drag.rise_nms += (1.0 - p[BREAKAWAY]) * engine_nm / st->cranking_rads;
    return drag;
}

/* The current that overcomes all drag at standstill. */
static double starting_amps(const double *p, double celsius)
{
    starter st = work_out(p);
    sl__drag drag = whole_drag(p, &st, celsius);
    double half = 0.5 * drag.rest_nm / st.motor.flux_nm_a; /* flux(i) i = rest */
    return half + sqrt(half * (half + 2.0 * st.motor.saturation_a));
}

static void derive(double *value, double like, double given, double given_like)
{
    if (isnan(*value)) {
        *value = given * like / given_like;
    }
}

/* The state of one with a solenoid for one without, and the other way round. */
static int32_t known_state(const double *p, int32_t state)
{
    if (p[SOLENOID] == NO_SOLENOID) {
        return state == RELEASED || state == AT_REST ? AT_REST : TURNING;
    }
    return state == AT_REST ? RELEASED : state == TURNING ? PULLED_IN : state;
}

static bool complete(double *p, sl__complaint *bad)
{
    derive(&p[SATURATION], LIKE_SATURATION_A, p[CRANKING_CURRENT], LIKE_CRANKING_A);
    derive(&p[STALL_CURRENT], LIKE_STALL_A, p[CRANKING_CURRENT], LIKE_CRANKING_A);
    derive(&p[FREE_CURRENT], LIKE_FREE_A, p[CRANKING_CURRENT], LIKE_CRANKING_A);
    derive(&p[STALL_VOLTAGE], LIKE_STALL_V, p[CRANKING_VOLTAGE], LIKE_CRANKING_V);
    derive(&p[FREE_VOLTAGE], LIKE_FREE_V, p[CRANKING_VOLTAGE], LIKE_CRANKING_V);

    double ohm = p[STALL_VOLTAGE] / p[STALL_CURRENT];
    if (p[HOLD] >= p[PULL_IN]) {
        *bad = (sl__complaint){HOLD, "must be below `pull_in`, or it could never stay closed"};
    } else if (p[FREE_VOLTAGE] <= p[FREE_CURRENT] * ohm) {
        *bad = (sl__complaint){FREE_CURRENT, "is as much as the locked motor draws at "
                                             "`free_voltage`; it must be less to turn"};
    } else if (p[CRANKING_VOLTAGE] <= p[CRANKING_CURRENT] * ohm) {
        *bad = (sl__complaint){CRANKING_CURRENT, "is as much as the locked motor draws at "
                                                 "`cranking_voltage`; it must be less to turn"};
    } else if (work_out(p).engine_nm <= 0.0) {
        *bad = (sl__complaint){CRANKING_CURRENT, "leaves no torque for the engine: the motor draws "
                                                 "as much running free; see `free_current`"};
    } else {
        p[STARTS] = known_state(p, (int32_t)p[STARTS]);
        return true;
    }
    return false;
}

/* Where the plunger is: a stuck one does not follow its state. */
static int32_t plunger(const double *p, int32_t state)
{
    if (p[SOLENOID] == NO_SOLENOID || p[STUCK] == STUCK_CLOSED) {
        return PULLED_IN;
    }
    return p[STUCK] == STUCK_OPEN || state == RELEASED ? RELEASED : PULLED_IN;
}

/* Does nothing turn, whatever the motor could do? */
static bool at_rest(const double *p, int32_t state)
{
    return p[SEIZED] == IS_SEIZED || state == SPINNING_UP || state == AT_REST;
}

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    state = known_state(p, state);
    double celsius = sl__temperature_or(p[TEMPERATURE], ambient_c);
    double copper = 1.0 + COPPER_PER_K * (celsius - 20.0);
    if (p[SOLENOID] == NO_SOLENOID) {
        sl__law_resistor(&law[CONTACTS], 0.0);
    } else {
        sl__law_resistor(&law[PULL_IN_WINDING], p[PULL_IN_RESISTANCE] * copper);
        sl__law_resistor(&law[HOLD_IN_WINDING], p[HOLD_IN_RESISTANCE] * copper);
        if (plunger(p, state) == PULLED_IN) {
            sl__law_resistor(&law[CONTACTS], p[CONTACT_RESISTANCE]);
        }
    }
    starter st = work_out(p);
    if (at_rest(p, state)) {
        sl__law_resistor(&law[MOTOR], st.motor.ohm);
    } else {
        sl__drag drag = whole_drag(p, &st, celsius);
        sl__law_motor(&law[MOTOR], &st.motor, &drag, p[CRANKING_CURRENT] / p[CRANKING_VOLTAGE]);
    }
}

/* Without a solenoid: does the motor turn? */
static int32_t motor_wants(const double *p, double ambient_c, int32_t state, const sl__flow *flow)
{
    double least_a = starting_amps(p, sl__temperature_or(p[TEMPERATURE], ambient_c)) *
                     (state == TURNING ? STOPS : 1.0);
    return p[SEIZED] == NOT_SEIZED && fabs(flow[MOTOR].i) > least_a ? TURNING : AT_REST;
}

/* Both windings have the same number of turns, so ampere-turns add as currents do, with their
   signs: fed from M through both in series they cancel. */
static double drive_amps(const sl__flow *flow)
{
    return fabs(flow[PULL_IN_WINDING].i + flow[HOLD_IN_WINDING].i);
}

/* The thresholds are volts at 20 C. */
static bool pulls(const double *p, const sl__flow *flow)
{
    double least_a = p[PULL_IN] / p[PULL_IN_RESISTANCE] + p[PULL_IN] / p[HOLD_IN_RESISTANCE];
    return drive_amps(flow) >= least_a;
}

static int32_t wants(const double *p, double ambient_c, int32_t state, const sl__flow *flow)
{
    state = known_state(p, state);
    if (p[SOLENOID] == NO_SOLENOID) {
        return motor_wants(p, ambient_c, state, flow);
    }
    if (p[STUCK] != FREE) {
        return plunger(p, state);
    }
    if (state == RELEASED) {
        return pulls(p, flow) ? SPINNING_UP : RELEASED;
    }
    /* A motor that is up before the plunger has moved gives the voltage back in time. */
    bool in_time = state == SPINNING_UP && p[SPIN_UP_TIME] < p[RELEASE_TIME];
    bool weak = drive_amps(flow) < p[HOLD] / p[HOLD_IN_RESISTANCE];
    return weak && !in_time ? RELEASED : PULLED_IN;
}

static double delay_s(const double *p, int32_t from, int32_t to)
{
    switch (to) {
    case RELEASED:
    case AT_REST:
        return p[RELEASE_TIME];
    case TURNING:
        return p[SPIN_UP_TIME];
    default:
        return from == SPINNING_UP ? p[SPIN_UP_TIME] : p[OPERATE_TIME];
    }
}

/* What is heard of a motor that turns. */
static void notice_turning(const double *p, double amps, double rads, double crank_rpm,
                           sl__notice_list *list)
{
    double slow_rpm = fmax(SLOW_RPM, SLOW_SHARE * p[CRANKING_SPEED]);
    if (p[FIELD] == MAGNET && amps < 0.0) {
        sl__notice(list, BACKWARDS, 0.0);
    } else if (p[DRAG] < NO_ENGINE) {
        sl__notice(list, SPINS_FREE, rads / RAD_S_PER_RPM);
    } else {
        sl__notice(list, crank_rpm < slow_rpm ? CRANKS_SLOWLY : CRANKS, crank_rpm);
    }
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    /* The back EMF gives the speed at any drag and temperature: v is of the motor alone, without a
       resistance that a fault puts in series with it. */
    starter st = work_out(p);
    double v = flow[MOTOR].v, i = flow[MOTOR].i;
    bool still = at_rest(p, state) || fabs(v) < TURNING_V;
    double rads = still ? 0.0 : sl__motor_speed(&st.motor, v, i);
    double crank_rpm = rads / st.cranking_rads * p[CRANKING_SPEED];
    bool live = p[SOLENOID] == BUILT_IN && fabs(flow[HOLD_IN_WINDING].v) > LIVE_V;
    if (crank_rpm > TURNING_RPM) {
        notice_turning(p, i, rads, crank_rpm, list);
    } else if (live && p[STUCK] == FREE && state == SPINNING_UP) {
        sl__notice(list, CLICKING, 0.0); /* nothing stays in this state */
    } else if (live && p[STUCK] == FREE && state == PULLED_IN) {
        sl__notice(list, ONE_CLICK, 0.0);
    } else if (plunger(p, state) == PULLED_IN) {
        /* Nobody hears a click where nothing moves; that it should turn shows at its stud. */
        if (fabs(v) > LIVE_V || live) {
            sl__notice(list, STANDS_STILL, 0.0);
        }
    } else if (live && (p[STUCK] != FREE || !pulls(p, flow))) {
        sl__notice(list, NO_CLICK, 0.0);
    }
}

const sl__kind sl__kind_starter = {
    .about =
        {
            .name = "starter",
            .doc = "A starter with its solenoid, turning an engine. When only the cranking current "
                   "and voltage are known, the other test points follow from them. A 24 V one "
                   "needs cranking_voltage, pull_in, hold and both winding resistances.",
            .law =
                "Motor: v = E + i R, E = flux(i) x speed, torque = flux(i) x i, brushes within "
                "R; flux(i) is constant, or F i / (i + saturation). Drag: a torque at standstill "
                "and one that rises with speed. Solenoid: the currents of both windings add; it "
                "pulls in at the sum that pull_in gives across both, and lets go below the sum "
                "that hold gives across the hold-in winding. For the spin-up time after its "
                "voltage "
                "comes the motor is a resistance, as when it is locked: that is the inrush.",
            .standing = "general physics, through published test points; the saturation curve and "
                        "the straight line of drag are from memory",
            .check = "no-load and locked test points of a 1.4 kW starter: vehicle maker "
                     "service data; winding currents of solenoids: vehicle maker service "
                     "data and US Army TM 5-2420-230-24-2; amperes and volts of drag and of"
                     " resistance: US Army TM 10-3930-671-24",
            SL__TABLES(terminals, params, elements, modes),
            .uses =
                (const sl_use[]){SL_SOLENOID, SL_LOAD_SOLENOID, SL_LOAD_SOLENOID, SL_LOAD_STARTER},
            .reached = SL_TERMINAL_BIT(S) | SL_TERMINAL_BIT(M),
            .lacks = lacks,
            .lack_count = SL__COUNT(lacks),
            SL__NOTICES(notices),
            .states = states,
            .state_count = SL__COUNT(states) - 1,
            .start_param = STARTS,
            .position_param = -1,
            .negative_post = -1,
            .example = "starter \"M1\" { B = \"starter stud\", case = \"engine\", "
                       "S = \"start wire\", cranking_current = \"180 A\" }",
        },
    .complete = complete,
    .laws = laws,
    .wants = wants,
    .delay_s = delay_s,
    .notice = notice,
};
