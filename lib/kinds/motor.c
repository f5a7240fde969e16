/* lib/kinds/motor.c: a direct-current motor and the drag it works against. */
#include "kinds/motor.h"

#include <math.h>

/* What the law keeps. At TURNS_A, TURNS_V it starts to turn, and AT_REST is dv/di just above that.
   GAIN is flux squared over the rise of the drag: the resistance a turning load adds once the iron
   is saturated. x amperes above TURNS_A need at least (OHM + GAIN) x - OFFSET volts above TURNS_V.
 */
enum { OHM, SATURATION, TURNS_A, TURNS_V, GAIN, AT_REST, OFFSET };

double sl__motor_flux(const sl__motor *motor, double i)
{
    double a = fabs(i);
    return a > 0.0 ? motor->flux_nm_a * (a / (a + motor->saturation_a)) : 0.0;
}

double sl__motor_torque(const sl__motor *motor, double i)
{
    return sl__motor_flux(motor, i) * fabs(i);
}

double sl__motor_speed(const sl__motor *motor, double v, double i)
{
    double flux = sl__motor_flux(motor, i);
    double back_v = (i < 0.0 ? -v : v) - motor->ohm * fabs(i);
    return flux > 0.0 && back_v > 0.0 ? back_v / flux : 0.0;
}

double sl__motor_voltage(const sl__motor *motor, const sl__drag *load, double i)
{
    double left_nm = sl__motor_torque(motor, i) - load->rest_nm;
    double speed = left_nm > 0.0 ? left_nm / load->rise_nms : 0.0;
    return motor->ohm * i + sl__motor_flux(motor, i) * speed;
}

/* The voltage `x` amperes above TURNS_A needs above TURNS_V, and its slope. The torque left for
   speed, flux(i) i - rest, is written as a multiple of x, so that nothing cancels near standstill.
 */
static double above_rest(const double k[SL__CURVE_ROOM], double x, double *slope)
{
    double s = k[SATURATION], start = k[TURNS_A], i = start + x;
    double share = i / (i + s), share_slope = s / (i + s) / (i + s);
    double left = x * ((i * start + s * (i + start)) / ((i + s) * (start + s)));
    *slope = k[OHM] + k[GAIN] * (share_slope * left + share * (share + i * share_slope));
    return k[OHM] * x + k[GAIN] * share * left;
}

static void curve(const double k[SL__CURVE_ROOM], double v, double *i, double *slope)
{
    double want = fabs(v) - k[TURNS_V];
    if (!(want > 0.0)) {
        *i = v / k[OHM];
        *slope = 1.0 / k[OHM];
        return;
    }
    /* The voltage is convex in the current. Its tangent at rest and the line it nears both lie
       below it, so each gives a current that is not too small, and from there Newton's steps only
       come down. Each squares the error: after a step this small only rounding is left. */
    double x = fmin(want / k[AT_REST], (want + k[OFFSET]) / (k[OHM] + k[GAIN]));
    double ohm = 0.0;
    for (int32_t round = 0; round < 40; round++) {
        double step = (above_rest(k, x, &ohm) - want) / ohm;
        x = fmax(x - step, 0.0);
        if (!(step > 1e-8 * x)) {
            break;
        }
    }
    (void)above_rest(k, x, &ohm);
    *i = copysign(k[TURNS_A] + x, v);
    *slope = 1.0 / ohm;
}

void sl__law_motor(sl__law *law, const sl__motor *motor, const sl__drag *load, double scale_s)
{
    double s = motor->saturation_a;
    double half = 0.5 * load->rest_nm / motor->flux_nm_a;
    double *k = law->k;
    law->form = SL__CURVE;
    law->curve = curve;
    law->scale_s = scale_s;
    k[OHM] = motor->ohm;
    k[SATURATION] = s;
    k[TURNS_A] = half + sqrt(half * (half + 2.0 * s)); /* flux(i) i = rest */
    k[TURNS_V] = motor->ohm * k[TURNS_A];
    k[GAIN] = motor->flux_nm_a * motor->flux_nm_a / load->rise_nms;
    k[OFFSET] = k[GAIN] * s * (1.0 + s / (k[TURNS_A] + s));
    (void)above_rest(k, 0.0, &k[AT_REST]);
}
