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
            SL__CONDUCTOR_ABOUT,
            .example = "cable \"C1\" { \"B1 +\", \"starter stud\", size = \"35 mm2\", "
                       "length = \"1.2 m\" }",
        },
    .complete = complete,
    SL__CONDUCTOR_DOES,
};
