/* lib/kinds/key_switch.c: an ignition and starter switch. */
#include "kinds/contacts.h"

enum { POSITION, RESISTANCE, IGNITION_WHILE_STARTING, ACCESSORY_WHILE_STARTING };
enum { T30, T15, T75, T50 };
enum { ACCESSORY_CONTACT, IGNITION_CONTACT, START_CONTACT };
enum { OFF, ACCESSORY, ON, START };
enum { STAYS_OFF, STAYS_ON };

static const sl_terminal terminals[] = {
    [T30] = {"30", false, "always live, from the battery"},
    [T15] = {"15", false, "ignition: live with the key on"},
    [T75] = {"75", true, "accessories"},
    [T50] = {"50", true, "start: live while the key is held at start"},
};

static const char *const positions[] = {"off", "accessory", "on", "start", NULL};
static const char *const while_starting[] = {"off", "on", NULL};

static const sl_param params[] = {
    [POSITION] = {"position", SL_CHOICE, SL_DEFAULT, OFF, OFF, START, positions, "where the key is",
                  "at rest; " SL__PRACTICE},
    [RESISTANCE] = SL__CONTACTS_RESISTANCE_ROW(5e-3, SL__PRACTICE),
    [IGNITION_WHILE_STARTING] =
        {"ignition_while_starting", SL_CHOICE, SL_DEFAULT, STAYS_ON, STAYS_OFF, STAYS_ON,
         while_starting, "whether 15 stays live at start, as it must for the engine to fire",
         SL__PRACTICE},
    [ACCESSORY_WHILE_STARTING] =
        {"accessory_while_starting", SL_CHOICE, SL_DEFAULT, STAYS_OFF, STAYS_OFF, STAYS_ON,
         while_starting,
         "whether 75 stays live at start; usually it does not, to spare the battery", SL__PRACTICE},
};

static const sl_element elements[] = {
    [ACCESSORY_CONTACT] = {"accessory contact", T30, T75, "closed in accessory and on"},
    [IGNITION_CONTACT] = {"ignition contact", T30, T15, "closed in on and start"},
    [START_CONTACT] = {"start contact", T30, T50, "closed in start"},
};

static const sl_mode modes[] = {
    {"worn start contact", SL_SERIES, START_CONTACT, 10e-3, 100.0,
     "burned or dirty: too little reaches the start circuit", SL__PRACTICE},
    {"worn ignition contact", SL_SERIES, IGNITION_CONTACT, 10e-3, 100.0, "burned or dirty",
     SL__PRACTICE},
    {"worn accessory contact", SL_SERIES, ACCESSORY_CONTACT, 10e-3, 100.0, "burned or dirty",
     SL__PRACTICE},
    {"no start", SL_OPEN, START_CONTACT, 0.0, 0.0, "the start contact does not close",
     SL__PRACTICE},
    {"no ignition", SL_OPEN, IGNITION_CONTACT, 0.0, 0.0, "the ignition contact does not close",
     SL__PRACTICE},
    {"no ignition at start", SL_SET, IGNITION_WHILE_STARTING, STAYS_OFF, STAYS_OFF,
     "15 goes dead while the key is held at start: it cranks and fires only when the key is let go",
     SL__PRACTICE},
    {"stuck at start", SL_SET, POSITION, START, START,
     "does not spring back: the starter stays fed", SL__PRACTICE},
};

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    (void)state;
    const int position = (int)p[POSITION];
    const bool starting = position == START;
    const bool closed[] = {
        [ACCESSORY_CONTACT] = position == ACCESSORY || position == ON ||
                              (starting && (int)p[ACCESSORY_WHILE_STARTING] == STAYS_ON),
        [IGNITION_CONTACT] =
            position == ON || (starting && (int)p[IGNITION_WHILE_STARTING] == STAYS_ON),
        [START_CONTACT] = starting,
    };
    for (int32_t n = 0; n < SL__COUNT(closed); n++) {
        if (closed[n]) {
            sl__law_resistor(&law[n], p[RESISTANCE]);
        }
    }
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    (void)p;
    (void)state;
    sl__contacts_notice(flow, SL__COUNT(elements), 0.0, list);
}

const sl__kind sl__kind_key_switch = {
    .about =
        {
            .name = "key_switch",
            .doc = "An ignition and starter switch. Its terminals have the numbers of DIN 72552: "
                   "30 comes from the battery, 75 feeds what works in accessory, 15 feeds what "
                   "works with the key on, 50 feeds the start circuit. Quote them: [\"30\"] = "
                   "\"node\". Springs back from start to on.",
            .law = SL__CONTACTS_LAW,
            .standing = SL__CONTACTS_STANDING,
            .check = "none published; which contacts close in each position, by hand",
            SL__TABLES(terminals, params, elements, modes),
            .uses = (const sl_use[]){SL_HAND_SWITCH, SL_HAND_SWITCH, SL_HAND_SWITCH},
            SL__NOTICES(sl__contacts_notices),
            .start_param = -1,
            .position_param = POSITION,
            .negative_post = -1,
            .example = "key_switch \"KEY\" { [\"30\"] = \"main fuse out\", [\"15\"] = \"ignition "
                       "feed\", [\"50\"] = \"start feed\" }",
        },
    .laws = laws,
    .notice = notice,
};
