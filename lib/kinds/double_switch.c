/* lib/kinds/double_switch.c: two pairs of contacts worked together. */
#include "kinds/contacts.h"

enum { POSITION, RESISTANCE };
enum { A1, B1, A2, B2 };
enum { FIRST, SECOND };
enum { OPEN, CLOSED };

static const sl_terminal terminals[] = {
    [A1] = {"a1", false, "first pair, one side"},
    [B1] = {"b1", false, "first pair, the other side"},
    [A2] = {"a2", false, "second pair, one side"},
    [B2] = {"b2", false, "second pair, the other side"},
};

static const char *const positions[] = {"open", "closed", NULL};

static const sl_param params[] = {
    [POSITION] = {"position", SL_CHOICE, SL_DEFAULT, OPEN, OPEN, CLOSED, positions,
                  "whether both pairs touch", "at rest; " SL__PRACTICE},
    [RESISTANCE] = SL__CONTACTS_RESISTANCE_ROW(5e-3, SL__PRACTICE),
};

static const sl_element elements[] = {
    [FIRST] = {"first", A1, B1, "the first pair of contacts"},
    [SECOND] = {"second", A2, B2, "the second pair of contacts"},
};

static const sl_mode modes[] = {
    {"stuck open", SL_SET, POSITION, OPEN, OPEN, "does not close when it is worked", SL__PRACTICE},
    {"stuck closed", SL_SET, POSITION, CLOSED, CLOSED, "does not open when it is worked",
     SL__PRACTICE},
    {"first open", SL_OPEN, FIRST, 0.0, 0.0, "the first pair does not close", SL__PRACTICE},
    {"second open", SL_OPEN, SECOND, 0.0, 0.0, "the second pair does not close", SL__PRACTICE},
    {"burned first", SL_SERIES, FIRST, 1e-3, 100.0, "burned or dirty contacts", SL__PRACTICE},
    {"burned second", SL_SERIES, SECOND, 1e-3, 100.0, "burned or dirty contacts", SL__PRACTICE},
};

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    (void)state;
    if ((int)p[POSITION] == CLOSED) {
        sl__law_resistor(&law[FIRST], p[RESISTANCE]);
        sl__law_resistor(&law[SECOND], p[RESISTANCE]);
    }
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    (void)p;
    (void)state;
    sl__contacts_notice(flow, SL__COUNT(elements), 0.0, list);
}

const sl__kind sl__kind_double_switch = {
    .about =
        {
            .name = "double_switch",
            .doc = "Two pairs of contacts worked by one lever: a brake switch with two poles, a "
                   "master switch that parts both sides of a battery.",
            .law = SL__CONTACTS_LAW,
            .standing = SL__CONTACTS_STANDING,
            .check = "none published; which contacts close in each position, by hand",
            SL__TABLES(terminals, params, elements, modes),
            .uses = (const sl_use[]){SL_HAND_SWITCH, SL_HAND_SWITCH},
            SL__NOTICES(sl__contacts_notices),
            .start_param = -1,
            .position_param = POSITION,
            .negative_post = -1,
            .example = "double_switch \"BRAKE\" { \"fuse 7 out\", \"stop lamps +\", \"fuse 8 "
                       "out\", \"brake signal\" }",
        },
    .laws = laws,
    .notice = notice,
};
