/* lib/kinds/heat.c: the heat balance of a wire in calm air, and of a contact. */
#include "kinds/heat.h"

#include <math.h>

#define PI 3.14159265358979323846
#define KELVIN 273.15

/* Air at 20 C, and the powers of the absolute temperature it follows: from memory. */
static const double AIR_K = 293.15;
static const double AIR_WMK = 0.0257, AIR_WMK_POWER = 0.82;  /* conducts heat */
static const double AIR_M2S = 1.51e-5, AIR_M2S_POWER = 1.75; /* kinematic viscosity */
static const double PRANDTL = 0.71;
static const double GRAVITY = 9.81;

/* Insulation, paint and tarnish radiate about alike. */
static const double EMISSIVITY = 0.9, STEFAN = 5.670374e-8;

/* Nusselt number of a horizontal cylinder in calm air, Churchill and Chu, for every Rayleigh
   number: from memory. */
static double nusselt(double rayleigh)
{
    const double prandtl = pow(1.0 + pow(0.559 / PRANDTL, 9.0 / 16.0), 8.0 / 27.0);
    const double root = 0.60 + 0.387 * pow(rayleigh, 1.0 / 6.0) / prandtl;
    return root * root;
}

double sl__wire_loss(const sl__wire *wire, double air_c, double celsius)
{
    const double rise = celsius - air_c;
    if (!(rise > 0.0)) {
        return 0.0;
    }
    const double air_k = air_c + KELVIN, wire_k = celsius + KELVIN, film_k = 0.5 * (air_k + wire_k);
    const double viscosity = AIR_M2S * pow(film_k / AIR_K, AIR_M2S_POWER);
    const double conducts = AIR_WMK * pow(film_k / AIR_K, AIR_WMK_POWER);
    const double d = wire->outer_m;
    const double rayleigh = GRAVITY / film_k * rise * d * d * d * PRANDTL / (viscosity * viscosity);
    const double convection = nusselt(rayleigh) * conducts / d * rise;
    const double radiation =
        EMISSIVITY * STEFAN * (wire_k * wire_k + air_k * air_k) * (wire_k + air_k) * rise;
    return wire->share * PI * d * (convection + radiation);
}

double sl__wire_temperature(const sl__wire *wire, double air_c, double watts_m, double most_c)
{
    if (!(watts_m > 0.0)) {
        return air_c;
    }
    if (sl__wire_loss(wire, air_c, most_c) <= watts_m) {
        return most_c;
    }
    double low = air_c, high = most_c;
    for (int32_t round = 0; round < 64; round++) {
        const double middle = 0.5 * (low + high);
        if (sl__wire_loss(wire, air_c, middle) < watts_m) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return low;
}

static double ohm_m_at(const sl__wire *wire, double celsius)
{
    return wire->ohm_m * (1.0 + wire->per_k * (celsius - 20.0));
}

double sl__wire_amps(const sl__wire *wire, double air_c, double celsius)
{
    return sqrt(sl__wire_loss(wire, air_c, celsius) / ohm_m_at(wire, celsius));
}

double sl__wire_seconds(const sl__wire *wire, double air_c, double celsius, double amps)
{
    enum { STEPS = 500 };
    if (!(celsius > air_c)) {
        return 0.0;
    }
    if (!(amps > sl__wire_amps(wire, air_c, celsius))) {
        return INFINITY;
    }
    /* Gain less loss is above 0 at both ends and, with a loss that grows ever faster, between. */
    const double step = (celsius - air_c) / STEPS;
    double seconds = 0.0;
    for (int32_t n = 0; n < STEPS; n++) {
        const double c = air_c + (n + 0.5) * step;
        const double left = amps * amps * ohm_m_at(wire, c) - sl__wire_loss(wire, air_c, c);
        seconds += left > 0.0 ? wire->heat_j * step / left : 0.0;
    }
    return seconds;
}

double sl__contact_hot(const sl__flow *flow)
{
    static const double HOT_W = 5.0, HOT_V = 0.1;
    const double volts = flow->v + flow->added_v, watts = volts * flow->i;
    return fabs(volts) > HOT_V && watts > HOT_W ? watts : 0.0;
}
