/* lib/kinds/booster_leads.c: a pair of jump leads with a clamp at each end. */
#include "kinds/conductor.h"

#include <math.h>

enum { SIZE, LENGTH, CLAMP_RESISTANCE, MATERIAL, TEMPERATURE, CLAMPS };
enum { DONOR_POSITIVE, DONOR_NEGATIVE, DEAD_POSITIVE, DEAD_GROUND };
enum { POSITIVE_LEAD, NEGATIVE_LEAD };
enum { OFF, ON };
enum { COPPER, ALUMINIUM };
enum { CARRIES };

#define CARRIES_A 1.0 /* less is not worth saying */

/* Metals at 20 C, as for cables: copper 58 MS/m; aluminium from memory. */
static const struct {
    double ohm_m, per_k;
} metals[] = {
    [COPPER] = {1e-6 / 58.0, 0.00393},
    [ALUMINIUM] = {2.8264e-8, 0.00403},
};

static const sl_terminal terminals[] = {
    [DONOR_POSITIVE] = {"donor_positive", false, "on the donor's positive post"},
    [DONOR_NEGATIVE] = {"donor_negative", false, "on the donor's negative post"},
    [DEAD_POSITIVE] = {"dead_positive", false, "on the positive post of the flat battery"},
    [DEAD_GROUND] = {"dead_ground", false,
                     "on bare metal of the dead engine, away from its battery: the last clamp"},
};

static const char *const materials[] = {"copper", "aluminium", NULL};
static const char *const positions[] = {"off", "on", NULL};

static const sl_param params[] = {
    [SIZE] = {"size", SL_AREA, SL_REQUIRED, SL__NAN, 1.0, 240.0, NULL,
              "section of the metal of each lead", ""},
    [LENGTH] = {"length", SL_LENGTH, SL_REQUIRED, SL__NAN, 0.1, 30.0, NULL, "of each lead", ""},
    [CLAMP_RESISTANCE] = {"clamp_resistance", SL_RESISTANCE, SL_DEFAULT, 1e-3, 0.0, 1.0, NULL,
                          "of each of the four clamps on its post",
                          "from memory: a spring clamp on clean metal 0.5 to 2 mohm"},
    [MATERIAL] = {"material", SL_CHOICE, SL_DEFAULT, COPPER, COPPER, ALUMINIUM, materials,
                  "the metal; cheap leads are copper-clad aluminium, nearly that of aluminium",
                  SL__PRACTICE},
    [TEMPERATURE] = {"temperature", SL_TEMPERATURE, SL_DEFAULT, SL__NAN, -60.0, 200.0, NULL,
                     "of the metal; that of the circuit when not given", "the circuit's"},
    [CLAMPS] = {"clamps", SL_CHOICE, SL_DEFAULT, ON, OFF, ON, positions, "whether they are put on",
                SL__CONNECTED},
};

static const sl_element elements[] = {
    [POSITIVE_LEAD] = {"positive lead", DONOR_POSITIVE, DEAD_POSITIVE, "red, with both its clamps"},
    [NEGATIVE_LEAD] = {"negative lead", DONOR_NEGATIVE, DEAD_GROUND, "black, with both its clamps"},
};

static const sl_mode modes[] = {
    {"positive open", SL_OPEN, POSITIVE_LEAD, 0.0, 0.0, "a clamp that is off, or a broken lead",
     SL__PRACTICE},
    {"negative open", SL_OPEN, NEGATIVE_LEAD, 0.0, 0.0, "a clamp that is off, or a broken lead",
     SL__PRACTICE},
    {"poor positive clamp", SL_SERIES, POSITIVE_LEAD, 1e-3, 1.0, "teeth on paint or dirt",
     SL__PRACTICE},
    {"poor ground clamp", SL_SERIES, NEGATIVE_LEAD, 1e-3, 1.0, "teeth on paint, dirt or thin sheet",
     SL__PRACTICE},
};

static const sl_notice_def notices[] = {
    [CARRIES] = {"carries", SL_CURRENT, "the leads carry @"},
    SL__HOT_SPOT_ROW,
};

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)state;
    if (p[CLAMPS] == OFF) {
        return;
    }
    const double celsius = sl__temperature_or(p[TEMPERATURE], ambient_c);
    const int metal = (int)p[MATERIAL];
    const double core = metals[metal].ohm_m / (p[SIZE] * 1e-6) * p[LENGTH] *
                        sl__temperature_factor(metals[metal].per_k, celsius);
    sl__law_resistor(&law[POSITIVE_LEAD], core + 2.0 * p[CLAMP_RESISTANCE]);
    sl__law_resistor(&law[NEGATIVE_LEAD], core + 2.0 * p[CLAMP_RESISTANCE]);
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    (void)p;
    (void)state;
    const double most = fmax(fabs(flow[POSITIVE_LEAD].i), fabs(flow[NEGATIVE_LEAD].i));
    if (most >= CARRIES_A) {
        sl__notice(list, CARRIES, most);
    }
}

const sl__kind sl__kind_booster_leads = {
    .about =
        {
            .name = "booster_leads",
            .doc = "A pair of jump leads, clamps and all. A pack with clamps of its own is a "
                   "`jump_pack`.",
            .law = "each lead: R = length x (ohm/m at 20 C) x (1 + a (T - 20 C)) + two clamps",
            .standing = "metals as for cables; the clamps: from memory",
            .check = "none published; metal and clamps against values worked out by hand",
            SL__TABLES(terminals, params, elements, modes),
            .uses = (const sl_use[]){SL_WIRE, SL_WIRE},
            SL__NOTICES(notices),
            .start_param = -1,
            .position_param = CLAMPS,
            .negative_post = -1,
            .example = "booster_leads \"J1\" { \"van +\", \"van -\", \"B1 +\", \"engine\", "
                       "size = \"25 mm2\", length = \"3 m\" }",
        },
    .laws = laws,
    .notice = notice,
};
