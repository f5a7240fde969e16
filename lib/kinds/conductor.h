/* lib/kinds/conductor.h: a length of metal: what cable and strap have in common. */
#ifndef SL_KINDS_CONDUCTOR_H
#define SL_KINDS_CONDUCTOR_H

#include "kinds/kind.h"

enum {
    SL__CONDUCTOR_SIZE,
    SL__CONDUCTOR_LENGTH,
    SL__CONDUCTOR_MATERIAL,
    SL__CONDUCTOR_BASIS,
    SL__CONDUCTOR_PER_METRE,
    SL__CONDUCTOR_STRANDS,
    SL__CONDUCTOR_STRAND_DIAMETER,
    SL__CONDUCTOR_BROKEN_STRANDS,
    SL__CONDUCTOR_TEMPERATURE,
    SL__CONDUCTOR_INSULATION,
    SL__CONDUCTOR_LIMIT,
    SL__CONDUCTOR_BUNDLE,
    SL__CONDUCTOR_AMPACITY,
    SL__CONDUCTOR_DUTY,
    SL__CONDUCTOR_HEATING,
    SL__CONDUCTOR_METAL_TEMPERATURE,
    SL__CONDUCTOR_ROLE,
    SL__CONDUCTOR_HARMLESS_UP_TO,
    SL__CONDUCTOR_PARAM_COUNT
};

/* Choices of its insulation. */
enum { SL__PVC, SL__PVC_105, SL__CROSS_LINKED, SL__SILICONE, SL__BARE };

enum {
    SL__CONDUCTOR_TERMINAL_COUNT = 2,
    SL__CONDUCTOR_MODE_COUNT = 4,
    SL__CONDUCTOR_NOTICE_COUNT = 6
};

extern const sl_terminal sl__conductor_terminals[SL__CONDUCTOR_TERMINAL_COUNT];
extern const sl_param sl__conductor_params[SL__CONDUCTOR_PARAM_COUNT];
extern const sl_usual sl__conductor_usual[2];
extern const sl_element sl__conductor_elements[1];
extern const sl_mode sl__conductor_modes[SL__CONDUCTOR_MODE_COUNT];
extern const sl_notice_def sl__conductor_notices[SL__CONDUCTOR_NOTICE_COUNT];

#define SL__CONDUCTOR_LAW                                                                          \
    "v = i R, R = length x (ohm/m at 20 C) x (1 + a (T - 20 C)) / (1 - broken strands). Heat: "    \
    "i^2 R against convection and radiation of a round wire in calm air, and while it warms "      \
    "against the heat the metal alone takes up"
#define SL__CONDUCTOR_STANDING                                                                     \
    "resistivity and a of copper: NBS Handbook 100; of the other metals: from memory; IEC 60228 "  \
    "class 5 and ISO 6722: their greatest allowed resistance; loss to air: general physics, "      \
    "where it lies 0.73 of it, which meets the ABYC ratings of 105 C wire within 8 %; warming: "   \
    "the adiabatic equation of IEC 60949, from memory"

#define SL__CONDUCTOR_CHECK                                                                        \
    "resistance: ASTM B258 and NBS wire tables, IEC 60228, ISO 6722; drops: FAA AC 43.13-1B "      \
    "tables 11-7 and 11-8, ABYC E-11, SAE J541; rise with temperature: NBS Handbook 100; heat: "   \
    "fusing currents of Onderdonk and Preece, ampacities of ABYC E-11"

/* insulation: what it has when that is not given. */
bool sl__conductor_complete(double *p, int insulation, sl__complaint *bad);
void sl__conductor_laws(const double *p, double ambient_c, int32_t state, sl__law *law);
double sl__conductor_trim(const double *p, double ambient_c, int32_t state, const sl__flow *flow);
bool sl__conductor_trims(const double *p);
void sl__conductor_notice(const double *p, int32_t state, const sl__flow *flow,
                          sl__notice_list *list);

/* The greatest resistance at 20 C of a copper conductor of a nominal section, in ohm/km: class 5 of
   IEC 60228, and ISO 6722. NaN and what to say when the standard has no such section. */
double sl__iec60228_ohm_km(double mm2, bool tinned, const char **complaint);
double sl__iso6722_ohm_km(double mm2, const char **complaint);

/* The sections of class 5, thin to thick. */
int32_t sl__iec60228_count(void);
double sl__iec60228_mm2(int32_t index);

/* Section of a solid wire of American gauge; 0, -1, -2, -3 stand for 1/0, 2/0, 3/0, 4/0. */
double sl__awg_mm2(int gauge);

/* The metals, in the order of the choices of `material`: names, ended by NULL, resistivity at 20 C,
   temperature coefficient at 20 C. */
enum { SL__METAL_STEEL = 5, SL__METAL_LAST = 6 };
extern const char *const sl__metal_names[];
double sl__metal_ohm_m(int metal);
double sl__metal_per_k(int metal);

/* What a resistance known at 20 C is multiplied by. */
double sl__temperature_factor(double per_k, double celsius);

/* What the descriptions of all conductors share, and what they do. */
#define SL__CONDUCTOR_ABOUT                                                                        \
    .law = SL__CONDUCTOR_LAW, .standing = SL__CONDUCTOR_STANDING, .check = SL__CONDUCTOR_CHECK,    \
    .terminals = sl__conductor_terminals, .terminal_count = SL__COUNT(sl__conductor_terminals),    \
    .params = sl__conductor_params, .param_count = SL__COUNT(sl__conductor_params),                \
    .usual = sl__conductor_usual, .usual_count = SL__COUNT(sl__conductor_usual),                   \
    .elements = sl__conductor_elements, .element_count = SL__COUNT(sl__conductor_elements),        \
    .uses = (const sl_use[]){SL_WIRE}, .modes = sl__conductor_modes,                               \
    .mode_count = SL__COUNT(sl__conductor_modes), .notices = sl__conductor_notices,                \
    .notice_count = SL__COUNT(sl__conductor_notices), .start_param = -1, .position_param = -1,     \
    .negative_post = -1
#define SL__CONDUCTOR_DOES                                                                         \
    .laws = sl__conductor_laws, .trim = sl__conductor_trim, .trims = sl__conductor_trims,          \
    .trim_param = SL__CONDUCTOR_METAL_TEMPERATURE, .notice = sl__conductor_notice

#endif
