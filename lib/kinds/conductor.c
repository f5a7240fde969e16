/* lib/kinds/conductor.c: resistance of a length of metal. */
#include "kinds/conductor.h"

#include <math.h>

enum { CORE };
enum { COPPER, TINNED_COPPER, HARD_COPPER, ALUMINIUM, BRASS, STEEL, STAINLESS_STEEL };
enum { METAL, IEC60228, ISO6722 };

const sl_terminal sl__conductor_terminals[] = {
    {"a", false, "one end"},
    {"b", false, "the other end"},
};

static const char *const materials[] = {"copper", "tinned copper", "hard copper",     "aluminium",
                                        "brass",  "steel",         "stainless steel", NULL};

static const char *const bases[] = {"metal", "iec60228", "iso6722", NULL};

const sl_param sl__conductor_params[] = {
    [SL__CONDUCTOR_SIZE] = {"size", SL_AREA, SL_DEFAULT, SL__NAN, 0.005, 2000.0, NULL,
                            "section of the metal; needed unless `per_metre` is given", ""},
    [SL__CONDUCTOR_LENGTH] = {"length", SL_LENGTH, SL_REQUIRED, SL__NAN, 1e-4, 1000.0, NULL,
                              "from end to end", ""},
    [SL__CONDUCTOR_MATERIAL] =
        {"material", SL_CHOICE, SL_DEFAULT, COPPER, COPPER, STAINLESS_STEEL, materials,
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
    [SL__CONDUCTOR_BROKEN_STRANDS] =
        {"broken_strands", SL_FRACTION, SL_DEFAULT, 0.0, 0.0, 0.9999, NULL,
         "part of the section that is broken or eaten away, over the whole length",
         "a sound conductor; the law: computed"},
    [SL__CONDUCTOR_TEMPERATURE] = {"temperature", SL_TEMPERATURE, SL_DEFAULT, SL__NAN, -60.0, 300.0,
                                   NULL, "of the metal; that of the circuit when not given",
                                   "the circuit's"},
};

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

/* At 20 C. */
static const struct {
    double ohm_m, per_k;
} metals[] = {
    [COPPER] = {1e-6 / 58.0, 0.00393},    [TINNED_COPPER] = {1e-6 / 58.0, 0.00393},
    [HARD_COPPER] = {1.7774e-8, 0.00381}, [ALUMINIUM] = {2.8264e-8, 0.00403},
    [BRASS] = {6.2e-8, 0.0015},           [STEEL] = {1.43e-7, 0.005},
    [STAINLESS_STEEL] = {7.2e-7, 0.001},
};

/* A nominal section, the greatest resistance allowed at 20 C, and what to say of a section between
   this one and the next. */
typedef struct listed_size {
    double mm2, plain_ohm_km, tinned_ohm_km;
    const char *gap;
} listed_size;

#define OR_METAL "; take one of the listed sizes, or basis = \"metal\" for any section"
#define IEC_ROW(mm2, plain, tinned, next)                                                          \
    {                                                                                              \
        mm2, plain, tinned,                                                                        \
            "IEC 60228 has no such size: the nearest are " #mm2 " and " #next " mm2" OR_METAL      \
    }
#define ISO_ROW(mm2, plain, next)                                                                  \
    {                                                                                              \
        mm2, plain, (double)NAN,                                                                   \
            "ISO 6722 has no such size: the nearest are " #mm2 " and " #next " mm2" OR_METAL       \
    }

/* The greatest value at 50 mm2 is below that of class 2; so it stands in the standard. */
static const listed_size iec_sizes[] = {
    IEC_ROW(0.5, 39.0, 40.1, 0.75),
    IEC_ROW(0.75, 26.0, 26.7, 1),
    IEC_ROW(1, 19.5, 20.0, 1.5),
    IEC_ROW(1.5, 13.3, 13.7, 2.5),
    IEC_ROW(2.5, 7.98, 8.21, 4),
    IEC_ROW(4, 4.95, 5.09, 6),
    IEC_ROW(6, 3.30, 3.39, 10),
    IEC_ROW(10, 1.91, 1.95, 16),
    IEC_ROW(16, 1.21, 1.24, 25),
    IEC_ROW(25, 0.780, 0.795, 35),
    IEC_ROW(35, 0.554, 0.565, 50),
    IEC_ROW(50, 0.386, 0.393, 70),
    IEC_ROW(70, 0.272, 0.277, 95),
    IEC_ROW(95, 0.206, 0.210, 120),
    {120, 0.161, 0.164, "IEC 60228 class 5 is listed here up to 120 mm2" OR_METAL},
};

static const listed_size iso_sizes[] = {
    ISO_ROW(0.13, 136.0, 0.22),
    ISO_ROW(0.22, 84.8, 0.35),
    ISO_ROW(0.35, 54.4, 0.5),
    ISO_ROW(0.5, 37.1, 0.75),
    ISO_ROW(0.75, 24.7, 1),
    ISO_ROW(1, 18.5, 1.25),
    ISO_ROW(1.25, 14.9, 1.5),
    ISO_ROW(1.5, 12.7, 2),
    ISO_ROW(2, 9.42, 2.5),
    ISO_ROW(2.5, 7.60, 3),
    ISO_ROW(3, 6.15, 4),
    ISO_ROW(4, 4.71, 5),
    ISO_ROW(5, 3.94, 6),
    ISO_ROW(6, 3.14, 8),
    ISO_ROW(8, 2.38, 10),
    ISO_ROW(10, 1.82, 12),
    ISO_ROW(12, 1.52, 16),
    ISO_ROW(16, 1.16, 20),
    ISO_ROW(20, 0.955, 25),
    ISO_ROW(25, 0.743, 30),
    ISO_ROW(30, 0.647, 35),
    ISO_ROW(35, 0.527, 40),
    ISO_ROW(40, 0.473, 50),
    ISO_ROW(50, 0.368, 60),
    ISO_ROW(60, 0.315, 70),
    ISO_ROW(70, 0.259, 95),
    ISO_ROW(95, 0.196, 120),
    {120, 0.153, (double)NAN, "ISO 6722 is listed here up to 120 mm2" OR_METAL},
};

#define IEC_BELOW "IEC 60228 class 5 is listed here from 0.5 mm2 up" OR_METAL
#define ISO_BELOW "ISO 6722 is listed here from 0.13 mm2 up" OR_METAL

/* The row of a nominal section, or NULL and what to say. Equal means equal as written, so the
   room left is only for the rounding of a unit's factor. */
static const listed_size *find_size(const listed_size *row, int32_t count, const char *below,
                                    double mm2, const char **complaint)
{
    *complaint = below;
    for (int32_t r = 0; r < count; r++) {
        if (fabs(mm2 - row[r].mm2) <= 1e-9 * row[r].mm2) {
            return &row[r];
        }
        if (mm2 > row[r].mm2) {
            *complaint = row[r].gap;
        }
    }
    return NULL;
}

bool sl__conductor_complete(double *p, sl__complaint *bad)
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
    const listed_size *row =
        basis == IEC60228 ? find_size(iec_sizes, SL__COUNT(iec_sizes), IEC_BELOW, mm2, &complaint)
                          : find_size(iso_sizes, SL__COUNT(iso_sizes), ISO_BELOW, mm2, &complaint);
    if (!row) {
        *bad = (sl__complaint){SL__CONDUCTOR_SIZE, complaint};
        return false;
    }
    p[SL__CONDUCTOR_PER_METRE] = (tinned ? row->tinned_ohm_km : row->plain_ohm_km) * 1e-3;
    return true;
}

void sl__conductor_laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)state;
    const double celsius = sl__temperature_or(p[SL__CONDUCTOR_TEMPERATURE], ambient_c);
    const double per_k = metals[(int)p[SL__CONDUCTOR_MATERIAL]].per_k;
    sl__law_resistor(&law[CORE], p[SL__CONDUCTOR_PER_METRE] * p[SL__CONDUCTOR_LENGTH] *
                                     sl__temperature_factor(per_k, celsius) /
                                     (1.0 - p[SL__CONDUCTOR_BROKEN_STRANDS]));
}

double sl__awg_mm2(int gauge)
{
    const double diameter_mm = 0.127 * pow(92.0, (36.0 - gauge) / 39.0);
    return atan(1.0) * diameter_mm * diameter_mm; /* atan(1) is pi / 4 */
}

double sl__temperature_factor(double per_k, double celsius)
{
    return 1.0 + per_k * (celsius - 20.0);
}
