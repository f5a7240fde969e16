/* lib/kinds/strap.c: a ground strap or bus bar. */
#include "kinds/conductor.h"

static bool complete(double *p, sl__complaint *bad)
{
    return sl__conductor_complete(p, SL__BARE, bad);
}

const sl__kind sl__kind_strap = {
    .about =
        {
            .name = "strap",
            .doc = "A ground strap, braid, bus bar or strip of body metal, without the joints at "
                   "its ends.",
            SL__CONDUCTOR_ABOUT,
            .example = "strap \"G1\" { \"engine block\", \"frame\", size = \"25 mm2\", "
                       "length = \"0.3 m\", material = \"tinned copper\" }",
        },
    .complete = complete,
    SL__CONDUCTOR_DOES,
};
