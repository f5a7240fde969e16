/* lib/kinds/sensing_relay.c: a split-charge relay that joins two batteries while one is charged. */
#include "kinds/kind.h"

#include <math.h>

enum {
    SENSING,
    CLOSES,
    OPENS,
    CONTACT_RESISTANCE,
    COIL_RESISTANCE,
    IDLE_RESISTANCE,
    CLOSE_TIME,
    OPEN_TIME,
    STUCK,
    STARTS
};
enum { MAIN, AUX, GROUND };
enum { CONTACTS, MAIN_INPUT, AUX_INPUT };
enum { OPENED, CLOSED };
enum { MAIN_ONLY, EITHER };
enum { FREE, STUCK_OPEN, STUCK_CLOSED };
enum { NOTICE_CLOSED };

static const sl_terminal terminals[] = {
    [MAIN] = {"main", false, "the side of the alternator and its battery; feeds the coil"},
    [AUX] = {"aux", false, "the side of the auxiliary battery"},
    [GROUND] = {"ground", false, "the return of coil and sensing"},
};

static const char *const sensing_choices[] = {"main", "either", NULL};
static const char *const stuck_choices[] = {"free", "open", "closed", NULL};
static const char *const states[] = {"open", "closed", NULL};

static const sl_param params[] = {
    [SENSING] = {"sensing", SL_CHOICE, SL_DEFAULT, MAIN_ONLY, MAIN_ONLY, EITHER, sensing_choices,
                 "main: it watches main against ground; either: the higher of main and aux",
                 SL__PRACTICE},
    [CLOSES] = {"closes", SL_VOLTAGE, SL_DEFAULT, 13.5, 1.0, 60.0, NULL,
                "from which it closes; 27 V for 24 V",
                "common practice, no source: 13.3 to 13.7 V"},
    [OPENS] = {"opens", SL_VOLTAGE, SL_DEFAULT, 12.8, 1.0, 60.0, NULL,
               "below which it opens; 25.6 V for 24 V", "common practice, no source: about 12.8 V"},
    [CONTACT_RESISTANCE] = {"contact_resistance", SL_RESISTANCE, SL_DEFAULT, 1e-3, 0.0, 10.0, NULL,
                            "of the closed contacts", SL__FROM_MEMORY},
    [COIL_RESISTANCE] = {"coil_resistance", SL_RESISTANCE, SL_DEFAULT, 60.0, 0.1, 1e6, NULL,
                         "from main to ground while it is closed",
                         "from memory: 0.2 A; a continuous-duty solenoid takes up to 1 A"},
    [IDLE_RESISTANCE] = {"idle_resistance", SL_RESISTANCE, SL_DEFAULT, 5e3, 10.0, 1e8, NULL,
                         "of what senses, from main to ground while it is open, and from aux to "
                         "ground when that is sensed too",
                         "from memory: 2.5 mA"},
    [CLOSE_TIME] = {"close_time", SL_TIME, SL_DEFAULT, 5.0, 1e-6, 3600.0, NULL,
                    "the voltage must stand before it closes", SL__FROM_MEMORY},
    [OPEN_TIME] = {"open_time", SL_TIME, SL_DEFAULT, 10.0, 1e-6, 3600.0, NULL,
                   "the voltage must be too low before it opens", SL__FROM_MEMORY},
    [STUCK] = {"stuck", SL_CHOICE, SL_DEFAULT, FREE, FREE, STUCK_CLOSED, stuck_choices,
               "a relay that stays where it is whatever the voltage does", SL__SOUND},
    [STARTS] = {"starts", SL_CHOICE, SL_DEFAULT, OPENED, OPENED, CLOSED, states,
                "its state before the condition is set up", SL__STARTS},
};

static const sl_element elements[] = {
    [CONTACTS] = {"contacts", MAIN, AUX, "closed while it senses charging"},
    [MAIN_INPUT] = {"coil", MAIN, GROUND, "coil and sensing of the main side"},
    [AUX_INPUT] = {"aux input", AUX, GROUND, "sensing of the auxiliary side"},
};

static const sl_mode modes[] = {
    {"burned contacts", SL_SERIES, CONTACTS, 1e-3, 1.0, "pitted or burnt contacts", SL__PRACTICE},
    {"contacts open", SL_OPEN, CONTACTS, 0.0, 0.0, "it clicks and joins nothing", SL__PRACTICE},
    {"no ground", SL_OPEN, MAIN_INPUT, 0.0, 0.0, "its ground or sense wire is off: it never closes",
     SL__PRACTICE},
    {"poor ground", SL_SERIES, MAIN_INPUT, 1.0, 500.0,
     "a poor contact in the way of the coil: it senses too little", SL__PRACTICE},
    {"stuck open", SL_SET, STUCK, STUCK_OPEN, STUCK_OPEN, "it never closes", SL__PRACTICE},
    {"stuck closed", SL_SET, STUCK, STUCK_CLOSED, STUCK_CLOSED,
     "the contacts are welded: loads of one side empty both batteries", SL__PRACTICE},
};

static const sl_notice_def notices[] = {
    [NOTICE_CLOSED] = {"closed", SL_NUMBER, "closed"},
    SL__HOT_SPOT_ROW,
};

/* Where the contacts are: stuck ones do not follow the state. */
static int32_t contacts(const double *p, int32_t state)
{
    if (p[STUCK] == FREE) {
        return state;
    }
    return p[STUCK] == STUCK_CLOSED ? CLOSED : OPENED;
}

static double main_ohm(const double *p, int32_t state)
{
    return contacts(p, state) == CLOSED ? p[COIL_RESISTANCE] : p[IDLE_RESISTANCE];
}

static bool complete(double *p, sl__complaint *bad)
{
    if (p[OPENS] >= p[CLOSES]) {
        *bad = (sl__complaint){OPENS, "must be below `closes`, or it could never stay closed"};
        return false;
    }
    return true;
}

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    if (contacts(p, state) == CLOSED) {
        sl__law_resistor(&law[CONTACTS], p[CONTACT_RESISTANCE]);
    }
    sl__law_resistor(&law[MAIN_INPUT], main_ohm(p, state));
    if (p[SENSING] == EITHER) {
        sl__law_resistor(&law[AUX_INPUT], p[IDLE_RESISTANCE]);
    }
}

static int32_t wants(const double *p, double ambient_c, int32_t state, const sl__flow *flow)
{
    (void)ambient_c;
    if (p[STUCK] != FREE) {
        return contacts(p, state);
    }
    /* From the currents, so that an input with a broken wire senses nothing. */
    const double main_v = flow[MAIN_INPUT].i * main_ohm(p, state);
    const double aux_v = p[SENSING] == EITHER ? flow[AUX_INPUT].i * p[IDLE_RESISTANCE] : main_v;
    const double sensed_v = fmax(main_v, aux_v);
    if (state == OPENED) {
        return sensed_v >= p[CLOSES] ? CLOSED : OPENED;
    }
    return sensed_v < p[OPENS] ? OPENED : CLOSED;
}

static double delay_s(const double *p, int32_t from, int32_t to)
{
    (void)from;
    return to == CLOSED ? p[CLOSE_TIME] : p[OPEN_TIME];
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    (void)flow;
    if (contacts(p, state) == CLOSED) {
        sl__notice(list, NOTICE_CLOSED, 0.0);
    }
}

const sl__kind sl__kind_sensing_relay = {
    .about =
        {
            .name = "sensing_relay",
            .doc = "A voltage-sensing relay for split charging: it joins the auxiliary battery to "
                   "the main one while the voltage says that there is charging. When closing pulls "
                   "the voltage below `opens`, it opens and closes again without end, once in "
                   "close_time and open_time: that is reported as chatter.",
            .law = "It closes when the sensed voltage has stood at `closes` for close_time, and "
                   "opens when it has been below `opens` for open_time. It senses its own inputs: "
                   "their resistances to ground.",
            .standing = "voltages: common practice, no source; resistances and times: from memory",
            .check = "none published; closes at 13.3 to 13.7 V, opens at about 12.8 V: "
                     "common practice, no source",
            SL__TABLES(terminals, params, elements, modes),
            .uses = (const sl_use[]){SL_RELAY_CONTACT, SL_LOAD_COIL, SL_LEAK},
            SL__NOTICES(notices),
            .states = states,
            .state_count = SL__COUNT(states) - 1,
            .start_param = STARTS,
            .position_param = -1,
            .negative_post = -1,
            .example =
                "sensing_relay \"K5\" { main = \"B1 +\", aux = \"B2 +\", ground = \"frame\" }",
        },
    .complete = complete,
    .laws = laws,
    .wants = wants,
    .delay_s = delay_s,
    .notice = notice,
};
