/* lib/kinds/dc_motor.c: a motor and what it turns: fan, pump, wiper, window, winch.

   Speeds are counted in rated speeds, so that flux is in volts at rated speed and torque in watts
   at rated speed. */
#include "kinds/motor.h"
#include "kinds/rating.h"

#include <math.h>

enum { CURRENT, VOLTAGE, STALL_CURRENT, LOAD, FIELD, SATURATION, SPEED, DRAG, SEIZED };
enum { MOTOR };
enum { CONSTANT, FAN };
enum { SERIES, MAGNET };
enum { NOT_SEIZED, IS_SEIZED };
enum { TURNS, TURNS_RPM, BACKWARDS, STALLED, STILL };

static const sl_terminal terminals[] = {
    {"a", false, "the feed side"},
    {"b", false, "the ground side"},
};

static const char *const load_choices[] = {"constant", "fan", NULL};
static const char *const field_choices[] = {"series", "magnet", NULL};
static const char *const seized_choices[] = {"no", "yes", NULL};

static const sl_param params[] = {
    [CURRENT] = {"current", SL_CURRENT, SL_REQUIRED, SL__NAN, 1e-3, 1e4, NULL,
                 "with its usual load at `voltage`", ""},
    [VOLTAGE] = {"voltage", SL_VOLTAGE, SL_DEFAULT, 12.0, 1.0, 60.0, NULL,
                 "at which it draws `current` and turns at its rated speed", SL__PRACTICE},
    [STALL_CURRENT] = {"stall_current", SL_CURRENT, SL_DERIVED, SL__NAN, 1e-3, 1e5, NULL,
                       "at `voltage` when it cannot turn",
                       "5 times `current`, from memory: 4 to 8 times"},
    [LOAD] = {"load", SL_CHOICE, SL_DEFAULT, CONSTANT, CONSTANT, FAN, load_choices,
              "what it turns. constant: the same torque at any speed, as a winch, window, wiper or "
              "gear pump. fan: torque that rises with the square of the speed, as a fan or a "
              "centrifugal pump",
              "the law: general physics; 95 % of a constant torque and 10 % of a fan's is there at "
              "standstill, from memory"},
    [FIELD] = {"field", SL_CHOICE, SL_DEFAULT, MAGNET, SERIES, MAGNET, field_choices,
               "what makes the field: a winding in series with the armature, as in a winch, or "
               "magnets",
               SL__PRACTICE},
    [SATURATION] = {"saturation", SL_CURRENT, SL_DERIVED, SL__NAN, 0.0, 1e5, NULL,
                    "current that makes half of the field a large current makes; series field only",
                    "0.55 times `current`, from memory"},
    [SPEED] = {"speed", SL_SPEED, SL_DEFAULT, SL__NAN, 0.1, 1e5, NULL,
               "its rated speed; only to tell its speed in rpm", ""},
    [DRAG] = {"drag", SL_NUMBER, SL_DEFAULT, 1.0, 0.05, 100.0, NULL,
              "the torque it works against, compared with its usual load; 0.05: only its own "
              "bearings",
              SL__SOUND},
    [SEIZED] = {"seized", SL_CHOICE, SL_DEFAULT, NOT_SEIZED, NOT_SEIZED, IS_SEIZED, seized_choices,
                "a motor or load that cannot turn", SL__SOUND},
};

static const sl_usual usual[] = {{SPEED, 3000.0}};

static const sl_element elements[] = {
    [MOTOR] = {"motor", 0, 1, "brushes, armature and field"},
};

static const sl_mode modes[] = {
    {"open", SL_OPEN, MOTOR, 0.0, 0.0, "brushes worn off, a broken wire, or a tripped cut-out",
     SL__PRACTICE},
    {"worn brushes", SL_SERIES, MOTOR, 1e-3, 100.0, "short brushes or a burnt commutator",
     SL__PRACTICE},
    {"dragging", SL_SET, DRAG, 1.2, 5.0, "tight bearings, a bent linkage, ice, or debris",
     SL__PRACTICE},
    {"runs light", SL_SET, DRAG, 0.05, 0.5, "a pump running dry, a blocked fan, a broken drive",
     SL__PRACTICE},
    {"seized", SL_SET, SEIZED, IS_SEIZED, IS_SEIZED, "cannot turn: rusted, frozen or jammed",
     SL__PRACTICE},
};

static const sl_notice_def notices[] = {
    [TURNS] = {"turns", SL_FRACTION, "turns at @ of its speed"},
    [TURNS_RPM] = {"speed", SL_SPEED, "turns at @"},
    [BACKWARDS] = {"backwards", SL_FRACTION, "turns backwards at @ of its speed"},
    [STALLED] = {"stalled", SL_CURRENT, "stalled, takes @"},
    [STILL] = {"stands still", SL_NUMBER, "does not turn"},
    SL__HOT_SPOT_ROW,
};

static const double CONSTANT_AT_REST = 0.95, FAN_AT_REST = 0.10;
static const double TURNING = 0.005; /* of the rated speed: less cannot be told from standstill */
static const double LIVE = 0.02;     /* of the stall current: somebody wants it to turn */

static sl__motor machine(const double *p)
{
    sl__motor motor;
    motor.ohm = p[VOLTAGE] / p[STALL_CURRENT];
    motor.saturation_a = p[FIELD] == MAGNET ? 0.0 : p[SATURATION];
    motor.flux_nm_a =
        (p[VOLTAGE] - p[CURRENT] * motor.ohm) * (1.0 + motor.saturation_a / p[CURRENT]);
    return motor;
}

static bool complete(double *p, sl__complaint *bad)
{
    if (isnan(p[STALL_CURRENT])) {
        p[STALL_CURRENT] = 5.0 * p[CURRENT];
    }
    if (isnan(p[SATURATION])) {
        p[SATURATION] = 0.55 * p[CURRENT];
    }
    if (p[STALL_CURRENT] < 1.01 * p[CURRENT]) {
        *bad = (sl__complaint){STALL_CURRENT,
                               "must be more than `current`: stalled, a motor draws the most"};
        return false;
    }
    if (p[FIELD] == SERIES && p[LOAD] == FAN) {
        *bad = (sl__complaint){FIELD, "a fan load goes with the field of a magnet here; leave out "
                                      "`field`, or take a constant load"};
        return false;
    }
    return true;
}

/* A magnet and a fan: flux i = rest + square w^2 and v = flux w + R i are a quadratic in w. */
enum { OHM, FLUX, TURNS_V, TURNS_A, SQUARE_A };

static void fan(const double *k, double v, double *i, double *slope)
{
    const double left_v = fabs(v) - k[TURNS_V];
    if (!(left_v > 0.0)) {
        *i = v / k[OHM];
        *slope = 1.0 / k[OHM];
        return;
    }
    const double root = sqrt(k[FLUX] * k[FLUX] + 4.0 * k[OHM] * k[SQUARE_A] * left_v);
    const double speed = 2.0 * left_v / (k[FLUX] + root);
    *i = copysign(k[TURNS_A] + k[SQUARE_A] * speed * speed, v);
    *slope = 2.0 * k[SQUARE_A] * speed / root;
}

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    (void)state;
    const sl__motor motor = machine(p);
    const double torque = p[DRAG] * sl__motor_torque(&motor, p[CURRENT]);
    if (p[SEIZED] == IS_SEIZED) {
        sl__law_resistor(&law[MOTOR], motor.ohm);
    } else if (p[LOAD] == FAN) {
        sl__law *drive = &law[MOTOR];
        drive->form = SL__CURVE;
        drive->curve = fan;
        drive->scale_s = p[CURRENT] / p[VOLTAGE];
        drive->k[OHM] = motor.ohm;
        drive->k[FLUX] = motor.flux_nm_a;
        drive->k[TURNS_A] = FAN_AT_REST * torque / motor.flux_nm_a;
        drive->k[TURNS_V] = drive->k[TURNS_A] * motor.ohm;
        drive->k[SQUARE_A] = (1.0 - FAN_AT_REST) * torque / motor.flux_nm_a;
    } else {
        const sl__drag drag = {CONSTANT_AT_REST * torque, (1.0 - CONSTANT_AT_REST) * torque};
        sl__law_motor(&law[MOTOR], &motor, &drag, p[CURRENT] / p[VOLTAGE]);
    }
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    (void)state;
    const sl__motor motor = machine(p);
    const double i = flow[MOTOR].i;
    const double speed = p[SEIZED] == IS_SEIZED ? 0.0 : sl__motor_speed(&motor, flow[MOTOR].v, i);
    if (speed < TURNING) {
        if (fabs(i) > LIVE * p[STALL_CURRENT]) {
            sl__notice(list, STALLED, fabs(i));
        } else if (sl__rating_on(&flow[MOTOR], p[VOLTAGE])) {
            sl__notice(list, STILL, 0.0);
        }
        return;
    }
    sl__notice(list, p[FIELD] == MAGNET && i < 0.0 ? BACKWARDS : TURNS, speed);
    if (!isnan(p[SPEED])) {
        sl__notice(list, TURNS_RPM, speed * p[SPEED]);
    }
}

const sl__kind sl__kind_dc_motor = {
    .about =
        {
            .name = "motor",
            .doc = "A motor and what it turns: fan, pump, wiper, window, winch. Its current at "
                   "the moment of starting is not shown.",
            .law = "v = E + i R, E = flux(i) x speed, torque = flux(i) x i, brushes within R, R = "
                   "voltage / stall_current; flux is constant, or rises with the current and "
                   "saturates. Locked until its torque overcomes what the load has at standstill.",
            .standing = "general physics; the shares of torque at standstill and the saturation "
                        "curve are from memory; " SL__RATING_ON,
            .check = "none published; fan and constant torque against values worked out by "
                     "hand",
            SL__TABLES(terminals, params, elements, modes),
            .usual = usual,
            .usual_count = SL__COUNT(usual),
            .uses = (const sl_use[]){SL_LOAD_OTHER},
            SL__NOTICES(notices),
            .start_param = -1,
            .position_param = -1,
            .negative_post = -1,
            .example = "motor \"M2\" { \"relay out\", \"frame\", current = \"15 A\", load = "
                       "\"fan\" }",
        },
    .complete = complete,
    .laws = laws,
    .notice = notice,
};
