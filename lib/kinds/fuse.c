/* lib/kinds/fuse.c: a fuse: the resistance of its link, or nothing once it is blown. */
#include "kinds/fuse_bands.h"

#include <math.h>

enum { RATING, STYLE, LINK, RESISTANCE, HEATING, HOT_RATIO, WARMTH };
enum { ELEMENT };
enum { BLADE, MINI, MAXI, BOLT, FUSIBLE_LINK };
enum { INTACT, BLOWN };
enum { NONE, STEADY };
enum { NOTICE_BLOWN, OVERLOADED };

static const sl_terminal terminals[] = {
    {"a", false, "the feed side"},
    {"b", false, "the load side"},
};

static const char *const styles[] = {"blade", "mini", "maxi", "bolt", "fusible link", NULL};
static const char *const links[] = {"intact", "blown", NULL};
static const char *const heatings[] = {"none", "steady", NULL};

static const sl_param params[] = {
    [RATING] = {"rating", SL_CURRENT, SL_REQUIRED, SL__NAN, 0.1, 1000.0, NULL,
                "the current printed on it", ""},
    [STYLE] = {"style", SL_CHOICE, SL_DEFAULT, BLADE, BLADE, FUSIBLE_LINK, styles,
               "blade (full-size, 1 to 40 A), mini (2 to 30 A), maxi (20 to 80 A), bolt (bolted "
               "down, 30 to 500 A), fusible link (a piece of thinner wire; needs `resistance`)",
               "the usual size; " SL__PRACTICE},
    [LINK] = {"link", SL_CHOICE, SL_DEFAULT, INTACT, INTACT, BLOWN, links,
              "whether it still conducts", "a sound fuse"},
    [RESISTANCE] = {"resistance", SL_RESISTANCE, SL_DERIVED, SL__NAN, 0.0, 1e3, NULL,
                    "its cold resistance, instead of the one of its `style` and `rating`",
                    "tables from memory: blade within 15 %, mini and maxi within 25 %; other "
                    "ratings between two rows in log-log; bolt: 50 mV at its rating, from memory "
                    "within 30 %"},
    [HEATING] = {"heating", SL_CHOICE, SL_DEFAULT, NONE, NONE, STEADY, heatings,
                 "none: cold, as small currents and short ones find it; steady: as warm as its "
                 "present current makes it",
                 "what a meter finds with little current through it"},
    [HOT_RATIO] =
        {"hot_ratio", SL_NUMBER, SL_DERIVED, SL__NAN, 1.0, 3.0, NULL,
         "its resistance warm with its rated current over that cold",
         "tables from memory: blade 1.32 to 1.67, taken as 1.44; mini 1.53 to 1.67, 1.58; "
         "maxi 1.41 to 1.53, 1.46; bolt and fusible link like maxi"},
    [WARMTH] = {"warmth", SL_NUMBER, SL_DERIVED, SL__NAN, 1.0, 3.0, NULL,
                "its resistance over that cold, as the answer has it; what is given here is not "
                "kept",
                "worked out"},
};

static const sl_element elements[] = {
    [ELEMENT] = {"link", 0, 1, "the wire that melts"},
};

static const sl_mode modes[] = {
    {"blown", SL_SET, LINK, BLOWN, BLOWN, "melted by too much current", SL__PRACTICE},
    {"added resistance", SL_SERIES, ELEMENT, 1e-3, 10.0, "heat or corrosion at its clips",
     SL__PRACTICE},
    {"wrong rating", SL_SET, RATING, 1.0, 40.0, "one of another rating in its place", SL__PRACTICE},
};

#define NOTICE_BAND(name, from, least_s, most_s, quantity, said, does) {name, quantity, said does},
static const sl_notice_def notices[] = {[NOTICE_BLOWN] = {"blown", SL_NUMBER, "blown"},
                                        [OVERLOADED] =
                                            SL__FUSE_BANDS(NOTICE_BAND) SL__HOT_SPOT_ROW};

typedef struct cold_point {
    double rating_a, mohm;
} cold_point;

static const cold_point blade_points[] = {
    {1, 123},   {2, 53.5},  {3, 31.1},  {4, 22.8},  {5, 17.85}, {7.5, 10.91}, {10, 7.7},
    {15, 4.80}, {20, 3.38}, {25, 2.52}, {30, 1.97}, {35, 1.61}, {40, 1.44},
};
static const cold_point mini_points[] = {
    {2, 54},   {3, 30},   {4, 22},   {5, 16.5}, {7.5, 10.4},
    {10, 7.2}, {15, 4.4}, {20, 3.0}, {25, 2.2}, {30, 1.8},
};
static const cold_point maxi_points[] = {
    {20, 3.2}, {30, 2.0}, {40, 1.4}, {50, 1.1}, {60, 0.85}, {70, 0.70}, {80, 0.58},
};
/* 50 mV at the rating. */
static const cold_point bolt_points[] = {{30, 50.0 / 30.0}, {500, 50.0 / 500.0}};

static const struct {
    const cold_point *point;
    int32_t count;
    const char *outside;
} tables[] = {
    [BLADE] = {blade_points, SL__COUNT(blade_points),
               "the table of blade fuses runs from 1 A to 40 A; for another rating give another "
               "`style` or the `resistance`"},
    [MINI] = {mini_points, SL__COUNT(mini_points),
              "the table of mini fuses runs from 2 A to 30 A; for another rating give another "
              "`style` or the `resistance`"},
    [MAXI] = {maxi_points, SL__COUNT(maxi_points),
              "the table of maxi fuses runs from 20 A to 80 A; for another rating give another "
              "`style` or the `resistance`"},
    [BOLT] = {bolt_points, SL__COUNT(bolt_points),
              "bolted fuses are listed here from 30 A to 500 A; for another rating give another "
              "`style` or the `resistance`"},
    [FUSIBLE_LINK] = {NULL, 0,
                      "there is no table of fusible links; give the `resistance` of the wire, "
                      "often four gauges thinner than the one it protects and 0.15 m long"},
};

static const double hot_ratios[] = {
    [BLADE] = 1.44, [MINI] = 1.58, [MAXI] = 1.46, [BOLT] = 1.46, [FUSIBLE_LINK] = 1.46,
};

/* Zinc at its melting point, 419 C, over zinc at 20 C; no link gets warmer. */
static const double WARMEST = 1.0 + 0.0042 * (419.0 - 20.0);

/* Cold resistance between two rows, straight in the logarithms; NaN outside the table. */
static double cold_ohm(const cold_point *point, int32_t count, double rating_a)
{
    for (int32_t n = 0; n < count; n++) {
        if (rating_a == point[n].rating_a) {
            return point[n].mohm * 1e-3;
        }
        if (n > 0 && rating_a > point[n - 1].rating_a && rating_a < point[n].rating_a) {
            const double along = log(rating_a / point[n - 1].rating_a) /
                                 log(point[n].rating_a / point[n - 1].rating_a);
            return point[n - 1].mohm * pow(point[n].mohm / point[n - 1].mohm, along) * 1e-3;
        }
    }
    return SL__NAN;
}

static bool complete(double *p, sl__complaint *bad)
{
    if (isnan(p[RESISTANCE])) {
        const int style = (int)p[STYLE];
        p[RESISTANCE] = cold_ohm(tables[style].point, tables[style].count, p[RATING]);
        if (isnan(p[RESISTANCE])) {
            *bad =
                (sl__complaint){style == FUSIBLE_LINK ? RESISTANCE : RATING, tables[style].outside};
            return false;
        }
    }
    if (isnan(p[HOT_RATIO])) {
        p[HOT_RATIO] = hot_ratios[(int)p[STYLE]];
    }
    if (isnan(p[WARMTH])) {
        p[WARMTH] = 1.0;
    }
    return true;
}

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    (void)state;
    if ((int)p[LINK] == INTACT) {
        const double warmth = (int)p[HEATING] == STEADY ? p[WARMTH] : 1.0;
        sl__law_resistor(&law[ELEMENT], p[RESISTANCE] * warmth);
    }
}

/* The link warms as the square of its current. */
static double trim(const double *p, double ambient_c, int32_t state, const sl__flow *flow)
{
    (void)ambient_c;
    (void)state;
    const double load = flow[ELEMENT].i / p[RATING];
    if ((int)p[HEATING] == NONE || !isfinite(load)) {
        return p[WARMTH];
    }
    return fmin(1.0 + (p[HOT_RATIO] - 1.0) * load * load, WARMEST);
}

static bool trims(const double *p)
{
    return (int)p[HEATING] != NONE;
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    (void)state;
    if ((int)p[LINK] == BLOWN) {
        sl__notice(list, NOTICE_BLOWN, 0.0);
        return;
    }
    const double load = fabs(flow[ELEMENT].i) / p[RATING];
    const int32_t band = sl__fuse_band_of(load);
    if (band >= 0) {
        sl__notice(list, OVERLOADED + band, load);
    }
}

const sl__kind sl__kind_fuse = {
    .about =
        {
            .name = "fuse",
            .doc = "A fuse. It does not blow by itself here: an overload is reported with the time "
                   "in which such a fuse opens, and a blown one is said so.",
            .law = "v = i R while intact. R is cold; with heating = steady it is "
                   "1 + (hot_ratio - 1) (i / rating)^2 times as much, at most 2.7 times, where its "
                   "zinc melts",
            .standing = "resistance and how it warms: from memory; times to open: ISO 8820-3 from "
                        "memory, wider for "
                        "large ratings (110 % holds 100 h, 135 % opens in 0.75 to 600 s)",
            .check = "times to open: ISO 8820-3, from memory; drops at the rating: typical "
                     "figures, from memory; none seen in print",
            SL__TABLES(terminals, params, elements, modes),
            .uses = (const sl_use[]){SL_PROTECTION},
            SL__NOTICES(notices),
            .start_param = -1,
            .position_param = LINK,
            .negative_post = -1,
            .example = "fuse \"F1\" { \"B1 +\", \"fuse out\", rating = \"10 A\" }",
        },
    .complete = complete,
    .laws = laws,
    .trim = trim,
    .trims = trims,
    .trim_param = WARMTH,
    .notice = notice,
};
