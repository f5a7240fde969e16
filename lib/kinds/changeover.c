/* lib/kinds/changeover.c: one terminal joined to one of two. */
#include "kinds/contacts.h"

enum { POSITION, RESISTANCE };
enum { COMMON, A, B };
enum { TO_A, TO_B };
enum { AT_A, AT_B, OFF };

static const sl_terminal terminals[] = {
    [COMMON] = {"common", false, "the terminal that is switched over"},
    [A] = {"a", false, "joined to common in position a"},
    [B] = {"b", false, "joined to common in position b"},
};

static const char *const positions[] = {"a", "b", "off", NULL};

static const sl_param params[] = {
    [POSITION] = {"position", SL_CHOICE, SL_DEFAULT, AT_A, AT_A, OFF, positions,
                  "the terminal that common is joined to; off: neither, for one with a middle "
                  "position",
                  SL__PRACTICE},
    [RESISTANCE] = SL__CONTACTS_RESISTANCE_ROW(5e-3, SL__PRACTICE),
};

static const sl_element elements[] = {
    [TO_A] = {"to a", COMMON, A, "closed in position a"},
    [TO_B] = {"to b", COMMON, B, "closed in position b"},
};

static const sl_mode modes[] = {
    {"stuck at a", SL_SET, POSITION, AT_A, AT_A, "does not leave a when it is worked",
     SL__PRACTICE},
    {"stuck at b", SL_SET, POSITION, AT_B, AT_B, "does not leave b when it is worked",
     SL__PRACTICE},
    {"burned contact a", SL_SERIES, TO_A, 1e-3, 100.0, "burned or dirty", SL__PRACTICE},
    {"burned contact b", SL_SERIES, TO_B, 1e-3, 100.0, "burned or dirty", SL__PRACTICE},
};

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    (void)state;
    const int position = (int)p[POSITION];
    if (position != OFF) {
        sl__law_resistor(&law[position == AT_A ? TO_A : TO_B], p[RESISTANCE]);
    }
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    (void)p;
    (void)state;
    sl__contacts_notice(flow, SL__COUNT(elements), 0.0, list);
}

const sl__kind sl__kind_changeover = {
    .about =
        {
            .name = "changeover",
            .doc = "A switch that joins one terminal to one of two others: a dip switch, a turn "
                   "signal switch, a change-over of pumps.",
            .law = SL__CONTACTS_LAW,
            .standing = SL__CONTACTS_STANDING,
            .check = "none published; which contacts close in each position, by hand",
            SL__TABLES(terminals, params, elements, modes),
            .uses = (const sl_use[]){SL_HAND_SWITCH, SL_HAND_SWITCH},
            SL__NOTICES(sl__contacts_notices),
            .start_param = -1,
            .position_param = POSITION,
            .negative_post = -1,
            .example = "changeover \"DIP\" { common = \"light switch out\", a = \"low beam feed\", "
                       "b = \"high beam feed\", position = \"a\" }",
        },
    .laws = laws,
    .notice = notice,
};
