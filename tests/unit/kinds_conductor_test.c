/* Cables and straps against published wire tables. */
#include "kindprobe.h"
#include "kinds/conductor.h"
#include "near.h"

/* ohm/m at 20 C of a cable of that section. */
static double per_metre(const char *basis, const char *material, double mm2)
{
    probe part = probe_of("cable");
    probe_set(&part, "size", mm2);
    probe_set(&part, "length", 1.0);
    probe_choose(&part, "basis", basis);
    probe_choose(&part, "material", material);
    return probe_ohm(&part, 20.0);
}

/* Diameter and area: ASTM B258 / NBS Handbook 100; ohm per 1000 ft at 20 C: NBS copper wire
   tables as reprinted. */
static const struct {
    const char *label;
    int gauge;
    double diameter_mm, mm2, ohm_kft;
} awg[] = {
    {"4/0", -3, 11.6840, 107.22, 0.0490}, {"3/0", -2, 10.4049, 85.029, 0.0618},
    {"2/0", -1, 9.2658, 67.431, 0.0779},  {"1/0", 0, 8.2515, 53.475, 0.0983},
    {"1", 1, 7.3481, 42.408, 0.1239},     {"2", 2, 6.5437, 33.631, 0.1563},
    {"3", 3, 5.8273, 26.67, 0.1970},      {"4", 4, 5.1894, 21.151, 0.2485},
    {"5", 5, 4.6213, 16.773, 0.3133},     {"6", 6, 4.1154, 13.302, 0.3951},
    {"7", 7, 3.6649, 10.549, 0.4982},     {"8", 8, 3.2636, 8.3656, 0.6282},
    {"9", 9, 2.9064, 6.6342, 0.7921},     {"10", 10, 2.5882, 5.2612, 0.9989},
    {"11", 11, 2.3048, 4.1723, 1.260},    {"12", 12, 2.0525, 3.3088, 1.588},
    {"13", 13, 1.8278, 2.624, 2.003},     {"14", 14, 1.6277, 2.0809, 2.525},
    {"15", 15, 1.4495, 1.6502, 3.184},    {"16", 16, 1.2908, 1.3087, 4.016},
    {"17", 17, 1.1495, 1.0378, 5.064},    {"18", 18, 1.0237, 0.82305, 6.385},
    {"19", 19, 0.9116, 0.65271, 8.051},   {"20", 20, 0.8118, 0.51762, 10.15},
    {"21", 21, 0.7229, 0.41049, 12.80},   {"22", 22, 0.6438, 0.32553, 16.14},
    {"23", 23, 0.5733, 0.25816, 20.36},   {"24", 24, 0.5106, 0.20473, 25.67},
    {"25", 25, 0.4547, 0.16236, 32.37},   {"26", 26, 0.4049, 0.12876, 40.81},
    {"27", 27, 0.3606, 0.10211, 51.47},   {"28", 28, 0.3211, 0.080976, 64.90},
    {"29", 29, 0.2859, 0.064217, 81.83},  {"30", 30, 0.2546, 0.050926, 103.2},
};

static void gauge_gives_published_section_and_resistance(void **unused)
{
    (void)unused;
    for (size_t r = 0; r < sizeof awg / sizeof *awg; r++) {
        const double mm2 = sl__awg_mm2(awg[r].gauge);
        assert_near(awg[r].label, mm2, awg[r].mm2, 1e-4);
        assert_near(awg[r].label, sqrt(mm2 / atan(1.0)), awg[r].diameter_mm, 2e-4);
        /* The tables print four figures, three for 4/0 to 1/0. */
        assert_near(awg[r].label, per_metre("metal", "copper", mm2),
                    awg[r].ohm_kft / 1000.0 / 0.3048, 1e-3);
    }
    /* Three gauges double the area, ten make ten of it, within the formula's own figures. */
    assert_near("3 gauges", sl__awg_mm2(7) / sl__awg_mm2(10), 2.0050, 1e-4);
    assert_near("10 gauges", sl__awg_mm2(2) / sl__awg_mm2(12), 10.164, 1e-4);
}

/* IEC 60228, class 5 plain and tinned, ohm/km at 20 C, three reprints. */
static const struct {
    double mm2, plain, tinned;
} iec[] = {
    {0.5, 39.0, 40.1},  {0.75, 26.0, 26.7}, {1, 19.5, 20.0},     {1.5, 13.3, 13.7},
    {2.5, 7.98, 8.21},  {4, 4.95, 5.09},    {6, 3.3, 3.39},      {10, 1.91, 1.95},
    {16, 1.21, 1.24},   {25, 0.78, 0.795},  {35, 0.554, 0.565},  {50, 0.386, 0.393},
    {70, 0.272, 0.277}, {95, 0.206, 0.21},  {120, 0.161, 0.164},
};

static void iec60228_gives_every_listed_maximum(void **unused)
{
    (void)unused;
    for (size_t r = 0; r < sizeof iec / sizeof *iec; r++) {
        const double plain = per_metre("iec60228", "copper", iec[r].mm2);
        assert_near("plain", plain, iec[r].plain * 1e-3, 1e-12);
        assert_near("tinned", per_metre("iec60228", "tinned copper", iec[r].mm2),
                    iec[r].tinned * 1e-3, 1e-12);
        /* A limit: 10 to 16 % above what copper of the nominal section has. */
        const double over = plain / per_metre("metal", "copper", iec[r].mm2);
        assert_in_range((int)(over * 1000.0), 1099, 1165);
    }
}

/* ISO 6722, mohm/m at 20 C; maker data sheets and, for the sizes they do not give, from memory. */
static const struct {
    double mm2, mohm_m;
} iso[] = {
    {0.13, 136}, {0.22, 84.8}, {0.35, 54.4}, {0.5, 37.1}, {0.75, 24.7}, {1, 18.5},   {1.25, 14.9},
    {1.5, 12.7}, {2, 9.42},    {2.5, 7.6},   {3, 6.15},   {4, 4.71},    {5, 3.94},   {6, 3.14},
    {8, 2.38},   {10, 1.82},   {12, 1.52},   {16, 1.16},  {20, 0.955},  {25, 0.743}, {30, 0.647},
    {35, 0.527}, {40, 0.473},  {50, 0.368},  {60, 0.315}, {70, 0.259},  {95, 0.196}, {120, 0.153},
};

static void iso6722_gives_every_listed_maximum(void **unused)
{
    (void)unused;
    for (size_t r = 0; r < sizeof iso / sizeof *iso; r++) {
        const double ohm_m = per_metre("iso6722", "copper", iso[r].mm2);
        assert_near("ISO 6722", ohm_m, iso[r].mohm_m * 1e-3, 1e-12);
        assert_in_range((int)(ohm_m * iso[r].mm2 * 1e6), 17600, 19800);
    }
}

/* AC 43.13-1B Table 11-9: greatest resistance of tin-plated copper aircraft wire at 20 C. */
static const struct {
    double mm2, mohm_m;
} aircraft[] = {
    {0.2407, 93.18}, {0.3826, 53.15}, {0.6162, 32.41}, {0.9627, 20.44}, {1.229, 15.78},
    {1.941, 10.04},  {2.976, 6.627},  {4.74, 4.134},   {8.605, 2.297},  {13.59, 1.444},
    {21.59, 0.9186}, {33.7, 0.5906},  {41.4, 0.4921},  {52.95, 0.3937}, {67.39, 0.2953},
    {84.37, 0.2297}, {106.9, 0.1969},
};

static void copper_keeps_below_the_aircraft_limit(void **unused)
{
    (void)unused;
    for (size_t r = 0; r < sizeof aircraft / sizeof *aircraft; r++) {
        const double of_limit =
            per_metre("metal", "tinned copper", aircraft[r].mm2) / (aircraft[r].mohm_m * 1e-3);
        assert_in_range((int)(of_limit * 1000.0), 760, 900);
    }
}

static void other_metals_follow_their_resistivity(void **unused)
{
    (void)unused;
    /* 10 mm2; ohm m of handbook tables, from memory. */
    assert_near("copper is 1/58", per_metre("metal", "copper", 10.0), 1.0 / 580.0, 1e-14);
    assert_near("hard copper", per_metre("metal", "hard copper", 10.0), 1.7774e-3, 1e-12);
    assert_near("aluminium", per_metre("metal", "aluminium", 10.0), 2.8264e-3, 1e-12);
    assert_near("brass", per_metre("metal", "brass", 10.0), 6.2e-3, 1e-12);
    assert_near("steel", per_metre("metal", "steel", 10.0), 14.3e-3, 1e-12);
    assert_near("stainless", per_metre("metal", "stainless steel", 10.0), 72e-3, 1e-12);
}

/* Change per kelvin from 20 C: copper NBS Handbook 100, the others from memory. */
static void each_metal_has_its_temperature_coefficient(void **unused)
{
    (void)unused;
    static const struct {
        const char *material;
        double per_k;
    } rows[] = {{"copper", 0.00393},       {"tinned copper", 0.00393}, {"hard copper", 0.00381},
                {"aluminium", 0.00403},    {"brass", 0.0015},          {"steel", 0.005},
                {"stainless steel", 0.001}};
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        probe part = probe_of("strap");
        probe_set(&part, "size", 25.0);
        probe_set(&part, "length", 0.3);
        probe_choose(&part, "material", rows[r].material);
        assert_near(rows[r].material, probe_ohm(&part, 120.0) / probe_ohm(&part, 20.0),
                    1.0 + 100.0 * rows[r].per_k, 1e-12);
    }
}

static void temperature_follows_handbook_100(void **unused)
{
    (void)unused;
    probe part = probe_of("strap");
    probe_set(&part, "size", 16.0);
    probe_set(&part, "length", 0.4);
    const double at_20 = probe_ohm(&part, 20.0);
    static const struct {
        double celsius, factor; /* (234.5 + T) / 254.5 */
    } exact[] = {{75.0, 1.2162}, {100.0, 1.3144}, {-18.0, 0.8507}, {-40.0, 0.7642}};
    for (size_t r = 0; r < sizeof exact / sizeof *exact; r++) {
        assert_near("factor", probe_ohm(&part, exact[r].celsius) / at_20, exact[r].factor, 1.5e-4);
    }
    /* Factors to 20 C tabulated with IEC 60228, in the rounded form 250/(230 + T). */
    static const struct {
        double celsius, factor;
    } iec_factor[] = {{5, 1.064},  {10, 1.042}, {25, 0.980}, {30, 0.962}, {40, 0.926},
                      {50, 0.893}, {70, 0.833}, {90, 0.781}, {100, 0.758}};
    for (size_t r = 0; r < sizeof iec_factor / sizeof *iec_factor; r++) {
        assert_near("Kt", at_20 / probe_ohm(&part, iec_factor[r].celsius), iec_factor[r].factor,
                    5e-3);
    }
    probe_set(&part, "temperature", 75.0);
    assert_near("its own temperature wins", probe_ohm(&part, -40.0) / at_20, 1.21615, 1e-9);
}

static void length_and_broken_strands_scale(void **unused)
{
    (void)unused;
    /* One strand of 0.2 mm: 549 mohm/m, 27 mohm in 50 mm. */
    const double strand_mm2 = atan(1.0) * 0.2 * 0.2;
    assert_near("one strand", per_metre("metal", "copper", strand_mm2), 0.549, 1e-3);
    /* 2.0 m of 35 mm2 at the class 5 limit leave 0.89 of 2.0 mohm for the joints. */
    probe part = probe_of("cable");
    probe_set(&part, "size", 35.0);
    probe_set(&part, "length", 2.0);
    probe_choose(&part, "basis", "iec60228");
    assert_near("2 m", 2.0e-3 - probe_ohm(&part, 20.0), 0.892e-3, 1e-9);
    probe_mode(&part, "broken strands", 0.9);
    assert_near("a tenth is left", probe_ohm(&part, 20.0), 11.08e-3, 1e-12);
    probe_mode(&part, "broken strands", 0.01);
    probe_mode(&part, "wrong size", 10.0);
    assert_near("wrong size", probe_ohm(&part, 20.0), 2.0 * 1.91e-3 / 0.99, 1e-12);
}

static void per_metre_is_taken_as_given(void **unused)
{
    (void)unused;
    probe part = probe_of("cable");
    probe_set(&part, "length", 3.0);
    probe_set(&part, "per_metre", 1.5e-3);
    assert_near("without a size", probe_ohm(&part, 20.0), 4.5e-3, 1e-14);
    probe_set(&part, "size", 1.0);
    probe_choose(&part, "basis", "iso6722");
    assert_near("instead of its size", probe_ohm(&part, 20.0), 4.5e-3, 1e-14);
    assert_near("warm", probe_ohm(&part, 120.0), 4.5e-3 * 1.393, 1e-12);
}

static void complaints_name_the_nearest_sizes(void **unused)
{
    (void)unused;
    probe part = probe_of("cable");
    probe_set(&part, "length", 1.0);
    probe_complains(&part, "size", "per_metre");
    static const struct {
        const char *basis;
        double mm2;
        const char *word;
    } rows[] = {
        {"iec60228", 0.35, "from 0.5 mm2"},    {"iec60228", 0.6, "0.5 and 0.75 mm2"},
        {"iec60228", 2.08, "1.5 and 2.5 mm2"}, {"iec60228", 100.0, "95 and 120 mm2"},
        {"iec60228", 150.0, "up to 120 mm2"},  {"iso6722", 0.1, "from 0.13 mm2"},
        {"iso6722", 3.31, "3 and 4 mm2"},      {"iso6722", 45.0, "40 and 50 mm2"},
        {"iso6722", 120.01, "up to 120 mm2"},
    };
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        probe_choose(&part, "basis", rows[r].basis);
        probe_set(&part, "size", rows[r].mm2);
        probe_complains(&part, "size", rows[r].word);
    }
    probe_set(&part, "size", 10.0);
    probe_choose(&part, "material", "aluminium");
    probe_complains(&part, "material", "metal");
    probe_choose(&part, "material", "tinned copper");
    probe_complains(&part, "material", "plain copper");
    probe_choose(&part, "basis", "iec60228");
    assert_near("tinned", probe_ohm(&part, 20.0), 1.95e-3, 1e-12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(gauge_gives_published_section_and_resistance),
        cmocka_unit_test(iec60228_gives_every_listed_maximum),
        cmocka_unit_test(iso6722_gives_every_listed_maximum),
        cmocka_unit_test(copper_keeps_below_the_aircraft_limit),
        cmocka_unit_test(other_metals_follow_their_resistivity),
        cmocka_unit_test(each_metal_has_its_temperature_coefficient),
        cmocka_unit_test(temperature_follows_handbook_100),
        cmocka_unit_test(length_and_broken_strands_scale),
        cmocka_unit_test(per_metre_is_taken_as_given),
        cmocka_unit_test(complaints_name_the_nearest_sizes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
