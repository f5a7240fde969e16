/* lib/kinds/ammeter.c: an ammeter that the current goes through. */
#include "kinds/fuse_bands.h"

#include <math.h>

enum { RESISTANCE, RATING, FUSE };
enum { SHUNT };
enum { INTACT, BLOWN };
enum { READS, NOTICE_BLOWN, OVERLOADED };

static const sl_terminal terminals[] = {
    {"red", false, "where the current goes in when it reads above 0"},
    {"black", false, "where it comes out"},
};

static const char *const fuses[] = {"intact", "blown", NULL};

static const sl_param params[] = {
    [RESISTANCE] = {"resistance", SL_RESISTANCE, SL_DEFAULT, 0.05, 1e-6, 1e4, NULL,
                    "its burden: shunt, fuse and heavy leads together",
                    "from memory: 0.03 to 0.1 ohm in the 10 A socket, 1 to 10 ohm in that for mA"},
    [RATING] = {"rating", SL_CURRENT, SL_DEFAULT, 10.0, 1e-3, 1000.0, NULL, "of the fuse inside it",
                SL__PRACTICE},
    [FUSE] = {"fuse", SL_CHOICE, SL_DEFAULT, INTACT, INTACT, BLOWN, fuses,
              "whether its fuse still conducts", "a sound meter"},
};

static const sl_element elements[] = {
    [SHUNT] = {"shunt", 0, 1, "through the meter"},
};

static const sl_mode modes[] = {
    {"blown", SL_SET, FUSE, BLOWN, BLOWN, "its fuse has melted: it reads 0 for ever after",
     SL__PRACTICE},
    {"open", SL_OPEN, SHUNT, 0.0, 0.0, "a broken lead", SL__PRACTICE},
    {"added resistance", SL_SERIES, SHUNT, 1e-3, 1e3, "a poor touch of a lead", SL__PRACTICE},
};

#define NOTICE_BAND(name, from, least_s, most_s, quantity, said, does)                             \
    {name, SL_CURRENT, "@ is more than its fuse holds: that " does},
static const sl_notice_def notices[] = {
    [READS] = {"reading", SL_CURRENT, "reads @"},
    [NOTICE_BLOWN] = {"blown", SL_NUMBER, "its fuse is blown: reads 0"},
    [OVERLOADED] = SL__FUSE_BANDS(NOTICE_BAND)};

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    (void)state;
    if (p[FUSE] != BLOWN) {
        sl__law_resistor(&law[SHUNT], p[RESISTANCE]);
    }
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    (void)state;
    const int32_t band = sl__fuse_band_of(fabs(flow[SHUNT].i) / p[RATING]);
    if (p[FUSE] == BLOWN) {
        sl__notice(list, NOTICE_BLOWN, 0.0);
    } else {
        sl__notice(list, band < 0 ? READS : OVERLOADED + band, flow[SHUNT].i);
    }
}

const sl__kind sl__kind_ammeter = {
    .about =
        {
            .name = "ammeter",
            .doc = "An ammeter in series, with the fuse inside it. Its burden is part of the "
                   "circuit. Never across a battery: it is nearly a wire.",
            .law = "i = v / resistance",
            .standing = "Ohm's law; what its fuse does: as that of a vehicle, see the kind fuse",
            .check = "none published; its burden against values worked out by hand",
            SL__TABLES(terminals, params, elements, modes),
            .uses = (const sl_use[]){SL_CONNECTION},
            SL__NOTICES(notices),
            .start_param = -1,
            .position_param = -1,
            .negative_post = -1,
            .example = "ammeter \"A1\" { \"battery - clamp\", \"ground cable\" }",
        },
    .laws = laws,
    .notice = notice,
};
