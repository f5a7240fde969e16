/* lib/kinds/filament.c: current and light of a glowing filament. */
#include "kinds/filament.h"

#include <math.h>

enum { FILAMENT };

static const double CURRENT_EXPONENT = 0.55, LIGHT_EXPONENT = 3.4;
static const double DARK_LIGHT = 0.01;
static const double BURNS_OUT = 1.3; /* times full_light, in volts */

const sl_notice_def sl__filament_notices[] = {
    [SL__FILAMENT_LIGHT] = {"light", SL_FRACTION, "lamp at @ light"},
    [SL__FILAMENT_DARK] = {"dark", SL_NUMBER, "lamp dark"},
    [SL__FILAMENT_BURNS_OUT] = {"burns out", SL_FRACTION, "lamp at @ light: it will burn out"},
    [SL__FILAMENT_HOT_SPOT] = SL__HOT_SPOT_ROW,
};

const sl_element sl__filament_elements[] = {
    [FILAMENT] = {"filament", 0, 1, "the wire that glows"},
};

const sl_mode sl__filament_modes[] = {
    {"open", SL_OPEN, FILAMENT, 0.0, 0.0, "burnt out, or not in its socket", SL__PRACTICE},
    {"added resistance", SL_SERIES, FILAMENT, 1e-3, 1e3, "a poor contact in its socket",
     SL__PRACTICE},
};

/* Ratings are printed rounded, 21 W beside 1.75 A; further apart than this one of them is wrong. */
static const double AGREE = 0.03;

bool sl__filament_complete(double *p, double usual_a, sl__complaint *bad)
{
    const double rated_v = p[SL__FILAMENT_VOLTAGE];
    double *power = &p[SL__FILAMENT_POWER], *current = &p[SL__FILAMENT_CURRENT];
    if (isnan(*power) && isnan(*current)) {
        if (isnan(usual_a)) {
            *bad = (sl__complaint){SL__FILAMENT_POWER,
                                   "give `power` or `current`, its rating at `voltage`"};
            return false;
        }
        *current = usual_a;
    }
    if (isnan(*current)) {
        *current = *power / rated_v;
    } else if (isnan(*power)) {
        *power = *current * rated_v;
    } else if (fabs(*current * rated_v - *power) > AGREE * *power) {
        *bad = (sl__complaint){SL__FILAMENT_CURRENT,
                               "`power`, `current` and `voltage` do not agree: power is voltage "
                               "times current; leave out `power` or `current`"};
        return false;
    }
    if (isnan(p[SL__FILAMENT_FULL_LIGHT])) {
        const double reference = rated_v < 18.0 ? 13.2 / 12.0 : 28.0 / 24.0;
        p[SL__FILAMENT_FULL_LIGHT] = reference * rated_v;
    }
    return true;
}

/* Up to the knee the filament is cold and ohmic; above it the current follows the power. In this
   order, see `bent` of a law. */
enum { COLD_S, KNEE_V, KNEE_A, POWER_A };

static void filament(const double k[SL__CURVE_ROOM], double v, double *i, double *slope)
{
    const double volts = fabs(v);
    if (volts <= k[KNEE_V]) {
        *i = k[COLD_S] * v;
        *slope = k[COLD_S];
        return;
    }
    const double amps = k[POWER_A] * pow(volts, CURRENT_EXPONENT);
    *slope = CURRENT_EXPONENT * amps / volts;
    /* The two pieces meet but for the last bit; there the current must not step down. */
    *i = copysign(amps > k[KNEE_A] ? amps : k[KNEE_A], v);
}

void sl__filament_laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    (void)state;
    const double rated_v = p[SL__FILAMENT_VOLTAGE], rated_a = p[SL__FILAMENT_CURRENT];
    const double hot_s = rated_a / rated_v;
    const double cold_s = hot_s * p[SL__FILAMENT_COLD_RATIO];
    const double knee_v =
        rated_v * pow(p[SL__FILAMENT_COLD_RATIO], -1.0 / (1.0 - CURRENT_EXPONENT));
    sl__law *wire = &law[FILAMENT];
    wire->form = SL__CURVE;
    wire->curve = filament;
    wire->scale_s = hot_s;
    wire->bent = CURRENT_EXPONENT;
    wire->k[COLD_S] = cold_s;
    wire->k[KNEE_V] = knee_v;
    wire->k[KNEE_A] = cold_s * knee_v;
    wire->k[POWER_A] = rated_a * pow(rated_v, -CURRENT_EXPONENT);
}

void sl__filament_notice(const double *p, int32_t state, const sl__flow *flow,
                         sl__notice_list *list)
{
    (void)state;
    /* From the current, so that a poor contact in series does not count as light. Where the
       filament is cold this says less than its voltage, and both are dark. */
    const double share = fabs(flow[FILAMENT].i) / p[SL__FILAMENT_CURRENT];
    const double volts = p[SL__FILAMENT_VOLTAGE] * pow(share, 1.0 / CURRENT_EXPONENT);
    const double light = pow(volts / p[SL__FILAMENT_FULL_LIGHT], LIGHT_EXPONENT);
    if (light < DARK_LIGHT) {
        sl__notice(list, SL__FILAMENT_DARK, 0.0);
    } else {
        const bool burns = volts > BURNS_OUT * p[SL__FILAMENT_FULL_LIGHT];
        sl__notice(list, burns ? SL__FILAMENT_BURNS_OUT : SL__FILAMENT_LIGHT, light);
    }
}
