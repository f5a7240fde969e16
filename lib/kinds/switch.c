/* lib/kinds/switch.c: a switch with one pair of contacts. */
#include "kinds/kind.h"

#include <math.h>

enum { POSITION, RESISTANCE };
enum { CONTACTS };
enum { OPEN, CLOSED };

static const sl_terminal terminals[] = {
    {"a", false, "one side"},
    {"b", false, "the other side"},
};

static const char *const positions[] = {"open", "closed", NULL};

static const sl_param params[] = {
    [POSITION] = {"position", SL_CHOICE, SL_DEFAULT, OPEN, OPEN, CLOSED, positions,
                  "whether its contacts touch", "at rest; " SL__PRACTICE},
    [RESISTANCE] = {"resistance", SL_RESISTANCE, SL_DEFAULT, 5e-3, 0.0, 1e6, NULL,
                    "of its closed contacts; 0 joins the two nodes into one while it is closed",
                    SL__PRACTICE},
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

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    (void)state;
    if ((int)p[POSITION] == CLOSED) {
        sl__law_resistor(&law[CONTACTS], p[RESISTANCE]);
    }
}

const sl__kind sl__kind_switch = {
    .about =
        {
            .name = "switch",
            .doc = "A switch, button or battery disconnect with one pair of contacts.",
            .law = "closed: v = i R; open: no current at any voltage",
            .standing = "definition",
            .terminals = terminals,
            .terminal_count = SL__COUNT(terminals),
            .params = params,
            .param_count = SL__COUNT(params),
            .elements = elements,
            .element_count = SL__COUNT(elements),
            .modes = modes,
            .mode_count = SL__COUNT(modes),
            .start_param = -1,
            .position_param = POSITION,
            .negative_post = -1,
            .example = "switch \"KEY\" { \"fuse out\", \"key out\", position = \"open\" }",
        },
    .laws = laws,
};
