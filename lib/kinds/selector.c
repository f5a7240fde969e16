/* lib/kinds/selector.c: a battery selector. */
#include "kinds/contacts.h"

enum { POSITION, RESISTANCE };
enum { COMMON, BATTERY_1, BATTERY_2 };
enum { TO_1, TO_2 };
enum { OFF, ONLY_1, ONLY_2, BOTH };

static const sl_terminal terminals[] = {
    [COMMON] = {"common", false, "the loads, or the starter"},
    [BATTERY_1] = {"1", false, "the first battery"},
    [BATTERY_2] = {"2", false, "the second battery"},
};

static const char *const positions[] = {"off", "1", "2", "both", NULL};

static const sl_param params[] = {
    [POSITION] = {"position", SL_CHOICE, SL_DEFAULT, OFF, OFF, BOTH, positions,
                  "the battery that feeds common", "at rest; " SL__PRACTICE},
    [RESISTANCE] = SL__CONTACTS_RESISTANCE_ROW(
        0.3e-3, "from memory; 0.1 V at 300 A, what a US Army TM allows a mechanical switch"),
};

static const sl_element elements[] = {
    [TO_1] = {"to 1", BATTERY_1, COMMON, "closed on 1 and on both"},
    [TO_2] = {"to 2", BATTERY_2, COMMON, "closed on 2 and on both"},
};

static const sl_mode modes[] = {
    {"burned contact 1", SL_SERIES, TO_1, 1e-3, 1.0, "turned under load, or loose inside",
     SL__PRACTICE},
    {"burned contact 2", SL_SERIES, TO_2, 1e-3, 1.0, "turned under load, or loose inside",
     SL__PRACTICE},
    {"contact 1 open", SL_OPEN, TO_1, 0.0, 0.0, "does not feed from 1", SL__PRACTICE},
    {"contact 2 open", SL_OPEN, TO_2, 0.0, 0.0, "does not feed from 2", SL__PRACTICE},
};

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    (void)state;
    const int position = (int)p[POSITION];
    if (position == ONLY_1 || position == BOTH) {
        sl__law_resistor(&law[TO_1], p[RESISTANCE]);
    }
    if (position == ONLY_2 || position == BOTH) {
        sl__law_resistor(&law[TO_2], p[RESISTANCE]);
    }
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    (void)p;
    (void)state;
    sl__contacts_notice(flow, SL__COUNT(elements), SL__CONTACTS_HEAVY_V, list);
}

const sl__kind sl__kind_selector = {
    .about =
        {
            .name = "selector",
            .doc = "A battery selector: joins the loads to battery 1, battery 2, both or none. On "
                   "both, the batteries are joined too, and the fuller one charges the other "
                   "through it.",
            .law = SL__CONTACTS_LAW,
            .standing = SL__CONTACTS_STANDING,
            .check = "none published; which contacts close in each position, by hand",
            SL__TABLES(terminals, params, elements, modes),
            .uses = (const sl_use[]){SL_HAND_SWITCH, SL_HAND_SWITCH},
            SL__NOTICES(sl__contacts_notices),
            .start_param = -1,
            .position_param = POSITION,
            .negative_post = -1,
            .example = "selector \"SEL\" { common = \"panel +\", [\"1\"] = \"battery 1 +\", "
                       "[\"2\"] = \"battery 2 +\", position = \"1\" }",
        },
    .laws = laws,
    .notice = notice,
};
