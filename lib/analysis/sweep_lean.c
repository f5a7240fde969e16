/* lib/analysis/sweep_lean.c: the readings of a sweep without the rest of each answer. */
#include <math.h>

#include "analysis/sweep.h"
#include "kinds/kind.h"
#include "solve/lean.h"

/* Of currents that cancel this much must be left. */
#define LEFT_LEAST 1e-4

bool sl__sweep_can_be_lean(const sl_sweep *sweep)
{
    bool lean = true;
    for (int32_t k = 0; k < sweep->reading_count; k++) {
        const sl_sweep_quantity quantity = sweep->reading[k].quantity;
        lean = lean && quantity != SL_SWEEP_POWER;
    }
    return lean;
}

/* Current into the first terminal of a part. False: only the whole answer tells. */
static bool read_current_lean(const sl_case *cs, sl_part part, double *amps)
{
    const sl_kind *kind = &sl__case_part(cs, part)->kind->about;
    double sum = 0.0, size = 0.0;
    for (int32_t e = 0; e < kind->element_count; e++) {
        const bool out = kind->elements[e].from == 0, in = kind->elements[e].to == 0;
        double now = 0.0;
        if ((out || in) && !sl__lean_current(cs, part, e, &now)) {
            return false;
        }
        sum += out ? now : -now;
        size += fabs(now);
    }
    *amps = sum;
    return fabs(sum) >= LEFT_LEAST * size;
}

bool sl__sweep_read_lean(const sl_sweep *sweep, const sl_case *cs, double *values)
{
    bool known = true;
    for (int32_t k = 0; k < sweep->reading_count && known; k++) {
        const sl_sweep_reading *r = &sweep->reading[k];
        double *value = &values[k];
        switch (r->quantity) {
        case SL_SWEEP_VOLTAGE:
            known = sl__lean_between(cs, r->a, r->b, value);
            break;
        case SL_SWEEP_DROP:
            known = sl__lean_between(cs, sl_circuit_part_node(sweep->circuit, r->a, 0),
                                     sl_circuit_part_node(sweep->circuit, r->a, 1), value);
            break;
        case SL_SWEEP_ELEMENT_DROP: {
            const sl_element *ends = &sl_circuit_part_kind(sweep->circuit, r->a)->elements[r->b];
            known = sl__lean_between(cs, sl_circuit_part_node(sweep->circuit, r->a, ends->from),
                                     sl_circuit_part_node(sweep->circuit, r->a, ends->to), value);
            break;
        }
        case SL_SWEEP_STATE: {
            const int32_t state = cs->answer[0].state[r->a];
            *value = state >= 0 ? (double)state : SL__NAN;
            break;
        }
        case SL_SWEEP_ELEMENT_CURRENT:
            known = sl__lean_current(cs, r->a, r->b, value);
            break;
        default:
            known = read_current_lean(cs, r->a, value);
        }
    }
    return known;
}
