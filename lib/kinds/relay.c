/* lib/kinds/relay.c: a relay: a coil that moves a contact, and lets it go at a lower current. */
#include <math.h>

#include "kinds/heat.h"

#define COPPER_PER_K 0.00393 /* of the resistance at 20 C */

enum {
    COIL_RESISTANCE,
    PULL_IN,
    DROP_OUT,
    CONTACT_RESISTANCE,
    REST_RESISTANCE,
    SUPPRESSOR,
    TEMPERATURE,
    OPERATE_TIME,
    RELEASE_TIME,
    STUCK,
    STARTS
};
enum { T30, T87, T86, T85, T87A };
enum { CONTACTS, COIL, REST_CONTACT, SUPPRESSOR_PATH };
enum { RELEASED, PULLED_IN };
enum { FREE, STUCK_OPEN, STUCK_CLOSED };
enum { NOTICE_PULLED_IN, LIVE, OVERDRIVEN, HOT };

static const sl_terminal terminals[] = {
    [T30] = {"30", false, "feed of the contacts"},
    [T87] = {"87", false, "load: joined to 30 when pulled in"},
    [T86] = {"86", false, "one end of the coil"},
    [T85] = {"85", false, "the other end of the coil; either may be positive"},
    [T87A] = {"87a", true, "rest contact of a change-over relay: joined to 30 when released"},
};

static const char *const stuck_choices[] = {"free", "open", "closed", NULL};
static const char *const states[] = {"released", "pulled in", NULL};

static const sl_param params[] = {
    [COIL_RESISTANCE] = {"coil_resistance", SL_RESISTANCE, SL_DEFAULT, 85.0, 1e-2, 1e5, NULL,
                         "of the coil at 20 C, without a suppressor; a 24 V relay: 255 ohm",
                         "data sheet of a 12 V mini ISO relay (24 V type of the same: 255 ohm)"},
    [PULL_IN] = {"pull_in", SL_VOLTAGE, SL_DEFAULT, 8.0, 0.1, 60.0, NULL,
                 "at the coil, at 20 C, from which it pulls in; a 24 V relay: 16 V",
                 "data sheet of a 12 V mini ISO relay: at most 8.0 V (24 V type: 16.0 V)"},
    [DROP_OUT] = {"drop_out", SL_VOLTAGE, SL_DEFAULT, 1.5, 0.01, 60.0, NULL,
                  "at the coil, at 20 C, below which it lets go; a 24 V relay: 3 V",
                  "data sheet of a 12 V mini ISO relay: at least 1.5 V (24 V type: 3.0 V)"},
    [CONTACT_RESISTANCE] = {"contact_resistance", SL_RESISTANCE, SL_DEFAULT, 1.5e-3, 0.0, 1e3, NULL,
                            "of the closed contacts 30 to 87",
                            "data sheet of a mini ISO relay: 15 mV at 10 A"},
    [REST_RESISTANCE] = {"rest_resistance", SL_RESISTANCE, SL_DEFAULT, 2e-3, 0.0, 1e3, NULL,
                         "of the closed rest contact 30 to 87a",
                         "data sheet of a mini ISO relay: 20 mV at 10 A"},
    [SUPPRESSOR] = {"suppressor", SL_RESISTANCE, SL_DEFAULT, SL__NAN, 1.0, 1e6, NULL,
                    "resistor across the coil, 680 ohm for instance; none when not given", ""},
    [TEMPERATURE] = {"temperature", SL_TEMPERATURE, SL_DEFAULT, SL__NAN, -60.0, 200.0, NULL,
                     "of the coil, when not that of the surroundings", ""},
    [OPERATE_TIME] = {"operate_time", SL_TIME, SL_DEFAULT, 7e-3, 1e-6, 60.0, NULL,
                      "from enough current to closed contacts", SL__FROM_MEMORY},
    [RELEASE_TIME] = {"release_time", SL_TIME, SL_DEFAULT, 3e-3, 1e-6, 60.0, NULL,
                      "from too little current to open contacts", SL__FROM_MEMORY},
    [STUCK] = {"stuck", SL_CHOICE, SL_DEFAULT, FREE, FREE, STUCK_CLOSED, stuck_choices,
               "a relay that stays where it is whatever the coil does", SL__SOUND},
    [STARTS] = {"starts", SL_CHOICE, SL_DEFAULT, RELEASED, RELEASED, PULLED_IN, states,
                "its state before the condition is set up", SL__STARTS},
};

static const sl_usual usual[] = {{SUPPRESSOR, 680.0}};

static const sl_element elements[] = {
    [CONTACTS] = {"contacts", T30, T87, "closed when pulled in"},
    [COIL] = {"coil", T86, T85, "copper"},
    [REST_CONTACT] = {"rest contact", T30, T87A, "closed when released"},
    [SUPPRESSOR_PATH] = {"suppressor", T86, T85, "resistor across the coil"},
};

static const sl_lack lacks[] = {
    {SUPPRESSOR, SL__NAN, SL_LACKS_ELEMENT, SUPPRESSOR_PATH},
};

static const sl_mode modes[] = {
    {"coil open", SL_OPEN, COIL, 0.0, 0.0, "a broken coil wire or a coil pin without contact",
     SL__PRACTICE},
    {"coil high", SL_SERIES, COIL, 5.0, 500.0, "a poor contact in the way of the coil",
     SL__PRACTICE},
    {"contacts open", SL_OPEN, CONTACTS, 0.0, 0.0, "burnt away: it clicks and nothing is fed",
     SL__PRACTICE},
    {"burned contacts", SL_SERIES, CONTACTS, 10e-3, 10.0, "pitted or burnt contacts", SL__PRACTICE},
    {"rest contact open", SL_OPEN, REST_CONTACT, 0.0, 0.0, "87a does not connect at rest",
     SL__PRACTICE},
    {"stuck open", SL_SET, STUCK, STUCK_OPEN, STUCK_OPEN, "the armature is jammed at rest",
     SL__PRACTICE},
    {"stuck closed", SL_SET, STUCK, STUCK_CLOSED, STUCK_CLOSED, "the contacts are welded together",
     SL__PRACTICE},
};

static const sl_notice_def notices[] = {
    [NOTICE_PULLED_IN] = {"pulled in", SL_NUMBER, "pulled in"},
    [LIVE] = {"live", SL_VOLTAGE, "coil live with @, not pulled in"},
    [OVERDRIVEN] = {"overdriven", SL_VOLTAGE, "coil at @, far more than it is made for"},
    [HOT] = {"hot", SL_POWER, "hot: @ in its contacts"},
};

static const double LIVE_V = 1.0; /* at the coil: somebody wants it to pull in */
/* Times pull_in: relays are made for 1.5 to 1.9 times it, and a battery that charges has 1.2 times
   its voltage; a 12 V relay on 24 V has 3. */
static const double OVERDRIVEN_FROM = 2.75;

/* Where the armature is: a stuck one does not follow its state. */
static int32_t armature(const double *p, int32_t state)
{
    if (p[STUCK] == FREE) {
        return state;
    }
    return p[STUCK] == STUCK_CLOSED ? PULLED_IN : RELEASED;
}

static bool complete(double *p, sl__complaint *bad)
{
    if (p[DROP_OUT] >= p[PULL_IN]) {
        *bad = (sl__complaint){DROP_OUT, "must be below `pull_in`, or it could never stay closed"};
        return false;
    }
    return true;
}

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    double celsius = sl__temperature_or(p[TEMPERATURE], ambient_c);
    sl__law_resistor(&law[COIL], p[COIL_RESISTANCE] * (1.0 + COPPER_PER_K * (celsius - 20.0)));
    if (armature(p, state) == PULLED_IN) {
        sl__law_resistor(&law[CONTACTS], p[CONTACT_RESISTANCE]);
    } else {
        sl__law_resistor(&law[REST_CONTACT], p[REST_RESISTANCE]);
    }
    if (!isnan(p[SUPPRESSOR])) {
        sl__law_resistor(&law[SUPPRESSOR_PATH], p[SUPPRESSOR]);
    }
}

/* Ampere-turns move the armature. The thresholds are volts at 20 C, so the current counts as the
   volts it would take at 20 C; a hot coil needs more of them. */
static double drive(const double *p, const sl__flow *flow)
{
    return fabs(flow[COIL].i) * p[COIL_RESISTANCE];
}

static int32_t wants(const double *p, double ambient_c, int32_t state, const sl__flow *flow)
{
    (void)ambient_c;
    if (p[STUCK] != FREE) {
        return armature(p, state);
    }
    double drive_v = drive(p, flow);
    if (state == RELEASED) {
        return drive_v >= p[PULL_IN] ? PULLED_IN : RELEASED;
    }
    return drive_v < p[DROP_OUT] ? RELEASED : PULLED_IN;
}

static double delay_s(const double *p, int32_t from, int32_t to)
{
    (void)from;
    return to == PULLED_IN ? p[OPERATE_TIME] : p[RELEASE_TIME];
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    /* One that is about to pull in chatters, which is said elsewhere. */
    bool about_to = p[STUCK] == FREE && drive(p, flow) >= p[PULL_IN];
    double watts = sl__contact_hot(&flow[CONTACTS]) + sl__contact_hot(&flow[REST_CONTACT]);
    if (armature(p, state) == PULLED_IN) {
        sl__notice(list, NOTICE_PULLED_IN, 0.0);
    } else if (fabs(flow[COIL].v) > LIVE_V && !about_to) {
        sl__notice(list, LIVE, fabs(flow[COIL].v));
    }
    if (fabs(flow[COIL].v) > OVERDRIVEN_FROM * p[PULL_IN]) {
        sl__notice(list, OVERDRIVEN, fabs(flow[COIL].v));
    }
    if (watts > 0.0) {
        sl__notice(list, HOT, watts);
    }
}

const sl__kind sl__kind_relay = {
    .about =
        {
            .name = "relay",
            .doc = "A relay with a make contact, and a rest contact when it changes over. Quote "
                   "its terminals: [\"87a\"] = \"node\". The defaults are a 12 V mini ISO relay; "
                   "a 24 V one has coil_resistance = \"255 ohm\", pull_in = \"16 V\", "
                   "drop_out = \"3 V\". A contactor is one too, for instance coil_resistance = "
                   "\"20 ohm\", pull_in = \"8 V\", drop_out = \"3 V\", contact_resistance = "
                   "\"0.3 mohm\".",
            .law = "The coil is copper: R = R20 (1 + 0.00393 (T - 20)). It pulls in when the coil "
                   "current times R20 reaches pull_in, and lets go when it falls below drop_out; "
                   "the polarity does not matter.",
            .standing =
                "general physics; numbers from relay data sheets, those of a contactor "
                "from memory; a coil is called overdriven above 2.75 times pull_in, from the 54 to "
                "67 % of their voltage at which those relays operate; " SL__CONTACT_HOT,
            .check = "coil current, operate and release voltage of ten relays from makers' "
                     "data sheets",
            SL__TABLES(terminals, params, elements, modes),
            .usual = usual,
            .usual_count = SL__COUNT(usual),
            .uses =
                (const sl_use[]){SL_RELAY_CONTACT, SL_LOAD_COIL, SL_RELAY_CONTACT, SL_LOAD_COIL},
            .lacks = lacks,
            .lack_count = SL__COUNT(lacks),
            SL__NOTICES(notices),
            .states = states,
            .state_count = SL__COUNT(states) - 1,
            .start_param = STARTS,
            .position_param = -1,
            .negative_post = -1,
            .example = "relay \"K1\" { [\"30\"] = \"fuse out\", [\"87\"] = \"horn feed\", "
                       "[\"86\"] = \"horn button\", [\"85\"] = \"body\" }",
        },
    .complete = complete,
    .laws = laws,
    .wants = wants,
    .delay_s = delay_s,
    .notice = notice,
};
