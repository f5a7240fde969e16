/* lib/kinds/joint.c: a place where two conductors touch. */
#include <math.h>

#include "kinds/heat.h"

enum { TYPE, SURFACE, RESISTANCE };
enum { CONTACT };
enum { BOLTED, POST, CLAMP, LUG, STUD, CRIMP, CONNECTOR };
enum { CLEAN, USED, CORRODED };
enum { HEAT };

static const sl_terminal terminals[] = {
    {"a", false, "one side"},
    {"b", false, "the other side"},
};

static const char *const types[] = {"bolted", "post",  "clamp",     "lug",
                                    "stud",   "crimp", "connector", NULL};

static const char *const surfaces[] = {"clean", "used", "corroded", NULL};

/* By type and surface. */
static const double usual_ohm[][3] = {
    [BOLTED] = {0.1e-3, 0.3e-3, 10e-3}, [POST] = {0.1e-3, 0.3e-3, 10e-3},
    [CLAMP] = {0.05e-3, 0.2e-3, 5e-3},  [LUG] = {0.05e-3, 0.2e-3, 5e-3},
    [STUD] = {0.1e-3, 0.3e-3, 5e-3},    [CRIMP] = {0.5e-3, 2e-3, 20e-3},
    [CONNECTOR] = {3e-3, 10e-3, 50e-3},
};

static const sl_param params[] = {
    [TYPE] = {"type", SL_CHOICE, SL_DEFAULT, BOLTED, BOLTED, CONNECTOR, types,
              "clean and tight: bolted (lug on frame, block or body) 0.1 mohm, post (post to "
              "clamp) 0.1, clamp (clamp to its cable) 0.05, lug (crimped on a heavy cable) 0.05, "
              "stud (lug under a nut) 0.1, crimp (terminal on a wire) 0.5, connector (mated blade "
              "or pin with its crimps) 3 mohm",
              "post: 0.05 to 0.2 mohm from memory; connector: 1 to 5 mohm from memory; the others: "
              "common practice, no source"},
    [SURFACE] = {"surface", SL_CHOICE, SL_DEFAULT, CLEAN, CLEAN, CORRODED, surfaces,
                 "clean: as `type` says; used (years old, dull, still tight) and corroded: bolted "
                 "and post 0.3 and 10 mohm, clamp and lug 0.2 and 5, stud 0.3 and 5, crimp 2 and "
                 "20, connector 10 and 50 mohm",
                 "used connector: end of test of a class of sealed connectors, from memory; the "
                 "others: common practice, no source; corroded ones differ by a factor of ten "
                 "either way"},
    [RESISTANCE] = {"resistance", SL_RESISTANCE, SL_DERIVED, SL__NAN, 0.0, 1e9, NULL,
                    "its resistance, instead of the one of `type` and `surface`; 0 joins the two "
                    "nodes into one",
                    "that of a joint of its `type` and `surface`"},
};

static const sl_element elements[] = {
    [CONTACT] = {"contact", 0, 1, "where the metals touch"},
};

static const sl_mode modes[] = {
    {"corroded", SL_SERIES, CONTACT, 1e-3, 10.0, "rust, paint or green crust between the metals",
     SL__PRACTICE},
    {"loose", SL_SERIES, CONTACT, 1e-3, 1.0, "not tightened; changes when it is moved",
     SL__PRACTICE},
    {"open", SL_OPEN, CONTACT, 0.0, 0.0, "off, or not touching at all", SL__PRACTICE},
};

static const sl_notice_def notices[] = {
    [HEAT] = {"heat", SL_POWER, "hot: @ in the joint"},
};

static bool complete(double *p, sl__complaint *bad)
{
    (void)bad;
    if (isnan(p[RESISTANCE])) {
        p[RESISTANCE] = usual_ohm[(int)p[TYPE]][(int)p[SURFACE]];
    }
    return true;
}

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    (void)state;
    sl__law_resistor(&law[CONTACT], p[RESISTANCE]);
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    (void)p;
    (void)state;
    const double watts = sl__contact_hot(&flow[CONTACT]);
    if (watts > 0.0) {
        sl__notice(list, HEAT, watts);
    }
}

const sl__kind sl__kind_joint = {
    .about =
        {
            .name = "joint",
            .doc = "A place where two conductors touch: each is a point a meter lead can reach on "
                   "its own.",
            .law = "v = i R",
            .standing = "Ohm's law; " SL__CONTACT_HOT,
            .check = "a manual's 0.0 V on a scale of 1 V over each good connection while "
                     "cranking, for types up to 0.1 mohm; the other types: none published",
            SL__TABLES(terminals, params, elements, modes),
            .uses = (const sl_use[]){SL_CONNECTION},
            SL__NOTICES(notices),
            .start_param = -1,
            .position_param = -1,
            .negative_post = -1,
            .example = "joint \"J1\" { \"B1 -\", \"clamp\", type = \"post\" }",
        },
    .complete = complete,
    .laws = laws,
    .notice = notice,
};
