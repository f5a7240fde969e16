/* lib/circuit/spread.c: how far parameters may be off: given with the circuit, and usual ones. */
#include "circuit/spread.h"

#include <math.h>
#include <string.h>

#include "base/memory.h"
#include "circuit/circuit.h"

/* Records stand in this order. */
static int compare(const sl__spread_record *r, sl_condition condition, sl_part part, int32_t param)
{
    return r->part != part     ? (r->part > part) - (r->part < part)
           : r->param != param ? (r->param > param) - (r->param < param)
                               : (r->condition > condition) - (r->condition < condition);
}

/* Where the record that is just for this stands, or would. */
static int32_t place_of(const sl_circuit *c, sl_condition condition, sl_part part, int32_t param)
{
    int32_t low = 0, high = c->spread_count;
    while (low < high) {
        const int32_t middle = low + (high - low) / 2;
        if (compare(&c->spread[middle], condition, part, param) < 0) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return low;
}

/* The record that is just for this, or NULL. */
static sl__spread_record *find(const sl_circuit *c, sl_condition condition, sl_part part,
                               int32_t param)
{
    const int32_t k = place_of(c, condition, part, param);
    const bool there = k < c->spread_count && compare(&c->spread[k], condition, part, param) == 0;
    return there ? &c->spread[k] : NULL;
}

static sl_status check(sl_circuit *c, sl_condition condition, sl_part part, int32_t param,
                       const sl_spread *spread)
{
    bool known = condition >= SL_NONE && condition < c->condition_names.count && part >= SL_NONE &&
                 part < c->parts.names.count;
    const sl_kind *kind = known && part != SL_NONE ? &c->parts.part[part].kind->about : NULL;
    if (!known || (kind && (param < 0 || param >= kind->param_count))) {
        return sl__fail(&c->message, SL_E_ARG, "a spread is of no such condition, part or field");
    }
    const char *name = kind ? kind->params[param].name : "temperature";
    const char *owner = kind ? c->parts.names.text[part] : "circuit";
    if (kind && kind->params[param].quantity == SL_CHOICE) {
        return sl__fail(&c->message, SL_E_ARG, "\"%s\": %s is a choice, which has no spread", owner,
                        name);
    }
    bool sized =
        spread->down >= 0.0 && spread->up >= 0.0 && isfinite(spread->down) && isfinite(spread->up);
    if (!sized || (spread->relative && spread->down >= 1.0)) {
        return sl__fail(&c->message, SL_E_VALUE,
                        "\"%s\": the spread of %s is -%g +%g%s; allowed: 0 or more, and less than "
                        "100 %% below the value",
                        owner, name, spread->down, spread->up,
                        spread->relative ? " of its value" : "");
    }
    if (!kind && spread->relative) {
        return sl__fail(&c->message, SL_E_VALUE,
                        "a temperature is off by kelvins, not by a share of it");
    }
    return SL_OK;
}

sl_status sl_circuit_set_spread(sl_circuit *c, sl_condition condition, sl_part part, int32_t param,
                                const sl_spread *spread)
{
    sl_status st = check(c, condition, part, param, spread);
    if (st != SL_OK) {
        return st;
    }
    param = part == SL_NONE ? 0 : param;
    sl__spread_record *record = find(c, condition, part, param);
    if (!record) {
        sl__spread_record *grown =
            sl__reserve(&c->al, c->spread, &c->spread_room, c->spread_count + 1, sizeof *grown);
        if (!grown) {
            return sl__fail(&c->message, SL_E_NOMEM, "%s", sl_status_text(SL_E_NOMEM));
        }
        c->spread = grown;
        const int32_t at = place_of(c, condition, part, param);
        record = &c->spread[at];
        memmove(record + 1, record, (size_t)(c->spread_count++ - at) * sizeof *record);
    }
    *record = (sl__spread_record){condition, part, param, *spread};
    return SL_OK;
}

bool sl_circuit_spread(const sl_circuit *c, sl_condition condition, sl_part part, int32_t param,
                       sl_spread *out)
{
    param = part == SL_NONE ? 0 : param;
    const sl__spread_record *record = find(c, condition, part, param);
    if (!record) {
        record = find(c, SL_NONE, part, param);
    }
    if (record) {
        *out = record->spread;
    }
    return record != NULL;
}

double sl__spread_value(const sl_spread *spread, double value, double z, double least,
                        double greatest)
{
    double size = (z < 0.0 ? spread->down : spread->up) * (spread->relative ? fabs(value) : 1.0);
    return fmin(fmax(value + z * size, least), greatest);
}
