/* lib/kinds/conductor.c: resistance of a length of metal, and what its current does to it. */
#include "kinds/conductor.h"

#include <math.h>

#include "kinds/heat.h"

enum { CORE };
enum { COPPER, TINNED_COPPER, HARD_COPPER, ALUMINIUM, BRASS, STEEL, STAINLESS_STEEL };
enum { METAL, IEC60228, ISO6722 };
enum { NONE, STEADY };
enum { CONDUCTOR, UNINTENDED };
enum { OVERLOADED, OVERLOADED_BARE, MELTS, TOO_HOT, STRAY };

#define LEAST_MM2 0.005
#define GREATEST_MM2 2000.0

/* Of the loss in calm air: fitted to the ABYC ratings of 105 C wire, see the heat tests. */
static const double LAID_SHARE = 0.73;
static const double RATED_AIR_C = 30.0; /* ABYC E-11, outside engine spaces */
static const double STARTING_MM2 = 6.0, CRANKING_S = 30.0, LASTING_S = 3600.0;

const sl_terminal sl__conductor_terminals[] = {
    {"a", false, "one end"},
    {"b", false, "the other end"},
};

const char *const sl__metal_names[] = {"copper", "tinned copper", "hard copper",     "aluminium",
                                       "brass",  "steel",         "stainless steel", NULL};

static const char *const bases[] = {"metal", "iec60228", "iso6722", NULL};
static const char *const insulations[] = {"pvc",      "pvc 105", "cross-linked",
                                          "silicone", "bare",    NULL};
static const char *const heatings[] = {"none", "steady", NULL};
static const char *const roles[] = {"conductor", "unintended", NULL};

const sl_param sl__conductor_params[] = {
    [SL__CONDUCTOR_SIZE] = {"size", SL_AREA, SL_DEFAULT, SL__NAN, LEAST_MM2, GREATEST_MM2, NULL,
                            "section of the metal; needed unless `strands` or `per_metre` is given",
                            ""},
    [SL__CONDUCTOR_LENGTH] = {"length", SL_LENGTH, SL_REQUIRED, SL__NAN, 1e-4, 1000.0, NULL,
                              "from end to end", ""},
    [SL__CONDUCTOR_MATERIAL] =
        {"material", SL_CHOICE, SL_DEFAULT, COPPER, COPPER, STAINLESS_STEEL, sl__metal_names,
         "the metal; sets resistivity and temperature coefficient. The tin on tinned copper counts "
         "only with basis iec60228",
         "most cables and straps are copper; figures of the others from memory: hard-drawn copper "
         "97 % IACS, aluminium EC grade, brass 70/30, low-carbon body steel (1.0e-7 to 1.8e-7 "
         "ohm m seen), stainless 304"},
    [SL__CONDUCTOR_BASIS] =
        {"basis", SL_CHOICE, SL_DEFAULT, METAL, METAL, ISO6722, bases,
         "metal: resistivity over section, what a good cable of full section has; iec60228: the "
         "greatest resistance IEC 60228 allows a class 5 copper conductor of that nominal section; "
         "iso6722: the same from ISO 6722",
         "metal: definition; iec60228: published; iso6722: 0.35, 0.5, 0.75, 1, 1.5, 2, 2.5, 3, 4, "
         "6, 10 and 16 mm2 published, the other sizes from memory"},
    [SL__CONDUCTOR_PER_METRE] = {"per_metre", SL_RESISTANCE_PER_LENGTH, SL_DERIVED, SL__NAN, 1e-6,
                                 1000.0, NULL,
                                 "resistance per length at 20 C; used instead of the one that "
                                 "follows from `size`, `material` and `basis`",
                                 "follows from `size`, `material` and `basis`"},
    [SL__CONDUCTOR_STRANDS] = {"strands", SL_NUMBER, SL_DEFAULT, SL__NAN, 1.0, 1e5, NULL,
                               "number of strands of a cable or braid, another way to give `size`; "
                               "goes with `strand_diameter`, and `size` counts when it is given",
                               ""},
    [SL__CONDUCTOR_STRAND_DIAMETER] = {"strand_diameter", SL_LENGTH, SL_DEFAULT, SL__NAN, 1e-5,
                                       0.05, NULL,
                                       "of one strand; what the lay or braid adds to the length "
                                       "of a strand is left out",
                                       ""},
    [SL__CONDUCTOR_BROKEN_STRANDS] =
        {"broken_strands", SL_FRACTION, SL_DEFAULT, 0.0, 0.0, 0.9999, NULL,
         "part of the section that is broken or eaten away, over the whole length",
         "a sound conductor; the law: computed"},
    [SL__CONDUCTOR_TEMPERATURE] = {"temperature", SL_TEMPERATURE, SL_DEFAULT, SL__NAN, -60.0, 300.0,
                                   NULL,
                                   "of the metal, before its own current warms it, and of what is "
                                   "around it; that of the circuit when not given",
                                   "the circuit's"},
    [SL__CONDUCTOR_INSULATION] =
        {"insulation", SL_CHOICE, SL_DERIVED, SL__NAN, SL__PVC, SL__BARE, insulations,
         "sets `limit`: pvc 80 C (SAE J1128 types GPT, J1127 SGT), pvc 105 (boat cable) 105 C, "
         "cross-linked 125 C (J1128 types GXL, SXL, TXL, J1127 SGX, STX), silicone 180 C, bare "
         "150 C, which chars what it touches",
         "a cable has pvc, a strap is bare; 80 and 125 C: makers' lists; 105 C: ABYC; 180 and 150 "
         "C: from memory"},
    [SL__CONDUCTOR_LIMIT] = {"limit", SL_TEMPERATURE, SL_DERIVED, SL__NAN, 40.0, 600.0, NULL,
                             "the temperature its insulation bears for ever",
                             "that of its `insulation`"},
    [SL__CONDUCTOR_BUNDLE] = {"bundle", SL_NUMBER, SL_DEFAULT, 1.0, 1.0, 200.0, NULL,
                              "loaded conductors that lie together, this one counted; each then "
                              "carries 0.7 (3 of them), 0.6 (4 to 6), 0.5 (7 to 24) or 0.4 (more)",
                              "boat wiring practice, from memory"},
    [SL__CONDUCTOR_AMPACITY] =
        {"ampacity", SL_CURRENT, SL_DERIVED, SL__NAN, 1e-3, 1e6, NULL,
         "the current that warms the sound conductor to `limit` and no further where 30 C are "
         "around it; from a table or standard, with its `bundle` counted, or worked out",
         "loss of heat of a round wire, 0.73 of that in calm air; for ABYC 105 C wire 3 % below to "
         "8 % above the published ratings of 16 to 10 AWG"},
    [SL__CONDUCTOR_DUTY] = {"duty", SL_TIME, SL_DERIVED, SL__NAN, 1e-3, 1e6, NULL,
                            "how long its greatest current flows: an overload that takes longer "
                            "than this to do harm is not noticed",
                            "from 6 mm2 up 30 s, the longest a US Army TM allows to crank; below "
                            "that 1 h: " SL__PRACTICE},
    [SL__CONDUCTOR_HEATING] =
        {"heating", SL_CHOICE, SL_DEFAULT, NONE, NONE, STEADY, heatings,
         "none: the metal is as warm as what is around it; steady: as warm as its present current "
         "makes it for ever, and its resistance with it",
         "cranking and tests are too short to warm it"},
    [SL__CONDUCTOR_METAL_TEMPERATURE] = {"metal_temperature", SL_TEMPERATURE, SL_DERIVED, SL__NAN,
                                         -60.0, 2000.0, NULL,
                                         "of the metal, as the answer has it; what is given here "
                                         "is not kept",
                                         "worked out"},
    [SL__CONDUCTOR_ROLE] = {"role", SL_CHOICE, SL_DEFAULT, CONDUCTOR, CONDUCTOR, UNINTENDED, roles,
                            "unintended: a way for current that nobody meant: a control cable, a "
                            "fuel line, a shield, a bearing",
                            "a conductor, unless the file says otherwise"},
    [SL__CONDUCTOR_HARMLESS_UP_TO] = {"harmless_up_to", SL_CURRENT, SL_DEFAULT, 1.0, 0.0, 1e4, NULL,
                                      "the current an `unintended` path bears without harm",
                                      "an assumption, no source"},
};

/* A flexible cable of 35 mm2. */
const sl_usual sl__conductor_usual[] = {{SL__CONDUCTOR_STRANDS, 276.0},
                                        {SL__CONDUCTOR_STRAND_DIAMETER, 0.4e-3}};

const sl_element sl__conductor_elements[] = {
    [CORE] = {"core", 0, 1, "the metal from end to end"},
};

const sl_mode sl__conductor_modes[] = {
    {"open", SL_OPEN, CORE, 0.0, 0.0, "broken, cut or off its terminal", SL__PRACTICE},
    {"added resistance", SL_SERIES, CORE, 1e-4, 1e3, "corrosion in the conductor or at its ends",
     SL__PRACTICE},
    {"broken strands", SL_SET, SL__CONDUCTOR_BROKEN_STRANDS, 0.01, 0.9999,
     "strands broken or eaten away; the value is the part that is gone", SL__PRACTICE},
    {"wrong size", SL_SET, SL__CONDUCTOR_SIZE, 0.05, 240.0,
     "replaced by a conductor of another size; without effect when `per_metre` is given",
     SL__PRACTICE},
};

/* A wire that both gets hot and was never meant to carry current says both. */
const sl_notice_def sl__conductor_notices[] = {
    [OVERLOADED] = {"overloaded", SL_TIME, "overloaded: insulation limit in @"},
    [OVERLOADED_BARE] = {"overloaded bare", SL_TIME, "overloaded: chars what it touches in @"},
    [MELTS] = {"melts", SL_TIME, "overloaded: melts in @"},
    [TOO_HOT] = {"too hot", SL_TEMPERATURE, "too hot: its metal reaches @"},
    [STRAY] = {"stray", SL_CURRENT, "carries @ that it was never meant to carry"},
    SL__HOT_SPOT_ROW,
};

/* Resistance at 20 C; the heat a cubic metre takes, from memory: of copper, aluminium and steel as
   the constants of IEC 60949 have it; the melting point. */
static const struct {
    double ohm_m, per_k, heat_j, melts_c;
} metals[] = {
    [COPPER] = {1e-6 / 58.0, 0.00393, 3.45e6, 1083.0},
    [TINNED_COPPER] = {1e-6 / 58.0, 0.00393, 3.45e6, 1083.0},
    [HARD_COPPER] = {1.7774e-8, 0.00381, 3.45e6, 1083.0},
    [ALUMINIUM] = {2.8264e-8, 0.00403, 2.5e6, 660.0},
    [BRASS] = {6.2e-8, 0.0015, 3.2e6, 915.0},
    [STEEL] = {1.43e-7, 0.005, 3.8e6, 1500.0},
    [STAINLESS_STEEL] = {7.2e-7, 0.001, 4.0e6, 1400.0},
};

static const double limits_c[] = {
    [SL__PVC] = 80.0,       [SL__PVC_105] = 105.0, [SL__CROSS_LINKED] = 125.0,
    [SL__SILICONE] = 180.0, [SL__BARE] = 150.0,
};

/* Fills `size` from the strands. */
static bool count_strands(double *p, sl__complaint *bad)
{
    const double strands = p[SL__CONDUCTOR_STRANDS], each_m = p[SL__CONDUCTOR_STRAND_DIAMETER];
    if (isnan(strands) != isnan(each_m)) {
        *bad =
            (sl__complaint){isnan(strands) ? SL__CONDUCTOR_STRANDS : SL__CONDUCTOR_STRAND_DIAMETER,
                            "`strands` and `strand_diameter` go together"};
        return false;
    }
    if (isnan(p[SL__CONDUCTOR_SIZE]) && !isnan(strands)) {
        p[SL__CONDUCTOR_SIZE] = strands * atan(1.0) * each_m * each_m * 1e6;
        if (!(p[SL__CONDUCTOR_SIZE] >= LEAST_MM2 && p[SL__CONDUCTOR_SIZE] <= GREATEST_MM2)) {
            *bad = (sl__complaint){SL__CONDUCTOR_STRANDS,
                                   "with `strand_diameter` make a section out of the range of "
                                   "`size`"};
            return false;
        }
    }
    return true;
}

/* Fills `per_metre` from `size`, `material` and `basis`. */
static bool find_per_metre(double *p, sl__complaint *bad)
{
    if (!isnan(p[SL__CONDUCTOR_PER_METRE])) {
        return true;
    }
    const double mm2 = p[SL__CONDUCTOR_SIZE];
    if (isnan(mm2)) {
        *bad = (sl__complaint){SL__CONDUCTOR_SIZE,
                               "give `size`, the section of the metal such as \"16 mm2\" or \"6 "
                               "AWG\", or `per_metre`, its resistance per length"};
        return false;
    }
    const int material = (int)p[SL__CONDUCTOR_MATERIAL], basis = (int)p[SL__CONDUCTOR_BASIS];
    if (basis == METAL) {
        p[SL__CONDUCTOR_PER_METRE] = metals[material].ohm_m / (mm2 * 1e-6);
        return true;
    }
    const bool tinned = material == TINNED_COPPER;
    if (basis == IEC60228 && material != COPPER && !tinned) {
        *bad = (sl__complaint){SL__CONDUCTOR_MATERIAL,
                               "basis iec60228 is for copper and tinned copper; for another metal "
                               "take basis = \"metal\" or give `per_metre`"};
        return false;
    }
    if (basis == ISO6722 && material != COPPER) {
        *bad = (sl__complaint){SL__CONDUCTOR_MATERIAL,
                               "basis iso6722 is for plain copper; for another metal take basis = "
                               "\"metal\" or give `per_metre`"};
        return false;
    }
    const char *complaint = NULL;
    const double ohm_km = basis == IEC60228 ? sl__iec60228_ohm_km(mm2, tinned, &complaint)
                                            : sl__iso6722_ohm_km(mm2, &complaint);
    if (isnan(ohm_km)) {
        *bad = (sl__complaint){SL__CONDUCTOR_SIZE, complaint};
        return false;
    }
    p[SL__CONDUCTOR_PER_METRE] = ohm_km * 1e-3;
    return true;
}

/* The metal that its resistance shows it to have, in mm2. */
static double sound_mm2(const double *p)
{
    return metals[(int)p[SL__CONDUCTOR_MATERIAL]].ohm_m * 1e6 / p[SL__CONDUCTOR_PER_METRE];
}

/* Stranding makes a conductor thicker, and a wall of insulation lies round it: thicknesses from
   memory, about those of thin-wall wire below 6 mm2 and of battery cable above. */
static double outer_m(double mm2, bool bare)
{
    const double solid_mm = sqrt(mm2 / atan(1.0));
    return (bare ? solid_mm : 1.15 * solid_mm + 2.0 * (0.4 + 0.1 * sqrt(mm2))) * 1e-3;
}

/* As if nothing were broken. */
static sl__wire sound_wire(const double *p)
{
    const int material = (int)p[SL__CONDUCTOR_MATERIAL];
    const double mm2 = sound_mm2(p);
    return (sl__wire){.ohm_m = p[SL__CONDUCTOR_PER_METRE],
                      .per_k = metals[material].per_k,
                      .heat_j = metals[material].heat_j * mm2 * 1e-6,
                      .outer_m = outer_m(mm2, (int)p[SL__CONDUCTOR_INSULATION] == SL__BARE),
                      .share = LAID_SHARE};
}

/* As it is, losing what its ampacity says it loses. */
static sl__wire wire_of(const double *p)
{
    const double left = 1.0 - p[SL__CONDUCTOR_BROKEN_STRANDS];
    sl__wire wire = sound_wire(p);
    const double free_a = sl__wire_amps(&wire, RATED_AIR_C, p[SL__CONDUCTOR_LIMIT]);
    wire.share *= pow(p[SL__CONDUCTOR_AMPACITY] / free_a, 2.0);
    wire.ohm_m /= left;
    wire.heat_j *= left;
    return wire;
}

static double bundle_factor(double conductors)
{
    return conductors < 3.0    ? 1.0
           : conductors < 4.0  ? 0.7
           : conductors < 7.0  ? 0.6
           : conductors < 25.0 ? 0.5
                               : 0.4;
}

static void fill(double *value, double with)
{
    if (isnan(*value)) {
        *value = with;
    }
}

bool sl__conductor_complete(double *p, int insulation, sl__complaint *bad)
{
    if (!count_strands(p, bad) || !find_per_metre(p, bad)) {
        return false;
    }
    fill(&p[SL__CONDUCTOR_INSULATION], insulation);
    fill(&p[SL__CONDUCTOR_LIMIT], limits_c[(int)p[SL__CONDUCTOR_INSULATION]]);
    const sl__wire wire = sound_wire(p);
    fill(&p[SL__CONDUCTOR_AMPACITY], bundle_factor(p[SL__CONDUCTOR_BUNDLE]) *
                                         sl__wire_amps(&wire, RATED_AIR_C, p[SL__CONDUCTOR_LIMIT]));
    const double mm2 = isnan(p[SL__CONDUCTOR_SIZE]) ? sound_mm2(p) : p[SL__CONDUCTOR_SIZE];
    fill(&p[SL__CONDUCTOR_DUTY], mm2 < STARTING_MM2 ? LASTING_S : CRANKING_S);
    fill(&p[SL__CONDUCTOR_METAL_TEMPERATURE],
         sl__temperature_or(p[SL__CONDUCTOR_TEMPERATURE], 20.0));
    return true;
}

void sl__conductor_laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)state;
    const double celsius = (int)p[SL__CONDUCTOR_HEATING] == STEADY
                               ? p[SL__CONDUCTOR_METAL_TEMPERATURE]
                               : sl__temperature_or(p[SL__CONDUCTOR_TEMPERATURE], ambient_c);
    const double per_k = metals[(int)p[SL__CONDUCTOR_MATERIAL]].per_k;
    sl__law_resistor(&law[CORE], p[SL__CONDUCTOR_PER_METRE] * p[SL__CONDUCTOR_LENGTH] *
                                     sl__temperature_factor(per_k, celsius) /
                                     (1.0 - p[SL__CONDUCTOR_BROKEN_STRANDS]));
}

double sl__conductor_trim(const double *p, double ambient_c, int32_t state, const sl__flow *flow)
{
    (void)state;
    const double air_c = sl__temperature_or(p[SL__CONDUCTOR_TEMPERATURE], ambient_c);
    if ((int)p[SL__CONDUCTOR_HEATING] == NONE) {
        return air_c;
    }
    const sl__wire wire = wire_of(p);
    return sl__wire_temperature(&wire, air_c, flow[CORE].v * flow[CORE].i / p[SL__CONDUCTOR_LENGTH],
                                metals[(int)p[SL__CONDUCTOR_MATERIAL]].melts_c);
}

bool sl__conductor_trims(const double *p)
{
    return (int)p[SL__CONDUCTOR_HEATING] != NONE;
}

/* What its current does in time; the metal starts as warm as what is around it. */
static void notice_overload(const double *p, double amps, sl__notice_list *list)
{
    const double air_c = p[SL__CONDUCTOR_METAL_TEMPERATURE], limit_c = p[SL__CONDUCTOR_LIMIT];
    const double melts_c = metals[(int)p[SL__CONDUCTOR_MATERIAL]].melts_c;
    const sl__wire wire = wire_of(p);
    /* In air past the limit there is no time left; it is overloaded when it would be in milder air.
     */
    const bool past = air_c >= limit_c;
    const double to_limit_s = sl__wire_seconds(&wire, past ? RATED_AIR_C : air_c, limit_c, amps);
    const double to_melt_s = sl__wire_seconds(&wire, air_c, melts_c, amps);
    if (to_limit_s < p[SL__CONDUCTOR_DUTY]) {
        const bool bare = (int)p[SL__CONDUCTOR_INSULATION] == SL__BARE;
        sl__notice(list, bare ? OVERLOADED_BARE : OVERLOADED, past ? 0.0 : to_limit_s);
    }
    if (to_melt_s < p[SL__CONDUCTOR_DUTY]) {
        sl__notice(list, MELTS, to_melt_s);
    }
}

void sl__conductor_notice(const double *p, int32_t state, const sl__flow *flow,
                          sl__notice_list *list)
{
    (void)state;
    const double amps = fabs(flow[CORE].i);
    if ((int)p[SL__CONDUCTOR_ROLE] == UNINTENDED && amps > p[SL__CONDUCTOR_HARMLESS_UP_TO]) {
        sl__notice(list, STRAY, amps);
    }
    if ((int)p[SL__CONDUCTOR_HEATING] == NONE) {
        notice_overload(p, amps, list);
    } else if (p[SL__CONDUCTOR_METAL_TEMPERATURE] > p[SL__CONDUCTOR_LIMIT]) {
        sl__notice(list, TOO_HOT, p[SL__CONDUCTOR_METAL_TEMPERATURE]);
    }
}

double sl__awg_mm2(int gauge)
{
    const double diameter_mm = 0.127 * pow(92.0, (36.0 - gauge) / 39.0);
    return atan(1.0) * diameter_mm * diameter_mm; /* atan(1) is pi / 4 */
}

_Static_assert((int)SL__METAL_STEEL == (int)STEEL && (int)SL__METAL_LAST == (int)STAINLESS_STEEL,
               "the order of metals");

double sl__metal_ohm_m(int metal)
{
    return metals[metal].ohm_m;
}

double sl__metal_per_k(int metal)
{
    return metals[metal].per_k;
}

double sl__temperature_factor(double per_k, double celsius)
{
    return 1.0 + per_k * (celsius - 20.0);
}
