/* lib/kinds/cable.c: a cable or wire. */
#include "kinds/conductor.h"

static bool complete(double *p, sl__complaint *bad)
{
    return sl__conductor_complete(p, SL__PVC, bad);
}

const sl__kind sl__kind_cable = {
    .about =
        {
            .name = "cable",
            .doc = "A cable or wire from end to end, without its lugs and clamps: those are joints "
                   "of their own.",
            .law = SL__CONDUCTOR_LAW,
            .standing = SL__CONDUCTOR_STANDING,
            .terminals = sl__conductor_terminals,
            .terminal_count = SL__COUNT(sl__conductor_terminals),
            .params = sl__conductor_params,
            .param_count = SL__COUNT(sl__conductor_params),
            .elements = sl__conductor_elements,
            .element_count = SL__COUNT(sl__conductor_elements),
            .modes = sl__conductor_modes,
            .mode_count = SL__COUNT(sl__conductor_modes),
            .notices = sl__conductor_notices,
            .notice_count = SL__COUNT(sl__conductor_notices),
            .start_param = -1,
            .position_param = -1,
            .negative_post = -1,
            .example = "cable \"C1\" { \"B1 +\", \"starter stud\", size = \"35 mm2\", "
                       "length = \"1.2 m\" }",
        },
    .complete = complete,
    .laws = sl__conductor_laws,
    .trim = sl__conductor_trim,
    .trim_param = SL__CONDUCTOR_METAL_TEMPERATURE,
    .notice = sl__conductor_notice,
};
