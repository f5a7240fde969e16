/* lib/analysis/sweep_modes.c: the faults that the kinds describe, and how severe they are taken. */
#include "analysis/sweep.h"

#include <math.h>
#include <string.h>

#include "circuit/circuit.h"

/* To three digits, so that the value written in decimals is this one to the last bit: a whole
   number times or over a power of ten, both exact. */
static double three_digits(double value)
{
    if (value == 0.0 || !isfinite(value)) {
        return value;
    }
    int32_t exponent = (int32_t)floor(log10(fabs(value))) - 2;
    double scale = 1.0;
    for (int32_t k = 0; k < (exponent < 0 ? -exponent : exponent); k++) {
        scale *= 10.0;
    }
    return exponent < 0 ? round(value * scale) / scale : round(value / scale) * scale;
}

/* Ranges of a factor of ten or more are gone through by ratios. */
#define BY_RATIO 10.0

void sl_sweep_severities(double least, double greatest, int32_t count, double *out)
{
    const bool ratio = least > 0.0 && greatest / least >= BY_RATIO;
    for (int32_t k = 0; k < count; k++) {
        double share = count == 1 ? 0.5 : k / (count - 1.0);
        double value =
            ratio ? least * pow(greatest / least, share) : least + share * (greatest - least);
        out[k] = share == 0.0   ? least
                 : share == 1.0 ? greatest
                                : fmin(fmax(three_digits(value), least), greatest);
    }
}

sl_edit sl__mode_edit(const sl_kind *kind, sl_part part, int32_t mode, double value)
{
    const sl_mode *of = &kind->modes[mode];
    return (sl_edit){part, of->change, of->index, of->change == SL_OPEN ? 0.0 : value};
}

bool sl__mode_is_of_size(const sl_kind *kind, const sl_mode *mode)
{
    if (mode->change != SL_SET || mode->least == mode->greatest) {
        return false;
    }
    const sl_param *param = &kind->params[mode->index];
    return param->quantity == SL_AREA ||
           (param->quantity == SL_CURRENT && strcmp(param->name, "rating") == 0);
}

/* mm2: nominal sections of IEC 60228, class 5. A: ratings of fuses as they are sold, from memory.
 */
static const double sections[] = {0.5, 0.75, 1,  1.5, 2.5, 4,   6,   10,  16,
                                  25,  35,   50, 70,  95,  120, 150, 185, 240};
static const double ratings[] = {1,  2,  3,  4,   5,   7.5, 10,  15,  20,  25,  30,  35,  40,  50,
                                 60, 70, 80, 100, 125, 150, 175, 200, 225, 250, 300, 350, 400, 500};

/* Can a part stand with another value of a parameter? */
static bool stands(const sl_circuit *circuit, sl_part part, int32_t param, double value)
{
    const sl__part *of = &circuit->parts.part[part];
    const sl_kind *kind = &of->kind->about;
    double given[64], complete[64];
    sl__message why = {""};
    if (kind->param_count > SL__COUNT(given)) {
        return false;
    }
    memcpy(given, &circuit->parts.given[of->value_at], (size_t)kind->param_count * sizeof *given);
    given[param] = value;
    return sl__parts_complete(of->kind, "", given, complete, &why) == SL_OK;
}

double sl__smaller_size(const sl_circuit *circuit, sl_part part, const sl_mode *mode)
{
    const int32_t param = mode->index;
    double size = SL__NAN;
    sl_origin origin = SL_NOT_SET;
    sl_circuit_part_value(circuit, part, param, &size, &origin);
    const bool area = sl_circuit_part_kind(circuit, part)->params[param].quantity == SL_AREA;
    const double *sizes = area ? sections : ratings;
    int32_t k = area ? SL__COUNT(sections) : SL__COUNT(ratings);
    if (origin != SL_GIVEN || isnan(size)) {
        return SL__NAN;
    }
    while (--k >= 0) {
        if (sizes[k] < size && sizes[k] >= mode->least && sizes[k] <= mode->greatest &&
            stands(circuit, part, param, sizes[k])) {
            return sizes[k];
        }
    }
    return SL__NAN;
}

static sl_status add_of_size(sl_sweep *sweep, sl_part part, int32_t mode)
{
    const sl_kind *kind = sl_circuit_part_kind(sweep->circuit, part);
    double size = sl__smaller_size(sweep->circuit, part, &kind->modes[mode]);
    return isnan(size) ? SL_OK : sl_sweep_add_mode(sweep, part, mode, size);
}

#define SEVERITIES_MOST 1000

sl_status sl_sweep_add_modes(sl_sweep *sweep, sl_part part, int32_t severities)
{
    if (part < 0 || part >= sl_circuit_part_count(sweep->circuit) || severities < 1 ||
        severities > SEVERITIES_MOST) {
        return sl__fail(&sweep->message, SL_E_ARG,
                        "%d severities of part %d; allowed: 1 to %d, of a part of the circuit",
                        (int)severities, (int)part, SEVERITIES_MOST);
    }
    const sl_kind *kind = sl_circuit_part_kind(sweep->circuit, part);
    const int32_t before = sweep->fault_count;
    double value[SEVERITIES_MOST];
    sl_status st = SL_OK;
    for (int32_t m = 0; m < kind->mode_count && st == SL_OK; m++) {
        const sl_mode *mode = &kind->modes[m];
        if (sl_circuit_part_lacks(sweep->circuit, part, SL_LACKS_MODE, m) ||
            sl_circuit_mode_is_unused(sweep->circuit, part, m)) {
            continue;
        }
        const bool fixed = mode->change == SL_OPEN || mode->least == mode->greatest;
        if (sl__mode_is_of_size(kind, mode)) {
            st = add_of_size(sweep, part, m);
            continue;
        }
        int32_t count = fixed ? 1 : severities;
        sl_sweep_severities(mode->least, mode->greatest, count, value);
        for (int32_t k = 0; k < count && st == SL_OK; k++) {
            st = sl_sweep_add_mode(sweep, part, m, value[k]);
        }
    }
    if (st != SL_OK) {
        sl__sweep_truncate(sweep, before);
    }
    return st;
}
