/* lib/kinds/switch.c: a switch with one pair of contacts. */
#include <math.h>

#include "kinds/contacts.h"

enum { POSITION, STYLE, RESISTANCE };
enum { CONTACTS };
enum { OPEN, CLOSED };
enum { ORDINARY, DISCONNECT };

static const sl_terminal terminals[] = {
    {"a", false, "one side"},
    {"b", false, "the other side"},
};

static const char *const positions[] = {"open", "closed", NULL};

static const char *const styles[] = {"ordinary", "disconnect", NULL};

/* Closed, by style. */
static const double usual_ohm[] = {[ORDINARY] = 5e-3, [DISCONNECT] = 0.3e-3};

static const sl_param params[] = {
    [POSITION] = {"position", SL_CHOICE, SL_DEFAULT, OPEN, OPEN, CLOSED, positions,
                  "whether its contacts touch", "at rest; " SL__PRACTICE},
    [STYLE] = {"style", SL_CHOICE, SL_DEFAULT, ORDINARY, ORDINARY, DISCONNECT, styles,
               "ordinary: a switch or button, 5 mohm; disconnect: a battery master switch with its "
               "studs, 0.3 mohm",
               "0.3 mohm: from memory; 0.1 V at 300 A, where a US Army TM allows a mechanical "
               "switch 0.1 V and a disconnect 0.5 V (24 V: 1.0 V) while cranking"},
    [RESISTANCE] = {"resistance", SL_RESISTANCE, SL_DERIVED, SL__NAN, 0.0, 1e6, NULL,
                    "of its closed contacts; 0 joins the two nodes into one while it is closed",
                    "that of its `style`; " SL__PRACTICE},
};

static const sl_element elements[] = {
    [CONTACTS] = {"contacts", 0, 1, "the pair of contacts"},
};

static const sl_mode modes[] = {
    {"stuck open", SL_SET, POSITION, OPEN, OPEN, "does not close when it is worked", SL__PRACTICE},
    {"stuck closed", SL_SET, POSITION, CLOSED, CLOSED, "does not open when it is worked",
     SL__PRACTICE},
    {"burned contacts", SL_SERIES, CONTACTS, 1e-3, 100.0, "burned or dirty contacts", SL__PRACTICE},
};

static bool complete(double *p, sl__complaint *bad)
{
    (void)bad;
    if (isnan(p[RESISTANCE])) {
        p[RESISTANCE] = usual_ohm[(int)p[STYLE]];
    }
    return true;
}

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    (void)state;
    if ((int)p[POSITION] == CLOSED) {
        sl__law_resistor(&law[CONTACTS], p[RESISTANCE]);
    }
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    (void)state;
    sl__contacts_notice(flow, SL__COUNT(elements),
                        (int)p[STYLE] == DISCONNECT ? SL__CONTACTS_HEAVY_V : 0.0, list);
}

const sl__kind sl__kind_switch = {
    .about =
        {
            .name = "switch",
            .doc = "A switch, button or battery disconnect with one pair of contacts. Neutral, "
                   "seat, clutch and power take-off interlocks are switches too, one each, in the "
                   "line they interrupt.",
            .law = SL__CONTACTS_LAW,
            .standing = SL__CONTACTS_STANDING,
            .check = "drop while cranking: a US Army manual's 0.5 V for a disconnect and "
                     "0.1 V for a mechanical switch",
            SL__TABLES(terminals, params, elements, modes),
            .uses = (const sl_use[]){SL_HAND_SWITCH},
            SL__NOTICES(sl__contacts_notices),
            .start_param = -1,
            .position_param = POSITION,
            .negative_post = -1,
            .example = "switch \"KEY\" { \"fuse out\", \"key out\", position = \"open\" }",
        },
    .complete = complete,
    .laws = laws,
    .notice = notice,
};
