/* lib/kinds/registry.c: every kind, a line each, in the order of the reference pages. */
#include "kinds/kind.h"

#include <math.h>
#include <string.h>

#define KINDS(X)                                                                                   \
    X(resistor)                                                                                    \
    X(source)                                                                                      \
    X(battery)                                                                                     \
    X(alternator)                                                                                  \
    X(supply)                                                                                      \
    X(converter)                                                                                   \
    X(equaliser)                                                                                   \
    X(cable)                                                                                       \
    X(strap)                                                                                       \
    X(sheet)                                                                                       \
    X(booster_leads)                                                                               \
    X(jump_pack)                                                                                   \
    X(joint)                                                                                       \
    X(fuse)                                                                                        \
    X(breaker)                                                                                     \
    X(switch)                                                                                      \
    X(double_switch)                                                                               \
    X(changeover)                                                                                  \
    X(selector)                                                                                    \
    X(key_switch)                                                                                  \
    X(lamp)                                                                                        \
    X(led_lamp)                                                                                    \
    X(lamp_monitor)                                                                                \
    X(heater)                                                                                      \
    X(glow_plug)                                                                                   \
    X(dc_motor)                                                                                    \
    X(measured)                                                                                    \
    X(module)                                                                                      \
    X(inverter)                                                                                    \
    X(sender)                                                                                      \
    X(gauge)                                                                                       \
    X(bimetal_gauge)                                                                               \
    X(thermistor)                                                                                  \
    X(sensor)                                                                                      \
    X(sensor_input)                                                                                \
    X(meter)                                                                                       \
    X(ohmmeter)                                                                                    \
    X(ammeter)                                                                                     \
    X(test_lamp)                                                                                   \
    X(diode)                                                                                       \
    X(isolator)                                                                                    \
    X(relay)                                                                                       \
    X(sensing_relay)                                                                               \
    X(starter)

#define DECLARE(kind) extern const sl__kind sl__kind_##kind;
KINDS(DECLARE)
#undef DECLARE

const sl__kind *const sl__kinds[] = {
#define LIST(kind) &sl__kind_##kind,
    KINDS(LIST)
#undef LIST
};

const int32_t sl__kind_total = SL__COUNT(sl__kinds);

int32_t sl_kind_count(void)
{
    return sl__kind_total;
}

const sl_kind *sl_kind_at(int32_t index)
{
    return index >= 0 && index < sl__kind_total ? &sl__kinds[index]->about : NULL;
}

const sl_kind *sl_kind_find(const char *name)
{
    for (int32_t i = 0; i < sl__kind_total; i++) {
        if (strcmp(sl__kinds[i]->about.name, name) == 0) {
            return &sl__kinds[i]->about;
        }
    }
    return NULL;
}

bool sl_kind_lacks(const sl_kind *kind, const double *value, sl_lack_of of, int32_t index)
{
    for (int32_t k = 0; k < kind->lack_count; k++) {
        const sl_lack *lack = &kind->lacks[k];
        const double now = value[lack->param];
        if (lack->of == of && lack->index == index &&
            (isnan(lack->value) ? isnan(now) : now == lack->value)) {
            return true;
        }
    }
    return false;
}

const sl__kind *sl__kind_of(const sl_kind *about)
{
    /* The description is the first member of the kind that holds it. */
    return (const sl__kind *)about;
}
